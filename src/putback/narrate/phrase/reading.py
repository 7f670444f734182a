"""One idea: a text is read once; its pieces and segments are kept for all that looks at it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from putback.narrate.phrase.phrases import Piece, pieces
from putback.narrate.phrase.segments import Segment, segments
from putback.narrate.phrase.word_first import in_usual_order


@dataclass(frozen=True, slots=True)
class Reading:
    """The pieces of a text and its segments, each in their order; `length` is how long the text is, in signs."""

    pieces: Sequence[Piece]
    segments: Sequence[Segment]
    length: int


@lru_cache(maxsize=4)
def read(text: str, breaks: frozenset[int] = frozenset()) -> Reading:
    """The reading of a text; a draft and a review look at the same text over and over."""
    row = in_usual_order(pieces(text, breaks))
    return Reading(row, segments(row), len(text))
