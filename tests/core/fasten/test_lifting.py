"""Slings and jacks: printed rows, the balance of forces, and nothing flatter than 30°."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import ask, look, looked_up, rows_of
from core.fasten.rows import PrintedRow
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.lifting import FORMULAS, TABLES, leg_load, sling_factor


@pytest.mark.parametrize("row", rows_of(FORMULAS), ids=lambda row: row.id)
def test_printed_rows(row: PrintedRow) -> None:
    assert row.agrees(ask(FORMULAS, row.formula, **row.inputs).value) is not row.misprint, row


def test_the_misprint_is_found_out() -> None:
    # sharrowlifting.com prints 1.104 at 65°; 1 / sin 65° is 1.1034
    assert [row.id for row in rows_of(FORMULAS) if row.misprint] == ["LI-007"]


@pytest.mark.parametrize("row", looked_up("lifting"), ids=lambda row: row.id)
def test_printed_rows_of_the_table(row: PrintedRow) -> None:
    line = look(TABLES, row)
    assert row.agrees(line.value), row
    assert line.unit == row.unit


@given(load=st.floats(1, 1e5), legs=st.integers(1, 4), angle=st.floats(30, 90))
def test_the_upright_parts_of_all_legs_carry_the_load(load: float, legs: int, angle: float) -> None:
    """Independent: the balance of forces along the vertical."""
    pull = leg_load(load=load, legs=legs, angle_deg=angle)
    assert legs * pull * math.sin(math.radians(angle)) == pytest.approx(load)


@given(angle=st.floats(30, 89), more=st.floats(0, 1))
def test_flatter_never_pulls_less(angle: float, more: float) -> None:
    assert sling_factor(angle_deg=angle) >= sling_factor(angle_deg=angle + more)


@pytest.mark.parametrize("angle", [0, 29.9, 90.1, 120])
def test_too_flat_has_no_answer(angle: float) -> None:
    with pytest.raises(NotComputable, match="30°"):
        sling_factor(angle_deg=angle)


def test_half_a_leg_has_no_answer() -> None:
    with pytest.raises(NotComputable, match="whole number"):
        leg_load(load=1, legs=2.5, angle_deg=60)


def test_more_than_two_legs_are_warned_of() -> None:
    assert any("two" in text for text in ask(FORMULAS, "sling_leg", W="1000", legs="4", angle="60").warnings)
    assert len(ask(FORMULAS, "sling_leg", W="1000", legs="2", angle="60").warnings) == 1
