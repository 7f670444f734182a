"""One idea: a number is read as a person types it, with a comma or a unit; what may mean two things is asked.

`1,250` is 1250 to one reader and 1.25 to another: it is refused, never guessed.
"""

import math
import re
from collections.abc import Mapping
from types import MappingProxyType
from unicodedata import normalize

_VOLT = {"V": 1.0, "volt": 1.0, "volts": 1.0, "kV": 1e3, "mV": 1e-3}
_MICRO, _OHMS = "\u03bc", "\u03a9"
_FARAD = {"F": 1.0, "farad": 1.0, "mF": 1e-3, "uF": 1e-6, f"{_MICRO}F": 1e-6}
_OHM = {"ohm": 1.0, "ohms": 1.0, _OHMS: 1.0, "kohm": 1e3, f"k{_OHMS}": 1e3, "Mohm": 1e6, f"M{_OHMS}": 1e6}

UNITS: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "mm": {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "inch": 25.4, "inches": 25.4},
        "degrees": {"degrees": 1.0, "degree": 1.0, "deg": 1.0, "°": 1.0},
        "V": _VOLT,
        "F": _FARAD,
        "ohm": _OHM,
        "min": {"min": 1.0, "minute": 1.0, "minutes": 1.0, "h": 60.0},
        "MPa": {"MPa": 1.0, "N/mm2": 1.0},
        "%": {"%": 1.0},
    }
)
"""What may be typed behind a number, by the unit of its field, and how many of that unit it is. All are exact: SI
prefixes (SI Brochure, 9th ed., table 7), the inch of 25.4 mm (NIST SP 811, appendix B.6), 60 minutes of the hour."""

_MINUS = "\u2212"
_NUMBER = re.compile(r"([-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?)\s*(.*)")
_TWO_WAYS = re.compile(r"(?<![\d.,])([1-9]\d{0,2}),(\d{3})(?![\d.,])")
_COMMA = re.compile(r"(?<=\d),(?=\d)")


class Unread(ValueError):
    """A text that is no number, or may be two. `str` says what is wrong and what to write instead."""


def with_points(text: str) -> str:
    """The text with a point for each comma between digits.

    Raises:
        Unread: three digits stand behind a comma, which may be thousands or a fraction.

    >>> with_points("24,5 N·m")
    '24.5 N·m'
    """
    both = _TWO_WAYS.search(text)
    if both:
        whole, rest = both.groups()
        raise Unread(f"may be {whole}.{rest} or {whole}{rest}; write it with a point, or without a comma")
    return _COMMA.sub(".", text.replace(_MINUS, "-"))


def number_typed(text: str, unit: str = "") -> float:
    """A number as it was typed, in the unit of its field.

    Args:
        text: digits, a point or a comma, and behind them the unit or nothing.
        unit: of the field; "" where it has none.

    Raises:
        Unread: no number, two numbers, or a unit that this field does not know.

    >>> number_typed("2,5 cm", "mm")
    25.0
    >>> number_typed("1,250", "mm")
    Traceback (most recent call last):
    ...
    putback.core.fasten.typed.Unread: may be 1.250 or 1250; write it with a point, or without a comma
    """
    match = _NUMBER.fullmatch(with_points(_plain(text)))
    if match is None:
        raise Unread("is not a number; write it as a plain number")
    typed = match[2].strip()
    known = UNITS.get(unit, {unit: 1.0} if unit else {})
    if typed and typed not in known:
        units = f"write it in {', '.join(known)}" if known else "write the number alone"
        raise Unread(f"has {typed!r} behind the number, which is not known here; {units}")
    value = float(match[1].replace(",", ".")) * (known[typed] if typed else 1.0)
    if not math.isfinite(value):
        raise Unread("has no end; write the number as it is")
    return value


def _plain(text: str) -> str:
    """One spelling for signs that look alike: micro and ohm signs as Greek letters, `mm²` as `mm2` (Unicode NFKC)."""
    return normalize("NFKC", text).strip()


def is_unit_of(word: str, unit: str) -> bool:
    """Whether a word is a way to write a field's unit.

    >>> is_unit_of("volts", "V"), is_unit_of("30", "mm")
    (True, False)
    """
    return _plain(word) in UNITS.get(unit, {})
