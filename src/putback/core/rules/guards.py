"""Rules of guards and supports: in as soon as a port opens, counted out before anything covers it."""

from collections.abc import Iterator

from putback.core.car import END, START, Guard
from putback.core.energy import needs_of
from putback.core.finding import Finding
from putback.core.job import JobState, Seat
from putback.core.operations import ITEM_BACK, ITEM_OFF, Operation, Verb
from putback.core.rules.audit import Audit, fault, handles, takes_off


def port_open_not_guarded(audit: Audit) -> Iterator[Finding]:
    """When an item opens a port, all its pieces go in before another item is touched."""
    for index, (operation, state) in enumerate(audit.steps()):
        item = audit.item(operation)
        if operation.verb not in ITEM_OFF or item is None:
            continue
        for guard in audit.car.guards.values():
            wanted = guard.closes.get(item.id)
            if wanted is None:
                continue
            found = state.guards.get((guard.id, item.id), 0) + _put_in(audit, index, guard, item.id)
            if found < wanted:
                what = f"{item.name} leaves a port open: {found} of {wanted} {guard.name} in"
                yield fault(port_open_not_guarded, operation, item.id, what, "plug and count it before you go on")


def _put_in(audit: Audit, index: int, guard: Guard, item: str) -> int:
    """Pieces that go in between this operation and the next that touches another item."""
    pieces = 0
    for operation in audit.operations[index + 1 :]:
        if handles(operation) and operation.item != item:
            break
        if operation.verb is Verb.GUARD and (operation.guard, operation.item) == (guard.id, item):
            pieces += operation.count or 1
    return pieces


def guard_covered_in(audit: Audit) -> Iterator[Finding]:
    """No guard is in when what closes over it goes back, and none at the end."""
    for operation, state in audit.steps():
        if operation.verb not in ITEM_BACK or audit.item(operation) is None:
            continue
        for id in _closed_over(audit, operation.item or "", state):
            what = f"{audit.name(operation.item or '')} goes back with {audit.name(id)} still in"
            yield fault(guard_covered_in, operation, id, what, "count it out first")
    for (id, _), pieces in audit.end.guards.items():
        if pieces > 0:
            what = f"{pieces} {audit.name(id)} still in at the end"
            yield fault(guard_covered_in, None, id, what, "find the piece and count it out")


def _closed_over(audit: Audit, item: str, state: JobState) -> list[str]:
    """The guards still in that must be out before this item goes back; a support has rules of its own."""
    found = []
    for (id, port), pieces in state.guards.items():
        guard = audit.car.guards.get(id)
        if pieces <= 0 or (guard and guard.support_for):
            continue
        stated = guard is not None and guard.out_before == item
        if stated or port == item or item in _covers_of(audit, port):
            found.append(id)
    return found


def _covers_of(audit: Audit, port: str) -> set[str]:
    return set(needs_of(audit.car, port, audit.ways)) if port in audit.car.items else set()


def _pieces(state: JobState, guard: Guard) -> int:
    return sum(pieces for (id, _), pieces in state.guards.items() if id == guard.id)


def guard_count_differs(audit: Audit) -> Iterator[Finding]:
    """As many pieces come out as went in, and as many as the car file counts."""
    for operation in audit.operations:
        guard = audit.car.guards.get(operation.guard or "")
        if operation.verb not in (Verb.GUARD, Verb.UNGUARD) or guard is None:
            continue
        wanted = guard.closes.get(operation.item or "", guard.pieces or 1)
        if operation.count != wanted:
            what = f"{operation.verb} {guard.name}: {operation.count} counted, the car file has {wanted}"
            yield fault(guard_count_differs, operation, guard.id, what, "count again before anything covers it")


def standing_guard_missing(audit: Audit) -> Iterator[Finding]:
    """A guard that stands while an item is off, or for the whole job, is put in when it should be."""
    put_in = {operation.guard for operation in audit.operations if operation.verb is Verb.GUARD}
    for guard in audit.car.guards.values():
        if guard.closes or guard.support_for or guard.id in put_in or not audit.touched:
            continue
        if (guard.in_after or START) == START or guard.in_after in audit.touched:
            when = "at the start" if (guard.in_after or START) in (START, END) else f"after {guard.in_after} is off"
            yield fault(standing_guard_missing, None, guard.id, f"{guard.name} never goes in", f"put it in {when}")


def support_after_what_it_holds(audit: Audit) -> Iterator[Finding]:
    """A support is in place before the first joint of what it holds is undone."""
    for operation, state in audit.steps():
        if takes_off(operation) and audit.item(operation):
            for guard in _supports(audit, operation.item):
                if _pieces(state, guard) <= 0:
                    what = f"{audit.name(operation.item or '')} is undone without its {guard.name}"
                    yield fault(support_after_what_it_holds, operation, guard.id, what, "place the support first")


def hung_without_support(audit: Audit) -> Iterator[Finding]:
    """A support stays until the last joint of what it holds is tight."""
    for operation, state in audit.steps():
        guard = audit.car.guards.get(operation.guard or "")
        if operation.verb is not Verb.UNGUARD or guard is None or guard.support_for is None:
            continue
        item = audit.car.items[guard.support_for]
        loose = [joint.id for joint in item.joints if state.joint(joint.id) is not Seat.TIGHT]
        if state.item(item.id) is not Seat.IN_PLACE or loose:
            what = f"{guard.name} comes out while {item.name} is not held"
            yield fault(hung_without_support, operation, guard.id, what, "tighten its last joint first")


def _supports(audit: Audit, item: str | None) -> list[Guard]:
    return [guard for guard in audit.car.guards.values() if item is not None and guard.support_for == item]


def support_covered_in(audit: Audit) -> Iterator[Finding]:
    """A support is out before what covers the item it held goes back."""
    for operation, state in audit.steps():
        if operation.verb in ITEM_BACK and operation.item:
            yield from _covered_supports(audit, operation, state)


def _covered_supports(audit: Audit, operation: Operation, state: JobState) -> Iterator[Finding]:
    for guard in audit.car.guards.values():
        if guard.support_for and operation.item in _covers_of(audit, guard.support_for) and _pieces(state, guard) > 0:
            what = f"{audit.name(operation.item or '')} goes back with {guard.name} still in"
            yield fault(support_covered_in, operation, guard.id, what, "take the support out first")
