"""One idea: a section becomes plain JSON for the typesetter: texts as the typefaces can show them, never markup."""

from typing import Any

from putback.core.papers import Row, Section, Table
from putback.faces.pdf.letters import broken, shown

_LETTERS_WIDE = 112
"""So many letters of a table's size stand in a line of the page, [letters]."""


def text(words: str, *, plain: bool, longest: int = 60) -> str:
    """One text."""
    return broken(shown(words, plain=plain), longest=longest)


def section(one: Section, *, plain: bool) -> dict[str, Any]:
    """One section with its tables that have rows."""
    return {
        "id": one.id,
        "title": text(one.title, plain=plain),
        "lead": text(one.lead, plain=plain),
        "absent": text(one.absent, plain=plain) if one.empty else "",
        "tables": [_table(table, plain) for table in one.tables if table.rows],
    }


def _table(table: Table, plain: bool) -> dict[str, Any]:
    shares = [column.share for column in table.columns]
    longest = [max(4, int(_LETTERS_WIDE * share / sum(shares)) - 3) for share in shares]
    return {
        "title": text(table.title, plain=plain),
        "form": str(table.form),
        "columns": [
            {"name": text(one.name, plain=plain), "share": one.share, "figure": one.figure} for one in table.columns
        ],
        "rows": [_row(row, longest, plain) for row in table.rows],
    }


def _row(row: Row, longest: list[int], plain: bool) -> dict[str, Any]:
    cells = [text(cell, plain=plain, longest=most) for cell, most in zip(row.cells, longest, strict=True)]
    return {"cells": cells, "owed": row.owed}
