"""Orders of tightening against the printed sequences of `printed/pattern.csv`, and by what each pattern must do.

A ring may be turned or mirrored: the printed sequence and ours are then the same. The rules of the patterns are common
practice, no source, unless a row names one.
"""

from collections.abc import Callable
from itertools import pairwise
from math import cos, dist, hypot, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import looked_up
from core.fasten.rows import PrintedRow
from putback.core.fasten import layout
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.layout import (
    circle,
    line,
    order_for,
    rectangle,
    star_order,
    tightening_order,
    usual_pattern,
)

SEQUENCES = [row for row in looked_up("pattern") if "n" in row.inputs]
PLATE = [row for row in looked_up("pattern") if "shape" in row.inputs]

COORDINATES = st.integers(-500, 500).map(float)
LAYOUTS = st.lists(st.tuples(COORDINATES, COORDINATES), min_size=3, max_size=30, unique=True)


def ring(count: int, *, radius_mm: float = 50.0) -> list[tuple[float, float]]:
    return [(radius_mm * cos(2 * pi * at / count), radius_mm * sin(2 * pi * at / count)) for at in range(count)]


def same_turned_or_mirrored(one: list[int], other: list[int]) -> bool:
    """Whether one sequence on a ring is the other, with the ring turned or mirrored; both from 0."""
    count = len(one)
    turned = ([(way * at + by) % count for at in one] for way in (1, -1) for by in range(count))
    return any(other == moved for moved in turned)


def away(points: list[tuple[float, float]] | tuple[tuple[float, float], ...]) -> list[float]:
    middle = sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)
    return [hypot(x - middle[0], y - middle[1]) for x, y in points]


@pytest.mark.parametrize("row", SEQUENCES, ids=lambda row: row.id)
@pytest.mark.parametrize("pattern", ["star", "cross"])
@pytest.mark.parametrize("lay", [ring, lambda count: list(circle(count=count, diameter_mm=90.0))])
def test_a_ring_is_done_in_the_printed_sequence(
    row: PrintedRow, pattern: str, lay: Callable[[int], list[tuple[float, float]]]
) -> None:
    printed = [int(one) - 1 for one in row.expected.split("-")]
    order = tightening_order(lay(int(row.inputs["n"])), pattern)
    assert same_turned_or_mirrored(list(order), printed), f"{order}, {row.source}"


def test_the_printed_sequences_are_there() -> None:
    assert {row.inputs["n"] for row in SEQUENCES} == {"4", "8", "12", "16"}


def test_another_sequence_is_not_taken_for_the_printed_one() -> None:
    """What was printed for 8 is not met by going round, nor by 1-5-2-6."""
    printed = [0, 4, 2, 6, 1, 5, 3, 7]
    assert not same_turned_or_mirrored(list(range(8)), printed)
    assert not same_turned_or_mirrored([0, 4, 1, 5, 2, 6, 3, 7], printed)


@pytest.mark.parametrize("count", range(4, 41, 2))
def test_on_an_even_ring_each_second_one_lies_opposite_the_one_before(count: int) -> None:
    """The rows' own property: each odd step opposite the one before."""
    order = star_order(count)
    assert all((b - a) % count == count // 2 for a, b in zip(order[::2], order[1::2], strict=True))


@pytest.mark.parametrize("count", range(5, 40))
def test_the_next_one_is_never_a_neighbour(count: int) -> None:
    order = star_order(count)
    assert all((b - a) % count not in (1, count - 1) for a, b in pairwise(order))


@pytest.mark.parametrize("count", [8, 12, 16, 20, 24, 32])
def test_after_a_quarter_of_the_steps_of_a_star_every_half_is_clamped(count: int) -> None:
    """The first four lie a quarter of the ring apart (12-6-3-9 o'clock, henniggasket.com)."""
    quarters = sorted(one - 1 for one in star_order(count)[:4])
    assert quarters == [0, count // 4, count // 2, 3 * count // 4]


def test_five_wheel_nuts_make_a_star() -> None:
    """Each next nut two places on or back: the five-pointed star of common practice."""
    order = tightening_order(ring(5), "star")
    assert {(b - a) % 5 for a, b in pairwise(order)} <= {2, 3}


@pytest.mark.parametrize("count", [-1, 0])
def test_a_ring_of_none_is_refused(count: int) -> None:
    with pytest.raises(NotComputable):
        star_order(count)


@given(points=LAYOUTS, pattern=st.sampled_from(["star", "cross", "spiral", "line", "equal-passes", None]))
def test_every_fastener_comes_once(points: list[tuple[float, float]], pattern: str | None) -> None:
    assert sorted(tightening_order(points, pattern)) == list(range(len(points)))


@given(points=LAYOUTS)
def test_a_spiral_never_comes_nearer_to_the_middle_again(points: list[tuple[float, float]]) -> None:
    """PA-012."""
    assert [row.id for row in PLATE] == ["PA-012"]
    far = away(points)
    assert all(far[a] <= far[b] + 1e-5 for a, b in pairwise(tightening_order(points, "spiral")))


@pytest.mark.parametrize("count", range(3, 25))
def test_a_spiral_goes_round_those_equally_far_and_not_across(count: int) -> None:
    points = circle(count=count, diameter_mm=100.0)
    order = tightening_order(points, "spiral")
    step = dist(points[0], points[1])
    assert all(dist(points[a], points[b]) == pytest.approx(step) for a, b in pairwise(order))
    assert order[0] == 0


def test_a_plate_is_done_from_the_middle_round_and_round() -> None:
    """Five along, two across: the middle pair, then the four beside it, then the corners, each time round it."""
    points = rectangle(along=5, across=2, length_mm=200.0, width_mm=60.0)
    order = tightening_order(points, "spiral")
    far = [abs(points[at][0]) for at in order]
    assert far == [0, 0, 50, 50, 50, 50, 100, 100, 100, 100]
    for four in (order[2:6], order[6:]):
        sides = [(points[at][0] > 0, points[at][1] > 0) for at in four]
        assert all(sum(a != b for a, b in zip(one, two, strict=True)) == 1 for one, two in pairwise(sides))


@pytest.mark.parametrize("count", range(3, 20))
@pytest.mark.parametrize("pattern", ["line", "star", "cross"])
def test_a_row_is_done_from_its_middle_outwards_side_by_side(count: int, pattern: str) -> None:
    """A star makes no sense on a row, so a row stays a row."""
    points = line(count=count, length_mm=300.0)
    order = tightening_order(points, pattern)
    far = away(points)
    assert all(far[a] <= far[b] + 1e-6 for a, b in pairwise(order))
    sides = [points[at][0] > 0 for at in order if abs(points[at][0]) > 1e-6]
    assert all(a != b for a, b in pairwise(sides))


@pytest.mark.parametrize("pattern", ["spiral", "line"])
def test_a_row_of_five_in_numbers(pattern: str) -> None:
    order = tightening_order([(x, 0.0) for x in (0.0, 25.0, 50.0, 75.0, 100.0)], pattern)
    assert order[0] == 2
    assert {order[1], order[2]} == {1, 3}
    assert {order[3], order[4]} == {0, 4}


def test_a_row_with_uneven_gaps_still_changes_sides() -> None:
    assert tightening_order([(0, 0), (10, 0), (20, 0), (90, 0), (100, 0)], "line") == (2, 3, 1, 4, 0)


def test_a_fastener_in_the_middle_of_a_ring_comes_first() -> None:
    order = tightening_order([*ring(6), (0.0, 0.0)], "star")
    assert order[0] == 6
    assert same_turned_or_mirrored(list(order[1:]), [0, 3, 1, 4, 2, 5])


@pytest.mark.parametrize("pattern", ["as-numbered", "equal-passes", None])
def test_as_numbered_is_as_in_the_file(pattern: str | None) -> None:
    assert tightening_order(ring(6), pattern) == (0, 1, 2, 3, 4, 5)


@given(points=LAYOUTS)
def test_loosening_is_the_reverse(points: list[tuple[float, float]]) -> None:
    told = order_for(points)
    assert list(told.loosening) == list(reversed(told.order))


def test_the_makers_sequence_wins() -> None:
    told = order_for(circle(count=4, diameter_mm=80.0), pattern="star", makers=[2, 4, 3, 1])
    assert told.order == (1, 3, 2, 0)
    assert told.source == layout.MAKER
    assert not told.warnings


@pytest.mark.parametrize("makers", [[1, 2, 3], [1, 2, 3, 3], [0, 1, 2, 3], [1, 2, 3, 5], []])
def test_a_sequence_of_the_maker_that_does_not_fit_is_refused(makers: list[int]) -> None:
    with pytest.raises(NotComputable, match="each of the 4"):
        order_for(circle(count=4, diameter_mm=80.0), makers=makers)


def test_what_is_no_makers_sequence_is_named_common_practice() -> None:
    told = order_for(circle(count=6, diameter_mm=80.0))
    assert told.source == "common practice, no source"
    assert layout.MAKER_WINS in told.warnings


def test_a_star_on_what_is_no_ring_says_so() -> None:
    plate = rectangle(along=4, across=2, length_mm=200.0, width_mm=50.0)
    assert any("no even ring" in text for text in order_for(plate, pattern="star").warnings)
    assert any("row" in text for text in order_for(line(count=5, length_mm=100.0), pattern="star").warnings)


@pytest.mark.parametrize("pattern", ["spiral", "line"])
def test_a_ring_that_is_asked_for_no_star_says_so(pattern: str) -> None:
    """henniggasket.com, how to bolt flanges: 12-6-3-9, opposite ones after each other, never round the ring."""
    ring = circle(count=8, diameter_mm=100.0)
    assert any("on a ring a star is usual" in text for text in order_for(ring, pattern=pattern).warnings)
    for fit in (None, "star", "cross"):
        assert not any("on a ring" in text for text in order_for(ring, pattern=fit).warnings)
    assert not any("on a ring" in text for text in order_for(line(count=5, length_mm=100.0), pattern="line").warnings)


@pytest.mark.parametrize(
    ("points", "pattern"),
    [
        (circle(count=7, diameter_mm=100.0), "star"),
        (rectangle(along=2, across=2, length_mm=80.0, width_mm=60.0), "star"),
        (rectangle(along=5, across=3, length_mm=300.0, width_mm=120.0), "spiral"),
        (line(count=6, length_mm=100.0), "line"),
        (((0.0, 0.0), (10.0, 0.0)), "line"),
    ],
)
def test_the_usual_pattern_follows_from_the_shape(points: tuple[tuple[float, float], ...], pattern: str) -> None:
    assert usual_pattern(points) == pattern


def test_a_rectangle_is_its_edge_each_place_once() -> None:
    points = rectangle(along=5, across=3, length_mm=200.0, width_mm=100.0)
    assert len(set(points)) == len(points) == 2 * 5 + 2 * 3 - 4
    assert all(abs(x) == 100 or abs(y) == 50 for x, y in points)


def test_points_in_one_place_and_no_points_are_refused() -> None:
    with pytest.raises(NotComputable, match="1, 3 sit in one place"):
        order_for([(0, 0), (10, 0), (0, 0)])
    with pytest.raises(NotComputable):
        order_for([])


def test_an_unknown_pattern_is_refused() -> None:
    with pytest.raises(NotComputable, match="zigzag"):
        order_for(ring(5), pattern="zigzag")


@pytest.mark.parametrize(
    "make",
    [
        lambda: circle(count=0, diameter_mm=10.0),
        lambda: circle(count=4, diameter_mm=0.0),
        lambda: circle(count=4, diameter_mm=float("nan")),
        lambda: line(count=1, length_mm=10.0),
        lambda: rectangle(along=1, across=2, length_mm=10.0, width_mm=10.0),
        lambda: rectangle(along=2, across=2, length_mm=10.0, width_mm=-1.0),
    ],
)
def test_a_layout_that_cannot_be_is_refused(make: Callable[[], object]) -> None:
    with pytest.raises(NotComputable):
        make()
