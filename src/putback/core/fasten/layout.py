"""One idea: the order in which the fasteners of a joint are tightened follows from where they sit, or is the maker's.

The order follows from the positions alone, so a drawing and a hand agree. Where nobody gives positions there is no
order of places, only a count on a ring. The maker's own sequence, where there is one, wins over all of this.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, hypot, pi, sin
from typing import TypeAlias

from putback.core.fasten.answer import Formula, NotComputable, Row

Point: TypeAlias = tuple[float, float]

STAR, CROSS, SPIRAL, LINE = "star", "cross", "spiral", "line"

PRACTICE = "common practice, no source"
MAKER = "the maker's own sequence"
MAKER_WINS = "the maker's own sequence wins over this one"

_SAME_MM, _SAME_RAD = 1e-6, 1e-6
_LEAST = 3
"""From how many fasteners on there is an order to speak of."""


def tightening_order(points: Sequence[Point], pattern: str | None) -> tuple[int, ...]:
    """The places of the points in the order of tightening, counted from 0.

    Args:
        points: where each fastener sits, [mm], y upwards.
        pattern: star or cross (opposite pairs), spiral (from the middle outwards, round and round), line (from the
            middle outwards, side by side); anything else: as numbered.

    Valid for: star and cross on a ring, spaced about evenly; fasteners on one line are always done as a line.
    Source: common practice, no source; star as `star_order`.

    >>> tightening_order([(0, 0), (80, 0), (80, 60), (0, 60)], "cross")
    (0, 2, 1, 3)
    """
    if len(points) < _LEAST or pattern not in (STAR, CROSS, SPIRAL, LINE):
        return tuple(range(len(points)))
    if pattern == SPIRAL:
        return _spiral(points)
    if pattern == LINE or on_a_line(points):
        return _line(points)
    return _star(points)


def star_order(count: int) -> tuple[int, ...]:
    """The star on a ring of fasteners numbered round it from 1.

    Opposite ones follow each other, and the pairs themselves are taken in star order, so that the clamp spreads by
    halves. An odd ring has no opposites: there each next one is as far away as it can be.

    Args:
        count: fasteners on the ring, at least 1.

    Source: ASME PCC-1 legacy cross pattern (from memory); 8 bolts at henniggasket.com, "how to bolt flanges".

    >>> star_order(8)
    (1, 5, 3, 7, 2, 6, 4, 8)
    >>> star_order(5)
    (1, 3, 5, 2, 4)
    """
    if count < 1:
        raise NotComputable(f"a ring of {count} fasteners has no order", "count the fasteners")
    if count % 2:
        return tuple(at * (count // 2) % count + 1 for at in range(count))
    half = count // 2
    return tuple(place for one in star_order(half) for place in (one, one + half))


def on_a_line(points: Sequence[Point]) -> bool:
    """Whether all points lie on one straight line, within a thousandth of its length."""
    first = points[0]
    far = max(points, key=lambda point: hypot(point[0] - first[0], point[1] - first[1]))
    along = far[0] - first[0], far[1] - first[1]
    square = along[0] ** 2 + along[1] ** 2
    return all(abs(along[0] * (y - first[1]) - along[1] * (x - first[0])) <= square / 1000 for x, y in points)


def on_a_circle(points: Sequence[Point]) -> bool:
    """Whether all points are equally far from their middle, within a hundredth; a square is a circle too."""
    middle = _middle(points)
    away = [_away(point, middle) for point in points]
    return max(away) - min(away) <= max(away) / 100


def usual_pattern(points: Sequence[Point]) -> str:
    """The pattern that is usual for a layout: line, star on a circle, spiral on anything else.

    Source: common practice, no source. It never stands in for the maker's.

    >>> usual_pattern(circle(count=6, diameter_mm=100)), usual_pattern([(0, 0), (50, 0), (100, 0)])
    ('star', 'line')
    """
    if len(points) < _LEAST or on_a_line(points):
        return LINE
    return STAR if on_a_circle(points) else SPIRAL


def circle(*, count: int, diameter_mm: float) -> tuple[Point, ...]:
    """A bolt circle, numbered clockwise from the top, [mm], middle at 0, 0.

    >>> circle(count=4, diameter_mm=80)[1]
    (40.0, 0.0)
    """
    _refuse_layout(count, 1, diameter_mm=diameter_mm)
    turns = [2 * pi * at / count for at in range(count)]
    return tuple((_tidy(diameter_mm / 2 * sin(turn)), _tidy(diameter_mm / 2 * cos(turn))) for turn in turns)


def rectangle(*, along: int, across: int, length_mm: float, width_mm: float) -> tuple[Point, ...]:
    """The edge of a plate, numbered clockwise from its upper left corner, [mm], middle at 0, 0.

    Args:
        along: fasteners on each long side, both corners counted, at least 2.
        across: fasteners on each short side, both corners counted, at least 2.
        length_mm: between the corner fasteners, along.
        width_mm: between the corner fasteners, across.

    >>> rectangle(along=3, across=2, length_mm=80, width_mm=40)[:4]
    ((-40.0, 20.0), (0.0, 20.0), (40.0, 20.0), (40.0, -20.0))
    """
    _refuse_layout(min(along, across), 2, length_mm=length_mm, width_mm=width_mm)
    right, top = length_mm / 2, width_mm / 2
    over = [(_tidy(-right + length_mm * at / (along - 1)), top) for at in range(along - 1)]
    down = [(right, _tidy(top - width_mm * at / (across - 1))) for at in range(across - 1)]
    return (*over, *down, *((-x, -y) for x, y in over), *((-x, -y) for x, y in down))


def line(*, count: int, length_mm: float) -> tuple[Point, ...]:
    """A straight row, numbered from the left, [mm], middle at 0, 0.

    >>> line(count=3, length_mm=100)
    ((-50.0, 0.0), (0.0, 0.0), (50.0, 0.0))
    """
    _refuse_layout(count, 2, length_mm=length_mm)
    return tuple((_tidy(-length_mm / 2 + length_mm * at / (count - 1)), 0.0) for at in range(count))


@dataclass(frozen=True, slots=True, kw_only=True)
class TighteningOrder:
    """Where fasteners sit, [mm], y upwards, and in which order they are tightened, as places in `points` from 0."""

    points: tuple[Point, ...]
    order: tuple[int, ...]
    pattern: str
    source: str
    warnings: tuple[str, ...] = ()

    @property
    def loosening(self) -> tuple[int, ...]:
        """The order of loosening: the same in reverse."""
        return self.order[::-1]

    @property
    def text(self) -> str:
        """The order in the numbers of the points, from 1, such as 1-3-2-4."""
        return "-".join(str(at + 1) for at in self.order)


def order_for(
    points: Sequence[Point], *, pattern: str | None = None, makers: Sequence[int] | None = None
) -> TighteningOrder:
    """The order for a layout: the maker's sequence where there is one, else the pattern named, else the usual one.

    Args:
        points: where each fastener sits, [mm], y upwards.
        pattern: star, cross, spiral, line; None: what is usual for the layout.
        makers: the maker's own sequence, in the numbers of the points from 1.

    Raises:
        NotComputable: no points, two in one place, an unknown pattern, or a sequence that misses or repeats one.

    >>> order_for(circle(count=4, diameter_mm=80)).text
    '1-3-2-4'
    >>> order_for(circle(count=4, diameter_mm=80), makers=[4, 2, 1, 3]).source
    "the maker's own sequence"
    """
    _refuse_points(points)
    if makers is not None:
        if sorted(makers) != list(range(1, len(points) + 1)):
            raise NotComputable(
                f"the maker's sequence does not name each of the {len(points)} fasteners once",
                "compare it with the maker's picture",
            )
        order = tuple(one - 1 for one in makers)
        return TighteningOrder(points=tuple(points), order=order, pattern="maker's", source=MAKER)
    if pattern not in (None, STAR, CROSS, SPIRAL, LINE):
        raise NotComputable(f"{pattern!r} is no pattern", f"use one of {STAR}, {CROSS}, {SPIRAL}, {LINE}")
    named = pattern or usual_pattern(points)
    return TighteningOrder(
        points=tuple(points),
        order=tightening_order(points, named),
        pattern=named,
        source=PRACTICE,
        warnings=(MAKER_WINS, *_odd_for(points, named)),
    )


def _odd_for(points: Sequence[Point], pattern: str) -> tuple[str, ...]:
    """What to beware of where a star is asked for on something that is no ring, or a ring is asked no star."""
    ring, opposite = on_a_circle(points), pattern in (STAR, CROSS)
    if len(points) < _LEAST or ring == opposite:
        return ()
    if ring:
        return (f"on a ring a {STAR} is usual: a {pattern} may draw one side down first",)
    if on_a_line(points):
        return ("a row has no star: it is done from the middle outwards",)
    return ("these fasteners are no even ring: opposite means opposite in their order round the middle",)


def _refuse_points(points: Sequence[Point]) -> None:
    if not points:
        raise NotComputable("there are no fasteners", "give where each one sits")
    tidy = [(round(x, 3), round(y, 3)) for x, y in points]
    twice = sorted({at + 1 for at, point in enumerate(tidy) if tidy.count(point) > 1})
    if twice:
        raise NotComputable(f"fasteners {', '.join(map(str, twice))} sit in one place", "correct their positions")


def _refuse_layout(count: int, least: int, **lengths_mm: float) -> None:
    if count < least:
        raise NotComputable(f"{count} fasteners are too few", f"give at least {least}")
    for name, length in lengths_mm.items():
        if not length > 0:
            raise NotComputable(f"{name} of {length:g} mm is no length", "give it above 0")


def _tidy(length_mm: float) -> float:
    """A length without the last digits' noise, so that equal distances are equal."""
    return round(length_mm, 9) + 0.0


def _middle(points: Sequence[Point]) -> Point:
    return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)


def _away(point: Point, middle: Point) -> float:
    return hypot(point[0] - middle[0], point[1] - middle[1])


def _clockwise(point: Point, middle: Point) -> float:
    """How far round a point lies, clockwise from the top, [rad], 0 to 2 pi."""
    return atan2(point[0] - middle[0], point[1] - middle[1]) % (2 * pi)


def _star(points: Sequence[Point]) -> tuple[int, ...]:
    """A fastener in the middle first, then the ring round it, the way round that the numbers go."""
    middle = _middle(points)
    reach = max(_away(point, middle) for point in points)
    inner = [at for at, point in enumerate(points) if _away(point, middle) <= reach / 100]
    ring = [at for at in range(len(points)) if at not in inner]
    ring.sort(key=lambda at: (round(_clockwise(points[at], middle), 9), at))
    first = ring.index(min(ring))
    ring = ring[first:] + ring[:first]
    if len(ring) > 1 and ring.index(sorted(ring)[1]) > len(ring) / 2:
        ring = [ring[0], *ring[:0:-1]]
    return (*inner, *(ring[one - 1] for one in star_order(len(ring))))


def _spiral(points: Sequence[Point]) -> tuple[int, ...]:
    """From the middle outwards, never nearer again; those equally far are walked round, clockwise."""
    middle = _middle(points)
    left = sorted(range(len(points)), key=lambda at: (_away(points[at], middle), at))
    order: list[int] = []
    turn = 0.0
    while left:
        far = _away(points[left[0]], middle) + _SAME_MM
        equal = [at for at in left if _away(points[at], middle) <= far]
        left = left[len(equal) :]
        turns = {at: _clockwise(points[at], middle) for at in equal}
        since = turn if order else turns[min(equal)] - 2 * _SAME_RAD
        equal.sort(key=lambda at: (_onward(turns[at], since), at))
        order += equal
        turn = turns[equal[-1]]
    return tuple(order)


def _onward(turn: float, since: float) -> float:
    """How far on a turn lies from another, clockwise, [rad]; the same turn is a whole round on."""
    return round((turn - since - _SAME_RAD) % (2 * pi), 9)


def _line(points: Sequence[Point]) -> tuple[int, ...]:
    """From the middle of the row outwards, one side and the other in turn."""
    first = points[0]
    end = max(points, key=lambda point: _away(point, first))
    row = sorted(
        range(len(points)),
        key=lambda at: sum((points[at][axis] - first[axis]) * (end[axis] - first[axis]) for axis in (0, 1)),
    )
    half = (len(row) - 1) // 2
    inward, outward = row[half::-1], row[half + 1 :]
    return tuple(at for pair in zip(inward, [*outward, None], strict=False) for at in pair if at is not None)


FORMULAS: tuple[Formula, ...] = ()


def _ring_row(count: int, *, source: str, seen: str) -> Row:
    return Row(
        about=f"star sequence, {count} bolts (numbered clockwise)",
        keys={"n": str(count)},
        value="-".join(map(str, star_order(count))),
        unit="order",
        source=source,
        seen=seen,
        note=f"any turned or mirrored sequence does the same; {MAKER_WINS}",
    )


_LEGACY = "ASME PCC-1 legacy cross pattern"
_HALVES = "opposite pairs, then halves, as the 8 bolts at henniggasket.com"

TABLES: tuple[Row, ...] = (
    _ring_row(4, source=_LEGACY, seen="from memory"),
    _ring_row(8, source="henniggasket.com how-to-bolt-flanges (12-6-3-9-1:30-7:30, then repeat halves)", seen="seen"),
    _ring_row(12, source=_LEGACY, seen="from memory"),
    _ring_row(16, source=_LEGACY, seen="from memory"),
    *(_ring_row(count, source=_HALVES, seen="computed") for count in (6, 10, 20, 24)),
    _ring_row(5, source="five-pointed star of wheel nuts", seen=PRACTICE),
    Row(
        about="rectangular plate (sump/cover) order",
        keys={"shape": "plate"},
        value="centre-outward spiral",
        unit="order",
        source="maker practice",
        seen="from memory",
        note=f"loosening in reverse; {MAKER_WINS}",
    ),
    Row(
        about="straight row order",
        keys={"shape": "line"},
        value="from the middle outwards, side by side",
        unit="order",
        source=PRACTICE,
        seen=PRACTICE,
        note=f"loosening in reverse; {MAKER_WINS}",
    ),
)
