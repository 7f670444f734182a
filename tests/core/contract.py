"""One idea: what the order rules ask of a car, worked out anew from their text, for a judge that shares no code.

Nothing here comes from the audit, the job state or the energy module: the words are those of the contract, section
1, "Order rules", and of the car file's keys.
"""

from collections.abc import Iterable, Sequence
from functools import cached_property

from putback.core.car import Action, Car, Energy
from putback.core.operations import Operation, Verb

TWIN_OF = {
    Verb.REMOVE: Verb.FIT,
    Verb.UNPLUG: Verb.PLUG_IN,
    Verb.PART: Verb.JOIN,
    Verb.SWING_ASIDE: Verb.SWING_BACK,
    Verb.FOLD: Verb.UNFOLD,
}
OFF_OF = {back: off for off, back in TWIN_OF.items()}
ON_JOINTS = (Verb.UNDO, Verb.START, Verb.TIGHTEN)
VERB_OF = {
    Action.REMOVE: Verb.REMOVE,
    Action.UNPLUG: Verb.UNPLUG,
    Action.PART: Verb.PART,
    Action.SWING: Verb.SWING_ASIDE,
    Action.FOLD: Verb.FOLD,
}


def is_handling(operation: Operation) -> bool:
    """Whether an item leaves its place, returns to it, or a joint of it is turned."""
    return operation.verb in TWIN_OF or operation.verb in OFF_OF or operation.verb in ON_JOINTS


class Contract:
    """What the contract asks of one car for one sequence of operations."""

    def __init__(self, car: Car, operations: Sequence[Operation]) -> None:
        self.car = car
        self.operations = operations
        self.joints = {joint.id: joint for joint in car.joints()}
        self.ways = {op.joint: op.way for op in operations if op.verb is Verb.UNDO and op.joint and op.way}
        self._links_behind: dict[str, set[str]] = {}
        self._all_behind: dict[str, set[str]] = {}

    def way_needs(self, joint_id: str, way_id: str | None) -> list[str]:
        """What one way of a joint needs off; nothing for a joint that has no such way."""
        ways = [way for way in self.joints[joint_id].ways if way.id == way_id]
        return [link.item for way in ways for link in way.needs_off]

    def behind(self, starts: Iterable[str], *, with_ways: bool) -> set[str]:
        """Everything that must be off before any of these: `needs_off` is transitive."""
        found: set[str] = set()
        left = [id for id in starts if id in self.car.items]
        while left:
            item = self.car.items[left.pop()]
            needs = [link.item for link in item.needs_off]
            if with_ways:
                for joint in item.joints:
                    needs += self.way_needs(joint.id, self.ways.get(joint.id))
            fresh = [id for id in needs if id not in found]
            found.update(fresh)
            left += fresh
        return found

    def links_behind(self, id: str) -> set[str]:
        """What covers an item however far, ways not counted: what must be off whenever it is touched."""
        if id not in self._links_behind:
            self._links_behind[id] = self.behind([id], with_ways=False)
        return self._links_behind[id]

    def all_behind(self, id: str) -> set[str]:
        """The same with the needs of the ways that were taken."""
        if id not in self._all_behind:
            self._all_behind[id] = self.behind([id], with_ways=True)
        return self._all_behind[id]

    @cached_property
    def touched(self) -> set[str]:
        """The items that are handled or renewed."""
        return {
            op.item
            for op in self.operations
            if op.item in self.car.items and (is_handling(op) or op.verb is Verb.RENEW) and op.item is not None
        }

    @cached_property
    def asked_by_item(self) -> dict[str, dict[str, bool]]:
        """Item to the energies it waits for; True: proven, False: isolated is enough (it is in the proof's reach)."""
        found: dict[str, dict[str, bool]] = {id: {} for id in self.car.items}
        for energy in self.car.energies.values():
            to_operate = self.behind([energy.item], with_ways=True) if energy.item else set()
            reach = set(energy.proof.reach) if energy.proof else set()
            reach |= self.behind(reach, with_ways=True)
            for item in self.car.items.values():
                stated, near = energy.id in item.energy, item.zone in energy.near
                if item.id == energy.item or not (stated or near):
                    continue
                if not stated and item.id in to_operate:
                    continue
                found[item.id][energy.id] = item.id not in reach
        return found

    @cached_property
    def needed(self) -> set[str]:
        """The energies of the job: asked for by what is touched or drained, isolated, or joined by those."""
        found = {id for item in self.touched for id in self.asked_by_item[item]}
        found |= {op.energy for op in self.operations if op.verb is Verb.ISOLATE and op.energy}
        drained = [self.car.fluids[op.fluid] for op in self.operations if op.verb is Verb.DRAIN and op.fluid]
        return self.joined(found | {fluid.energy for fluid in drained if fluid.energy})

    def joined(self, energies: Iterable[str]) -> set[str]:
        """These energies and all that join with them (`after`, `with`)."""
        found = {id for id in energies if id in self.car.energies}
        left = list(found)
        while left:
            energy = self.car.energies[left.pop()]
            fresh = {*energy.after, *energy.joined} - found
            found |= fresh
            left += fresh
        return found

    def precedes(self, first: str, then: str) -> bool:
        """Whether one energy is proven before the other is operated, when both are needed."""
        return first in self.car.energies[then].after or then in self.car.energies[first].before

    def restored_before(self, first: str, then: str) -> bool:
        """Whether one energy is given back before the other is."""
        stated = self.car.energies[then].restore_after
        if stated is not None:
            return first in stated
        return self.precedes(then, first) and then not in (self.car.energies[first].restore_after or ())

    @cached_property
    def early(self) -> set[str]:
        """The items that may come off before all is safe: energies' items, `reach`, and what covers either."""
        energies = [self.car.energies[id] for id in self.needed]
        starts = {energy.item for energy in energies if energy.item}
        starts |= {id for energy in energies if energy.proof for id in energy.proof.reach}
        return starts | self.behind(starts, with_ways=True)

    def operated_at(self, item: str) -> list[Energy]:
        """The needed energies whose item this is."""
        return [self.car.energies[id] for id in sorted(self.needed) if self.car.energies[id].item == item]

    @cached_property
    def guards_of_port(self) -> dict[str, list[tuple[str, int]]]:
        """For each item that opens a port the guards that close it, with the pieces of each."""
        found: dict[str, list[tuple[str, int]]] = {}
        for guard in self.car.guards.values():
            for port, pieces in guard.closes.items():
                found.setdefault(port, []).append((guard.id, pieces))
        return found
