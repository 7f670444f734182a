"""One idea: what may have happened after an event counts against it, even if it reached the record before.

A device without its server sends late. What it says it did meanwhile stands further down in the record than what
another device sent at once, so the order of the record does not tell which came first; then the stricter order counts.
"""

from datetime import datetime, timedelta

from putback.core.gates.case import Case, Fact, Moment
from putback.core.operations import ITEM_BACK, ITEM_OFF, Operation
from putback.core.record.kinds import TAKEN_BACK


def prompt(case: Case, fact: Fact) -> bool:
    """Whether device and server agree on when an event happened."""
    tolerance = timedelta(seconds=case.settings.clock_seconds)
    return fact.received is not None and abs(fact.received - fact.at) <= tolerance


def since(case: Case, fact: Fact, upto: int) -> tuple[Fact, ...]:
    """The facts up to a place that came after one, or may have."""
    return (*rivals(case, fact), *case.facts[fact.place : upto])


def rivals(case: Case, fact: Fact) -> tuple[Fact, ...]:
    """What other devices logged further up in the record, and perhaps later."""
    if prompt(case, fact):
        return ()
    key = ("rivals", fact.place)
    if key not in case.memo:
        tolerance = timedelta(seconds=case.settings.clock_seconds)
        ahead = fact.received is not None and fact.at > fact.received + tolerance
        case.memo[key] = tuple(
            other
            for other in case.facts[: fact.place - 1]
            if other.device != fact.device
            and (ahead or other.received is None or other.received >= fact.at - tolerance)
        )
    found: tuple[Fact, ...] = case.memo[key]
    return found


def off_at(case: Case, item: str, upto: int) -> int | None:
    """The place of the operation by which an item came off and stayed off up to a place; None: it is on, or may be.

    Coming off counts if it stands; going back counts even if it was taken back, until it is logged off anew.
    """
    for fact in reversed(case.facts[:upto]):
        op = fact.operation
        if op and fact.stands and op.item == item and op.verb in ITEM_OFF:
            back = (one for one in since(case, fact, upto) if one.operation and one.operation.verb in ITEM_BACK)
            if not any(one.operation and one.operation.item == item for one in back):
                return fact.place
    return None


def hand_since(case: Case, fact: Fact, items: frozenset[str], upto: int) -> bool:
    """Whether a hand was, or may have been, on one of some items after an event; what was taken back counts too."""
    meant = (meant_by(case, one) for one in since(case, fact, upto))
    return any(op is not None and bool(items.intersection(case.items_of(op))) for op in meant)


def meant_by(case: Case, fact: Fact) -> Operation | None:
    """The operation that an event says, or takes back."""
    place = case.place_of.get(str(fact.says("mends"))) if fact.kind == TAKEN_BACK else fact.place
    return case.facts[place - 1].operation if place else None


def latest_known(case: Case, moment: Moment) -> datetime:
    """The caller's clock, or the server's newest receipt if that is later; for a moment of the past its own time."""
    if moment.upto is not None:
        return moment.at
    key = "newest receipt"
    if key not in case.memo:
        case.memo[key] = max((fact.received for fact in case.facts if fact.received), default=None)
    newest: datetime | None = case.memo[key]
    return moment.at if newest is None else max(moment.at, newest)
