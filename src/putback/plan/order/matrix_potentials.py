"""One idea: a walk that may visit steps twice or never is a shortest path, and prices on the steps make it honest.

The path goes from place to place in the order, 1 to n; a step may stand only where its predecessors and successors
leave it room. A step that the cheapest path visits twice becomes dearer, one it leaves out cheaper, and so on: the
bound rises (subgradient method). What the path still costs from a step at a place is a bound for every state there.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from putback.plan.order import matrix_kernels as kernels
from putback.plan.order.compiled import compiled

Numbers = NDArray[np.int64]

SCALE = 1000
"""Prices are thousandths of a unit of cost."""

BLOCKED = 1 << 50
"""More than any path costs, in thousandths."""

ROUNDS = 5000
PATIENCE = 20
"""Rounds without a better bound, after which smaller steps are taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Potentials:
    """What a state costs at least from here on.

    Attributes:
        cost: cost[i, j] of j straight after i, the price of j included, in thousandths; BLOCKED where impossible.
        ahead: ahead[k, j] = least cost from step j at place k to the end.
        prices: the sum of all prices.
        bound: no walk costs less, in whole units.
    """

    cost: Numbers
    ahead: Numbers
    prices: int
    bound: int


@compiled
def _look_ahead(cost: Numbers, low: Numbers, high: Numbers, ahead: Numbers, choice: Numbers) -> None:
    """Fill `ahead` and the best next step, from the last place to the start (place 0, row n)."""
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
                    total = cost[j, i] + ahead[k + 1, i]
                    if total < ahead[k, j]:
                        ahead[k, j] = total
                        choice[k, j] = i


@compiled
def _visits(choice: Numbers, visits: Numbers) -> None:
    """How often the cheapest path visits each step."""
    n = visits.shape[0]
    visits[:] = 0
    at = n
    for k in range(n):
        at = choice[k, at]
        visits[at] += 1


def potentials_of(cost: Numbers, needs: Numbers, start: Numbers, best: int, proceed: Callable[[], bool]) -> Potentials:
    """Raise the prices as long as that helps.

    Args:
        cost: with the start row and the end column n; FAR where one step cannot follow another.
        needs: needs[i, j] = 1 where i comes before j.
        start: prices to begin with, in whole units.
        best: the cost of the best walk known.
        proceed: False when the time is up.
    """
    n = len(cost) - 1
    low = needs[:n, :n].sum(axis=0) + 1
    high = n - needs[:n, :n].sum(axis=1)
    plain = np.where(cost >= kernels.FAR, BLOCKED, cost * SCALE)
    prices = start * SCALE
    ahead = np.empty((n + 1, n + 1), np.int64)
    choice = np.zeros((n + 1, n + 1), np.int64)
    visits = np.empty(n, np.int64)
    kept, most, pace, idle = prices.copy(), -BLOCKED, 1.0, 0
    for _ in range(ROUNDS):
        priced = _priced(plain, prices)
        _look_ahead(priced, low, high, ahead, choice)
        total = int(ahead[0, n] - prices.sum())
        if total > most:
            kept, most, idle = prices.copy(), total, 0
        else:
            idle += 1
        _visits(choice, visits)
        off = visits - 1
        if pace < 0.003 or not off.any() or most > SCALE * (best - 1) or not proceed():
            break
        if idle >= PATIENCE:
            pace, idle, prices = pace * 0.7, 0, kept.copy()
            continue
        step = pace * max(SCALE, SCALE * best - total) / float((off * off).sum())
        prices = prices + np.rint(step * off).astype(np.int64)
    priced = _priced(plain, kept)
    _look_ahead(priced, low, high, ahead, choice)
    return Potentials(cost=priced, ahead=ahead, prices=int(kept.sum()), bound=-(-most // SCALE))


def _priced(plain: Numbers, prices: Numbers) -> Numbers:
    """The costs with the price of the step gone to."""
    priced = plain.copy()
    priced[:, :-1] += prices[None, :]
    return np.where(plain >= BLOCKED, BLOCKED, priced)
