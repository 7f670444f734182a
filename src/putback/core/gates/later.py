"""One idea: what may have happened after an event counts against it, even if it reached the record before.

A device without its server sends late. What it says it did meanwhile stands further down in the record than what
another device sent at once, so the order of the record does not tell which came first; then the stricter order counts.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, TypeVar

from putback.core.gates.case import Case, Fact, Moment, first_places
from putback.core.operations import ITEM_BACK, Operation
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


Said = TypeVar("Said")


@dataclass(slots=True)
class _Search:
    """How far the facts behind an event were looked through, and what was found first, where."""

    upto: int
    place: int = 0
    said: Any = None


def first_since(case: Case, key: object, fact: Fact, upto: int, says: Callable[[Fact], Said | None]) -> Said | None:
    """What is said first of the facts up to a place that came after one, or may have; None: nothing.

    Args:
        case: the case.
        key: what `says` asks, with all that its answer depends on beside the event and the fact.
        fact: the event.
        upto: the place up to which is asked; each fact is looked at once, however often and how far is asked.
        says: what is said of a fact; None, False or "": nothing.
    """
    before = ("rival", key, fact.place)
    if before not in case.memo:
        case.memo[before] = next((said for other in rivals(case, fact) if (said := says(other))), None)
    rival: Said | None = case.memo[before]
    return rival or first_behind(case, key, fact.place, upto, says)


def first_behind(case: Case, key: object, place: int, upto: int, says: Callable[[Fact], Said | None]) -> Said | None:
    """The same of the facts behind a place alone."""
    search = case.memo.setdefault(("behind", key, place), _Search(upto=place))
    if not search.place and search.upto < upto:
        for other in case.facts[search.upto : upto]:
            said = says(other)
            if said:
                search.place, search.said = other.place, said
                break
        search.upto = upto
    found: Said | None = search.said if 0 < search.place <= upto else None
    return found


def off_at(case: Case, item: str, upto: int) -> int | None:
    """The place of the operation by which an item came off and stayed off up to a place; None: it is on, or may be.

    Coming off counts if it stands; going back counts even if it was taken back, until it is logged off anew.
    """

    def back(fact: Fact) -> bool:
        return fact.operation is not None and fact.operation.verb in ITEM_BACK and fact.operation.item == item

    for fact in reversed(first_places(case.came_off.get(item, ()), upto)):
        if not first_since(case, ("back", item), fact, upto, back):
            return fact.place
    return None


def hand_since(case: Case, fact: Fact, items: frozenset[str], upto: int) -> bool:
    """Whether a hand was, or may have been, on one of some items after an event; what was taken back counts too."""

    def on(one: Fact) -> bool:
        op = meant_by(case, one)
        return op is not None and not items.isdisjoint(case.items_of(op))

    return bool(first_since(case, ("hand", items), fact, upto, on))


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
