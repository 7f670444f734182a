"""Kellermann-Klein and VDI 2230: printed tables, shares that make a whole, and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import ask, look, looked_up, rows_of
from core.fasten.rows import PrintedRow
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.preload import TABLES as PRELOAD_TABLES
from putback.core.fasten.vdi import (
    FORMULAS,
    allowed_preload_kn,
    allowed_torque_nm,
    arms_mm,
    share_percent,
    tightening_factor,
    tightening_torque_nm,
)

M10 = {"diameter_mm": 10.0, "pitch_mm": 1.5, "bearing_outer_mm": 14.63, "hole_mm": 11.0}
FRICTIONS = st.floats(0.04, 0.35)


@pytest.mark.parametrize("row", rows_of(FORMULAS), ids=lambda row: row.id)
def test_printed_rows(row: PrintedRow) -> None:
    answer = ask(FORMULAS, row.formula, **row.inputs)
    assert answer.value is not None, row
    assert row.agrees(answer.value), (row, answer)
    assert answer.unit == row.unit


@pytest.mark.parametrize("row", looked_up("preload_long"), ids=lambda row: row.id)
def test_table_rows(row: PrintedRow) -> None:
    line = look(PRELOAD_TABLES, row)
    assert row.agrees(line.value)
    assert line.unit == row.unit


@pytest.mark.parametrize(
    ("pitch_share", "thread_share", "head_share"),
    # form as genfast.com prints it (DIN 946): MA = FM (0.159 P + 0.577 d2 muG + Dkm muK / 2), seen
    [(0.159, 0.577, 0.5)],
)
def test_the_arms_are_those_of_the_printed_form(pitch_share: float, thread_share: float, head_share: float) -> None:
    arms = arms_mm(thread_friction=0.12, head_friction=0.14, **M10)
    pitch_diameter = 9.026  # M10, ISO 724 table
    assert arms["pitch"] == pytest.approx(pitch_share * 1.5, rel=2e-3)
    assert arms["thread"] == pytest.approx(thread_share * pitch_diameter * 0.12, rel=2e-3)
    assert arms["head"] == pytest.approx(head_share * (14.63 + 11) / 2 * 0.14)


def test_torque_of_a_preload_by_short_name() -> None:
    # VDI 2230 table A1, M8 8.8 mu 0.12 (from memory): FM 18.6 kN, MA 24.6 N·m
    answer = ask(FORMULAS, "kk_torque", F="18600", d="8", P="1.25", muG="0.12", muK="0.12", dw="11.63", dh="9")
    assert answer.value == pytest.approx(24.6, rel=0.01)
    assert answer.unit == "N*m"


@pytest.mark.parametrize(
    # mastik.pt page 685, VDI 2230 (2001/2003) fine threads, 8.8, mu 0.12, seen; Rp0.2 660 MPa (ISO 898-1)
    ("diameter_mm", "pitch_mm", "printed_kn"),
    [(18, 1.5, 117), (20, 1.5, 148), (22, 1.5, 182), (24, 2, 209)],
)
def test_class_8_8_above_16_mm_takes_its_higher_yield(diameter_mm: float, pitch_mm: float, printed_kn: float) -> None:
    force_kn = allowed_preload_kn(diameter_mm=diameter_mm, pitch_mm=pitch_mm, friction=0.12, yield_mpa=660)
    assert force_kn == pytest.approx(printed_kn, rel=0.006)


@pytest.mark.parametrize(
    ("name", "inputs", "word"),
    [
        ("vdi_preload", {"d": "2", "P": "2", "mu": "0.1", "Rp02": "640"}, "core"),
        ("vdi_torque", {"d": "8", "P": "1.25", "mu": "0.1", "Rp02": "640", "dw": "9", "dh": "9"}, "sit on"),
        (
            "kk_share",
            {"d": "8", "P": "1.25", "muG": "0.1", "muK": "0.1", "dw": "12", "dh": "9", "part": "nut"},
            "part",
        ),
        ("alphaA_tol", {"tol_pct": "100"}, "100 %"),
    ],
)
def test_what_is_refused(name: str, inputs: dict[str, str], word: str) -> None:
    refused = ask(FORMULAS, name, **inputs).refused
    assert refused is not None
    assert word in refused


def test_strange_strength_and_friction_are_told() -> None:
    def told(mu: str, yield_mpa: str) -> str:
        return " ".join(ask(FORMULAS, "vdi_preload", d="8", P="1.25", mu=mu, Rp02=yield_mpa).warnings)

    assert "yield strength" in told("0.12", "6400")
    assert "friction classes" in told("1.2", "640")
    assert "check it" not in told("0.12", "640")


@given(thread=FRICTIONS, head=FRICTIONS)
def test_the_three_shares_are_the_whole(thread: float, head: float) -> None:
    parts = ("pitch", "thread", "head")
    shares = [share_percent(thread_friction=thread, head_friction=head, part=part, **M10) for part in parts]
    assert math.isclose(sum(shares), 100)
    assert min(shares) > 0


@given(less=FRICTIONS, more=FRICTIONS)
def test_more_friction_leaves_less_preload_for_more_torque(less: float, more: float) -> None:
    less, more = sorted((less, more))
    smooth = allowed_preload_kn(diameter_mm=10, pitch_mm=1.5, friction=less, yield_mpa=640)
    rough = allowed_preload_kn(diameter_mm=10, pitch_mm=1.5, friction=more, yield_mpa=640)
    assert rough <= smooth
    one = tightening_torque_nm(preload_n=1000, thread_friction=less, head_friction=less, **M10)
    other = tightening_torque_nm(preload_n=1000, thread_friction=more, head_friction=more, **M10)
    assert one <= other


@given(friction=FRICTIONS, yield_mpa=st.floats(200, 1200))
def test_twist_takes_its_part_of_the_yield(friction: float, yield_mpa: float) -> None:
    # von Mises: with twist, tension alone stays below 90 % of yield in the stress area of 58.0 mm2 (ISO 898-1, M10)
    force_n = 1000 * allowed_preload_kn(diameter_mm=10, pitch_mm=1.5, friction=friction, yield_mpa=yield_mpa)
    assert force_n < 0.9 * yield_mpa * 58.0
    assert allowed_torque_nm(friction=friction, yield_mpa=yield_mpa, **M10) > 0


@given(percent=st.floats(0, 99))
def test_the_tightening_factor_is_most_over_least(percent: float) -> None:
    assert math.isclose(tightening_factor(scatter_percent=percent), (1 + percent / 100) / (1 - percent / 100))


def test_full_scatter_has_no_factor() -> None:
    with pytest.raises(NotComputable):
        tightening_factor(scatter_percent=120)
