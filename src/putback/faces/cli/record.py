"""`putback record`: check, read, back up, restore and move the records of jobs. A store is a file or a database."""

from collections.abc import Callable, Iterable, Mapping
from functools import wraps
from pathlib import Path
from typing import Any, ParamSpec

import click

from putback.adapters.record_lines import SUFFIX, NotLines, read_lines
from putback.adapters.stores import Store, StoreFailed, open_store
from putback.adapters.stores.carry import Carried, back_up, carry
from putback.adapters.stores.check import Checked, check_lines, check_store, no_such_job
from putback.core.finding import Finding
from putback.core.record import Conflict, Event, Head, KeptHead, Link, NotAHead, NotAnEvent, read_event, read_head
from putback.faces.cli.show import DONE, FAULTS, IMPOSSIBLE, UNREADABLE, finding_json, print_findings, print_json
from putback.faces.names import counted

P = ParamSpec("P")

as_json = click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")


@click.group("record")
def command() -> None:
    """The records of jobs: a STORE is a file, or postgresql://USER@HOST/DATABASE."""


def _says_failures(run: Callable[P, int]) -> Callable[P, int]:
    """A store that cannot be read is one line on standard error and exit code 2."""

    @wraps(run)
    def told(*args: P.args, **kwargs: P.kwargs) -> int:
        try:
            return run(*args, **kwargs)
        except StoreFailed as failure:
            if kwargs.get("as_json"):
                print_json({"failed": {"store": failure.store, "what": failure.what, "mend": failure.mend}})
            click.echo(str(failure), err=True)
            return UNREADABLE

    return told


@command.command("verify")
@click.argument("store")
@click.option("--job", help="One job only.")
@click.option(
    "--head",
    "heads",
    multiple=True,
    help="A head kept elsewhere: NUMBER:HEX or HEX. In a store of several jobs --job says whose. May be given again.",
)
@as_json
@_says_failures
def verify(store: str, job: str | None, heads: tuple[str, ...], as_json: bool) -> int:
    """Chain every record of STORE anew and say what was changed, lost, reordered or cut off, and where.

    A cut end, or a record written anew from its beginning, can only be told against a head kept elsewhere: on the
    hand-over, on a device. STORE may also be the record.jsonl that is attached to a job record.
    """
    try:
        kept = [read_head(text) for text in heads]
    except NotAHead as wrong:
        raise click.BadParameter(str(wrong), param_hint="--head") from None
    if store.endswith(SUFFIX):
        return _verify_lines(Path(store), kept, as_json)
    with open_store(store, read_only=True) as opened:
        jobs = opened.jobs()
        if kept and job is None and len(jobs) != 1:
            raise click.UsageError("--head is of one job: name it with --job")
        if job is not None and job not in jobs and not kept:
            print_findings([no_such_job(opened, job)], err=True)
            return UNREADABLE
        checked = list(check_store(opened, job=job, kept=kept))
    if as_json:
        print_json(_verify_json(store, checked))
    else:
        _print_checked(checked, kept=bool(kept))
    return FAULTS if any(one.faults for one in checked) else DONE


def _verify_lines(path: Path, kept: list[KeptHead], as_json: bool) -> int:
    """Check the record that a file of lines holds."""
    try:
        links = read_lines(path.read_bytes())
    except (OSError, NotLines) as wrong:
        click.echo(f"{path}: {wrong.strerror if isinstance(wrong, OSError) else wrong}", err=True)
        return UNREADABLE
    checked = [check_lines(links, kept=kept)] if links else []
    if as_json:
        print_json(_verify_json(str(path), checked))
    else:
        _print_checked(checked, kept=bool(kept))
    return FAULTS if any(one.faults for one in checked) else DONE


def _verify_json(store: str, checked: list[Checked]) -> dict[str, Any]:
    jobs = [
        {
            "job": one.job,
            "events": one.events,
            "head": _head_json(one.head),
            "faults": [finding_json(finding) for finding in one.faults],
            "notes": [finding_json(finding) for finding in one.notes],
        }
        for one in checked
    ]
    return {"store": store, "jobs": jobs, "faults": sum(len(one.faults) for one in checked)}


def _print_checked(checked: list[Checked], *, kept: bool) -> None:
    for one in checked:
        print_findings((*one.faults, *one.notes), err=False)
        found = counted(len(one.faults), "fault") if one.faults else "nothing changed, lost or out of order"
        click.echo(f"job {one.job}: {counted(one.events, 'event')}, {found}")
        click.echo(f"  head {one.head.on_paper()}")
    if not checked:
        click.echo("no jobs")
    if not kept:
        click.echo("no kept head was given: a cut end or a record written anew shows only against one (--head)")


def _head_json(head: Head) -> dict[str, Any]:
    return {"seq": head.seq, "hash": head.hash, "text": str(head), "paper": head.on_paper()}


@command.command("show")
@click.argument("store")
@click.option("--job", help="The events of one job; without it, the list of jobs.")
@as_json
@_says_failures
def show(store: str, job: str | None, as_json: bool) -> int:
    """Show the jobs of STORE, or the events of one job."""
    with open_store(store, read_only=True) as opened:
        if job is None:
            return _show_jobs(opened, as_json)
        if job not in opened.jobs():
            print_findings([no_such_job(opened, job)], err=True)
            return UNREADABLE
        links, aside = opened.read(job), opened.conflicts(job)
        names = {person.id: str((person.data or {}).get("name", person.id)) for person in opened.people()}
    if as_json:
        print_json(
            {
                "store": store,
                "job": job,
                "events": [_link_json(link) for link in links],
                "conflicts": [_conflict_json(conflict) for conflict in aside],
            }
        )
        return DONE
    for link in links:
        click.echo(_line(link, names))
    for conflict in aside:
        click.echo(f"kept aside, received {conflict.received_at}: {_read(conflict.content) or 'unreadable'}")
    return DONE


def _show_jobs(store: Store, as_json: bool) -> int:
    heads = store.heads()
    if as_json:
        print_json(
            {"store": store.name, "jobs": [{"job": job, "head": _head_json(head)} for job, head in heads.items()]}
        )
        return DONE
    for job, head in heads.items():
        click.echo(f"{job}: {counted(head.seq, 'event')}, head {head.seq}: {head.hash[:16]}…")
    if not heads:
        click.echo("no jobs")
    return DONE


def _read(content: bytes) -> Event | None:
    try:
        return read_event(content)
    except NotAnEvent:
        return None


def _link_json(link: Link) -> dict[str, Any]:
    event = _read(link.content)
    return {
        "seq": link.seq,
        "received_at": link.received_at,
        "hash": link.hash,
        "event": None if event is None else _event_json(event),
    }


def _conflict_json(conflict: Conflict) -> dict[str, Any]:
    event = _read(conflict.content)
    shown = None if event is None else _event_json(event)
    return {"id": conflict.id, "received_at": conflict.received_at, "sha256": conflict.digest, "event": shown}


def _event_json(event: Event) -> dict[str, Any]:
    known = {"id": event.id, "job": event.job, "device": event.device, "at": event.at, "person": event.person}
    return {**_plain(event.more), **known, "kind": event.kind, "body": _plain(event.body)}


def _plain(value: Any) -> Any:
    """A frozen value as dict and list, for the JSON writer."""
    if isinstance(value, Mapping):
        return {name: _plain(one) for name, one in value.items()}
    return [_plain(one) for one in value] if isinstance(value, tuple) else value


def _line(link: Link, names: Mapping[str, str]) -> str:
    """One event on one line: number, device's time, person, kind, and what the body says."""
    event = _read(link.content)
    if event is None:
        return f"{link.seq:>5}  {link.received_at}  cannot be read"
    who = names.get(event.person or "", event.person or "-")
    body = {name: names.get(str(value), value) if name == "who" else value for name, value in event.body.items()}
    said = ", ".join(f"{name} {_short(value)}" for name, value in body.items() if value is not None)
    return f"{link.seq:>5}  {event.at}  {who}  {event.kind}" + (f": {said}" if said else "")


def _short(value: Any) -> str:
    if isinstance(value, Mapping):
        return " ".join(_short(one) for one in value.values() if one is not None)
    if isinstance(value, tuple):
        return " ".join(map(_short, value))
    text = str(value)
    return text if len(text) <= 40 else f"{text[:16]}…"


@command.command("backup")
@click.argument("store")
@click.argument("file", type=click.Path(path_type=Path))
@as_json
@_says_failures
def backup(store: str, file: Path, as_json: bool) -> int:
    """Copy all of STORE into a new FILE, and check the copy by its chains. FILE is a store itself."""
    with open_store(store, read_only=True) as source:
        return _told(store, str(file), back_up(source, file), as_json)


@command.command("restore")
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("store")
@as_json
@_says_failures
def restore(file: Path, store: str, as_json: bool) -> int:
    """Bring the back-up FILE into STORE, which may be empty or hold a part of the same records."""
    return _carry(str(file), store, as_json)


@command.command("move")
@click.argument("source", metavar="FROM")
@click.argument("target", metavar="TO")
@as_json
@_says_failures
def move(source: str, target: str, as_json: bool) -> int:
    """Carry all of FROM into TO, and check it there by its chains. FROM stays as it is: put it away."""
    return _carry(source, target, as_json)


def _carry(source: str, target: str, as_json: bool) -> int:
    with open_store(source, read_only=True) as from_store, open_store(target, create=True) as to_store:
        return _told(source, target, carry(from_store, to_store), as_json)


def _told(source: str, target: str, carried: Carried, as_json: bool) -> int:
    """Say what was carried, and give the exit code."""
    if as_json:
        print_json(
            {
                "from": source,
                "to": target,
                "events": carried.events,
                "people": carried.people,
                "heads": {job: str(head) for job, head in carried.heads.items()},
                "refused": _all_json(carried.refused),
                "broken": _all_json(carried.broken),
            }
        )
    else:
        print_findings((*carried.refused, *carried.broken), err=True)
        for job, head in carried.heads.items():
            click.echo(f"job {job}: head {head.on_paper()}")
        if not carried.refused and not carried.broken:
            click.echo(f"{carried.events} events and {carried.people} people carried; every chain fits")
    return IMPOSSIBLE if carried.refused else FAULTS if carried.broken else DONE


def _all_json(findings: Iterable[Finding]) -> list[dict[str, Any]]:
    return [finding_json(finding) for finding in findings]
