"""One idea: jobs are opened, asked about and added to at one desk, and every answer comes from record and shelf.

The caller gives the time and the ids. What goes wrong comes back as a value; only a failing store or disk is raised.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from threading import Lock
from typing import Any, Final, TypeAlias, cast

from putback.adapters.car_file import read_car_text
from putback.adapters.stores import Store
from putback.app import CarFile, Refused, car_file, plan_on
from putback.bay.named import car_words, names_of
from putback.bay.now import Now, Pack, Received, case_of, now_of
from putback.bay.pack import pack_bytes
from putback.bay.shelf import Shelf
from putback.core.car import Car
from putback.core.finding import Finding, Where
from putback.core.gates import Case, Moment
from putback.core.record import Answer, Event, Head, Link, NotAnEvent, head_of, read_event, read_json, verify
from putback.core.record.intake_kinds import CAR_IDENTIFIED
from putback.core.record.kinds import CLOSED, OPENED
from putback.core.record.review_kinds import NARRATION_TAKEN
from putback.plan.make import Settings, make_plan, wanted
from putback.plan.plan import Impossible, Plan

_PROCEDURES: Final = "*.procedure.yaml"
DESK = "desk"
"""The device by which the server itself logs: opening a job."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """What is known when a job is opened; the rest is asked by intake. `car` is a name of `Bay.cars`."""

    car: str
    wanted: tuple[str, ...]
    complaint: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenJob:
    """A job that was opened."""

    job: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """There is no such job here, or what it was opened with cannot be found; `what` and `mend` say which."""

    what: str
    mend: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NotTaken:
    """An event that was offered and cannot be kept as one; the device keeps it."""

    id: str | None
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """The answers to the events of one call, in their order, and the head after them."""

    answers: tuple[Answer | NotTaken, ...]
    head: Head


@dataclass(frozen=True, slots=True, kw_only=True)
class JobLine:
    """A job in the list of jobs. `known_by`: plate and end of the vehicle number, as far as they are known."""

    job: str
    title: str
    car: str
    known_by: str
    opened_at: str
    events: int
    closed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class JobView:
    """A job with all that is known of it now. `faults` are those that chaining the record anew finds.

    `case` is the record read for its gates, with the names of people as they are known now.
    """

    job: str
    opened: Event
    closed: bool
    links: tuple[Link, ...]
    head: Head
    faults: tuple[Finding, ...]
    aside: int
    pack: Pack
    received: tuple[Received, ...]
    case: Case
    now: Now


CarRead: TypeAlias = tuple[Car, bytes]


@dataclass(slots=True)
class Bay:
    """The desk.

    Args:
        store: where records are kept.
        shelf: where the files that records name are kept.
        cars: the car files that jobs may be opened on; a procedure among them is drawn to a car.
        clock: the time now, with its offset.
        new_id: a new id at each call.
        settings: the owner's own figures for plans.
        tools: the owner's tool list, if there is such a file; read anew each time.
        drives: the folder of logs of road tests, if there is one.
        procedures: the folder of procedures that were reviewed here, if there is one; jobs may be opened on each.
    """

    store: Store
    shelf: Shelf
    cars: Mapping[str, Path]
    clock: Callable[[], datetime]
    new_id: Callable[[], str]
    settings: Settings = field(default_factory=Settings)
    tools: Path | None = None
    drives: Path | None = None
    procedures: Path | None = None
    _plans: dict[str, Plan] = field(default_factory=dict)
    _packs: dict[str, Pack] = field(default_factory=dict)
    _cars: dict[str, Car] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)

    def car_files(self) -> Mapping[str, Path]:
        """The files that jobs may be opened on, by name: those named when the desk was set up, then procedures."""
        own = {} if self.procedures is None else {one.name: one for one in sorted(self.procedures.glob(_PROCEDURES))}
        return {**self.cars, **{name: path for name, path in own.items() if name not in self.cars}}

    def car(self, name: str) -> Car | Refused:
        """One of the cars, read anew."""
        file = self._car_file(name)
        return file if isinstance(file, Refused) else file.car

    def _car_file(self, name: str) -> CarFile | Refused:
        path = self.car_files().get(name)
        if path is None:
            return _refused("car", f"there is no car file {name!r:.60} here", "choose one of the list")
        return car_file(path)

    def open_job(self, opening: Opening) -> OpenJob | Refused | Impossible:
        """Plan a job, keep its car file and its plan, and begin its record.

        Raises:
            StoreFailed, OSError: nothing was opened.
        """
        file = self._car_file(opening.car)
        if isinstance(file, Refused):
            return file
        planned = plan_on(file, opening.wanted, settings=self.settings)
        if isinstance(planned, Refused | Impossible):
            return planned
        body = {
            "car_file": self.car_files()[opening.car].name,
            "car_sha256": self.shelf.put(file.content),
            "wanted": list(opening.wanted),
            "plan_sha256": self.shelf.put(pack_bytes(planned.plan)),
        }
        if opening.complaint:
            body["complaint"] = opening.complaint
        job = f"job-{self.new_id()}"
        self.begin(job, OPENED, body)
        return OpenJob(job=job)

    def begin(self, id: str, kind: str, body: Mapping[str, Any], *, person: str | None = None) -> None:
        """Begin a record with the desk's own event.

        Raises:
            StoreFailed: nothing was begun.
        """
        self.store.append([self._event(id, kind, body, person)], received_at=self._time())

    def log(self, job: str, facts: Sequence[tuple[str, Mapping[str, Any]]], *, person: str | None) -> Taken | Closed:
        """Add what a server page was told, as the desk's own events.

        Args:
            job: a job that is here.
            facts: kinds and bodies, in order.
            person: who told it; None: nobody said.
        """
        if not self.store.read(job):
            return Closed(what=f"there is no job {job:.60} here", mend="look in the list of jobs")
        events = [self._event(job, kind, body, person) for kind, body in facts]
        answers = self.store.append(events, received_at=self._time())
        return Taken(answers=answers, head=head_of(job, self.store.read(job)))

    def _event(self, job: str, kind: str, body: Mapping[str, Any], person: str | None = None) -> Event:
        return Event(
            id=f"{DESK}-{self.new_id()}", job=job, device=DESK, at=self._time(), person=person, kind=kind, body=body
        )

    def _time(self) -> str:
        return self.clock().isoformat(timespec="milliseconds")

    def jobs(self) -> tuple[JobLine, ...]:
        """Every job, the newest first."""
        lines, names = [], {id: name for id, (name, _) in names_of(self.store).items()}
        for job, head in self.store.heads().items():
            events = [event for event, _ in _events(self.store.read(job))]
            if events and events[0].kind == NARRATION_TAKEN:
                continue
            opened = next((event for event in events if event.kind == OPENED), None)
            pack = self._pack(opened) if opened else None
            lines.append(
                JobLine(
                    job=job,
                    title=str(pack["title"]) if pack else "opened elsewhere",
                    car=str(pack["car"]) if pack else "",
                    known_by=_known_by(events, names),
                    opened_at=opened.at if opened else "",
                    events=head.seq,
                    closed=any(event.kind == CLOSED for event in events),
                )
            )
        return tuple(sorted(lines, key=lambda line: line.opened_at, reverse=True))

    def take(self, job: str, raw: Sequence[object]) -> Taken | Closed:
        """Keep events that a device offers. What is no event of this job is refused for itself alone.

        Raises:
            StoreFailed: nothing was acknowledged; the device offers them again.
        """
        read = [_read(job, one) for one in raw]
        good = [one for one in read if isinstance(one, Event)]
        links = self.store.read(job)
        if not links and not any(event.kind == OPENED for event in good):
            return Closed(what=f"there is no job {job:.60} here", mend="the events stay on the device")
        answers = iter(self.store.append(good, received_at=self._time()))
        told = tuple(next(answers) if isinstance(one, Event) else one for one in read)
        return Taken(answers=told, head=head_of(job, self.store.read(job)))

    def links_after(self, job: str, *, after_seq: int, hash: str = "") -> tuple[tuple[Link, ...], Head, bool]:
        """The links behind a number, the head, and whether a device's head (number and hash) is in this record.

        Where it is not, all links are given: the device knows another past, and offers its own again.
        """
        links = self.store.read(job)
        known = after_seq == 0 or any(link.seq == after_seq and hash in ("", link.hash) for link in links)
        behind = tuple(link for link in links if link.seq > after_seq) if known else links
        return behind, head_of(job, links), known

    def pack(self, job: str) -> bytes | Closed:
        """The pack of a job as it was kept when the job was opened."""
        opened = self._opened(job)
        if opened is None:
            return Closed(what=f"there is no job {job:.60} here", mend="look in the list of jobs")
        content = self.shelf.get(str(opened.body.get("plan_sha256", "")))
        return content or Closed(what="the plan that this job was opened with is not on the shelf", mend=_RESTORE)

    def view(self, job: str) -> JobView | Closed:
        """A job with its state now."""
        links = self.store.read(job)
        pairs = _events(links)
        opened = next((event for event, _ in pairs if event.kind == OPENED), None)
        if opened is None:
            return Closed(what=f"there is no job {job:.60} here", mend="look in the list of jobs")
        pack = self._pack(opened)
        if pack is None:
            return Closed(what="the plan that this job was opened with is not on the shelf", mend=_RESTORE)
        car = self._car(opened)
        if car is None:
            return Closed(what="the car file of this job is not on the shelf", mend=_RESTORE)
        received = tuple(Received(event=event, received_at=link.received_at) for event, link in pairs)
        case = case_of(pack, received, car=car, people=self.names())
        return JobView(
            job=job,
            opened=opened,
            closed=any(event.kind == CLOSED for event, _ in pairs),
            links=links,
            head=head_of(job, links),
            faults=verify(links, job=job, own=self.store.heads().get(job)),
            aside=len(self.store.conflicts(job)),
            pack=pack,
            received=received,
            case=case,
            now=now_of(pack, received, car=car, moment=Moment(at=self.clock(), person=None), case=case),
        )

    def names(self) -> Mapping[str, str]:
        """The names of people and cars, by id; who was deleted is called so."""
        return {id: name for id, (name, _) in names_of(self.store).items()}

    def plan(self, view: JobView) -> Plan | Closed:
        """The whole plan of a job, made again from the car file that was kept."""
        digest = str(view.opened.body.get("plan_sha256", ""))
        with self._lock:
            if digest not in self._plans:
                car = self._car(view.opened)
                ids = [str(id) for id in view.pack["wanted"]]
                plan = None if car is None else make_plan(car, wanted(car, ids), settings=self.settings)
                if not isinstance(plan, Plan):
                    return Closed(what="the car file of this job cannot be planned any more", mend=_RESTORE)
                self._plans[digest] = plan
            return self._plans[digest]

    def _opened(self, job: str) -> Event | None:
        return next((event for event, _ in _events(self.store.read(job)) if event.kind == OPENED), None)

    def _car(self, opened: Event) -> Car | None:
        """The car file that a job was opened with; None where the shelf lacks it, or it cannot be read."""
        digest = str(opened.body.get("car_sha256", ""))
        if digest not in self._cars:
            content = self.shelf.get(digest)
            car = read_car_text(content, str(opened.body.get("car_file"))).car if content is not None else None
            if car is None:
                return None
            self._cars[digest] = car
        return self._cars[digest]

    def _pack(self, opened: Event) -> Pack | None:
        digest = str(opened.body.get("plan_sha256", ""))
        if digest not in self._packs:
            content = self.shelf.get(digest)
            if content is None:
                return None
            self._packs[digest] = cast("Pack", read_json(content))
        return self._packs[digest]


_RESTORE = "bring the folder of files back from a back-up, beside the store"


def _refused(field_: str, what: str, mend: str) -> Refused:
    where = Where(file="job", field=field_)
    return Refused(findings=(Finding(where=where, what=what, mend=mend, rule="open"),))


def _known_by(events: Sequence[Event], names: Mapping[str, str]) -> str:
    """Plate and end of the vehicle number of the car as it was identified last; plates can be deleted."""
    cars = [event.body for event in events if event.kind == CAR_IDENTIFIED]
    if not cars:
        return ""
    return ", ".join(filter(None, car_words(str(cars[-1]["car"]), cars[-1].get("vin_end"), names)))


def readable(links: Sequence[Link]) -> Iterator[Event]:
    """The events of a record that can be read."""
    return (event for event, _ in _events(links))


def _events(links: Sequence[Link]) -> list[tuple[Event, Link]]:
    """The events that can be read, with their links."""
    found = []
    for link in links:
        try:
            found.append((read_event(link.content), link))
        except NotAnEvent:
            continue
    return found


def _read(job: str, raw: object) -> Event | NotTaken:
    """One offered event; why not, where it is none or belongs to another job."""
    id = raw.get("id") if isinstance(raw, Mapping) else None
    known = id if isinstance(id, str) else None
    try:
        event = read_event(cast("Mapping[str, Any]", raw) if isinstance(raw, Mapping) else b"null")
    except NotAnEvent as wrong:
        return NotTaken(id=known, findings=wrong.findings)
    if event.job != job:
        where = Where(file="event", field="job")
        what, mend = f"belongs to job {event.job}, not {job:.60}", "offer it to its own job"
        return NotTaken(id=known, findings=(Finding(where=where, what=what, mend=mend, rule="event"),))
    return event
