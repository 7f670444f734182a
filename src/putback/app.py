"""One idea: load, plan, audit: the few things that any face asks for, in one place.

What goes wrong comes back as a value; faces decide only how to show it.
"""

import difflib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from putback.adapters.car_file import Reading, read_car
from putback.adapters.operations_file import read_operations
from putback.core.car import Car
from putback.core.finding import Finding, Where
from putback.core.rules import audit
from putback.plan.make import Progress, Settings, Wanted, make_plan, wanted
from putback.plan.plan import Impossible, Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """The call cannot be served: the file is unreadable or faulty, or an id is not known."""

    findings: tuple[Finding, ...]


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
    """Read a car file and say everything that is wrong with it."""
    return read_car(path)


def plan_job(
    path: Path,
    ids: Sequence[str],
    *,
    without: Sequence[str] = (),
    settings: Settings,
    on_progress: Progress | None = None,
) -> Planned | Impossible | Refused:
    """Plan a job from a car file.

    Args:
        path: the car file.
        ids: what is to be renewed: item or service ids.
        without: tools that are not there.
        settings: the owner's own figures.
        on_progress: told best and bound while a search runs.
    """
    reading = read_car(path)
    if reading.car is None:
        return Refused(findings=reading.findings)
    want = _resolve(reading.car, ids)
    if isinstance(want, Refused):
        return want
    plan = make_plan(reading.car, want, without=without, settings=settings, on_progress=on_progress)
    if isinstance(plan, Impossible):
        return plan
    return Planned(plan=plan, audit=audit(plan.car, plan.operations, targets=plan.targets))


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
    reading = read_car(car_path)
    read = read_operations(operations_path)
    problems = (*(reading.findings if reading.car is None else ()), *read.findings)
    if reading.car is None or read.operations is None:
        return Refused(findings=problems)
    car = reading.car
    targets = [id for id in read.targets if id in car.items]
    found = audit(car, read.operations, targets=targets)
    return Audited(car=car, count=len(read.operations), findings=found)
