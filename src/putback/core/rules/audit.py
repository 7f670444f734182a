"""One idea: an audit reads any sequence of operations, planned, told or done, and knows nothing of who made it."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

from putback.core.car import Car, Item
from putback.core.energy import Demand, covers, demands, early
from putback.core.finding import Finding, Kind, Where
from putback.core.job import JobState, Seat, states
from putback.core.operations import ITEM_BACK, ITEM_OFF, JOINT_VERBS, Operation, Verb


@dataclass(frozen=True)
class Audit:
    """A car and a sequence of operations, with what follows from both. `targets`: what was to be renewed, if known."""

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
    def ways(self) -> Mapping[str, str]:
        """The way by which each joint was undone."""
        return MappingProxyType(
            {operation.joint: operation.way for operation in self.operations if operation.joint and operation.way}
        )

    @cached_property
    def touched(self) -> frozenset[str]:
        """The items that any operation handles."""
        return frozenset(operation.item for operation in self.operations if handles(operation) and operation.item)

    @cached_property
    def demands(self) -> Mapping[str, tuple[Demand, ...]]:
        """What each item must find made safe."""
        return demands(self.car, self.ways)

    @cached_property
    def needed_energies(self) -> frozenset[str]:
        """The energies that what is touched needs, those that are isolated, and those that must go before them."""
        found = {demand.energy for item in self.touched if item in self.car.items for demand in self.demands[item]}
        found |= {operation.energy or "" for operation in self.operations if operation.verb is Verb.ISOLATE}
        left = [id for id in found if id in self.car.energies]
        known = set(left)
        while left:
            energy = self.car.energies[left.pop()]
            more = {*energy.after, *energy.joined} - known
            known |= more
            left += more
        return frozenset(known)

    @cached_property
    def early(self) -> frozenset[str]:
        """The items that making safe itself asks for."""
        return early(self.car, self.needed_energies, self.ways)

    def steps(self) -> Iterator[tuple[Operation, JobState]]:
        """Each operation with the state that it met."""
        return zip(self.operations, self.states, strict=False)

    def item(self, operation: Operation) -> Item | None:
        """The item that an operation handles, if the car has it."""
        return self.car.items.get(operation.item or "") if handles(operation) else None

    def name(self, id: str) -> str:
        """A thing by its name, or by its id where the car does not know it."""
        if id in self.car.items:
            return self.car.items[id].name
        if id in self.car.guards:
            return self.car.guards[id].name
        return self.car.energies[id].kind if id in self.car.energies else id

    def covering(self, item: str) -> frozenset[str]:
        """All that covers an item, however far."""
        return covers(self.car, [item], self.ways)


Rule = Callable[[Audit], Iterator[Finding]]


def handles(operation: Operation) -> bool:
    """Whether an operation puts a hand on an item or its joints."""
    return operation.verb in ITEM_OFF or operation.verb in ITEM_BACK or operation.verb in JOINT_VERBS


def takes_off(operation: Operation) -> bool:
    """Whether an operation begins or completes taking an item off."""
    return operation.verb in ITEM_OFF or operation.verb is Verb.UNDO


def fault(rule: Rule, operation: Operation | None, thing: str, what: str, mend: str) -> Finding:
    """A fault at an operation, or at the end of the sequence."""
    where = Where(file="operations", line=operation.n if operation else None, field=thing)
    return Finding(where=where, what=what, mend=mend, rule=rule.__name__)


def note(rule: Rule, operation: Operation | None, thing: str, what: str, mend: str) -> Finding:
    """A note at an operation, or at the end of the sequence."""
    where = Where(file="operations", line=operation.n if operation else None, field=thing)
    return Finding(where=where, what=what, mend=mend, rule=rule.__name__, kind=Kind.NOTE)


def at_rest(state: JobState, item: Item) -> bool:
    """Whether an item is back, its joints tight and its ports free of guards."""
    joints = all(state.joint(joint.id) is Seat.TIGHT for joint in item.joints)
    return state.item(item.id) is Seat.IN_PLACE and joints and not state.pieces_in(item.id)
