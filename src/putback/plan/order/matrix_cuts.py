"""One idea: a walk must leave every set of steps, and what precedence forbids cannot help it to.

Let step i come before step j. What comes before i, or after j, cannot lie between them; so the arcs that lead out of
a set around i, without those steps, add up to at least one in every walk. Which sets are missed by a fractional
solution is found by greatest flows. Source: E. Balas, M. Fischetti, W. Pulleyblank, "The precedence-constrained
asymmetric traveling salesman polytope", Mathematical Programming 68 (1995), from memory.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from putback.plan.order.compiled import compiled

Numbers = NDArray[np.int64]
Shares = NDArray[np.float64]
Marks = NDArray[np.uint8]

SMALL = 1e-9
"""Flows below this count as nothing."""

MISSED = 0.02
"""A set is of interest when a solution leaves it by so much less than once."""

NEAR = 1.3
"""Sets that are left up to so often may still be missed once more steps are forbidden."""


class Net(NamedTuple):
    """Arcs with a share in the solution, each with its way back: arc a and arc a ^ 1.

    Attributes:
        start: start[v] .. start[v + 1] are the places in `out` where the arcs of node v stand.
        out: numbers of arcs.
        head: the node to which each arc leads.
        share: the share of each arc; 0 for ways back.
    """

    start: Numbers
    out: Numbers
    head: Numbers
    share: Shares


@compiled
def net_of(solution: Shares) -> Net:
    """The arcs of a solution. Row n is the start (node n), column n the end (node n + 1)."""
    n = solution.shape[0] - 1
    many = 0
    for i in range(n + 1):
        for j in range(n + 1):
            many += 2 * (solution[i, j] > SMALL)
    head, tail, share = np.zeros(many, np.int64), np.zeros(many, np.int64), np.zeros(many)
    start, at = np.zeros(n + 3, np.int64), 0
    for i in range(n + 1):
        for j in range(n + 1):
            if solution[i, j] > SMALL:
                to = j if j < n else n + 1
                tail[at], head[at], share[at] = i, to, solution[i, j]
                tail[at + 1], head[at + 1] = to, i
                start[i + 1] += 1
                start[to + 1] += 1
                at += 2
    start = np.cumsum(start)
    out, free = np.zeros(many, np.int64), start.copy()
    for arc in range(many):
        out[free[tail[arc]]] = arc
        free[tail[arc]] += 1
    return Net(start, out, head, share)


@compiled
def _reach(net: Net, left: Shares, banned: Marks, source: int, sink: int, by: Numbers, queue: Numbers) -> bool:
    """Breadth first from the source; by[v] = the arc by which v was reached, -1 not at all."""
    by[:] = -1
    by[source] = -2
    queue[0] = source
    here, behind = 0, 1
    while here < behind:
        node = queue[here]
        here += 1
        for at in range(net.start[node], net.start[node + 1]):
            arc = net.out[at]
            to = net.head[arc]
            if left[arc] > SMALL and by[to] == -1 and banned[to] == 0:
                by[to] = arc
                if to == sink:
                    return True
                queue[behind] = to
                behind += 1
    return False


@compiled
def _flow(net: Net, left: Shares, banned: Marks, source: int, sink: int, by: Numbers, queue: Numbers) -> float:
    """The greatest flow, or some flow above NEAR; afterwards `by` tells which nodes the source still reaches."""
    left[:] = net.share
    total = 0.0
    while total < NEAR and _reach(net, left, banned, source, sink, by, queue):
        least, node = 2.0, sink
        while node != source:
            least = min(least, left[by[node]])
            node = net.head[by[node] ^ 1]
        node = sink
        while node != source:
            left[by[node]] -= least
            left[by[node] ^ 1] += least
            node = net.head[by[node] ^ 1]
        total += least
    return total


@compiled
def _forbid(before: Marks, inside: Marks, source: int, sink: int, banned: Marks) -> None:
    """Mark all that cannot lie on the way out of the set.

    Y = what is outside and comes after the source, or only the end if that is the sink; X = what is inside and comes
    before all of Y. What comes before a step of X or after a step of Y is forbidden.
    """
    nodes = before.shape[0]
    banned[:] = 0
    later = before[source].copy()
    if sink == nodes - 1:
        later[:sink] = 0
    for x in range(nodes):
        all_after = inside[x] == 1
        for y in range(nodes):
            if all_after and inside[y] == 0 and later[y] == 1 and before[x, y] == 0:
                all_after = False
        if all_after:
            for v in range(nodes):
                banned[v] |= before[v, x]
    for y in range(nodes):
        if inside[y] == 0 and later[y] == 1:
            for v in range(nodes):
                banned[v] |= before[y, v]


@compiled
def _leaving(solution: Shares, inside: Marks, banned: Marks, tails: Marks, heads: Marks) -> float:
    """Write rows and columns of the arcs that may lead out of the set; their share in the solution."""
    n = solution.shape[0] - 1
    for v in range(n + 1):
        tails[v] = 1 if inside[v] == 1 and banned[v] == 0 else 0
        node = v if v < n else n + 1
        heads[v] = 1 if inside[node] == 0 and banned[node] == 0 else 0
    total = 0.0
    for i in range(n + 1):
        if tails[i] == 1:
            for j in range(n + 1):
                if heads[j] == 1:
                    total += solution[i, j]
    return total


@compiled
def missed(solution: Shares, before: Marks, pairs: Numbers, tails: Marks, heads: Marks, shares: Shares) -> int:
    """Sets that a solution leaves less than once.

    Args:
        solution: share of each arc; row n is the start, column n the end.
        before: before[i, j] = 1 where node i comes before node j; node n is the start, node n + 1 the end.
        pairs: pairs of nodes, each the first before the second, between which sets are looked for.
        tails, heads: written: the rows and the columns of the arcs that lead out of each set.
        shares: written: what these arcs add up to.

    Returns:
        How many were found, at most as many as there is room for.
    """
    nodes = before.shape[0]
    net = net_of(solution)
    left = np.zeros(net.share.shape[0])
    by, queue = np.zeros(nodes, np.int64), np.zeros(nodes, np.int64)
    banned, inside = np.zeros(nodes, np.uint8), np.zeros(nodes, np.uint8)
    count = 0
    for pair in range(pairs.shape[0]):
        source, sink = pairs[pair, 0], pairs[pair, 1]
        for v in range(nodes):
            banned[v] = before[v, source] | before[sink, v]
        if _flow(net, left, banned, source, sink, by, queue) >= NEAR:
            continue
        for v in range(nodes):
            inside[v] = by[v] != -1
            if inside[v] == 0 and before[v, source] == 1:
                inside[v] = 1
        _forbid(before, inside, source, sink, banned)
        share = _leaving(solution, inside, banned, tails[count], heads[count])
        if share < 1 - MISSED:
            shares[count] = share
            count += 1
            if count == shares.shape[0]:
                break
    return count


@compiled
def undecided(solution: Shares, before: Marks, pairs: Numbers) -> Shares:
    """How much a solution hurts from deciding which step of each pair comes first: the product of both ways.

    Args:
        solution, before: as in `missed`.
        pairs: pairs of nodes without precedence.

    Returns:
        For each pair, (what lacks of one way from the first to the second) x (the same the other way round), where
        steps that cannot lie between them are left out.
    """
    nodes = before.shape[0]
    net = net_of(solution)
    left = np.zeros(net.share.shape[0])
    by, queue = np.zeros(nodes, np.int64), np.zeros(nodes, np.int64)
    banned, worth = np.zeros(nodes, np.uint8), np.zeros(pairs.shape[0])
    for pair in range(pairs.shape[0]):
        one, other = pairs[pair, 0], pairs[pair, 1]
        product = 1.0
        for turn in range(2):
            source, sink = (one, other) if turn == 0 else (other, one)
            for v in range(nodes):
                banned[v] = before[v, source] | before[sink, v]
            product *= 0.01 + max(0.0, 1 - _flow(net, left, banned, source, sink, by, queue))
        worth[pair] = product
    return worth
