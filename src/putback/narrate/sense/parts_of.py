"""One idea: what each piece of a segment is to its verb: its object, what holds it, or a word that only helps."""

import re
from collections.abc import Sequence
from itertools import pairwise

from putback.core.operations import Verb
from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.sense.act import direction_of
from putback.narrate.sense.things import Thing, is_plural, singular
from putback.narrate.text.quantities import HEADS_MM, Of
from putback.narrate.words import lexicon
from putback.narrate.words.everyday import BODY, EVERYDAY_NOUNS
from putback.narrate.words.lexicon import Sense
from putback.narrate.words.never_parts import NEVER_PARTS

INTRODUCES = frozenset({"it's", "that's", "there's", "here's"})
TOOL_HEADS = lexicon.words_of("tool spanner socket wrench ratchet driver screwdriver pliers puller bar pick bit key")
WAY_BACK = frozenset({Verb.FIT, Verb.START, Verb.PLUG_IN, Verb.JOIN, Verb.RESTORE})
TAKES_OFF = frozenset({Verb.REMOVE, Verb.UNDO, Verb.PART, Verb.ISOLATE, Verb.UNPLUG})
OFF_THE_CAR = frozenset({Verb.REMOVE, Verb.UNDO, Verb.PART, Verb.ISOLATE})
NO_OBJECT = (
    lexicon.words_of(
        "work puller apprentice mate helper spanner socket wrench ratchet bit driver extension hand hands tool "
        "tools way time side top bottom bench dash glove tester scanner meter split splits drip drips gloves key fob "
        "fobs "
        "star pattern sequence tag tags padlock notice reader laptop tablet keys glasses surface place click tug "
        "twist pliers people "
        "person trolley hole holes dowel dowels "
        "temperature mine pain others yours ours lock lever latch flashlight torch order minute minutes caution "
        "note report hour stud fingers finger impact grease look toolbox drawer pocket bin grit dirt muck dust "
        "water-ingress air trouble problem luck issue idea trick secret fun beer coffee tea lunch video customer "
        "owner boss friend money price space room view clearance reach angle direction process procedure "
        "beginning rest bunch sort kind type stuff mess noise sound smell rattle snap feel force pressure tension "
        "muscle effort strength care attention risk harm safety danger fault failure symptom cause reason point "
        "fact case question answer story truth world life day morning afternoon night week month year moment "
        "second letter length depth width distance location orientation spot spec specification manual book "
        "figure value setting photo picture phone grip leverage wiggle swear words fight quid bucks guess "
        "favour favor chance rebuild reassembly installation removal mistake difference tomorrow dealer mode "
        "centimetre centimetres centimeter centimeters millimetre millimetres millimeter millimeters inch inches "
        "yank heave whack thump shove nudge clout probe probes "
        "mask masks respirator goggles gauge gauges machine ounce ounces thermometer sniffer sticker "
        "deck hoist ramp gram grams kilo kilos litre litres liter liters bar psi thou office tin "
        "measure measures drill drills turn turns times grey gray black white red blue green yellow orange brown "
        "silver pink purple "
        "corner corners stand stands trestle trestles jack bungee bungees crate "
        "monday friday weekend blade flathead ratchets mallet hammer grips position alignment screwdriver "
        "pinhole pinholes brake-cleaner cleaner heat play slack weight ignition"
    )
    | EVERYDAY_NOUNS
    | NEVER_PARTS
)
_MOVE_THEMSELVES = lexicon.words_of(
    "go come want done drop drain slide lift pull pop push slip click plug bolt clip screw"
)
FARTHEST = 240
"""A number that was said farther back, in signs, is not taken for what is done now."""
_PARTS_TOO = lexicon.words_of(
    "case cases point points surface surfaces corner corners lamp lamps light lights lock lever latch hole holes "
    "stud button grips place bin heat height depth pressure"
)
"""With a word before them these are parts: `fog lamp`, `door lock`."""
_LOCKS = frozenset({"lock", "locks", "latch", "latches", "case"})
"""`Door lock off`; a light that is on says nothing of the kind."""
_WITH_BOLTS = lexicon.words_of(
    "washer washers gasket gaskets seal seals o-ring o-rings spacer spacers grease seize anti-seize threadlock lube "
    "compound "
    "threadlocker locker paste sealant sealer adhesive copper drop dab smear"
)
_OF_FLUIDS = frozenset({Verb.FILL, Verb.DRAIN, Verb.WAIT, Verb.NOTE})
_ONLY_BODY = lexicon.words_of("foot feet hand hands finger fingers thumb eye eyes knees elbow elbows knuckles")
_WHOSE = frozenset({"your", "my", "his", "her", "our", "their"})
_STAYS = frozenset({"still", "remains", "remained", "remain", "stays", "stayed", "left", "stay"})
_TRIED = 4
"""So many verbs of one segment are tried."""
INTRANSITIVE = lexicon.words_of(
    "go goes going went gone come comes came coming fall falls fell want wants sit sits sat"
)
STATES = frozenset({"is", "are", "was", "were", "it's", "there's", "that's", "be"})


_SEEN_BY = lexicon.words_of("chest waist knee shoulder belt eye working paint pen scribe chalk scratch marker")
"""`Chest height`, `the paint line`: how high, and what was drawn."""
FLOWS = lexicon.words_of("airflow flow air mass")
"""A meter of such a thing is a part of the car."""


def is_flow_meter(piece: Piece) -> bool:
    """`The airflow meter`: a part, and no tester."""
    return piece.words[-1:] in (("meter",), ("meters",)) and bool(set(piece.words[:-1]) & FLOWS)


def is_part(piece: Piece) -> bool:
    """Whether a name is of something that operations are done to."""
    if len(piece.head) == 1 or (piece.head in {"height", "line"} and set(piece.words) & _SEEN_BY):
        return False
    if piece.head in BODY and (piece.marks & _WHOSE or piece.words[0] in _ONLY_BODY):
        return False
    return is_flow_meter(piece) or piece.head not in NO_OBJECT or (len(piece.words) > 1 and piece.head in _PARTS_TOO)


def is_energy_name(piece: Piece) -> bool:
    """Whether a name is of something that brings power."""
    return bool(set(piece.words) & {"negative", "battery"})


def owner_of(piece: Piece, parts: Sequence[Piece]) -> Piece | None:
    """The item that a segment names with a fastener: the first after it, else the last before it."""
    after = [one for one in parts if one.start > piece.start and one.sort is Sort.NAME and _can_own(one)]
    before = [one for one in parts if one.start < piece.start and one.sort is Sort.NAME and _can_own(one)]
    return after[0] if after else before[-1] if before else None


def held_by(words: Sequence[str]) -> tuple[str, ...]:
    """What the name of a fastener says that it holds: the trim of "right side trim screws", nothing of "trim clips".

    >>> held_by(("undertray", "screws")), held_by(("right", "side", "trim", "screws")), held_by(("long", "bolts"))
    (('undertray',), ('right', 'side', 'trim'), ())
    """
    held = tuple(word for word in words[:-1] if word not in lexicon.OF_FASTENERS)
    of_a_side = not held and words[-2:-1] == ("trim",) and set(words[:-2]) & lexicon.ACROSS
    return tuple(words[:-1]) if of_a_side else held


def _can_own(piece: Piece) -> bool:
    return (
        piece.head not in lexicon.FASTENERS
        and not set(piece.words[-1:]) & _WITH_BOLTS
        and is_part(piece)
        and piece.words != ("one",)
    )


def chosen(parts: Sequence[Piece]) -> list[Piece]:
    """The verbs of a segment that may say what was done, the likeliest first; none after `to keep`."""
    verbs: list[Piece] = []
    for n, piece in enumerate(parts):
        if piece.low == "keep" and n and parts[n - 1].low == "to":
            break
        if n and parts[n - 1].low == "to" and any(one.low == "for" for one in parts[: n - 1]):
            break
        if piece.sort is Sort.VERB:
            verbs.append(piece)
    verbs = [verb for verb in verbs if not _only_helps(parts, parts.index(verb))]
    strong = [verb for verb in verbs if verb.sense is not Sense.MOVE]
    return [*strong, *(verb for verb in verbs if verb.sense is Sense.MOVE)][:_TRIED]


def _only_helps(parts: Sequence[Piece], n: int) -> bool:
    """`Have got`, `coming off of the front`, `crack on`: no act."""
    low, before = parts[n].low, parts[n - 1] if n else None
    if before is not None and before.low in _STAYS and before.sort is not Sort.NAME:
        return True
    if low == "got" and before is not None and before.low in {"have", "has", "you've", "i've", "we've", "it's"}:
        return before.low not in {"i've", "we've"} or not _got_off(parts[n + 1 :])
    lows = [piece.low for piece in parts[n + 1 : n + 3]]
    cases = (
        low == "go" and lows[:1] == ["on"] and before is not None and before.low == "to",
        low.startswith("turn") and lows[:1] == ["out"] and lows[1:] in (["to"], ["that"], ["it"]),
        low == "crack" and lows[:1] == ["on"],
    )
    if any(cases):
        return True
    subject = before is not None and (before.sort is Sort.SUBJECT or before.low in {"gonna", "to", "by", "am"})
    goes_off = low in _COMING and lows[:1] in (["out"], ["off"], ["away"])
    is_being = goes_off and {one.low for one in parts[:n] if one.sort is Sort.SMALL} & {"is", "are"}
    return low.endswith("ing") and before is not None and not (subject or is_being)


_COMING = lexicon.words_of("coming sliding lifting going dropping popping pulling draining")
"""`The cover is sliding out`: so some tell what they do."""


def _got_off(parts: Sequence[Piece]) -> bool:
    """`I've got the negative off`: it was done."""
    named = bool(parts) and parts[0].sort is Sort.NAME and parts[1:2]
    return (
        bool(named) and parts[1].low in {"off", "out"} and [one.low for one in parts[2:3]] not in (["here"], ["there"])
    )


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
    return verb.low.endswith("s") or lexicon.is_participle(verb.low) or verb.low in _MOVE_THEMSELVES


def numbers(verb: Verb, thing: Thing | None, parts: Sequence[Piece]) -> tuple[int | None, str | None]:
    """Count and size: as said in the segment, else as said of the thing before; of one part no count."""
    count, size = _numbers_said(verb, thing, parts)
    one = count == 1 and thing is not None and not thing.kind
    return None if one else count, size


def _numbers_said(verb: Verb, thing: Thing | None, parts: Sequence[Piece]) -> tuple[int | None, str | None]:
    if verb in _OF_FLUIDS:
        return None, None
    own = [p for p in parts if p.sort is Sort.NAME and (thing is None or singular(p.head) == thing.head)]
    count = next((p.count for p in (*own, *parts) if p.count and (p in own or p.sort is Sort.PRONOUN)), None)
    if count is None and not own and thing is not None and thing.plural:
        bare = next((p.quantity for p in parts if p.quantity and p.quantity.of is Of.COUNT), None)
        count = bare.number.count if bare is not None and bare.number.value > 1 else None
    if count is None:
        both = any("both" in p.marks and is_plural(p.head) for p in own) or (
            not own
            and thing is not None
            and thing.plural
            and any(p.sort is Sort.PRONOUN and p.low == "both" for p in parts)
        )
        count = 2 if both else _counted_after(parts)
    if count is not None and count > 1 and own and not (own[0].head in lexicon.FASTENERS or is_plural(own[0].head)):
        count = None
    count, width = _width_for_count(count, thing, own)
    near = thing is not None and parts and parts[0].start - thing.said < FARTHEST
    size = next((p.size for p in parts if p.sort is Sort.NAME and p.size), None)
    size = (
        size
        or width
        or _bare_width(own, parts)
        or next((p.quantity.text for p in parts if p.quantity and p.quantity.of is Of.SIZE), None)
    )
    if thing is None:
        one = next((p.quantity for p in parts if p.quantity and p.quantity.of is Of.COUNT), None)
        return one.number.count if count is None and one is not None else count, size
    if verb is Verb.TIGHTEN or verb not in TAKES_OFF | WAY_BACK:
        return count, size if verb is Verb.TIGHTEN else None
    if verb in WAY_BACK:
        return count if count is not None or own or not near else thing.count, size
    count = count if count is not None or not near else thing.count
    if count is None and thing.kind in {"bolt", "nut", "screw"} and not is_plural(thing.words[-1]):
        count = 1
    return count, size or (thing.size if near else None)


def _width_for_count(count: int | None, thing: Thing | None, own: Sequence[Piece]) -> tuple[int | None, str | None]:
    """`Strap bolt, 13, out`: of one bolt a number is the width of its head."""
    one = thing is not None and thing.kind in {"bolt", "nut", "screw"} and own and not is_plural(own[0].head)
    if not one or count is None or count < 2 or own[0].count is not None:
        return count, None
    return None, f"{count}mm" if count in HEADS_MM else None


def _bare_width(own: Sequence[Piece], parts: Sequence[Piece]) -> str | None:
    """`Two knuckle bolts, 21, driven out`: of bolts that are counted a bare number is the width of the heads."""
    if not own or own[0].count is None or own[0].head not in lexicon.FASTENERS:
        return None
    bare = next((p.quantity for p in parts if p.quantity and p.quantity.of is Of.COUNT), None)
    wide = bare is not None and bare.number.value in HEADS_MM
    return f"{bare.number.value}mm" if bare is not None and wide else None


def _counted_after(parts: Sequence[Piece]) -> int | None:
    """`Bracket nuts, two, eight mil, off`: a number of the name before it, and of nothing else."""
    for before, piece in pairwise(parts):
        one = piece.quantity
        if one and one.of is Of.COUNT and before.sort in (Sort.NAME, Sort.QUANTITY, Sort.COMMA):
            return one.number.count
    return None


_CRISS_CROSS = re.compile(
    r"criss|\bcross(wise|ways| pattern)?\b(?! ?(head|member|tube|bar|beam|piece|slot|point))|diagonal"
)


def pattern(parts: Sequence[Piece]) -> str | None:
    """The order in which fasteners are tightened, as it was said."""
    text = " ".join(piece.low for piece in parts)
    if re.search(r"\b(cent(er|re)|middle|inside) out(wards?)?\b", text):
        return "centre_out"
    if _CRISS_CROSS.search(text):
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
        if before.low == "with" and piece.sort is Sort.NAME and piece.head in TOOL_HEADS:
            return piece.low
    return None


def reaching_back(start: int, thing: Thing | None, parts: Sequence[Piece], count: int | None, size: str | None) -> int:
    """Where an operation begins: at its words, or where a number was said that it takes from before."""
    if thing is None or thing.said >= start or start - thing.said > FARTHEST:
        return start
    counted = any(piece.count == count or ("both" in piece.marks and count == 2) for piece in parts)
    bare = [piece.quantity for piece in parts if piece.quantity is not None and piece.quantity.of is Of.COUNT]
    counted = counted or any(one.number.count == count for one in bare)
    sized = any(piece.size or (piece.quantity and piece.quantity.of is Of.SIZE) for piece in parts)
    carries_count = count is not None and count == thing.count and not counted
    carries_size = size is not None and size == thing.size and not sized
    return thing.said if carries_count or carries_size else start


def only_told(join: str, parts: Sequence[Piece], name: Piece) -> bool:
    """`There's a clip in the corner`, `the bolt is in here`: where a thing is, and nothing done to it."""
    if join == "that's" and (name.count or 0) > 1 and name.head in lexicon.FASTENERS:
        return False
    of_the_car = name.head in _LOCKS and (len(name.words) > 1 or len(parts) == 2)
    if (
        join in INTRODUCES - {"it's"}
        or (name.head in NO_OBJECT and not of_the_car and not is_flow_meter(name))
        or name.marks & {"a", "an", "another"}
    ):
        return True
    parts = _without_which(parts)
    lows = {piece.low for piece in parts}
    after = [piece.low for piece in parts if piece.start > name.start]
    if ("back" in lows and not lows & STATES) or "new" in name.marks or after[:1] in (["out"], ["off"]):
        lows -= {"there", "here"}
    if after[:2] in (["is", "back"], ["are", "back"]):
        lows -= STATES
    return bool(lows & (STATES | {"there", "here"})) or any(piece.sort is Sort.OTHER_VERB for piece in parts)


def _without_which(parts: Sequence[Piece]) -> Sequence[Piece]:
    """`The negative's off the battery that was a ten`: only the first."""
    told = (n for n in range(2, len(parts) - 1) if parts[n].low in {"that", "which"} and parts[n + 1].low in STATES)
    return parts[: next(told, len(parts))]


_INTO = frozenset({"of", "in", "on", "into", "onto", "to", "the"})


_BOXES_OF_THE_CAR = lexicon.words_of("heater air fuse relay junction glove gear")


def _is_store(words: Sequence[str]) -> bool:
    """`The blue tray`, `tray C`."""
    if words[-1] == "box" and words[-2:-1] and words[-2] in _BOXES_OF_THE_CAR:
        return False
    return words[-1] in lexicon.STORES or (len(words) > 1 and len(words[-1]) < 3 and words[-2] in lexicon.STORES)


def is_stowed(after: Sequence[Piece]) -> bool:
    """Whether something went where small parts are kept: `in tray A`."""
    return any(
        one.sort is Sort.NAME and _is_store(one.words) and before.low in _INTO and "its" not in one.marks
        for before, one in pairwise(after)
    )
