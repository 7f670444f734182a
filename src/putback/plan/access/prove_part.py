"""One idea: a good answer makes the rest small: ways that cannot beat it go, and what is left is searched exactly."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from putback.plan.access.bound import narrowed, root_bound
from putback.plan.access.branch import OutOfBudget, branch
from putback.plan.access.component import Found, Part, improved, parts_of, priced, quick
from putback.plan.access.core import Core
from putback.plan.access.programme import Outcome, prove

_TREE_CHOICES = 60  # a part with more choices goes to the integer programme at once
_TREE_LOOKS = 400
_IMPROVE_TRIES = 600

SecondsLeft = Callable[[], float]
OnBound = Callable[[Found | None, float], None]


def good_start(part: Part, first: Mapping[int, int] | None = None) -> Found | None:
    """A legal choice to begin with, if one comes up without search.

    Args:
        part: what is to be chosen.
        first: a choice of ways to fall back on.
    """
    found = quick(part) or (quick(part, prefer=first) if first is not None else None)
    return None if found is None else improved(part, found, rounds=3, tries=_IMPROVE_TRIES)


def prove_part(part: Part, best: Found | None, *, seconds_left: SecondsLeft, on_bound: OnBound) -> Outcome:
    """The least legal choice of ways of a part.

    Args:
        part: what is to be chosen.
        best: a legal choice known beforehand.
        seconds_left: how long it may still take, [s].
        on_bound: told the best and the bound, in units, while it works.
    """
    if best is None:
        return _searched(part, None, seconds_left, on_bound)
    while True:
        small = narrowed(part, best.units)
        if small is None:
            return Outcome(best=best, bound=float(best.units), complete=True)
        pieces = parts_of(small)
        starts = [good_start(piece) for piece in pieces]
        better = _joined(part, small, starts)
        if better is None or better.units >= best.units:
            return _pieces_proved(
                _Pieces(part=part, small=small, pieces=pieces, starts=starts, best=best), seconds_left, on_bound
            )
        best = better
        on_bound(best, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pieces:
    """A part narrowed and split: answers cheaper than `best`, if any, lie in `small`."""

    part: Part
    small: Core
    pieces: Sequence[Part]
    starts: Sequence[Found | None]
    best: Found


def _joined(part: Part, small: Core, founds: Sequence[Found | None]) -> Found | None:
    """The choices of the pieces as one choice for the part; None when a piece has none."""
    ways = dict(small.settled)
    for found in founds:
        if found is None:
            return None
        ways.update(found.ways)
    return priced(part, ways)


def _pieces_proved(work: _Pieces, seconds_left: SecondsLeft, on_bound: OnBound) -> Outcome:
    """Search the pieces one after the other; as soon as one cannot be cheap enough, the best is proved."""
    best = work.best
    lows = [float(root_bound(piece).units) for piece in work.pieces]
    founds = list(work.starts)
    complete, interrupted = True, False
    for at, piece in enumerate(work.pieces):
        others = work.small.base + sum(lows) - lows[at]
        nothing = Found(ways={}, units=ceil(best.units - others))  # stands for: no cheaper answer lies here
        start = founds[at]
        known = start if start is not None and start.units < nothing.units else nothing

        def told(_: Found | None, low: float, others: float = others) -> None:
            on_bound(best, min(float(best.units), others + low))

        outcome = _searched(piece, known, seconds_left, told)
        if outcome.complete and (outcome.best is None or outcome.best.units >= nothing.units):
            return Outcome(best=best, bound=float(best.units), complete=True)
        lows[at] = max(lows[at], outcome.bound)
        if outcome.best is not None and outcome.best is not nothing:
            founds[at] = outcome.best
        complete = complete and outcome.complete
        interrupted = outcome.interrupted
        if interrupted:
            break
    joined = _joined(work.part, work.small, founds)
    if joined is not None and joined.units < best.units:
        best = joined
    bound = min(float(best.units), work.small.base + sum(lows))
    return Outcome(best=best, bound=bound, complete=complete and not interrupted, interrupted=interrupted)


def _searched(part: Part, best: Found | None, seconds_left: SecondsLeft, on_bound: OnBound) -> Outcome:
    """Search a part by tree or by programme; the bound is that of the best when it is proved."""
    if len(part.choices) <= _TREE_CHOICES:
        try:
            best = branch(part, best, looks=_TREE_LOOKS, go_on=lambda: seconds_left() > 0)
            return Outcome(best=best, bound=0.0 if best is None else float(best.units), complete=True)
        except OutOfBudget as spent:
            best = spent.args[0]
    return prove(part, best, seconds_left=seconds_left, on_bound=on_bound)
