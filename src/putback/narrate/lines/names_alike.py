"""One idea: two names are alike by the words that they share, by the last of these, and by the sides that they say."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from putback.narrate.lines.aliases import same_words

_SIDES: Final = (("left", "right"), ("front", "rear"), ("upper", "lower"), ("inner", "outer"), ("top", "bottom"),
    ("driver", "passenger"), ("inlet", "outlet"), ("nearside", "offside"),
)  # fmt: skip
PLACES: Final = frozenset(word for pair in _SIDES for word in pair) | {
    *("back", "centre", "center", "middle", "long", "short", "other")
}
"""Words that only say where a thing is, or which of several."""
UNLIKE: Final = "unlike"
OTHER_SIDE: Final = "other side"
"""One name says a side, and the other the opposite."""
SAME: Final = "same"


@lru_cache(maxsize=65536)
def likeness(mine: tuple[str, ...], theirs: tuple[str, ...]) -> str:
    """How alike two names are: in a word, and, where they are not the same, in fifths of all words that both have.

    >>> likeness(("fan", "bolt"), ("bolt", "fan")), likeness(("bolt",), ("fan", "bolt"))
    ('same', 'kind 2')
    >>> likeness(("fan", "bolt"), ("duct", "bolt")), likeness(("fan",), ("fan", "bolt")), likeness(("fan",), ("duct",))
    ('kind of another 1', 'part of it 2', 'unlike')
    >>> likeness(("left", "fan"), ("right", "fan"))
    'other side'
    """
    if _other_side(mine, theirs):
        return OTHER_SIDE
    shared = set(mine) & set(theirs)
    if not shared:
        return UNLIKE
    if same_words(mine, theirs):
        return SAME
    fifths = 5 * len(shared) // len(set(mine) | set(theirs))
    if mine[-1] == theirs[-1]:
        of_others = set(mine) - shared and set(theirs) - shared and shared == {mine[-1]}
        return f"kind of another {fifths}" if of_others else f"kind {fifths}"
    return f"{'part of it' if shared in (set(mine), set(theirs)) else 'a word'} {fifths}"


def _other_side(mine: Sequence[str], theirs: Sequence[str]) -> bool:
    return any(
        (one in mine and two in theirs and two not in mine) or (two in mine and one in theirs and one not in mine)
        for one, two in _SIDES
    )
