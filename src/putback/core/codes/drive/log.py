"""One idea: a drive is what was asked of the engine and what came, second by second; no answer is a line too.

A value that was asked for and did not come is a drop-out: it stands in the drive without a value; nothing fills it.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from statistics import median
from types import MappingProxyType
from typing import Final

from putback.core.codes.meaning.monitors import FIRST_CYLINDER, LAST_CYLINDER, MISFIRE_AVERAGE, MISFIRE_COUNT
from putback.core.codes.meaning.pid_table import PERCENT, PIDS, Figure
from putback.core.codes.meaning.wrong import Wrong

LOAD, COOLANT, SPEED = "04", "05", "0D"
TRIM_SUMS: Final[Mapping[str, int]] = MappingProxyType({"06+07": 1, "08+09": 2})
"""Both trims of a bank together, and the bank."""

_PID = re.compile(r"([0-9A-F]{2})(?:\.([1-9]))?")
_MISFIRE = re.compile(r"06-([0-9A-F]{2})-([0-9A-F]{2})")
_BROKEN_AFTER: Final = 3.0
"""A gap so many times as long as the usual step breaks a line (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """One figure that is logged. `key`: a PID (`0C`), a figure of several in it (`14.2`), or a result (`06-A2-0C`)."""

    key: str
    name: str
    unit: str

    @property
    def live(self) -> bool:
        """Whether it is a value of the moment, and no result of a monitor."""
        return not self.key.startswith("06-")


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """One line of a drive.

    Args:
        at_s: since the log began, [s].
        value: what came; None: nothing came, or the monitor has not run.
        not_run: the monitor has not run since the codes were cleared (three zeros).
    """

    at_s: float
    key: str
    value: float | None
    not_run: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """How a channel was logged: values, drop-outs, usual step and longest time without a value, [s]."""

    values: int
    drop_outs: int
    step_s: float | None
    longest_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive:
    """One drive. `series`: the records of each channel in the order of time; `facts`: what the log says of itself."""

    name: str
    series: Mapping[str, tuple[Record, ...]]
    facts: Mapping[str, str] = field(default_factory=dict)

    @property
    def long_s(self) -> float:
        """From its first record to its last, [s]."""
        ends = [(records[0].at_s, records[-1].at_s) for records in self.series.values() if records]
        return max(end for _, end in ends) - min(begin for begin, _ in ends) if ends else 0.0

    @property
    def channels(self) -> tuple[Channel, ...]:
        """What was logged, in the order of the keys."""
        found = [channel_of(key) for key in sorted(self.series)]
        return tuple(one for one in found if isinstance(one, Channel))


def drive_of(records: Iterable[Record], *, name: str, facts: Mapping[str, str] | None = None) -> Drive:
    """A drive from its records, whatever their order."""
    series: dict[str, list[Record]] = {}
    for record in records:
        series.setdefault(record.key, []).append(record)
    ordered = {key: tuple(sorted(found, key=lambda one: one.at_s)) for key, found in series.items()}
    return Drive(name=name, series=ordered, facts=facts or {})


def channel_of(key: str) -> Channel | Wrong:
    """What a key stands for.

    >>> channel_of("0C")
    Channel(key='0C', name='engine speed', unit='1/min')
    >>> channel_of("06-A2-0C").name
    'misfires in the last or this driving cycle, cylinder 1'
    """
    if key in TRIM_SUMS:
        return Channel(key=key, name=f"short and long term fuel trim, bank {TRIM_SUMS[key]}", unit=PERCENT)
    found = _MISFIRE.fullmatch(key)
    if found is not None:
        return _result(key, int(found[1], 16), int(found[2], 16))
    found = _PID.fullmatch(key)
    if found is None:
        return Wrong(what=f"{key!r:.40} is no PID", mend="write two hex digits, such as 0C, or 14.2, or 06-A2-0C")
    return _pid(key, int(found[1], 16), found[2])


def channels_of(pid: int) -> tuple[Channel, ...]:
    """The figures of one PID, each with its key; none for a PID that is bits or words."""
    figures = PIDS[pid].figures if pid in PIDS else ()
    return tuple(
        Channel(key=key_of(pid, place, len(figures)), name=one.name, unit=one.unit)
        for place, one in enumerate(figures)
    )


def key_of(pid: int, place: int, of: int) -> str:
    """The key of a figure: the PID, and which figure where there are several.

    >>> key_of(0x0C, 0, 1), key_of(0x14, 1, 2)
    ('0C', '14.2')
    """
    return f"{pid:02X}" if of == 1 else f"{pid:02X}.{place + 1}"


def misfire_key(cylinder: int, test: int) -> str:
    """The key of the misfires of a cylinder.

    >>> misfire_key(1, 0x0C)
    '06-A2-0C'
    """
    return f"06-{FIRST_CYLINDER + cylinder - 1:02X}-{test:02X}"


def rate(records: tuple[Record, ...]) -> Rate:
    """How a channel was logged."""
    times = [one.at_s for one in records if one.value is not None]
    steps = [after - before for before, after in pairwise(times)]
    return Rate(
        values=len(times),
        drop_outs=sum(one.value is None and not one.not_run for one in records),
        step_s=median(steps) if steps else None,
        longest_s=max(steps, default=None),
    )


def runs(records: tuple[Record, ...]) -> Iterator[tuple[Record, ...]]:
    """Records with values that follow one another without a drop-out and without a long gap."""
    step = rate(records).step_s or 0.0
    run: list[Record] = []
    for one in records:
        gap = bool(run) and one.at_s - run[-1].at_s > _BROKEN_AFTER * step
        if run and (one.value is None or gap):
            yield tuple(run)
            run = []
        if one.value is not None:
            run.append(one)
    if run:
        yield tuple(run)


def _pid(key: str, pid: int, place: str | None) -> Channel | Wrong:
    figures: tuple[Figure, ...] = PIDS[pid].figures if pid in PIDS else ()
    at = int(place or 1) - 1
    if not figures:
        what = f"PID {pid:02X} is not known here as a figure"
        return Wrong(what=what, mend="log PIDs that are figures: docs/codes-drive.md")
    if at >= len(figures) or (place is None) != (len(figures) == 1):
        of = "1 figure" if len(figures) == 1 else f"{len(figures)} figures"
        mend = f"write {', '.join(one.key for one in channels_of(pid))}"
        return Wrong(what=f"PID {pid:02X} has {of}, and {key!r} names none of them", mend=mend)
    return Channel(key=key, name=figures[at].name, unit=figures[at].unit)


_RESULTS: Final = {
    MISFIRE_COUNT: "misfires in the last or this driving cycle",
    MISFIRE_AVERAGE: "misfires, average of the last ten driving cycles",
}


def _result(key: str, monitor: int, test: int) -> Channel | Wrong:
    if not FIRST_CYLINDER <= monitor <= LAST_CYLINDER or test not in _RESULTS:
        return Wrong(what=f"{key} is no misfire result", mend="write such as 06-A2-0C for cylinder 1")
    cylinder = monitor - FIRST_CYLINDER + 1
    return Channel(key=key, name=f"{_RESULTS[test]}, cylinder {cylinder}", unit="count")
