"""One idea: what a store adds is worked out here, from what it holds and what arrived, so all stores chain alike.

An event that is already there gets its old answer again; the same id with other content is refused, set aside with
a finding, and never lost.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from types import MappingProxyType
from typing import TypeAlias

from putback.core.finding import Finding, Where
from putback.core.record.chain import Head, Link, genesis, link_hash
from putback.core.record.event import Event, is_time


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """An event with the server's time of receipt."""

    event: Event
    received_at: str

    def __post_init__(self) -> None:
        if not is_time(self.received_at):
            raise ValueError(f"received_at must be a time with its offset, not {self.received_at!r:.60}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ack:
    """The answer to an event that stands in the record; `again`: it stood there before."""

    id: str
    job: str
    seq: int
    hash: str
    again: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """An event that came under the id of another one: kept beside the record, not in it."""

    id: str
    job: str
    received_at: str
    content: bytes

    @property
    def digest(self) -> str:
        """SHA-256 of the content (hex)."""
        return sha256(self.content).hexdigest()

    @property
    def finding(self) -> Finding:
        """What a person must know."""
        what = f"event {self.id} came again with other content; the first one stands, this one is kept aside"
        mend = "look at both; log what is true as a new event"
        return Finding(where=Where(file=f"record {self.job}", field=self.id), what=what, mend=mend, rule="conflict")


Answer: TypeAlias = Ack | Conflict


@dataclass(frozen=True, slots=True, kw_only=True)
class Grown:
    """What a store must write, and what it then answers: one answer for each arrival, in order."""

    answers: tuple[Answer, ...]
    links: tuple[Link, ...]
    conflicts: tuple[Conflict, ...]
    heads: Mapping[str, Head]


def grow(arrivals: Sequence[Arrival], *, heads: Mapping[str, Head], known: Mapping[str, Link]) -> Grown:
    """Chain what arrived.

    Args:
        arrivals: events with their times of receipt, in the order in which they are to stand.
        heads: the heads of their jobs now; a job without one begins.
        known: those of their ids that stand in a record already.
    """
    heads, known = dict(heads), dict(known)
    answers: list[Answer] = []
    links: list[Link] = []
    conflicts: list[Conflict] = []
    for arrival in arrivals:
        event = arrival.event
        there = known.get(event.id)
        if there is not None and there.content != event.content:
            conflict = Conflict(id=event.id, job=event.job, received_at=arrival.received_at, content=event.content)
            conflicts.append(conflict)
            answers.append(conflict)
            continue
        link = there or _next(heads.get(event.job) or genesis(event.job), arrival)
        if there is None:
            links.append(link)
            known[event.id] = link
            heads[event.job] = Head(seq=link.seq, hash=link.hash)
        answers.append(Ack(id=link.id, job=link.job, seq=link.seq, hash=link.hash, again=there is not None))
    changed = MappingProxyType({link.job: heads[link.job] for link in links})
    return Grown(answers=tuple(answers), links=tuple(links), conflicts=tuple(conflicts), heads=changed)


def _next(head: Head, arrival: Arrival) -> Link:
    event, seq = arrival.event, head.seq + 1
    made = link_hash(before=head.hash, seq=seq, received_at=arrival.received_at, content=event.content)
    return Link(job=event.job, seq=seq, id=event.id, received_at=arrival.received_at, content=event.content, hash=made)
