"""Drives for tests: all invented, made of the virtual car's figures or of plain arithmetic."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import can

from adapters.bus.bench import Bench, Module, Reply
from putback.adapters.drive_log import DriveLog, begin_drive_log
from putback.adapters.virtual_car.drive import moment
from putback.adapters.virtual_car.emission import PIDS
from putback.core.codes.drive.log import Drive, Record, drive_of
from putback.core.codes.meaning.bits import SPAN
from putback.core.codes.talk.car_read import Pair

ENGINE = Pair(request=0x7E0, answer=0x7E8)
HAS = (0x04, 0x05, 0x06, 0x07, 0x0C, 0x0D, 0x0F, 0x10, 0x11)
_ANY: Any = None
"""What the virtual car has stored: the figures of HAS do not ask for it."""


def records(values: Mapping[str, Iterable[float | None]], *, step_s: float = 1.0) -> Iterator[Record]:
    """Records of several channels, one each step."""
    for key, of in values.items():
        for n, value in enumerate(of):
            yield Record(at_s=n * step_s, key=key, value=value)


def drive(values: Mapping[str, Iterable[float | None]], *, name: str = "drive", step_s: float = 1.0) -> Drive:
    """A drive of these values."""
    return drive_of(records(values, step_s=step_s), name=name)


@dataclass
class Running(Module):
    """An engine that is driven, on a bench: PIDs by the virtual car's own figures; `alone`: one PID a request."""

    bench: Bench | None = None
    false_air: bool = False
    alone: bool = False
    run_s: float = 900.0
    misfires: bytes | None = None
    leaves_out: frozenset[int] = frozenset()
    mute_from_s: float = float("inf")
    mute_to_s: float = float("inf")

    def answers(self, request: bytes) -> Iterable[Reply]:
        assert self.bench is not None
        if self.mute_from_s <= self.bench.now < self.mute_to_s:
            return ()
        if request[0] == 0x06 and self.misfires is not None:
            return [(0.01, b"\x46\xa0\x78\x00\x00\x00" if request[1] == 0xA0 else self._counts(request[1]))]
        if request[0] != 0x01:
            return [(0.01, bytes([0x7F, request[0], 0x11]))]
        if len(request) > 2 and self.alone:
            return [(0.01, bytes([0x7F, 0x01, 0x13]))]
        found = b"".join(self._one(pid) for pid in request[1:] if len(request) == 2 or pid not in self.leaves_out)
        return [(0.01, b"\x41" + found if found else bytes([0x7F, 0x01, 0x12]))]

    def _counts(self, monitor: int) -> bytes:
        """Count and average, each with the value that is chosen for every cylinder; three zeros: not run."""
        assert self.misfires is not None
        most = b"\x00\x00" if self.misfires == b"\x00\x00" else b"\xff\xff"
        return b"\x46" + b"".join(
            bytes([monitor, test, 0x24]) + self.misfires + b"\x00\x00" + most for test in (11, 12)
        )

    def _one(self, pid: int) -> bytes:
        assert self.bench is not None
        if pid % SPAN == 0:
            bits = sum(1 << 32 - (one - pid) for one in HAS if pid < one <= pid + SPAN)
            return bytes([pid]) + bits.to_bytes(4, "big")
        if pid not in HAS:
            return b""
        now = self.bench.now
        return bytes([pid]) + PIDS[pid](_ANY, moment(run_s=self.run_s + now, driving_s=now, false_air=self.false_air))


def bench_of(**more: Any) -> tuple[Bench, Running]:
    """A bench with one engine that is driven."""
    engine = Running(pair=ENGINE, replies={}, **more)
    engine.bench = Bench([engine])
    return engine.bench, engine


def services_sent(bench: Bench) -> set[int]:
    """The services of every single frame that was sent; every request here fits in one."""
    return {frame.data[1] for frame in bench.sent if isinstance(frame, can.Message) and frame.data[0] >> 4 == 0}


def write_drive(path: Any, made: Drive, **facts: str) -> None:
    """A drive as a log file."""
    log = begin_drive_log(path, {"begun": "2026-03-02T08:15:00+01:00", **facts})
    assert isinstance(log, DriveLog)
    for record in sorted((one for series in made.series.values() for one in series), key=lambda one: one.at_s):
        log(record)
    log.say("ended", "at its time")
    log.close()
