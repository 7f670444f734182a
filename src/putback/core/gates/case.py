"""One idea: a case is one job's record read for gates: every event with its place, its clocks and what it did.

What opens a gate must stand: well formed, of this job, not taken back. What shuts a gate counts by its kind alone,
whatever else is wrong with it, and taking it back does not unsay it. So a mending event can only make gates stricter.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import cached_property, partial
from types import MappingProxyType
from typing import Any, TypeVar

from putback.core.car import Car
from putback.core.energy import Demand, demands, early, joined
from putback.core.finding import faults
from putback.core.gates.names import name_of
from putback.core.gates.settings import GateSettings
from putback.core.operations import ITEM_OFF, Operation, Verb
from putback.core.record.chain import Link
from putback.core.record.event import Event, read_event
from putback.core.record.fold import Folded, fold, operation_of
from putback.core.record.kinds import (
    DONE,
    ENERGY_CHECKED,
    READING_TAKEN,
    STEADY_S,
    TAKEN_BACK,
    strange,
)

MUST_BE_READ = frozenset({DONE, READING_TAKEN, ENERGY_CHECKED, TAKEN_BACK})
"""Kinds that may speak of an energy."""

SAYS_WHAT = frozenset({"verb", "item", "joint", "guard", "fluid", "energy", "reading", "mends", STEADY_S}) | {
    *("phase", "value", "unit", "points", "instrument", "who", "gone"),
}
"""Fields of these without which nobody knows what was done or seen: one of a wrong shape is a doubt."""

_LONGEST_S = 1e9
_FIRST, _LAST = datetime(1970, 1, 2, tzinfo=UTC), datetime(2970, 1, 2, tzinfo=UTC)
"""A steady clock that says more, [s], and times beyond these say nothing."""

Made = TypeVar("Made")


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """An event as the caller has it; `received_at` None: the server has not got it yet."""

    event: Event
    received_at: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """Who stands at the car, with what, when. The caller reads the clocks.

    `at` is the clock of `device` (of the server, where `device` is None), with its offset; `steady_s` that device's
    steady clock, [s]; `upto` how many facts of the case count (None: all).

    Raises:
        ValueError: `at` has no offset.
    """

    at: datetime
    person: str | None
    device: str | None = None
    steady_s: float | None = None
    upto: int | None = None

    def __post_init__(self) -> None:
        """A time without an offset cannot be compared."""
        if self.at.tzinfo is None:
            raise ValueError("a moment's time needs its offset")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fact:
    """One event of the job at its place, from 1.

    `operation` is what it says was done, taken back or not; `stands`: it is well formed and was not taken back;
    `unknown`: this program cannot read all of it.
    """

    place: int
    event: Event
    at: datetime
    received: datetime | None
    operation: Operation | None
    stands: bool
    unknown: bool

    @property
    def kind(self) -> str:
        """The kind of the event."""
        return self.event.kind

    @property
    def person(self) -> str | None:
        """Whose work the event is."""
        return self.event.person

    @property
    def device(self) -> str:
        """The device that made it."""
        return self.event.device

    @property
    def steady_s(self) -> float | None:
        """The device's steady clock, [s], where the event gives it."""
        value = self.event.body.get(STEADY_S)
        right = isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= _LONGEST_S
        return float(value) if right else None  # type: ignore[arg-type]

    def says(self, name: str) -> Any:
        """A field of the body, of whatever shape; None where it is not there."""
        return self.event.body.get(name)

    def text(self, name: str) -> str | None:
        """A field of the body if it is a text."""
        value = self.event.body.get(name)
        return value if isinstance(value, str) else None


def time_of(text: str) -> datetime:
    """A time as written; one that no clock of a workshop shows is taken for the nearest that can be reckoned with.

    >>> time_of("0001-01-01T00:00:00+14:00").year, time_of("2026-03-02T08:15:00Z").year
    (1970, 2026)
    """
    return min(max(datetime.fromisoformat(text), _FIRST), _LAST)


def entries(links: Iterable[Link]) -> tuple[Entry, ...]:
    """What a store keeps, as entries.

    Raises:
        NotAnEvent: stored bytes that are no event.
    """
    return tuple(Entry(event=read_event(link.content), received_at=link.received_at) for link in links)


@dataclass(frozen=True, kw_only=True, eq=False)
class Case:
    """A car, the energies of its job, and the record so far."""

    car: Car
    facts: tuple[Fact, ...]
    folded: Folded
    planned: frozenset[str]
    given_ways: Mapping[str, str]
    settings: GateSettings
    people: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    memo: dict[Any, Any] = field(default_factory=dict, repr=False)
    _asked: dict[Moment, dict[Any, Any]] = field(default_factory=dict, repr=False, init=False)

    @cached_property
    def by_kind(self) -> Mapping[str, tuple[Fact, ...]]:
        """The facts of each kind, in order."""
        return _grouped((fact.kind, fact) for fact in self.facts)

    @cached_property
    def by_verb(self) -> Mapping[tuple[Verb, str | None], tuple[Fact, ...]]:
        """The facts that say a verb of an energy (None: of none), taken back or not, in order."""
        done = ((fact.operation, fact) for fact in self.facts)
        return _grouped(((op.verb, op.energy), fact) for op, fact in done if op)

    @cached_property
    def came_off(self) -> Mapping[str, tuple[Fact, ...]]:
        """The facts that stand by which each item came off, in order."""
        done = ((fact.operation, fact) for fact in self.facts if fact.stands)
        return _grouped((op.item, fact) for op, fact in done if op and op.item and op.verb in ITEM_OFF)

    @cached_property
    def place_of(self) -> Mapping[str, int]:
        """The place of each event by its id."""
        return MappingProxyType({fact.event.id: fact.place for fact in reversed(self.facts)})

    @cached_property
    def mended_at(self) -> Mapping[str, int]:
        """The place of the first event that takes back another, by the other's id."""
        found: dict[str, int] = {}
        for fact in self.facts:
            if fact.kind == TAKEN_BACK:
                found.setdefault(str(fact.says("mends")), fact.place)
        return MappingProxyType(found)

    @cached_property
    def home(self) -> Mapping[str, str]:
        """The item of each joint."""
        return MappingProxyType({joint.id: joint.item for joint in self.car.joints()})

    @cached_property
    def ways(self) -> Mapping[str, str]:
        """The way to each joint: as it was logged, else as planned; ways that the car does not know are left out."""
        known = {(joint.id, way.id) for joint in self.car.joints() for way in joint.ways}
        logged = {op.joint: op.way for op in self.done() if op.verb is Verb.UNDO and op.joint and op.way}
        chosen = {**self.given_ways, **logged}
        return MappingProxyType({joint: way for joint, way in chosen.items() if (joint, way) in known})

    @cached_property
    def demands(self) -> Mapping[str, tuple[Demand, ...]]:
        """What each item must find made safe."""
        return demands(self.car, self.ways)

    @cached_property
    def touched(self) -> frozenset[str]:
        """The items that any logged operation touched, taken back or not."""
        return frozenset(item for op in self.done() for item in self.items_of(op))

    @cached_property
    def energies(self) -> frozenset[str]:
        """The energies of the job: those planned, those that what was logged needs, and all that join them."""
        found = set(self.planned)
        found |= {demand.energy for item in self.touched for demand in self.demands.get(item, ())}
        found |= {id for item in self.touched for id in self.operated_by(item)}
        found |= {op.energy or "" for op in self.done() if op.verb is Verb.ISOLATE}
        drained = [self.car.fluids.get(op.fluid or "") for op in self.done() if op.verb is Verb.DRAIN]
        return joined(self.car, found | {fluid.energy or "" for fluid in drained if fluid})

    @cached_property
    def early(self) -> frozenset[str]:
        """The items that may come before making safe is complete."""
        return early(self.car, self.energies, self.ways)

    def done(self) -> Iterator[Operation]:
        """Every logged operation, taken back or not."""
        return (fact.operation for fact in self.facts if fact.operation)

    def once(self, key: tuple[object, ...], make: Callable[[], Made]) -> Made:
        """What `make` gives, made once for a key; a case does not change, so what follows from it does not either."""
        if key not in self.memo:
            self.memo[key] = make()
        made: Made = self.memo[key]
        return made

    def once_at(self, moment: Moment, key: object, make: Callable[[], Made]) -> Made:
        """What `make` gives, made once for a key while one moment is asked about."""
        if moment not in self._asked:
            self._asked.clear()
            self._asked[moment] = {}
        asked = self._asked[moment]
        if key not in asked:
            asked[key] = make()
        made: Made = asked[key]
        return made

    def count(self, moment: Moment) -> int:
        """How many facts count at a moment."""
        return len(self.facts) if moment.upto is None else min(moment.upto, len(self.facts))

    def upto(self, moment: Moment) -> tuple[Fact, ...]:
        """The facts that count at a moment."""
        return self.facts if moment.upto is None else self.facts[: moment.upto]

    def of_kind(self, kind: str, upto: int) -> tuple[Fact, ...]:
        """The facts of a kind up to a place, in order."""
        return first_places(self.by_kind.get(kind, ()), upto)

    def says_of(self, verb: Verb, energy: str, upto: int) -> tuple[Fact, ...]:
        """The facts up to a place that say a verb of an energy, taken back or not, in order."""
        return first_places(self.by_verb.get((verb, energy), ()), upto)

    def items_of(self, operation: Operation) -> tuple[str, ...]:
        """The items that an operation puts a hand on: the one it names, and the one its joint belongs to."""
        if operation.verb not in TOUCHING:
            return ()
        named = (operation.item, self.home.get(operation.joint or ""))
        return tuple(dict.fromkeys(id for id in named if id))

    def operated_by(self, item: str) -> tuple[str, ...]:
        """The energies that are made safe by operating an item."""
        return tuple(energy.id for energy in self.car.energies.values() if energy.item == item)

    def demanded(self, item: str) -> frozenset[str]:
        """The energies that an item must find made safe."""
        return frozenset(demand.energy for demand in self.demands.get(item, ()))

    def name(self, id: str) -> str:
        """A thing by its name, or by its id where the car does not know it."""
        return name_of(self.car, id)

    def who(self, id: object) -> str:
        """A person by name, or by id where no name is known."""
        return self.people.get(str(id), str(id))


def first_places(facts: tuple[Fact, ...], upto: int) -> tuple[Fact, ...]:
    """Those of some facts, in order, that stand up to a place."""
    return facts[: bisect_right(facts, upto, key=lambda fact: fact.place)]


Key = TypeVar("Key")


def _grouped(pairs: Iterable[tuple[Key, Fact]]) -> Mapping[Key, tuple[Fact, ...]]:
    found: dict[Key, list[Fact]] = {}
    for key, fact in pairs:
        found.setdefault(key, []).append(fact)
    return MappingProxyType({key: tuple(facts) for key, facts in found.items()})


TOUCHING = frozenset(Verb) - {
    Verb.NOTE,
    Verb.INSPECT,
    Verb.READ_BEFORE,
    Verb.READ_AFTER,
    Verb.WAIT,
    Verb.RELEARN,
    Verb.ROAD_TEST,
    Verb.RAISE,
    Verb.LOWER,
    Verb.STOW,
    Verb.TAKE_FROM_STOW,
    Verb.SWITCH_OFF,
    Verb.SWITCH_ON,
    Verb.ISOLATE,
    Verb.RESTORE,
    Verb.PROVE_DEAD,
}
"""Verbs that put a hand on the item they name; those of an energy itself are told apart."""


def read_case(
    car: Car,
    record: Iterable[Entry],
    *,
    energies: Iterable[str] = (),
    ways: Mapping[str, str] | None = None,
    settings: GateSettings | None = None,
    people: Mapping[str, str] | None = None,
) -> Case:
    """Read one job's record for its gates.

    Args:
        car: the car.
        record: in the server's order; what only a device has yet comes last. Events of another job than the first
            one's, and what comes again, are left out; an id that comes again with other content is a doubt.
        energies: those of the plan; what is logged adds to them.
        ways: the planned way of each joint.
        settings: the workshop's own figures.
        people: names by id, for the words; they stand outside the record.
    """
    kept = _of_one_job(record)
    folded = fold([entry.event for entry in kept], name=partial(name_of, car))
    mended = {str(one.event.body.get("mends")) for one in kept if one.event.kind == TAKEN_BACK}
    fallen = mended | set(folded.taken_back)
    unknown = set(folded.unknown)
    first: dict[str, Event] = {}
    facts = []
    for place, entry in enumerate(kept, start=1):
        other = first.setdefault(entry.event.id, entry.event) is not entry.event
        facts.append(_doubtful(place, entry) if other else _fact(place, entry, fallen=fallen, unknown=unknown))
    return Case(
        car=car,
        facts=tuple(facts),
        folded=folded,
        planned=frozenset(energies),
        given_ways=MappingProxyType(dict(ways or {})),
        settings=settings or GateSettings(),
        people=MappingProxyType(dict(people or {})),
    )


def _of_one_job(record: Iterable[Entry]) -> tuple[Entry, ...]:
    """The entries of the first one's job, what came again left out; an id with other content is kept."""
    kept: dict[tuple[str, bytes], Entry] = {}
    for entry in record:
        first = next(iter(kept.values()), entry)
        if entry.event.job == first.event.job:
            kept.setdefault((entry.event.id, entry.event.content), entry)
    return tuple(kept.values())


def _doubtful(place: int, entry: Entry) -> Fact:
    """An event under an id that was used before: what it says is not taken, that it is there is a doubt."""
    fact = _fact(place, entry, fallen={entry.event.id}, unknown={entry.event.id})
    return replace(fact, operation=None)


def _fact(place: int, entry: Entry, *, fallen: set[str], unknown: set[str]) -> Fact:
    event = entry.event
    wrong = {found.where.field for found in faults(strange(event))}
    misshapen = event.kind in MUST_BE_READ and bool(wrong & {f"{event.id}.{name}" for name in SAYS_WHAT})
    return Fact(
        place=place,
        event=event,
        at=time_of(event.at),
        received=time_of(entry.received_at) if entry.received_at else None,
        operation=operation_of(event),
        stands=event.id not in fallen and not any(strange(event)),
        unknown=misshapen or event.id in unknown,
    )
