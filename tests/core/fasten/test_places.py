"""Where fasteners sit, in words, against the clock face: 12 at the top, an hour each 30 degrees, clockwise."""

from math import cos, pi, sin

import pytest

from putback.core.fasten.layout import circle, line, rectangle
from putback.core.fasten.places import said_order, said_places


def test_twelve_on_a_circle_are_the_twelve_hours() -> None:
    said = said_places(circle(count=12, diameter_mm=100.0))
    assert said == tuple(f"at {hour} o'clock" for hour in (12, *range(1, 12)))


def test_between_two_hours_is_half_past() -> None:
    said = said_places(circle(count=8, diameter_mm=100.0))
    assert said == (
        "at 12 o'clock",
        "at half past 1",
        "at 3 o'clock",
        "at half past 4",
        "at 6 o'clock",
        "at half past 7",
        "at 9 o'clock",
        "at half past 10",
    )


def test_two_in_one_direction_are_told_apart_by_their_distance() -> None:
    said = said_places([(0.0, 40.0), (0.0, 80.0), (0.0, -40.0), (0.0, -80.0), (50.0, 0.0), (-50.0, 0.0)])
    assert said[:2] == ("at 12 o'clock, 40 mm out", "at 12 o'clock, 80 mm out")
    assert said[4] == "at 3 o'clock"


def test_one_in_the_middle_has_no_hour() -> None:
    ring = [(50 * cos(2 * pi * at / 5), 50 * sin(2 * pi * at / 5)) for at in range(5)]
    assert said_places([*ring, (0.0, 0.0)])[5] == "in the middle"


@pytest.mark.parametrize(("end", "side"), [((300.0, 0.0), "left"), ((0.0, 300.0), "top")])
def test_a_row_is_counted(end: tuple[float, float], side: str) -> None:
    points = [(end[0] * at / 24, end[1] * at / 24) for at in range(25)]
    said = said_places(points if side == "left" else points[::-1])
    assert said[:4] == tuple(f"{one} from the {side}" for one in ("1st", "2nd", "3rd", "4th"))
    assert said[10:13] == tuple(f"{one} from the {side}" for one in ("11th", "12th", "13th"))
    assert said[20:23] == tuple(f"{one} from the {side}" for one in ("21st", "22nd", "23rd"))


def test_one_alone_is_in_the_middle() -> None:
    assert said_places([(3.0, 4.0)]) == ("in the middle",)


def test_an_order_is_numbered_from_one() -> None:
    assert said_order(line(count=2, length_mm=10.0)) == "1: 1st from the left; 2: 2nd from the left"


def test_no_two_places_of_a_plate_are_said_alike() -> None:
    said = said_places(rectangle(along=5, across=3, length_mm=300.0, width_mm=120.0))
    assert len(set(said)) == len(said)
