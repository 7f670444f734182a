"""One idea: each operation on the way back looks for the one on the way in that it undoes, the likeliest by all clues.

Names, counts, sizes, the words around both lines and the order of the work are weighed (`twin_clues`). Two things that
share no word of their names are linked only as a question.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from putback.core.operations import Verb
from putback.narrate.lines.aliases import NO_ALIASES, Aliases, means_vehicle, same_words, words_of_name
from putback.narrate.lines.around import Around
from putback.narrate.lines.names_alike import OTHER_SIDE, UNLIKE, likeness
from putback.narrate.lines.said import Said
from putback.narrate.lines.twin_clues import Line, Standing, holds, of_none, of_pair, says_a_side
from putback.narrate.lines.undone_too import said_again, undone_too
from putback.narrate.weighing import weights
from putback.narrate.words.lexicon import FASTENERS, POWERTRAIN

_ITEM_OFF: Final = frozenset({Verb.REMOVE, Verb.UNPLUG, Verb.PART, Verb.SWING_ASIDE, Verb.FOLD, Verb.ISOLATE})
_FAMILIES: Final[Mapping[Verb, frozenset[Verb]]] = {
    Verb.FIT: _ITEM_OFF | {Verb.UNDO},
    Verb.PLUG_IN: _ITEM_OFF,
    Verb.JOIN: _ITEM_OFF,
    Verb.SWING_BACK: _ITEM_OFF,
    Verb.UNFOLD: _ITEM_OFF,
    Verb.START: frozenset({Verb.UNDO, Verb.REMOVE}),
    Verb.TIGHTEN: frozenset({Verb.UNDO, Verb.ISOLATE, Verb.REMOVE}),
    Verb.RESTORE: frozenset({Verb.ISOLATE, Verb.UNPLUG}),
    Verb.UNGUARD: frozenset({Verb.GUARD}),
    Verb.FILL: frozenset({Verb.DRAIN}),
    Verb.LOWER: frozenset({Verb.RAISE}),
    Verb.RAISE: frozenset({Verb.LOWER}),
}
"""What each operation of the way back may undo, loosely: one says "put back" of a connector too."""
_OFTEN_ALONE: Final = frozenset({Verb.RESTORE, Verb.UNGUARD, Verb.FILL, Verb.LOWER})
"""Of these there are so few in a job that one without a shared name is still linked, as a question."""
_UNDOABLE: Final = frozenset().union(*_FAMILIES.values())
_UP_AND_DOWN: Final = frozenset({Verb.RAISE, Verb.LOWER})
_NEXT: Final = 2
_MOST: Final = 30
"""So many things of one name are looked at, the newest; no job takes off more."""
_MOST_OF_A_VERB: Final = 30
CLOSE: Final = 60
"""Two candidates so near each other are a doubt: hundredths of the logarithm of the odds between them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """The twin that was found for an operation, how sure that is, and the next best with its distance.

    `also`: more that the same operation undoes, as "both wheels on" undoes the left one and the right one. `margin` is
    in hundredths of the logarithm of the odds; None: there was no other. `lead`: how much likelier it is than the next
    best or nothing at all, in the same.
    """

    back: int
    way_in: int
    shares_a_word: bool
    rival: int | None = None
    margin: int | None = None
    also: tuple[int, ...] = ()
    lead: int = 0


@dataclass(frozen=True, slots=True)
class Candidate:
    """A line that may be the twin of another: what speaks for and against it, and whether their names share a word."""

    line: Line
    clues: tuple[str, ...]
    shared: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The twin that was chosen, all candidates with their odds, the likeliest first, and the odds that it is none."""

    best: Candidate
    row: Sequence[tuple[int, Candidate]]
    none: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Among:
    """What is known of all that an operation may undo: what others stand for, rounds, and what is still to be undone.

    `free` has the newest first; `newest` are the places of the newest of these that are each so much like it.
    """

    over: set[int]
    rounds: set[tuple[tuple[str, ...], bool]]
    free: Sequence[Line]
    newest: Collection[int]


class TwinSearch:
    """What came off so far, by the words of its name, so that a long job is searched as fast as a short one."""

    def __init__(self, said: Sequence[Said], aliases: Aliases, around: Around) -> None:
        self.lines = [Line(n, one, words_of_name(aliases.named(one.object))) for n, one in enumerate(said)]
        self.around = around
        self.found: list[Link] = []
        self._again = said_again(said)
        self._places = {one.n: n for n, one in enumerate(said)}
        self._by_key: dict[str, list[Line]] = {}
        self._undone: dict[int, set[Verb]] = {}
        self._together: dict[int, tuple[int, ...]] = {}
        self._back: dict[int, int] = {}
        self._table = weights.read("twins")

    def search(self) -> tuple[Link, ...]:
        """The twins of all operations on the way back, in their order."""
        for line in self.lines:
            if line.said.verb in _FAMILIES and not self._begins(line):
                tried = self._candidates(line)
                choice = self.choose(line, tried)
                if choice is not None:
                    self._link(line.said, choice)
            elif line.said.verb in _UNDOABLE:
                for key in {*line.words, line.said.verb}:
                    self._by_key.setdefault(key, []).append(line)
        return tuple(self.found)

    def choose(self, back: Line, tried: Sequence[Candidate]) -> Choice | None:
        """The likeliest of what an operation may undo; None: likelier it undoes nothing that was heard.

        Of what is often alone, an energy or a fluid, the likeliest that is left is taken all the same.
        """
        odds = ((self._table.odds_of_one(each.clues), each) for each in tried)
        row = sorted(odds, key=lambda one: (-one[0], -one[1].line.place))
        none = self._table.odds_of_one(of_none(back.said, back.words))
        if row and row[0][0] >= none:
            return Choice(best=row[0][1], row=row, none=none)
        alone = (each for _, each in row if back.said.verb in _OFTEN_ALONE and not self._is_undone(back, each.line))
        best = next(alone, None)
        return Choice(best=best, row=row, none=none) if best is not None else None

    def _begins(self, line: Line) -> bool:
        """Whether a lift or a lowering is on the way in: a subframe is let down first, a car is raised first."""
        one, words = line.said, line.words
        if one.verb not in _UP_AND_DOWN:
            return False
        near = (kept for word in set(words) for kept in self._by_key.get(word, ())[-_MOST:])
        of_it = [kept for kept in near if kept.said.verb in _UP_AND_DOWN]
        if not of_it or means_vehicle(words):
            return one.verb is Verb.RAISE or not means_vehicle(words)
        return max(of_it, key=lambda kept: kept.place).said.verb is one.verb

    def _candidates(self, back: Line) -> list[Candidate]:
        """What an operation may undo, the newest first."""
        family = _FAMILIES[back.said.verb]
        kept = {line.place: line for word in back.words for line in self._by_key.get(word, ())[-_MOST:]}
        for verb in sorted(family):
            of_it = self._by_key.get(verb, ())[-_MOST_OF_A_VERB:]
            kept |= {line.place: line for line in of_it if not self._is_undone(back, line)}
        lines = [kept[place] for place in sorted(kept, reverse=True)]
        lines = [line for line in lines if line.said.verb in family and self._may(back, line)]
        free = [line for line in lines if not self._is_undone(back, line)]
        among = _Among(
            over=_stood_for(lines),
            rounds={(line.words, line.said.n in self._again) for line in lines},
            free=free,
            newest={likeness(back.words, line.words): line.place for line in reversed(free)}.values(),
        )
        return [
            Candidate(
                line,
                tuple(of_pair(back, line, self._standing(back, line, among), self.around)),
                likeness(back.words, line.words) != UNLIKE,
            )
            for line in lines
        ]

    def _may(self, back: Line, line: Line) -> bool:
        """Whether one line may undo another: by a shared word, by words around, or as one of few of its kind."""
        one, other, mine, theirs = back.said, line.said, back.words, line.words
        alike = likeness(mine, theirs)
        if alike == OTHER_SIDE:
            return False
        of_it = {word for word in mine if one.verb is not Verb.TIGHTEN or word not in FASTENERS}
        if other.verb is Verb.ISOLATE and one.verb is not Verb.RESTORE and not (of_it and of_it <= set(theirs)):
            return False
        if alike != UNLIKE:
            return one.verb not in (Verb.FIT, Verb.START) or not (holds(back, line) or holds(line, back))
        if one.verb in _UP_AND_DOWN and bool(set(mine) & POWERTRAIN) is not bool(set(theirs) & POWERTRAIN):
            return False
        here, there = self.around.of(back.place), self.around.of(line.place)
        near = set(mine) & there.near or set(theirs) & here.near or here.own & there.own
        return bool(near) or one.verb in _OFTEN_ALONE

    def _standing(self, back: Line, line: Line, among: _Among) -> Standing:
        one, other = back.said, line.said
        last = self.found[-1] if self.found else None
        again = one.n in self._again
        with_last = last is not None and other.n in (last.way_in, *last.also)
        after_last = line.place - self._places[last.way_in] if last is not None else None
        other_round = again is not (other.n in self._again) and not says_a_side(back.words, line.words)
        like_in_round = other_round and (line.words, again) in among.rounds
        by_name = same_words(back.words, line.words) and not like_in_round
        return Standing(
            undone=self._is_undone(back, line),
            owed=self._is_owed(one, other),
            fitted=Verb.FIT in self._undone.get(other.n, ()),
            after_last=0 if with_last else after_last,
            with_last=with_last,
            over=line.place in among.over,
            other_round=other_round and not by_name,
            like_in_round=like_in_round,
            newest=line.place in among.newest,
            only=among.free == [line],
        )

    def _is_undone(self, back: Line, line: Line) -> bool:
        done = _as_step(back.said.verb) in self._undone.get(line.said.n, ())
        return done and not self._is_owed(back.said, line.said)

    def _is_owed(self, one: Said, other: Said) -> bool:
        """`Two in the middle, four round the edge`: more of the seven that came off, while some are owed."""
        if one.verb is Verb.TIGHTEN or one.count is None or other.count is None:
            return False
        return 0 < self._back.get(other.n, 0) <= other.count - one.count

    def _link(self, one: Said, choice: Choice) -> None:
        best, twin, likeliest = choice.best, choice.best.line.said, choice.row[0][0]
        others = [each.line.said for _, each in choice.row if each is not best and each.shared]
        also = self._together.get(twin.n, ()) if one.verb is Verb.TIGHTEN else ()
        also = also or undone_too(one, twin, others, self._again)
        rivals = ((odds, each.line.said.n) for odds, each in choice.row if each is not best)
        rival_odds, rival = next((each for each in rivals if each[1] not in also), (None, None))
        self._together[twin.n] = also
        if one.verb is not Verb.TIGHTEN:
            self._back[twin.n] = self._back.get(twin.n, 0) + (one.count or 0)
        for n in (twin.n, *also):
            self._undone.setdefault(n, set()).add(_as_step(one.verb))
        self.found.append(
            Link(
                back=one.n,
                way_in=twin.n,
                shares_a_word=best.shared,
                rival=rival,
                margin=None if rival_odds is None else likeliest - rival_odds,
                also=also,
                lead=likeliest - max(choice.none, choice.none if rival_odds is None else rival_odds),
            )
        )


def links(said: Sequence[Said], aliases: Aliases = NO_ALIASES, around: Around | None = None) -> tuple[Link, ...]:
    """The twins of the operations on the way back, in their order.

    Args:
        said: all operations, in the order of the text.
        aliases: what things are called on this car.
        around: what stands around each of them in the text; None: there is no text.
    """
    return TwinSearch(said, aliases, around or Around()).search()


def with_twins(said: Sequence[Said], found: Sequence[Link]) -> list[Said]:
    """The same operations, those of the way back with the number of their twin where one was found."""
    twin = {link.back: link for link in found}
    return [
        replace(one, twin=twin[one.n].way_in, also=twin[one.n].also)
        if one.n in twin
        else (replace(one, twin=None, also=()) if one.twin is not None or one.also else one)
        for one in said
    ]


def _stood_for(lines: Sequence[Line]) -> set[int]:
    """The places of lines that another stands for: what was slackened and then taken off, or put aside once off."""
    passing = (line for line in lines if line.said.slackened or line.said.verb is Verb.SWING_ASIDE)
    return {line.place for line in passing if any(_stands_for(other, line) for other in lines)}


def _stands_for(other: Line, line: Line) -> bool:
    if line.said.slackened:
        stands = not other.said.slackened and other.place > line.place
    else:
        stands = other.said.verb is Verb.REMOVE and abs(other.place - line.place) <= _NEXT
    return stands and same_words(other.words, line.words)


def _as_step(verb: Verb) -> Verb:
    """Fitting is fitting, whatever it was called; tightening comes on top of it."""
    return verb if verb is Verb.TIGHTEN else Verb.FIT
