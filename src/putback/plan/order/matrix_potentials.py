"""One idea: what is still to be paid from a step at its place in the order is a bound for every state there.

The path goes from place to place, 1 to n; a step may stand only where its predecessors and successors leave it room.
It may visit steps twice or never, so it costs no more than any walk.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from putback.plan.order.compiled import compiled
from putback.plan.order.matrix_assignment import BLOCKED

Numbers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Potentials:
    """What a state costs at least from here on.

    Attributes:
        plain: plain[i, j] = cost of j straight after i.
        above: above[i, j] = what that costs above a bound for all walks, >= 0; BLOCKED where impossible.
        ahead: ahead[k, j] = least cost from step j at place k to the end.
        room: a walk that costs more than this is of no interest.
    """

    plain: Numbers
    above: Numbers
    ahead: Numbers
    room: int


@compiled
def _look_ahead(cost: Numbers, low: Numbers, high: Numbers, ahead: Numbers) -> None:
    """Fill `ahead`, from the last place to the start (place 0, row n)."""
    n = low.shape[0]
    ahead[:] = BLOCKED
    for j in range(n):
        if high[j] >= n:
            ahead[n, j] = cost[j, n]
    for k in range(n - 1, -1, -1):
        for j in range(n + 1):
            if (j == n) != (k == 0) or (j < n and not low[j] <= k <= high[j]):
                continue
            for i in range(n):
                if low[i] <= k + 1 <= high[i]:
                    ahead[k, j] = min(ahead[k, j], cost[j, i] + ahead[k + 1, i])


def potentials_of(plain: Numbers, reduced: Numbers, needs: Numbers, room: int) -> Potentials:
    """Look ahead from every step at every place.

    Args:
        plain: the costs, in the same unit.
        reduced: what each arc costs above a bound; row n is the start, column n the end; BLOCKED where impossible.
        needs: needs[i, j] = 1 where i comes before j.
        room: what a walk may cost above the bound.
    """
    n = len(reduced) - 1
    low = needs[:n, :n].sum(axis=0) + 1
    high = n - needs[:n, :n].sum(axis=1)
    ahead = np.empty((n + 1, n + 1), np.int64)
    _look_ahead(reduced, low, high, ahead)
    return Potentials(plain=plain, above=reduced, ahead=ahead, room=room)
