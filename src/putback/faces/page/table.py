"""One idea: every list of the page is a table of plain text; the template draws them all alike."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column: its head; whether it holds figures, or short words that stay on one line; `mark` where it warns."""

    head: str
    figures: bool = False
    mark: bool = False
    whole: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A list with its title, an optional sentence before it and an optional line after it.

    `rows` hold one text for each column; a cell may hold several lines, split by a line feed. A row with one text
    alone is a heading over the rows that follow.
    """

    id: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    says: str = ""
    sum: str = ""
    dense: bool = False


def columns(*heads: str) -> tuple[Column, ...]:
    """Columns from their heads: a leading # marks figures, ! words that warn, ~ words that stay on one line.

    >>> [column.head for column in columns("item", "#minutes")]
    ['item', 'minutes']
    """
    return tuple(
        Column(head=head.lstrip("#!~"), figures=head[:1] == "#", mark=head[:1] == "!", whole=head[:1] == "~")
        for head in heads
    )


def figure(value: float | None, unit: str = "", missing: str = "") -> str:
    """A number as people write it, with its unit.

    >>> figure(118.50, "min"), figure(None, missing="not in the file")
    ('118.5 min', 'not in the file')
    """
    if value is None:
        return missing
    return f"{value:g} {unit}".strip()


def money(value: float) -> str:
    """An amount in the owner's own currency.

    >>> money(1435.4)
    '1435.40'
    """
    return f"{value:.2f}"


def listed(words: Iterable[str], nothing: str = "") -> str:
    """Words with commas between them."""
    return ", ".join(words) or nothing
