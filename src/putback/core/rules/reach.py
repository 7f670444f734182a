"""Rules of reach: nothing is touched while something is in its way, nor before all that can hurt is made safe."""

from collections.abc import Iterator

from putback.core.car import Item
from putback.core.energy import made_safe_first, restored_first
from putback.core.finding import Finding
from putback.core.job import JobState, Seat
from putback.core.operations import ITEM_BACK, Operation, Verb
from putback.core.rules.audit import Audit, at_rest, fault, note, takes_off


def reached_while_blocked(audit: Audit) -> Iterator[Finding]:
    """An item, and each of its joints, is touched only while all that covers it is off, both ways."""
    for operation, state in audit.steps():
        item = audit.item(operation)
        if item is None:
            continue
        blocking = [id for id in _needs(audit, operation, item) if _in_the_way(audit, state, id)]
        if blocking:
            names = ", ".join(audit.name(id) for id in blocking)
            what = f"{operation.verb} {operation.joint or item.name}: {names} is in the way"
            yield fault(reached_while_blocked, operation, operation.joint or item.id, what, "that must be off first")


def _needs(audit: Audit, operation: Operation, item: Item) -> list[str]:
    """What the operation needs off; for a joint with ways, those of the way that is named or was taken."""
    needs = [link.item for link in item.needs_off]
    for joint in item.joints:
        way = operation.way or audit.ways.get(joint.id)
        if joint.id == operation.joint and joint.ways and way in {other.id for other in joint.ways}:
            needs += [link.item for link in joint.way(way or "").needs_off]
    return list(dict.fromkeys(needs))


def _in_the_way(audit: Audit, state: JobState, id: str) -> bool:
    """An item in place is in the way; so is one that is off in name but still held by a joint."""
    item = audit.car.items[id]
    if str(item.action) == "renew":
        return False
    return state.item(id) is Seat.IN_PLACE


def way_not_named(audit: Audit) -> Iterator[Finding]:
    """A joint that can be reached in several ways says by which it was."""
    ways = {joint.id: {way.id for way in joint.ways} for joint in audit.car.joints() if joint.ways}
    for operation in audit.operations:
        if operation.verb is Verb.UNDO and operation.joint in ways and operation.way not in ways[operation.joint]:
            what = (
                f"undo {operation.joint}: way {operation.way!r} is none of {', '.join(sorted(ways[operation.joint]))}"
            )
            yield fault(way_not_named, operation, operation.joint or "", what, "name the way that was taken")


def energy_not_made_safe(audit: Audit) -> Iterator[Finding]:
    """An item with an energy is touched only when that energy is isolated, waited for and proven gone."""
    for operation, state in audit.steps():
        item = audit.item(operation)
        if item is None:
            continue
        for demand in audit.demands[item.id]:
            seat = state.energy(demand.energy)
            if seat is Seat.LIVE or (demand.proven and seat is not Seat.PROVEN):
                what = f"{operation.verb} {operation.joint or item.name}: {audit.name(demand.energy)} is {seat}"
                mend = "isolate it, wait, and prove it gone first"
                yield fault(energy_not_made_safe, operation, demand.energy, what, mend)


def work_before_made_safe(audit: Audit) -> Iterator[Finding]:
    """Making safe precedes all other work; only what it asks for itself may come earlier."""
    proven: set[str] = set()
    needed = audit.needed_energies
    for operation in audit.operations:
        if operation.verb is Verb.PROVE_DEAD and operation.energy:
            proven.add(operation.energy)
        if takes_off(operation) and audit.item(operation) and operation.item not in audit.early:
            open_still = sorted(needed - proven)
            if open_still:
                names = ", ".join(open_still)
                what = f"{operation.verb} {operation.joint or operation.item} before {names} is proven gone"
                yield fault(work_before_made_safe, operation, operation.item or "", what, "make the car safe first")


def operated_too_early(audit: Audit) -> Iterator[Finding]:
    """What must precede an energy's isolation precedes it: its list is ticked, other energies are proven gone."""
    first = made_safe_first(audit.car, audit.needed_energies)
    ticked: set[str] = set()
    for operation, state in audit.steps():
        if operation.verb is Verb.NOTE and operation.energy:
            ticked.add(operation.energy)
        for id in _operates(audit, operation):
            energy = audit.car.energies[id]
            if energy.before_it and id not in ticked:
                what = f"{operation.verb} {operation.joint or operation.item or id}: {energy.kind} goes off unticked"
                yield fault(operated_too_early, operation, id, what, "tick first: " + ", ".join(energy.before_it))
            for other in sorted(a for a, b in first if b == id and state.energy(a) is not Seat.PROVEN):
                what = f"{energy.kind} goes off before {audit.name(other)} is proven gone"
                yield fault(operated_too_early, operation, id, what, f"make {other} safe first")


def _operates(audit: Audit, operation: Operation) -> list[str]:
    """The energies whose isolation this operation begins."""
    if operation.verb is Verb.ISOLATE and operation.energy in audit.car.energies:
        return [operation.energy] if operation.energy else []
    if not takes_off(operation):
        return []
    return [id for id in audit.needed_energies if audit.car.energies[id].item == operation.item]


def isolated_in_name_only(audit: Audit) -> Iterator[Finding]:
    """An energy with an item is isolated when that item is off."""
    for operation, state in audit.steps():
        energy = audit.car.energies.get(operation.energy or "")
        if operation.verb is Verb.ISOLATE and energy and energy.item and state.item(energy.item) is Seat.IN_PLACE:
            what = f"{energy.kind} is called isolated while {audit.name(energy.item)} is in place"
            yield fault(isolated_in_name_only, operation, energy.id, what, "take it off first")


def proof_without_wait(audit: Audit) -> Iterator[Finding]:
    """A proof follows the whole wait, counted from the operation that starts it, at points that can be got at."""
    off_at: dict[str, int] = {}
    waited: dict[str, Operation] = {}
    for operation, state in audit.steps():
        energy = audit.car.energies.get(operation.energy or "")
        if takes_off(operation) and operation.item:
            off_at[operation.item] = operation.n
        if energy is None:
            continue
        if operation.verb is Verb.WAIT:
            waited[energy.id] = operation
        if operation.verb is Verb.PROVE_DEAD:
            yield from _short_wait(audit, operation, off_at, waited.get(energy.id))
            for id in energy.proof.reach if energy.proof else ():
                if state.item(id) is Seat.IN_PLACE:
                    what = f"{energy.kind} is proven while {audit.name(id)} covers the points"
                    yield fault(proof_without_wait, operation, energy.id, what, "take it off first")


def _short_wait(audit: Audit, proof: Operation, off_at: dict[str, int], waited: Operation | None) -> Iterator[Finding]:
    energy = audit.car.energies[proof.energy or ""]
    wait = energy.wait
    if wait is None:
        return
    begun = off_at.get(wait.start)
    if waited is None or begun is None or waited.n < begun:
        what = f"{energy.kind} is proven without its wait from {audit.name(wait.start)}"
        yield fault(proof_without_wait, proof, energy.id, what, "wait as the source says, then prove")
    elif wait.minutes is None or not wait.source:
        what = f"the wait of {energy.kind} has no sourced value: blocked"
        yield note(proof_without_wait, proof, energy.id, what, "value needed: ask the maker's publication")
    elif waited.minutes < wait.minutes:
        what = f"{energy.kind}: waited {waited.minutes:g} of {wait.minutes:g} min"
        yield fault(proof_without_wait, proof, energy.id, what, "wait the whole time")


def isolation_not_restored(audit: Audit) -> Iterator[Finding]:
    """At the end every energy is given back."""
    for id, seat in audit.end.energies.items():
        if seat is not Seat.LIVE:
            what = f"{audit.name(id)} is still {seat} at the end"
            yield fault(isolation_not_restored, None, id, what, "restore it when all that needed it is back")


def restored_while_still_needed(audit: Audit) -> Iterator[Finding]:
    """An energy is restored only when every item that needed it is back, tight and unguarded, and in its turn."""
    turn = restored_first(audit.car, audit.needed_energies)
    for operation, state in audit.steps():
        for id in _gives_back(audit, operation):
            for item in sorted(audit.touched & audit.car.items.keys()):
                needs = any(demand.energy == id for demand in audit.demands[item])
                if needs and not at_rest(state, audit.car.items[item]):
                    what = f"{operation.verb} {operation.item or id}: {audit.name(item)} is not back yet"
                    yield fault(restored_while_still_needed, operation, id, what, "put it back first")
            for other in sorted(a for a, b in turn if b == id and state.energy(a) is not Seat.LIVE):
                what = f"{audit.name(id)} is given back before {audit.name(other)}"
                yield fault(restored_while_still_needed, operation, id, what, f"restore {other} first")


def _gives_back(audit: Audit, operation: Operation) -> list[str]:
    if operation.verb is Verb.RESTORE and operation.energy in audit.car.energies:
        return [operation.energy] if operation.energy else []
    if operation.verb not in ITEM_BACK:
        return []
    return [id for id in audit.needed_energies if audit.car.energies[id].item == operation.item]
