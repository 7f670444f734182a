"""Rules of fluids, stow places, code reads, relearns and last looks."""

from collections.abc import Iterator

from putback.core.car import Fluid
from putback.core.energy import needs_of
from putback.core.finding import Finding
from putback.core.job import JobState, Seat
from putback.core.operations import ITEM_BACK, ON_THE_WAY_BACK, Operation, Verb
from putback.core.rules.audit import Audit, fault, handles, note, takes_off
from putback.core.thread import read_thread


def fluid_out_is_not_in(audit: Audit) -> Iterator[Finding]:
    """What is drained is filled again, within the loop's tolerance."""
    for id, litres in audit.end.litres_out.items():
        fluid = audit.car.fluids.get(id)
        tolerance = (fluid.tolerance_l if fluid else None) or 0.0
        if abs(litres) > tolerance + 1e-9:
            side = "missing" if litres > 0 else "too much"
            what = f"{id}: {abs(litres):g} l {side} at the end"
            yield fault(fluid_out_is_not_in, None, id, what, "fill by the source, check level and leaks")
    for id, seat in audit.end.fluids.items():
        if seat is Seat.DRAINED and abs(audit.end.litres_out.get(id, 0.0)) <= 1e-9:
            yield fault(fluid_out_is_not_in, None, id, f"{id} is drained and never filled", "fill it")


def opened_before_drained(audit: Audit) -> Iterator[Finding]:
    """A loop is drained before the first item that opens it, and filled when the last of them is back."""
    for operation, state in audit.steps():
        fluid = audit.car.fluids.get(operation.fluid or "")
        if operation.verb is Verb.FILL and fluid:
            yield from _filled_open(audit, operation, fluid, state)
        if not takes_off(operation):
            continue
        for other in audit.car.fluids.values():
            opens = operation.item in other.opened_by and operation.item != _let_out_at(audit, other.id)
            if opens and state.fluids.get(other.id) is not Seat.DRAINED:
                what = f"{operation.verb} {audit.name(operation.item or '')} opens {other.id} undrained"
                yield fault(opened_before_drained, operation, other.id, what, "drain it first")


def _let_out_at(audit: Audit, id: str) -> str | None:
    fluid = audit.car.fluids[id]
    if fluid.drain_item:
        return fluid.drain_item
    return next((joint.item for joint in audit.car.joints() if joint.id == fluid.drain_joint), None)


def _filled_open(audit: Audit, operation: Operation, fluid: Fluid, state: JobState) -> Iterator[Finding]:
    opened = [id for id in fluid.opened_by if state.item(id) is not Seat.IN_PLACE]
    loose = state.joint(fluid.drain_joint) is not Seat.TIGHT if fluid.drain_joint else False
    if opened or loose:
        names = ", ".join(audit.name(id) for id in opened) or f"drain {fluid.drain_joint}"
        what = f"{fluid.id} is filled while {names} is open"
        yield fault(opened_before_drained, operation, fluid.id, what, "close the loop first")


def length_trap_in_one_place(audit: Audit) -> Iterator[Finding]:
    """Fasteners of one thread and drive but other length never lie in one stow place."""
    held: dict[tuple[str, str, str], tuple[float, str]] = {}
    for operation in audit.operations:
        thread = read_thread(operation.thread or "")
        if operation.verb is not Verb.UNDO or thread is None or thread.length_mm is None or not operation.stow:
            continue
        key = (operation.stow, thread.nominal, operation.drive or "")
        length, joint = held.setdefault(key, (thread.length_mm, operation.joint or ""))
        if length != thread.length_mm:
            what = f"{operation.joint} ({thread.text}) lies with {joint} ({length:g} mm) in {operation.stow}"
            yield fault(length_trap_in_one_place, operation, operation.joint or "", what, "give it its own place")


def code_read_missing(audit: Audit) -> Iterator[Finding]:
    """Every module is read before anything is touched, and again when all is back and alive."""
    if not audit.touched:
        return
    first = next(operation for operation in audit.operations if handles(operation))
    last = [op for op in audit.operations if op.verb in ON_THE_WAY_BACK and op.verb is not Verb.READ_AFTER]
    reads_before = [op.n for op in audit.operations if op.verb is Verb.READ_BEFORE]
    reads_after = [op.n for op in audit.operations if op.verb is Verb.READ_AFTER]
    if not reads_before or min(reads_before) > first.n:
        yield fault(
            code_read_missing, first, "codes", "no code read before the first touch", "read and save all modules"
        )
    if not reads_after or (last and max(reads_after) < last[-1].n):
        yield fault(code_read_missing, None, "codes", "no code read after put-back", "read the same modules again")


def relearn_missing(audit: Audit) -> Iterator[Finding]:
    """What lost its memory is taught again, once it has its power back or is in its place; then comes the drive."""
    told = {operation.note: operation.n for operation in audit.operations if operation.verb is Verb.RELEARN}
    isolated = {operation.energy for operation in audit.operations if operation.verb is Verb.ISOLATE}
    back = {op.item: op.n for op in audit.operations if op.verb in ITEM_BACK}
    back |= {op.energy: op.n for op in audit.operations if op.verb is Verb.RESTORE}
    for relearn in audit.car.relearn:
        owed = relearn.after in audit.touched or relearn.after in isolated
        if owed and told.get(relearn.what, 0) <= back.get(relearn.after, 0):
            what = f"{relearn.what} is not taught again after {audit.name(relearn.after)}"
            yield fault(relearn_missing, None, relearn.after, what, "relearn it at the end")
    if audit.touched and not any(operation.verb is Verb.ROAD_TEST for operation in audit.operations):
        yield note(relearn_missing, None, "road test", "no road test at the end", "drive it, then look for leaks")


def last_look_missing(audit: Audit) -> Iterator[Finding]:
    """Before an item covers something that was handled, that something is looked at for the last time."""
    seen: set[str] = set()
    looked: set[str] = set()
    for operation in audit.operations:
        if operation.verb is Verb.INSPECT and operation.item:
            looked.add(operation.item)
        if operation.verb not in ITEM_BACK or operation.item is None:
            continue
        covered = [
            id
            for id in audit.touched & audit.car.items.keys()
            if id not in seen and operation.item in set(needs_of(audit.car, id, audit.ways))
        ]
        seen.update(covered)
        if covered and operation.item not in looked:
            names = ", ".join(sorted(audit.name(id) for id in covered))
            what = f"{audit.name(operation.item)} covers {names} without a last look"
            yield note(last_look_missing, operation, operation.item, what, "look once more before it goes back")
