"""Rules of the round trip: every operation on the way in has its twin, and each fits what it meets."""

from collections.abc import Iterator

from putback.core.finding import Finding
from putback.core.job import Seat
from putback.core.operations import ITEM_OFF, JOINT_VERBS, TWIN, Verb
from putback.core.rules.audit import Audit, fault

_PLAIN = (Verb.RAISE, Verb.MARK, Verb.STOW, Verb.SWITCH_OFF)


def no_twin(audit: Audit) -> Iterator[Finding]:
    """What came off, unplugged, parted, aside or folded must go back; what was marked, lined up again."""
    last = {operation.item: operation for operation in audit.operations if operation.verb in ITEM_OFF}
    for id, seat in audit.end.items.items():
        if seat is not Seat.IN_PLACE:
            operation = last.get(id)
            verb = TWIN[operation.verb] if operation else Verb.FIT
            what = f"{audit.name(id)} is still {seat} at the end"
            yield fault(no_twin, operation, id, what, f"{verb} it, or say why it stays so")
    for verb in _PLAIN:
        yield from _unpaired(audit, verb)


def _unpaired(audit: Audit, verb: Verb) -> Iterator[Finding]:
    owed: dict[str, int] = {}
    for operation in audit.operations:
        if operation.verb in (verb, TWIN[verb]):
            sign = 1 if operation.verb is verb else -1
            thing = operation.item or operation.zone or ""
            owed[thing] = owed.get(thing, 0) + sign
    for thing, count in owed.items():
        if count:
            what = f"{verb} and {TWIN[verb]} of {audit.name(thing) or 'the car'} do not pair"
            yield fault(no_twin, None, thing, what, f"each {verb} needs one {TWIN[verb]}")


def does_not_fit(audit: Audit) -> Iterator[Finding]:
    """An operation must fit what it meets: nothing comes off twice, nothing is tightened that was not started."""
    for misfit in audit.end.misfits:
        operation = misfit.operation
        what = f"{operation.verb} {audit.name(misfit.thing)}: it is {misfit.seat} then"
        yield fault(
            does_not_fit, operation, misfit.thing, what, "look which operation is missing, double or too early"
        )


def unknown_thing(audit: Audit) -> Iterator[Finding]:
    """Items, joints, energies, guards and fluids are those of the car file; the joint belongs to its item."""
    home = {joint.id: joint.item for joint in audit.car.joints()}
    for operation in audit.operations:
        named = (
            ("item", operation.item, audit.car.items),
            ("joint", operation.joint, home),
            ("energy", operation.energy, audit.car.energies),
            ("guard", operation.guard, audit.car.guards),
            ("fluid", operation.fluid, audit.car.fluids),
        )
        for kind, id, known in named:
            if id is not None and id not in known:
                what = f"the car file knows no {kind} {id!r}"
                yield fault(unknown_thing, operation, id, what, "use the id that the car file gives, or add it there")
        if operation.verb in JOINT_VERBS and operation.joint in home and operation.item != home[operation.joint]:
            what = f"joint {operation.joint} belongs to {home[operation.joint]}, not to {operation.item}"
            yield fault(unknown_thing, operation, operation.joint, what, f"name item {home[operation.joint]}")


def count_differs(audit: Audit) -> Iterator[Finding]:
    """As many fasteners go back as came out, and as many as the car file counts."""
    counts = {joint.id: joint.count for joint in audit.car.joints()}
    out: dict[str, int] = {}
    for operation in audit.operations:
        if operation.verb not in JOINT_VERBS or operation.joint not in counts:
            continue
        id, count = operation.joint, operation.count
        if count is None:
            yield fault(count_differs, operation, id, f"{operation.verb} {id}: not counted", "count the fasteners")
        elif operation.verb is Verb.UNDO:
            out[id] = count
            if count != counts[id]:
                what = f"undo {id}: {count} counted, the car file has {counts[id]}"
                yield fault(count_differs, operation, id, what, "count again, or mend the car file")
        elif count != out.get(id, counts[id]):
            what = f"{operation.verb} {id}: {count} counted, {out.get(id, counts[id])} came out"
            yield fault(count_differs, operation, id, what, "find the rest before anything covers this joint")


def target_not_renewed(audit: Audit) -> Iterator[Finding]:
    """What the job is for is renewed while it can be got at."""
    renewed = {operation.item for operation in audit.operations if operation.verb is Verb.RENEW}
    for id in audit.targets:
        if id not in renewed:
            what = f"{audit.name(id)} is not renewed, though the job is for it"
            yield fault(target_not_renewed, None, id, what, "renew it before its place is closed")
