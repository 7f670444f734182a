"""One idea: a plan seen as levels. A level is one operation on the way in and its twin, with all that hangs on it.

The picture of the valley and the page's twin rows are both drawn from these, so they cannot disagree.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from putback.core.car import VALUE_NEEDED, Item
from putback.core.operations import ITEM_OFF, ON_THE_WAY_IN, Operation, Verb
from putback.core.quantity import Torque
from putback.faces.names import energy_name
from putback.plan.plan import EnergyLine, Plan


class Shape(StrEnum):
    """What is done on a level, told by the shape of its mark."""

    OFF = "taken off"
    UNPLUGGED = "unplugged"
    PARTED = "parted"
    ASIDE = "swung aside"
    FOLDED = "folded"
    SAFE = "made safe"
    DRAINED = "drained"
    GUARDED = "guarded"
    READ = "codes read"
    OTHER = "other"


SHAPES: Mapping[Verb, Shape] = MappingProxyType(
    {
        Verb.REMOVE: Shape.OFF,
        Verb.UNPLUG: Shape.UNPLUGGED,
        Verb.PART: Shape.PARTED,
        Verb.SWING_ASIDE: Shape.ASIDE,
        Verb.FOLD: Shape.FOLDED,
        Verb.ISOLATE: Shape.SAFE,
        Verb.DRAIN: Shape.DRAINED,
        Verb.GUARD: Shape.GUARDED,
        Verb.READ_BEFORE: Shape.READ,
    }
)
_LONGEST_NOTE = 48
_ALONG_WITH_THE_ITEM = frozenset({Verb.UNDO, Verb.STOW, Verb.MARK})


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """One level of the valley.

    `way_in` and `way_back` are operation numbers (None: no twin in the plan); `threaded` and `other` count
    fasteners; `guards` and `new_parts` count pieces; `dearest` is the dearest last look before the item goes back,
    [min], None where there is none.
    """

    shape: Shape
    name: str
    item: str | None
    zone: str | None
    way_in: int
    way_back: int | None
    threaded: int = 0
    other: int = 0
    torque: str = ""
    value_needed: bool = False
    note: str = ""
    guards: int = 0
    new_parts: int = 0
    looks: int = 0
    dearest: float | None = None
    people: int = 1
    target: bool = False
    off: bool = True
    back: bool = False

    @property
    def dearest_words(self) -> str:
        """What the dearest last look costs if it is forgotten; nothing where it costs nothing that is known."""
        return f"{self.dearest:g} min" if self.dearest else ""

    @property
    def fasteners(self) -> int:
        """All fasteners of the item."""
        return self.threaded + self.other


@dataclass(frozen=True, slots=True, kw_only=True)
class Renewal:
    """Something new: a target, or a one-time part. `torque` is its own joints' tightness."""

    name: str
    item: str
    target: bool
    torque: str
    value_needed: bool


def levels(plan: Plan, done: frozenset[int] | None = None) -> tuple[Level, ...]:
    """The levels of a plan, from the rim to the floor, in the order of the way in.

    Args:
        plan: the plan.
        done: numbers of the operations done; None: a plan on paper, everything off and every twin owed.
    """
    work = _Work(plan)
    rows = [operation for operation in plan.operations if work.is_level(operation)]
    return tuple(work.level(operation, done) for operation in rows)


def renewals(plan: Plan) -> tuple[Renewal, ...]:
    """Everything that is renewed: the targets first, then the parts that are new on the way back."""
    work = _Work(plan)
    found: dict[str, Renewal] = {}
    for id in plan.targets:
        found[id] = work.renewal(plan.car.items[id], target=True)
    for operation in plan.operations:
        if operation.verb is Verb.RENEW and operation.item and operation.item not in found:
            found[operation.item] = work.renewal(plan.car.items[operation.item], target=False)
    return tuple(found.values())


def torque_text(torques: Iterable[Torque | None]) -> str:
    """The different torques of some joints in one short text; a missing one is said to be needed.

    >>> torque_text([Torque(value=25, unit="N·m"), Torque(value=48, unit="N·m"), Torque(value=25, unit="N·m")])
    '25 / 48 N·m'
    """
    plain: dict[str, list[float]] = {}
    texts: list[str] = []
    for torque in dict.fromkeys(torques):
        if torque is None:
            texts.append(VALUE_NEEDED)
        elif torque.angles_deg:
            texts.append(str(torque))
        else:
            plain.setdefault(torque.unit, []).append(torque.value)
    figures = [f"{' / '.join(f'{value:g}' for value in sorted(values))} {unit}" for unit, values in plain.items()]
    return ", ".join([*figures, *texts])


class _Work:
    """What the levels are read from: the plan's operations by item, its energies, its looks."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.by_item: dict[str, list[Operation]] = {}
        for operation in plan.operations:
            if operation.item is not None:
                self.by_item.setdefault(operation.item, []).append(operation)
        self.handled = {op.item for op in plan.operations if op.verb in ITEM_OFF}
        self.energies = {line.energy.id: line for line in plan.energies}
        self.looks = {look.before: look for look in plan.last_looks}
        self.new_with: dict[str, int] = {}
        for item in plan.car.items.values():
            if item.id in plan.items:
                for host in item.renew_with_items:
                    self.new_with[host] = self.new_with.get(host, 0) + 1

    def is_level(self, operation: Operation) -> bool:
        """Whether an operation has a level of its own; a guard at a handled item hangs on that item's level."""
        if operation.verb not in ON_THE_WAY_IN or operation.verb in _ALONG_WITH_THE_ITEM:
            return False
        return not (operation.verb is Verb.GUARD and operation.item in self.handled)

    def level(self, operation: Operation, done: frozenset[int] | None) -> Level:
        if operation.verb in ITEM_OFF and operation.item is not None:
            return self.item_level(operation, self.plan.car.items[operation.item], done)
        off = done is None or operation.n in done
        back = done is not None and operation.twin is not None and operation.twin in done
        return Level(
            shape=SHAPES.get(operation.verb, Shape.OTHER),
            name=self.name(operation),
            item=operation.item,
            zone=None if operation.verb is Verb.ISOLATE else operation.zone,
            way_in=operation.n,
            way_back=operation.twin,
            note=self.note(operation),
            value_needed=self.energy_needs_value(operation),
            guards=operation.count or 1 if operation.verb is Verb.GUARD else 0,
            people=operation.people,
            off=off,
            back=back,
        )

    def item_level(self, operation: Operation, item: Item, done: frozenset[int] | None) -> Level:
        own = self.by_item.get(item.id, [])
        tight = [op for op in own if op.verb is Verb.TIGHTEN and op.joint]
        counted = [joint for joint in item.joints if any(op.joint == joint.id for op in tight)] or list(item.joints)
        asked = [op for op in tight if op.torque is not None or op.value_needed]
        closing = [op.n for op in [*tight, *own] if op.n == operation.twin or op.verb is Verb.TIGHTEN]
        look = self.looks.get(item.id)
        return Level(
            shape=SHAPES[operation.verb],
            name=item.name,
            item=item.id,
            zone=item.zone,
            way_in=operation.n,
            way_back=operation.twin,
            threaded=sum(joint.count for joint in counted if joint.thread is not None),
            other=sum(joint.count for joint in counted if joint.thread is None),
            torque=torque_text(op.torque for op in asked),
            value_needed=any(op.value_needed for op in tight),
            guards=sum(op.count or 1 for op in own if op.verb is Verb.GUARD),
            new_parts=self.new_with.get(item.id, 0),
            looks=len(look.looks) if look else 0,
            dearest=max((one.rework_minutes for one in look.looks), default=None) if look else None,
            people=item.people,
            target=item.id in self.plan.targets,
            off=done is None or operation.n in done,
            back=done is not None and bool(closing) and all(n in done for n in closing),
        )

    def name(self, operation: Operation) -> str:
        car = self.plan.car
        if operation.energy and operation.verb is Verb.ISOLATE:
            return energy_name(self.plan, operation.energy)
        if operation.fluid:
            return f"{operation.fluid} fluid"
        if operation.guard:
            return car.guards[operation.guard].name
        if operation.item:
            return f"{operation.verb} {car.items[operation.item].name}"
        return "code read" if operation.verb is Verb.READ_BEFORE else str(operation.verb)

    def note(self, operation: Operation) -> str:
        if operation.verb is Verb.ISOLATE and operation.energy in self.energies:
            return energy_note(self.energies[operation.energy])
        if operation.litres is not None:
            return f"{operation.litres:g} l"
        return ""

    def energy_needs_value(self, operation: Operation) -> bool:
        line = self.energies.get(operation.energy or "")
        return operation.verb is Verb.ISOLATE and line is not None and bool(line.value_needed)

    def renewal(self, item: Item, *, target: bool) -> Renewal:
        own = [op for op in self.by_item.get(item.id, []) if op.verb is Verb.TIGHTEN]
        asked = [op for op in own if op.torque is not None or op.value_needed]
        return Renewal(
            name=item.name,
            item=item.id,
            target=target,
            torque=torque_text(op.torque for op in asked),
            value_needed=any(op.value_needed for op in own),
        )


def energy_note(line: EnergyLine) -> str:
    """How an energy is proved gone, in a few words."""
    energy = line.energy
    words = []
    if energy.wait is not None:
        known = energy.wait.minutes is not None and energy.wait.source
        words.append(f"wait {energy.wait.minutes:g} min" if known else f"wait: {VALUE_NEEDED}")
    proof = energy.proof
    if proof is None or "proof" in line.value_needed:
        words.append(f"proof: {VALUE_NEEDED}")
    elif proof.points:
        words.append(f"prove-test-prove, at most {proof.at_most}")
    elif proof.measure:
        words.append(_short(f"{proof.measure} at most {proof.at_most}", "measured"))
    elif proof.check:
        words.append(_short(proof.check, "checked"))
    return ", ".join(words)


def _short(words: str, else_: str) -> str:
    """Words that fit beside a mark; a plain word where they do not."""
    return words if len(words) <= _LONGEST_NOTE else else_
