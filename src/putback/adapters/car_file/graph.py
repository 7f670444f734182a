"""One idea: a loop is found by walking, and shown by its shortest round.

Graphs are mappings from each node to the nodes it needs; nodes that are no keys are passed over.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

Needs = Mapping[str, Sequence[str]]

_MOST_STEPS: Final = 1_000_000
_MOST_SPLITS: Final = 50


@dataclass(slots=True)
class Budget:
    """How many nodes may still be looked at."""

    left: int = _MOST_STEPS


def loops(needs: Needs) -> Iterator[tuple[str, ...]]:
    """Loops that share no link, shortest first in each knot of nodes that all need one another.

    So one wrong link is shown in one loop, and two that are wrong in different places are both shown. A node that
    needs itself is a loop of its own. In a knot so large that looking at every round would take seconds, the
    shortest of those looked at is shown.

    >>> list(loops({"a": ["b"], "b": ["c", "a"], "c": ["a"], "d": ["a", "d"]}))
    [('d',), ('a', 'b')]
    """
    yield from ((node,) for node, needed in needs.items() if node in needed)
    rest = {node: [other for other in needed if other != node] for node, needed in needs.items()}
    waiting = knots(rest)
    budget, splits = Budget(), 0
    while waiting:
        knot = waiting.pop(0)
        inside = set(knot)
        found = _shortest_round(rest, knot, budget)
        yield found
        for node, other in zip(found, (*found[1:], found[0]), strict=True):
            rest[node] = [kept for kept in rest[node] if kept != other]
        splits += 1
        if splits <= _MOST_SPLITS:
            waiting += knots({node: [other for other in rest[node] if other in inside] for node in knot})


def shortest_loops(needs: Needs) -> Iterator[tuple[str, ...]]:
    """One loop for each knot of nodes that all need one another: its shortest."""
    budget = Budget()
    for knot in knots(needs):
        yield _shortest_round(needs, knot, budget)


def knots(needs: Needs) -> list[list[str]]:
    """Groups of nodes that all need one another (strongly connected), in the order of `needs`.

    Source: R. Tarjan, Depth-first search and linear graph algorithms, SIAM J. Comput. 1 (1972), made iterative.
    """
    order = {node: number for number, node in enumerate(needs)}
    index: dict[str, int] = {}
    low: dict[str, int] = {}
    stack: list[str] = []
    stacked: set[str] = set()
    found: list[list[str]] = []
    for start in needs:
        work = [] if start in index else [(start, iter(needs[start]))]
        while work:
            node, rest = work[-1]
            if node not in index:
                index[node] = low[node] = len(index)
                stack.append(node)
                stacked.add(node)
            step = next((other for other in rest if _matters(other, node, index, low, stacked, order)), None)
            if step is not None:
                work.append((step, iter(needs[step])))
                continue
            work.pop()
            if work:
                above = work[-1][0]
                low[above] = min(low[above], low[node])
            if low[node] == index[node]:
                group = _popped(stack, stacked, node)
                if len(group) > 1:
                    found.append(sorted(group, key=order.__getitem__))
    return sorted(found, key=lambda group: order[group[0]])


def _matters(
    other: str, node: str, index: dict[str, int], low: dict[str, int], stacked: set[str], order: dict[str, int]
) -> bool:
    """Whether `other` is still to be walked; where it is on the stack the low mark of `node` sinks."""
    if other not in order:
        return False
    if other in stacked:
        low[node] = min(low[node], index[other])
    return other not in index


def _popped(stack: list[str], stacked: set[str], last: str) -> list[str]:
    at = stack.index(last) if len(stack) < 8 else len(stack) - 1 - stack[::-1].index(last)
    group = stack[at:]
    del stack[at:]
    stacked.difference_update(group)
    return group


def _shortest_round(needs: Needs, knot: list[str], budget: Budget) -> tuple[str, ...]:
    inside = set(knot)
    best: tuple[str, ...] = ()
    for start in knot:
        found = chain(needs, needs[start], start, inside, budget=budget, most=len(best) - 1 if best else None)
        if found is not None:
            best = (start, *found[:-1])
        if 0 < len(best) <= 2 or (best and budget.left <= 0):
            break
    return best


def chain(
    needs: Needs,
    starts: Iterable[str],
    goal: str,
    inside: set[str] | None = None,
    *,
    budget: Budget | None = None,
    most: int | None = None,
) -> tuple[str, ...] | None:
    """The shortest chain of needs from one of `starts` to `goal`, both ends included; None if there is none.

    Args:
        needs: what each node needs.
        starts: where it may begin.
        goal: where it ends.
        inside: nodes it may pass through; None: all.
        budget: each node looked at is taken off it; the search itself goes on when it is spent.
        most: nodes the chain may have; None: any number.

    >>> chain({"a": ["b"], "b": ["c"], "c": []}, ["a"], "c")
    ('a', 'b', 'c')
    """
    allowed = needs if inside is None else inside
    came: dict[str, str | None] = {}
    layer = list(dict.fromkeys(start for start in starts if start in needs and start in allowed))
    came.update(dict.fromkeys(layer))
    depth = 1
    while layer and (most is None or depth <= most):
        if goal in came:
            return _walked(came, goal)
        below: list[str] = []
        for node in layer:
            for other in needs[node]:
                if other not in came and other in needs and other in allowed:
                    came[other] = node
                    below.append(other)
        layer = below
        depth += 1
        if budget is not None:
            budget.left -= len(below)
    return None


def _walked(came: dict[str, str | None], node: str) -> tuple[str, ...]:
    path = [node]
    before = came[node]
    while before is not None:
        path.append(before)
        before = came[before]
    return tuple(reversed(path))


def closure(needs: Needs, starts: Iterable[str]) -> list[str]:
    """Everything that the starts need, however far round, themselves included where they are nodes."""
    found = dict.fromkeys(start for start in starts if start in needs)
    queue = list(found)
    while queue:
        for other in needs[queue.pop()]:
            if other not in found and other in needs:
                found[other] = None
                queue.append(other)
    return list(found)
