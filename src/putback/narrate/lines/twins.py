"""One idea: each operation on the way back looks for the one on the way in that it undoes, by name, count and order.

What was taken off last goes back first, so among equals the newest that is still owed is the twin. Two things that
share no word of their names are linked only as a question.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from putback.core.operations import Verb
from putback.narrate.lines.aliases import NO_ALIASES, Aliases, means_vehicle, same_words, words_of_name
from putback.narrate.lines.said import Said
from putback.narrate.sense.things import singular
from putback.narrate.words.lexicon import ACROSS, FASTENERS, POWERTRAIN

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
_USUAL: Final = frozenset(
    {
        (Verb.FIT, Verb.REMOVE),
        (Verb.PLUG_IN, Verb.UNPLUG),
        (Verb.JOIN, Verb.PART),
        (Verb.SWING_BACK, Verb.SWING_ASIDE),
        (Verb.UNFOLD, Verb.FOLD),
        (Verb.START, Verb.UNDO),
        (Verb.TIGHTEN, Verb.UNDO),
        (Verb.RESTORE, Verb.ISOLATE),
    }
)
_OF_ANOTHER: Final = 0.7
"""So alike are the nuts of one thing and the nuts of another."""
_LINES: Final = frozenset({Verb.PLUG_IN, Verb.JOIN, Verb.FIT})
_LINES_OFF: Final = frozenset({Verb.UNPLUG, Verb.PART, Verb.REMOVE})
_OFTEN_ALONE: Final = frozenset({Verb.RESTORE, Verb.UNGUARD, Verb.FILL, Verb.LOWER})
"""Of these there are so few in a job that one without a shared name is still linked, as a question."""
_SIDES: Final = (("left", "right"), ("front", "rear"), ("upper", "lower"), ("inner", "outer"), ("top", "bottom"),
    ("driver", "passenger"), ("inlet", "outlet"), ("nearside", "offside"),
)  # fmt: skip
_PLACES: Final = frozenset(word for pair in _SIDES for word in pair) | {
    *("back", "centre", "center", "middle", "long", "short", "other")
}
_LEAST: Final = 0.8
_ONLY_SLACKENED: Final = 0.5
"""What was only slackened never came off, and is not run in again where another of its name came off."""
_PER_STEP_OF_AGE: Final = 0.004
_ALREADY_UNDONE: Final = 1.2
_LOWERED: Final = 3.0
"""What is down cannot come down again, whatever it is called."""
_JUST_FITTED: Final = 0.3
_OTHER_ROUND: Final = 0.7
"""What was repeated on the other side goes back with what is repeated, and the first side with the first."""
_NO_SHARED_WORD: Final = 0.4
_UNDOABLE: Final = frozenset().union(*_FAMILIES.values())
_UP_AND_DOWN: Final = frozenset({Verb.RAISE, Verb.LOWER})
_NEXT: Final = 2
_MOST: Final = 30
"""So many things of one name are looked at, the newest; no job takes off more."""
CLOSE: Final = 0.2
"""Two candidates so near each other are a doubt."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """The twin that was found for an operation, how sure that is, and the next best with its distance.

    `also`: more that the same operation undoes, as "both wheels on" undoes the left one and the right one.
    """

    back: int
    way_in: int
    shares_a_word: bool
    rival: int | None = None
    margin: float = 1.0
    also: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class _Tried:
    other: Said
    score: float
    shared: bool


class _Search:
    """What came off so far, by the words of its name, so that a long job is searched as fast as a short one."""

    def __init__(self, said: Sequence[Said], aliases: Aliases) -> None:
        self.aliases = aliases
        self.again = said_again(said)
        self.places: dict[str, list[tuple[int, Said, tuple[str, ...]]]] = {}
        self.undone: dict[int, set[Verb]] = {}
        self.together: dict[int, tuple[int, ...]] = {}
        self.back: dict[int, int] = {}
        self.found: list[Link] = []

    def take(self, place: int, one: Said) -> None:
        """Look for the twin of an operation of the way back; keep one of the way in for later."""
        words = words_of_name(self.aliases.named(one.object))
        if one.verb in _FAMILIES and not self._begins(one, words):
            self._look(place, one, words)
        elif one.verb in _UNDOABLE:
            for key in {*words, one.verb}:
                self.places.setdefault(key, []).append((place, one, words))

    def _begins(self, one: Said, words: tuple[str, ...]) -> bool:
        """Whether a lift or a lowering is on the way in: a subframe is let down first, a car is raised first."""
        if one.verb not in _UP_AND_DOWN:
            return False
        near = (kept for word in set(words) for kept in self.places.get(word, ())[-_MOST:])
        of_it = [kept for kept in near if kept[1].verb in _UP_AND_DOWN]
        if not of_it or means_vehicle(words):
            return one.verb is Verb.RAISE or not means_vehicle(words)
        return max(of_it, key=lambda kept: kept[0])[1].verb is one.verb

    def _look(self, place: int, one: Said, words: tuple[str, ...]) -> None:
        family = _FAMILIES[one.verb]
        keys = {*words, *family} if one.verb in _OFTEN_ALONE else set(words)
        others = {
            kept[0]: kept for key in keys for kept in self.places.get(key, ())[-_MOST:] if kept[1].verb in family
        }
        tried = [self._try(place - at, one, words, other, theirs) for at, other, theirs in others.values()]
        tried.sort(key=lambda each: (-each.score, -each.other.n))
        if not tried or tried[0].score < _LEAST:
            return
        best = tried[0]
        also = self._as_fitted(one, best.other) or (
            _both_sides(one, words, tried, self.again)
            or _in_two_goes(one, tried)
            or _both_named(one, words, tried)
            or _slackened_before(one, tried)
            or _put_aside(one, tried)
        )
        rival = next((other for other in tried[1:] if other.other.n not in also), None)
        self.together[best.other.n] = also
        if one.verb is not Verb.TIGHTEN:
            self.back[best.other.n] = self.back.get(best.other.n, 0) + (one.count or 0)
        for n in (best.other.n, *also):
            self.undone.setdefault(n, set()).add(_as_step(one.verb))
        self.found.append(
            Link(
                back=one.n,
                way_in=best.other.n,
                shares_a_word=best.shared,
                rival=rival.other.n if rival else None,
                margin=best.score - rival.score if rival else 1.0,
                also=also,
            )
        )

    def _goes_on(self, one: Said, other: Said) -> bool:
        """`Two in the middle, four round the edge`: more of the seven that came off, while some are owed."""
        if one.verb is Verb.TIGHTEN or one.count is None or other.count is None:
            return False
        gone_back = self.back.get(other.n, 0)
        return 0 < gone_back <= other.count - one.count

    def _as_fitted(self, one: Said, best: Said) -> tuple[int, ...]:
        """What else is tight with what was run in together."""
        if one.verb is not Verb.TIGHTEN:
            return ()
        return self.together.get(best.n, ())

    def _try(self, age: int, one: Said, mine: tuple[str, ...], other: Said, theirs: tuple[str, ...]) -> _Tried:
        score, shared = _fits(one, mine, other, theirs)
        score -= _PER_STEP_OF_AGE * age * (0.1 if one.verb in _OFTEN_ALONE else 1.0)
        staged = one.verb is Verb.TIGHTEN and bool(self.found) and self.found[-1].way_in == other.n
        done = _as_step(one.verb) in self.undone.get(other.n, ()) and not self._goes_on(one, other)
        if done and not (staged and same_words(mine, theirs)):
            score -= _LOWERED if one.verb in _UP_AND_DOWN else _ALREADY_UNDONE
        if one.verb is Verb.TIGHTEN and self.found and other.n in (self.found[-1].way_in, *self.found[-1].also):
            score += _JUST_FITTED
        if (one.n in self.again) is not (other.n in self.again) and not _says_a_side(mine, theirs):
            score -= _OTHER_ROUND
        return _Tried(other, score, shared)


def said_again(said: Sequence[Said]) -> frozenset[int]:
    """The operations that "the same on the other side" repeats: several on one place, of several things, uncounted."""
    at: dict[int, list[Said]] = {}
    for one in said:
        at.setdefault(one.start, []).append(one)
    several = (
        group
        for group in at.values()
        if len({one.object for one in group}) > 1 and all(one.count is None and one.size is None for one in group)
    )
    return frozenset(one.n for group in several for one in group)


def _says_a_side(mine: Sequence[str], theirs: Sequence[str]) -> bool:
    """Whether both names say their side, which tells them apart."""
    return bool(set(mine) & ACROSS and set(theirs) & ACROSS)


def links(said: Sequence[Said], aliases: Aliases = NO_ALIASES) -> tuple[Link, ...]:
    """The twins of the operations on the way back, in their order."""
    search = _Search(said, aliases)
    for place, one in enumerate(said):
        search.take(place, one)
    return tuple(search.found)


def with_twins(said: Sequence[Said], found: Sequence[Link]) -> list[Said]:
    """The same operations, those of the way back with the number of their twin where one was found."""
    twin = {link.back: link for link in found}
    return [
        replace(one, twin=twin[one.n].way_in, also=twin[one.n].also)
        if one.n in twin
        else (replace(one, twin=None, also=()) if one.twin is not None or one.also else one)
        for one in said
    ]


def _both_sides(one: Said, mine: tuple[str, ...], tried: Sequence[_Tried], again: frozenset[int]) -> tuple[int, ...]:
    """What else is undone where an operation names no side and its twin has a like on the other side."""
    best = tried[0].other
    words = words_of_name(best.object)
    sides = set(words) & ACROSS
    if set(mine) & ACROSS:
        return ()
    rest = set(words) - sides
    for other in (each.other for each in tried[1:]):
        theirs = set(words_of_name(other.object))
        opposite = theirs & ACROSS and not theirs & sides and theirs - ACROSS == rest
        round_again = theirs == set(words) and (other.n in again) is not (best.n in again)
        both = (opposite and _of_two(one, best, other)) or (round_again and _of_both_rounds(one, best, other))
        if other.verb is best.verb and (both or _slackened_together(one, best, other)):
            return (other.n,)
    return ()


def _in_two_goes(one: Said, tried: Sequence[_Tried]) -> tuple[int, ...]:
    """`Fan screws, all three`: of which two came off first, and one later, or two at the front and one at the rear."""
    best = tried[0].other
    if one.count is None or best.count is None or one.count <= best.count:
        return ()
    for other in (each.other for each in tried[1:]):
        of_one_kind = other.verb is best.verb and _alike_but_for_place(best, other)
        if of_one_kind and one.count == best.count + (other.count or 1):
            return (other.n,)
    return ()


def _alike_but_for_place(one: Said, other: Said) -> bool:
    """Whether two names are the same, whatever they say of places and of the rest."""
    mine, theirs = (tuple(word for word in words_of_name(each.object) if word not in _PLACES) for each in (one, other))
    return same_words(mine, theirs) and bool(mine)


def _both_named(one: Said, mine: Sequence[str], tried: Sequence[_Tried]) -> tuple[int, ...]:
    """`The harness and the sensor lead`: both of them, where the name says two."""
    if "and" not in one.object.split():
        return ()
    best = tried[0].other
    left = set(mine) - set(words_of_name(best.object))
    others = (each.other for each in tried[1:] if each.other.verb is best.verb)
    named = ((other.n, set(words_of_name(other.object))) for other in others)
    return tuple(n for n, theirs in named if theirs & left and theirs <= set(mine))[:1]


def _slackened_before(one: Said, tried: Sequence[_Tried]) -> tuple[int, ...]:
    """What was slackened before it came off is tight again with it."""
    best = tried[0].other
    if one.verb is not Verb.TIGHTEN or best.verb is not Verb.UNDO or best.slackened:
        return ()
    earlier = (each.other for each in tried[1:] if each.other.slackened and each.other.n < best.n)
    return tuple(other.n for other in earlier if _same_name(other, best))[:1]


def _put_aside(one: Said, tried: Sequence[_Tried]) -> tuple[int, ...]:
    """`Pulled the sensor out and tucked it aside`, `latch dropped`, later `out`: once fitted, both are undone."""
    best = tried[0].other
    if one.verb is not Verb.FIT or best.verb is not Verb.REMOVE:
        return ()
    near = (each.other for each in tried[1:] if each.other.n - best.n <= _NEXT)
    return tuple(other.n for other in near if other.verb is Verb.SWING_ASIDE and _same_name(other, best))[:1]


def _same_name(one: Said, other: Said) -> bool:
    return same_words(words_of_name(one.object), words_of_name(other.object))


def _of_two(one: Said, best: Said, other: Said) -> bool:
    """Whether an operation is of both: by its number, or because it names several where each was one."""
    if one.count is not None:
        return one.count > max(best.count or 1, other.count or 1)
    return _is_several(one.object) and (one.kind is not None or one.verb is Verb.TIGHTEN)


def _slackened_together(one: Said, best: Said, other: Said) -> bool:
    """`The clip at one end and the clip at the other`: both are meant where the clips are tight again."""
    near = best.slackened and other.slackened and abs(best.n - other.n) <= _NEXT
    alike = words_of_name(best.object)[-1:] == words_of_name(other.object)[-1:]
    return near and alike and (one.count or 2) == 2 and _is_several(one.object) and not _is_several(best.object)


def _of_both_rounds(one: Said, best: Said, other: Said) -> bool:
    """`Struts back in`: of the first side and of what was repeated, which have the same name."""
    if one.count is not None:
        return one.count == (best.count or 1) + (other.count or best.count or 1)
    return _is_several(one.object) and not _is_several(best.object)


def _is_several(name: str) -> bool:
    """Whether the last word of a name means several."""
    last = name.split()[-1:]
    return bool(last) and singular(last[0]) != last[0]


def _as_step(verb: Verb) -> Verb:
    """Fitting is fitting, whatever it was called; tightening comes on top of it."""
    return verb if verb is Verb.TIGHTEN else Verb.FIT


def _fits(one: Said, mine: tuple[str, ...], other: Said, theirs: tuple[str, ...]) -> tuple[float, bool]:
    """How well two operations are each other's twins, and whether their names share a word."""
    score = _of_names(mine, theirs)
    shared = score > 0
    if not shared and one.verb in _UP_AND_DOWN and bool(set(mine) & POWERTRAIN) is not bool(set(theirs) & POWERTRAIN):
        return 0.0, False
    if not shared:
        score = _NO_SHARED_WORD if one.verb in _OFTEN_ALONE else 0.0
        if not score:
            return 0.0, False
    of_it = {word for word in mine if one.verb is not Verb.TIGHTEN or word not in FASTENERS}
    if other.verb is Verb.ISOLATE and one.verb is not Verb.RESTORE and not (of_it and of_it <= set(theirs)):
        return 0.0, False
    score += _of_verbs(one.verb, other.verb)
    if other.slackened and one.verb is not Verb.TIGHTEN:
        score -= _ONLY_SLACKENED
    score += _of_fasteners(one, mine, other, theirs)
    if one.count is not None and other.count is not None:
        score += 0.3 if one.count == other.count else -0.1
    return score, shared


def _of_verbs(back: Verb, way_in: Verb) -> float:
    if (back, way_in) in _USUAL or back in (Verb.UNGUARD, Verb.FILL, Verb.LOWER, Verb.RAISE):
        return 0.5
    if back in _LINES and way_in in _LINES_OFF:
        return 0.3
    return 0.3 if way_in is Verb.SWING_ASIDE else 0.0


def _of_fasteners(one: Said, mine: Sequence[str], other: Said, theirs: Sequence[str]) -> float:
    """A bolt is not a nut, and what a bolt holds is not the bolt.

    What is repeated on the other side keeps no kind; its name tells it.
    """
    if one.kind and other.kind:
        return 0.2 if one.kind == other.kind else -0.8
    if one.verb in (Verb.FIT, Verb.START) and bool(one.kind) != bool(other.kind):
        told = mine[-1] in FASTENERS and same_words(mine, theirs)
        return 0.2 if told else -0.6
    return 0.0


@lru_cache(maxsize=8192)
def _of_names(mine: tuple[str, ...], theirs: tuple[str, ...]) -> float:
    """How alike two names are: 2 the same, 1 to 1.5 the same kind of thing, less for a shared word, 0 for none."""
    if not mine or not theirs or _other_side(mine, theirs):
        return 0.0
    if same_words(mine, theirs):
        return 2.0
    shared = set(mine) & set(theirs)
    alike = 0.5 * len(shared) / len(set(mine) | set(theirs))
    if mine[-1] == theirs[-1]:
        of_others = set(mine) - shared and set(theirs) - shared and shared == {mine[-1]}
        return (_OF_ANOTHER if of_others else 1.0) + alike
    if shared and (shared == set(mine) or shared == set(theirs)):
        return 0.8 + alike
    return 0.3 + alike if shared else 0.0


def _other_side(mine: Sequence[str], theirs: Sequence[str]) -> bool:
    return any(
        (one in mine and two in theirs and two not in mine) or (two in mine and one in theirs and one not in mine)
        for one, two in _SIDES
    )
