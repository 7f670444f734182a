"""One idea: an answer that cannot say why is not believed.

For every item of the work the shortest chain of reasons to a target; for every item left on, why it may stay.
"""

from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from putback.core.car import Joint
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
    in_work = frozenset(work.items)
    return MappingProxyType(
        {id: _why_on(graph, work, id, dearer.get(id)) for id in graph.car.items if id not in in_work}
    )


def _why_on(graph: CarGraph, work: Work, id: str, dearer: Alternative | None) -> str:
    car = graph.car
    if dearer is not None:
        other = ", ".join(f"{joint} {way}" for joint, way in dearer.ways.items() if work.ways.get(joint) != way)
        more = dearer.minutes - work.minutes
        return f"only another way asks for it ({other}): {f'{more:g} min dearer' if more > 0 else 'no quicker'}"
    passed = [joint.id for joint in graph.choosing if joint.item in work.items and _asks(joint, id)]
    if passed:
        return f"only ways not taken ask for it ({', '.join(passed)})"
    hides = [other.name for other in car.items.values() if id in {link.item for link in other.needs_off}]
    if hides:
        more_of_them = f" and {len(hides) - 3} more" if len(hides) > 3 else ""
        return f"it hides only what stays on: {', '.join(hides[:3])}{more_of_them}"
    item = car.items[id]
    if item.renew_with_items or item.renew_with_fluids:
        return "what it is renewed with stays on"
    return "nothing in the work lies behind it"


def _asks(joint: Joint, id: str) -> bool:
    """Whether some way of this joint asks for the item directly."""
    return any(id in {link.item for link in way.needs_off} for way in joint.ways)
