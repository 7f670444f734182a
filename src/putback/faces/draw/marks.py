"""One idea: what was done to an item is told by the shape of its mark, and its fasteners are counted on it.

A mark is a plate; its inner end says the action. Dots are threaded fasteners, short strokes are clips and clamps.
Filled means done, outlined means owed. Every mark is drawn around the height y and reads in black and white.
"""

from dataclasses import dataclass

from putback.faces.draw.ink import at, box, dot, number, path
from putback.faces.draw.levels import Level, Shape

HIGH = 11.0
MOST_DOTS = 16
"""Beyond this many the number beside the mark tells the count, not the dots."""
_PITCH = 4.6
_HALF = HIGH / 2
_END = {Shape.OFF: 0.0, Shape.UNPLUGGED: 5.0, Shape.PARTED: 7.0, Shape.ASIDE: 7.5, Shape.FOLDED: 6.0}
_LONE = {Shape.SAFE: 17.0, Shape.DRAINED: 11.0, Shape.GUARDED: 13.0, Shape.READ: 11.0, Shape.OTHER: 12.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """How a mark is drawn: `way` +1 where the inner end points right (way in), -1 where it points left."""

    filled: bool
    way: int

    @property
    def body(self) -> str:
        """Classes of the mark itself."""
        return "fill-ink line-ink" if self.filled else "fill-paper line-ink"

    @property
    def inset(self) -> str:
        """Class of what lies on the mark."""
        return "fill-paper" if self.filled else "fill-ink"

    @property
    def inset_line(self) -> str:
        """Class of strokes on the mark."""
        return "line line-paper" if self.filled else "line line-ink"


def mark_width(level: Level) -> float:
    """How wide the mark of a level is."""
    if level.shape in _LONE:
        return _LONE[level.shape]
    return _plate_width(level) + _END[level.shape]


def mark(level: Level, inner: float, y: float, pen: Pen) -> str:
    """The mark of a level, its inner edge at x = `inner`, its middle at y."""
    if level.shape in _LONE:
        return _lone(level.shape, inner - pen.way * _LONE[level.shape] / 2, y, pen)
    wide = _plate_width(level)
    end = _END[level.shape]
    edge = inner - pen.way * end
    parts = [
        _plate(level.shape, edge, wide, y, pen),
        _end(level.shape, edge, y, pen),
        _dots(level, edge, wide, y, pen),
    ]
    if level.target:
        left = min(inner, inner - pen.way * (wide + end))
        parts.append(
            box(left - 2.5, y - _HALF - 2.5, wide + end + 5, HIGH + 5, tone="line line-accent", thick=1.2, round_=2)
        )
    return "".join(parts)


def cap(x: float, y: float, *, filled: bool) -> str:
    """A small guard: an arch over a port, its middle at (x, y)."""
    steps = f"M{number(x - 3.5)} {number(y + 3.5)}v-3a3.5 3.5 0 0 1 7 0v3z"
    return path(steps, tone=Pen(filled=filled, way=1).body, thick=1)


def diamond(x: float, y: float, *, radius: float = 4.2, tone: str = "fill-paper line-ink") -> str:
    """Something new: a diamond around (x, y)."""
    r = number(radius)
    return path(f"M{number(x - radius)} {number(y)}l{r} -{r}l{r} {r}l-{r} {r}z", tone=tone, thick=1.1)


def eye(x: float, y: float, *, tone: str = "ink") -> str:
    """A last look: an eye, 11 wide, its middle at (x, y)."""
    lens = f"M{number(x - 5.5)} {number(y)}q5.5 -6.4 11 0q-5.5 6.4 -11 0z"
    return path(lens, tone=f"line line-{tone}", thick=1.1) + dot(x, y, 1.7, tone=f"fill-{tone}")


def question(x: float, y: float) -> str:
    """A value that no source gives: an empty square with a stroke under it, its middle at (x, y)."""
    square = box(x - 4, y - 4, 8, 8, tone="fill-paper line-accent", thick=1.2)
    return square + path(f"M{number(x - 2)} {number(y + 2)}h4", tone="line line-accent", thick=1.2)


def _plate_width(level: Level) -> float:
    return max(14.0, 8.0 + _PITCH * min(level.fasteners, MOST_DOTS))


def _plate(shape: Shape, edge: float, wide: float, y: float, pen: Pen) -> str:
    left = min(edge, edge - pen.way * wide)
    if shape is not Shape.ASIDE:
        return box(left, y - _HALF, wide, HIGH, tone=pen.body, thick=1.1, round_=1.5)
    lean = 4
    side = number(wide - lean)
    steps = f"M{at(left + lean, y - _HALF)}h{side}l-{lean} {number(HIGH)}h-{side}z"
    return path(steps, tone=pen.body, thick=1.1)


def _end(shape: Shape, edge: float, y: float, pen: Pen) -> str:
    """What the inner end says: prongs, a gap, a hinge, a fold."""
    x, way = number(edge), pen.way
    if shape is Shape.UNPLUGGED:
        prongs = f"M{x} {number(y - 2.5)}h{5 * way}M{x} {number(y + 2.5)}h{5 * way}"
        return path(prongs, tone="line line-ink", thick=1.6)
    if shape is Shape.PARTED:
        left = edge + 3 if way > 0 else edge - 7
        return box(left, y - _HALF, 4, HIGH, tone=pen.body, thick=1.1, round_=1)
    if shape is Shape.ASIDE:
        return dot(edge + way * 4.3, y, 2.6, tone="fill-paper line-ink", thick=1.2)
    if shape is Shape.FOLDED:
        flap = f"M{at(edge + way * 1.5, y - _HALF)}l{at(4.5 * way, _HALF)}l{at(-4.5 * way, _HALF)}z"
        return path(flap, tone="fill-paper line-ink", thick=1.1)
    return ""


def _dots(level: Level, edge: float, wide: float, y: float, pen: Pen) -> str:
    """The fasteners, threaded ones first, from the outer end."""
    shown = min(level.fasteners, MOST_DOTS)
    left = min(edge, edge - pen.way * wide)
    start = left + (wide - _PITCH * (shown - 1)) / 2
    threaded = min(level.threaded, shown)
    parts = []
    for place in range(shown):
        x = start + _PITCH * place
        if place < threaded:
            parts.append(dot(x, y, 1.5, tone=pen.inset))
        else:
            parts.append(path(f"M{number(x)} {number(y - 2.6)}v5.2", tone=pen.inset_line, thick=1.2))
    return "".join(parts)


def _lone(shape: Shape, x: float, y: float, pen: Pen) -> str:
    """Marks that are no plates, their middle at (x, y)."""
    if shape is Shape.SAFE:
        outline = f"M{number(x - 8)} {number(y)}l4 -6h8l4 6l-4 6h-8z"
        hole = dot(x, y - 1.4, 1.7, tone=pen.inset) + path(f"M{at(x, y)}v3.6", tone=pen.inset_line, thick=1.4)
        return path(outline, tone=pen.body, thick=1.1) + hole
    if shape is Shape.DRAINED:
        drop = f"M{number(x)} {number(y - 7)}c1.2 3 4.6 4.8 4.6 8.2a4.6 4.6 0 0 1 -9.2 0c0 -3.4 3.4 -5.2 4.6 -8.2z"
        return path(drop, tone=pen.body, thick=1.1)
    if shape is Shape.GUARDED:
        arch = f"M{number(x - 6)} {number(y + 5)}v-4.5a6 6 0 0 1 12 0v4.5z"
        return path(arch, tone=pen.body, thick=1.1)
    page = box(x - 5, y - 6, 10, 12, tone=pen.body, thick=1.1, round_=1)
    if shape is Shape.READ:
        strokes = "".join(f"M{at(x - 2.5, y + step)}h5" for step in (-2.5, 0, 2.5))
        return page + path(strokes, tone=pen.inset_line, thick=1)
    return dot(x, y, 5, tone=pen.body, thick=1.1)
