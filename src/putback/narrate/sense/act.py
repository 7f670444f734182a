"""One idea: an act is a verb, a thing and a direction; putting on and taking off depend on what the thing is."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import takewhile

from putback.core.operations import Verb
from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.sense.things import Thing, singular
from putback.narrate.words import lexicon
from putback.narrate.words.lexicon import Sense

_ENDS_OF_WIRES = frozenset({"connector", "plug", "wire"})
_HOSES = frozenset({"hose", "pipe", "line"})
_OUT_OF_WAY = (
    "out of way",
    "out of the way",
    "out the way",
    "out the road",
    "out of the road",
    "out of road",
    "out my way",
)
_TO_A_SIDE = ("to the side", "to 1 side", "off to side")
_BACK_TO = frozenset({"in", "on", "up", "down", "over", "together"})
_TO_ITS_PLACE = frozenset({"on", "in", "back", "into", "onto", "home"})
RENEWED = lexicon.words_of("collar gasket seal o-ring ring washer membrane-seal")
_UNCOVERS = ("uncap", "unbag", "untap", "unbung", "unmask", "unblank", "unseal")
_ISOLATES = ("isolat", "depower", "deenergi")
_POWERED = lexicon.words_of("hv voltage battery system car power electrics pack supply")
OFF, ON, ASIDE, DOWN, UP, NOWHERE = "off", "on", "aside", "down", "up", ""
_CRACKED_OPEN = lexicon.words_of("union nipple cap plug joint line seal pipe drain petcock tap valve fitting collar")
BATTERY_ENDS = lexicon.words_of("lead cable terminal post earth ground clamp strap live pos neg wire connector")
EITHER_WAY = lexicon.words_of(
    "zip zipped buzz buzzed whip whipped rattle rattled whizz whizzed zap zapped gun gunned ease eased"
)
HUNG_ON = lexicon.words_of("wire hook string strap bungee spring cord rope lashing sling hanger coathanger")
"""By what a part hangs while it is aside."""
_KEPT_IN = lexicon.STORES | {"pocket", "drawer", "coat"}
_POCKETS = lexicon.words_of("pocket drawer lockbox toolbox coat cupboard cabinet locker tin")
"""What comes out of such a place was put there when it was isolated."""
POURS = ("drop", "dump", "empt", "let")
HELD_BY = lexicon.words_of("tab button lever latch catch tang trigger lock ear lug")
LET_GO = ("pull", "push", "squeeze", "pinch", "twist", "press", "depress", "flick", "lift", "release", "slide")


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """What is known of one act. `verb` None: only a particle was said (`Trim out.`).

    `guard` are the words of what covers for a time, `guarded` whether such a one is in its place, and
    `plug` whether a plug is named that may be one. `over`: it ends with `over` or `to the left`.
    """

    verb: Piece | None
    thing: Thing | None
    direction: str
    words: frozenset[str] = field(default_factory=frozenset)
    guard: frozenset[str] = field(default_factory=frozenset)
    plug: bool = False
    over: bool = False
    torque: bool = False
    back: bool = False
    stowed: bool = False
    just_off: bool = False
    guarded: bool = False
    guard_nouns: frozenset[str] = frozenset()
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
        parted = self.thing is not None and self.thing.off and self.thing.head in self.guard
        if self.guard - lexicon.HARD_GUARDS and not parted:
            return True
        return bool(self.guard) and not parted and (self.guarded or not self.back)


def is_energy(thing: Thing) -> bool:
    """Whether a thing brings power: parting it isolates an energy."""
    words = set(thing.words)
    if "minus" in words and thing.count is None:
        return True
    if words & {"negative", "positive", "neg", "pos", "isolator"} or thing.words in _ENERGIES:
        return True
    if words & {"battery", "batt", "12v"} and thing.head in BATTERY_ENDS:
        return True
    return "low" not in words and _is_of_high_voltage(thing, words)


_ENERGIES = (("battery",), ("disconnect",), ("msd",), ("earth", "lead"))


def _is_of_high_voltage(thing: Thing, words: set[str]) -> bool:
    """A service plug, an orange handle, the plug of so many volts; a connector only of the service plug."""
    if thing.words[-1] in {"plug", "disconnect", "lever", "switch"} and thing.words[0] == "volt":
        return True
    if thing.head == "connector" and not words & {"service", "manual", "isolation", "safety", "orange"}:
        return False
    named = words & {"service", "orange", "manual", "hv", "voltage", "safety", "isolation"}
    if "yellow" in words and words & {"handle", "lever", "disconnect", "switch"}:
        return True
    return bool(named and words & {"plug", "disconnect", "handle", "connector", "lever", "switch"})


def without_places(parts: Sequence[Piece]) -> list[Piece]:
    """The pieces without `on the back of`, `in the top`: they say where a thing is, and not where it goes."""
    found: list[Piece] = []
    for n, piece in enumerate(parts):
        place = piece.low in {"back", "top", "bottom", "front", "side"} and n and parts[n - 1].low == "the"
        at = n > 1 and parts[n - 2].low in {"on", "in", "at", "from", "to", "onto", "into"}
        if place and at and n + 1 < len(parts) and parts[n + 1].low == "of":
            del found[-2:]
            continue
        if piece.low == "side" and (side := _of_a_side(found)):
            del found[-side:]
            continue
        found.append(piece)
    return found


def _of_a_side(before: Sequence[Piece]) -> int:
    """How many pieces `on the left` are, where `side` follows; 0 where it is said otherwise."""
    lows = [piece.low for piece in before[-3:]]
    if not lows or lows[-1] not in lexicon.ACROSS:
        return 0
    if len(lows) > 1 and lows[-2] in {"on", "at"}:
        return 2
    return 3 if lows[0] in {"on", "at"} and lows[1:2] == ["the"] else 0


def direction_of(after: Sequence[Piece], before: Sequence[Piece]) -> str:
    """Where it went, by the particles after the verb (or before it: `out they come`)."""
    after = list(takewhile(lambda piece: piece.low != "with", without_places(after)))
    text = " ".join(piece.low for piece in after)
    lows = [piece.low for piece in after if piece.sort in (Sort.PARTICLE, Sort.PREPOSITION, Sort.SMALL)]
    if sum(piece.sort is Sort.NAME for piece in before) < 2:
        lows += [piece.low for piece in takewhile(lambda piece: piece.sort is Sort.PARTICLE, before)]
    if "away" in lows and any(way in text for way in ("straight away", "right away")):
        lows.remove("away")
    if "loose" in lows and set(lows) & {"in", "on"}:
        lows = [low for low in lows if low != "loose"]
    cases = (
        ("aside" in lows or any(way in text for way in _TO_A_SIDE) or "over toward" in text, ASIDE),
        (bool({"bench", "floor"} & {piece.head for piece in after} and set(lows) & lexicon.OFF_WORDS), OFF),
        (any(way in text for way in _OUT_OF_WAY), OFF if "down" in lows else ASIDE),
        (lows[:2] == ["up", "on"], UP),
        ("back" in lows and bool(set(lows) & _BACK_TO) and "out" not in lows, ON),
        (bool(set(lows) & lexicon.OFF_WORDS), OFF),
        (bool(set(lows) & _TO_ITS_PLACE), ON),
        ("up" in lows, UP),
        ("down" in lows, DOWN),
    )
    return next((where for holds, where in cases if holds), NOWHERE)


def goes_over(parts: Sequence[Piece]) -> bool:
    """Whether the last words are `over`, `over to the right`, and not over something."""
    lows = [piece.low for piece in parts]
    way = next((low for low in ("over", "across") if low in lows), None)
    if way is None:
        return False
    rest = parts[lows.index(way) + 1 :]
    return not any(piece.sort in (Sort.NAME, Sort.PRONOUN) for piece in rest) or bool(rest and rest[0].low == "to")


_ENDS_OF_CAR = (("front", "end"), ("rear", "end"), ("back", "end"), ("front",), ("rear",))


def is_car(thing: Thing) -> bool:
    """Whether a thing is the whole car, which goes up and down."""
    return bool({singular(word) for word in thing.words} & lexicon.VEHICLES) or thing.words in _ENDS_OF_CAR


def _is_damage(act: Act, thing: Thing) -> bool:
    """`Cheek cracked`, `one of the six was stripped`: broken, and not loosened or taken off."""
    if act.low == "stripped" and thing.kind:
        return True
    return act.low == "cracked" and act.direction == NOWHERE and not thing.kind and thing.head not in _CRACKED_OPEN


def taken_off(act: Act) -> Verb | None:
    """What taking off is for this thing: a hose is parted, a connector unplugged, a bolt undone."""
    thing = act.thing
    if (
        thing is None
        or _is_damage(act, thing)
        or (thing.aside and act.words & HUNG_ON and act.words & {"from", "off"})
    ):
        return None
    if thing.head in lexicon.FLUIDS and act.sense is Sense.MOVE:
        return Verb.DRAIN if act.verb is None or act.low.startswith(POURS) else None
    if act.direction == ON and act.low in EITHER_WAY:
        eased_back = act.low.startswith("eas") and not (act.back or act.new or thing.off or thing.kind)
        return Verb.SWING_ASIDE if eased_back and act.words & {"back"} else put_on(act)
    if act.direction == ASIDE and not thing.kind and act.sense in (Sense.LOOSEN, Sense.MOVE):
        return Verb.SWING_ASIDE
    covers = act.guard or act.plug or thing.head in act.guard_nouns
    if covers and act.guarded and not thing.off:
        return Verb.UNGUARD
    soft = thing.head in act.guard and (act.guarded or thing.head not in lexicon.HARD_GUARDS)
    folded = act.low.startswith(("peel", "fold")) and "back" in act.words
    levered = act.low.startswith("lever") and act.direction == DOWN and thing.head in {"arm", "link"}
    taken_up = is_energy(thing) and bool(act.words & (_KEPT_IN if thing.off else _POCKETS))
    cases = (
        (taken_up, None),
        (levered and not act.back, Verb.SWING_ASIDE),
        (act.low.startswith(_UNCOVERS), Verb.UNGUARD),
        (act.low.startswith(_ISOLATES) and set(thing.words) & _POWERED, Verb.ISOLATE),
        (folded and not (act.guards and act.guarded), Verb.SWING_ASIDE),
        (act.sense is Sense.LOOSEN and _is_turned(thing) and not act.words & {"off", "out"}, Verb.UNDO),
        (thing.kind and thing.owner is not None and not thing.owner.off and _holds_a_lead(thing.owner), Verb.ISOLATE),
        (act.guards and soft, Verb.UNGUARD),
        (thing.kind, Verb.UNDO),
        (is_energy(thing) and thing.off and not thing.kind and not thing.new, None),
        (is_energy(thing), Verb.ISOLATE),
        (act.low.startswith("unscrew"), Verb.REMOVE),
        (act.sense is Sense.UNPLUG or _ends_a_wire(thing), Verb.UNPLUG),
        (thing.head in _HOSES, Verb.PART),
    )
    return next((verb for holds, verb in cases if holds), Verb.REMOVE)


def _holds_a_lead(owner: Thing) -> bool:
    """Whether what fasteners hold is a lead of a battery; a service plug is held by none."""
    words = set(owner.words)
    return is_energy(owner) and (bool(words & BATTERY_ENDS) or not _is_of_high_voltage(owner, words))


_SLACKENED = frozenset({"tap", "petcock", "nipple", "tensioner", "adjuster", "union", "unions"})


def _is_turned(thing: Thing) -> bool:
    """A bolt, a plug that is screwed in, or what is slackened and stays where it is."""
    if thing.head in _SLACKENED:
        return True
    return bool(thing.kind) or (thing.head == "plug" and _screwed_in(thing))


def _screwed_in(thing: Thing) -> bool:
    """`Drain plug`, `spark plug`."""
    return bool(set(thing.words[:-1]) & lexicon.SCREWED_IN)


def _ends_a_wire(thing: Thing) -> bool:
    """Whether a thing is the end of a wire; a drain plug or a spark plug is none."""
    return thing.head in _ENDS_OF_WIRES and not _screwed_in(thing)


def put_on(act: Act) -> Verb | None:
    """What putting on is for this thing."""
    thing = act.thing
    if thing is None:
        return None
    cases = (
        (is_energy(thing) and _not_connected(act), None),
        (act.guards and "from" in act.words and act.direction == DOWN, Verb.UNGUARD),
        (act.guards, Verb.GUARD),
        (thing.kind == "clamp" and act.back and is_energy(thing), Verb.RESTORE),
        (thing.kind == "clamp" and not (act.new or thing.new), Verb.TIGHTEN),
        ((act.new or thing.new) and thing.head in RENEWED and not thing.off, Verb.RENEW),
        (act.new and thing.worn and not thing.off, Verb.RENEW),
        (thing.kind, Verb.START),
        (is_energy(thing), Verb.RESTORE),
        (act.low.startswith("hook") and not _ends_a_wire(thing) and thing.head not in _HOSES, Verb.FIT),
        (act.sense is Sense.PLUG or _ends_a_wire(thing), Verb.PLUG_IN),
        (thing.head in _HOSES, Verb.JOIN),
    )
    return next((verb for holds, verb in cases if holds), Verb.FIT)


def _not_connected(act: Act) -> bool:
    """`Shoved it down the side`, `eased the cable back two inches`, `put it in ready`: not connected again by that."""
    put_by = act.direction in (DOWN, UP, NOWHERE) and act.low.startswith(("shov", "tuck", "roll", "stuff", "ben"))
    in_ready = act.low.startswith("put") and "ready" in act.words and "light" not in act.words
    so_far = "inches" in act.words and "pounds" not in act.words
    return put_by or in_ready or so_far or act.low.startswith(("roll", "eas"))
