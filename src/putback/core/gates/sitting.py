"""One idea: what was counted, checked or proved belongs to one sitting, and this says what ends it.

Each function gives the reason in plain words, or None while nothing ended it.
"""

from bisect import insort
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from putback.core.gates import later
from putback.core.gates.case import Case, Fact, Moment
from putback.core.gates.clocks import earliest
from putback.core.operations import Verb
from putback.core.record.kinds import (
    CLOCK_JUMPED,
    DEVICE_RESTARTED,
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
    who = frozenset(people)
    upto = case.count(moment)
    why = later.first_since(case, ("ended", who), since, upto, lambda fact: doubt(case, fact, None) or went(fact, who))
    return why or ("it was made on another day" if other_day(case, since, moment) else None)


def doubt(case: Case, fact: Fact, energy: str | None) -> str | None:
    """Whether an event is a doubt: one that names no known energy, or no known event, is a doubt of everything.

    Args:
        case: the case.
        fact: the event.
        energy: whose doubts count beside those of everything; None: of everything alone.
    """
    if fact.unknown:
        return f"event {fact.place} is one that this program cannot read"
    about = fact.text("energy")
    if fact.kind == DOUBT_RAISED and (about == energy or about not in case.car.energies):
        return f"a doubt was raised: {fact.says('about')}"
    if fact.kind in (READING_TAKEN, ENERGY_CHECKED) and about not in case.car.energies:
        return f"event {fact.place} speaks of an energy that the car file does not have"
    if fact.operation and fact.operation.verb is Verb.RESTORE and about not in case.car.energies:
        return f"event {fact.place} restores an energy that the car file does not have"
    if fact.kind == TAKEN_BACK and str(fact.says("mends")) not in case.place_of:
        return f"event {fact.place} takes back one that is not in the record"
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
    now = (moment.at, later.latest_known(case, moment))
    if any(one.astimezone(since.at.tzinfo).date() != day for one in now):
        return True

    def turned(fact: Fact) -> bool:
        return fact.device == since.device and fact.at.date() != day

    return bool(later.first_behind(case, "day", since.place, case.count(moment), turned))


def gap(case: Case, since: Fact, person: str, moment: Moment) -> float | None:
    """The longest gap, [min], between lines of one person since an event, if it is longer than set."""
    most = timedelta(minutes=case.settings.gap_minutes)
    lines = case.once(("lines", since.place, person), lambda: _Lines(upto=since.place, times=[earliest(since)]))
    upto = case.count(moment)
    if lines.upto > upto:
        lines = _Lines(upto=since.place, times=[earliest(since)])
    for fact in case.facts[lines.upto : upto]:
        if fact.person == person and fact.kind not in _BY_ITSELF:
            lines.add(earliest(fact))
    lines.upto = upto
    longest = max(lines.longest, moment.at - lines.times[-1])
    return longest.total_seconds() / 60 if longest > most else None


_BY_ITSELF = frozenset({CLOCK_JUMPED, DEVICE_RESTARTED})
"""What a device logs by itself: nobody need have been there."""


@dataclass(slots=True)
class _Lines:
    """When somebody logged something up to a place, earliest first, with the longest time between two."""

    upto: int
    times: list[datetime]
    longest: timedelta = timedelta.min

    def add(self, time: datetime) -> None:
        """One more line. One from before the last one may part a gap, which is then measured anew."""
        if time >= self.times[-1]:
            self.longest = max(self.longest, time - self.times[-1])
            self.times.append(time)
            return
        insort(self.times, time)
        self.longest = max(then - before for before, then in pairwise(self.times))
