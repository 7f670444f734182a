"""The picture of a band: well-formed, its places true to its figures, its words inside of its edges."""

from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from putback.faces.draw.band import Bar, band_svg

_SVG = "{http://www.w3.org/2000/svg}"
_FIGURES = some.floats(-1e6, 1e6).map(lambda value: round(value, 3))


def parts(bar: Bar) -> ElementTree.Element:
    return ElementTree.fromstring(band_svg(bar))


def box(root: ElementTree.Element) -> tuple[float, float]:
    """Left and right edge of the band."""
    one = root.findall(f"{_SVG}rect")[-1]
    left = float(one.get("x", ""))
    return left, left + float(one.get("width", ""))


def stroke(root: ElementTree.Element) -> float:
    """Where the middle is drawn: the thickest line."""
    thick = next(one for one in root.findall(f"{_SVG}path") if one.get("stroke-width") == "3")
    return float(thick.get("d", "").partition(" ")[0].removeprefix("M"))


def words(root: ElementTree.Element) -> list[str]:
    return [one.text or "" for one in root.findall(f"{_SVG}text")]


def test_it_says_every_figure_in_words_and_in_the_picture() -> None:
    bar = Bar(name="preload", band=(11.11, 16.67), unit="kN", middle=13.33, marks=[("proof load", 21.23)])
    root = parts(bar)
    described = root.findtext(f"{_SVG}desc") or ""
    assert described == "The preload lies within 11.1 to 16.7 kN, around 13.33 kN; proof load: 21.23 kN."
    for figure in ("13.33 kN", "11.1", "16.7 kN", "proof load 21.23 kN"):
        assert figure in words(root)


@settings(max_examples=200, deadline=None)
@given(ends=some.tuples(_FIGURES, _FIGURES), share=some.floats(0, 1), mark=_FIGURES)
def test_places_are_true_and_nothing_leaves_the_sheet(ends: tuple[float, float], share: float, mark: float) -> None:
    low, high = sorted(ends)
    middle = low + (high - low) * share
    root = parts(Bar(name="x", band=(low, high), unit="kN", middle=middle, marks=[("held against", mark)]))
    left, right = box(root)
    assert 0 <= left <= right <= 360
    assert left - 0.2 <= stroke(root) <= right + 0.2
    if right - left > 20:
        assert (stroke(root) - left) / (right - left) == pytest.approx(share, abs=0.02)
    for one in root.findall(f"{_SVG}text"):
        assert 0 <= float(one.get("x", "")) <= 360


def test_the_figures_of_a_narrow_band_do_not_touch() -> None:
    """A letter is taken as 0.6 of its size wide, which is above the mean of usual sans-serif letters."""
    for band in ((22.9, 25.1), (11.1, 11.2), (1.0, 100.0), (-30.8, 170.0), (99.0, 100.0)):
        root = parts(Bar(name="x", band=band, unit="N·m", middle=sum(band) / 2))
        spans = []
        for one in root.findall(f"{_SVG}text"):
            if float(one.get("y", "")) < 60:
                continue
            wide, x = len(one.text or "") * 13 * 0.6, float(one.get("x", ""))
            left = {"middle": x - wide / 2, "end": x - wide}.get(one.get("text-anchor", ""), x)
            spans.append((left, left + wide))
        assert all(first[1] <= second[0] for first, second in pairwise(sorted(spans))), band


def test_without_a_middle_there_is_no_stroke() -> None:
    root = parts(Bar(name="range", band=(18.0, 21.6), unit="lbf·ft"))
    assert all(one.get("stroke-width") != "3" for one in root.findall(f"{_SVG}path"))


def test_a_band_the_wrong_way_round_is_no_band() -> None:
    with pytest.raises(ValueError, match="least"):
        band_svg(Bar(name="x", band=(2.0, 1.0), unit="kN"))
