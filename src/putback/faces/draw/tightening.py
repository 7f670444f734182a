"""One idea: a joint's fasteners are drawn where they sit, each with its turn in the order of tightening.

Beside its turn each bears the number that it is counted by, so that words and picture name the same bolt. The first
one is drawn stronger, a thin line leads from each to the next, and the picture's own words say the same places as on a
clock face.
"""

from collections.abc import Sequence
from itertools import combinations
from math import cos, hypot, pi, sin

from putback.core.fasten.layout import Point
from putback.core.fasten.places import said_order
from putback.core.fasten.tool import Layout
from putback.faces.draw import ink
from putback.faces.draw.measure import wrap

_WIDE, _HIGHEST = 360.0, 400.0
"""The picture fits a narrow screen in its own size, and is never a tower, [units]."""

NUMBERS = "In the picture a number is a turn: 1 is tightened first."

COUNTED = "Beside it, #1 and so on: the bolts as they are counted."

_EDGE = 39.0
_LETTER, _LINE = 12.0, 16.0
_DOT, _LEAST_DOT = 15.0, 5.0
_COUNTED_DOT, _COUNTED_LETTER, _BESIDE = 9.0, 11.0, 12.0
_DIRECTIONS = tuple((sin(eighth * pi / 4), -cos(eighth * pi / 4)) for eighth in range(8))
"""Where a number may stand beside its fastener, downwards positive; straight up comes first."""


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
    places, high = _places(ordered)
    radius = _radius(places)
    parts = [_way(places), *(_fastener(number, place, radius) for number, place in enumerate(places, start=1))]
    foot = [NUMBERS]
    if radius >= _COUNTED_DOT:
        foot.append(COUNTED)
        parts += [_counted(own + 1, place, places, radius) for own, place in zip(layout.order, places, strict=True)]
    foot += wrap(layout.words, _LETTER, _WIDE - _EDGE)
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
    tall = high * scale + 2 * _EDGE
    right = (_WIDE - wide * scale) / 2
    return [(right + (x - left) * scale, _EDGE + (top - y) * scale) for x, y in points], tall


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


def _counted(own: int, place: Point, places: Sequence[Point], radius: float) -> str:
    """The number that a fastener is counted by, on the side where the others are farthest away."""
    x, y = place
    away = radius + _BESIDE
    beside = [(x + right * away, y + down * away) for right, down in _DIRECTIONS]
    others = [other for other in places if other != place]
    at = max(beside, key=lambda one: round(min((hypot(one[0] - a, one[1] - b) for a, b in others), default=0), 3))
    return ink.text(
        at[0], at[1] + _COUNTED_LETTER / 3, f"#{own}", size=_COUNTED_LETTER, tone="text-quiet", anchor="middle"
    )
