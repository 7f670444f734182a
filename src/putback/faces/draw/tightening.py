"""One idea: a joint's fasteners are drawn where they sit, each with its number in the order of tightening.

The first one is drawn stronger, a thin line leads from each to the next, and the picture's own words say the same
places as on a clock face.
"""

from collections.abc import Sequence
from itertools import combinations
from math import hypot

from putback.core.fasten.layout import Point
from putback.core.fasten.places import said_order
from putback.core.fasten.tool import Layout
from putback.faces.draw import ink
from putback.faces.draw.measure import wrap

_WIDE, _LOWEST, _HIGHEST = 360.0, 56.0, 400.0
"""The picture fits a narrow screen in its own size, and is never a sliver nor a tower, [units]."""

NUMBERS = "In the picture a number is a turn: 1 is tightened first."

_EDGE = 26.0
_LETTER, _LINE = 12.0, 16.0
_DOT, _LEAST_DOT = 15.0, 5.0


def tightening_svg(layout: Layout) -> str:
    """The picture of a tightening order; loosening is the same in reverse.

    Args:
        layout: places of the fasteners, their order, and words to put under the picture.

    Raises:
        ValueError: the order names a place that is not there, or there is none.
    """
    if not layout.points or sorted(layout.order) != list(range(len(layout.points))):
        raise ValueError("the order does not name each fastener once")
    ordered = [layout.points[at] for at in layout.order]
    foot = [NUMBERS, *wrap(layout.words, _LETTER, _WIDE - _EDGE)]
    places, high = _places(ordered)
    radius = _radius(places)
    parts = [_way(places), *(_fastener(number, place, radius) for number, place in enumerate(places, start=1))]
    for at, words in enumerate(foot):
        parts.append(
            ink.text(_WIDE / 2, high + 8 + at * _LINE, words, size=_LETTER, tone="text-quiet", anchor="middle")
        )
    says = f"Tighten in this order: {said_order(ordered)}. Loosen in reverse. {layout.words}".strip()
    return ink.sheet(parts, wide=_WIDE, high=high + len(foot) * _LINE + 8, title="Order of tightening", says=says)


def _places(points: Sequence[Point]) -> tuple[list[Point], float]:
    """The points on the paper, y downwards, and the height of the paper, [units]."""
    left, top = min(x for x, _ in points), max(y for _, y in points)
    wide, high = max(x for x, _ in points) - left, top - min(y for _, y in points)
    room = _WIDE - 2 * _EDGE, _HIGHEST - 2 * _EDGE
    scale = min(room[0] / wide if wide else room[0], room[1] / high if high else room[1]) if wide or high else 1.0
    tall = max(high * scale + 2 * _EDGE, _LOWEST)
    right = (_WIDE - wide * scale) / 2
    down = (tall - high * scale) / 2
    return [(right + (x - left) * scale, down + (top - y) * scale) for x, y in points], tall


def _radius(places: Sequence[Point]) -> float:
    """So big that numbers can be read, and so small that no two touch, [units]."""
    near = min((hypot(a[0] - b[0], a[1] - b[1]) for a, b in combinations(places, 2)), default=2 * _DOT)
    return max(min(_DOT, near / 2 - 1), _LEAST_DOT)


def _way(places: Sequence[Point]) -> str:
    steps = "L".join(ink.at(x, y) for x, y in places)
    return ink.path(f"M{steps}", tone="line line-hair", thick=1.0, dashes="3 4")


def _fastener(number: int, place: Point, radius: float) -> str:
    x, y = place
    first = number == 1
    ring = ink.dot(x, y, radius, tone="fill-ink line-ink" if first else "fill-paper line-ink", thick=1.5)
    size = radius * (1.1 if number < 10 else 0.95)
    words = ink.text(
        x, y + size * 0.36, str(number), size=size, tone="fill-paper" if first else "text", anchor="middle", bold=first
    )
    return ring + words
