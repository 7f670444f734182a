"""One idea: where a fastener sits is said as on a clock face, so that an order can be read aloud without a picture."""

from collections import Counter
from collections.abc import Sequence
from math import atan2, degrees, hypot

from putback.core.fasten.layout import Point, on_a_line

_HALF_HOUR_DEG = 15.0
_MIDDLE = 0.02
"""Nearer to the middle than this share of the farthest one is in the middle."""


def said_places(points: Sequence[Point]) -> tuple[str, ...]:
    """Where each point lies, in words: by the clock from the middle, or counted from the left in a row.

    Args:
        points: where each fastener sits, [mm], y upwards.

    >>> said_places([(0, 40), (40, 0), (0, -40), (-40, 0)])
    ("at 12 o'clock", "at 3 o'clock", "at 6 o'clock", "at 9 o'clock")
    >>> said_places([(0, 0), (25, 0), (50, 0)])
    ('1st from the left', '2nd from the left', '3rd from the left')
    """
    if len(points) > 1 and on_a_line(points):
        return _in_a_row(points)
    middle = sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)
    away = [hypot(x - middle[0], y - middle[1]) for x, y in points]
    hours = [_hour(x - middle[0], y - middle[1]) for x, y in points]
    central = [far <= _MIDDLE * max(away) for far in away]
    shared = Counter(hour for hour, mid in zip(hours, central, strict=True) if not mid)
    return tuple(
        "in the middle" if mid else f"at {hour}" + (f", {far:.0f} mm out" if shared[hour] > 1 else "")
        for hour, far, mid in zip(hours, away, central, strict=True)
    )


def said_order(points: Sequence[Point]) -> str:
    """An order in words; the points stand in the order of tightening.

    >>> said_order([(0, 40), (0, -40), (40, 0), (-40, 0)])
    "1: at 12 o'clock; 2: at 6 o'clock; 3: at 3 o'clock; 4: at 9 o'clock"
    """
    return "; ".join(f"{number}: {place}" for number, place in enumerate(said_places(points), start=1))


def _hour(right: float, up: float) -> str:
    halves = round(degrees(atan2(right, up)) / _HALF_HOUR_DEG) % 24
    hour = halves // 2 or 12
    return f"half past {hour}" if halves % 2 else f"{hour} o'clock"


def _in_a_row(points: Sequence[Point]) -> tuple[str, ...]:
    """Counted along a row: from the left, or from the top where it stands upright."""
    wide = max(x for x, _ in points) - min(x for x, _ in points)
    high = max(y for _, y in points) - min(y for _, y in points)
    side = "left" if wide >= high else "top"
    row = sorted(range(len(points)), key=lambda at: points[at][0] if side == "left" else -points[at][1])
    ranks = {at: rank for rank, at in enumerate(row, start=1)}
    return tuple(f"{_ordinal(ranks[at])} from the {side}" for at in range(len(points)))


def _ordinal(number: int) -> str:
    if 10 <= number % 100 <= 20:
        return f"{number}th"
    return f"{number}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th') }"
