"""One idea: the valley of a procedure is what was heard: the way in, at the bottom the work, the way back.

Twins lie on one level with a line between them; the line is dashed, and the right end open, where none was heard.
"""

from putback.core.operations import TWIN, WITHOUT_TWIN, Verb
from putback.core.procedure import TWINNED, Line, Procedure
from putback.faces.draw.ink import dot, line, sheet, text

_WIDE, _NARROW = 1160.0, 390.0
_ROW, _NARROW_ROW = 23.0, 40.0
_LETTERS_LEFT, _LETTERS_RIGHT, _LETTERS_NARROW = 46, 40, 44


def said_valley_svg(procedure: Procedure, *, narrow: bool = False) -> str:
    """The picture of what was said.

    Args:
        procedure: what was said.
        narrow: for a phone held upright, 390 units wide, instead of 1160.
    """
    levels = [one for one in procedure.lines if one.verb in TWINNED]
    work = [one for one in procedure.lines if one.verb in WITHOUT_TWIN]
    wide, row = (_NARROW, _NARROW_ROW) if narrow else (_WIDE, _ROW)
    parts = []
    for place, level in enumerate(levels):
        depth = place / max(1, len(levels) - 1)
        parts += _level(procedure, level, depth, 24 + place * row + (14 if narrow else 0), narrow=narrow)
    floor = 24 + len(levels) * row + 16
    parts += _work(work, wide / 2, floor, narrow=narrow)
    owed = len(procedure.owed())
    says = f"{len(levels)} things on the way in; the way back of {owed} was not heard."
    return sheet(parts, wide=wide, high=floor + 22 * max(1, len(work)) + 10, title="The valley", says=says)


def _level(procedure: Procedure, level: Line, depth: float, y: float, *, narrow: bool) -> list[str]:
    """One level: a dot on the left slope, a dot or an open ring on the right one, the line between."""
    back = procedure.heard_back(level)
    middle, rim, floor = (_NARROW / 2, 178.0, 70.0) if narrow else (_WIDE / 2, 240.0, 90.0)
    reach = rim + (floor - rim) * depth
    left, right = middle - reach, middle + reach
    parts = [line(left, y, right, y, tone="line-ink" if back else "line-hair", dashes="" if back else "4 4")]
    parts.append(dot(left, y, 3.5, tone="fill-ink"))
    parts.append(
        dot(right, y, 3.5, tone="fill-ink" if back else "fill-paper line-accent", thick=None if back else 1.5)
    )
    heard = [f"{one.n} {one.verb}" for one in procedure.twins_of(level.n)]
    went = ", ".join(heard if back else [*heard, f"{TWIN[level.verb]}: not heard"])
    name = f"{level.n} {level.verb} {level.object}"
    tone = "text" if back else "text-accent"
    if narrow:
        words = _cut(name if back else f"{name} – not heard", _LETTERS_NARROW)
        return [*parts, text(middle, y - 7, words, size=12, anchor="middle", tone=tone, bold=not back)]
    parts.append(text(left - 10, y + 4, _cut(name, _LETTERS_LEFT), size=13, anchor="end"))
    parts.append(text(right + 10, y + 4, _cut(went, _LETTERS_RIGHT), size=13, tone=tone, bold=not back))
    return parts


def _work(work: list[Line], x: float, top: float, *, narrow: bool) -> list[str]:
    """What has no twin, at the bottom."""
    if not work:
        return [text(x, top + 8, "no work without a twin was heard", size=12, anchor="middle", tone="text-quiet")]
    return [
        text(
            x,
            top + 8 + 22 * place,
            _cut(f"{one.n} {one.verb} {one.object}", _LETTERS_NARROW),
            size=12 if narrow else 13,
            anchor="middle",
            bold=one.verb is Verb.RENEW,
        )
        for place, one in enumerate(work)
    ]


def _cut(words: str, letters: int) -> str:
    """A text that fits, with a sign where it was cut.

    >>> _cut("undo upper intake bolts", 10)
    'undo uppe…'
    """
    return words if len(words) <= letters else f"{words[: letters - 1]}…"
