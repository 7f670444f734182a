"""One idea: one file for both pictures, the valley above, what is in the way of what below it."""

import re

from putback.faces.draw.in_the_way import in_the_way_svg
from putback.faces.draw.ink import sheet
from putback.faces.draw.valley import valley_svg
from putback.faces.draw.valley.words import heading
from putback.plan.plan import Plan

_SIZE = re.compile(r' width="([0-9.]+)" height="([0-9.]+)"')


def plan_svg(plan: Plan) -> str:
    """Both pictures of a plan as one SVG file."""
    valley = valley_svg(plan, inside=(0, 0))
    wide, high = _size(valley)
    below = in_the_way_svg(plan, inside=(0, high))
    below_wide, below_high = _size(below)
    return sheet(
        [valley, below],
        wide=max(wide, below_wide),
        high=high + below_high,
        title=heading(plan).title,
        says="Above, the way in, the work and the way back; below, what is in the way of what.",
    )


def _size(svg: str) -> tuple[float, float]:
    """Width and height of a picture that `sheet` has made."""
    match = _SIZE.search(svg)
    assert match is not None, "every sheet states its size"
    return float(match[1]), float(match[2])
