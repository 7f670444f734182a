"""One idea: a node can come off when all its needs can, some way of each of its joints can, and what it brings can.

"Can come off" is built from the outside of the car inwards (the least set), so a circle of needs never lifts
itself; "what it brings" only strikes nodes out (the greatest set), because bringing is no order and may be
circular. Any targets whose nodes are all alive have a legal choice of ways: each joint's first way to come
alive.
"""

from collections.abc import Collection, Iterable

from putback.plan.access.graph import circle_in, knots
from putback.plan.access.local import Reach
from putback.plan.access.problem import AccessProblem, DeadChoice, DeadWay, Unreachable, WhyDead


def order_knots(problem: AccessProblem, reach: Reach) -> list[frozenset[int]]:
    """Knots of needs and allowed ways alone (brings left out): sets of nodes that may need each other in a circle."""
    found: list[frozenset[int]] = []
    for knot in reach.knots:
        if len(knot) == 1:
            if knot[0] in order_arcs(problem, reach, knot[0]):
                found.append(frozenset(knot))
            continue
        inside = set(knot)

        def successors(node: int, inside: set[int] = inside) -> list[int]:
            return [other for other in order_arcs(problem, reach, node) if other in inside]

        parts = knots(len(problem.needs), knot, successors)
        found.extend(frozenset(part) for part in parts if len(part) > 1 or part[0] in successors(part[0]))
    return found


def order_arcs(problem: AccessProblem, reach: Reach, node: int) -> tuple[int, ...]:
    """All that a node may need first: its needs and those of every allowed way."""
    if node not in reach.owned:
        return problem.needs[node]
    choices = (problem.choices[number] for number in reach.owned[node])
    return problem.needs[node] + tuple(
        need for choice in choices for way in choice.ways if way.allowed for need in way.needs
    )


def alive_nodes(
    problem: AccessProblem, reach: Reach, circles: Collection[frozenset[int]], given: Iterable[int] = ()
) -> frozenset[int]:
    """The nodes of the reach that can come off.

    Args:
        problem: the car.
        reach: of the targets.
        circles: what `order_knots` found.
        given: nodes taken for alive whatever they need (used to tell why something is dead).
    """
    nodes = [node for knot in reach.knots for node in knot]
    wayless = any(not any(way.allowed for way in problem.choices[number].ways) for number in _choices(reach, nodes))
    if not circles and not wayless and problem.dead.isdisjoint(nodes):
        return frozenset(nodes)
    left = set(nodes) - problem.dead
    while True:
        lifted = _lifted(problem, reach, left, frozenset(given))
        struck = {node for node in lifted if not lifted.issuperset(problem.brings[node])}
        if not struck:
            return frozenset(lifted)
        left = lifted - struck


def _choices(reach: Reach, nodes: Iterable[int]) -> list[int]:
    return [number for node in nodes for number in reach.owned.get(node, ())]


def _lifted(problem: AccessProblem, reach: Reach, left: set[int], given: frozenset[int]) -> set[int]:
    """The least set within `left` whose members have all needs, and a way for each choice, in the set."""
    lifted: set[int] = set()
    asking: dict[int, list[int]] = {}
    waiting = [node for knot in reach.knots for node in knot if node in left]
    while waiting:
        node = waiting.pop()
        if node in lifted or node not in left:
            continue
        missing = -1 if node in given else _first_missing(problem, reach, node, lifted)
        if missing < 0:
            lifted.add(node)
            waiting.extend(asking.pop(node, ()))
        else:
            _ask(problem, reach, node, missing, lifted, asking)
    return lifted


def _first_missing(problem: AccessProblem, reach: Reach, node: int, lifted: set[int]) -> int:
    """-1 when nothing is missing; else 0 for a need, k + 1 for the k-th choice of the node."""
    if not lifted.issuperset(problem.needs[node]):
        return 0
    for position, number in enumerate(reach.owned.get(node, ())):
        if not any(way.allowed and lifted.issuperset(way.needs) for way in problem.choices[number].ways):
            return position + 1
    return -1


def _ask(
    problem: AccessProblem, reach: Reach, node: int, missing: int, lifted: set[int], asking: dict[int, list[int]]
) -> None:
    """Have the node looked at again when one of what it misses is lifted."""
    if missing == 0:
        first = next(need for need in problem.needs[node] if need not in lifted)
        asking.setdefault(first, []).append(node)
        return
    for way in problem.choices[reach.owned[node][missing - 1]].ways:
        first_missing = next((need for need in way.needs if need not in lifted), None)
        if way.allowed and first_missing is not None:
            asking.setdefault(first_missing, []).append(node)


def why_unreachable(
    problem: AccessProblem,
    reach: Reach,
    circles: Collection[frozenset[int]],
    alive: frozenset[int],
    targets: Iterable[int],
) -> Unreachable:
    """What stands in the way of the targets that are not alive, followed down to where it begins."""
    lost = tuple(target for target in targets if target not in alive)
    seen = set(lost)
    waiting = list(lost)
    dead_choices: list[DeadChoice] = []
    while waiting:
        node = waiting.pop()
        if node in problem.dead:
            continue
        below = [other for other in problem.needs[node] + problem.brings[node] if other not in alive]
        for number in reach.owned.get(node, ()):
            reasons = _dead_ways(problem, reach, circles, alive, number)
            if reasons is not None:
                dead_choices.append(DeadChoice(choice=number, owner=node, ways=reasons))
                below.extend(reason.node for reason in reasons if reason.node is not None)
        fresh = [other for other in dict.fromkeys(below) if other not in seen]
        seen.update(fresh)
        waiting.extend(fresh)
    return Unreachable(
        targets=lost,
        choices=tuple(sorted(dead_choices, key=lambda dead: dead.choice)),
        dead=tuple(sorted(seen & problem.dead)),
        circles=_plain_circles(problem, circles, seen),
    )


def _dead_ways(
    problem: AccessProblem, reach: Reach, circles: Collection[frozenset[int]], alive: frozenset[int], number: int
) -> tuple[DeadWay, ...] | None:
    """Why each way of a choice is dead; None when one is alive."""
    choice = problem.choices[number]
    if any(way.allowed and alive.issuperset(way.needs) for way in choice.ways):
        return None
    if_owner = alive_nodes(problem, reach, circles, given=[choice.owner])
    reasons: list[DeadWay] = []
    for position, way in enumerate(choice.ways):
        if not way.allowed:
            reasons.append(DeadWay(way=position, why=WhyDead.NOT_ALLOWED))
            continue
        node = next((need for need in way.needs if need not in if_owner), None)
        if node is not None:
            reasons.append(DeadWay(way=position, why=WhyDead.NEEDS_UNREACHABLE, node=node))
        else:
            first = next(need for need in way.needs if need not in alive)
            reasons.append(DeadWay(way=position, why=WhyDead.CIRCLE, node=first))
    return tuple(reasons)


def _plain_circles(
    problem: AccessProblem, circles: Collection[frozenset[int]], seen: set[int]
) -> tuple[tuple[int, ...], ...]:
    """Circles of plain needs among the nodes seen, one from each knot that has one."""
    found: list[tuple[int, ...]] = []
    for knot in circles:
        inside = knot & seen

        def successors(node: int, inside: frozenset[int] = inside) -> list[int]:
            return [need for need in problem.needs[node] if need in inside]

        if circle := circle_in(sorted(inside), successors):
            found.append(circle)
    return tuple(sorted(found))
