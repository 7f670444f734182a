"""One idea: once the work and its order are found, everything else in a plan follows from both.

Operations, lists, price, reasons and notes: nothing here searches, and nothing here can make a plan better.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from putback.core.car import VALUE_NEEDED, Car, Item, Origin, Service
from putback.core.finding import Finding, Kind, Where
from putback.core.price import quote
from putback.plan import lists
from putback.plan.plan import Alternative, EnergyLine, Plan
from putback.plan.reasons import chains, left_on
from putback.plan.sequence import Sequence as Ordered
from putback.plan.steps import Steps
from putback.plan.without import what_changes
from putback.plan.work import CarGraph, Work
from putback.plan.write import Written, proof_text, write


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What the searches found, and the owner's figures that the rest depends on. Gap [min], limit [mm]."""

    graph: CarGraph
    targets: tuple[str, ...]
    wanted: tuple[str, ...]
    service: Service | None
    numbers: Sequence[int]
    work: Work
    gap_minutes: float
    alternatives: tuple[Alternative, ...]
    alternatives_complete: bool
    built: Steps
    ordered: Ordered
    rate_per_hour: float
    lift_limit_mm: float | None


def follow_up(found: Found) -> Plan:
    """The whole plan."""
    car, work = found.graph.car, found.work
    stow = lists.stow_places(car, work)
    rework = lists.rework_minutes(car, work)
    written = write(
        found.built,
        found.ordered.steps,
        targets=found.targets,
        stow={joint.id: line.place for line in stow for joint in line.joints},
        rework=rework,
    )
    off, on = lists.split_minutes(car, work)
    unknown = tuple(id for id in work.items if not car.items[id].minutes_known)
    plan = Plan(
        car=car,
        wanted=found.wanted,
        targets=found.targets,
        service=found.service,
        without=tuple(sorted(found.graph.without)),
        without_says=what_changes(found.graph, found.numbers, work),
        items=work.items,
        ways=work.ways,
        minutes_off=off,
        minutes_on=on,
        fasteners=sum(joint.count for joint in lists.joints_of(car, work)),
        proved=work.proved,
        gap_minutes=found.gap_minutes,
        left_on=left_on(found.graph, work, found.alternatives),
        why=chains(found.graph, work, found.targets),
        alternatives=found.alternatives,
        alternatives_complete=found.alternatives_complete,
        energies=_energy_lines(car, work, written),
        waits=written.waits,
        guards=written.guards,
        last_looks=written.last_looks,
        rework=rework,
        tools=lists.tool_list(car, work),
        parts=lists.part_list(car, work, found.targets, found.service),
        stow=stow,
        length_traps=lists.length_traps(car, work),
        torque_card=lists.torque_card(car, work),
        quote=quote(
            work_minutes=off + on,
            service=found.service,
            findings=[finding for finding in car.findings.values() if finding.seen_at in work.items],
            rate_per_hour=found.rate_per_hour,
            known=not unknown,
        ),
        mass=lists.mass_off(car, work, found.lift_limit_mm),
        order=found.ordered.line,
        operations=written.operations,
        findings=(),
        minutes_unknown=unknown,
        rework_unknown=lists.rework_unknown(car, work),
    )
    return replace(plan, findings=tuple(_needed(plan)))


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
        f"{link.item} ({link.origin}{_in_jobs(link.jobs)})"
        for link in item.needs_off
        if link.origin not in (Origin.STATED, Origin.CONFIRMED)
    )
    more = "" if item.links_complete else "; there may be more in its way"
    what = f"what is in the way of {item.name} is assumed, not confirmed{': ' + known if known else ''}{more}"
    return Finding(where=where, what=what, mend="look before you rely on it", rule="links", kind=Kind.NOTE)


def _in_jobs(count: int) -> str:
    return "" if not count else " in 1 job" if count == 1 else f" in {count} jobs"


def _note(where: Where, rule: str, what: str) -> Finding:
    return Finding(where=where, what=what, mend="ask the maker's publication", rule=rule, kind=Kind.NOTE)
