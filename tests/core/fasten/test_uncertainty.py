"""Uncertainty: printed rows, scipy's own deviation of a rectangle, derivatives by small steps."""

import math

import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import ask, rows_of
from core.fasten.rows import PrintedRow
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.lever import wrench_setting
from putback.core.fasten.uncertainty import (
    FORMULAS,
    LengthErrors,
    Uncertainty,
    adapter_parts,
    combined,
    rectangular,
)

PARTS = st.lists(st.floats(0, 100), min_size=1, max_size=8)


@pytest.mark.parametrize("row", rows_of(FORMULAS), ids=lambda row: row.id)
def test_printed_rows(row: PrintedRow) -> None:
    assert row.agrees(ask(FORMULAS, row.formula, **row.inputs).value), row


@given(half=st.floats(1e-6, 1e6))
def test_a_rectangle_has_the_deviation_that_scipy_gives(half: float) -> None:
    assert rectangular(half_width=half) == pytest.approx(scipy.stats.uniform(-half, 2 * half).std())


@given(parts=PARTS, more=st.floats(0, 100))
def test_another_part_never_makes_it_surer(parts: list[float], more: float) -> None:
    before = combined(parts=parts)
    assert max(parts) <= before * (1 + 1e-12)
    assert combined(parts=[*parts, more]) >= before * (1 - 1e-12)


@given(grip=st.floats(100, 1000), reach=st.floats(5, 90), angle=st.floats(0, 180).filter(lambda a: abs(a - 90) > 0.01))
def test_weights_are_the_derivatives_of_the_lever_law(grip: float, reach: float, angle: float) -> None:
    """Independent: the torque at the fastener for one setting, moved by a small step in each length and the angle."""

    def at_fastener(grip_mm: float, reach_mm: float, angle_deg: float) -> float:
        return 1 / wrench_setting(torque=1, grip_length=grip_mm, adapter_length=reach_mm, angle_deg=angle_deg)

    step, base = 1e-4, at_fastener(grip, reach, angle)
    errors = LengthErrors(adapter_mm=step, grip_mm=step, angle_deg=step)
    found = adapter_parts(grip_length_mm=grip, adapter_length_mm=reach, angle_deg=angle, errors=errors)
    moved = {
        "adapter length": at_fastener(grip, reach + step, angle),
        "grip position": at_fastener(grip + step, reach, angle),
        "angle of the adapter": at_fastener(grip, reach, angle + step),
    }
    for name, there in moved.items():
        expected = 100 * abs(there - base) / base / math.sqrt(3)
        assert found.parts_percent[name] == pytest.approx(expected, rel=1e-2, abs=1e-9)


def test_what_is_not_known_is_named() -> None:
    errors = LengthErrors(adapter_mm=1)
    found = adapter_parts(grip_length_mm=400, adapter_length_mm=50, angle_deg=0, errors=errors)
    assert found.left_out == ("grip position", "angle of the adapter")


def test_no_lever_no_answer() -> None:
    with pytest.raises(NotComputable, match="lever"):
        adapter_parts(grip_length_mm=50, adapter_length_mm=60, angle_deg=180, errors=LengthErrors())


def test_the_worked_sum_as_one_value() -> None:
    # rows TW-011 to TW-013: 2.309 % tool, 0.5 % resolution, 1 % reading: 2.565 %, expanded 5.13 %
    found = Uncertainty(parts_percent={"tool": 2.309, "scale": 0.5, "reading": 1.0})
    assert found.standard_percent == pytest.approx(2.565, abs=0.001)
    assert found.expanded_percent == pytest.approx(5.13, abs=0.01)
