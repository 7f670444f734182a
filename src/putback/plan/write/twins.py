"""One idea: once all is written, twins find each other, waits find what runs beside them, guards their way out."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from putback.core.car import Car
from putback.core.operations import ITEM_OFF, TWIN, Operation, Verb
from putback.plan.plan import GuardLine, WaitLine


def twin_key(operation: Operation) -> tuple[str, ...] | None:
    """What an operation and its twin have in common; None for a verb without one, and for the lift: it moves often."""
    verb = operation.verb
    if verb not in TWIN or verb in (Verb.RAISE, Verb.LOWER):
        return None
    pair = min(verb, TWIN[verb])
    if verb in (Verb.UNDO, Verb.TIGHTEN):
        return pair, operation.joint or ""
    if verb in (Verb.GUARD, Verb.UNGUARD):
        return pair, operation.guard or "", operation.item or ""
    if verb in (Verb.DRAIN, Verb.FILL):
        return pair, operation.fluid or ""
    if verb in (Verb.ISOLATE, Verb.RESTORE):
        return pair, operation.energy or ""
    return pair, operation.item or ""


def with_twins(operations: Sequence[Operation]) -> tuple[Operation, ...]:
    """Each operation with the number of its twin."""
    numbers: dict[tuple[str, ...], list[int]] = {}
    for operation in operations:
        key = twin_key(operation)
        if key is not None:
            numbers.setdefault(key, []).append(operation.n)
    twins: dict[int, int] = {}
    lift = [operation.n for operation in operations if operation.verb in (Verb.RAISE, Verb.LOWER)]
    numbers |= {("lift", str(n)): [n, m] for n, m in zip(lift[::2], lift[1::2], strict=False)}
    for pair in numbers.values():
        if len(pair) == 2:
            twins |= {pair[0]: pair[1], pair[1]: pair[0]}
    return tuple(replace(operation, twin=twins.get(operation.n)) for operation in operations)


def wait_lines(car: Car, operations: Sequence[Operation]) -> Iterator[WaitLine]:
    """Each wait with what is done while it runs. Work counts its minutes, a wait what is left of it."""
    clock = 0.0
    begun: dict[str, tuple[int, float]] = {}
    for operation in operations:
        if operation.verb is Verb.WAIT and operation.energy:
            started, since = begun.get(operation.item or "", (operation.n, clock))
            idle = max(0.0, operation.minutes - (clock - since))
            clock += idle
            yield _wait_line(car, operations, operation, started, idle)
        else:
            clock += operation.minutes
        if operation.item and operation.verb in ITEM_OFF:
            begun[operation.item] = (operation.n, clock)


def _wait_line(car: Car, operations: Sequence[Operation], wait: Operation, started: int, idle: float) -> WaitLine:
    stated = car.energies[wait.energy or ""].wait
    between = operations[started : wait.n - 1]
    known = not wait.value_needed
    return WaitLine(
        energy=wait.energy or "",
        minutes=wait.minutes if known else None,
        from_item=wait.item or "",
        starts=started,
        ends=wait.n,
        meanwhile=tuple(other.n for other in between if other.verb not in (Verb.WAIT, Verb.NOTE)),
        idle_minutes=idle if known else None,
        source=stated.source if stated else None,
    )


def guard_lines(car: Car, operations: Sequence[Operation]) -> Iterable[GuardLine]:
    """Each guard at each place, counted in and out."""
    for operation in operations:
        if operation.verb is Verb.GUARD and operation.guard and operation.twin is not None:
            yield GuardLine(
                guard=operation.guard,
                name=car.guards[operation.guard].name,
                item=operation.item,
                pieces=operation.count or 1,
                put_in=operation.n,
                taken_out=operation.twin,
            )
