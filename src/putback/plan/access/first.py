"""One idea: a legal choice of ways is always at hand: for each joint, the first way that comes alive from outside."""

from putback.plan.access.local import LiveChoice, Local


def first_ways(local: Local) -> dict[int, int]:
    """For every choice, the first way whose needs can all be off before its owner: together they hold no circle."""
    owned: dict[int, list[LiveChoice]] = {}
    for choice in local.choices:
        owned.setdefault(choice.owner, []).append(choice)
    lifted: set[int] = set()
    ways: dict[int, int] = {}
    waiting = list(range(len(local.nodes)))
    while waiting:
        later: list[int] = []
        for node in waiting:
            taken = _taken(owned.get(node, []), lifted) if lifted.issuperset(local.needs[node]) else None
            if taken is None:
                later.append(node)
            else:
                lifted.add(node)
                ways.update(taken)
        if len(later) == len(waiting):
            raise AssertionError("a live part has a node that cannot come off")
        waiting = later
    return ways


def _taken(choices: list[LiveChoice], lifted: set[int]) -> dict[int, int] | None:
    """The first way of each choice whose needs are lifted; None when a choice has none."""
    taken: dict[int, int] = {}
    for choice in choices:
        way = next((way for way in choice.ways if lifted.issuperset(way.needs)), None)
        if way is None:
            return None
        taken[choice.number] = way.number
    return taken
