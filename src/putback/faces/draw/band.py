"""One idea: a band is seen: a bar from its least to its most, its middle as a stroke, and what it is held against.

Ends, middle and marks carry their figures, so the picture says the same without any colour and on paper.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from putback.core.fasten.answer import Band
from putback.core.fasten.tool import Line, Told
from putback.faces.draw import ink
from putback.faces.figures import band_end, band_words, figure

_WIDE, _EDGE = 360.0, 14.0
_TOP, _THICK, _LETTER, _LINE = 38.0, 20.0, 13.0, 20.0
_APART = 92.0
"""Closer than this the figures of both ends would run into each other, [units]."""
_FAR = 5.0
"""A band so much narrower than its distance from nought is drawn without nought."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A band to be drawn. `marks` are figures in the same unit that it is held against, with their words."""

    name: str
    band: Band
    unit: str
    middle: float | None = None
    marks: Sequence[tuple[str, float]] = ()


def bar_of(told: Told) -> Bar | None:
    """The band of an answer that is worth seeing: of its first line with one, else its own range; None without."""
    marks = [line for line in told.lines if line.mark]
    line = next((one for one in told.lines if one.band is not None and _with(one, marks)), None)
    if line is not None and line.band is not None:
        held = [(one.name, one.value) for one in marks if isinstance(one.value, int | float)]
        return Bar(name=line.name, band=line.band, unit=line.unit, middle=_figure(line), marks=held)
    if told.answer.range is not None:
        return Bar(name="range", band=told.answer.range, unit=told.answer.unit)
    return None


def _with(line: Line, marks: Sequence[Line]) -> bool:
    return all(mark.unit == line.unit for mark in marks)


def _figure(line: Line) -> float | None:
    return line.value if isinstance(line.value, int | float) else None


def band_svg(bar: Bar) -> str:
    """The picture of a band.

    Args:
        bar: what is drawn; its least is not above its most.

    Raises:
        ValueError: the band's ends are the wrong way round.
    """
    low, high = bar.band
    if low > high:
        raise ValueError("the least of a band is above its most")
    first, last = _axis(bar)

    def at(value: float) -> float:
        return _EDGE + (value - first) / (last - first) * (_WIDE - 2 * _EDGE)

    under = _TOP + _THICK
    parts = [ink.line(_EDGE, _TOP + _THICK / 2, _WIDE - _EDGE, _TOP + _THICK / 2, tone="line-hair")]
    parts += [
        ink.box(at(low), _TOP, max(at(high) - at(low), 2), _THICK, tone="fill-band line-ink", thick=1.5),
        *_ends(bar, at(low), at(high), under + 16),
    ]
    if first <= 0 <= last:
        parts += _nought(at(0), at(low if bar.middle is None else bar.middle))
    if bar.middle is not None:
        parts += [ink.line(at(bar.middle), _TOP - 5, at(bar.middle), under + 5, tone="line-ink", thick=3)]
        parts += [_words(at(bar.middle), _TOP - 12, f"{figure(bar.middle)} {bar.unit}", bold=True)]
    for row, (name, value) in enumerate(bar.marks):
        down = under + 16 + (row + 1) * _LINE
        parts += [ink.line(at(value), _TOP - 5, at(value), down - 12, tone="line-ink", thick=1.5, dashes="4 3")]
        parts += [_words(at(value), down, f"{name} {figure(value)} {bar.unit}")]
    high_px = under + 16 + len(bar.marks) * _LINE + 8
    return ink.sheet(parts, wide=_WIDE, high=high_px, title=f"Band of the {bar.name}", says=says(bar))


def says(bar: Bar) -> str:
    """The picture in one sentence.

    >>> says(Bar(name="preload", band=(11.1, 16.7), unit="kN", middle=13.3, marks=[("proof load", 21.2)]))
    'The preload lies within 11.1 to 16.7 kN, around 13.3 kN; proof load: 21.2 kN.'
    """
    middle = f", around {figure(bar.middle)} {bar.unit}" if bar.middle is not None else ""
    marks = "".join(f"; {name}: {figure(value)} {bar.unit}" for name, value in bar.marks)
    return f"The {bar.name} lies within {band_words(bar.band, bar.unit)}{middle}{marks}."


def _axis(bar: Bar) -> Band:
    """From where to where the picture goes: nought is in it, unless that would squeeze the band."""
    values = [*bar.band, *(value for _, value in bar.marks), *([] if bar.middle is None else [bar.middle])]
    least, most = min(values), max(values)
    span = bar.band[1] - bar.band[0] or abs(most) or 1.0
    if max(abs(least), abs(most)) <= _FAR * span:
        least, most = min(least, 0.0), max(most, 0.0)
    else:
        least, most = least - span / 2, most + span / 2
    room = (most - least) * 0.04 or 1.0
    return least - room, most + room


def _nought(x: float, words_at: float) -> list[str]:
    """A tick where nought is, with its figure where it would not touch the one beside it."""
    tick = ink.line(x, _TOP - 3, x, _TOP + _THICK + 3, tone="line-hair")
    far = abs(words_at - x) > _APART / 2
    return [tick, _words(x, _TOP - 12, "0", tone="text-quiet")] if far else [tick]


def _ends(bar: Bar, left: float, right: float, down: float) -> list[str]:
    """The figures of both ends, apart from each other."""
    low, high = (band_end(end) for end in bar.band)
    if right - left >= _APART:
        return [_words(left, down, low), _words(right, down, f"{high} {bar.unit}")]
    if left < _APART or right > _WIDE - _APART:
        return [_words((left + right) / 2, down, band_words(bar.band, bar.unit))]
    size = _LETTER
    return [
        ink.text(left + 6, down, low, size=size, anchor="end"),
        ink.text(right - 6, down, f"{high} {bar.unit}", size=size),
    ]


def _words(x: float, y: float, words: str, *, bold: bool = False, tone: str = "text") -> str:
    """Words under or over a place, never beyond the edge of the picture."""
    half = len(words) * _LETTER * 0.3
    if x - half < _EDGE / 2:
        return ink.text(_EDGE / 2, y, words, size=_LETTER, tone=tone, bold=bold)
    if x + half > _WIDE - _EDGE / 2:
        return ink.text(_WIDE - _EDGE / 2, y, words, size=_LETTER, tone=tone, anchor="end", bold=bold)
    return ink.text(x, y, words, size=_LETTER, tone=tone, anchor="middle", bold=bold)
