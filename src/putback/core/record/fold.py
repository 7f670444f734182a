"""One idea: the state of a job is its events, folded; what does not fit is kept and spoken of.

Events become operations, operations are folded by `core.job`. An operation that was taken back drops out, and so
do the waits and proofs that it makes doubtful. Taking back never makes an energy safer than it was: a restore that is
taken back still counts, because nobody saw the energy being made safe again.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, cast

from putback.core import job as operations_job
from putback.core.finding import Finding, Kind, Where
from putback.core.job import JobState
from putback.core.operations import Operation, Verb
from putback.core.quantity import Torque
from putback.core.record.event import Event
from putback.core.record.kinds import CLOSED, DONE, EVENTS, OPENED, TAKEN_BACK, strange
from putback.core.record.review_kinds import NARRATION_TAKEN

_TEXTS = ("item", "joint", "way", "thread", "stow", "guard", "energy", "fluid", "note", "torque_source")


@dataclass(frozen=True, slots=True, kw_only=True)
class Folded:
    """A job as its events tell it.

    `operations` are those that stand, numbered from 1, and `made_by` the ids of their events; `taken_back` the ids
    of those that do not stand; `unknown` the ids of events that this program cannot read, which whoever keeps a
    gate must take as a doubt.
    """

    state: JobState
    operations: tuple[Operation, ...]
    made_by: tuple[str, ...]
    taken_back: tuple[str, ...]
    unknown: tuple[str, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Step:
    """An operation with its event and its place in the record, from 1."""

    place: int
    event: Event
    operation: Operation


def fold(events: Iterable[Event], *, name: Callable[[str], str] = str) -> Folded:
    """Fold the events of one job, in the server's order. Any sequence folds.

    An event id that comes again is no second event. `name` gives a thing of the car its name, for the words.
    """
    findings: list[Finding] = []
    known = _once(events, findings)
    findings += _life(known)
    steps = [
        _Step(place=place, event=event, operation=operation)
        for place, event in known.items()
        if (operation := operation_of(event)) is not None
    ]
    fallen = _fallen(steps, known, findings, name)
    standing = [step for step in steps if step.event.id not in fallen]
    operations = [replace(step.operation, n=n) for n, step in enumerate(standing, start=1)]
    state = operations_job.fold(operations)
    for misfit in state.misfits:
        step = standing[misfit.operation.n - 1]
        what = f"{misfit.operation.verb} {name(misfit.thing)} does not fit: it was {misfit.seat}"
        findings.append(_said(step.place, step.event, what, "look, and log what is true", "misfit"))
    return Folded(
        state=state,
        operations=tuple(operations),
        made_by=tuple(step.event.id for step in standing),
        taken_back=tuple(step.event.id for step in steps if step.event.id in fallen),
        unknown=tuple(event.id for event in known.values() if _is_unknown(event)),
        findings=tuple(sorted(findings, key=lambda finding: finding.where.line or 0)),
    )


def operation_of(event: Event, n: int = 1) -> Operation | None:
    """The operation that an event says was done; None for other events, and for a verb this program does not know.

    A field of the wrong shape is left out of the operation (and is a finding of `strange`).
    """
    shapes = {**EVENTS[DONE].must, **EVENTS[DONE].may}
    body = {name: value for name, value in event.body.items() if name in shapes and shapes[name].fits(value)}
    if event.kind != DONE or "verb" not in body:
        return None
    fields: dict[str, Any] = {name: body[name] for name in _TEXTS if name in body}
    if "tool" in body:
        fields["tools"] = (body["tool"],)
    if "count" in body:
        fields["count"] = int(cast("float", body["count"]))
    if "litres" in body:
        fields["litres"] = float(cast("float", body["litres"]))
    if "torque" in body:
        fields["torque"] = _torque(cast("Mapping[str, Any]", body["torque"]))
    return Operation(n=n, verb=Verb(str(body["verb"])), **fields)


def _torque(raw: Mapping[str, Any]) -> Torque:
    angle = raw.get("angle_deg")
    angles = angle if isinstance(angle, list | tuple) else () if angle is None else (angle,)
    return Torque(value=float(raw["value"]), unit=raw["unit"], angles_deg=tuple(map(float, angles)))


def _is_unknown(event: Event) -> bool:
    if event.kind not in EVENTS or event.more:
        return True
    kind = EVENTS[event.kind]
    odd_verb = event.kind == DONE and not kind.must["verb"].fits(event.body.get("verb"))
    return odd_verb or any(name not in kind.must and name not in kind.may for name in event.body)


def _once(events: Iterable[Event], findings: list[Finding]) -> dict[int, Event]:
    """The events of one job by place; what comes again or belongs elsewhere is left out and spoken of."""
    known: dict[int, Event] = {}
    seen: dict[str, Event] = {}
    for place, event in enumerate(events, start=1):
        job = next(iter(known.values())).job if known else event.job
        if event.job != job:
            findings.append(_said(place, event, f"belongs to job {event.job}", "look how it came here", "other job"))
        elif event.id in seen:
            if event.content != seen[event.id].content:
                what = "its id came before with other content; the first one counts"
                findings.append(_said(place, event, what, "log what is true as a new event", "conflict"))
        else:
            known[place] = seen[event.id] = event
            findings += [_at(place, finding) for finding in strange(event)]
    return known


def _life(known: Mapping[int, Event]) -> list[Finding]:
    """A job is opened once, first, and nothing comes after its end; a narration under review opens no job."""
    found: list[Finding] = []
    opened = closed = False
    for place, event in known.items():
        if event.kind == OPENED and opened:
            found.append(
                _said(place, event, "the job was open already", "one job, one car, one record", "opened twice")
            )
        if event.kind not in (OPENED, NARRATION_TAKEN) and not opened and place == min(known):
            found.append(
                _said(place, event, "the job was not opened before", "look for the lost beginning", "not opened")
            )
        if closed:
            found.append(
                _said(place, event, "comes after the job was closed", "look, and close it again", "after close")
            )
        opened, closed = True, event.kind == CLOSED or closed
    return found


def _fallen(
    steps: Sequence[_Step], known: Mapping[int, Event], findings: list[Finding], name: Callable[[str], str]
) -> set[str]:
    """The ids of operations that do not stand: taken back, or made doubtful by what was."""
    by_id = {step.event.id: step for step in steps}
    fallen: set[str] = set()
    for place, event in known.items():
        if event.kind != TAKEN_BACK:
            continue
        step = by_id.get(str(event.body.get("mends")))
        if step is None:
            what = f"takes back {event.body.get('mends')!r:.60}, which is no operation of this job"
            findings.append(_said(place, event, what, "name the event of the operation", "mends nothing"))
            continue
        if step.operation.verb is Verb.RESTORE:
            what = (
                f"takes back the restore of {name(str(step.operation.energy))}; it counts as live until made safe anew"
            )
            findings.append(_said(place, event, what, "isolate and prove again", "restore stands", Kind.NOTE))
        else:
            fallen.add(step.event.id)
        for doubtful in _doubtful(step, place, steps):
            if doubtful.event.id not in fallen:
                fallen.add(doubtful.event.id)
                what = (
                    f"{doubtful.operation.verb} {name(str(doubtful.operation.energy))} is in doubt since event {place}"
                )
                findings.append(_said(doubtful.place, doubtful.event, what, "do it again", "in doubt", Kind.NOTE))
    return fallen


_VOIDS: Mapping[Verb, frozenset[Verb]] = MappingProxyType(
    {
        Verb.ISOLATE: frozenset({Verb.WAIT, Verb.PROVE_DEAD}),
        Verb.RESTORE: frozenset({Verb.WAIT, Verb.PROVE_DEAD}),
        Verb.WAIT: frozenset({Verb.WAIT, Verb.PROVE_DEAD}),
        Verb.PROVE_DEAD: frozenset({Verb.PROVE_DEAD}),
    }
)
"""What of an energy is in doubt once an operation on it is taken back: no taking back may leave it safer."""


def _doubtful(taken: _Step, place: int, steps: Sequence[_Step]) -> Iterator[_Step]:
    """The operations on the same energy, before the taking back, that can no longer be relied on."""
    voids = _VOIDS.get(taken.operation.verb, frozenset())
    for step in steps:
        same = step.operation.energy == taken.operation.energy
        if same and step.place < place and step is not taken and step.operation.verb in voids:
            yield step


def _said(place: int, event: Event, what: str, mend: str, rule: str, kind: Kind = Kind.FAULT) -> Finding:
    where = Where(file=f"record {event.job}", line=place, field=event.id)
    return Finding(where=where, what=what, mend=mend, rule=rule, kind=kind)


def _at(place: int, finding: Finding) -> Finding:
    return replace(finding, where=replace(finding.where, line=place))
