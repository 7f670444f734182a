"""One idea: a reading counts if its unit can be compared with the limit, and a slip of unit or sign never helps.

Only volts and millivolts are converted into one another; any other unit must be the limit's own.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from putback.core.car import Energy, Proof
from putback.core.gates.case import Fact
from putback.core.operations import Verb
from putback.core.quantity import Limit
from putback.core.record.kinds import PROVE_AFTER, PROVE_BEFORE, READING_TAKEN

VOLTS: Mapping[str, float] = MappingProxyType({"V": 1.0, "mV": 0.001})
BELOW_ZERO = frozenset({"°C", "°F"})
OHM: Mapping[str, float] = MappingProxyType({"Ω": 1.0, "ohm": 1.0, "mΩ": 0.001, "mohm": 0.001})
"""Units that can be compared, by their size; units that go below zero."""


def in_unit_of(limit: Limit, value: object, unit: object) -> float | None:
    """A reading in the unit of a limit, as a size; None where it cannot be compared.

    Volts lose their sign (leads the wrong way round show the same voltage). Below zero counts for temperatures only.

    >>> in_unit_of(Limit(value=5, unit="V"), -6000, "mV")
    6.0
    >>> in_unit_of(Limit(value=5, unit="V"), 4, "A") is None
    True
    """
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        return None
    unit = unit if isinstance(unit, str) else ""
    if unit in VOLTS and limit.unit in VOLTS:
        return abs(value) * (VOLTS[unit] / VOLTS[limit.unit])
    if unit != limit.unit or (value < 0 and unit not in BELOW_ZERO):
        return None
    return float(value)


def ohms(value: object, unit: object) -> float | None:
    """A resistance in ohm; None for another unit or no number.

    >>> ohms(12, "mΩ")
    0.012
    """
    known = isinstance(unit, str) and unit in OHM
    if isinstance(value, bool) or not isinstance(value, int | float) or not known or not value >= 0:
        return None
    return value * OHM[str(unit)]


def values_needed(energy: Energy) -> tuple[str, ...]:
    """Which of wait and proof the car file gives no sourced value for."""
    wait, proof = energy.wait, energy.proof
    found = []
    if wait and (not wait.source or wait.minutes is None or not _counts(wait.minutes)):
        found.append("wait")
    if proof is None or not proof.source or _lacks_a_limit(proof):
        found.append("proof")
    return tuple(found)


def _counts(minutes: float) -> bool:
    return math.isfinite(minutes) and minutes >= 0


def _lacks_a_limit(proof: Proof) -> bool:
    """Whether a reading has nothing to be held against, or prove-test-prove no time in which it must be done."""
    limit, within = proof.at_most, proof.within_minutes
    no_limit = limit is None or not math.isfinite(limit.value)
    return (proof.needs_limit and no_limit) or (bool(proof.points) and (within is None or not _counts(within)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What an instrument showed for an energy; `proving`: on the known source, not at the car."""

    value: object
    unit: object
    points: object = None
    proving: bool = False


def reading_of(fact: Fact, energy: str) -> Reading | None:
    """The reading of an energy that an event gives: one taken, or the one logged with `prove dead`."""
    if fact.kind == READING_TAKEN and fact.says("energy") == energy:
        return Reading(
            value=fact.says("value"),
            unit=fact.says("unit"),
            points=fact.says("points"),
            proving=fact.says("phase") in (PROVE_BEFORE, PROVE_AFTER),
        )
    op, said = fact.operation, fact.says("reading")
    if op and op.verb is Verb.PROVE_DEAD and op.energy == energy and isinstance(said, Mapping):
        return Reading(value=said.get("value"), unit=said.get("unit"), points=said.get("points"))
    return None


def bad_reading(proof: Proof, reading: Reading) -> str | None:
    """What a reading says against a proof: above the limit, or not to be compared with it; None: nothing."""
    limit = proof.at_most
    if limit is None:
        return None
    size = in_unit_of(limit, reading.value, reading.unit)
    where = f" at {reading.points}" if reading.points else ""
    shown = f"{reading.value} {reading.unit}"
    if size is None:
        return f"a reading of {shown}{where} cannot be held against {limit}"
    if reading.proving:
        return None if size > limit.value else f"on the known source the instrument showed only {shown}"
    return None if size <= limit.value else f"{shown}{where}, at most {limit}"
