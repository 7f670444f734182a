"""One idea: where every pair of steps has its own cost, the order is a shortest walk under precedence.

This is the sequential ordering problem. Good walks first: a beam guided by reduced costs, then exchanges of
neighbouring stretches. Then the proof: all states, layer by layer, if they are few; else a linear programme with
cutting planes, and branching on which of two steps comes first.
"""

from collections.abc import Sequence
from time import monotonic

import numpy as np
from numpy.typing import NDArray

from putback.plan.order import matrix_exchange as exchange
from putback.plan.order.groups import topological
from putback.plan.order.matrix_assignment import BLOCKED, assign
from putback.plan.order.matrix_beam import beam
from putback.plan.order.matrix_branching import Branching, Watch
from putback.plan.order.matrix_layers import through_layers
from putback.plan.order.matrix_linear import SCALE
from putback.plan.order.matrix_potentials import potentials_of
from putback.plan.order.problem import Order, Progress

Matrix = NDArray[np.int64]
Shares = NDArray[np.float64]

FAR = exchange.FAR
"""More than any walk costs: a step that cannot come next."""

MOST_EXCHANGING_S = 10.0
"""The longest time for exchanges alone, [s]."""

IDLE = 140
"""Rounds of exchanges without gain, after which there is no more to be expected."""

FEW_STATES, MOST_STATES = 20_000, 4_000_000
"""States of a layer up to which the layers are gone through: at first, and when the linear programme has its bound."""

WIDTHS = (50, 400)
"""Beginnings followed at a time, at first."""

EVERY, WIDTH = 10, 30
"""At every so many cases, a walk is sought with so many beginnings."""

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
    cost = np.full((size + 1, size + 1), FAR, np.int64)
    cost[:size, :size] = np.where((inner.T > 0) | between, FAR, given)
    np.fill_diagonal(cost, FAR)
    cost[size, :size] = np.where(inner.any(axis=0), FAR, 0)
    cost[:size, size] = np.where(inner.any(axis=1), FAR, 0)
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
        self._bound = 0
        self._calls = 0
        self.interrupted = False
        self._begun = monotonic()
        self._limit = float("inf") if time_limit_s is None else time_limit_s
        self._on_progress = on_progress
        self._told: tuple[int, int] | None = None

    def _cost_of(self, walk: Matrix) -> int:
        """What the walk costs; steps that may not follow each other straight do so only in the first one."""
        return int(self._cost[walk[:-1], walk[1:]].sum())

    def _left(self) -> float:
        """Time left, [s]."""
        return self._limit - (monotonic() - self._begun)

    def _better(self, walk: Matrix) -> None:
        """Take a walk if it is better."""
        spent = self._cost_of(walk)
        if spent < self._best:
            self._best, self._walk = spent, walk.copy()
        self._tell()

    def _higher(self, bound: int) -> None:
        """Take a bound, in thousandths, if it is higher."""
        self._bound = min(self._best, max(self._bound, -(-bound // SCALE)))
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
        reduced, bound = self._assigned()
        self._higher(bound)
        for width in WIDTHS:
            self._better(beam(reduced, self._needs, width, FAR))
        self._improve(0.05, len(MANNERS))
        if self._layers(reduced, bound, 0.05, FEW_STATES):
            return
        watch = Watch(best=self._best, left_s=self._left, found=self._found, told=self._higher)
        branching = Branching(self._cost, self._needs, FAR, watch)
        proved, root = branching.begin(self._walk), branching.root
        if proved or root is None:
            self._higher(BLOCKED)
            return
        self._better(beam(root.reduced, self._needs, WIDTHS[-1], FAR))
        self._improve(0.2, IDLE)
        watch.best = self._best
        if not self._layers(root.reduced, root.bound, 0.4, MOST_STATES) and branching.run():
            self._higher(BLOCKED)

    def _assigned(self) -> tuple[Matrix, int]:
        """Reduced costs and cost of the cheapest assignment of successors, in thousandths."""
        plain = np.where(self._cost >= FAR, BLOCKED, self._cost * SCALE)
        row, column = np.zeros(len(plain), np.int64), np.zeros(len(plain), np.int64)
        assign(plain, row, column)
        reduced = np.where(plain >= BLOCKED, BLOCKED, plain - row[:, None] - column[None, :])
        return reduced, int(row.sum() + column.sum())

    def _layers(self, reduced: Matrix, bound: int, share: float, states: int) -> bool:
        """Go through all states, if there are not too many for a share of the time; True when that was all."""
        least = (1 - share) * self._left() if self._limit < float("inf") else 0.0
        ended, steps = self._bound == self._best, None
        if not ended:
            room = SCALE * (self._best - 1) - bound
            potentials = potentials_of(self._cost * SCALE, reduced, self._needs, room)
            ended, steps = through_layers(potentials, self._needs, states, lambda: self._left() > least)
        if steps is not None:
            self._better(np.array([self._walk[0], *steps, self._walk[0]], np.int64))
        if ended:
            self._higher(BLOCKED)
        return ended

    def _found(self, solution: Shares, reduced: Matrix, whole: bool) -> int:
        """Seek a walk near a solution of the linear programme; the cost of the best one known."""
        self._calls += 1
        if whole:
            taken = [len(solution) - 1]
            while len(taken) <= len(solution):
                taken.append(int(np.argmax(solution[taken[-1]])))
            if sorted(taken[1:]) == list(range(len(solution))) and self._is_legal(taken):
                self._better(np.array(taken, np.int64))
        elif self._calls % EVERY == 1:
            before = self._best
            walk = beam(reduced, self._needs, WIDTH, FAR)
            exchange.descend(self._cost, self._needs, walk, exchange.LONGEST)
            self._better(walk)
            if self._best < before:
                self._improve(0.02, len(MANNERS))
        return self._best

    def _is_legal(self, walk: Sequence[int]) -> bool:
        """Nothing stands before what it needs."""
        inner = np.array(walk[1:-1])
        return not np.triu(self._needs[np.ix_(inner, inner)].T).any()

    def _improve(self, share: float, patience: int) -> None:
        """Better the walk by exchanges, for a share of the time that is left, or until nothing is gained for long."""
        left = self._left()
        until = max(left - MOST_EXCHANGING_S, (1 - share) * left) if self._limit < float("inf") else 0.0
        exchange.seed(1)
        rounds = max(1, 20_000 // len(self._walk))
        idle = 0
        while idle < patience and self._left() > until and self._best > self._bound:
            before = self._best
            walk = self._walk.copy()
            kick, worse = MANNERS[idle % len(MANNERS)]
            exchange.improve(self._cost, self._needs, walk, rounds, kick, worse)
            self._better(walk)
            idle = 0 if self._best < before else idle + 1
