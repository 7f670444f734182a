"""One idea: the cheapest assignment of successors proves itself by what it charges each row and column.

All in whole numbers, so that the bound is exact whatever was rounded on the way to the costs.
"""

import numpy as np
from numpy.typing import NDArray

from putback.plan.order.compiled import compiled

Numbers = NDArray[np.int64]

BLOCKED = 1 << 50
"""An arc that may not be taken; more than any assignment costs."""


@compiled
def _augment(  # noqa: PLR0912  (one search, compiled as one)
    cost: Numbers, row: Numbers, column: Numbers, owner: Numbers, free: int, least: Numbers, by: Numbers
) -> bool:
    """Give row `free` a column by a shortest path over reduced costs; False when there is none."""
    n = cost.shape[0]
    seen = np.zeros(n, np.bool_)
    least[:] = BLOCKED
    here, base, to = free, 0, -1
    while True:
        near, to = BLOCKED, -1
        for j in range(n):
            if not seen[j]:
                if cost[here, j] < BLOCKED:
                    reached = base + cost[here, j] - row[here] - column[j]
                    if reached < least[j]:
                        least[j], by[j] = reached, here
                if least[j] < near:
                    near, to = least[j], j
        if to < 0:
            return False
        seen[to] = True
        base = near
        if owner[to] < 0:
            break
        here = owner[to]
    for j in range(n):
        if seen[j] and j != to:
            column[j] += least[j] - base
            row[owner[j]] += base - least[j]
    row[free] += base
    while True:
        here = by[to]
        owner[to] = here
        if here == free:
            return True
        for j in range(n):
            if j != to and owner[j] == here and seen[j]:
                to = j
                break


@compiled
def assign(cost: Numbers, row: Numbers, column: Numbers) -> bool:
    """Charges of the cheapest assignment: row[i] + column[j] <= cost[i, j], and their sum is what it costs.

    Args:
        cost: square, any sign; BLOCKED where there is no arc.
        row, column: written.

    Returns:
        False when there is no assignment.
    """
    n = cost.shape[0]
    column[:] = 0
    for i in range(n):
        row[i] = cost[i].min()
        if row[i] >= BLOCKED:
            return False
    for j in range(n):
        slack = BLOCKED
        for i in range(n):
            if cost[i, j] < BLOCKED:
                slack = min(slack, cost[i, j] - row[i])
        if slack >= BLOCKED:
            return False
        column[j] = slack
    owner = np.full(n, -1, np.int64)
    matched = np.zeros(n, np.bool_)
    for i in range(n):
        for j in range(n):
            if owner[j] < 0 and not matched[i] and cost[i, j] - row[i] - column[j] == 0:
                owner[j] = i
                matched[i] = True
    least, by = np.empty(n, np.int64), np.empty(n, np.int64)
    for i in range(n):  # noqa: SIM110  (compiled: no generators)
        if not matched[i] and not _augment(cost, row, column, owner, i, least, by):
            return False
    return True
