"""Numbers as people type them. Factors: SI Brochure, 9th ed., table 7; NIST SP 811, appendix B.6 (inch)."""

import pint
import pytest

from putback.core.fasten.typed import UNITS, Unread, is_unit_of, number_typed, with_points

_REFERENCE = {
    "°": "degree",
    "\u03a9": "ohm",
    "k\u03a9": "kiloohm",
    "M\u03a9": "megaohm",
    "kohm": "kiloohm",
    "Mohm": "megaohm",
}


@pytest.mark.parametrize(("unit", "typed"), [(unit, one) for unit in UNITS if unit != "%" for one in UNITS[unit]])
def test_every_unit_against_a_library_of_units(unit: str, typed: str) -> None:
    """pint is the reference."""
    units: pint.UnitRegistry[float] = pint.UnitRegistry()
    name = _REFERENCE.get(typed, typed.replace("mm2", "mm**2").replace("N/", "newton/"))
    expected = units.Quantity(1, name).to(unit).magnitude
    assert number_typed(f"1 {typed}", unit) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("24", 24.0),
        ("24,5", 24.5),
        ("0,001", 0.001),
        (".5", 0.5),
        ("-3", -3.0),
        ("\u22123", -3.0),
        ("1e-3", 0.001),
        ("12,", 12.0),
    ],
)
def test_plain_numbers(typed: str, value: float) -> None:
    assert number_typed(typed) == value


@pytest.mark.parametrize(
    "typed", ["", "x", "nan", "inf", "1e999", "1_000", "1 000", "1,000,000", "24 x", "--3", "1,250", "400,000"]
)
def test_what_is_no_number_or_two(typed: str) -> None:
    with pytest.raises(Unread):
        number_typed(typed)


@pytest.mark.parametrize("sign", ["\u00b5F", "\u03bcF", "uF"])
def test_signs_that_look_alike_mean_the_same(sign: str) -> None:
    """U+00B5 and U+03BC are compatible, as U+2126 and U+03A9 are canonically (Unicode character database)."""
    assert number_typed(f"300 {sign}", "F") == pytest.approx(300e-6)
    assert is_unit_of(sign, "F")
    assert number_typed("2 \u2126", "ohm") == number_typed("2 \u03a9", "ohm") == 2.0


def test_commas_in_a_torque() -> None:
    assert with_points("12,5 N·m + 90°") == "12.5 N·m + 90°"
    with pytest.raises(Unread, match=r"may be 2\.400 or 2400"):
        with_points("2,400 N·m")
