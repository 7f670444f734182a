"""The textbook's long form: printed figures, and that it holds where it says and nowhere else."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import ask, rows_of
from core.fasten.rows import PrintedRow
from putback.core.fasten.longform import FORMULAS, nut_factor


@pytest.mark.parametrize("row", rows_of(FORMULAS), ids=lambda row: row.id)
def test_printed_rows(row: PrintedRow) -> None:
    answer = ask(FORMULAS, row.formula, **row.inputs)
    assert answer.value is not None, row
    assert row.agrees(answer.value), (row, answer)


def test_every_formula_has_a_printed_row() -> None:
    assert {row.formula for row in rows_of(FORMULAS)} == {formula.name for formula in FORMULAS}


def test_without_friction_all_work_goes_into_the_lift() -> None:
    # conservation of work: one turn lifts F by the lead, 2 pi T = F lead, so K = lead / (2 pi d)
    k = nut_factor(diameter=10, mean_diameter=9, lead=1.5, thread_friction=0, collar_friction=0)
    assert k == pytest.approx(1.5 / (2 * math.pi * 10))


def test_what_cannot_be_turned_or_cut_is_refused() -> None:
    steep = ask(FORMULAS, "K_long", d="10", dm="1", lead="30", f="0.9", fc="0.1")
    assert steep.refused
    assert ask(FORMULAS, "mean_dia", d="8", dr="9").refused


@given(friction=st.floats(0, 0.4), more=st.floats(0.001, 0.2), pitch=st.floats(0.5, 2))
def test_more_friction_needs_more_torque(friction: float, more: float, pitch: float) -> None:
    less = nut_factor(diameter=10, mean_diameter=9, lead=pitch, thread_friction=friction, collar_friction=friction)
    thread = nut_factor(
        diameter=10, mean_diameter=9, lead=pitch, thread_friction=friction + more, collar_friction=friction
    )
    collar = nut_factor(
        diameter=10, mean_diameter=9, lead=pitch, thread_friction=friction, collar_friction=friction + more
    )
    assert less < thread
    assert less < collar
