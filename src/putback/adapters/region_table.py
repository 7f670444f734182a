"""One idea: how many self-tests may be incomplete is a rule of a place, and comes from a table that the user keeps.

CSV `region,not complete allowed,source`. A line without a source is refused: a limit that nobody can look up is none.
"""

import csv
import io
from pathlib import Path
from typing import Final

from putback.adapters.car_file.text import read_bytes, read_text
from putback.core.codes.verdicts.statement import RegionRule
from putback.core.finding import Finding, Where

COLUMNS: Final = ("region", "not complete allowed", "source")


def read_region(path: Path, region: str) -> RegionRule | tuple[Finding, ...]:
    """The rule of one region, or everything that is wrong with the table."""
    name = str(path)
    data = read_bytes(path)
    text = data if isinstance(data, Finding) else read_text(data, name)
    if isinstance(text, Finding):
        what = text.what if text.rule != "empty" else "the table is empty"
        return (_wrong(name, text.where.line, "", what, f"write {','.join(COLUMNS)} and a line for each region"),)
    rules, findings = _rules(text, name)
    if findings:
        return tuple(findings)
    for rule in rules:
        if rule.region.casefold() == region.strip().casefold():
            return rule
    known = ", ".join(rule.region for rule in rules) or "none"
    return (_wrong(name, None, "region", f"there is no region {region!r}", f"the table has: {known}"),)


def _rules(text: str, name: str) -> tuple[list[RegionRule], list[Finding]]:
    rules: list[RegionRule] = []
    findings: list[Finding] = []
    reader = csv.reader(io.StringIO(text), skipinitialspace=True)
    try:
        rows = [(reader.line_num, row) for row in reader if row and not row[0].lstrip().startswith("#")]
    except csv.Error as error:
        return [], [_wrong(name, reader.line_num, "", f"cannot be read: {error}", "save it again as CSV")]
    if not rows or tuple(cell.strip().lower() for cell in rows[0][1]) != COLUMNS:
        mend = f"write {','.join(COLUMNS)} as the first line"
        return [], [_wrong(name, rows[0][0] if rows else None, "", "the line of column names is missing", mend)]
    for line, row in rows[1:]:
        cells = [cell.strip() for cell in row]
        if len(cells) != len(COLUMNS) or not all(cells) or not cells[1].isdecimal():
            mend = "write the region, a whole number, and where the rule is printed"
            findings.append(_wrong(name, line, "", f"{', '.join(row)!r} is no rule", mend))
        else:
            rules.append(RegionRule(region=cells[0], most_not_complete=int(cells[1]), source=cells[2]))
    return rules, findings


def _wrong(file: str, line: int | None, field: str, what: str, mend: str) -> Finding:
    return Finding(where=Where(file=file, line=line, field=field), what=what, mend=mend, rule="region")
