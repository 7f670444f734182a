"""One idea: a section is a title, a line that leads in, and tables of plain text; how it looks is not its business."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

NOT_RECORDED: Final = "not recorded"
"""What stands where the record is silent: it is neither a yes nor a no."""


class Form(StrEnum):
    """How a table is read: by its columns, as name and words, or as twins: in, the thing, back."""

    COLUMNS = "columns"
    PAIRS = "pairs"
    TWINS = "twins"


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """The head of a column. `share` of the width, beside the shares of the others; `figure`: it holds numbers."""

    name: str
    share: float = 1.0
    figure: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of cells. `owed`: something of it is not back, not recorded or otherwise than asked: it stands out."""

    cells: tuple[str, ...]
    owed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows under columns; `title` where a section has several."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    title: str = ""
    form: Form = Form.COLUMNS


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One matter of a paper. `absent` is what is said where no table has a row."""

    id: str
    title: str
    lead: str = ""
    tables: tuple[Table, ...] = ()
    absent: str = NOT_RECORDED

    @property
    def empty(self) -> bool:
        """Whether there is nothing to set in rows."""
        return not any(table.rows for table in self.tables)

    def texts(self) -> Iterator[str]:
        """Every text of it, in the order of reading."""
        yield from (self.title, self.lead)
        for table in self.tables:
            yield table.title
            yield from (column.name for column in table.columns)
            yield from (cell for row in table.rows for cell in row.cells)
        yield self.absent if self.empty else ""


def pairs(lines: Iterable[tuple[str, str]], *, title: str = "") -> Table:
    """Names with their words; a line whose words are `NOT_RECORDED` stands out."""
    rows = tuple(Row(cells=line, owed=line[1].startswith(NOT_RECORDED)) for line in lines)
    return Table(columns=(Column(name="", share=1), Column(name="", share=4)), rows=rows, title=title, form=Form.PAIRS)
