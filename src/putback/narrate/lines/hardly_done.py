"""One idea: a line that was likely only spoken of is left out; its clues are weighed, as measured on labelled texts.

The weights are in `narrate/weighing/done.csv` (docs/decisions/0013-weights.md). What is left out is shown in grey, as
all words that gave nothing.
"""

import bisect
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from putback.core.operations import Verb
from putback.narrate.lines.doubts import signs
from putback.narrate.lines.said import Said
from putback.narrate.lines.seen import Found
from putback.narrate.lines.signs import HARDLY, MAYBE
from putback.narrate.lines.twins import Link, with_twins
from putback.narrate.phrase.phrases import Piece
from putback.narrate.phrase.reading import read
from putback.narrate.phrase.segments import Segment
from putback.narrate.text.spoken import Spoken
from putback.narrate.weighing import weights
from putback.narrate.weighing.clues import of_sorts
from putback.narrate.weighing.likeness import Likeness, of_text

LIKELY: Final = -50
"""Below these odds, in hundredths of their logarithm, a line was likely not done."""
MAYBE_DONE: Final = 100
SURE: Final = 200
"""From these odds on a line is taken as done, and bears no doubt of it."""
_NEVER_LEFT_OUT: Final = frozenset({Verb.ISOLATE})
"""Without it nobody would ask whether it was proved dead and connected again; of the others the lack is asked."""
_PARTS_OF_TEXT: Final = 6
_MOST_WORDS: Final = 8
_STEPS: Final = 5


def without_hardly_done(said: Sequence[Said], links: Sequence[Link], spoken: Spoken) -> list[Said]:
    """The lines that were likely done, numbered anew; they have no twins yet.

    Args:
        said: what was heard.
        links: how the twins of it were found.
        spoken: the text.
    """
    if not of_text(spoken.text, spoken.breaks).long_enough:
        return list(said)
    table = weights.read("done")
    weighed = [(one, table.odds(seen)[0]) for one, seen in zip(said, clues(said, links, spoken), strict=True)]
    kept = [
        replace(one, doubts=(*one.doubts, *_doubt(odds))) if odds < SURE else one
        for one, odds in weighed
        if odds >= LIKELY or one.verb in _NEVER_LEFT_OUT
    ]
    return [replace(one, n=n) if one.n != n else one for n, one in enumerate(kept, start=1)]


def _doubt(odds: int) -> tuple[str, ...]:
    """What is doubtful of a line that may not have been done."""
    return (HARDLY,) if odds < MAYBE_DONE else (MAYBE,) if odds < SURE else ()


def clues(said: Sequence[Said], links: Sequence[Link], spoken: Spoken) -> list[list[str]]:
    """What speaks for and against each line."""
    known = read(spoken.text, spoken.breaks)
    likeness = of_text(spoken.text, spoken.breaks)
    twinned = with_twins(said, links)
    found = signs(twinned, links, known.pieces)
    starts = [segment.start for segment in known.segments]
    row = []
    for place, one in enumerate(twinned):
        first = max(0, bisect.bisect_right(starts, one.start) - 1)
        after = max(bisect.bisect_left(starts, one.end), first + 1)
        row.append(
            [
                *_of_line(one, found[place]),
                *_of_segment(known.segments[first]),
                *_of_words(one, known.pieces),
                *_of_place(one, known.length),
                *_of_neighbours(twinned, place),
                *_of_likeness(one, likeness, range(first, after)),
            ]
        )
    return row


def _of_line(one: Said, found: Sequence[Found]) -> Iterator[str]:
    verb, head = one.verb.value, one.object.rpartition(" ")[2]
    yield f"v:{verb}"
    yield f"h:{head}"
    yield f"v h:{verb} {head}"
    yield f"t:{verb} {one.twin is not None}"
    yield f"n:{verb} {one.count is not None} {bool(one.kind)} {one.size is not None}"
    for sign, _ in found:
        yield f"d:{sign.name}"


def _of_segment(segment: Segment) -> Iterator[str]:
    """How the segment is built that a line begins in."""
    yield f"m:{segment.mood.name}"
    yield f"j:{segment.join}"
    yield f"l:{min(len(segment.pieces), _MOST_WORDS)}"
    yield from of_sorts(segment.pieces)


def _of_words(one: Said, row: Sequence[Piece]) -> Iterator[str]:
    """The words that a line stands on."""
    words = 0
    at = bisect.bisect_left(row, one.start, key=lambda piece: piece.start)
    while at < len(row) and row[at].start < one.end:
        for word in row[at].words or (row[at].low,):
            yield f"w:{one.verb.value} {word}"
            words += 1
        at += 1
    yield f"c:{min(words // 2, _MOST_WORDS)}"


def _of_place(one: Said, length: int) -> Iterator[str]:
    part = int(_PARTS_OF_TEXT * one.start / length)
    yield f"p:{part}"
    yield f"v p:{one.verb.value} {part * 2 // 3}"


def _of_neighbours(said: Sequence[Said], place: int) -> Iterator[str]:
    one = said[place]
    before: Verb | None = said[place - 1].verb if place else None
    after: Verb | None = said[place + 1].verb if place + 1 < len(said) else None
    yield f"<:{before.value if before else ''} {one.verb.value}"
    yield f">:{one.verb.value} {after.value if after else ''}"
    if before is one.verb and said[place - 1].object == one.object:
        yield "same"


def _of_likeness(one: Said, likeness: Likeness, places: range) -> Iterator[str]:
    """How likely something is done at all in the words that a line stands on, and how likely this."""
    mine = [odds for odds in (likeness.of(one.verb, n) for n in places) if odds is not None]
    if mine:
        step = _step(max(mine))
        yield f"o:{step}"
        yield f"v o:{one.verb.value} {step}"
    yield f"b:{_step(max(likeness.best(n)[1] for n in places))}"


def _step(odds: int) -> int:
    return max(-_STEPS, min(_STEPS, odds // weights.HUNDREDTHS))
