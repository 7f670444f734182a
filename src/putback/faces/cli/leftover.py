"""`putback fasten leftover`: which joint is this bolt from, by a car file, or by a job with its record."""

from pathlib import Path

import click

from putback.adapters.car_file import read_car
from putback.core.fasten.tool import Tool
from putback.faces.cli.fasten import option, tell
from putback.faces.cli.job_here import job_here
from putback.faces.cli.show import UNREADABLE, print_findings
from putback.tight.leftover import FIELDS, leftover_tool


def _tool(*, car: Path | None, store: str | None, job: str | None, files: Path | None) -> Tool | int:
    """The question, asked of a car file or of a job; the exit code where neither can be read."""
    if store is not None and job is not None:
        return _of_job(store, job, files)
    if car is None:
        click.echo("--car is missing: name a car file, or --store and --job", err=True)
        return UNREADABLE
    reading = read_car(car)
    if reading.car is None:
        print_findings(reading.findings, err=True)
        return UNREADABLE
    return leftover_tool(reading.car)


def _of_job(store: str, job: str, files: Path | None) -> Tool | int:
    with job_here(store, job, files=files) as here:
        if isinstance(here, tuple):
            print_findings(here, err=True)
            return UNREADABLE
        planned = {op.joint for op in here.plan.operations if op.joint}
        return leftover_tool(here.plan.car, operations=here.view.now.folded.operations, planned=planned)


def _run(
    *,
    car: Path | None,
    store: str | None,
    job: str | None,
    files: Path | None,
    as_json: bool,
    **given: str | None,
) -> int:
    tool = _tool(car=car, store=store, job=job, files=files)
    return tool if isinstance(tool, int) else tell(tool, given, as_json=as_json)


command = click.Command(
    "leftover",
    callback=_run,
    params=[
        *(option(one) for one in FIELDS),
        click.Option(["--car"], type=click.Path(path_type=Path), help="A car file: every joint of it is asked."),
        click.Option(["--store"], help="A store of records, with --job: what that job undid is asked."),
        click.Option(["--job"], help="The job; `putback record show STORE` lists the jobs."),
        click.Option(["--files"], type=click.Path(path_type=Path), help="Where plans of jobs are kept. [beside it]"),
        click.Option(["--json", "as_json"], is_flag=True, help="Print the answer as JSON."),
    ],
    help="Rank the joints that a fastener left over may be from, and say which evidence is missing.\n\n"
    "Such as: putback fasten leftover --thread M8x40 --count 1 --store putback.db --job JOB",
    short_help="Which joint is this bolt from?",
)
"""Which joint is this bolt from?"""
