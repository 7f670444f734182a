"""Rules of reach: nothing is touched while something is in its way, both ways."""

from collections.abc import Iterator

from putback.core.car import Action, Item
from putback.core.finding import Finding
from putback.core.job import JobState, Seat
from putback.core.operations import JOINT_VERBS, Operation, Verb
from putback.core.rules.audit import Audit, fault


def reached_while_blocked(audit: Audit) -> Iterator[Finding]:
    """An item, each of its joints and what is renewed is touched only while all that covers it is off."""
    taken: dict[str, str | None] = {}
    for operation, state in audit.steps():
        item = audit.item(operation)
        if item is None:
            continue
        if operation.verb is Verb.UNDO and operation.joint:
            taken[operation.joint] = operation.way
        needs = audit.behind_links[item.id] | _way_needs(audit, operation, taken)
        blocking = sorted(id for id in needs if _in_the_way(state, audit.car.items[id]))
        if blocking:
            names = ", ".join(audit.name(id) for id in blocking)
            what = f"{operation.verb} {operation.joint or item.name}: {names} is in the way"
            yield fault(reached_while_blocked, operation, operation.joint or item.id, what, "that must be off first")


def _way_needs(audit: Audit, operation: Operation, taken: dict[str, str | None]) -> frozenset[str]:
    """What the way of a joint needs off, and what covers that: the way that is named, else by which it was undone."""
    joint = audit.joints.get(operation.joint or "")
    if joint is None or operation.verb not in JOINT_VERBS:
        return frozenset()
    way = operation.way or taken.get(joint.id)
    return audit.behind_ways.get((joint.id, way or ""), frozenset())


def _in_the_way(state: JobState, item: Item) -> bool:
    """An item in place is in the way; a part that is only renewed is so until its own joints are undone."""
    if item.action is Action.RENEW:
        return any(state.joint(joint.id) is not Seat.UNDONE for joint in item.joints)
    return state.item(item.id) is Seat.IN_PLACE


def way_not_named(audit: Audit) -> Iterator[Finding]:
    """A joint that can be reached in several ways says by which it was undone; every way named is one of them."""
    for operation in audit.operations:
        joint = audit.joints.get(operation.joint or "")
        if operation.verb not in JOINT_VERBS or joint is None or not joint.ways:
            continue
        ways = sorted(way.id for way in joint.ways)
        if operation.way not in ways and (operation.way or operation.verb is Verb.UNDO):
            what = f"{operation.verb} {joint.id}: way {operation.way!r} is none of {', '.join(ways)}"
            yield fault(way_not_named, operation, joint.id, what, "name the way that was taken")
