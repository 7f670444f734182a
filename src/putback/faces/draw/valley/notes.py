"""One idea: legend and notes are blocks with a known size, set where the sheet is free."""

from dataclasses import dataclass

from putback.faces.draw.ink import line, text
from putback.faces.draw.marks import Pen, cap, diamond, eye, mark, mark_width, question
from putback.faces.draw.measure import wrap
from putback.faces.draw.valley.words import Entry

_SIGN_ROOM = 44.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A block of lines. Each line: offset from the top, and what is drawn there (upper left corner at 0, 0)."""

    wide: float
    high: float
    parts: tuple[str, ...]


def legend_block(entries: tuple[Entry, ...], *, wide: float, size: float) -> Block:
    """The legend: a sign, then its words, one below the other."""
    step = size + 6
    parts = [text(0, size, "Signs", size=size, bold=True)]
    y = size + step + 2
    for entry in entries:
        parts.append(_sign(entry, y - size * 0.35))
        for row, words in enumerate(wrap(entry.words, size, wide - _SIGN_ROOM)):
            parts.append(text(_SIGN_ROOM, y + row * (size + 2), words, size=size, tone="text-quiet"))
        y += step + (len(wrap(entry.words, size, wide - _SIGN_ROOM)) - 1) * (size + 2)
    return Block(wide=wide, high=y - step + size * 0.4, parts=tuple(parts))


def dearest_block(lines: tuple[tuple[str, str], ...], *, wide: float, size: float) -> Block:
    """What costs most if forgotten: minutes on the right edge of a column, names beside them; empty for none."""
    if not lines:
        return Block(wide=wide, high=0.0, parts=())
    step = size + 5
    column = size * 5.2
    parts = [text(0, size, "Dearest if forgotten", size=size, bold=True)]
    y = size + step + 2
    for minutes, name in lines:
        parts.append(text(column - 8, y, minutes, size=size, anchor="end"))
        rows = wrap(name, size, wide - column)
        parts += [
            text(column, y + row * (size + 2), words, size=size, tone="text-quiet") for row, words in enumerate(rows)
        ]
        y += step + (len(rows) - 1) * (size + 2)
    return Block(wide=wide, high=y - step + size * 0.4, parts=tuple(parts))


def _sign(entry: Entry, y: float) -> str:
    """The sign of a legend's line, in the room left of its words."""
    right = _SIGN_ROOM - 10
    if entry.sample is not None:
        return mark(
            entry.sample, (right + mark_width(entry.sample)) / 2, y, Pen(filled=not entry.sample.target, way=1)
        )
    middle = right / 2
    if entry.sign == "guard":
        return cap(middle, y, filled=False)
    if entry.sign == "new":
        return diamond(middle, y)
    if entry.sign == "look":
        return eye(middle, y)
    if entry.sign == "value":
        return question(middle, y)
    return line(0, y, right, y, tone="line-ink", dashes="2 4" if entry.sign == "owed" else "")
