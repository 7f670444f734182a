"""The demo job as a whole record: opened, made safe, done, a finding declined, an override given, closed.

Everything in it is invented: car, persons, readings, times. It is logged by `Bench` as a tablet would log it.
"""

import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from bay.packs import demo_plan
from core.gates.bench import START, Bench
from putback.adapters.car_file import demo_path
from putback.adapters.stores import Store
from putback.bay import Bay, JobView, Opening, OpenJob, Shelf
from putback.core.intake import VIEWS
from putback.core.operations import Operation, Verb
from putback.core.record import Event
from putback.plan.plan import Plan

TECHNICIAN, SECOND, OWNER, PLATE = "Ilvy Marn", "Rosko Tael", "Odalys Quent", "QQ 00 ZZ"
PEOPLE: dict[str, dict[str, str]] = {
    "p1": {"name": TECHNICIAN},
    "p2": {"name": SECOND},
    "owner-1": {"name": OWNER, "phone": "+00 12 345", "role": "owner"},
    "car-1": {"plate": PLATE, "vin": "XXINVENTED0004711", "role": "car"},
}
LIMIT = "1435.40"
ASKED = "1572.40"
"""The demo's sum, and the same with the pitted bypass: 55 min at 96.00 an hour and 49.00 of parts."""


@dataclass
class Whole:
    """A job that was walked through, with the desk it lies at."""

    bay: Bay
    job: str
    bench: Bench

    @property
    def view(self) -> JobView:
        view = self.bay.view(self.job)
        assert isinstance(view, JobView)
        return view

    @property
    def plan(self) -> Plan:
        plan = self.bay.plan(self.view)
        assert isinstance(plan, Plan)
        return plan

    def keep(self) -> None:
        """Put what the bench logged into the store, each event when it was received."""
        for entry in self.bench.entries:
            assert entry.received_at is not None
            self.bay.store.append([of_job(entry.event, self.job)], received_at=entry.received_at)
        self.bench.entries.clear()


def of_job(event: Event, job: str) -> Event:
    return Event(
        id=event.id, job=job, device=event.device, at=event.at, person=event.person, kind=event.kind, body=event.body
    )


def desk(store: Store, folder: Path) -> Bay:
    """A desk whose clock stands shortly before the work."""
    numbers = itertools.count()
    return Bay(
        store=store,
        shelf=Shelf(folder / "files"),
        cars={demo_path().name: demo_path()},
        clock=lambda: START - timedelta(minutes=30),
        new_id=lambda: f"d{next(numbers)}",
    )


def opened(store: Store, folder: Path) -> Whole:
    """The demo job, opened, with its people."""
    bay = desk(store, folder)
    found = bay.open_job(
        Opening(car=demo_path().name, wanted=("thermostat-and-pump",), complaint="runs hot in traffic")
    )
    assert isinstance(found, OpenJob)
    for id, data in PEOPLE.items():
        store.put_person(id, data)
    return Whole(bay=bay, job=found.job, bench=Bench())


def whole(store: Store, folder: Path, *, also: Callable[[Bench, Operation], None] | None = None) -> Whole:
    """The demo job from opening to close. `also` may log more right before an operation."""
    made = opened(store, folder)
    bench = made.bench
    intake(bench)
    for op in walk(bench):
        if also:
            also(bench, op)
    bench.log("keys returned", fobs=2, spares=1, phone_keys=0)
    bench.log("job closed")
    made.keep()
    return made


def intake(bench: Bench) -> None:
    """What is asked before the work."""
    bench.log("car identified", car="car-1", vin_end="004711")
    bench.log("owner named", who="owner-1", **{"as": "owner"}, channel="telephone")
    bench.log("odometer read", value=84210, unit="km")
    bench.log("keys received", fobs=2, spares=1, phone_keys=0)
    bench.log("dash lamps noted", lamps=["coolant"])
    bench.log("recalls asked", open="no", where="by number")
    bench.log("old parts asked", see="yes")
    for at, view in enumerate(VIEWS):
        bench.log("photo taken", sha256=f"{at:064x}", bytes=240_000 + at, media="image/jpeg", view=view)
    bench.log(
        "scope signed",
        who="owner-1",
        at=bench.now.isoformat(),
        channel="in person",
        scope_sha256="5" * 64,
        amount=LIMIT,
        limit=LIMIT,
        currency="EUR",
        see_old_parts="yes",
        items=list(demo_plan().items),
    )
    bench.log("parts shelved", parts=[line.part for line in demo_plan().parts])


def walk(bench: Bench) -> Iterator[Operation]:
    """The plan in its order, with what is logged beside it; gives each operation before it is logged."""
    for op in demo_plan().operations:
        for kind, body in _beside(bench, op):
            bench.log(kind, **body)
        yield op
        if op.verb is Verb.TIGHTEN and op.torque is not None:
            torque: dict[str, Any] = {"value": op.torque.value, "unit": op.torque.unit}
            if op.torque.angles_deg:
                torque["angle_deg"] = list(op.torque.angles_deg)
            bench.do(op, torque=torque, tool="wrench 4")
        else:
            bench.step(op)
        bench.pass_minutes(0.9)


def _beside(bench: Bench, op: Operation) -> Iterator[tuple[str, dict[str, Any]]]:
    """The finding and its answer, a seized clip, a part held against the old one, an override, a question passed."""
    if op.verb is Verb.REMOVE and op.item == "deflector-left":
        yield "not as planned", {"what": "seized", "item": "undertray", "joint": "j09", "count": 1, "note": "freed"}
    if op.verb is Verb.UNDO and op.joint == "j02":
        yield (
            "override given",
            {"gate": "before it", "energy": "lv", "who": "p2", "reason": "parking-brake state seen at the dash"},
        )
    if op.verb is Verb.REMOVE and op.item == "housing":
        seen = {"finding": "pitted-bypass", "item": "bypass-pipe", "minutes": 55, "amount": ASKED, "currency": "EUR"}
        parts = [{"name": "bypass insert sleeve", "amount": "38.00"}, {"name": "sleeve sealant", "amount": "11.00"}]
        yield "finding seen", {**seen, "parts": parts, "note": "white crust on the land"}
        yield "photo taken", {"sha256": "a" * 64, "bytes": 310_000, "media": "image/jpeg", "finding": "pitted-bypass"}
        answer = {"finding": "pitted-bypass", "who": "owner-1", "channel": "telephone", "answer": "no"}
        yield "answer given", {**answer, "at": datetime.isoformat(bench.now)}
    if op.verb is Verb.FIT and op.item == "pump":
        yield (
            "parts compared",
            {"item": "pump", "same": "yes", "old_length_mm": 118, "new_length_mm": 118, "ports": "same"},
        )
        yield (
            "hold passed",
            {"gate": "not-compared", "item": "thermostat", "note": "old part went back to the supplier"},
        )
