"""Rules of guards and supports: in as soon as a port opens, counted out before anything covers it."""

from collections.abc import Iterator

from putback.core.car import END, START, Guard
from putback.core.finding import Finding
from putback.core.job import JobState, Seat
from putback.core.operations import ITEM_BACK, ITEM_OFF, Operation, Verb
from putback.core.rules.audit import Audit, fault, handles, takes_off


def port_open_not_guarded(audit: Audit) -> Iterator[Finding]:
    """When an item opens a port, all its pieces go in before another item is touched, and stay until it goes back."""
    places: dict[str, list[Guard]] = {}
    for guard in audit.car.guards.values():
        for port in guard.closes:
            places.setdefault(port, []).append(guard)
    bare: dict[tuple[str, str], Operation] = {}
    never: set[tuple[str, str]] = set()
    for operation, state in audit.steps():
        item = operation.item or ""
        goes_back = operation.verb in ITEM_BACK
        for id, port in [place for place in bare if _found_bare(operation, place[1], goes_back and place in never)]:
            yield _open_port(audit, bare.pop((id, port)), audit.car.guards[id], port, state)
        for guard in places.get(item, ()):
            if goes_back:
                bare.pop((guard.id, item), None)
            elif operation.verb in ITEM_OFF:
                never.add((guard.id, item))
                _count_port(audit, operation, guard, bare, never)
            elif operation.guard == guard.id and state.item(item) is not Seat.IN_PLACE:
                _count_port(audit, operation, guard, bare, never)
    for (id, port), operation in bare.items():
        yield _open_port(audit, operation, audit.car.guards[id], port, audit.end)


def _found_bare(operation: Operation, port: str, never_plugged: bool) -> bool:
    """Whether an operation finds a port bare: a hand on another item, or the item back over a port never plugged."""
    return handles(operation) and (operation.item != port or never_plugged)


def _count_port(
    audit: Audit,
    operation: Operation,
    guard: Guard,
    bare: dict[tuple[str, str], Operation],
    never: set[tuple[str, str]],
) -> None:
    """Count a port's pieces after an operation; one that opens it, or takes pieces out, left it so."""
    place = (guard.id, operation.item or "")
    if audit.states[operation.n].guards.get(place, 0) >= guard.closes[place[1]]:
        bare.pop(place, None)
        never.discard(place)
    elif operation.verb is not Verb.GUARD:
        bare[place] = operation


def _open_port(audit: Audit, operation: Operation, guard: Guard, port: str, state: JobState) -> Finding:
    pieces = state.guards.get((guard.id, port), 0)
    what = f"{audit.name(port)} leaves a port open: {pieces} of {guard.closes[port]} {guard.name} in"
    return fault(port_open_not_guarded, operation, port, what, "plug and count it before you go on")


def guard_in_too_early(audit: Audit) -> Iterator[Finding]:
    """A port is plugged, and what stands behind an item is covered, once that item is off: not before."""
    for operation, state in audit.steps():
        guard = audit.car.guards.get(operation.guard or "")
        if operation.verb is not Verb.GUARD or guard is None or guard.support_for:
            continue
        behind = operation.item if guard.closes else guard.in_after
        if behind in audit.car.items and state.item(behind or "") is Seat.IN_PLACE:
            what = f"{guard.name} is counted in while {audit.name(behind or '')} is in place"
            yield fault(guard_in_too_early, operation, guard.id, what, "take it off first, then count the pieces in")


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
        if pieces <= 0 or guard is None or guard.support_for:
            continue
        covered = port == item or port in audit.covered_by[item]
        if covered if guard.closes else _out_before(guard) == item:
            found.append(id)
    return found


def _out_before(guard: Guard) -> str:
    """What a standing guard comes out before: what it says, else the item behind which it stands, else the end."""
    since = guard.in_after or START
    return guard.out_before or (END if since == START else since)


def _pieces(state: JobState, guard: Guard) -> int:
    return sum(pieces for (id, _), pieces in state.guards.items() if id == guard.id)


def guard_count_differs(audit: Audit) -> Iterator[Finding]:
    """As many pieces go in and come out as the car file counts, at the places that it names."""
    for operation in audit.operations:
        guard = audit.car.guards.get(operation.guard or "")
        if operation.verb not in (Verb.GUARD, Verb.UNGUARD) or guard is None:
            continue
        if guard.closes and operation.item not in guard.closes:
            what = f"{operation.verb} {guard.name}: it has no place at {audit.name(operation.item or 'no item')}"
            yield fault(guard_count_differs, operation, guard.id, what, "name the port that it closes")
            continue
        wanted = guard.closes.get(operation.item or "", guard.pieces or 1)
        if operation.count != wanted:
            what = f"{operation.verb} {guard.name}: {operation.count} counted, the car file has {wanted}"
            yield fault(guard_count_differs, operation, guard.id, what, "count again before anything covers it")


def standing_guard_missing(audit: Audit) -> Iterator[Finding]:
    """A guard that stands while an item is off, or for the whole job, stands for all of that time."""
    for guard in audit.car.guards.values():
        if guard.closes or guard.support_for:
            continue
        bare = next(_bare(audit, guard), None)
        if bare:
            since = guard.in_after or START
            when = "at the start" if since == START else f"after {audit.name(since)} is off"
            what = f"{bare.verb} {audit.name(bare.item or '')} without {guard.name}"
            yield fault(standing_guard_missing, bare, guard.id, what, f"put it in {when}")


def _bare(audit: Audit, guard: Guard) -> Iterator[Operation]:
    """The operations that a standing guard should have been in for, and was not."""
    since, until = guard.in_after or START, _out_before(guard)
    taken, returned = 0, -1
    for operation, state in audit.steps():
        if not handles(operation):
            continue
        stands = (since == START or state.item(since) is not Seat.IN_PLACE) and returned < taken
        if stands and operation.item not in (since, until) and _pieces(state, guard) <= 0:
            yield operation
        if operation.item == since and takes_off(operation):
            taken = operation.n
        if operation.item == until and not takes_off(operation):
            returned = operation.n


def support_after_what_it_holds(audit: Audit) -> Iterator[Finding]:
    """A support is in place before the first joint of what it holds is undone."""
    for operation, state in audit.steps():
        if takes_off(operation) and audit.item(operation):
            for guard in audit.car.guards.values():
                if guard.support_for == operation.item and _pieces(state, guard) <= 0:
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


def support_covered_in(audit: Audit) -> Iterator[Finding]:
    """A support is out before what covers the item it held goes back."""
    for operation, state in audit.steps():
        item = audit.item(operation)
        if operation.verb not in ITEM_BACK or item is None:
            continue
        for guard in audit.car.guards.values():
            if guard.support_for in audit.covered_by[item.id] and _pieces(state, guard) > 0:
                what = f"{item.name} goes back with {guard.name} still in"
                yield fault(support_covered_in, operation, guard.id, what, "take the support out first")
