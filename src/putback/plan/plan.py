"""One idea: a plan is a value. Pages, pictures, quotes and audits read it, none of them changes it.

Units stand in the names: minutes [min], mass [kg], lengths [mm], money in the owner's own currency.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from putback.core.car import Car, Energy, Joint, Service
from putback.core.finding import Finding
from putback.core.operations import Operation
from putback.core.price import Quote


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """One legal combination of ways with the least work that it asks for."""

    ways: Mapping[str, str]
    items: tuple[str, ...]
    minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyLine:
    """An energy of the work, with the operations that make it safe and give it back (numbers, None if none)."""

    energy: Energy
    isolate: int | None
    prove: int | None
    restore: int | None
    value_needed: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitLine:
    """A wait: its clock starts at operation `starts`, it must have ended at operation `ends`.

    `meanwhile` are the operations done while it runs, `idle_minutes` what is left over to stand and wait;
    `minutes` None: value needed.
    """

    energy: str
    minutes: float | None
    from_item: str
    starts: int
    ends: int
    meanwhile: tuple[int, ...]
    idle_minutes: float | None
    source: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class GuardLine:
    """Pieces of one guard at one place: counted in at operation `put_in`, out at `taken_out`."""

    guard: str
    name: str
    item: str | None
    pieces: int
    put_in: int
    taken_out: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LookLine:
    """One thing seen for the last time, and what it costs in minutes to get back to it if forgotten."""

    item: str
    ask: str
    rework_minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LastLook:
    """The final moment before `before` goes back and covers what is listed, dearest first."""

    n: int
    before: str
    looks: tuple[LookLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolLine:
    """A tool to pull: the joints it serves, its length if its name says one, the torques it must cover, [N·m]."""

    tool: str
    joints: tuple[str, ...]
    length_mm: float | None
    crow_foot: bool
    least_torque_nm: float | None
    most_torque_nm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLine:
    """A part to have on the shelf. `price` None: the file gives none."""

    part: str
    name: str
    one_time: bool
    price: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StowLine:
    """A stow place and what lies in it; `trap`: kept apart because a neighbour looks the same but for length."""

    place: str
    zone: str
    joints: tuple[Joint, ...]
    trap: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthTrap:
    """Fasteners of one thread and drive in several lengths: joints by length, [mm]."""

    thread: str
    drive: str
    joints_by_length_mm: Mapping[float, tuple[str, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class WrenchUse:
    """A wrench of the owner's that can do a torque. `setting` and `mark` (nearest on its scale) are in its `unit`.

    `band_nm`: within what the torque at the fastener lies at k = 2, [N·m]; None where a tolerance is not known.
    """

    id: str
    name: str
    setting: float
    unit: str
    mark: float | None
    band_nm: tuple[float, float] | None
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WrenchAgainst:
    """A wrench of the owner's that cannot do a torque, with every reason and its mend."""

    id: str
    name: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WrenchLine:
    """What the owner's list says of one torque: the surest wrench that can, or why none can, the nearest first.

    `doubts`: a unit that may have been mixed up, or a figure that the thread does not bear out. Where the value is
    needed there is neither a wrench nor a reason.
    """

    best: WrenchUse | None = None
    none: tuple[WrenchAgainst, ...] = ()
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TorqueLine:
    """One joint's tightness. `value_needed`: it is threaded and no source gives a figure.

    `wrench`: None where no tool list was given.
    """

    joint: Joint
    item: str
    value_needed: bool
    tools: tuple[str, ...]
    renewed_by: str | None
    wrench: WrenchLine | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MassLine:
    """What leaves the lift, [kg], and how far the centre of gravity moves rearward, [mm]; None: figures missing.

    `limit_mm` is the user's own; `unknown` are removed items without mass or arm in the file.
    """

    off_kg: float
    rearward_mm: float | None
    fluids_kg: float
    rearward_drained_mm: float | None
    limit_mm: float | None
    unknown: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """How good the order is: its cost, the bound below it, and whether that proves it."""

    cost: int
    bound: int
    proved: bool
    gap: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """A joint (or item) that cannot be reached, why, and what is missing to reach it."""

    joint: str
    why: str
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Impossible:
    """The job cannot be done: every joint that stops it."""

    joints: tuple[Reach, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A job from the first operation to the last, with all that follows from it.

    `minutes_unknown` are the items of the work whose minutes nobody has said, `rework_unknown` what lies behind one;
    nothing is counted for them, so minutes and rework are the least it takes.
    """

    car: Car
    wanted: tuple[str, ...]
    targets: tuple[str, ...]
    service: Service | None
    without: tuple[str, ...]
    without_says: tuple[str, ...]
    items: tuple[str, ...]
    ways: Mapping[str, str]
    minutes_off: float
    minutes_on: float
    fasteners: int
    proved: bool
    gap_minutes: float
    left_on: Mapping[str, str]
    why: Mapping[str, tuple[str, ...]]
    alternatives: tuple[Alternative, ...]
    alternatives_complete: bool
    energies: tuple[EnergyLine, ...]
    waits: tuple[WaitLine, ...]
    guards: tuple[GuardLine, ...]
    last_looks: tuple[LastLook, ...]
    rework: Mapping[str, float]
    tools: tuple[ToolLine, ...]
    parts: tuple[PartLine, ...]
    stow: tuple[StowLine, ...]
    length_traps: tuple[LengthTrap, ...]
    torque_card: tuple[TorqueLine, ...]
    quote: Quote
    mass: MassLine
    order: OrderLine
    operations: tuple[Operation, ...]
    findings: tuple[Finding, ...]
    minutes_unknown: tuple[str, ...] = ()
    rework_unknown: frozenset[str] = frozenset()
    interrupted: bool = False

    @property
    def minutes(self) -> float:
        """Off and on together, [min]."""
        return self.minutes_off + self.minutes_on

    def rework_figure(self, key: str) -> str:
        """The rework minutes of a thing as a figure; where minutes over it are not known, that it may be more."""
        minutes = self.rework.get(key, 0.0)
        if key not in self.rework_unknown:
            return f"{minutes:g}"
        return f"{minutes:g} or more" if minutes else "not known"

    def rework_words(self, key: str) -> str:
        """The rework minutes of a thing with their unit."""
        figure = self.rework_figure(key)
        return figure.replace(" or", " min or") if key in self.rework_unknown else f"{figure} min"
