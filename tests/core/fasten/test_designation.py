"""Designations: what is read, what is asked and what is refused. Forms as in ISO 965-1 and ASME B1.1 (from memory)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.core.fasten.answer import NotComputable
from putback.core.fasten.designation import (
    METRIC_SYSTEM,
    UNIFIED_SYSTEM,
    Designation,
    Question,
    designation,
    read_designation,
)
from putback.core.fasten.sizes import METRIC, SERIES, UNIFIED, inches_of_size
from putback.core.thread import read_thread

READ = [
    # what is typed; the thread; its diameter, pitch and length in mm
    ("M8", "M8x1.25", 8, 1.25, None),
    ("m8", "M8x1.25", 8, 1.25, None),
    ("M8x1.25", "M8x1.25", 8, 1.25, None),
    ("M8x1,25", "M8x1.25", 8, 1.25, None),
    ("M8-1.25", "M8x1.25", 8, 1.25, None),
    ("M8x40", "M8x1.25", 8, 1.25, 40),
    ("M8x40 mm", "M8x1.25", 8, 1.25, 40),
    ("M8×1.25×40", "M8x1.25", 8, 1.25, 40),
    ("M8 x 1.25 x 40", "M8x1.25", 8, 1.25, 40),
    ("M6x6", "M6x1", 6, 1, 6),
    ("M14x1.25", "M14x1.25", 14, 1.25, None),
    ("M8x1.25-6g", "M8x1.25", 8, 1.25, None),
    ("M8-6H", "M8x1.25", 8, 1.25, None),
    ("M10x1.25x30-5g6g", "M10x1.25", 10, 1.25, 30),
    ("1/4-20 UNC", "1/4-20", 6.35, 1.27, None),
    ("1/4-20UNC-2A", "1/4-20", 6.35, 1.27, None),
    ("5/16-24 UNF", "5/16-24", 7.9375, 25.4 / 24, None),
    ("1/4 UNF", "1/4-28", 6.35, 25.4 / 28, None),
    ("#10-32", "#10-32", 4.826, 0.79375, None),
    ("#10-32 UNF-2A x .75 in", "#10-32", 4.826, 0.79375, 19.05),
    ("1/4-20 x 1-1/2", "1/4-20", 6.35, 1.27, 38.1),
    ("1/4-20 x 1 1/2", "1/4-20", 6.35, 1.27, 38.1),
    ("1/4-20 x 3/4", "1/4-20", 6.35, 1.27, 19.05),
    ('1/4-20 x 3/4"', "1/4-20", 6.35, 1.27, 19.05),
    ("1/4-20 x 40 mm", "1/4-20", 6.35, 1.27, 40),
    ("1-8 UNC", "1-8", 25.4, 3.175, None),
    ("1 1/8-7", "1-1/8-7", 28.575, 25.4 / 7, None),
]


@pytest.mark.parametrize(("text", "name", "diameter_mm", "pitch_mm", "length_mm"), READ)
def test_a_designation_is_read(
    text: str, name: str, diameter_mm: float, pitch_mm: float, length_mm: float | None
) -> None:
    said = read_designation(text)
    assert isinstance(said, Designation)
    assert said.name == name
    assert said.diameter_mm == pytest.approx(diameter_mm)
    assert said.pitch_mm == pytest.approx(pitch_mm)
    assert said.length_mm == (None if length_mm is None else pytest.approx(length_mm))
    assert said.system == (METRIC_SYSTEM if name.startswith("M") else UNIFIED_SYSTEM)


ASKED = [
    # text, what is asked, one reading among those given
    ("M10x2", "too short for a length", "M10x1.5"),
    ("M8x2", "too short for a length", "M8x1.25x2"),
    ("M8 1.25", "not written as", "M8x1.25"),
    ("8x1.25", "not written as", "M8x1.25"),
    ("8", "not written as", "M8"),
    ("M8x1.1x40", "has a pitch that M8 has not", "M8x1.25x40"),
    ("M15", "no coarse one", "M15x1.5"),
    ("M15x40", "no coarse one", "M15x1.5x40"),
    ("M7.3", "no size of ISO 261", "M7"),
    ("1/4", "several threads", "1/4-28 UNF"),
    ("#10", "several threads", "#10-24 UNC"),
    ("1/4-20 UNF", "in no table", "1/4-20 UNC"),
    ("1/4-24", "in no table", "1/4-28 UNF"),
    ("1/4-20 UNC x 40", "millimetres or in inches", "1/4-20 x 40 mm"),
]


@pytest.mark.parametrize(("text", "why", "reading"), ASKED)
def test_what_can_mean_several_things_is_asked(text: str, why: str, reading: str) -> None:
    said = read_designation(text)
    assert isinstance(said, Question)
    assert why in said.why
    assert reading in said.readings
    assert f"did you mean {said.readings[0]}" in str(said)
    with pytest.raises(NotComputable):
        designation(text)


@pytest.mark.parametrize("text", ["1/4-20 UNC x 40", "M15", "1/4", "M8x1.1x40", "1/4-24", "M7.3"])
def test_each_reading_can_be_read_in_turn(text: str) -> None:
    said = read_designation(text)
    assert isinstance(said, Question)
    for reading in said.readings:
        assert isinstance(read_designation(reading), Designation), reading


NOTHING = ["", "nuts", "M", "M0", "M8x", "M8x0", "M8x1.25x0", "1/0-20", "1/4-20 x 0", "1/4-20 x 1/0", "Mx40"]


@pytest.mark.parametrize("text", [*NOTHING, "G1/4", "1/8 NPT", "R 1/2", "Tr 16x4"])
def test_what_is_no_metric_or_unified_thread_is_refused(text: str) -> None:
    assert isinstance(read_designation(text), Question)
    with pytest.raises(NotComputable):
        designation(text)


@given(st.text("M0123456789x-/# .UNCF", max_size=14))
def test_no_text_breaks_the_reader(text: str) -> None:
    said = read_designation(text)
    if isinstance(said, Designation):
        assert said.pitch_mm < said.diameter_mm
        assert said.length_mm is None or said.length_mm > 0


@pytest.mark.parametrize("size", METRIC.values(), ids=lambda size: f"M{size.diameter_mm:g}")
def test_each_metric_thread_is_read_by_its_own_name(size: object) -> None:
    for pitch_mm in size.pitches_mm:  # type: ignore[attr-defined]
        name = f"M{size.diameter_mm:g}x{pitch_mm:g}"  # type: ignore[attr-defined]
        assert designation(name).name == name
        assert designation(f"{name}x60").length_mm == 60


@pytest.mark.parametrize("size", UNIFIED.values(), ids=lambda size: size.text)
def test_each_unified_thread_is_read_by_its_own_name(size: object) -> None:
    for series, threads in size.threads.items():  # type: ignore[attr-defined]
        name = f"{size.text}-{threads}"  # type: ignore[attr-defined]
        assert designation(name).name == designation(f"{name} {series}").name == name


@pytest.mark.parametrize("text", ["M8x40", "M8x1.25x40", "1/4-20 UNC", "5/16-18 UNC x 1-1/4", "#10-32 x 1/2"])
def test_where_it_is_certain_the_car_file_reads_the_same(text: str) -> None:
    there = read_thread(text)
    assert there is not None
    assert designation(text).length_mm == (None if there.length_mm is None else pytest.approx(there.length_mm))


TAP_HOLES = (
    # sizes of a table of tap drills, as printed: PyPI bd_warehouse 0.4.0 data/tap_hole_sizes.csv (seen)
    "M2-0.4 M2.5-0.45 M3-0.5 M3.5-0.6 M4-0.7 M5-0.8 M6-1 M6-0.75 M7-1 M7-0.75 M8-1.25 M8-1 M9-1.25 M9-1 M10-1.5 "
    "M10-1.25 M10-1 M11-1.5 M12-1.75 M12-1.5 M12-1.25 M14-2 M14-1.5 M14-1.25 M15-1.5 M16-2 M16-1.5 M17-1.5 M18-2.5 "
    "M18-2 M18-1.5 M20-2.5 M22-2.5"
)
SHIGLEY_8_2 = {
    # Shigley 9th ed. Table 8-2: threads per inch, coarse and fine; the lines seen in the check values
    "1/4": (20, 28),
    "5/16": (18, None),
    "3/8": (16, 24),
    "7/16": (14, None),
    "1/2": (13, 20),
    "5/8": (11, None),
    "3/4": (10, 16),
    "#10": (None, 32),
}


@pytest.mark.parametrize("text", TAP_HOLES.split())
def test_the_list_of_pitches_holds_the_sizes_of_a_seen_table(text: str) -> None:
    size, _, pitch = text.removeprefix("M").partition("-")
    assert float(pitch) in METRIC[float(size)].pitches_mm


@pytest.mark.parametrize("size", SHIGLEY_8_2)
def test_the_list_of_threads_is_that_of_a_seen_table(size: str) -> None:
    for series, threads in zip(SERIES, SHIGLEY_8_2[size], strict=False):
        assert threads in (None, UNIFIED[size].threads[series])


def test_a_number_size_is_thirteen_thousandths_each() -> None:
    """Shigley 9th ed. Table 8-2: number 0 0.0600 in, number 5 0.1250, number 10 0.1900, number 12 0.2160."""
    assert [inches_of_size(f"#{number}") for number in (0, 5, 10, 12)] == [0.06, 0.125, 0.19, 0.216]
