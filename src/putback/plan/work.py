"""One idea: a car file becomes numbered nodes and arcs, and the least work comes back as ids.

Nodes are items, and for each energy its isolation and its proof, and for each fluid its draining. What must come
first is an arc of order; what merely joins the work (a gasket with its housing) is an arc that brings.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

from putback.core.car import Car, Fluid, Item, Joint
from putback.core.energy import Demand, demands
from putback.plan.access import AccessAnswer, AccessProblem, Choice, Way

Node = tuple[str, str]

ITEM, ISOLATED, PROVEN, DRAINED = "item", "isolated", "proven", "drained"


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """What a legal choice of ways takes off: item ids in the file's order, chosen way of each joint."""

    items: tuple[str, ...]
    ways: Mapping[str, str]
    energies: tuple[str, ...]
    fluids: tuple[str, ...]
    minutes: float
    bound: float
    proved: bool
    interrupted: bool = False


@dataclass(frozen=True)
class CarGraph:
    """The access problem of a car, and the way back from numbers to ids.

    `without` are tools that are not there: ways and drives that need one are not allowed.
    """

    car: Car
    without: frozenset[str] = frozenset()

    @cached_property
    def nodes(self) -> tuple[Node, ...]:
        """Every node, numbered by its place: items first, in the file's order."""
        items = [(ITEM, id) for id in self.car.items]
        energies = [(state, id) for id in self.car.energies for state in (ISOLATED, PROVEN)]
        return (*items, *energies, *((DRAINED, id) for id in self.car.fluids))

    @cached_property
    def number(self) -> Mapping[Node, int]:
        """The number of each node."""
        return MappingProxyType({node: number for number, node in enumerate(self.nodes)})

    @cached_property
    def numbers_named(self) -> Mapping[str, tuple[int, ...]]:
        """The numbers of all nodes of one item, energy or fluid."""
        found: dict[str, list[int]] = {}
        for number, (_, id) in enumerate(self.nodes):
            found.setdefault(id, []).append(number)
        return MappingProxyType({id: tuple(numbers) for id, numbers in found.items()})

    @cached_property
    def choosing(self) -> tuple[Joint, ...]:
        """The joints that can be reached in more than one manner, by choice number."""
        return tuple(joint for joint in self.car.joints() if joint.ways)

    @cached_property
    def home_of_joint(self) -> Mapping[str, str]:
        """The item of each joint."""
        return MappingProxyType({joint.id: joint.item for joint in self.car.joints()})

    @cached_property
    def problem(self) -> AccessProblem:
        """The numbered problem."""
        needs: list[tuple[int, ...]] = []
        brings: list[tuple[int, ...]] = []
        for node in self.nodes:
            order, join = _ARCS[node[0]](self, node[1])
            needs.append(self._numbers(order))
            brings.append(self._numbers(join))
        minutes = [self.car.items[id].minutes if kind == ITEM else 0.0 for kind, id in self.nodes]
        return AccessProblem(
            minutes=tuple(minutes),
            needs=tuple(needs),
            brings=tuple(brings),
            choices=tuple(self._choice(joint) for joint in self.choosing),
            dead=frozenset(self.number[ITEM, id] for id in self.car.items if self.missing_drives(id)),
        )

    def missing_drives(self, item: str) -> tuple[Joint, ...]:
        """The item's directly reached joints whose drive is among the tools that are not there."""
        joints = self.car.items[item].joints
        return tuple(joint for joint in joints if not joint.ways and not self.without.isdisjoint(joint.tools()))

    def numbers_of(self, items: Sequence[str]) -> tuple[int, ...]:
        """The numbers of some items."""
        return tuple(self.number[ITEM, id] for id in items)

    def work_of(self, answer: AccessAnswer) -> Work:
        """An answer in ids."""
        named = [self.nodes[number] for number in sorted(answer.work)]
        ways = {}
        for choice, way in answer.chosen:
            joint = self.choosing[choice]
            ways[joint.id] = joint.ways[way].id
        return Work(
            items=tuple(id for kind, id in named if kind == ITEM),
            ways=MappingProxyType(ways),
            energies=tuple(id for kind, id in named if kind == ISOLATED),
            fluids=tuple(id for kind, id in named if kind == DRAINED),
            minutes=answer.minutes,
            bound=answer.bound,
            proved=answer.proved,
            interrupted=answer.interrupted,
        )

    def _numbers(self, nodes: Iterator[Node]) -> tuple[int, ...]:
        return tuple(sorted({self.number[node] for node in nodes}))

    def _choice(self, joint: Joint) -> Choice:
        ways = tuple(
            Way(
                minutes=way.minutes,
                needs=tuple(sorted({self.number[ITEM, link.item] for link in way.needs_off})),
                allowed=self.without.isdisjoint(joint.tools(way)),
            )
            for way in joint.ways
        )
        return Choice(owner=self.number[ITEM, joint.item], ways=ways)

    # arcs of each kind of node: (what must come first, what joins)

    def _item_arcs(self, id: str) -> tuple[Iterator[Node], Iterator[Node]]:
        return self._item_needs(self.car.items[id]), self._item_brings(self.car.items[id])

    def _item_needs(self, item: Item) -> Iterator[Node]:
        for link in item.needs_off:
            yield ITEM, link.item
        if item.renews_joint and self.home_of_joint[item.renews_joint] != item.id:
            yield ITEM, self.home_of_joint[item.renews_joint]
        for demand in self._demands[item.id]:
            yield (PROVEN if demand.proven else ISOLATED), demand.energy
        for fluid in self._opened_fluids[item.id]:
            if self.car.drained_at(fluid) != item.id:
                yield DRAINED, fluid.id

    def _item_brings(self, item: Item) -> Iterator[Node]:
        for energy in self.car.energies_of(item):
            yield PROVEN, energy
        for fluid in self._opened_fluids[item.id]:
            yield DRAINED, fluid.id
        for id in self._renewals_of_item[item.id]:
            yield ITEM, id

    def _isolated_arcs(self, id: str) -> tuple[Iterator[Node], Iterator[Node]]:
        energy = self.car.energies[id]
        order = [(ITEM, energy.item)] if energy.item else []
        order += [(PROVEN, first) for first in energy.after]
        return iter(order), iter([(PROVEN, id), *((PROVEN, other) for other in energy.joined)])

    def _proven_arcs(self, id: str) -> tuple[Iterator[Node], Iterator[Node]]:
        proof = self.car.energies[id].proof
        return iter([(ISOLATED, id), *((ITEM, item) for item in (proof.reach if proof else ()))]), iter(())

    def _drained_arcs(self, id: str) -> tuple[Iterator[Node], Iterator[Node]]:
        fluid = self.car.fluids[id]
        drained_at = self.car.drained_at(fluid)
        order: list[Node] = [(ITEM, drained_at)] if drained_at else []
        if fluid.energy:
            order.append((PROVEN, fluid.energy))
        renewals = [(ITEM, item.id) for item in self.car.items.values() if id in item.renew_with_fluids]
        return iter(order), iter(renewals)

    @cached_property
    def _demands(self) -> Mapping[str, tuple[Demand, ...]]:
        return demands(self.car)

    @cached_property
    def _opened_fluids(self) -> Mapping[str, tuple[Fluid, ...]]:
        """The fluids that run out when an item is opened: those it opens, and those it is the drain of."""
        found: dict[str, list[Fluid]] = {id: [] for id in self.car.items}
        for fluid in self.car.fluids.values():
            drain = self.car.drained_at(fluid)
            for id in dict.fromkeys([*fluid.opened_by, *([drain] if drain else [])]):
                found[id].append(fluid)
        return {id: tuple(fluids) for id, fluids in found.items()}

    @cached_property
    def _renewals_of_item(self) -> Mapping[str, tuple[str, ...]]:
        renewals: dict[str, list[str]] = {id: [] for id in self.car.items}
        for item in self.car.items.values():
            for host in item.renew_with_items:
                renewals[host].append(item.id)
        return {id: tuple(found) for id, found in renewals.items()}


_ARCS = MappingProxyType(
    {
        ITEM: CarGraph._item_arcs,
        ISOLATED: CarGraph._isolated_arcs,
        PROVEN: CarGraph._proven_arcs,
        DRAINED: CarGraph._drained_arcs,
    }
)
