"""One idea: published figures stand in tables with their sources; a test reads a row, asks, and compares.

The tables in `printed/` give for each figure where it was seen; `status` says how well: SEEN (the text was read),
COMPUTED (worked out from it), MEMORY. A tolerance is `abs:`, `rel:`, `exact`, `range` (two bounds with `..` between)
or `disagree:`, for a misprint that has to be found out.
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

FOLDER = Path(__file__).parent / "printed"


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedRow:
    """One published figure."""

    id: str
    area: str
    quantity: str
    inputs: dict[str, str]
    expected: str
    unit: str
    tolerance: str
    source: str
    status: str
    formula: str
    note: str

    @property
    def misprint(self) -> bool:
        """Whether the published figure is wrong, and has to be told so."""
        return self.tolerance.startswith("disagree")

    def agrees(self, value: object) -> bool:
        """Whether a figure is the published one, within the row's tolerance."""
        if isinstance(value, tuple):
            return [float(bound) for bound in value] == [float(bound) for bound in self.expected.split("..")]
        kind, _, amount = self.tolerance.partition(":")
        if not isinstance(value, int | float) or not _is_number(self.expected):
            return str(value) == self.expected
        apart, printed = abs(float(value) - float(self.expected)), float(self.expected)
        if kind == "exact":
            return apart <= 1e-12 * abs(printed)
        if kind == "abs":
            return apart <= float(amount) + 1e-12
        return apart <= float(amount) * abs(printed)


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def rows(area: str | None = None, formula: str | None = None) -> Iterator[PrintedRow]:
    """The published figures of one area, or of all; of one formula, or of all."""
    for path in sorted(FOLDER.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            for line in csv.DictReader(file):
                row = _row(line)
                if area in (None, row.area) and formula in (None, row.formula):
                    yield row


def _row(line: dict[str, str]) -> PrintedRow:
    formula, _, note = line["note"].partition("|")
    pairs = (part.partition("=") for part in line["inputs"].split(";") if part)
    return PrintedRow(
        id=line["id"],
        area=line["area"],
        quantity=line["quantity"],
        inputs={key: value for key, _, value in pairs},
        expected=line["expected"],
        unit=line["unit"],
        tolerance=line["tolerance"],
        source=line["source"],
        status=line["status"],
        formula=formula.removeprefix("fn="),
        note=note,
    )
