"""One idea: what a line and the lines around it show: its name, its twin, its place in the job, its numbers."""

from collections.abc import Iterator
from typing import Final

from putback.core.operations import Verb
from putback.narrate.lines.aliases import words_of_name
from putback.narrate.lines.questions import is_high_voltage, is_turned
from putback.narrate.lines.said import Said
from putback.narrate.lines.seen import NAMED, PUTS_BACK, TAKES_OFF, Found, Seen
from putback.narrate.lines.signs import Sign
from putback.narrate.lines.twins import CLOSE

VAGUE: Final = frozenset({"it", "one", "thing", "part", "piece", "this", "that", "them", "side", "end", "stuff"})
_NOT_COUNTED: Final = frozenset({Verb.GUARD, Verb.UNGUARD, Verb.INSPECT, Verb.CLEAN, Verb.TIGHTEN})
_OF_FASTENERS: Final = frozenset({Verb.UNDO, Verb.START, Verb.TIGHTEN})
_GOES_BACK: Final = frozenset({Verb.REMOVE, Verb.SWING_ASIDE, Verb.ISOLATE})
_SELDOM_WRONG: Final = frozenset(
    {Verb.GUARD, Verb.UNGUARD, Verb.RAISE, Verb.LOWER, Verb.RESTORE, Verb.DRAIN, Verb.FILL, Verb.WAIT, Verb.CLEAN}
    | {Verb.READ_BEFORE, Verb.PROVE_DEAD}
)
_LINES_TO_LOOK_BACK: Final = 6
_LINES_BETWEEN: Final = 60
_LONG_NAME: Final = 5
_SEVERAL: Final = 3
_UNSURE: Final = 150
"""How much likelier the twin of a line is at least than any other: hundredths of the logarithm of the odds."""


def of_what_is_said(place: int, seen: Seen) -> Iterator[Found]:
    """A line by itself and what was said just before it: has it a name, was it said twice?"""
    one = seen.said[place]
    words = seen.words[one.n]
    if one.verb in _SELDOM_WRONG:
        yield Sign.SELDOM_WRONG, ""
    if one.verb in NAMED and not set(words) - VAGUE:
        yield Sign.NO_NAME, ""
    if len(words) >= _LONG_NAME:
        yield Sign.LONG_NAME, ""
    if one.verb is Verb.RENEW:
        yield Sign.NEW_PART, ""
    if one.verb in PUTS_BACK | TAKES_OFF:
        for other in seen.said[max(0, place - _LINES_TO_LOOK_BACK) : place]:
            if other.verb is one.verb and other.object == one.object:
                yield Sign.TWICE, str(other.n)
    if place and seen.row and seen.said[place - 1].end > one.start:
        yield Sign.SAME_WORDS, str(seen.said[place - 1].n)


def of_twin(place: int, seen: Seen) -> Iterator[Found]:
    """Whether a line has a twin, and how well the two fit."""
    one = seen.said[place]
    if _undoes_nothing(one, seen):
        yield Sign.NO_TWIN, ""
    if place + 1 < len(seen.said) and _undoes_nothing(seen.said[place + 1], seen):
        yield Sign.NEXT_HAS_NONE, ""
    link = seen.links.get(one.n)
    if link is None:
        return
    twin = seen.by_number[link.way_in]
    mine, theirs = seen.words[one.n], seen.words[twin.n]
    if theirs and not set(mine) <= set(theirs):
        yield Sign.OTHER_NAME, twin.object
    if link.lead < _UNSURE:
        yield Sign.UNSURE_TWIN, ""
    if link.margin is not None and link.margin < CLOSE:
        yield Sign.RIVAL, str(link.rival)
    if one.n in seen.again:
        yield Sign.UNDONE_BEFORE, ""
    if twin.count is None and one.count is not None:
        yield Sign.UNCOUNTED_TWIN, ""
    passed = _passed_over(one, twin, seen)
    if passed:
        yield Sign.PASSED_OVER, str(passed)
    if one.verb is Verb.TIGHTEN and place:
        yield from _tightened_after(one, seen.said[place - 1], seen)


def _undoes_nothing(one: Said, seen: Seen) -> bool:
    return one.verb in PUTS_BACK and one.twin is None and one.n not in seen.links


def _passed_over(one: Said, twin: Said, seen: Seen) -> int:
    """The last line that came off after the twin and is still off, where its name is alike or several are so; else 0.

    What came off last goes back first.
    """
    last, off, words = 0, 0, set(seen.words[one.n])
    for n in range(max(twin.n, one.n - _LINES_BETWEEN) + 1, one.n):
        other = seen.by_number.get(n)
        if other is None or other.verb is not twin.verb or seen.first_back.get(n, one.n) < one.n:
            continue
        off += 1
        if words & set(seen.words[n]) or off >= _SEVERAL:
            last = n
    return last


def _tightened_after(one: Said, before: Said, seen: Seen) -> Iterator[Found]:
    """`Cover on, snug`: what is tightened is usually what was put back just before."""
    other = before.verb in PUTS_BACK and before.twin != one.twin and before.object != one.object
    heard = {word for piece in seen.said_with(one) for word in words_of_name(" ".join((*piece.words, piece.low)))}
    if other and seen.row and not set(seen.words[one.n]) <= heard:
        yield Sign.ANOTHER_BEFORE, str(before.n)


def of_order(one: Said, seen: Seen) -> Iterator[Found]:
    """What does not fit the way in and the way back of the whole job."""
    if one.verb in PUTS_BACK and one.n < seen.turn:
        yield Sign.TOO_EARLY, ""
    if one.verb in TAKES_OFF and one.n >= seen.turn:
        yield Sign.TOO_LATE, ""
    if one.verb in _GOES_BACK and seen.round_trip and one.n not in seen.first_back:
        yield Sign.NO_WAY_BACK, ""


def of_numbers(one: Said, seen: Seen) -> Iterator[Found]:
    """Numbers and sizes that are missing, or stand where none is usual."""
    many = one.object.endswith("s") and not one.object.endswith("ss")
    if one.count is None:
        if one.verb is Verb.UNDO and one.kind:
            yield Sign.UNDONE_UNCOUNTED, ""
        elif one.verb is Verb.START and one.kind:
            yield Sign.STARTED_UNCOUNTED, ""
        elif one.verb in PUTS_BACK - {Verb.TIGHTEN} and (many or _of_several(one, seen)):
            yield Sign.MANY_UNCOUNTED, ""
    elif one.verb in _NOT_COUNTED:
        yield Sign.ODD_COUNT, ""
    if one.kind and one.verb not in _OF_FASTENERS:
        yield Sign.ODD_KIND, ""
    if one.size is None and (
        (one.verb is Verb.UNDO and one.kind and is_turned(one))
        or (one.verb is Verb.ISOLATE and not is_high_voltage(one))
    ):
        yield Sign.NO_SIZE, ""


def _of_several(one: Said, seen: Seen) -> bool:
    """Whether several of its twin came off."""
    twin = seen.by_number.get(one.twin) if one.twin is not None else None
    return twin is not None and (twin.count or 1) > 1
