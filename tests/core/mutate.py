"""One idea: every small way of getting a job wrong, made from a job that is right.

A mutation is a name and the operations after it, numbered anew. None of them looks at what the audit could see.
"""

import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from putback.core.car import Car
from putback.core.operations import TWIN, Operation, Verb
from putback.core.quantity import Torque

Operations = Sequence[Operation]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mutation:
    """What was done to the job, to which verb, and the job after it: numbered anew only when it is asked for."""

    kind: str
    verb: Verb
    at: int
    raw: tuple[Operation, ...]

    @property
    def operations(self) -> tuple[Operation, ...]:
        """The job, its operations numbered by their place."""
        return numbered(self.raw)

    def __str__(self) -> str:
        return f"{self.kind} {self.verb} at {self.at}"


def numbered(operations: Operations) -> tuple[Operation, ...]:
    """The operations numbered by their place, without twins."""
    return tuple(replace(operation, n=n, twin=None) for n, operation in enumerate(operations, start=1))


def _made(kind: str, job: Operations, at: int, operations: Operations) -> Mutation:
    return Mutation(kind=kind, verb=job[at].verb, at=at + 1, raw=tuple(operations))


def drops(job: Operations) -> Iterator[Mutation]:
    """Each operation left out."""
    for at in range(len(job)):
        yield _made("drop", job, at, [*job[:at], *job[at + 1 :]])


def drops_with_twin(job: Operations) -> Iterator[Mutation]:
    """Each operation left out together with its twin: a job that is still a round trip."""
    for at, operation in enumerate(job):
        if operation.twin is not None and operation.n < operation.twin:
            yield _made("drop pair", job, at, [op for op in job if op.n not in (operation.n, operation.twin)])


def drops_of_things(job: Operations) -> Iterator[Mutation]:
    """All operations of one item, energy, fluid or guard left out."""
    for name in ("item", "energy", "fluid", "guard", "joint"):
        for thing in dict.fromkeys(getattr(operation, name) for operation in job if getattr(operation, name)):
            at = next(at for at, operation in enumerate(job) if getattr(operation, name) == thing)
            yield _made(f"drop {name}", job, at, [op for op in job if getattr(op, name) != thing])


def doubles(job: Operations) -> Iterator[Mutation]:
    """Each operation done twice in a row."""
    for at in range(len(job)):
        yield _made("double", job, at, [*job[: at + 1], *job[at:]])


def neighbours(job: Operations) -> Iterator[Mutation]:
    """Each two neighbours swapped."""
    for at in range(len(job) - 1):
        yield _made("neighbours", job, at, [*job[:at], job[at + 1], job[at], *job[at + 2 :]])


def swaps(job: Operations, chance: random.Random, many: int) -> Iterator[Mutation]:
    """Some pairs swapped, however far apart."""
    for _ in range(many):
        a, b = sorted(chance.sample(range(len(job)), 2))
        changed = list(job)
        changed[a], changed[b] = changed[b], changed[a]
        yield _made("swap", job, a, changed)


def moves(job: Operations, chance: random.Random) -> Iterator[Mutation]:
    """Each operation moved somewhere else."""
    for at in range(len(job)):
        rest = [*job[:at], *job[at + 1 :]]
        to = chance.randrange(len(job))
        yield _made(f"move to {to + 1}", job, at, [*rest[:to], job[at], *rest[to:]])


def again(job: Operations, chance: random.Random, many: int) -> Iterator[Mutation]:
    """Some operations done once more, later."""
    for _ in range(many):
        at = chance.randrange(len(job) - 1)
        to = chance.randrange(at + 1, len(job))
        yield _made(f"again at {to + 1}", job, at, [*job[:to], job[at], *job[to:]])


def changes(car: Car, job: Operations, chance: random.Random) -> Iterator[Mutation]:
    """Each field that an operation carries, wrong once."""
    places = sorted({operation.stow for operation in job if operation.stow})
    for at, operation in enumerate(job):
        for kind, make in _CHANGES.items():
            changed = make(car, operation, chance, places)
            if changed is not None and changed != operation:
                yield _made(f"change {kind}", job, at, [*job[:at], changed, *job[at + 1 :]])


def _count(_: Car, op: Operation, chance: random.Random, places: Sequence[str]) -> Operation | None:
    return None if op.count is None else replace(op, count=op.count + chance.choice([-1, 1]))


def _uncounted(_: Car, op: Operation, chance: random.Random, places: Sequence[str]) -> Operation | None:
    return None if op.count is None or op.verb is Verb.RENEW else replace(op, count=None)


def _stow(_: Car, op: Operation, chance: random.Random, places: Sequence[str]) -> Operation | None:
    return replace(op, stow=chance.choice(places)) if op.stow else None


def _torque(_: Car, op: Operation, chance: random.Random, places: Sequence[str]) -> Operation | None:
    if op.verb is not Verb.TIGHTEN:
        return None
    wrong = Torque(value=99.0, unit="N·m")
    if op.torque is not None:
        kept = op.torque
        unit = "lbf·ft" if kept.unit != "lbf·ft" else "N·m"
        wrong = chance.choice(
            [wrong, replace(kept, unit=unit), replace(kept, angles_deg=() if kept.angles_deg else (90.0,))]
        )
    return replace(op, torque=wrong, torque_source=None)


def _no_torque(_: Car, op: Operation, chance: random.Random, places: Sequence[str]) -> Operation | None:
    return replace(op, torque=None, torque_source=None) if op.torque else None


def _way(car: Car, op: Operation, chance: random.Random, places: Sequence[str]) -> Operation | None:
    ways = [way.id for joint in car.joints() if joint.id == op.joint for way in joint.ways]
    return replace(op, way=chance.choice([*ways, "round-the-back"])) if ways else None


def _thread(_: Car, op: Operation, chance: random.Random, places: Sequence[str]) -> Operation | None:
    return replace(op, thread="M8x125") if op.thread and op.thread.startswith("M") else None


def _minutes(_: Car, op: Operation, chance: random.Random, places: Sequence[str]) -> Operation | None:
    return replace(op, minutes=op.minutes / 2) if op.verb is Verb.WAIT else None


def _counted_from(_: Car, op: Operation, chance: random.Random, places: Sequence[str]) -> Operation | None:
    return replace(op, item="cover") if op.verb is Verb.WAIT else None


def _litres(_: Car, op: Operation, chance: random.Random, places: Sequence[str]) -> Operation | None:
    return None if op.litres is None else replace(op, litres=chance.choice([0.0, op.litres - 0.6]))


def _item(car: Car, op: Operation, chance: random.Random, places: Sequence[str]) -> Operation | None:
    if op.item is None or op.joint or op.verb in (Verb.INSPECT, Verb.ISOLATE, Verb.RESTORE, Verb.DRAIN, Verb.WAIT):
        return None
    return replace(op, item=chance.choice(sorted(car.items)))


def _energy(car: Car, op: Operation, chance: random.Random, places: Sequence[str]) -> Operation | None:
    known = op.energy and op.verb in (Verb.ISOLATE, Verb.RESTORE, Verb.PROVE_DEAD, Verb.WAIT, Verb.NOTE)
    return replace(op, energy=chance.choice(sorted(car.energies))) if known else None


def _verb(_: Car, op: Operation, chance: random.Random, places: Sequence[str]) -> Operation | None:
    return replace(op, verb=TWIN[op.verb]) if op.verb in TWIN else None


_CHANGES: dict[str, Callable[[Car, Operation, random.Random, Sequence[str]], Operation | None]] = {
    "count": _count,
    "count to none": _uncounted,
    "stow": _stow,
    "torque": _torque,
    "torque to none": _no_torque,
    "way": _way,
    "thread": _thread,
    "minutes": _minutes,
    "wait's item": _counted_from,
    "litres": _litres,
    "item": _item,
    "energy": _energy,
    "verb to its twin": _verb,
}


def mutations(car: Car, job: Operations, chance: random.Random, *, many: int) -> Iterator[Mutation]:
    """Every mutation of a job; `many` of each kind that is drawn by lot."""
    yield from drops(job)
    yield from drops_with_twin(job)
    yield from drops_of_things(job)
    yield from doubles(job)
    yield from neighbours(job)
    yield from swaps(job, chance, many)
    yield from moves(job, chance)
    yield from again(job, chance, many)
    yield from changes(car, job, chance)
