"""Units of monitor results: every id at six values against two libraries, and the standard's own examples."""

import math

import pytest

from core.codes.references import OBD_UNITS, RAW_VALUES, SCAPY_UNITS, ask, kept, obd_python
from putback.core.codes.meaning.scaling import DISPUTED, SCALINGS, scaled, unit_of, whole

EXAMPLES = [
    # id, bytes, value, tolerance, source
    (0x07, "FFFD", 16383.25, 0, "seen: python-OBD tests/test_uas.py @c031f08, quoting SAE J1979"),
    (0x0D, "8000", 128.0, 0, "the same"),
    (0x16, "0000", -40.0, 0, "the same"),
    (0x16, "0190", 0.0, 1e-9, "the same"),
    (0x1C, "8CA0", 360.0, 1e-9, "the same"),
    (0x1F, "0126", 14.7, 1e-9, "the same"),
    (0x2F, "2710", 100.0, 1e-9, "the same"),
    (0x39, "58F0", -100.0, 1e-9, "the same"),
    (0x39, "A710", 100.0, 1e-9, "the same"),
    (0x0A, "2004", 1.000488, 0.000005, "the standard's example, quoted there: 1000.488 mV; 0.122 does not give it"),
    (0x8A, "8000", -3.999998, 0.000005, "the same: -3999.998 mV; 1/8192 V gives -4000.000"),
    (0x8A, "7FFF", 3.999876, 0.000005, "the same: 3999.876 mV; 1/8192 V gives 3999.878"),
]

ALONE = {0x3A, 0x3B, 0x3C, 0x3D, 0x3E, 0x3F, 0x40, 0x41, 0x87, 0x99, 0xAD, 0xAE, 0xFC}
"""Ids that python-OBD 0.7.3 alone gives; scapy 2.8.0 shows the number (run here)."""

MILLIVOLT = {0x0A, 0x8A}
CLOSE = 1e-3
"""The references print rounded factors (0.0000305, 0.122): a thousandth covers them, a wrong factor does not."""

SCAPY_ROUNDS = 0.00051
"""scapy prints three decimals; the low values are lost in that, the high ones are compared."""

PAIRS = [(number, text) for number in SCALINGS for text in RAW_VALUES]


def _ours(number: int, text: str) -> float:
    row = SCALINGS[number]
    value = whole(number, bytes.fromhex(text)) * row.step + row.plus
    return value * 1000 if number in MILLIVOLT else value


@pytest.mark.parametrize(("number", "text", "value", "apart", "source"), EXAMPLES)
def test_the_standards_examples(number: int, text: str, value: float, apart: float, source: str) -> None:
    found = scaled(number, whole(number, bytes.fromhex(text)))
    assert found is not None
    assert abs(found - value) <= apart, source


def test_a_step_of_0_122_does_not_give_the_standards_example() -> None:
    assert abs(0x2004 * 0.122 - 1000.488) > 0.005


def test_every_unit_is_as_python_obd_has_it() -> None:
    """python-OBD 0.7.3 (GPL-2.0): its kept values, 92 ids at six numbers."""
    assert len(SCALINGS) == 92
    for number, text in PAIRS:
        theirs = kept()["unit", number, text]
        assert theirs is not None
        if number == 0x2E:
            assert bool(theirs) is bool(_ours(number, text))
            continue
        assert math.isclose(_ours(number, text), theirs, rel_tol=CLOSE, abs_tol=1e-9), (f"{number:02X}", text)


def test_the_kept_values_are_what_python_obd_says() -> None:
    said = ask("obd", OBD_UNITS, PAIRS, python=obd_python())
    assert said == [kept()["unit", number, text] for number, text in PAIRS]


def test_every_unit_is_as_scapy_has_it_or_is_listed() -> None:
    """scapy 2.8.0 (GPL-2.0, in a process of its own)."""
    apart = set()
    for (number, text), theirs in zip(PAIRS, ask("scapy", SCAPY_UNITS, PAIRS), strict=True):
        if not math.isclose(_ours(number, text), theirs, rel_tol=CLOSE, abs_tol=SCAPY_ROUNDS):
            apart.add(number)
    assert apart <= ALONE
    # scapy shows the plain number for 40, which is what it is: one to one
    assert ALONE - apart <= {0x40}
    assert {number for number, row in SCALINGS.items() if not row.confirmed} == ALONE
    assert set(DISPUTED) == ALONE | MILLIVOLT | {0x2E}


def test_what_one_source_alone_gives_is_not_given() -> None:
    for number in ALONE:
        assert (scaled(number, 1000), unit_of(number)) == (None, "")
    assert (scaled(0x42, 1), unit_of(0x42)) == (None, "")
    assert unit_of(0x0A) == "V"


def test_signed_ids_start_at_80() -> None:
    """SAE J1979 table of units and scalings; seen: python-OBD UnitsAndScaling.py."""
    for number in SCALINGS:
        assert whole(number, b"\xff\xff") == (-1 if number >= 0x80 else 0xFFFF)
