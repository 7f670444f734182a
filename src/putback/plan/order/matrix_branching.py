"""One idea: of two steps either one or the other comes first, and each of the two makes the bound rise.

Branch and cut: the open case with the lowest bound is split by a pair of steps whose order the linear programme
leaves open at its cost; both orders are precedence like any other, with all that follows from it.
"""

import heapq
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import count
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from putback.plan.order.matrix_cuts import missed, undecided
from putback.plan.order.matrix_linear import SCALE, Programme, Rows, Solved, UnsolvedError

if TYPE_CHECKING:
    import highspy

Numbers = NDArray[np.int64]
Shares = NDArray[np.float64]
Marks = NDArray[np.uint8]
Flags = NDArray[np.bool_]

FOUND = 400
"""The most sets looked for at a time."""

TAKEN = 150
"""The most rows added at a time."""

PAIRS = 3000
"""The most pairs of steps between which sets are looked for at a time."""

STALE = 6
"""Solutions in which a row has mattered to none, after which it is dropped."""

LITTLE, PATIENCE = 0.01, 3
"""A case is split when this share of its gap was not gained in so many rounds."""

TRIED, TRIED_PAIRS, TRIED_ROWS = 8, 100, 10
"""So many pairs are tried before one is chosen; each with so many of the new precedences and rows."""

WHOLE = 1e-6
"""A share so close to 0 or 1 counts as that."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A part of all walks: those that keep a precedence.

    Attributes:
        before: before[i, j] = 1 where node i comes before j; node n is the start, node n + 1 the end.
        forbidden: arcs that none of these walks uses, if it is better than the best known.
        rows, basis: the sets that matter, and the basis that belongs to them.
        bound: no walk of this case costs less, in thousandths.
        parts: the two cases into which it is to be split.
    """

    before: Marks
    forbidden: Flags
    rows: Rows
    basis: "highspy.HighsBasis | None"
    bound: int
    parts: "tuple[Case, ...]" = ()


@dataclass(slots=True, kw_only=True)
class Watch:
    """What the search asks and tells.

    Attributes:
        best: the cost of the best walk known, in whole units.
        left_s: the time left, [s].
        found: takes a solution and what arcs cost above the bound, and returns the cost of the best walk then known.
        told: told the bound of everything, in thousandths.
    """

    best: int
    left_s: Callable[[], float]
    found: Callable[[Shares, Numbers, bool], int]
    told: Callable[[int], None]


class Branching:
    """The search under way."""

    def __init__(self, cost: Numbers, needs: Numbers, far: int, watch: Watch) -> None:
        self._watch = watch
        self._programme = Programme(cost, far, watch.best)
        self._random = np.random.default_rng(1)
        self._numbers = count()
        self._open: list[tuple[int, int, Case]] = []
        self.root: Solved | None = None
        self.cases = 0
        self._stopped = False
        self._begin = with_ends(needs)
        self._nothing = Rows(tails=np.zeros((0, len(cost)), np.uint8), heads=np.zeros((0, len(cost)), np.uint8))

    def _most(self) -> int:
        """What a better walk costs at most, in thousandths."""
        return SCALE * (self._watch.best - 1)

    def begin(self, walk: Numbers) -> bool:
        """Solve the case of all walks; True when the best walk known is proved."""
        known = self._programme.begin(walk)
        if known is None:
            return True
        self.root = known
        whole = Case(
            before=self._begin,
            forbidden=known.reduced > self._most() - known.bound,
            rows=self._nothing,
            basis=None,
            bound=known.bound,
        )
        try:
            self._enter(whole)
        except UnsolvedError:
            self._stopped = True
        return not self._open and not self._stopped

    def run(self) -> bool:
        """Split cases until none is open (True) or the time is up."""
        while not self._stopped and self._open and self._open[0][0] <= self._most():
            _, _, case = heapq.heappop(self._open)
            try:
                for part in case.parts:
                    self._enter(part)
            except UnsolvedError:
                self._stopped = True
            else:
                self._tell()
        return not self._stopped

    def _tell(self) -> None:
        """Tell the bound of all open cases."""
        self._watch.told(self._open[0][0] if self._open else self._most() + SCALE)

    def _enter(self, case: Case) -> None:
        """Raise the bound of a case, and keep it if it is open after that."""
        self.cases += 1
        programme, forbidden = self._programme, case.forbidden
        programme.load(case.rows, forbidden, case.basis)
        idle = np.zeros(len(case.rows.tails), np.int64)
        bound, rounds, level = case.bound, 0, case.bound
        while True:
            solved = programme.solve(forbidden, self._watch.left_s())
            bound = max(bound, solved.bound)
            if self.root is None or (case.before is self._begin and solved.bound >= self.root.bound):
                self.root = solved
                self._watch.told(bound)
            if bound > self._most():
                return
            forbidden = forbidden | (solved.reduced > self._most() - solved.bound)
            if solved.cheap.any():
                programme.add_arcs(solved.cheap)
                programme.forbid(forbidden)
                continue
            if bound - level > LITTLE * (self._most() - level):
                rounds, level = 0, bound
            rounds += 1
            if rounds > PATIENCE * (4 if case.before is self._begin else 1):
                break
            rows = self._missed(solved.solution, case.before)
            if rows is None:
                break
            idle = np.where(solved.paid, 0, idle + 1)
            if int((idle > STALE).sum()) > 30:
                programme.keep_rows(idle <= STALE)
                idle = idle[idle <= STALE]
            programme.forbid(forbidden)
            programme.add_rows(rows)
            idle = np.concatenate([idle, np.zeros(len(rows.tails), np.int64)])
        self._keep(case, solved, forbidden, bound)

    def _keep(self, case: Case, solved: Solved, forbidden: Flags, bound: int) -> None:
        """Choose the pair that splits the case, and keep it open; or take the walk that its solution is."""
        whole = bool((np.abs(solved.solution - np.rint(solved.solution)) < WHOLE).all())
        self._watch.best = self._watch.found(solved.solution, solved.reduced, whole)
        if bound > self._most():
            return
        rows, basis = self._programme.tight(solved.paid)
        kept = Case(before=case.before, forbidden=forbidden, rows=rows, basis=basis, bound=bound)
        parts = self._parts(kept, solved.solution)
        if len(parts) == 1:
            self._enter(parts[0])
        elif parts:
            heapq.heappush(self._open, (bound, next(self._numbers), replace(kept, parts=(parts[0], parts[1]))))

    def _parts(self, case: Case, solution: Shares) -> list[Case]:
        """The parts of a case that are alive: both orders of the pair that matters most, or one, or none."""
        self._programme.load(case.rows, case.forbidden, case.basis)
        most, best, chosen = self._most(), -1, []
        for one, other in self._pairs_of(solution, case.before):
            parts = [_split(case, int(one), int(other)), _split(case, int(other), int(one))]
            bounds = [self._tried(case, part, solution) for part in parts]
            alive = [part for part, bound in zip(parts, bounds, strict=True) if bound <= most]
            if len(alive) < 2:
                return alive
            low, high = sorted(min(bound, most) - case.bound for bound in bounds)
            worth = (max(low, 0) + SCALE // 100) * (max(high, 0) + SCALE // 100)
            if worth > best:
                best, chosen = worth, parts
        return chosen

    def _tried(self, case: Case, part: Case, solution: Shares) -> int:
        """The bound of a part after one solution, in thousandths."""
        programme = self._programme
        pairs = np.argwhere((part.before > 0) & (case.before == 0)).astype(np.int64)[:TRIED_PAIRS]
        rows = self._missed_between(solution, part.before, pairs, TRIED_ROWS)
        programme.forbid(part.forbidden)
        if rows is not None:
            programme.add_rows(rows)
        solved = programme.solve(part.forbidden, self._watch.left_s())
        there = len(case.rows.tails)
        programme.keep_rows(np.arange(there + (0 if rows is None else len(rows.tails))) < there)
        programme.warm(case.basis)
        return solved.bound

    def _missed(self, solution: Shares, before: Marks) -> Rows | None:
        """Sets that a solution misses, the most missed first."""
        size = len(solution)
        pairs = np.argwhere(before).astype(np.int64)
        if len(pairs) > PAIRS:
            ends = (pairs[:, 0] == size - 1) | (pairs[:, 1] == size)
            inner = pairs[~ends]
            pairs = np.concatenate([pairs[ends], inner[self._random.choice(len(inner), PAIRS, replace=False)]])
        return self._missed_between(solution, before, pairs[self._random.permutation(len(pairs))], TAKEN)

    def _missed_between(self, solution: Shares, before: Marks, pairs: Numbers, most: int) -> Rows | None:
        """Sets between these pairs that a solution misses, the most missed first."""
        size = len(solution)
        tails, heads = np.zeros((FOUND, size), np.uint8), np.zeros((FOUND, size), np.uint8)
        shares = np.zeros(FOUND)
        many = missed(solution, before, pairs, tails, heads, shares)
        if not many:
            return None
        both = np.unique(np.concatenate([tails[:many], heads[:many]], axis=1), axis=0, return_index=True)[1]
        both = both[np.lexsort((both, shares[both]))][:most]
        return Rows(tails=tails[both], heads=heads[both])

    def _pairs_of(self, solution: Shares, before: Marks) -> Numbers:
        """The pairs of steps whose order matters most, as far as greatest flows tell."""
        size = len(solution) - 1
        inner = before[:size, :size]
        free = np.triu((inner | inner.T) == 0, 1)
        pairs = np.argwhere(free).astype(np.int64)
        if len(pairs) > PAIRS:
            used = solution[:size, :size] > WHOLE
            pairs = np.argwhere(free & (used | used.T)).astype(np.int64)
            if not len(pairs):
                pairs = np.argwhere(free)[:PAIRS].astype(np.int64)
        worth = undecided(solution, before, pairs)
        return pairs[np.argsort(-worth, kind="stable")[:TRIED]]


def _split(case: Case, first: int, second: int) -> Case:
    """The walks of a case that do one step before another."""
    ahead, behind = case.before[:, first].copy(), case.before[second].copy()
    ahead[first] = behind[second] = 1
    before = case.before | (ahead[:, None] & behind[None, :])
    return Case(
        before=before,
        forbidden=case.forbidden | impossible(before),
        rows=case.rows,
        basis=case.basis,
        bound=case.bound,
    )


def impossible(before: Marks) -> Flags:
    """Arcs that a precedence forbids: against it, or past a step that comes between."""
    n = len(before) - 2
    between = (before.astype(np.float32) @ before.astype(np.float32)) > 0
    barred = (before.T > 0) | between
    return np.delete(np.delete(barred, n + 1, axis=0), n, axis=1)


def with_ends(needs: Numbers) -> Marks:
    """Precedence with the start (node n) before everything and the end (node n + 1) after everything."""
    n = len(needs) - 1
    before = np.zeros((n + 2, n + 2), np.uint8)
    before[:n, :n] = needs[:n, :n] > 0
    before[n, :n] = before[n, n + 1] = 1
    before[:n, n + 1] = 1
    return before
