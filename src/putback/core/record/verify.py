"""One idea: a record is checked by chaining it anew; what differs is named with its number and its event.

A single event that was altered is named alone, because the events after it still follow from the hash that stood
there. What cannot be seen from inside, a cut end or a record written whole anew, is found against a kept head.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from putback.core.finding import Finding, Where
from putback.core.record.chain import Head, KeptHead, Link, genesis, hash_after, head_of
from putback.core.record.event import NotAnEvent, read_event

KEEP = "keep this store as it is and compare with a back-up or with the devices"
_SLIP_DIGITS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fault:
    """One thing wrong, from event `first` to event `last`."""

    rule: str
    first: int
    last: int
    id: str


def verify(
    links: Sequence[Link], *, job: str, kept: Sequence[KeptHead] = (), own: Head | None = None
) -> tuple[Finding, ...]:
    """Everything that was changed, lost, reordered, doubled, cut off or written anew in one job's record.

    Args:
        links: the record as it is stored.
        job: whose record it is.
        kept: heads that were kept elsewhere: on the hand-over, on devices.
        own: the head that the store itself has beside the record.

    Returns:
        Faults, first place first; `where.line` is the event's number, `where.field` its id.
    """
    ordered = sorted(links, key=lambda link: link.seq)
    faults = [*_misplaced(links), *_twice(ordered), *_walk(ordered, job)]
    found = [_said(job, fault) for fault in _merged(faults)]
    if own is not None:
        found += _behind(job, ordered, own)
        found += _against(job, ordered, [KeptHead(seq=own.seq, hash=own.hash)], "the store's own head")
    found += _against(job, ordered, kept, "a kept head")
    return tuple(sorted(found, key=lambda finding: finding.where.line or 0))


def _misplaced(links: Sequence[Link]) -> Iterator[_Fault]:
    for before, link in pairwise(links):
        if link.seq < before.seq:
            yield _Fault(rule="out of order", first=link.seq, last=link.seq, id=link.id)


def _twice(ordered: Sequence[Link]) -> Iterator[_Fault]:
    """Numbers and events that stand in the record more than once."""
    numbers: set[int] = set()
    ids: set[str] = set()
    for link in ordered:
        if link.seq in numbers or link.id in ids:
            yield _Fault(rule="doubled", first=link.seq, last=link.seq, id=link.id)
        numbers.add(link.seq)
        ids.add(link.id)


def _walk(ordered: Sequence[Link], job: str) -> Iterator[_Fault]:
    """Chain the record anew; `before` holds the hashes that may have stood before an event, none after a gap."""
    before = {genesis(job).hash}
    expected = 1
    for link in ordered:
        if link.seq < expected:
            if link.seq < 1:
                yield _Fault(rule="changed", first=link.seq, last=link.seq, id=link.id)
            continue
        if link.seq > expected:
            yield _Fault(rule="lost", first=expected, last=link.seq - 1, id="")
            before = set()
        made = {hash_after(hash, link) for hash in before}
        if before and link.hash not in made:
            yield _Fault(rule="changed", first=link.seq, last=link.seq, id=link.id)
        elif rule := _content_fault(link, job):
            yield _Fault(rule=rule, first=link.seq, last=link.seq, id=link.id)
        before = {link.hash} if link.hash in made else {link.hash, *made}
        expected = link.seq + 1


def _content_fault(link: Link, job: str) -> str:
    """What is wrong with an event whose hash is right, or cannot be told: its bytes, or what stands beside them."""
    try:
        event = read_event(link.content)
    except NotAnEvent:
        return "no event"
    if event.content != link.content:
        return "no event"
    return "" if (event.id, event.job, link.job) == (link.id, job, job) else "beside"


def _merged(faults: Sequence[_Fault]) -> list[_Fault]:
    """Neighbours with the same fault as one."""
    merged: list[_Fault] = []
    for fault in sorted(faults, key=lambda one: (one.rule, one.first)):
        last = merged[-1] if merged else None
        if last is not None and last.rule == fault.rule and fault.first <= last.last + 1:
            merged[-1] = _Fault(rule=last.rule, first=last.first, last=max(last.last, fault.last), id=last.id)
        else:
            merged.append(fault)
    return merged


_WORDS = {
    "changed": (
        "was changed after it was chained, or stands at another number",
        "were changed, or stand at other numbers",
    ),
    "lost": ("is lost", "are lost"),
    "out of order": ("stands after a later one", "stand after later ones"),
    "doubled": ("stands in the record twice", "stand in the record twice"),
    "no event": ("is no event that can be read", "are no events that can be read"),
    "beside": ("is stored under another job or id than its own", "are stored under another job or id than their own"),
}


def _said(job: str, fault: _Fault) -> Finding:
    one, many = _WORDS[fault.rule]
    what = (
        f"event {fault.first} {one}" if fault.first == fault.last else f"events {fault.first} to {fault.last} {many}"
    )
    return _finding(job, fault.first, fault.id, what, fault.rule)


def _finding(job: str, seq: int, id: str, what: str, rule: str) -> Finding:
    return Finding(where=Where(file=f"record {job}", line=seq, field=id), what=what, mend=KEEP, rule=rule)


def _against(job: str, ordered: Sequence[Link], kept: Sequence[KeptHead], whose: str) -> list[Finding]:
    """Hold the record against heads; the last that agrees and the first that does not close in the place."""
    hashes = {link.seq: link.hash for link in reversed(ordered)} | {0: genesis(job).hash}
    ids = {link.seq: link.id for link in ordered}
    last = head_of(job, ordered).seq
    found: list[Finding] = []
    agreed = 0
    for head in sorted(kept, key=lambda one: (one.seq is None, one.seq or 0)):
        if head.seq is None:
            if head.hash not in hashes.values():
                found.append(_finding(job, last, "", _unnumbered(head, whose, hashes), "head"))
        elif head.seq > last:
            gone = f"events {last + 1} to {head.seq} are" if head.seq > last + 1 else f"event {head.seq} is"
            what = f"the end is cut off: {gone} missing against {whose} {head.seq}"
            found.append(_finding(job, last + 1, "", what, "cut off"))
        elif hashes.get(head.seq) == head.hash:
            agreed = head.seq
        else:
            place = f"somewhere from event {agreed + 1} to {head.seq}"
            what = f"the record is not the one of {whose}: it was written anew {place}"
            what += _slip(head.hash, hashes.get(head.seq, ""))
            found.append(_finding(job, head.seq, ids.get(head.seq, ""), what, "written anew"))
    return found


def _behind(job: str, ordered: Sequence[Link], own: Head) -> list[Finding]:
    """Events that stand behind the end that the store itself knows."""
    beyond = [link for link in ordered if link.seq > own.seq]
    if not beyond:
        return []
    what = f"event {beyond[0].seq} stands behind the store's own head {own.seq}: it did not come through the store"
    return [_finding(job, beyond[0].seq, beyond[0].id, what, "behind the head")]


def _unnumbered(head: KeptHead, whose: str, hashes: dict[int, str]) -> str:
    near = [_slip(head.hash, hash) for hash in hashes.values()]
    return f"{whose} {head.hash[:8]}… is not in the record: its end is cut off, or it was written anew{max(near)}"


def _slip(given: str, stored: str) -> str:
    """A hint where two hashes are the same but for a few digits, which no change of an event brings about."""
    differs = sum(a != b for a, b in zip(given, stored, strict=False))
    if len(given) != len(stored) or not 0 < differs <= _SLIP_DIGITS:
        return ""
    return f" (it differs in {differs} of {len(given)} digits only: look for a slip in copying it)"
