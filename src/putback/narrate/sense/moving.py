"""One idea: a verb that only moves says by its habits, and by where the thing went, what was done."""

from putback.core.operations import Verb
from putback.narrate.sense.act import (
    ASIDE,
    DOWN,
    HELD_BY,
    HUNG_ON,
    LET_GO,
    NOWHERE,
    OFF,
    ON,
    POURS,
    RENEWED,
    UP,
    Act,
    is_car,
    is_energy,
    put_on,
    taken_off,
)
from putback.narrate.sense.parts_of import INTRANSITIVE
from putback.narrate.sense.things import Thing, singular
from putback.narrate.words import lexicon

_GOES_OVER = lexicon.words_of(
    "go goes went slip slips slipped slide slides slid pull pulls pulled push pushed put place placed lay pop pops "
    "popped "
    "fit fits drop drops dropped lower lowered ease eased work worked"
)
_DRIVES = ("tap", "knock", "bang", "drift", "hammer", "wound", "wind", "driv", "press", "belt", "thump")
_PUSHED_LOOSE = (*_DRIVES, "push")
_TIGHTENS = lexicon.words_of("get got pull pulled draw drawn drew run ran screw screwed wind wound bring brought")
_PUSHED_BACK = frozenset({"piston", "pedal"})
_DROPPED = lexicon.words_of(
    "tray undertray shield subframe cradle exhaust sump pan gearbox transmission engine guard pack liner panel arm"
)
_WHOSE = frozenset({"my", "your", "her", "his", "the"})
_FALLS = lexicon.words_of("drop drops dropped fall falls fell come comes came slide slides slid pop pops popped")
_JOINED = frozenset({"connector", "plug", "coupling", "shell"})
_DRAWS = lexicon.words_of("drew draw draws drawn slid slide pulled")
_A_LITTLE = lexicon.words_of("touch bit little slightly fraction inch hair whisker")
_FOLDS = lexicon.words_of("seat cushion squab seats carpet flap backrest")
_BRAKES = (("hand", "brake"), ("park", "brake"), ("parking", "brake"), ("foot", "brake"))
_OPENED = lexicon.words_of("hood bonnet boot trunk tailgate lid door flap")
_LAID = lexicon.words_of("set put placed place sat stood laid rest carried carry")
_FROM = ("draw", "drew", "pull", "tak", "took", "lift", "slid", "work", "com", "came")
_GIVES = ("put", "went", "go", "run", "ran", "fed", "get", "got", "tip")
_LIGHTS = frozenset({"light", "lamp", "ignition", "fan", "beam"})
_SWITCHED = lexicon.words_of("handbrake ignition hazards parkbrake radio power")
"""They go on and off, and nothing comes off the car."""
_LAYS = (
    "chuck",
    "toss",
    "drape",
    "lob",
    "sling",
    "spread",
    "tuck",
    "poke",
    "wedge",
    "jam",
    "hang",
    "put",
    "pop",
    "push",
    "throw",
    "stick",
    "stuck",
    "set",
    "place",
    "slip",
)
_POPS = lexicon.words_of("pop pops popped popping")
_RUNS_UP = lexicon.words_of("run ran runs spin spun wind wound screw screwed thread threaded twist")
_HOSES = frozenset({"hose", "hoses", "pipe", "pipes"})
_LINES = lexicon.words_of("hose pipe line cable harness loom lead wire wiring")
_HOLDERS = lexicon.words_of("bracket brackets holder holders")
_TIPPED = ("tip", "sling", "slung", "swing", "swung", "lean", "flop", "tilt", "shov")
_PLACED = lexicon.words_of("in on over into onto across around round through inside under up")
_FORWARD = lexicon.words_of("forward forwards rearward rearwards sideways")
_DRAWN = ("pull", "tip", "lean", "eas", "rock", "roll", "draw", "drew", "swung", "swing", "hing", "push")
_SNAPS = ("snap", "click", "push", "press", "flick", "clip", "lever", "flip")
_DRIVEN_BY = lexicon.words_of("driver screwdriver gun ratchet wrench spanner socket drill")
_RUNNING = frozenset({"runs", "works"})
_CLAMP_MOVES = lexicon.words_of("return returned let slide slides slid squeeze squeezed move moved work pinch pinched")
_PUSHES = frozenset({"push", "pushes", "pushed", "squeeze", "pinch", "tap"})
_LIFTS = lexicon.words_of(
    "lift lifts lifted lifting pull pulls pulled come comes came slide slides work tilt pop pops"
)


def moved(act: Act) -> Verb | None:
    """What a verb that only moves says, by its habits first, then by where the thing went."""
    thing = act.thing
    if thing is None or _moves_nothing(act, thing):
        return None
    cases = (
        (is_car(thing), _of_car),
        (thing.head in lexicon.FLUIDS, _of_fluid),
        (_pulled_back(act, thing) or _pushed_over(act, thing), _to_the_side),
    )
    habit = next((how for holds, how in cases if holds), None)
    return habit(act, thing) if habit is not None else _of_part(act, thing)


def _of_car(act: Act, thing: Thing) -> Verb | None:
    del thing
    lifted = act.low.startswith("lift") and act.direction == NOWHERE
    raised = Verb.RAISE if act.direction == UP or lifted else None
    return Verb.LOWER if "down" in act.words else raised


def _of_fluid(act: Act, thing: Thing) -> Verb | None:
    """`Coolant dropped`, `oil out`, `two litres of oil in`."""
    del thing
    if act.direction == ON and (act.verb is None or act.low.startswith(_GIVES)):
        return Verb.FILL
    if act.verb is None and act.direction == OFF:
        return Verb.DRAIN
    return Verb.DRAIN if act.low.startswith(POURS) and not act.back else None


def _pushed_over(act: Act, thing: Thing) -> bool:
    """`Bracket pushed over`: to the side, and over nothing."""
    if thing.off or thing.kind or act.back or act.stowed or act.direction != NOWHERE or thing.head in HELD_BY:
        return False
    return act.over and act.low.startswith(("push", "pull", "move", "shov", "swung", "slid", "eas"))


def _to_the_side(act: Act, thing: Thing) -> Verb | None:
    del act, thing
    return Verb.SWING_ASIDE


def _only_put_down(act: Act, thing: Thing) -> bool:
    """`Lift the cover off and toss it in the grass`: where a thing lies that just came off."""
    again = act.back or act.new or thing.new or "back" in act.words
    return act.just_off and not again and act.low.startswith(_LAYS)


def _switched(act: Act, thing: Thing) -> bool:
    """`Turn it on`: said of the car or of what runs, and not of what is turned."""
    turned = act.low.startswith(("turn", "switch", "fire", "start")) and act.direction in (ON, OFF)
    return turned and not thing.kind and thing.head not in act.words


def _of_part(act: Act, thing: Thing) -> Verb | None:
    power = is_energy(thing) and act.words & _OF_POWER
    if thing.aside and not thing.kind and not power and (unhung := _from_aside(act)) is not _NEITHER:
        return unhung
    if _only_put_down(act, thing) or _switched(act, thing) or _only_driven_back(act, thing):
        return None
    habits = (habit(act, thing) for habit in (_held_up, _of_clamps, _of_fasteners, _of_getting, _pushed_loose))
    found = next((verb for verb in habits if verb is not None), None)
    if found is not None:
        return found
    hung = (act.words - set(thing.words)) & HUNG_ON
    if thing.head in _FOLDS and act.direction == UP and not (act.back or thing.off) and act.verb is None:
        return Verb.SWING_ASIDE
    hung_up = act.direction in (UP, ON) and hung and (not thing.off or act.just_off)
    if act.direction == ASIDE or hung_up or _drawn_forward(act, thing) or _still_attached(act, thing):
        return Verb.SWING_ASIDE
    return taken_off(act) if act.direction == OFF else _by_place(act, thing)


def _held_up(act: Act, thing: Thing) -> Verb | None:
    """`Lifted the engine a touch`: held up, and not off."""
    lifted = act.low.startswith(("lift", "rais")) and act.words & _A_LITTLE and not (thing.off or act.back)
    return Verb.RAISE if lifted and thing.head in lexicon.POWERTRAIN else None


def _still_attached(act: Act, thing: Thing) -> bool:
    """`Hose popped out of its bracket`, `console tipped over onto the seat`, `glass shoved up`, on the way in."""
    if act.back or thing.off or thing.kind or thing.new or act.new or act.guards:
        return False
    if act.direction == OFF:
        out_of = "out" in act.words and (act.words - set(thing.words)) & _HOLDERS
        return singular(thing.head) in _LINES and bool(out_of)
    glass_up = thing.head == "glass" and act.direction == UP and act.verb is not None
    over = act.direction == ON or (act.direction == NOWHERE and "over" in act.words)
    return glass_up or (act.low.startswith(_TIPPED) and over)


def _drawn_forward(act: Act, thing: Thing) -> bool:
    """`Pulled it forward on its hoses`: out of its place, and still attached."""
    stays = thing.off or thing.kind or act.back or act.direction not in (NOWHERE, UP)
    behind = {"back", "behind"} <= act.words and act.low.startswith(("shov", "push", "tuck", "pull"))
    return not stays and (behind or (bool(act.words & _FORWARD) and act.low.startswith(_DRAWN)))


def _by_place(act: Act, thing: Thing) -> Verb | None:
    """What a movement is that takes nothing off: over something, on the bench, to its place."""
    fresh = act.new or thing.new or thing.off
    if act.direction == NOWHERE and "over" in act.words and fresh and act.low in _GOES_OVER:
        return put_on(act)
    return _laid_down(act, thing) if act.stowed else _to_its_place(act, thing)


_NEITHER = Verb.NOTE
_OF_POWER = lexicon.words_of("negative positive neg pos battery earth ground terminal service orange")


def _from_aside(act: Act) -> Verb | None:
    """`Caliper down off the wire`, `loom back across`: what was aside; `_NEITHER` where it says no such thing."""
    if act.words & HUNG_ON and act.words & {"from", "off"}:
        returns = act.words & {"down", "over", "back", "forward"} or (act.back and act.verb is None)
        return Verb.SWING_BACK if returns else None
    across = act.direction == NOWHERE and act.words & {"over", "across", "round", "around"}
    return Verb.SWING_BACK if act.direction == ON or across else _NEITHER


def _only_driven_back(act: Act, thing: Thing) -> bool:
    """`Tapped the shaft back`, `piston wound back`: away from its place, and not into it."""
    if not act.low.startswith(_DRIVES) or act.back or thing.off or thing.kind:
        return False
    return "back" in act.words and not act.words & {"in", "on", "into", "onto", "together"}


def _laid_down(act: Act, thing: Thing) -> Verb | None:
    """`Set the tube on the bench`: off, where nothing else told so."""
    laid = act.verb is not None and act.low in _LAID and not (thing.off or thing.kind or act.back)
    return taken_off(act) if laid else None


def _pulled_back(act: Act, thing: Thing) -> bool:
    """`Carpet pulled back`: out of the way, before it was ever off."""
    drawn = act.low.startswith(("pull", "peel", "roll", "fold")) and not thing.aside
    if act.direction == OFF or (act.back and not drawn) or thing.off or thing.kind:
        return False
    if "back" not in act.words or act.words & {"in", "on", "into", "onto"}:
        return False
    return act.low.startswith(("pull", "roll", "push", "move", "slide", "turn"))


def _moves_nothing(act: Act, thing: Thing) -> bool:
    """`Squeeze the tabs`, `the fan runs`, `put it all together`: no part goes on or off."""
    if thing.head in HELD_BY and act.low.startswith(LET_GO) and "back" not in act.words:
        return True
    if thing.head in _PUSHED_BACK and (act.words & {"back", "in"} or act.low.startswith(("press", "pump"))):
        return True
    if thing.head in _SWITCHED or thing.words[-2:] in _BRAKES:
        return True
    lit = thing.head in _LIGHTS and not (thing.off or thing.new or act.new) and "back" not in act.words
    if lit and (act.direction == UP or (act.direction == ON and not act.words & {"in", "into"})):
        return True
    return act.direction != OFF and (
        ("together" in act.words and thing.head not in _JOINED) or (act.low in _RUNNING and not thing.kind)
    )


def _of_clamps(act: Act, thing: Thing) -> Verb | None:
    """A spring clamp is squeezed and slid along its hose; the way back tightens it."""
    if thing.kind != "clamp":
        return None
    if act.verb is None and act.words & {"back", "up", "over", "along"} and act.direction != OFF:
        return Verb.TIGHTEN if act.back else Verb.UNDO if "back" in act.words else None
    if is_energy(thing) and act.direction == ON and "back" in act.words:
        return Verb.RESTORE
    along = "back" in act.words and not act.back
    if act.low not in _CLAMP_MOVES and not along:
        return None
    if act.direction == OFF:
        return Verb.UNDO
    return Verb.TIGHTEN if act.back else Verb.UNDO


def _of_fasteners(act: Act, thing: Thing) -> Verb | None:
    if not thing.kind:
        return None
    if act.low in {"hit", "buzz"}:
        return Verb.START if act.back and not thing.off else Verb.UNDO
    tight = act.words & {"tight", "snug"} and act.low not in {"break", "crack", "get", "got", "come", "came", "put"}
    if tight and (act.back or thing.off) and act.direction not in (OFF, ON) and not act.words & {"hand", "finger"}:
        return Verb.TIGHTEN
    holds = set(thing.owner.words) if thing.owner is not None else set[str]()
    slid = act.verb is None and thing.kind in {"clamp", "clip"} and holds & _HOSES
    if slid and "back" in act.words and not act.words & {"on", "in", "home"}:
        return Verb.TIGHTEN if act.back else Verb.UNDO
    clipped = act.low in {"do", "did", "done"} and thing.kind == "clip" and thing.plural and "up" in act.words
    if (driven := _driven_or_by_hand(act, thing)) is not None:
        return driven
    cases = (
        (act.low in _POPS and act.direction == NOWHERE and not act.back, Verb.UNDO),
        (act.low.startswith(_SNAPS) and "over" in act.words and act.back and thing.off, Verb.START),
        (act.low in _RUNS_UP and act.direction == UP and (act.back or thing.off), Verb.START),
        (act.low in {"run", "ran", "pull", "wind"} and act.direction == DOWN, Verb.TIGHTEN),
        (act.low in {"pull", "pulled"} and act.direction == UP and act.back and not thing.off, Verb.TIGHTEN),
        (act.low in {"run", "ran"} and act.direction == UP and act.words & _DRIVEN_BY, Verb.TIGHTEN),
        (clipped, Verb.START),
        (act.low in {"went", "go", "goes"} and "across" in act.words and act.back, Verb.START),
    )
    return next((verb for holds, verb in cases if holds), None)


def _driven_or_by_hand(act: Act, thing: Thing) -> Verb | None:
    """`Both knocked through`, `bolts through`, `run down by hand`."""
    if "through" in act.words and act.direction == NOWHERE:
        if act.new or thing.new or (act.back and thing.off):
            return Verb.START
        return None if act.back else Verb.UNDO
    by_hand = act.words & {"hand", "finger", "fingers"} and thing.off and act.back
    return Verb.START if by_hand and act.direction != OFF else None


def _of_getting(act: Act, thing: Thing) -> Verb | None:
    """`Do it up`, `get it tight`, `get it started`."""
    if act.low in {"do", "did", "done"} and act.direction in (UP, ON) and "up" in act.words:
        return Verb.TIGHTEN
    first = act.low in {"get", "got"} and act.direction == NOWHERE and act.words & {"first", "next"}
    if first and not act.back and not thing.off:
        return taken_off(act)
    drawn = act.low in {"drawn", "drew", "draw"} and act.direction == UP and thing.kind
    cases = (
        (act.low.startswith("get") and (act.new or thing.new) and thing.head in RENEWED, Verb.RENEW),
        (drawn or (act.low in _TIGHTENS and "tight" in act.words), Verb.TIGHTEN),
        (act.low in {"get", "gets", "getting", "got"} and act.words & {"started", "start"}, Verb.START),
    )
    return next((verb for holds, verb in cases if holds), None)


def _pushed_loose(act: Act, thing: Thing) -> Verb | None:
    """`I pushed the shaft loose in the splines`: slackened, and still there."""
    pushed = act.low.startswith(_PUSHED_LOOSE) and "loose" in act.words
    return Verb.UNDO if pushed and not (thing.kind or act.back or act.direction == OFF) else None


def _to_its_place(act: Act, thing: Thing) -> Verb | None:
    """What `in`, `down`, `up` and no particle say."""
    if (lowered := _let_down(act, thing)) is not _NEITHER:
        return lowered
    only_there = act.verb is None and act.direction == DOWN and thing.kind and not (thing.off or act.back or act.new)
    if only_there or act.low in {"do", "did", "done", "let"}:
        return None
    popped = act.low in _POPS and act.direction == NOWHERE and not act.guard - lexicon.HARD_GUARDS
    if act.guards and act.low.startswith(_LAYS) and act.words & _PLACED and not popped:
        return Verb.GUARD
    if act.direction == NOWHERE and not (act.low.startswith("return") and "to" in act.words):
        return _without_particle(act, thing)
    up_again = act.direction == UP and thing.off and not act.just_off
    goes_in = act.direction in (ON, NOWHERE) or (act.direction == DOWN and act.low not in _PUSHES)
    is_up = act.direction == UP and act.back and act.verb is None and thing.head in _DROPPED - {"panel", "engine"}
    if up_again or goes_in or is_up:
        return put_on(act)
    return taken_off(act) if act.direction == UP and act.low in _LIFTS else None


def _let_down(act: Act, thing: Thing) -> Verb | None:
    """`Let the plate down`, `work it down past the frame`: off on the way in; `_NEITHER`: no such thing."""
    joined = "together" in act.words and thing.head in _JOINED
    if joined or (act.words & {"shut", "closed"} and (act.back or thing.off)):
        return put_on(act)
    known_off = act.back or thing.off or act.new or thing.new
    in_hand = act.words & {"hand", "hands"} and act.words & _WHOSE and act.low in _FALLS and not known_off
    came_down = act.direction == DOWN and act.words & {"together", "easy", "easily", "last"} and act.low in _FALLS
    came_down = came_down and not (known_off or thing.kind)
    if in_hand or came_down or (act.low == "let" and "down" in act.words and not act.back):
        return taken_off(act)
    if act.direction != DOWN or known_off or thing.kind or act.guards or "back" in act.words:
        return _NEITHER
    if thing.head in {"arm", "link"} and act.verb is not None:
        return Verb.SWING_ASIDE
    if act.low in INTRANSITIVE and not act.low.startswith(("com", "cam")):
        return _NEITHER
    return None if act.low in _PUSHES else taken_off(act)


def _without_particle(act: Act, thing: Thing) -> Verb | None:
    """`Pull the service plug`, `lift the lid`, and on the way back `place the lid`."""
    if (act.low in {"drawn", "drew"} or (act.low in {"drop", "dropped"} and thing.head in _DROPPED)) and not act.back:
        return taken_off(act)
    if act.low in {"pull", "pulls", "pulled", "yank", "yanked", "twist"} and is_energy(thing):
        return Verb.ISOLATE
    if act.low in _POPS and not act.back and thing.head not in _OPENED:
        return taken_off(act)
    if ("from" in act.words and act.low.startswith(_FROM)) or (act.low in _DRAWS and "backwards" in act.words):
        return taken_off(act)
    if act.low.startswith(("pull", "yank", "lift")) and act.verb is not None:
        return taken_off(act)
    return put_on(act) if act.low.startswith(("place", "put")) and act.back else None
