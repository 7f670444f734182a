"""One idea: a finding is a price, a message to the owner and an answer; all three follow from plan and record.

Money is text with two decimals, as events keep it; minutes [min].
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from putback.core.car import Car, PossibleFinding
from putback.core.gates import Case, Entry, Moment, read_case
from putback.core.gates.consent import Asked, agreed, asked_of, held_items, signed_scope, verdict_of
from putback.core.price import Revision, revise
from putback.core.record import Event
from putback.core.record.kinds import PHOTO_TAKEN
from putback.core.record.shapes import AMOUNT_OF, MONEY, PRICED
from putback.plan.plan import Plan

BEFORE, AFTER, CURRENCY = "{before}", "{after}", "{currency}"
"""What a message leaves open until the moment it is read: the page fills it in, with or without the server."""


def money(amount: float) -> str:
    """An amount as events keep it.

    >>> money(1572.4)
    '1572.40'
    """
    return f"{amount:.2f}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Matter:
    """What a finding or proposed work says for itself, before any answer.

    `parts` are names and prices; `open_ended`: it stops the job or goes to another hand, at a price nobody knows yet;
    `declined` is what happens after a no, where the car file says so.
    """

    id: str
    what: str
    item: str | None
    minutes: float
    parts: Mapping[str, float]
    declined: str
    open_ended: bool
    goes_to: str
    extra: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingLine:
    """A finding with its price, its message and its answer. `says` "yes", "no" or None; `why` in words.

    `answer` is the event that counts, or the last that does not; `asked` the amount the record asked for, if any.
    """

    matter: Matter
    revision: Revision
    message: str
    open: bool
    says: str | None
    why: str
    asked: str | None
    answer: Event | None
    seen: Event
    photos: tuple[str, ...]
    waits: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """All findings of a job. `possible` are those of the car file that nobody saw yet, with what they would cost.

    `before` is the sum agreed so far: as signed (else as quoted), with what every yes adds; `limit` the sum up to
    which work is agreed, None while nobody signed. `priced` False: nobody signed, and minutes that are not known give
    no quote either.
    """

    seen: tuple[FindingLine, ...]
    possible: tuple[tuple[Matter, Revision], ...]
    before: str
    limit: str | None
    currency: str
    priced: bool = True


def case_of(plan: Plan, entries: Iterable[Entry], *, people: Mapping[str, str] | None = None) -> Case:
    """The record of a job, read for its gates; `people` are names by id, for the words."""
    energies = [line.energy.id for line in plan.energies]
    return read_case(plan.car, entries, energies=energies, ways=plan.ways, people=people)


def matter_of(finding: PossibleFinding) -> Matter:
    """A finding of the car file."""
    return Matter(
        id=finding.id,
        what=finding.trigger,
        item=finding.seen_at,
        minutes=finding.minutes,
        parts=finding.parts,
        declined=finding.if_declined or "",
        open_ended=finding.stop or finding.sublet,
        goes_to=finding.who or "",
    )


def revised(plan: Plan, finding: PossibleFinding | Matter, *, before: float | None = None) -> Revision:
    """The quote with a finding in it.

    Args:
        plan: the plan; its rate is the rate.
        finding: of the car file, or a free one.
        before: the sum so far; None: the plan's own quote.
    """
    return revise(
        before=quoted(plan) if before is None else before,
        minutes=finding.minutes,
        parts=finding.parts.values(),
        rate_per_hour=plan.quote.rate_per_hour,
    )


def message(plan: Plan, matter: Matter, revision: Revision) -> str:
    """The text to the owner, with `{before}`, `{after}` and `{currency}` open: plain words, no promise."""
    name = plan.car.items[matter.item].name if matter.item and matter.item in plan.car.items else ""
    title = plan.service.name if plan.service else ", ".join(plan.car.items[id].name for id in plan.targets)
    about = "You may want, or we suggest" if matter.extra else "With the car apart we found"
    lines = [f"Your car: {title}.", f"{about}: {matter.what}" + (f" (at: {name})." if name else ".")]
    if matter.open_ended:
        other = f" It needs a {matter.goes_to}." if matter.goes_to else ""
        lines.append(f"The work stops at this place.{other} Nobody knows the price yet.")
    else:
        lines += _priced(matter, revision, quoted=plan.quote.known)
    if matter.declined:
        lines.append(f"If you say no: {matter.declined}.")
    elif not matter.extra:
        stays = "the work here stays stopped" if matter.open_ended else "it stays as it is"
        lines.append(f"If you say no: {stays}, and that is written on the invoice.")
    lines.append("Nothing more is done to it before you answer. Please answer yes or no.")
    return "\n".join(lines)


def quoted(plan: Plan) -> float:
    """What a plan was quoted at; nothing where minutes of its work are not known."""
    return plan.quote.total if plan.quote.known else 0.0


def _priced(matter: Matter, revision: Revision, *, quoted: bool) -> list[str]:
    parts = [f"{name} {money(price)}" for name, price in matter.parts.items()]
    work = [f"{matter.minutes:g} min of work {money(revision.labour)}"] if matter.minutes else []
    lines = [f"It needs: {', '.join([*parts, *work])}."] if parts or work else []
    if revision.adds and not quoted:
        longer = f"; the work takes {matter.minutes:g} min longer" if matter.minutes else ""
        lines.append(f"It adds {money(revision.adds)} {CURRENCY} to the price{longer}.")
    elif revision.adds:
        price = f"The price goes from {BEFORE} to {AFTER} {CURRENCY} (+{money(revision.adds)})"
        lines.append(f"{price}; the work takes {matter.minutes:g} min longer." if matter.minutes else f"{price}.")
    elif not quoted:
        lines.append("It adds nothing to the price.")
    else:
        lines.append(f"The price stays at {BEFORE} {CURRENCY}.")
    return lines


def filled(text: str, *, before: str, after: str, currency: str) -> str:
    """A message with its amounts.

    >>> filled("from {before} to {after} {currency}.", before="1.00", after="2.00", currency="")
    'from 1.00 to 2.00.'
    """
    closed = text.replace(CURRENCY, currency) if currency else text.replace(f" {CURRENCY}", "")
    return closed.replace(BEFORE, before).replace(AFTER, after)


def for_pack(plan: Plan) -> list[dict[str, Any]]:
    """The findings that may turn up at an item of the work, as the bay page keeps them for the time without a server.

    `amount` is the revised quote if this finding alone is added to the plan's own; `adds` its share of it.
    """
    found = []
    case = case_of(plan, ())
    for one in plan.car.findings.values():
        if one.seen_at not in plan.items:
            continue
        matter, revision = matter_of(one), revised(plan, one)
        found.append(
            {
                "id": one.id,
                "at": one.seen_at,
                "trigger": one.trigger,
                "minutes": one.minutes,
                "parts": [{"name": name, "amount": money(price)} for name, price in one.parts.items()],
                "adds": money(revision.adds),
                "before": money(revision.before),
                "amount": money(revision.after),
                "open_ended": matter.open_ended,
                "if_declined": matter.declined,
                "message": message(plan, matter, revision),
                "holds": sorted(held_items(case, one.id)),
            }
        )
    return found


def findings_of(
    plan: Plan, entries: Sequence[Entry], *, at: datetime, people: Mapping[str, str] | None = None
) -> Findings:
    """The findings of a job now.

    Args:
        plan: its plan.
        entries: its record, in the server's order.
        at: the moment, with its offset.
    """
    case, moment = case_of(plan, entries, people=people), Moment(at=at, person=None)
    now, scope = agreed(case, moment), signed_scope(case, moment)
    asked = asked_of(case, moment)
    matters = {one.last.event.id: _matter(plan.car, one) for one in asked}
    base = float(str(scope.says("amount"))) if scope else quoted(plan)
    said = [one for one in asked if verdict_of(case, one, moment).says == "yes"]
    before = base + sum(revised(plan, matters[one.last.event.id]).adds for one in said)
    lines = tuple(
        _line(plan, case, one, matters[one.last.event.id], moment, before=before, currency=now.currency or "")
        for one in asked
    )
    seen = {one.id for one in asked if not one.extra}
    possible = [
        matter_of(one) for id, one in plan.car.findings.items() if id not in seen and one.seen_at in plan.items
    ]
    return Findings(
        seen=lines,
        possible=tuple((one, revised(plan, one, before=before)) for one in possible),
        before=money(before),
        limit=None if now.limit is None else f"{now.limit:.2f}",
        currency=now.currency or "",
        priced=plan.quote.known or scope is not None,
    )


def _matter(car: Car, asked: Asked) -> Matter:
    """What an event of the record is about; what it does not say is taken from the car file."""
    says = asked.last.says
    known = None if asked.extra else car.findings.get(asked.id)
    minutes, parts = says("minutes"), says("parts")
    items = says("items") if asked.extra else (says("item"),)
    item = items[0] if isinstance(items, list | tuple) and items and isinstance(items[0], str) else None
    file = matter_of(known) if known else None
    return Matter(
        id=asked.id,
        what=_what(asked, file),
        item=item or (file.item if file else None),
        minutes=float(minutes) if AMOUNT_OF.fits(minutes) else file.minutes if file else 0.0,
        parts=_parts(parts, file),
        declined=file.declined if file else "",
        open_ended=bool(file and file.open_ended),
        goes_to=file.goes_to if file else "",
        extra=asked.extra,
    )


def _what(asked: Asked, file: Matter | None) -> str:
    """The words of the record; where the car file has words of its own, both."""
    said = str(asked.last.says("says" if asked.extra else "note") or "").strip()
    if file is None:
        return said or asked.id
    return f"{file.what}; seen: {said}" if said else file.what


def _parts(said: Any, file: Matter | None) -> Mapping[str, float]:
    if not PRICED.fits(said):
        return file.parts if file else {}
    parts: dict[str, float] = {}
    for one in said:
        parts[str(one["name"])] = parts.get(str(one["name"]), 0.0) + float(one["amount"])
    return parts


def _line(
    plan: Plan, case: Case, asked: Asked, matter: Matter, moment: Moment, *, before: float, currency: str
) -> FindingLine:
    verdict = verdict_of(case, asked, moment)
    own = revised(plan, matter)
    start = before - own.adds if verdict.says == "yes" else before
    revision = revised(plan, matter, before=start)
    amount = asked.last.says("amount")
    stated = str(amount) if MONEY.fits(amount) else None
    text = message(plan, matter, revision)
    after = stated or money(revision.after)
    return FindingLine(
        matter=matter,
        revision=revision,
        message=filled(text, before=money(revision.before), after=after, currency=currency),
        open=verdict.open,
        says=verdict.says,
        why=verdict.words,
        asked=stated,
        answer=verdict.answer.event if verdict.answer else None,
        seen=asked.last.event,
        photos=_photos(case, asked),
        waits=() if asked.extra or verdict.open else tuple(sorted(held_items(case, asked.id) & set(plan.items))),
    )


def _photos(case: Case, asked: Asked) -> tuple[str, ...]:
    """The digests of the photos that speak of a finding."""
    named = asked.last.says("photos")
    own = [str(one) for one in named] if isinstance(named, list | tuple) else []
    taken = [
        str(fact.says("sha256"))
        for fact in case.facts
        if fact.kind == PHOTO_TAKEN and fact.says("finding") == asked.id
    ]
    return tuple(dict.fromkeys([*own, *taken]))
