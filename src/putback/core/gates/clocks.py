"""One idea: of two clocks the stricter one counts, and a clock that jumped times nothing.

A wait counts from the later of the device's time and the server's receipt. An event that came late (its device had
no server) has a receipt that times nothing; there the device's steady clock, which nobody can set, may stand in for
it. Without that the late receipt counts, so a wait can only get longer. Time that neither clock shows is none.
"""

from bisect import bisect_right
from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from types import MappingProxyType

from putback.core.gates.case import Case, Fact, Moment, first_places
from putback.core.gates.later import prompt
from putback.core.record.kinds import CLOCK_JUMPED, DEVICE_RESTARTED


def latest(fact: Fact) -> datetime:
    """The time from which a wait counts: the later of the device's and the server's."""
    return fact.at if fact.received is None else max(fact.at, fact.received)


def earliest(fact: Fact) -> datetime:
    """The time at which something may be taken as done that must come after a wait."""
    return fact.at if fact.received is None else min(fact.at, fact.received)


def doubted_clocks(case: Case) -> Mapping[int, frozenset[str]]:
    """The devices whose clock is in doubt at a place: it jumped, went back, ran ahead of the server, or restarted."""
    if "clocks" not in case.memo:
        case.memo["clocks"] = MappingProxyType(dict(_doubted(case)))
    found: Mapping[int, frozenset[str]] = case.memo["clocks"]
    return found


def _doubted(case: Case) -> Iterator[tuple[int, frozenset[str]]]:
    tolerance = timedelta(seconds=case.settings.clock_seconds)
    highest: dict[str, datetime] = {}
    steady: dict[str, Fact] = {}
    for fact in case.facts:
        devices = set()
        if fact.kind in (CLOCK_JUMPED, DEVICE_RESTARTED):
            other = fact.says("device")
            devices = {fact.device, other} if isinstance(other, str) else {fact.device}
            steady = {device: last for device, last in steady.items() if device not in devices}
        went_back = fact.device in highest and fact.at < highest[fact.device] - tolerance
        ahead = fact.received is not None and fact.at > fact.received + tolerance
        if went_back or ahead or _ran_apart(steady.get(fact.device), fact, tolerance):
            devices.add(fact.device)
        if went_back or fact.device not in highest:
            highest[fact.device] = fact.at
        highest[fact.device] = max(highest[fact.device], fact.at)
        if fact.steady_s is not None:
            steady[fact.device] = fact
        if devices:
            yield fact.place, frozenset(devices)


def _ran_apart(before: Fact | None, fact: Fact, tolerance: timedelta) -> bool:
    """Whether a device's clock moved on otherwise than its steady clock did.

    A steady clock may sleep with its device: standing still for longer is no sign, running backwards or faster is.
    """
    if before is None or before.steady_s is None or fact.steady_s is None:
        return False
    steady = timedelta(seconds=fact.steady_s - before.steady_s)
    return steady < timedelta(0) or steady > (fact.at - before.at) + tolerance


def restarted(case: Case, device: str, after: int, until: int) -> bool:
    """Whether a device's clock came into doubt after one place and up to another."""
    places = doubted_places(case, device)
    return bisect_right(places, until) > bisect_right(places, after)


def doubted_places(case: Case, device: str) -> tuple[int, ...]:
    """Where a device's clock came into doubt, in order."""
    found = (place for place, devices in doubted_clocks(case).items() if device in devices)
    return case.once(("doubted places", device), lambda: tuple(found))


def went_back_now(case: Case, moment: Moment) -> bool:
    """Whether the caller's clock stands before what the record holds since that clock was last in doubt."""
    tolerance = timedelta(seconds=case.settings.clock_seconds)
    newest = case.once(("newest", moment.device), lambda: tuple(_newest(case, moment.device)))
    found = bisect_right(newest, case.count(moment), key=lambda pair: pair[0])
    time = newest[found - 1][1] if found else None
    return time is not None and moment.at < time - tolerance


def _newest(case: Case, device: str | None) -> Iterator[tuple[int, datetime | None]]:
    """The newest time of a clock up to each place: of the server, or of a device since it was last in doubt."""
    highest: datetime | None = None
    for fact in case.facts:
        if device is not None and device in doubted_clocks(case).get(fact.place, ()):
            highest = None
            yield fact.place, None
        time = fact.received if device is None else fact.at if fact.device == device else None
        if time is not None and (highest is None or time > highest):
            highest = time
            yield fact.place, highest


def steady_of(case: Case, fact: Fact) -> float | None:
    """A device's steady clock at an event, [s]: what the event says, else what its next event says, which is later."""
    return case.once(("steady", fact.place), lambda: _steady_of(case, fact))


def _steady_of(case: Case, fact: Fact) -> float | None:
    for at in range(fact.place - 1, len(case.facts)):
        other = case.facts[at]
        if other.device != fact.device:
            continue
        if other is not fact and fact.device in doubted_clocks(case).get(other.place, ()):
            return None
        if other.steady_s is not None:
            return other.steady_s
    return None


def _steady(case: Case, first: Fact, then: Fact) -> timedelta | None:
    """What one device's steady clock says between two events; None where it says nothing."""
    begun = steady_of(case, first)
    if first.device != then.device or begun is None or then.steady_s is None:
        return None
    if restarted(case, first.device, first.place, then.place):
        return None
    return timedelta(seconds=then.steady_s - begun)


def waited(case: Case, start: Fact, then: Fact) -> timedelta:
    """How long after `start` an event surely happened; never more than either clock says, none that nobody timed."""
    steady = _steady(case, start, then)
    if prompt(case, then) and (steady is None or prompt(case, start)):
        return earliest(then) - latest(start)
    if steady is None:
        return timedelta(0)
    begun = latest(start) if prompt(case, start) else start.at
    return min(steady, earliest(then) - begun if prompt(case, then) else then.at - begun)


def waited_until(case: Case, start: Fact, moment: Moment) -> timedelta:
    """How long after `start` a moment surely is, by the server's clock, or by a device's beside its steady clock."""
    if moment.device is None:
        return moment.at - latest(start) if start.received else timedelta(0)
    steady = _steady_until(case, start, moment)
    if steady is not None:
        begun = latest(start) if prompt(case, start) else start.at
        return min(steady, moment.at - begun)
    known = _known_time(case, moment)
    return timedelta(0) if known is None else min(moment.at, known) - latest(start)


def _steady_until(case: Case, start: Fact, moment: Moment) -> timedelta | None:
    """What the asking device's steady clock says since an event of its own; None where it says nothing."""
    if moment.device != start.device or moment.steady_s is None:
        return None
    begun = steady_of(case, start)
    if begun is None or restarted(case, start.device, start.place, len(case.upto(moment))):
        return None
    return timedelta(seconds=moment.steady_s - begun)


def _known_time(case: Case, moment: Moment) -> datetime | None:
    """The server's time now at the earliest: by what the asking device last sent at once, and its steady clock."""
    if moment.steady_s is None or moment.device is None:
        return None
    timed = first_places(_timed(case, moment.device), case.count(moment))
    doubts = doubted_places(case, moment.device)
    last = timed[-1] if timed else None
    doubted = bisect_right(doubts, case.count(moment))
    if last is None or last.received is None or last.steady_s is None:
        return None
    if doubted and doubts[doubted - 1] >= last.place:
        return None
    return last.received + timedelta(seconds=moment.steady_s - last.steady_s)


def _timed(case: Case, device: str) -> tuple[Fact, ...]:
    """What a device sent at once with its steady clock, in order."""
    return case.once(
        ("timed", device),
        lambda: tuple(
            fact
            for fact in case.facts
            if fact.device == device and fact.received and fact.steady_s is not None and prompt(case, fact)
        ),
    )


def took(case: Case, first: Fact, last: Fact) -> timedelta | None:
    """How long it was at most from one event to another, by the stricter clock; None: nobody timed it."""
    device, steady = last.at - first.at, _steady(case, first, last)
    if first.received is None or last.received is None or not (prompt(case, first) and prompt(case, last)):
        return None if steady is None else max(device, steady)
    return max(device, last.received - first.received)
