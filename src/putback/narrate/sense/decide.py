"""One idea: verb, particle and thing together name one operation of the closed list, by a table of senses."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from putback.core.operations import Verb
from putback.narrate.sense.act import (
    ASIDE,
    EITHER_WAY,
    HELD_BY,
    HUNG_ON,
    LET_GO,
    NOWHERE,
    OFF,
    ON,
    RENEWED,
    UP,
    Act,
    is_car,
    is_energy,
    put_on,
    taken_off,
)
from putback.narrate.sense.moving import moved
from putback.narrate.words import lexicon
from putback.narrate.words.everyday import BODY
from putback.narrate.words.lexicon import Sense

_UNDER = frozenset({"under", "underneath", "below", "beneath"})
_CONTAINERS = lexicon.words_of("tub tray pan container bucket rag cloth tin jar bowl basin")
_DIRT = lexicon.words_of("dirt dust grit muck debris swarf")
_OPEN_ENDS = lexicon.words_of(
    "hose pipe line port hole opening end ends union tube rail hoses pipes lines ports holes"
)
_TURNED_TO = lexicon.words_of("forward forwards over rearward rearwards backwards sideways")
_TURNS = ("tilt", "flip", "hinge", "swivel", "prop")
_LAID_ON = lexicon.words_of("blanket bench floor grass table trolley cardboard mat carpet lawn")
_PAPERS = lexicon.words_of("paper sheet phone book manual screen picture photo watch clock card note notes list")
_ENGINE = lexicon.words_of("engine motor seconds over starter key")
_STOPS = (
    "bag",
    "cap",
    "bung",
    "blank",
    "tape",
    "taping",
    "mask",
    "cork",
    "stuff",
    "stopper",
    "cover",
    "wrap",
    "swaddl",
)
_RETURNS = lexicon.words_of("back down forward over in on up across round around home")
_ALONG = lexicon.words_of("along over into across in on back")
_TIES = ("tie", "tying", "lash", "bungee", "strap", "zip", "hitch", "tether", "prop", "suspend")
_BENDS = ("bend", "bent")
_ALL_CLEARED = lexicon.words_of("cleared erase erased delete deleted done all again")
_CODES = lexicon.words_of("code codes fault faults memory dtc dtcs lamp light")


def act_of(act: Act) -> Verb | None:
    """The operation that an act is; None where it is none."""
    if act.torque or _wound_tight(act) or _leaned_on(act):
        return Verb.TIGHTEN
    if act.thing is not None and act.thing.head in _CONTAINERS and act.words & _UNDER and act.direction != OFF:
        return None
    decide = _BY_SENSE.get(act.sense)
    return decide(act) if decide else None


def covered(act: Act, over: Verb | None) -> Verb | None:
    """`Rag in the hose` guards, unless it is a cap of the car that came off before."""
    parted = act.thing is not None and act.thing.off
    hard = not act.guard - lexicon.HARD_GUARDS
    return over if over is not None and not (hard and (parted or act.back)) else None


def _wound_tight(act: Act) -> bool:
    """`Buzz them up tight`."""
    up = act.direction in (UP, NOWHERE) and "tight" in act.words
    return act.low in EITHER_WAY and up and act.thing is not None and not act.thing.aside


def _leaned_on(act: Act) -> bool:
    """`Leaned on it good and tight.`"""
    return act.low.startswith("lean") and "on" in act.words and act.thing is not None and bool(act.thing.kind)


def _cover(act: Act) -> Verb | None:
    if act.guarded and act.direction == OFF and not act.low.endswith(("ed", "ing")):
        return Verb.UNGUARD
    if "back" in act.words or (act.thing is None and act.direction == UP):
        return None
    if act.thing is None and act.words & BODY:
        return None
    if act.guards or act.low.startswith(_STOPS):
        return Verb.GUARD
    open_end = act.thing is None or act.thing.head in _OPEN_ENDS
    return Verb.GUARD if open_end and not act.low.startswith("clos") and act.sense is Sense.COVER else None


def _lay(act: Act) -> Verb | None:
    if act.guards:
        return Verb.GUARD
    thing = act.thing
    if thing is None or (thing.off and (act.stowed or act.direction != ON)):
        return None
    if thing.aside and act.words & {"back", "in", "down", "over", "again", "flat"}:
        return Verb.SWING_BACK
    if act.back and thing.off and act.words & _ALONG and not act.stowed:
        return put_on(act)
    if act.words & _LAID_ON and not act.back and not thing.off:
        return taken_off(act)
    return put_on(act) if act.direction == ON and (act.back or thing.off) else Verb.SWING_ASIDE


def _aside(act: Act) -> Verb | None:
    if act.guards or (act.guard and act.guarded):
        return Verb.UNGUARD if act.guarded and act.words & {"away", "off", "up"} else Verb.GUARD
    if act.thing is None or _only_turned(act):
        return None
    if (
        act.just_off
        and "back" not in act.words
        and not (act.direction == ASIDE or act.words & {"over", "side", "way"})
    ):
        return None
    tied = act.low.startswith(_TIES)
    if act.thing.aside and not tied:
        return Verb.SWING_BACK if act.words & _RETURNS and not act.words & {"out", "off"} else None
    if act.back and act.direction == NOWHERE and not act.words & {"over", "forward", "side", "back"}:
        return None
    is_back = "back" in act.words and act.back
    to_its_place = (act.new or act.thing.new) and act.words & {"in", "into", "place", "home"} and not tied
    aside = Verb.SWING_BACK if is_back else Verb.SWING_ASIDE
    return put_on(act) if to_its_place else aside


def _only_turned(act: Act) -> bool:
    """`Tilt it`, `legs bent`: it stays where it is."""
    if act.direction != NOWHERE:
        return False
    turned = act.low.startswith(_TURNS) and not act.words & _TURNED_TO
    return turned or act.low.startswith(_BENDS)


def _lifted(act: Act) -> Verb | None:
    thing = act.thing
    if thing is None:
        return Verb.RAISE if act.sense is Sense.RAISE else None
    if act.low.startswith(("jack", "hoist")) and act.direction == UP and not thing.off:
        return Verb.RAISE
    if is_car(thing):
        return Verb.RAISE if act.sense is Sense.RAISE else Verb.LOWER
    if act.sense is Sense.RAISE and act.words & {"jack", "slightly", "bit", "little", "support"}:
        return None
    new = (act.new or thing.new) and act.sense is Sense.LOWER
    return Verb.FIT if act.back or thing.off or new else Verb.REMOVE


def _fastened(act: Act) -> Verb | None:
    """`Clip the cover down`, `press it on`: on, unless it is said off; a latch that is pressed lets go."""
    thing = act.thing
    if thing is not None and thing.head in HELD_BY and act.low.startswith(LET_GO) and "back" not in act.words:
        return None
    if act.low.startswith("hang") or act.low == "hung":
        hung = thing is not None and not act.back and (act.just_off or not thing.off or bool(act.words & HUNG_ON))
        return Verb.SWING_ASIDE if hung else put_on(act)
    if act.stowed and not act.back and thing is not None and not (thing.off or thing.kind):
        return taken_off(act)
    opened = "open" in act.words and act.low.startswith(("press", "push", "clip", "snap"))
    laid_on = act.low.startswith("plac") and act.words & lexicon.GUARDS and not (act.guard or act.back)
    put_by = act.low.startswith("plac") and thing is not None and thing.off and not (act.back or act.new or act.guard)
    if opened or laid_on or put_by:
        return None
    return taken_off(act) if act.direction == OFF else put_on(act)


def _renewed(act: Act) -> Verb | None:
    """`Replace the seal` is a new one; `replace the cover` on the way back is the same one put back."""
    if act.thing is None or (act.low.startswith("swap") and act.words & {"over", "places", "sides"}):
        return None
    same = act.back and act.thing.off and act.low.startswith("replace") and act.thing.head not in RENEWED
    return put_on(act) if same and not act.words & {"new", "with"} else Verb.RENEW


def _noted(act: Act) -> Verb | None:
    """Bleeding and clearing codes have no operation of their own: they are notes."""
    if act.sense is Sense.CLEAR and not act.words & _CODES and not act.words <= _ALL_CLEARED:
        return None
    return Verb.NOTE


def _plugged(act: Act) -> Verb | None:
    """A connector is plugged in; an open end is plugged against dirt; what is hooked out is off."""
    if act.direction == OFF and act.low.startswith(("hook", "click")) and not act.guards:
        return taken_off(act)
    if act.low.startswith("click") and act.direction == ON and not act.guards:
        return put_on(act)
    if not act.back and (act.words & _DIRT or (act.thing is not None and act.thing.head in _OPEN_ENDS)):
        return Verb.GUARD
    return _cover(act) if act.guards else put_on(act)


def _tightened(act: Act) -> Verb | None:
    """Bolts are tightened; clips that are secured are only put in."""
    if act.thing is None or (act.low.startswith("crank") and act.words & _ENGINE):
        return None
    if act.thing.head in _OPEN_ENDS and act.low.startswith(("clamp", "pinch")):
        return None
    if act.direction == OFF and act.low.startswith("nip"):
        return taken_off(act)
    if act.low.startswith("clamp") and is_energy(act.thing) and act.thing.off and not act.thing.kind:
        return put_on(act)
    clipped = act.thing.kind == "clip" or (act.thing.kind is None and act.thing.off)
    return put_on(act) if clipped and act.low.startswith("secur") else Verb.TIGHTEN


def _started(act: Act) -> Verb | None:
    """`Start the bolts`; not `start at the corner`."""
    if act.words & {"at", "from", "with"} and act.low.startswith("start") and not act.back:
        return None
    spun_in = act.thing is not None and act.thing.words[-2:] == ("spark", "plugs")
    if act.thing is not None and not act.thing.kind and act.thing.off and (act.direction == ON or spun_in):
        return put_on(act)
    if act.low.startswith("thread") and act.thing is not None and not act.thing.kind:
        return put_on(act) if act.new or act.thing.new or act.thing.off else None
    return Verb.START if act.thing is not None and act.thing.kind else None


def _looked(act: Act) -> Verb | None:
    if act.low == "looking" or (
        act.low.startswith("look")
        and not act.words
        & {"at", "for", "into", "over", "inside", "up", "round", "around", "under", "behind", "along"}
    ):
        return None
    return _checked(act)


def _checked(act: Act) -> Verb | None:
    """`Check the belt`; not `check my bit of paper`."""
    return Verb.INSPECT if act.thing is not None and act.thing.head not in _PAPERS else None


def _cleaned(act: Act) -> Verb | None:
    """`Wipe the flange`; a clean tub is only where the oil goes."""
    if act.low.startswith("bl") and act.direction == UP:
        return None
    if act.thing is not None and act.thing.head in _CODES and act.low.startswith("wip"):
        return Verb.NOTE
    return Verb.CLEAN if act.thing is not None and act.thing.head not in _CONTAINERS else None


def _filled(act: Act) -> Verb | None:
    """`Pumped in new fluid`; not `pumped the pedal`."""
    pumped = act.low.startswith("pump") and not act.words & {"in", "into", "full"}
    poured_off = act.low.startswith("pour") and act.words & {"off", "out", "away"}
    return Verb.FILL if act.thing is not None and not (pumped or poured_off) else None


def _drained(act: Act) -> Verb | None:
    """`Drained, two litres`: said of nothing it is the fluid that the plug held."""
    return Verb.DRAIN if act.thing is not None or act.low.startswith("drained") else None


def _of_thing(verb: Verb) -> Callable[[Act], Verb | None]:
    return lambda act: verb if act.thing is not None else None


_BY_SENSE: Mapping[Sense, Callable[[Act], Verb | None]] = MappingProxyType(
    {
        Sense.OFF: taken_off,
        Sense.LOOSEN: taken_off,
        Sense.UNPLUG: taken_off,
        Sense.ON: _fastened,
        Sense.START: _started,
        Sense.PLUG: _plugged,
        Sense.TIGHTEN: _tightened,
        Sense.MOVE: moved,
        Sense.ASIDE: _aside,
        Sense.COVER: _cover,
        Sense.LAY: _lay,
        Sense.RAISE: _lifted,
        Sense.LOWER: _lifted,
        Sense.DRAIN: _drained,
        Sense.FILL: _filled,
        Sense.CLEAN: _cleaned,
        Sense.INSPECT: _looked,
        Sense.CHECK: _checked,
        Sense.MEASURE: _of_thing(Verb.MEASURE),
        Sense.MARK: _of_thing(Verb.MARK),
        Sense.RENEW: _renewed,
        Sense.BLEED: _noted,
        Sense.CLEAR: _noted,
    }
)
