"""One idea: the owner gets one page in plain words: what was done, found, decided, paid, and what to look at again.

It says what the record says and no more; what nobody tested is said as plainly as what was done.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from putback.bay.code_papers import codes_lines
from putback.bay.findings import money
from putback.bay.papers import Source, answer_text, authorised, found_text, invoice_note, owner_of, plate_of
from putback.core.gates import AUTHORITY
from putback.core.intake import Given
from putback.core.operations import ITEM_OFF, Verb
from putback.core.papers import NOT_RECORDED, breaches, owed_of, to_watch, torque_evidence, trips
from putback.core.record.kinds import CLOSED, OVERRIDE_GIVEN

_NEVER = "–"
"""Of the torque evidence: a joint that was never reported tight after it was undone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """A line of the sum: what for, and the amount as text."""

    name: str
    amount: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HandOver:
    """The hand-over sheet. `blocks` are headings with their lines, in the order of reading; none is left out.

    `sums` add up to `total`; `total_says` is what the total is: signed, or merely quoted.
    """

    job: str
    title: str
    car: str
    invented: bool
    facts: tuple[tuple[str, str], ...]
    blocks: tuple[tuple[str, tuple[str, ...]], ...]
    sums: tuple[Sum, ...]
    total: str
    total_says: str
    currency: str
    head: str
    events: int
    authority: str
    at: datetime


def hand_over(source: Source) -> HandOver:
    """The sheet that goes to the owner."""
    return HandOver(
        job=source.view.job,
        title=source.title,
        car=source.plan.car.name,
        invented=source.plan.car.invented,
        facts=tuple(_facts(source)),
        blocks=(
            ("What was done", tuple(_done(source))),
            ("What was found, and what you decided", tuple(_found(source)) or ("Nothing was logged as found.",)),
            ("New parts", tuple(_new(source)) or (f"New parts: {NOT_RECORDED}.",)),
            ("What to watch, and when to come back", tuple(_watch(source)) or ("Nothing by the car file.",)),
            ("What nobody tested, and what is open", tuple(_open(source))),
        ),
        sums=tuple(_sums(source)),
        total=source.findings.before if source.findings.priced else NOT_RECORDED,
        total_says=_total_says(source),
        currency=source.findings.currency,
        head=source.view.head.on_paper(),
        events=len(source.view.links),
        authority=AUTHORITY,
        at=source.at,
    )


def _total_says(source: Source) -> str:
    """What the total is: signed, or merely quoted; at most where minutes were not known when it was signed."""
    known = source.plan.quote.known
    if source.intake.signed:
        return "as signed, with every yes" if known else "at most, as signed, with every yes"
    return "as quoted; nobody signed" if known else "nothing was quoted; nobody signed"


def _facts(source: Source) -> Iterator[tuple[str, str]]:
    told = source.told
    yield "for", owner_of(told)
    yield "car", f"{source.plan.car.name}, plate {plate_of(told)}"
    said = {line.id: line.says for line in source.intake.lines if line.stands is Given.GIVEN}
    yield "odometer", said.get("odometer", NOT_RECORDED)
    yield "you said", said.get("complaint", NOT_RECORDED)
    yield "authorised", authorised(source)
    closed = [fact for fact in told.of_kind(CLOSED) if fact.stands]
    yield "closed", closed[-1].event.at[:16].replace("T", " ") if closed else "not closed yet"
    keys = [one for one in source.intake.keys if one.came is not None]
    counted = "; ".join(
        f"{one.name}: {one.came} came, {NOT_RECORDED if one.back is None else one.back} back" for one in keys
    )
    yield "keys", counted or NOT_RECORDED


def _done(source: Source) -> Iterator[str]:
    """The targets that got a new part, and how much came off and went back."""
    told, plan = source.told, source.plan
    new = {op.item for op, _ in told.done if op.verb is Verb.RENEW}
    renewed = [told.thing(id) for id in plan.targets if id in new]
    left = [told.thing(id) for id in plan.targets if id not in new]
    if renewed:
        yield f"Renewed: {', '.join(renewed)}."
    if left:
        yield f"Wanted, and {NOT_RECORDED} as renewed: {', '.join(left)}."
    found = [trip for trip in trips(told) if any(op.verb in ITEM_OFF for op, _ in trip.into)]
    owed = [trip for trip in found if owed_of(told, trip)]
    back = len(found) - len(owed)
    yield f"To get there {len(found)} things came off, apart or aside; by the record {back} are back."
    if owed:
        names = ", ".join(told.thing(trip.thing) for trip in owed)
        yield f"Not back, or not tight, by the record, {len(owed)} in all: {names}."
    filled = [f"{op.fluid} fluid {op.litres:g} l" for op, _ in told.done if op.verb is Verb.FILL and op.litres]
    if filled:
        yield f"Filled: {', '.join(filled)}."


def _found(source: Source) -> Iterator[str]:
    for line in source.findings.seen:
        answer = f"Your answer: {answer_text(source.told, line)}." if line.answer else "No answer is recorded."
        note = invoice_note(line)
        yield f"{found_text(source, line)}. {answer}" + (f" Note for the invoice: {note}." if note else "")


def _new(source: Source) -> Iterator[str]:
    names = dict.fromkeys(
        source.told.thing(op.item or op.joint) for op, _ in source.told.done if op.verb is Verb.RENEW
    )
    if names:
        yield ", ".join(names) + "."
    wish = next((line.says for line in source.intake.lines if line.id == "old-parts"), "")
    if wish:
        yield "You asked to see the old parts." if wish == "yes" else "You did not ask to see the old parts."


def _watch(source: Source) -> Iterator[str]:
    """Rechecks of the car file, and what was not taught again."""
    rows = to_watch(source.told).tables[0].rows
    for row in rows:
        what, when, state = row.cells
        if row.owed:
            yield f"{what}, {when}: {state}."
    taught = [row.cells[0].removeprefix("relearn: ") for row in rows if not row.owed]
    if taught:
        yield f"Taught again: {', '.join(taught)}."


def _open(source: Source) -> Iterator[str]:
    """What nobody read, drove or tightened to a sourced value; what was passed; what the record cannot tell."""
    told = source.told
    done = {op.verb for op, _ in told.done}
    if source.codes.reads:
        yield from codes_lines(source.codes)
    elif Verb.READ_AFTER in done:
        yield (
            "Codes were read after the work; this sheet does not hold them, and no code is no proof that a thing was "
            "tested."
        )
    else:
        yield f"Codes after the work: {NOT_RECORDED}."
    yield "A road test is logged." if Verb.ROAD_TEST in done else f"Road test: {NOT_RECORDED}."
    rows = torque_evidence(told).tables[0].rows
    silent = [row.cells[0] for row in rows if row.cells[5] == NOT_RECORDED and row.cells[2] != _NEVER]
    if silent:
        yield f"Tight by tap, without a logged value, {len(silent)} in all: {', '.join(silent)}."
    overridden = sum(1 for _ in told.of_kind(OVERRIDE_GIVEN))
    shut = len(breaches(told.case))
    if overridden or shut:
        yield f"Gates passed by override: {overridden}; logged while a gate was shut: {shut}. See the job record."


def _sums(source: Source) -> Iterator[Sum]:
    """The lines of the quote, then what every yes added."""
    quote = source.plan.quote
    hour = f"{money(quote.rate_per_hour)} an hour"
    if quote.known:
        yield Sum(name=f"labour, {quote.minutes:g} min at {hour}", amount=money(quote.labour))
    else:
        yield Sum(name=f"labour at {hour}, minutes not known beforehand", amount=NOT_RECORDED)
    if quote.parts_total:
        yield Sum(
            name=f"parts: {', '.join(name.replace('_', ' ') for name in quote.parts)}", amount=money(quote.parts_total)
        )
    if quote.consumables:
        yield Sum(name="consumables", amount=money(quote.consumables))
    if quote.sublet_total:
        yield Sum(name=f"done by others: {', '.join(quote.sublet)}", amount=money(quote.sublet_total))
    for line in source.findings.seen:
        if line.says == "yes":
            yield Sum(name=line.matter.what, amount=money(line.revision.adds))
