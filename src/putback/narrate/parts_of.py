"""One idea: what each piece of a segment is to its verb: its object, what holds it, or a word that only helps."""

import re
from collections.abc import Sequence
from itertools import pairwise

from putback.core.operations import Verb
from putback.narrate import lexicon
from putback.narrate.decide import direction_of
from putback.narrate.lexicon import Sense
from putback.narrate.phrases import Piece, Sort
from putback.narrate.quantities import Of
from putback.narrate.things import Thing, is_plural, singular

INTRODUCES = frozenset({"it's", "that's", "there's", "here's"})
_TOOL_HEADS = lexicon.words_of("tool spanner socket wrench ratchet driver screwdriver pliers puller bar pick hook")
WAY_BACK = frozenset({Verb.FIT, Verb.START, Verb.PLUG_IN, Verb.JOIN, Verb.RESTORE})
OFF_THE_CAR = frozenset({Verb.REMOVE, Verb.UNDO, Verb.PART, Verb.ISOLATE})
NO_OBJECT = lexicon.words_of(
    "spanner socket wrench ratchet bit driver extension hand hands tool tools way time side top "
    "bottom bench dash glove "
    "tester scanner meter split splits drip drips gloves key keys light lights glasses surface "
    "place click tug twist pliers people person mirror trolley "
    "hole holes dowel dowels temperature mine pain others yours ours lock lever latch "
    "flashlight torch lamp order minute minutes caution note report hour place stud fingers "
    "finger impact grease look"
)
_TRIED = 4
"""So many verbs of one segment are tried."""
INTRANSITIVE = lexicon.words_of(
    "go goes going went gone come comes came coming fall falls fell want wants sit sits sat"
)
STATES = frozenset({"is", "are", "was", "were", "it's", "there's", "that's", "be"})


def is_energy_name(piece: Piece) -> bool:
    """Whether a name is of something that brings power."""
    return bool(set(piece.words) & {"negative", "battery"})


def owner_of(piece: Piece, parts: Sequence[Piece]) -> Piece | None:
    """The item that a segment names with a fastener: the first after it, else the last before it."""
    after = [one for one in parts if one.start > piece.start and one.sort is Sort.NAME and _can_own(one)]
    before = [one for one in parts if one.start < piece.start and one.sort is Sort.NAME and _can_own(one)]
    return after[0] if after else before[-1] if before else None


def _can_own(piece: Piece) -> bool:
    return piece.head not in lexicon.FASTENERS and piece.head not in NO_OBJECT and piece.words != ("one",)


def chosen(parts: Sequence[Piece]) -> list[Piece]:
    """The verbs of a segment that may say what was done, the likeliest first; none after `to keep`."""
    verbs: list[Piece] = []
    for n, piece in enumerate(parts):
        if piece.low == "keep" and n and parts[n - 1].low == "to":
            break
        if piece.sort is Sort.VERB:
            verbs.append(piece)
    verbs = [verb for verb in verbs if not _only_helps(parts, parts.index(verb))]
    strong = [verb for verb in verbs if verb.sense is not Sense.MOVE]
    return [*strong, *(verb for verb in verbs if verb.sense is Sense.MOVE)][:_TRIED]


def _only_helps(parts: Sequence[Piece], n: int) -> bool:
    """`Have got`, `coming off of the front`, `crack on`: no act."""
    low, before = parts[n].low, parts[n - 1] if n else None
    if low == "got" and before is not None and before.low in {"have", "has", "you've", "i've", "we've", "it's"}:
        return True
    if low == "crack" and n + 1 < len(parts) and parts[n + 1].low == "on":
        return True
    subject = before is not None and (before.sort is Sort.SUBJECT or before.low in {"gonna", "to", "by"})
    return low.endswith("ing") and before is not None and not subject


def without_purpose(parts: list[Piece]) -> list[Piece]:
    """What stands before `to keep …`."""
    for n, piece in enumerate(parts):
        if piece.low in {"keep", "stop"} and n and parts[n - 1].low == "to":
            return parts[: n - 1]
    return parts


def takes_off(verb: Piece, after: Sequence[Piece]) -> bool:
    """Whether a verb parts something, by itself or with what follows it."""
    if verb.sense in (Sense.OFF, Sense.LOOSEN, Sense.UNPLUG):
        return True
    return verb.sense is Sense.MOVE and direction_of(after, ()) == "off"


def by_itself(verb: Piece, before: Sequence[Piece], after: Sequence[Piece]) -> bool:
    """Whether the name before the verb is what moves: `goes`, `comes off`, `is removed`, `unplugs`."""
    if not any(piece.sort in (Sort.NAME, Sort.PRONOUN) for piece in before):
        return False
    if before[-1].sort is Sort.SUBJECT:
        return False
    if after and after[0].sort is Sort.NAME and not verb.low.endswith("s"):
        return False
    return verb.low.endswith(("s", "ed")) or verb.low in {"go", "come", "want", "laid", "done", "taken", "put", "drop"}


def numbers(verb: Verb, thing: Thing | None, parts: Sequence[Piece]) -> tuple[int | None, str | None]:
    """Count and size: as said in the segment, else as said of the thing before."""
    own = [p for p in parts if p.sort is Sort.NAME and (thing is None or singular(p.head) == thing.head)]
    count = next((p.count for p in own if p.count), None)
    if count is None:
        count = 2 if any("both" in p.marks for p in own) else None
    size = next((p.size for p in parts if p.sort is Sort.NAME and p.size), None)
    size = size or next((p.quantity.text for p in parts if p.quantity and p.quantity.of is Of.SIZE), None)
    if thing is None:
        one = next((p.quantity for p in parts if p.quantity and p.quantity.of is Of.COUNT), None)
        return one.number.count if count is None and one is not None else count, size
    if verb in (Verb.TIGHTEN,):
        return count, None
    if verb in WAY_BACK:
        return count if count is not None else (thing.count if not own else None), None
    count = count if count is not None else thing.count
    if count is None and thing.kind in {"bolt", "nut", "screw"} and not is_plural(thing.words[-1]):
        count = 1
    return count, size or thing.size


def pattern(parts: Sequence[Piece]) -> str | None:
    """The order in which fasteners are tightened, as it was said."""
    text = " ".join(piece.low for piece in parts)
    if re.search(r"\b(cent(er|re)|middle|inside) out(wards?)?\b", text):
        return "centre_out"
    if "criss" in text or "cross" in text or "diagonal" in text:
        return "criss-cross"
    if "star" in text:
        return "star"
    return None


def tray(parts: Sequence[Piece]) -> str | None:
    """Where the small parts went: `tray C`, `bag 3`."""
    for n, piece in enumerate(parts):
        named = piece.words if piece.sort is Sort.NAME else (piece.low,)
        if named[-1] == "tray" and n + 1 < len(parts) and len(parts[n + 1].low) == 1:
            return parts[n + 1].low.upper()
        if len(named) > 1 and named[-2] == "tray" and len(named[-1]) == 1:
            return named[-1].upper()
    return None


def tool(parts: Sequence[Piece]) -> str | None:
    """What it was done with: `with a trim tool`."""
    for before, piece in pairwise(parts):
        if before.low == "with" and piece.sort is Sort.NAME and piece.head in _TOOL_HEADS:
            return piece.low
    return None


def reaching_back(start: int, thing: Thing | None, parts: Sequence[Piece], count: int | None, size: str | None) -> int:
    """Where an operation begins: at its words, or where a number was said that it takes from before."""
    if thing is None or thing.said >= start:
        return start
    counted = any(piece.count or "both" in piece.marks for piece in parts)
    sized = any(piece.size or (piece.quantity and piece.quantity.of is Of.SIZE) for piece in parts)
    carries_count = count is not None and count == thing.count and not counted
    carries_size = size is not None and size == thing.size and not sized
    return thing.said if carries_count or carries_size else start


def only_told(join: str, parts: Sequence[Piece], name: Piece) -> bool:
    """`There's a clip in the corner`, `the bolt is in here`: where a thing is, and nothing done to it."""
    if join in INTRODUCES - {"it's"} or name.head in NO_OBJECT or name.marks & {"a", "an", "another"}:
        return True
    lows = {piece.low for piece in parts}
    return bool(lows & (STATES | {"there", "here"})) or any(piece.sort is Sort.OTHER_VERB for piece in parts)
