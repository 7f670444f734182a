"""`putback codes`: code lists read before and after the work, held against one another."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from putback.adapters.car_file import read_car
from putback.adapters.code_lists import read_code_list
from putback.core.codes.cause import Diagnosis, diagnose
from putback.core.codes.compare import Comparison, compare
from putback.core.codes.expected import expectations
from putback.core.codes.listing import Listing, Stage
from putback.core.codes.statement import NotRead, RegionRule, headline, not_read, open_points, readiness_words
from putback.core.codes.weights import Weights
from putback.core.finding import Finding, Where
from putback.faces.cli.codes_job import Job, job_of, job_of_record
from putback.faces.cli.codes_json import causes_json, comparison_json, not_read_json, suspects_json
from putback.faces.cli.show import DONE, FAULTS, UNREADABLE, finding_json, print_findings, print_json


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked on the command line."""

    before: Path
    after: tuple[Path, ...]
    car: Path | None
    job: str | None
    store: str | None
    files: Path | None
    weight: tuple[str, ...]
    regions: Path | None
    region: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What came of it. `job` None: no car file was named."""

    comparison: Comparison
    job: Job | None
    diagnosis: Diagnosis | None
    unread: tuple[NotRead, ...]
    rule: RegionRule | None
    notes: tuple[Finding, ...]

    @property
    def open_points(self) -> tuple[str, ...]:
        """What nobody has tested, heard or explained."""
        return open_points(self.comparison, self.unread)


def hold(asked: Asked) -> Held | tuple[Finding, ...]:
    """Read everything and hold the reads against one another; the findings where something cannot be read."""
    read = [read_code_list(path) for path in (asked.before, *asked.after)]
    problems = [finding for one in read if one.listing is None for finding in one.findings]
    notes = [finding for one in read if one.listing is not None for finding in one.findings]
    job = _job(asked)
    weights = _weights(asked.weight)
    rule = _rule(asked)
    for part in (job, weights, rule):
        problems += part if isinstance(part, tuple) else []
    listings = [one.listing for one in read if one.listing is not None]
    problems += _out_of_order(listings) if len(listings) == len(read) else []
    if problems or isinstance(job, tuple) or isinstance(weights, tuple) or isinstance(rule, tuple):
        return tuple(problems)
    return _held(listings, job, weights, rule, tuple(notes))


def _out_of_order(listings: Sequence[Listing]) -> list[Finding]:
    """The first list is from before the work and no other is, as far as the lists say when they were read."""
    found = []
    for n, one in enumerate(listings):
        if one.stage in set(Stage) and (one.stage == Stage.BEFORE) is not (n == 0):
            what = f"it was read {one.stage!r}, and stands {'first' if n == 0 else 'after the list from before'}"
            mend = "give the list from before the work first, then those from after it"
            found.append(Finding(where=Where(file=one.name, field="stage"), what=what, mend=mend, rule="call"))
    return found


def _held(
    listings: Sequence[Listing],
    job: Job | None,
    weights: Weights,
    rule: RegionRule | None,
    notes: tuple[Finding, ...],
) -> Held:
    if job is None:
        comparison = compare(listings)
        return Held(comparison=comparison, job=None, diagnosis=None, unread=(), rule=rule, notes=notes)
    comparison = compare(listings, expected=expectations(job.car, job.disturbed))
    last, items = listings[-1], job.disturbed.items
    return Held(
        comparison=comparison,
        job=job,
        diagnosis=diagnose(job.car, items, comparison=comparison, last=last, weights=weights, access=job.access),
        unread=not_read(job.car, items, last),
        rule=rule,
        notes=notes,
    )


def _job(asked: Asked) -> Job | tuple[Finding, ...] | None:
    if asked.store is not None:
        if asked.job is None:
            return _call("--job", "a store is named, but no job of it", "name the job: putback record show STORE")
        return job_of_record(asked.job, store=asked.store, files=asked.files)
    if asked.car is None:
        if asked.job is None:
            return None
        return _call("--car", "a job is named, but no car file", "name the car file with --car")
    reading = read_car(asked.car)
    return reading.findings if reading.car is None else job_of(reading.car, asked.job)


def _call(field: str, what: str, mend: str) -> tuple[Finding, ...]:
    return (Finding(where=Where(file="codes", field=field), what=what, mend=mend, rule="call"),)


def _weights(given: Sequence[str]) -> Weights | tuple[Finding, ...]:
    weights = Weights()
    for one in given:
        name, sign, value = one.partition("=")
        try:
            if not sign:
                raise ValueError(f"{one!r} is no NAME=VALUE")
            weights = weights.changed(name.strip(), float(value))
        except ValueError as wrong:
            return _call("--weight", str(wrong), "write such as --weight unplug=0.03")
    return weights


def _rule(asked: Asked) -> RegionRule | tuple[Finding, ...] | None:
    if asked.regions is None and asked.region is None:
        return None
    if asked.regions is None or asked.region is None:
        return _call("--region", "a region needs its table, and a table a region", "give --regions FILE --region NAME")
    from putback.adapters.region_table import read_region  # noqa: PLC0415 - loaded where a table is given

    return read_region(asked.regions, asked.region)


def _options(function: Any) -> Any:
    """The lists, and what is to be known of the job; the same for both commands."""
    path = click.Path(path_type=Path)
    for add in reversed(
        (
            click.argument("before", type=path),
            click.argument("after", type=path, nargs=-1, required=True),
            click.option("--car", type=path, help="The car file: circuits, expected codes, relearns."),
            click.option("--job", help="What was renewed (ids), a JSON file of operations, or a job of --store."),
            click.option("--store", help="A store of records, in which --job is."),
            click.option("--files", type=path, help="Where plans of jobs are kept. [default: beside the store]"),
            click.option("--weight", multiple=True, metavar="NAME=VALUE", help="Change a guess behind the ranking."),
            click.option("--regions", type=path, help="Your table of regions: how many self-tests may be incomplete."),
            click.option("--region", help="The line of that table that counts here."),
            click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON."),
        )
    ):
        function = add(function)
    return function


@click.group("codes")
def command() -> None:
    """Trouble codes before and after the work: what was there, what the work may have caused, what nobody tested."""


@command.command("compare")
@_options
def compare_command(*, as_json: bool, **given: Any) -> int:
    """Hold the list read BEFORE the work against those read AFTER it, the last of which counts. A code is called gone
    only where its own test has run and passed; what was not heard or not tested is said. The exit code is 1 while
    anything is open.
    """
    held = hold(Asked(**given))
    if isinstance(held, tuple):
        return _refused(held, as_json=as_json)
    points = held.open_points
    said = readiness_words(held.comparison.readiness_after, held.rule)
    sum_up = headline(held.comparison, points)
    if as_json:
        answer = comparison_json(held.comparison)
        answer["causes"] = causes_json(held.diagnosis)
        answer["readiness"]["statement"] = said
        answer |= {"not_read": not_read_json(held.unread), "open": list(points), "headline": sum_up}
        print_json(answer | _remarks(held))
    else:
        from putback.faces.cli import codes_text  # noqa: PLC0415 - only where text is asked for
        from putback.faces.cli.plan_text import console  # noqa: PLC0415 - the same

        _say(held)
        out = console()
        codes_text.print_comparison(out, held.comparison)
        if held.job is not None and held.diagnosis is not None:
            codes_text.print_causes(out, held.job.car, held.diagnosis)
        codes_text.print_open(out, points, sum_up, said)
    return FAULTS if points else DONE


@command.command("cause")
@_options
def cause_command(*, as_json: bool, **given: Any) -> int:
    """Say what of the work may have caused the new codes, where to look next, by which guesses. Needs --car."""
    held = hold(Asked(**given))
    if not isinstance(held, tuple) and (held.job is None or held.diagnosis is None):
        held = _call("--car", "no car file is named", "name the car file: it says which item has which circuit")
    if isinstance(held, tuple):
        return _refused(held, as_json=as_json)
    assert held.job is not None
    assert held.diagnosis is not None
    if as_json:
        print_json({"causes": causes_json(held.diagnosis)} | suspects_json(held.diagnosis) | _remarks(held))
    else:
        from putback.faces.cli import codes_text  # noqa: PLC0415 - only where text is asked for
        from putback.faces.cli.plan_text import console  # noqa: PLC0415 - the same

        _say(held)
        out = console()
        codes_text.print_causes(out, held.job.car, held.diagnosis)
        codes_text.print_details(out, held.job.car, held.diagnosis)
    return FAULTS if held.diagnosis.explanations else DONE


def _remarks(held: Held) -> dict[str, Any]:
    note = held.job.note if held.job else ""
    return {"notes": [finding_json(finding) for finding in held.notes], "job_note": note}


def _say(held: Held) -> None:
    print_findings(held.notes, err=True)
    if held.job is not None and held.job.note:
        click.echo(f"note: {held.job.note}", err=True)


def _refused(findings: tuple[Finding, ...], *, as_json: bool) -> int:
    if as_json:
        print_json({"findings": [finding_json(finding) for finding in findings]})
    print_findings(findings, err=True)
    return UNREADABLE
