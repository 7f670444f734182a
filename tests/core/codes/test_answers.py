"""One door for every answer: each service through it, every first byte, and any bytes at all."""

import doctest
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.core.codes.meaning.answers import Answer, Cleared, read_answer
from putback.core.codes.meaning.code_answers import CodeAnswer, CountAnswer, StatusAnswer
from putback.core.codes.meaning.monitors import MonitorAnswer
from putback.core.codes.meaning.pid_table import DISPUTED
from putback.core.codes.meaning.pids import LiveAnswer
from putback.core.codes.meaning.refusal import Refused
from putback.core.codes.meaning.status import Bit
from putback.core.codes.meaning.vehicle import InfoAnswer
from putback.core.codes.meaning.wrong import Wrong


@pytest.mark.parametrize(
    ("sent", "kind"),
    [
        # SAE J1979 / ISO 14229-1: an answer is the service plus 40, a refusal starts with 7F
        ("410D00", LiveAnswer),
        ("420D0000", LiveAnswer),
        ("4300", CodeAnswer),
        ("44", Cleared),
        ("46A078000000", MonitorAnswer),
        ("4700", CodeAnswer),
        ("490054400000", InfoAnswer),
        ("4A00", CodeAnswer),
        ("54", Cleared),
        ("5901FB011234", CountAnswer),
        ("5902FF", StatusAnswer),
        ("7F1978", Refused),
    ],
)
def test_every_service_has_its_answer(sent: str, kind: type[Answer]) -> None:
    answer = read_answer(bytes.fromhex(sent))
    assert isinstance(answer, kind)
    assert not getattr(answer, "wrong", ())


def test_permanent_and_pending_are_told_apart() -> None:
    kinds = {}
    for sent in ("430101 04", "470101 04", "4A010104"):
        answer = read_answer(bytes.fromhex(sent))
        assert isinstance(answer, CodeAnswer)
        kinds[answer.service] = answer.kind
    assert kinds == {0x03: "stored", 0x07: "pending", 0x0A: "permanent"}


def test_a_clear_with_more_to_say_is_told() -> None:
    answer = read_answer(bytes.fromhex("54AB"))
    assert isinstance(answer, Cleared)
    assert (answer.service, len(answer.wrong)) == (0x14, 1)
    assert read_answer(bytes.fromhex("440000")) == Cleared(service=0x04)


def test_older_buses_have_no_count() -> None:
    answer = read_answer(bytes.fromhex("43013300000000"), on_can=False)
    assert isinstance(answer, CodeAnswer)
    assert [str(code) for code in answer.codes] == ["P0133"]


def test_every_first_byte_gives_a_value() -> None:
    for first in range(256):
        for tail in (b"", b"\x00", b"\xff" * 3, bytes(12)):
            answer = read_answer(bytes([first]) + tail)
            assert isinstance(answer, Answer)
    assert isinstance(read_answer(b""), Wrong)


@settings(max_examples=1000)
@given(st.binary(max_size=80), st.booleans())
def test_no_bytes_make_it_raise(sent: bytes, on_can: bool) -> None:
    assert isinstance(read_answer(sent, on_can=on_can), Answer)


FIRST = st.sampled_from([0x41, 0x42, 0x43, 0x44, 0x46, 0x47, 0x49, 0x4A, 0x54, 0x59, 0x7F])


@settings(max_examples=1000)
@given(FIRST, st.binary(max_size=80), st.booleans())
def test_no_tail_makes_it_raise(first: int, tail: bytes, on_can: bool) -> None:
    """As before, with every service's own first byte."""
    assert isinstance(read_answer(bytes([first]) + tail, on_can=on_can), Answer)


def test_the_page_shows_what_the_code_says_and_names_what_is_disputed() -> None:
    page = Path(__file__).parents[3] / "docs" / "codes-answers.md"
    text = page.read_text(encoding="utf-8")
    tried = doctest.DocTestParser().get_doctest(text, {}, page.name, str(page), 0)
    assert tried.examples
    assert doctest.DocTestRunner(verbose=False).run(tried).failed == 0
    for pid in DISPUTED:
        assert f"{pid:02X}" in text or 0x34 <= pid <= 0x3B
    for bit in Bit:
        assert f"| {bit.value} | {bit.words} |" in text
