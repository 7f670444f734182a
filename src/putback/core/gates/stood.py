"""One idea: how things stood at a place of the record is told twice: as its lines stand today, as they stood then.

An operation that was taken back later had not been taken back yet; what asks that something is back asks both.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from putback.core import job
from putback.core.gates.case import Case, Fact, first_places
from putback.core.job import JobState
from putback.core.operations import ITEM_BACK, ITEM_OFF, JOINT_VERBS, Operation, Verb

Thing = tuple[str, ...]


def thing_of(operation: Operation) -> Thing | None:
    """What an operation moves, of what a gate may ask to be back: an item, a joint, a guard in its place, a loop."""
    verb = operation.verb
    if verb in ITEM_OFF | ITEM_BACK and operation.item:
        return ("item", operation.item)
    if verb in JOINT_VERBS and operation.joint:
        return ("joint", operation.joint)
    if verb in (Verb.GUARD, Verb.UNGUARD) and operation.guard:
        return ("guard", operation.guard, operation.item or "")
    return ("fluid", operation.fluid) if verb in (Verb.DRAIN, Verb.FILL) and operation.fluid else None


@dataclass(slots=True)
class _Walk:
    """The state after the operations that stand today, up to a place."""

    upto: int = 0
    done: int = 0
    state: JobState = field(default_factory=JobState)


def states_at(case: Case, upto: int) -> tuple[JobState, ...]:
    """The states at a place: by the lines that stand today, then, where it differs, by those that stood then."""
    if upto >= len(case.facts):
        return (case.folded.state,)
    today = _today(case, upto)
    fallen = {thing for fact in _fallen_later(case, upto) if fact.operation and (thing := thing_of(fact.operation))}
    if not fallen:
        return (today,)
    done = sorted(
        (fact for thing in fallen for fact in first_places(_by_thing(case)[thing], upto) if _stood(case, fact, upto)),
        key=lambda fact: fact.place,
    )
    then = job.fold(fact.operation for fact in done if fact.operation)
    return (today, _over(today, then, fallen))


def last_of(case: Case, thing: Thing, verbs: frozenset[Verb], upto: int) -> int:
    """The place of the last operation with one of some verbs on a thing up to a place, taken back or not; 0: none."""
    for fact in reversed(first_places(_by_thing(case).get(thing, ()), upto)):
        if fact.operation and fact.operation.verb in verbs:
            return fact.place
    return 0


def _today(case: Case, upto: int) -> JobState:
    walk: _Walk = case.once(("today",), _Walk)
    if walk.upto > upto:
        walk = _Walk()
    places = case.once(("places",), lambda: tuple(case.place_of[id] for id in case.folded.made_by))
    while walk.done < len(places) and places[walk.done] <= upto:
        walk.state = job.step(walk.state, case.folded.operations[walk.done])
        walk.done += 1
    walk.upto = upto
    return walk.state


def _fallen_later(case: Case, upto: int) -> Iterator[Fact]:
    """The operations up to a place that were taken back behind it."""
    fallen = case.once(("fallen",), lambda: tuple(_fallen(case)))
    return (fact for fact in first_places(fallen, upto) if _stood(case, fact, upto))


def _fallen(case: Case) -> Iterator[Fact]:
    standing = set(case.folded.made_by)
    return (fact for fact in case.facts if fact.operation and fact.event.id not in standing)


def _stood(case: Case, fact: Fact, upto: int) -> bool:
    """Whether an operation stands today, or was taken back only behind a place."""
    standing = case.once(("standing",), lambda: frozenset(case.folded.made_by))
    return fact.event.id in standing or case.mended_at.get(fact.event.id, 0) > upto


def _by_thing(case: Case) -> Mapping[Thing, tuple[Fact, ...]]:
    return case.once(("things",), lambda: _grouped(case))


def _grouped(case: Case) -> Mapping[Thing, tuple[Fact, ...]]:
    found: dict[Thing, list[Fact]] = {}
    for fact in case.facts:
        thing = thing_of(fact.operation) if fact.operation else None
        if thing is not None:
            found.setdefault(thing, []).append(fact)
    return MappingProxyType({thing: tuple(facts) for thing, facts in found.items()})


def _over(today: JobState, then: JobState, things: set[Thing]) -> JobState:
    """The state of today with some things as they stood then; one of them that then has not is at rest."""
    items = {id: seat for id, seat in today.items.items() if ("item", id) not in things}
    joints = {id: seat for id, seat in today.joints.items() if ("joint", id) not in things}
    fluids = {id: seat for id, seat in today.fluids.items() if ("fluid", id) not in things}
    guards = {key: pieces for key, pieces in today.guards.items() if ("guard", *key) not in things}
    return replace(
        today,
        items=MappingProxyType({**items, **then.items}),
        joints=MappingProxyType({**joints, **then.joints}),
        fluids=MappingProxyType({**fluids, **then.fluids}),
        guards=MappingProxyType({**guards, **then.guards}),
    )
