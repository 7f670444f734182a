"""One idea: from a car and what is to be renewed to a whole plan, in one line of calls.

Least work first, then its order, then all that follows from both.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from putback.core.car import VALUE_NEEDED, Car, Item, Origin, Service
from putback.core.finding import Finding, Kind, Where
from putback.core.price import quote
from putback.plan import lists
from putback.plan.access import Unreachable, alternatives, solve
from putback.plan.impossible import impossible, no_order
from putback.plan.order import NoOrderError
from putback.plan.plan import Alternative, EnergyLine, Impossible, Plan
from putback.plan.reasons import chains, left_on
from putback.plan.sequence import ChangeCosts, sequence
from putback.plan.steps import build_steps
from putback.plan.without import what_changes
from putback.plan.work import CarGraph, Work
from putback.plan.write import Written, proof_text, write

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
    answer = solve(
        graph.problem, numbers, time_limit_s=settings.access_time_s, on_progress=_named(on_progress, "least work")
    )
    if isinstance(answer, Unreachable):
        return impossible(graph, answer)
    work = graph.work_of(answer)
    listed, complete = _alternatives(graph, numbers, work, settings)
    built = build_steps(car, work)
    try:
        ordered = sequence(
            built, costs=settings.costs, time_limit_s=settings.order_time_s, on_progress=_named(on_progress, "order")
        )
    except NoOrderError as contradiction:
        return no_order(built, contradiction)
    stow = lists.stow_places(car, work)
    rework = lists.rework_minutes(car, work)
    written = write(
        built,
        ordered.steps,
        targets=want.targets,
        stow={joint.id: line.place for line in stow for joint in line.joints},
        rework=rework,
    )
    off, on = lists.split_minutes(car, work)
    plan = Plan(
        car=car,
        wanted=want.ids,
        targets=want.targets,
        service=want.service,
        without=tuple(without),
        without_says=what_changes(graph, numbers, work),
        items=work.items,
        ways=work.ways,
        minutes_off=off,
        minutes_on=on,
        fasteners=sum(joint.count for joint in lists.joints_of(car, work)),
        proved=work.proved,
        gap_minutes=answer.gap,
        left_on=left_on(graph, work, listed),
        why=chains(graph, work, want.targets),
        alternatives=listed,
        alternatives_complete=complete,
        energies=_energy_lines(car, work, written),
        waits=written.waits,
        guards=written.guards,
        last_looks=written.last_looks,
        rework=rework,
        tools=lists.tool_list(car, work),
        parts=lists.part_list(car, work, want.targets, want.service),
        stow=stow,
        length_traps=lists.length_traps(car, work),
        torque_card=lists.torque_card(car, work),
        quote=quote(
            work_minutes=off + on,
            service=want.service,
            findings=[finding for finding in car.findings.values() if finding.seen_at in work.items],
            rate_per_hour=settings.rate_per_hour,
        ),
        mass=lists.mass_off(car, work, settings.lift_limit_mm),
        order=ordered.line,
        operations=written.operations,
        findings=(),
        interrupted=answer.interrupted or ordered.interrupted,
    )
    return replace(plan, findings=tuple(_needed(plan)))


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


def _energy_lines(car: Car, work: Work, written: Written) -> tuple[EnergyLine, ...]:
    numbers: dict[tuple[str, str], int] = {}
    for operation in written.operations:
        if operation.energy:
            numbers.setdefault((operation.verb, operation.energy), operation.n)
    lines = []
    for id in work.energies:
        energy = car.energies[id]
        needed = []
        if energy.wait and (energy.wait.minutes is None or not energy.wait.source):
            needed.append("wait")
        if proof_text(car, id)[1]:
            needed.append("proof")
        lines.append(
            EnergyLine(
                energy=energy,
                isolate=numbers.get(("isolate", id)),
                prove=numbers.get(("prove dead", id)),
                restore=numbers.get(("restore", id)),
                value_needed=tuple(needed),
            )
        )
    return tuple(sorted(lines, key=lambda line: line.isolate or 0))


def _needed(plan: Plan) -> list[Finding]:
    """Everything for which no sourced value is there, and what the plan takes on trust."""
    found = []
    car = plan.car
    for line in plan.torque_card:
        if line.value_needed:
            where = Where(file=car.file, line=line.joint.line or None, field=f"joint {line.joint.id}")
            found.append(_note(where, "torque", f"{VALUE_NEEDED}: tightness of {car.items[line.item].name}"))
    for energy in plan.energies:
        for what in energy.value_needed:
            where = Where(file=car.file, line=energy.energy.line or None, field=f"energies.{energy.energy.id}.{what}")
            found.append(_note(where, what, f"{VALUE_NEEDED}: the {what} of {energy.energy.kind}; blocked until then"))
    found += [_assumed(car, id) for id in plan.items if not _certain(car.items[id])]
    limit, shift = plan.mass.limit_mm, plan.mass.rearward_drained_mm or plan.mass.rearward_mm
    if limit is not None and shift is not None and abs(shift) > limit:
        where = Where(file=car.file, field="mass")
        what = f"the centre of gravity moves {shift:.0f} mm, your limit is {limit:g} mm"
        mend = "support the car front and rear before the heavy items come off"
        found.append(Finding(where=where, what=what, mend=mend, rule="lift limit", kind=Kind.NOTE))
    return found


def _certain(item: Item) -> bool:
    """Whether everything that is in the item's way is known: stated by hand or confirmed, and complete."""
    return item.links_complete and all(link.origin in (Origin.STATED, Origin.CONFIRMED) for link in item.needs_off)


def _assumed(car: Car, id: str) -> Finding:
    item = car.items[id]
    where = Where(file=car.file, line=item.line or None, field=f"items.{id}.needs_off")
    known = ", ".join(
        f"{link.item} ({link.origin}{f' in {link.jobs} jobs' if link.jobs else ''})"
        for link in item.needs_off
        if link.origin not in (Origin.STATED, Origin.CONFIRMED)
    )
    more = "" if item.links_complete else "; there may be more in its way"
    what = f"what is in the way of {item.name} is assumed, not confirmed{': ' + known if known else ''}{more}"
    return Finding(where=where, what=what, mend="look before you rely on it", rule="links", kind=Kind.NOTE)


def _note(where: Where, rule: str, what: str) -> Finding:
    return Finding(where=where, what=what, mend="ask the maker's publication", rule=rule, kind=Kind.NOTE)
