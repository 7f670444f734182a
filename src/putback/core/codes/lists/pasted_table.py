"""One idea: where the lines of a text have columns, which column holds what is guessed from their names, or from what
stands in them.

A column of bare bytes without a name is left alone: it may be a status or a failure type, and a person is asked.
"""

import csv
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from putback.core.codes.lists.pasted_words import find_codes, plain, status_of

SEPARATORS: Final = {"\t": "tab", ";": "semicolon", "|": "bar", ",": "comma"}
MODULE, CODE, STATUS, TEXT = "module", "code", "status", "text"
HOLDS: Final = (MODULE, CODE, STATUS, TEXT)

MOST_COLUMNS: Final = 64

_LOOKED_AT: Final = 2_000
_LONGEST: Final = 4_000
_NAMES: Final[Mapping[str, frozenset[str]]] = {
    MODULE: frozenset(
        [
            "module",
            "ecu",
            "unit",
            "system",
            "controller",
            "steuergerät",
            "calculateur",
            "centralita",
            "modulo",
            "módulo",
        ]
    )
    | {"control unit", "control module"},
    CODE: frozenset(["code", "dtc", "codes", "dtcs", "fehlercode", "código", "codice"])
    | {"trouble code", "fault code"},
    STATUS: frozenset(["status", "state", "zustand", "état", "estado", "stato"]) | {"status byte"},
    TEXT: frozenset(["text", "description", "meaning", "beschreibung", "descripción", "descrizione"]) | {"fault text"},
}
"""Names of columns. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Columns of a text, counted from 0; None: there is none. `names_line` is the line that names them, from 1."""

    separator: str
    code: int
    module: int | None = None
    status: int | None = None
    text: int | None = None
    names_line: int | None = None

    @property
    def places(self) -> frozenset[int | None]:
        """The columns of which it is known what they hold."""
        return frozenset((self.module, self.code, self.status, self.text))

    @property
    def said(self) -> str:
        """Which column was taken for what."""
        named = {MODULE: self.module, CODE: self.code, STATUS: self.status, TEXT: self.text}
        held = ", ".join(f"{name} {place + 1}" for name, place in named.items() if place is not None)
        return f"columns by {SEPARATORS[self.separator]}: {held}"

    def cells(self, line: str) -> tuple[str, ...]:
        """The cells of a line; none where it is no row of the table."""
        cells = _split(line, self.separator)
        if len(cells) < 2 or self.code >= len(cells):
            return ()
        return cells if self.module is not None or _is_code(cells[self.code]) else ()


def find_table(lines: Sequence[str], columns: Mapping[str, int]) -> Table | None:
    """The table of a text; None where its lines have no columns.

    Args:
        lines: the lines of the text.
        columns: what a person said, counted from 1; 0: there is no such column.
    """
    best: tuple[int, str, int, list[tuple[int, tuple[str, ...]]]] | None = None
    for separator in SEPARATORS:
        rows = [
            (n, _split(line, separator)) for n, line in enumerate(lines[:_LOOKED_AT], start=1) if separator in line
        ]
        said = columns.get(CODE)
        places = Counter(place for _, cells in rows for place in _code_places(cells))
        if not places or any(len(_code_places(cells)) > 1 for _, cells in rows):
            continue
        place, count = (said - 1, places[said - 1]) if said else places.most_common(1)[0]
        if count * 5 >= sum(places.values()) * 4 and (best is None or count > best[0]):
            best = count, separator, place, rows
    return None if best is None else _table(best[1], best[2], best[3], columns)


def _table(
    separator: str, code: int, rows: Sequence[tuple[int, tuple[str, ...]]], columns: Mapping[str, int]
) -> Table:
    first = next(n for n, cells in rows if code in _code_places(cells))
    names_line, names = next(
        ((n, named) for n, cells in rows if n < first and len(named := _named(cells)) > 1), (None, {})
    )
    body = [cells for _, cells in rows if code in _code_places(cells)]
    places: dict[str, int | None] = {**_by_content(body, code), **names} if names_line is None else dict(names)
    for what in (MODULE, STATUS, TEXT):
        if what in columns:
            places[what] = columns[what] - 1 if columns[what] > 0 else None
    return Table(
        separator=separator,
        code=code,
        module=places.get(MODULE),
        status=places.get(STATUS),
        text=places.get(TEXT),
        names_line=names_line,
    )


def _named(cells: Iterable[str]) -> dict[str, int]:
    """Which columns are named, the first of each kind."""
    found: dict[str, int] = {}
    for place, cell in enumerate(cells):
        for what, names in _NAMES.items():
            if plain(cell) in names and what not in found:
                found[what] = place
                break
    return found


def _by_content(body: Sequence[tuple[str, ...]], code: int) -> dict[str, int | None]:
    """Which columns hold what, from what stands in them; a module stands before its code."""
    width = min(len(cells) for cells in body)
    found: dict[str, int | None] = {}
    for place in range(width):
        column = [cells[place] for cells in body if plain(cells[place])]
        if place == code or not column:
            continue
        if STATUS not in found and all(status_of(cell) is not None for cell in column):
            found[STATUS] = place
        elif place < code and _are_names(column):
            found[MODULE] = place
        elif place > code and TEXT not in found and _are_names(column):
            found[TEXT] = place
    return found


def _are_names(column: Sequence[str]) -> bool:
    return all(sum(sign.isalpha() for sign in cell) * 2 > len(plain(cell)) for cell in column)


def _split(line: str, separator: str) -> tuple[str, ...]:
    line = line[:_LONGEST]
    if separator == "|":
        return tuple(cell.strip() for cell in line.strip().strip("|").split("|"))
    try:
        return tuple(cell.strip() for cell in next(csv.reader([line], delimiter=separator, skipinitialspace=True), ()))
    except csv.Error:
        return tuple(cell.strip() for cell in line.split(separator))


def _is_code(cell: str) -> bool:
    """Whether a cell holds one code and nothing else."""
    found = list(find_codes(cell)) if len(cell) < 20 else []
    return len(found) == 1 and len(cell.strip()) == found[0].end - found[0].start


def _code_places(cells: Sequence[str]) -> list[int]:
    few = 1 < len(cells) <= MOST_COLUMNS
    return [place for place, cell in enumerate(cells) if _is_code(cell)] if few else []
