"""One idea: a line is seen as clues of whether it was done: its verb, its thing, its words, the lines around."""

import bisect
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from putback.core.operations import Verb
from putback.narrate.lines.aliases import words_of_name
from putback.narrate.lines.doubts import signs
from putback.narrate.lines.said import Said
from putback.narrate.lines.seen import Found
from putback.narrate.lines.twins import Link, with_twins
from putback.narrate.phrase.phrases import Piece
from putback.narrate.phrase.reading import read
from putback.narrate.phrase.segments import Segment
from putback.narrate.text.spoken import Spoken
from putback.narrate.weighing.clues import of_sorts
from putback.narrate.weighing.likeness import GROUPS, Likeness, of_text
from putback.narrate.weighing.weights import steps

_PARTS_OF_TEXT: Final = 6
_MOST_WORDS: Final = 8
_STEP: Final = 50
_STEPS: Final = 8
_WHOLE_STEP: Final = 100
_WHOLE_STEPS: Final = 5
_MANY: Final = 2
_NEAR: Final = 6
"""So many lines around one are looked at for the same said twice."""
_GAP: Final = 25
_FAR: Final = 8
_Places = Mapping[frozenset[str], Sequence[int]]


def clues(said: Sequence[Said], links: Sequence[Link], spoken: Spoken) -> list[list[str]]:
    """What speaks for and against each line."""
    known = read(spoken.text, spoken.breaks)
    likeness = of_text(spoken.text, spoken.breaks)
    twinned = with_twins(said, links)
    found = signs(twinned, links, known.pieces)
    starts = [segment.start for segment in known.segments]
    names = [frozenset(words_of_name(one.object)) for one in twinned]
    places = _places(names)
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
                *likeness.clues.in_short(first),
                *_of_same(twinned, place, names, places),
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
    since = one.start - said[place - 1].end if place else _FAR * _GAP
    yield f"<far {min(_FAR, since // _GAP)}"
    yield f"<over {since < 0} {one.verb.value}"
    until = said[place + 1].start - one.end if place + 1 < len(said) else _FAR * _GAP
    yield f">far {min(_FAR, until // _GAP)}"


def _of_likeness(one: Said, likeness: Likeness, places: range) -> Iterator[str]:
    """How likely something is done at all in the words that a line stands on, and how likely this."""
    mine = [odds for odds in (likeness.of(one.verb, n) for n in places) if odds is not None]
    if mine:
        most = max(mine)
        yield from (f"o>{reached}" for reached in steps(most, _STEP, _STEPS))
        yield from (f"{GROUPS[one.verb]}>{reached}" for reached in steps(most, _WHOLE_STEP, _WHOLE_STEPS))
    else:
        yield "o none"
    best = max(likeness.best(n)[1] for n in places)
    yield from (f"b>{reached}" for reached in steps(best, _STEP, _STEPS))


def _places(names: Sequence[frozenset[str]]) -> _Places:
    """Where the lines of each name are."""
    places = defaultdict[frozenset[str], list[int]](list)
    for n, name in enumerate(names):
        if name:
            places[name].append(n)
    return places


def _of_same(said: Sequence[Said], place: int, names: Sequence[frozenset[str]], places: _Places) -> Iterator[str]:
    """What else is done to the thing of a line, before and after, and whether the same is said twice."""
    one, group = said[place], _group(said[place])
    row = places.get(names[place], ())
    at = bisect.bisect_left(row, place)
    before, after = row[:at], row[at + 1 :]
    known = f"{min(_MANY, len(before))}{min(_MANY, len(after))}"
    yield f"same:{known}"
    yield f"same:{group} {known}"
    yield f"same <:{group} {_group(said[before[-1]]) if before else ''}"
    yield f"same >:{group} {_group(said[after[0]]) if after else ''}"
    yield f"name:{min(len(names[place]), _MANY + 1)} {group}"
    around = (n for n in range(max(0, place - _NEAR), min(len(said), place + _NEAR + 1)) if n != place)
    yield f"twice:{any(said[n].verb is one.verb and names[n] & names[place] for n in around)} {one.verb.value}"


def _group(one: Said) -> str:
    return GROUPS.get(one.verb, one.verb.value)
