"""One idea: each line says what a person should look at, from how it was said and how well its twin fits."""

import bisect
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from putback.core.operations import ITEM_OFF, Verb
from putback.narrate.aliases import words_of_name
from putback.narrate.phrases import Piece, Sort
from putback.narrate.questions import is_high_voltage, is_turned
from putback.narrate.said import Said
from putback.narrate.twins import CLOSE, Link

NO_NAME: Final = "no name was heard"
NO_TWIN: Final = "nothing was heard that it undoes"
OTHER_NAME: Final = "its twin was called otherwise: {}"
RIVAL: Final = "line {} fits nearly as well"
TWICE: Final = "line {} says the same"
NO_COUNT: Final = "how many was not heard"
NO_SIZE: Final = "what size was not heard"
TWO_COUNTS: Final = "several numbers were said together"
ODD_COUNT: Final = "the number may belong to something else"
FAR: Final = "what is meant was taken from before"
ONE_BY_NAME: Final = "one, because it was named so; no number was said"
NO_WAY_BACK: Final = "no way back was heard; did it come off, or was it only named?"
TOO_EARLY: Final = "other things still came off after this; did it go back here?"

_VAGUE: Final = frozenset({"it", "one", "thing", "part", "piece", "this", "that", "them", "side", "end", "stuff"})
_PUTS_BACK: Final = frozenset(
    {Verb.FIT, Verb.START, Verb.TIGHTEN, Verb.PLUG_IN, Verb.JOIN, Verb.SWING_BACK, Verb.UNFOLD}
    | {Verb.RESTORE, Verb.UNGUARD}
)
_TAKES_OFF: Final = ITEM_OFF | {Verb.UNDO, Verb.ISOLATE}
_NAMED: Final = _PUTS_BACK | _TAKES_OFF | {Verb.GUARD, Verb.INSPECT, Verb.CLEAN, Verb.RENEW}
_NOT_COUNTED: Final = frozenset({Verb.GUARD, Verb.UNGUARD, Verb.INSPECT, Verb.CLEAN, Verb.TIGHTEN})
_GOES_BACK: Final = frozenset({Verb.REMOVE, Verb.SWING_ASIDE, Verb.ISOLATE})
_ONE: Final = frozenset({"1", "one", "single", "a", "an"})
_LINES_TO_LOOK_BACK: Final = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """What the lines are looked at with: their words, their links, each line by its number.

    `turn` is the number of the line from which on more goes back than comes off. `round_trip`: most that came off is
    heard to go back, so that what is not stands out.
    """

    row: Sequence[Piece]
    starts: Sequence[int]
    links: Mapping[int, Link]
    by_number: Mapping[int, Said]
    undone: frozenset[int]
    turn: int
    round_trip: bool

    def said_with(self, one: Said) -> Sequence[Piece]:
        """The pieces that a line stands on."""
        first = bisect.bisect_left(self.starts, one.start)
        return self.row[first : bisect.bisect_left(self.starts, one.end)]


def with_doubts(said: Sequence[Said], links: Sequence[Link], row: Sequence[Piece]) -> list[Said]:
    """The same operations with all that is doubtful of each, what was heard so already first.

    Args:
        said: the operations with their twins.
        links: how the twins were found.
        row: the pieces of the text; empty where there is no text.
    """
    undone = frozenset(n for one in said if one.twin is not None for n in (one.twin, *one.also))
    seen = _Seen(
        row=row,
        starts=[piece.start for piece in row],
        links={link.back: link for link in links},
        by_number={one.n: one for one in said},
        undone=undone,
        turn=_turn(said),
        round_trip=2 * sum(one.n in undone for one in said) > sum(one.verb in _TAKES_OFF for one in said),
    )
    found = []
    for place, one in enumerate(said):
        before = said[max(0, place - _LINES_TO_LOOK_BACK) : place]
        doubts = (
            *one.doubts,
            *_of_name(one, before),
            *_of_twin(one, seen),
            *_of_order(one, seen),
            *_of_numbers(one),
            *_of_words(one, seen),
        )
        found.append(replace(one, doubts=tuple(dict.fromkeys(doubts))))
    return found


def _turn(said: Sequence[Said]) -> int:
    """The number of the first line of the way back, where the fewest lines are on the wrong side of it."""
    best, least, wrong = 0, 0, 0
    for place, one in enumerate(said, start=1):
        wrong += (one.verb in _PUTS_BACK) - (one.verb in _TAKES_OFF)
        if wrong < least:
            best, least = place, wrong
    return said[best].n if best < len(said) else len(said) + 1


def _of_name(one: Said, before: Sequence[Said]) -> Iterator[str]:
    if one.verb in _NAMED and not set(words_of_name(one.object)) - _VAGUE:
        yield NO_NAME
    if one.verb in _PUTS_BACK | _TAKES_OFF:
        for other in before:
            if other.verb is one.verb and other.object == one.object:
                yield TWICE.format(other.n)


def _of_twin(one: Said, seen: _Seen) -> Iterator[str]:
    link = seen.links.get(one.n)
    if link is None:
        if one.verb in _PUTS_BACK and one.twin is None:
            yield NO_TWIN
        return
    twin = seen.by_number[link.way_in]
    mine, theirs = words_of_name(one.object), words_of_name(twin.object)
    if theirs and not set(mine) <= set(theirs):
        yield OTHER_NAME.format(twin.object)
    if link.rival is not None and link.margin < CLOSE:
        yield RIVAL.format(link.rival)


def _of_order(one: Said, seen: _Seen) -> Iterator[str]:
    """What does not fit the way in and the way back of the whole job."""
    if one.verb in _PUTS_BACK and one.n < seen.turn:
        yield TOO_EARLY
    if one.verb in _GOES_BACK and seen.round_trip and one.n not in seen.undone:
        yield NO_WAY_BACK


def _of_numbers(one: Said) -> Iterator[str]:
    if one.verb is Verb.UNDO and one.count is None:
        yield NO_COUNT
    if one.size is None and (
        (one.verb is Verb.UNDO and is_turned(one)) or (one.verb is Verb.ISOLATE and not is_high_voltage(one))
    ):
        yield NO_SIZE
    if one.verb in _NOT_COUNTED and one.count is not None:
        yield ODD_COUNT


def _of_words(one: Said, seen: _Seen) -> Iterator[str]:
    """What the very words show: a pronoun for the thing, a number that nobody said, several numbers."""
    words = seen.said_with(one)
    if not words:
        return
    if len({piece.count for piece in words if piece.count is not None}) > 1:
        yield TWO_COUNTS
    lows = {low for piece in words for low in (piece.low, *piece.low.split())}
    if one.count == 1 and one.kind and not lows & _ONE:
        yield ONE_BY_NAME
    head = words_of_name(one.object)[-1:]
    named = any(set(head) & set(words_of_name(" ".join(piece.words))) for piece in words if piece.words)
    pronoun = any(piece.sort is Sort.PRONOUN for piece in words)
    never_again = one.verb not in _PUTS_BACK and one.n not in seen.undone
    if one.verb in _NAMED and pronoun and not named and never_again:
        yield FAR
