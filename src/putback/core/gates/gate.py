"""One idea: a gate is a value that says what stands before an operation, why, what opens it and who may pass it.

Nothing here judges a car. A gate that is open says only that what it asks for was logged; the maker's publication,
local codes and licensed people decide.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from types import MappingProxyType
from typing import Any

from putback.core.car import VALUE_NEEDED

AUTHORITY = "The maker's publication, local codes and licensed people decide; this shows only what was logged."
VALUE_NEEDED_ASK = f"{VALUE_NEEDED}: ask the maker's publication"


class GateKind(StrEnum):
    """What a gate asks about; the words are those that an override names."""

    WHO = "who"
    GLOVES = "gloves"
    KEYS = "keys"
    SECOND_PERSON = "second person"
    WAIT = "wait"
    PROOF = "proof"
    VALUE_NEEDED = VALUE_NEEDED
    BEFORE_IT = "before it"
    ORDER = "order"
    BOUNDARY = "boundary"
    RESTORE = "restore"
    CONSENT = "consent"
    HELD = "held"


class Override(StrEnum):
    """Who may let a shut gate be passed."""

    NOBODY = "nobody"
    NAMED = "a named person, with a reason that is printed"
    ASKED = "whoever works: asked once by name, then passed and logged"


OVERRIDE: Mapping[GateKind, Override] = MappingProxyType(
    {
        GateKind.WHO: Override.NOBODY,
        GateKind.GLOVES: Override.NOBODY,
        GateKind.KEYS: Override.NOBODY,
        GateKind.SECOND_PERSON: Override.NOBODY,
        GateKind.WAIT: Override.NOBODY,
        GateKind.PROOF: Override.NOBODY,
        GateKind.VALUE_NEEDED: Override.NOBODY,
        GateKind.BEFORE_IT: Override.NAMED,
        GateKind.ORDER: Override.NAMED,
        GateKind.BOUNDARY: Override.NAMED,
        GateKind.RESTORE: Override.NAMED,
        GateKind.CONSENT: Override.NOBODY,
        GateKind.HELD: Override.ASKED,
    }
)
"""A value that is needed is a wait or a proof, so nobody passes it; consent opens by a recorded answer alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """A time that runs. `ends` None: nobody knows when, because no source gives the minutes."""

    started: datetime
    ends: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Passed:
    """Who let a shut gate be passed, why, and the event that says so."""

    event: str
    who: str | None
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """One gate before one operation.

    `energy` and `item` say what it is about (None: not about one). `why` and `opens` are plain words. `lacks` names
    each single thing that is missing, where there are several. `about` is the id of a finding or of a rule.
    """

    kind: GateKind
    energy: str | None = None
    item: str | None = None
    about: str | None = None
    open: bool
    why: str
    opens: str = ""
    lacks: tuple[str, ...] = ()
    clock: Clock | None = None
    passed: Passed | None = None

    @property
    def override(self) -> Override:
        """Who may let it be passed while it is shut."""
        return OVERRIDE[self.kind]

    @property
    def lets_through(self) -> bool:
        """Whether it is open, or shut and passed as it may be."""
        return self.open or self.passed is not None


def shut(gates: tuple[Gate, ...]) -> tuple[Gate, ...]:
    """The gates that let nobody through yet, in order."""
    return tuple(gate for gate in gates if not gate.lets_through)


def plain(gate: Gate) -> dict[str, Any]:
    """A gate as JSON has it; times in ISO 8601."""
    clock, passed = gate.clock, gate.passed
    return {
        "kind": gate.kind.value,
        "energy": gate.energy,
        "item": gate.item,
        "about": gate.about,
        "open": gate.open,
        "lets_through": gate.lets_through,
        "why": gate.why,
        "opens": gate.opens,
        "lacks": list(gate.lacks),
        "override": gate.override.value,
        "clock": clock
        and {"started": clock.started.isoformat(), "ends": clock.ends.isoformat() if clock.ends else None},
        "passed": passed and {"event": passed.event, "who": passed.who, "reason": passed.reason},
    }
