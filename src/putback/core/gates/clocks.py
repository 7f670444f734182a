"""One idea: of two clocks the stricter one counts, and a clock that jumped times nothing.

A wait counts from the later of the device's time and the server's receipt. An event that came late (its device had
no server) has a receipt that times nothing; there the device's steady clock, which nobody can set, may stand in for
it. Without that the late receipt counts, so a wait can only get longer. Time that neither clock shows is none.
"""

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from types import MappingProxyType

from putback.core.gates.case import Case, Fact, Moment
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
    return any(after < place <= until and device in devices for place, devices in doubted_clocks(case).items())


def went_back_now(case: Case, moment: Moment) -> bool:
    """Whether the caller's clock stands before what the record holds since that clock was last in doubt."""
    tolerance = timedelta(seconds=case.settings.clock_seconds)
    if moment.device is None:
        times = [fact.received for fact in case.upto(moment) if fact.received]
    else:
        since = max((place for place, who in doubted_clocks(case).items() if moment.device in who), default=0)
        times = [fact.at for fact in case.upto(moment) if fact.device == moment.device and fact.place >= since]
    return any(moment.at < time - tolerance for time in times)


def steady_of(case: Case, fact: Fact) -> float | None:
    """A device's steady clock at an event, [s]: what the event says, else what its next event says, which is later."""
    for other in case.facts[fact.place - 1 :]:
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
    if moment.steady_s is None:
        return None
    for fact in reversed(case.upto(moment)):
        if moment.device in doubted_clocks(case).get(fact.place, ()):
            return None
        if fact.device == moment.device and fact.received and fact.steady_s is not None and prompt(case, fact):
            return fact.received + timedelta(seconds=moment.steady_s - fact.steady_s)
    return None


def took(case: Case, first: Fact, last: Fact) -> timedelta | None:
    """How long it was at most from one event to another, by the stricter clock; None: nobody timed it."""
    device, steady = last.at - first.at, _steady(case, first, last)
    if first.received is None or last.received is None or not (prompt(case, first) and prompt(case, last)):
        return None if steady is None else max(device, steady)
    return max(device, last.received - first.received)
