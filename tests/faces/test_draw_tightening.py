"""The picture of a tightening order is checked as a picture: parsed as XML, measured, and its words read.

Sources: XML 1.0 as Python's own expat reads it; letter widths as `measure` has them from DejaVu Sans 2.37; the clock
face for the words.
"""

import re
import xml.etree.ElementTree as ET
from itertools import combinations
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.bay.drawn import order_svg
from putback.core.fasten.layout import Point, circle, line, order_for, rectangle
from putback.core.fasten.tool import Layout
from putback.faces.draw.measure import width
from putback.faces.draw.tightening import COUNTED, NUMBERS, tightening_svg

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = "</text><script>alert(1)</script>&\"'<![CDATA["
LAYOUTS = [
    circle(count=4, diameter_mm=80.0),
    circle(count=24, diameter_mm=400.0),
    rectangle(along=5, across=2, length_mm=400.0, width_mm=60.0),
    rectangle(along=2, across=6, length_mm=60.0, width_mm=900.0),
    line(count=9, length_mm=200.0),
    ((0.0, 0.0), (0.0, 30.0), (0.0, 60.0)),
    ((5.0, 7.0),),
]
COORDINATES = st.integers(-200, 200).map(float)


def picture(points: tuple[Point, ...], words: str = "star order, common practice, no source") -> ET.Element:
    told = order_for(points)
    return ET.fromstring(tightening_svg(Layout(points=points, order=told.order, words=words)))


def fasteners(root: ET.Element) -> list[tuple[float, float, float]]:
    return [
        (float(dot.attrib["cx"]), float(dot.attrib["cy"]), float(dot.attrib["r"])) for dot in root.iter(f"{SVG}circle")
    ]


def numbers(root: ET.Element) -> list[str]:
    return [text.text or "" for text in root.iter(f"{SVG}text") if re.fullmatch(r"\d+", text.text or "")]


@pytest.mark.parametrize("points", LAYOUTS)
def test_every_fastener_has_its_number_in_its_place(points: tuple[Point, ...]) -> None:
    root = picture(points)
    assert numbers(root) == [str(number) for number in range(1, len(points) + 1)]
    drawn = fasteners(root)
    order = order_for(points).order
    for (a, one), (b, other) in combinations(enumerate(drawn), 2):
        given_x = points[order[b]][0] - points[order[a]][0]
        given_y = points[order[b]][1] - points[order[a]][1]
        assert (other[0] - one[0]) * given_x >= -0.2
        assert (other[1] - one[1]) * given_y <= 0.2


@pytest.mark.parametrize("points", LAYOUTS)
def test_each_bolt_bears_the_number_that_the_lists_name_it_by(points: tuple[Point, ...]) -> None:
    """Common practice, no source: the list "3-8-9" and the picture must not send a hand to different bolts."""
    root = picture(points)
    wide, high = float(root.attrib["width"]), float(root.attrib["height"])
    drawn = fasteners(root)
    counted = [text for text in root.iter(f"{SVG}text") if (text.text or "").startswith("#")]
    assert [text.text for text in counted] == [f"#{at + 1}" for at in order_for(points).order]
    assert any(text.text == COUNTED for text in root.iter(f"{SVG}text"))
    for own, text in enumerate(counted):
        x, y = float(text.attrib["x"]), float(text.attrib["y"])
        half = width(text.text or "", float(text.attrib["font-size"])) / 2
        assert half <= x <= wide - half
        assert 0 < y < high
        away = [hypot(x - one[0], y - 3 - one[1]) for one in drawn]
        assert away.index(min(away)) == own, "the number stands nearest to its own bolt"


def test_bolts_too_close_together_bear_their_turn_alone() -> None:
    root = picture(line(count=40, length_mm=400.0))
    assert not [text for text in root.iter(f"{SVG}text") if (text.text or "").startswith("#")]
    assert all(text.text != COUNTED for text in root.iter(f"{SVG}text"))


@pytest.mark.parametrize("points", LAYOUTS)
def test_nothing_sticks_out_of_a_narrow_screen_and_nothing_touches(points: tuple[Point, ...]) -> None:
    root = picture(points)
    wide, high = float(root.attrib["width"]), float(root.attrib["height"])
    assert wide <= 390 - 2 * 12
    assert root.attrib["viewBox"] == f"0 0 {wide:g} {high:g}"
    drawn = fasteners(root)
    for x, y, radius in drawn:
        assert radius <= x <= wide - radius
        assert radius <= y <= high - radius
    for one, other in combinations(drawn, 2):
        assert hypot(one[0] - other[0], one[1] - other[1]) >= one[2] + other[2]


@pytest.mark.parametrize("points", LAYOUTS)
def test_the_words_fit_and_stand_below_the_fasteners(points: tuple[Point, ...]) -> None:
    root = picture(points, words="a long sentence about where this order comes from and who wins over it " * 3)
    wide, high = float(root.attrib["width"]), float(root.attrib["height"])
    lowest = max(y + radius for _, y, radius in fasteners(root))
    quiet = [text for text in root.iter(f"{SVG}text") if text.attrib["class"] == "text-quiet"]
    below = [text for text in quiet if not (text.text or "").startswith("#")]
    assert below[0].text == NUMBERS
    assert len(below) > 2
    for text in below:
        assert width(text.text or "", float(text.attrib["font-size"])) <= wide
        assert lowest + float(text.attrib["font-size"]) - 4 <= float(text.attrib["y"]) <= high - 3


def test_the_text_alternative_says_the_order_as_on_a_clock() -> None:
    root = picture(circle(count=4, diameter_mm=80.0))
    says = root.findtext(f"{SVG}desc") or ""
    assert root.attrib["role"] == "img"
    assert root.findtext(f"{SVG}title") == "Order of tightening"
    assert "1: at 12 o'clock; 2: at 6 o'clock; 3: at 3 o'clock; 4: at 9 o'clock" in says
    assert "Loosen in reverse" in says
    assert "common practice, no source" in says


def test_light_dark_and_print_are_in_the_picture() -> None:
    style = picture(circle(count=4, diameter_mm=80.0)).findtext(f"{SVG}style") or ""
    assert "prefers-color-scheme:dark" in style
    assert "@media print" in style


def test_no_word_can_close_a_tag() -> None:
    root = picture(circle(count=4, diameter_mm=80.0), words=HOSTILE)
    assert HOSTILE in (root.findtext(f"{SVG}desc") or "")
    assert not list(root.iter(f"{SVG}script"))


@given(
    points=st.lists(st.tuples(COORDINATES, COORDINATES), min_size=1, max_size=25, unique=True).map(tuple),
)
def test_any_layout_is_drawn_within_its_paper(points: tuple[Point, ...]) -> None:
    root = picture(points)
    wide, high = float(root.attrib["width"]), float(root.attrib["height"])
    drawn = fasteners(root)
    assert len(drawn) == len(points)
    assert all(0 <= x <= wide and 0 <= y <= high <= 480 for x, y, _ in drawn)


@pytest.mark.parametrize("order", [(), (0, 1, 2), (0, 1, 2, 2), (1, 2, 3, 4)])
def test_an_order_that_does_not_fit_is_refused(order: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="each fastener once"):
        tightening_svg(Layout(points=circle(count=4, diameter_mm=80.0), order=order, words=""))


def test_the_bay_page_says_the_same_places() -> None:
    points = [(0.0, 40.0), (0.0, -40.0), (40.0, 0.0), (-40.0, 0.0)]
    told = ET.fromstring(order_svg(points, ring=False).partition("</svg>")[0] + "</svg>")
    assert "1: at 12 o'clock; 2: at 6 o'clock" in told.attrib["aria-label"]


def test_the_bay_page_says_no_places_that_it_does_not_know() -> None:
    ring = order_svg([(0.0, 40.0), (0.0, -40.0)], ring=True)
    assert 'aria-label="order of tightening"' in ring
    assert "the car file gives none" in ring
