"""One idea: what may be sent to a car follows from the job as it stands: by its record, or by a file of operations."""

from dataclasses import dataclass
from pathlib import Path

from putback.core.car import Car
from putback.core.finding import Finding, Where
from putback.core.job import JobState, fold

_UNREADABLE = "the record holds events that this program cannot read, so what is open is not known"


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A job as it stands. Without a job both are None. `doubt`: why it may not be all."""

    car: Car | None = None
    state: JobState | None = None
    doubt: str = ""


def standing_job(
    *, car: Path | None, job: str | None, store: str | None, files: Path | None
) -> Standing | tuple[Finding, ...]:
    """The job that a command names, or what is wrong with that."""
    if store is not None:
        return _of_store(store, job, files)
    if job is None:
        return Standing()
    return _of_file(car, Path(job))


def _of_file(car: Path | None, operations: Path) -> Standing | tuple[Finding, ...]:
    from putback.adapters.car_file import read_car  # noqa: PLC0415 - loaded where a job is named
    from putback.adapters.operations_file import read_operations  # noqa: PLC0415 - the same

    if car is None:
        return _wrong("codes", "--car", "a job is named, but no car file", "name it with --car, or give --store")
    reading = read_car(car)
    done = read_operations(operations)
    if reading.car is None or done.operations is None:
        return (*(() if reading.car else reading.findings), *(() if done.operations else done.findings))
    return Standing(car=reading.car, state=fold(done.operations))


def _of_store(store: str, job: str | None, files: Path | None) -> Standing | tuple[Finding, ...]:
    from putback.faces.cli.job_here import job_here  # noqa: PLC0415 - loaded where a store is named

    with job_here(store, job, files=files) as here:
        if isinstance(here, tuple):
            return here
        folded = here.view.now.folded
        return Standing(car=here.plan.car, state=folded.state, doubt=_UNREADABLE if folded.unknown else "")


def _wrong(file: str, field: str, what: str, mend: str) -> tuple[Finding, ...]:
    return (Finding(where=Where(file=file, field=field), what=what, mend=mend, rule="job"),)
