"""One idea: what both stores do is written once; a store adds how it connects, locks, commits and fails."""

from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager
from typing import Self, TypeVar

from putback.adapters.stores import tables
from putback.adapters.stores.contract import Person
from putback.adapters.stores.failures import Refused
from putback.adapters.stores.tables import Run
from putback.adapters.stores.together import Together
from putback.core.record import Answer, Arrival, Conflict, Event, Head, Json, Link, follows, genesis, is_id

T = TypeVar("T")


class TableStore:
    """A store over the common tables.

    A store gives `_reading` and `_writing`: contexts that hand out a `Run`. `_writing` holds the locks of the named
    jobs, commits durably when its block ends well and takes everything back when it does not; both turn the
    driver's errors into `StoreFailed`. Calls of several threads are safe; appends are committed together.
    """

    def __init__(self, name: str) -> None:
        self._name = name
        self._together: Together[Sequence[Arrival], tuple[Answer, ...]] = Together(self._append)

    @property
    def name(self) -> str:
        """The store as a person names it."""
        return self._name

    def _reading(self) -> AbstractContextManager[Run]:
        raise NotImplementedError

    def _writing(self, jobs: Sequence[str]) -> AbstractContextManager[Run]:
        raise NotImplementedError

    def _again(self, work: Callable[[], T]) -> T:
        """Do some work; a store may do it once more where the world was at fault. All work here may be repeated."""
        return work()

    def append(self, events: Sequence[Event], *, received_at: str) -> tuple[Answer, ...]:
        """Chain events durably; see `Store.append`."""
        if not events:
            return ()
        return self._together([Arrival(event=event, received_at=received_at) for event in events])

    def _append(self, calls: Sequence[Sequence[Arrival]]) -> Sequence[tuple[Answer, ...]]:
        """Commit the arrivals of several calls at once, and give each its own answers."""
        arrivals = [arrival for call in calls for arrival in call]
        answers = self._again(lambda: self._commit(arrivals))
        ends = [sum(map(len, calls[: at + 1])) for at in range(len(calls))]
        return [answers[end - len(call) : end] for call, end in zip(calls, ends, strict=True)]

    def _commit(self, arrivals: Sequence[Arrival]) -> tuple[Answer, ...]:
        with self._writing(sorted({arrival.event.job for arrival in arrivals})) as run:
            grown = tables.append(run, arrivals)
        return grown.answers

    def read(self, job: str, *, after_seq: int = 0) -> tuple[Link, ...]:
        """The links of a job behind a number."""
        return self._read(lambda run: tables.links(run, job, after_seq))

    def heads(self) -> Mapping[str, Head]:
        """Every job with its head."""
        return self._read(tables.heads)

    def jobs(self) -> tuple[str, ...]:
        """Every job that has a head or a link."""
        return self._read(tables.jobs)

    def conflicts(self, job: str | None = None) -> tuple[Conflict, ...]:
        """What was kept aside."""
        return self._read(lambda run: tables.conflicts(run, job))

    def person(self, person: str) -> Person | None:
        """One person."""
        return self._read(lambda run: tables.person(run, person))

    def people(self) -> tuple[Person, ...]:
        """Everybody."""
        return self._read(tables.people)

    def put_person(self, person: str, data: Mapping[str, Json]) -> None:
        """Keep what is known of a person; see `Store.put_person`."""
        if not is_id(person):
            raise Refused(self.name, f"{person!r:.60} is no id of a person", "make an id that says nothing of them")
        if not self._write(lambda run: tables.put_person(run, person, data)):
            raise Refused(self.name, f"person {person} was deleted and stays so", "keep them under a new id")

    def delete_person(self, person: str) -> bool:
        """Forget a person; see `Store.delete_person`."""
        found = self._write(lambda run: tables.delete_person(run, person))
        self._wipe()
        return found

    def _wipe(self) -> None:
        """Leave no copy of what was deleted, as far as the store can."""

    def take_in(self, job: str, links: Sequence[Link], conflicts: Sequence[Conflict] = ()) -> None:
        """Add links that were chained elsewhere; see `Store.take_in`."""

        def write(run: Run) -> None:
            head = tables.heads_of(run, [job]).get(job) or genesis(job)
            new = [link for link in links if link.seq > head.seq]
            there = tables.links(run, job, links[0].seq - 1) if links else ()
            if there[: len(links)] != tuple(links[: len(there)]) or not follows(head, new) or not _all_of(job, links):
                what = f"what is to be taken in does not follow from event {head.seq} of job {job}"
                raise Refused(self.name, what, "compare the two stores with putback record verify")
            moved = {job: Head(seq=new[-1].seq, hash=new[-1].hash)} if new else {}
            tables.write(run, new, conflicts, moved)

        self._write(write, [job])

    def _read(self, ask: Callable[[Run], T]) -> T:
        def work() -> T:
            with self._reading() as run:
                return ask(run)

        return self._again(work)

    def _write(self, change: Callable[[Run], T], jobs: Sequence[str] = ()) -> T:
        def work() -> T:
            with self._writing(jobs) as run:
                return change(run)

        return self._again(work)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the store."""
        raise NotImplementedError


def _all_of(job: str, links: Sequence[Link]) -> bool:
    return all(link.job == job for link in links)
