"""What is in the way of what: layers from the outside of the car to the targets."""

from putback.faces.draw.in_the_way.picture import in_the_way_svg

__all__ = ["in_the_way_svg"]
