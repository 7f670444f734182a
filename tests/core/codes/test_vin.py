"""Vehicle numbers: the regulation's own sums, a widely copied text that is wrong, and what the digit does not find."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.core.codes.meaning.vin import VALUES, WEIGHTS, check_digit, check_vin

SUMS = [
    # number, place 9 left out as _, sum, digit, source
    ("1G4AH59H_5G118341", 411, "4", "seen: sample of 49 CFR 565.15(c)"),
    ("1J9RP1A3_A1644345", 314, "6", "seen: NHTSA Outline for New Manufacturer Information p. 18"),
    ("1M8GDM9A_KP042788", 351, "X", "seen: a copy of an encyclopaedia page and several public unit tests"),
    ("11111111111111111", 89, "1", "seen: a public unit test; computed"),
]
INVENTED = ["9ZZXA00A3T0000001", "9ZZXA00A5T0000002", "9ZZXH12B4T1234567"]
"""Invented for examples, digits computed by the rule."""


def _sum(number: str) -> int:
    return sum(VALUES[sign] * weight for sign, weight in zip(number.replace("_", "0"), WEIGHTS, strict=True))


@pytest.mark.parametrize(("number", "total", "digit", "source"), SUMS)
def test_published_sums(number: str, total: int, digit: str, source: str) -> None:
    assert _sum(number) == total, source
    assert check_digit(number.replace("_", digit)) == digit
    assert check_vin(number.replace("_", digit)).warnings == ()


def test_the_regulations_own_products() -> None:
    """Seen in 49 CFR 565.15(c): 8 49 24 5 32 15 18 80 0 45 56 7 6 40 12 12 2."""
    number = "1G4AH59H05G118341"
    products = [VALUES[sign] * weight for sign, weight in zip(number, WEIGHTS, strict=True)]
    assert products == [8, 49, 24, 5, 32, 15, 18, 80, 0, 45, 56, 7, 6, 40, 12, 12, 2]


def test_a_widely_copied_text_is_wrong() -> None:
    """A public mailing list (seen) says that both pass; sums computed: 408 gives 1, 384 gives X."""
    assert (_sum("5GZCZ43D13S812715"), check_vin("5GZCZ43D13S812715").digit_agrees) == (408, True)
    wrong = check_vin("SGZCZ43D13S812715")
    assert (_sum("SGZCZ43D13S812715"), wrong.digit, wrong.digit_agrees) == (384, "X", False)
    assert len(wrong.warnings) == 1


@pytest.mark.parametrize("number", INVENTED)
def test_invented_numbers_pass(number: str) -> None:
    assert check_vin(f" {number.lower()} ").warnings == ()


def test_a_right_digit_is_no_proof() -> None:
    """Computed: 41 of 512 one-character slips and 2 of 13 swaps of neighbours on 9ZZXH12B4T1234567 still pass."""
    number = "9ZZXH12B4T1234567"
    others = [place for place in range(17) if place != 8]
    slips = [number[:at] + sign + number[at + 1 :] for at in others for sign in VALUES if sign != number[at]]
    assert (len(slips), sum(check_vin(slip).digit_agrees is True for slip in slips)) == (512, 41)
    swaps = {
        number[:at] + number[at + 1] + number[at] + number[at + 2 :]
        for at in range(16)
        if number[at] != number[at + 1]
    }
    beside = [swap for swap in swaps if swap[8] == number[8]]
    assert (len(beside), sum(check_vin(swap).digit_agrees is True for swap in beside)) == (13, 2)


def test_what_cannot_be_a_number_is_shown_and_warned_of() -> None:
    """Seen: hartkopp/can-isotp issue 34 sends a number with - and I in it: to be shown, marked, not dropped."""
    found = check_vin("WDX-SIM0019212345")
    assert found.text == "WDX-SIM0019212345"
    assert found.digit_agrees is None
    assert "'-', 'I' cannot be in a vehicle number" in found.warnings[0]
    short = check_vin("9ZZXA00A3T")
    assert short.digit is None
    assert "10 characters" in short.warnings[0]


@given(st.text(max_size=20))
def test_no_text_makes_it_raise(text: str) -> None:
    found = check_vin(text)
    assert found.text == text
    assert found.warnings or found.digit_agrees is True
