"""One idea: one operation of the way back may undo several of the way in: both sides, several goes, all it names."""

from collections.abc import Sequence
from typing import Final

from putback.core.operations import Verb
from putback.narrate.lines.aliases import same_words, words_of_name
from putback.narrate.lines.names_alike import PLACES
from putback.narrate.lines.said import Said
from putback.narrate.sense.things import singular
from putback.narrate.words.lexicon import ACROSS

_NEXT: Final = 2


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


def undone_too(one: Said, best: Said, others: Sequence[Said], again: frozenset[int]) -> tuple[int, ...]:
    """What else an operation undoes beside its twin.

    Args:
        one: the operation of the way back.
        best: its twin.
        others: what else it may undo, the likeliest first.
        again: the operations that "the same on the other side" repeats.
    """
    return (
        _both_sides(one, best, others, again)
        or _in_two_goes(one, best, others)
        or _both_named(one, best, others)
        or _slackened_before(one, best, others)
        or _put_aside(one, best, others)
    )


def _both_sides(one: Said, best: Said, others: Sequence[Said], again: frozenset[int]) -> tuple[int, ...]:
    """What else is undone where an operation names no side and its twin has a like on the other side."""
    words = words_of_name(best.object)
    sides = set(words) & ACROSS
    if set(words_of_name(one.object)) & ACROSS:
        return ()
    rest = set(words) - sides
    for other in others:
        theirs = set(words_of_name(other.object))
        opposite = theirs & ACROSS and not theirs & sides and theirs - ACROSS == rest
        round_again = theirs == set(words) and (other.n in again) is not (best.n in again)
        both = (opposite and _of_two(one, best, other)) or (round_again and _of_both_rounds(one, best, other))
        if other.verb is best.verb and (both or _slackened_together(one, best, other)):
            return (other.n,)
    return ()


def _in_two_goes(one: Said, best: Said, others: Sequence[Said]) -> tuple[int, ...]:
    """`Fan screws, all three`: of which two came off first, and one later, or two at the front and one at the rear."""
    if one.count is None or best.count is None or one.count <= best.count:
        return ()
    for other in others:
        of_one_kind = other.verb is best.verb and _alike_but_for_place(best, other)
        if of_one_kind and one.count == best.count + (other.count or 1):
            return (other.n,)
    return ()


def _alike_but_for_place(one: Said, other: Said) -> bool:
    """Whether two names are the same, whatever they say of places and of the rest."""
    mine, theirs = (tuple(word for word in words_of_name(each.object) if word not in PLACES) for each in (one, other))
    return same_words(mine, theirs) and bool(mine)


def _both_named(one: Said, best: Said, others: Sequence[Said]) -> tuple[int, ...]:
    """`The harness and the sensor lead`: both of them, where the name says two."""
    if "and" not in one.object.split():
        return ()
    mine = set(words_of_name(one.object))
    left = mine - set(words_of_name(best.object))
    named = ((other.n, set(words_of_name(other.object))) for other in others if other.verb is best.verb)
    return tuple(n for n, theirs in named if theirs & left and theirs <= mine)[:1]


def _slackened_before(one: Said, best: Said, others: Sequence[Said]) -> tuple[int, ...]:
    """What was slackened before it came off is tight again with it."""
    if one.verb is not Verb.TIGHTEN or best.verb is not Verb.UNDO or best.slackened:
        return ()
    earlier = (other for other in others if other.slackened and other.n < best.n)
    return tuple(other.n for other in earlier if _same_name(other, best))[:1]


def _put_aside(one: Said, best: Said, others: Sequence[Said]) -> tuple[int, ...]:
    """`Pulled the sensor out and tucked it aside`, `latch dropped`, later `out`: once fitted, both are undone."""
    if one.verb is not Verb.FIT or best.verb is not Verb.REMOVE:
        return ()
    near = (other for other in others if other.n - best.n <= _NEXT)
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
