"""One idea: an answer that cannot say why is not believed.

For every item of the work the shortest chain of reasons to a target; for every item left on, why it may stay.
"""

from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from putback.core.car import Car
from putback.core.energy import needs_of
from putback.plan.plan import Alternative
from putback.plan.work import CarGraph, Work


def chains(graph: CarGraph, work: Work, targets: Sequence[str]) -> Mapping[str, tuple[str, ...]]:
    """For every item of the work the shortest chain of reasons from it to a target, both included.

    Links are items, and the energies or fluids for whose sake an item joins.
    """
    cause: dict[str, str | None] = dict.fromkeys(targets)
    left = deque(targets)
    while left:
        thing = left.popleft()
        for other in _asked_for(graph, work, thing):
            if other not in cause:
                cause[other] = thing
                left.append(other)
    return MappingProxyType({id: _chain(cause, id) for id in work.items})


def _chain(cause: Mapping[str, str | None], id: str) -> tuple[str, ...]:
    chain = [id]
    while (then := cause.get(chain[-1])) is not None:
        chain.append(then)
    return tuple(chain)


def _asked_for(graph: CarGraph, work: Work, thing: str) -> Iterator[str]:
    """What a thing of the work asks for directly, each thing named once: items first."""
    for number in graph.numbers_named[thing]:
        for arc in (*graph.problem.needs[number], *graph.problem.brings[number]):
            other = graph.nodes[arc][1]
            if other != thing:
                yield other
    if thing in graph.car.items:
        yield from needs_of(graph.car, thing, work.ways)


def left_on(graph: CarGraph, work: Work, alternatives: Sequence[Alternative]) -> Mapping[str, str]:
    """For every item left on, why it may stay. The first alternative is the answer itself."""
    dearer: dict[str, Alternative] = {}
    for other in alternatives[1:]:
        for id in other.items:
            dearer.setdefault(id, other)
    reasons = _Reasons(
        graph=graph,
        work=work,
        dearer=dearer,
        asked_by=_asked_by_ways(graph, frozenset(work.items)),
        hides=_hides(graph.car),
    )
    in_work = frozenset(work.items)
    return MappingProxyType({id: reasons.why_on(id) for id in graph.car.items if id not in in_work})


@dataclass(frozen=True, slots=True, kw_only=True)
class _Reasons:
    """Why an item may stay: dearer alternatives by item, joints whose ways ask for it, what it hides directly."""

    graph: CarGraph
    work: Work
    dearer: Mapping[str, Alternative]
    asked_by: Mapping[str, list[str]]
    hides: Mapping[str, list[str]]

    def why_on(self, id: str) -> str:
        """Why one item may stay on."""
        if id in self.dearer:
            return self._dearer(self.dearer[id])
        if id in self.asked_by:
            return f"only ways not taken ask for it ({', '.join(self.asked_by[id])})"
        hidden = self.hides.get(id, [])
        if hidden:
            more = f" and {len(hidden) - 3} more" if len(hidden) > 3 else ""
            return f"it hides only what stays on: {', '.join(hidden[:3])}{more}"
        item = self.graph.car.items[id]
        if item.renew_with_items or item.renew_with_fluids:
            return "what it is renewed with stays on"
        return "nothing in the work lies behind it"

    def _dearer(self, other: Alternative) -> str:
        ways = ", ".join(f"{joint} {way}" for joint, way in other.ways.items() if self.work.ways.get(joint) != way)
        more = other.minutes - self.work.minutes
        return f"only another way asks for it ({ways}): {f'{more:g} min dearer' if more > 0 else 'no quicker'}"


def _asked_by_ways(graph: CarGraph, in_work: frozenset[str]) -> Mapping[str, list[str]]:
    """For each item, the joints of the work of which some way asks for it directly."""
    found: dict[str, list[str]] = {}
    for joint in graph.choosing:
        if joint.item in in_work:
            for id in dict.fromkeys(link.item for way in joint.ways for link in way.needs_off):
                found.setdefault(id, []).append(joint.id)
    return found


def _hides(car: Car) -> Mapping[str, list[str]]:
    """For each item, the names of those that need it off directly."""
    found: dict[str, list[str]] = {}
    for item in car.items.values():
        for link in item.needs_off:
            found.setdefault(link.item, []).append(item.name)
    return found
