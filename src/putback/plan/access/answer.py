"""One idea: a question in, an answer in the caller's own numbers out."""

from collections.abc import Iterable, Mapping
from math import fsum

from putback.plan.access.core import core_of
from putback.plan.access.first import first_ways
from putback.plan.access.local import Local
from putback.plan.access.localise import localise, must_masks
from putback.plan.access.problem import AccessAnswer, AccessProblem, Unreachable, checked_targets
from putback.plan.access.search import CoreAnswer, Progress, Watch, search_core


def solve(
    problem: AccessProblem,
    targets: Iterable[int],
    *,
    time_limit_s: float | None = None,
    on_progress: Progress | None = None,
) -> AccessAnswer | Unreachable:
    """The least work that reaches the targets, proved or with its bound.

    Args:
        problem: the car.
        targets: node numbers.
        time_limit_s: when it has passed, the best so far is given with its bound, [s].
        on_progress: told the best and the bound, [min], from time to time.

    Returns:
        The same answer for the same question always, unless stopped by time or by Ctrl-C: then the best so
        far. `Unreachable` when no legal choice of ways reaches all targets.

    Raises:
        ValueError: a target is no node of the problem.
    """
    watch = Watch(time_limit_s=time_limit_s, on_progress=on_progress)
    local = localise(problem, checked_targets(problem, targets))
    if isinstance(local, Unreachable):
        return local
    first = first_ways(local)
    try:
        found = search_core(core_of(local, must_masks(local)), watch, first)
        interrupted = False
    except KeyboardInterrupt:
        found, interrupted = None, True
    if found is None:
        found = CoreAnswer(ways=first, units=0, bound=0.0, complete=False, interrupted=interrupted)
    return answer_of(local, found)


def answer_of(local: Local, found: CoreAnswer) -> AccessAnswer:
    """In the problem's numbers: the least work for the ways found, and its minutes."""
    ways = {number: way for number, way, _ in local.only} | dict(found.ways)
    order, chosen = ordered_work(local, ways)
    problem = local.problem
    work = [local.nodes[node] for node in order]
    minutes = fsum(
        [
            *(problem.minutes[node] for node in work),
            *(problem.choices[number].ways[way].minutes for number, way in chosen),
        ]
    )
    bound = minutes if found.complete else min(minutes, found.bound / local.scale)
    return AccessAnswer(
        chosen=tuple(sorted(chosen)),
        work=frozenset(work),
        minutes=minutes,
        bound=bound,
        proved=found.complete or bound >= minutes,
        interrupted=found.interrupted,
    )


def ordered_work(local: Local, ways: Mapping[int, int]) -> tuple[list[int], list[tuple[int, int]]]:
    """The least work in local numbers, and the (choice, way) in it, both as they follow from the targets.

    What brings a choice's owner into the work stands before it: the targets, and ways listed earlier. Choices
    not in the work are left out.
    """
    more: dict[int, list[int]] = {}
    owned: dict[int, list[int]] = {}
    for choice in local.choices:
        owned.setdefault(choice.owner, []).append(choice.number)
        way = next((way for way in choice.ways if way.number == ways.get(choice.number)), None)
        if way is not None:
            more.setdefault(choice.owner, []).extend(way.needs)
    for number, _, owner in local.only:
        owned.setdefault(owner, []).append(number)
    seen = set(local.targets)
    waiting = list(local.targets)
    order: list[int] = []
    while waiting:
        node = waiting.pop()
        order.append(node)
        for other in (*local.needs[node], *local.brings[node], *more.get(node, ())):
            if other not in seen:
                seen.add(other)
                waiting.append(other)
    return order, [(number, ways[number]) for node in order for number in owned.get(node, ())]
