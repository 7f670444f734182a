"""One idea: under tight precedence there are few states, and all of them can be gone through, layer by layer.

Layer k holds the states (steps done, last step) with k steps done, each with its least cost and the most that is known
of it: a beginning that costs c above the bound for all walks and s in all gives the state the credit c - s, and every
walk through the state costs at least that much more than its own cost. What cannot be better than the best walk known
is left out at once.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from putback.plan.order.compiled import compiled
from putback.plan.order.large import words_of
from putback.plan.order.matrix_potentials import Potentials

Words = NDArray[np.uint64]
Numbers = NDArray[np.int64]
Layer = tuple[Words, Numbers, Numbers, Numbers, Numbers]
"""Steps done, last step, least cost (in thousandths), credit and parent of each state."""

SLICE = 20_000


@compiled
def _find(table: Numbers, done: Words, last: Numbers, now: Words, step: int) -> int:
    """Where the state is in the hash table of the next layer, or the empty place where it would be."""
    key = np.uint64(step + 1)
    for word in range(now.shape[0]):
        key = (key ^ now[word]) * np.uint64(0x9E3779B97F4A7C15)
        key ^= key >> np.uint64(32)
        key *= np.uint64(0xBF58476D1CE4E5B9)
        key ^= key >> np.uint64(29)
    mask = table.shape[0] - 1
    slot = np.int64(key >> np.uint64(1)) & mask
    while table[slot] >= 0:
        state = table[slot]
        same = last[state] == step
        for word in range(now.shape[0]):
            same = same and done[state, word] == now[word]
        if same:
            return int(slot)
        slot = (slot + 1) & mask
    return int(slot)


@compiled
def _expand(
    cost: tuple[Numbers, Numbers, Numbers],
    before: Words,
    span: tuple[int, int, int],
    here: tuple[Words, Numbers, Numbers, Numbers],
    there: tuple[Words, Numbers, Numbers, Numbers, Numbers],
    table: Numbers,
    count: int,
) -> int:
    """Write what follows the states from span[0] to span[1] into the next layer, if it may end at span[2] or less.

    `cost` = costs, costs above the bound, and what is ahead of each step at its place.

    Returns:
        The number of states then in the next layer; -1 when it is full.
    """
    plain, above, ahead = cost
    done, last, spent, credit = here
    to_done, to_last, to_spent, to_credit, parent = there
    size, words = before.shape
    now = np.empty(words, np.uint64)
    for state in range(span[0], span[1]):
        for step in range(size):
            extra = above[last[state], step]
            if spent[state] + credit[state] + extra + ahead[step] > span[2]:
                continue
            missing = np.uint64(0)
            for word in range(words):
                missing |= before[step, word] & ~done[state, word]
                now[word] = done[state, word]
            if missing != 0 or (now[step >> 6] >> np.uint64(step & 63)) & np.uint64(1) != 0:
                continue
            now[step >> 6] |= np.uint64(1) << np.uint64(step & 63)
            reached = spent[state] + plain[last[state], step]
            owed = credit[state] + extra - plain[last[state], step]
            slot = _find(table, to_done, to_last, now, step)
            at = table[slot]
            if at < 0:
                if count == to_last.shape[0]:
                    return -1
                at = count
                table[slot] = at
                to_done[at], to_last[at], to_spent[at], to_credit[at] = now, step, reached, owed
                parent[at] = state
                count += 1
            else:
                to_credit[at] = max(to_credit[at], owed)
                if reached < to_spent[at]:
                    to_spent[at] = reached
                    parent[at] = state
    return count


def _next_layer(
    potentials: Potentials, before: Words, layer: Layer, place: int, most: int, proceed: Callable[[], bool]
) -> Layer | None:
    """The layer for this place in the order; None when it is too large or the time is up."""
    size, words = before.shape
    states = min(most, max(1024, len(layer[1]) * size))
    done = np.empty((states, words), np.uint64)
    last, spent, credit, parent = (np.empty(states, np.int64) for _ in range(4))
    there = done, last, spent, credit, parent
    table = np.full(1 << (2 * states - 1).bit_length(), -1, np.int64)
    cost = potentials.plain, potentials.above, potentials.ahead[place]
    count = 0
    for first in range(0, len(layer[1]), SLICE):
        if not proceed():
            return None
        span = first, min(first + SLICE, len(layer[1])), potentials.room
        count = int(_expand(cost, before, span, layer[:4], there, table, count))
        if count < 0:
            return None
    kept = slice(count)
    return done[kept].copy(), last[kept].copy(), spent[kept].copy(), credit[kept].copy(), parent[kept].copy()


def through_layers(
    potentials: Potentials, needs: Numbers, most: int, proceed: Callable[[], bool]
) -> tuple[bool, list[int] | None]:
    """Go through all states that may be on a walk cheaper than the best known.

    Args:
        potentials: costs, what is ahead, and what a walk may cost; row n is the start, column n the end.
        needs: needs[i, j] = 1 where i comes before j.
        most: the most states of a layer.
        proceed: False when the time is up.

    Returns:
        All were gone through; the steps of the cheapest such walk, or None when there is none.
    """
    size = len(needs) - 1
    before = words_of([sum(1 << int(i) for i in np.flatnonzero(needs[:size, j])) for j in range(size)], size)
    nothing = np.zeros(1, np.int64)
    layer: Layer = (words_of([0], size), np.array([size], np.int64), nothing, nothing, nothing)
    trail: list[tuple[Numbers, Numbers]] = []
    for place in range(1, size + 1):
        found = _next_layer(potentials, before, layer, place, most, proceed)
        if found is None:
            return False, None
        layer = found
        trail.append((layer[1].astype(np.int16), layer[4].astype(np.int32)))
        if not len(layer[1]):
            return True, None
    at = int(np.argmin(layer[2] + potentials.plain[layer[1], size]))
    steps = []
    for last, parent in reversed(trail):
        steps.append(int(last[at]))
        at = int(parent[at])
    return True, steps[::-1]
