"""Rules of new parts: what is renewed is out when it is renewed, and no one-time part goes back in."""

from collections.abc import Iterator

from putback.core.car import Action, Item
from putback.core.finding import Finding
from putback.core.job import JobState, Seat
from putback.core.operations import ITEM_BACK, ITEM_OFF, Operation, Verb
from putback.core.rules.audit import Audit, fault


def _new(audit: Audit, operation: Operation) -> tuple[str | None, str | None]:
    """What a renewal brings: the item or None, the joint whose fasteners are new or None.

    A renewal that names a joint of the item itself is of the fasteners alone.
    """
    item = audit.car.items.get(operation.item or "")
    joint = operation.joint or (item.renews_joint if item else None)
    own = item is not None and joint in {own.id for own in item.joints}
    return (None if own else operation.item), joint


def target_not_renewed(audit: Audit) -> Iterator[Finding]:
    """What the job is for is renewed."""
    renewed = {_new(audit, operation)[0] for operation in audit.operations if operation.verb is Verb.RENEW}
    for id in audit.targets:
        if id not in renewed:
            what = f"{audit.name(id)} is not renewed, though the job is for it"
            yield fault(target_not_renewed, None, id, what, "renew it before its place is closed")


def renewed_while_in_place(audit: Audit) -> Iterator[Finding]:
    """A part is renewed while the old one is out: its item off, its joint undone."""
    for operation, state in audit.steps():
        if operation.verb is not Verb.RENEW:
            continue
        id, joint = _new(audit, operation)
        item = audit.car.items.get(id or "")
        if joint in audit.joints and state.joint(joint or "") is not Seat.UNDONE:
            what = f"{joint} gets new fasteners while it is {state.joint(joint or '')}"
            yield fault(renewed_while_in_place, operation, joint or "", what, "undo it first")
        elif item and _in_place(state, item):
            what = f"{item.name} is renewed while the old one is in place"
            yield fault(renewed_while_in_place, operation, item.id, what, "take the old one out first")


def _in_place(state: JobState, item: Item) -> bool:
    held = any(state.joint(joint.id) is not Seat.UNDONE for joint in item.joints)
    return held if item.action is Action.RENEW else held or state.item(item.id) is Seat.IN_PLACE


def _always_joins(item: Item) -> bool:
    """Whether a one-time part is renewed whenever what it belongs to is off."""
    return item.one_time and bool(item.renew_with_items or item.renew_with_fluids)


def one_time_part_back_in(audit: Audit) -> Iterator[Finding]:
    """A one-time part is new on the way back: a gasket with what it sits behind, fasteners before they are tight."""
    one_time = {joint.id for joint in audit.car.joints() if joint.one_time}
    one_time |= {item.renews_joint for item in audit.car.items.values() if item.renews_joint and _always_joins(item)}
    new: set[str | None] = set()
    for operation in audit.operations:
        item = audit.item(operation)
        if operation.verb is Verb.RENEW:
            new.update(_new(audit, operation))
        elif operation.verb is Verb.TIGHTEN and operation.joint in one_time and operation.joint not in new:
            what = f"{operation.joint} is tightened with its old one-time fasteners"
            yield fault(one_time_part_back_in, operation, operation.joint or "", what, "fit new ones")
        elif item and operation.verb in ITEM_OFF:
            new.difference_update([item.id, *audit.renewed_with.get(item.id, ())])
        elif item and operation.verb in ITEM_BACK:
            yield from _old_parts(audit, operation, item, new)
        elif operation.verb is Verb.UNDO:
            new.discard(operation.joint)
    yield from _old_seals(audit)


def _old_parts(audit: Audit, operation: Operation, item: Item, new: set[str | None]) -> Iterator[Finding]:
    for id in [item.id] if item.one_time else []:
        if id not in new:
            what = f"{item.name} is a one-time part and the old one goes back in"
            yield fault(one_time_part_back_in, operation, id, what, "fit a new one")
    for id in audit.renewed_with.get(item.id, ()):
        if id not in new:
            what = f"{item.name} goes back with the old {audit.name(id)}"
            yield fault(one_time_part_back_in, operation, id, what, "renew it first")


def _old_seals(audit: Audit) -> Iterator[Finding]:
    """Seals that are renewed with a fluid: new between its draining and its filling."""
    new: set[str] = set()
    for operation in audit.operations:
        if operation.verb not in (Verb.RENEW, Verb.DRAIN, Verb.FILL):
            continue
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
            run.discard(_new(audit, operation)[1] or "")
        elif operation.verb is Verb.TIGHTEN and id in angled:
            if id in run:
                what = f"{id} is tightened by angle a second time with the same fasteners"
                yield fault(angle_joint_tightened_twice, operation, id, what, "fit new fasteners and tighten once")
            run.add(id)
