"""One idea: a job can be named by what is to be renewed, by a file of operations, or by its record."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from putback.adapters.operations_file import read_operations
from putback.bay.desk import Bay, Closed, JobView
from putback.core.car import Car
from putback.core.codes.causes.cause import Access
from putback.core.codes.verdicts.expected import Disturbed, disturbed_by, whole_car
from putback.core.finding import Finding, Where
from putback.core.operations import Operation, Verb

NO_JOB = "no job is named, so every item and energy of the car file counts as disturbed; name it with --job"


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """What a job disturbed, how it reached it, and what is to be said of that."""

    car: Car
    disturbed: Disturbed
    access: Access
    note: str = ""


Named = Job | tuple[Finding, ...]


def job_of(car: Car, job: str | None) -> Named:
    """What a job disturbed, or why that cannot be said.

    Args:
        car: the car file.
        job: ids with commas, or a JSON file of operations; None: not known.
    """
    if job is None:
        return Job(car=car, disturbed=whole_car(car), access=Access(), note=NO_JOB)
    if job.endswith(".json") or Path(job).is_file():
        read = read_operations(Path(job))
        return read.findings if read.operations is None else of_operations(car, read.operations)
    return _of_ids(car, [id.strip() for id in job.split(",") if id.strip()])


def _of_ids(car: Car, ids: Sequence[str]) -> Named:
    from putback.plan.plan import Impossible  # noqa: PLC0415 - the planner is loaded when it is used
    from putback.plan.reached import least_work  # noqa: PLC0415 - the same

    unknown = [id for id in ids if id not in car.items and id not in car.services]
    if unknown or not ids:
        services = ", ".join(car.services) or "an item id"
        what = f"the car has neither item nor service {', '.join(map(repr, unknown))}" if ids else "no job is named"
        mend = f"name what was renewed, such as {services}, or a JSON file of operations, or give --store"
        return (Finding(where=Where(file=car.file, field="--job"), what=what, mend=mend, rule="job"),)
    work = least_work(car, ids)
    if isinstance(work, Impossible):
        why = "; ".join(f"{one.joint}: {one.why}" for one in work.joints)
        return (
            Finding(
                where=Where(file=car.file, field="--job"),
                what=f"the job cannot be planned ({why})",
                mend="see putback plan",
                rule="job",
            ),
        )
    return Job(
        car=car,
        disturbed=Disturbed(items=work.items, energies=work.energies),
        access=Access(ways=work.ways, in_work=work.items),
        note="" if work.proved else "the least work is not proved, so other items may have been disturbed",
    )


def of_operations(car: Car, operations: Sequence[Operation]) -> Job:
    """What operations disturbed, and by which ways they came there."""
    disturbed = disturbed_by(car, operations)
    known = {joint.id: {way.id for way in joint.ways} for joint in car.joints()}
    ways = {
        one.joint: one.way
        for one in operations
        if one.verb is Verb.UNDO and one.joint and one.way and one.way in known.get(one.joint, ())
    }
    note = "" if disturbed.items else "the operations disturb no item of this car file"
    return Job(car=car, disturbed=disturbed, access=Access(ways=ways, in_work=disturbed.items), note=note)


def job_of_view(bay: Bay, view: JobView) -> Named:
    """What the record of an open job says was done, with the car file that was kept for it."""
    plan = bay.plan(view)
    if isinstance(plan, Closed):
        return (Finding(where=Where(file=view.job, field="--job"), what=plan.what, mend=plan.mend, rule="job"),)
    return of_operations(plan.car, view.now.folded.operations)
