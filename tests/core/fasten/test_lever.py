"""Crow-foot and extension: printed rows, moments by vectors, and everything that has no answer."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import ask, rows_of
from core.fasten.rows import PrintedRow
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.lever import FORMULAS, Adapter, setting_behind, uncorrected_percent, wrench_setting

LENGTHS = st.floats(1, 2000)
ANGLES = st.floats(0, 90)


@pytest.mark.parametrize("row", rows_of(FORMULAS), ids=lambda row: row.id)
def test_printed_rows(row: PrintedRow) -> None:
    assert row.agrees(ask(FORMULAS, row.formula, **row.inputs).value), row


@given(grip=LENGTHS, reach=LENGTHS, angle=st.floats(0, 180), torque=st.floats(0.1, 1e4))
def test_the_moment_at_the_fastener_is_the_torque(grip: float, reach: float, angle: float, torque: float) -> None:
    """Independent: moment as a cross product of vectors. Hand at the origin, wrench along x, force along y."""
    drive = np.array([grip, 0.0])
    fastener = drive + reach * np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
    if fastener[0] < 0.01 * grip:
        return
    setting = wrench_setting(torque=torque, grip_length=grip, adapter_length=reach, angle_deg=angle)
    force = np.array([0.0, setting / grip])
    moment = fastener[0] * force[1] - fastener[1] * force[0]
    assert moment == pytest.approx(torque, rel=1e-9)


@given(grip=LENGTHS, reach=LENGTHS, angle=ANGLES)
def test_what_is_left_uncorrected_is_what_the_setting_takes_off(grip: float, reach: float, angle: float) -> None:
    setting = wrench_setting(torque=100, grip_length=grip, adapter_length=reach, angle_deg=angle)
    off = uncorrected_percent(adapter_over_grip=reach / grip, angle_deg=angle)
    assert setting * (1 + off / 100) == pytest.approx(100)


@given(grip=LENGTHS, reach=LENGTHS, torque=st.floats(0.1, 1e4))
def test_a_square_adapter_changes_nothing_at_all(grip: float, reach: float, torque: float) -> None:
    assert wrench_setting(torque=torque, grip_length=grip, adapter_length=reach, angle_deg=90) == pytest.approx(torque)


def test_torques_may_be_arrays() -> None:
    torques: Any = np.array([10.0, 20.0])
    settings: Any = wrench_setting(torque=torques, grip_length=40, adapter_length=5, angle_deg=0)
    assert settings * 45 / 40 == pytest.approx(np.array([10.0, 20.0]))


REFUSED = [
    (Adapter(length_mm=None), 400.0, False, "length is unknown"),
    (Adapter(length_mm=50, flexible=True), 400.0, False, "flexible"),
    (Adapter(length_mm=50), None, False, "grip to the drive is unknown"),
    (Adapter(length_mm=50), 400.0, True, "corrects for an adapter by itself"),
    (Adapter(length_mm=-5), 400.0, False, "below zero"),
    (Adapter(length_mm=50), 0.0, False, "below zero"),
    (Adapter(length_mm=400, angle_deg=180), 400.0, False, "no lever is left"),
]


@pytest.mark.parametrize(("adapter", "grip_mm", "itself", "why"), REFUSED)
def test_refusals(adapter: Adapter, grip_mm: float | None, itself: bool, why: str) -> None:
    """Source: formulas for crow-foot, refusals: unknown L or grip, flexible joint, a wrench that compensates."""
    with pytest.raises(NotComputable) as refused:
        setting_behind(torque=50, grip_length_mm=grip_mm, adapter=adapter, corrects_itself=itself)
    assert why in refused.value.why
    assert refused.value.mend


def test_an_extension_in_line_needs_no_lengths_of_the_wrench() -> None:
    found = setting_behind(torque=50, grip_length_mm=None, adapter=Adapter(length_mm=0))
    assert found.setting == 50
    assert "twists" in found.warnings[0]


def test_too_tight_and_too_loose_are_told() -> None:
    # toolcroze.com, E/L = 0.25: +2.2 % at 85°, -2.2 % at 95° (rows CF-007, CF-009)
    for angle, words in ((85.0, "2.2 % too tight"), (95.0, "2.2 % too loose"), (90.0, "no correction")):
        adapter = Adapter(length_mm=100, angle_deg=angle)
        assert words in setting_behind(torque=50, grip_length_mm=400, adapter=adapter).warnings[0]
