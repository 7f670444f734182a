"""One idea: a beam follows, for each number of groups done, only the states that promise most.

The states live in the same store as those of the best-first search, in buckets by the number of groups done.
"""

import numpy as np

from putback.plan.order.compiled import compiled, woven
from putback.plan.order.kernels import (
    BEST,
    FLOOR,
    Job,
    Numbers,
    Short,
    Store,
    Words,
    append,
    beat,
    beaten,
    open_classes,
    push,
    reach,
    slot_of,
)


@woven
def _column(store: Store, total: int) -> int:
    """The column of the tally in which a total is counted; the last one is for all beyond."""
    return int(max(0, min(total - store.facts[FLOOR], store.tally.shape[1] - 1)))


@compiled
def _tell(tally: Short, cutoff: Numbers, layer: int, column: int, width: int) -> None:
    """Count a state in, and move the cutoff so that no more columns than needed for `width` states are taken."""
    tally[layer, column] += 1
    if column <= cutoff[layer, 0]:
        cutoff[layer, 1] += 1
    while cutoff[layer, 1] - tally[layer, cutoff[layer, 0]] >= width:
        cutoff[layer, 1] -= tally[layer, cutoff[layer, 0]]
        cutoff[layer, 0] -= 1


@compiled
def _size(done: Words) -> int:
    """Number of elements of a set."""
    count = 0
    for word in range(done.shape[0]):
        rest = done[word]
        while rest:
            rest &= rest - np.uint64(1)
            count += 1
    return count


@compiled
def beam_layer(job: Job, store: Store, layer: int, width: int) -> None:
    """Follow the `width` most promising states with `layer` groups done; the store must have room for all moves."""
    scratch = np.empty((3, store.done.shape[1]), np.uint64)
    done = scratch[0]
    classes, counts = np.empty(job.change.shape[0], np.int64), np.empty(job.weight.shape[0] + 1, np.int64)
    last = store.cutoff[layer, 0]
    spare = width - store.cutoff[layer, 1] + store.tally[layer, last]
    state = store.head[layer]
    while state >= 0:
        column = _column(store, store.total[state])
        take = store.alive[state] and column <= last
        if take and column == last:
            spare -= 1
            take = spare >= 0
        if take:
            for k in range(open_classes(job.before, job.nodes, job.nodes_of, store.done[state], classes)):
                at, spent, total = reach(job, store, state, classes[k], scratch, counts)
                size, column = _size(done), _column(store, total)
                if total < store.facts[BEST] and column <= store.cutoff[size, 0]:
                    slot = slot_of(store.table, store.done, done)
                    if not beaten(job, store, slot, at, spent):
                        beat(job, store, slot, at, spent)
                        push(store, append(store, slot, done, at, (spent, total, state), counts), size)
                        _tell(store.tally, store.cutoff, size, column, width)
        state = store.link[state]
