"""The order of tightening. Common practice, no source; the sequences of a ring are checked by what they must do."""

from itertools import pairwise
from math import cos, pi, sin

import pytest

from putback.core.pattern import tightening_order


def ring(count: int, *, radius_mm: float = 50.0) -> list[tuple[float, float]]:
    return [(radius_mm * cos(2 * pi * at / count), radius_mm * sin(2 * pi * at / count)) for at in range(count)]


@pytest.mark.parametrize("count", range(3, 25))
@pytest.mark.parametrize("pattern", ["star", "cross", "spiral", "equal-passes", "as-numbered", None])
def test_every_fastener_comes_once(count: int, pattern: str | None) -> None:
    assert sorted(tightening_order(ring(count), pattern)) == list(range(count))


@pytest.mark.parametrize("count", range(4, 25))
def test_the_next_one_is_never_a_neighbour_while_another_is_left(count: int) -> None:
    order = tightening_order(ring(count), "star")
    for place, (a, b) in enumerate(pairwise(order), start=1):
        left = set(range(count)) - set(order[:place])
        apart = {one: min((one - a) % count, (a - one) % count) for one in left}
        assert apart[b] == max(apart.values())


def test_five_wheel_nuts_make_a_star() -> None:
    """Each next nut two places on or back: the five-pointed star of common practice."""
    order = tightening_order(ring(5), "star")
    assert {(b - a) % 5 for a, b in pairwise(order)} <= {2, 3}


def test_a_spiral_goes_from_the_middle_outwards() -> None:
    points = [(x, 0.0) for x in (0.0, 25.0, 50.0, 75.0, 100.0)]
    assert tightening_order(points, "spiral") == (2, 1, 3, 0, 4)


def test_as_numbered_is_as_in_the_file() -> None:
    assert tightening_order(ring(6), "as-numbered") == (0, 1, 2, 3, 4, 5)
