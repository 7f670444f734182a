"""The valley: the way in, the work, the way back, twins on one level."""

from putback.faces.draw.valley.narrow import narrow_sheet
from putback.faces.draw.valley.wide import wide_sheet
from putback.plan.plan import Plan

__all__ = ["valley_svg"]


def valley_svg(
    plan: Plan,
    *,
    narrow: bool = False,
    done: frozenset[int] | None = None,
    inside: tuple[float, float] | None = None,
    titled: bool = True,
) -> str:
    """The picture of a plan: down the left slope, through the work, up the right slope, a line between twins.

    Args:
        plan: the plan.
        narrow: for a phone held upright (390 units wide) instead of a desk or a sheet of A4 (1160 units).
        done: numbers of the operations done, in a job that is under way; None: all twins are owed.
        inside: upper left corner in a bigger sheet; None: a file of its own.
        titled: with the job, the car and the figures above it; False where a page has said them already.
    """
    draw = narrow_sheet if narrow else wide_sheet
    return draw(plan, done, inside=inside, titled=titled)
