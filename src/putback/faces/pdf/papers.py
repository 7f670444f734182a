"""One idea: the papers of a job are a list: a name, what it is, and the function that makes it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from putback.bay import Bay, JobView
from putback.bay.handover import hand_over
from putback.bay.labels import labels_of
from putback.bay.order import thing_key
from putback.bay.papers import Source, job_record, source_of
from putback.core.operations import Operation
from putback.faces.draw import valley_svg
from putback.faces.pdf.record import record_pdf
from putback.faces.pdf.sheets import handover_pdf, labels_pdf
from putback.plan.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A paper: what it is, and how it is made from a job and the address of the workshop's server ("" for none)."""

    says: str
    make: Callable[[Source, str], bytes]


def _record(source: Source, _: str) -> bytes:
    valley = valley_svg(source.plan, done=done_numbers(source), titled=False)
    return record_pdf(job_record(source), valley=valley)


def _handover(source: Source, _: str) -> bytes:
    return handover_pdf(hand_over(source))


def _labels(source: Source, address: str) -> bytes:
    return labels_pdf(labels_of(source, address=address))


PAPERS: Mapping[str, Paper] = MappingProxyType(
    {
        "record": Paper(says="job record", make=_record),
        "handover": Paper(says="hand-over sheet", make=_handover),
        "labels": Paper(says="labels of trays", make=_labels),
    }
)


def paper(name: str, bay: Bay, view: JobView, plan: Plan, *, address: str = "") -> bytes:
    """One of the papers.

    Args:
        name: of `PAPERS`.
        bay: the desk.
        view: the job.
        plan: its plan.
        address: of the workshop's own server, for the codes on labels.

    Raises:
        NotSet: the typesetter refused.
    """
    return PAPERS[name].make(source_of(bay, view, plan), address)


def done_numbers(source: Source) -> frozenset[int]:
    """The operations of the plan that are done, found by what they are done to, else by verb and note."""
    done = {_told(operation) for operation, _ in source.told.done}
    return frozenset(op.n for op in source.plan.operations if _told(op) in done)


def _told(operation: Operation) -> tuple[str, ...]:
    return thing_key(operation) or (str(operation.verb), operation.note)
