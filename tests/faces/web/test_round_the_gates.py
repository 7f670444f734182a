"""Every gate is tried to be got round by page, by the API, offline, by clock, by replay, by mending and by override.

What is logged past a shut gate is kept as a fact, is listed with the gate on the record page and on the job record,
and opens nothing. `TRIED` says for each gate and way which test tries it; the ways of the API are tried here.
"""

import itertools
import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from bay.demo_record import PEOPLE
from bay.packs import demo_plan
from core.gates.bench import SHIELD, Bench, at_shield, before, operation
from faces.web.calling import Caller
from putback.adapters.car_file import demo_path
from putback.adapters.stores import Store, open_store
from putback.bay import Bay, JobView, Opening, OpenJob, Pack, Shelf
from putback.bay.pack import pack_bytes
from putback.bay.papers import job_record, source_of
from putback.core.car import Car
from putback.core.gates import Entry, Gate, GateKind, Moment, Override, gates_before
from putback.core.gates.gate import OVERRIDE
from putback.core.operations import Operation, Verb
from putback.core.record import Event
from putback.faces.web import make_app
from putback.plan.plan import Plan

HOST = "127.0.0.1:8999"
DISCONNECT_BACK = operation(Verb.FIT, "service-disconnect")
SHIELD_BACK = operation(Verb.FIT, "orange-shield")


@dataclass(frozen=True, slots=True, kw_only=True)
class Try:
    """A gate that is shut before an operation: the job up to there, what shut it, and who goes on all the same."""

    bench: Callable[[], Bench]
    shuts: Callable[[Bench], object] = lambda _: None
    operation: Operation = SHIELD
    person: str = "p1"
    unsourced: bool = False


def without(bench: Bench, kind: str) -> Bench:
    """A job in which one kind of event was left out."""
    bench.entries = [one for one in bench.entries if one.event.kind != kind]
    return bench


TRIES: Mapping[GateKind, Try] = {
    GateKind.WHO: Try(bench=at_shield, person="p3"),
    GateKind.GLOVES: Try(bench=at_shield, shuts=lambda bench: bench.gloves(air_test="failed")),
    GateKind.KEYS: Try(bench=at_shield, shuts=lambda bench: bench.log("key moved", who="p2")),
    GateKind.SECOND_PERSON: Try(bench=at_shield, shuts=lambda bench: bench.log("person left", who="p2")),
    GateKind.WAIT: Try(
        bench=lambda: before(operation(Verb.REMOVE, "service-disconnect")),
        shuts=lambda bench: bench.step(operation(Verb.REMOVE, "service-disconnect")),
    ),
    GateKind.PROOF: Try(bench=at_shield, shuts=lambda bench: bench.reading("test", 6, "TP1-TP2")),
    GateKind.VALUE_NEEDED: Try(bench=at_shield, unsourced=True),
    GateKind.BEFORE_IT: Try(
        bench=lambda: without(before(operation(Verb.UNDO, "j02")), "list ticked"),
        operation=operation(Verb.UNDO, "j02"),
    ),
    GateKind.ORDER: Try(bench=Bench, operation=operation(Verb.REMOVE, "service-disconnect")),
    GateKind.BOUNDARY: Try(bench=lambda: without(at_shield(), "boundary set")),
    GateKind.RESTORE: Try(
        bench=at_shield, shuts=lambda bench: bench.step(operation(Verb.UNDO, "j48")), operation=DISCONNECT_BACK
    ),
    GateKind.CONSENT: Try(
        bench=at_shield,
        shuts=lambda bench: bench.log("finding seen", finding="hose-cracked", item="orange-shield", minutes=20),
        operation=SHIELD_BACK,
    ),
}
"""Each gate that can shut, shut in the demo job."""


@dataclass(slots=True)
class Round:
    """A job at a desk whose clock the test turns, and a device that goes round the page."""

    kind: GateKind
    tried: Try
    bench: Bench
    bay: Bay
    caller: Caller
    job: str
    clock: dict[str, datetime]
    past: list[str] = field(default_factory=list)
    sent: int = 0

    def send(self, *, late_minutes: float = 0.0) -> list[dict[str, Any]]:
        """Offer to the API what the bench logged since the last call; the server gets it at once, or late."""
        new, answers = self.bench.entries[self.sent :], []
        self.sent = len(self.bench.entries)
        for entry in new:
            received = datetime.fromisoformat(entry.received_at) if entry.received_at else self.bench.now
            self.clock["now"] = received + timedelta(minutes=late_minutes)
            answers += self.offer(json.loads(entry.event.content) | {"job": self.job})
        self.clock["now"] = max(self.clock["now"], self.bench.now)
        return answers

    def offer(self, *events: dict[str, Any]) -> list[dict[str, Any]]:
        headers = {"origin": f"http://{HOST}", "x-putback": "1", "content-type": "application/json"}
        content = json.dumps({"events": events}).encode()
        answer = self.caller.post(f"/api/jobs/{self.job}/events", content=content, headers=headers)
        assert answer.status_code == 200, answer.text
        answers: list[dict[str, Any]] = answer.json()["answers"]
        return answers

    def past_the_gate(self, **more: Any) -> dict[str, Any]:
        """Log the operation all the same, as no page would; the answer of the server."""
        id = self.bench.do(self.tried.operation, _person=self.tried.person, **more)
        self.past.append(id)
        (answer,) = self.send()
        return answer

    @property
    def view(self) -> JobView:
        view = self.bay.view(self.job)
        assert isinstance(view, JobView)
        return view

    def shut(self, *, device: str | None = None) -> tuple[Gate, ...]:
        """The gates of this kind that let nobody through now, by the server's clock or by a device's."""
        asked = self.bench.moment(person=self.tried.person, device=device)
        moment = Moment(at=asked.at, person=asked.person, device=asked.device, steady_s=asked.steady_s)
        found = gates_before(self.view.case, self.tried.operation, moment)
        return tuple(gate for gate in found if gate.kind is self.kind and not gate.lets_through)

    def check(self) -> None:
        """The gate is as shut as ever, every line past it is a fact, and each is listed with it."""
        assert self.shut(), f"{self.kind} was opened"
        assert self.shut(device=self.bench.device), f"{self.kind} was opened on the device"
        view = self.view
        places = {one.event.id: link.seq for one, link in zip(view.received, view.links, strict=True)}
        assert set(self.past) <= set(places), "a fact was refused"
        page = self.caller.get(f"/jobs/{self.job}/record").text
        listed = page[page.index('id="shut"') : page.index('id="events"')]
        plan = self.bay.plan(view)
        assert isinstance(plan, Plan)
        section = next(one for one in job_record(source_of(self.bay, view, plan)).sections if one.id == "passed")
        printed = {row.cells[-1]: row.cells[2] for row in section.tables[1].rows}
        for id in self.past:
            assert f'data-head="n">{places[id]}<' in listed, "not on the record page"
            assert f"{self.kind}: " in printed[str(places[id])], "not on the job record"
        assert f"<b>{self.kind}</b>" in listed


def desk(folder: Path, store: Store, car: Path, clock: dict[str, datetime]) -> Bay:
    """A desk that has made the plans of these tests before."""
    numbers = itertools.count()
    return Bay(
        store=store,
        shelf=Shelf(folder / "files"),
        cars={car.name: car},
        clock=lambda: clock["now"],
        new_id=lambda: f"d{next(numbers)}",
        _plans=_PLANS,
        _packs=_PACKS,
        _cars=_CARS,
    )


_PLANS: dict[str, Plan] = {}
_PACKS: dict[str, Pack] = {}
_CARS: dict[str, Car] = {}


def unsourced(folder: Path) -> Path:
    """The demo car with a wait that names no source."""
    text = demo_path().read_text(encoding="utf-8")
    sourced = "wait: {minutes: 10, from: service-disconnect, source: made-up}"
    assert sourced in text
    path = folder / "unsourced.car.yaml"
    path.write_text(text.replace(sourced, sourced.replace(", source: made-up", "")), encoding="utf-8")
    return path


def opened(bay: Bay, car: Path, tried: Try) -> str:
    """A job; on the demo car as `Bay.open_job` opens it, with the plan that is made once for all tests."""
    if tried.unsourced:
        found = bay.open_job(Opening(car=car.name, wanted=("thermostat-and-pump",)))
        assert isinstance(found, OpenJob)
        return found.job
    files = {"car_sha256": bay.shelf.put(car.read_bytes()), "plan_sha256": bay.shelf.put(demo_bytes())}
    body = {"car_file": car.name, "wanted": ["thermostat-and-pump"], **files}
    at = bay.clock().isoformat()
    event = Event(id="desk-0", job="job-0", device="desk", at=at, person=None, kind="job opened", body=body)
    bay.store.append([event], received_at=at)
    return event.job


@cache
def demo_bytes() -> bytes:
    return pack_bytes(demo_plan())


def rounds(kind: GateKind, store: Store, folder: Path) -> Round:
    """The job up to the operation, with what shuts its gate; that comes by the API."""
    tried = TRIES[kind]
    path, bench = unsourced(folder) if tried.unsourced else demo_path(), tried.bench()
    clock = {"now": datetime.fromisoformat("2026-03-02T07:00:00+01:00")}
    bay = desk(folder, store, path, clock)
    job = opened(bay, path, tried)
    for id, data in PEOPLE.items():
        store.put_person(id, data)
    by_time: dict[str, list[Event]] = {}
    for entry in bench.entries:
        by_time.setdefault(str(entry.received_at), []).append(_of_job(entry, job))
    for received, events in by_time.items():
        store.append(events, received_at=received)
    made = Round(
        kind=kind,
        tried=tried,
        bench=bench,
        bay=bay,
        caller=Caller(make_app(bay, hosts=[HOST]), HOST),
        job=job,
        clock=clock,
        sent=len(bench.entries),
    )
    tried.shuts(bench)
    made.send()
    return made


def _of_job(entry: Entry, job: str) -> Event:
    event = entry.event
    return Event(
        id=event.id, job=job, device=event.device, at=event.at, person=event.person, kind=event.kind, body=event.body
    )


@pytest.fixture(params=TRIES, ids=str)
def going(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Round]:
    """Right before an operation whose gate is shut."""
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        made = rounds(request.param, store, tmp_path)
        assert made.shut(), "the gate of the test is open"
        yield made


def test_offline_it_is_the_same_when_it_comes_late(going: Round) -> None:
    """Logged without the server, by the same device, and sent two hours later."""
    going.bench.online = False
    going.past.append(going.bench.do(going.tried.operation, _person=going.tried.person))
    (answer,) = going.send(late_minutes=120)
    assert "seq" in answer
    going.bench.online = True
    going.check()


def test_by_a_clock_that_was_set(going: Round) -> None:
    """The device's clock stands ahead, behind, months behind; its steady clock and the server's know better."""
    for hours in (2, -1, -24 * 300):
        going.bench.slow[going.bench.device] = timedelta(hours=-hours)
        assert "seq" in going.past_the_gate()
        assert going.shut(device=going.bench.device), f"{going.kind} was opened by {hours} h"
    going.bench.slow.clear()
    going.check()


def test_by_the_api_and_by_replay(going: Round) -> None:
    """The fact is kept, the gate stays shut. Then everything again, and again under its ids with other content."""
    assert "seq" in going.past_the_gate()
    going.check()
    count, head = len(going.view.links), going.view.head
    raw = [json.loads(one.event.content) | {"job": going.job} for one in going.bench.entries]
    assert all(answer["again"] for answer in going.offer(*raw))
    assert (len(going.view.links), going.view.head) == (count, head)
    now = (going.bench.now + timedelta(seconds=1)).isoformat()
    assert all("conflict" in answer for answer in going.offer(*({**one, "at": now} for one in raw)))
    assert (len(going.view.links), going.view.head) == (count, head)
    going.check()


def test_by_mending(going: Round) -> None:
    """Whatever was logged last is taken back, the operation itself too: that opens nothing and hides nothing."""
    going.past_the_gate()
    last = [one.event.id for one in going.bench.entries[-4:]]
    for id in reversed(last):
        going.bench.take_back(id)
    going.send()
    going.check()


def test_by_an_override(going: Round) -> None:
    """Where none may pass it nobody does, and that is printed; else it takes a name, a reason, and this very gate."""
    (gate, *_) = going.shut()
    said = {"gate": gate.kind.value, "energy": gate.energy, "item": gate.item, "about": gate.about, "who": "p2"}
    if OVERRIDE[going.kind] is Override.NOBODY:
        going.bench.log("override given", **said, reason="in a hurry")
    else:
        going.bench.log("override given", **said, reason=" ")
        going.bench.log("override given", **{**said, "who": None}, reason="in a hurry")
        going.bench.log("override given", **{**said, "item": "undertray"}, reason="in a hurry")
        going.bench.log("override given", **{**said, "about": "hot air"}, reason="in a hurry")
        going.bench.log("override given", **{**said, "energy": "fuel"}, reason="in a hurry")
    going.send()
    going.past_the_gate()
    going.check()
    assert "in a hurry" in going.caller.get(f"/jobs/{going.job}/record").text


def test_one_override_of_giving_back_passes_one_gate(tmp_path: Path) -> None:
    """What is not back, and each energy that comes back before, is asked by itself."""
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        made = rounds(GateKind.RESTORE, store, tmp_path)
        made.tried = Try(bench=at_shield, operation=operation(Verb.JOIN, "lv-negative"))
        shut = made.shut()
        assert len(shut) > 1
        for left, gate in zip(range(len(shut) - 1, -1, -1), shut, strict=True):
            said = {"gate": "restore", "energy": gate.energy, "item": gate.item, "about": gate.about}
            made.bench.log("override given", **said, who="p2", reason="seen to by hand")
            made.send()
            assert len(made.shut()) == left


API = "test_round_the_gates.py::test_by_the_api_and_by_replay"
OFFLINE = "test_round_the_gates.py::test_offline_it_is_the_same_when_it_comes_late"
CLOCK = "test_round_the_gates.py::test_by_a_clock_that_was_set"
MENDING = "test_round_the_gates.py::test_by_mending"
OVERRIDDEN = "test_round_the_gates.py::test_by_an_override"
PAGE = "../../bay/test_gates_on_page.py::test_page_and_core_agree_on_every_gate"
BROWSER = "browser/test_bay_gates.py::test_"
FINDINGS = "browser/test_bay_findings.py::test_"

TRIED: Mapping[GateKind, Mapping[str, tuple[str, ...]]] = {
    kind: {
        "page": (PAGE,),
        "api": (API,),
        "offline": (OFFLINE, PAGE),
        "clock": (CLOCK,),
        "replay": (API,),
        "mending": (MENDING,),
        "override": (OVERRIDDEN,),
    }
    for kind in TRIES
}
"""By gate and way the tests that try it. On the page each gate is held against the core's, with the server or not."""

TAPPED: Mapping[GateKind, tuple[str, ...]] = {
    GateKind.GLOVES: (f"{BROWSER}gloves_of_seven_months_ago",),
    GateKind.KEYS: (f"{BROWSER}a_phone_key_in_the_yard",),
    GateKind.WAIT: (
        f"{BROWSER}minute_9_of_10",
        f"{BROWSER}offline_the_gates_are_as_shut",
        f"{BROWSER}a_clock_set_ahead_opens_nothing",
        f"{BROWSER}a_reload_opens_nothing",
    ),
    GateKind.PROOF: (
        f"{BROWSER}a_reading_of_6_v",
        f"{BROWSER}no_second_proving_of_the_meter",
        f"{BROWSER}the_night_ends_the_proof",
    ),
    GateKind.BOUNDARY: (f"{BROWSER}a_wait_has_no_override_and_a_boundary_has_one_by_name",),
    GateKind.CONSENT: (
        "browser/test_bay_findings.py::test_the_answer_is_asked_with_the_amount_that_the_message_names",
    ),
}
"""Where a real browser tries it by taps as well."""

WAYS = ("page", "api", "offline", "clock", "replay", "mending", "override")


def test_every_gate_is_tried_in_every_way() -> None:
    """What only asks (held) shuts nothing: there is nothing to get round."""
    assert set(TRIED) == set(GateKind) - {GateKind.HELD}
    assert all(tuple(ways) == WAYS and all(ways.values()) for ways in TRIED.values())


def test_the_tests_that_are_named_are_there() -> None:
    named = {one for ways in TRIED.values() for found in ways.values() for one in found}
    named |= {one for found in TAPPED.values() for one in found}
    for one in sorted(named):
        path, _, name = one.partition("::")
        text = (Path(__file__).parent / path).read_text(encoding="utf-8")
        assert f"\ndef {name}(" in text, one
