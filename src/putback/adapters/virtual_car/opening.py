"""One idea: a virtual car needs a car file, the codes that were there, and a bus that reaches no vehicle."""

import ipaddress
import logging
import time
from pathlib import Path
from typing import Any, Final

import can

from putback.adapters.car_file import demo_path, read_car
from putback.adapters.code_lists import read_code_list
from putback.adapters.virtual_car.car import INTERFACES
from putback.adapters.virtual_car.modules import FUNCTIONAL, PAIRS
from putback.adapters.virtual_car.scene import Scene
from putback.core.codes.lists.listing import Listing, Stage
from putback.core.finding import Finding

_DEMO_BEFORE: Final = "quillet.before.csv"
_NO_CODES: Final = Listing(name="nothing before", stage=Stage.BEFORE)
_PRESENT: Final = bytes.fromhex("023E00")
_ANSWERS_WITHIN_S: Final = 0.1

logging.getLogger("can").addHandler(logging.NullHandler())  # what it would print is raised as well


def read_scene(car_file: Path | None, before: Path | None) -> Scene | tuple[Finding, ...]:
    """The car and the codes that it had; the findings where a file cannot be read.

    Args:
        car_file: None: the demo car.
        before: None: the demo's own list for the demo car, else no codes.
    """
    path = demo_path() if car_file is None else car_file
    if before is None and path.resolve() == demo_path().resolve():
        before = demo_path().with_name(_DEMO_BEFORE)
    car = read_car(path)
    codes = None if before is None else read_code_list(before)
    if car.car is None or (codes is not None and codes.listing is None):
        return (*(car.findings if car.car is None else ()), *(codes.findings if codes is not None else ()))
    return Scene(car.car, _NO_CODES if codes is None or codes.listing is None else codes.listing)


def open_virtual(interface: str, channel: str, **options: Any) -> can.BusABC:
    """A bus between programs.

    Raises:
        ValueError: the interface is another one: it may lead to a vehicle; or the channel is no multicast address.
        can.CanError: the bus cannot be opened.
    """
    if interface not in INTERFACES:
        raise ValueError(f"{interface!r}: the virtual car speaks on {' and '.join(INTERFACES)} only")
    if interface == "udp_multicast" and not _is_group(channel):
        raise ValueError(f"{channel!r} is no multicast address")
    return can.Bus(interface=interface, channel=channel, **options)


def _is_group(channel: str) -> bool:
    try:
        return ipaddress.ip_address(channel).is_multicast
    except ValueError:
        return False


def is_taken(bus: can.BusABC) -> bool:
    """Whether a module answers on this bus already: two cars on one channel would both answer everything."""
    bus.send(can.Message(arbitration_id=FUNCTIONAL[False], is_extended_id=False, data=_PRESENT))
    until = time.monotonic() + _ANSWERS_WITHIN_S
    answers = {pair.answer for pair in PAIRS.values()}
    while (left := until - time.monotonic()) > 0:
        frame = bus.recv(left)
        if frame is not None and frame.arbitration_id in answers:
            return True
    return False
