"""One idea: only what the targets can lead to matters, and of that only what can come off at all.

That part of the car is numbered anew, what a node leads to before the node, minutes become whole units, and a
choice with one way left becomes plain needs.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import lcm

from putback.plan.access.graph import knots
from putback.plan.access.problem import AccessProblem

_GRIDS = (1, 2, 4, 5, 10, 20, 60, 100, 1000)


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveWay:
    """A way that can be taken: `number` within its choice, added `units`, `needs` in local numbers.

    `knot`: -1, or the number of the order knot in which its needs may lead back to its owner under some choice
    of ways, so that circles must be looked for.
    """

    number: int
    units: int
    needs: tuple[int, ...]
    knot: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveChoice:
    """A choice with two or more live ways; `number` in the problem, `owner` in local numbers."""

    number: int
    owner: int
    ways: tuple[LiveWay, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Local:
    """What the targets can lead to, in local numbers.

    Args:
        problem: the car.
        targets: local numbers.
        nodes: local number to the problem's.
        units: for each node, with the only ways of its joints.
        scale: units in a minute.
        needs: for each node, with those of the only ways of its joints.
        brings: for each node.
        choices: with two or more live ways, grouped by owner, owners ascending.
        only: (choice, way, local owner) of the choices with one way left.
        knotted: knots of more than one node, in needs, brings and ways together; local numbers.
    """

    problem: AccessProblem
    targets: tuple[int, ...]
    nodes: tuple[int, ...]
    units: tuple[int, ...]
    scale: int
    needs: tuple[tuple[int, ...], ...]
    brings: tuple[tuple[int, ...], ...]
    choices: tuple[LiveChoice, ...]
    only: tuple[tuple[int, int, int], ...]
    knotted: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """What the targets lead to over all allowed ways: knots in order, and choices by owner (problem's numbers)."""

    knots: tuple[Sequence[int], ...]
    owned: dict[int, list[int]]


def reach_of(problem: AccessProblem, targets: Sequence[int]) -> Reach:
    """All that the targets lead to over needs, brings and every allowed way."""
    needs, brings = problem.needs, problem.brings
    owned = owners(problem)
    leads = {
        owner: [
            *needs[owner],
            *brings[owner],
            *(need for number in numbers for way in problem.choices[number].ways if way.allowed for need in way.needs),
        ]
        for owner, numbers in owned.items()
    }

    def successors(node: int) -> Sequence[int]:
        found = leads.get(node)
        return needs[node] + brings[node] if found is None else found

    return Reach(knots=tuple(knots(len(needs), targets, successors)), owned=owned)


def owners(problem: AccessProblem) -> dict[int, list[int]]:
    """Choice numbers by owner."""
    owned: dict[int, list[int]] = {}
    for number, choice in enumerate(problem.choices):
        owned.setdefault(choice.owner, []).append(number)
    return owned


def grid_of(values: set[float]) -> int:
    """Units in a minute so that every value is a whole number of units.

    >>> grid_of({0.5, 3.0})
    2
    """
    for grid in _GRIDS:
        if all(abs(value * grid - round(value * grid)) <= 1e-12 * max(1.0, value) for value in values):
            return grid
    return lcm(*(value.as_integer_ratio()[1] for value in values))


def to_units(value: float, scale: int) -> int:
    """Minutes as whole units; exact on the grid that `grid_of` found."""
    if scale <= _GRIDS[-1]:
        return round(value * scale)
    numerator, denominator = value.as_integer_ratio()
    return numerator * (scale // denominator)
