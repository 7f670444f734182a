"""A read against modules whose protocol side is scapy's answering machine, each in a process of its own.

That bytes on the bus mean what they mean is so held by two programs that know nothing of one another. Also the virtual
car, which is this project's own, with its frames over a bus between processes.
"""

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

import can

from independent_modules import independent_module, new_place
from putback.adapters.bus.reading import read_car
from putback.adapters.virtual_car import PAIRS, Handle, Switches, started
from putback.core.codes.talk.car_read import CarRead, How, Pair
from putback.core.codes.talk.may_send import may_send

SLOW = Pair(request=0x713, answer=0x77D)
EXTENDED = Pair(request=0x18DA10F1, answer=0x18DAF110, extended=True)
OLD = Pair(request=0x7E0, answer=0x7E8)
LATER, LONG = bytes.fromhex("7F1978"), bytes.fromhex("5902FF") + bytes.fromhex("0A9B1724 01041108 C1331728") * 10


@contextmanager
def three_independent_modules() -> Iterator[can.BusABC]:
    place = new_place()
    answers = {
        SLOW: {bytes.fromhex("1902FF"): [LATER, LATER, bytes.fromhex("5902FF01041108")]},
        EXTENDED: {bytes.fromhex("1902FF"): [LONG]},
        OLD: {
            bytes.fromhex("1902FF"): [bytes.fromhex("7F1911")],
            b"\x03": [bytes.fromhex("430201020113")],
            b"\x07": [bytes.fromhex("47010102")],
        },
    }
    with ExitStack() as stack:
        for pair, said in answers.items():
            stack.enter_context(independent_module(pair, said, place=place))
        yield stack.enter_context(place.open())


def test_modules_that_scapy_speaks_for_are_read() -> None:
    with three_independent_modules() as bus:
        found = read_car(bus, [SLOW, EXTENDED, OLD], stage="before", at="now", allowed=may_send(None, None))
    slow, long, old = found.modules
    assert [one.how for one in found.modules] == [How.ANSWERED] * 3
    assert [(line.code, line.bits) for line in slow.listed] == [("P0104-11", 0x08)]
    assert any("answer put off twice" in note for note in slow.notes)
    assert {line.code for line in long.listed} == {"P0A9B-17", "P0104-11", "U0133-17"}
    assert {line.code: line.mask for line in old.listed} == {"P0102": 0x0C, "P0113": 0x08}


def read(handle: Handle) -> CarRead:
    with handle.open() as bus:
        return read_car(bus, list(PAIRS.values()), stage="before", at="now", allowed=may_send(None, None))


def by_name(found: CarRead) -> dict[str, How]:
    return {one.module: one.how for one in found.modules}


EXPECTED = {
    "engine": How.ANSWERED,
    "brake": How.ANSWERED,
    "body": How.ANSWERED,
    "chassis": How.ANSWERED,
    "radar": How.ANSWERED,
    "gateway": How.ANSWERED,
    "restraints": How.ANSWERED,
    "instruments": How.ANSWERED,
    "parking": How.REFUSED,
    "module 765": How.SILENT,
}


def test_the_virtual_car_is_read_over_a_bus_between_processes() -> None:
    with started() as handle:
        found = read(handle)
    assert by_name(found) == EXPECTED
    notes = {one.module: one.notes for one in found.modules}
    assert any("answer put off twice" in note for note in notes["restraints"])
    assert "the extended session was left" in notes["instruments"]
    assert found.vin == "9ZZXA00A3T0000001"
    assert {(line.module, line.code, line.status) for one in found.modules for line in one.listed} == {
        ("chassis", "C1D27-13", "2B"),
        ("body", "B1E08-62", "28"),
    }


def test_the_virtual_car_with_frames_that_come_twice_or_late_is_the_same() -> None:
    with started(switches=Switches(twice=0.3, busy=2)) as handle:
        assert by_name(read(handle)) == EXPECTED
