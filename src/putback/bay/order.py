"""One idea: a plan is one order of many; this says which operations must stand before which, and no more than that.

The plan's rules of order are pairs of steps; a step is several operations (plugs out, new parts, last look, fit,
start, tighten). Here each pair of steps becomes pairs of operations.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from types import MappingProxyType

from putback.core.car import Action, Item
from putback.core.operations import ITEM_BACK, ITEM_OFF, TWIN, Operation, Verb
from putback.plan.plan import Plan
from putback.plan.steps import Does, Step, Steps, build_steps, guard_span
from putback.plan.work import Work

Key = tuple[str, ...]

_CLOSING = frozenset({Verb.RELEARN, Verb.READ_AFTER, Verb.ROAD_TEST})


KEYS: Mapping[Verb, tuple[str, ...]] = MappingProxyType(
    dict.fromkeys(ITEM_OFF, ("off", "item"))
    | dict.fromkeys(ITEM_BACK, ("on", "item"))
    | {verb: (str(verb), "joint") for verb in (Verb.UNDO, Verb.START, Verb.TIGHTEN)}
    | {verb: (str(verb), "guard", "item") for verb in (Verb.GUARD, Verb.UNGUARD)}
    | {verb: (str(verb), "fluid") for verb in (Verb.DRAIN, Verb.FILL)}
    | {verb: (str(verb), "energy") for verb in (Verb.ISOLATE, Verb.WAIT, Verb.PROVE_DEAD, Verb.RESTORE)}
    | {Verb.RENEW: (str(Verb.RENEW), "item", "joint"), Verb.INSPECT: (str(Verb.INSPECT), "item")}
    | {verb: (str(verb),) for verb in (Verb.READ_BEFORE, Verb.READ_AFTER, Verb.ROAD_TEST)}
)
"""What tells an operation from others: a word, then the fields that name the thing it is done to.

Every way of taking an item off is "off" and every way of putting it back "on": a job may do it in another manner.
Verbs that are not named here (lifting, relearning, notes) may come several times; only numbers tell them apart.
"""


def thing_key(operation: Operation) -> Key | None:
    """What an operation is done to, with what is done; None where only its number tells it from others."""
    key = KEYS.get(operation.verb)
    return None if key is None else (key[0], *(getattr(operation, name) or "" for name in key[1:]))


@dataclass(slots=True)
class _Pairs:
    """The operations of a plan by what they are done to, and the pairs found so far (first, then)."""

    plan: Plan
    built: Steps
    found: set[tuple[int, int]] = field(default_factory=set)
    numbers: dict[Key, int] = field(default_factory=dict)
    new: dict[str, list[int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for operation in self.plan.operations:
            key = thing_key(operation)
            if key is not None:
                self.numbers.setdefault(key, operation.n)
            if operation.verb is Verb.RENEW:
                self.new.setdefault(operation.item or "", []).append(operation.n)

    def of(self, *keys: Key) -> list[int]:
        """The numbers of those operations that the plan has."""
        return [self.numbers[key] for key in keys if key in self.numbers]

    def order(self, first: Iterable[int], then: Iterable[int]) -> None:
        """Every one of `first` stands before every one of `then`; the plan itself is never contradicted."""
        later = list(then)
        self.found |= {(a, b) for a in first for b in later if a < b}


def pairs_of(plan: Plan) -> frozenset[tuple[int, int]]:
    """Pairs of operation numbers (first, then), each from a lower to a higher number; what follows may be missing.

    Checked by: orders drawn at random within these pairs, held against the rules of the audit.
    """
    pairs = _Pairs(plan=plan, built=build_steps(plan.car, _work(plan)))
    steps = pairs.built.steps
    ends: dict[tuple[int, bool], list[int]] = {}
    starts: dict[tuple[int, bool], list[int]] = {}
    for a, b in pairs.built.before:
        same = steps[a].item is not None and steps[a].item == steps[b].item
        if (a, same) not in ends:
            ends[a, same] = list(_end(pairs, steps[a], same=same))
        if (b, same) not in starts:
            starts[b, same] = list(_start(pairs, steps[b], same=same))
        pairs.order(ends[a, same], starts[b, same])
    for item in plan.items:
        _within_item(pairs, item)
    _within_energies(pairs)
    _first_and_last(pairs)
    return frozenset(pairs.found)


def _work(plan: Plan) -> Work:
    fluids = dict.fromkeys(operation.fluid for operation in plan.operations if operation.verb is Verb.DRAIN)
    return Work(
        items=plan.items,
        ways=plan.ways,
        energies=tuple(line.energy.id for line in plan.energies),
        fluids=tuple(id for id in plan.car.fluids if id in fluids),
        minutes=plan.minutes,
        bound=plan.minutes,
        proved=plan.proved,
    )


_PLACELESS: Mapping[Does, Verb] = {
    Does.ISOLATE: Verb.ISOLATE,
    Does.PROVE: Verb.PROVE_DEAD,
    Does.RESTORE: Verb.RESTORE,
    Does.FILL: Verb.FILL,
}


def _end(pairs: _Pairs, step: Step, *, same: bool) -> Iterator[int]:
    """The operations that are done when a step is done; `same`: as seen from a step of the same item."""
    thing = step.thing
    item = step.item or thing
    if step.does in _PLACELESS:
        yield from pairs.of((_PLACELESS[step.does], thing))
    elif step.does is Does.RENEW:
        yield from pairs.new.get(thing, ())
    elif step.does in (Does.GUARD, Does.UNGUARD):
        yield from _standing(pairs, step)
    elif step.does in (Does.UNDO, Does.OFF):
        whole = pairs.of(("off", item))
        yield from pairs.of((Verb.UNDO, thing)) if same or not whole else whole
        yield from _drains(pairs, item, thing)
    else:
        yield from pairs.of((Verb.TIGHTEN, thing)) or pairs.of(("on", item))
        if not same:
            yield from _supports(pairs, item, Verb.UNGUARD)


def _start(pairs: _Pairs, step: Step, *, same: bool) -> Iterator[int]:
    """The operations that wait when a step waits."""
    thing = step.thing
    item = step.item or thing
    if step.does in _PLACELESS:
        yield from pairs.of((_PLACELESS[step.does], thing))
    elif step.does is Does.RENEW:
        yield from pairs.new.get(thing, ())
    elif step.does in (Does.GUARD, Does.UNGUARD):
        yield from _standing(pairs, step)
    elif step.does in (Does.UNDO, Does.OFF):
        yield from pairs.of((Verb.UNDO, thing)) or pairs.of(("off", item))
        yield from _supports(pairs, item, Verb.GUARD)
    elif same:
        yield from pairs.of((Verb.TIGHTEN, thing))
    else:
        joints = [(Verb.START, joint.id) for joint in pairs.plan.car.items[item].joints]
        yield from pairs.of((Verb.INSPECT, item), ("on", item), *joints, (Verb.TIGHTEN, thing))
        yield from pairs.new.get(item, ())
        yield from _ports(pairs, item, Verb.UNGUARD)


def _standing(pairs: _Pairs, step: Step) -> Iterator[int]:
    verb = Verb.GUARD if step.does is Does.GUARD else Verb.UNGUARD
    for key, n in pairs.numbers.items():
        if key[:2] == (verb, step.thing):
            yield n


def _supports(pairs: _Pairs, item: str, verb: Verb) -> list[int]:
    guards = [guard for guard in pairs.plan.car.guards.values() if guard.support_for == item]
    return pairs.of(*((verb, guard.id, item) for guard in guards))


def _ports(pairs: _Pairs, item: str, verb: Verb) -> Iterator[int]:
    """Pieces that go in once this item is off (guard), or must be out before it goes back (unguard)."""
    for guard in pairs.plan.car.guards.values():
        if item in guard.closes:
            yield from pairs.of((verb, guard.id, item))
        span = guard_span(guard, pairs.built.work)
        if span and span[0 if verb is Verb.GUARD else 1] == item:
            yield from pairs.of((verb, guard.id, span[0] if span[0] in pairs.plan.car.items else ""))


def _drains(pairs: _Pairs, item: str, joint: str) -> list[int]:
    fluids = pairs.plan.car.fluids.values()
    let_out = [fluid.id for fluid in fluids if joint == fluid.drain_joint or item == fluid.drain_item]
    return pairs.of(*((Verb.DRAIN, id) for id in let_out))


def _within_item(pairs: _Pairs, id: str) -> None:
    """Support, undo, off, drain, plug; then plug out, new parts, last look, fit, start all, tighten, support out."""
    item = pairs.plan.car.items[id]
    undone = pairs.of(*((Verb.UNDO, joint.id) for joint in item.joints))
    off, on = pairs.of(("off", id)), pairs.of(("on", id))
    started = pairs.of(*((Verb.START, joint.id) for joint in item.joints))
    tight = pairs.of(*((Verb.TIGHTEN, joint.id) for joint in item.joints))
    looked, plugs = pairs.of((Verb.INSPECT, id)), list(_ports(pairs, id, Verb.UNGUARD))
    parts = pairs.built.attached_renewals.get(id, ())
    new = [n for part in (id, *parts) for n in pairs.new.get(part, ())]
    pairs.order(pairs.of(*((Verb.DRAIN, fluid) for fluid in item.renew_with_fluids)), new)
    pairs.order(_supports(pairs, id, Verb.GUARD), undone or off)
    pairs.order(undone, [*off, *new, *looked, *started])
    for joint in item.joints:
        pairs.order(pairs.of((Verb.UNDO, joint.id)), _drains(pairs, "", joint.id))
    pairs.order(off, [*_ports(pairs, id, Verb.GUARD), *_drains(pairs, id, ""), *new, *looked, *on])
    pairs.order(_ports(pairs, id, Verb.GUARD), plugs)
    pairs.order(plugs, [*new, *looked, *on])
    pairs.order([*new, *looked], [*on, *started])
    pairs.order(on, started)
    pairs.order(started, tight)
    pairs.order(tight or on, _supports(pairs, id, Verb.UNGUARD))
    if item.action is Action.RENEW and not item.joints:
        _renewed(pairs, item)


def _renewed(pairs: _Pairs, item: Item) -> None:
    """A part without joints of its own goes in where what closes over it is off, all energies proven."""
    new = pairs.new.get(item.id, ())
    for link in item.needs_off:
        pairs.order(pairs.of(("off", link.item)), new)
    if item.renews_joint:
        pairs.order(pairs.of((Verb.UNDO, item.renews_joint)), new)
        pairs.order(new, pairs.of((Verb.START, item.renews_joint)))
    pairs.order([n for key, n in pairs.numbers.items() if key[0] == Verb.PROVE_DEAD], new)


def _within_energies(pairs: _Pairs) -> None:
    """The list to tick before its item is touched; isolated, waited, proven, in that order."""
    for line in pairs.plan.energies:
        energy = line.energy
        ticks = [op.n for op in pairs.plan.operations if op.verb is Verb.NOTE and op.energy == energy.id]
        at = energy.item or ""
        joints = pairs.plan.car.items[at].joints if at else ()
        touched = pairs.of(*((Verb.UNDO, joint.id) for joint in joints)) or pairs.of(("off", at))
        pairs.order(ticks, touched or pairs.of((Verb.ISOLATE, energy.id)))
        pairs.order(pairs.of((Verb.ISOLATE, energy.id)), pairs.of((Verb.WAIT, energy.id)))
        if energy.wait:
            pairs.order(pairs.of(("off", energy.wait.start)), pairs.of((Verb.WAIT, energy.id)))
        pairs.order(pairs.of((Verb.WAIT, energy.id)), pairs.of((Verb.PROVE_DEAD, energy.id)))


def _first_and_last(pairs: _Pairs) -> None:
    """The read before comes first; bleeding, relearns, the read after and the drive come last."""
    operations = pairs.plan.operations
    read = pairs.of((Verb.READ_BEFORE,))
    pairs.order(read, [op.n for op in operations])
    last = [op.n for op in operations if op.verb in _CLOSING or (op.verb is Verb.NOTE and op.fluid)]
    pairs.order([op.n for op in operations if op.n not in set(last)], last)
    after = pairs.of((Verb.READ_AFTER,))
    pairs.order(last, after)
    pairs.order([*last, *after], pairs.of((Verb.ROAD_TEST,)))
    lift = [op.n for op in operations if op.verb in (Verb.RAISE, Verb.LOWER)]
    for a, b in pairwise(lift):
        pairs.order([a], [b])


def undone_again(operations: Iterable[Operation]) -> Mapping[int, tuple[int, ...]]:
    """For each operation on the way in, what of the way back no longer stands once it is done again."""
    listed = list(operations)
    at: dict[Key, list[int]] = {}
    for operation in listed:
        for felling in _felled_by(operation):
            at.setdefault(felling, []).append(operation.n)
    found = {}
    for operation in listed:
        key = thing_key(operation)
        if key is not None and key in at and operation.verb in TWIN:
            found[operation.n] = tuple(n for n in at[key] if n > operation.n)
    return {n: later for n, later in found.items() if later}


def _felled_by(operation: Operation) -> Iterator[Key]:
    """The keys of the operations that take this one's effect away."""
    verb = operation.verb
    if verb in ITEM_BACK or verb is Verb.INSPECT:
        yield "off", operation.item or ""
    if verb in (Verb.START, Verb.TIGHTEN) or (verb is Verb.RENEW and operation.joint):
        yield Verb.UNDO, operation.joint or ""
    elif verb is Verb.RENEW:
        yield "off", operation.item or ""
    if verb is Verb.UNGUARD:
        yield Verb.GUARD, operation.guard or "", operation.item or ""
    if verb in (Verb.WAIT, Verb.PROVE_DEAD, Verb.RESTORE):
        yield Verb.ISOLATE, operation.energy or ""
    if verb is Verb.FILL:
        yield Verb.DRAIN, operation.fluid or ""
