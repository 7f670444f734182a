"""One idea: what covers an open end or a panel for a time is told by its word, where it goes and what it goes on."""

from collections.abc import Sequence

from putback.core.operations import Verb
from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.sense.things import singular
from putback.narrate.words import lexicon
from putback.narrate.words.lexicon import Sense, words_of

_GUARDS = lexicon.GUARDS | {singular(word) for word in lexicon.GUARDS}
_SHAPES = words_of(
    "peg pegs dowel dowels plug plugs stick pen pencil roll cup pot tub tee ball cone piece bit spoon marble offcut "
    "finger boot boots"
)
_MAKESHIFT = words_of(
    "wooden wood rubber plastic golf blue kitchen paper dummy blanking cardboard transit whittled spare glove shipping"
)
"""`A wooden peg`, `blue roll`, `dummy plugs`: a thing of such a stuff is there only for a time."""
_PACKED = words_of("box packet wrapper carton tub lid bottle tray sheet cup pot bag bags tin case")
_INSULATES = frozenset({"insulating", "insulated"})
_OF_THE_HOUSE = words_of(
    "pizza cereal shoe egg cake biscuit tea coffee milk ice bread sandwich crisp crisps margarine yoghurt takeaway "
    "lunch beer wine sweet sweets chocolate cream freezer shopping rubbish bin carrier grocery laundry"
)
_OF_THE_CAR = words_of("battery boot engine bonnet hood floor load tool door seat sump radiator filler tank reservoir")
"""`Battery blanket`, `boot mat`: parts of the car, though of such a name."""
_BAGS_OF_THE_HOUSE = words_of("plastic bin freezer carrier sandwich rubbish garbage polythene zip ziplock bread")
_CAPPED = words_of("center centre hub wheel filler oil fuel radiator tank header expansion pressure")
_AIRBAGS = words_of("knee air side curtain steering driver driver's passenger head")
_SOME = frozenset({"a", "an", "some", "my", "old", "another"})
_FILLED = words_of("fluid brake coolant header expansion oil washer")
"""`The fluid pot`: a part, and no place where something is kept."""
_WAYS = words_of(
    "over in into on onto round around across down up under behind between through inside about at to along"
)
_OPEN_ENDS = frozenset({"end", "ends", "top", "opening", "side"})
_KEPT_IN = lexicon.STORES | {"wash", "laundry"}
_SET_OFF = frozenset({"off", "out", "away", "from", "back", "clear", "free"})
_CONTAINS = words_of("in into inside with using on onto onto from under of")
_COVERS = frozenset({Sense.COVER, Sense.PLUG})
_PUTS = words_of(
    "put puts putting lay lays laid laying place places placed slide slides slid slip slips slipped fit fits fitted "
    "push pushes pushed stuff stuffed poke poked drape draped pull pulled spread spreading wrap wrapped wrapping tie "
    "tied tape taped stick stuck wedge wedged tuck tucked throw threw thrown chuck chucked pop popped hang hung "
    "install installed insert inserted press pressed roll rolled jam jammed cram crammed shove shoved fold folded "
    "set sat drop dropped work worked clip clipped screw screwed twist twisted wind wound draw drew drawn bung get "
    "got run ran feed fed thread threaded secure secured apply applied add added slung sling toss tossed bang banged "
    "rig rigged arrange arranged squeeze squeezed sling ram rammed packed banded rubber-banded gone"
) | {"go", "goes", "went"}
_NOUN_OF = {
    "bag": "bag",
    "cap": "cap",
    "tap": "tape",
    "bun": "bung",
    "plu": "plug",
    "bla": "blank",
    "mas": "tape",
    "cor": "cork",
}


def _puts(low: str) -> bool:
    """Whether a word says that something is put somewhere: `slide`, `slid`, `sliding`."""
    if low in _PUTS or not low.endswith("ing"):
        return low in _PUTS
    stem = low[:-3]
    return stem in _PUTS or stem + "e" in _PUTS or (len(stem) > 2 and stem[-1] == stem[-2] and stem[:-1] in _PUTS)


def is_guard(piece: Piece) -> bool:
    """Whether a name is of something that covers or plugs for a time."""
    if piece.sort is not Sort.NAME or _belongs_to_the_car(piece):
        return False
    made_of = set(piece.words[:-1])
    insulates = piece.head in {"boot", "boots", "cap", "caps"} and made_of & _INSULATES
    if insulates or (piece.head in _PACKED and made_of & _OF_THE_HOUSE):
        return True
    return piece.head in _GUARDS or (piece.head in _SHAPES and bool(made_of & (_MAKESHIFT | _GUARDS)))


def _belongs_to_the_car(piece: Piece) -> bool:
    """`The bag`, `the drain plug`, `the lid`, `the boot mat`: parts, though other things of such a name guard."""
    made_of = set(piece.words[:-1])
    cases = (
        bool(made_of & {"bag", "bags"} or piece.head in {"bag", "bags"}) and made_of & _AIRBAGS,
        piece.head in {"bag", "bags"} and "the" in piece.marks and not set(piece.words) & _BAGS_OF_THE_HOUSE,
        piece.head in {"plug", "plugs"} and made_of & lexicon.SCREWED_IN,
        piece.head in {"cap", "caps"} and made_of & _CAPPED,
        piece.head in {"tee", "tees"} and "golf" not in made_of,
        piece.head in {"lid", "lids"} and not (piece.marks & {"a", "an", "old"} or set(piece.words) & _MAKESHIFT),
        piece.words[-2:-1] and piece.words[-2] in _OF_THE_CAR,
    )
    return any(cases)


def _guards_a_panel(parts: Sequence[Piece], n: int) -> bool:
    """`Wing cover on`, `a plastic cover over the seat`: what is for paint and cloth, and no part of the car."""
    piece = parts[n]
    if piece.sort is not Sort.NAME or piece.head not in {"cover", "covers", "protector", "protectors"}:
        return False
    if set(piece.words[:-1]) & _PAINTED or piece.words[-2:-1] in _OVER_CLOTH:
        return True
    goals = [one for one, two in zip(parts[n + 2 :], parts[n + 1 :], strict=False) if two.low in _COVERED_WAYS]
    beside = len(piece.words) > 1 and piece.words[-2] in _OF_THE_CAR
    return not beside and any(singular(one.head) in _PANELS_COVERED for one in goals if one.sort is Sort.NAME)


_PANELS_COVERED = words_of(
    "wing fender seat sill paint paintwork carpet wings fenders seats sills guard guards bonnet hood"
)
_OVER_CLOTH = (("seat",), ("seats",), ("guard",), ("guards",))
_PAINTED = words_of("wing wings fender fenders paint")
_COVERED_WAYS = words_of("over on onto across along off from")


def may_cover(words: Sequence[str]) -> bool:
    """Whether a plug is none of the car's: `my plug`, `the rubber plug`."""
    return words[-1] in {"plug", "plugs"} and set(words[:-1]) <= _MAKESHIFT | _GUARDS


def guard_at(parts: Sequence[Piece], verb: Piece | None = None) -> int | None:
    """Where what covers is named; not a rag under a hose, nor a blanket on which something is laid."""
    covers = verb is not None and verb.sense in _COVERS and not verb.low.startswith("hook")
    for n, piece in enumerate(parts):
        if _guards_a_panel(parts, n):
            return n
        if not is_guard(piece):
            continue
        if n and _before(parts, n) in _CONTAINS and not (covers and _before(parts, n) in {"with", "in", "using"}):
            of_it = n > 1 and parts[n - 1].low == "of" and parts[n - 2].sort in (Sort.NAME, Sort.SMALL)
            if not of_it or (n > 2 and parts[n - 3].low in _CONTAINS):
                continue
        return n
    return None


def _before(parts: Sequence[Piece], n: int) -> str:
    """The word before a name, past small ones: `with the job sheet`."""
    before = [piece.low for piece in parts[:n] if piece.sort is not Sort.SMALL]
    return before[-1] if before else ""


def guard_words(parts: Sequence[Piece], verb: Piece | None = None) -> frozenset[str]:
    """The words of what covers, in the singular."""
    at = guard_at(parts, verb)
    if at is None:
        return frozenset()
    named = {singular(word) for word in parts[at].words if word in _GUARDS}
    return frozenset(named | {singular(parts[at].head)})


def stopped_with(parts: Sequence[Piece]) -> frozenset[str]:
    """What is to be taken off again; after `capped` and `taped` it is known without being named."""
    verb = next((one for one in parts if one.sense in _COVERS), None)
    implied = {_NOUN_OF[verb.low[:3]]} if verb is not None and verb.low[:3] in _NOUN_OF else frozenset[str]()
    return guard_words(parts, verb) or frozenset(implied)


def put_over(parts: Sequence[Piece], verb: Piece | None) -> Verb | None:
    """`Rag in the hose`, `I slid a card behind it`, `a sheet was spread over it`: something is covered."""
    at = guard_at(parts, verb)
    if at is None or parts[at].marks & {"its"}:
        return None
    first = at + 1
    if verb is not None:
        if not _puts(verb.low) and verb.sense not in {Sense.COVER, Sense.LAY}:
            return None
        first = max(first, parts.index(verb) + 1)
    elif at and not all(_only_leads(piece) for piece in parts[:at]):
        return None
    after = parts[first:]
    lows = _without_right_away(after)
    if set(lows) & _SET_OFF or lows[:1] in (["that"], ["which"]):
        return None
    for n, piece in enumerate(after):
        goal = [one for one in after[n + 1 : n + 5] if one.sort in (Sort.NAME, Sort.PRONOUN) or one.low in _OPEN_ENDS]
        kept = bool(goal) and goal[0].head in _KEPT_IN and not set(goal[0].words) & _FILLED
        in_there = [one.low for one in after[n + 1 : n + 2]] == ["there"] and bool(parts[at].marks & _SOME)
        if piece.low in _WAYS and (in_there or (goal and not kept)):
            return Verb.GUARD
    return None


def _only_leads(piece: Piece) -> bool:
    """Whether what stands before a thing that covers tells of nothing else: `I'm sticking some tape over it`."""
    leads = (Sort.SUBJECT, Sort.SMALL, Sort.PREPOSITION, Sort.QUANTITY, Sort.NAME)
    return piece.sort in leads or puts_something(piece)


def puts_something(piece: Piece) -> bool:
    """Whether a word that no list of verbs knows says that something is put somewhere."""
    return piece.sort is Sort.OTHER_VERB and _puts(piece.low)


def _without_right_away(after: Sequence[Piece]) -> list[str]:
    lows = [piece.low for piece in after]
    return [low for n, low in enumerate(lows) if not (low == "away" and n and lows[n - 1] in {"right", "straight"})]
