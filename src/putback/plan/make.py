"""One idea: from a car and what is to be renewed to a whole plan, in one line of calls.

Least work first, then its order, then all that follows from both.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from putback.core.car import Car, Service
from putback.plan.access import Unreachable, alternatives, solve
from putback.plan.follow import Found, follow_up
from putback.plan.impossible import impossible, no_order
from putback.plan.order import NoOrderError
from putback.plan.plan import Alternative, Impossible, Plan
from putback.plan.sequence import ChangeCosts, sequence
from putback.plan.steps import build_steps
from putback.plan.unbroken import held_back
from putback.plan.work import CarGraph, Work

_HURRIED_S = 1.0
"""Time for what is left to search once Ctrl-C was pressed, [s]."""

Progress = Callable[[str, float, float], None]
"""Told what is searched ("least work", "order"), the best so far and the bound."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """The owner's own figures. Rate in the owner's currency per hour, limit [mm], times [s]."""

    rate_per_hour: float = 96.0
    lift_limit_mm: float | None = None
    costs: ChangeCosts = field(default_factory=ChangeCosts)
    most_alternatives: int = 12
    access_time_s: float = 10.0
    alternatives_time_s: float = 2.0
    order_time_s: float = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is to be done: the ids as asked for, the items they come to, and the service that is sold, if any."""

    ids: tuple[str, ...]
    targets: tuple[str, ...]
    service: Service | None


def wanted(car: Car, ids: Sequence[str]) -> Wanted:
    """Resolve item and service ids. A service counts when it is named, or when exactly its targets are.

    Raises:
        KeyError: an id is neither an item nor a service of the car.
    """
    targets: dict[str, None] = {}
    services = []
    for id in ids:
        if id in car.services:
            services.append(car.services[id])
            targets.update(dict.fromkeys(car.services[id].targets))
        elif id in car.items:
            targets[id] = None
        else:
            raise KeyError(id)
    if not services:
        services = [service for service in car.services.values() if set(service.targets) == set(targets)][:1]
    return Wanted(ids=tuple(ids), targets=tuple(targets), service=_together(services))


def _together(services: Sequence[Service]) -> Service | None:
    """Several services sold as one: each kind of time, part and sublet counts once, at its dearest."""
    if len(services) < 2:
        return services[0] if services else None
    return Service(
        id="+".join(service.id for service in services),
        name=" and ".join(service.name for service in services),
        targets=tuple(dict.fromkeys(target for service in services for target in service.targets)),
        minutes=_dearest([service.minutes for service in services]),
        parts=_dearest([service.parts for service in services]),
        consumables=sum(service.consumables for service in services),
        sublet=_dearest([service.sublet for service in services]),
    )


def _dearest(tables: Sequence[Mapping[str, float]]) -> Mapping[str, float]:
    found: dict[str, float] = {}
    for table in tables:
        for key, value in table.items():
            found[key] = max(value, found.get(key, value))
    return MappingProxyType(found)


def make_plan(
    car: Car,
    want: Wanted,
    *,
    without: Sequence[str] = (),
    settings: Settings,
    on_progress: Progress | None = None,
) -> Plan | Impossible:
    """Plan a job.

    Args:
        car: the car, read without faults.
        want: what is to be renewed.
        without: tools that are not there.
        settings: the owner's own figures.
        on_progress: told best and bound while a search runs.

    Returns:
        The plan, or every joint that makes the job impossible and what is missing.
    """
    graph = CarGraph(car, frozenset(without))
    numbers = graph.numbers_of(want.targets)
    with held_back() as stopped:
        problem = graph.problem
    limit = _HURRIED_S if stopped.is_set() else settings.access_time_s
    answer = solve(problem, numbers, time_limit_s=limit, on_progress=_named(on_progress, "least work"))
    if isinstance(answer, Unreachable):
        return impossible(graph, answer)
    with held_back() as stopped_between:
        work = graph.work_of(answer)
        listed, complete = _alternatives(graph, numbers, work, settings)
        built = build_steps(car, work)
    hurried = stopped.is_set() or stopped_between.is_set() or answer.interrupted
    limit = _HURRIED_S if hurried else settings.order_time_s
    try:
        ordered = sequence(built, costs=settings.costs, time_limit_s=limit, on_progress=_named(on_progress, "order"))
    except NoOrderError as contradiction:
        return no_order(built, contradiction)
    with held_back() as stopped_after:
        found = Found(
            graph=graph,
            targets=want.targets,
            wanted=want.ids,
            service=want.service,
            numbers=numbers,
            work=work,
            gap_minutes=answer.gap,
            alternatives=listed,
            alternatives_complete=complete,
            built=built,
            ordered=ordered,
            rate_per_hour=settings.rate_per_hour,
            lift_limit_mm=settings.lift_limit_mm,
        )
        plan = follow_up(found)
    return replace(plan, interrupted=hurried or ordered.interrupted or stopped_after.is_set())


def _named(on_progress: Progress | None, what: str) -> Callable[[float, float], None] | None:
    if on_progress is None:
        return None
    return lambda best, bound: on_progress(what, best, bound)


def _alternatives(
    graph: CarGraph, numbers: Sequence[int], work: Work, settings: Settings
) -> tuple[tuple[Alternative, ...], bool]:
    """The answer, then the other legal combinations of ways, best first; and whether that is all of them."""
    found = alternatives(
        graph.problem, numbers, most=settings.most_alternatives, time_limit_s=settings.alternatives_time_s
    )
    if isinstance(found, Unreachable):
        return (), True
    works = [graph.work_of(answer) for answer in found.answers]
    others = [other for other in works if other.ways != work.ways]
    listed = [Alternative(ways=one.ways, items=one.items, minutes=one.minutes) for one in (work, *others)]
    return tuple(listed), found.complete
