"""Rules of tightness: the same fasteners, all started, then all tightened, to a value that has a source."""

from collections.abc import Iterator

from putback.core.car import Item, Joint
from putback.core.energy import needs_of
from putback.core.finding import Finding
from putback.core.job import Seat
from putback.core.operations import ITEM_BACK, ITEM_OFF, JOINT_VERBS, Verb
from putback.core.quantity import Torque
from putback.core.rules.audit import Audit, fault, note
from putback.core.thread import Thread, read_thread


def joint_not_tightened(audit: Audit) -> Iterator[Finding]:
    """At the end every joint that was undone is tight."""
    last = {operation.joint: operation for operation in audit.operations if operation.verb is Verb.UNDO}
    for id, seat in audit.end.joints.items():
        if seat is not Seat.TIGHT:
            what = f"joint {id} is only {seat} at the end"
            yield fault(joint_not_tightened, last.get(id), id, what, "start it, then tighten it")


def torque_not_the_sources(audit: Audit) -> Iterator[Finding]:
    """A joint is tightened to the value that the car file gives with its source, and to no other."""
    for operation in audit.operations:
        joint = audit.joints.get(operation.joint or "")
        if operation.verb is not Verb.TIGHTEN or joint is None or joint.sourced_torque is None:
            continue
        if operation.torque is None:
            what, mend = f"{joint.id} is tightened without a value", f"tighten to {joint.sourced_torque}"
            yield fault(torque_not_the_sources, operation, joint.id, what, mend)
        elif not _same_torque(operation.torque, joint.sourced_torque):
            what = f"{joint.id} is tightened to {operation.torque}, the source gives {joint.sourced_torque}"
            yield fault(torque_not_the_sources, operation, joint.id, what, "go by the source, or mend the car file")


def _same_torque(said: Torque, given: Torque) -> bool:
    """Equal as they stand; in another unit equal to the three digits to which a converted figure is written."""
    if (said.angle_deg or 0.0) != (given.angle_deg or 0.0):
        return False
    if said.unit == given.unit:
        return said.value == given.value
    return f"{said.torque_nm:.3g}" == f"{given.torque_nm:.3g}"


def torque_without_source(audit: Audit) -> Iterator[Finding]:
    """No number without a source: a thread without one is value needed, a figure from nowhere is a fault."""
    for operation in audit.operations:
        joint = audit.joints.get(operation.joint or "")
        if operation.verb is not Verb.TIGHTEN or joint is None or joint.sourced_torque is not None:
            continue
        if operation.torque is not None and not operation.torque_source:
            what = f"{joint.id} is tightened to {operation.torque}, for which no source is named"
            yield fault(torque_without_source, operation, joint.id, what, "name the publication that gives it")
        elif joint.torqued and not operation.torque_source:
            what = f"value needed for {joint.id} of {audit.name(joint.item)}"
            yield note(torque_without_source, operation, joint.id, what, "ask the maker's publication")


def other_fastener(audit: Audit) -> Iterator[Finding]:
    """What comes out of a hole and goes into it has the thread and the length that belong there."""
    for operation in audit.operations:
        joint = audit.joints.get(operation.joint or "")
        said = read_thread(operation.thread or "")
        if operation.verb not in JOINT_VERBS or joint is None or joint.thread is None or said is None:
            continue
        if not _fits(said, joint.thread):
            what = f"{operation.verb} {joint.id}: {said.text} where {joint.thread.text} belongs"
            yield fault(other_fastener, operation, joint.id, what, "find the right one before you go on")


def _fits(said: Thread, belongs: Thread) -> bool:
    """Whether two designations can be of one fastener; a length that one of them does not give says nothing."""
    lengths = {length for length in (said.length_mm, belongs.length_mm) if length is not None}
    return said.nominal == belongs.nominal and len(lengths) < 2


def tightened_before_all_started(audit: Audit) -> Iterator[Finding]:
    """No joint of an item is tightened while another of its joints is not even started."""
    for operation, state in audit.steps():
        item = audit.item(operation)
        if operation.verb is not Verb.TIGHTEN or item is None:
            continue
        waiting = [joint.id for joint in item.joints if state.joint(joint.id) is Seat.UNDONE]
        if waiting:
            what = f"{operation.joint} is tightened while {', '.join(waiting)} of {item.name} is not started"
            yield fault(
                tightened_before_all_started, operation, operation.joint or "", what, "start all, then tighten"
            )


def covered_while_loose(audit: Audit) -> Iterator[Finding]:
    """Nothing goes back over an item while one of its joints is undone or only started."""
    hidden: dict[str, list[Item]] = {}
    for id in sorted(audit.touched & audit.car.items.keys()):
        for cover in dict.fromkeys(needs_of(audit.car, id, audit.ways)):
            hidden.setdefault(cover, []).append(audit.car.items[id])
    for operation, state in audit.steps():
        if operation.verb not in ITEM_BACK or operation.item is None:
            continue
        for item in hidden.get(operation.item, ()):
            loose = [joint.id for joint in item.joints if state.joint(joint.id) is not Seat.TIGHT]
            if loose:
                what = f"{audit.name(operation.item)} goes back over {item.name} while {', '.join(loose)} is loose"
                yield fault(covered_while_loose, operation, operation.item, what, "tighten it first")


def started_before_fitted(audit: Audit) -> Iterator[Finding]:
    """A joint is started when its item is in its place, not before."""
    for operation, state in audit.steps():
        item = audit.item(operation)
        if operation.verb in (Verb.START, Verb.TIGHTEN) and item and state.item(item.id) is not Seat.IN_PLACE:
            what = f"{operation.verb} {operation.joint}: {item.name} is still {state.item(item.id)}"
            yield fault(started_before_fitted, operation, operation.joint or "", what, "put the item back first")


def off_while_held(audit: Audit) -> Iterator[Finding]:
    """An item comes off when all its joints are undone."""
    for operation, state in audit.steps():
        item = audit.item(operation)
        if operation.verb not in ITEM_OFF or item is None:
            continue
        held = [joint.id for joint in item.joints if state.joint(joint.id) is not Seat.UNDONE]
        if held:
            what = f"{item.name} comes off while {', '.join(held)} still holds it"
            yield fault(off_while_held, operation, item.id, what, "undo every joint first")


def length_trap_in_one_place(audit: Audit) -> Iterator[Finding]:
    """Fasteners of one thread and drive but other length never lie in one stow place."""
    lies: dict[str, tuple[tuple[str, str, str], float]] = {}
    for operation in audit.operations:
        joint = audit.joints.get(operation.joint or "")
        if operation.verb is Verb.START:
            lies.pop(operation.joint or "", None)
        if operation.verb is not Verb.UNDO or joint is None or not operation.stow:
            continue
        thread = _thread_of(joint, operation.thread)
        if thread is None or thread.length_mm is None:
            continue
        key = (operation.stow, thread.nominal, operation.drive or joint.drive or "")
        for other, (place, length) in lies.items():
            if place == key and length != thread.length_mm:
                what = f"{joint.id} ({thread.text}) lies with {other} ({length:g} mm) in {operation.stow}"
                yield fault(length_trap_in_one_place, operation, joint.id, what, "give it its own place")
                break
        lies[joint.id] = (key, thread.length_mm)


def _thread_of(joint: Joint, said: str | None) -> Thread | None:
    """The thread of a joint's fasteners: the car file's, else what the operation says of them."""
    return joint.thread or read_thread(said or "")
