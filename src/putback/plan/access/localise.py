"""One idea: before any search, the car shrinks to the live part below the targets, or the reason why it cannot."""

from collections.abc import Iterable, Sequence

from putback.plan.access.alive import alive_nodes, order_knots, why_unreachable
from putback.plan.access.local import LiveChoice, LiveWay, Local, Reach, grid_of, reach_of, to_units
from putback.plan.access.problem import AccessProblem, Unreachable, Way


def localise(problem: AccessProblem, targets: Sequence[int]) -> Local | Unreachable:
    """The live part of the car below the targets, or why some target cannot be reached.

    Args:
        problem: the car.
        targets: node numbers, once each.
    """
    reach = reach_of(problem, targets)
    circles = order_knots(problem, reach)
    alive = alive_nodes(problem, reach, circles)
    if not alive.issuperset(targets):
        return why_unreachable(problem, reach, circles, alive, targets)
    return _renumbered(problem, targets, reach, circles, alive)


def _renumbered(
    problem: AccessProblem,
    targets: Sequence[int],
    reach: Reach,
    circles: Iterable[frozenset[int]],
    alive: frozenset[int],
) -> Local:
    kept = [[node for node in knot if node in alive] for knot in reach.knots]
    nodes = [node for knot in kept for node in knot]
    local = {node: number for number, node in enumerate(nodes)}
    place = local.__getitem__
    needs = [tuple(map(place, problem.needs[node])) for node in nodes]
    brings = [tuple(map(place, problem.brings[node])) for node in nodes]
    owned = [(number, node) for node in nodes for number in reach.owned.get(node, ())]
    live = {number: _live_ways(problem, number, alive) for number, _ in owned}
    scale = grid_of(
        {problem.minutes[node] for node in nodes} | {way.minutes for ways in live.values() for _, way in ways}
    )
    units = [to_units(problem.minutes[node], scale) for node in nodes]
    knot_of = {node: number for number, knot in enumerate(circles) for node in knot}
    choices: list[LiveChoice] = []
    only: list[tuple[int, int, int]] = []
    for number, node in owned:
        ways = live[number]
        if len(ways) == 1:
            position, way = ways[0]
            only.append((number, position, local[node]))
            needs[local[node]] += tuple(map(place, way.needs))
            units[local[node]] += to_units(way.minutes, scale)
            continue
        knot = knot_of.get(node, -1)
        live_ways = tuple(
            LiveWay(
                number=position,
                units=to_units(way.minutes, scale),
                needs=tuple(map(place, way.needs)),
                knot=knot if any(knot_of.get(need) == knot for need in way.needs) else -1,
            )
            for position, way in ways
        )
        choices.append(LiveChoice(number=number, owner=local[node], ways=live_ways))
    return Local(
        problem=problem,
        targets=tuple(map(place, targets)),
        nodes=tuple(nodes),
        units=tuple(units),
        scale=scale,
        needs=tuple(needs),
        brings=tuple(brings),
        choices=tuple(choices),
        only=tuple(only),
        knotted=tuple(tuple(map(place, knot)) for knot in kept if len(knot) > 1),
    )


def _live_ways(problem: AccessProblem, number: int, alive: frozenset[int]) -> list[tuple[int, Way]]:
    return [
        (position, way)
        for position, way in enumerate(problem.choices[number].ways)
        if way.allowed and alive.issuperset(way.needs)
    ]


def must_masks(local: Local) -> list[int]:
    """For each node, what is in every work that holds it: a set of local numbers as bits, the node included.

    Needs and brings join as they are; of a choice, what all its ways have in common. In knots the sets grow
    until they rest, so they hold nothing that is not forced (they may miss something, which only costs time).
    """
    owned: dict[int, list[LiveChoice]] = {}
    for choice in local.choices:
        owned.setdefault(choice.owner, []).append(choice)
    masks = [0] * len(local.nodes)
    knot_at = {min(knot): knot for knot in local.knotted}
    node = 0
    while node < len(masks):
        knot = knot_at.get(node)
        if knot is None:
            masks[node] = _must(local, node, owned, masks)
            node += 1
            continue
        resting = False
        while not resting:
            resting = True
            for member in knot:
                mask = _must(local, member, owned, masks)
                resting = resting and mask == masks[member]
                masks[member] = mask
        node += len(knot)
    return masks


def _must(local: Local, node: int, owned: dict[int, list[LiveChoice]], masks: list[int]) -> int:
    mask = masks[node] | 1 << node
    for other in local.needs[node]:
        mask |= masks[other]
    for other in local.brings[node]:
        mask |= masks[other]
    for choice in owned.get(node, ()):
        common = -1
        for way in choice.ways:
            common &= way_mask(way, masks)
        mask |= common
    return mask


def way_mask(way: LiveWay, masks: Sequence[int]) -> int:
    """What is in every work in which this way is taken, beyond its owner."""
    mask = 0
    for need in way.needs:
        mask |= masks[need]
    return mask
