"""One idea: what is left is said: what is owed or unknown, what is to be checked again, what nobody taught or read."""

from collections.abc import Iterator

from putback.core.car import Relearn
from putback.core.finding import Kind
from putback.core.gates.case import Fact
from putback.core.operations import Verb
from putback.core.papers.done import owed_of, trips
from putback.core.papers.evidence import fluids_and_guards, new_parts, torque_evidence
from putback.core.papers.section import NOT_RECORDED, Column, Row, Section, Table
from putback.core.papers.told import Told, listed
from putback.core.record.kinds import CLOSED

_RECHECK = "recheck-"


def open_ends(told: Told) -> Section:
    """Everything that is owed, differs, or that nobody recorded."""
    columns = (Column(name="matter", share=2), Column(name="what", share=6))
    rows = tuple(Row(cells=line, owed=True) for line in dict.fromkeys(_open_ends(told)))
    return Section(
        id="open",
        title="Owed, different or unknown",
        tables=(Table(columns=columns, rows=rows),),
        absent="By the record nothing is owed. The record is what was logged; it is not the car.",
    )


def _open_ends(told: Told) -> Iterator[tuple[str, str]]:
    for trip in trips(told):
        if owed := owed_of(told, trip):
            name = told.thing(trip.thing) or "code read"
            yield "owed", f"{name}: {listed(owed)}"
    yield from _evidence_lacking(told)
    done = {op.verb for op, _ in told.done}
    if Verb.READ_AFTER not in done:
        yield NOT_RECORDED, "code read after the work: whether the work added a code is unknown"
    if Verb.ROAD_TEST not in done:
        yield NOT_RECORDED, "road test"
    if not any(told.of_kind(CLOSED)):
        yield "open", "the job is not closed"
    for finding in told.case.folded.findings:
        if finding.kind is Kind.FAULT:
            yield "does not fit", f"event {finding.where.line}: {finding.what}"


def _evidence_lacking(told: Told) -> Iterator[tuple[str, str]]:
    torque = torque_evidence(told).tables[0].rows
    silent = [row.cells[0] for row in torque if row.cells[5] == NOT_RECORDED and row.cells[7] != "not tight"]
    if silent:
        yield NOT_RECORDED, f"a torque for {listed(silent)}"
    for row in torque:
        if row.cells[5].endswith("differs"):
            yield "differs", f"{row.cells[0]}: logged {row.cells[5].removesuffix(', differs')}, file {row.cells[3]}"
    for row in new_parts(told).tables[0].rows:
        if row.owed:
            yield NOT_RECORDED, f"{row.cells[0]} as new"
    for row in fluids_and_guards(told).tables[1].rows:
        if row.owed and NOT_RECORDED in row.cells[1:3]:
            yield NOT_RECORDED, f"{row.cells[0]} fluid: litres {'out' if row.cells[1] == NOT_RECORDED else 'in'}"
        elif row.owed:
            yield "differs", f"{row.cells[0]} fluid: out {row.cells[1]} l, in {row.cells[2]} l"


def code_reads(told: Told) -> Section:
    """When codes were read. The lists themselves stand outside the record."""
    rows = [
        Row(cells=(str(op.verb), told.stamp(fact), str(fact.says("note") or ""), str(fact.place)))
        for op, fact in told.done
        if op.verb in (Verb.READ_BEFORE, Verb.READ_AFTER)
    ]
    columns = (
        Column(name="read", share=2),
        Column(name="when, who", share=1.6),
        Column(name="note", share=5),
        Column(name="event", share=0.8, figure=True),
    )
    lead = "The record holds when codes were read, not the codes. No code is no proof that a thing was tested."
    return Section(id="codes", title="Code reads", lead=lead, tables=(Table(columns=columns, rows=tuple(rows)),))


def to_watch(told: Told) -> Section:
    """Joints to check again after some way or time, and what was taught again or not."""
    columns = (Column(name="what", share=4), Column(name="when", share=3), Column(name="state", share=3))
    rows = (*_rechecks(told), *_relearns(told))
    return Section(
        id="watch",
        title="What remains to watch",
        tables=(Table(columns=columns, rows=rows),),
        absent="The car file names no recheck and no relearn for this work.",
    )


def _rechecks(told: Told) -> Iterator[Row]:
    """Joints with a recheck in the car file that were tightened."""
    tight = dict.fromkeys(op.joint for op, _ in told.done if op.verb is Verb.TIGHTEN and op.joint)
    for id in tight:
        joint = told.joints.get(str(id))
        if joint is None:
            continue
        marks = [note.removeprefix(_RECHECK) for note in joint.notes if note.startswith(_RECHECK)]
        after = joint.recheck or listed(marks)
        if after:
            what = f"{told.thing(joint.item)}: check tightness again ({told.joint_text(joint.id)})"
            yield Row(cells=(what, f"after {after}", "to do"), owed=True)


def _relearns(told: Told) -> Iterator[Row]:
    """What the car file says must be taught again after what was done, with when it was."""
    taught = [fact for op, fact in told.done if op.verb is Verb.RELEARN]
    for relearn in told.case.car.relearn:
        if _due(told, relearn):
            done = _taught(relearn, taught)
            state = f"logged {told.stamp(done)}" if done else NOT_RECORDED
            after = told.thing(relearn.after)
            yield Row(cells=(f"relearn: {relearn.what}", f"because of {after}", state), owed=done is None)


def _due(told: Told, relearn: Relearn) -> bool:
    return relearn.after in told.case.energies or relearn.after in told.case.touched


def _taught(relearn: Relearn, taught: list[Fact]) -> Fact | None:
    """The line that says it was taught: it names it."""
    return next((fact for fact in reversed(taught) if fact.says("note") == relearn.what), None)
