"""One idea: intake, authorisation and shelf are read from plan and record; nothing of them stands anywhere else.

Names, phones, plates and whole vehicle numbers stand in the people's table, under the ids that the record names.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from hashlib import sha256
from typing import Any

from putback.bay.findings import case_of, money
from putback.core.gates import Entry, Moment
from putback.core.gates.consent import agreed, deciders, signed_scope
from putback.core.intake import VIEWS, Comparison, Keys, Line, compared, intake, keys, missing, shelf
from putback.core.record import Event
from putback.plan.plan import Plan

OWNERS_ROLE, CAR_ROLE = "owner", "car"
"""The role of an entry of the people's table that is no worker: who owns the car, and the car itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """A scope that counts. `version` are the first digits of the digest of its text."""

    event: Event
    version: str
    amount: str
    limit: str
    currency: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Intake:
    """What was asked before the work, and what is signed for. `deciders` are ids of the people's table."""

    lines: tuple[Line, ...]
    missing: tuple[Line, ...]
    parts: tuple[Line, ...]
    parts_missing: tuple[Line, ...]
    compared: Mapping[str, Comparison]
    keys: tuple[Keys, ...]
    deciders: tuple[str, ...]
    signed: Signed | None
    limit: Decimal | None


def parts_of(plan: Plan) -> Mapping[str, str]:
    """What must lie on the shelf before the start: names by id, one-time parts with the others."""
    return {line.part: line.name for line in plan.parts}


def compared_at_refit(plan: Plan) -> tuple[str, ...]:
    """The items whose new part is held against the old one before it goes in: those that the job renews by name.

    Seals and other one-time parts are confirmed new when their place closes, and are not asked for here.
    """
    return tuple(id for id in plan.targets if not plan.car.items[id].one_time)


def for_pack(plan: Plan) -> dict[str, Any]:
    """What the bay page asks by itself: parts before the start, comparisons before the refit, views of photos."""
    return {"parts": dict(parts_of(plan)), "compare": list(compared_at_refit(plan)), "views": dict(VIEWS)}


def intake_of(plan: Plan, entries: Sequence[Entry], *, at: datetime) -> Intake:
    """Intake, shelf and authorisation of a job now.

    Args:
        plan: its plan.
        entries: its record, in the server's order.
        at: the moment, with its offset.
    """
    events = [entry.event for entry in entries]
    case, moment = case_of(plan, entries), Moment(at=at, person=None)
    lines, parts = intake(events), shelf(events, parts_of(plan))
    scope = signed_scope(case, moment)
    return Intake(
        lines=lines,
        missing=missing(lines),
        parts=parts,
        parts_missing=missing(parts),
        compared=compared(events),
        keys=keys(events),
        deciders=tuple(sorted(deciders(case, len(case.facts) + 1))),
        signed=_signed(scope.event) if scope else None,
        limit=agreed(case, moment).limit,
    )


def _signed(event: Event) -> Signed:
    body = event.body
    return Signed(
        event=event,
        version=version(str(body["scope_sha256"])),
        amount=str(body["amount"]),
        limit=str(body["limit"]),
        currency=str(body["currency"]),
    )


def version(digest: str) -> str:
    """The version of a scope as people say it: the first eight digits of its digest."""
    return digest[:8]


def digest_of(text: str) -> str:
    """SHA-256 of a text (hex)."""
    return sha256(text.encode()).hexdigest()


def scope_text(plan: Plan, *, limit: str, currency: str, see_old_parts: bool) -> str:
    """What is signed, in full: it is kept as it is, and the record names its digest. It holds no person's data."""
    quote, car = plan.quote, plan.car
    title = plan.service.name if plan.service else ", ".join(car.items[id].name for id in plan.targets)
    parts = [f"  {name.replace('_', ' ')}: {money(price)}" for name, price in quote.parts.items()]
    sublet = [f"  {name}: {money(price)}" for name, price in quote.sublet.items()]
    lines = [
        f"Work: {title}",
        f"Car: {car.name}",
        f"New: {', '.join(car.items[id].name for id in plan.targets)}",
        _labour(plan),
        *(["Parts:", *parts] if parts else []),
        *([f"Consumables: {money(quote.consumables)}"] if quote.consumables else []),
        *(["Done by others:", *sublet] if sublet else []),
        f"Total: {money(quote.total)} {currency}" if quote.known else "Total: not known; at most the limit",
        f"Limit without a new answer: {limit} {currency}",
        f"Old parts: {'to be shown' if see_old_parts else 'need not be shown'}",
        *(["Labour only: parts are not in this sum."] if quote.labour_only else []),
        *_may_turn_up(plan, currency),
        "What is above the limit, and every finding, is asked before it is done or covered.",
    ]
    return "\n".join(lines) + "\n"


def _labour(plan: Plan) -> str:
    quote = plan.quote
    if not quote.known:
        return f"Labour: at {money(quote.rate_per_hour)} an hour; the minutes of this work are not known"
    return f"Labour: {quote.minutes:g} min at {money(quote.rate_per_hour)} an hour: {money(quote.labour)}"


def _may_turn_up(plan: Plan, currency: str) -> list[str]:
    lines = []
    for one in plan.quote.additions:
        price = "at a price that is open" if one.open_ended else f"{money(one.total)} {currency} more"
        lines.append(f"  {one.trigger}: {price}")
    return ["May turn up, and is not in the total:", *lines] if lines else []
