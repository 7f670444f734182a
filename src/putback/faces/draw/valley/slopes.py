"""One idea: the two slopes are straight lines that leave room for every word beside, and between, them."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """What one level asks for, in user units: outside the left slope, outside the right slope, between them."""

    y: float
    left: float
    right: float
    between: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Slopes:
    """The inner edges of the marks: from (`left`, `right`) at the rim y to the floor's ends at the floor y."""

    rim_y: float
    floor_y: float
    left: float
    right: float
    floor_left: float
    floor_right: float

    def share(self, y: float) -> float:
        """How far down y is: 0 at the rim, 1 at the last level and below it, where the walls are upright."""
        return min((y - self.rim_y) / (self.floor_y - self.rim_y), 1.0) if self.floor_y > self.rim_y else 1.0

    @property
    def lean(self) -> float:
        """How far the left slope moves inward for each unit down."""
        high = self.floor_y - self.rim_y
        return max(self.floor_left - self.left, self.right - self.floor_right, 0.0) / high if high > 0 else 0.0

    def left_at(self, y: float) -> float:
        """x of the left slope at a height."""
        return self.left + (self.floor_left - self.left) * self.share(y)

    def right_at(self, y: float) -> float:
        """x of the right slope at a height."""
        return self.right + (self.floor_right - self.right) * self.share(y)


def slopes(rooms: Sequence[Room], *, wide: float, margin: float, floor: float, steepest: float) -> Slopes:
    """Slopes as wide apart at the rim, and as steep, as the words allow.

    Args:
        rooms: what each level asks for, from the rim down; at least one.
        wide: width of the sheet.
        margin: free at both edges.
        floor: least width of the valley's floor.
        steepest: most that a slope may move inward from one level to the next.
    """
    rim, bottom = rooms[0].y, rooms[-1].y
    middle = wide / 2
    left, right = margin, wide - margin
    span = floor
    for _ in range(4):
        shares = [(room.y - rim) / (bottom - rim) if bottom > rim else 1.0 for room in rooms]
        floor_left = max(middle - span / 2, margin + rooms[-1].left)
        floor_right = min(middle + span / 2, wide - margin - rooms[-1].right)
        left = max(
            margin + rooms[0].left,
            *((margin + room.left - floor_left * s) / (1 - s) for room, s in zip(rooms, shares, strict=True) if s < 1),
            0.0,
        )
        right = min(
            wide - margin - rooms[0].right,
            *(
                (wide - margin - room.right - floor_right * s) / (1 - s)
                for room, s in zip(rooms, shares, strict=True)
                if s < 1
            ),
            wide,
        )
        rim_span = right - left
        asked = [(room.between - rim_span * (1 - s)) / s for room, s in zip(rooms, shares, strict=True) if s > 0]
        span = max(floor, *asked, rim_span - 2 * steepest * len(rooms), 0.0)
        middle = (left + right) / 2
    return Slopes(
        rim_y=rim,
        floor_y=bottom,
        left=left,
        right=right,
        floor_left=middle - span / 2,
        floor_right=middle + span / 2,
    )
