"""One idea: what is put over or into an opening for a time is told by what it is, or by what it is for.

"A rag in the port" guards by its name; "an old glove over the post", "a peg in the hole to keep the muck out" by their
purpose. What it guards with is remembered, so that the same thing taken away again opens the place.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.sense.parts_of import is_part
from putback.narrate.sense.things import singular
from putback.narrate.words import lexicon

_PUT: Final = (
    "shov",
    "stuff",
    "stick",
    "stuck",
    "push",
    "pok",
    "pop",
    "put",
    "pull",
    "slip",
    "slid",
    "wrap",
    "tuck",
    "jam",
    "wedg",
    "drap",
    "lay",
    "laid",
    "throw",
    "threw",
    "set",
    "press",
    "stretch",
    "roll",
    "ram",
    "cram",
    "bung",
    "plug",
    "fit",
    "tap",
    "tie",
    "slung",
    "chuck",
    "cork",
    "insert",
    "place",
    "got",
    "keep",
    "kept",
)
_INTO: Final = lexicon.words_of("in into over on onto across around round up through inside under between down behind")
_OPEN: Final = lexicon.words_of("hole holes end ends opening openings gap mouth top bottom")
_SOFT: Final = lexicon.words_of(
    "glove gloves peg pegs matchstick matchsticks balloon marble marbles dowel cork corks roll rolls wad scarf shirt "
    "sock socks baggie baggies t-shirt newspaper carrier clingfilm finger-of-glove bottle-top eraser candle putty "
    "tee tees duvet towel carton cardboard pizza noodle flannel bottle-cap lid-of-a-jar wrap wrapper"
)
"""Things of the house that no car has, besides those that are kept for guarding."""
_PURPOSE: Final = lexicon.words_of("keep stop protect catch prevent against save")
_DIRT: Final = lexicon.words_of(
    "dirt dust grit muck damp water moisture rain scratches scratching knocks splashes splash swarf debris sparks"
)
_NOTHING: Final = lexicon.words_of("nothing can't cannot couldn't won't don't doesn't no nobody never")
_INDEFINITE: Final = frozenset({"a", "an", "some", "my", "old", "clean", "bit", "another"})


@dataclass(frozen=True, slots=True)
class Cover:
    """What is guarded (None: what was worked on last), and the words for what it is guarded with."""

    place: Piece | None
    nouns: frozenset[str]


def cover_of(verb: Piece, after: Sequence[Piece], following: Sequence[Piece], join: str) -> Cover | None:
    """What a few words put over or into an opening for a time; None where they put a part to its place.

    Args:
        verb: what is done.
        after: the pieces after it.
        following: the pieces of the next few words of the sentence, where its purpose may stand.
        join: the word that joins them.
    """
    if not verb.low.startswith(_PUT):
        return None
    names = [n for n, piece in enumerate(after) if piece.sort is Sort.NAME and piece.words != ("one",)]
    if not names:
        return None
    inside = _inside(after)
    if inside is not None:
        return inside
    first = after[names[0]]
    where = next((n for n, piece in enumerate(after) if n > names[0] and piece.low in _INTO), None)
    if where is None or names[0] > where:
        return None
    place = next((after[n] for n in names if n > where and (is_part(after[n]) or after[n].head in _OPEN)), None)
    end = any(piece.low in _OPEN for piece in after[where:])
    soft = {singular(word) for word in first.words} & _SOFT or set(first.words) & lexicon.GUARDS - lexicon.HARD_GUARDS
    for_it = bool(_INDEFINITE & first.marks or not first.marks) and _has_purpose(after, following, join)
    if (place is None and not end) or not (soft or for_it) or first.head in _SMEARED:
        return None
    return Cover(place, frozenset({singular(word) for word in first.words}))


def _inside(after: Sequence[Piece]) -> Cover | None:
    """`Stuck it in an old sock`: what is put into something of the house is guarded by it."""
    where = next((n for n, piece in enumerate(after) if piece.low in _INSIDE), None)
    if where is None or where == 0 or where + 1 >= len(after):
        return None
    holder, held = after[where + 1], after[where - 1]
    words = {singular(word) for word in holder.words}
    soft = words & (_SOFT | {singular(word) for word in lexicon.GUARDS - lexicon.HARD_GUARDS})
    if holder.sort is not Sort.NAME or not soft or not holder.marks & _INDEFINITE:
        return None
    if held.sort is Sort.PRONOUN:
        return Cover(None, frozenset(words))
    return Cover(held, frozenset(words)) if held.sort is Sort.NAME and is_part(held) else None


_INSIDE: Final = frozenset({"in", "into", "inside"})
_SMEARED: Final = lexicon.words_of("grease oil lube paste compound sealant sealer silicone spray fluid anti-seize")


def _has_purpose(after: Sequence[Piece], following: Sequence[Piece], join: str) -> bool:
    """Whether it is said what it is for: `to keep the dirt out`, `so nothing falls in`."""
    lows = [piece.low for piece in (*after, *following)]
    to_keep = any(low in _PURPOSE and n and lows[n - 1] in {"to", "from", "and"} for n, low in enumerate(lows))
    against = any(low == "against" and set(lows[n + 1 : n + 4]) & _DIRT for n, low in enumerate(lows))
    return to_keep or against or (join == "so" and bool({piece.low for piece in following} & _NOTHING))
