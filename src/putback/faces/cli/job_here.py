"""One idea: a command that names a job of a store gets its desk and its view, or says why there is none."""

import datetime
import uuid
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from putback.adapters.stores import Store, StoreFailed, open_store
from putback.adapters.stores.check import no_such_job
from putback.bay import Bay, Closed, JobView, Shelf
from putback.bay.shelf import beside
from putback.core.finding import Finding, Where
from putback.plan.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class JobHere:
    """A job of a store that is open: the desk, the job as it stands, its plan."""

    bay: Bay
    view: JobView
    plan: Plan


@contextmanager
def job_here(
    store: str, job: str | None, *, files: Path | None = None, read_only: bool = True
) -> Iterator[JobHere | tuple[Finding, ...]]:
    """A job while its store is open; the findings where there is none. A store that fails is a finding too."""
    if job is None:
        yield _wrong(store, "--job", "a store is named, but no job of it", "name the job: putback record show STORE")
        return
    try:
        opened = open_store(store, read_only=read_only)
    except (StoreFailed, OSError) as failure:
        yield _failed(store, failure)
        return
    with opened:
        try:
            found = _found(opened, store, job, files)
        except (StoreFailed, OSError) as failure:
            found = _failed(store, failure)
        yield found


def desk(
    store: Store,
    files: Path,
    *,
    cars: Mapping[str, Path] | None = None,
    tools: Path | None = None,
    drives: Path | None = None,
    procedures: Path | None = None,
) -> Bay:
    """The desk of an open store, for a command: it reads the clock, and makes ids."""
    return Bay(
        store=store,
        shelf=Shelf(files),
        cars=cars or {},
        clock=lambda: datetime.datetime.now().astimezone(),  # noqa: TID251 - faces read the clock
        new_id=lambda: uuid.uuid4().hex[:16],
        tools=tools,
        drives=drives,
        procedures=procedures,
    )


def _found(opened: Store, store: str, job: str, files: Path | None) -> JobHere | tuple[Finding, ...]:
    if job not in opened.jobs():
        return (no_such_job(opened, job),)
    bay = desk(opened, files or beside(store))
    view = bay.view(job)
    if isinstance(view, Closed):
        return _wrong(store, "--job", view.what, view.mend)
    plan = bay.plan(view)
    if isinstance(plan, Closed):
        return _wrong(store, "--job", plan.what, plan.mend)
    return JobHere(bay=bay, view=view, plan=plan)


def _failed(store: str, failure: Exception) -> tuple[Finding, ...]:
    return _wrong(store, "--store", str(failure), "check the store with putback record verify")


def _wrong(file: str, field: str, what: str, mend: str) -> tuple[Finding, ...]:
    return (Finding(where=Where(file=file, field=field), what=what, mend=mend, rule="job"),)
