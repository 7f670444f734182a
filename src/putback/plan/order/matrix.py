"""One idea: where every pair of steps has its own cost, the order is a shortest walk under precedence.

This is the sequential ordering problem. First good walks: a beam guided by the potentials of the assignment, then
exchanges of neighbouring stretches. Then the proof: depth first with the assignment as bound and a table of states.
"""

from collections.abc import Sequence
from time import monotonic

import numpy as np
from numpy.typing import NDArray

from putback.plan.order import matrix_exchange as exchange
from putback.plan.order import matrix_kernels as kernels
from putback.plan.order.groups import topological
from putback.plan.order.large import words_of
from putback.plan.order.matrix_layers import through_layers
from putback.plan.order.matrix_potentials import Potentials, potentials_of
from putback.plan.order.problem import Order, Progress

Matrix = NDArray[np.int64]

TABLE_WORDS = 1 << 25
"""The table of states takes about this many words of eight bytes."""

SLICE = 500
"""States entered between two looks at the clock."""

MOST_EXCHANGING_S = 25.0
"""The longest time for exchanges alone, [s]."""

MOST_PRICING_S = 15.0
"""The longest time for raising prices, [s]."""

IDLE = 140
"""Rounds of exchanges without gain, after which there is no more to be expected."""

FEW_STATES, MOST_STATES = 100_000, 4_000_000
"""States of a layer up to which the layers are gone through: at first, and when nothing else has ended."""

MANNERS = ((12, 0), (5, 5), (30, 0), (12, 5), (5, 5), (30, 20), (12, 20), (20, 80))
"""In turn: the longest stretch disturbed, and how many thousandths worse a walk may be to be gone on with."""


def solve_matrix(
    cost: Sequence[Sequence[int]],
    *,
    time_limit_s: float | None = None,
    on_progress: Progress | None = None,
) -> Order:
    """The cheapest order of steps with a cost for every pair.

    Args:
        cost: cost[i][j] >= 0 of doing j straight after i; -1: j comes before i (not necessarily straight before).
            The diagonal is not looked at.
        time_limit_s: stop after this time and give the best order found, [s]. None: until proved.
        on_progress: told best cost and bound whenever one of them has changed.

    Returns:
        The order; the same matrix gives the same order unless it was stopped by the time.

    Raises:
        NoOrderError: the precedence has a ring.
        ValueError: the matrix is not square.
    """
    size = len(cost)
    if any(len(row) != size for row in cost):
        raise ValueError("the matrix must be square")
    earlier = [{j for j in range(size) if j != i and cost[i][j] == -1} for i in range(size)]
    first = topological(earlier)
    if size < 2:
        return Order(steps=tuple(first), cost=0, bound=0, proved=True)
    work = _Work(_prepared(np.array(cost, np.int64), first), first, time_limit_s, on_progress)
    try:
        work.run()
    except KeyboardInterrupt:
        work.interrupted = True
    return work.order()


def _prepared(given: Matrix, first: Sequence[int]) -> tuple[Matrix, Matrix]:
    """The matrix with a start row and an end column, FAR where one step cannot follow another; and the precedence."""
    size = len(given)
    needs = np.zeros((size + 1, size + 1), np.int64)
    needs[:size, :size] = (given == -1).T
    np.fill_diagonal(needs, 0)
    inner = needs[:size, :size]
    for node in first:
        inner[:, node] |= inner[:, inner[:, node] > 0].any(axis=1)
    between = (inner.astype(np.float32) @ inner.astype(np.float32)) > 0
    cost = np.full((size + 1, size + 1), kernels.FAR, np.int64)
    cost[:size, :size] = np.where((inner.T > 0) | between, kernels.FAR, given)
    np.fill_diagonal(cost, kernels.FAR)
    cost[size, :size] = np.where(inner.any(axis=0), kernels.FAR, 0)
    cost[:size, size] = np.where(inner.any(axis=1), kernels.FAR, 0)
    return cost, needs


class _Work:
    """The search under way."""

    def __init__(
        self,
        prepared: tuple[Matrix, Matrix],
        first: Sequence[int],
        time_limit_s: float | None,
        on_progress: Progress | None,
    ) -> None:
        self._cost, self._needs = prepared
        size = len(first)
        self._walk = np.array([size, *first, size], np.int64)
        self._best = self._cost_of(self._walk)
        self._prices = np.zeros(size, np.int64)
        self._bound = 0
        self.interrupted = False
        self._begun = monotonic()
        self._limit = float("inf") if time_limit_s is None else time_limit_s
        self._on_progress = on_progress
        self._told: tuple[int, int] | None = None

    def _cost_of(self, walk: Matrix) -> int:
        """What the walk costs; steps that may not follow each other straight do so only in the first one."""
        return int(self._cost[walk[:-1], walk[1:]].sum())

    def _elapsed(self) -> float:
        """Time since the start, [s]."""
        return monotonic() - self._begun

    def _better(self, walk: Matrix) -> None:
        """Take a walk if it is better."""
        spent = self._cost_of(walk)
        if spent < self._best:
            self._best, self._walk = spent, walk.copy()
        self._tell()

    def _tell(self) -> None:
        """Tell progress if there is any."""
        if self._on_progress and (self._best, self._bound) != self._told:
            self._told = self._best, self._bound
            self._on_progress(*self._told)

    def order(self) -> Order:
        """What is known."""
        bound = min(self._bound, self._best)
        return Order(
            steps=tuple(int(step) for step in self._walk[1:-1]),
            cost=self._best,
            bound=bound,
            proved=bound == self._best,
            interrupted=self.interrupted,
        )

    def run(self) -> None:
        """Search until proved or out of time."""
        stack = self._stack()
        self._bound = min(int(kernels.begin(stack)), self._best)
        reduced = self._cost - stack.row[0][:, None] - stack.column[0][None, :]
        self._prices = -(stack.row[0] + stack.column[0])[:-1]
        for width in (50, 400):
            self._better(_beam(reduced, self._needs, width))
        self._improve(0.1, len(MANNERS))
        potentials = self._potentials(0.15)
        if self._layers(potentials, 0.1, FEW_STATES):
            return
        self._improve(0.4, IDLE)
        if not self._layers(potentials, 0.5, MOST_STATES):
            self._depth_first(stack)

    def _potentials(self, share: float) -> Potentials:
        """Prices raised for a share of the time."""
        until = self._elapsed() + min(MOST_PRICING_S, share * (self._limit - self._elapsed()))
        potentials = potentials_of(self._cost, self._needs, self._prices, self._best, lambda: self._elapsed() < until)
        self._bound = min(self._best, max(self._bound, potentials.bound))
        self._tell()
        return potentials

    def _layers(self, potentials: Potentials, share: float, states: int) -> bool:
        """Go through all states, if there are not too many for a share of the time; True when that was all."""
        until = self._elapsed() + share * (self._limit - self._elapsed())
        ended, steps = self._bound == self._best, None
        if not ended:
            ended, steps = through_layers(
                potentials, self._needs, (self._best, states), lambda: self._elapsed() < until
            )
        if steps is not None:
            self._better(np.array([self._walk[0], *steps, self._walk[0]], np.int64))
        if ended:
            self._bound = self._best
        self._tell()
        return ended

    def _depth_first(self, stack: kernels.Stack) -> None:
        """Go through what may be better, depth first."""
        stack.facts[kernels.BEST] = self._best
        while self._elapsed() < self._limit:
            ended = kernels.search(stack, SLICE) == kernels.ENDED
            if stack.facts[kernels.BEST] < self._best:
                self._better(np.concatenate([self._walk[:1], stack.best, self._walk[:1]]))
                self._improve(0.02, len(MANNERS))
                stack.facts[kernels.BEST] = self._best
            known = self._best if ended else int(stack.facts[kernels.BOUND])
            self._bound = min(self._best, max(self._bound, known))
            self._tell()
            if ended:
                break

    def _improve(self, share: float, patience: int) -> None:
        """Better the walk by exchanges, for a share of the time that is left, or until nothing is gained for long."""
        until = self._elapsed() + min(MOST_EXCHANGING_S, share * (self._limit - self._elapsed()))
        exchange.seed(1)
        rounds = max(1, 20_000 // len(self._walk))
        idle = 0
        while idle < patience and self._elapsed() < until and self._best > self._bound:
            before = self._best
            walk = self._walk.copy()
            kick, worse = MANNERS[idle % len(MANNERS)]
            exchange.improve(self._cost, self._needs, walk, rounds, kick, worse)
            self._better(walk)
            idle = 0 if self._best < before else idle + 1

    def _stack(self) -> kernels.Stack:
        """An empty search."""
        size = len(self._cost) - 1
        words = (size + 63) // 64
        levels = (size + 1, size + 1)
        states = 1 << (TABLE_WORDS // (words + 2)).bit_length() - 1
        missing = np.zeros(levels, np.int64)
        missing[0] = self._needs.sum(axis=0)
        missing[:, size] = size - np.arange(size + 1)
        return kernels.Stack(
            cost=self._cost,
            needs=self._needs,
            missing=missing,
            last=np.zeros(size + 1, np.int64),
            spent=np.zeros(size + 1, np.int64),
            done=words_of([0] * (size + 1), size),
            row=np.zeros(levels, np.int64),
            column=np.zeros(levels, np.int64),
            match=np.zeros(levels, np.int64),
            owner=np.zeros(levels, np.int64),
            children=np.zeros(levels, np.int64),
            promise=np.zeros(levels, np.int64),
            number=np.full(size + 1, -1, np.int64),
            at=np.zeros(size + 1, np.int64),
            best=np.zeros(size, np.int64),
            keys=np.zeros((states, words + 1), np.uint64),
            rest=np.zeros(states, np.int64),
            scratch=np.zeros((3, size + 1), np.int64),
            facts=np.zeros(5, np.int64),
        )


def _beam(reduced: Matrix, needs: Matrix, width: int) -> Matrix:
    """A walk by following the `width` most promising states at a time, by reduced costs."""
    size = len(reduced) - 1
    names = np.random.default_rng(1).integers(1 << 62, size=size + 1)
    missing = needs[:size, :size].sum(axis=0)[None, :]
    last, spent, name = np.array([size]), np.zeros(1, np.int64), np.zeros(1, np.int64)
    trail: list[tuple[Matrix, Matrix]] = []
    for _ in range(size):
        promise = np.where(missing == 0, spent[:, None] + reduced[last, :size], kernels.FAR * size)
        flat = promise.ravel()
        most = min(4 * width, int((missing == 0).sum()))
        chosen = np.argpartition(flat, most - 1)[:most]
        chosen = chosen[np.lexsort((chosen, flat[chosen]))]
        parent, step = chosen // size, chosen % size
        keys = (name[parent] ^ names[step]) * 1031 + step
        kept = np.sort(np.unique(keys, return_index=True)[1])[:width]
        parent, step = parent[kept], step[kept]
        trail.append((parent, step))
        spent, name, last = promise[parent, step], name[parent] ^ names[step], step
        missing = missing[parent] - needs[step, :size]
        missing[np.arange(len(step)), step] = -size
    at = int(np.argmin(spent))
    walk = [size]
    for parent, step in reversed(trail):
        walk.append(int(step[at]))
        at = int(parent[at])
    walk.append(size)
    return np.array(walk[::-1], np.int64)
