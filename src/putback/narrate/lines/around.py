"""One idea: which names stand in the words of a line and around them, so that one whose thing was not well understood
still finds its twin: "the box" is swung aside in a sentence that names the body computer.
"""

import bisect
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from putback.narrate.lines.said import Said
from putback.narrate.phrase.phrases import Sort
from putback.narrate.phrase.segments import Segment
from putback.narrate.sense.things import singular
from putback.narrate.words.lexicon import FASTENERS

_FAR: Final = 160
"""So many signs before and after a line its sentence is looked at."""
_RARITY: Final = ((3, 3), (6, 2), (12, 1))
"""A word that stands around so few lines tells so much."""
_NOTHING: Final = frozenset[str]()


@dataclass(frozen=True, slots=True)
class Names:
    """The words of names, each in the singular: `own` of a line's words, `near` of its sentence and what led to it."""

    own: frozenset[str] = _NOTHING
    near: frozenset[str] = _NOTHING


_NO_NAMES: Final = Names()


@dataclass(frozen=True, slots=True)
class Around:
    """What stands around each line, in their order, and how much each word of it tells that two lines share."""

    lines: Sequence[Names] = ()
    much: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))

    def of(self, place: int) -> Names:
        """What stands around a line; nothing where there is no text."""
        return self.lines[place] if place < len(self.lines) else _NO_NAMES

    def tells(self, words: frozenset[str]) -> int:
        """How much words tell that two lines share: more, the fewer lines they stand around; fasteners nothing."""
        return sum(self.much.get(word, 0) for word in words) if words else 0


def around(said: Sequence[Said], row: Sequence[Segment]) -> Around:
    """What stands around each line of a text that is cut into segments."""
    starts = [segment.start for segment in row]
    lines = [_names(one, row, starts) for one in said] if row else []
    often = Counter(word for each in lines for word in each.near)
    return Around(lines, {word: _rarity(lines) for word, lines in often.items() if word not in FASTENERS})


def _rarity(lines: int) -> int:
    return next((much for most, much in _RARITY if lines <= most), 0)


def _names(one: Said, row: Sequence[Segment], starts: Sequence[int]) -> Names:
    at = max(0, bisect.bisect_right(starts, one.start) - 1)
    named = [(start, words) for segment in _sentence(row, at) for start, words in _of_segment(segment)]
    own = frozenset(word for start, words in named if one.start <= start < one.end for word in words)
    return Names(own, frozenset(word for _, words in named for word in words))


def _sentence(row: Sequence[Segment], at: int) -> Sequence[Segment]:
    """The segments of a sentence that are not far from one of them, and the one before the first."""
    first, last = at, at
    while first and _goes_on(row[first - 1], row[at]):
        first -= 1
    while last + 1 < len(row) and _goes_on(row[last + 1], row[at]):
        last += 1
    return row[max(0, first - 1) : last + 1]


def _goes_on(other: Segment, one: Segment) -> bool:
    return other.sentence == one.sentence and abs(other.start - one.start) < _FAR


def _of_segment(segment: Segment) -> Iterator[tuple[int, list[str]]]:
    for piece in segment.pieces:
        if piece.sort is Sort.NAME:
            yield piece.start, [singular(word) for word in piece.words]
