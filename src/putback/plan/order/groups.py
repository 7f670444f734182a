"""One idea: steps that are always done in the same visit are one step to the search.

Doing everything available in the current place loses nothing, since leaving a step out of a walk never makes it
dearer. So steps of one class that wait for the same steps of other classes are done together; and, the walk read
backwards, so are steps of one class that hold up the same steps of other classes. Both are merged until nothing
changes. Steps without a place are taken out, and put in again at the end.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush

from putback.plan.order.problem import FREE, NoOrderError, OrderProblem


@dataclass(frozen=True, slots=True, kw_only=True)
class Groups:
    """The job as the search sees it. A set of groups is an int with one bit for each.

    Attributes:
        members: members[g] = the steps of group g, ascending.
        place: place[g] = class.
        stage: stage[g] = 0, 1, 2, ... without holes.
        earlier: earlier[g] = all groups of the same stage that come before g.
    """

    members: tuple[tuple[int, ...], ...]
    place: tuple[int, ...]
    stage: tuple[int, ...]
    earlier: tuple[int, ...]


def bits(number: int) -> list[int]:
    """The positions of the set bits, ascending.

    >>> bits(0b10110)
    [1, 2, 4]
    """
    found = []
    while number:
        low = number & -number
        found.append(low.bit_length() - 1)
        number ^= low
    return found


def topological(earlier: Sequence[set[int]]) -> list[int]:
    """All nodes, each after those it waits for; the smallest number first where there is a choice.

    Raises:
        NoOrderError: with a ring.
    """
    later: list[list[int]] = [[] for _ in earlier]
    waiting = [len(nodes) for nodes in earlier]
    for node, nodes in enumerate(earlier):
        for other in nodes:
            later[other].append(node)
    ready = [node for node, count in enumerate(waiting) if not count]
    order = []
    while ready:
        node = heappop(ready)
        order.append(node)
        for other in later[node]:
            waiting[other] -= 1
            if not waiting[other]:
                heappush(ready, other)
    if len(order) < len(earlier):
        raise NoOrderError(_ring(earlier, {node for node, count in enumerate(waiting) if count}))
    return order


def _ring(earlier: Sequence[set[int]], stuck: set[int]) -> tuple[int, ...]:
    """A ring among nodes each of which waits for another of them."""
    walk = [min(stuck)]
    while walk[-1] not in walk[:-1]:
        walk.append(min(earlier[walk[-1]] & stuck))
    return tuple(reversed(walk[walk.index(walk[-1]) + 1 :]))


def group(problem: OrderProblem) -> Groups:
    """Merge what belongs together.

    Raises:
        NoOrderError: the precedence has a ring, or contradicts the stages.
    """
    count = len(problem.place)
    stage = problem.stage or (0,) * count
    earlier: list[set[int]] = [set() for _ in range(count)]
    for a, b in problem.before:
        if stage[a] > stage[b]:
            raise NoOrderError((a, b))
        if stage[a] == stage[b]:
            earlier[b].add(a)
    for node in topological(earlier):
        free = {other for other in earlier[node] if problem.place[other] == FREE}
        earlier[node] -= free
        earlier[node].update(*(earlier[other] for other in free))
    kept = [step for step in range(count) if problem.place[step] != FREE]
    number = {step: at for at, step in enumerate(kept)}
    levels = sorted({stage[step] for step in kept})
    return _merge(
        [(step,) for step in kept],
        [problem.place[step] for step in kept],
        [levels.index(stage[step]) for step in kept],
        [{number[other] for other in earlier[step]} for step in kept],
    )


def _merge(members: list[tuple[int, ...]], place: list[int], stage: list[int], earlier: list[set[int]]) -> Groups:
    """Merge forwards and backwards in turn, until neither changes anything."""
    idle = 0
    backwards = False
    while idle < 2:
        names = _same_visit(place, stage, _turned(earlier) if backwards else earlier)
        idle = idle + 1 if len(set(names)) == len(names) else 0
        backwards = not backwards
        if idle:
            continue
        count = max(names) + 1
        merged: list[tuple[int, ...]] = [()] * count
        waits: list[set[int]] = [set() for _ in range(count)]
        for node, name in enumerate(names):
            merged[name] += members[node]
            waits[name] |= {names[other] for other in earlier[node]} - {name}
        first = [names.index(name) for name in range(count)]
        members, earlier = merged, waits
        place, stage = [place[node] for node in first], [stage[node] for node in first]
    closed = _closure(earlier)
    return Groups(
        members=tuple(tuple(sorted(steps)) for steps in members),
        place=tuple(place),
        stage=tuple(stage),
        earlier=tuple(closed),
    )


def _turned(earlier: Sequence[set[int]]) -> list[set[int]]:
    """The same relation read backwards."""
    later: list[set[int]] = [set() for _ in earlier]
    for node, nodes in enumerate(earlier):
        for other in nodes:
            later[other].add(node)
    return later


def _closure(earlier: Sequence[set[int]]) -> list[int]:
    """For each node the set of all nodes that come before it, however far."""
    closed = [0] * len(earlier)
    for node in topological(earlier):
        for other in earlier[node]:
            closed[node] |= closed[other] | 1 << other
    return closed


def _same_visit(place: Sequence[int], stage: Sequence[int], earlier: Sequence[set[int]]) -> list[int]:
    """Names of the groups: same stage, same class, waiting for the same nodes of other classes."""
    own = dict.fromkeys(place, 0)
    for node, c in enumerate(place):
        own[c] |= 1 << node
    names: dict[tuple[int, int, int], int] = {}
    closed = _closure(earlier)
    return [names.setdefault((stage[node], c, closed[node] & ~own[c]), len(names)) for node, c in enumerate(place)]


def steps_in_order(problem: OrderProblem, groups: Groups, sequence: Sequence[int]) -> tuple[int, ...]:
    """The steps of the groups in this sequence, steps without a place as soon as they may come.

    Within a group: what waits for another later, else the smaller number first.
    """
    stage = problem.stage or (0,) * len(problem.place)
    rank = {step: at for at, g in enumerate(sequence) for step in groups.members[g]}
    keys = [(stage[step], rank.get(step, -1), step) for step in range(len(stage))]
    later: list[list[int]] = [[] for _ in keys]
    waiting = [0] * len(keys)
    for a, b in set(problem.before):
        later[a].append(b)
        waiting[b] += 1
    ready = [key for key in keys if not waiting[key[2]]]
    heapify(ready)
    order = []
    while ready:
        step = heappop(ready)[2]
        order.append(step)
        for other in later[step]:
            waiting[other] -= 1
            if not waiting[other]:
                heappush(ready, keys[other])
    return tuple(order)
