"""Designations: size and length as the car file means them, inch lengths, and what is none."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.core.thread import read_thread

DESIGNATIONS = [
    # each row: what is written, its nominal size, its length in mm, where that reading comes from
    ("M8x40", "M8", 40.0, "the car file's meaning: nominal x length"),
    ("M8", "M8", None, "no length given"),
    ("M14x1.5x30", "M14x1.5", 30.0, "seen: a service handbook's nomenclature, M12 x 1.75 x 50, easymanua.ls/bt/oe35"),
    ("M10x1.0x20", "M10x1", 20.0, "seen: vesect.com, understanding metric fasteners, M10-1.0 x 20"),
    ("m6X20", "M6", 20.0, "spelling"),
    ("M8×40", "M8", 40.0, "spelling"),
    (" M2.5x8 ", "M2.5", 8.0, "spelling"),
    ("1/4-20", "1/4-20", None, "unified: size and threads per inch"),
    ("1/4-20 UNC", "1/4-20", None, "unified, with its series"),
    ("5/16-18 UNC x 1-1/4", "5/16-18", 31.75, "1 1/4 in of 25.4 mm"),
    ("5/16-18 x 3/4", "5/16-18", 19.05, "3/4 in of 25.4 mm"),
    ("1/2-13 x 1.5", "1/2-13", 38.1, "1.5 in of 25.4 mm"),
    ("#10-24", "#10-24", None, "unified, numbered size"),
    ("#0-80 UNF x 1/4", "#0-80", 6.35, "the one size that is a zero; 1/4 in of 25.4 mm"),
]


@pytest.mark.parametrize(("text", "nominal", "length_mm", "source"), DESIGNATIONS)
def test_designations(text: str, nominal: str, length_mm: float | None, source: str) -> None:
    thread = read_thread(text)
    assert thread is not None, source
    assert (thread.text, thread.nominal) == (text, nominal)
    assert thread.length_mm == (None if length_mm is None else pytest.approx(length_mm))


@pytest.mark.parametrize(
    "text", ["", "clip", "8", "M", "Mx40", "M8x", "M8x40x50x60", "M8-40", "M0", "M8x0", "1/4-20 x 1/0", "M8x40 N·m"]
)
def test_what_is_no_designation(text: str) -> None:
    assert read_thread(text) is None


def test_lengths_of_one_hole_are_told_apart() -> None:
    long, short, fine = (read_thread(text) for text in ("M8x60", "M8x35", "M8x1x35"))
    assert long is not None
    assert short is not None
    assert fine is not None
    assert long.nominal == short.nominal != fine.nominal
    assert long.length_mm != short.length_mm


@given(st.text(alphabet="Mm#0123456789/.-x× UNCF", max_size=16))
def test_any_text_is_read_or_none(text: str) -> None:
    thread = read_thread(text)
    assert thread is None or thread.length_mm is None or thread.length_mm > 0
