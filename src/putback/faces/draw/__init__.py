"""The two pictures of a plan, as SVG."""

from putback.faces.draw.in_the_way import in_the_way_svg
from putback.faces.draw.sheet import plan_svg
from putback.faces.draw.valley import valley_svg

__all__ = ["in_the_way_svg", "plan_svg", "valley_svg"]
