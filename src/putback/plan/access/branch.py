"""One idea: a few choices are searched through by hand, best way first, with a bound that cuts most of the tree."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from putback.plan.access.bound import dual_bound
from putback.plan.access.component import Found, Part, legal_options, owed_by
from putback.plan.access.core import CoreChoice, Option, weight


class OutOfBudget(Exception):
    """The tree is larger than the looks or the time allowed."""


@dataclass(slots=True, kw_only=True)
class _Tree:
    """What the search carries along."""

    part: Part
    best: Found | None
    looks: int
    go_on: Callable[[], bool]

    def limit(self) -> int | None:
        return None if self.best is None else self.best.units


@dataclass(frozen=True, slots=True, kw_only=True)
class _Spot:
    """A place in the tree: blocks in the work, units spent, ways chosen, and their order arcs (owner to needs)."""

    work: int = 0
    units: int = 0
    ways: Mapping[int, int]
    arcs: Mapping[int, tuple[int, ...]]


def branch(part: Part, best: Found | None, *, looks: int, go_on: Callable[[], bool]) -> Found | None:
    """The least legal choice of ways of a part, or None when there is none.

    Args:
        part: what is to be chosen.
        best: a legal choice known beforehand; given back when nothing is cheaper.
        looks: how many places of the tree may be looked at.
        go_on: asked at each place; when it says no, the budget is spent.

    Raises:
        OutOfBudget: the tree is larger; its `args[0]` is the best found so far.
    """
    tree = _Tree(part=part, best=best, looks=looks, go_on=go_on)
    _look(tree, _Spot(ways={}, arcs={}))
    return tree.best


def _look(tree: _Tree, spot: _Spot) -> None:
    """Search below one place."""
    tree.looks -= 1
    if tree.looks < 0 or not tree.go_on():
        raise OutOfBudget(tree.best)
    while True:
        owed = _owed(tree.part, spot)
        if not owed:
            if tree.best is None or spot.units < tree.best.units:
                tree.best = Found(ways=dict(spot.ways), units=spot.units)
            return
        options = [legal_options(tree.part, choice, spot.arcs) for choice in owed]
        if not all(options):
            return
        bound = dual_bound(options, spot.work, tree.part.core.weights)
        limit = tree.limit()
        if limit is not None:
            if spot.units + bound.units >= limit:
                return
            slack = limit - spot.units - bound.units
            options = [
                [option for option, extra in zip(ways, extras, strict=True) if extra < slack]
                for ways, extras in zip(options, bound.extra, strict=True)
            ]
            if not all(options):
                return
        forced = _forced(spot, owed, options)
        if not forced:
            break
        for choice, option in forced:
            if option.risky and option not in legal_options(tree.part, choice, spot.arcs):
                return
            spot = _step(tree.part, spot, choice, option)
    _fork(tree, spot, owed, options)


def _owed(part: Part, spot: _Spot) -> list[CoreChoice]:
    """The choices still to be made at this place."""
    return [choice for choice in [*part.always, *owed_by(part, spot.work)] if choice.number not in spot.ways]


def _forced(spot: _Spot, owed: list[CoreChoice], options: list[list[Option]]) -> list[tuple[CoreChoice, Option]]:
    """Owed choices with one way left, or with a way that adds nothing and is not dearer than the others."""
    found: list[tuple[CoreChoice, Option]] = []
    for choice, ways in zip(owed, options, strict=True):
        if len(ways) == 1:
            found.append((choice, ways[0]))
            continue
        least = min(option.units for option in ways)
        free = [
            option for option in ways if option.units == least and not option.risky and not option.mask & ~spot.work
        ]
        if free:
            found.append((choice, free[0]))
    return found


def _step(part: Part, spot: _Spot, choice: CoreChoice, option: Option) -> _Spot:
    """The place after taking a way."""
    return _Spot(
        work=spot.work | option.mask,
        units=spot.units + option.units + weight(option.mask & ~spot.work, part.core.weights),
        ways={**spot.ways, choice.number: option.number},
        arcs={**spot.arcs, choice.owner: spot.arcs.get(choice.owner, ()) + option.needs},
    )


def _fork(tree: _Tree, spot: _Spot, owed: list[CoreChoice], options: list[list[Option]]) -> None:
    """Branch on the choice whose ways differ most, cheapest way first."""
    weights = tree.part.core.weights
    costs = [[option.units + weight(option.mask & ~spot.work, weights) for option in ways] for ways in options]
    at = max(range(len(owed)), key=lambda at: (max(costs[at]) - min(costs[at]), -at))
    ways = sorted(zip(costs[at], options[at], strict=True), key=lambda pair: (pair[0], pair[1].number))
    for _, option in ways:
        _look(tree, _step(tree.part, spot, owed[at], option))
