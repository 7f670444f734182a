"""One idea: a drive is logged by asking one module again and again; what it does not answer is written down as that.

Only services 01 and 06 are sent. As many PIDs as the module answers together are asked at once; those that it leaves
out of a shared answer are asked alone from then on.
"""

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import can

from putback.adapters.bus.conversation import Conversation
from putback.adapters.bus.timing import Timing
from putback.core.codes.drive.log import Record, channels_of, misfire_key
from putback.core.codes.meaning.bits import SPAN
from putback.core.codes.meaning.monitors import (
    FIRST_CYLINDER,
    LAST_CYLINDER,
    MISFIRE_AVERAGE,
    MISFIRE_COUNT,
    MonitorTest,
    read_monitors,
)
from putback.core.codes.meaning.pids import Live, read_live
from putback.core.codes.talk.car_read import Pair
from putback.core.codes.talk.exchange import Answer, Ask, Came, Rest, Talk

LIVE, MONITORS = 0x01, 0x06
USUAL: Final = (0x0D, 0x0C, 0x04, 0x05, 0x06, 0x07, 0x08, 0x09, 0x0B, 0x0F, 0x10, 0x11)
"""What is logged where nobody says what: speed first, since it decides what may be shown."""

MOST_AT_ONCE: Final = 6
"""PIDs in one request (SAE J1979 over CAN)."""

ENGINE: Final = Pair(request=0x7E0, answer=0x7E8)
_MISFIRES: Final = (MISFIRE_COUNT, MISFIRE_AVERAGE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What to log and how fast.

    Args:
        pids: what was chosen; empty: the usual ones.
        seconds: how long; None: until it is stopped, [s].
        every_s: one round begins so long after the one before, at the earliest, [s].
        misfires_every_s: so often the misfire monitors are read, and once at the end of the time, [s].
    """

    pids: tuple[int, ...] = ()
    seconds: float | None = None
    every_s: float = 0.1
    misfires_every_s: float = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """What came of it.

    Args:
        logged: the PIDs that were logged.
        not_supported: chosen PIDs that the module does not have.
        not_figures: chosen PIDs that are bits or words.
        rounds: how often all were asked.
        failed: why nothing more came; empty where it went on to its end.
    """

    logged: tuple[int, ...] = ()
    not_supported: tuple[int, ...] = ()
    not_figures: tuple[int, ...] = ()
    rounds: int = 0
    stopped: bool = False
    failed: str = ""


def watch(
    bus: can.BusABC,
    wish: Wish,
    keep: Callable[[Record], None],
    *,
    pair: Pair = ENGINE,
    timing: Timing | None = None,
    stop: Callable[[], bool] | None = None,
    log: Callable[[can.Message], None] | None = None,
    clock: Callable[[], float] = time.monotonic,
) -> Watched:
    """Log a drive.

    Args:
        bus: an open bus of python-can.
        wish: what to log.
        keep: is given every record as it comes.
        pair: the module that is asked.
        timing: how to wait.
        stop: asked often; yes ends the log.
        log: is given every frame.
        clock: a steady clock, [s].
    """
    conversation = Conversation(bus, timing=timing, log=log, clock=clock)
    talk = _Watch(wish, keep, clock).talk()
    results = conversation.run({pair: talk}, stop=stop)
    found = results.get(pair, Watched(failed="it was broken off"))
    if conversation.failed:
        return Watched(
            logged=found.logged,
            not_supported=found.not_supported,
            not_figures=found.not_figures,
            rounds=found.rounds,
            failed=conversation.failed,
        )
    return found


class _Watch:
    """One log while it runs."""

    def __init__(self, wish: Wish, keep: Callable[[Record], None], clock: Callable[[], float]) -> None:
        self._wish = wish
        self._keep = keep
        self._clock = clock
        self._begun = clock()
        self._together: list[int] = []
        self._alone: list[int] = []
        self._cylinders: list[int] = []
        self._rounds = 0
        self._stopped = False
        self._not_supported: tuple[int, ...] = ()
        self._not_figures: tuple[int, ...] = ()

    def talk(self) -> Talk[Watched]:
        """Find out what there is, then ask for it round after round."""
        has = yield from self._supported(LIVE)
        if has is None:
            return self._watched("stopped" if self._stopped else "the module does not say which PIDs it has")
        self._choose(has)
        if not self._together:
            return self._watched("nothing that was chosen can be logged")
        self._cylinders = [
            one for one in (yield from self._supported(MONITORS)) or () if FIRST_CYLINDER <= one <= LAST_CYLINDER
        ]
        misfires_at = 0.0
        while not self._over():
            begun = self._clock()
            if self._at(begun) >= misfires_at:
                yield from self._ask_misfires()
                misfires_at = self._at(begun) + self._wish.misfires_every_s
            yield from self._round()
            rest = begun + self._wish.every_s - self._clock()
            if rest > 0 and not self._over():
                self._stopped |= (yield Rest(seconds=rest)).came is Came.STOPPED
        if not self._stopped:
            yield from self._ask_misfires()
        return self._watched("")

    def _watched(self, failed: str) -> Watched:
        return Watched(
            logged=tuple(sorted((*self._together, *self._alone))),
            not_supported=self._not_supported,
            not_figures=self._not_figures,
            rounds=self._rounds,
            stopped=self._stopped,
            failed=failed,
        )

    def _at(self, now: float) -> float:
        return now - self._begun

    def _over(self) -> bool:
        late = self._wish.seconds is not None and self._at(self._clock()) >= self._wish.seconds
        return self._stopped or late

    # what there is

    def _supported(self, service: int) -> Talk[tuple[int, ...] | None]:
        """The PIDs or monitors that the module says it has; None where it does not say."""
        found: list[int] = []
        base = 0x00 if service == LIVE else FIRST_CYLINDER // SPAN * SPAN
        while True:
            answer = yield Ask(request=bytes([service, base]), what=f"what service {service:02X} has")
            self._stopped |= answer.came is Came.STOPPED
            row = _named(service, answer)
            if row is None:
                return tuple(found) if found else None
            found += [one for one in row if one % SPAN]
            if base + SPAN not in row or base + SPAN > 0xE0:
                return tuple(found)
            base += SPAN

    def _choose(self, has: Sequence[int]) -> None:
        chosen = tuple(dict.fromkeys(self._wish.pids))
        self._not_figures = tuple(one for one in chosen if not channels_of(one))
        self._not_supported = tuple(one for one in chosen if one not in has and one not in self._not_figures)
        self._together = [one for one in chosen or USUAL if one in has and channels_of(one)]

    # the rounds

    def _round(self) -> Talk[None]:
        for group in _groups(self._together):
            yield from self._ask(group)
        for pid in tuple(self._alone):
            yield from self._ask((pid,))
        self._rounds += not self._stopped

    def _ask(self, pids: Sequence[int]) -> Talk[None]:
        """Ask for some PIDs; whatever does not come is a drop-out."""
        if self._over():
            return
        answer = yield Ask(request=bytes([LIVE, *pids]), what="live values", repeats=0)
        if answer.came is Came.STOPPED:
            self._stopped = True
            return
        values = {live.pid: live for live in read_live(answer.data).values} if answer.positive else {}
        lost = [pid for pid in pids if pid not in values]
        if lost and len(pids) > 1 and answer.whole:
            self._alone += lost
            self._together = [pid for pid in self._together if pid not in lost]
        for pid in pids:
            for record in _records(pid, values.get(pid), self._at(answer.ended_s)):
                self._keep(record)

    def _ask_misfires(self) -> Talk[None]:
        for monitor in self._cylinders:
            if self._stopped:
                return
            answer = yield Ask(request=bytes([MONITORS, monitor]), what="misfires", repeats=1)
            if answer.came is Came.STOPPED:
                self._stopped = True
                return
            tests = read_monitors(answer.data).tests if answer.positive else ()
            for record in _misfire_records(monitor, tests, self._at(answer.ended_s)):
                self._keep(record)


def _named(service: int, answer: Answer) -> tuple[int, ...] | None:
    """The numbers in a row of bits; None where no such row came."""
    if not answer.positive:
        return None
    if service == MONITORS:
        return read_monitors(answer.data).supported or None
    live = read_live(answer.data).values
    return live[0].supported if live else None


def _groups(pids: Sequence[int]) -> Iterator[tuple[int, ...]]:
    for first in range(0, len(pids), MOST_AT_ONCE):
        yield tuple(pids[first : first + MOST_AT_ONCE])


def _records(pid: int, live: Live | None, at_s: float) -> Iterator[Record]:
    """One record for each figure of a PID, with its value or without."""
    values = [one.value for one in live.readings] if live is not None else []
    for place, channel in enumerate(channels_of(pid)):
        value = values[place] if place < len(values) else None
        yield Record(at_s=at_s, key=channel.key, value=float(value) if isinstance(value, int | float) else None)


def _misfire_records(monitor: int, tests: Sequence[MonitorTest], at_s: float) -> Iterator[Record]:
    """One record for each result that came; a drop-out where none did."""
    cylinder = monitor - FIRST_CYLINDER + 1
    came = {one.test: one for one in tests if one.monitor == monitor and one.test in _MISFIRES}
    if not came:
        yield Record(at_s=at_s, key=misfire_key(cylinder, MISFIRE_COUNT), value=None)
    for test, result in came.items():
        key = misfire_key(cylinder, test)
        yield Record(at_s=at_s, key=key, value=result.raw if result.has_run else None, not_run=not result.has_run)
