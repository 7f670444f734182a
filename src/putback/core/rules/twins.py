"""Rules of the round trip: every operation on the way in has its twin, and each fits what it meets."""

from collections.abc import Iterator

from putback.core.car import Action
from putback.core.finding import Finding
from putback.core.job import Seat
from putback.core.operations import ITEM_BACK, ITEM_OFF, JOINT_VERBS, OFF, TWIN, Verb
from putback.core.rules.audit import PLAIN, Audit, fault, note, unpaired

_SPEAKS_OF = (
    ("item", ITEM_OFF | ITEM_BACK | JOINT_VERBS),
    ("joint", JOINT_VERBS),
    ("energy", {Verb.ISOLATE, Verb.RESTORE, Verb.PROVE_DEAD, Verb.WAIT}),
    ("guard", {Verb.GUARD, Verb.UNGUARD}),
    ("fluid", {Verb.DRAIN, Verb.FILL}),
)


def no_twin(audit: Audit) -> Iterator[Finding]:
    """What came off, unplugged, parted, aside or folded must go back; what was marked, lined up again."""
    last = {operation.item: operation for operation in audit.operations if operation.verb in ITEM_OFF}
    for id, seat in audit.end.items.items():
        if seat is not Seat.IN_PLACE:
            operation = last.get(id)
            verb = TWIN[operation.verb] if operation else Verb.FIT
            what = f"{audit.name(id)} is still {seat} at the end"
            yield fault(no_twin, operation, id, what, f"{verb} it, or say why it stays so")
    for verb in PLAIN:
        left, alone = unpaired(audit.operations, verb)
        for operation, owed, when in [
            *((op, TWIN[verb], "after") for op in left),
            *((op, verb, "before") for op in alone),
        ]:
            thing = operation.item or operation.zone or ""
            what = f"{operation.verb} {audit.name(thing) or 'the car'}: no {owed} {when} it"
            yield fault(no_twin, operation, thing, what, f"each {operation.verb} needs one {owed} {when} it")


def does_not_fit(audit: Audit) -> Iterator[Finding]:
    """An operation must fit what it meets: nothing comes off twice, nothing is tightened that was not started."""
    for misfit in audit.end.misfits:
        operation = misfit.operation
        what = f"{operation.verb} {audit.name(misfit.thing)}: it is {misfit.seat} then"
        yield fault(
            does_not_fit, operation, misfit.thing, what, "look which operation is missing, double or too early"
        )


def handled_otherwise(audit: Audit) -> Iterator[Finding]:
    """What the car file swings aside stays closed: taking it off opens its lines; other words are only noted."""
    for operation in audit.operations:
        item = audit.car.items.get(operation.item or "")
        if operation.verb not in ITEM_OFF or item is None or item.action is Action.RENEW:
            continue
        wanted = OFF[item.action]
        if operation.verb is not wanted:
            speak = fault if Verb.SWING_ASIDE in (operation.verb, wanted) else note
            what = f"{operation.verb} {item.name}: the car file has {wanted}"
            yield speak(handled_otherwise, operation, item.id, what, f"{wanted} it, or mend the car file")


def unknown_thing(audit: Audit) -> Iterator[Finding]:
    """Each operation names what it is done to, by ids of the car file; the joint belongs to its item."""
    known = {
        "item": audit.car.items,
        "joint": audit.joints,
        "energy": audit.car.energies,
        "guard": audit.car.guards,
        "fluid": audit.car.fluids,
    }
    for operation in audit.operations:
        for kind, verbs in _SPEAKS_OF:
            id = getattr(operation, kind)
            if id is None and operation.verb in verbs:
                what = f"{operation.verb} names no {kind}"
                yield fault(unknown_thing, operation, kind, what, f"say which {kind}, by its id in the car file")
            elif id is not None and id not in known[kind]:
                what = f"the car file knows no {kind} {id!r}"
                yield fault(unknown_thing, operation, id, what, "use the id that the car file gives, or add it there")
        joint = audit.joints.get(operation.joint or "")
        if operation.verb in JOINT_VERBS and joint and operation.item != joint.item:
            what = f"joint {joint.id} belongs to {joint.item}, not to {operation.item}"
            yield fault(unknown_thing, operation, joint.id, what, f"name item {joint.item}")


def count_differs(audit: Audit) -> Iterator[Finding]:
    """As many fasteners go back, or are new, as came out, and as many as the car file counts."""
    out: dict[str, int] = {}
    for operation in audit.operations:
        joint, count = audit.joints.get(operation.joint or ""), operation.count
        if joint is None or operation.verb not in JOINT_VERBS | {Verb.RENEW}:
            continue
        if count is None:
            if operation.verb is not Verb.RENEW:
                what = f"{operation.verb} {joint.id}: not counted"
                yield fault(count_differs, operation, joint.id, what, "count the fasteners")
        elif operation.verb in (Verb.UNDO, Verb.RENEW):
            if operation.verb is Verb.UNDO:
                out[joint.id] = count
            if count != joint.count:
                what = f"{operation.verb} {joint.id}: {count} counted, the car file has {joint.count}"
                yield fault(count_differs, operation, joint.id, what, "count again, or mend the car file")
        elif count != out.get(joint.id, joint.count):
            what = f"{operation.verb} {joint.id}: {count} counted, {out.get(joint.id, joint.count)} came out"
            yield fault(count_differs, operation, joint.id, what, "find the rest before anything covers this joint")
