"""A whole car read at once. The modules are can-isotp; that a read agrees with an independent client (udsoncan, scapy)
is tested where the virtual car is.
"""

import random
from collections.abc import Callable, Iterable
from pathlib import Path

import can
import pytest

from adapters.bus.bench import Bench, Damage, Module
from putback.adapters.bus.frame_log import FrameLog, open_frame_log
from putback.adapters.bus.reading import ReadStep, read_car
from putback.core.codes.talk.car_read import CarRead, How, Pair
from putback.core.codes.talk.may_send import may_send
from putback.core.finding import Finding

PAIRS = [Pair(request=0x700 + n, answer=0x780 + n) for n in range(6)]
GATEWAY = Pair(request=0x18DA10F1, answer=0x18DAF110, extended=True)
NOW = bytes.fromhex("7F1978")
NUMBER = b"9ZZXA00A3T0000001"  # invented
OTHER = b"9ZZXA00A5T0000002"  # invented


def plain(pair: Pair, name: str, codes: str = "", number: bytes = NUMBER, *, delay_s: float = 0.02) -> Module:
    replies = {
        bytes.fromhex("1902FF"): [(delay_s, bytes.fromhex("5902FF" + codes))],
        bytes.fromhex("22F190"): [(delay_s, bytes.fromhex("62F190") + number)],
        bytes.fromhex("22F197"): [(delay_s, bytes.fromhex("62F197") + name.encode())],
    }
    return Module(pair, replies, delay_s=delay_s)


def slow(pair: Pair) -> Module:
    module = plain(pair, "restraints", "01041108")
    whole = module.replies[bytes.fromhex("1902FF")]
    late = [(0.03, NOW), (0.3, NOW), *((0.6, data) for _, data in whole)]
    return Module(pair, {**module.replies, bytes.fromhex("1902FF"): late})


def a_car() -> list[Module]:
    return [
        plain(PAIRS[0], "Brake", "0A9B1724 01041108"),
        plain(PAIRS[1], "Radar"),
        slow(PAIRS[2]),
        plain(GATEWAY, "Gateway", "0A9B1724" * 40),
        Module(PAIRS[3], {bytes.fromhex("1902FF"): [(0.02, bytes.fromhex("7F1922"))]}),
        Module(PAIRS[4], {}, silent=True),
    ]


def read(modules: list[Module], bus: Bench | None = None, **more: object) -> CarRead:
    bus = bus or Bench(modules)
    return read_car(
        bus,
        [module.pair for module in modules],
        stage="before",
        at="2026-11-26T16:00:00+01:00",
        allowed=may_send(None, None),
        clock=bus.clock,
        **more,  # type: ignore[arg-type] # what a test gives
    )


def test_every_module_is_a_line_whatever_it_answered() -> None:
    found = read(a_car())
    assert [(one.module, one.how) for one in found.modules] == [
        ("brake", How.ANSWERED),
        ("radar", How.ANSWERED),
        ("restraints", How.ANSWERED),
        ("gateway", How.ANSWERED),
        ("module 703", How.REFUSED),
        ("module 704", How.SILENT),
    ]
    assert [(line.module, line.code) for line in found.modules[0].listed] == [
        ("brake", "P0A9B-17"),
        ("brake", "P0104-11"),
    ]
    listing = found.listing("list.csv")
    assert listing.silent == {"module 703", "module 704"}
    assert listing.answered == frozenset({"brake", "radar", "restraints", "gateway"})
    assert found.vin == NUMBER.decode()
    assert not found.stopped


def test_the_whole_takes_little_longer_than_the_slowest_alone() -> None:
    modules = a_car()[:4]
    alone = {module.pair: read([module]).modules[0].took_s for module in modules}
    bus = Bench(modules)
    read(modules, bus, first=[PAIRS[2]])
    assert bus.now <= 1.1 * max(alone.values())
    one_by_one = Bench(modules)
    read(modules, one_by_one, at_once=1)
    assert bus.now < one_by_one.now


def test_modules_that_call_themselves_the_same_are_told_apart_by_their_ids() -> None:
    found = read([plain(PAIRS[0], "unit"), plain(PAIRS[1], "unit"), plain(PAIRS[2], "other")])
    assert [one.module for one in found.modules] == ["unit 700", "unit 701", "other"]


def test_given_names_are_kept_and_not_asked_for() -> None:
    modules = [plain(PAIRS[0], "unit"), plain(PAIRS[1], "unit")]
    found = read(modules, names={PAIRS[0]: "left", PAIRS[1]: "right"})
    assert [one.module for one in found.modules] == ["left", "right"]
    assert not any(request.hex() == "22f197" for module in modules for request in module.asked)


def test_a_module_of_another_car_is_said() -> None:
    found = read([plain(PAIRS[0], "a"), plain(PAIRS[1], "b"), plain(PAIRS[2], "c", number=OTHER)])
    assert found.vin == NUMBER.decode()
    assert found.notes == (f"c gives the vehicle number {OTHER.decode()}",)


@pytest.mark.parametrize("after_s", [0.0, 0.01, 0.03, 0.1, 0.4, 1.0])
def test_a_read_that_is_stopped_is_kept_as_far_as_it_came(after_s: float) -> None:
    modules = a_car()
    bus = Bench(modules)
    found = read(modules, bus, stop=lambda: bus.now >= after_s)
    assert found.stopped == "stopped before every module was asked"
    assert len(found.modules) == len(modules)
    for one in found.modules:
        assert one.how in (How.ANSWERED, How.REFUSED) or one.said
    assert bus.now < after_s + 0.2


def test_what_is_going_on_is_told() -> None:
    steps: list[ReadStep] = []
    found = read(a_car(), on_progress=steps.append)
    assert [step.done for step in steps] == sorted(step.done for step in steps)
    assert (steps[-1].done, steps[-1].total) == (len(found.modules), len(found.modules))
    assert {step.what for step in steps} >= {"codes with their status", "vehicle number", "done"}


# frames kept in a file, read back by python-can's own reader


@pytest.mark.parametrize("suffix", [".log", ".asc", ".csv", ".blf", ".trc"])
def test_every_frame_can_be_kept_and_read_back(tmp_path: Path, suffix: str) -> None:
    place = tmp_path / f"read{suffix}"
    modules = a_car()
    bus = Bench(modules)
    log = open_frame_log(place)
    assert isinstance(log, FrameLog)
    with log:
        read(modules, bus, log=log)
    with can.LogReader(place) as reader:
        back = [(frame.arbitration_id, bytes(frame.data)) for frame in reader]
    assert len(back) == log.count
    sent = [(frame.arbitration_id, bytes(frame.data)) for frame in bus.sent]
    requests = {module.pair.request for module in modules}
    assert [one for one in back if one[0] in requests] == sent


def test_a_log_that_cannot_be_written_is_a_finding(tmp_path: Path) -> None:
    there = tmp_path / "there.log"
    there.write_text("mine")
    for place in (tmp_path / "read.doc", tmp_path / "none", there, tmp_path / "no" / "read.log"):
        found = open_frame_log(place)
        assert isinstance(found, Finding), place
    assert there.read_text() == "mine"


# whatever happens to the frames, a list that counts as whole is whole


def lost(chance: random.Random, share: float) -> Damage:
    return lambda frame: () if chance.random() < share else (frame,)


def twice(chance: random.Random, share: float) -> Damage:
    return lambda frame: (frame, frame) if chance.random() < share else (frame,)


def swapped(chance: random.Random, share: float) -> Damage:
    """Hold a frame back until after the next."""
    held: list[can.Message] = []

    def change(frame: can.Message) -> Iterable[can.Message]:
        if not held and chance.random() < share:
            held.append(frame)
            return ()
        late = tuple(held)
        held.clear()
        return (frame, *late)

    return change


def shortened(chance: random.Random, share: float) -> Damage:
    def change(frame: can.Message) -> Iterable[can.Message]:
        if chance.random() >= share:
            return (frame,)
        data = bytes(frame.data[: chance.randrange(8)])
        return (can.Message(arbitration_id=frame.arbitration_id, data=data, is_extended_id=frame.is_extended_id),)

    return change


def renumbered(chance: random.Random, share: float) -> Damage:
    def change(frame: can.Message) -> Iterable[can.Message]:
        if frame.data[0] >> 4 == 2 and chance.random() < share:
            frame.data[0] = 0x20 | chance.randrange(16)
        return (frame,)

    return change


def breaks_off(chance: random.Random, share: float) -> Damage:
    """From some frame on, nothing more of that answer comes."""
    broken: set[int] = set()

    def change(frame: can.Message) -> Iterable[can.Message]:
        if frame.data[0] >> 4 != 2:
            broken.discard(frame.arbitration_id)
        elif chance.random() < share:
            broken.add(frame.arbitration_id)
        return () if frame.arbitration_id in broken else (frame,)

    return change


@pytest.mark.parametrize("kind", [lost, twice, swapped, shortened, renumbered, breaks_off])
@pytest.mark.parametrize("share", [0.01, 0.1, 0.4])
def test_no_list_is_short_unsaid(kind: Callable[[random.Random, float], Damage], share: float) -> None:
    chance = random.Random(f"{kind.__name__} {share}")
    heard = 0
    for _ in range(6):
        codes = {
            pair: [
                f"{chance.randrange(1, 0x1000):04X}{chance.randrange(256):02X}2F" for _ in range(chance.randrange(40))
            ]
            for pair in (*PAIRS[:3], GATEWAY)
        }
        modules = [plain(pair, f"unit {n}", "".join(listed)) for n, (pair, listed) in enumerate(codes.items())]
        found = read(modules, Bench(modules, damage=kind(chance, share)))
        for one in found.modules:
            if one.how is How.ANSWERED:
                heard += 1
                truth = {bytes.fromhex(code)[:3] for code in codes[one.pair]}
                assert {_bytes(line.code) for line in one.listed} == truth
            else:
                assert one.said
    assert heard > 0 or share > 0.3


def _bytes(code: str) -> bytes:
    """A code of powertrain with its failure type, as it was sent."""
    return bytes.fromhex(code[1:5] + code[6:8])
