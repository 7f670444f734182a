"""One idea: what was done is a list of round trips: what came off and how it went back, each thing by itself.

A thing that came apart twice makes two trips. What is left open at the end of its last trip is owed.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from putback.core.gates.case import Fact
from putback.core.operations import ITEM_BACK, ITEM_OFF, JOINT_VERBS, ON_THE_WAY_IN, PAIRS, Operation, Verb
from putback.core.papers.told import Told, kind_of

Key = tuple[str, str, str]

_OF_ITEM = ITEM_OFF | ITEM_BACK | JOINT_VERBS | {Verb.RENEW}
_SIDE = {verb: pair.way_in for pair in PAIRS for verb in (pair.way_in, pair.way_back)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Trip:
    """One thing on its way in and back: the operations of each side with their events, in order."""

    key: Key
    into: tuple[tuple[Operation, Fact], ...]
    back: tuple[tuple[Operation, Fact], ...]

    @property
    def thing(self) -> str:
        """The id of the thing."""
        return self.key[1]


@dataclass(slots=True)
class _Open:
    key: Key
    into: list[tuple[Operation, Fact]]
    back: list[tuple[Operation, Fact]]


def trips(told: Told) -> tuple[Trip, ...]:
    """Every round trip of the record, in the order in which each began."""
    found: list[_Open] = []
    last: dict[Key, _Open] = {}
    for operation, fact in told.done:
        key = _key(told, operation)
        if key is None:
            continue
        inward = operation.verb in ON_THE_WAY_IN
        trip = last.get(key)
        if trip is None or (inward and trip.back and _closes(trip)):
            trip = last[key] = _Open(key=key, into=[], back=[])
            found.append(trip)
        (trip.into if inward else trip.back).append((operation, fact))
    return tuple(Trip(key=one.key, into=tuple(one.into), back=tuple(one.back)) for one in found)


def _closes(trip: _Open) -> bool:
    """Whether anything but a new part has come back: what comes off after that is another trip."""
    return any(operation.verb is not Verb.RENEW for operation, _ in trip.back)


def _key(told: Told, operation: Operation) -> Key | None:
    """What an operation is done to; None for what has no way back."""
    verb = operation.verb
    if verb in _OF_ITEM:
        home = told.case.home.get(operation.joint or "")
        return ("item", operation.item or home or operation.joint or "", "")
    if verb in (Verb.ISOLATE, Verb.RESTORE):
        return ("energy", operation.energy or "", "")
    if verb in (Verb.GUARD, Verb.UNGUARD):
        return ("guard", operation.guard or "", operation.item or "")
    if verb in (Verb.DRAIN, Verb.FILL):
        return ("fluid", operation.fluid or "", "")
    if verb in (Verb.READ_BEFORE, Verb.READ_AFTER):
        return ("codes", "", "")
    return (str(_SIDE[verb]), operation.item or "", "") if verb in _SIDE else None


def owed_of(told: Told, trip: Trip) -> tuple[str, ...]:
    """What of a trip is not back, in words; empty: nothing. What was only put back owes nothing."""
    if not trip.into:
        return ()
    kind = trip.key[0]
    if kind == "item":
        return tuple(_owed_item(told, trip))
    if kind == "guard":
        pieces = sum(_pieces(op) for op, _ in trip.into) - sum(_pieces(op) for op, _ in trip.back)
        return (f"{pieces} in",) if pieces > 0 else (f"{-pieces} more out than in",) if pieces < 0 else ()
    return () if trip.back else ("owed",)


def _pieces(operation: Operation) -> int:
    return 1 if operation.count is None else operation.count


def _owed_item(told: Told, trip: Trip) -> Iterator[str]:
    off = any(operation.verb in ITEM_OFF for operation, _ in trip.into)
    if off and not any(operation.verb in ITEM_BACK for operation, _ in trip.back):
        yield "owed"
    tight = {op.joint: op for op, _ in trip.back if op.verb is Verb.TIGHTEN and op.joint}
    for joint, undone in {op.joint: op for op, _ in trip.into if op.joint}.items():
        was = undone.count
        now = tight[joint].count if joint in tight else 0
        if joint not in tight or (was is not None and now is not None and now < was):
            known = told.joints.get(joint)
            yield f"{now if now is not None else '?'} of {was if was is not None else '?'} " + (
                f"{kind_of(known)} tight" if known else f"{joint} tight"
            )
