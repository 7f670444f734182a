"""`putback codes compare`, `cause`, `attach`: reads before and after the work, held against one another, and kept."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from putback.adapters.car_file import read_car
from putback.adapters.car_file.text import read_bytes
from putback.adapters.code_lists import read_code_list
from putback.adapters.stores import StoreFailed
from putback.bay.code_compare import Held, held_against, odd_order, out_of_order, said_twice
from putback.bay.code_job import Job, job_of, job_of_view
from putback.bay.code_reads import Attached, attach, counting, reads_of
from putback.bay.desk import Closed
from putback.core.codes.causes.weights import Weights
from putback.core.codes.lists.listing import Listing, Stage
from putback.core.codes.verdicts.statement import RegionRule
from putback.core.finding import Finding, Where
from putback.faces.cli.codes_json import causes_json, held_json, suspects_json
from putback.faces.cli.show import DONE, FAULTS, IMPOSSIBLE, UNREADABLE, finding_json, print_findings, print_json


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked on the command line."""

    before: Path | None
    after: tuple[Path, ...]
    car: Path | None
    job: str | None
    store: str | None
    files: Path | None
    weight: tuple[str, ...]
    regions: Path | None
    region: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """What came of it, with what is to be remarked of the lists."""

    held: Held
    notes: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """The lists, and what is known of the job between them, before anything is held against anything."""

    listings: tuple[Listing, ...]
    job: Job | None
    notes: tuple[Finding, ...]


def hold(asked: Asked) -> Answered | tuple[Finding, ...]:
    """Read everything and hold the reads against one another; the findings where something cannot be read."""
    given = _given(asked)
    weights, rule = _weights(asked.weight), _rule(asked)
    problems = [finding for part in (given, weights, rule) if isinstance(part, tuple) for finding in part]
    if isinstance(given, tuple) or isinstance(weights, tuple) or isinstance(rule, tuple):
        return tuple(problems)
    return Answered(
        held=held_against(given.listings, job=given.job, weights=weights, rule=rule),
        notes=given.notes,
    )


def _given(asked: Asked) -> Given | tuple[Finding, ...]:
    if asked.store is None:
        return _of_files(asked, _job(asked))
    from putback.faces.cli.job_here import job_here  # noqa: PLC0415 - loaded where a store is named

    with job_here(asked.store, asked.job, files=asked.files) as here:
        if isinstance(here, tuple):
            return here
        job = job_of_view(here.bay, here.view)
        if asked.before is not None:
            return _of_files(asked, job)
        kept = counting(reads_of(here.bay, here.view))
    if not kept.listings:
        return _call("--job", kept.why_not, _ATTACH)
    if isinstance(job, tuple):
        return job
    return Given(listings=kept.listings, job=job, notes=kept.remarks)


_ATTACH = "give the lists, or attach them with putback codes attach"


def _of_files(asked: Asked, job: Job | tuple[Finding, ...] | None) -> Given | tuple[Finding, ...]:
    if asked.before is None or not asked.after:
        return _call("AFTER", "two lists are needed", "give the list from before the work, then those from after it")
    read = [read_code_list(path) for path in (asked.before, *asked.after)]
    problems = [finding for one in read if one.listing is None for finding in one.findings]
    problems += job if isinstance(job, tuple) else ()
    listings = tuple(one.listing for one in read if one.listing is not None)
    problems += out_of_order(listings) if len(listings) == len(read) else []
    if problems or isinstance(job, tuple):
        return tuple(problems)
    notes = (*(finding for one in read for finding in one.findings), *odd_order(listings), *said_twice(listings))
    return Given(listings=listings, job=job, notes=notes)


def _job(asked: Asked) -> Job | tuple[Finding, ...] | None:
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
            click.argument("before", type=path, required=False),
            click.argument("after", type=path, nargs=-1),
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


@click.command("compare")
@_options
def compare_command(*, as_json: bool, **given: Any) -> int:
    """Hold the list read BEFORE the work against those read AFTER it, the last of which counts. A code is called gone
    only where its own test has run and passed; what was not heard or not tested is said. The exit code is 1 while
    anything is open.
    """
    answered = hold(Asked(**given))
    if isinstance(answered, tuple):
        return _refused(answered, as_json=as_json)
    held = answered.held
    points = held.open_points
    if as_json:
        print_json(held_json(held) | _remarks(answered))
    else:
        from putback.faces.cli import codes_text  # noqa: PLC0415 - only where text is asked for
        from putback.faces.cli.plan_text import console  # noqa: PLC0415 - the same

        _say(answered)
        codes_text.print_held(console(), held)
    return FAULTS if points else DONE


@click.command("cause")
@_options
def cause_command(*, as_json: bool, **given: Any) -> int:
    """Say what of the work may have caused the new codes, where to look next, by which guesses. Needs --car."""
    answered = hold(Asked(**given))
    if isinstance(answered, tuple):
        return _refused(answered, as_json=as_json)
    job, diagnosis = answered.held.job, answered.held.diagnosis
    if answered.held.too_many:
        from putback.bay.code_words import too_many_words  # noqa: PLC0415 - only where it is said

        many = _call("cause", too_many_words(answered.held), "putback codes compare lists the codes")
        return _refused(many, as_json=as_json, code=IMPOSSIBLE)
    if job is None or diagnosis is None:
        which = _call("--car", "no car file is named", "name the car file: it says which item has which circuit")
        return _refused(which, as_json=as_json)
    if as_json:
        print_json({"causes": causes_json(diagnosis)} | suspects_json(diagnosis) | _remarks(answered))
    else:
        from putback.faces.cli import codes_text  # noqa: PLC0415 - only where text is asked for
        from putback.faces.cli.plan_text import console  # noqa: PLC0415 - the same

        _say(answered)
        out = console()
        codes_text.print_causes(out, job.car, diagnosis)
        codes_text.print_details(out, job.car, diagnosis)
    return FAULTS if diagnosis.explanations else DONE


@click.command("attach")
@click.argument("list_", metavar="LIST", type=click.Path(path_type=Path))
@click.option("--store", required=True, help="The store of records, in which the job is.")
@click.option("--job", required=True, help="The job; `putback record show STORE` lists the jobs.")
@click.option("--stage", type=click.Choice([str(one) for one in Stage]), help="When it was read, if LIST is silent.")
@click.option("--files", type=click.Path(path_type=Path), help="Where plans are kept. [default: beside the store]")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def attach_command(*, list_: Path, store: str, job: str, stage: str | None, files: Path | None, as_json: bool) -> int:
    """Attach a code list to the record of a job, for ever: its bytes are kept, and the record names their SHA-256."""
    attached = attach_file(list_, store=store, job=job, files=files, stage=stage)
    if isinstance(attached, tuple):
        return _refused(attached, as_json=as_json)
    kept = attached.kept
    if as_json:
        notes = [finding_json(finding) for finding in attached.notes]
        print_json({"job": job, "stage": str(kept.stage), "sha256": kept.sha256, "event": kept.event, "notes": notes})
    else:
        print_findings(attached.notes, err=True)
        click.echo(f"attached to {job} as read {kept.stage}: {kept.sha256}")
    return DONE


def attach_file(
    path: Path, *, store: str, job: str, files: Path | None = None, stage: str | None = None
) -> Attached | tuple[Finding, ...]:
    """Attach the list of a file to a job of a store; the findings where it cannot be."""
    from putback.faces.cli.job_here import job_here  # noqa: PLC0415 - loaded where a store is named

    data = read_bytes(path)
    if isinstance(data, Finding):
        return (data,)
    with job_here(store, job, files=files, read_only=False) as here:
        if isinstance(here, tuple):
            return here
        try:
            found = attach(here.bay, job, data, name=str(path), stage=Stage(stage) if stage else None)
        except (StoreFailed, OSError) as failure:
            return _call("--store", str(failure), "nothing was attached; check the store with putback record verify")
    return _call("--job", found.what, found.mend) if isinstance(found, Closed) else found


def _remarks(answered: Answered) -> dict[str, Any]:
    note = answered.held.job.note if answered.held.job else ""
    return {"notes": [finding_json(finding) for finding in answered.notes], "job_note": note}


def _say(answered: Answered) -> None:
    print_findings(answered.notes, err=True)
    if answered.held.job is not None and answered.held.job.note:
        click.echo(f"note: {answered.held.job.note}", err=True)


def _refused(findings: tuple[Finding, ...], *, as_json: bool, code: int = UNREADABLE) -> int:
    if as_json:
        print_json({"findings": [finding_json(finding) for finding in findings]})
    print_findings(findings, err=True)
    return code
