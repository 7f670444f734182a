"""One idea: a monitor's number says in which unit it is, by one byte; a unit that one source alone gives is not used.

Ids from 80 on are signed. Source: SAE J1979 / ISO 15031-5, table of units and scalings, as two independent libraries
give it (tests/core/codes/test_scaling.py names them and compares every row). Ids 0A and 8A: the standard's own
examples follow 1/8192 V, not the printed 0.122 mV.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

SIGNED_FROM = 0x80


@dataclass(frozen=True, slots=True, kw_only=True)
class Scaling:
    """What one step of a number is: `step` in `unit`, and what is added. `confirmed`: two references agree on it."""

    unit: str
    step: float = 1.0
    plus: float = 0.0
    confirmed: bool = True


def _twice(numbers: Mapping[int, Scaling]) -> dict[int, Scaling]:
    """The same units for the signed id, 80 higher."""
    return {SIGNED_FROM + number: scaling for number, scaling in numbers.items()}


_BOTH: dict[int, Scaling] = {
    0x01: Scaling(unit="count"),
    0x02: Scaling(unit="count", step=0.1),
    0x03: Scaling(unit="count", step=0.01),
    0x04: Scaling(unit="count", step=0.001),
    0x05: Scaling(unit="count", step=0.0000305),
    0x06: Scaling(unit="count", step=0.000305),
    0x0A: Scaling(unit="V", step=1 / 8192),
    0x0B: Scaling(unit="V", step=0.001),
    0x0C: Scaling(unit="V", step=0.01),
    0x0D: Scaling(unit="mA", step=1 / 256),
    0x0E: Scaling(unit="A", step=0.001),
    0x10: Scaling(unit="ms"),
    0x1C: Scaling(unit="°", step=0.01),
    0x1D: Scaling(unit="°", step=0.5),
    0x28: Scaling(unit="g/s"),
    0x29: Scaling(unit="Pa/s", step=0.25),
    0x2F: Scaling(unit="%", step=0.01),
}

_UNSIGNED: dict[int, Scaling] = {
    0x07: Scaling(unit="1/min", step=0.25),
    0x08: Scaling(unit="km/h", step=0.01),
    0x09: Scaling(unit="km/h"),
    0x0F: Scaling(unit="A", step=0.01),
    0x11: Scaling(unit="ms", step=100),
    0x12: Scaling(unit="s"),
    0x13: Scaling(unit="mΩ"),
    0x14: Scaling(unit="Ω"),
    0x15: Scaling(unit="kΩ"),
    0x16: Scaling(unit="°C", step=0.1, plus=-40),
    0x17: Scaling(unit="kPa", step=0.01),
    0x18: Scaling(unit="kPa", step=0.0117),
    0x19: Scaling(unit="kPa", step=0.079),
    0x1A: Scaling(unit="kPa"),
    0x1B: Scaling(unit="kPa", step=10),
    0x1E: Scaling(unit="ratio", step=0.0000305),
    0x1F: Scaling(unit="ratio", step=0.05),
    0x20: Scaling(unit="ratio", step=1 / 256),
    0x21: Scaling(unit="mHz"),
    0x22: Scaling(unit="Hz"),
    0x23: Scaling(unit="kHz"),
    0x24: Scaling(unit="count"),
    0x25: Scaling(unit="km"),
    0x26: Scaling(unit="mV/ms", step=0.1),
    0x27: Scaling(unit="g/s", step=0.01),
    0x2A: Scaling(unit="kg/h", step=0.001),
    0x2B: Scaling(unit="switches"),
    0x2C: Scaling(unit="g per cylinder", step=0.01),
    0x2D: Scaling(unit="mg per stroke", step=0.01),
    0x2E: Scaling(unit="true or false"),
    0x30: Scaling(unit="%", step=0.001526),
    0x31: Scaling(unit="L", step=0.001),
    0x32: Scaling(unit="inch", step=0.0000305),
    0x33: Scaling(unit="ratio", step=0.00024414),
    0x34: Scaling(unit="min"),
    0x35: Scaling(unit="ms", step=10),
    0x36: Scaling(unit="g", step=0.01),
    0x37: Scaling(unit="g", step=0.1),
    0x38: Scaling(unit="g"),
    0x39: Scaling(unit="%", step=0.01, plus=-327.68),
    0x3A: Scaling(unit="g", step=0.001, confirmed=False),
    0x3B: Scaling(unit="g", step=0.0001, confirmed=False),
    0x3C: Scaling(unit="µs", step=0.1, confirmed=False),
    0x3D: Scaling(unit="mA", step=0.01, confirmed=False),
    0x3E: Scaling(unit="mm²", step=0.00006103516, confirmed=False),
    0x3F: Scaling(unit="L", step=0.01, confirmed=False),
    0x40: Scaling(unit="ppm", confirmed=False),
    0x41: Scaling(unit="µA", step=0.01, confirmed=False),
}

_SIGNED: dict[int, Scaling] = {
    0x87: Scaling(unit="ppm", confirmed=False),
    0x96: Scaling(unit="°C", step=0.1),
    0x99: Scaling(unit="kPa", step=0.1, confirmed=False),
    0xAD: Scaling(unit="mg per stroke", step=0.01, confirmed=False),
    0xAE: Scaling(unit="mg per stroke", step=0.1, confirmed=False),
    0xB0: Scaling(unit="%", step=0.003052),
    0xB1: Scaling(unit="mV/s", step=2),
    0xFC: Scaling(unit="kPa", step=0.01, confirmed=False),
    0xFD: Scaling(unit="kPa", step=0.001),
    0xFE: Scaling(unit="Pa", step=0.25),
}

SCALINGS: Mapping[int, Scaling] = MappingProxyType(dict(sorted((_BOTH | _twice(_BOTH) | _UNSIGNED | _SIGNED).items())))

DISPUTED: Mapping[int, str] = MappingProxyType(
    {number: "one reference alone gives this unit" for number, row in SCALINGS.items() if not row.confirmed}
    | {
        0x0A: "references print 0.122 mV; the standard's examples follow 1/8192 V, used here",
        0x8A: "references print 0.122 mV; the standard's examples follow 1/8192 V, used here",
        0x2E: "above 1 the references differ: one gives true, one the number; the number is shown",
    }
)
"""Ids that the references read differently or that one alone knows, and what was done."""


def whole(scaling_id: int, two: bytes) -> int:
    """The number in two bytes, with a sign where the id is of the signed ones.

    >>> whole(0x8A, b"\\x80\\x00"), whole(0x0A, b"\\x80\\x00")
    (-32768, 32768)
    """
    return int.from_bytes(two[:2], "big", signed=scaling_id >= SIGNED_FROM)


def scaled(scaling_id: int, raw: int) -> float | None:
    """The value of a number in the unit of its id; None: the unit is not known, or not confirmed.

    >>> scaled(0x16, 0x0190)
    0.0
    """
    row = SCALINGS.get(scaling_id)
    return None if row is None or not row.confirmed else raw * row.step + row.plus


def unit_of(scaling_id: int) -> str:
    """The unit of an id; empty where it is not known, or not confirmed."""
    row = SCALINGS.get(scaling_id)
    return row.unit if row is not None and row.confirmed else ""
