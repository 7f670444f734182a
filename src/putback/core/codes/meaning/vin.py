"""One idea: a vehicle number is shown as it was sent; a wrong check digit is a warning, never a refusal.

The check digit is a rule of the USA and Canada; elsewhere place 9 may hold anything. A number whose digit is right is
no proof either: 41 of 512 single slips on one number tried still pass (computed; tests/core/codes/test_vin.py).
Source: 49 CFR 565.15(c); letters left out, ISO 3779.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

LENGTH = 17
PLACE_OF_DIGIT = 9
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
VALUES: Mapping[str, int] = MappingProxyType(
    {str(digit): digit for digit in range(10)}
    | dict(zip("ABCDEFGH", range(1, 9), strict=True))
    | dict(zip("JKLMN", range(1, 6), strict=True))
    | {"P": 7, "R": 9}
    | dict(zip("STUVWXYZ", range(2, 10), strict=True))
)
"""What a character counts; I, O and Q are not allowed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VinCheck:
    """A vehicle number as read, and what speaks against it. `digit` is what place 9 would be; None: cannot be said.

    `digit_agrees` is None where it cannot be said. No warnings means that nothing speaks against the number, no more.
    """

    text: str
    digit: str | None
    digit_agrees: bool | None
    warnings: tuple[str, ...]


def check_digit(text: str) -> str | None:
    """The check digit of a number of 17 characters, whatever stands in place 9; None: a character has no value.

    Source: 49 CFR 565.15(c): products of values and weights, summed, the integer remainder of 11; 10 is X.

    >>> check_digit("11111111111111111")
    '1'
    """
    if len(text) != LENGTH:
        return None
    others = [(sign, weight) for sign, weight in zip(text, WEIGHTS, strict=True) if weight]
    if any(sign not in VALUES for sign, _ in others):
        return None
    rest = sum(VALUES[sign] * weight for sign, weight in others) % 11
    return "X" if rest == 10 else str(rest)


def check_vin(text: str) -> VinCheck:
    """What speaks against a vehicle number; any text is taken.

    >>> check_vin("9ZZXA00A3T0000001").warnings
    ()
    >>> check_vin("9ZZXA00A4T0000001").warnings[0]
    'place 9 is 4, the check digit would be 3: wrong if the vehicle is for the USA or Canada; compare with the plate'
    """
    plain = text.strip().upper()
    warnings = []
    if len(plain) != LENGTH:
        warnings.append(f"{len(plain)} characters, a vehicle number has {LENGTH}: read it again")
    strange = sorted({sign for sign in plain if sign not in VALUES})
    if strange:
        shown = ", ".join(repr(sign) for sign in strange)
        warnings.append(f"{shown} cannot be in a vehicle number (I, O and Q are left out): compare with the plate")
    digit = check_digit(plain)
    found = plain[PLACE_OF_DIGIT - 1 : PLACE_OF_DIGIT]
    agrees = None if digit is None else digit == found
    if agrees is False:
        warnings.append(
            f"place 9 is {found}, the check digit would be {digit}: "
            "wrong if the vehicle is for the USA or Canada; compare with the plate"
        )
    return VinCheck(text=text, digit=digit, digit_agrees=agrees, warnings=tuple(warnings))
