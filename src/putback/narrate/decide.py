"""One idea: verb, particle and thing together name one operation of the closed list, by a table of senses."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

from putback.core.operations import Verb
from putback.narrate import lexicon
from putback.narrate.lexicon import Sense
from putback.narrate.phrases import Piece, Sort
from putback.narrate.things import Thing, singular

_ENDS_OF_WIRES = frozenset({"connector", "plug", "wire"})
_HOSES = frozenset({"hose", "pipe", "line"})
_TO_ITS_PLACE = frozenset({"on", "in", "back", "into", "onto", "home"})
_RENEWED = lexicon.words_of("gasket seal o-ring ring washer membrane-seal")
_GUARD_HEADS = lexicon.GUARDS | {singular(word) for word in lexicon.GUARDS}
OFF, ON, ASIDE, DOWN, UP, NOWHERE = "off", "on", "aside", "down", "up", ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """What is known of one act. `verb` None: only a particle was said (`Trim out.`)."""

    verb: Piece | None
    thing: Thing | None
    direction: str
    words: frozenset[str] = field(default_factory=frozenset)
    torque: bool = False
    back: bool = False
    stowed: bool = False
    guarded: bool = False
    new: bool = False

    @property
    def sense(self) -> Sense:
        """The verb's own sense."""
        return Sense.MOVE if self.verb is None or self.verb.sense is None else self.verb.sense

    @property
    def low(self) -> str:
        """The verb as it was said."""
        return self.verb.low if self.verb is not None else ""

    @property
    def guards(self) -> bool:
        """Whether something is named that covers or plugs for a time, and is no part of the car."""
        named = self.words & lexicon.GUARDS
        if named - lexicon.HARD_GUARDS:
            return True
        parted = self.thing is not None and self.thing.off and singular(self.thing.head) in lexicon.GUARDS
        return bool(named) and not parted and (self.guarded or not self.back)


def act_of(act: Act) -> Verb | None:
    """The operation that an act is; None where it is none."""
    if act.torque:
        return Verb.TIGHTEN
    decide = _BY_SENSE.get(act.sense)
    return decide(act) if decide else None


def is_energy(thing: Thing) -> bool:
    """Whether a thing brings power: parting it isolates an energy."""
    words = set(thing.words)
    if "negative" in words or thing.words == ("battery",):
        return True
    if "battery" in words and thing.head in {"lead", "cable", "terminal", "post"}:
        return True
    named = words & {"service", "orange", "yellow", "manual", "hv", "voltage"}
    return bool(named and words & {"plug", "disconnect", "handle", "connector", "lever"})


def direction_of(after: Sequence[Piece], before: Sequence[Piece]) -> str:
    """Where it went, by the particles after the verb (or before it: `out they come`)."""
    text = " ".join(piece.low for piece in after)
    lows = [piece.low for piece in after if piece.sort in (Sort.PARTICLE, Sort.PREPOSITION, Sort.SMALL)]
    if before and before[0].sort is Sort.PARTICLE:
        lows.append(before[0].low)
    if "aside" in lows or "to the side" in text or "to one side" in text:
        return ASIDE
    if {"bench", "floor"} & {piece.head for piece in after} and set(lows) & lexicon.OFF_WORDS:
        return OFF
    if "out of way" in text or "out of the way" in text:
        return OFF if "down" in lows else ASIDE
    if "back" in lows and set(lows) & {"in", "on", "up", "down", "over", "together"} and "out" not in lows:
        return ON
    if set(lows) & lexicon.OFF_WORDS:
        return OFF
    cases = ((ON, _TO_ITS_PLACE), (UP, {"up"}), (DOWN, {"down"}))
    return next((where for where, words in cases if set(lows) & words), NOWHERE)


def _off(act: Act) -> Verb | None:
    thing = act.thing
    if thing is None:
        return None
    soft = thing.head in _GUARD_HEADS and (act.guarded or thing.head not in lexicon.HARD_GUARDS)
    folded = act.low.startswith(("peel", "fold")) and "back" in act.words
    cases = (
        (folded and not act.guards, Verb.SWING_ASIDE),
        (thing.kind and thing.owner is not None and is_energy(thing.owner), Verb.ISOLATE),
        (act.guards and soft, Verb.UNGUARD),
        (thing.kind, Verb.UNDO),
        (is_energy(thing), Verb.ISOLATE),
        (act.sense is Sense.UNPLUG or thing.head in _ENDS_OF_WIRES, Verb.UNPLUG),
        (thing.head in _HOSES, Verb.PART),
    )
    return next((verb for holds, verb in cases if holds), Verb.REMOVE)


def _on(act: Act) -> Verb | None:
    thing = act.thing
    if thing is None:
        return None
    cases = (
        (act.guards, Verb.GUARD),
        (act.new and thing.head in _RENEWED, Verb.RENEW),
        (thing.kind, Verb.START),
        (is_energy(thing), Verb.RESTORE),
        (act.sense is Sense.PLUG or thing.head in _ENDS_OF_WIRES, Verb.PLUG_IN),
        (thing.head in _HOSES, Verb.JOIN),
    )
    return next((verb for holds, verb in cases if holds), Verb.FIT)


def _moved(act: Act) -> Verb | None:
    """What a verb that only moves says, by its habits first, then by where the thing went."""
    thing = act.thing
    if thing is None or _moves_nothing(act, thing):
        return None
    for habit in (_of_clamps, _of_fasteners, _of_getting):
        verb = habit(act, thing)
        if verb is not None:
            return verb
    if act.direction == ASIDE:
        return Verb.SWING_ASIDE
    if act.direction == OFF:
        return _off(act)
    return None if act.stowed else _to_its_place(act, thing)


def _moves_nothing(act: Act, thing: Thing) -> bool:
    """`Squeeze the tabs`, `the fan runs`, `put it all together`: no part goes on or off."""
    if thing.head in _HELD_BY and act.low.startswith(_LET_GO):
        return True
    return act.direction != OFF and ("together" in act.words or (act.low in _RUNNING and not thing.kind))


def _of_clamps(act: Act, thing: Thing) -> Verb | None:
    """A spring clamp is squeezed and slid along its hose; the way back tightens it."""
    if thing.kind != "clamp" or act.low not in _CLAMP_MOVES:
        return None
    return Verb.TIGHTEN if act.back or act.low == "let" else Verb.UNDO


def _of_fasteners(act: Act, thing: Thing) -> Verb | None:
    if not thing.kind:
        return None
    if act.low in {"hit", "buzz"}:
        return Verb.START if act.back and not thing.off else Verb.UNDO
    if act.low in {"run", "ran", "pull", "wind"} and act.direction == DOWN:
        return Verb.TIGHTEN
    if act.low in {"do", "did", "done"} and thing.kind == "clip" and thing.plural and "up" in act.words:
        return Verb.START
    return None


def _of_getting(act: Act, thing: Thing) -> Verb | None:
    """`Do it up`, `get it tight`, `get it started`."""
    del thing
    if act.low in {"do", "did", "done"} and act.direction in (UP, ON) and "up" in act.words:
        return Verb.TIGHTEN
    if act.low in {"get", "got"} and "tight" in act.words:
        return Verb.TIGHTEN
    if act.low in {"get", "gets", "getting", "got"} and act.words & {"started", "start"}:
        return Verb.START
    return None


def _to_its_place(act: Act, thing: Thing) -> Verb | None:
    """What `in`, `down`, `up` and no particle say."""
    if act.low in {"do", "did", "done", "let"}:
        return None
    if act.guards and act.low.startswith(_LAYS):
        return Verb.GUARD
    if act.direction == NOWHERE:
        return _without_particle(act, thing)
    if act.direction == ON or (act.direction == DOWN and act.low not in _PUSHES):
        return _on(act)
    return _off(act) if act.direction == UP and act.low in _LIFTS else None


def _without_particle(act: Act, thing: Thing) -> Verb | None:
    """`Pull the service plug`, `lift the lid`, and on the way back `place the lid`."""
    if act.low in {"pull", "pulls", "pulled", "yank", "yanked", "twist"} and is_energy(thing):
        return Verb.ISOLATE
    if act.low.startswith(("pull", "yank", "lift")) and act.verb is not None:
        return _off(act)
    return _on(act) if act.low.startswith(("place", "put")) and act.back else None


_HELD_BY = frozenset({"tab", "button", "lever", "latch"})
_LET_GO = ("pull", "push", "squeeze", "pinch", "twist")
_LAYS = ("put", "pop", "push", "throw", "stick", "stuck", "set", "place", "slip")
_RUNNING = frozenset({"runs", "works"})
_CLAMP_MOVES = lexicon.words_of("let slide slides slid squeeze squeezed move moved work pinch pinched")
_PUSHES = frozenset({"push", "pushes", "pushed", "squeeze", "pinch", "tap"})
_LIFTS = lexicon.words_of(
    "lift lifts lifted lifting pull pulls pulled come comes came slide slides work tilt pop pops"
)


def _cover(act: Act) -> Verb | None:
    return Verb.GUARD if act.guards or act.sense is Sense.COVER else None


def _lay(act: Act) -> Verb | None:
    if act.guards:
        return Verb.GUARD
    return Verb.SWING_ASIDE if act.thing is not None else None


def _aside(act: Act) -> Verb | None:
    if act.thing is None:
        return None
    is_back = "back" in act.words and (act.back or not act.low.startswith("fold"))
    return Verb.SWING_BACK if is_back else Verb.SWING_ASIDE


def _lifted(act: Act) -> Verb | None:
    thing = act.thing
    if thing is None:
        return None
    if {singular(word) for word in thing.words} & {"vehicle", "car", "van", "truck"} or thing.words == (
        "front",
        "end",
    ):
        return Verb.RAISE if act.sense is Sense.RAISE else Verb.LOWER
    return Verb.FIT if act.back or act.words & {"into", "onto"} else Verb.REMOVE


def _fastened(act: Act) -> Verb | None:
    """`Clip the cover down`, `press it on`: on, unless it is said off."""
    return _off(act) if act.direction == OFF else _on(act)


def _plugged(act: Act) -> Verb | None:
    return _cover(act) if act.guards else _on(act)


def _started(act: Act) -> Verb | None:
    return Verb.START if act.thing is not None and act.thing.kind else None


def _looked(act: Act) -> Verb | None:
    if act.low.startswith("look") and not act.words & {"at", "for", "into", "over", "inside"}:
        return None
    return Verb.INSPECT if act.thing is not None else None


def _of_thing(verb: Verb) -> Callable[[Act], Verb | None]:
    return lambda act: verb if act.thing is not None else None


_BY_SENSE: Mapping[Sense, Callable[[Act], Verb | None]] = MappingProxyType(
    {
        Sense.OFF: _off,
        Sense.LOOSEN: _off,
        Sense.UNPLUG: _off,
        Sense.ON: _fastened,
        Sense.START: _started,
        Sense.PLUG: _plugged,
        Sense.TIGHTEN: _of_thing(Verb.TIGHTEN),
        Sense.MOVE: _moved,
        Sense.ASIDE: _aside,
        Sense.COVER: _cover,
        Sense.LAY: _lay,
        Sense.RAISE: _lifted,
        Sense.LOWER: _lifted,
        Sense.DRAIN: _of_thing(Verb.DRAIN),
        Sense.FILL: _of_thing(Verb.FILL),
        Sense.CLEAN: _of_thing(Verb.CLEAN),
        Sense.INSPECT: _looked,
        Sense.CHECK: _of_thing(Verb.INSPECT),
        Sense.MEASURE: _of_thing(Verb.MEASURE),
        Sense.MARK: _of_thing(Verb.MARK),
        Sense.RENEW: _of_thing(Verb.RENEW),
    }
)
