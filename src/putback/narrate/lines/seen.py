"""One idea: what lines are looked at with: their words, their twins, and where way in turns to way back."""

import bisect
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from putback.core.operations import ITEM_OFF, Verb
from putback.narrate.lines.aliases import words_of_name
from putback.narrate.lines.said import Said
from putback.narrate.lines.signs import Sign
from putback.narrate.lines.twins import Link
from putback.narrate.phrase.phrases import Piece

Found = tuple[Sign, str]
"""A sign, and the line or the name that its words speak of; empty where they speak of none."""

PUTS_BACK: Final = frozenset(
    {Verb.FIT, Verb.START, Verb.TIGHTEN, Verb.PLUG_IN, Verb.JOIN, Verb.SWING_BACK, Verb.UNFOLD}
    | {Verb.RESTORE, Verb.UNGUARD}
)
TAKES_OFF: Final = ITEM_OFF | {Verb.UNDO, Verb.ISOLATE}
NAMED: Final = PUTS_BACK | TAKES_OFF | {Verb.GUARD, Verb.INSPECT, Verb.CLEAN, Verb.RENEW}


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """All lines, with what is worked out of them once.

    `turn` is the number of the line from which on more goes back than comes off. `round_trip`: most that came off is
    heard to go back, so that what is not stands out. `words` are those of each line's name, by its number;
    `first_back` is the first line that undoes one. `again`: lines that undo, in the same way, what was undone before.
    """

    said: Sequence[Said]
    row: Sequence[Piece]
    starts: Sequence[int]
    links: Mapping[int, Link]
    by_number: Mapping[int, Said]
    words: Mapping[int, tuple[str, ...]]
    first_back: Mapping[int, int]
    again: frozenset[int]
    turn: int
    round_trip: bool

    def begin(self, one: Said) -> int:
        """The place of the first piece that a line stands on."""
        return bisect.bisect_left(self.starts, one.start)

    def said_with(self, one: Said) -> Sequence[Piece]:
        """The pieces that a line stands on."""
        return self.row[self.begin(one) : bisect.bisect_left(self.starts, one.end)]


def seen(said: Sequence[Said], links: Sequence[Link], row: Sequence[Piece]) -> Seen:
    """What the lines are looked at with."""
    first_back: dict[int, int] = {}
    for one in said:
        for n in () if one.twin is None else (one.twin, *one.also):
            first_back.setdefault(n, one.n)
    return Seen(
        said=said,
        row=row,
        starts=[piece.start for piece in row],
        links={link.back: link for link in links},
        by_number={one.n: one for one in said},
        words={one.n: words_of_name(one.object) for one in said},
        first_back=first_back,
        again=_again(said),
        turn=_turn(said),
        round_trip=2 * sum(one.n in first_back for one in said) > sum(one.verb in TAKES_OFF for one in said),
    )


def _again(said: Sequence[Said]) -> frozenset[int]:
    """The lines that undo what a line before them undid already, in the same way."""
    done: set[tuple[int, bool]] = set()
    found = []
    for one in said:
        if one.twin is None:
            continue
        tight = one.verb is Verb.TIGHTEN
        if (one.twin, tight) in done:
            found.append(one.n)
        done |= {(n, tight) for n in (one.twin, *one.also)}
    return frozenset(found)


def _turn(said: Sequence[Said]) -> int:
    """The number of the first line of the way back, where the fewest lines are on the wrong side of it."""
    best, least, wrong = 0, 0, 0
    for place, one in enumerate(said, start=1):
        wrong += (one.verb in PUTS_BACK) - (one.verb in TAKES_OFF)
        if wrong < least:
            best, least = place, wrong
    return said[best].n if best < len(said) else len(said) + 1
