"""One idea: all choices of ways but those listed fall into sets; the least of each set is one more search.

Lawler's partition: each set shares the first few ways with a listed answer and bars its next one. A listed
answer is the least of its set, so the least of all sets is the next to list.
Source: E. L. Lawler, A procedure for computing the K best solutions to discrete optimization problems,
Management Science 18 (1972).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from heapq import heappop, heappush, nsmallest

from putback.plan.access.answer import answer_of, ordered_work
from putback.plan.access.core import Core, core_of, limited
from putback.plan.access.first import first_ways
from putback.plan.access.local import Local
from putback.plan.access.localise import localise, must_masks
from putback.plan.access.problem import AccessAnswer, AccessProblem, Alternatives, Unreachable, checked_targets
from putback.plan.access.search import TooDear, Watch, search_core

Limits = Mapping[int, frozenset[int]]


@dataclass(frozen=True, slots=True, order=True)
class _Set:
    """A set of choices of ways with its least answer, compared by minutes, size of the work, then ways."""

    minutes: float
    size: int
    chosen: tuple[tuple[int, int], ...]
    answer: AccessAnswer = field(compare=False)
    limits: Limits = field(compare=False)
    units: int = field(compare=False)


@dataclass(slots=True, kw_only=True)
class _Listing:
    """What the listing carries along.

    `wanted`: how many are still to be listed; `dropped`: a set was left out that can hold none of them.
    """

    local: Local
    core: Core
    watch: Watch
    wanted: int
    waiting: list[_Set] = field(default_factory=list)
    stopped: bool = False
    dropped: bool = False

    def limit(self) -> float:
        """Units that a set must stay below to be of use, once enough others wait."""
        if not self.wanted or len(self.waiting) < self.wanted:
            return float("inf")
        return nsmallest(self.wanted, (entry.units for entry in self.waiting))[-1]


def alternatives(
    problem: AccessProblem,
    targets: Iterable[int],
    *,
    most: int,
    time_limit_s: float | None = None,
) -> Alternatives | Unreachable:
    """Distinct legal choices of ways, the answer first, then by minutes.

    Two are distinct when the ways taken in their works differ; each comes with its own least work.

    Args:
        problem: the car.
        targets: node numbers.
        most: how many to list at most; at least 1.
        time_limit_s: for the whole list, [s]; Ctrl-C cuts the list off in the same way.

    Raises:
        ValueError: `most` is below 1, or a target is no node of the problem.
    """
    if most < 1:
        raise ValueError(f"most is {most}; ask for at least 1")
    watch = Watch(time_limit_s=time_limit_s)
    local = localise(problem, checked_targets(problem, targets))
    if isinstance(local, Unreachable):
        return local
    listing = _Listing(local=local, core=core_of(local, must_masks(local)), watch=watch, wanted=most)
    listed: list[AccessAnswer] = []
    try:
        _add_least(listing, {}, first_ways(local))
        while listing.waiting and listing.wanted and not (listing.stopped and listed):
            least = heappop(listing.waiting)
            listed.append(least.answer)
            listing.wanted -= 1
            if not listing.stopped and (listing.wanted or not (listing.waiting or listing.dropped)):
                _part(listing, least)
    except KeyboardInterrupt:
        listing.stopped = True
    complete = not (listing.waiting or listing.dropped or listing.stopped)
    return Alternatives(answers=tuple(listed), complete=complete, out_of_time=listing.stopped)


def _add_least(listing: _Listing, limits: Limits, first: Mapping[int, int] | None = None) -> None:
    """Search one set and queue its least answer, if it holds any."""
    core = limited(listing.core, limits) if limits else listing.core
    try:
        found = search_core(core, listing.watch, first, limit=listing.limit())
    except TooDear:
        listing.dropped = True
        return
    if found is None:
        listing.stopped = listing.stopped or listing.watch.seconds_left() <= 0
        return
    listing.stopped = listing.stopped or not found.complete
    answer = answer_of(listing.local, found)
    entry = _Set(answer.minutes, len(answer.work), answer.chosen, answer, limits, found.units)
    heappush(listing.waiting, entry)


def _part(listing: _Listing, least: _Set) -> None:
    """Split what is left of a set once its least answer is listed."""
    options = {choice.number: frozenset(option.number for option in choice.options) for choice in listing.core.choices}
    limits = dict(least.limits)
    _, chosen = ordered_work(listing.local, least.answer.ways)
    for number, way in chosen:
        others = limits.get(number, options.get(number, frozenset())) - {way}
        if others:
            if listing.watch.seconds_left() <= 0:
                listing.stopped = True
                return
            _add_least(listing, {**limits, number: others})
            if listing.stopped:
                return
        if number in options:
            limits[number] = frozenset([way])
