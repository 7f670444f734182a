"""Pictures of drives: what stands in them is what was logged; nothing is drawn where nothing came. All invented."""

from xml.etree import ElementTree

import pytest

from drives import drive
from putback.core.codes.drive.against import hold_against
from putback.core.codes.drive.log import Channel, Record, channel_of
from putback.core.codes.drive.misfire import Count, Cylinder, Ran
from putback.faces.draw.drive import strip_svg
from putback.faces.draw.two_drives import matched_svg, misfire_svg, two_drives_svg

SVG = "{http://www.w3.org/2000/svg}"
NOT_RUN, NOUGHT, SEVEN = Count(ran=Ran.NOT_RUN), Count(ran=Ran.COUNTED, count=0), Count(ran=Ran.COUNTED, count=7)


def words(picture: ElementTree.Element) -> list[str]:
    return [one.text or "" for one in picture.iter(f"{SVG}text")]


def drawn(values: list[float | None], key: str = "0C") -> ElementTree.Element:
    channel = channel_of(key)
    assert isinstance(channel, Channel)
    return ElementTree.fromstring(strip_svg(drive({key: values}), channel))


def test_a_line_breaks_at_each_drop_out() -> None:
    picture = drawn([800.0, 810.0, None, 820.0, 830.0, None, None, 840.0, 850.0])
    paths = [one for one in picture.iter(f"{SVG}path") if one.get("stroke-width") == "1.6"]
    assert len(paths) == 3
    strokes = [one for one in picture.iter(f"{SVG}path") if "line-accent" in one.get("class", "")]
    assert [one.get("d", "").count("M") for one in strokes] == [3]
    assert "a value every 1 s, 3 of 9 dropped out" in words(picture)


@pytest.mark.parametrize("values", [[None, None], [5.0], [0.0, 0.0], [-40.0, 215.0], [1e6, 1e6 + 1], [0.001, 0.002]])
def test_every_series_can_be_drawn(values: list[float | None]) -> None:
    picture = drawn(values)
    assert ("no value" in " ".join(words(picture))) == (values[-1] is None)
    for path in picture.iter(f"{SVG}path"):
        assert "nan" not in path.get("d", "")


def test_a_line_stays_inside_its_frame() -> None:
    picture = drawn([-3.3, 7.77, 19.99, 20.01, -0.01])
    path = next(one.get("d", "") for one in picture.iter(f"{SVG}path") if one.get("stroke-width") == "1.6")
    heights = [float(point.split()[1]) for point in path.removeprefix("M").split("L")]
    assert min(heights) >= 46.0
    assert max(heights) <= 118.0


def test_many_samples_keep_their_least_and_most() -> None:
    values: list[float | None] = [10.0] * 5000
    values[2345], values[4000] = 90.0, -70.0
    channel = channel_of("06")
    assert isinstance(channel, Channel)
    text = strip_svg(drive({"06": values}, step_s=0.02), channel)
    assert "-70 to 90 %" in text
    path = next(one for one in ElementTree.fromstring(text).iter(f"{SVG}path") if one.get("stroke-width") == "1.6")
    heights = [float(point.split()[1]) for point in path.get("d", "").removeprefix("M").split("L")]
    assert len(heights) <= 700
    assert len({height for height in heights if abs(height - heights[0]) > 1}) == 2


def test_what_nobody_counted_has_no_bar_and_is_no_nought() -> None:
    cylinders = [
        Cylinder(number=1, before=NOT_RUN, after=SEVEN, average_before=NOT_RUN, average_after=NOT_RUN),
        Cylinder(number=2, before=NOUGHT, after=NOT_RUN, average_before=NOT_RUN, average_after=NOT_RUN),
    ]
    picture = ElementTree.fromstring(misfire_svg(cylinders))
    said = words(picture)
    assert said[1:] == ["cylinder 1", "before: not run", "7 after", "cylinder 2", "0 before", "after: not run"]
    bars = [one for one in picture.iter(f"{SVG}rect") if one.get("height") == "11"]
    assert len(bars) == 1


def test_a_bin_with_too_few_visits_has_no_mark() -> None:
    base = {"04": [25.0] * 9, "0D": [0.0] * 9, "05": [85.0] * 9}
    made = drive({**base, "0C": [800.0] * 9})
    found = hold_against(made, made)
    compared = found.channels[0]
    picture = ElementTree.fromstring(matched_svg(compared, found.settings))
    assert "1 bin with too few visits: no figures." in words(picture)
    assert len(list(picture.iter(f"{SVG}circle"))) == 1  # that of the legend
    ElementTree.fromstring(two_drives_svg(found))


def test_a_drive_without_a_record_is_still_a_picture() -> None:
    nothing = drive({})
    text = two_drives_svg(hold_against(nothing, nothing))
    assert "nothing can be matched without load (PID 04) before" in text
    ElementTree.fromstring(text)


def test_a_name_cannot_close_a_tag() -> None:
    channel = Channel(key="0C", name="</svg><script>", unit="<")
    made = drive({"0C": [1.0, 2.0]})
    assert "<script" not in strip_svg(made, channel)
    assert Record(at_s=0.0, key="0C", value=1.0) in made.series["0C"]
