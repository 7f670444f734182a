"""One idea: a monitor's result has a value between two limits; three zeros say that it has not run.

Service 06 over CAN: records of nine bytes. Source: SAE J1979 / ISO 15031-5; rows in tests/core/codes/test_monitors.py.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from putback.core.codes.meaning.bits import SPAN, supported
from putback.core.codes.meaning.scaling import DISPUTED, SCALINGS, scaled, unit_of, whole
from putback.core.codes.meaning.wrong import Wrong, hexed

ANSWER = 0x46
RECORD = 9
MISFIRE_AVERAGE = 0x0B
MISFIRE_COUNT = 0x0C
FIRST_CYLINDER = 0xA2
LAST_CYLINDER = 0xAD

TESTS: Mapping[int, str] = MappingProxyType(
    {
        MISFIRE_AVERAGE: "misfires, average of the last ten driving cycles",
        MISFIRE_COUNT: "misfires in the last or this driving cycle",
    }
)


def _sensors(first: int, name: str) -> dict[int, str]:
    return {first + n: f"{name}, bank {n // 4 + 1}, sensor {n % 4 + 1}" for n in range(16)}


def _banks(first: int, count: int, name: str) -> dict[int, str]:
    return {first + n: f"{name}, bank {n + 1}" for n in range(count)}


MONITORS: Mapping[int, str] = MappingProxyType(
    _sensors(0x01, "oxygen sensor")
    | _banks(0x21, 4, "catalyst")
    | _banks(0x31, 4, "exhaust gas recirculation")
    | _banks(0x35, 4, "valve timing")
    | {
        0x39: "evaporative system, cap off or leak of 0.150 inch",
        0x3A: "evaporative system, leak of 0.090 inch",
        0x3B: "evaporative system, leak of 0.040 inch",
        0x3C: "evaporative system, leak of 0.020 inch",
        0x3D: "purge flow",
    }
    | _sensors(0x41, "oxygen sensor heater")
    | _banks(0x61, 4, "heated catalyst")
    | {0x70 + n: f"secondary air {n}" for n in range(1, 5)}
    | _banks(0x81, 4, "fuel system")
    | _banks(0x85, 2, "boost pressure")
    | _banks(0x90, 2, "nitrogen oxide adsorber")
    | _banks(0x98, 2, "nitrogen oxide catalyst")
    | {0xA1: "misfire, general"}
    | {0xA1 + n: f"misfire, cylinder {n}" for n in range(1, 13)}
    | _banks(0xB0, 2, "particle filter")
)
"""What a monitor is about. Source: SAE J1979 monitor ids, in our words; A2 to A9 seen, the others as one program
library gives them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MonitorTest:
    """One result: whole numbers as sent, and what they are in `unit` where that is known and confirmed.

    `scaling` is the id of unit and scaling. Value and limits are compared as they were sent.
    """

    monitor: int
    test: int
    scaling: int
    raw: int
    raw_least: int
    raw_most: int

    @property
    def name(self) -> str:
        """What the monitor is about."""
        return MONITORS.get(self.monitor, f"monitor {self.monitor:02X}")

    @property
    def what(self) -> str:
        """What was measured."""
        return TESTS.get(self.test, f"test {self.test:02X}")

    @property
    def has_run(self) -> bool:
        """Whether the monitor has run since the codes were cleared: value and limits are not all zero."""
        return any((self.raw, self.raw_least, self.raw_most))

    @property
    def passed(self) -> bool | None:
        """Whether the value lies within its limits, ends included; None: it has not run."""
        return self.raw_least <= self.raw <= self.raw_most if self.has_run else None

    @property
    def unit(self) -> str:
        """The unit; empty where it is not known, or not confirmed."""
        return unit_of(self.scaling)

    @property
    def value(self) -> float | None:
        """The value in `unit`; None: it has not run, or the unit is not known."""
        return scaled(self.scaling, self.raw) if self.has_run else None

    @property
    def least(self) -> float | None:
        """The lower limit in `unit`; None as for `value`."""
        return scaled(self.scaling, self.raw_least) if self.has_run else None

    @property
    def most(self) -> float | None:
        """The upper limit in `unit`; None as for `value`."""
        return scaled(self.scaling, self.raw_most) if self.has_run else None

    @property
    def note(self) -> str:
        """What is to be known about the unit; empty where nothing is."""
        if self.scaling not in SCALINGS:
            return f"unit {self.scaling:02X} is not known here: whole numbers are shown"
        return DISPUTED.get(self.scaling, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class MonitorAnswer:
    """What an answer to service 06 says: results, or which monitors there are. `padding` counts zero bytes."""

    tests: tuple[MonitorTest, ...] = ()
    supported: tuple[int, ...] = ()
    padding: int = 0
    wrong: tuple[Wrong, ...] = ()


def read_monitors(answer: bytes) -> MonitorAnswer:
    """The results, or the monitors, of an answer to service 06 over CAN, from 46 on.

    >>> read_monitors(bytes.fromhex("46 01 05 10 0048 0000 0064")).tests[0].value
    72.0
    >>> [f"{monitor:02X}" for monitor in read_monitors(bytes.fromhex("46A078000000")).supported]
    ['A2', 'A3', 'A4', 'A5']
    """
    if len(answer) < 2 or answer[0] != ANSWER:
        what = f"{hexed(answer[:2]) or 'nothing'} is no answer to service 06"
        return MonitorAnswer(wrong=(Wrong(what=what, mend="read the module again"),))
    return _supported(answer[1:]) if answer[1] % SPAN == 0 else _tests(answer[1:])


def _supported(body: bytes) -> MonitorAnswer:
    """Rows of five bytes: a number that ends a span, and four bytes of bits."""
    found: list[int] = []
    place = 0
    while place + 5 <= len(body) and body[place] % SPAN == 0 and (place == 0 or any(body[place:])):
        found += supported(body[place], body[place + 1 : place + 5])
        place += 5
    padding, wrong = _end(body[place:])
    return MonitorAnswer(supported=tuple(found), padding=padding, wrong=wrong)


def _tests(body: bytes) -> MonitorAnswer:
    tests: list[MonitorTest] = []
    place = 0
    while place + RECORD <= len(body) and any(body[place:]):
        tests.append(_test(body[place : place + RECORD]))
        place += RECORD
    padding, wrong = _end(body[place:])
    return MonitorAnswer(tests=tuple(tests), padding=padding, wrong=wrong)


def _end(rest: bytes) -> tuple[int, tuple[Wrong, ...]]:
    """The bytes after the last record: zeros are padding, anything else is wrong."""
    if not any(rest):
        return len(rest), ()
    return 0, (Wrong(what=f"the answer ends inside a record: {hexed(rest)}", mend="read the module again"),)


def _test(record: bytes) -> MonitorTest:
    scaling = record[2]
    raw, least, most = (whole(scaling, record[place : place + 2]) for place in (3, 5, 7))
    return MonitorTest(monitor=record[0], test=record[1], scaling=scaling, raw=raw, raw_least=least, raw_most=most)


@dataclass(frozen=True, slots=True, kw_only=True)
class Misfires:
    """Misfires of one cylinder. `count` is of the last or this driving cycle, `average` of the last ten.

    None: that monitor has not run since the codes were cleared, or was not sent. It is never a zero.
    """

    cylinder: int
    count: int | None
    average: int | None


def misfires(tests: Iterable[MonitorTest]) -> tuple[Misfires, ...]:
    """The misfires of each cylinder that the results speak of, in order.

    >>> misfires(read_monitors(bytes.fromhex("46 A2 0C 24 0000 0000 0000")).tests)
    (Misfires(cylinder=1, count=None, average=None),)
    """
    found: dict[int, dict[int, int]] = {}
    for test in tests:
        if FIRST_CYLINDER <= test.monitor <= LAST_CYLINDER:
            of_cylinder = found.setdefault(test.monitor - FIRST_CYLINDER + 1, {})
            if test.has_run:
                of_cylinder[test.test] = test.raw
    return tuple(
        Misfires(cylinder=cylinder, count=of.get(MISFIRE_COUNT), average=of.get(MISFIRE_AVERAGE))
        for cylinder, of in sorted(found.items())
    )


def next_average(*, average: float, count: float) -> float:
    """The average after one more driving cycle: a tenth of the new count, nine tenths of the average before.

    Args:
        average: before, in misfires per cycle; 0 at the start.
        count: misfires of the cycle that ended.

    Source: SAE J1979 test id 0B (from memory; seen in two third-party tables).

    >>> round(next_average(average=1.9, count=10), 3)
    2.71
    """
    return 0.1 * count + 0.9 * average
