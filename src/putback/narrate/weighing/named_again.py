"""One idea: what was named on the way in is named again on the way back, with another act."""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator, Sequence

from putback.narrate.phrase.phrases import Sort
from putback.narrate.phrase.segments import Segment

_NEAR = 6
"""So many segments around one tell of the same moment."""
_MANY = 2
_LETTERS = 5
"""So many letters of its last word stand for a name."""
_NAMES = 2
"""So many names of a segment are looked at."""


class NamedAgain:
    """Where the names of each segment stand before and after it, and what is done there.

    Args:
        row: the segments of a text.
        acts: what is done in each, by senses and particles.
    """

    def __init__(self, row: Sequence[Segment], acts: Sequence[Sequence[str]]) -> None:
        self._acts = acts
        self._names = [
            [piece.head[:_LETTERS] for piece in segment.pieces if piece.sort is Sort.NAME][:_NAMES] for segment in row
        ]
        self._places: defaultdict[str, list[int]] = defaultdict(list)
        for n, segment in enumerate(row):
            for piece in segment.pieces:
                if piece.sort is Sort.NAME:
                    self._places[piece.head[:_LETTERS]].append(n)

    def of(self, n: int, late: str) -> Iterator[str]:
        """The clues of a segment. `n`: its place; `late`: in which half of the text it stands."""
        act = self._act(n)
        for name in self._names[n]:
            places = self._places[name]
            before, after = bisect_left(places, n - _NEAR), bisect_right(places, n + _NEAR)
            later = len(places) - after
            yield f"named:{min(_MANY, before)}{min(_MANY, later)} {late}"
            yield f"named:{bool(before)} {bool(later)} {act}"
            yield f"named near:{bisect_left(places, n) > before} {late}"
            if before:
                was = self._act(places[before - 1])
                yield f"was:{was}"
                yield f"was:{was} {act}"
            if later:
                will = self._act(places[after])
                yield f"will:{will}"
                yield f"will:{will} {act}"

    def _act(self, n: int) -> str:
        """The first thing done in a segment; nothing where nobody tells of any."""
        return self._acts[n][0] if self._acts[n] else ""
