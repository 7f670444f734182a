"""One idea: what is done, what is possible and what is owed now follow from car file, pack and record alone.

The bay page works the same out without a server, by the same tables. Only energies and consent shut an act, by the
gates of the core; what is out of order is merely later, and may be done all the same.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from functools import partial
from types import MappingProxyType
from typing import Any

from putback.bay.order import thing_key
from putback.core.car import Car
from putback.core.gates import (
    Case,
    Entry,
    Gate,
    GateSettings,
    Moment,
    Override,
    asked_before,
    gates_before,
    read_case,
    shut,
)
from putback.core.gates.names import name_of
from putback.core.job import JobState
from putback.core.operations import ITEM_BACK, ITEM_OFF, Operation, Verb
from putback.core.record import Event, Folded, fold

Pack = Mapping[str, Any]


class Standing(StrEnum):
    """Where an act stands."""

    DONE = "done"
    POSSIBLE = "possible"
    LATER = "later"
    SHUT = "shut"


@dataclass(frozen=True, slots=True, kw_only=True)
class Received:
    """An event with the server's time of receipt; None while only the device has it."""

    event: Event
    received_at: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What an item would cover: the name's id, what it would cost if forgotten [min], and what is wrong with it."""

    item: str
    minutes: float
    short: int
    plugs: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Owed:
    """How many of a joint's fasteners were undone, how many of them are in no hole yet, and how many are tight again.

    `tight` is None where none was tightened yet.
    """

    off: int
    out: int
    tight: int | None

    @property
    def back(self) -> int:
        """How many are tight again."""
        return self.tight or 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Now:
    """The job now. Operations by number, acts by place; `done_at` gives for each operation the event that did it.

    `standing` is of every act; `shut` gives the gates that let nobody through, for acts that have any; `suggested`
    is None when nothing is possible; `owed` counts twins.
    """

    folded: Folded
    done_at: Mapping[int, str]
    standing: tuple[Standing, ...]
    shut: Mapping[int, tuple[Gate, ...]]
    suggested: int | None
    owed: int
    counts: Mapping[str, Owed]
    covered: frozenset[str]

    @property
    def state(self) -> JobState:
        """Where every thing stands."""
        return self.folded.state

    @property
    def done(self) -> frozenset[int]:
        """The numbers of the operations done."""
        return frozenset(self.done_at)


@dataclass(slots=True)
class _Walk:
    """What is gathered while the operations that stand are gone through in order."""

    done_at: dict[int, str] = field(default_factory=dict)
    off: dict[str, int] = field(default_factory=dict)
    out: dict[str, int] = field(default_factory=dict)
    back: dict[str, int] = field(default_factory=dict)
    covered: set[str] = field(default_factory=set)


def now_of(pack: Pack, received: Sequence[Received], *, car: Car, moment: Moment, case: Case | None = None) -> Now:
    """The job at a moment.

    Args:
        pack: as `pack_of` makes it.
        received: the record, in the server's order, then what a device holds beyond it.
        car: the car file that the job was opened with.
        moment: who asks, with which device, when; without a person every gate that asks for one is shut.
        case: the record read for its gates already, if it was.
    """
    folded = fold((one.event for one in received), name=partial(name_of, car))
    own = [one for one in received if one.event.job == received[0].event.job]
    walk = _walk(pack, folded, {one.event.id: one for one in reversed(own)})
    left = [[n for n in act["operations"] if n not in walk.done_at] for act in pack["acts"]]
    gates = _gates(pack, case or case_of(pack, received, car=car), left, moment)
    standing = tuple(_standing(act, place, left, gates) for place, act in enumerate(pack["acts"]))
    counts = {
        joint: Owed(off=count, out=walk.out[joint], tight=walk.back.get(joint)) for joint, count in walk.off.items()
    }
    return Now(
        folded=folded,
        done_at=MappingProxyType(walk.done_at),
        standing=standing,
        shut=MappingProxyType(gates),
        suggested=_suggested(pack, standing, left),
        owed=sum(1 for op in pack["operations"] if op["n"] in walk.done_at and _owes(op, walk.done_at)),
        counts=MappingProxyType(counts),
        covered=frozenset(walk.covered),
    )


def case_of(
    pack: Pack,
    received: Sequence[Received],
    *,
    car: Car,
    settings: GateSettings | None = None,
    people: Mapping[str, str] | None = None,
) -> Case:
    """The record read for its gates, with the energies and ways of the plan."""
    ways = {op["joint"]: op["way"] for op in pack["operations"] if "way" in op and "joint" in op}
    entries = [Entry(event=one.event, received_at=one.received_at) for one in received]
    return read_case(car, entries, energies=pack["energies"], ways=ways, settings=settings, people=people)


def _gates(pack: Pack, case: Case, left: Sequence[Sequence[int]], moment: Moment) -> dict[int, tuple[Gate, ...]]:
    """For each act the gates that are shut before any of its operations that are left, each once."""
    ops = {op["n"]: op for op in pack["operations"]}
    found: dict[int, tuple[Gate, ...]] = {}
    for place, numbers in enumerate(left):
        gates: dict[object, Gate] = {}
        for n in numbers:
            for gate in shut(_before(case, _asked(ops[n]), moment, pack["before"])):
                gates.setdefault((gate.kind, gate.energy, gate.item, gate.about), gate)
        if gates:
            found[place] = tuple(gates.values())
    return found


def _before(case: Case, operation: Operation, moment: Moment, before: Mapping[str, Any]) -> tuple[Gate, ...]:
    """What stands before an operation, then what is asked of intake and shelf."""
    held = asked_before(case, operation, moment, parts=before["parts"], renewed=before["compare"])
    return (*gates_before(case, operation, moment), *held)


def _asked(op: Mapping[str, Any]) -> Operation:
    """An operation of the pack, as far as gates ask."""
    named = {name: op[name] for name in ("item", "joint", "energy", "fluid") if name in op}
    return Operation(n=op["n"], verb=Verb(op["verb"]), **named)


def _standing(
    act: Mapping[str, Any], place: int, left: Sequence[Sequence[int]], gates: Mapping[int, tuple[Gate, ...]]
) -> Standing:
    if not left[place]:
        return Standing.DONE
    if not _ready(act, left):
        return Standing.LATER
    is_shut = any(gate.override is not Override.ASKED for gate in gates.get(place, ()))
    return Standing.SHUT if is_shut else Standing.POSSIBLE


def _owes(op: Mapping[str, Any], done: Mapping[int, str]) -> bool:
    twin = op.get("twin")
    return twin is not None and twin > op["n"] and twin not in done


def _ready(act: Mapping[str, Any], left: Sequence[Sequence[int]]) -> bool:
    return not any(left[before] for before in act["after"])


def _suggested(pack: Pack, standing: Sequence[Standing], left: Sequence[Sequence[int]]) -> int | None:
    """What was begun comes first, then what comes first in the plan; only then what is shut."""
    for wanted in (Standing.POSSIBLE, Standing.SHUT):
        places = [place for place, one in enumerate(standing) if one is wanted]
        begun = [place for place in places if len(left[place]) < len(pack["acts"][place]["operations"])]
        if begun or places:
            return (begun or places)[0]
    return None


def _walk(pack: Pack, folded: Folded, by_id: Mapping[str, Received]) -> _Walk:
    ops = {op["n"]: op for op in pack["operations"]}
    by_key: dict[str, int] = {}
    for op in pack["operations"]:
        if "key" in op:
            by_key.setdefault(op["key"], op["n"])
    walk = _Walk()
    for operation, id in zip(folded.operations, folded.made_by, strict=True):
        _gather(pack, walk, operation)
        n = _planned(ops, by_key, operation, by_id[id].event)
        if n is not None:
            for felled in ops[n].get("fells", ()):
                walk.done_at.pop(felled, None)
            walk.done_at[n] = id
    return walk


def _planned(
    ops: Mapping[int, Mapping[str, Any]], by_key: Mapping[str, int], operation: Operation, event: Event
) -> int | None:
    """The number in the plan of an operation that was done: by its thing, else by the number it was logged with."""
    key = thing_key(operation)
    if key is not None:
        return by_key.get("|".join(key))
    n = event.body.get("planned")
    known = isinstance(n, int | float) and n in ops and ops[int(n)]["verb"] == operation.verb
    return int(n) if known else None  # type: ignore[arg-type]


def _gather(pack: Pack, walk: _Walk, operation: Operation) -> None:
    """Counts of fasteners, and what is covered."""
    verb, item, joint = operation.verb, operation.item or "", operation.joint
    if verb is Verb.UNDO and joint:
        walk.off[joint] = walk.out[joint] = _count(pack, operation)
        walk.back.pop(joint, None)
    if verb in (Verb.START, Verb.TIGHTEN) and joint in walk.off:
        walk.out[joint] = walk.off[joint] - _count(pack, operation)
    if verb is Verb.TIGHTEN and joint:
        walk.back[joint] = _count(pack, operation)
    elif verb in ITEM_BACK:
        walk.covered |= set(pack["hides"].get(item, ()))
    elif verb in ITEM_OFF:
        walk.covered -= set(pack["hides"].get(item, ()))


def _count(pack: Pack, operation: Operation) -> int:
    """How many, as logged; the plan's count where nothing was said."""
    if operation.count is not None:
        return operation.count
    planned = (op.get("count", 0) for op in pack["operations"] if op.get("joint") == operation.joint)
    return int(next(planned, 0))


def looks_of(pack: Pack, now: Now, item: str) -> tuple[Look, ...]:
    """What is seen for the last time before an item goes back: dearest first, what is cheap and in order left out."""
    found = []
    for id in pack["hides"].get(item, ()):
        if id in now.covered:
            continue
        joints = {op["joint"] for op in pack["operations"] if op.get("item") == id and op["verb"] == Verb.UNDO}
        owed = [now.counts[joint] for joint in joints if joint in now.counts]
        short = sum(max(0, one.off - one.back) for one in owed)
        plugs = sum(
            n for (guard, port), n in now.state.guards.items() if port == id and guard not in pack.get("stands", ())
        )
        minutes = pack["rework"].get(id, 0.0)
        if short or plugs or minutes >= pack["looks"]["asked_from"]:
            found.append(Look(item=id, minutes=minutes, short=short, plugs=plugs))
    return tuple(sorted(found, key=lambda look: (-look.minutes, look.item)))
