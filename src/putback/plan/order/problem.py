"""One idea: the order of work is a walk between places, and only the changes of place cost anything.

A place is one tool in one zone, named by a class number. What a change costs is a matrix between classes; the
lift is a second, slower position that stays where it is while work is done that does not care about it. Steps
without a place (waits, reads, notes) cost nothing wherever they stand.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

FREE = -1
"""The place of a step that needs no tool and no zone."""

Progress = Callable[[int, int], None]
"""Told the cost of the best order so far and the proved lower bound."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One reason for which a change costs: the tool, the zone, the crew.

    Attributes:
        weight: cost of a change of this part alone, >= 0.
        label: label[c] = the tool (or zone, or crew) of class c.
    """

    weight: int
    label: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderProblem:
    """Steps 0..n-1 that are to be put in the order with the cheapest changes.

    Attributes:
        place: place[i] = class of step i, or FREE.
        change: change[c][d] = cost of going from class c to class d; change[c][c] = 0; the triangle
            inequality holds; need not be symmetric.
        lift: lift[c] = 0 any, 1 up, 2 down.
        lift_cost: cost of moving the lift between up and down; its first position is free.
        before: pairs (a, b): step a comes before step b.
        stage: stage[i]; every step of a lower stage comes before every step of a higher one. None: one stage.
        parts: how `change` is made up, if it is: change[c][d] = sum of the weights of the parts whose labels
            differ. Left empty, the parts are looked for; stated, the bounds are certain to be the strong ones.
    """

    place: tuple[int, ...]
    change: tuple[tuple[int, ...], ...]
    lift: tuple[int, ...]
    lift_cost: int
    before: tuple[tuple[int, int], ...]
    stage: tuple[int, ...] | None = None
    parts: tuple[Part, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """An order of work, and how good it is known to be.

    Attributes:
        steps: every step once, in a legal order.
        cost: its cost.
        bound: no legal order costs less than this.
        proved: the order is known to be a cheapest one.
        interrupted: the search was stopped by hand; this is the best found until then.
    """

    steps: tuple[int, ...]
    cost: int
    bound: int
    proved: bool
    interrupted: bool = False

    @property
    def gap(self) -> int:
        """Cost above the bound; 0 when proved."""
        return self.cost - self.bound


class NoOrderError(ValueError):
    """No order is legal: some steps would have to come before themselves.

    Attributes:
        steps: a ring of steps, each before the next and the last before the first; or one pair (a, b) that is
            asked for against the stages.
    """

    def __init__(self, steps: tuple[int, ...]) -> None:
        super().__init__(f"no legal order: steps {steps} wait for each other")
        self.steps = steps


def change_of(parts: Sequence[Part]) -> tuple[tuple[int, ...], ...]:
    """The change matrix that the parts add up to.

    >>> change_of([Part(weight=1, label=(0, 0, 1)), Part(weight=2, label=(0, 1, 1))])
    ((0, 2, 3), (2, 0, 1), (3, 1, 0))
    """
    classes = range(len(parts[0].label))
    return tuple(
        tuple(sum(part.weight for part in parts if part.label[c] != part.label[d]) for d in classes) for c in classes
    )


def cost_of(problem: OrderProblem, steps: Sequence[int]) -> int:
    """Cost of doing the steps in this order: changes of place, and moves of the lift.

    Legality is not looked at here; see `faults_of`.
    """
    places = [problem.place[i] for i in steps if problem.place[i] != FREE]
    lifts = [problem.lift[c] for c in places if problem.lift[c]]
    changes = sum(problem.change[c][d] for c, d in pairwise(places))
    return changes + problem.lift_cost * sum(a != b for a, b in pairwise(lifts))


def faults_of(problem: OrderProblem, steps: Sequence[int]) -> tuple[tuple[int, int], ...]:
    """Pairs (a, b) that stand the wrong way round; empty for a legal order.

    Raises:
        ValueError: `steps` is not every step once.
    """
    if sorted(steps) != list(range(len(problem.place))):
        raise ValueError("an order holds every step exactly once")
    at = {step: where for where, step in enumerate(steps)}
    wrong = [(a, b) for a, b in problem.before if at[a] >= at[b]]
    stage = problem.stage
    if stage is not None:
        wrong += [(a, b) for b, a in pairwise(steps) if stage[a] < stage[b]]
    return tuple(wrong)
