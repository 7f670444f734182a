"""One idea: a read belongs to its job for ever: its list stands on the shelf, and the record names it by its digest.

A list that another tool printed is attached the same way. What was attached is never changed; a later read of the same
stage counts instead of it, and both stay in the record.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from putback.adapters.code_lists import read_code_list_text
from putback.bay.code_compare import odd_order
from putback.bay.desk import Bay, Closed, JobView
from putback.core.codes.lists.listing import Listing, Stage
from putback.core.codes.talk.car_read import CarRead
from putback.core.finding import Finding, Kind, Where, faults
from putback.core.operations import ITEM_OFF, JOINT_VERBS, Verb
from putback.core.record.code_kinds import CODES_CLEARED, CODES_READ
from putback.core.record.kinds import DONE

_DONE_BY: Mapping[Stage, Verb] = {
    Stage.BEFORE: Verb.READ_BEFORE,
    Stage.AFTER_PUT_BACK: Verb.READ_AFTER,
    Stage.AFTER_ROAD_TEST: Verb.READ_AFTER,
}
"""The operation of the plan that a read of a stage is; a read just after a clear is none."""


_TOUCHES = frozenset(map(str, (*ITEM_OFF, *JOINT_VERBS, Verb.ISOLATE, Verb.DRAIN, Verb.RENEW)))
"""After one of these a read may have codes of the work in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRead:
    """A read that is attached to a job. `read` is None where the list does not say by which ids it was read.

    `at` is the device's time of attaching, `lost` why the list cannot be shown: then `listing` is empty.
    `untouched`: nothing was taken off, undone or isolated yet when it was attached.
    """

    stage: Stage
    sha256: str
    event: str
    at: str
    person: str | None
    listing: Listing
    read: CarRead | None = None
    stopped: str = ""
    lost: str = ""
    untouched: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Attached:
    """A read that was attached just now, with what is to be said of its list."""

    kept: KeptRead
    notes: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Counting:
    """What is held against one another. Nothing is where a read is `missing`: an older one may not stand in for it.

    `missing` are reads that have to count and whose lists are lost, `lost` others that are lost.
    """

    reads: tuple[KeptRead, ...]
    missing: tuple[KeptRead, ...] = ()
    lost: tuple[KeptRead, ...] = ()

    @property
    def listings(self) -> tuple[Listing, ...]:
        """The lists to be held against one another: at least two, or none."""
        return tuple(one.listing for one in self.reads) if len(self.reads) > 1 and not self.missing else ()

    @property
    def why_not(self) -> str:
        """Why nothing can be held against anything; empty where it can."""
        if self.missing:
            return "; ".join(
                f"the list read {one.stage} ({one.sha256[:12]}) is lost: {one.lost}" for one in self.missing
            )
        return "" if self.listings else "the job has no two reads, one from before the work and one from after it"

    @property
    def remarks(self) -> tuple[Finding, ...]:
        """What is to be said of reads that do not count, and of the order in which they were attached."""
        gone = (
            Finding(
                where=Where(file=one.sha256[:12], field=str(one.stage)),
                what=one.lost,
                mend="attach the same file again, and it is back",
                rule="code-list",
                kind=Kind.NOTE,
            )
            for one in self.lost
        )
        return (*gone, *odd_order([one.listing for one in self.reads]))


def attach(
    bay: Bay, job: str, data: bytes, *, name: str, stage: Stage | None = None, person: str | None = None
) -> Attached | tuple[Finding, ...] | Closed:
    """Attach a code list to a job.

    Args:
        bay: the desk.
        job: a job that is here.
        data: the list, as it is saved.
        name: its name, for findings.
        stage: when it was read, where the list does not say so itself.
        person: who read it; None: nobody said.

    Returns:
        What was attached; the findings where the list cannot be read or says no stage; why there is no such job.

    Raises:
        StoreFailed, OSError: nothing was attached.
    """
    view = bay.view(job)
    if isinstance(view, Closed):
        return view
    found = read_code_list_text(data, name)
    if found.listing is None:
        return faults(found.findings)
    when = _stage(found.listing, stage)
    if when is None:
        return (_no_stage(name),)
    if stage is not None and found.listing.stage in set(Stage) and found.listing.stage != stage:
        return (_other_stage(name, found.listing.stage, stage),)
    stopped = found.read.stopped if found.read else ""
    earlier = reads_of(bay, view)
    digest = bay.shelf.put(data)
    facts: list[tuple[str, Mapping[str, Any]]] = [(CODES_READ, _body(found.listing, when, digest, stopped))]
    verb = _DONE_BY.get(when)
    if verb is not None and not stopped and found.listing.answered != frozenset() and not _stands(view, verb):
        facts.append((DONE, {"verb": str(verb)}))
    taken = bay.log(job, facts, person=person)
    if isinstance(taken, Closed):
        return taken
    again = bay.view(job)
    assert not isinstance(again, Closed)
    kept = next(one for one in reversed(reads_of(bay, again)) if one.sha256 == digest)
    return Attached(kept=kept, notes=(*found.findings, *_attached_before(earlier, digest, name)))


def _attached_before(earlier: Sequence[KeptRead], digest: str, name: str) -> tuple[Finding, ...]:
    """A note where the same bytes are attached already: they are one read of the car, however often they are kept."""
    same = [one for one in earlier if one.sha256 == digest]
    if not same:
        return ()
    what = f"the same bytes are attached already, as the list read {same[0].stage}"
    mend = "attach the list that was meant, if it was another"
    return (Finding(where=Where(file=name), what=what, mend=mend, rule="call", kind=Kind.NOTE),)


def cleared(
    bay: Bay,
    job: str,
    *,
    before_sha256: str,
    modules: Sequence[str],
    not_cleared: Sequence[str] = (),
    person: str | None = None,
) -> Closed | None:
    """Log that codes were cleared; None where it was logged.

    Args:
        bay: the desk.
        job: a job that is here.
        before_sha256: the list that was saved before the clear: a read that is attached to this job.
        modules: those that say that they cleared.
        not_cleared: those that were told and do not say so.
        person: who did it; None: nobody said.

    Raises:
        StoreFailed: nothing was logged.
    """
    view = bay.view(job)
    if isinstance(view, Closed):
        return view
    refused = not_attached(bay, view, before_sha256)
    if refused is not None:
        return refused
    body: dict[str, Any] = {"before_sha256": before_sha256, "modules": list(modules)}
    if not_cleared:
        body["not_cleared"] = list(not_cleared)
    taken = bay.log(job, [(CODES_CLEARED, body)], person=person)
    return taken if isinstance(taken, Closed) else None


def not_attached(bay: Bay, view: JobView, sha256: str) -> Closed | None:
    """Why a clear in this job cannot rest on the list with this digest; None where it can."""
    if any(one.sha256 == sha256 for one in reads_of(bay, view)):
        return None
    what = f"no read with the SHA-256 {sha256[:12]} is attached to the job {view.job}"
    return Closed(what=what, mend="attach the list that was saved before the clear: putback codes attach")


def reads_of(bay: Bay, view: JobView) -> tuple[KeptRead, ...]:
    """Every read that is attached to a job, in the order of the record."""
    found = []
    untouched = True
    for one in view.received:
        event = one.event
        untouched = untouched and not (event.kind == DONE and event.body.get("verb") in _TOUCHES)
        if event.kind != CODES_READ:
            continue
        stage, digest = str(event.body.get("stage")), str(event.body.get("sha256"))
        if stage not in set(Stage):
            continue
        content = bay.shelf.get(digest)
        read = read_code_list_text(content, f"the list {stage!r}") if content is not None else None
        listing = read.listing if read is not None else None
        found.append(
            KeptRead(
                stage=Stage(stage),
                sha256=digest,
                event=event.id,
                at=event.at,
                person=event.person,
                listing=replace(listing or Listing(name="", stage=stage), name=f"the list {stage!r}", stage=stage),
                read=read.read if read is not None else None,
                stopped=str(event.body.get("stopped") or ""),
                lost="" if listing is not None else "its list is not on the shelf, or is no longer what it was",
                untouched=untouched,
            )
        )
    return tuple(found)


def counting(reads: Sequence[KeptRead]) -> Counting:
    """The reads that are held against one another: one from before the work, then all from after it.

    Of those from before, the last whole one counts that was attached before anything was touched. Where there is none
    the first whole one does, because a later one may already have codes of the work in it.
    """
    first = read_before(reads)
    after = [one for one in reads if one.stage is not Stage.BEFORE]
    needed = [one for one in (first, *after[-1:]) if one is not None]
    return Counting(
        reads=tuple(one for one in ([] if first is None else [first, *after]) if not one.lost),
        missing=tuple(one for one in needed if one.lost),
        lost=tuple(one for one in reads if one.lost and one not in needed),
    )


def read_before(reads: Sequence[KeptRead]) -> KeptRead | None:
    """The read from before the work that counts; None where there is none."""
    before = [one for one in reads if one.stage is Stage.BEFORE]
    whole = [one for one in before if not one.stopped]
    fresh = [one for one in whole if one.untouched]
    return fresh[-1] if fresh else whole[0] if whole else before[0] if before else None


def _body(listing: Listing, stage: Stage, digest: str, stopped: str) -> dict[str, Any]:
    body: dict[str, Any] = {"stage": str(stage), "sha256": digest, "codes": len(listing.listed)}
    if listing.answered is not None:
        body |= {"answered": len(listing.answered), "silent": len(listing.unheard), "partial": len(listing.partial)}
    return body | {name: text for name, text in (("stopped", stopped), ("since", listing.since)) if text}


def _stands(view: JobView, verb: Verb) -> bool:
    """Whether this read of the plan was made already. One from after the work counts anew each time: more was done."""
    return verb is Verb.READ_BEFORE and any(one.verb is verb for one in view.now.folded.operations)


def _stage(listing: Listing, stage: Stage | None) -> Stage | None:
    if stage is not None:
        return stage
    return Stage(listing.stage) if listing.stage in set(Stage) else None


def _no_stage(name: str) -> Finding:
    mend = f"say when: one of {', '.join(Stage)}"
    return Finding(
        where=Where(file=name, field="stage"), what="it is not said when it was read", mend=mend, rule="call"
    )


def _other_stage(name: str, says: str, stage: Stage) -> Finding:
    what = f"the list says {says!r}, and {str(stage)!r} was asked for"
    return Finding(where=Where(file=name, field="stage"), what=what, mend="attach it as what it says", rule="call")
