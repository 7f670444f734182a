"""One idea: numbering nodes so that whatever a node leads to comes before it makes one pass enough.

Knots (strongly connected components, Tarjan 1972, without recursion) come out in that very order.
Sets of nodes are integers: bit k stands for node k.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence


def knots(count: int, roots: Iterable[int], successors: Callable[[int], Sequence[int]]) -> list[list[int]]:
    """The knots of all that the roots lead to; what a knot leads to comes earlier in the list.

    Source: R. Tarjan, Depth-first search and linear graph algorithms, SIAM J. Comput. 1 (1972).
    """
    number = [0] * count  # 0: not seen; count + 1: its knot is closed
    closed = count + 1
    found: list[list[int]] = []
    waiting: list[int] = []
    seen = 0
    for root in roots:
        if number[root]:
            continue
        seen += 1
        number[root] = low = seen
        waiting.append(root)
        path = [(root, low, iter(successors(root)))]
        while path:
            node, low, rest = path.pop()
            for successor in rest:
                reached = number[successor]
                if not reached:
                    seen += 1
                    number[successor] = seen
                    waiting.append(successor)
                    path.append((node, low, rest))
                    path.append((successor, seen, iter(successors(successor))))
                    break
                if reached < low:  # noqa: PLR1730  (this line is where the time goes)
                    low = reached
            else:
                if low == number[node]:
                    knot = _cut(waiting, node)
                    for member in knot:
                        number[member] = closed
                    found.append(knot)
                elif path:
                    above, above_low, rest = path[-1]
                    if low < above_low:
                        path[-1] = (above, low, rest)
    return found


def _cut(waiting: list[int], node: int) -> list[int]:
    """Take the nodes from `node` to the end off the list, and give them."""
    if waiting[-1] == node:
        return [waiting.pop()]
    at = len(waiting) - 1
    while waiting[at] != node:
        at -= 1
    knot = waiting[at:]
    del waiting[at:]
    return knot


def members(mask: int) -> Iterator[int]:
    """The numbers of the bits that are set, ascending.

    >>> list(members(0b10110))
    [1, 2, 4]
    """
    text = bin(mask)[:1:-1]
    at = text.find("1")
    while at >= 0:
        yield at
        at = text.find("1", at + 1)


def mask_of(numbers: Iterable[int]) -> int:
    """The set of these numbers as bits.

    >>> bin(mask_of([1, 2, 4]))
    '0b10110'
    """
    mask = 0
    for number in numbers:
        mask |= 1 << number
    return mask


def leads_back(start: Iterable[int], goal: int, successors: Callable[[int], Iterable[int]]) -> bool:
    """Whether some path from one of `start` arrives at `goal`."""
    waiting = list(start)
    seen = set(waiting)
    while waiting:
        node = waiting.pop()
        if node == goal:
            return True
        for successor in successors(node):
            if successor not in seen:
                seen.add(successor)
                waiting.append(successor)
    return False


def circle_in(nodes: Iterable[int], successors: Callable[[int], Iterable[int]]) -> tuple[int, ...]:
    """A circle among what the nodes lead to, link by link, or nothing when there is none."""
    state: dict[int, int] = {}  # 1: on the path, 2: done
    for root in nodes:
        if root in state:
            continue
        state[root] = 1
        path = [(root, iter(successors(root)))]
        while path:
            node, rest = path[-1]
            for successor in rest:
                if state.get(successor) == 1:
                    line = [step for step, _ in path]
                    return tuple(line[line.index(successor) :])
                if successor not in state:
                    state[successor] = 1
                    path.append((successor, iter(successors(successor))))
                    break
            else:
                state[node] = 2
                path.pop()
    return ()
