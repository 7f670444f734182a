"""`putback check`: read a car file and say everything that is wrong with it."""

from pathlib import Path

import click

from putback.app import check_car
from putback.core.finding import faults, notes
from putback.faces.cli.show import DONE, FAULTS, UNREADABLE, finding_json, print_findings, print_json


@click.command("check")
@click.argument("car", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the findings as JSON.")
def command(car: Path, as_json: bool) -> int:
    """Read a CAR file and say everything that is wrong with it, each with line, field and mend."""
    reading = check_car(car)
    wrong, known = faults(reading.findings), notes(reading.findings)
    if as_json:
        found = [finding_json(finding) for finding in reading.findings]
        print_json({"file": str(car), "readable": reading.readable, "faults": len(wrong), "findings": found})
    else:
        print_findings(reading.findings, err=False)
        click.echo(_summary(car, len(wrong), len(known)))
    if not reading.readable:
        return UNREADABLE
    return FAULTS if wrong else DONE


def _summary(car: Path, wrong: int, known: int) -> str:
    if wrong:
        return f"{car}: {wrong} to mend" + (f", {known} to know" if known else "")
    return f"{car}: read, nothing to mend" + (f", {known} to know" if known else "")
