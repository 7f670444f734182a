"""One idea: what the tree search cannot finish is a small integer programme, and HiGHS proves it.

One binary for each way, one figure between 0 and 1 for each block; a block is at least the sum of the ways of
one choice that add it. Circles are cut off when they turn up.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from math import ceil
from threading import Thread
from typing import Any

from putback.plan.access.bound import companions
from putback.plan.access.circles import Circle, circles_of
from putback.plan.access.component import Found, Part, improved, priced, quick
from putback.plan.access.core import CoreChoice
from putback.plan.access.graph import members

_FEASIBLE = 2  # HiGHS: SolutionStatus kFeasible
_LOOSE_GAP = 0.02  # while circles still turn up, answers this near to the least are good enough to find more
_MEND_TRIES = 100
_GRID_SCALE = 1000  # up to this many units a minute, costs stay whole numbers that a float holds exactly


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """The best choice found (None: none is legal, if complete), a bound in units, and whether it is proved."""

    best: Found | None
    bound: float
    complete: bool
    interrupted: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class _Columns:
    """Where the programme's columns are: (choice, way) to column, block to column."""

    ways: Mapping[tuple[int, int], int]
    blocks: Mapping[int, int]


def prove(
    part: Part,
    best: Found | None,
    *,
    seconds_left: Callable[[], float],
    on_bound: Callable[[Found | None, float], None],
) -> Outcome:
    """The least legal choice of ways of a part by integer programming.

    Args:
        part: what is to be chosen.
        best: a legal choice known beforehand.
        seconds_left: how long it may still take, [s]; may be endless.
        on_bound: told the best and the bound, in units, while it works.

    Returns:
        An interruption from outside ends the search and is told in the outcome.
    """
    columns = _columns(part)
    divisor = 1 if part.core.local.scale <= _GRID_SCALE else part.core.local.scale
    solver = _model(part, columns, divisor)
    bound = 0.0
    gap = 0.0
    while True:
        seconds = seconds_left()
        if seconds <= 0:
            return Outcome(best=best, bound=bound, complete=False)
        run = _Run(solver, seconds, gap)
        stopped = run.wait(partial(_report, on_bound, best, divisor))
        ways, ended = run.result(columns)
        bound = max(bound, _rounded_up(run.bound, divisor))
        if ended == "impossible":
            return Outcome(best=best, bound=bound, complete=True)
        circles = circles_of(part, ways)
        best = _better(best, _legal(part, ways, circles))
        if stopped or ended == "stopped":
            return Outcome(best=best, bound=bound, complete=False, interrupted=stopped)
        if best is not None and bound >= best.units - 1e-6 * divisor:
            return Outcome(best=best, bound=float(best.units), complete=True)
        _cut(solver, columns, circles)
        gap = _LOOSE_GAP if circles else 0.0


def _legal(part: Part, ways: Mapping[int, int], circles: Sequence[Circle]) -> Found | None:
    """The choice of ways as it is, or mended where it holds a circle; None when there is none."""
    if not ways:
        return None
    found = quick(part, prefer=ways) if circles else priced(part, ways)
    return None if found is None else improved(part, found, rounds=2, tries=_MEND_TRIES)


def _better(one: Found | None, other: Found | None) -> Found | None:
    if one is None or other is None:
        return one or other
    return other if other.units < one.units else one


def _report(on_bound: Callable[[Found | None, float], None], best: Found | None, divisor: int, bound: float) -> None:
    on_bound(best, _rounded_up(bound, divisor))


def _rounded_up(bound: float, divisor: int) -> float:
    """Whole units cost whole units, so a bound between two counts as the upper one."""
    return float(ceil(bound - 1e-6)) if divisor == 1 else bound * divisor


def _columns(part: Part) -> _Columns:
    ways: dict[tuple[int, int], int] = {}
    blocks: dict[int, int] = {}
    for choice in part.choices:
        for option in choice.options:
            ways[choice.number, option.number] = len(ways)
    for choice in part.choices:
        for mask in (choice.trigger, *(option.mask for option in choice.options)):
            for block in members(mask):
                blocks.setdefault(block, len(ways) + len(blocks))
    return _Columns(ways=ways, blocks=blocks)


def _model(part: Part, columns: _Columns, divisor: int) -> Any:
    """The programme in a silent HiGHS, one thread, no gap allowed that could hide a cheaper answer."""
    import highspy  # noqa: PLC0415  (heavy)
    import numpy as np  # noqa: PLC0415  (heavy)

    lower, upper, starts, indices, values = _rows(part, columns)
    costs = [option.units / divisor for choice in part.choices for option in choice.options]
    costs += [part.core.weights[block] / divisor for block in columns.blocks]
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(costs), len(lower)
    lp.col_cost_ = np.array(costs, dtype=float)
    lp.col_lower_, lp.col_upper_ = np.zeros(len(costs)), np.ones(len(costs))
    lp.row_lower_, lp.row_upper_ = np.array(lower), np.array(upper)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.array(starts)
    lp.a_matrix_.index_ = np.array(indices)
    lp.a_matrix_.value_ = np.array(values, dtype=float)
    whole, between = highspy.HighsVarType.kInteger, highspy.HighsVarType.kContinuous
    lp.integrality_ = [whole] * len(columns.ways) + [between] * len(columns.blocks)
    solver = _silent_solver()
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("mip_abs_gap", 0.9 if divisor == 1 else 1e-9)
    solver.passModel(lp)
    return solver


def _silent_solver() -> Any:
    """A HiGHS that prints nothing: it would greet while its callbacks are set up, before it can be told not to."""
    import highspy  # noqa: PLC0415  (heavy)

    class Silent(highspy.Highs):
        def enableCallbacks(self) -> None:  # noqa: N802  (the library's name)
            self.setOptionValue("output_flag", False)
            super().enableCallbacks()  # type: ignore[no-untyped-call]

    return Silent()  # type: ignore[no-untyped-call]


def _rows(part: Part, columns: _Columns) -> tuple[list[float], list[float], list[int], list[int], list[float]]:
    """Row bounds and the matrix row by row: lower, upper, starts, indices, values."""
    lower: list[float] = []
    upper: list[float] = []
    starts, indices, values = [0], list[int](), list[float]()

    def add(low: float, high: float, terms: list[tuple[int, float]]) -> None:
        lower.append(low)
        upper.append(high)
        indices.extend(column for column, _ in terms)
        values.extend(value for _, value in terms)
        starts.append(len(indices))

    along = companions([option for choice in part.choices for option in choice.options])
    for choice in part.choices:
        ways = [(columns.ways[choice.number, option.number], 1.0) for option in choice.options]
        owed = 0.0 if choice.trigger else 1.0
        add(owed, owed, ways + [(columns.blocks[block], -1.0) for block in members(choice.trigger)])
        for block, terms in _adding(choice, columns, along).items():
            add(-float("inf"), 0.0, [*terms, (columns.blocks[block], -1.0)])
    for block, blocks in along.items():
        for other in members(_leading(blocks & ~(1 << block), along)):
            add(-float("inf"), 0.0, [(columns.blocks[block], 1.0), (columns.blocks[other], -1.0)])
    return lower, upper, starts, indices, values


def _leading(blocks: int, along: Mapping[int, int]) -> int:
    """The blocks of a set that no other block of the set brings along."""
    led = 0
    for block in members(blocks):
        led |= along[block] & ~(1 << block)
    return blocks & ~led


def _adding(choice: CoreChoice, columns: _Columns, along: Mapping[int, int]) -> dict[int, list[tuple[int, float]]]:
    """For each block that needs a row of its own with this choice, the ways that add it.

    A block that one way adds along with another block follows from that block's row.
    """
    once = twice = 0
    for option in choice.options:
        twice |= once & option.mask
        once |= option.mask
    adding: dict[int, list[tuple[int, float]]] = {}
    for option in choice.options:
        for block in members(_leading(option.mask, along) | option.mask & twice):
            adding.setdefault(block, []).append((columns.ways[choice.number, option.number], 1.0))
    return adding


class _Run:
    """One run of HiGHS in a thread of its own, so that the caller's thread can be interrupted."""

    def __init__(self, solver: Any, seconds: float, gap: float) -> None:
        self.solver = solver
        self.stop = False
        self.bound = 0.0
        solver.setOptionValue("mip_rel_gap", gap)
        if seconds < float("inf"):
            solver.setOptionValue("time_limit", solver.getRunTime() + seconds)
        solver.cbMipInterrupt.subscribe(self._tick)
        self.thread = Thread(target=self._solve, daemon=True)

    def _solve(self) -> None:
        self.solver.run()
        self.solver.resetThreadScheduler(False)  # HiGHS's own workers belong to this thread and end with it

    def _tick(self, event: Any) -> None:
        self.bound = max(self.bound, event.data_out.mip_dual_bound)
        event.data_in.user_interrupt = self.stop

    def wait(self, report: Callable[[float], None]) -> bool:
        """Start, wait for the end, report the bound now and then; whether it was interrupted."""
        stopped = False
        try:
            self.thread.start()
        except KeyboardInterrupt:
            stopped = self.stop = True
        while self.thread.is_alive():
            try:
                self.thread.join(0.2)
                if self.thread.is_alive() and not stopped:
                    report(self.bound)
            except KeyboardInterrupt:
                stopped = self.stop = True
        self.solver.cbMipInterrupt.unsubscribe(self._tick)
        return stopped

    def result(self, columns: _Columns) -> tuple[dict[int, int], str]:
        """The ways of the best solution (it may hold a circle), and how the run ended; sets the bound."""
        import highspy  # noqa: PLC0415  (heavy)

        status = self.solver.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return {}, "impossible"
        info = self.solver.getInfo()
        if abs(info.mip_dual_bound) < 1e30:
            self.bound = max(self.bound, info.mip_dual_bound)
        values = self.solver.getSolution().col_value if info.primal_solution_status == _FEASIBLE else []
        ways = {choice: way for (choice, way), column in columns.ways.items() if values and values[column] > 0.5}
        return ways, "optimal" if status == highspy.HighsModelStatus.kOptimal else "stopped"


def _cut(solver: Any, columns: _Columns, circles: Sequence[Circle]) -> None:
    """For each circle, forbid that every one of its choices takes a way that closes it."""
    for circle in circles:
        row = sorted(columns.ways[pair] for pair in circle.ways)
        solver.addRow(-float("inf"), circle.choices - 1.0, len(row), row, [1.0] * len(row))
