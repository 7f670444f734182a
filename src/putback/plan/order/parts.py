"""One idea: a change matrix is often a sum of reasons (tool, zone, crew), and each reason is bounded by itself.

A reason is a partition of the classes with a weight: the change costs the weight when the labels differ. The
partitions are found in the matrix: classes that differ by one value only form one.
"""

from collections.abc import Callable, Iterable

from putback.plan.order.problem import Part

Matrix = tuple[tuple[int, ...], ...]
Option = tuple[int, tuple[int, ...]]


def find_parts(change: Matrix) -> tuple[Part, ...]:
    """Parts whose sum never exceeds `change`, and equals it where that could be found.

    Args:
        change: square, zero diagonal.

    Returns:
        The parts, heaviest first; empty when none was found. Of the partitions that can be read off the matrix the
        heaviest is split off until none is left; if that does not add up, the lightest first is tried.

    >>> from putback.plan.order.problem import change_of
    >>> tool, zone = Part(weight=1, label=(0, 1, 1)), Part(weight=2, label=(0, 0, 2))
    >>> find_parts(change_of([tool, zone])) == (zone, tool)
    True
    """
    heaviest_first = _split(change, max)
    if add_up(heaviest_first, change):
        return heaviest_first
    lightest_first = _split(change, min)
    return lightest_first if add_up(lightest_first, change) else heaviest_first


def add_up(parts: tuple[Part, ...], change: Matrix) -> bool:
    """The parts give the matrix exactly."""
    if not parts:
        return not any(map(any, change))
    weights = [part.weight for part in parts]
    labels = list(zip(*(part.label for part in parts), strict=True))
    return len(labels) == len(change) and all(
        cost == sum(w for w, a, b in zip(weights, labels[c], labels[d], strict=True) if a != b)
        for c, row in enumerate(change)
        for d, cost in enumerate(row)
    )


def _split(change: Matrix, choose: Callable[[Iterable[Option]], Option]) -> tuple[Part, ...]:
    """Split off one partition after the other."""
    rest = [list(row) for row in change]
    found: list[Part] = []
    while any(map(any, rest)):
        options = [(_weight(rest, label), label) for label in _partitions(rest)]
        options = [option for option in options if option[0] > 0]
        if not options:
            break
        weight, label = choose(options)
        found.append(Part(weight=weight, label=label))
        for c, row in enumerate(rest):
            for d in range(len(row)):
                row[d] -= weight * (label[c] != label[d])
    return tuple(sorted(found, key=lambda part: (-part.weight, part.label)))


def _weight(rest: list[list[int]], label: tuple[int, ...]) -> int:
    """The least cost between two blocks: what may be charged for every change of block."""
    costs = [cost for c, row in enumerate(rest) for d, cost in enumerate(row) if label[c] != label[d]]
    return min(costs, default=0)


def _partitions(rest: list[list[int]]) -> list[tuple[int, ...]]:
    """Labellings in which two classes share a block when they differ by nothing, by one value, or by little."""
    values = sorted({cost for row in rest for cost in row})
    near = {frozenset((0, value)) for value in values} | {frozenset(values[: i + 1]) for i in range(len(values))}
    labels = {_blocks(rest, costs) for costs in near}
    return sorted(label for label in labels if len(set(label)) > 1)


def _blocks(rest: list[list[int]], near: frozenset[int]) -> tuple[int, ...]:
    """Labels of the connected blocks of classes whose cost to each other is one of `near`."""
    count = len(rest)
    label = [-1] * count
    for first in range(count):
        if label[first] >= 0:
            continue
        label[first] = first
        waiting = [first]
        while waiting:
            c = waiting.pop()
            for d in range(count):
                if label[d] < 0 and (rest[c][d] in near or rest[d][c] in near):
                    label[d] = first
                    waiting.append(d)
    return tuple(label)
