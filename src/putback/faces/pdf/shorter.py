"""One idea: a sheet of one page is said in several lengths, and the typesetter takes the longest that fits.

Type never becomes smaller. What a shorter form leaves out is counted where it is left out, and stands whole in the
job record; sums still add up, since lines of the sum that are left out are added together.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from putback.bay.handover import HandOver, Sum

_REST = "see the job record"
_LONGEST_NAME = 40
"""A list is cut between its names where they are no longer than this, [letters]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Length:
    """How much one form says: lines under a heading, lines of the sum, letters of a line, letters of a fact."""

    lines: int
    sums: int
    letters: int
    fact_letters: int


LENGTHS = (
    Length(lines=40, sums=40, letters=4000, fact_letters=2000),
    Length(lines=30, sums=20, letters=600, fact_letters=400),
    Length(lines=20, sums=15, letters=400, fact_letters=300),
    Length(lines=12, sums=12, letters=300, fact_letters=200),
    Length(lines=9, sums=9, letters=240, fact_letters=160),
    Length(lines=7, sums=8, letters=180, fact_letters=120),
    Length(lines=7, sums=7, letters=130, fact_letters=100),
    Length(lines=6, sums=6, letters=130, fact_letters=100),
    Length(lines=5, sums=6, letters=90, fact_letters=80),
    Length(lines=3, sums=5, letters=70, fact_letters=60),
    Length(lines=2, sums=3, letters=40, fact_letters=30),
)
"""The longest first; the last fits even in the widest letters."""


def lengths(sheet: HandOver, said: Callable[[str], str]) -> list[dict[str, Any]]:
    """Every form of a sheet, the longest first; forms that say the same as the one before are left out.

    Args:
        sheet: the whole of it.
        said: a text as the typefaces can show it.
    """
    found: list[dict[str, Any]] = []
    for length in LENGTHS:
        form = _form(sheet, said, length)
        if not found or form != found[-1]:
            found.append(form)
    return found


def _form(sheet: HandOver, said: Callable[[str], str], length: Length) -> dict[str, Any]:
    return {
        "title": cut(said(sheet.title), length.fact_letters),
        "facts": [[said(name), cut(said(words), length.fact_letters)] for name, words in sheet.facts],
        "blocks": [
            [said(title), [cut(said(line), length.letters) for line in _few(lines, length.lines)]]
            for title, lines in sheet.blocks
        ],
        "sums": [[cut(said(one.name), length.letters), one.amount] for one in _few_sums(sheet.sums, length.sums)],
    }


def cut(words: str, letters: int) -> str:
    """A text of about so many letters, cut between the names of a list or between words, and where the rest stands.

    >>> cut("bumper, undertray, bonnet latch", 24)
    'bumper, … (see the job record)'
    >>> cut("bumper, undertray", 24)
    'bumper, undertray'
    """
    if len(words) <= letters:
        return words
    room = max(8, letters - len(_REST) // 2)
    start = words[:room]
    names, between, rest = start.rpartition(", ")
    if not between or len(rest) > _LONGEST_NAME:
        names, between = start.rpartition(" ")[0] or start, " "
    return f"{names}{between.rstrip()} … ({_REST})"


def _few(lines: tuple[str, ...], most: int) -> Iterator[str]:
    yield from lines[:most] if len(lines) > most else lines
    if len(lines) > most:
        yield f"{len(lines) - most} more: {_REST}."


def _few_sums(sums: tuple[Sum, ...], most: int) -> Iterator[Sum]:
    """The first lines, and what all others come to in one line."""
    if len(sums) <= most:
        yield from sums
        return
    yield from sums[: most - 1]
    rest = sums[most - 1 :]
    amount = sum((Decimal(one.amount) for one in rest), Decimal(0))
    yield Sum(name=f"{len(rest)} more lines: {_REST}", amount=f"{amount:.2f}")
