"""Short form: printed figures, the band, and that more torque is never less preload."""

import math

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import ask, look, looked_up, rows_of
from core.fasten.rows import PrintedRow
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.preload import (
    FORMULAS,
    TABLES,
    elastic_angle_deg,
    least_factor,
    nut_factor_from_test,
    preload,
    standard_deviation,
    torque,
    usual_band,
)

TORQUES = st.floats(0.1, 1e6)
NUT_FACTORS = st.floats(0.05, 0.5)
DIAMETERS = st.floats(1, 100)


@pytest.mark.parametrize("row", rows_of(FORMULAS), ids=lambda row: row.id)
def test_printed_rows(row: PrintedRow) -> None:
    answer = ask(FORMULAS, row.formula, **row.inputs)
    assert answer.value is not None, row
    assert row.agrees(answer.value) is not row.misprint, (row, answer)


def test_misprints_are_found_out() -> None:
    # securitylocknut.com truncates 0.157 to 0.15 and prints 0.13 for 0.125
    assert sorted(row.id for row in rows_of(FORMULAS) if row.misprint) == ["LU-009", "LU-010"]


@pytest.mark.parametrize("row", [*looked_up("preload_short"), *looked_up("torque_angle")], ids=lambda row: row.id)
def test_table_rows(row: PrintedRow) -> None:
    line = look(TABLES, row)
    assert row.agrees(line.value)
    assert line.unit == row.unit


def test_table_of_scatter_of_the_old_guideline() -> None:
    # trfastenings (VDI 2230:1986): yield/angle ±5..±12 %, precision power driver ±26..±43 %
    values = {line.keys["method"]: line.value for line in TABLES if "trfastenings" in line.source}
    assert values["yield controlled, lower"] == 5
    assert values["precision power driver, lower"] == 26


def test_a_preload_comes_with_its_band() -> None:
    # NASA TM-106943 eq 14 and 16: 1.25 and 0.714 of 1800 / (0.2 x 0.625) = 14 400 lbf
    answer = ask(FORMULAS, "preload_K", T="1800", K="0.2", d="0.625")
    assert answer.band is not None
    assert answer.band[0] == pytest.approx(0.714 * 14400, rel=1e-3)
    assert answer.band[1] == pytest.approx(18000)


def test_a_strange_nut_factor_is_told() -> None:
    assert any("far from" in text for text in ask(FORMULAS, "torque_K", K="2", F="25000", d="10").warnings)
    assert not any("far from" in text for text in ask(FORMULAS, "torque_K", K="0.2", F="25000", d="10").warnings)


def test_a_torque_is_never_told_as_a_specification() -> None:
    assert any("no specification" in text for text in ask(FORMULAS, "torque_K", K="0.2", F="25000", d="10").warnings)


def test_outside_its_range_there_is_no_answer() -> None:
    assert ask(FORMULAS, "stdev", data="1").refused
    assert ask(FORMULAS, "band_factor", u="1", relax="0.05").refused
    with pytest.raises(NotComputable, match="no scatter"):
        standard_deviation(data=(4.0,))


@given(torque_nmm=TORQUES, nut_factor=NUT_FACTORS, diameter=DIAMETERS)
def test_there_and_back(torque_nmm: float, nut_factor: float, diameter: float) -> None:
    force = preload(torque=torque_nmm, nut_factor=nut_factor, diameter=diameter)
    assert math.isclose(torque(nut_factor=nut_factor, preload=force, diameter=diameter), torque_nmm)
    assert math.isclose(nut_factor_from_test(torque=torque_nmm, preload=force, diameter=diameter), nut_factor)


@given(one=TORQUES, other=TORQUES, nut_factor=NUT_FACTORS, diameter=DIAMETERS)
def test_more_torque_is_never_less_preload(one: float, other: float, nut_factor: float, diameter: float) -> None:
    low, high = sorted((one, other))
    small = usual_band(torque=low, nut_factor=nut_factor, diameter=diameter)
    large = usual_band(torque=high, nut_factor=nut_factor, diameter=diameter)
    assert small[0] <= large[0]
    assert small[1] <= large[1]


@given(torque_nmm=TORQUES, nut_factor=NUT_FACTORS, diameter=DIAMETERS)
def test_the_band_holds_the_nominal(torque_nmm: float, nut_factor: float, diameter: float) -> None:
    low, high = usual_band(torque=torque_nmm, nut_factor=nut_factor, diameter=diameter)
    assert low < preload(torque=torque_nmm, nut_factor=nut_factor, diameter=diameter) < high


@given(spread=st.floats(0, 0.99), relaxation=st.floats(0, 1))
def test_settling_is_a_share_of_what_is_left(spread: float, relaxation: float) -> None:
    # NASA TM-106943 eq 15 as it stands: Fmin = (1 - u) F - r Fmin, with F = 1
    least = least_factor(spread=spread, relaxation=relaxation)
    assert math.isclose(least, (1 - spread) - relaxation * least, abs_tol=1e-12)


def test_one_full_turn_of_a_rigid_joint_stretches_the_bolt_by_one_pitch() -> None:
    # geometry: 360° lifts by P; a bolt that gives P for the force needs a full turn
    turn = elastic_angle_deg(
        pitch_mm=1.5, preload_n=1000, bolt_compliance_mm_per_n=1.5e-3, joint_compliance_mm_per_n=0
    )
    assert turn == pytest.approx(360)


def test_arrays_pass() -> None:
    torques = numpy.array([10_000.0, 45_000.0])
    forces = preload(torque=torques, nut_factor=0.2, diameter=10)  # type: ignore[arg-type]
    assert numpy.allclose(forces, [5_000, 22_500])
    low, high = usual_band(torque=torques, nut_factor=0.2, diameter=10)  # type: ignore[arg-type]
    assert numpy.allclose(low / high, 0.714 / 1.25, rtol=1e-3)
