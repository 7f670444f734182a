"""One idea: what a job lays hands on follows from what is to be renewed, without its order or its price."""

from collections.abc import Sequence

from putback.core.car import Car
from putback.plan.access import Unreachable, solve
from putback.plan.impossible import impossible
from putback.plan.make import wanted
from putback.plan.plan import Impossible
from putback.plan.work import CarGraph, Work


def least_work(car: Car, ids: Sequence[str], *, time_limit_s: float = 4.0) -> Work | Impossible:
    """The least work that reaches some items or the targets of services.

    Args:
        car: the car.
        ids: item or service ids.
        time_limit_s: when it has passed, the best so far is given, [s].

    Raises:
        KeyError: an id is neither an item nor a service of the car.
    """
    graph = CarGraph(car)
    numbers = graph.numbers_of(wanted(car, ids).targets)
    answer = solve(graph.problem, numbers, time_limit_s=time_limit_s)
    return impossible(graph, answer) if isinstance(answer, Unreachable) else graph.work_of(answer)
