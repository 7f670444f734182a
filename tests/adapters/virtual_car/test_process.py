"""The virtual car in a process of its own: it answers, is told, and ends with whoever started it."""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import can
import pytest

from putback.adapters.virtual_car import NotTakenError, Switches, started
from putback.adapters.virtual_car.opening import is_taken

PARENT = """
import time
from putback.adapters.virtual_car import started
handle = started()
print(handle._process.pid, flush=True)
time.sleep(60)
"""


def test_it_answers_is_told_and_ends() -> None:
    with started() as handle:
        with handle.open() as bus:
            assert is_taken(bus)
        handle.tell(left_open={"horn-plug"}, loss=0.5)
        process = handle._process
    assert process.returncode == 0
    with pytest.raises(NotTakenError, match="has ended"):
        handle.tell(loss=0.0)
    handle.close()  # once more does no harm


def test_ctrl_c_is_for_whoever_started_it() -> None:
    with started() as handle, handle.open() as bus:
        os.kill(handle._process.pid, signal.SIGINT)
        handle.tell(at_once=True)
        assert is_taken(bus)


def test_what_it_cannot_take_is_said_and_it_goes_on() -> None:
    with started() as handle:
        with pytest.raises(NotTakenError, match="'x' is no item of this car"):
            handle.tell(left_open={"x"})
        with pytest.raises(NotTakenError, match="cannot be changed"):
            handle.tell(nothing=1)
        handle.tell(left_open=["horn-plug"])


def test_what_is_no_frame_is_borne() -> None:
    with started() as handle, handle.open() as bus:
        handle.tell(at_once=True)
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
            other.setsockopt(socket.IPPROTO_IP, socket.IP_MULTICAST_TTL, 0)
            for junk in (b"", b"no frame", bytes(300), b"\x80"):
                other.sendto(junk, (handle.channel, handle.options["port"]))
        bus.send(can.Message(arbitration_id=0x74A, is_extended_id=False, data=bytes.fromhex("023E00")))
        assert 0x7B4 in set(_ids(bus))


def _ids(bus: can.BusABC) -> Iterator[int]:
    until = time.monotonic() + 0.3
    while time.monotonic() < until:
        with suppress(can.CanError):  # the junk comes here too
            frame = bus.recv(0.05)
            if frame is not None:
                yield frame.arbitration_id


def test_two_cars_do_not_hear_each_other() -> None:
    with started() as one, started() as other, one.open() as bus, other.open() as other_bus:
        one.tell(at_once=True)
        bus.send(can.Message(arbitration_id=0x74A, is_extended_id=False, data=bytes.fromhex("023E00")))
        time.sleep(0.2)
        assert other_bus.recv(0) is None
        frames = [bus.recv(0) for _ in range(5)]
        assert [frame.arbitration_id for frame in frames if frame is not None] == [0x74A, 0x7B4]


def test_it_does_not_start_with_what_cannot_be(tmp_path: Path) -> None:
    with pytest.raises(NotTakenError, match="cannot be opened"):
        started(tmp_path / "no-such.car.yaml")
    with pytest.raises(NotTakenError, match="loss"):
        started(switches=Switches(loss=2.0))
    with pytest.raises(NotTakenError, match="no multicast address"):
        started(channel="10.0.0.1")


def test_it_ends_when_its_parent_is_killed() -> None:
    with subprocess.Popen([sys.executable, "-c", PARENT], stdout=subprocess.PIPE, text=True) as parent:
        assert parent.stdout is not None
        car = int(parent.stdout.readline())
        os.kill(parent.pid, signal.SIGKILL)
    until = time.monotonic() + 5
    while time.monotonic() < until and _runs(car):
        time.sleep(0.05)
    assert not _runs(car)


def _runs(process: int) -> bool:
    """Whether a process runs; one that has ended and that nobody has asked after does not."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False
