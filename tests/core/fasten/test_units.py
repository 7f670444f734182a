"""Units against published factors (sources in each row), an independent units library and the definitions."""

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import ask, rows_of
from core.fasten.rows import PrintedRow
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.designation import designation
from putback.core.fasten.strength import plausible_nm
from putback.core.fasten.units import FORMULAS, SLIPS, convert, kept, ratio, read_unit, slips
from putback.core.quantity import TORQUE_UNITS_NM, Torque

ROWS = rows_of(FORMULAS)

PINT = {
    # our spelling: the independent library's (pint, which takes its constants from NIST and CODATA)
    "N·m": "newton * meter",
    "N·cm": "newton * centimeter",
    "cN·m": "centinewton * meter",
    "N·mm": "newton * millimeter",
    "kN·m": "kilonewton * meter",
    "daN·m": "decanewton * meter",
    "lbf·ft": "force_pound * foot",
    "lbf·in": "force_pound * inch",
    "ozf·in": "force_ounce * inch",
    "kgf·m": "force_kilogram * meter",
    "kgf·cm": "force_kilogram * centimeter",
    "N": "newton",
    "kN": "kilonewton",
    "kgf": "force_kilogram",
    "lbf": "force_pound",
    "kip": "kip",
    "Pa": "pascal",
    "kPa": "kilopascal",
    "MPa": "megapascal",
    "GPa": "gigapascal",
    "bar": "bar",
    "psi": "psi",
    "ksi": "ksi",
    "m": "meter",
    "mm": "millimeter",
    "cm": "centimeter",
    "in": "inch",
    "ft": "foot",
    "mm2": "millimeter ** 2",
    "cm2": "centimeter ** 2",
    "in2": "inch ** 2",
}
KINDS = [
    ["N·m", "N·cm", "cN·m", "N·mm", "kN·m", "daN·m", "lbf·ft", "lbf·in", "ozf·in", "kgf·m", "kgf·cm"],
    ["N", "kN", "kgf", "lbf", "kip"],
    ["Pa", "kPa", "MPa", "GPa", "bar", "psi", "ksi"],
    ["m", "mm", "cm", "in", "ft"],
    ["mm2", "cm2", "in2"],
]
UNITS: pint.UnitRegistry[float] = pint.UnitRegistry()


def test_there_are_rows() -> None:
    assert len(ROWS) >= 20
    assert sorted(unit for kind in KINDS for unit in kind) == sorted(PINT)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_a_published_conversion_comes_out(row: PrintedRow) -> None:
    answer = ask(FORMULAS, row.formula, **row.inputs)
    assert row.agrees(answer.value), f"{answer.value}, published {row.expected} ({row.source})"


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind[0])
def test_factors_are_those_of_an_independent_library(kind: list[str]) -> None:
    for unit in kind:
        for other in kind:
            independent = UNITS.Quantity(1.0, PINT[unit]).to(PINT[other]).magnitude
            assert convert(value=1.0, from_unit=unit, to_unit=other) == pytest.approx(independent, rel=1e-12)


def test_the_torque_units_of_a_car_file_have_the_same_factors() -> None:
    for unit, factor in TORQUE_UNITS_NM.items():
        assert convert(value=1.0, from_unit=unit, to_unit="N·m") == pytest.approx(factor, rel=1e-15)


@given(st.floats(1e-6, 1e6), st.sampled_from([(a, b) for kind in KINDS for a in kind for b in kind]))
def test_there_and_back_is_the_same_value(value: float, pair: tuple[str, str]) -> None:
    there = convert(value=value, from_unit=pair[0], to_unit=pair[1])
    assert convert(value=there, from_unit=pair[1], to_unit=pair[0]) == pytest.approx(value, rel=1e-12)


def test_a_whole_column_is_converted_at_once() -> None:
    column = np.array([18.0, 21.6])
    converted = convert(value=column, from_unit="lbf·ft", to_unit="N·m")  # type: ignore[arg-type]
    assert np.round(converted, 1).tolist() == [24.4, 29.3]


SPELLINGS = [
    ("lbf*ft", "lbf·ft"),
    ("ft-lb", "lbf·ft"),
    ("FT LB", "lbf·ft"),
    ("in-lb", "lbf·in"),
    ("Nm", "N·m"),
    ("N m", "N·m"),
    ("kgf*cm", "kgf·cm"),
    ("mm^2", "mm2"),
    ("ksi", "ksi"),
    ("mpa", "MPa"),
]


@pytest.mark.parametrize(("text", "unit"), SPELLINGS)
def test_a_unit_is_read_in_its_usual_spellings(text: str, unit: str) -> None:
    assert read_unit(text) == unit


@pytest.mark.parametrize("text", ["", "furlong", "Nn", "24"])
def test_an_unknown_unit_is_refused(text: str) -> None:
    with pytest.raises(NotComputable, match="not known; one of"):
        read_unit(text)


@pytest.mark.parametrize(("one", "other"), [("N·m", "N"), ("lbf", "lbf·ft"), ("MPa", "mm"), ("in", "in2")])
def test_units_of_two_kinds_are_refused(one: str, other: str) -> None:
    with pytest.raises(NotComputable, match="two units of one kind"):
        convert(value=1, from_unit=one, to_unit=other)


def test_a_ratio_has_no_unit() -> None:
    assert ratio(over=48, under=4) == 12


KEPT = [
    # as the source writes it, its unit, both values as told; 1 lbf·ft = 1.355818 N·m (NIST SP 811)
    ("18.0", "lbf·ft", "18.0 lbf·ft (24.4 N·m)"),
    ("18.00", "lbf·ft", "18.00 lbf·ft (24.40 N·m)"),
    ("106", "lbf·in", "106 lbf·in (12.0 N·m)"),
    ("250", "N·cm", "250 N·cm (2.50 N·m)"),
    ("24", "N·m", "24 N·m"),
    ("24.50", "N·m", "24.50 N·m"),
]


@pytest.mark.parametrize(("text", "unit", "told"), KEPT)
def test_the_sources_own_digits_are_kept(text: str, unit: str, told: str) -> None:
    assert str(kept(text, unit)) == told


@pytest.mark.parametrize(("text", "unit"), [("24", ""), ("24", "N"), ("about 24", "N·m")])
def test_a_figure_without_a_unit_of_torque_is_refused(text: str, unit: str) -> None:
    with pytest.raises(NotComputable):
        kept(text, unit)


def units_of(torque: Torque, thread: str | None = None) -> set[str]:
    if thread is None:
        return {slip.unit for slip in slips(torque)}
    least_nm, most_nm = plausible_nm(designation(thread))
    return {slip.unit for slip in slips(torque, least_nm=least_nm, most_nm=most_nm)}


def test_the_mix_ups_of_the_trade_are_told() -> None:
    """The four pairs that the trade mixes up (common practice, no source), each way round."""
    assert "lbf·ft" in units_of(Torque(value=12, unit="lbf·in"))
    assert "lbf·in" in units_of(Torque(value=72, unit="lbf·ft"))
    assert "N·m" in units_of(Torque(value=90, unit="N·cm"))
    assert "N·cm" in units_of(Torque(value=250, unit="N·m"))
    assert "lbf·ft" in units_of(Torque(value=24, unit="N·m"))
    assert "N·m" in units_of(Torque(value=18, unit="lbf·ft"))
    assert "N·m" in units_of(Torque(value=100, unit="kgf·cm"))


def test_a_slip_says_how_many_times_it_is_off() -> None:
    (slip,) = (one for one in slips(Torque(value=12, unit="lbf·in")) if one.unit == "lbf·ft")
    assert slip.times == pytest.approx(12)  # 1 ft = 12 in
    assert "12 times as much" in slip.words
    (back,) = (one for one in slips(Torque(value=72, unit="lbf·ft")) if one.unit == "lbf·in")
    assert "12 times less" in back.words


def test_a_reading_that_the_thread_could_not_bear_is_no_slip() -> None:
    """96 lbf·in on M6 is 10.8 N·m; 96 lbf·ft would be 130 N·m, which no M6 bears."""
    torque = Torque(value=96, unit="lbf·in")
    assert "lbf·ft" in units_of(torque)
    assert "lbf·ft" not in units_of(torque, "M6")
    assert "lbf·ft" in units_of(torque, "M14")


@given(st.floats(0.01, 5000), st.sampled_from(sorted({unit for pair in SLIPS for unit in pair})))
def test_a_slip_is_never_the_unit_that_is_stated(value: float, unit: str) -> None:
    for slip in slips(Torque(value=value, unit=unit)):
        assert slip.unit != unit
        assert slip.torque_nm == pytest.approx(convert(value=value, from_unit=slip.unit, to_unit="N·m"))
