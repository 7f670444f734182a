"""One idea: a tray's label says what lies in it, so that a hand at arm's length takes the right fastener."""

from collections.abc import Set
from dataclasses import dataclass
from datetime import datetime

from putback.bay.papers import Source
from putback.core.car import Joint
from putback.core.papers.told import kind_of
from putback.plan.plan import StowLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """Fasteners of one joint: how many, which, of what. `trap`: others differ in nothing but length, [mm]."""

    count: int
    kind: str
    item: str
    trap: bool
    length_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """One tray or bag. `points_to` is what its code says: an address of the job, or the job and the place."""

    place: str
    zone: str
    contents: tuple[Content, ...]
    points_to: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Labels:
    """All trays of a job, as planned."""

    job: str
    title: str
    car: str
    labels: tuple[Label, ...]
    at: datetime


def labels_of(source: Source, *, address: str = "") -> Labels:
    """The labels of a job's trays.

    Args:
        source: the job.
        address: of the workshop's own server, such as http://192.0.2.7:8070; "" where there is none.
    """
    plan, job = source.plan, source.view.job
    trapped = frozenset(id for trap in plan.length_traps for ids in trap.joints_by_length_mm.values() for id in ids)
    return Labels(
        job=job,
        title=source.title,
        car=plan.car.name,
        labels=tuple(_label(source, line, trapped, address) for line in plan.stow),
        at=source.at,
    )


def _label(source: Source, line: StowLine, trapped: Set[str], address: str) -> Label:
    zone = source.plan.car.zones.get(line.zone)
    job = source.view.job
    return Label(
        place=line.place,
        zone=zone.name if zone else line.zone,
        contents=tuple(_content(source, joint, trapped) for joint in line.joints),
        points_to=f"{address}/jobs/{job}/car" if address else f"{job} {line.place}",
    )


def _content(source: Source, joint: Joint, trapped: Set[str]) -> Content:
    return Content(
        count=joint.count,
        kind=kind_of(joint),
        item=source.told.thing(joint.item),
        trap=joint.id in trapped,
        length_mm=joint.thread.length_mm if joint.thread else None,
    )
