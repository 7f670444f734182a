"""Rules of tightness: all started, then all tightened, to a value that has a source, with new one-time parts."""

from collections.abc import Iterator

from putback.core.car import Item
from putback.core.finding import Finding
from putback.core.job import Seat
from putback.core.operations import ITEM_BACK, ITEM_OFF, Operation, Verb
from putback.core.rules.audit import Audit, fault, note


def joint_not_tightened(audit: Audit) -> Iterator[Finding]:
    """At the end every joint that was undone is tight."""
    last = {operation.joint: operation for operation in audit.operations if operation.verb is Verb.UNDO}
    for id, seat in audit.end.joints.items():
        if seat is not Seat.TIGHT:
            what = f"joint {id} is only {seat} at the end"
            yield fault(joint_not_tightened, last.get(id), id, what, "start it, then tighten it")


def torque_not_the_sources(audit: Audit) -> Iterator[Finding]:
    """A joint is tightened to the value that the car file gives with its source, and to no other."""
    joints = {joint.id: joint for joint in audit.car.joints()}
    for operation in audit.operations:
        joint = joints.get(operation.joint or "")
        if operation.verb is not Verb.TIGHTEN or joint is None or joint.sourced_torque is None:
            continue
        if operation.torque is None:
            what, mend = f"{joint.id} is tightened without a value", f"tighten to {joint.sourced_torque}"
            yield fault(torque_not_the_sources, operation, joint.id, what, mend)
        elif operation.torque != joint.sourced_torque:
            what = f"{joint.id} is tightened to {operation.torque}, the source gives {joint.sourced_torque}"
            yield fault(torque_not_the_sources, operation, joint.id, what, "go by the source, or mend the car file")


def torque_without_source(audit: Audit) -> Iterator[Finding]:
    """A threaded joint without a sourced value is said so: value needed."""
    joints = {joint.id: joint for joint in audit.car.joints()}
    for operation in audit.operations:
        joint = joints.get(operation.joint or "")
        if operation.verb is Verb.TIGHTEN and joint and joint.torqued and joint.sourced_torque is None:
            what = f"value needed for {joint.id} of {audit.name(joint.item)}"
            yield note(torque_without_source, operation, joint.id, what, "ask the maker's publication")


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


def one_time_part_back_in(audit: Audit) -> Iterator[Finding]:
    """A one-time part is new on the way back: a gasket with what it sits behind, fasteners before they are tight."""
    one_time = {joint.id for joint in audit.car.joints() if joint.one_time}
    one_time |= {item.renews_joint for item in audit.car.items.values() if item.renews_joint and item.one_time}
    new_since: set[str] = set()
    for operation in audit.operations:
        item = audit.item(operation)
        if operation.verb is Verb.RENEW:
            new_since |= {thing for thing in (operation.item, operation.joint) if thing}
        elif operation.verb is Verb.TIGHTEN and operation.joint in one_time and operation.joint not in new_since:
            what = f"{operation.joint} is tightened with its old one-time fasteners"
            yield fault(one_time_part_back_in, operation, operation.joint or "", what, "fit new ones")
        elif item and operation.verb in ITEM_OFF:
            new_since -= {item.id, *_renewed_with(audit, item)}
        elif item and operation.verb in ITEM_BACK:
            yield from _old_parts(audit, operation, item, new_since)
        elif operation.verb is Verb.UNDO:
            new_since.discard(operation.joint or "")
    yield from _old_seals(audit)


def _renewed_with(audit: Audit, item: Item) -> list[str]:
    return [other.id for other in audit.car.items.values() if item.id in other.renew_with_items]


def _old_parts(audit: Audit, operation: Operation, item: Item, new_since: set[str]) -> Iterator[Finding]:
    for id in [item.id] if item.one_time else []:
        if id not in new_since:
            what = f"{item.name} is a one-time part and the old one goes back in"
            yield fault(one_time_part_back_in, operation, id, what, "fit a new one")
    for id in _renewed_with(audit, item):
        if id not in new_since:
            what = f"{item.name} goes back with the old {audit.name(id)}"
            yield fault(one_time_part_back_in, operation, id, what, "renew it first")


def _old_seals(audit: Audit) -> Iterator[Finding]:
    """Seals that are renewed with a fluid: new between its draining and its filling."""
    new: set[str] = set()
    for operation in audit.operations:
        seals = [item.id for item in audit.car.items.values() if operation.fluid in item.renew_with_fluids]
        if operation.verb is Verb.RENEW and operation.item:
            new.add(operation.item)
        elif operation.verb is Verb.DRAIN:
            new.difference_update(seals)
        elif operation.verb is Verb.FILL:
            for id in seals:
                if id not in new:
                    what = f"{operation.fluid} is filled with the old {audit.name(id)}"
                    yield fault(one_time_part_back_in, operation, id, what, "renew it before filling")


def angle_joint_tightened_twice(audit: Audit) -> Iterator[Finding]:
    """A joint that is turned by an angle gets one run; again means new fasteners again."""
    angled = {joint.id for joint in audit.car.joints() if joint.torque and joint.torque.angles_deg}
    run: set[str] = set()
    for operation in audit.operations:
        id = operation.joint or ""
        if operation.verb is Verb.RENEW:
            run.discard(id)
        elif operation.verb is Verb.TIGHTEN and id in angled:
            if id in run:
                what = f"{id} is tightened by angle a second time with the same fasteners"
                yield fault(angle_joint_tightened_twice, operation, id, what, "fit new fasteners and tighten once")
            run.add(id)
