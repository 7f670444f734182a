"""Rules of fluids, code reads, relearns, the drive and last looks."""

import math
from collections.abc import Iterator

from putback.core.car import Fluid
from putback.core.finding import Finding
from putback.core.job import JobState, Seat
from putback.core.operations import ITEM_BACK, ITEM_OFF, TWIN, Operation, Verb
from putback.core.rules.audit import PLAIN, Audit, fault, note, takes_off, unpaired

_BEGINS = frozenset({Verb.ISOLATE, Verb.DRAIN, Verb.SWITCH_OFF})
_COMPLETES = ITEM_BACK | {Verb.TIGHTEN, Verb.FILL, Verb.RESTORE, Verb.UNGUARD, Verb.LINE_UP, Verb.SWITCH_ON}


def fluid_out_is_not_in(audit: Audit) -> Iterator[Finding]:
    """What is drained is filled again, within the loop's tolerance."""
    for operation in audit.operations:
        counted = operation.verb in (Verb.DRAIN, Verb.FILL) and operation.litres is not None
        if counted and not 0 <= (operation.litres or 0.0) < math.inf:
            what = f"{operation.verb} {operation.fluid}: {operation.litres} l cannot be"
            yield fault(fluid_out_is_not_in, operation, operation.fluid or "", what, "measure it again")
    for id, litres in audit.end.litres_out.items():
        fluid = audit.car.fluids.get(id)
        tolerance = (fluid.tolerance_l if fluid else None) or 0.0
        if not abs(litres) <= tolerance + 1e-9:
            side = "missing" if litres > 0 else "too much"
            what = f"{id}: {abs(litres):g} l {side} at the end"
            yield fault(fluid_out_is_not_in, None, id, what, "fill by the source, check level and leaks")
    for id, seat in audit.end.fluids.items():
        if seat is Seat.DRAINED and abs(audit.end.litres_out.get(id, 0.0)) <= 1e-9:
            yield fault(fluid_out_is_not_in, None, id, f"{id} is drained and never filled", "fill it")


def opened_before_drained(audit: Audit) -> Iterator[Finding]:
    """A loop is drained, through its open drain, before the first item that opens it."""
    for operation, state in audit.steps():
        fluid = audit.car.fluids.get(operation.fluid or "")
        if operation.verb is Verb.DRAIN and fluid and not _drain_is_open(fluid, state):
            what = f"{fluid.id} is drained while its drain is closed"
            yield fault(opened_before_drained, operation, fluid.id, what, "open the drain first")
        if not takes_off(operation):
            continue
        for other in audit.car.fluids.values():
            opens = operation.item in other.opened_by and operation.item != _let_out_at(audit, other)
            if opens and state.fluids.get(other.id) is not Seat.DRAINED:
                what = f"{operation.verb} {audit.name(operation.item or '')} opens {other.id} undrained"
                yield fault(opened_before_drained, operation, other.id, what, "drain it first")


def _drain_is_open(fluid: Fluid, state: JobState) -> bool:
    """Whether what lets a fluid out is open; so it is where the car file names nothing."""
    if fluid.drain_joint:
        return state.joint(fluid.drain_joint) is not Seat.TIGHT
    return fluid.drain_item is None or state.item(fluid.drain_item) is not Seat.IN_PLACE


def _let_out_at(audit: Audit, fluid: Fluid) -> str | None:
    joint = audit.joints.get(fluid.drain_joint or "")
    return joint.item if joint else fluid.drain_item


def let_out_unsaid(audit: Audit) -> Iterator[Finding]:
    """A loop whose drain was opened has run out: it is said to be drained before the drain is closed again."""
    for fluid in audit.car.fluids.values():
        opened: Operation | None = None
        for operation, state in audit.steps():
            if _opens_drain(fluid, operation) and state.fluids.get(fluid.id) is not Seat.DRAINED:
                opened = operation
            elif operation.verb is Verb.DRAIN and operation.fluid == fluid.id:
                opened = None
            elif opened and _closes_drain(fluid, operation):
                break
        if opened:
            what = f"{opened.verb} {opened.joint or audit.name(opened.item or '')} lets {fluid.id} out, not counted"
            yield fault(let_out_unsaid, opened, fluid.id, what, "say how much is drained, and fill it")


def _opens_drain(fluid: Fluid, operation: Operation) -> bool:
    if fluid.drain_joint:
        return operation.verb is Verb.UNDO and operation.joint == fluid.drain_joint
    return fluid.drain_item is not None and operation.verb in ITEM_OFF and operation.item == fluid.drain_item


def _closes_drain(fluid: Fluid, operation: Operation) -> bool:
    if fluid.drain_joint:
        return operation.verb is Verb.TIGHTEN and operation.joint == fluid.drain_joint
    return operation.verb in ITEM_BACK and operation.item == fluid.drain_item


def filled_while_open(audit: Audit) -> Iterator[Finding]:
    """A loop is filled when the last item that opens it is back and its drain is closed."""
    for operation, state in audit.steps():
        fluid = audit.car.fluids.get(operation.fluid or "")
        if operation.verb is not Verb.FILL or fluid is None:
            continue
        opened = [audit.name(id) for id in fluid.opened_by if state.item(id) is not Seat.IN_PLACE]
        if (fluid.drain_joint or fluid.drain_item) and _drain_is_open(fluid, state):
            opened.append(f"drain {fluid.drain_joint or fluid.drain_item}")
        if opened:
            what = f"{fluid.id} is filled while {', '.join(opened)} is open"
            yield fault(filled_while_open, operation, fluid.id, what, "close the loop first")


def code_read_missing(audit: Audit) -> Iterator[Finding]:
    """Every module is read before anything is touched, and again when all is back and alive."""
    first = next((op for op in audit.operations if op.verb in _BEGINS or audit.item(op)), None)
    if first is None:
        return
    last = [op.n for op in audit.operations if op.verb in _COMPLETES]
    reads_before = [op.n for op in audit.operations if op.verb is Verb.READ_BEFORE]
    reads_after = [op.n for op in audit.operations if op.verb is Verb.READ_AFTER]
    if not reads_before or min(reads_before) > first.n:
        yield fault(
            code_read_missing, first, "codes", "no code read before the first touch", "read and save all modules"
        )
    if not reads_after or (last and max(reads_after) < max(last)):
        yield fault(code_read_missing, None, "codes", "no code read after put-back", "read the same modules again")


def relearn_missing(audit: Audit) -> Iterator[Finding]:
    """What lost its memory is taught again, once it has its power back or is tight in its place."""
    for what, after in _untaught(audit, audit.operations):
        says = f"{what} is not taught again after {audit.name(after)}"
        yield fault(relearn_missing, None, after, says, "relearn it at the end")


def _untaught(audit: Audit, operations: tuple[Operation, ...]) -> Iterator[tuple[str, str]]:
    """What these operations leave untaught, with the item or energy after which it is owed."""
    told = {operation.note: operation.n for operation in operations if operation.verb is Verb.RELEARN}
    isolated = {operation.energy for operation in audit.operations if operation.verb is Verb.ISOLATE}
    back = {op.item: op.n for op in operations if op.verb in ITEM_BACK or op.verb is Verb.TIGHTEN}
    back |= {op.energy: op.n for op in operations if op.verb is Verb.RESTORE}
    for relearn in audit.car.relearn:
        owed = relearn.after in audit.touched or relearn.after in isolated
        if owed and told.get(relearn.what, 0) <= back.get(relearn.after, 0):
            yield relearn.what, relearn.after


def driven_too_early(audit: Audit) -> Iterator[Finding]:
    """The road test is for a car that is whole, taught and read; a job without one is noted."""
    drives = [operation for operation in audit.operations if operation.verb is Verb.ROAD_TEST]
    for operation in drives:
        before = audit.operations[: operation.n - 1]
        owed = [*_open_things(audit.states[operation.n - 1]), *(what for what, _ in _untaught(audit, before))]
        owed += [TWIN[verb] for verb in PLAIN if unpaired(before, verb)[0]]
        if not any(other.verb is Verb.READ_AFTER for other in before):
            owed.append("the code read after")
        if owed:
            what = f"road test before {', '.join(dict.fromkeys(owed))}"
            yield fault(driven_too_early, operation, "road test", what, "finish the way back, then drive")
    if audit.touched and not drives:
        yield note(driven_too_early, None, "road test", "no road test at the end", "drive it, then look for leaks")


def _open_things(state: JobState) -> Iterator[str]:
    """Everything that is not as it was when the car came in."""
    for seats, rest in (
        (state.items, Seat.IN_PLACE),
        (state.joints, Seat.TIGHT),
        (state.energies, Seat.LIVE),
        (state.fluids, Seat.FULL),
    ):
        yield from (id for id, seat in seats.items() if seat is not rest)
    yield from (id for (id, _), pieces in state.guards.items() if pieces > 0)


def last_look_missing(audit: Audit) -> Iterator[Finding]:
    """Before an item covers something that was handled, that something is looked at for the last time."""
    seen: set[str] = set()
    looked: dict[str, int] = {}
    handled: dict[str, int] = {}
    for operation in audit.operations:
        if operation.verb is Verb.INSPECT and operation.item:
            looked[operation.item] = operation.n
        item = audit.item(operation)
        if item is None:
            continue
        if operation.verb in ITEM_BACK:
            covered = (audit.covered_by[item.id] & audit.touched) - seen
            seen |= covered
            if covered and looked.get(item.id, 0) <= max(handled.get(id, 0) for id in covered):
                names = ", ".join(sorted(audit.name(id) for id in covered))
                what = f"{item.name} covers {names} without a last look"
                yield note(last_look_missing, operation, item.id, what, "look once more before it goes back")
        handled[item.id] = operation.n
