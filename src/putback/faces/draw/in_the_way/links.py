"""One idea: what is in the way of what is a graph without loops; links that follow from others are not drawn.

The layers are those of a list schedule: an item stands below all that is in its way, at most `most` in a layer,
those with the longest chain below them first. Then items move to where their lines are short.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from putback.core.energy import needs_of
from putback.plan.plan import Plan

_PASSES = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Links:
    """Items in the order of the file, and for each the items that it is directly in the way of.

    `by_way` holds the pairs (item, what it is in the way of) that come from a chosen way.
    """

    items: tuple[str, ...]
    below: Mapping[str, tuple[str, ...]]
    by_way: frozenset[tuple[str, str]]

    def above(self) -> dict[str, list[str]]:
        """For each item what is directly in its way."""
        found: dict[str, list[str]] = {id: [] for id in self.items}
        for id in self.items:
            for other in self.below[id]:
                found[other].append(id)
        return found


def links(plan: Plan) -> Links:
    """The links of a plan's items, without those that follow from others (transitive reduction)."""
    inside = set(plan.items)
    ways = dict(plan.ways)
    items = tuple(id for id in plan.car.items if id in inside)
    needs = {id: [need for need in dict.fromkeys(needs_of(plan.car, id, ways)) if need in inside] for id in items}
    hidden_by = _closures(items, needs)
    below: dict[str, list[str]] = {id: [] for id in items}
    for id in items:
        far: set[str] = set().union(*(hidden_by[need] for need in needs[id]))
        for need in needs[id]:
            if need not in far:
                below[need].append(id)
    stated = {(link.item, id) for id in items for link in plan.car.items[id].needs_off}
    by_way = {(need, id) for id in items for need in needs[id] if (need, id) not in stated}
    return Links(items=items, below={id: tuple(found) for id, found in below.items()}, by_way=frozenset(by_way))


def _closures(items: Sequence[str], needs: Mapping[str, Sequence[str]]) -> dict[str, set[str]]:
    """For each item everything that is in its way, however far."""
    found: dict[str, set[str]] = {}
    for start in items:
        stack = [start]
        while stack:
            id = stack[-1]
            open_ = [need for need in needs[id] if need not in found]
            if open_:
                stack += open_
                continue
            stack.pop()
            found[id] = {far for need in needs[id] for far in (need, *found[need])}
    return found


def layers(graph: Links, most: int) -> dict[str, int]:
    """The layer of each item, 0 at the outside of the car, at most `most` items in one."""
    above = graph.above()
    depth = _depth_below(graph)
    layer: dict[str, int] = {}
    left = list(graph.items)
    at = 0
    while left:
        ready = [id for id in left if all(layer.get(other, at) < at for other in above[id])]
        ready.sort(key=lambda item: -depth[item])
        for id in ready[:most]:
            layer[id] = at
        left = [id for id in left if id not in layer]
        at += 1
    return _shortened(graph, layer, above, most)


def _depth_below(graph: Links) -> dict[str, int]:
    """Length of the longest chain below each item."""
    depth: dict[str, int] = {}
    for start in graph.items:
        stack = [start]
        while stack:
            id = stack[-1]
            open_ = [other for other in graph.below[id] if other not in depth]
            if open_:
                stack += open_
                continue
            stack.pop()
            depth[id] = 1 + max((depth[other] for other in graph.below[id]), default=0)
    return depth


def _shortened(graph: Links, layer: dict[str, int], above: Mapping[str, Sequence[str]], most: int) -> dict[str, int]:
    """Items moved one by one to the layer with the shortest lines, where there is room; down where it is all one."""
    counts: dict[int, int] = {}
    for at in layer.values():
        counts[at] = counts.get(at, 0) + 1
    for _ in range(_PASSES):
        moved = False
        for id in sorted(graph.items, key=lambda item: -layer[item]):
            low = max((layer[other] + 1 for other in above[id]), default=0)
            high = min((layer[other] - 1 for other in graph.below[id]), default=layer[id])
            best = _best_layer(
                graph, layer, above, id, [at for at in range(low, high + 1) if counts.get(at, 0) < most]
            )
            if best != layer[id]:
                counts[layer[id]] -= 1
                counts[best] = counts.get(best, 0) + 1
                layer[id] = best
                moved = True
        if not moved:
            break
    used = sorted(set(layer.values()))
    return {id: used.index(at) for id, at in layer.items()}


def _best_layer(
    graph: Links, layer: Mapping[str, int], above: Mapping[str, Sequence[str]], id: str, free: Sequence[int]
) -> int:
    """The free layer where the lines from and to an item pass the fewest layers; the lowest of equals."""

    def passed(at: int) -> int:
        own = max((layer[other] for other in graph.below[id]), default=at) - at
        ends = (
            max([at, *(layer[other] for other in graph.below[top] if other != id)]) - layer[top] for top in above[id]
        )
        return own + sum(ends)

    best = layer[id]
    for at in free:
        if passed(at) < passed(best) or (passed(at) == passed(best) and at > best):
            best = at
    return best
