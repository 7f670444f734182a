"""One idea: first a good order, then the proof; small jobs in plain Python, the rest in machine code.

What each stage costs by itself is proved first: it is a bound for the search through the others. A job read backwards
is a job too, and often proved with a tenth of the states; so both directions are tried in turn, with growing patience.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from time import monotonic
from types import ModuleType

from putback.plan.order.frame import Frame, frame_of
from putback.plan.order.freeing import Freeing, sequence_of
from putback.plan.order.groups import Groups, group, steps_in_order
from putback.plan.order.problem import FREE, Order, OrderProblem, Progress, cost_of
from putback.plan.order.small import Search, best_first, quick_walk
from putback.plan.order.visits import NONE
from putback.plan.unbroken import unbroken

_Task = tuple[Frame, int, list[int]]
"""A frame, the groups not to be done, and a bound on the stages after each stage."""

_Seek = Callable[[Frame, int, list[int], Search], bool]
_BestFirst = Callable[[Frame, int, Sequence[int], Search, Callable[[int], bool]], bool]
_Beam = Callable[[Frame, int, Sequence[int], Search, int, Callable[[int], bool]], bool]

FEW_GROUPS = 80
"""With no more groups in any stage plain Python is tried first, and most of the time is for the proof."""

FEW_STATES = (300, 8_000)
"""So many states are expanded in plain Python, in each direction in turn, before machine code takes over."""

MANY_STATES = (10_000, 1_000_000, 1 << 60)
"""The same for machine code; at last until the store is full."""

BESIDE = 32
"""States followed side by side in plain Python."""

ENDED = object()
"""What the making of machine code gives when it is through."""

FIRST_WIDTH = 64
SECOND_WIDTH = 256
"""States followed side by side for a first good order, and for the order that is then bettered."""

FEW_FREED = 4_000
"""States expanded for one set of steps set free."""

FIRST_ROUNDS = 20
"""Rounds of setting steps free without any gain, before the proof of a job that may be proved."""

MOST_ROUNDS = 400
"""Rounds of setting steps free without any gain, after which there is no more to be expected."""


def solve(problem: OrderProblem, *, time_limit_s: float | None = None, on_progress: Progress | None = None) -> Order:
    """The order of work with the cheapest changes, proved if the time is enough.

    Args:
        problem: the job.
        time_limit_s: stop after this time and give the best order found, [s]. None: no limit; the search still
            ends when its memory is used up.
        on_progress: told best cost and bound whenever one of them has changed.

    Returns:
        The order. The same job gives the same order, unless it was stopped by the time.

    Raises:
        NoOrderError: the precedence has a ring or contradicts the stages.
        ValueError: the job is not well formed.

    Ctrl-C ends the search; the best order so far comes back, marked as interrupted.
    """
    check(problem)
    groups = group(problem)
    work = _Work((frame_of(problem, groups), _backwards(problem)), time_limit_s, on_progress)
    try:
        work.run()
    except KeyboardInterrupt:
        work.interrupted = True
    return _order(problem, groups, work)


def check(problem: OrderProblem) -> None:
    """Refuse a job that is not well formed.

    Raises:
        ValueError: sizes do not fit, a number is out of range, or the triangle inequality does not hold.
    """
    count, classes = len(problem.place), range(len(problem.change))
    if any(c != FREE and c not in classes for c in problem.place):
        raise ValueError("a place is neither a class nor FREE")
    if len(problem.lift) != len(classes) or any(lift not in (0, 1, 2) for lift in problem.lift):
        raise ValueError("lift needs 0, 1 or 2 for every class")
    if problem.stage is not None and len(problem.stage) != count:
        raise ValueError("stage needs one number for every step")
    if any(not (0 <= a < count and 0 <= b < count) for a, b in problem.before):
        raise ValueError("before names a step that is not there")
    if problem.lift_cost < 0 or any(len(part.label) != len(classes) for part in problem.parts):
        raise ValueError("a negative lift cost, or a part without a label for every class")
    _check_change(problem.change, metric=bool(problem.parts))


def _check_change(change: Sequence[Sequence[int]], metric: bool) -> None:
    """Refuse a matrix that is not a metric (symmetry apart); a sum of parts is one."""
    classes = range(len(change))
    if any(len(row) != len(change) or min(row) < 0 or row[c] for c, row in enumerate(change)):
        raise ValueError("change must be square and not negative, with zeros on its diagonal")
    for c, row in enumerate(() if metric else change):
        for d in classes:
            if any(there > row[d] + on for there, on in zip(row, change[d], strict=True)):
                raise ValueError(f"a change from class {c} is cheaper by way of class {d}")


def _backwards(problem: OrderProblem) -> Frame:
    """The frame of the job read backwards: its walks are the walks of the job, turned round, and cost the same."""
    stage = problem.stage
    turned = replace(
        problem,
        change=tuple(zip(*problem.change, strict=True)),
        before=tuple((b, a) for a, b in problem.before),
        stage=None if stage is None else tuple(-one for one in stage),
    )
    return frame_of(turned, group(turned))


class _Work:
    """The search under way: what is known, and until when it may run. Walks are kept as read forwards."""

    def __init__(self, frames: tuple[Frame, Frame], time_limit_s: float | None, on_progress: Progress | None) -> None:
        self.frame, self._back = frames
        self.main = Search()
        self.interrupted = False
        self._begun = monotonic()
        self._limit = float("inf") if time_limit_s is None else time_limit_s
        self._until = self._limit
        self._on_progress = on_progress
        self._told: tuple[int, int] | None = None
        self._alone = [self._root(stage) for stage in range(len(self.frame.tables))]

    def run(self) -> None:
        """Search until proved or out of time."""
        if not self.frame.place:
            self.main.best = 0
            return
        self.main.bound = sum(self._alone)
        self.greedy()
        if not (self._few_groups() and self._small()) and self._elapsed() < self._until:
            self._large()

    def greedy(self) -> None:
        """A first order."""
        self.main.best, self.main.classes = quick_walk(self.frame, 0, self._ahead(turned=False), 1)
        self._tell()

    def _few_groups(self) -> bool:
        """No stage has many groups."""
        return max(len(tables.nodes) for tables in self.frame.tables) <= FEW_GROUPS

    def _ahead(self, *, turned: bool) -> list[int]:
        """For each stage a bound on the stages after it, in the direction of reading."""
        alone = self._alone[::-1] if turned else self._alone
        return [sum(alone[stage + 1 :]) for stage in range(len(alone))]

    def _proceed(self, expanded: int) -> bool:
        """There is time left; tells progress on the way."""
        if expanded & 63 == 0:
            self._tell()
            return self._elapsed() < self._until
        return True

    def _elapsed(self) -> float:
        """Time since the start, [s]."""
        return monotonic() - self._begun

    def _share(self, share: float) -> float:
        """A share of the time that is left, as a time since the start, [s]."""
        now = self._elapsed()
        return now + share * (self._limit - now)

    def _tell(self) -> None:
        """Tell progress if there is any."""
        best, bound = self.main.best, self.main.bound
        if self._on_progress and best is not None and (best, bound) != self._told:
            self._told = best, bound
            self._on_progress(best * self.frame.unit, min(best, bound) * self.frame.unit)

    def _root(self, stage: int) -> int:
        """What one stage costs at least, by its tables alone."""
        return self.frame.bound(self.frame.tables[stage].mask, NONE, 0, [0] * len(self.frame.tables))

    def _task(self, stage: int | None, *, turned: bool) -> _Task:
        """The whole job, or one stage of it, in one direction."""
        frame = self._back if turned else self.frame
        if stage is None:
            return frame, 0, self._ahead(turned=turned)
        number = len(frame.tables) - 1 - stage if turned else stage
        return frame, frame.full & ~frame.tables[number].mask, [0] * len(frame.tables)

    def _seek(self, seek: _Seek, stage: int | None, search: Search, *, turned: bool) -> bool:
        """Let `seek` look for a better walk in one direction, and note what it finds, come what may."""
        trial = Search(best=search.best, bound=search.bound)
        try:
            return seek(*self._task(stage, turned=turned), trial)
        finally:
            search.bound = max(search.bound, trial.bound)
            if trial.classes and trial.best is not None:
                search.best = trial.best
                search.classes = trial.classes[::-1] if turned else trial.classes
            self._know(stage, search.bound)
            self._tell()

    def _know(self, stage: int | None, bound: int) -> None:
        """A stage, or the whole job, costs at least so much."""
        if stage is not None:
            self._alone[stage] = max(self._alone[stage], bound)
            bound = sum(self._alone)
        self.main.bound = max(self.main.bound, bound)

    def _prove(self, best_first: _BestFirst, stage: int | None, search: Search, limits: tuple[int, ...]) -> bool:
        """Try both directions a little, then the one with the higher bound first; True when proved."""
        reached = {False: 0, True: 0}
        for limit in limits:
            for turned in sorted(reached, key=lambda turned: (-reached[turned], turned)):
                if search.best is not None and search.best <= search.bound:
                    return True
                if self._elapsed() >= self._until:
                    return False
                seek = self._limited(best_first, limit, stage, reached, turned=turned)
                if self._seek(seek, stage, search, turned=turned):
                    return True
        return False

    def _limited(
        self, best_first: _BestFirst, limit: int, stage: int | None, reached: dict[bool, int], *, turned: bool
    ) -> _Seek:
        """The search with a limit of states, that notes the bound it reaches."""

        def seek(frame: Frame, start: int, ahead: list[int], trial: Search) -> bool:
            trial.bound = 0

            def proceed(count: int) -> bool:
                self._know(stage, trial.bound)
                return count < limit and self._proceed(count)

            ended = best_first(frame, start, ahead, trial, proceed)
            reached[turned] = trial.bound
            return ended

        return seek

    def _first_walk(self, stage: int | None, search: Search) -> None:
        """A good walk by the plain beam."""

        def seek(frame: Frame, start: int, ahead: list[int], trial: Search) -> bool:
            best, classes = quick_walk(frame, start, ahead, BESIDE)
            if trial.best is None or best < trial.best:
                trial.best, trial.classes = best, classes
            return False

        self._seek(seek, stage, search, turned=False)

    def _small(self) -> bool:
        """Search in plain Python; True when proved."""
        if len(self._alone) > 1:
            for stage in range(len(self._alone)):
                search = Search(bound=self._alone[stage])
                self._first_walk(stage, search)
                if not self._prove(best_first, stage, search, FEW_STATES):
                    return False
        self._first_walk(None, self.main)
        return self._prove(best_first, None, self.main, FEW_STATES)

    def _large(self) -> None:
        """Search in machine code."""
        before = monotonic()
        large = _loaded()
        self._begun += monotonic() - before
        few = self._few_groups()
        self._beams(large.beam, None, self.main, FIRST_WIDTH)
        if len(self._alone) > 1:
            for stage in range(len(self._alone)):
                search = Search(bound=self._alone[stage])
                self._first_walk(stage, search)
                self._until = self._share(0.2 if few else 0.05)
                self._beams(large.beam, stage, search, FIRST_WIDTH)
                self._prove(large.best_first, stage, search, MANY_STATES)
        self._until = self._limit
        freeing = Freeing(self.frame, self.main)
        if few:
            self._better(freeing, FIRST_ROUNDS)
        self._until = self._share(0.7 if few else 0.1)
        ended = self._prove(large.best_first, None, self.main, MANY_STATES)
        self._until = self._limit
        if not ended:
            self._beams(large.beam, None, self.main, SECOND_WIDTH, turns=(False,))
            self._better(freeing, MOST_ROUNDS)

    def _beams(
        self, beam: _Beam, stage: int | None, search: Search, width: int, turns: tuple[bool, ...] = (False, True)
    ) -> None:
        """Good walks by the beam in machine code, forwards and backwards."""

        def seek(frame: Frame, start: int, ahead: list[int], trial: Search) -> bool:
            return beam(frame, start, ahead, trial, width, self._proceed)

        for turned in turns:
            if search.best != search.bound and self._elapsed() < self._until:
                self._seek(seek, stage, search, turned=turned)

    def _better(self, freeing: Freeing, rounds: int) -> None:
        """Better the order known, until so many rounds have brought nothing."""
        large = _loaded()

        def seek(frame: Frame, search: Search) -> bool:
            search.bound = frame.bound(frame.full, NONE, 0, [0])
            ended: bool = large.best_first(frame, 0, [0], search, lambda expanded: expanded < FEW_FREED)
            return ended

        idle = 0
        while idle < rounds and self.main.best != self.main.bound and self._proceed(0):
            idle = 0 if freeing.round(seek) else idle + 1


@cache
def _loaded() -> ModuleType:
    """The searches in machine code, loaded and made ready piece by piece, each piece whole before Ctrl-C is heard.

    numba is loaded only where it pays. The first time on a machine takes some seconds; they do not count as search.
    """
    with unbroken():
        from putback.plan.order import large  # noqa: PLC0415
    ready, more = large.made_ready(), True
    while more:
        with unbroken():
            more = next(ready, ENDED) is None
    return large


def _order(problem: OrderProblem, groups: Groups, work: _Work) -> Order:
    """The walk found, as an order of steps."""
    if work.main.best is None:
        work.greedy()
    sequence = sequence_of(work.frame, work.main.classes)
    steps = steps_in_order(problem, groups, sequence)
    cost = cost_of(problem, steps)
    bound = min(cost, work.main.bound * work.frame.unit)
    return Order(steps=steps, cost=cost, bound=bound, proved=cost == bound, interrupted=work.interrupted)
