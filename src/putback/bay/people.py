"""One idea: devices learn the names of who works here and of the owners of the job they ask for, of nobody else."""

from collections.abc import Iterator
from dataclasses import dataclass

from putback.bay.desk import Bay, Closed
from putback.bay.owner import names
from putback.core.record import NotAnEvent, is_id, read_event
from putback.core.record.intake_kinds import OWNER_NAMED

LONGEST_NAME = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """Somebody by name; `role` is empty for who works here."""

    id: str
    name: str
    role: str = ""


def known(bay: Bay, *, job: str | None = None) -> tuple[Known, ...]:
    """Who works here; with a job also its owners."""
    owners = set(_owners(bay, job)) if job else set()
    people = {one.id for one in bay.store.people() if one.data is not None}
    return tuple(
        Known(id=id, name=name, role=role)
        for id, (name, role) in names(bay).items()
        if id in people and (not role or id in owners)
    )


def _owners(bay: Bay, job: str) -> Iterator[str]:
    for link in bay.store.read(job):
        try:
            event = read_event(link.content)
        except NotAnEvent:
            continue
        if event.kind == OWNER_NAMED:
            yield str(event.body.get("who"))


def meet(bay: Bay, *, id: object, name: object) -> Known | Closed:
    """Keep the name of somebody who works here, under the id that a device made. Saying it again is harmless.

    Raises:
        StoreFailed: nothing was kept.
    """
    if not is_id(id) or not isinstance(id, str):
        return Closed(what="has no id of a person", mend="send an id that says nothing of them")
    if not isinstance(name, str) or not name.strip() or len(name) > LONGEST_NAME or not name.isprintable():
        return Closed(what=f"has no name of 1 to {LONGEST_NAME} letters on one line", mend="write the name")
    there = bay.store.person(id)
    if there is None:
        bay.store.put_person(id, {"name": name.strip()})
    elif there.data is None:
        return Closed(what=f"names {id}, who was deleted and stays so", mend="keep them under a new id")
    elif there.data.get("role") or there.data.get("name") != name.strip():
        return Closed(what=f"names {id}, which is somebody else here", mend="keep them under a new id")
    return Known(id=id, name=name.strip())
