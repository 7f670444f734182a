"""One idea: a store is checked job by job, each record chained anew and held against the heads that were kept."""

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from putback.adapters.stores.contract import Store
from putback.core.finding import Finding, Kind, Where
from putback.core.record import Head, KeptHead, Link, NotAnEvent, fold, genesis, head_of, read_event, verify


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """One job's record, checked.

    `events` is how many are stored; `head` the last number and hash; `faults` what was tampered with or lost;
    `notes` what does not fit in what the record says, and what was kept aside.
    """

    job: str
    events: int
    head: Head
    faults: tuple[Finding, ...]
    notes: tuple[Finding, ...]


def check_store(store: Store, *, job: str | None = None, kept: Sequence[KeptHead] = ()) -> Iterator[Checked]:
    """Check every job of a store, or one; kept heads are held against each job that is checked."""
    for one in store.jobs() if job is None else (job,):
        yield check_job(store, one, kept=kept)


def check_job(store: Store, job: str, *, kept: Sequence[KeptHead] = ()) -> Checked:
    """Check one job's record. A job that the store does not know has no events, which a kept head will tell."""
    before = store.heads().get(job) or genesis(job)
    links = store.read(job)
    if (store.heads().get(job) or genesis(job)) != before:
        # Somebody is writing: what came after the head was read is left for the next check.
        links = tuple(link for link in links if link.seq <= before.seq)
    aside = tuple(conflict.finding for conflict in store.conflicts(job))
    return _checked(job, links, verify(links, job=job, kept=kept, own=before), aside)


def check_lines(links: Sequence[Link], *, kept: Sequence[KeptHead] = ()) -> Checked:
    """Check a record that stands by itself, outside any store; it has at least one event, which says whose it is."""
    job = links[0].job
    return _checked(job, links, verify(links, job=job, kept=kept), ())


def _checked(job: str, links: Sequence[Link], faults: tuple[Finding, ...], aside: tuple[Finding, ...]) -> Checked:
    said: tuple[Finding, ...] = ()
    with suppress(NotAnEvent):
        said = fold(read_event(link.content) for link in links).findings
    notes = tuple(replace(finding, kind=Kind.NOTE) for finding in (*aside, *said))
    return Checked(job=job, events=len(links), head=head_of(job, links), faults=faults, notes=notes)


def no_such_job(store: Store, job: str) -> Finding:
    """What to say where a job is asked for that the store does not know."""
    known = ", ".join(store.jobs()[:5]) or "none"
    where = Where(file=store.name, field=job)
    return Finding(where=where, what=f"there is no job {job}", mend=f"the jobs here: {known}", rule="job")
