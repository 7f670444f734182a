"""One idea: of all legal orders of work, the one with the fewest changes of tool, zone and lift, proved.

`solve` is for jobs (steps in places); `solve_matrix` for the general problem with a cost for every pair of steps.
"""

from collections.abc import Sequence

from putback.plan.order.best_order import solve
from putback.plan.order.problem import (
    FREE,
    NoOrderError,
    Order,
    OrderProblem,
    Part,
    Progress,
    change_of,
    cost_of,
    faults_of,
)


def solve_matrix(
    cost: Sequence[Sequence[int]],
    *,
    time_limit_s: float | None = None,
    on_progress: Progress | None = None,
) -> Order:
    """The cheapest order of steps with a cost for every pair; see `putback.plan.order.matrix`."""
    from putback.plan.order import matrix  # noqa: PLC0415 - numba is loaded only where it is needed

    return matrix.solve_matrix(cost, time_limit_s=time_limit_s, on_progress=on_progress)


__all__ = [
    "FREE",
    "NoOrderError",
    "Order",
    "OrderProblem",
    "Part",
    "Progress",
    "change_of",
    "cost_of",
    "faults_of",
    "solve",
    "solve_matrix",
]
