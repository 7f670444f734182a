"""One idea: an audit reads any sequence of operations, planned, told or done, and knows nothing of who made it."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

from putback.core.car import Car, Item, Joint
from putback.core.energy import Demand, covers, demands, early, joined, needs_of
from putback.core.finding import Finding, Kind, Where
from putback.core.job import JobState, Seat, states
from putback.core.operations import ITEM_BACK, ITEM_OFF, JOINT_VERBS, TWIN, Operation, Verb


@dataclass(frozen=True)
class Audit:
    """A car and a sequence of operations, with what follows from both. `targets`: what was to be renewed, if known.

    Operations are numbered from 1 by their place; rules compare those numbers as times.
    """

    car: Car
    operations: tuple[Operation, ...]
    targets: tuple[str, ...] = ()

    @cached_property
    def states(self) -> tuple[JobState, ...]:
        """The state before each operation, and after the last: one more than there are operations."""
        return tuple(states(self.operations))

    @property
    def end(self) -> JobState:
        """The state after the last operation."""
        return self.states[-1]

    @cached_property
    def joints(self) -> Mapping[str, Joint]:
        """Every joint of the car by its id."""
        return MappingProxyType({joint.id: joint for joint in self.car.joints()})

    @cached_property
    def ways(self) -> Mapping[str, str]:
        """The way by which each joint was last undone, as far as the car knows that way."""
        known = {(joint.id, way.id) for joint in self.car.joints() for way in joint.ways}
        taken = [(op.joint, op.way) for op in self.operations if op.verb is Verb.UNDO and op.joint and op.way]
        return MappingProxyType({joint: way for joint, way in taken if (joint, way) in known})

    @cached_property
    def touched(self) -> frozenset[str]:
        """The items of the car that any operation puts a hand on."""
        return frozenset(item.id for operation in self.operations if (item := self.item(operation)))

    @cached_property
    def demands(self) -> Mapping[str, tuple[Demand, ...]]:
        """What each item must find made safe."""
        return demands(self.car, self.ways)

    @cached_property
    def needed_energies(self) -> frozenset[str]:
        """The energies that what is touched or drained needs, those that are isolated, and all that join them."""
        found = {demand.energy for item in self.touched for demand in self.demands[item]}
        found |= {operation.energy or "" for operation in self.operations if operation.verb is Verb.ISOLATE}
        drained = [self.car.fluids.get(op.fluid or "") for op in self.operations if op.verb is Verb.DRAIN]
        return joined(self.car, found | {fluid.energy for fluid in drained if fluid and fluid.energy})

    @cached_property
    def early(self) -> frozenset[str]:
        """The items that making safe itself asks for."""
        return early(self.car, self.needed_energies, self.ways)

    @cached_property
    def covered_by(self) -> Mapping[str, frozenset[str]]:
        """What each item covers directly: the items that need it off, chosen ways included."""
        found: dict[str, set[str]] = {id: set() for id in self.car.items}
        for id in self.car.items:
            for need in needs_of(self.car, id, self.ways):
                found[need].add(id)
        return MappingProxyType({id: frozenset(covered) for id, covered in found.items()})

    @cached_property
    def behind_links(self) -> Mapping[str, frozenset[str]]:
        """What covers each touched item however far, by its own links alone: ways matter to their joint only."""
        return MappingProxyType({id: covers(self.car, [id]) for id in self.touched})

    @cached_property
    def behind_ways(self) -> Mapping[tuple[str, str], frozenset[str]]:
        """What each way of a joint of a touched item needs off, and what covers that."""
        found = {}
        for item in self.touched:
            for joint in self.car.items[item].joints:
                for way in joint.ways:
                    needs = {link.item for link in way.needs_off}
                    found[joint.id, way.id] = covers(self.car, needs) | needs
        return MappingProxyType(found)

    @cached_property
    def renewed_with(self) -> Mapping[str, tuple[str, ...]]:
        """What is renewed whenever an item has been off, by that item."""
        found: dict[str, list[str]] = {}
        for item in self.car.items.values():
            for host in item.renew_with_items:
                found.setdefault(host, []).append(item.id)
        return MappingProxyType({host: tuple(parts) for host, parts in found.items()})

    @cached_property
    def come_back(self) -> tuple[frozenset[str], ...]:
        """Before each operation: the energies that came back by themselves, their item having gone back in."""
        now: frozenset[str] = frozenset()
        found = []
        for operation in self.operations:
            found.append(now)
            if operation.verb in ITEM_BACK and operation.item:
                now |= {energy.id for energy in self.car.energies.values() if energy.item == operation.item}
            elif operation.verb in (Verb.ISOLATE, Verb.PROVE_DEAD):
                now -= {operation.energy or ""}
        return tuple(found)

    def energy_at(self, operation: Operation, id: str) -> Seat:
        """Where an energy really stands when an operation begins: live once its item is back, whatever was said."""
        place = operation.n - 1
        return Seat.LIVE if id in self.come_back[place] else self.states[place].energy(id)

    def steps(self) -> Iterator[tuple[Operation, JobState]]:
        """Each operation with the state that it met."""
        return zip(self.operations, self.states, strict=False)

    def item(self, operation: Operation) -> Item | None:
        """The item that an operation puts a hand on, if the car has it."""
        hand_on = handles(operation) or operation.verb is Verb.RENEW
        return self.car.items.get(operation.item or "") if hand_on else None

    def name(self, id: str) -> str:
        """A thing by its name, or by its id where the car does not know it."""
        if id in self.car.items:
            return self.car.items[id].name
        if id in self.car.guards:
            return self.car.guards[id].name
        return self.car.energies[id].kind if id in self.car.energies else id


_HANDLING = ITEM_OFF | ITEM_BACK | JOINT_VERBS

Rule = Callable[[Audit], Iterator[Finding]]


def handles(operation: Operation) -> bool:
    """Whether an operation moves an item or turns one of its joints."""
    return operation.verb in _HANDLING


def takes_off(operation: Operation) -> bool:
    """Whether an operation begins or completes taking an item off."""
    return operation.verb in ITEM_OFF or operation.verb is Verb.UNDO


PLAIN = (Verb.RAISE, Verb.MARK, Verb.STOW, Verb.SWITCH_OFF)
"""Verbs on the way in that leave nothing in the job state: they and their twins are only counted."""


def unpaired(operations: Iterable[Operation], verb: Verb) -> tuple[list[Operation], list[Operation]]:
    """Operations of a verb without a twin after them, and twins without one before them, each thing by itself."""
    owed: dict[str, list[Operation]] = {}
    alone = []
    for operation in operations:
        before = owed.setdefault(operation.item or operation.zone or "", [])
        if operation.verb is verb:
            before.append(operation)
        elif operation.verb is TWIN[verb]:
            if before:
                before.pop()
            else:
                alone.append(operation)
    return [operation for left in owed.values() for operation in left], alone


def fault(rule: Rule, operation: Operation | None, thing: str, what: str, mend: str) -> Finding:
    """A fault at an operation, or at the end of the sequence."""
    where = Where(file="operations", line=operation.n if operation else None, field=thing)
    return Finding(where=where, what=what, mend=mend, rule=rule.__name__)


def note(rule: Rule, operation: Operation | None, thing: str, what: str, mend: str) -> Finding:
    """A note at an operation, or at the end of the sequence."""
    where = Where(file="operations", line=operation.n if operation else None, field=thing)
    return Finding(where=where, what=what, mend=mend, rule=rule.__name__, kind=Kind.NOTE)


def at_rest(car: Car, state: JobState, item: Item) -> bool:
    """Whether an item is back, its joints tight, its ports free of plugs and its support away.

    A guard that stands until something else goes back, or until the end, is not counted: it comes out in its turn.
    """
    loose = any(state.joint(joint.id) is not Seat.TIGHT for joint in item.joints)
    pieces_in = [guard for (guard, port), pieces in state.guards.items() if pieces and port == item.id]
    return state.item(item.id) is Seat.IN_PLACE and not loose and not any(_belongs(car, guard) for guard in pieces_in)


def _belongs(car: Car, guard: str) -> bool:
    """Whether a guard is a plug or a support; one that the car does not know is taken for a plug."""
    known = car.guards.get(guard)
    return known is None or bool(known.closes) or known.support_for is not None
