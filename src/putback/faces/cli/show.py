"""One idea: every command prints findings, notes and JSON in one manner."""

import json
from collections.abc import Iterable
from typing import Any

import click

from putback.core.finding import Finding

DONE, FAULTS, UNREADABLE, IMPOSSIBLE, INTERRUPTED = 0, 1, 2, 3, 130


def finding_json(finding: Finding) -> dict[str, Any]:
    """A finding as JSON."""
    where = finding.where
    return {
        "kind": str(finding.kind),
        "file": where.file,
        "line": where.line,
        "field": where.field,
        "what": finding.what,
        "mend": finding.mend,
        "rule": finding.rule,
    }


def print_findings(findings: Iterable[Finding], *, err: bool) -> None:
    """Each finding on a line of its own; a note says that it is one."""
    for finding in findings:
        prefix = "note: " if finding.kind == "note" else ""
        click.echo(f"{prefix}{finding}", err=err)


def print_json(value: Any) -> None:
    """JSON on standard output, letters as they are."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=1, allow_nan=False))
