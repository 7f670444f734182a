"""A job logged for tests as a technician's tablet would log it, with a clock that the test turns.

The car is the invented demo. Persons are p1 (at work), p2 (stands by), p3 (anybody else).
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cache
from typing import Any

from bay.packs import demo_plan
from putback.core.car import Car, Energy
from putback.core.gates import Case, Entry, Gate, GateKind, GateSettings, Moment, gates_before, held_before, read_case
from putback.core.operations import Operation, Verb
from putback.core.record import Event

START = datetime.fromisoformat("2026-03-02T07:30:00+01:00")
FIELDS = ("item", "joint", "way", "count", "thread", "guard", "energy", "fluid", "litres", "stow", "note")
POINTS = ("TP1-TP2", "TP1-body", "TP2-body")
COUNTED: Mapping[str, Any] = {"in_box": 3, "of": 3, "charge_lead": "out", "remote_starts": 0, "memory_savers": 0}
GOOD_READING: Mapping[str, Mapping[str, Any]] = {
    "fuel": {"value": 0, "unit": "kPa"},
    "lv": {"value": 0.02, "unit": "V"},
    "cool-engine": {"value": 31, "unit": "°C"},
    "cool-electronics": {"value": 28, "unit": "°C"},
}


def operations() -> tuple[Operation, ...]:
    """The demo plan, in its order."""
    return demo_plan().operations


@cache
def operation(verb: Verb, thing: str) -> Operation:
    """The first planned operation of a verb on an item, a joint or an energy."""
    for op in operations():
        if op.verb is verb and thing in (op.joint, None if op.joint else op.item, op.energy if not op.item else None):
            return op
    for op in operations():
        if op.verb is verb and op.energy == thing:
            return op
    raise LookupError(f"{verb} {thing}")


SHIELD = operation(Verb.UNDO, "j48")
"""The first touch of the orange shield."""


@dataclass(slots=True)
class Bench:
    """One job while it is logged. `now` is true time; devices may be `slow` by an amount, the server is not."""

    now: datetime = START
    person: str = "p1"
    device: str = "tablet"
    online: bool = True
    slow: dict[str, timedelta] = field(default_factory=dict)
    steady: bool = True
    entries: list[Entry] = field(default_factory=list)
    made: int = 0
    settings: GateSettings = field(default_factory=GateSettings)
    car: Car = field(default_factory=lambda: demo_plan().car)

    def pass_minutes(self, minutes: float) -> "Bench":
        """Time goes on."""
        self.now += timedelta(minutes=minutes)
        return self

    def at(self, device: str | None = None) -> datetime:
        """What a device's clock shows."""
        return self.now - self.slow.get(device or self.device, timedelta(0))

    def log(self, kind: str, /, **body: Any) -> str:
        """Log an event a second from now. Keys that begin with `_` set its envelope; None leaves a field out."""
        self.now += timedelta(seconds=1)
        device = str(body.pop("_device", self.device))
        self.made += 1
        id = str(body.pop("_id", f"{device}-{self.made}"))
        at = body.pop("_at", self.at(device).isoformat())
        person = body.pop("_person", self.person)
        online = body.pop("_online", self.online)
        job, more = body.pop("_job", "job-1"), body.pop("_more", {})
        if self.steady and kind in ("operation done", "reading taken", "energy checked"):
            body.setdefault("steady_s", (self.now - START).total_seconds() + 100)
        said = {name: value for name, value in body.items() if value is not None}
        event = Event(id=id, job=job, device=device, at=at, person=person, kind=kind, body=said, more=more)
        received = self.now + timedelta(milliseconds=200)
        self.entries.append(Entry(event=event, received_at=received.isoformat() if online else None))
        return id

    def do(self, op: Operation, **more: Any) -> str:
        """Log a planned operation as done."""
        body = {name: getattr(op, name) for name in FIELDS if getattr(op, name) not in (None, "")}
        return self.log("operation done", verb=op.verb.value, planned=op.n, **body | more)

    def take_back(self, id: str, **more: Any) -> str:
        """Log that an event was a slip."""
        return self.log("operation taken back", mends=id, **more)

    def arrive(self, after_minutes: float = 0.0) -> None:
        """The server receives what only devices held, late."""
        self.pass_minutes(after_minutes)
        self.entries = [
            Entry(event=one.event, received_at=one.received_at or self.now.isoformat()) for one in self.entries
        ]

    def case(self, entries: list[Entry] | None = None) -> Case:
        """The record read for its gates."""
        plan = demo_plan()
        planned = [line.energy.id for line in plan.energies]
        given = self.entries if entries is None else entries
        return read_case(self.car, given, energies=planned, ways=plan.ways, settings=self.settings)

    def moment(self, *, person: str | None = "p1", device: str | None = None) -> Moment:
        """Now, by the server's clock, or by a device's."""
        if device is None:
            return Moment(at=self.now, person=person)
        steady = (self.now - START).total_seconds() + 100 if self.steady else None
        return Moment(at=self.at(device), person=person, device=device, steady_s=steady)

    def gates(
        self, op: Operation = SHIELD, *, person: str | None = "p1", device: str | None = None
    ) -> tuple[Gate, ...]:
        """All gates before an operation now."""
        return gates_before(self.case(), op, self.moment(person=person, device=device))

    def held(self, op: Operation) -> tuple[Gate, ...]:
        """All questions before an operation now."""
        return held_before(self.case(), op, self.moment())

    def shut(
        self, op: Operation = SHIELD, *, person: str | None = "p1", device: str | None = None
    ) -> set[tuple[GateKind, str | None]]:
        """Kind and energy of each gate that lets nobody through."""
        found = self.gates(op, person=person, device=device)
        return {(gate.kind, gate.energy) for gate in found if not gate.lets_through}

    # --- what a technician does, in the order that is asked ---

    def people(self) -> None:
        """Grade, second person, boundary, keys, gloves."""
        self.grade()
        self.log("second person named", who="p2")
        self.log("boundary set", who="p1")
        self.keys()
        self.gloves()

    def grade(self, **body: Any) -> str:
        """Show a grade."""
        shown = {
            "who": "p1",
            "grade": "high-voltage skilled person",
            "issuer": "an institute",
            "expires": "2027-05-31",
        }
        return self.log("grade shown", **shown | body)

    def keys(self, **body: Any) -> str:
        """Count the keys."""
        return self.log("keys counted", **{**COUNTED, "holder": "p1"} | body)

    def gloves(self, **body: Any) -> str:
        """Check the gloves."""
        checked = {
            "who": "p1",
            "class": "0",
            "basis": "common practice class 0",
            "serial": "G-114",
            "tested": "2026-01-12",
            "air_test": "held",
            "air_test_at": self.at().isoformat(),
        }
        return self.log("gloves checked", **checked | body)

    def tick(self, energy: str = "lv") -> str:
        """Tick the whole list of an energy."""
        return self.log("list ticked", energy=energy, ticked=list(self.car.energies[energy].before_it), who="p1")

    def reading(self, phase: str, value: float, points: str | None = None, /, **body: Any) -> str:
        """Read the instrument for the high voltage."""
        taken = {"energy": "hv", "phase": phase, "value": value, "unit": "V", "instrument": "meter-3", "who": "p1"}
        where = {"points": points} if points else {"known_source": "proving unit 300 V"}
        return self.log("reading taken", **{**taken, **where, **body})

    def readings(self, *values: float, **body: Any) -> list[str]:
        """Prove, test every pair, prove again; `values` at the pairs, 0.3 V where left out."""
        shown = [*values, *[0.3] * (len(POINTS) - len(values))]
        before = self.reading("prove before", 302, **body)
        tests = [self.reading("test", value, pair, **body) for value, pair in zip(shown, POINTS, strict=True)]
        return [before, *tests, self.reading("prove after", 301, **body)]

    def prove(self, energy: str) -> str:
        """All evidence of an energy, and `prove dead`."""
        proof = self.car.energies[energy].proof
        assert proof is not None
        if proof.points:
            self.readings()
        elif proof.check:
            self.log("energy checked", energy=energy, who=self.person, gone="yes")
        reading = GOOD_READING.get(energy)
        return self.do(operation(Verb.PROVE_DEAD, energy), reading=dict(reading) if reading else None)

    def sit_out(self, energy: Energy) -> None:
        """Wait as long as the file says, with a line every now and then."""
        for _ in range(int(energy.wait.minutes or 0) if energy.wait else 0):
            self.pass_minutes(1)

    def rites(self, op: Operation) -> None:
        """What is logged before an operation of the plan, beside the operations of the plan."""
        energy = self.car.energies.get(op.energy or "")
        if op.item == "seat-base-cover" and op.verb is Verb.UNDO:
            self.people()
        if op.verb is Verb.NOTE and energy and energy.before_it:
            self.tick(energy.id)
        if op.verb is Verb.WAIT and energy:
            self.sit_out(energy)
        if op.item == "orange-shield" and op.verb is Verb.FIT:
            self.log("bonding checked", item="bonding-strap", value=0.02, unit="Ω", who="p1")
        if op.verb in (Verb.FIT, Verb.JOIN, Verb.RESTORE) and (
            energy or op.item in ("service-disconnect", "lv-negative")
        ):
            self.log("people seen clear", who="p2")

    def step(self, op: Operation) -> str:
        """One operation of the plan with all that belongs to it."""
        self.rites(op)
        if op.verb is Verb.PROVE_DEAD and op.energy:
            return self.prove(op.energy)
        return self.do(op)

    def walk(self, upto: Operation | None = None, *, minutes: float = 0.5) -> Iterator[Operation]:
        """The plan in its order; gives each operation before it is logged."""
        for op in operations():
            if upto is not None and op.n >= upto.n:
                return
            yield op
            self.step(op)
            self.pass_minutes(minutes)

    def reach(self, upto: Operation) -> "Bench":
        """Everything done rightly up to an operation, which is not done."""
        for _ in self.walk(upto):
            pass
        return self

    def reach_from(self, start: Operation, upto: Operation) -> "Bench":
        """The plan from one operation up to another, which is not done; whatever is shut."""
        for op in operations():
            if start.n <= op.n < upto.n:
                self.step(op)
                self.pass_minutes(0.5)
        return self

    def copy(self) -> "Bench":
        """The same job, to go on with otherwise."""
        return Bench(
            now=self.now,
            person=self.person,
            device=self.device,
            online=self.online,
            slow=dict(self.slow),
            steady=self.steady,
            entries=list(self.entries),
            made=self.made,
            settings=self.settings,
            car=self.car,
        )


@cache
def _reached(n: int) -> Bench:
    return Bench().reach(next(op for op in operations() if op.n == n))


def before(op: Operation) -> Bench:
    """The demo job, done rightly up to an operation."""
    return _reached(op.n).copy()


def at_shield() -> Bench:
    """High voltage proved, everything open, ten minutes and a half past: the orange shield is next."""
    return before(operation(Verb.UNDO, "j10"))
