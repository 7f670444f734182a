"""One idea: the bench holds the state of one job as a judge sees it: energies, fluids and guards, and what went wrong.

Written straight from the contract; it shares no code with the rules, the job state or the plan.
"""

from collections import Counter
from collections.abc import Sequence

from core.contract import Contract
from putback.core.car import Car, Energy, Fluid, Guard
from putback.core.operations import Operation, Verb


class Bench:
    """The state of one job, and what has gone wrong so far."""

    def __init__(self, car: Car, operations: Sequence[Operation], targets: Sequence[str]) -> None:
        self.car = car
        self.operations = operations
        self.targets = targets
        self.asks = Contract(car, operations)
        self.found: list[str] = []
        self.now = 0
        self.off: dict[str, Verb] = {}
        self.turned: dict[str, str] = {}
        self.way_taken: dict[str, str | None] = {}
        self.came_out: dict[str, int] = {}
        self.new: set[str] = set()
        self.target_done: set[str] = set()
        self.turned_by_angle: set[str] = set()
        self.owed: set[str] = set()
        self.dead: dict[str, str] = {}
        self.once_proven: set[str] = set()
        self.ticked: set[str] = set()
        self.last_taken: dict[str, int] = {}
        self.waited: list[tuple[int, float, str, str | None]] = []
        self.drained: set[str] = set()
        self.litres: dict[str, float] = {}
        self.pieces: Counter[tuple[str, str]] = Counter()
        self.half_done: Counter[tuple[Verb, str]] = Counter()
        self.plugged: set[tuple[str, str]] = set()
        self.uncounted: set[tuple[str, str]] = set()
        self.lies: dict[str, tuple[str, str, str, float]] = {}
        self.last_return: dict[str, int] = {}
        self.taught: dict[str, int] = {}
        self.reads_before: list[int] = []
        self.reads_after: list[int] = []
        self.first_touch = 0
        self.last_end = 0

    def harm(self, why: str) -> None:
        """Write one harm down."""
        self.found.append(f"{self.now}: {why}")

    def operate(self, energy: Energy) -> None:
        """What must precede the making safe of an energy."""
        if energy.before_it and energy.id not in self.ticked:
            self.harm(f"{energy.id} goes off unticked")
        for other in sorted(self.asks.needed):
            if self.asks.precedes(other, energy.id) and self.dead.get(other) != "proven":
                self.harm(f"{energy.id} goes off before {other} is gone")

    def give_back(self, energy: Energy) -> None:
        """What must be so before an energy comes back."""
        for id in sorted(self.asks.touched):
            item = self.car.items[id]
            if energy.id not in self.asks.asked_by_item[id]:
                continue
            loose = any(self.turned.get(joint.id, "tight") != "tight" for joint in item.joints)
            guarded = any(self.pieces[guard, id] for guard in self.car.guards if self.is_plug_or_support(guard))
            if id in self.off or loose or guarded:
                self.harm(f"{energy.id} comes back while {id} is open")
        for fluid in self.car.fluids.values():
            if fluid.energy == energy.id and fluid.id in self.drained:
                self.harm(f"{energy.id} comes back while {fluid.id} is empty")
        for other in sorted(self.asks.needed & self.owed):
            if self.asks.restored_before(other, energy.id):
                self.harm(f"{energy.id} comes back before {other}")

    def energy(self, op: Operation, energy: Energy) -> None:
        """Isolate, wait, prove, restore, tick."""
        in_place = energy.item is not None and energy.item not in self.off
        if op.verb is Verb.NOTE:
            self.ticked.add(energy.id)
        elif op.verb is Verb.WAIT:
            self.waited.append((self.now, op.minutes, energy.id, op.item))
        elif op.verb is Verb.ISOLATE:
            if energy.id in self.owed or in_place:
                self.harm(f"{energy.id} is isolated in name only")
            self.operate(energy)
            self.owed.add(energy.id)
            self.dead[energy.id] = "isolated"
        elif op.verb is Verb.PROVE_DEAD:
            self.prove(energy)
        else:
            if energy.id not in self.owed or (energy.item and not in_place):
                self.harm(f"{energy.id} is given back in name only")
            self.give_back(energy)
            self.owed.discard(energy.id)
            self.dead.pop(energy.id, None)
            self.ticked.discard(energy.id)
            self.last_return[energy.id] = self.now

    def prove(self, energy: Energy) -> None:
        if energy.id not in self.dead:
            self.harm(f"{energy.id} is proven without being isolated")
        for id in energy.proof.reach if energy.proof else ():
            if id not in self.off:
                self.harm(f"{energy.id} is proven while {id} covers the points")
        if energy.wait:
            begun = self.last_taken.get(energy.wait.start, self.now)
            own = (energy.id, energy.wait.start)
            since = [wait[1] for wait in self.waited if wait[0] > begun and (wait[2], wait[3] or own[1]) == own]
            sourced = energy.wait.minutes if energy.wait.source else None
            if not since:
                self.harm(f"{energy.id} is proven without its wait")
            elif sourced is not None and max(since) < sourced:
                self.harm(f"{energy.id} is proven after {max(since)} min")
        self.dead[energy.id] = "proven"
        self.once_proven.add(energy.id)

    def fluid(self, op: Operation, fluid: Fluid) -> None:
        seals = [item.id for item in self.car.items.values() if fluid.id in item.renew_with_fluids]
        open_joint = fluid.drain_joint is not None and self.turned.get(fluid.drain_joint, "tight") != "tight"
        open_item = fluid.drain_item is not None and fluid.drain_item in self.off
        if op.verb is Verb.DRAIN:
            if (fluid.drain_joint or fluid.drain_item) and not (open_joint or open_item):
                self.harm(f"{fluid.id} is drained through a closed drain")
            if fluid.energy and self.dead.get(fluid.energy) != "proven":
                self.harm(f"{fluid.id} is drained while {fluid.energy} is there")
            self.drained.add(fluid.id)
            self.uncounted = {place for place in self.uncounted if place[1] != fluid.id}
            self.litres[fluid.id] = self.litres.get(fluid.id, 0.0) + (op.litres or 0.0)
            self.new.difference_update(seals)
            return
        if open_joint or open_item or any(id in self.off for id in fluid.opened_by):
            self.harm(f"{fluid.id} is filled while it is open")
        if any(id not in self.new for id in seals):
            self.harm(f"{fluid.id} is filled with an old seal")
        self.drained.discard(fluid.id)
        self.litres[fluid.id] = self.litres.get(fluid.id, 0.0) - (op.litres or 0.0)

    def runs_out(self, drain: str, fluids: Sequence[Fluid]) -> None:
        """An open drain lets a loop out; until that is said, it is uncounted."""
        self.uncounted |= {(drain, fluid.id) for fluid in fluids if fluid.id not in self.drained}

    def close_drain(self, drain: str) -> None:
        """A drain is closed: what ran out of it has been counted."""
        for place in sorted(self.uncounted):
            if place[0] == drain:
                self.harm(f"{place[1]} ran out at {drain}, uncounted")
                self.uncounted.discard(place)

    def is_plug_or_support(self, guard: str) -> bool:
        return bool(self.car.guards[guard].closes or self.car.guards[guard].support_for)

    def in_all(self, guard: Guard) -> int:
        return sum(pieces for (id, _), pieces in self.pieces.items() if id == guard.id)

    def guard(self, op: Operation, guard: Guard) -> None:
        place = (guard.id, op.item or "")
        if guard.closes and op.item not in guard.closes:
            self.harm(f"{guard.id} has no place at {op.item}")
        if op.count != guard.closes.get(op.item or "", guard.pieces or 1):
            self.harm(f"{guard.id}: {op.count} counted")
        if op.verb is Verb.GUARD:
            port = op.item if guard.closes else guard.in_after
            if not guard.support_for and port in self.car.items and port not in self.off:
                self.harm(f"{guard.id} goes in while {port} is in place")
            self.pieces[place] += op.count or 0
            if self.pieces[place] >= guard.closes.get(place[1], 0):
                self.plugged.add(place)
            return
        self.pieces[place] -= op.count or 0
        if self.pieces[place] < 0:
            self.harm(f"{guard.id} comes out where none went in")
        if guard.support_for:
            item = self.car.items[guard.support_for]
            if item.id in self.off or any(self.turned.get(joint.id, "tight") != "tight" for joint in item.joints):
                self.harm(f"{item.id} hangs without {guard.id}")

    def open_ports(self, hand_on: str) -> None:
        """While another item is handled, every open port is plugged."""
        for id in self.off:
            for guard, wanted in self.asks.guards_of_port.get(id, []):
                if id != hand_on and self.pieces[guard, id] < wanted:
                    self.harm(f"the port of {id} is open")

    def standing_guards(self, hand_on: str) -> None:
        """A guard that stands for a while is in for all of that while."""
        for guard in self.car.guards.values():
            if guard.closes or guard.support_for:
                continue
            since = guard.in_after or "start"
            stands = since == "start" or (since in self.off and since != hand_on)
            until = guard.out_before or (since if since != "start" else "end")
            returned = self.last_return.get(until, 0) > self.last_taken.get(since, 0)
            stands = stands and until != hand_on and not returned
            if stands and self.in_all(guard) <= 0:
                self.harm(f"{guard.id} does not stand")
