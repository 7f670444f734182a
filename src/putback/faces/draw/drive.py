"""One idea: a channel of a drive is a line that breaks where nothing came; each drop-out is a stroke under it.

The figures at its edges, its last value and how it was logged stand in the picture, so that it reads without colour.
"""

from collections.abc import Callable, Sequence
from math import floor, log10
from typing import Final, TypeAlias

from putback.core.codes.drive.log import Channel, Drive, Record, rate, runs
from putback.faces.draw import ink
from putback.faces.draw.measure import shortened, width

_WIDE, _HIGH = 360.0, 158.0
_LEFT, _RIGHT, _TOP, _UNDER = 50.0, 350.0, 46.0, 118.0
_LETTER: Final = 12.5
_MOST_POINTS: Final = 600
_MOST_STEPS: Final = 10
Place: TypeAlias = Callable[[float, float], tuple[float, float]]
"""Where a time and a value lie on the paper."""

LAST_S: Final = 120.0
"""So much of a drive is shown while it is logged, [s]."""


def strip_svg(drive: Drive, channel: Channel, *, last_s: float | None = LAST_S) -> str:
    """The picture of one channel over time.

    Args:
        drive: the drive.
        channel: one of its channels.
        last_s: only the newest so many seconds; None: all of it, [s].
    """
    records = drive.series[channel.key]
    end_s = max((one[-1].at_s for one in drive.series.values() if one), default=0.0)
    begin_s = min((one[0].at_s for one in drive.series.values() if one), default=0.0)
    begin_s = begin_s if last_s is None else max(begin_s, end_s - last_s)
    seen = tuple(one for one in records if one.at_s >= begin_s)
    first, last = _axis([one.value for one in seen if one.value is not None])

    def place(at_s: float, value: float) -> tuple[float, float]:
        across = (at_s - begin_s) / ((end_s - begin_s) or 1.0)
        return _LEFT + across * (_RIGHT - _LEFT), _UNDER - (value - first) / (last - first) * (_UNDER - _TOP)

    parts = [
        *_head(channel, seen),
        ink.line(_LEFT, _UNDER, _RIGHT, _UNDER, tone="line-hair"),
        ink.line(_LEFT, _TOP, _RIGHT, _TOP, tone="line-hair", dashes="2 4"),
        ink.text(_LEFT - 6, _TOP + 4, f"{last:.4g}", size=_LETTER, tone="text-quiet", anchor="end"),
        ink.text(_LEFT - 6, _UNDER + 4, f"{first:.4g}", size=_LETTER, tone="text-quiet", anchor="end"),
        *(_run([place(one.at_s, one.value or 0.0) for one in _thinned(run)]) for run in runs(seen)),
        *_drop_outs(seen, place, first),
        *_foot(begin_s, end_s),
    ]
    return ink.sheet(parts, wide=_WIDE, high=_HIGH, title=channel.name, says=says(channel, seen))


def says(channel: Channel, records: Sequence[Record]) -> str:
    """The picture in one sentence."""
    values = [one.value for one in records if one.value is not None]
    if not values:
        return f"{channel.name}: no value came; {_drops(tuple(records))}."
    unit = f" {channel.unit}".rstrip()
    return (
        f"{channel.name}: {min(values):.4g} to {max(values):.4g}{unit}, last {values[-1]:.4g}{unit}; "
        f"{_drops(tuple(records))}."
    )


def _axis(values: Sequence[float]) -> tuple[float, float]:
    """From where to where the picture goes, both round figures."""
    if not values:
        return 0.0, 1.0
    least, most = min(values), max(values)
    span = max(most - least, abs(most) * 0.01, 1.0)
    step = 10 ** floor(log10(span))
    step = next(one for one in (step / 5, step / 2, step) if span / one <= _MOST_STEPS)
    return floor(least / step) * step, (floor(most / step) + 1) * step


def _head(channel: Channel, records: Sequence[Record]) -> list[str]:
    last = records[-1].value if records else None
    value = "no value" if last is None else f"{last:.4g} {channel.unit}"
    room = _RIGHT - 10 - width(value, _LETTER + 2, bold=True) - 12
    return [
        ink.text(10, 18, shortened(channel.name, _LETTER, room), size=_LETTER, bold=True),
        ink.text(_RIGHT, 18, value, size=_LETTER + 2, anchor="end", bold=True),
        ink.text(10, 35, _drops(tuple(records)), size=_LETTER, tone="text-quiet"),
    ]


def _drops(records: tuple[Record, ...]) -> str:
    """How it was logged, in words."""
    found = rate(records)
    step = "" if found.step_s is None else f"a value every {found.step_s:.2g} s, "
    lost = "no drop-outs" if not found.drop_outs else f"{found.drop_outs} of {len(records)} dropped out"
    return f"{step}{lost}"


def _thinned(run: tuple[Record, ...]) -> tuple[Record, ...]:
    """Least and most of each stretch, where there are more points than the eye can part."""
    if len(run) <= _MOST_POINTS:
        return run
    each = -(-len(run) // (_MOST_POINTS // 2))
    found: list[Record] = []
    for begin in range(0, len(run), each):
        stretch = run[begin : begin + each]
        ends = {min(stretch, key=_value), max(stretch, key=_value)}
        found += sorted(ends, key=lambda one: one.at_s)
    return tuple(found)


def _value(record: Record) -> float:
    return record.value or 0.0


def _run(points: Sequence[tuple[float, float]]) -> str:
    if len(points) == 1:
        return ink.dot(*points[0], 1.6, tone="fill-ink")
    return ink.path(f"M{'L'.join(ink.at(x, y) for x, y in points)}", tone="line line-ink", thick=1.6)


def _drop_outs(records: Sequence[Record], place: Place, first: float) -> list[str]:
    strokes = [place(one.at_s, first)[0] for one in records if one.value is None and not one.not_run]
    steps = "".join(f"M{ink.at(x, _UNDER + 3)}v7" for x in dict.fromkeys(round(x, 1) for x in strokes))
    return [ink.path(steps, tone="line line-accent", thick=1.4)] if steps else []


def _foot(begin_s: float, end_s: float) -> list[str]:
    return [
        ink.text(_LEFT, _UNDER + 26, f"{begin_s:.0f} s", size=_LETTER, tone="text-quiet"),
        ink.text(_RIGHT, _UNDER + 26, f"{end_s:.0f} s", size=_LETTER, tone="text-quiet", anchor="end"),
    ]
