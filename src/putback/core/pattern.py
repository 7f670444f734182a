"""One idea: the order in which the fasteners of a joint are tightened, from where they sit and the pattern named.

The order follows from the positions alone, so a drawing and a hand agree. Where the car file gives no positions there
is no order of places to give, only a count.
"""

from collections.abc import Sequence
from math import atan2, hypot

Point = tuple[float, float]

STAR, CROSS, SPIRAL = "star", "cross", "spiral"


def tightening_order(points: Sequence[Point], pattern: str | None) -> tuple[int, ...]:
    """The places of the points in the order of tightening.

    Args:
        points: where each fastener sits, [mm], y upwards.
        pattern: star or cross (each next one as nearly opposite as may be), spiral (from the middle outwards);
            anything else: as numbered in the car file.

    Source: common practice, no source; ASME PCC-1 describes cross patterns (from memory).

    >>> tightening_order([(0, 0), (80, 0), (80, 60), (0, 60)], "cross")
    (0, 2, 1, 3)
    """
    if len(points) < 3 or pattern not in (STAR, CROSS, SPIRAL):
        return tuple(range(len(points)))
    middle = _middle(points)
    if pattern == SPIRAL:
        return tuple(sorted(range(len(points)), key=lambda at: (round(_away(points[at], middle), 6), at)))
    return _opposite(_round(points, middle))


def _middle(points: Sequence[Point]) -> Point:
    return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)


def _away(point: Point, middle: Point) -> float:
    return hypot(point[0] - middle[0], point[1] - middle[1])


def _round(points: Sequence[Point], middle: Point) -> list[int]:
    """The places of the points as they lie round the middle, beginning with the first."""
    turned = sorted(
        range(len(points)), key=lambda at: (atan2(points[at][1] - middle[1], points[at][0] - middle[0]), at)
    )
    first = turned.index(0)
    return turned[first:] + turned[:first]


def _opposite(ring: Sequence[int]) -> tuple[int, ...]:
    """Round a ring so that each next one lies farthest from those before it; of equals the earlier in the ring."""
    count = len(ring)
    order = [0]
    while len(order) < count:
        left = [at for at in range(count) if at not in order]
        order.append(max(left, key=lambda at: (_apart(at, order[-1], count), _nearest(at, order, count), -at)))
    return tuple(ring[at] for at in order)


def _apart(a: int, b: int, count: int) -> int:
    """How many steps round a ring two places lie apart, the shorter way."""
    return min((a - b) % count, (b - a) % count)


def _nearest(at: int, order: Sequence[int], count: int) -> int:
    return min(_apart(at, one, count) for one in order)
