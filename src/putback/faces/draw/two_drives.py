"""One idea: before is a ring, after is a filled square, and the bar around it is how far the difference may go.

A bin with too few visits has words and no mark. A monitor that has not run has words and no bar.
"""

from collections.abc import Callable, Sequence
from typing import Final

from putback.core.codes.drive.against import Compared, Row, TwoDrives
from putback.core.codes.drive.bins import Settings
from putback.core.codes.drive.misfire import Count, Cylinder, Ran
from putback.core.codes.drive.student import Difference
from putback.faces.draw import ink
from putback.faces.draw.measure import wrap
from putback.faces.drive_words import interval_words, means

_WIDE = 360.0
_LEFT, _RIGHT = 14.0, 346.0
_LETTER: Final = 12.5
_LINE: Final = 17.0
_ROW: Final = 76.0
_HEAD: Final = 70.0
MOST_ROWS: Final = 16
"""More bins than this stand in the table only."""


def matched_svg(compared: Compared, settings: Settings) -> str:
    """One channel of two drives, bin by bin, from little load to much."""
    rows = compared.figures[:MOST_ROWS]
    few = _few(compared, len(rows))
    parts = [*_title(compared), *_legend()]
    down = _HEAD
    if rows:
        at = _scale(rows)
        parts += [part for n, row in enumerate(rows) for part in _row(row, settings, at, down + n * _ROW)]
        down += len(rows) * _ROW
    for words in few:
        parts.append(ink.text(_LEFT, down + 8, words, size=_LETTER, tone="text-quiet"))
        down += _LINE
    return ink.sheet(
        parts, wide=_WIDE, high=down + 8, title=f"{compared.channel.name}, before and after", says=says(compared)
    )


def says(compared: Compared) -> str:
    """The picture in one sentence."""
    name, shown = compared.channel.name, len(compared.figures)
    if not compared.rows:
        return f"{name}: the two drives were in no bin together."
    return f"{name}: {shown} of {len(compared.rows)} bins that both drives were in have figures."


def _few(compared: Compared, shown: int) -> Sequence[str]:
    """What is not drawn, in words."""
    without = len(compared.rows) - len(compared.figures)
    words = [] if compared.rows else ["The two drives were in no bin together: nothing can be said."]
    if without:
        words.append(f"{_bins(without)} with too few visits: no figures.")
    if len(compared.figures) > shown:
        words.append(f"{_bins(len(compared.figures) - shown)} more: see the table.")
    if compared.alone_before or compared.alone_after:
        alone = f"{compared.alone_before} samples before and {compared.alone_after} after"
        words.append(f"Left out, as only one drive was there: {alone}.")
    return [line for one in words for line in wrap(one, _LETTER, _RIGHT - _LEFT)]


def _bins(count: int) -> str:
    return "1 bin" if count == 1 else f"{count} bins"


def _title(compared: Compared) -> list[str]:
    unit = f" [{compared.channel.unit}]" if compared.channel.unit else ""
    lines = wrap(f"{compared.channel.name}{unit}", _LETTER, _RIGHT - _LEFT, bold=True)
    return [ink.text(_LEFT, 20 + n * _LINE, line, size=_LETTER, bold=True) for n, line in enumerate(lines[:2])]


def _legend() -> list[str]:
    y = _HEAD - 14
    return [
        _before(_LEFT + 5, y - 4),
        ink.text(_LEFT + 16, y, "before", size=_LETTER),
        _after(_LEFT + 79, y - 4),
        ink.text(_LEFT + 90, y, "after", size=_LETTER),
        *_whisker(_LEFT + 140, _LEFT + 170, y - 4),
        ink.text(_LEFT + 178, y, "interval of the difference", size=_LETTER),
    ]


def _before(x: float, y: float) -> str:
    return ink.dot(x, y, 6.5, tone="line line-ink", thick=1.6)


def _after(x: float, y: float) -> str:
    return ink.box(x - 4, y - 4, 8, 8, tone="fill-ink")


def _whisker(left: float, right: float, y: float) -> list[str]:
    ends = f"M{ink.at(left, y - 5)}v10M{ink.at(right, y - 5)}v10M{ink.at(left, y)}H{ink.number(right)}"
    return [ink.path(ends, tone="line line-ink", thick=1.3)]


def _scale(rows: Sequence[Row]) -> Callable[[float], float]:
    """One scale for all rows, so that they can be held against one another."""
    values = [value for row in rows for value in _values(row.mean)]
    least, most = min(values), max(values)
    room = (most - least) * 0.05 or 0.5
    least, most = least - room, most + room
    return lambda value: _LEFT + 6 + (value - least) / (most - least) * (_RIGHT - _LEFT - 12)


def _values(found: Difference | None) -> list[float]:
    if found is None:
        return []
    ends = [] if found.low is None or found.high is None else [found.before + found.low, found.before + found.high]
    return [found.before, found.after, *ends]


def _row(row: Row, settings: Settings, at: Callable[[float], float], down: float) -> list[str]:
    found = row.mean
    assert found is not None
    y = down + 29
    counts = f"visits {row.before.visits} and {row.after.visits}, samples {row.before.samples} and {row.after.samples}"
    parts = [
        ink.text(_LEFT, down + 12, row.bin.words(settings), size=_LETTER),
        ink.line(_LEFT, y, _RIGHT, y, tone="line-hair", dashes="2 4"),
    ]
    if found.low is not None and found.high is not None:
        parts += _whisker(at(found.before + found.low), at(found.before + found.high), y)
    parts += [_after(at(found.after), y), _before(at(found.before), y)]
    before, after = means(found)
    parts += [
        ink.text(_LEFT, down + 49, f"{before} → {after}: {interval_words(found)}", size=_LETTER, bold=True),
        ink.text(_LEFT, down + 64, counts, size=_LETTER - 0.5, tone="text-quiet"),
    ]
    return parts


# misfires

_BAR_LEFT, _BAR_RIGHT = 100.0, 280.0
_CYLINDER: Final = 46.0


def misfire_svg(cylinders: Sequence[Cylinder]) -> str:
    """The misfires of each cylinder in both drives; a monitor that has not run has no bar.

    Raises:
        ValueError: there is no cylinder.
    """
    if not cylinders:
        raise ValueError("there is no cylinder to draw")
    most = max((one.count or 0 for each in cylinders for one in (each.before, each.after)), default=0)
    parts = [ink.text(_LEFT, 20, "misfires counted in the drive", size=_LETTER, bold=True)]
    for n, one in enumerate(cylinders):
        down = 34 + n * _CYLINDER
        parts.append(ink.text(_LEFT, down + 22, f"cylinder {one.number}", size=_LETTER))
        parts += _bar(one.before, most, down, "before", tone="fill-paper line-ink")
        parts += _bar(one.after, most, down + 18, "after", tone="fill-ink line-ink")
    high = 34 + len(cylinders) * _CYLINDER + 4
    return ink.sheet(parts, wide=_WIDE, high=high, title="Misfires, before and after", says=misfires_say(cylinders))


def _bar(count: Count, most: int, down: float, which: str, *, tone: str) -> list[str]:
    if count.ran is not Ran.COUNTED or count.count is None:
        return [ink.text(_BAR_LEFT, down + 12, f"{which}: {count.ran}", size=_LETTER, tone="text-quiet")]
    long = count.count / (most or 1) * (_BAR_RIGHT - _BAR_LEFT - 90)
    bar = [ink.box(_BAR_LEFT, down + 2, long, 11, tone=tone, thick=1.2)] if count.count else []
    return [
        *bar,
        ink.line(_BAR_LEFT, down, _BAR_LEFT, down + 15, tone="line-ink"),
        ink.text(_BAR_LEFT + long + 8, down + 12, f"{count.count} {which}", size=_LETTER),
    ]


def misfires_say(cylinders: Sequence[Cylinder]) -> str:
    """The counts in words."""
    return "; ".join(f"cylinder {one.number}: before {one.before}, after {one.after}" for one in cylinders) + "."


def two_drives_svg(found: TwoDrives) -> str:
    """All pictures of two drives in one sheet, one under the other."""
    pictures = pictures_of(found)
    heights = [float(one.partition(' height="')[2].partition('"')[0]) for one in pictures]
    parts, down = [], 0.0
    for picture, high in zip(pictures, heights, strict=True):
        parts.append(picture.replace("<svg ", f'<svg y="{ink.number(down)}" ', 1))
        down += high + 16
    title = "Two drives held against one another"
    return ink.sheet(parts, wide=_WIDE, high=max(down, 20.0), title=title, says=found.missing or title)


def pictures_of(found: TwoDrives) -> list[str]:
    """Every picture: the trims first, then the misfires, then the rest."""
    drawn = [matched_svg(one, found.settings) for one in found.channels]
    misfires = [misfire_svg(found.cylinders)] if found.cylinders else []
    sums = sum("+" in one.channel.key for one in found.channels)
    return [*drawn[:sums], *misfires, *drawn[sums:]]
