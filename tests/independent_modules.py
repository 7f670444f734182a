"""A module whose protocol side is somebody else's: scapy's answering machine (GPL: tests only)."""

import importlib.util
import json
import secrets
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import can
import pytest

from putback.adapters.virtual_car.process import free_port
from putback.core.codes.talk.car_read import Pair

_MACHINE = Path(__file__).parent / "adapters" / "virtual_car" / "answering_machine.py"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A bus between programs that no other test uses."""

    channel: str
    port: int

    def open(self) -> can.BusABC:
        return can.Bus(interface="udp_multicast", channel=self.channel, port=self.port, hop_limit=0)


def new_place() -> Place:
    return Place(channel=f"239.255.{secrets.randbelow(256)}.{1 + secrets.randbelow(254)}", port=free_port())


@contextmanager
def independent_module(
    pair: Pair, answers: Mapping[bytes, Sequence[bytes]], *, place: Place | None = None, seconds: float = 60
) -> Iterator[Place]:
    """A module that answers these requests with these messages, one after the other; it lives so long at most, [s].

    Name the same `place` for several of them on one bus. Between several messages to one request the machine waits
    10 to 500 ms, as scapy does.
    """
    if importlib.util.find_spec("scapy") is None:
        pytest.skip("REFERENCE MISSING: scapy is not installed, so no independent module answered")
    assert pair.extended == (pair.answer > 0x7FF), "scapy takes ids above 7FF as 29-bit ones"
    place = place or new_place()
    asked = {
        "channel": place.channel,
        "port": place.port,
        "request": pair.request,
        "answer": pair.answer,
        "answers": {request.hex(): [one.hex() for one in said] for request, said in answers.items()},
        "seconds": seconds,
    }
    process = subprocess.Popen(
        [sys.executable, "-W", "ignore", str(_MACHINE), json.dumps(asked)], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    try:
        assert process.stdout.readline() == "ready\n"
        yield place
    finally:
        process.kill()
        process.wait()
        process.stdout.close()
