"""One idea: an answer is checked straight from the definition, by code that had no part in making it."""

from math import fsum

from putback.plan.access.graph import circle_in
from putback.plan.access.problem import AccessAnswer, AccessProblem, checked_targets


def least_work(problem: AccessProblem, targets: tuple[int, ...], ways: dict[int, int]) -> frozenset[int]:
    """The least set holding the targets, closed under needs, brings and the needs of the given ways.

    Args:
        problem: the car.
        targets: node numbers.
        ways: choice number to way number; a choice left out brings nothing.
    """
    extra: dict[int, list[int]] = {}
    for choice, way in ways.items():
        extra.setdefault(problem.choices[choice].owner, []).extend(problem.choices[choice].ways[way].needs)
    work = set(targets)
    waiting = list(targets)
    while waiting:
        node = waiting.pop()
        for other in (*problem.needs[node], *problem.brings[node], *extra.get(node, ())):
            if other not in work:
                work.add(other)
                waiting.append(other)
    return frozenset(work)


def total_minutes(problem: AccessProblem, work: frozenset[int], ways: dict[int, int]) -> float:
    """Minutes of the work and of the ways given, [min], rounded once only."""
    parts = [problem.minutes[node] for node in work]
    parts.extend(problem.choices[choice].ways[way].minutes for choice, way in ways.items())
    return fsum(parts)


def circle_of(problem: AccessProblem, work: frozenset[int], ways: dict[int, int]) -> tuple[int, ...]:
    """A circle of order arcs within the work, each node needing the next, or nothing."""
    extra: dict[int, list[int]] = {}
    for choice, way in ways.items():
        extra.setdefault(problem.choices[choice].owner, []).extend(problem.choices[choice].ways[way].needs)
    return circle_in(work, lambda node: (*problem.needs[node], *extra.get(node, ())))


def verify(problem: AccessProblem, targets: tuple[int, ...], answer: AccessAnswer) -> tuple[str, ...]:
    """Everything that is wrong with an answer, in words; nothing when it is legal and adds up.

    That it is the least is not checked here.
    """
    targets = checked_targets(problem, targets)
    faults: list[str] = []
    ways = answer.ways
    if any(not 0 <= way < len(problem.choices[choice].ways) for choice, way in ways.items()):
        return ("a chosen way does not exist",)
    if any(not problem.choices[choice].ways[way].allowed for choice, way in ways.items()):
        faults.append("a chosen way is not allowed")
    if answer.work != least_work(problem, targets, ways):
        faults.append("the work is not the least set for these targets and ways")
    owed = {number for number, choice in enumerate(problem.choices) if choice.owner in answer.work}
    if owed != set(ways) or len(ways) != len(answer.chosen):
        faults.append("not exactly one way for every choice whose owner is in the work")
    if answer.work & problem.dead:
        faults.append("the work holds a node that can never come off")
    if circle := circle_of(problem, answer.work, ways):
        faults.append(f"needs run in a circle: {circle}")
    if abs(answer.minutes - total_minutes(problem, answer.work, ways)) > 1e-9:
        faults.append("the minutes do not add up")
    if answer.bound > answer.minutes or (answer.proved and answer.bound != answer.minutes):
        faults.append("the bound does not fit the minutes")
    return tuple(faults)
