"""One idea: a judge walks a job with its own eyes and says where it would hurt a person, the car or the record.

It is the second opinion for the audit: written straight from the contract, with a state of its own, sharing no code
with the rules, the job state or the plan. What it calls harm the audit must call a fault, and the other way round.
"""

from collections.abc import Sequence

from core.bench import Bench
from core.contract import OFF_OF, ON_JOINTS, TWIN_OF, VERB_OF, is_handling
from putback.core.car import Action, Car, Fluid, Item, Joint
from putback.core.operations import Operation, Verb
from putback.core.thread import read_thread

COUNTED_PAIRS = {
    Verb.RAISE: Verb.LOWER,
    Verb.MARK: Verb.LINE_UP,
    Verb.STOW: Verb.TAKE_FROM_STOW,
    Verb.SWITCH_OFF: Verb.SWITCH_ON,
}
ENDS_THE_WAY_BACK = {*OFF_OF, Verb.TIGHTEN, Verb.FILL, Verb.RESTORE, Verb.UNGUARD, Verb.LINE_UP, Verb.SWITCH_ON}


def harms(car: Car, operations: Sequence[Operation], targets: Sequence[str] = ()) -> list[str]:
    """Every harm in a sequence, each with the number of its operation (0: at the end)."""
    return Judge(car, operations, targets).walk()


class Judge(Bench):
    """Items and joints, what is renewed, read, taught and driven."""

    def walk(self) -> list[str]:
        """Walk all operations, then look at what is left."""
        for place, operation in enumerate(self.operations, start=1):
            self.now = place
            if is_handling(operation) or operation.verb in (Verb.ISOLATE, Verb.DRAIN, Verb.RENEW):
                self.first_touch = self.first_touch or self.now
            if is_handling(operation):
                self.open_ports(operation.item or "")
                self.standing_guards(operation.item or "")
            self.one(operation)
            if operation.verb in ENDS_THE_WAY_BACK:
                self.last_end = self.now
        self.now = 0
        self.open_ports("")
        self.at_the_end()
        return self.found

    def one(self, op: Operation) -> None:
        """Judge one operation and take it into the state."""
        item = self.car.items.get(op.item or "")
        if op.verb in TWIN_OF and item:
            self.take_off(op, item)
        elif op.verb in OFF_OF and item:
            self.put_back(op, item)
        elif op.verb in ON_JOINTS and item and op.joint:
            self.turn(op, item, self.asks.joints[op.joint])
        elif op.verb is Verb.RENEW:
            self.renew(op)
        elif op.verb in (Verb.ISOLATE, Verb.PROVE_DEAD, Verb.RESTORE, Verb.WAIT, Verb.NOTE) and op.energy:
            self.energy(op, self.car.energies[op.energy])
        elif op.verb in (Verb.DRAIN, Verb.FILL) and op.fluid:
            self.fluid(op, self.car.fluids[op.fluid])
        elif op.verb in (Verb.GUARD, Verb.UNGUARD) and op.guard:
            self.guard(op, self.car.guards[op.guard])
        elif op.verb is Verb.READ_BEFORE:
            self.reads_before.append(self.now)
        elif op.verb is Verb.READ_AFTER:
            self.reads_after.append(self.now)
        elif op.verb is Verb.RELEARN:
            self.taught[op.note] = self.now
        elif op.verb is Verb.ROAD_TEST:
            self.drive()
        elif op.verb in COUNTED_PAIRS:
            self.half_done[COUNTED_PAIRS[op.verb], op.item or op.zone or ""] += 1
        elif op.verb in COUNTED_PAIRS.values():
            place = (op.verb, op.item or op.zone or "")
            if self.half_done[place] <= 0:
                self.harm(f"{op.verb} with nothing before it")
            else:
                self.half_done[place] -= 1

    def touch(self, item: Item, extra: Sequence[str] = ()) -> None:
        """A hand on an item: nothing in its way, all that can hurt gone."""
        needs = self.asks.links_behind(item.id) | set(extra)
        for id in extra:
            needs |= self.asks.links_behind(id)
        for id in sorted(needs):
            if self.is_in_the_way(self.car.items[id]):
                self.harm(f"{item.id} is blocked by {id}")
        for id, proven in self.asks.asked_by_item[item.id].items():
            if self.dead.get(id) != "proven" and (proven or id not in self.dead):
                self.harm(f"{item.id} is touched while {id} is {self.dead.get(id, 'live')}")

    def is_in_the_way(self, item: Item) -> bool:
        """In place; a part that is only renewed is in the way until its own joints are undone."""
        if item.action is Action.RENEW:
            return any(self.turned.get(joint.id) != "undone" for joint in item.joints)
        return item.id not in self.off

    def begin(self, item: Item) -> None:
        """What must be so before an item is undone or taken off."""
        self.last_taken[item.id] = self.now
        for guard in self.car.guards.values():
            if guard.support_for == item.id and self.in_all(guard) <= 0:
                self.harm(f"{item.id} is undone without {guard.id}")
        for energy in self.asks.operated_at(item.id):
            self.operate(energy)
        if item.id not in self.asks.early:
            still = self.asks.needed - self.once_proven
            asked = self.asks.joined(self.asks.asked_by_item[item.id])
            still |= {id for id in asked if self.dead.get(id) != "proven"}
            for id in sorted(still):
                self.harm(f"{item.id} is undone before {id} is gone")
        for fluid in self.car.fluids.values():
            if item.id in fluid.opened_by and item.id != self.let_out_at(fluid) and fluid.id not in self.drained:
                self.harm(f"{item.id} opens {fluid.id} undrained")

    def let_out_at(self, fluid: Fluid) -> str | None:
        """The item at which a fluid runs out."""
        return self.asks.joints[fluid.drain_joint].item if fluid.drain_joint else fluid.drain_item

    def take_off(self, op: Operation, item: Item) -> None:
        if item.id in self.off:
            self.harm(f"{item.id} is off already")
        wanted = VERB_OF.get(item.action)
        if wanted not in (None, op.verb) and Verb.SWING_ASIDE in (wanted, op.verb):
            self.harm(f"{item.id} is {item.action}, not {op.verb}")
        if any(self.turned.get(joint.id) != "undone" for joint in item.joints):
            self.harm(f"{item.id} comes off while a joint holds it")
        self.touch(item)
        self.begin(item)
        self.off[item.id] = op.verb
        self.new -= {item.id, *(other.id for other in self.renewed_with(item))}
        self.plugged = {place for place in self.plugged if place[1] != item.id}
        self.runs_out(item.id, [fluid for fluid in self.car.fluids.values() if fluid.drain_item == item.id])

    def renewed_with(self, item: Item) -> list[Item]:
        return [other for other in self.car.items.values() if item.id in other.renew_with_items]

    def put_back(self, op: Operation, item: Item) -> None:
        if self.off.get(item.id) is not OFF_OF[op.verb]:
            self.harm(f"{item.id} goes back without having come off so")
        self.touch(item)
        self.close_over(item)
        self.hide_loose(item)
        self.close_drain(item.id)
        for guard, wanted in self.asks.guards_of_port.get(item.id, []):
            if (guard, item.id) not in self.plugged:
                self.harm(f"{wanted} {guard} never went into {item.id}")
        for part in [*self.renewed_with(item), *([item] if item.one_time else [])]:
            if part.id not in self.new:
                self.harm(f"{item.id} goes back with an old {part.id}")
        for energy in self.asks.operated_at(item.id):
            self.give_back(energy)
            self.dead.pop(energy.id, None)
        self.off.pop(item.id, None)
        self.last_return[item.id] = self.now

    def close_over(self, item: Item) -> None:
        """No guard stays under what goes back."""
        for (id, port), pieces in self.pieces.items():
            guard = self.car.guards[id]
            if pieces <= 0:
                continue
            if guard.closes:
                covered = port == item.id or item.id in self.asks.all_behind(port)
            elif guard.support_for:
                covered = item.id in self.asks.all_behind(guard.support_for)
            else:
                covered = item.id == (guard.out_before or guard.in_after)
            if covered:
                self.harm(f"{item.id} closes over {id}")

    def hide_loose(self, item: Item) -> None:
        """Nothing that goes back hides a joint that is not tight (common practice, no source)."""
        for other in self.car.items.values():
            loose = [joint for joint in other.joints if self.turned.get(joint.id, "tight") != "tight"]
            asks = {link.item for link in other.needs_off}
            for joint in other.joints:
                taken = self.way_taken.get(joint.id)
                asks |= {link.item for way in joint.ways if way.id == taken for link in way.needs_off}
            if loose and item.id in asks:
                self.harm(f"{item.id} hides {other.id}, which is loose")

    def turn(self, op: Operation, item: Item, joint: Joint) -> None:
        """Undo, start or tighten a joint."""
        if op.verb is Verb.UNDO:
            self.way_taken[joint.id] = op.way
        way = op.way or self.way_taken.get(joint.id)
        if joint.ways and (op.verb is Verb.UNDO or way) and way not in {other.id for other in joint.ways}:
            self.harm(f"{joint.id} has no way {way}")
        self.touch(item, self.asks.way_needs(joint.id, way))
        stood = self.turned.get(joint.id, "tight")
        if stood != {Verb.UNDO: "tight", Verb.START: "undone", Verb.TIGHTEN: "started"}[op.verb]:
            self.harm(f"{op.verb} {joint.id}: it is {stood}")
        expected = joint.count if op.verb is Verb.UNDO else self.came_out.get(joint.id, joint.count)
        if op.count != expected:
            self.harm(f"{joint.id}: {op.count} of {expected}")
        self.same_fastener(op, joint)
        if op.verb is Verb.UNDO:
            self.undo(op, item, joint)
        elif item.id in self.off:
            self.harm(f"{joint.id} is turned while {item.id} is off")
        if op.verb is Verb.START:
            self.lies.pop(joint.id, None)
        elif op.verb is Verb.TIGHTEN:
            self.tighten(op, item, joint)
        self.turned[joint.id] = {Verb.UNDO: "undone", Verb.START: "started", Verb.TIGHTEN: "tight"}[op.verb]

    def same_fastener(self, op: Operation, joint: Joint) -> None:
        said = read_thread(op.thread or "")
        if said is None or joint.thread is None:
            return
        unequal = said.length_mm != joint.thread.length_mm and None not in (said.length_mm, joint.thread.length_mm)
        if said.nominal != joint.thread.nominal or unequal:
            self.harm(f"{op.thread} goes where {joint.thread.text} belongs")

    def undo(self, op: Operation, item: Item, joint: Joint) -> None:
        self.begin(item)
        self.runs_out(joint.id, [fluid for fluid in self.car.fluids.values() if fluid.drain_joint == joint.id])
        self.came_out[joint.id] = op.count or 0
        self.new.discard(joint.id)
        if joint.thread is None or joint.thread.length_mm is None or not op.stow:
            return
        place = (op.stow, joint.thread.nominal, joint.drive or "")
        if any(other[:3] == place and other[3] != joint.thread.length_mm for other in self.lies.values()):
            self.harm(f"{joint.id} lies with another length in {op.stow}")
        self.lies[joint.id] = (*place, joint.thread.length_mm)

    def tighten(self, op: Operation, item: Item, joint: Joint) -> None:
        if any(self.turned.get(other.id) == "undone" for other in item.joints):
            self.harm(f"{joint.id} is tightened before all of {item.id} are started")
        if joint.torque and joint.source:
            if op.torque != joint.torque:
                self.harm(f"{joint.id} is tightened to {op.torque}")
        elif op.torque and not op.torque_source:
            self.harm(f"{joint.id} is tightened to a value from nowhere")
        brought = [
            item.id
            for item in self.car.items.values()
            if item.renews_joint == joint.id and item.one_time and (item.renew_with_items or item.renew_with_fluids)
        ]
        if (joint.one_time or brought) and joint.id not in self.new:
            self.harm(f"{joint.id} is tightened with old fasteners")
        if joint.torque and joint.torque.angles_deg:
            if joint.id in self.turned_by_angle:
                self.harm(f"{joint.id} is turned by angle twice")
            self.turned_by_angle.add(joint.id)
        self.close_drain(joint.id)
        self.last_return[item.id] = self.now

    def renew(self, op: Operation) -> None:
        """A new part: the old one must be out, and what covers it off."""
        item = self.car.items[op.item or ""]
        joint_id = op.joint or item.renews_joint
        joint = self.asks.joints[joint_id] if joint_id else None
        self.touch(item)
        if joint:
            if self.turned.get(joint.id) != "undone":
                self.harm(f"{joint.id} is renewed while it holds")
            if op.count not in (None, joint.count):
                self.harm(f"{op.count} of {joint.count} of {joint.id} are renewed")
            self.new.add(joint.id)
            self.turned_by_angle.discard(joint.id)
            if joint.item == item.id:
                return
        if item.action is not Action.RENEW and item.id not in self.off:
            self.harm(f"{item.id} is renewed while it is in place")
        elif any(self.turned.get(own.id) != "undone" for own in item.joints):
            self.harm(f"{item.id} is renewed while a joint holds it")
        self.new.add(item.id)
        self.target_done.add(item.id)

    def relearns_owed(self) -> list[str]:
        isolated = {op.energy for op in self.operations if op.verb is Verb.ISOLATE}
        done = self.asks.touched | isolated
        return [
            relearn.what
            for relearn in self.car.relearn
            if relearn.after in done and self.taught.get(relearn.what, 0) <= self.last_return.get(relearn.after, 0)
        ]

    def drive(self) -> None:
        """A road test is for a car that is whole, taught and read."""
        loose = [id for id, seat in self.turned.items() if seat != "tight"]
        guarded = [place for place, pieces in self.pieces.items() if pieces > 0]
        if self.off or loose or guarded or self.owed or self.drained or any(self.half_done.values()):
            self.harm("the car is driven before it is whole")
        if self.relearns_owed() or not self.reads_after:
            self.harm("the car is driven before it is taught and read")

    def at_the_end(self) -> None:
        """What is still owed."""
        for id in self.off:
            self.harm(f"{id} is still off")
        for id, seat in self.turned.items():
            if seat != "tight":
                self.harm(f"{id} is only {seat}")
        for id in self.owed:
            self.harm(f"{id} is not given back")
        for (verb, thing), times in self.half_done.items():
            if times:
                self.harm(f"{verb} {thing} is owed")
        for (id, _), pieces in self.pieces.items():
            if pieces > 0:
                self.harm(f"{id} is still in")
        for id, litres in self.litres.items():
            if abs(litres) > (self.car.fluids[id].tolerance_l or 0.0) + 1e-9:
                self.harm(f"{id}: {litres} l differ")
        for id in self.drained:
            self.harm(f"{id} is empty")
        for drain, id in self.uncounted:
            self.harm(f"{id} ran out at {drain}, uncounted")
        for id in set(self.targets) - self.target_done:
            self.harm(f"{id} is not renewed")
        for what in self.relearns_owed():
            self.harm(f"{what} is not taught")
        if self.first_touch and (not self.reads_before or self.reads_before[0] > self.first_touch):
            self.harm("no read before")
        if self.first_touch and (not self.reads_after or self.reads_after[-1] < self.last_end):
            self.harm("no read after")
