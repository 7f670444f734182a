"""One idea: every operation on the way in has a twin on the way back, and the pairs are one closed table.

Checks, documents and pictures are drawn from `PAIRS`. A plan, a narration and a job are all sequences of
`Operation`, so one audit reads all three.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from putback.core.car import Action
from putback.core.quantity import Torque


class Verb(StrEnum):
    """All that can be done in a job; the list is closed."""

    REMOVE = "remove"
    FIT = "fit"
    RAISE = "raise"
    LOWER = "lower"
    UNDO = "undo"
    START = "start"
    TIGHTEN = "tighten"
    UNPLUG = "unplug"
    PLUG_IN = "plug in"
    PART = "part"
    JOIN = "join"
    SWING_ASIDE = "swing aside"
    SWING_BACK = "swing back"
    FOLD = "fold"
    UNFOLD = "unfold"
    DRAIN = "drain"
    FILL = "fill"
    ISOLATE = "isolate"
    RESTORE = "restore"
    GUARD = "guard"
    UNGUARD = "unguard"
    MARK = "mark"
    LINE_UP = "line up"
    STOW = "stow"
    TAKE_FROM_STOW = "take from stow"
    SWITCH_OFF = "switch off"
    SWITCH_ON = "switch on"
    READ_BEFORE = "read codes before"
    READ_AFTER = "read codes after"
    RENEW = "renew"
    CLEAN = "clean"
    INSPECT = "inspect"
    MEASURE = "measure"
    PROVE_DEAD = "prove dead"
    WAIT = "wait"
    RELEARN = "relearn"
    ROAD_TEST = "road test"
    NOTE = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """One operation on the way in and its twin; `first` is what must be done to all before any twin is."""

    way_in: Verb
    way_back: Verb
    first: Verb | None = None


PAIRS: tuple[Pair, ...] = (
    Pair(way_in=Verb.REMOVE, way_back=Verb.FIT),
    Pair(way_in=Verb.RAISE, way_back=Verb.LOWER),
    Pair(way_in=Verb.UNDO, way_back=Verb.TIGHTEN, first=Verb.START),
    Pair(way_in=Verb.UNPLUG, way_back=Verb.PLUG_IN),
    Pair(way_in=Verb.PART, way_back=Verb.JOIN),
    Pair(way_in=Verb.SWING_ASIDE, way_back=Verb.SWING_BACK),
    Pair(way_in=Verb.FOLD, way_back=Verb.UNFOLD),
    Pair(way_in=Verb.DRAIN, way_back=Verb.FILL),
    Pair(way_in=Verb.ISOLATE, way_back=Verb.RESTORE),
    Pair(way_in=Verb.GUARD, way_back=Verb.UNGUARD),
    Pair(way_in=Verb.MARK, way_back=Verb.LINE_UP),
    Pair(way_in=Verb.STOW, way_back=Verb.TAKE_FROM_STOW),
    Pair(way_in=Verb.SWITCH_OFF, way_back=Verb.SWITCH_ON),
    Pair(way_in=Verb.READ_BEFORE, way_back=Verb.READ_AFTER),
)

WITHOUT_TWIN: tuple[Verb, ...] = (
    Verb.RENEW,
    Verb.CLEAN,
    Verb.INSPECT,
    Verb.MEASURE,
    Verb.PROVE_DEAD,
    Verb.WAIT,
    Verb.RELEARN,
    Verb.ROAD_TEST,
    Verb.NOTE,
)

TWIN: Mapping[Verb, Verb] = MappingProxyType(
    {pair.way_in: pair.way_back for pair in PAIRS} | {pair.way_back: pair.way_in for pair in PAIRS}
)

OFF: Mapping[Action, Verb] = MappingProxyType(
    {
        Action.REMOVE: Verb.REMOVE,
        Action.UNPLUG: Verb.UNPLUG,
        Action.PART: Verb.PART,
        Action.SWING: Verb.SWING_ASIDE,
        Action.FOLD: Verb.FOLD,
    }
)
"""What is done to an item on the way in, by its action; a one-time part is renewed, on the way back."""

ITEM_OFF = frozenset(OFF.values())
ITEM_BACK = frozenset(TWIN[verb] for verb in ITEM_OFF)
JOINT_VERBS = frozenset({Verb.UNDO, Verb.START, Verb.TIGHTEN})
ON_THE_WAY_IN = frozenset(pair.way_in for pair in PAIRS)
ON_THE_WAY_BACK = frozenset(pair.way_back for pair in PAIRS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One thing done, or to be done.

    Shapes and units: `n` counts from 1; `minutes` [min]; `litres` [l]; `count` is fasteners for a joint, pieces
    for a guard. `tools` names what the operation cannot be done without ("hand" for bare hands); empty for an
    operation that goes along with its neighbour and changes no tool. `twin` is the number of the twin, None while
    it is owed or where the verb has none.
    """

    n: int
    verb: Verb
    item: str | None = None
    joint: str | None = None
    way: str | None = None
    count: int | None = None
    thread: str | None = None
    drive: str | None = None
    tools: tuple[str, ...] = ()
    zone: str | None = None
    people: int = 1
    torque: Torque | None = None
    torque_source: str | None = None
    value_needed: bool = False
    stow: str | None = None
    guard: str | None = None
    energy: str | None = None
    fluid: str | None = None
    litres: float | None = None
    minutes: float = 0.0
    twin: int | None = None
    note: str = ""
