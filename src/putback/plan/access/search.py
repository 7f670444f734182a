"""One idea: shrink, split, take a good answer at once, then prove each part; stop at any moment with what there is."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from math import ceil
from time import monotonic

from putback.plan.access.bound import root_bound
from putback.plan.access.component import Found, Part, parts_of
from putback.plan.access.core import Core
from putback.plan.access.programme import Outcome
from putback.plan.access.prove_part import good_start, prove_part
from putback.plan.access.shrink import shrunk

Progress = Callable[[float, float], None]


@dataclass(slots=True, kw_only=True)
class Watch:
    """The clock of a search and whom it tells."""

    time_limit_s: float | None = None
    on_progress: Progress | None = None
    started: float = field(default_factory=monotonic)

    def seconds_left(self) -> float:
        """Time left, [s]; endless without a limit."""
        return float("inf") if self.time_limit_s is None else self.started + self.time_limit_s - monotonic()


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreAnswer:
    """Ways for all open choices of a core, units in all, a bound, and how the search ended."""

    ways: Mapping[int, int]
    units: int
    bound: float
    complete: bool
    interrupted: bool = False


@dataclass(slots=True, kw_only=True)
class _State:
    """Best and bound of each part while the search runs; `found` is None until a part has a legal choice."""

    core: Core
    watch: Watch
    parts: list[Part]
    found: list[Found | None]
    bounds: list[float]

    def report(self) -> None:
        """Tell the caller the best and the bound in minutes, when every part has a legal choice."""
        if self.watch.on_progress is None or any(found is None for found in self.found):
            return
        scale = self.core.local.scale
        best = self.core.base + sum(found.units for found in self.found if found is not None)
        self.watch.on_progress(best / scale, min(best, self.core.base + sum(self.bounds)) / scale)


class TooDear(Exception):
    """Whatever the least legal choice is, it costs the limit or more."""


def search_core(
    core: Core, watch: Watch, first: Mapping[int, int] | None, *, limit: float = float("inf")
) -> CoreAnswer | None:
    """The least legal choice of ways for a core; None when there is none, or none was found in time.

    Args:
        core: the core, not shrunk yet.
        watch: the clock.
        first: a choice of ways known to be legal, for parts where nothing better comes up.
        limit: units; nothing that costs as much or more is wanted.

    Raises:
        TooDear: no legal choice stays below the limit.
        KeyboardInterrupt: stopped from outside before any legal choice was at hand.
    """
    small = shrunk(core)
    if small is None:
        return None
    parts = parts_of(small)
    bounds = [float(root_bound(part).units) for part in parts]
    if small.base + sum(bounds) >= limit:
        raise TooDear
    limited = limit < float("inf")
    found = [None if limited else good_start(part, first) for part in parts]
    state = _State(core=small, watch=watch, parts=parts, found=found, bounds=bounds)
    complete, interrupted = True, False
    try:
        for at in sorted(range(len(parts)), key=lambda at: (len(parts[at].choices), at)):
            outcome = _proved(state, at, limit if limited else None)
            complete = complete and outcome.complete
            if outcome.interrupted:
                raise KeyboardInterrupt
            if outcome.complete and outcome.best is None:
                return None
    except KeyboardInterrupt:
        complete, interrupted = False, True
    answer = _assembled(state, complete=complete, interrupted=interrupted)
    if answer is None and interrupted:
        raise KeyboardInterrupt
    return answer


def _proved(state: _State, at: int, limit: float | None) -> Outcome:
    """Search one part and keep what is known of it.

    Raises:
        TooDear: with this part, no choice stays below the limit.
    """
    state.report()
    known = state.found[at]
    if limit is not None:
        others = state.core.base + sum(state.bounds) - state.bounds[at]
        known = Found(ways={}, units=ceil(limit - others))  # stands for: nothing below the limit
    outcome = prove_part(
        state.parts[at], known, seconds_left=state.watch.seconds_left, on_bound=partial(_note, state, at)
    )
    if limit is not None and outcome.best is known:
        if outcome.complete:
            raise TooDear
        outcome = replace(outcome, best=None)
    _note(state, at, outcome.best, outcome.bound)
    return outcome


def _assembled(state: _State, *, complete: bool, interrupted: bool) -> CoreAnswer | None:
    ways = dict(state.core.settled)
    units = state.core.base
    for found in state.found:
        if found is None:
            return None
        ways.update(found.ways)
        units += found.units
    bound = min(float(units), state.core.base + sum(state.bounds))
    return CoreAnswer(ways=ways, units=units, bound=bound, complete=complete, interrupted=interrupted)


def _note(state: _State, at: int, found: Found | None, bound: float) -> None:
    """Keep what is known of a part, and tell the caller."""
    if found is None or found.ways:
        state.found[at] = found
    state.bounds[at] = max(state.bounds[at], bound)
    state.report()
