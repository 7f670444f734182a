"""`putback audit`: hold a sequence of operations against the rules of the round trip."""

from pathlib import Path

import click

from putback.app import Refused, audit_file
from putback.core.finding import faults, notes
from putback.faces.cli.show import DONE, FAULTS, UNREADABLE, finding_json, print_findings, print_json
from putback.faces.names import counted


@click.command("audit")
@click.argument("car", type=click.Path(path_type=Path))
@click.argument("operations", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the findings as JSON.")
def command(car: Path, operations: Path, as_json: bool) -> int:
    """Audit OPERATIONS (a plan written with --json, or a list of operations) against its CAR file."""
    result = audit_file(car, operations)
    wrong, known = faults(result.findings), notes(result.findings)
    if as_json:
        print_json({"faults": len(wrong), "findings": [finding_json(finding) for finding in result.findings]})
    else:
        print_findings(result.findings, err=isinstance(result, Refused))
    if isinstance(result, Refused):
        return UNREADABLE
    if not as_json:
        counts = ((result.count, "operation"), (len(wrong), "fault"), (len(known), "note"))
        done, *found = (counted(count, word) for count, word in counts)
        click.echo(f"{done}: {', '.join(found)}")
    return FAULTS if wrong else DONE
