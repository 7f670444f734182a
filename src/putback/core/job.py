"""One idea: a job is the sequence of what was done; its state is that sequence, folded.

Any sequence folds. An operation that does not fit the state is still a fact: the state takes what it says, and
the misfit is kept for the audit to speak of. What fits what is one table, `STEPS`. A loop may run out at two drains
and be topped up: there the litres are what must come out even.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from types import MappingProxyType
from typing import Any

from putback.core.operations import ITEM_BACK, ITEM_OFF, JOINT_VERBS, Operation, Verb


class Seat(StrEnum):
    """Where a thing stands: an item, a joint, an energy, a fluid, the code reads."""

    IN_PLACE = "in place"
    OFF = "off"
    UNPLUGGED = "unplugged"
    PARTED = "parted"
    ASIDE = "swung aside"
    FOLDED = "folded"
    TIGHT = "tight"
    UNDONE = "undone"
    STARTED = "started"
    LIVE = "live"
    ISOLATED = "isolated"
    PROVEN = "proved gone"
    FULL = "full"
    DRAINED = "drained"


STEPS: Mapping[tuple[Seat, Verb], Seat] = MappingProxyType(
    {
        (Seat.IN_PLACE, Verb.REMOVE): Seat.OFF,
        (Seat.OFF, Verb.FIT): Seat.IN_PLACE,
        (Seat.IN_PLACE, Verb.UNPLUG): Seat.UNPLUGGED,
        (Seat.UNPLUGGED, Verb.PLUG_IN): Seat.IN_PLACE,
        (Seat.IN_PLACE, Verb.PART): Seat.PARTED,
        (Seat.PARTED, Verb.JOIN): Seat.IN_PLACE,
        (Seat.IN_PLACE, Verb.SWING_ASIDE): Seat.ASIDE,
        (Seat.ASIDE, Verb.SWING_BACK): Seat.IN_PLACE,
        (Seat.IN_PLACE, Verb.FOLD): Seat.FOLDED,
        (Seat.FOLDED, Verb.UNFOLD): Seat.IN_PLACE,
        (Seat.TIGHT, Verb.UNDO): Seat.UNDONE,
        (Seat.UNDONE, Verb.START): Seat.STARTED,
        (Seat.STARTED, Verb.TIGHTEN): Seat.TIGHT,
        (Seat.LIVE, Verb.ISOLATE): Seat.ISOLATED,
        (Seat.ISOLATED, Verb.PROVE_DEAD): Seat.PROVEN,
        (Seat.PROVEN, Verb.PROVE_DEAD): Seat.PROVEN,
        (Seat.ISOLATED, Verb.RESTORE): Seat.LIVE,
        (Seat.PROVEN, Verb.RESTORE): Seat.LIVE,
        (Seat.FULL, Verb.DRAIN): Seat.DRAINED,
        (Seat.DRAINED, Verb.DRAIN): Seat.DRAINED,
        (Seat.DRAINED, Verb.FILL): Seat.FULL,
        (Seat.FULL, Verb.FILL): Seat.FULL,
    }
)

_RESULT: Mapping[Verb, Seat] = MappingProxyType({verb: seat for (_, verb), seat in STEPS.items()})


@dataclass(frozen=True, slots=True, kw_only=True)
class Misfit:
    """An operation that did not fit the state it met: the thing, where it stood, and the operation."""

    operation: Operation
    thing: str
    seat: str


def _nothing() -> Mapping[str, Any]:
    return MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class JobState:
    """All that is not as it was when the car came in. What is not named here is in place, tight, live, full.

    `guards` counts pieces in for (guard, item or ""); `litres_out` is what left each fluid and did not return, [l];
    `renewed` names items and joints that got a new part since they were last undone.
    """

    items: Mapping[str, Seat] = field(default_factory=_nothing)
    joints: Mapping[str, Seat] = field(default_factory=_nothing)
    energies: Mapping[str, Seat] = field(default_factory=_nothing)
    waited: frozenset[str] = frozenset()
    fluids: Mapping[str, Seat] = field(default_factory=_nothing)
    litres_out: Mapping[str, float] = field(default_factory=_nothing)
    guards: Mapping[tuple[str, str], int] = field(default_factory=lambda: MappingProxyType({}))
    renewed: frozenset[str] = frozenset()
    read_before: bool = False
    read_after: bool = False
    misfits: tuple[Misfit, ...] = ()

    def item(self, id: str) -> Seat:
        """Where an item stands."""
        return self.items.get(id, Seat.IN_PLACE)

    def joint(self, id: str) -> Seat:
        """Where a joint stands."""
        return self.joints.get(id, Seat.TIGHT)

    def energy(self, id: str) -> Seat:
        """Where an energy stands."""
        return self.energies.get(id, Seat.LIVE)


def fold(operations: Iterable[Operation]) -> JobState:
    """The state after all the operations.

    >>> removed = Operation(n=1, verb=Verb.REMOVE, item="fan")
    >>> fold([removed]).item("fan")
    <Seat.OFF: 'off'>
    """
    state = JobState()
    for state in states(operations):  # noqa: B007 - the last one is the answer
        pass
    return state


def states(operations: Iterable[Operation]) -> Iterator[JobState]:
    """The state before the first operation, then after each."""
    state = JobState()
    yield state
    for operation in operations:
        state = step(state, operation)
        yield state


def step(state: JobState, operation: Operation) -> JobState:
    """The state after one more operation; one that does not fit leaves a misfit behind."""
    move = _MOVES.get(operation.verb)
    return state if move is None else move(state, operation)


def _moved(
    seats: Mapping[str, Seat], thing: str, at_rest: Seat, operation: Operation
) -> tuple[Mapping[str, Seat], tuple[Misfit, ...]]:
    """Move one thing by the table; a pair that the table lacks is a misfit and moves it all the same."""
    now = seats.get(thing, at_rest)
    after = STEPS.get((now, operation.verb))
    misfits = () if after else (Misfit(operation=operation, thing=thing, seat=str(now)),)
    return MappingProxyType({**seats, thing: after or _RESULT[operation.verb]}), misfits


def _item(state: JobState, operation: Operation) -> JobState:
    if operation.item is None:
        return state
    items, misfits = _moved(state.items, operation.item, Seat.IN_PLACE, operation)
    return replace(state, items=items, misfits=state.misfits + misfits)


def _joint(state: JobState, operation: Operation) -> JobState:
    if operation.joint is None:
        return state
    joints, misfits = _moved(state.joints, operation.joint, Seat.TIGHT, operation)
    renewed = state.renewed - {operation.joint} if operation.verb is Verb.UNDO else state.renewed
    return replace(state, joints=joints, renewed=renewed, misfits=state.misfits + misfits)


def _wait(state: JobState, operation: Operation) -> JobState:
    return replace(state, waited=state.waited | {operation.energy}) if operation.energy else state


def _energy(state: JobState, operation: Operation) -> JobState:
    if operation.energy is None:
        return state
    energies, misfits = _moved(state.energies, operation.energy, Seat.LIVE, operation)
    waited = state.waited - {operation.energy} if operation.verb is Verb.RESTORE else state.waited
    return replace(state, energies=energies, waited=waited, misfits=state.misfits + misfits)


def _fluid(state: JobState, operation: Operation) -> JobState:
    fluid = operation.fluid
    if fluid is None:
        return state
    fluids, misfits = _moved(state.fluids, fluid, Seat.FULL, operation)
    sign = 1 if operation.verb is Verb.DRAIN else -1
    litres = state.litres_out.get(fluid, 0.0) + sign * (operation.litres or 0.0)
    litres_out = MappingProxyType({**state.litres_out, fluid: litres})
    return replace(state, fluids=fluids, litres_out=litres_out, misfits=state.misfits + misfits)


def _guard(state: JobState, operation: Operation) -> JobState:
    if operation.guard is None:
        return state
    place = (operation.guard, operation.item or "")
    sign = 1 if operation.verb is Verb.GUARD else -1
    pieces = state.guards.get(place, 0) + sign * (1 if operation.count is None else operation.count)
    lost = (Misfit(operation=operation, thing=place[0], seat="no piece in"),) if pieces < 0 else ()
    guards = MappingProxyType({**state.guards, place: pieces})
    return replace(state, guards=guards, misfits=state.misfits + lost)


def _renew(state: JobState, operation: Operation) -> JobState:
    new = {thing for thing in (operation.item, operation.joint) if thing}
    return replace(state, renewed=state.renewed | new)


_MOVES: Mapping[Verb, Callable[[JobState, Operation], JobState]] = MappingProxyType(
    dict.fromkeys(ITEM_OFF | ITEM_BACK, _item)
    | dict.fromkeys(JOINT_VERBS, _joint)
    | dict.fromkeys((Verb.ISOLATE, Verb.PROVE_DEAD, Verb.RESTORE), _energy)
    | dict.fromkeys((Verb.DRAIN, Verb.FILL), _fluid)
    | dict.fromkeys((Verb.GUARD, Verb.UNGUARD), _guard)
    | {
        Verb.WAIT: _wait,
        Verb.RENEW: _renew,
        Verb.READ_BEFORE: lambda state, _: replace(state, read_before=True),
        Verb.READ_AFTER: lambda state, _: replace(state, read_after=True),
    }
)
