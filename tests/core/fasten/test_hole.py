"""A tapped hole's margin: a worked example, monotony, and every reason for which it is unknown."""

import dataclasses
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.core.fasten.answer import NotComputable
from putback.core.fasten.clamp import PreloadBand
from putback.core.fasten.hole import (
    MENDS,
    Bolt,
    Hole,
    HoleDoubt,
    Metal,
    full_engagement_mm,
    strip_margin,
)
from putback.core.fasten.limits import limits

BAND = PreloadBand(nominal_n=20_000, low_n=15_000, high_n=26_000, source="example")
ALUMINIUM = Hole(
    limits=limits("M10x1.5"),
    metal=Metal.ALUMINIUM,
    tensile_mpa=310,
    tensile_source="example",
    full_mm=12.05,
)
M10_8_8 = Bolt(tensile_mpa=830, stress_area_mm2=58.0, source="ISO 898-1")


def test_the_worked_example_strips_as_the_bolt_breaks() -> None:
    # machinecalcs.com thread-engagement-calculator: M10 8.8 (830 MPa x 58 mm2 = 48 140 N) in 310 MPa aluminium needs
    # 12.05 mm at minimum material, tau = 0.6 Rm; no bending factor there, so it is taken out here
    margin = strip_margin(hole=ALUMINIUM, preload_band=BAND, bolt=M10_8_8)
    assert margin.shear_mpa == pytest.approx(186)
    assert margin.hole_strips_n / margin.bending == pytest.approx(48_140, rel=5e-3)
    assert margin.bolt_breaks_n == pytest.approx(48_140)


def test_the_margin_is_counted_at_the_most_preload() -> None:
    margin = strip_margin(hole=ALUMINIUM, preload_band=BAND, bolt=M10_8_8)
    assert margin.margin[0] == pytest.approx(margin.hole_strips_n / 26_000)
    assert margin.margin[1] == pytest.approx(margin.hole_strips_n / 15_000)


def test_without_the_bolt_the_least_bending_factor_is_taken() -> None:
    margin = strip_margin(hole=ALUMINIUM, preload_band=BAND)
    assert margin.bending == 0.897  # ISO/TR 16224 plateau of C3, as in screw_thread_lib
    assert margin.bolt_breaks_n is None
    assert margin.bolt_strips_n is None


@pytest.mark.parametrize(("tensile_mpa", "bolt_mpa"), [(100, 1220), (1200, 100)])
def test_partners_too_unlike_take_the_least_factor_and_say_so(tensile_mpa: float, bolt_mpa: float) -> None:
    hole = dataclasses.replace(ALUMINIUM, tensile_mpa=tensile_mpa)
    bolt = Bolt(tensile_mpa=bolt_mpa, stress_area_mm2=58.0, source="example")
    margin = strip_margin(hole=hole, preload_band=BAND, bolt=bolt)
    assert margin.bending == 0.897
    assert any("too unlike" in text for text in margin.warnings)


def test_a_strip_load_has_its_warnings() -> None:
    weak = strip_margin(hole=dataclasses.replace(ALUMINIUM, full_mm=6), preload_band=BAND, bolt=M10_8_8)
    assert any("most preload strips" in text for text in weak.warnings)
    assert any("before the bolt breaks" in text for text in weak.warnings)
    gone = strip_margin(hole=dataclasses.replace(ALUMINIUM, full_mm=2), preload_band=BAND)
    assert any("even the least preload" in text for text in gone.warnings)
    long = strip_margin(hole=dataclasses.replace(ALUMINIUM, full_mm=20), preload_band=BAND, bolt=M10_8_8)
    assert not any("strips" in text for text in long.warnings)
    assert any("no specification" in text for text in long.warnings)
    assert not any(word in " ".join(long.warnings) for word in ("safe", "compliant"))


def test_magnesium_has_its_caution() -> None:
    hole = dataclasses.replace(ALUMINIUM, metal=Metal.MAGNESIUM, tensile_mpa=230)
    assert any("corrodes" in text for text in strip_margin(hole=hole, preload_band=BAND).warnings)
    steel = dataclasses.replace(ALUMINIUM, metal=Metal.STEEL, tensile_mpa=500)
    assert not any("corrodes" in text for text in strip_margin(hole=steel, preload_band=BAND).warnings)


@pytest.mark.parametrize("doubt", list(HoleDoubt))
def test_every_doubt_makes_the_margin_unknown(doubt: HoleDoubt) -> None:
    with pytest.raises(NotComputable, match="margin is unknown") as refused:
        strip_margin(hole=dataclasses.replace(ALUMINIUM, doubts=frozenset({doubt})), preload_band=BAND)
    assert doubt.value in refused.value.why
    assert MENDS[doubt] in refused.value.mend


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"metal": Metal.UNKNOWN}, "alloy"),
        ({"tensile_mpa": None}, "alloy"),
        ({"tensile_mpa": 0.0}, "alloy"),
        ({"full_mm": None}, "full threads"),
        ({"full_mm": float("nan")}, "full threads"),
    ],
)
def test_what_is_not_known_makes_the_margin_unknown(change: dict[str, object], word: str) -> None:
    with pytest.raises(NotComputable, match=word):
        strip_margin(hole=dataclasses.replace(ALUMINIUM, **change), preload_band=BAND)  # type: ignore[arg-type]


def test_all_reasons_are_told_at_once() -> None:
    hole = dataclasses.replace(ALUMINIUM, tensile_mpa=None, full_mm=None, doubts=frozenset({HoleDoubt.INSERT}))
    with pytest.raises(NotComputable) as refused:
        strip_margin(hole=hole, preload_band=BAND)
    assert all(word in refused.value.why for word in ("insert", "alloy", "full threads"))


def test_engagement_is_what_is_left_of_the_bolt() -> None:
    # by hand: 40 - 22 = 18 mm inside, less 1 mm chamfer and 1.5 mm point
    lengths = {"clamped_mm": 22, "thread_depth_mm": 25, "lost_in_hole_mm": 1, "lost_on_bolt_mm": 1.5}
    assert full_engagement_mm(bolt_length_mm=40, **lengths) == pytest.approx(15.5)


@pytest.mark.parametrize(
    ("bolt_length_mm", "word"),
    [(50.0, "bottoms"), (24.0, "no full thread"), (20.0, "no full thread"), (-1.0, "negative")],
)
def test_a_bolt_of_the_wrong_length_is_refused(bolt_length_mm: float, word: str) -> None:
    lengths = {"clamped_mm": 22, "thread_depth_mm": 25, "lost_in_hole_mm": 1, "lost_on_bolt_mm": 1.5}
    with pytest.raises(NotComputable, match=word):
        full_engagement_mm(bolt_length_mm=bolt_length_mm, **lengths)


@given(one=st.floats(0.1, 60), other=st.floats(0.1, 60), with_bolt=st.booleans())
def test_more_engagement_is_never_less_margin(one: float, other: float, with_bolt: bool) -> None:
    bolt = M10_8_8 if with_bolt else None
    short, long = (
        strip_margin(hole=dataclasses.replace(ALUMINIUM, full_mm=full_mm), preload_band=BAND, bolt=bolt)
        for full_mm in sorted((one, other))
    )
    assert short.margin[0] <= long.margin[0] or math.isclose(short.margin[0], long.margin[0])
    assert short.margin[1] <= long.margin[1] or math.isclose(short.margin[1], long.margin[1])


@given(one=st.floats(20_000, 100_000), other=st.floats(20_000, 100_000))
def test_more_preload_is_never_more_margin(one: float, other: float) -> None:
    little, much = (
        strip_margin(hole=ALUMINIUM, preload_band=dataclasses.replace(BAND, high_n=high_n)).margin[0]
        for high_n in sorted((one, other))
    )
    assert much <= little
