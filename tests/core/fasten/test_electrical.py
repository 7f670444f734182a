"""Discharge: printed rows, the differential equation solved by scipy, and that no computed time is ever a wait."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from core.fasten.asked import ask, look, looked_up, rows_of
from core.fasten.rows import PrintedRow
from putback.core.fasten.answer import Formula, NotComputable
from putback.core.fasten.electrical import (
    FORMULAS,
    TABLES,
    discharge,
    discharge_time_s,
    energy_above_limit_j,
    largest_capacitance_f,
    largest_resistance_ohm,
    stored_energy_j,
    voltage_after_v,
)

OHM = st.floats(1, 1e7)
FARAD = st.floats(1e-9, 1)
VOLT = st.floats(61, 2000)


@pytest.mark.parametrize("row", rows_of(FORMULAS), ids=lambda row: row.id)
def test_printed_rows(row: PrintedRow) -> None:
    assert row.agrees(ask(FORMULAS, row.formula, **row.inputs).value), row


TABLE_ROWS = [*looked_up("hv_discharge"), *looked_up("hv_voltage_class")]


@pytest.mark.parametrize("row", TABLE_ROWS, ids=lambda row: row.id)
def test_printed_rows_of_the_table(row: PrintedRow) -> None:
    line = look(TABLES, row)
    assert row.agrees(line.value), row
    assert line.unit == row.unit


def test_the_equation_solved_step_by_step() -> None:
    """Independent: dV/dt = -V / (R C), integrated by scipy."""
    solved = solve_ivp(lambda _, volts: -volts / 45.0, (0, 300), np.array([600.0]), rtol=1e-10, atol=1e-12)
    ours = voltage_after_v(resistance_ohm=150e3, capacitance_f=300e-6, start_v=600, time_s=300)
    assert ours == pytest.approx(solved.y[0, -1], rel=1e-6)


@given(ohm=OHM, farad=FARAD, start=VOLT, share=st.floats(0.01, 1))
def test_time_and_voltage_are_inverse(ohm: float, farad: float, start: float, share: float) -> None:
    time_s = discharge_time_s(resistance_ohm=ohm, capacitance_f=farad, start_v=start, target_v=start * share)
    left = voltage_after_v(resistance_ohm=ohm, capacitance_f=farad, start_v=start, time_s=time_s)
    assert left == pytest.approx(start * share)
    if share < 0.99:
        back = largest_resistance_ohm(time_s=time_s, capacitance_f=farad, start_v=start, target_v=start * share)
        assert back == pytest.approx(ohm)


@given(farad=FARAD, volts=VOLT)
def test_energy_above_the_limit_is_the_difference_of_two(farad: float, volts: float) -> None:
    above = energy_above_limit_j(capacitance_f=farad, voltage_v=volts)
    at_limit = stored_energy_j(capacitance_f=farad, voltage_v=60)
    assert above == pytest.approx(stored_energy_j(capacitance_f=farad, voltage_v=volts) - at_limit)
    assert largest_capacitance_f(energy_j=above, voltage_v=volts) == pytest.approx(farad)


def test_outside_its_range_there_is_no_answer() -> None:
    with pytest.raises(NotComputable, match="above the first"):
        discharge_time_s(resistance_ohm=1, capacitance_f=1, start_v=50, target_v=60)
    with pytest.raises(NotComputable, match="nothing has to be discharged"):
        largest_resistance_ohm(time_s=1, capacitance_f=1, start_v=60, target_v=60)
    with pytest.raises(NotComputable, match="counts from 60 V"):
        energy_above_limit_j(capacitance_f=1, voltage_v=59)
    with pytest.raises(NotComputable, match="60 V"):
        largest_capacitance_f(energy_j=1, voltage_v=60)


def test_a_computed_time_is_never_a_wait() -> None:
    """Rows HD-001: 111.8 s to 50 V. Whatever is computed, the wait is the maker's or is needed."""
    circuit: dict[str, Any] = {"resistance_ohm": 150e3, "capacitance_f": 300e-6, "start_v": 600.0, "target_v": 50.0}
    bare = discharge(**circuit)
    assert bare.wait_minutes is None
    assert bare.wait_says == "wait: value needed, from the maker's publication; then measure"
    unsourced = discharge(**circuit, wait_minutes=1)
    assert unsourced.wait_minutes is None
    for minutes in (1.0, 10.0):
        told = discharge(**circuit, wait_minutes=minutes, wait_source="maker, page 3")
        assert told.wait_minutes == minutes
        assert told.wait_says == f"wait: {minutes:g} min (maker, page 3); then measure"
    assert all("never a wait" in told.warnings[0] for told in (bare, unsourced))


def test_a_wait_that_would_not_be_enough_is_told_not_changed() -> None:
    told = discharge(
        resistance_ohm=150e3, capacitance_f=300e-6, start_v=600, wait_minutes=1, wait_source="maker, page 3"
    )
    assert told.wait_minutes == 1
    assert told.left_after_wait_v == pytest.approx(158.2, abs=0.1)  # 600 exp(-60/45), by hand
    assert "would not be enough" in told.warnings[-1]


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda formula: formula.name)
def test_every_answer_says_that_it_is_no_wait(formula: Formula) -> None:
    assert any("never a wait" in text for text in formula.warn())
