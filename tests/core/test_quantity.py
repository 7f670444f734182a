"""Quantities: factors against published ones, texts that are read and texts that are refused."""

from contextlib import suppress
from math import isfinite

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from putback.core.quantity import TORQUE_UNITS_NM, Limit, Refused, Torque, read_limit, read_torque

INDEPENDENT = {
    # CODATA and NIST definitions as the reference library scipy.constants carries them
    "N·m": 1.0,
    "cN·m": constants.centi,
    "N·cm": constants.centi,
    "lbf·ft": constants.pound_force * constants.foot,
    "lbf·in": constants.pound_force * constants.inch,
    "kgf·m": constants.kilogram_force,
    "kgf·cm": constants.kilogram_force * constants.centi,
    "ozf·in": constants.ounce * constants.g * constants.inch,
}

PRINTED = [
    # unit, N·m as printed, half of the last printed digit, source
    ("lbf·ft", 1.355818, 5e-7, "NIST SP 811 (2008), Appendix B.8, pound-force foot to newton meter; from memory"),
    ("lbf·in", 0.1129848, 5e-8, "NIST SP 811 (2008), Appendix B.8, pound-force inch to newton meter; from memory"),
    ("kgf·m", 9.80665, 5e-6, "NIST SP 811 (2008), Appendix B.8, kilogram-force meter, exact; from memory"),
    ("lbf·in", 0.112985, 5e-7, "seen: navalfacilities.tpub.com/1004_6/1004_60046.htm, moment of force"),
    ("lbf·ft", 1.3558, 5e-5, "seen: a table of US customary to SI units, scribd.com/document/338645509"),
]


@pytest.mark.parametrize("unit", TORQUE_UNITS_NM)
def test_factors_are_those_of_an_independent_library(unit: str) -> None:
    assert TORQUE_UNITS_NM[unit] == pytest.approx(INDEPENDENT[unit], rel=1e-12)


@pytest.mark.parametrize(("unit", "printed", "half_digit", "source"), PRINTED)
def test_factors_are_those_of_printed_tables(unit: str, printed: float, half_digit: float, source: str) -> None:
    assert Torque(value=1.0, unit=unit).torque_nm == pytest.approx(printed, abs=half_digit), source


SPELLINGS = [
    ("24 N·m", 24.0, "N·m", ()),
    ("24Nm", 24.0, "N·m", ()),
    ("24.5 N m", 24.5, "N·m", ()),
    ("  8 N.m ", 8.0, "N·m", ()),
    ("900 cNm", 900.0, "cN·m", ()),
    ("18 lbf·ft", 18.0, "lbf·ft", ()),
    ("18 ft-lb", 18.0, "lbf·ft", ()),
    ("18 FT.LBS", 18.0, "lbf·ft", ()),
    ("100 in-lb", 100.0, "lbf·in", ()),
    ("2.5 kgf·m", 2.5, "kgf·m", ()),
    ("250 kgcm", 250.0, "kgf·cm", ()),
    ("250 N·cm", 250.0, "N·cm", ()),
    ("250 Ncm", 250.0, "N·cm", ()),
    ("40 ozf·in", 40.0, "ozf·in", ()),
    ("40 in-oz", 40.0, "ozf·in", ()),
    ("12 N·m + 90°", 12.0, "N·m", (90.0,)),
    ("12 N·m+90 deg + 90.5 degrees", 12.0, "N·m", (90.0, 90.5)),
]


@pytest.mark.parametrize(("text", "value", "unit", "angles"), SPELLINGS)
def test_a_torque_is_read_as_its_source_writes_it(
    text: str, value: float, unit: str, angles: tuple[float, ...]
) -> None:
    assert read_torque(text) == Torque(value=value, unit=unit, angles_deg=angles)


REFUSED = [
    "24",  # a bare number: in which unit?
    "12 + 90°",
    "N·m",
    "",
    "tight",
    "0 N·m",
    "0.0 lbf·ft",
    "12 N·m + 0°",
    "12 N·m + 90",  # ninety of what?
    "12 N·m - 90°",
    "-5 N·m",
    "1,5 N·m",  # a comma is no point
    "24 mN·m",
    "24 MN·m",
    "24 J",
    "24 N",
    "24 kip-ft",
    "24 N·m 24 N·m",
    "1e3 N·m",
    "٢٤ N·m",
    "9" * 400 + " N·m",
]


@pytest.mark.parametrize("text", REFUSED)
def test_what_is_no_torque_is_refused_with_a_mend(text: str) -> None:
    with pytest.raises(Refused) as caught:
        read_torque(text)
    assert caught.value.what
    assert caught.value.mend


@given(
    st.floats(min_value=0.01, max_value=2000).map(lambda value: round(value, 2)),
    st.sampled_from(sorted(TORQUE_UNITS_NM)),
    st.lists(st.integers(min_value=1, max_value=360).map(float), max_size=3).map(tuple),
)
def test_what_is_written_is_read_again(value: float, unit: str, angles: tuple[float, ...]) -> None:
    torque = Torque(value=float(f"{value:g}"), unit=unit, angles_deg=angles)
    assert read_torque(str(torque)) == torque


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(text: str) -> None:
    for read in (read_torque, read_limit):
        with suppress(Refused):
            found = read(text)
            assert isfinite(found.value)
            assert found.unit


def test_angles_are_kept_apart_and_summed() -> None:
    twice = read_torque("20 N·m + 90° + 45°")
    assert twice.angles_deg == (90.0, 45.0)
    assert twice.angle_deg == 135.0
    assert read_torque("20 N·m").angle_deg is None


@pytest.mark.parametrize(
    ("text", "limit"),
    [
        ("5 V", Limit(value=5.0, unit="V")),
        ("40 °C", Limit(value=40.0, unit="°C")),
        ("-40 °C", Limit(value=-40.0, unit="°C")),
        ("0 kPa", Limit(value=0.0, unit="kPa")),
        ("0.5V", Limit(value=0.5, unit="V")),
    ],
)
def test_a_limit_is_read_with_its_unit(text: str, limit: Limit) -> None:
    assert read_limit(text) == limit
    assert read_limit(str(limit)) == limit


@pytest.mark.parametrize("text", ["5", "", "V", "five volts", "5 6 V", "9" * 400 + " V"])
def test_what_is_no_limit_is_refused(text: str) -> None:
    with pytest.raises(Refused):
        read_limit(text)
