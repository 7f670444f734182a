"""One idea: a linear programme knows a bound for all walks, and what each arc costs above it.

Each step is entered and left once; sets of steps that the solution does not leave as often as a walk must are added
as further rows until none is found (cutting planes). Arcs are added when they are cheap enough to matter. The prices
of the rows are rounded, and an assignment in whole numbers makes an exact bound of them.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from putback.plan.order.matrix_assignment import BLOCKED, assign
from putback.plan.unbroken import unbroken

if TYPE_CHECKING:
    import highspy

Numbers = NDArray[np.int64]
Shares = NDArray[np.float64]
Marks = NDArray[np.uint8]
Flags = NDArray[np.bool_]

SCALE = 1000
"""Prices are thousandths of a unit of cost."""

ARCS = 8
"""Arcs of each row and of each column that are there from the beginning."""

DEAR = 10
"""What stands in for a missing arc costs so many times the best walk."""

FREE = 1e-9
"""Prices below this count as nothing."""


class UnsolvedError(Exception):
    """The programme could not be solved; nothing is known of the case."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Sets of steps: the arcs from `tails` to `heads` add up to at least one.

    Attributes:
        tails, heads: one line for each set; 1 where the row or the column of the matrix belongs to it.
    """

    tails: Marks
    heads: Marks


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """What one solution of the programme says.

    Attributes:
        bound: no walk that the programme allows costs less, in thousandths.
        reduced: reduced[i, j] >= 0, what arc (i, j) costs above the bound, in thousandths; BLOCKED: forbidden.
        solution: the share of each arc.
        paid: paid[k] = set k has a price.
        cheap: arcs that are not in the programme and would make it cheaper.
    """

    bound: int
    reduced: Numbers
    solution: Shares
    paid: Flags
    cheap: Flags


class Programme:
    """The linear programme. Row n of the matrix is the start, column n the end.

    Its first rows are the steps left and the steps entered, then come the sets. Its first columns stand in for what is
    missing, so that there always is a solution; then come the arcs.
    """

    def __init__(self, cost: Numbers, far: int, best: int) -> None:
        """A programme without arcs or sets.

        Args:
            cost: `far` or more where one step cannot follow another.
            far: see cost.
            best: the cost of the best walk known.
        """
        with unbroken():
            import highspy  # noqa: PLC0415  (heavy)

            self._solver = _silent_solver()
        self._optimal = highspy.HighsModelStatus.kOptimal
        self._late = highspy.HighsModelStatus.kTimeLimit
        self._at_lower = highspy.HighsBasisStatus.kLower
        self._basic = highspy.HighsBasisStatus.kBasic
        self._solver.setOptionValue("threads", 1)
        self.size = size = len(cost)
        self.plain: Numbers = np.where(cost >= far, BLOCKED, cost * SCALE)
        self._arcs = np.zeros((0, 2), np.int64)
        self._there = np.zeros(cost.shape, np.bool_)
        nothing = np.zeros(0, np.int32)
        self._rows = Rows(tails=np.zeros((0, size), np.uint8), heads=np.zeros((0, size), np.uint8))
        ones = np.ones(2 * size)
        self._solver.addRows(2 * size, ones, ones, 0, np.zeros(2 * size, np.int32), nothing, np.zeros(0))
        places = np.arange(2 * size, dtype=np.int32).reshape(2, size).T.ravel()
        self._add_columns(np.full(size, float(DEAR * (best + 1))), np.arange(0, 2 * size + 1, 2), places)
        self._add_columns(np.array([float(DEAR * (best + 1))]), np.zeros(2, np.int64), nothing)

    def _add_columns(self, cost: Shares, starts: Numbers, places: NDArray[np.int32]) -> None:
        """Columns with ones at the places given."""
        many, begins = len(cost), starts[:-1].astype(np.int32)
        above, ones = np.full(many, np.inf), np.ones(len(places))
        self._solver.addCols(many, cost, np.zeros(many), above, len(places), begins, places, ones)

    def begin(self, walk: Numbers) -> Solved | None:
        """Take the arcs of a walk, and the cheapest of each row and column by the assignment; None: no walk."""
        known = self._exact(np.zeros(0), np.zeros(self.plain.shape), self.plain)
        if known.bound >= BLOCKED:
            return None
        many = min(ARCS, self.size)
        wanted = np.zeros(self.plain.shape, np.bool_)
        np.put_along_axis(wanted, np.argpartition(known.reduced, many - 1, axis=1)[:, :many], values=True, axis=1)
        np.put_along_axis(wanted, np.argpartition(known.reduced, many - 1, axis=0)[:many], values=True, axis=0)
        wanted[walk[:-1], walk[1:]] = True
        self.add_arcs(wanted & (self.plain < BLOCKED))
        return known

    def add_arcs(self, wanted: Flags) -> None:
        """Make arcs part of the programme."""
        arcs = np.argwhere(wanted & ~self._there).astype(np.int64)
        if not len(arcs):
            return
        inside = (self._rows.tails[:, arcs[:, 0]] & self._rows.heads[:, arcs[:, 1]]).T.astype(np.bool_)
        pattern = np.zeros((len(arcs), 2 * self.size + inside.shape[1]), np.bool_)
        each = np.arange(len(arcs))
        pattern[each, arcs[:, 0]] = pattern[each, self.size + arcs[:, 1]] = True
        pattern[:, 2 * self.size :] = inside
        self._add_columns(self.plain[arcs[:, 0], arcs[:, 1]] / SCALE, *_sparse(pattern))
        self._arcs = np.concatenate([self._arcs, arcs])
        self._there[arcs[:, 0], arcs[:, 1]] = True

    def add_rows(self, rows: Rows) -> None:
        """Make sets part of the programme."""
        many = len(rows.tails)
        pattern = np.zeros((many, self.size + 1 + len(self._arcs)), np.bool_)
        pattern[:, self.size] = True
        pattern[:, self.size + 1 :] = rows.tails[:, self._arcs[:, 0]] & rows.heads[:, self._arcs[:, 1]]
        starts, places = _sparse(pattern)
        ones, above = np.ones(many), np.full(many, np.inf)
        self._solver.addRows(
            many, ones, above, len(places), starts[:-1].astype(np.int32), places, np.ones(len(places))
        )
        tails, heads = np.concatenate([self._rows.tails, rows.tails]), np.concatenate([self._rows.heads, rows.heads])
        self._rows = Rows(tails=tails, heads=heads)

    def keep_rows(self, kept: Flags) -> None:
        """Drop the other sets."""
        gone = np.flatnonzero(~kept)
        if len(gone):
            self._solver.deleteRows(len(gone), (2 * self.size + gone).astype(np.int32))
            self._rows = Rows(tails=self._rows.tails[kept], heads=self._rows.heads[kept])

    def load(self, rows: Rows, forbidden: Flags, basis: "highspy.HighsBasis | None") -> None:
        """Begin again with other sets, other arcs forbidden, and the basis that belonged to these sets."""
        self.keep_rows(np.zeros(len(self._rows.tails), np.bool_))
        if len(rows.tails):
            self.add_rows(rows)
        self.forbid(forbidden)
        self.warm(basis)

    def warm(self, basis: "highspy.HighsBasis | None") -> None:
        """Begin the next solution at this basis; arcs that it does not know are not in it."""
        if basis is not None:
            columns = self.size + 1 + len(self._arcs)
            basis.col_status = [*basis.col_status, *[self._at_lower] * (columns - len(basis.col_status))]
            self._solver.setBasis(basis)

    def forbid(self, forbidden: Flags) -> None:
        """Arcs that may not be taken now."""
        many = len(self._arcs)
        above = np.where(forbidden[self._arcs[:, 0], self._arcs[:, 1]], 0.0, np.inf)
        which = np.arange(self.size + 1, self.size + 1 + many, dtype=np.int32)
        self._solver.changeColsBounds(many, which, np.zeros(many), above)

    def tight(self, paid: Flags) -> tuple[Rows, "highspy.HighsBasis"]:
        """The sets that have a price, and a basis for them."""
        basis = self._solver.getBasis()
        states = basis.row_status
        keep = paid | np.array([state != self._basic for state in states[2 * self.size :]], np.bool_)
        kept = np.flatnonzero(keep)
        basis.row_status = [*states[: 2 * self.size], *[states[2 * self.size + at] for at in kept]]
        return Rows(tails=self._rows.tails[kept], heads=self._rows.heads[kept]), basis

    def solve(self, forbidden: Flags, left_s: float) -> Solved:
        """Solve.

        Raises:
            UnsolvedError: out of time, or the programme does not come to an end.
        """
        if left_s <= 0:
            raise UnsolvedError
        self._run(left_s)
        if self._solver.getModelStatus() not in (self._optimal, self._late):
            self._solver.clearSolver()
            self._run(left_s)
        if self._solver.getModelStatus() != self._optimal:
            raise UnsolvedError
        found = self._solver.getSolution()
        solution = np.zeros(self.plain.shape)
        solution[self._arcs[:, 0], self._arcs[:, 1]] = found.col_value[self.size + 1 :]
        plain = np.where(forbidden, BLOCKED, self.plain)
        return self._exact(np.array(found.row_dual), solution, plain)

    def _run(self, left_s: float) -> None:
        """Let the solver run from where it stands."""
        self._solver.setOptionValue("time_limit", self._solver.getRunTime() + max(0.01, left_s))
        self._solver.run()

    def _exact(self, duals: Shares, solution: Shares, plain: Numbers) -> Solved:
        """The exact bound that the prices of the sets give."""
        size = self.size
        rounded = np.maximum(0, np.floor(duals[2 * size :] * SCALE))
        paying = np.flatnonzero(rounded)
        tails = self._rows.tails[paying] * rounded[paying, None]
        charged = np.rint(tails.T @ self._rows.heads[paying].astype(np.float64)).astype(np.int64)
        left = np.where(plain >= BLOCKED, BLOCKED, plain - charged)
        row, column = np.empty(size, np.int64), np.empty(size, np.int64)
        bound, reduced = BLOCKED, left
        if assign(left, row, column):
            bound = int(rounded.sum()) + int(row.sum() + column.sum())
            reduced = np.where(left >= BLOCKED, BLOCKED, left - row[:, None] - column[None, :])
        cheap = np.zeros(plain.shape, np.bool_)
        if len(duals):
            entered = duals[size : 2 * size]
            cheap = (left < BLOCKED) & (left < SCALE * (duals[:size, None] + entered[None, :]) - 1) & ~self._there
        return Solved(bound=bound, reduced=reduced, solution=solution, paid=duals[2 * size :] > FREE, cheap=cheap)


def _silent_solver() -> "highspy.Highs":
    """A solver that prints nothing: it would greet while its callbacks are set up, before it can be told not to."""
    import highspy  # noqa: PLC0415  (heavy)

    class Silent(highspy.Highs):
        def enableCallbacks(self) -> None:  # noqa: N802  (the library's name)
            self.setOptionValue("output_flag", False)
            super().enableCallbacks()  # type: ignore[no-untyped-call]

    return Silent()  # type: ignore[no-untyped-call]


def _sparse(pattern: Flags) -> tuple[Numbers, NDArray[np.int32]]:
    """Where each line begins, and the places of the ones."""
    starts = np.concatenate([[0], np.cumsum(pattern.sum(axis=1))]).astype(np.int64)
    return starts, np.nonzero(pattern)[1].astype(np.int32)
