"""One idea: three papers follow from one record: the job record, the hand-over sheet, the labels of the trays.

Nothing is decided here; what plan, findings and intake say is set beside what the core reads off the record. The
moment is that of the record's last event, so the same record gives the same papers for ever.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from putback.bay.code_papers import codes_section
from putback.bay.code_words import JobCodes, codes_of
from putback.bay.desk import Bay, JobView
from putback.bay.findings import FindingLine, Findings, findings_of
from putback.bay.intake import Intake, intake_of
from putback.bay.named import car_words, names_of
from putback.core.gates import AUTHORITY, Entry, read_case
from putback.core.gates.case import time_of
from putback.core.gates.consent import matter_name
from putback.core.intake import Given
from putback.core.papers import (
    NOT_RECORDED,
    Column,
    Row,
    Section,
    Table,
    Told,
    counts,
    differing,
    energy_sections,
    fluids_and_guards,
    new_parts,
    open_ends,
    passed_gates,
    protection,
    taken_back,
    to_watch,
    torque_evidence,
    twin_rows,
    who_worked,
)
from putback.core.papers.section import pairs
from putback.core.record import Link
from putback.core.record.intake_kinds import CAR_IDENTIFIED, OWNER_NAMED
from putback.core.record.kinds import CLOSED, OVERRIDE_GIVEN, PHOTO_TAKEN
from putback.plan.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """What a paper is made of: a job, its plan, its record retold, what was found and asked, and at which moment.

    `lists` are the attached code lists as text, by file name.
    """

    view: JobView
    plan: Plan
    told: Told
    findings: Findings
    intake: Intake
    at: datetime
    codes: JobCodes
    lists: Mapping[str, str]

    @property
    def title(self) -> str:
        """What the job is."""
        return str(self.view.pack["title"])


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRecord:
    """The job record. `head` is the chain's head for print, `kept` the same as `putback record verify` takes it."""

    job: str
    title: str
    car: str
    invented: bool
    facts: tuple[tuple[str, str], ...]
    sections: tuple[Section, ...]
    head: str
    kept: str
    events: int
    faults: tuple[str, ...]
    authority: str
    links: tuple[Link, ...]
    at: datetime
    lists: Mapping[str, str]


def source_of(bay: Bay, view: JobView, plan: Plan) -> Source:
    """Everything that the papers of a job are made of.

    Args:
        bay: the desk, for the names that stand outside the record.
        view: the job.
        plan: its plan.
    """
    entries = [Entry(event=one.event, received_at=one.received_at) for one in view.received]
    at = max((time_of(link.received_at) for link in view.links), default=time_of("1970-01-02T00:00:00Z"))
    people = {id: name for id, (name, _) in names_of(bay.store).items()}
    case = read_case(
        plan.car, entries, energies=[line.energy.id for line in plan.energies], ways=plan.ways, people=people
    )
    codes = codes_of(bay, view)
    return Source(
        view=view,
        plan=plan,
        told=Told(case=case, people=people),
        findings=findings_of(plan, entries, at=at, people=people),
        intake=intake_of(plan, entries, at=at),
        at=at,
        codes=codes,
        lists=dict(_lists(bay, codes)),
    )


def _lists(bay: Bay, codes: JobCodes) -> Iterator[tuple[str, str]]:
    """The attached lists by a file name that tells their order, their stage and their digest."""
    for n, read in enumerate(codes.reads, start=1):
        content = None if read.lost else bay.shelf.get(read.sha256)
        if content is not None:
            yield f"codes-{n:02d}-{str(read.stage).replace(' ', '-')}-{read.sha256[:12]}.csv", content.decode()


def job_record(source: Source) -> JobRecord:
    """The job record: all of it, in the order in which one asks."""
    view, told = source.view, source.told
    sections = (
        open_ends(told),
        _intake(source),
        who_worked(told),
        twin_rows(told),
        *energy_sections(told),
        protection(told),
        passed_gates(told),
        torque_evidence(told),
        counts(told),
        new_parts(told),
        _compared(source),
        fluids_and_guards(told),
        _findings(source),
        differing(told),
        taken_back(told),
        codes_section(told, source.codes),
        to_watch(told),
        _photos(told),
    )
    return JobRecord(
        job=view.job,
        title=source.title,
        car=source.plan.car.name,
        invented=source.plan.car.invented,
        facts=tuple(_facts(source)),
        sections=sections,
        head=view.head.on_paper(),
        kept=str(view.head),
        events=len(view.links),
        faults=tuple(str(fault) for fault in view.faults),
        authority=AUTHORITY,
        links=view.links,
        at=source.at,
        lists=source.lists,
    )


def _facts(source: Source) -> Iterator[tuple[str, str]]:
    """What stands at the head of a job record."""
    told, view = source.told, source.view
    yield "car", source.plan.car.name + (", an invented car" if source.plan.car.invented else "")
    yield "plate", plate_of(told)
    yield "owner", owner_of(told)
    yield "wanted", source.title
    yield "complaint", _said(source.intake, "complaint") or str(view.opened.body.get("complaint") or NOT_RECORDED)
    yield "opened", _moment(view.opened.at)
    closed = [fact for fact in told.of_kind(CLOSED) if fact.stands]
    yield "closed", _moment(closed[-1].event.at) if closed else "not closed"
    yield "authorised", authorised(source)
    yield "overrides", str(sum(1 for _ in told.of_kind(OVERRIDE_GIVEN)))
    if view.aside:
        yield "kept aside", f"{view.aside} events came with an id that was used before; they are not in the record"


def _moment(text: str) -> str:
    """A time with its offset, to the minute.

    >>> _moment("2026-03-02T08:15:42.1+01:00")
    '2026-03-02 08:15 +01:00'
    """
    return f"{time_of(text):%Y-%m-%d %H:%M} {text[-6:] if text[-1] != 'Z' else 'UTC'}"


def plate_of(told: Told) -> str:
    """The plate, from outside the record; and the end of the vehicle number that stands in it."""
    cars = [fact for fact in told.of_kind(CAR_IDENTIFIED) if fact.stands]
    if not cars:
        return NOT_RECORDED
    plate, number = car_words(str(cars[-1].says("car")), cars[-1].says("vin_end"), told.people)
    return "; ".join(filter(None, (plate or NOT_RECORDED, number)))


def owner_of(told: Told) -> str:
    """Who may sign and answer, by name, role and channel."""
    named = [fact for fact in told.of_kind(OWNER_NAMED) if fact.stands]
    latest = {str(fact.says("who")): fact for fact in named}
    said = [f"{told.name(id)} ({fact.says('as')}, {fact.says('channel')})" for id, fact in latest.items()]
    return "; ".join(said) or NOT_RECORDED


def authorised(source: Source) -> str:
    """What was signed, by whom, when, up to which sum."""
    signed = source.intake.signed
    if signed is None:
        return f"{NOT_RECORDED}: nobody signed"
    body = signed.event.body
    return (
        f"{source.told.name(body['who'])}, {_moment(str(body['at']))}, {body['channel']}: total {signed.amount} "
        f"{signed.currency}, limit {signed.limit} {signed.currency}, scope version {signed.version}"
    )


def _said(intake: Intake, id: str) -> str:
    line = next((one for one in intake.lines if one.id == id), None)
    return line.says if line and line.stands is Given.GIVEN else ""


def _intake(source: Source) -> Section:
    """What was asked before the work, and the parts on the shelf."""
    told = source.told
    lines = pairs(
        (
            line.name,
            NOT_RECORDED
            if line.stands is Given.MISSING
            else " · ".join(part for part in (_who(told, line.who), line.says) if part),
        )
        for line in source.intake.lines
        if not line.id.startswith("photo ")
    )
    taken = [line.id.removeprefix("photo ") for line in source.intake.lines if line.id.startswith("photo ")]
    given = [
        line.id.removeprefix("photo ")
        for line in source.intake.lines
        if line.id.startswith("photo ") and line.stands is Given.GIVEN
    ]
    open_parts = [line.name for line in source.intake.parts if line.stands is Given.MISSING]
    waived = [f"{line.name} ({line.says})" for line in source.intake.parts if line.stands is Given.WAIVED]
    keys = ", ".join(
        f"{one.name} {'–' if one.came is None else one.came} in, {'–' if one.back is None else one.back} back"
        for one in source.intake.keys
    )
    rest = pairs(
        (
            ("walk-round photos", f"{len(given)} of {len(taken)}: {', '.join(given)}" if given else NOT_RECORDED),
            ("keys", keys if any(one.came is not None for one in source.intake.keys) else NOT_RECORDED),
            ("parts on the shelf", _shelf(len(source.intake.parts), open_parts, waived)),
        )
    )
    return Section(id="intake", title="Before the work", tables=(lines, rest))


def _who(told: Told, id: str | None) -> str:
    return told.name(id) if id else ""


def _shelf(count: int, missing: Sequence[str], waived: Sequence[str]) -> str:
    if len(missing) == count:
        return NOT_RECORDED
    seen = f"{count - len(missing) - len(waived)} of {count} seen"
    more = [f"not seen: {', '.join(missing)}"] if missing else []
    return "; ".join([seen, *more, *([f"waived: {', '.join(waived)}"] if waived else [])])


def _findings(source: Source) -> Section:
    """What was found or proposed, what was asked for it, and the answer."""
    columns = (
        Column(name="seen", share=1.5),
        Column(name="what", share=4.5),
        Column(name="asked", share=1.6, figure=True),
        Column(name="answer", share=3.4),
        Column(name="note for the invoice", share=3),
    )
    rows = tuple(
        Row(
            cells=(
                _stamp(source.told, line),
                found_text(source, line),
                f"{line.asked} {source.findings.currency}".strip() if line.asked else "no sum",
                answer_text(source.told, line),
                invoice_note(line),
            ),
            owed=line.says is None,
        )
        for line in source.findings.seen
    )
    return Section(
        id="findings",
        title="Findings and proposed work",
        tables=(Table(columns=columns, rows=rows),),
        absent="Nothing was logged as found, and no more work was proposed.",
    )


def _stamp(told: Told, line: FindingLine) -> str:
    return told.stamp(told.case.facts[told.case.place_of[line.seen.id] - 1])


def found_text(source: Source, line: FindingLine) -> str:
    """A finding with the item it was seen at."""
    name = source.told.thing(line.matter.item) if line.matter.item else ""
    return line.matter.what + (f" (at: {name})" if name else "")


def answer_text(told: Told, line: FindingLine) -> str:
    """Who answered what, when, by which channel, up to which sum."""
    if line.answer is None:
        return "no answer is recorded"
    body = line.answer.body
    amount = f", {body['amount']} {body.get('currency') or ''}".rstrip() if body.get("amount") else ""
    said = (
        f"{body.get('answer')}: {told.name(body.get('who'))}, {told.time(str(body.get('at')))}, "
        f"{body.get('channel')}{amount}"
    )
    return said if line.says else f"{said} (does not count: {line.why})"


def invoice_note(line: FindingLine) -> str:
    """What is written on the invoice after a no."""
    if line.says != "no":
        return ""
    return line.matter.declined or "seen, declined, left as it is"


def _compared(source: Source) -> Section:
    """Old parts held against new ones."""
    columns = (Column(name="part", share=3), Column(name="as logged", share=5), Column(name="differs", share=3))
    rows = tuple(
        Row(
            cells=(source.told.thing(id), one.says or "no figure", ", ".join(one.differs) or "no"),
            owed=bool(one.differs),
        )
        for id, one in source.intake.compared.items()
    )
    return Section(id="compared", title="Old part against new", tables=(Table(columns=columns, rows=rows),))


def _matter(told: Told, finding: str | None) -> str:
    return matter_name(told.case, finding) if finding else ""


def _photos(told: Told) -> Section:
    """The photos that the record names; they are files of their own."""
    columns = (
        Column(name="when, who", share=1.4),
        Column(name="of", share=4),
        Column(name="bytes", share=1, figure=True),
        Column(name="SHA-256, first digits", share=2.4),
        Column(name="event", share=0.8, figure=True),
    )
    rows = []
    for fact in told.of_kind(PHOTO_TAKEN):
        if fact.stands:
            about = (str(fact.says("view") or ""), told.thing(fact.says("item")), _matter(told, fact.text("finding")))
            of = ", ".join(part for part in (*about, str(fact.says("note") or "")) if part)
            digest = str(fact.says("sha256"))[:16]
            cells = (told.stamp(fact), of or "not said", str(fact.says("bytes")), digest, str(fact.place))
            rows.append(Row(cells=cells))
    return Section(
        id="photos",
        title="Photos",
        lead="Photos are files of their own; the record names each by its SHA-256." if rows else "",
        tables=(Table(columns=columns, rows=tuple(rows)),),
        absent="The record names no photo.",
    )
