"""One idea: what came out and what went back is counted for each joint from the operations that stand.

A joint that is undone again begins anew, with what it was short of still out; what was renewed before still lies about
as old fasteners, so renewals are counted over the whole job.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from putback.core.car import Car, Joint
from putback.core.operations import Operation, Verb


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """How many fasteners of a joint came out since it was last closed, were started, were tightened, were renewed.

    `undone` is whether its undoing is logged at all. A count that is not logged is the whole joint.
    """

    undone: bool = False
    out: int = 0
    started: int = 0
    tightened: int = 0
    renewed: int = 0

    @property
    def open(self) -> bool:
        """Whether none is back yet."""
        return self.undone and not self.started and not self.tightened

    @property
    def short(self) -> int:
        """How many are not back: not tightened, or not started where none is tightened yet."""
        return max(self.out - (self.tightened or self.started), 0)


def tallies(car: Car, operations: Iterable[Operation]) -> Mapping[str, Tally]:
    """The count of every joint that the operations name; those that the car does not have are left out."""
    joints = {joint.id: joint for joint in car.joints()}
    found: dict[str, Tally] = {}
    for operation in operations:
        joint = joints.get(_joint_of(car, operation) or "")
        if joint is not None:
            found[joint.id] = _counted(found.get(joint.id, Tally()), operation, joint)
    return MappingProxyType(found)


def _joint_of(car: Car, operation: Operation) -> str | None:
    """The joint an operation is at; a renewal may name the item that brings its new fasteners."""
    if operation.joint is None and operation.verb is Verb.RENEW:
        item = car.items.get(operation.item or "")
        return item.renews_joint if item else None
    return operation.joint


def _counted(tally: Tally, operation: Operation, joint: Joint) -> Tally:
    own_joint = operation.joint == joint.id
    count = operation.count if operation.count is not None and own_joint else joint.count
    if operation.verb is Verb.UNDO:
        fresh = tally if tally.open else Tally(undone=True, out=tally.short, renewed=tally.renewed)
        return replace(fresh, out=min(fresh.out + count, joint.count))
    if operation.verb is Verb.START:
        return replace(tally, started=min(tally.started + count, joint.count))
    if operation.verb is Verb.TIGHTEN:
        return replace(tally, tightened=min(tally.tightened + count, joint.count))
    if operation.verb is Verb.RENEW:
        return replace(tally, renewed=tally.renewed + count)
    return tally
