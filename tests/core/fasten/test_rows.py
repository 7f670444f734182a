"""Every published figure of `printed/`, asked by formula or by table as a person asks it. Sources: in each row."""

import pytest

from core.fasten.rows import PrintedRow, rows
from putback.core.fasten.calc import FORMULAS, LOOKUP, TABLES, calc, look_up

ROWS = list(rows())
WORKED_OUT = [row for row in ROWS if row.formula != LOOKUP]
READ = [row for row in ROWS if row.formula == LOOKUP]


def _id(row: PrintedRow) -> str:
    return row.id


def test_there_are_rows_of_every_kind() -> None:
    assert len(ROWS) == 419
    assert len(WORKED_OUT) > 290
    assert sum(row.misprint for row in ROWS) >= 10
    assert {row.formula for row in WORKED_OUT} <= set(FORMULAS)


@pytest.mark.parametrize("row", [row for row in WORKED_OUT if not row.misprint], ids=_id)
def test_a_formula_gives_the_published_figure(row: PrintedRow) -> None:
    answer = calc(row.formula, row.inputs)
    assert answer.refused is None, answer.refused
    assert row.agrees(answer.value), f"{row.quantity}: {answer.value}, published {row.expected} ({row.source})"
    assert answer.source
    if answer.band is not None and isinstance(answer.value, float):
        assert answer.band[0] <= answer.value <= answer.band[1]


@pytest.mark.parametrize("row", [row for row in WORKED_OUT if row.misprint], ids=_id)
def test_a_misprint_is_found_out(row: PrintedRow) -> None:
    """The published figure lies outside its tolerance of what the formula gives."""
    value, apart = calc(row.formula, row.inputs).value, float(row.tolerance.partition(":")[2])
    assert isinstance(value, float)
    assert abs(value - float(row.expected)) > apart * abs(float(row.expected))


@pytest.mark.parametrize("row", READ, ids=_id)
def test_a_table_holds_the_published_figure(row: PrintedRow) -> None:
    answer = look_up({**row.inputs, "about": row.quantity})
    found = answer.range if answer.range is not None else answer.value
    assert row.agrees(found), f"{row.quantity}: {found}, published {row.expected}"
    assert answer.unit == row.unit
    if row.status == "MEMORY":
        assert any("memory" in text for text in answer.warnings)


def test_every_row_of_a_table_says_where_it_is_from() -> None:
    for row in TABLES:
        assert row.source, row
        assert row.seen in ("seen", "computed", "from memory", "common practice, no source"), row
