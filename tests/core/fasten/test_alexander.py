"""Alexander's factors: printed figures, the package they were read in, no steps, and no answer outside the ranges."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import ask, rows_of
from core.fasten.rows import PrintedRow
from putback.core.fasten.alexander import (
    FORMULAS,
    PLATEAU,
    bolt_bending,
    bolt_shear_area_per_length,
    hole_bending,
    hole_shear_area_per_length,
    nut_dilation,
)


@pytest.mark.parametrize("row", rows_of(FORMULAS), ids=lambda row: row.id)
def test_printed_rows(row: PrintedRow) -> None:
    answer = ask(FORMULAS, row.formula, **row.inputs)
    assert answer.value is not None, row
    assert row.agrees(answer.value), (row, answer)
    assert answer.unit == row.unit


def test_every_formula_has_a_printed_row() -> None:
    assert {row.formula for row in rows_of(FORMULAS)} == {formula.name for formula in FORMULAS}


@given(ratio=st.floats(0.41, 2.19))
def test_the_package_says_the_same(ratio: float) -> None:
    library = pytest.importorskip("screw_thread_lib")  # PyPI screw_thread_lib (MIT), names ISO/TR 16224
    assert math.isclose(bolt_bending(strength_ratio=ratio), library.C2_ISO(ratio))
    assert math.isclose(hole_bending(strength_ratio=ratio), library.C3_ISO(ratio))


@given(width=st.floats(1.4, 1.79))
def test_nut_dilation_is_one_percent_below_the_package(width: float) -> None:
    library = pytest.importorskip("screw_thread_lib")
    # its last term is 2.60, Alexander's 2.61
    assert math.isclose(library.C1_ISO(width) - nut_dilation(width_over_diameter=width), 0.01, abs_tol=1e-9)


@pytest.mark.parametrize(
    ("name", "inputs"),
    [
        ("alex_C1", {"s_over_D": "1.39"}),
        ("alex_C1", {"s_over_D": "1.9"}),
        ("alex_C2", {"Rs": "2.2"}),
        ("alex_C3", {"Rs": "0.4"}),
        ("iso_asb_basic", {"d": "1", "P": "1"}),
        ("iso_asn_basic", {"d": "1", "P": "1"}),
    ],
)
def test_outside_the_ranges_there_is_no_answer(name: str, inputs: dict[str, str]) -> None:
    answer = ask(FORMULAS, name, **inputs)
    assert answer.value is None
    assert answer.refused


def test_the_factors_have_no_step_where_bolt_and_hole_are_alike() -> None:
    # printed polynomials meet their plateau at Rs = 1 to the three digits of 0.897
    assert bolt_bending(strength_ratio=1.000001) == pytest.approx(PLATEAU, abs=5e-4)
    assert hole_bending(strength_ratio=0.999999) == pytest.approx(PLATEAU, abs=5e-4)


@given(diameter=st.floats(3, 60), turns=st.floats(4, 15))
def test_basic_areas_against_their_closed_form(diameter: float, turns: float) -> None:
    pitch = diameter / turns
    # 60° profile: the hole's tooth is 7/8 P wide at the major diameter, so ASn = 7/8 pi d for each length
    assert math.isclose(hole_shear_area_per_length(diameter=diameter, pitch=pitch), 7 / 8 * math.pi * diameter)
    # the bolt's tooth is 3/4 P wide at the minor diameter; a bell mouth over 40 % takes some of it
    straight = 0.75 * math.pi * (diameter - 1.0825318 * pitch)
    assert bolt_shear_area_per_length(diameter=diameter, pitch=pitch) < straight
