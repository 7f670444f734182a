"""One idea: what the desk is told of owner, car, scope and findings becomes facts; names go to the people's table.

Every fact is worded here and kept by the desk. Names, phones, plates and signatures as typed never enter the record.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from putback.bay.desk import Bay
from putback.bay.findings import Matter, findings_of, matter_of, money, revised
from putback.bay.intake import CAR_ROLE, OWNERS_ROLE, digest_of, scope_text
from putback.bay.named import names_of
from putback.core.gates import Entry
from putback.core.record import Event
from putback.core.record.intake_kinds import CAR_IDENTIFIED, OWNER_NAMED, SCOPE_SIGNED
from putback.core.record.kinds import ANSWER_GIVEN, FINDING_SEEN, WORK_ADDED
from putback.plan.plan import Plan

Fact: TypeAlias = tuple[str, Mapping[str, Any]]

CHANNELS = ("in person", "telephone", "message", "e-mail")
"""By which channel an owner is reached, signs and answers."""

VIN_END = 6
"""So many of the last characters of a vehicle identification number stand in the record; the rest stands outside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Someone:
    """A person as a form names one: by an id that is known, or by a name that is new."""

    id: str = ""
    name: str = ""
    phone: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Signing:
    """What is signed, by whom, how. `at` is a time with its offset; amounts are texts with two decimals.

    `typed` is a name typed as signature; `drawn` the lines of a drawn one, "M1 2 L3 4 …", in a field of 480 by 160.
    """

    who: Someone
    channel: str
    at: str
    limit: str
    currency: str
    see_old_parts: bool
    typed: str = ""
    drawn: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """Work or a finding that the car file does not know. `parts` are names and prices, minutes [min]."""

    says: str
    items: tuple[str, ...] = ()
    minutes: float = 0.0
    parts: tuple[tuple[str, float], ...] = ()


def worker(bay: Bay, someone: Someone) -> str | None:
    """The id of who works here; a new name is kept first. None: nobody was named."""
    return _kept(bay, someone, role="") if someone.id or someone.name else None


def workers(bay: Bay) -> Mapping[str, str]:
    """Names of those who work here, by id."""
    return {id: name for id, (name, role) in names(bay).items() if not role}


def names(bay: Bay) -> Mapping[str, tuple[str, str]]:
    """Name and role of everybody in the people's table, by id; who was deleted is called so."""
    return names_of(bay.store)


def _kept(bay: Bay, someone: Someone, *, role: str) -> str:
    if someone.id:
        return someone.id
    id = f"{role or 'person'}-{bay.new_id()}"
    data = {"name": someone.name, "phone": someone.phone, "role": role}
    bay.store.put_person(id, {field: value for field, value in data.items() if value})
    return id


def identified(bay: Bay, *, plate: str, vin: str) -> Fact:
    """The car, with its plate and whole number outside the record."""
    id = f"{CAR_ROLE}-{bay.new_id()}"
    data = {"plate": plate, "vin": vin, "role": CAR_ROLE}
    bay.store.put_person(id, {field: value for field, value in data.items() if value})
    return CAR_IDENTIFIED, {"car": id, **({"vin_end": vin[-VIN_END:]} if vin else {})}


def named(bay: Bay, someone: Someone, *, as_: str, channel: str) -> Fact:
    """Who may sign and answer, and how they are reached."""
    return OWNER_NAMED, {"who": _kept(bay, someone, role=OWNERS_ROLE), "as": as_, "channel": channel}


def signed(bay: Bay, plan: Plan, signing: Signing, *, known: Sequence[str]) -> list[Fact]:
    """The scope signed, its text on the shelf; who is new is named as owner first.

    Args:
        bay: the desk.
        plan: the plan of the job.
        signing: what was signed.
        known: who may sign already.
    """
    facts: list[Fact] = []
    who = _kept(bay, signing.who, role=OWNERS_ROLE)
    if who not in known:
        facts.append((OWNER_NAMED, {"who": who, "as": OWNERS_ROLE, "channel": signing.channel}))
    _remember(bay, who, signing)
    text = scope_text(plan, limit=signing.limit, currency=signing.currency, see_old_parts=signing.see_old_parts)
    body = {
        "who": who,
        "at": signing.at,
        "channel": signing.channel,
        "scope_sha256": bay.shelf.put(text.encode()),
        "amount": money(plan.quote.total) if plan.quote.known else signing.limit,
        "limit": signing.limit,
        "currency": signing.currency,
        "see_old_parts": "yes" if signing.see_old_parts else "no",
        "items": list(plan.items),
    }
    if signing.drawn:
        body["signature"] = digest_of(signing.drawn)
    facts.append((SCOPE_SIGNED, body))
    return facts


def _remember(bay: Bay, who: str, signing: Signing) -> None:
    """A signature is people's data: it stands with the person, and the record holds at most its digest."""
    person = bay.store.person(who)
    given = {"signed_as": signing.typed, "signature": signing.drawn}
    kept = {**((person.data if person else None) or {}), **{name: text for name, text in given.items() if text}}
    bay.store.put_person(who, kept)


def signature(bay: Bay, event: Event) -> str:
    """The drawn signature of a scope, as the lines of a path; "" where there is none, or it was deleted."""
    person = bay.store.person(str(event.body.get("who")))
    drawn = str(((person.data if person else None) or {}).get("signature") or "")
    return drawn if drawn and digest_of(drawn) == event.body.get("signature") else ""


def seen(bay: Bay, plan: Plan, entries: Sequence[Entry], finding: str, note: str) -> Fact:
    """A finding of the car file that turned up, with the sum that a yes would agree to."""
    return _found(bay, plan, entries, matter_of(plan.car.findings[finding]), note)


def free(bay: Bay, plan: Plan, entries: Sequence[Entry], extra: Extra) -> Fact:
    """A finding that the car file does not know."""
    return _found(bay, plan, entries, _matter(f"free-{bay.new_id()[:8]}", extra), extra.says)


def added(bay: Bay, plan: Plan, entries: Sequence[Entry], extra: Extra) -> Fact:
    """Work that nobody signed for, proposed."""
    matter = _matter(f"extra-{bay.new_id()[:8]}", extra)
    body = _found(bay, plan, entries, matter, "")[1]
    said = {name: value for name, value in body.items() if name not in ("finding", "item", "note")}
    return WORK_ADDED, {"extra": matter.id, "says": extra.says, "items": list(extra.items), **said}


def _matter(id: str, extra: Extra) -> Matter:
    parts: dict[str, float] = {}
    for name, price in extra.parts:
        parts[name] = parts.get(name, 0.0) + price
    return Matter(
        id=id,
        what=extra.says,
        item=extra.items[0] if extra.items else None,
        minutes=extra.minutes,
        parts=parts,
        declined="",
        open_ended=False,
        goes_to="",
    )


def _found(bay: Bay, plan: Plan, entries: Sequence[Entry], matter: Matter, note: str) -> Fact:
    now = findings_of(plan, entries, at=bay.clock())
    revision = revised(plan, matter, before=float(now.before))
    body: dict[str, Any] = {"finding": matter.id, "minutes": matter.minutes, "amount": money(revision.after)}
    if matter.parts:
        body["parts"] = [{"name": name, "amount": money(price)} for name, price in matter.parts.items()]
    extras = {"item": matter.item, "note": note, "currency": now.currency}
    return FINDING_SEEN, {**body, **{name: value for name, value in extras.items() if value}}


def answered(finding: str, who: str, *, at: str, channel: str, yes: bool, amount: str, currency: str) -> Fact:
    """What who may decide said to a finding or to proposed work."""
    body = {"finding": finding, "who": who, "at": at, "channel": channel, "answer": "yes" if yes else "no"}
    said = {"amount": amount, "currency": currency} if yes else {}
    return ANSWER_GIVEN, {**body, **{name: value for name, value in said.items() if value}}
