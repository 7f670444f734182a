"""One idea: a number keeps the unit and the digits its source gave it.

A torque is read from text such as `24 N·m` or `12 N·m + 90°`; a bare number is refused, because a wrong unit
is the costliest slip there is. The SI value is derived, the source's own is kept.

Factors: exact by definition of the pound (0.45359237 kg), the inch (25.4 mm), the foot (304.8 mm) and standard
gravity (9.80665 m/s2); NIST SP 811 (2008), Appendix B.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

_POUND_FORCE_N = 0.45359237 * 9.80665

TORQUE_UNITS_NM: Mapping[str, float] = MappingProxyType(
    {
        "N·m": 1.0,
        "cN·m": 0.01,
        "N·cm": 0.01,
        "lbf·ft": _POUND_FORCE_N * 0.3048,
        "lbf·in": _POUND_FORCE_N * 0.0254,
        "kgf·m": 9.80665,
        "kgf·cm": 0.0980665,
        "ozf·in": _POUND_FORCE_N * 0.0254 / 16,
    }
)

_SPELLINGS: Mapping[str, str] = MappingProxyType(
    {
        "nm": "N·m",
        "newtonmetre": "N·m",
        "newtonmetres": "N·m",
        "cnm": "cN·m",
        "ncm": "N·cm",
        "lbfft": "lbf·ft",
        "lbft": "lbf·ft",
        "ftlb": "lbf·ft",
        "ftlbf": "lbf·ft",
        "ftlbs": "lbf·ft",
        "footpound": "lbf·ft",
        "footpounds": "lbf·ft",
        "poundfoot": "lbf·ft",
        "poundfeet": "lbf·ft",
        "lbfin": "lbf·in",
        "lbin": "lbf·in",
        "inlb": "lbf·in",
        "inlbf": "lbf·in",
        "inlbs": "lbf·in",
        "inchpound": "lbf·in",
        "inchpounds": "lbf·in",
        "kgfm": "kgf·m",
        "kgm": "kgf·m",
        "kgfcm": "kgf·cm",
        "kgcm": "kgf·cm",
        "ozfin": "ozf·in",
        "ozin": "ozf·in",
        "inoz": "ozf·in",
    }
)

_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_TORQUE = re.compile(rf"\s*({_NUMBER})\s*([^\d+]*?)\s*((?:\+\s*{_NUMBER}\s*(?:°|deg|degrees)\s*)*)")
_ANGLE = re.compile(rf"\+\s*({_NUMBER})")
_LIMIT = re.compile(rf"\s*(-?{_NUMBER})\s*([^\d\s].*?)\s*")


class Refused(ValueError):
    """A text that is no quantity. `what` says what is wrong, `mend` what to write instead."""

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(f"{what}; {mend}")
        self.what = what
        self.mend = mend


@dataclass(frozen=True, slots=True, kw_only=True)
class Torque:
    """A tightening torque as its source gives it, with the angles that follow it (degrees, in order)."""

    value: float
    unit: str
    angles_deg: tuple[float, ...] = ()

    @property
    def torque_nm(self) -> float:
        """The torque before any angle, [N·m].

        >>> round(Torque(value=18, unit="lbf·ft").torque_nm, 2)
        24.4
        """
        return self.value * TORQUE_UNITS_NM[self.unit]

    @property
    def angle_deg(self) -> float | None:
        """All angles together, [degrees]; None for a joint that is tightened by torque alone."""
        return sum(self.angles_deg) if self.angles_deg else None

    def __str__(self) -> str:
        """The torque in the source's own unit.

        >>> str(Torque(value=12.0, unit="N·m", angles_deg=(90.0,)))
        '12 N·m + 90°'
        """
        return " + ".join([f"{self.value:g} {self.unit}", *(f"{angle:g}°" for angle in self.angles_deg)])


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A measured value that must not be exceeded, with its unit as the source gives it."""

    value: float
    unit: str

    def __str__(self) -> str:
        """The limit as written: value, blank, unit."""
        return f"{self.value:g} {self.unit}"


def torque_unit(text: str) -> str | None:
    """The unit of torque that a text spells, with or without a sign between its parts; None for any other unit.

    >>> torque_unit("ft-lb")
    'lbf·ft'
    """
    return _SPELLINGS.get(re.sub(r"[\s·.*⋅\-_]", "", text).lower())


def read_torque(text: str) -> Torque:
    """Read a torque such as `24 N·m`, `18 lbf·ft` or `12 N·m + 90°`.

    Raises:
        Refused: no number, no unit, an unknown unit, or a value or angle of zero or without end.

    >>> read_torque("12 N·m + 90°")
    Torque(value=12.0, unit='N·m', angles_deg=(90.0,))
    >>> read_torque("24")
    Traceback (most recent call last):
    ...
    putback.core.quantity.Refused: '24' has no unit; write it with its unit, such as 24 N·m
    """
    match = _TORQUE.fullmatch(text)
    if match is None:
        raise Refused(f"{text!r} is not a torque", "write number and unit, such as 24 N·m or 12 N·m + 90°, in quotes")
    number, unit_text, angles = match.groups()
    if not unit_text:
        raise Refused(f"{text!r} has no unit", f"write it with its unit, such as {number} N·m")
    unit = torque_unit(unit_text)
    if unit is None:
        raise Refused(f"unit {unit_text!r} is not known", f"use one of {', '.join(TORQUE_UNITS_NM)}")
    turns = tuple(map(float, _ANGLE.findall(angles)))
    if float(number) == 0 or 0 in turns:
        raise Refused(f"{text!r} has a zero in it", "leave the torque or the angle out where the source gives none")
    if not all(map(math.isfinite, (float(number), *turns))):
        raise Refused(f"{text!r} has no end", "write the number as the source gives it")
    return Torque(value=float(number), unit=unit, angles_deg=turns)


def read_limit(text: str) -> Limit:
    """Read a limit such as `5 V`, `40 °C` or `0 kPa`.

    Raises:
        Refused: no number, no unit, or a number without end.

    >>> read_limit("40 °C")
    Limit(value=40.0, unit='°C')
    """
    match = _LIMIT.fullmatch(text)
    if match is None:
        raise Refused(f"{text!r} has no unit", "write number and unit, such as 5 V or 40 °C")
    if not math.isfinite(float(match[1])):
        raise Refused(f"{text!r} has no end", "write the number as the source gives it")
    return Limit(value=float(match[1]), unit=match[2])
