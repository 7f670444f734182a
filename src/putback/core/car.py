"""One idea: a car is items that hold and hide one another, and energies that can hurt.

Everything is frozen all the way down and carries the line of the file it was read from. Missing is None and is
said to differ from zero. The exact meaning of each field is the car file's (docs/car-file.md).
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType
from typing import Any, Final

from putback.core.quantity import Limit, Torque
from putback.core.thread import Thread

HAND: Final = "hand"
START: Final = "start"
END: Final = "end"
VALUE_NEEDED: Final = "value needed"


class Action(StrEnum):
    """What is done to an item on the way in."""

    REMOVE = "remove"
    UNPLUG = "unplug"
    PART = "part"
    SWING = "swing"
    FOLD = "fold"
    RENEW = "renew"


class Origin(StrEnum):
    """Where a link comes from."""

    STATED = "stated"
    CONFIRMED = "confirmed"
    SEEN = "seen"
    ASSUMED = "assumed"


class Lift(StrEnum):
    """Where the lift stands while a zone is worked in."""

    UP = "up"
    DOWN = "down"
    ANY = "any"


def _empty() -> Mapping[str, Any]:
    return MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A place on the car where one stands and works."""

    id: str
    name: str
    lift: Lift = Lift.ANY


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """`item` must be off, unplugged, parted, aside or folded first; `jobs` counts the recordings behind it."""

    item: str
    origin: Origin = Origin.STATED
    jobs: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One manner of reaching a joint. Minutes are added to the item's own, off and on, [min]."""

    id: str
    needs_off: tuple[Link, ...] = ()
    tools: tuple[str, ...] = ()
    minutes_off: float = 0.0
    minutes_on: float = 0.0
    sight: str | None = None

    @property
    def minutes(self) -> float:
        """Off and on together, [min]."""
        return self.minutes_off + self.minutes_on


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """What holds an item: `count` equal fasteners. `torque` None: the file gives no figure."""

    id: str
    item: str
    count: int
    thread: Thread | None = None
    kind: str | None = None
    drive: str | None = None
    torque: Torque | None = None
    source: str | None = None
    pattern: str | None = None
    passes_percent: tuple[float, ...] = ()
    layout_mm: tuple[tuple[float, float], ...] = ()
    recheck: str | None = None
    thread_treatment: str | None = None
    one_time: bool = False
    ways: tuple[Way, ...] = ()
    notes: tuple[str, ...] = ()
    line: int = 0

    @property
    def torqued(self) -> bool:
        """Whether its tightness needs a sourced value: anything with a thread or a stated torque."""
        return self.torque is not None or self.thread is not None

    @property
    def sourced_torque(self) -> Torque | None:
        """The torque if the file says where it comes from, else None ("value needed")."""
        return self.torque if self.source else None

    def tools(self, way: Way | None = None) -> tuple[str, ...]:
        """What it is undone and tightened with: the way's tools, else its drive, else the hand."""
        return (way.tools if way else ()) or (self.drive or HAND,)

    def way(self, id: str) -> Way:
        """The way with this id.

        Raises:
            KeyError: the joint has no such way.
        """
        for way in self.ways:
            if way.id == id:
                return way
        raise KeyError(id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """A thing you handle. Minutes are off on the way in and on on the way back, [min].

    `minutes_known` False: nobody has said them, and the two are 0 without meaning it.
    """

    id: str
    name: str
    zone: str
    action: Action
    minutes_off: float
    minutes_on: float
    minutes_known: bool = True
    needs_off: tuple[Link, ...] = ()
    links_complete: bool = True
    people: int = 1
    mass_kg: float | None = None
    ahead_of_front_axle_mm: float | None = None
    energy: tuple[str, ...] = ()
    one_time: bool = False
    opens_port: bool = False
    renew_with_items: tuple[str, ...] = ()
    renew_with_fluids: tuple[str, ...] = ()
    renews_joint: str | None = None
    joints: tuple[Joint, ...] = ()
    notes: tuple[str, ...] = ()
    line: int = 0

    @property
    def minutes(self) -> float:
        """Off and on together, ways not counted, [min]."""
        return self.minutes_off + self.minutes_on


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """Minutes that must pass from the logged operation of `start` (an item); None minutes: value needed."""

    minutes: float | None
    start: str
    source: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """How it is shown that an energy is gone: a measurement, a check, or prove-test-prove at named points."""

    measure: str | None = None
    check: str | None = None
    points: tuple[str, ...] = ()
    at_most: Limit | None = None
    within_minutes: float | None = None
    reach: tuple[str, ...] = ()
    source: str | None = None

    @property
    def needs_limit(self) -> bool:
        """Whether it compares a reading with a limit."""
        return self.check is None


@dataclass(frozen=True, slots=True, kw_only=True)
class Energy:
    """Anything that can hurt, how it is made safe and how that is proved."""

    id: str
    kind: str
    item: str | None = None
    make_safe: str | None = None
    proof: Proof | None = None
    wait: Wait | None = None
    volts: float | None = None
    near: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    joined: tuple[str, ...] = ()
    before: tuple[str, ...] = ()
    before_it: tuple[str, ...] = ()
    restore_after: tuple[str, ...] | None = None
    forbid: tuple[str, ...] = ()
    lock: str | None = None
    who: str | None = None
    attended: bool = False
    expected_codes: tuple[str, ...] = ()
    source: str | None = None
    line: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Guard:
    """A temporary cover or plug, counted in and out. `closes` gives the pieces for each opened item."""

    id: str
    name: str
    zone: str
    closes: Mapping[str, int] = field(default_factory=_empty)
    pieces: int = 0
    in_after: str | None = None
    out_before: str | None = None
    support_for: str | None = None
    line: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SwingLimit:
    """What an item that is swung aside may and may not bear."""

    item: str
    facts: Mapping[str, str]
    source: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fluid:
    """A loop that is drained when one of the items in `opened_by` is opened. Volume [l], mass [kg], arm [mm]."""

    id: str
    litres: float | None
    tolerance_l: float | None
    energy: str | None = None
    drain_joint: str | None = None
    drain_item: str | None = None
    opened_by: tuple[str, ...] = ()
    fill: str | None = None
    bleed: str | None = None
    mass_kg: float | None = None
    ahead_of_front_axle_mm: float | None = None
    source: str | None = None
    line: int = 0

    @property
    def sourced_litres(self) -> float | None:
        """The litres if the file says where they come from, else None ("value needed")."""
        return self.litres if self.source else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Relearn:
    """What must be taught again after an energy was off or an item moved."""

    what: str
    after: str
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Service:
    """A job that is sold: its targets, and what it needs beside the work itself. Minutes and money as named."""

    id: str
    name: str
    targets: tuple[str, ...]
    minutes: Mapping[str, float] = field(default_factory=_empty)
    parts: Mapping[str, float] = field(default_factory=_empty)
    consumables: float = 0.0
    sublet: Mapping[str, float] = field(default_factory=_empty)


@dataclass(frozen=True, slots=True, kw_only=True)
class PossibleFinding:
    """Something bad that may turn up at an item, and what it would add. Chance 0 to 1, minutes [min]."""

    id: str
    seen_at: str
    trigger: str
    chance: float | None = None
    parts: Mapping[str, float] = field(default_factory=_empty)
    minutes: float = 0.0
    hold: str | None = None
    if_declined: str | None = None
    stop: bool = False
    who: str | None = None
    sublet: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """Items that one circuit runs through, and the codes by which its module would complain."""

    id: str
    items: tuple[str, ...]
    module: str | None
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Car:
    """One vehicle platform as a car file describes it."""

    name: str
    file: str
    invented: bool = False
    layout: str | None = None
    mass_kg: float | None = None
    wheelbase_mm: float | None = None
    cg_behind_front_axle_mm: float | None = None
    zones: Mapping[str, Zone] = field(default_factory=_empty)
    sources: Mapping[str, str] = field(default_factory=_empty)
    items: Mapping[str, Item] = field(default_factory=_empty)
    energies: Mapping[str, Energy] = field(default_factory=_empty)
    guards: Mapping[str, Guard] = field(default_factory=_empty)
    swing_limits: Mapping[str, SwingLimit] = field(default_factory=_empty)
    fluids: Mapping[str, Fluid] = field(default_factory=_empty)
    relearn: tuple[Relearn, ...] = ()
    services: Mapping[str, Service] = field(default_factory=_empty)
    findings: Mapping[str, PossibleFinding] = field(default_factory=_empty)
    circuits: Mapping[str, Circuit] = field(default_factory=_empty)

    def joints(self) -> Iterator[Joint]:
        """Every joint of every item, in the file's order."""
        for item in self.items.values():
            yield from item.joints

    def joint(self, id: str) -> Joint:
        """The joint with this id.

        Raises:
            KeyError: no item has such a joint.
        """
        for joint in self.joints():
            if joint.id == id:
                return joint
        raise KeyError(id)

    def drained_at(self, fluid: Fluid) -> str | None:
        """The item at which a fluid is let out: the one that is opened, or that of the drain plug."""
        return self.joint(fluid.drain_joint).item if fluid.drain_joint else fluid.drain_item

    def energies_of(self, item: Item) -> tuple[str, ...]:
        """The energies that must be made safe and proven before the item is touched: its own, then its zone's."""
        near = [energy.id for energy in self.energies.values() if item.zone in energy.near]
        return tuple(dict.fromkeys([*item.energy, *near]))
