"""One idea: what an assignment of successors costs is a bound, and one step of the walk changes little of it.

Rows are the step last done and the steps left, columns the steps left and the end: each row is given the column
that comes after it. After one more step the old assignment is mended by at most two shortest paths. What is known
of a state (steps done, last step) is kept: nothing that starts from it can cost less than its `rest`.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from putback.plan.order.compiled import compiled

Words = NDArray[np.uint64]
Numbers = NDArray[np.int64]

FAR = 1 << 40
"""More than any walk costs: a step that cannot come next."""

ENDED, PAUSED = 0, 1
DEPTH, BEST, NODES, KEPT, BOUND = 0, 1, 2, 3, 4


class Stack(NamedTuple):
    """A depth-first search that can be left and taken up again. With n steps, row n is the start, column n the end.

    Attributes:
        cost: cost[i, j] of j straight after i; FAR where that cannot be.
        needs: needs[i, j] = 1 where step i comes before step j.
        missing: missing[d, j] = steps before j that are not done at depth d; -1: j is done. Column n: steps left.
        last, spent, done: at each depth.
        row, column: potentials at each depth; match, owner: the column of each row, the row of each column, or -1.
        children, promise: steps to try at each depth, and the bound of the walk through each, ascending.
        number, at: how many there are, and which comes next.
        best: the best walk known.
        keys, rest: states met (steps done, last step + 1; 0 empty) and what is known of each.
        scratch: three rows for the shortest paths.
        facts: DEPTH, BEST cost known, NODES entered, KEPT states, BOUND of everything.
    """

    cost: Numbers
    needs: Numbers
    missing: Numbers
    last: Numbers
    spent: Numbers
    done: Words
    row: Numbers
    column: Numbers
    match: Numbers
    owner: Numbers
    children: Numbers
    promise: Numbers
    number: Numbers
    at: Numbers
    best: Numbers
    keys: Words
    rest: Numbers
    scratch: Numbers
    facts: Numbers


@compiled
def _nearest(cost: Numbers, here: int, last: int, base: int, missing: Numbers, own: Numbers, scratch: Numbers) -> int:
    """Look from row `here`: shorten the distances to columns, and say which open column is nearest (-1 none).

    `own` = the row's potential followed by those of the columns.
    """
    least, to = FAR, -1
    for j in range(missing.shape[0]):
        if missing[j] < 0 or scratch[2, j] != 0:
            continue
        if cost[here, j] < FAR and not (here == last and missing[j] > 0):
            reached = base + cost[here, j] - own[0] - own[1 + j]
            if reached < scratch[0, j]:
                scratch[0, j] = reached
                scratch[1, j] = here
        if scratch[0, j] < least:
            least, to = scratch[0, j], j
    return to


@compiled
def _mend(
    cost: Numbers,
    last: int,
    missing: Numbers,
    free: int,
    potentials: tuple[Numbers, Numbers],
    pairs: tuple[Numbers, Numbers],
    scratch: Numbers,
) -> bool:
    """Give row `free` a column by a shortest path over reduced costs; False when there is none to be had.

    The row of the last step may take only columns with nothing missing.
    """
    row, column = potentials
    match, owner = pairs
    own = np.empty(missing.shape[0] + 1, np.int64)
    own[1:] = column
    scratch[0, :] = FAR
    scratch[2, :] = 0
    here, base, to = free, 0, -1
    while True:
        own[0] = row[here]
        to = _nearest(cost, here, last, base, missing, own, scratch)
        if to < 0:
            return False
        scratch[2, to] = 1
        base = scratch[0, to]
        if owner[to] < 0:
            break
        here = owner[to]
    for j in range(missing.shape[0]):
        if scratch[2, j] != 0 and j != to:
            column[j] += scratch[0, j] - base
            row[owner[j]] += base - scratch[0, j]
    row[free] += base
    while to >= 0:
        here = scratch[1, to]
        owner[to] = here
        to, match[here] = match[here], to
    return True


@compiled
def _enter(s: Stack, d: int, j: int) -> int:
    """Do step j at depth d: everything at depth d + 1 is written; what is left costs at least what comes back."""
    n = s.missing.shape[1] - 1
    last, e = s.last[d], d + 1
    for k in range(n + 1):
        s.missing[e, k] = s.missing[d, k] - (s.needs[j, k] if s.missing[d, k] > 0 else 0)
        s.row[e, k], s.column[e, k] = s.row[d, k], s.column[d, k]
        s.match[e, k], s.owner[e, k] = s.match[d, k], s.owner[d, k]
    s.missing[e, j] = -1
    s.done[e] = s.done[d]
    s.done[e, j >> 6] |= np.uint64(1) << np.uint64(j & 63)
    s.last[e] = j
    s.spent[e] = s.spent[d] + s.cost[last, j]
    match, owner = s.match[e], s.owner[e]
    taken, loser = match[last], owner[j]
    match[last] = -1
    if loser != last:
        owner[taken] = -1
        match[loser] = -1
    if match[j] >= 0 and s.missing[e, match[j]] > 0:
        owner[match[j]] = -1
        match[j] = -1
    for free in (loser, j):
        if (
            free != last
            and match[free] < 0
            and not _mend(s.cost, j, s.missing[e], free, (s.row[e], s.column[e]), (match, owner), s.scratch)
        ):
            return FAR
    return _assigned(s.cost, s.missing[e], j, match)


@compiled
def _assigned(cost: Numbers, missing: Numbers, last: int, match: Numbers) -> int:
    """What the assignment costs."""
    total = cost[last, match[last]]
    for k in range(missing.shape[0] - 1):
        if missing[k] >= 0:
            total += cost[k, match[k]]
    return int(total)


@compiled
def begin(s: Stack) -> int:
    """The assignment of everything, from nothing; a bound for all walks, FAR when there is none."""
    n = s.missing.shape[1] - 1
    s.match[0, :] = -1
    s.owner[0, :] = -1
    for free in range(n + 1):
        if not _mend(s.cost, n, s.missing[0], free, (s.row[0], s.column[0]), (s.match[0], s.owner[0]), s.scratch):
            return FAR
    s.last[0] = n
    s.number[0] = -1
    return _assigned(s.cost, s.missing[0], n, s.match[0])


@compiled
def _slot(s: Stack, done: Words, last: int) -> int:
    """Where the state is in the table, or the empty place where it would be."""
    key = np.uint64(last + 1)
    for word in range(done.shape[0]):
        key = (key ^ done[word]) * np.uint64(0x9E3779B97F4A7C15)
        key ^= key >> np.uint64(32)
        key *= np.uint64(0xBF58476D1CE4E5B9)
        key ^= key >> np.uint64(29)
    mask = s.rest.shape[0] - 1
    slot = np.int64(key >> np.uint64(1)) & mask
    words = done.shape[0]
    while s.keys[slot, words] != 0:
        same = s.keys[slot, words] == np.uint64(last + 1)
        for word in range(words):
            same = same and s.keys[slot, word] == done[word]
        if same:
            return int(slot)
        slot = (slot + 1) & mask
    return int(slot)


@compiled
def _keep(s: Stack, slot: int, done: Words, last: int, rest: int) -> None:
    """Note that what follows this state costs at least `rest`; a full table takes nothing new."""
    words = done.shape[0]
    if s.keys[slot, words] != 0:
        s.rest[slot] = max(s.rest[slot], rest)
    elif 4 * s.facts[KEPT] < 3 * s.rest.shape[0]:
        s.facts[KEPT] += 1
        s.keys[slot, :words] = done
        s.keys[slot, words] = np.uint64(last + 1)
        s.rest[slot] = rest


@compiled
def _promise(s: Stack, d: int, j: int) -> int:
    """A bound for the walk that does step j at depth d; from the table if the state is in it."""
    words = s.done.shape[1]
    done = s.done[d + 1]
    done[:] = s.done[d]
    done[j >> 6] |= np.uint64(1) << np.uint64(j & 63)
    spent = s.spent[d] + s.cost[s.last[d], j]
    slot = _slot(s, done, j)
    if s.keys[slot, words] != 0:
        return int(spent + s.rest[slot])
    rest = _enter(s, d, j)
    _keep(s, slot, s.done[d + 1], j, rest)
    return int(spent + rest)


@compiled
def _list_children(s: Stack, d: int) -> None:
    """Write the steps that may come next at depth d, the most promising first; those that promise too little not."""
    count = 0
    for j in range(s.missing.shape[1] - 1):
        if s.missing[d, j] == 0 and s.cost[s.last[d], j] < FAR:
            promise = _promise(s, d, j)
            if promise < s.facts[BEST]:
                at = count
                while at > 0 and s.promise[d, at - 1] > promise:
                    s.promise[d, at], s.children[d, at] = s.promise[d, at - 1], s.children[d, at - 1]
                    at -= 1
                s.promise[d, at], s.children[d, at] = promise, j
                count += 1
    s.number[d] = count
    s.at[d] = 0


@compiled
def _note_best(s: Stack, d: int) -> None:
    """All steps are done at depth d: a walk better than the best known."""
    s.facts[BEST] = s.spent[d]
    for depth in range(d):
        s.best[depth] = s.last[depth + 1]


@compiled
def search(s: Stack, limit: int) -> int:
    """Enter up to `limit` states, depth first. ENDED: the best known is the best there is."""
    n = s.missing.shape[1] - 1
    entered = 0
    while entered < limit:
        d = s.facts[DEPTH]
        if s.number[d] < 0:
            entered += 1
            s.facts[NODES] += 1
            if d == n:
                if s.spent[d] < s.facts[BEST]:
                    _note_best(s, d)
                s.number[d] = s.at[d] = 0
            else:
                _list_children(s, d)
        if s.at[d] < s.number[d] and s.promise[d, s.at[d]] < s.facts[BEST]:
            j = s.children[d, s.at[d]]
            s.at[d] += 1
            if s.spent[d] + s.cost[s.last[d], j] + _enter(s, d, j) < s.facts[BEST]:
                s.facts[DEPTH] = d + 1
                s.number[d + 1] = -1
        elif d == 0:
            return ENDED
        else:
            _keep(s, _slot(s, s.done[d], s.last[d]), s.done[d], s.last[d], s.facts[BEST] - s.spent[d])
            s.facts[DEPTH] = d - 1
        if d == 0 and s.at[0] < s.number[0]:
            s.facts[BOUND] = s.promise[0, s.at[0] - 1] if s.at[0] > 0 else s.promise[0, 0]
    return PAUSED
