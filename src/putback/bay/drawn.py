"""One idea: two small drawings in the family of the valley: fasteners with their twins, and a joint's order.

Plain SVG in the ink and paper of the page. Numbers only, so nothing in it can be anything
but a drawing.
"""

from collections.abc import Sequence
from html import escape

from putback.core.fasten.places import said_order

_WIDE, MOST_DOTS = 340, 14
"""Width of the drawing; how many dots a block shows at most, so that two blocks and their line fit."""

_EDGE, _REACH = 22.0, 100.0

VALLEY = (
    '<svg viewBox="0 0 96 36" stroke-width="4"><path stroke-width="1" d="M3 3 38 33H58L93 3"/>'
    '<path d="M3 3 38 33" pathLength="{ways}" stroke-dasharray="{off} 9999"/>'
    '<path d="M58 33 93 3" pathLength="{ways}" stroke-dasharray="{back} 9999"/></svg>'
)
"""The valley in small: the way in goes down on the left as it is done, the way back up on the right."""


def twins_svg(count: int, *, going_in: bool) -> str:
    """A block with a dot for each fastener, and its twin on the other side: filled is done, dashed is owed.

    Args:
        count: fasteners; more than fit are drawn as many as fit.
        going_in: on the way in both are still to do; on the way back the left one is done.
    """
    dots = min(count, MOST_DOTS)
    wide = 18 + 8 * dots
    line = f'<path stroke-dasharray="2 5" d="M{wide + 4} 10H{_WIDE - wide - 4}"/>'
    left = _block(1, wide, dots, full=not going_in)
    right = _block(_WIDE - wide - 1, wide, dots, full=False)
    return (
        f'<svg class="twins" viewBox="0 0 {_WIDE} 20" stroke-width="1.5" aria-hidden="true">{line}{left}{right}</svg>'
    )


def pictures() -> dict[str, str]:
    """The drawings of all counts, on the way in and on the way back, by the words that acts name them with."""
    ways = {"in": True, "back": False}
    return {
        f"{way} {count}": twins_svg(count, going_in=going_in)
        for way, going_in in ways.items()
        for count in range(1, MOST_DOTS + 1)
    }


def _block(x: int, wide: int, dots: int, *, full: bool) -> str:
    holes = "".join(f'<circle cx="{x + 13 + 8 * at}" cy="10" r="2"/>' for at in range(dots))
    block = f'<rect x="{x}" y="1" width="{wide}" height="18" rx="2"{_INK if full else ""}/>'
    return f"{block}<g{_PAPER if full else _INK}>{holes}</g>"


_INK, _PAPER = ' fill="currentColor" stroke="none"', ' fill="var(--paper)"'


def order_svg(points: Sequence[Sequence[float]], *, ring: bool) -> str:
    """A joint's fasteners numbered in the order of tightening, joined in that order.

    Args:
        points: where they sit, in the order of tightening, [mm], y upwards.
        ring: the positions are not the car file's; the drawing says so.
    """
    left, top = min(x for x, _ in points), max(y for _, y in points)
    across = max(max(x for x, _ in points) - left, top - min(y for _, y in points), 1.0)
    scale = _REACH / across
    places = [(_EDGE + (x - left) * scale, _EDGE + (top - y) * scale) for x, y in points]
    wide, high = (max(place[axis] for place in places) + _EDGE for axis in (0, 1))
    way = "L".join(f"{x:.1f} {y:.1f}" for x, y in places)
    holes = "".join(
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="14"{_PAPER}/><text x="{x:.1f}" y="{y + 5:.1f}"{_INK}>{at}</text>'
        for at, (x, y) in enumerate(places, start=1)
    )
    view = f'viewBox="0 0 {wide:.0f} {high:.0f}" height="200" text-anchor="middle" stroke-width="1.5"'
    said = "" if ring else f": {said_order([(x, y) for x, y in points])}"
    label = escape(f"order of tightening{said}")
    drawing = f'<svg class="order" {view} role="img" aria-label="{label}">'
    note = "<figcaption>The order, not the places: the car file gives none.</figcaption>" if ring else ""
    return f'{drawing}<path stroke-width="1" d="M{way}"/>{holes}</svg>{note}'
