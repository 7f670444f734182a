"""One idea: a printed row is asked through the module's own list, with its inputs as text, as a person types them."""

from collections.abc import Iterable

from core.fasten.rows import PrintedRow, rows
from putback.core.fasten.answer import Answer, Figure, Formula, Kind, NotComputable, Row


def rows_of(formulas: Iterable[Formula]) -> list[PrintedRow]:
    """All printed rows, of whatever area, that one of these formulas answers."""
    names = {formula.name for formula in formulas}
    return [row for row in rows() if row.formula in names]


def looked_up(area: str) -> list[PrintedRow]:
    return list(rows(area, "lookup"))


def ask(formulas: Iterable[Formula], name: str, **given: str) -> Answer:
    """What a formula answers; inputs as typed, by their short names."""
    formula = next(formula for formula in formulas if formula.name == name)
    inputs = {one.to: _read(one.kind, given[one.name]) for one in formula.inputs}
    assert {one.name for one in formula.inputs} == set(given), "every input is used"
    try:
        return Answer(
            value=formula.work(**inputs),
            unit=formula.unit,
            band=formula.band(**inputs),
            source=formula.source,
            warnings=tuple(formula.warn(**inputs)),
        )
    except NotComputable as out:
        return Answer(refused=str(out), source=formula.source)


def look(table: Iterable[Row], row: PrintedRow) -> Row:
    """The one line of a table with the row's keys, no more and no fewer, about the same thing."""
    fitting = [line for line in table if dict(line.keys) == row.inputs and line.about == row.quantity]
    assert len(fitting) == 1, row
    return fitting[0]


def _read(kind: Kind, text: str) -> Figure | tuple[float, ...]:
    if kind is Kind.TEXT:
        return text
    if kind is Kind.NUMBERS:
        return tuple(float(part) for part in text.split("/"))
    return float(text)
