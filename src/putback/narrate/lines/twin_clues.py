"""One idea: what speaks for and against it that one line undoes another is seen as clues; their weights are measured.

The weights are in `narrate/weighing/twins.csv` (docs/decisions/0014-twins.md).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from putback.core.operations import Verb
from putback.narrate.lines.aliases import same_words
from putback.narrate.lines.around import Around
from putback.narrate.lines.names_alike import likeness
from putback.narrate.lines.said import Said
from putback.narrate.words.lexicon import ACROSS, FASTENERS

_MOST_WORDS: Final = 3
_MOST_ORDER: Final = 4
_TELLING: Final = (1, 2, 3, 4, 6)
"""From so much on a clue says that words around two lines are the same."""
_BIG: Final = 2
_YOUNG: Final = 3
"""Up to so many binary digits of lines ago nothing is older than the rest."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line with its place among all, and the words of its name that tell it from others."""

    place: int
    said: Said
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How one line of the way in stands when a twin is looked for: what undid it, and what was linked last.

    `undone`: in the same way, by a line before; `owed`: not all, more of it came off than went back. `fitted`: it went
    back, and may be tightened. `after_last`: how many lines it is from the twin that was found last; None before the
    first. `with_last`: it is that twin, or undone with it. `over`: a line after it stands for it, such as the removal
    of what was only slackened here. `other_round`: it was repeated on the other side, where the one looked for was
    not, or the other way round; `like_in_round`: and one of its name was not. `newest`: no line after it is as much
    like the one looked for and still to be undone; `only`: no other at all is still to be undone.
    """

    undone: bool
    owed: bool
    fitted: bool
    after_last: int | None
    with_last: bool
    over: bool
    other_round: bool
    like_in_round: bool
    newest: bool
    only: bool


def of_pair(back: Line, way_in: Line, standing: Standing, around: Around) -> Iterator[str]:
    """The clues of a line of the way back and one of the way in that it may undo."""
    one, other = back.said, way_in.said
    tight = " tight" if one.verb is Verb.TIGHTEN else ""
    alike = likeness(back.words, way_in.words)
    yield f"name:{alike}"
    yield f"shared:{min(len(set(back.words) & set(way_in.words)), _MOST_WORDS)}"
    yield "verbs:" + one.verb + " " + other.verb
    yield from _of_kind(back, way_in)
    yield from _of_numbers(one, other)
    if other.slackened:
        yield f"slackened{tight}"
    yield from _of_standing(standing, alike, tight)
    yield f"age:{max((back.place - way_in.place).bit_length(), _YOUNG)}"
    yield from _of_words_around(back, way_in, around)


def of_none(one: Said, words: Sequence[str]) -> Iterator[str]:
    """The clues of a line that undoes nothing that was heard."""
    yield "none"
    yield f"none:{one.verb}"
    if not words:
        yield "none unnamed"
    if one.kind:
        yield "none kind"
    if one.count:
        yield "none counted"
    if one.doubts:
        yield "none doubtful"


def _of_kind(back: Line, way_in: Line) -> Iterator[str]:
    """A bolt is not a nut, and what a bolt holds is not the bolt."""
    one, other = back.said, way_in.said
    if one.kind and other.kind:
        yield f"kind:{'same' if one.kind == other.kind else 'another'}"
    elif bool(one.kind) != bool(other.kind):
        yield f"kind:one {one.verb}"
        if back.words and back.words[-1] in FASTENERS and same_words(back.words, way_in.words):
            yield "kind:in the name"
    if holds(back, way_in):
        yield f"kind:what holds it {other.verb}"


def _of_numbers(one: Said, other: Said) -> Iterator[str]:
    if one.count is not None and other.count is not None:
        step = "same" if one.count == other.count else "more" if one.count > other.count else "fewer"
        yield f"count:{step}"
        if step == "same" and one.count > _BIG:
            yield "count:same of many"
    if one.size and other.size:
        yield f"size:{'same' if one.size == other.size else 'another'}"


def _of_standing(standing: Standing, alike: str, tight: str) -> Iterator[str]:
    if standing.undone:
        yield "undone"
    if standing.owed:
        yield "owed"
    elif standing.newest:
        yield f"newest {alike.partition(' ')[0]}"
    if standing.only and not standing.undone:
        yield "only one"
    if tight and standing.with_last:
        yield "tightened at once"
        if standing.undone and alike == "same":
            yield "tightened in stages"
    if tight and standing.fitted:
        yield "fitted before"
    if standing.after_last is not None:
        yield f"order:{_step(standing.after_last)}{tight}"
    if standing.over:
        yield "stands over"
    if standing.other_round:
        yield "other round"
        if standing.like_in_round:
            yield "other round, like in this"


def _step(after: int) -> str:
    """Where a line stands beside the one that was linked last: right at it, near it, or far."""
    if abs(after) <= 1:
        return str(after)
    near = "near" if abs(after) <= _MOST_ORDER else "far"
    return f"{near} {'before' if after < 0 else 'after'}"


def _of_words_around(back: Line, way_in: Line, around: Around) -> Iterator[str]:
    """Words that stand in one name and around the other line, or around both."""
    mine, theirs = frozenset(back.words), frozenset(way_in.words)
    here, there = around.of(back.place), around.of(way_in.place)
    if not (here.near or there.near):
        return
    both = mine | theirs
    for name, words in (
        ("my name there", (mine & there.near) - theirs),
        ("my name in its words", (mine & there.own) - theirs),
        ("its name here", (theirs & here.near) - mine),
        ("its name in my words", (theirs & here.own) - mine),
        ("around both", (here.near & there.near) - both),
        ("in the words of both", (here.own & there.own) - both),
        ("in both names", mine & theirs),
        ("only in my name", mine - theirs - there.near),
        ("only in its name", theirs - mine - here.near),
    ):
        much = around.tells(words)
        if much:
            yield from (f"{name}:{least}" for least in _TELLING if much >= least)


def holds(one: Line, other: Line) -> bool:
    """Whether one is of the fasteners that hold the other, by its name: `tray bolts`, of the tray."""
    if one.words[-1:] == other.words[-1:] or not other.words:
        return False
    of_it = set(one.words).difference(FASTENERS)
    return len(of_it) < len(set(one.words)) and of_it == set(other.words)


def says_a_side(mine: Sequence[str], theirs: Sequence[str]) -> bool:
    """Whether both names say their side, which tells them apart."""
    return bool(set(mine) & ACROSS and set(theirs) & ACROSS)
