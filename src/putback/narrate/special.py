"""One idea: some sentences are known as a whole: reading codes, waiting, proving dead, lifting the car."""

from collections.abc import Sequence
from dataclasses import dataclass

from putback.core.operations import Verb
from putback.narrate.phrases import Piece, Sort
from putback.narrate.quantities import Of
from putback.narrate.said import Said
from putback.narrate.things import singular


@dataclass(frozen=True, slots=True)
class Known:
    """What a known sentence says; `verb` None: it is heard and says no operation."""

    verb: Verb | None
    object: str = ""
    of: Piece | None = None


_SCANNING = frozenset({"scan", "scanned", "scanner", "scanning"})
_READERS = frozenset({"reader", "computer", "laptop", "scanner", "tester"})
_GONE_ROUND = frozenset(
    {"go", "gone", "going", "went", "been", "had", "run", "ran", "put", "threw", "plug", "plugged", "hook", "hooked"}
)
_READING = frozenset({"read", "reading", "check", "pull", "pulled", "go", "going", "went", "run", "ran"})
_WAITED = frozenset(
    {
        "wait",
        "waited",
        "waiting",
        "give",
        "gave",
        "leave",
        "left",
        "sit",
        "sits",
        "sat",
        "stand",
        "stood",
        "waits",
        "allow",
        "allowed",
        "leaves",
        "leaving",
        "rest",
        "rested",
    }
)
_CODES = frozenset({"code", "module", "unit", "fault", "system"})
_LOOKED = frozenset(
    {"check", "checked", "confirm", "confirmed", "verify", "verified", "measure", "measured", "prove", "proved"}
    | {"make", "meter", "test", "tested", "multimeter", "probe", "probed", "zero", "nought", "nil", "no"}
)
_PAINT = frozenset({"paint", "pen", "marker", "chalk", "scribe", "tippex"})
_LIFTS = frozenset({"stand", "lift", "ramp", "hoist", "jack", "trestle"})
_FLOOR = frozenset({"ground", "floor", "deck"})
_LIFTING = _LIFTS | _FLOOR | {"air", "wheel"}
_CAR = frozenset(
    {"vehicle", "car", "van", "truck", "ute", "front", "rear", "nose", "end", "nearside", "offside", "corner"}
)
_POINTS = frozenset({"terminal", "inverter", "lug", "busbar", "post"})


def known_sentence(parts: Sequence[Piece], said: Sequence[Said], place: int) -> Known | None:
    """What a segment says as a whole, or None where it is none of these."""
    words = [word for piece in parts for word in (piece.words or (piece.low,))]
    heads = {singular(word) for word in words} | set(words)
    for rule in (_scan, _wait, _dead, _metered, _marked, _lifted, _runs, _look):
        known = rule(parts, heads, words)
        if known is not None:
            return Known(None) if known.verb and _said_just_now(known.verb, said, place) else known
    return None


def _said_just_now(verb: Verb, said: Sequence[Said], place: int) -> bool:
    near = {Verb.READ_BEFORE: 160, Verb.PROVE_DEAD: 160}.get(verb, 40)
    same = {Verb.READ_BEFORE, Verb.READ_AFTER} if verb is Verb.READ_BEFORE else {verb}
    return any(one.verb in same and one.start > place - near for one in said[-3:])


def _scan(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> Known | None:
    del parts, words
    if heads & {"clear", "cleared", "erase", "erased"} and heads & _CODES:
        return None
    reads_again = heads & {"read", "scan", "scanned"} and "again" in heads
    if reads_again or heads & _SCANNING or (heads & _READING and heads & _CODES - {"system"}):
        return Known(Verb.READ_BEFORE, "vehicle")
    if heads & _READERS and heads & _GONE_ROUND and heads & {"it", "her", "module", "system", "car", "vehicle", "her"}:
        return Known(Verb.READ_BEFORE, "vehicle")
    return None


def _wait(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> Known | None:
    del words
    minutes = next((p.quantity for p in parts if p.quantity and p.quantity.of is Of.MINUTES), None)
    if minutes and heads & _WAITED:
        return Known(Verb.WAIT, f"{minutes.text} minutes")
    return None


def _dead(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> Known | None:
    del words
    volts = heads & {"volt", "voltage", "dead", "volts"}
    if not (volts and heads & _LOOKED) and not (heads & _LOOKED and heads & {"meter", "measured"} and heads & _POINTS):
        return None
    of = next((p for p in parts if p.sort is Sort.NAME and singular(p.head) in _POINTS), None)
    return Known(Verb.PROVE_DEAD, "no voltage", of)


def _metered(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> Known | None:
    """`I put the meter across the motor, two ohms.`"""
    del words
    across = next((n for n, piece in enumerate(parts) if piece.low in {"across", "on", "to"}), None)
    if not heads & {"meter", "multimeter"} or across is None:
        return None
    of = next((piece for piece in parts[across:] if piece.sort is Sort.NAME), None)
    return Known(Verb.MEASURE, of.low, of) if of is not None else None


def _marked(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> Known | None:
    """`Put a stripe of paint across the wheel and the shaft.`"""
    across = next((n for n, piece in enumerate(parts) if piece.low in {"across", "on", "over", "along"}), None)
    if not heads & {"stripe", "line", "dot", "dab", "mark"} or not set(words) & _PAINT or across is None:
        return None
    of = next((piece for piece in parts[across:] if piece.sort is Sort.NAME), None)
    return Known(Verb.MARK, of.low, of) if of is not None else None


def _lifted(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> Known | None:
    names = [piece for piece in parts if piece.sort is Sort.NAME]
    others = [one for one in names if singular(one.head) not in _LIFTING | _CAR]
    if others or not any(singular(one.head) in _LIFTING for one in names):
        return None
    floor = heads & _FLOOR or "wheels" in words
    lowered = ("down" in words and (floor or heads & _LIFTS)) or ("off" in words and heads & _LIFTS)
    if lowered or ("back" in words and heads & _FLOOR):
        return Known(Verb.LOWER, "vehicle")
    raised = set(words) & {"up", "on", "onto"} and heads & (_LIFTS | {"air"})
    return Known(Verb.RAISE, "vehicle") if raised else None


def _runs(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> Known | None:
    """Starting the engine is no operation on a part."""
    del heads
    first = next((p.low for p in parts if p.sort is Sort.VERB), "")
    text = " ".join(words)
    if first in {"start", "run", "fire"} and ("it up" in text or "engine" in words or "car" in words):
        return Known(None)
    return None


def _look(parts: Sequence[Piece], heads: set[str], words: Sequence[str]) -> Known | None:
    """`Take a look at the mounts`."""
    del heads, words
    for n, piece in enumerate(parts):
        if piece.sort is Sort.NAME and piece.words == ("look",):
            of = next((one for one in parts[n + 1 :] if one.sort is Sort.NAME), None)
            return Known(Verb.INSPECT, of.low, of) if of else None
    return None
