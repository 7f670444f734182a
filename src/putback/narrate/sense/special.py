"""One idea: some sentences are known as a whole: reading codes, waiting, proving dead, lifting the car."""

import re
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from putback.core.operations import Verb
from putback.narrate.lines.said import SCANS, Said
from putback.narrate.phrase.phrases import Piece, Sort, words_in
from putback.narrate.sense.cleaning import CLEANS, brushed
from putback.narrate.sense.hanging import HANG_WORDS, HELD_WORDS, hangs, held_aside
from putback.narrate.sense.known import Known, Rule
from putback.narrate.sense.looking import LOOKS
from putback.narrate.sense.marking import MARK_WORDS, marked
from putback.narrate.sense.measuring import GAUGE_WORDS, READINGS, metered
from putback.narrate.sense.parts_of import is_flow_meter
from putback.narrate.sense.pouring import POURS
from putback.narrate.sense.things import singular
from putback.narrate.text.quantities import Of
from putback.narrate.words.lexicon import POWERTRAIN, Sense, words_of

_OTHER_WORK = words_of(
    "bleed bled bleeding mode calibrate calibrated calibration reset retract retracted wound learn learned initialise"
)
"""What else a scan tool is used for."""
_SCANNING = frozenset(
    {"scan", "scanned", "scanner", "scanning", "rescan", "rescanned", "interrogation", "interrogated", "reread"}
)
_READERS = frozenset({"reader", "computer", "laptop", "scanner", "tester"})
_HOOKED_UP = frozenset({"hooked", "connected", "connect", "stuck"})
_GONE_ROUND = words_of("go gone going went been had run ran put threw plug plugged hook hooked")
_READING = words_of("read reads reading check checked pull pulled go going went run ran interrogated interrogate")
_GOES_TOO = words_of("pull pulled go going went run ran check checked")
_CODES_ONLY = words_of("code fault memory memories dtc read reads reading")
_EACH_OF_THEM = words_of("every all each round")
"""`Pulled the module` is a part that came off; `went through every module` is a reading."""
_CODES = frozenset({"code", "module", "unit", "fault", "system", "memory", "memories", "dtc"})
_LOOKED = words_of(
    "check checked confirm confirmed verify verified measure measured prove proved proven make meter test tested "
    "multimeter probe probed zero nought nil no nothing absence established ascertained less under showed shown shows "
    "showing read reads reading indicated tester"
)
_METERS = words_of("meter multimeter tester dmm voltmeter probe probes")
_PROVED_ON = words_of("known source proving battery")
"""What a tester is tried on before and after."""
_TRIED = words_of(
    "try tried tries prove proved proven test tested check checked verify verified reads read works worked"
)
_TOLD_DEAD = words_of("dead zero nought nil voltage inverter")
"""With such a word the meter told what it was to prove."""
_VOLTS = words_of("volt voltage dead volts v")
_LIFTS = words_of("stand lift ramp hoist jack trestle twopost poster fourpost")
OHMS = words_of("ohm ohms milliohm milliohms megohm megohms kilohm amps resistance")
_FLOOR = frozenset({"ground", "floor", "deck", "concrete", "tarmac"})
_LIFTING = _LIFTS | _FLOOR | {"air", "wheel", "tire", "tyre"}
_CAR = words_of(
    "vehicle car van truck ute wagon front rear nose end back nearside offside corner side axle chassis rail sill "
    "subframe jacking point rig lot beast"
)
_ENDS_OF_CAR = words_of("front rear nose tail nearside offside car ute van truck")
_NO_LIFT = frozenset(
    {Sense.ASIDE, Sense.OFF, Sense.UNPLUG, Sense.CLEAN, Sense.INSPECT, Sense.LOOSEN, Sense.TIGHTEN, Sense.PLUG}
)
_POINTS = words_of("terminal inverter lug busbar post compressor charger pin contact")
_WAITED = words_of(
    "wait waited give leave sit sits waiting stand left gave allow allowed allowing elapse elapsed pass passed "
    "observed later timed clock timer leaves leaving sat rest rested waits discharge capacitor stood stopwatch "
    "lapsed dwell idle idled idling"
)
_WOULD = words_of("normally usually would should i'd you'd we'd should've would've supposed")
"""What one does as a rule, and was perhaps not done here."""
_TO_GROUND = words_of("body case chassis ground earth casing")
_SOON = 200
_UP_WITH_IT = 3
_SENDS = words_of("put got sent took had brought get run ran")
_SO_HIGH = words_of("belt-high waist chest shoulder belt head chin knee waist-high chest-high shoulder-high head-high")
_HER = frozenset({"it", "her", "him"})
_RECENT = 4
"""So many operations after an isolation a meter is there to prove it dead."""


def known_sentence(parts: Sequence[Piece], said: Sequence[Said], place: int) -> Known | None:
    """What a segment says as a whole, or None where it is none of these."""
    words = words_in(parts)
    heads = {singular(word) for word in words} | set(words)
    if _meter_tried(heads) or _gloves_on(parts, heads, words) or ("already" in words and heads & {"proved", "proven"}):
        return Known(None)
    for known in (
        _up_with_it(parts, words, said),
        _waited(parts, said, place),
        _waited_out(parts, words, said),
        _across_zero(parts, words, said),
        _proved(parts, heads, said),
        _meter_check(parts, words, said),
        _meter_zero(heads, said),
        _small_battery_off(parts),
        _across_nothing(words, heads, said),
    ):
        if known is not None:
            again = known.verb is Verb.PROVE_DEAD and _said_just_now(Verb.PROVE_DEAD, said, place)
            return Known(None) if again else known
    for needs, rule in _RULES:
        if needs and not heads & needs:
            continue
        known = rule(parts, heads, words)
        if known is not None and known.verb is Verb.LOWER and set(words) <= {"back", "down"} and not is_up(said):
            continue
        if known is not None and known.verb is Verb.PROVE_DEAD and _is_live(said):
            continue
        supported = known is not None and known.verb is Verb.RAISE and not heads & _GOES_UP and is_up(said)
        if known is not None:
            if supported:
                return Known(None)
            anew = known.verb is Verb.READ_BEFORE and _AGAIN & set(words) and said and said[-1].verb not in SCANS
            told = known.verb and not anew and _said_just_now(known.verb, said, place)
            return Known(None) if told else known
    return None


def _up_with_it(parts: Sequence[Piece], words: Sequence[str], said: Sequence[Said]) -> Known | None:
    """`Then up with it`, `car on the floor`: the car goes up where it is down, and down where it is up."""
    up, told = is_up(said), set(words)
    if not up:
        return Known(Verb.RAISE, "vehicle") if "up" in told and _goes_up(words, said) else None
    return Known(Verb.LOWER, "vehicle") if told & _DOWN_TO and _goes_down(parts, words, said) else None


_DOWN_TO = _FLOOR | {"down"}


def _goes_up(words: Sequence[str], said: Sequence[Said]) -> bool:
    """`Then up with it`, `up again`, `I sent her up to chest height`, `up she goes`, of a car that is down."""
    told = set(words)
    lifts = {singular(word) for word in words} & (_LIFTS | {"air"})
    wheels_loose = bool(said) and said[-1].verb is Verb.UNDO and {"wheel", "lug"} & set(said[-1].object.split())
    up_she = list(words[:1]) == ["up"] and {"she", *_HER} & set(words[1:2])
    part_moved = bool(said) and said[-1].verb in (Verb.START, Verb.FIT, Verb.REMOVE)
    just_up = list(words) in (["up", "she", "goes"], ["up", "she", "went"]) and not part_moved
    once_more = words[-1:] and words[-1] == "again" and any(one.verb is Verb.RAISE for one in said)
    lifted = lifts or told & _SO_HIGH or wheels_loose or just_up or once_more
    cases = (
        list(words[:2]) == ["up", "with"] and len(words) == _UP_WITH_IT and words[2] in _HER,
        list(words) == ["up", "again"] and any(one.verb is Verb.RAISE for one in said),
        told & _SENDS and told & {*_HER, "car", "she"} and "up" in told and told & _SO_HIGH,
        up_she and lifted and {"goes", "went", "comes", "came"} & told,
        {"had", "her", "up", "again"} <= told and any(one.verb is Verb.RAISE for one in said),
    )
    return any(cases)


def _goes_down(parts: Sequence[Piece], words: Sequence[str], said: Sequence[Said]) -> bool:
    """`Lift down`, `rear end down`, `car on the floor`, `down to working height`, of a car that is up."""
    told = set(words)
    end_down = {"front", "rear", "back"} & set(words) and "end" in words and list(words[-1:]) == ["down"]
    stands = len(words) > 1 and words[0] in _ENDS_OF_CAR | {"car"} and words[-1] in _FLOOR and "on" in words
    alone = all(piece.sort in (Sort.NAME, Sort.PREPOSITION, Sort.PARTICLE) for piece in parts)
    cases = (
        list(words) == ["lift", "down"] or end_down,
        {"let", "down"} <= set(words) and set(words) & {"front", "rear", "nose", "tail", "her", "him"},
        list(words[:1]) in (["down"], ["back"]) and "down" in words[:2] and words[-1] == "height",
        told & _SENDS and told & {*_HER, "car", "she"} and "down" in told and "height" in told,
        _is_down(words, said),
        stands and alone,
    )
    return any(cases)


def proved_there(parts: Sequence[Piece], said: Sequence[Said], place: int) -> bool:
    """`…, where it showed less than one volt`: what a meter says of what was isolated."""
    words = set(words_in(parts))
    dead = bool(words & _VOLTS and words & _LOOKED) and _isolated_of_late(said)
    return dead and not _said_just_now(Verb.PROVE_DEAD, said, place)


_AGAIN = frozenset({"second", "final", "fresh", "again", "rescan", "rescanned", "reread"})


def _said_just_now(verb: Verb, said: Sequence[Said], place: int) -> bool:
    same = SCANS if verb is Verb.READ_BEFORE else {verb}
    return any(one.verb in same and one.start > place - _SAID_WITHIN.get(verb, _SAID_NEAR) for one in said[-3:])


_SAID_NEAR = 40
_SAID_WITHIN = {
    Verb.READ_BEFORE: 160,
    Verb.PROVE_DEAD: 160,
    Verb.INSPECT: 0,
    Verb.RAISE: 90,
    Verb.NOTE: 160,
    Verb.DRAIN: 110,
}
"""So many signs before it the same may have been said in other words."""


def _is_live(said: Sequence[Said]) -> bool:
    """Whether power was on again: connected, or codes were read or cleared, since the last isolation."""
    for one in reversed(said):
        if one.verb is Verb.RESTORE or (one.verb is Verb.NOTE and one.object == "codes"):
            return True
        if one.verb is Verb.ISOLATE:
            return False
    return False


def _isolated_of_late(said: Sequence[Said]) -> bool:
    late = [one for one in said[-2 * _RECENT :] if one.verb is not Verb.INSPECT][-_RECENT:]
    last = next((n for n, one in enumerate(reversed(late)) if one.verb is Verb.ISOLATE), None)
    since = late[len(late) - last :] if last is not None else []
    return last is not None and not _is_live(said) and not any(one.verb is Verb.PROVE_DEAD for one in since)


def _waited(parts: Sequence[Piece], said: Sequence[Said], place: int) -> Known | None:
    """`Ten minutes by the clock`, right after an isolation."""
    late = [one.verb for one in said[-2:] if place - one.end < _SOON]
    if Verb.ISOLATE not in late or Verb.WAIT in late:
        return None
    text = time_of(parts)
    gave = any(piece.low in _GAVE for piece in parts)
    if any(piece.low in _CARD_SAYS for piece in parts) and not gave:
        return None
    if text.endswith("hour") and not any(piece.low in _WAITED for piece in parts):
        return None
    return Known(Verb.WAIT, text) if text else None


_GAVE = words_of("gave give left waited sat stood")
_CARD_SAYS = words_of("says say said wants asks")


def time_of(parts: Sequence[Piece]) -> str:
    """A time as it was said: `10 minutes`, `a quarter of an hour`; empty where none was."""
    minutes = next((p.quantity for p in parts if p.quantity and p.quantity.of is Of.MINUTES), None)
    if minutes is not None:
        return f"{minutes.text} minutes"
    lows = words_in(parts)
    for said in ("quarter of an hour", "half an hour", "an hour"):
        if said in " ".join(lows):
            return said
    return ""


def _across_zero(parts: Sequence[Piece], words: Sequence[str], said: Sequence[Said]) -> Known | None:
    """`Plus to minus, zero.` `Zero each one to body.`: what a meter says of what was isolated, and is not back yet."""
    told = set(words)
    both = {"plus", "minus"} <= told or (told & _TO_GROUND and "each" in told)
    if not both:
        return None
    live = next((one.verb for one in reversed(said) if one.verb in (Verb.ISOLATE, Verb.RESTORE)), None)
    none = any(piece.quantity is not None and piece.quantity.number.value == 0 for piece in parts)
    zero = told & {"zero", "nought", "nil"} or none
    return Known(Verb.PROVE_DEAD, "no voltage") if zero and live is Verb.ISOLATE else None


def _waited_out(parts: Sequence[Piece], words: Sequence[str], said: Sequence[Said]) -> Known | None:
    """`Waited it out`, `so I've waited`, `I left it that long`: right after an isolation."""
    late = [one.verb for one in said[-_RECENT:]]
    if Verb.ISOLATE not in late or Verb.WAIT in late or any(piece.sort in (Sort.IF, Sort.NOT) for piece in parts):
        return None
    counted = any(piece.quantity is not None and piece.quantity.of is Of.COUNT for piece in parts)
    long = bool(_SO_LONG & set(words)) or counted
    left = set(words) & {"left", "gave", "give"} and long and "it" in words
    left = left or ("let" in words and set(words) & {"stand", "sit", "rest"})
    left = left or list(words[-3:]) == ["left", "it", "a"] or _stood_so_long(words)
    return Known(Verb.WAIT, "time not said") if "waited" in words or left else None


def _stood_so_long(words: Sequence[str]) -> bool:
    """`Sat out the time on the card`, `left her alone for as long as it asks`, `gave it every minute`."""
    told = set(words)
    sat = bool({"sat", "stood"} & set(words[:3])) and bool(told & {"out", "10", "minutes", "time", "full"})
    alone = "left" in told and ("alone" in told or (told & _HER and told & {"long", "be"}))
    return sat or bool(alone) or (bool(told & _GAVE) and "it" in told and "every" in told)


_SO_LONG = words_of("that long longer length time it's sit stand rest while full card")


def _across_nothing(words: Sequence[str], heads: set[str], said: Sequence[Said]) -> Known | None:
    """`I went across the pins and it was nothing`, after an isolation."""
    put_it = list(words[:2]) in (["put", "it"], ["touched", "it"], ["held", "it"])
    told = "across" in words and heads & _POINTS and (heads & _ZEROS or put_it)
    return Known(Verb.PROVE_DEAD, "no voltage") if told and _isolated_of_late(said) else None


def _proved(parts: Sequence[Piece], heads: set[str], said: Sequence[Said]) -> Known | None:
    """`Meter on the charger posts: nothing`, after an isolation."""
    where = any(piece.low in {"across", "on", "to", "at", "onto", "upon"} for piece in parts)
    away = "out" in heads and heads & {"was", "is", "loan"}
    twelve = any(one.quantity is not None and one.quantity.number.value == _VOLTS_OF_A_CAR for one in parts)
    if heads & _WOULD or away or twelve or any(is_flow_meter(piece) for piece in parts):
        return None
    if heads & ({"insulation", "megger"} | OHMS):
        return None
    if not heads & _METERS or not where or heads & _PROVED_ON or not _isolated_of_late(said):
        return None
    of = next((p for p in parts if p.sort is Sort.NAME and singular(p.head) not in _METERS), None)
    return Known(Verb.PROVE_DEAD, "no voltage", of)


def _meter_tried(heads: set[str]) -> bool:
    """`The meter was tried on a good battery before and after`: part of the proof, and nothing of the job."""
    on_known = heads & _PROVED_ON and heads & _TRIED and heads & {"on", "against", "upon", "at"}
    either_side = heads & {"either", "before"} and heads & {"side", "after"} and heads & _TRIED
    return bool(heads & _METERS and (on_known or either_side) and not heads & _TOLD_DEAD)


def _gloves_on(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> bool:
    """`I put the gloves back on`: what a person wears."""
    worn = bool("gloves" in words and {"on", "off"} & set(words) and not heads & {"over", "round", "around", "tie"})
    others = [one for one in parts if one.sort is Sort.NAME and "gloves" not in one.words]
    return worn and not ("with" in words and others)


_TELLS_OF_CODES = _SCANNING | _READERS | _CODES | words_of("read reading sweep tool tablet codes")
"""Where none of these is said, no codes were read."""


def _scan(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> Known | None:
    if any(one.low == "with" and two.words[-2:] == ("scan", "tool") for one, two in pairwise(parts)):
        heads = heads - {"scan"}
    if heads & {"clear", "cleared", "erase", "erased", "wiped", "deleted"} and heads & _CODES:
        return None
    other = bool(heads & _OTHER_WORK) and not heads & _CODES - {"system", "unit"}
    if other or " ".join(words[:2]) in {"no rescan", "no scan", "not scanned", "not rescanned"}:
        return None
    reads_again = heads & {"read", "scan", "scanned", "code", "codes"} and "again" in heads
    reads_again = reads_again or (
        heads & {"second", "further", "final", "fresh"} and heads & {"reading", "read", "scan", "sweep"}
    )
    asked = heads & _READING and heads & _CODES - {"system"}
    if heads & _GOES_TOO and not heads & (_CODES_ONLY | _EACH_OF_THEM):
        asked = set()
    if reads_again or heads & _SCANNING or asked:
        return Known(Verb.READ_BEFORE, "vehicle")
    tool_in = any(one.words == ("tool",) and two.low == "in" for one, two in pairwise(parts))
    if heads & {"plug", "plugged"} and (heads & {"reader", "laptop", "tablet"} or tool_in):
        return Known(Verb.READ_BEFORE, "vehicle")
    hooked_up = heads & _HOOKED_UP and "off" not in words and not heads & {"hose", "battery"}
    round_it = heads & _GONE_ROUND and heads & {"it", "her", "module", "system", "car", "vehicle"}
    run_from = any(one.low in {"off", "from"} and set(two.words) & _READERS for one, two in pairwise(parts))
    on_first = words[:1] and words[0] in _READERS and list(words[1:2]) == ["on"]
    hooked_up = hooked_up or ("put" in words and "on" in words and heads & {"reader", "scanner"})
    if heads & _READERS and (hooked_up or round_it or on_first) and not run_from:
        return Known(Verb.READ_BEFORE, "vehicle")
    return None


def _cures(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> Known | None:
    """`Let the sealant sit a while`, `waited for the pipe to cool`: left to itself."""
    left = words[:1] == ["left"] and heads & {"off", "skin", "cure", "set", "soak", "cool", "dry"} and "to" in words
    if left:
        return Known(Verb.WAIT, time_of(parts) or "time not said")
    lasts = heads & _TAKES_TIME and heads & _LEFT_TO_IT and not any(piece.sort is Sort.NOT for piece in parts)
    return Known(Verb.WAIT, time_of(parts) or "time not said") if lasts else None


_LEFT_SO = words_of("it that them her him she")
_GIVEN_TIME = words_of("gave left waited let give")
_TAKES_TIME = words_of("cure soak sealant glue adhesive")
_LEFT_TO_IT = words_of("waited let left gave")
_LIVE = 5
"""So many volts and more are read, and prove nothing dead."""
_FOUND = words_of("volt volts v")


def _wait(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> Known | None:
    del words
    minutes = next((p.quantity for p in parts if p.quantity and p.quantity.of is Of.MINUTES), None)
    if heads & {"says", "said"}:
        return None
    hour = time_of(parts) if minutes is None and _LEFT_SO & heads and heads & _GIVEN_TIME else ""
    if hour:
        return Known(Verb.WAIT, hour)
    return Known(Verb.WAIT, f"{minutes.text} minutes") if minutes and heads & _WAITED else None


_MEASURED = _LOOKED - words_of("no nothing less under nil absence")
_OF_VOLTS = _VOLTS - {"dead"}
_DEAD_HOW = words_of(
    "quiet straight easy level slow simple centre center end pedal spot weight battery cert on right sure good tight"
)
"""`Dead quiet`, `dead easy`: very."""
_NO_VOLTS = re.compile(
    r"\b(no|nil|zero|less than|under|absence of)( \w+){0,2} (volts?|voltage|v)\b"
    r"|\b(volts?|voltage) ((is|was|reads|read) )?(nil|none)\b"
)


def _tells_of_none(heads: set[str], words: Sequence[str]) -> bool:
    """Whether it is told that no voltage was found: `no volts`, `dead`; and not `dead quiet`, `nothing orange`."""
    dead = any(one == "dead" and two not in _DEAD_HOW for one, two in pairwise([*words, ""]))
    if dead:
        return True
    if heads & _MEASURED:
        return bool(heads & _OF_VOLTS)
    return _NO_VOLTS.search(" ".join(words)) is not None


def _dead(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> Known | None:
    live = any(one.quantity and one.quantity.number.value >= _LIVE and set(words) & _FOUND for one in parts)
    volts = bool(heads & _VOLTS) and not heads & _PROVED_ON and not live and _tells_of_none(heads, words)
    if not volts and (heads & OHMS or not (heads & {"meter", "measured"} and heads & _POINTS)):
        return None
    of = next((p for p in parts if p.sort is Sort.NAME and singular(p.head) in _POINTS), None)
    return Known(Verb.PROVE_DEAD, "no voltage", of)


def _meter_check(parts: Sequence[Piece], words: Sequence[str], said: Sequence[Said]) -> Known | None:
    """`Meter check.`, after an isolation."""
    checks = set(words) <= {"meter", "multimeter", "check", "checked", "test", "tested"} and len(words) > 1
    return Known(Verb.PROVE_DEAD, "no voltage") if checks and parts and _isolated_of_late(said) else None


def _small_battery_off(parts: Sequence[Piece]) -> Known | None:
    """`12 volt off.`"""
    one = parts[0].quantity if len(parts) == _FEW_WORDS else None
    twelve = one is not None and one.number.value == _VOLTS_OF_A_CAR and set(parts[0].words) & _FOUND
    return Known(Verb.ISOLATE, "12 volt battery") if twelve and parts[1].low == "off" else None


_VOLTS_OF_A_CAR = 12
_FEW_WORDS = 2


def _meter_zero(heads: set[str], said: Sequence[Said]) -> Known | None:
    """`Meter says zero`, after an isolation."""
    zero = heads & _METERS and heads & _ZEROS and not heads & _PROVED_ON
    return Known(Verb.PROVE_DEAD, "no voltage") if zero and _isolated_of_late(said) else None


_ZEROS = words_of("zero nought nil nothing dead zip zilch")
_POSTS = (2, 4)
"""Of so many posts a lift is built."""
_GOES_UP = words_of("up raise raised raises jack jacked jacks hoist hoisted lift lifted air")
"""Where the car is up already, only such words raise it again; a stand under it holds it."""
_HELD_UP = _LIFTING | {"post"}
_JACK_AWAY = words_of("jack jacks away out down back off")


def _let_out(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> Known | None:
    """`Let it all run out of the little tap`."""
    goes = words[-1:] and words[-1] in {"run", "drain", "drip", "go"} and heads & _FLUIDS and "let" in words
    if goes:
        return Known(Verb.DRAIN, next(word for word in words if singular(word) in _FLUIDS))
    lets = any(piece.sort is Sort.VERB and piece.low in {"let", "lets"} for piece in parts)
    runs = _RUNS & set(words)
    it = {"it", "everything"} & set(words) or any(piece.head in _FLUIDS for piece in parts)
    fluid = next((piece for piece in parts if piece.head in _FLUIDS), None)
    caught = bool({"into", "in"} & set(words) and set(words) & _TRAYS)
    if not (lets and runs and it and ({"out", "drain"} & set(words) or caught)):
        return None
    return Known(Verb.DRAIN, fluid.low if fluid is not None else "fluid", fluid)


_RUNS = words_of("run drain pour drip dribble piddle flow")
_TRAYS = words_of("pan tray tub bucket basin container can")
_FLUIDS = words_of("coolant oil fluid antifreeze water fuel")


def comes_down(parts: Sequence[Piece], said: Sequence[Said]) -> bool:
    """`And she's coming down`: the car, where it was up."""
    words = [piece.low for piece in parts]
    moves = {"coming", "comes", "came", "down"} & set(words) and "down" in words
    she = {"she's", "she", "her", "him"} & set(words)
    named = any(piece.sort is Sort.NAME for piece in parts)
    return bool(moves and she) and not named and is_up(said)


_LIFTED = (Verb.RAISE, Verb.LOWER)


def is_up(said: Sequence[Said]) -> bool:
    """Whether the car was raised, and is not down again."""
    moved = (one.verb for one in reversed(said) if one.verb in _LIFTED and not set(one.object.split()) & POWERTRAIN)
    return next(moved, None) is Verb.RAISE


def _lifted(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> Known | None:
    before = _before_purpose(parts)
    if len(before) < len(parts):
        parts, words = before, words_in(before)
        heads = {singular(word) for word in words} | set(words)
    if len(parts) > _FEW_WORDS and not heads & _HELD_UP:
        return None
    names = [piece for piece in parts if piece.sort is Sort.NAME]
    if list(words) in (["down"], ["back", "down"]) or (heads & {"jack"} and set(words) <= _JACK_AWAY):
        return Known(Verb.LOWER, "vehicle")
    on_posts = any(one.head in {"post", "posts"} and one.count in _POSTS for one in names)
    lifting = _LIFTING | ({"post"} if on_posts else set())
    heads = heads | ({"lift"} if on_posts else set())
    others = [one for one in names if singular(one.head) not in lifting | _CAR and one.head != "height"]
    lifts = {singular(word) for piece in names for word in piece.words} & lifting
    stands = set(words) & {"had", "have", "has"} or any(one.sense in _NO_LIFT for one in parts)
    if others or stands or not (lifts or _car_alone(parts)):
        return None
    own = any(piece.head == "wheels" and piece.marks & {"its", "her", "their"} for piece in names)
    floor = own or any(piece.words[-1] in _FLOOR and len(piece.words) == 1 for piece in names if piece.words)
    off_lift = {"off", "from"} & set(words) and heads & _LIFTS
    if ("down" in words and (floor or heads & _LIFTS)) or off_lift or ({"back", "on"} <= set(words) and floor):
        return Known(Verb.LOWER, "vehicle")
    set_down = any(one.sense in (Sense.MOVE, Sense.LOWER, Sense.ON) for one in parts) and bool(heads & _FLOOR)
    to_it = bool({"on", "onto", "to"} & set(words)) and any(singular(one.head) in _CAR for one in names)
    if (set_down and to_it) or (heads & {"wheels"} and heads & _FLOOR and "off" not in words):
        return Known(Verb.LOWER, "vehicle")
    raised = bool(set(words) & {"up", "on", "onto", "in", "under"} and heads & (_LIFTS | {"air"}))
    ground = any(piece.words[-1:] and piece.words[-1] in _FLOOR and len(piece.words) == 1 for piece in names)
    raised = raised or ("off" in words and ground) or ("up" in words and _car_alone(parts))
    return Known(Verb.RAISE, "vehicle") if raised else None


def _before_purpose(parts: Sequence[Piece]) -> Sequence[Piece]:
    """`Up on the hoist to have a look`, `let her down until the tires had the weight`: what stands before."""
    ends = (
        n
        for n, piece in enumerate(parts)
        if n and (piece.low in {"until", "till", "for"} or (piece.low == "to" and _is_purpose(parts[n + 1 : n + 2])))
    )
    return parts[: next(ends, len(parts))]


def _is_purpose(following: Sequence[Piece]) -> bool:
    return bool(following) and (following[0].sort in (Sort.VERB, Sort.OTHER_VERB) or following[0].low == "have")


def _is_down(words: Sequence[str], said: Sequence[Said]) -> bool:
    """`Car is down already.`, where it was up."""
    down = "down" in words and set(words) & {"car", "she's", "van", "truck"} and set(words) & {"is", "she's", "are"}
    return bool(down) and set(words) <= _DOWN_NOW and is_up(said)


_DOWN_NOW = words_of("the car van truck she's is down now already back again slowly all way")


def _car_alone(parts: Sequence[Piece]) -> bool:
    """`Rear up`, `nose up`, and nothing more."""
    return len(parts) == _FEW_WORDS and parts[0].low in _ENDS_OF_CAR and parts[1].sort is Sort.PARTICLE


_TOOK_OUT = words_of("took take taken had")
_FOR_A_RUN = tuple(f"{her} out {way}" for her in _HER for way in ("to", "for", "round", "around", "on", "along", "up"))
"""`I took it out to the road`: it was driven, and no part came off."""


def _runs(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> Known | None:
    """Starting the engine is no operation on a part."""
    del heads
    first = next((p.low for p in parts if p.sort is Sort.VERB), "")
    text = " ".join(words)
    if first in _TOOK_OUT and any(way in text for way in _FOR_A_RUN):
        return Known(None)
    if first in {"start", "run", "fire"} and ("it up" in text or "engine" in words or "car" in words):
        return Known(None)
    return None


_ANY: Final = frozenset[str]()
_RULES: Final[tuple[tuple[frozenset[str], Rule], ...]] = (
    (frozenset({"let", "lets"}), _let_out),
    (_ANY, brushed),
    (_TELLS_OF_CODES, _scan),
    (_ANY, _wait),
    (_TAKES_TIME | {"left"}, _cures),
    (_LOOKED, _dead),
    (GAUGE_WORDS, metered),
    (MARK_WORDS, marked),
    (_ANY, _lifted),
    (_ANY, _runs),
    *((_ANY, rule) for rule in (*LOOKS, *READINGS, *CLEANS, *POURS)),
    (HANG_WORDS, hangs),
    (HELD_WORDS, held_aside),
)
"""What is tried of a whole sentence, in order, each only where one of its words was said (nothing: always)."""
