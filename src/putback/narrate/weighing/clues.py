"""One idea: a segment is seen as clues: its words, what sorts of words follow each other, and the words around it."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.phrase.segments import Segment
from putback.narrate.weighing.named_again import NamedAgain
from putback.narrate.words.lexicon import FASTENERS

_MOST_WORDS = 8
_NEIGHBOURS = 6
"""So many words of the segment before and after are looked at."""
_PARTS_OF_TEXT = 6
_STEM = 4
"""So many letters of a word stand for its kin: clip, clips, clipped."""
_AROUND = (-2, -1, 1, 2)
_STOPS = ".!?"
_SIGNS_BEFORE = 3


class Clues:
    """What speaks for and against it that something is done in each segment of a text.

    Args:
        row: the segments of the text.
        text: what was spoken.
    """

    def __init__(self, row: Sequence[Segment], text: str) -> None:
        self._row = row
        self._text = text
        self._words = [[word_of(piece) for piece in segment.pieces] for segment in row]
        self._acts = [tuple(_acts(segment.pieces)) for segment in row]
        self._again = NamedAgain(row, self._acts)

    def of(self, n: int) -> Iterator[str]:
        """The clues of a segment; some may come twice. `n`: its place."""
        segment, words = self._row[n], self._words[n]
        late = self._late(n)
        for word in words:
            yield f"w:{word}"
            yield f"{late}:{word}"
            if len(word) >= _STEM:
                yield f"st:{word[:_STEM]}"
        for one, two in pairwise(words):
            yield f"b:{one} {two}"
        yield from of_sorts(segment.pieces)
        yield f"m:{segment.mood.name}"
        yield f"j:{segment.join}"
        yield f"n:{min(len(words), _MOST_WORDS)}"
        yield f"p:{int(_PARTS_OF_TEXT * segment.start / len(self._text))}"
        yield f"ends:{segment.pieces[0].sort.name} {segment.pieces[-1].sort.name}"
        yield from _of_pairs(segment.pieces, late)
        yield from self.in_short(n)
        yield from self._around(n)

    def in_short(self, n: int) -> Iterator[str]:
        """How a segment begins and ends, and where its names stand besides. `n`: its place."""
        yield f"first:{self._words[n][0]}"
        yield f"last:{self._words[n][-1]}"
        yield from self._signs(self._row[n])
        yield from self._again.of(n, self._late(n))

    def _late(self, n: int) -> str:
        return "late" if 2 * self._row[n].start > len(self._text) else "early"

    def _signs(self, segment: Segment) -> Iterator[str]:
        """The signs that stand before and after."""
        before = self._text[max(0, segment.start - _SIGNS_BEFORE) : segment.start]
        last = before.strip()[-1:]
        yield f"opens:{'line' if chr(10) in before else 'stop' if last and last in _STOPS else last}"
        yield f"closes:{self._text[segment.end : segment.end + 1]}"

    def _around(self, n: int) -> Iterator[str]:
        """The words of the segment before and after, and what is done in two on either side."""
        sentence = self._row[n].sentence
        for side, other in (("<", n - 1), (">", n + 1)):
            if 0 <= other < len(self._row):
                same = "=" if self._row[other].sentence == sentence else "."
                for word in self._words[other][:_NEIGHBOURS]:
                    yield f"{side}{same}{word}"
        for far in _AROUND:
            if 0 <= n + far < len(self._row):
                for act in self._acts[n + far]:
                    yield f"{far}:{act}"


def word_of(piece: Piece) -> str:
    """The word that stands for a piece: of a name its last, and of numbers none."""
    return "#" if piece.sort is Sort.QUANTITY else piece.low.rpartition(" ")[2]


def _acts(pieces: Sequence[Piece]) -> Iterator[str]:
    """What is done, by the senses of verbs and by particles."""
    for piece in pieces:
        if piece.sense is not None:
            yield piece.sense.name
        elif piece.sort is Sort.PARTICLE:
            yield piece.low


def _of_pairs(pieces: Sequence[Piece], late: str) -> Iterator[str]:
    """Verbs, particles and names two by two, wherever they stand, and the words of names."""
    names = [piece for piece in pieces if piece.sort is Sort.NAME]
    particles = [piece.low for piece in pieces if piece.sort is Sort.PARTICLE]
    for name in names:
        yield f"h:{name.head}"
        for word in name.words[:-1]:
            yield f"of:{word}"
        for particle in particles:
            yield f"h p:{name.head} {particle}"
        yield f"fastener p:{name.head in FASTENERS} {' '.join(particles[:2])}"
    for verb in pieces:
        if verb.sort is Sort.VERB or verb.sort is Sort.OTHER_VERB:
            sense = verb.sense.name if verb.sense is not None else verb.low
            for particle in particles:
                yield f"v p:{verb.low} {particle}"
                yield f"s p:{sense} {particle}"
            for name in names:
                yield f"v h:{verb.low} {name.head}"
    if names and pieces[-1].sort is Sort.PARTICLE:
        yield f"e:{late} {pieces[-1].low}"


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
