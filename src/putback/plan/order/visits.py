"""One idea: the least number of visits to a tool is the longest chain of "needs it, then another, then it again".

For one tool against all others this count is exact, and it is read off the steps left: the set of steps from which
a chain with at least k visits starts is worked out once, and the tool has at least k visits to come when one of
these steps is left. The same for each zone and each place. Every visit belongs to one tool, so the counts add up.
"""

from collections.abc import Sequence
from dataclasses import dataclass

NONE = -1
"""The label of a position nobody has taken up yet."""

Sets = tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Chains:
    """What comes before and after each node, however far; a set is an int with one bit for each node."""

    earlier: tuple[int, ...]
    later: tuple[int, ...]

    def leading_to(self, nodes: Sequence[int]) -> int:
        """The nodes, and all that come before one of them."""
        found = 0
        for node in nodes:
            found |= self.earlier[node] | 1 << node
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Visits:
    """The sets of steps that stand for visits to come.

    Attributes:
        outside: outside[label] = the sets while somebody is at another label; a set that is touched by the steps
            left means one visit more. Each set holds the one after it.
        inside: the same while at this label: a first visit that only goes on is not counted.
        sets: sets[label] = all sets that count while at this label; sets[NONE] = those at the very start.
    """

    outside: dict[int, Sets]
    inside: dict[int, Sets]
    sets: dict[int, Sets]

    def count(self, left: int, at: int) -> int:
        """Visits that must still begin, while the steps `left` are to be done and somebody is at label `at`."""
        return sum([1 for one in self.sets.get(at, self.sets[NONE]) if left & one])


def visits_of(label: Sequence[int], chains: Chains, nodes: Sequence[int]) -> Visits:
    """Count visits along chains.

    Args:
        label: label[node].
        chains: what comes before and after each node.
        nodes: the nodes to count.
    """
    at: dict[int, list[int]] = {}
    for node in nodes:
        at.setdefault(label[node], []).append(node)
    outside, inside = {}, {}
    for one in sorted(at):
        own = sum(1 << node for node in at[one])
        levels = []
        starts = at[one]
        while starts:
            level = chains.leading_to(starts)
            levels.append(level)
            starts = [node for node in starts if chains.later[node] & level & ~own]
        outside[one] = tuple(levels)
        going_on = [level & ~own | deeper for level, deeper in zip(levels, [*levels[1:], 0], strict=True)]
        inside[one] = tuple(level for level in going_on if level)
    return Visits(outside=outside, inside=inside, sets=_by_position(outside, inside))


def _by_position(outside: dict[int, Sets], inside: dict[int, Sets]) -> dict[int, Sets]:
    """For each label all sets that count while somebody is there."""
    sets = {NONE: tuple(one for levels in outside.values() for one in levels)}
    for at in outside:
        levels = [inside[other] if other == at else outside[other] for other in outside]
        sets[at] = tuple(one for some in levels for one in some)
    return sets


def lift_moves(lift: Sequence[int], chains: Chains, nodes: Sequence[int]) -> tuple[Sets, Sets, Sets]:
    """The same for the lift: sets that count moves to come while it is nowhere yet, up, or down.

    Args:
        lift: lift[node] = 0 any, 1 up, 2 down.
        chains: what comes before and after each node.
        nodes: the nodes to count.
    """
    up = [node for node in nodes if lift[node] == 1]
    down = [node for node in nodes if lift[node] == 2]
    from_up = [chains.leading_to(down)]
    from_down = [chains.leading_to(up)]
    while from_up[-1] or from_down[-1]:
        last_up, last_down = from_up[-1], from_down[-1]
        from_up.append(chains.leading_to([node for node in down if chains.later[node] & last_down]))
        from_down.append(chains.leading_to([node for node in up if chains.later[node] & last_up]))
    nowhere = [
        chains.leading_to([node for node in up if chains.later[node] & after_up])
        | chains.leading_to([node for node in down if chains.later[node] & after_down])
        for after_up, after_down in zip(from_up, from_down, strict=True)
    ]
    return _some(nowhere), _some(from_up), _some(from_down)


def _some(levels: Sequence[int]) -> Sets:
    """The levels that are not empty."""
    return tuple(level for level in levels if level)
