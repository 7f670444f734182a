"""One idea: a walk gets better when two neighbouring stretches of it are exchanged, as long as that is legal.

Until nothing can be gained; then a little disorder, and again.
"""

import numpy as np
from numpy.typing import NDArray

from putback.plan.order.compiled import compiled

Numbers = NDArray[np.int64]

FAR = 1 << 40
"""More than any walk costs: a step that cannot come next."""

LONGEST = 50
"""The longest stretch of a walk that is exchanged with the next."""


@compiled
def _swap(cost: Numbers, needs: Numbers, walk: Numbers, i: int, most: int, blocked: Numbers) -> tuple[int, int, int]:
    """The best exchange of two neighbouring stretches, the first beginning at place i: gain, and both ends.

    Places 0 and n + 1 of the walk are the start and the end. No step of the first stretch may come before one of
    the second.
    """
    length = walk.shape[0]
    gain, first, second = 0, 0, 0
    blocked[:] = 0
    before = walk[i - 1]
    for j in range(i + 1, min(i + most, length - 1)):
        passed = walk[j - 1]
        for k in range(j, min(j + most, length - 1)):
            if needs[passed, walk[k]]:
                blocked[k] = 1
        for k in range(j + 1, min(j + most, length - 1) + 1):
            if blocked[k - 1]:
                break
            if k > length - 1:
                break
            old = cost[before, walk[i]] + cost[passed, walk[j]] + cost[walk[k - 1], walk[k]]
            new = cost[before, walk[j]] + cost[walk[k - 1], walk[i]] + cost[passed, walk[k]]
            if old - new > gain:
                gain, first, second = old - new, j, k
    return gain, first, second


@compiled
def exchange(walk: Numbers, i: int, j: int, k: int) -> None:
    """Exchange the stretches i..j-1 and j..k-1 of the walk."""
    moved = np.concatenate((walk[j:k], walk[i:j]))
    walk[i:k] = moved


@compiled
def descend(cost: Numbers, needs: Numbers, walk: Numbers, most: int) -> int:
    """Exchange neighbouring stretches until that gains nothing; what was gained."""
    blocked = np.zeros(walk.shape[0] + 1, np.int64)
    total, i, idle = 0, 1, 0
    while idle < walk.shape[0]:
        gain, j, k = _swap(cost, needs, walk, i, most, blocked)
        if gain > 0:
            exchange(walk, i, j, k)
            total += gain
            idle = 0
        else:
            idle += 1
            i = i + 1 if i + 2 < walk.shape[0] else 1
    return total


@compiled
def _disturb(needs: Numbers, walk: Numbers, most: int) -> None:
    """Exchange two neighbouring stretches at random, if that is legal."""
    length = walk.shape[0]
    i = np.random.randint(1, max(2, length - 2))
    j = min(i + 1 + np.random.randint(0, most), length - 2)
    k = min(j + 1 + np.random.randint(0, most), length - 1)
    for a in range(i, j):
        for b in range(j, k):
            if needs[walk[a], walk[b]]:
                return
    if i < j < k:
        exchange(walk, i, j, k)


@compiled
def walk_cost(cost: Numbers, walk: Numbers) -> int:
    """What the walk costs, from start to end."""
    total = 0
    for at in range(walk.shape[0] - 1):
        total += cost[walk[at], walk[at + 1]]
    return total


@compiled
def seed(number: int) -> None:
    """Begin the random numbers of this module anew."""
    np.random.seed(number)


@compiled
def improve(cost: Numbers, needs: Numbers, walk: Numbers, rounds: int, kick: int, worse: int) -> int:
    """Disturb and descend so many times; the walk becomes the best met. Its cost comes back.

    Args:
        cost, needs: the matrix and the precedence.
        walk: from start to end; overwritten.
        rounds: how many times.
        kick: the longest stretch of a disturbance.
        worse: a walk this many thousandths dearer than the best is gone on with too; less towards the end.
    """
    best = walk_cost(cost, walk)
    if best < FAR:
        best -= descend(cost, needs, walk, LONGEST)
    now = walk.copy()
    spent = best
    for turn in range(rounds):
        trial = now.copy()
        for _ in range(1 + turn % 3):
            _disturb(needs, trial, kick)
        reached = walk_cost(cost, trial)
        if reached < FAR:
            reached -= descend(cost, needs, trial, LONGEST)
        if reached <= spent or reached <= best + best * worse * (rounds - turn) // (1000 * rounds):
            now, spent = trial, reached
        if reached < best:
            best = reached
            walk[:] = trial
    return int(best)
