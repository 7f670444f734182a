"""One idea: load, plan, audit: the few things that any face asks for, in one place.

What goes wrong comes back as a value; faces decide only how to show it.
"""

import difflib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from putback.adapters.car_file import Reading, read_car, read_car_text
from putback.adapters.car_file.text import read_bytes
from putback.adapters.operations_file import read_operations
from putback.core.car import Car
from putback.core.finding import Finding, Where
from putback.core.rules import audit
from putback.plan.make import Progress, Settings, Wanted, make_plan, wanted
from putback.plan.plan import Impossible, Plan

if TYPE_CHECKING:
    from putback.adapters.tool_list import ToolsRead
    from putback.core.procedure import Procedure


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """The call cannot be served: the file is unreadable or faulty, or an id is not known."""

    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CarFile:
    """A car to plan on. `content` is its car file, as it stands or as it is drawn from a procedure.

    `findings` are what drawing left open, `aliases` other names of its items, with their ids.
    """

    car: Car
    content: bytes
    findings: tuple[Finding, ...] = ()
    aliases: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnTools:
    """The owner's tool list, a file `tools/1`, and the day on which its calibration must hold."""

    file: Path
    day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A plan with what its own audit says of it, by rules that did not make it."""

    plan: Plan
    audit: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Audited:
    """What the rules see in a sequence of operations."""

    car: Car
    count: int
    findings: tuple[Finding, ...]


def check_car(path: Path) -> Reading:
    """Read a car file, or a procedure file, and say everything that is wrong with it."""
    from putback.adapters.procedure_file import is_procedure_file, read_procedure  # noqa: PLC0415 - seldom needed

    if is_procedure_file(path):
        read = read_procedure(path)
        return Reading(car=None, findings=read.findings, readable=read.readable)
    return read_car(path)


def car_file(path: Path) -> CarFile | Refused:
    """The car of a car file; a procedure is drawn to one."""
    from putback.adapters.procedure_file import is_procedure, read_procedure_text  # noqa: PLC0415 - seldom needed

    content = read_bytes(path)
    if isinstance(content, Finding):
        return Refused(findings=(content,))
    if is_procedure(content):
        read = read_procedure_text(content, str(path))
        if read.procedure is None:
            return Refused(findings=read.findings)
        drawn, notes = _drawn(read.procedure), (one for one in read.findings if one.rule == "review")
        return drawn if isinstance(drawn, Refused) else replace(drawn, findings=(*notes, *drawn.findings))
    reading = read_car_text(content, str(path))
    return Refused(findings=reading.findings) if reading.car is None else CarFile(car=reading.car, content=content)


def _drawn(procedure: "Procedure") -> CarFile | Refused:
    """The car as far as one recording shows it."""
    from putback.adapters.car_writer import write_car  # noqa: PLC0415 - loaded where a procedure is given
    from putback.core.papers.published import for_a_car  # noqa: PLC0415 - the same
    from putback.narrate.car.car_from import car_from  # noqa: PLC0415 - the same
    from putback.narrate.car.learn import learned, recorded  # noqa: PLC0415 - the same

    procedure = for_a_car(procedure)
    known = learned([recorded(procedure)])
    if not known.things:
        where = Where(file=procedure.file, field="operations")
        what = "nothing came off or went back, so no car can be drawn of it"
        return Refused(findings=(Finding(where=where, what=what, mend="name a procedure that takes off", rule="car"),))
    drawn = car_from([procedure], known)
    named = {alias: drawn.ids.get(procedure.named(alias)) for alias in procedure.aliases}
    return CarFile(
        car=drawn.car,
        content=write_car(drawn.car, findings=drawn.findings).encode(),
        findings=drawn.findings,
        aliases={alias: id for alias, id in named.items() if id is not None},
    )


def plan_job(
    path: Path,
    ids: Sequence[str],
    *,
    without: Sequence[str] = (),
    settings: Settings,
    tools: OwnTools | None = None,
    on_progress: Progress | None = None,
) -> Planned | Impossible | Refused:
    """Plan a job from a car file, or from a procedure that is drawn to one.

    Args:
        path: the car file, or a procedure file.
        ids: what is to be renewed: ids or names of items or services.
        without: tools that are not there.
        settings: the owner's own figures.
        tools: the owner's tool list, for the torque card; None: the card names no wrench.
        on_progress: told best and bound while a search runs.
    """
    file = car_file(path)
    own = None if tools is None else own_tools(tools.file)
    unread = () if own is None or own.tools is not None else own.findings
    if isinstance(file, Refused) or unread:
        return Refused(findings=(*(file.findings if isinstance(file, Refused) else ()), *unread))
    planned = plan_on(file, ids, without=without, settings=settings, on_progress=on_progress)
    if own is None or tools is None or not isinstance(planned, Planned):
        return planned
    return replace(planned, plan=with_tools(planned.plan, own, tools.day))


def plan_on(
    file: CarFile,
    ids: Sequence[str],
    *,
    without: Sequence[str] = (),
    settings: Settings,
    on_progress: Progress | None = None,
) -> Planned | Impossible | Refused:
    """Plan a job on a car that was read.

    Args:
        file: the car.
        ids: what is to be renewed: ids or names of items or services.
        without: tools that are not there.
        settings: the owner's own figures.
        on_progress: told best and bound while a search runs.
    """
    want = _resolve(file.car, [_id_of(file, id) for id in ids])
    if isinstance(want, Refused):
        return want
    plan = make_plan(file.car, want, without=without, settings=settings, on_progress=on_progress)
    if isinstance(plan, Impossible):
        return plan
    plan = replace(plan, findings=(*plan.findings, *_about(plan, file.findings)))
    return Planned(plan=plan, audit=audit(plan.car, plan.operations, targets=plan.targets))


def _id_of(file: CarFile, said: str) -> str:
    """The id of what is called so; the same words where nothing is, or more than one thing."""
    car = file.car
    if said in car.services or said in car.items:
        return said
    services = [(one.name, id) for id, one in car.services.items()]
    items = [(one.name, id) for id, one in car.items.items()]
    called = (*services, *items, *file.aliases.items())
    found = {id for name, id in called if name.casefold() == said.casefold()}
    return found.pop() if len(found) == 1 else said


def _about(plan: Plan, findings: Sequence[Finding]) -> Iterator[Finding]:
    """What concerns the car as a whole, or an item of the work."""
    for finding in findings:
        section, _, rest = finding.where.field.partition(".")
        if section != "items" or rest.partition(".")[0] in plan.items:
            yield finding


def own_tools(path: Path) -> "ToolsRead":
    """Read a tool list and say everything that is wrong with it."""
    from putback.adapters.tool_list import read_tools  # noqa: PLC0415 - loaded where a list is given

    return read_tools(path)


def with_tools(plan: Plan, own: "ToolsRead", day: date) -> Plan:
    """The plan with the owner's wrenches on its torque card, and what is to be noted of the list.

    Args:
        plan: as it was made.
        own: the tool list as read; one with faults changes nothing.
        day: of the work, for the calibration.
    """
    from putback.plan.wrenches import with_wrenches  # noqa: PLC0415 - the same

    if own.tools is None:
        return plan
    judged = with_wrenches(plan, wrenches=own.tools.wrenches.values(), adapters=own.tools.adapters, day=day)
    return replace(judged, findings=(*judged.findings, *own.findings))


def _resolve(car: Car, ids: Sequence[str]) -> Wanted | Refused:
    known = [*car.services, *car.items]
    unknown = [id for id in dict.fromkeys(ids) if id not in car.services and id not in car.items]
    if not ids:
        services = ", ".join(car.services) or "an item id"
        where = Where(file=car.file, field="--for")
        mend = f"name what is to be renewed, such as {services}"
        return Refused(findings=(Finding(where=where, what="nothing is asked for", mend=mend, rule="for"),))
    if unknown:
        return Refused(findings=tuple(_unknown(car, id, known) for id in unknown))
    return wanted(car, ids)


def _unknown(car: Car, id: str, known: Sequence[str]) -> Finding:
    kinds = (("an energy", car.energies), ("a guard", car.guards), ("a fluid", car.fluids))
    kind = next((name for name, things in kinds if id in things), None)
    if kind:
        what, mend = f"{id!r} is {kind}, not an item", "name the item or service that is to be renewed"
        return Finding(where=Where(file=car.file, field="--for"), what=what, mend=mend, rule="for")
    nearest = difflib.get_close_matches(id, known, n=1, cutoff=0.4)
    mend = (
        f"did you mean {nearest[0]!r}?"
        if nearest
        else f"the car has {', '.join(known[:8])}{' …' if known[8:] else ''}"
    )
    what = f"the car has neither item nor service {id!r}"
    return Finding(where=Where(file=car.file, field="--for"), what=what, mend=mend, rule="for")


def audit_file(car_path: Path, operations_path: Path) -> Audited | Refused:
    """Audit a sequence of operations, such as a plan written with `--json`, against its car file."""
    file = car_file(car_path)
    read = read_operations(operations_path)
    if isinstance(file, Refused) or read.operations is None:
        return Refused(findings=(*(file.findings if isinstance(file, Refused) else ()), *read.findings))
    car = file.car
    targets = [id for id in read.targets if id in car.items]
    found = audit(car, read.operations, targets=targets)
    return Audited(car=car, count=len(read.operations), findings=found)
