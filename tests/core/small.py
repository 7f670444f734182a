"""One idea: a rule is shown at work on a car of a few things, with a job that fits in a few lines.

`Hands` says operations on a small car with the counts, threads and torques that the car gives; a case changes what
it wants to be wrong. Nothing here is taken from a vehicle.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

from putback.core.car import Action, Car, Energy, Fluid, Guard, Item, Joint, Link, Relearn, Way, Zone
from putback.core.finding import Finding, Kind
from putback.core.operations import OFF, TWIN, Operation, Verb
from putback.core.quantity import Torque, read_torque
from putback.core.rules import Rule, audit
from putback.core.thread import read_thread

SOURCE = "made-up"
VERBS = {**OFF, Action.RENEW: Verb.REMOVE}

Part: TypeAlias = Operation | Iterable["Part"]


def joint(id: str, count: int = 2, thread: str | None = "M6x20", torque: str | None = "8 N·m", **other: Any) -> Joint:
    """A joint of no item yet; `item` gives it a home."""
    said: Torque | None = read_torque(torque) if torque else None
    source = other.pop("source", SOURCE if said else None)
    read = read_thread(thread) if thread else None
    return Joint(id=id, item="", count=count, thread=read, torque=said, source=source, drive="hex10", **other)


def item(id: str, needs: Iterable[str] = (), *joints: Joint, action: Action = Action.REMOVE, **other: Any) -> Item:
    """An item that needs others off."""
    return Item(
        id=id,
        name=f"the {id}",
        zone=other.pop("zone", "T"),
        action=action,
        minutes_off=1.0,
        minutes_on=1.0,
        needs_off=tuple(Link(item=need) for need in needs),
        joints=tuple(replace(one, item=id) for one in joints),
        **other,
    )


def way(id: str, *needs: str) -> Way:
    """One way to a joint."""
    return Way(id=id, needs_off=tuple(Link(item=need) for need in needs))


def small_car(
    *items: Item,
    energies: Iterable[Energy] = (),
    guards: Iterable[Guard] = (),
    fluids: Iterable[Fluid] = (),
    relearn: Iterable[Relearn] = (),
) -> Car:
    """A car of a few things, in two zones."""
    return Car(
        name="small car",
        file="small.yaml",
        invented=True,
        zones={id: Zone(id=id, name=id) for id in "TU"},
        sources={SOURCE: "no vehicle"},
        items={one.id: one for one in items},
        energies={one.id: one for one in energies},
        guards={one.id: one for one in guards},
        fluids={one.id: one for one in fluids},
        relearn=tuple(relearn),
    )


@dataclass(frozen=True, slots=True)
class Hands:
    """Operations on one car, as they should be; keywords change what they say."""

    car: Car

    def say(self, verb: Verb, **said: Any) -> Operation:
        """Any operation, not numbered yet."""
        return Operation(n=0, verb=verb, **said)

    def off(self, id: str, **said: Any) -> Operation:
        """An item comes off, as its action says."""
        return self.say(said.pop("verb", VERBS[self.car.items[id].action]), **{"item": id, **said})

    def back(self, id: str, **said: Any) -> Operation:
        """An item goes back."""
        return self.say(TWIN[VERBS[self.car.items[id].action]], **{"item": id, **said})

    def turn(self, verb: Verb, id: str, **said: Any) -> Operation:
        """A joint is undone, started or tightened."""
        one = self.car.joint(id)
        usual: dict[str, Any] = {"item": one.item, "joint": id, "count": one.count, "drive": one.drive}
        usual["thread"] = one.thread.text if one.thread else None
        usual["way"] = one.ways[0].id if one.ways else None
        if verb is Verb.TIGHTEN and one.sourced_torque:
            usual |= {"torque": one.sourced_torque, "torque_source": one.source}
        return self.say(verb, **{**usual, **said})

    def undo(self, id: str, **said: Any) -> Operation:
        """A joint is undone."""
        return self.turn(Verb.UNDO, id, **said)

    def start(self, id: str, **said: Any) -> Operation:
        """A joint is started."""
        return self.turn(Verb.START, id, **said)

    def tighten(self, id: str, **said: Any) -> Operation:
        """A joint is tightened."""
        return self.turn(Verb.TIGHTEN, id, **said)

    def out(self, id: str) -> list[Operation]:
        """All joints of an item undone, and the item off."""
        return [*(self.undo(one.id) for one in self.car.items[id].joints), self.off(id)]

    def home(self, id: str) -> list[Operation]:
        """An item back, all its joints started, then tight."""
        ids = [one.id for one in self.car.items[id].joints]
        return [self.back(id), *map(self.start, ids), *map(self.tighten, ids)]

    def renew(self, id: str, **said: Any) -> Operation:
        """A new part."""
        return self.say(Verb.RENEW, **{"item": id, "joint": self.car.items[id].renews_joint, **said})

    def safe(self, id: str, *, minutes: float | None = None, counted_from: str | None = None) -> list[Operation]:
        """An energy is isolated, waited for where it asks for it, and proven gone."""
        energy = self.car.energies[id]
        wait = []
        if energy.wait:
            at = counted_from or energy.wait.start
            long = (energy.wait.minutes or 0.0) if minutes is None else minutes
            wait = [self.say(Verb.WAIT, energy=id, item=at, minutes=long)]
        return [self.say(Verb.ISOLATE, energy=id), *wait, self.say(Verb.PROVE_DEAD, energy=id)]

    def isolate(self, id: str) -> Operation:
        """An energy is isolated."""
        return self.say(Verb.ISOLATE, energy=id)

    def prove(self, id: str) -> Operation:
        """An energy is proven gone."""
        return self.say(Verb.PROVE_DEAD, energy=id)

    def restore(self, id: str) -> Operation:
        """An energy is given back."""
        return self.say(Verb.RESTORE, energy=id)

    def tick(self, id: str) -> Operation:
        """What must precede an energy is ticked."""
        return self.say(Verb.NOTE, energy=id, note="ticked")

    def guard(self, id: str, item: str | None = None, count: int | None = 1) -> Operation:
        """Pieces of a guard go in."""
        return self.say(Verb.GUARD, guard=id, item=item, count=count)

    def unguard(self, id: str, item: str | None = None, count: int | None = 1) -> Operation:
        """Pieces of a guard come out."""
        return self.say(Verb.UNGUARD, guard=id, item=item, count=count)

    def drain(self, id: str, litres: float | None = 6.0) -> Operation:
        """A loop is let out."""
        return self.say(Verb.DRAIN, fluid=id, litres=litres)

    def fill(self, id: str, litres: float | None = 6.0) -> Operation:
        """A loop is filled."""
        return self.say(Verb.FILL, fluid=id, litres=litres)


def job(*parts: Part) -> tuple[Operation, ...]:
    """Operations, and lists of them however deep, numbered from 1."""
    return tuple(replace(operation, n=n) for n, operation in enumerate(_flat(parts), start=1))


def _flat(parts: Iterable[Part]) -> Iterator[Operation]:
    for part in parts:
        if isinstance(part, Operation):
            yield part
        else:
            yield from _flat(part)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A job and what one rule sees in it: operation number (None: at the end) and thing of each; nothing: silent."""

    what: str
    rule: Rule
    car: Car
    job: tuple[Operation, ...]
    sees: tuple[tuple[int | None, str], ...] = ()
    kind: Kind = Kind.FAULT
    targets: tuple[str, ...] = ()

    def __str__(self) -> str:
        return f"{self.rule.__name__}: {self.what}"

    def found(self) -> tuple[Finding, ...]:
        """What the rule finds, among all that the audit finds."""
        findings = audit(self.car, self.job, targets=self.targets)
        return tuple(finding for finding in findings if finding.rule == self.rule.__name__)


def check(case: Case) -> None:
    """The rule sees what the case says, where it says it, and nothing else."""
    found = case.found()
    sees = [(finding.where.line, finding.where.field) for finding in found]
    assert sees == list(case.sees)
    assert {finding.kind for finding in found} <= {case.kind}
    for finding in found:
        assert finding.what
        assert finding.mend
