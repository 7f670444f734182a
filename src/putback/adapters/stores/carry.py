"""One idea: back-up, restore and moving house are one act: records are carried whole, and chained anew on arrival.

What is carried keeps its numbers, times and hashes, so the heads on hand-overs and devices still fit. Nothing that
stands in the target is ever overwritten: it must be the beginning of what is carried, or go on from it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from putback.adapters.stores.check import check_job
from putback.adapters.stores.contract import Store
from putback.adapters.stores.failures import Refused
from putback.adapters.stores.sqlite import SqliteStore, give_name
from putback.core.finding import Finding, Where
from putback.core.record import Head


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """What was carried: heads of the target's jobs afterwards, events and people that were new there.

    `refused` says why nothing was carried; `broken` what the chain shows wrong, in the source or after arrival.
    """

    heads: Mapping[str, Head]
    events: int = 0
    people: int = 0
    refused: tuple[Finding, ...] = ()
    broken: tuple[Finding, ...] = ()


def carry(source: Store, target: Store) -> Carried:
    """Carry all of one store into another, and check it there against the source's heads.

    Before anything is written the source's chains are checked, and what the target holds is compared. An
    interrupted carry is finished by doing it again.
    """
    jobs = source.jobs()
    broken = tuple(fault for job in jobs for fault in check_job(source, job).faults)
    if broken:
        return Carried(heads={}, broken=broken)
    refused = tuple(finding for job in jobs if (finding := _differs(source, target, job)) is not None)
    if refused:
        return Carried(heads={}, refused=refused)
    aside = {conflict.job for conflict in source.conflicts()}
    events = sum(_carry_job(source, target, job) for job in sorted({*jobs, *aside}))
    people = _carry_people(source, target)
    broken = tuple(fault for job in jobs for fault in check_job(target, job).faults)
    short = tuple(finding for job in jobs if (finding := _short(source, target, job)) is not None)
    return Carried(heads=target.heads(), events=events, people=people, broken=broken + short)


def _differs(source: Store, target: Store, job: str) -> Finding | None:
    """Where the target holds another record under the same job."""
    for ours, theirs in zip(source.read(job), target.read(job), strict=False):
        if ours != theirs:
            what = f"{target.name} holds another event {theirs.seq} of this job; nothing was written"
            mend = "give an empty store, or find out with putback record verify which of the two is right"
            where = Where(file=f"record {job}", line=theirs.seq, field=theirs.id)
            return Finding(where=where, what=what, mend=mend, rule="other events")
    return None


def _carry_job(source: Store, target: Store, job: str) -> int:
    """Carry what the target does not have of one job; how many events."""
    head = target.heads().get(job)
    links = source.read(job, after_seq=head.seq if head else 0)
    target.take_in(job, links, source.conflicts(job))
    return len(links)


def _carry_people(source: Store, target: Store) -> int:
    """Carry people; who was deleted on either side stays deleted, and what the target knows of a person stands."""
    there = {person.id: person for person in target.people()}
    new = 0
    for person in source.people():
        if person.data is None:
            target.delete_person(person.id)
        elif person.id not in there:
            target.put_person(person.id, person.data)
            new += 1
    return new


def _short(source: Store, target: Store, job: str) -> Finding | None:
    """Whether the source has grown meanwhile, so that the target lacks something."""
    ours, theirs = source.read(job)[-1:], target.read(job)
    if not ours or ours[0] in theirs:
        return None
    what = f"{source.name} went on while it was carried: event {ours[0].seq} is not in {target.name}"
    mend = "stop the service on the old store and carry again"
    return Finding(where=Where(file=f"record {job}", line=ours[0].seq), what=what, mend=mend, rule="went on")


def back_up(source: Store, file: Path) -> Carried:
    """Carry a store into a new file; the file appears under its name only when it is whole and on the disk.

    Raises:
        Refused: there is such a file already.
    """
    part = file.with_name(file.name + ".part")
    _refuse_existing(file)
    _remove(part)
    target = SqliteStore(part, create=True)
    try:
        carried = carry(source, target)
        target.pack()
    finally:
        target.close()
    if carried.refused or carried.broken:
        _remove(part)
        return carried
    if not give_name(part, file):
        _remove(part)
        _refuse_existing(file)
    return carried


def _refuse_existing(file: Path) -> None:
    if file.exists():
        raise Refused(str(file), "there is such a file already", "name a new one; a back-up overwrites nothing")


def _remove(part: Path) -> None:
    """Remove what an interrupted back-up left behind."""
    for end in ("", "-wal", "-shm", "-journal"):
        part.with_name(part.name + end).unlink(missing_ok=True)
