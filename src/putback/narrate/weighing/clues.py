"""One idea: a segment is seen as clues: its words, what sorts of words follow each other, and the words around it."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.phrase.segments import Segment

_MOST_WORDS = 8
_NEIGHBOURS = 6
"""So many words of the segment before and after are looked at."""
_PARTS_OF_TEXT = 6


def of_segment(row: Sequence[Segment], n: int, length: int) -> Iterator[str]:
    """What speaks for and against it that something is done in a segment.

    Args:
        row: the segments of a text.
        n: the place of the segment among them.
        length: how long the text is, in signs.
    """
    segment = row[n]
    words = [word_of(piece) for piece in segment.pieces]
    late = "late" if 2 * segment.start > length else "early"
    for word in words:
        yield f"w:{word}"
        yield f"{late}:{word}"
    for one, two in pairwise(words):
        yield f"b:{one} {two}"
    yield from of_sorts(segment.pieces)
    for piece in segment.pieces:
        if piece.sort is Sort.NAME:
            yield f"h:{piece.head}"
    yield f"m:{segment.mood.name}"
    yield f"j:{segment.join}"
    yield f"n:{min(len(words), _MOST_WORDS)}"
    yield f"p:{int(_PARTS_OF_TEXT * segment.start / length)}"
    if segment.pieces[-1].sort is Sort.PARTICLE and any(piece.sort is Sort.NAME for piece in segment.pieces):
        yield f"e:{late} {words[-1]}"
    for side, other in (("<", n - 1), (">", n + 1)):
        if 0 <= other < len(row):
            same = "=" if row[other].sentence == segment.sentence else "."
            for piece in row[other].pieces[:_NEIGHBOURS]:
                yield f"{side}{same}{word_of(piece)}"


def word_of(piece: Piece) -> str:
    """The word that stands for a piece: of a name its last, and of numbers none."""
    return "#" if piece.sort is Sort.QUANTITY else piece.low.rpartition(" ")[2]


def _sort_of(piece: Piece) -> str:
    """What a piece is, a verb with its sense."""
    return f"{piece.sort.name}:{piece.sense.name}" if piece.sense is not None else piece.sort.name


def of_sorts(pieces: Sequence[Piece]) -> Iterator[str]:
    """Which sorts of words follow each other."""
    before = "^"
    for piece in pieces:
        sort = _sort_of(piece)
        yield f"s:{before} {sort}"
        before = sort
    yield f"s:{before} $"
