"""One idea: what was counted, checked or proved belongs to one sitting, and this says what ends it.

Each function gives the reason in plain words, or None while nothing ended it.
"""

from collections.abc import Collection, Iterator
from datetime import datetime, timedelta
from itertools import pairwise

from putback.core.gates import later
from putback.core.gates.case import Case, Fact, Moment
from putback.core.gates.clocks import earliest
from putback.core.operations import Verb
from putback.core.record.kinds import (
    DOUBT_RAISED,
    ENERGY_CHECKED,
    PERSON_LEFT,
    READING_TAKEN,
    SHIFT_ENDED,
    TAKEN_BACK,
)


def ended(case: Case, since: Fact, people: Collection[str], moment: Moment) -> str | None:
    """What ended a sitting that began with the event `since`: a shift's end, somebody's leaving, night, a doubt.

    Args:
        case: the case.
        since: the event by which something was established.
        people: whose sitting it is.
        moment: when it is asked.
    """
    for fact in later.since(case, since, len(case.upto(moment))):
        why = doubt(case, fact, None) or went(fact, people)
        if why:
            return why
    return "it was made on another day" if other_day(case, since, moment) else None


def doubt(case: Case, fact: Fact, energy: str | None) -> str | None:
    """Whether an event is a doubt: one that names no known energy, or no known event, is a doubt of everything.

    Args:
        case: the case.
        fact: the event.
        energy: whose doubts count beside those of everything; None: of everything alone.
    """
    if fact.unknown:
        return f"event {fact.event.id} is one that this program cannot read"
    about = fact.text("energy")
    if fact.kind == DOUBT_RAISED and (about == energy or about not in case.car.energies):
        return f"a doubt was raised: {fact.says('about')}"
    if fact.kind in (READING_TAKEN, ENERGY_CHECKED) and about not in case.car.energies:
        return f"event {fact.event.id} speaks of an energy that the car file does not have"
    if fact.operation and fact.operation.verb is Verb.RESTORE and about not in case.car.energies:
        return f"event {fact.event.id} restores an energy that the car file does not have"
    if fact.kind == TAKEN_BACK and str(fact.says("mends")) not in case.place_of:
        return f"event {fact.event.id} takes back one that is not in the record"
    return None


def went(fact: Fact, people: Collection[str]) -> str | None:
    """Whether a shift ended or a person left; without a name it is everybody."""
    if fact.kind not in (SHIFT_ENDED, PERSON_LEFT):
        return None
    who = fact.says("who")
    if isinstance(who, str) and who and who not in people:
        return None
    return "the shift ended" if fact.kind == SHIFT_ENDED else "the person left"


def other_day(case: Case, since: Fact, moment: Moment) -> bool:
    """Whether the calendar of the device that made an event has turned since, or is known to have."""
    day = since.at.date()
    own = [fact.at for fact in case.upto(moment)[since.place :] if fact.device == since.device]
    now = (moment.at, later.latest_known(case, moment))
    return any(time.date() != day for time in own) or any(one.astimezone(since.at.tzinfo).date() != day for one in now)


def gap(case: Case, since: Fact, person: str, moment: Moment) -> float | None:
    """The longest gap, [min], between lines of one person since an event, if it is longer than set."""
    times = list(_lines(case, since, person, moment))
    most = timedelta(minutes=case.settings.gap_minutes)
    longest = max(b - a for a, b in pairwise(times))
    return longest.total_seconds() / 60 if longest > most else None


def _lines(case: Case, since: Fact, person: str, moment: Moment) -> Iterator[datetime]:
    """When a person logged something since an event, earliest first, then the moment itself."""
    own = [fact for fact in case.upto(moment)[since.place - 1 :] if fact is since or fact.person == person]
    yield from sorted(earliest(fact) for fact in own)
    yield moment.at
