"""One idea: at a desk, or on a sheet of A4, names stand outside the left slope and tightness outside the right one.

Between the slopes lie the zones as strata, with their names on the centre line, and the lines that join twins.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from putback.faces.draw.ink import at, group, line, number, path, sheet, text
from putback.faces.draw.levels import Level, Renewal, Shape, levels, renewals
from putback.faces.draw.marks import Pen, cap, diamond, eye, mark, mark_width, question
from putback.faces.draw.measure import shortened, width, wrap
from putback.faces.draw.valley.notes import Block, dearest_block, legend_block
from putback.faces.draw.valley.slopes import Room, Slopes, slopes
from putback.faces.draw.valley.words import (
    Heading,
    dearest,
    heading,
    legend,
    level_says,
    way_back_words,
    way_in_words,
    words_after,
)
from putback.plan.plan import Plan

WIDE = 1160.0
_MARGIN = 28.0
_NAME = 12.0
_SMALL = 10.0
_STEP = 16.5
_AIRY_STEP = 28.0
_AIRY_HIGH = 520.0
_LINE = 13.0
_NAME_LIMIT = 240.0
_TORQUE_LIMIT = 170.0
_FLOOR = 150.0
_AIR = 6.0
_BLOCK = 236.0
_NOTE_LIMIT = 260.0
_ZONE_LIMIT = 220.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """A level with its lines of text and its height on the sheet; `zone` is named on the first level of a stratum.

    `note` stands between the slopes; where it is too long for that, `under` has its lines below the name.
    """

    level: Level
    y: float
    names: tuple[str, ...]
    torques: tuple[str, ...]
    zone: str
    note: str
    under: tuple[str, ...]
    step: float

    @property
    def high(self) -> float:
        """From this row's middle to the next one's."""
        return self.step + _LINE * (max(len(self.names) + len(self.under), len(self.torques), 1) - 1)


def wide_sheet(plan: Plan, done: frozenset[int] | None, *, inside: tuple[float, float] | None, titled: bool) -> str:
    """The valley, 1160 units wide; 75 levels fill a sheet of A4."""
    new = renewals(plan)
    head, top = _heading(heading(plan)) if titled else ([], _MARGIN / 2)
    rows = _rows(levels(plan, done), top + 44, {id: zone.name for id, zone in plan.car.zones.items()})
    rooms = [_ways_room(plan, rows[0].y), *(_room(row) for row in rows)]
    slope = slopes(rooms, wide=WIDE, margin=_MARGIN, floor=_FLOOR, steepest=1.1 * rows[0].step)
    floor_y = rows[-1].y + rows[-1].high
    parts = [*head, *_ways(plan, slope, top + 14), *_strata(rows, slope), _walls(slope, floor_y)]
    parts += [group(_draw_row(row, slope), says=level_says(row.level)) for row in rows]
    floor, bottom = _floor(new, slope, floor_y)
    parts += floor
    notes, bottom = _notes(rows, slope, new, plan, bottom)
    parts += notes
    return sheet(
        parts,
        wide=WIDE,
        high=bottom + _MARGIN,
        title=f"The valley: {heading(plan).title}",
        says=_says(plan, rows, new),
        inside=inside,
    )


def _says(plan: Plan, rows: Sequence[_Row], new: Sequence[Renewal]) -> str:
    owed = sum(1 for row in rows if row.level.way_back is not None and not row.level.back)
    known = not plan.minutes_unknown
    off, on = (f", {minutes:g} minutes" if known else "" for minutes in (plan.minutes_off, plan.minutes_on))
    return (
        f"{len(rows)} levels. The way in goes down the left slope{off}; {len(new)} parts are renewed at the floor; the"
        f" way back climbs the right slope{on}. Twins lie on one level; {owed} are owed."
    )


def _heading(words: Heading) -> tuple[list[str], float]:
    """Title, car and figures; and the height below them."""
    y = _MARGIN + 16
    parts = []
    for row in wrap(words.title, 20, WIDE - 2 * _MARGIN, bold=True):
        parts.append(text(_MARGIN, y, row, size=20, bold=True))
        y += 24
    for row in wrap(words.car, _NAME, WIDE - 2 * _MARGIN):
        parts.append(text(_MARGIN, y - 2, row, size=_NAME, tone="text-quiet"))
        y += 17
    for row in wrap(" · ".join(words.figures), _NAME, WIDE - 2 * _MARGIN):
        parts.append(text(_MARGIN, y, row, size=_NAME))
        y += 17
    return parts, y + 3


def _rows(all_levels: Sequence[Level], top: float, zones: dict[str, str]) -> list[_Row]:
    rows: list[_Row] = []
    step = min(max(_AIRY_HIGH / max(len(all_levels), 1), _STEP), _AIRY_STEP)
    y = top
    for level in all_levels:
        named = level.zone is not None and not (rows and rows[-1].level.zone == level.zone)
        zone = shortened(zones.get(level.zone or "", ""), _SMALL, _ZONE_LIMIT) if named else ""
        names = wrap(level.name, _NAME, _NAME_LIMIT)
        torques = wrap(level.torque, _NAME, _TORQUE_LIMIT) if level.torque else ()
        beside = width(level.note, _SMALL) <= _NOTE_LIMIT
        under = () if beside or not level.note else wrap(level.note, _SMALL, _NAME_LIMIT)
        note = level.note if beside else ""
        rows.append(_Row(level=level, y=y, names=names, torques=torques, zone=zone, note=note, under=under, step=step))
        y += rows[-1].high
    return rows


def _room(row: _Row) -> Room:
    level = row.level
    mark_ = mark_width(level) + (5.0 if level.target else 0.0)
    count = width(str(level.fasteners), _SMALL) + _AIR if level.fasteners else 0.0
    name = max(*(width(part, _NAME) for part in row.names), *(width(part, _SMALL) for part in row.under), 0.0)
    zone = width(row.zone, _SMALL) + 40
    between = zone + 2 * _inner(level) + (width(row.note, _SMALL) + 2 * _AIR if row.note else 0.0)
    return Room(
        y=row.y,
        left=mark_ + _AIR + count + name,
        right=mark_ + _AIR + count + sum(wide for wide, _ in _right_signs(row)),
        between=between,
    )


def _ways_room(plan: Plan, y: float) -> Room:
    """What the words over the slopes ask for."""
    down, up = _ways_words(plan)
    after = width(words_after(plan), _SMALL)
    right = max(width(up, _NAME, bold=True), after)
    return Room(y=y, left=width(down, _NAME, bold=True) + 10, right=right + 10, between=0.0)


def _ways_words(plan: Plan) -> tuple[str, str]:
    return way_in_words(plan), way_back_words(plan)


def _inner(level: Level) -> float:
    """Room between a slope and the twin line: the operation's number and the guards."""
    return 32 + _AIR + _guard_room(level)


def _guard_room(level: Level) -> float:
    """Room of the guard's sign and, where there are several, the count of its pieces."""
    if not level.guards or level.shape is Shape.GUARDED:
        return 0.0
    return 13.0 + (width(str(level.guards), 9) if level.guards > 1 else 0.0)


def _ways(plan: Plan, slope: Slopes, y: float) -> list[str]:
    """The words over the slopes, each with an arrow along its slope."""
    left, right = slope.left, slope.right
    down = f"M{number(left)} {number(y - 9)}l9 11m-6.5 -1l6.5 1l.3 -6.6"
    up = f"M{number(right - 9)} {number(y + 2)}l9 -11m-6.5 1l6.5 -1l.3 6.6"
    after = words_after(plan)
    words_down, words_up = _ways_words(plan)
    return [
        *([text(right + 10, y + 15, after, size=_SMALL, tone="text-quiet")] if after else []),
        text(left - 10, y, words_down, size=_NAME, anchor="end", bold=True),
        path(down, tone="line line-ink", thick=1.4),
        path(up, tone="line line-ink", thick=1.4),
        text(right + 10, y, words_up, size=_NAME, bold=True),
    ]


def _strata(rows: Sequence[_Row], slope: Slopes) -> Iterator[str]:
    """The zones as light layers between the slopes, every other one shaded."""
    start = 0
    for turn, (zone, run) in enumerate(groupby(rows, key=lambda row: row.level.zone)):
        count = len(list(run))
        top = rows[start].y - rows[0].step / 2
        start += count
        bottom = (
            rows[start].y - rows[0].step / 2 if start < len(rows) else rows[-1].y + rows[-1].high - rows[0].step / 2
        )
        if turn % 2 or zone is None:
            continue
        corners = [
            (slope.left_at(top), top),
            (slope.right_at(top), top),
            (slope.right_at(bottom), bottom),
            (slope.left_at(bottom), bottom),
        ]
        yield path(
            "M" + "L".join(f"{number(x)} {number(y)}" for x, y in corners) + "z",
            tone="fill-band",
        )


def _walls(slope: Slopes, floor_y: float) -> str:
    """The two slopes, from the rim to the floor, as one thin line each."""
    heights = (slope.rim_y - _STEP / 2, slope.floor_y, floor_y - 4)
    walls = [
        "M" + "L".join(at(slope.left_at(y), y) for y in heights),
        "M" + "L".join(at(slope.right_at(y), y) for y in heights),
    ]
    return path("".join(walls), tone="line line-hair", thick=0.8)


def _draw_row(row: _Row, slope: Slopes) -> Iterator[str]:
    level, y = row.level, row.y
    left, right = slope.left_at(y), slope.right_at(y)
    edge = 2.5 if level.target else 0.0
    yield mark(level, left - edge, y, Pen(filled=level.off, way=1))
    x = left - mark_width(level) - 2 * edge - _AIR
    if level.fasteners:
        yield text(x, y + 3.6, str(level.fasteners), size=_SMALL, tone="text-quiet", anchor="end")
        x -= width(str(level.fasteners), _SMALL) + _AIR
    for part, name in enumerate(row.names):
        yield text(x, y + 4.2 + part * _LINE, name, size=_NAME, anchor="end")
    for part, words in enumerate(row.under, start=len(row.names)):
        yield text(x, y + 4 + part * _LINE, words, size=_SMALL, tone="text-quiet", anchor="end")
    air = _AIR + 3.4 * slope.lean
    from_x = left + air
    yield text(from_x, y + 3.4, str(level.way_in), size=9, tone="text-quiet")
    from_x += width(str(level.way_in), 9) + _AIR
    yield from _guards(level, from_x, y, filled=level.off)
    from_x += _guard_room(level)
    if row.note:
        yield text(from_x + 2, y + 3.4, row.note, size=_SMALL, tone="text-quiet")
        from_x += width(row.note, _SMALL) + 2 * _AIR
    if level.way_back is None:
        return
    yield mark(level, right + edge, y, Pen(filled=level.back, way=-1))
    yield text(right - air, y + 3.4, str(level.way_back), size=9, tone="text-quiet", anchor="end")
    to_x = right - air - _AIR - width(str(level.way_back), 9)
    if _guard_room(level):
        to_x -= _guard_room(level)
        yield from _guards(level, to_x + 2, y, filled=level.back)
    yield from _twin_line(row, from_x, to_x, (left + right) / 2)
    yield from _right(row, right + mark_width(level) + 2 * edge + _AIR)


def _guards(level: Level, x: float, y: float, *, filled: bool) -> Iterator[str]:
    """The guard's sign and its pieces."""
    if not _guard_room(level):
        return
    yield cap(x + 4, y, filled=filled)
    if level.guards > 1:
        yield text(x + 10, y + 3.4, str(level.guards), size=9, tone="text-quiet")


def _twin_line(row: _Row, from_x: float, to_x: float, middle: float) -> Iterator[str]:
    """The line between twins, open where the zone's name stands on it."""
    level, y = row.level, row.y
    tone, dashes = ("line-ink", "") if level.back else ("line-hair", "2 4")
    if level.shape is Shape.SAFE and not level.back:
        tone, dashes = "line-ink", "9 3 2 3"
    gaps = [from_x, to_x]
    if row.zone:
        half = width(row.zone, _SMALL) / 2 + _AIR
        at = min(max(middle, from_x + half), max(to_x - half, from_x + half))
        yield text(at, y + 3.4, row.zone, size=_SMALL, tone="text-quiet", anchor="middle")
        gaps = [from_x, at - half, at + half, to_x]
    for start, end in zip(gaps[::2], gaps[1::2], strict=True):
        if end > start + 4:
            yield line(start, y, end, y, tone=tone, dashes=dashes)


def _right_signs(row: _Row) -> list[tuple[float, str]]:
    """What stands outside the right slope, in order, each with its width: tightness, new parts, last look."""
    level = row.level
    signs = []
    if row.torques:
        signs.append((max(width(part, _NAME) for part in row.torques) + 9, "torque"))
    if level.value_needed:
        signs.append((14.0, "value"))
    if level.new_parts:
        signs.append((width(f"{level.new_parts} new", _SMALL) + 21, "new"))
    if level.dearest is not None:
        signs.append((width(level.dearest_words, _SMALL) + 23, "look"))
    return signs


def _right(row: _Row, x: float) -> Iterator[str]:
    level, y = row.level, row.y
    if level.fasteners:
        yield text(x, y + 3.6, str(level.fasteners), size=_SMALL, tone="text-quiet")
        x += width(str(level.fasteners), _SMALL) + _AIR
    for wide, sign in _right_signs(row):
        if sign == "torque":
            tone = "text-accent" if level.value_needed else "text"
            for part, words in enumerate(row.torques):
                yield text(x, y + 4.2 + part * _LINE, words, size=_NAME, tone=tone)
        elif sign == "value":
            yield question(x + 5, y)
        elif sign == "new":
            yield diamond(x + 6, y)
            yield text(x + 13, y + 3.6, f"{level.new_parts} new", size=_SMALL)
        else:
            yield eye(x + 7, y)
            yield text(x + 16, y + 3.6, level.dearest_words, size=_SMALL, tone="text-quiet")
        x += wide


def _floor(new: Sequence[Renewal], slope: Slopes, y: float) -> tuple[list[str], float]:
    """The floor and the work that lies on it: what is renewed, then the one-time parts in two columns."""
    middle = (slope.floor_left + slope.floor_right) / 2
    parts = [line(slope.left_at(y - 4), y - 4, slope.right_at(y - 4), y - 4, tone="line-ink", thick=1.6)]
    y += 18
    parts.append(text(middle, y, "the work", size=_NAME, anchor="middle", bold=True))
    for one in (one for one in new if one.target):
        for row in wrap(f"renew {one.name}", 14, 410, bold=True):
            y += 20
            parts.append(text(middle, y, row, size=14, anchor="middle", tone="text-accent", bold=True))
    small = [one for one in new if not one.target]
    if not small:
        return parts, y + 8
    y += 26
    parts.append(text(middle, y, "new on the way back", size=_SMALL, anchor="middle", tone="text-quiet"))
    column = 196.0
    heights = [y + 17.0, y + 17.0]
    for one in small:
        side = 0 if heights[0] <= heights[1] else 1
        x = middle - column + side * (column + 8)
        words = ", ".join([one.name, one.torque] if one.torque else [one.name])
        sign = question if one.value_needed else diamond
        parts.append(sign(x + 5, heights[side] - 3.6))
        for row in wrap(words, _SMALL, column - 22):
            parts.append(text(x + 14, heights[side], row, size=_SMALL))
            heights[side] += 12
        heights[side] += 4
    return parts, max(heights) - 8


def _notes(
    rows: Sequence[_Row], slope: Slopes, new: Sequence[Renewal], plan: Plan, bottom: float
) -> tuple[list[str], float]:
    """Legend and dearest looks in the free corners below the slopes, or beneath all where there is none."""
    signs = legend_block(legend([row.level for row in rows], new), wide=_BLOCK, size=_SMALL)
    dear = dearest_block(dearest(plan), wide=_BLOCK, size=_SMALL)
    right = WIDE - _MARGIN - dear.wide
    if _fits(rows, slope, bottom - signs.high, left=True) and _fits(rows, slope, bottom - dear.high, left=False):
        return [_set(signs, _MARGIN, bottom - signs.high), _set(dear, right, bottom - dear.high)], bottom
    y = bottom + 30
    return [_set(signs, _MARGIN, y), _set(dear, right, y)], y + max(signs.high, dear.high)


def _set(block: Block, x: float, y: float) -> str:
    return group(block.parts, shift=(x, y))


def _fits(rows: Sequence[_Row], slope: Slopes, top: float, *, left: bool) -> bool:
    """Whether the lower left (or right) corner is free from this height down, for a block's width."""
    if top < rows[0].y:
        return False
    reach = _MARGIN + _BLOCK + 14
    for row in rows:
        if row.y + row.high < top - 10:
            continue
        room = _room(row)
        edge = slope.left_at(row.y) - room.left if left else WIDE - slope.right_at(row.y) - room.right
        if edge < reach:
            return False
    return True
