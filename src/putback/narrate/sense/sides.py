"""One idea: a car has two of most things, so a side that is named alone holds for what follows, until both are meant.

`Right side. Five nuts off` are the right wheel's nuts; "same on the other side" repeats what was done, on that side.
"""

from collections.abc import Sequence

from putback.narrate.phrase.phrases import Piece, Sort, words_in
from putback.narrate.words.lexicon import ACROSS, words_of

OPPOSITE = {
    "left": "right",
    "nearside": "offside",
    "driver's": "passenger's",
    "driver": "passenger",
    "front": "rear",
    "upper": "lower",
    "inner": "outer",
    "top": "bottom",
}
OPPOSITE |= {other: one for one, other in OPPOSITE.items()}
_HEADING = words_of(
    "the back side hand now next first then on to and over onto that's this one okay ok right so it's wheel back again"
)
_SAYS_SIDE = words_of("side first hand next")
_OTHER_SIDE = frozenset({"other", "far", "opposite", "second"})
_SAME_THERE = words_of("manner dealt treated done did side for on hand one again way identical likewise")
_AGAIN_ONLY = words_of(
    "same ditto repeat identical likewise again as before exactly the all just done it in this side deal "
    "carry-on carry on story drill"
)
_WAYS = words_of("manner way fashion treatment procedure steps sequence process operation operations work")
_SHORT = 5
_AGAIN = words_of("same ditto repeat repeated identical likewise")


def heading(parts: Sequence[Piece]) -> str | None:
    """The side that a few words name and nothing else: `Left first.`; None where they say more."""
    words = words_in(parts)
    named = [word for word in words if word in ACROSS]
    rest = [word for word in words if word not in ACROSS and word not in _HEADING and word not in {"front", "rear"}]
    says_side = set(words) & _SAYS_SIDE or named[:1] in (["nearside"], ["offside"])
    return named[0] if len(named) == 1 and not rest and says_side else None


def same_again(parts: Sequence[Piece]) -> bool:
    """`Same on the other side`, `repeat for the left`: what was done is done once more."""
    words = [word for piece in parts for word in (*(piece.words or (piece.low,)), *(piece.marks & ACROSS))]
    in_same_way = any("same" in piece.marks and piece.head in _WAYS for piece in parts)
    if any(piece.sort in (Sort.NOT, Sort.IF) for piece in parts) or not (set(words) & _AGAIN or in_same_way):
        return False
    told = {mark for piece in parts for mark in piece.marks} | set(words)
    other_side = bool(told & _OTHER_SIDE) and "side" in words
    return other_side or bool(set(words) & ACROSS and told & _SAME_THERE)


def all_else(parts: Sequence[Piece]) -> bool:
    """`Everything else the same as the first side`, `the rest as the left`."""
    words = {word for piece in parts for word in (*(piece.words or (piece.low,)), *piece.marks)}
    rest = {"everything", "else"} <= words or {"all", "else"} <= words or "rest" in words
    return rest and bool(words & {"same", "as", "likewise"}) and bool(words & ({"first", "other", "side"} | ACROSS))


def only_again(parts: Sequence[Piece]) -> bool:
    """`Same again`, `ditto`: nothing else is said, so that the side was named before."""
    words = words_in(parts)
    return bool(set(words) & _AGAIN) and set(words) <= _AGAIN_ONLY and len(words) <= _SHORT


def as_the_other(parts: Sequence[Piece]) -> bool:
    """`…, same as the other`."""
    words = {word for piece in parts for word in (*(piece.words or (piece.low,)), *piece.marks)}
    return "same" in words and "as" in words and bool(words & {"other", "before", "first"})


def flipped(words: tuple[str, ...]) -> tuple[str, ...]:
    """A name on the other side.

    >>> flipped(("left", "wheel")), flipped(("arm", "bolts"))
    (('right', 'wheel'), ('other', 'side', 'arm', 'bolts'))
    """
    if set(words) & ACROSS:
        return tuple(OPPOSITE.get(word, word) if word in ACROSS else word for word in words)
    return ("other", "side", *words)
