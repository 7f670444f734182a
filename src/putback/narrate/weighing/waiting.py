"""One idea: words that no rule hears anything in are seen as clues: what is named, what is off, what was done last.

Likeness alone knows the words of a segment and of those around it, and not how far the job has come.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from putback.core.operations import Verb
from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.phrase.segments import Segment
from putback.narrate.weighing.weights import steps
from putback.narrate.words.lexicon import FASTENERS

_MOST_NAMES = 3
_MOST_WORDS = 8
_FAR = 6
_DISTANCE = 20
"""Distances are seen in steps of so many signs."""
_CLOSE = 25
_STEP = 50
"""Odds are seen in steps of half a logarithm."""
_STEPS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Where:
    """How far the job has come at a segment. `name`, its first, is `off`, `handled` before, `known` or `new`.

    `pronoun_off`, `subject_off`: whether what a pronoun may mean, and what the sentence is about, is off.
    """

    back: bool
    terse: bool
    name: Piece | None
    name_is: str
    names: int
    pronoun: str
    pronoun_off: bool | None
    subject_off: bool | None
    before: tuple[Verb, int] | None
    after: tuple[Verb, int] | None


def clues(segment: Segment, odds: Mapping[str, int], where: Where) -> Iterator[str]:
    """What speaks for and against it that something was done.

    Args:
        segment: the words.
        odds: how likely each group of operations is by them, in hundredths of a logarithm.
        where: how far the job has come. The operation before and after stand with their distance in signs.
    """
    way = "back" if where.back else "in"
    yield from _of_likeness(odds)
    yield from _of_words(segment, f"{way} {'notes' if where.terse else 'talk'}", way)
    verb = next((one for one in segment.pieces if one.sort in (Sort.VERB, Sort.OTHER_VERB)), None)
    sense = "none" if verb is None else verb.sense.name if verb.sense is not None else "other"
    particles = " ".join(sorted({one.low for one in segment.pieces if one.sort is Sort.PARTICLE}))
    best = max(odds, key=odds.__getitem__)
    yield f"best:{best} {way}"
    yield f"best:{best} {sense} {particles}"
    yield f"verb:{sense}"
    yield f"verb:{way} {sense}"
    yield f"particles:{particles}"
    yield f"particles:{way} {particles}"
    yield f"names:{min(where.names, _MOST_NAMES)}"
    if where.name is not None:
        known = f"{where.name_is} {way}"
        yield f"name:{known}"
        yield f"name:{known} {where.terse} {verb is not None}"
        yield f"name:{known} {sense} {particles}"
        yield f"fastener:{where.name.head in FASTENERS} {known}"
        yield f"first:{segment.pieces[0] is where.name} {known}"
        yield f"best:{best} {known}"
    else:
        yield f"pronoun:{where.pronoun} {way}"
        yield f"subject off:{where.subject_off} {way}"
        if where.pronoun:
            yield f"pronoun off:{where.pronoun_off} {way} {sense}"
    yield from _of_neighbours(where)


def _of_likeness(odds: Mapping[str, int]) -> Iterator[str]:
    """Every step that the odds of a group have reached."""
    for group, one in odds.items():
        for reached in steps(one, _STEP, _STEPS):
            yield f"{group}>{reached}"


def _of_words(segment: Segment, manner: str, way: str) -> Iterator[str]:
    """How the words are put together, and the kinds of numbers among them."""
    yield way
    yield manner
    yield f"mood:{segment.mood.name}"
    yield f"join:{segment.join}"
    yield f"words:{min(len(segment.pieces), _MOST_WORDS)}"
    yield f"who:{any(one.sort is Sort.SUBJECT for one in segment.pieces)}"
    numbers = {one.quantity.of.name for one in segment.pieces if one.quantity is not None}
    numbers |= {"of name" for one in segment.pieces if one.count is not None}
    numbers |= {"size of name" for one in segment.pieces if one.size is not None}
    for each in sorted(numbers) or ["none"]:
        yield f"number:{each} {way}"


def _of_neighbours(where: Where) -> Iterator[str]:
    before, after = where.before, where.after
    yield f"<{before[0].value if before else ''}"
    yield f">{after[0].value if after else ''}"
    if before is not None:
        yield f"<{before[0].value} {before[1] < _CLOSE}"
        yield f"<far {min(before[1] // _DISTANCE, _FAR)}"
    if after is not None:
        yield f">far {min(after[1] // _DISTANCE, _FAR)}"
