"""One idea: on a phone held upright the words stand between the slopes, the name over the line between twins.

Marks hang on the slopes with the operation's number under them; tightness, new parts and last look stand under
the line on the way back's side.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from putback.faces.draw.ink import group, line, number, path, sheet, text
from putback.faces.draw.levels import Level, Renewal, Shape, levels, renewals
from putback.faces.draw.marks import Pen, cap, diamond, eye, mark, mark_width, question
from putback.faces.draw.measure import shortened, width, wrap
from putback.faces.draw.valley.notes import dearest_block, legend_block
from putback.faces.draw.valley.words import (
    dearest,
    heading,
    legend,
    level_says,
    way_back_words,
    way_in_words,
    words_after,
)
from putback.plan.plan import Plan

NARROW = 390.0
_MARGIN = 12.0
_NAME = 14.0
_SMALL = 11.5
_LINE = 17.0
_UNDER = 15.0
_AIR = 6.0
_SLOPE = 44.0
_MOST_DOTS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """A level between the slopes at `left` and `right` (outer edges of the marks), its line at y.

    `zone` is named above the first level of a stratum; `under` are the lines of signs under the line.
    """

    level: Level
    drawn: Level
    zone: str
    top: float
    y: float
    bottom: float
    left: float
    right: float
    names: tuple[str, ...]
    notes: tuple[str, ...]
    under: tuple[tuple[tuple[float, str, str], ...], ...]


def narrow_sheet(plan: Plan, done: frozenset[int] | None, *, inside: tuple[float, float] | None, titled: bool) -> str:
    """The valley, 390 units wide, for a phone."""
    new = renewals(plan)
    words = heading(plan)
    head, top = _heading(plan, titled=titled)
    zones = {id: zone.name for id, zone in plan.car.zones.items()}
    rows = _rows(levels(plan, done), zones, top + 12)
    parts = [*head, *_strata(rows), _walls(rows)]
    parts += [group(_draw_row(row), says=level_says(row.level)) for row in rows]
    floor, y = _floor(new, rows[-1])
    parts += floor
    dear = dearest_block(dearest(plan), wide=NARROW - 2 * _MARGIN, size=_SMALL)
    signs = legend_block(legend([row.level for row in rows], new), wide=NARROW - 2 * _MARGIN, size=_SMALL)
    for block in (dear, signs):
        if block.parts:
            parts.append(group(block.parts, shift=(_MARGIN, y)))
            y += block.high + 26
    return sheet(
        parts,
        wide=NARROW,
        high=y - 8,
        title=f"The valley: {words.title}",
        says=f"{len(rows)} levels: the way in on the left, the way back on the right, twins on one level.",
        inside=inside,
    )


def _heading(plan: Plan, *, titled: bool) -> tuple[list[str], float]:
    parts, y = _title(plan) if titled else ([], 0.0)
    y += 22
    parts.append(text(_MARGIN, y, way_in_words(plan), size=_NAME, bold=True))
    parts.append(text(NARROW - _MARGIN, y, way_back_words(plan), size=_NAME, bold=True, anchor="end"))
    if words_after(plan):
        y += _LINE
        parts.append(text(NARROW - _MARGIN, y, words_after(plan), size=_SMALL, tone="text-quiet", anchor="end"))
    return parts, y


def _title(plan: Plan) -> tuple[list[str], float]:
    """The job, the car, the figures; and the height below them."""
    words = heading(plan)
    limit = NARROW - 2 * _MARGIN
    parts, y = [], 32.0
    for row in wrap(words.title, 18, limit, bold=True):
        parts.append(text(_MARGIN, y, row, size=18, bold=True))
        y += 23
    for row in wrap(words.car, _SMALL, limit):
        parts.append(text(_MARGIN, y, row, size=_SMALL, tone="text-quiet"))
        y += _LINE
    for words_ in words.figures:
        for row in wrap(words_, _NAME, limit):
            parts.append(text(_MARGIN, y + 3, row, size=_NAME))
            y += 19
    return parts, y


def _rows(all_levels: Sequence[Level], zones: dict[str, str], top: float) -> list[_Row]:
    rows: list[_Row] = []
    y = top
    for at, level in enumerate(all_levels):
        named = level.zone is not None and not (rows and rows[-1].level.zone == level.zone)
        zone = shortened(zones.get(level.zone or "", ""), _SMALL, 280) if named else ""
        row = _row(level, zone, y, _SLOPE * at / max(len(all_levels) - 1, 1))
        rows.append(row)
        y = row.bottom
    return rows


def _row(level: Level, zone: str, top: float, inward: float) -> _Row:
    """One level laid out between slopes that have come `inward` this far."""
    threaded = min(level.threaded, _MOST_DOTS)
    drawn = replace(level, threaded=threaded, other=min(level.other, _MOST_DOTS - threaded))
    left, right = _MARGIN + inward, NARROW - _MARGIN - inward
    limit = right - left - 2 * _side(drawn) - 2 * _AIR
    names = wrap(level.name, _NAME, limit)
    y = top + (20 if zone else 2) + _LINE * len(names) + 3
    notes = wrap(level.note, _SMALL, limit) if level.note else ()
    under = tuple(_lines_under(level, limit))
    rows_under = max(len(notes) + len(under), 1)
    return _Row(
        level=level,
        drawn=drawn,
        zone=zone,
        top=top,
        y=y,
        bottom=y + 4 + _UNDER * rows_under,
        left=left,
        right=right,
        names=names,
        notes=notes,
        under=under,
    )


def _side(drawn: Level) -> float:
    """Room at a slope for the mark, or for the operation's number under it."""
    numbers = max(width(str(number_), 10) + 3 for number_ in (drawn.way_in, drawn.way_back or 0))
    return max(mark_width(drawn), numbers) + _AIR


def _signs(level: Level, limit: float) -> Iterator[tuple[float, str, str]]:
    """What stands under the line: width, sign, words. A sign is drawn before its words."""
    if level.guards and level.shape is not Shape.GUARDED:
        words = f"{level.guards}" if level.guards > 1 else ""
        yield 12 + width(words, _SMALL), "guard", words
    if level.fasteners:
        words = f"{level.fasteners} ×"
        yield width(words, _SMALL), "count", words
    for words in wrap(level.torque, _SMALL, limit) if level.torque else ():
        yield width(words, _SMALL), "torque", words
    if level.value_needed:
        yield 12.0, "value", ""
    if level.new_parts:
        words = f"{level.new_parts} new"
        yield 14 + width(words, _SMALL), "new", words
    if level.dearest is not None:
        yield 16 + width(level.dearest_words, _SMALL), "look", level.dearest_words


def _lines_under(level: Level, limit: float) -> Iterator[tuple[tuple[float, str, str], ...]]:
    """The signs in lines that fit."""
    row: list[tuple[float, str, str]] = []
    used = 0.0
    for sign in _signs(level, limit):
        if row and used + sign[0] > limit:
            yield tuple(row)
            row, used = [], 0.0
        row.append(sign)
        used += sign[0] + 9
    if row:
        yield tuple(row)


def _strata(rows: Sequence[_Row]) -> Iterator[str]:
    """Every other zone shaded between the slopes."""
    runs: list[list[_Row]] = []
    for row in rows:
        if runs and runs[-1][-1].level.zone == row.level.zone:
            runs[-1].append(row)
        else:
            runs.append([row])
    for turn, run in enumerate(runs):
        if turn % 2 == 0 and run[0].level.zone is not None:
            first, last = run[0], run[-1]
            corners = [(first.left, first.top), (first.right, first.top), (last.right, last.bottom)]
            corners.append((last.left, last.bottom))
            yield path("M" + "L".join(f"{number(x)} {number(y)}" for x, y in corners) + "z", tone="fill-band")


def _walls(rows: Sequence[_Row]) -> str:
    first, last = rows[0], rows[-1]
    left = f"M{number(first.left)} {number(first.top)}L{number(last.left)} {number(last.bottom)}"
    right = f"M{number(first.right)} {number(first.top)}L{number(last.right)} {number(last.bottom)}"
    return path(left + right, tone="line line-hair", thick=0.8)


def _draw_row(row: _Row) -> Iterator[str]:
    level, drawn, y = row.level, row.drawn, row.y
    wide, side = mark_width(drawn), _side(drawn)
    if row.zone:
        yield text(NARROW / 2, row.top + 14, row.zone, size=_SMALL, tone="text-quiet", anchor="middle")
    yield mark(drawn, row.left + wide, y, Pen(filled=level.off, way=1))
    yield text(row.left + 3, y + 17, str(level.way_in), size=10, tone="text-quiet")
    inner_left, inner_right = row.left + side, row.right - side
    for at, words in enumerate(row.names):
        yield text(inner_left, y - 6 - _LINE * (len(row.names) - 1 - at), words, size=_NAME)
    after = y + 3 + _UNDER * len(row.notes)
    for at, words in enumerate(row.notes):
        yield text(inner_left, y + 2 + _UNDER * (at + 1) - 3, words, size=_SMALL, tone="text-quiet")
    if level.way_back is None:
        return
    yield mark(drawn, row.right - wide, y, Pen(filled=level.back, way=-1))
    yield text(row.right - 3, y + 17, str(level.way_back), size=10, tone="text-quiet", anchor="end")
    tone, dashes = ("line-ink", "") if level.back else ("line-hair", "2 4")
    if level.shape is Shape.SAFE and not level.back:
        tone, dashes = "line-ink", "9 3 2 3"
    yield line(row.left + wide + _AIR, y, row.right - wide - _AIR, y, tone=tone, dashes=dashes)
    for at, signs in enumerate(row.under):
        yield from _draw_signs(signs, inner_right, after + _UNDER * at + 11, level)


def _draw_signs(signs: Sequence[tuple[float, str, str]], right: float, baseline: float, level: Level) -> Iterator[str]:
    """One line of signs, its end at `right`."""
    x = right - sum(wide for wide, _, _ in signs) - 9 * (len(signs) - 1)
    middle = baseline - 4
    for wide, sign, words in signs:
        room = 0.0
        tone = "text"
        if sign == "guard":
            yield cap(x + 4, middle, filled=level.back)
            room = 11.0
        elif sign == "value":
            yield question(x + 5, middle)
        elif sign == "new":
            yield diamond(x + 5, middle)
            room = 13.0
        elif sign == "look":
            yield eye(x + 6, middle)
            room, tone = 15.0, "text-quiet"
        elif sign == "count":
            tone = "text-quiet"
        elif level.value_needed:
            tone = "text-accent"
        if words:
            yield text(x + room, baseline, words, size=_SMALL, tone=tone)
        x += wide + 9


def _floor(new: Sequence[Renewal], last: _Row) -> tuple[list[str], float]:
    """The floor and the work on it."""
    y = last.bottom
    middle = NARROW / 2
    parts = [line(last.left, y, last.right, y, tone="line-ink", thick=1.6)]
    y += 24
    parts.append(text(middle, y, "the work", size=_NAME, bold=True, anchor="middle"))
    for one in (one for one in new if one.target):
        for row in wrap(f"renew {one.name}", 15, NARROW - 2 * _MARGIN, bold=True):
            y += 22
            parts.append(text(middle, y, row, size=15, bold=True, anchor="middle", tone="text-accent"))
    small = [one for one in new if not one.target]
    if small:
        y += 28
        parts.append(text(middle, y, "new on the way back", size=_SMALL, anchor="middle", tone="text-quiet"))
    for one in small:
        words = ", ".join([one.name, one.torque] if one.torque else [one.name])
        y += 4
        sign = question if one.value_needed else diamond
        parts.append(sign(last.left + 6, y + 10))
        for row in wrap(words, _SMALL + 0.5, last.right - last.left - 20):
            y += 15
            parts.append(text(last.left + 18, y, row, size=_SMALL + 0.5))
    return parts, y + 30
