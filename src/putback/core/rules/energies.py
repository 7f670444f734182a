"""Rules of energies: what can hurt is made safe before all other work, stays so, and is given back last."""

from collections.abc import Iterator

from putback.core.energy import joined, made_safe_first, restored_first
from putback.core.finding import Finding
from putback.core.job import JobState, Seat
from putback.core.operations import ITEM_BACK, Operation, Verb
from putback.core.rules.audit import Audit, at_rest, fault, note, takes_off


def energy_not_made_safe(audit: Audit) -> Iterator[Finding]:
    """An item with an energy is touched, a fluid drained, only while that energy is isolated and proven gone."""
    mend = "isolate it, wait, and prove it gone first"
    for operation in audit.operations:
        item = audit.item(operation)
        for demand in audit.demands[item.id] if item else ():
            seat = audit.energy_at(operation, demand.energy)
            if seat is Seat.LIVE or (demand.proven and seat is not Seat.PROVEN):
                thing = operation.joint or audit.name(operation.item or "")
                what = f"{operation.verb} {thing}: {audit.name(demand.energy)} is {seat}"
                yield fault(energy_not_made_safe, operation, demand.energy, what, mend)
        fluid = audit.car.fluids.get(operation.fluid or "")
        if operation.verb is Verb.DRAIN and fluid and fluid.energy:
            seat = audit.energy_at(operation, fluid.energy)
            if seat is not Seat.PROVEN:
                what = f"drain {fluid.id}: {audit.name(fluid.energy)} is {seat}"
                yield fault(energy_not_made_safe, operation, fluid.energy, what, mend)


def work_before_made_safe(audit: Audit) -> Iterator[Finding]:
    """Making safe precedes all other work; only what it asks for itself may come earlier.

    What an item's own energies bring with them stays made safe while that item comes off.
    """
    proven: set[str] = set()
    for operation in audit.operations:
        if operation.verb is Verb.PROVE_DEAD and operation.energy:
            proven.add(operation.energy)
        item = audit.item(operation)
        if not takes_off(operation) or item is None or item.id in audit.early:
            continue
        own = joined(audit.car, [demand.energy for demand in audit.demands[item.id]])
        back = {id for id in own if audit.energy_at(operation, id) is not Seat.PROVEN}
        open_still = sorted((audit.needed_energies - proven) | back)
        if open_still:
            names = ", ".join(open_still)
            what = f"{operation.verb} {operation.joint or item.name} before {names} is proven gone"
            yield fault(work_before_made_safe, operation, item.id, what, "make the car safe first")


def operated_too_early(audit: Audit) -> Iterator[Finding]:
    """What must precede an energy's isolation precedes it: its list is ticked, other energies are proven gone."""
    first = made_safe_first(audit.car, audit.needed_energies)
    ticked: set[str] = set()
    for operation in audit.operations:
        if operation.verb is Verb.NOTE and operation.energy:
            ticked.add(operation.energy)
        elif operation.verb is Verb.RESTORE:
            ticked.discard(operation.energy or "")
        for id in _operates(audit, operation):
            energy = audit.car.energies[id]
            if energy.before_it and id not in ticked:
                what = f"{operation.verb} {operation.joint or operation.item or id}: {energy.kind} goes off unticked"
                yield fault(operated_too_early, operation, id, what, "tick first: " + ", ".join(energy.before_it))
            earlier = sorted(a for a, b in first if b == id)
            for other in (a for a in earlier if audit.energy_at(operation, a) is not Seat.PROVEN):
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
    """An energy with an item is isolated and proven while that item is off, and given back once it is back."""
    for operation, state in audit.steps():
        energy = audit.car.energies.get(operation.energy or "")
        if energy is None or energy.item is None:
            continue
        in_place = state.item(energy.item) is Seat.IN_PLACE
        stale = in_place or energy.id in audit.come_back[operation.n - 1]
        if operation.verb is Verb.ISOLATE and in_place:
            what = f"{energy.kind} is called isolated while {audit.name(energy.item)} is in place"
            yield fault(isolated_in_name_only, operation, energy.id, what, "take it off first")
        elif operation.verb is Verb.PROVE_DEAD and stale:
            what = f"{energy.kind} is proven gone, but {audit.name(energy.item)} was put back since it was isolated"
            yield fault(isolated_in_name_only, operation, energy.id, what, "take it off and isolate it again")
        elif operation.verb is Verb.RESTORE and not in_place:
            what = f"{energy.kind} is called given back while {audit.name(energy.item)} is off"
            yield fault(isolated_in_name_only, operation, energy.id, what, "put it back first")


def proof_without_wait(audit: Audit) -> Iterator[Finding]:
    """A proof follows the whole wait, counted from the operation that starts it, at points that can be got at."""
    off_at: dict[str, int] = {}
    waits: list[Operation] = []
    for operation, state in audit.steps():
        energy = audit.car.energies.get(operation.energy or "")
        if takes_off(operation) and operation.item:
            off_at[operation.item] = operation.n
        if energy is None:
            continue
        if operation.verb is Verb.WAIT:
            waits.append(operation)
        if operation.verb is Verb.PROVE_DEAD:
            yield from _short_wait(audit, operation, off_at, waits)
            for id in energy.proof.reach if energy.proof else ():
                if state.item(id) is Seat.IN_PLACE:
                    what = f"{energy.kind} is proven while {audit.name(id)} covers the points"
                    yield fault(proof_without_wait, operation, energy.id, what, "take it off first")


def _short_wait(audit: Audit, proof: Operation, off_at: dict[str, int], waits: list[Operation]) -> Iterator[Finding]:
    """Whether one of the waits since the operation that starts it is long enough; no number is never enough."""
    energy = audit.car.energies[proof.energy or ""]
    wait = energy.wait
    if wait is None:
        return
    begun = off_at.get(wait.start, proof.n)
    own = [op for op in waits if op.energy == energy.id and op.item in (None, wait.start) and op.n > begun]
    if not own:
        what = f"{energy.kind} is proven without its wait from {audit.name(wait.start)}"
        yield fault(proof_without_wait, proof, energy.id, what, "wait as the source says, then prove")
    elif wait.source and wait.minutes is not None and not any(op.minutes >= wait.minutes for op in own):
        what = f"{energy.kind}: waited {own[-1].minutes:g} of {wait.minutes:g} min"
        yield fault(proof_without_wait, proof, energy.id, what, "wait the whole time")


def proof_without_source(audit: Audit) -> Iterator[Finding]:
    """A proof whose wait, limit or source the car file does not give proves nothing: value needed, blocked."""
    for operation in audit.operations:
        energy = audit.car.energies.get(operation.energy or "")
        if operation.verb is not Verb.PROVE_DEAD or energy is None:
            continue
        wait, proof = energy.wait, energy.proof
        needed = []
        if wait and (wait.minutes is None or not wait.source):
            needed.append("wait")
        if proof is None or not proof.source or (proof.needs_limit and proof.at_most is None):
            needed.append("proof")
        for what in needed:
            says = f"the {what} of {energy.kind} has no sourced value: blocked"
            mend = "value needed: ask the maker's publication"
            yield note(proof_without_source, operation, energy.id, says, mend)


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
            for thing in _still_needing(audit, state, id):
                what = f"{operation.verb} {audit.name(operation.item or id)}: {audit.name(thing)} is not back yet"
                yield fault(restored_while_still_needed, operation, id, what, "put it back first")
            for other in sorted(a for a, b in turn if b == id and state.energy(a) is not Seat.LIVE):
                what = f"{audit.name(id)} is given back before {audit.name(other)}"
                yield fault(restored_while_still_needed, operation, id, what, f"restore {other} first")


def _still_needing(audit: Audit, state: JobState, energy: str) -> Iterator[str]:
    """The items that need an energy and are not at rest, and the loops that need it and are empty."""
    for item in sorted(audit.touched):
        needs = any(demand.energy == energy for demand in audit.demands[item])
        if needs and not at_rest(audit.car, state, audit.car.items[item]):
            yield item
    for fluid in audit.car.fluids.values():
        if fluid.energy == energy and state.fluids.get(fluid.id) is Seat.DRAINED:
            yield fluid.id


def _gives_back(audit: Audit, operation: Operation) -> list[str]:
    if operation.verb is Verb.RESTORE and operation.energy in audit.car.energies:
        return [operation.energy] if operation.energy else []
    if operation.verb not in ITEM_BACK:
        return []
    return [id for id in audit.needed_energies if audit.car.energies[id].item == operation.item]
