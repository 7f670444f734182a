"""One idea: without ways the work of a target is plain closure; for many targets, the car carries a bit for each.

Each node gets an integer whose bit k says "in the work of list k". Passed down once from what needs to what is
needed, knot by knot, all lists are closed in one sweep.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import fsum

from putback.plan.access.graph import knots, members
from putback.plan.access.problem import AccessProblem, checked_targets


@dataclass(frozen=True, kw_only=True)
class ClosureTable:
    """The works of many target lists.

    Args:
        marks: for each node, the lists whose work holds it, as bits.
        count: how many lists there are.
        node_minutes: of each node, [min].
    """

    marks: tuple[int, ...]
    count: int
    node_minutes: tuple[float, ...]

    @cached_property
    def works(self) -> tuple[tuple[int, ...], ...]:
        """The nodes of each list's work, ascending."""
        found: list[list[int]] = [[] for _ in range(self.count)]
        for node, mark in enumerate(self.marks):
            for at in members(mark):
                found[at].append(node)
        return tuple(map(tuple, found))

    @cached_property
    def minutes(self) -> tuple[float, ...]:
        """Minutes of each list's work, [min]."""
        of = self.node_minutes
        return tuple(fsum([of[node] for node in work]) for work in self.works)


class Closures:
    """A car without ways, made ready for many questions.

    Whether the nodes can come off at all (dead nodes, circles of needs) is not looked at: that is `solve`'s.

    Raises:
        ValueError: the car has choices of ways.
    """

    def __init__(self, problem: AccessProblem) -> None:
        if problem.choices:
            raise ValueError("the car has choices of ways; use solve")
        self.problem = problem
        self.leads = tuple(needs + brings for needs, brings in zip(problem.needs, problem.brings, strict=True))
        found = knots(len(self.leads), range(len(self.leads)), self.leads.__getitem__)
        found.reverse()
        self.order = tuple(knot[0] if len(knot) == 1 else tuple(knot) for knot in found)

    def work(self, targets: Iterable[int]) -> frozenset[int]:
        """The least set holding the targets, closed under needs and brings."""
        leads = self.leads
        work = set(checked_targets(self.problem, targets))
        waiting = list(work)
        while waiting:
            fresh = [other for other in leads[waiting.pop()] if other not in work]
            work.update(fresh)
            waiting.extend(fresh)
        return frozenset(work)

    def many(self, lists: Sequence[Iterable[int]]) -> ClosureTable:
        """The works of all target lists in one sweep."""
        marks = [0] * len(self.leads)
        for at, targets in enumerate(lists):
            for target in checked_targets(self.problem, targets):
                marks[target] |= 1 << at
        leads = self.leads
        for entry in self.order:
            if isinstance(entry, int):
                mark = marks[entry]
                if mark:
                    for other in leads[entry]:
                        marks[other] |= mark
                continue
            mark = 0
            for node in entry:
                mark |= marks[node]
            if mark:
                for node in entry:
                    marks[node] = mark
                    for other in leads[node]:
                        marks[other] |= mark
        return ClosureTable(marks=tuple(marks), count=len(lists), node_minutes=self.problem.minutes)


def closure_many(problem: AccessProblem, lists: Sequence[Iterable[int]]) -> ClosureTable:
    """The works of many target lists over a car without ways.

    Raises:
        ValueError: the car has choices of ways, or a target is no node of the problem.
    """
    return Closures(problem).many(lists)
