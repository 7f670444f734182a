"""The modules on a bus in this process, frame by frame. Byte rows follow ISO 14229-1, ISO 15765-2 and SAE J1979."""

import time
from collections.abc import Iterator
from dataclasses import replace

import can
import isotp
import pytest

from putback.adapters.virtual_car import MODULES, PAIRS, VIN, Scene, Switches, VirtualCar, open_virtual
from virtual_cars import beside, demo_scene

WAIT_S = 0.4


def frame(id: int, text: str) -> can.Message:
    return can.Message(arbitration_id=id, is_extended_id=id > 0x7FF, data=bytes.fromhex(text))


def heard(bus: can.BusABC, for_s: float) -> Iterator[tuple[int, bytes]]:
    until = time.monotonic() + for_s
    while (left := until - time.monotonic()) > 0:
        found = bus.recv(left)
        if found is not None:
            yield found.arbitration_id, bytes(found.data)


def asked(bus: can.BusABC, module: str, request: str, *, for_s: float | None = None) -> list[str]:
    """The single frames that a module answers, in hex without what fills them up.

    `for_s` None: as long as the first takes, at most 3 s, and a little more for any that follow it.
    """
    pair = PAIRS[module]
    data = bytes.fromhex(request)
    bus.send(frame(pair.request, bytes([len(data), *data]).hex()))
    came = []
    if for_s is None:
        first = next((data for id, data in heard(bus, 3.0) if id == pair.answer), None)
        came = [] if first is None else [first]
    came += [data for id, data in heard(bus, 0.06 if for_s is None else for_s) if id == pair.answer]
    return [data[1 : 1 + data[0]].hex() for data in came]


def test_what_goes_to_all_is_answered_by_those_that_listen() -> None:
    listeners = {one.pair.answer for one in MODULES.values() if one.name not in ("parking", "camera")}
    with beside() as (bus, _):
        bus.send(frame(0x7DF, "023E00"))
        bus.send(frame(0x18DB33F1, "023E00"))
        found = dict(heard(bus, WAIT_S))
    assert set(found) == listeners
    assert {data[:3].hex() for data in found.values()} == {"027e00"}


@pytest.mark.parametrize("request_", ["0210FF", "0211 01", "0322ABCD", "020999", "021A90"])
def test_to_all_nobody_says_that_he_has_it_not(request_: str) -> None:
    # ISO 14229-1, from memory: reasons 11, 12, 31, 7E, 7F are not sent in answer to a functional request
    with beside() as (bus, _):
        bus.send(frame(0x7DF, request_))
        assert list(heard(bus, 0.1)) == []


@pytest.mark.parametrize(
    ("request_", "answer"),
    [
        ("1001", "5001003201f4"),
        ("1003", "5003003201f4"),
        ("1002", "7f1012"),
        ("10", "7f1013"),
        ("3E00", "7e00"),
        ("3E01", "7f3e12"),
        ("1101", "7f1111"),
        ("22ABCD", "7f2231"),
        ("22F1", "7f2213"),
        ("1904", "7f1912"),
        ("1902", "7f1913"),
        ("14FFFF", "7f1413"),
        ("14000001", "7f1431"),
        ("190208", "5902ff"),
        ("1901FF", "5901ff010000"),
        ("03", "4300"),
        ("0101", "41010007e500"),
        ("01FE", "7f0112"),
        ("0A", "4a00"),
    ],
)
def test_an_answer_is_as_the_standard_has_it(request_: str, answer: str) -> None:
    with beside() as (bus, _):
        assert asked(bus, "engine", request_) == [answer]


def test_a_request_that_wants_no_answer_gets_none() -> None:
    with beside() as (bus, _):
        assert asked(bus, "body", "3E80", for_s=0.1) == []
        assert asked(bus, "body", "1083", for_s=0.1) == []


def test_a_module_without_emissions_has_no_such_services() -> None:
    with beside() as (bus, _):
        assert asked(bus, "body", "03") == ["7f0311"]


def test_a_long_answer_waits_for_the_word_to_go_on() -> None:
    # ISO 15765-2: first frame with 12-bit length, flow control 30, consecutive frames from 1
    with beside() as (bus, _):
        bus.send(frame(0x7E0, "020902"))
        first = list(heard(bus, WAIT_S))
        assert [data[:2].hex() for _, data in first] == ["1014"]
        bus.send(frame(0x7E0, "300000"))
        rest = [data for _, data in heard(bus, WAIT_S)]
    assert [data[0] for data in rest] == [0x21, 0x22]
    text = first[0][1][2:] + rest[0][1:] + rest[1][1:]
    assert text[:20] == b"\x49\x02\x01" + VIN.encode()


def test_the_slow_module_puts_its_list_off_twice() -> None:
    with beside() as (bus, _):
        begin = time.monotonic()
        said = asked(bus, "restraints", "1902FF", for_s=1.2)
        assert said == ["7f1978", "7f1978", "5902ff"]
        assert time.monotonic() - begin >= 0.6
        assert asked(bus, "restraints", "3E00") == ["7e00"]


def test_one_module_gives_its_codes_in_the_extended_session_only() -> None:
    with beside() as (bus, _):
        assert asked(bus, "instruments", "1902FF") == ["7f197f"]
        assert asked(bus, "instruments", "1003") == ["5003003201f4"]
        assert asked(bus, "instruments", "1902FF") == ["5902ff"]
        assert asked(bus, "instruments", "1001") == ["5001003201f4"]
        assert asked(bus, "instruments", "1902FF") == ["7f197f"]


def test_one_refuses_and_one_says_nothing() -> None:
    with beside() as (bus, _):
        assert asked(bus, "parking", "1902FF") == ["7f1922"]
        assert asked(bus, "parking", "3E00") == ["7e00"]
        assert asked(bus, "camera", "3E00", for_s=0.1) == []


def test_it_is_busy_as_often_as_it_is_told_to() -> None:
    with beside() as (bus, car):
        car.change({"busy": 2})
        assert [asked(bus, "body", "3E00") for _ in range(3)] == [["7f3e21"], ["7f3e21"], ["7e00"]]


def test_clearing_takes_what_is_over_and_leaves_what_is_there() -> None:
    with beside() as (bus, car):
        car.change({"left_open": ["horn-plug"]})
        assert asked(bus, "body", "1901FF") == ["5901ff010002"]
        assert asked(bus, "body", "14FFFFFF") == ["54"]
        assert asked(bus, "body", "190101") == ["5901ff010001"]  # the horn fails now
        assert asked(bus, "body", "190110") == ["5901ff010001"]  # the tailgate is not tested since
        assert asked(bus, "chassis", "190110") == ["5901ff010000"]
        assert asked(bus, "engine", "04") == ["44"]
        assert asked(bus, "engine", "0101") == ["41010077e5e5"]


def test_plain_modules_take_10_to_40_ms() -> None:
    with beside() as (bus, _):
        for _ in range(20):
            begin = time.monotonic()
            bus.send(frame(PAIRS["body"].request, "023E00"))
            assert bus.recv(1) is not None
            assert time.monotonic() - begin >= 0.010
    with beside() as (bus, car):
        car.change({"at_once": True})
        took_s = []
        for _ in range(20):
            begin = time.monotonic()
            bus.send(frame(PAIRS["body"].request, "023E00"))
            assert bus.recv(1) is not None
            took_s.append(time.monotonic() - begin)
        assert min(took_s) < 0.010


def test_off_the_bus_it_is_silent_and_comes_back() -> None:
    with beside() as (bus, car):
        car.change({"off_bus_for_s": 0.3})
        assert asked(bus, "body", "3E00", for_s=0.2) == []
        time.sleep(0.2)
        assert asked(bus, "body", "3E00") == ["7e00"]


def test_a_new_request_ends_an_answer_that_nobody_takes() -> None:
    with beside() as (bus, _):
        bus.send(frame(0x7E0, "020902"))
        assert [data[:2].hex() for _, data in heard(bus, WAIT_S)] == ["1014"]
        assert asked(bus, "engine", "3E00") == ["7e00"]


def asked_at_length(bus: can.BusABC, module: str, request: bytes, *, for_s: float) -> tuple[bytes | None, list[bytes]]:
    """The answer to a request of more than one frame, asked by can-isotp; and the words to go on that came."""
    pair, words = PAIRS[module], []

    def receive(timeout: float) -> isotp.CanMessage | None:
        found = bus.recv(timeout)
        if found is None:
            return None
        data = bytes(found.data)
        if found.arbitration_id == pair.answer and data[0] >> 4 == 3:
            words.append(data[:1])
        return isotp.CanMessage(found.arbitration_id, len(data), data, found.is_extended_id)

    layer = isotp.TransportLayerLogic(
        rxfn=receive,
        txfn=lambda one: bus.send(can.Message(arbitration_id=pair.request, is_extended_id=False, data=one.data)),
        address=isotp.Address(isotp.AddressingMode.Normal_11bits, txid=pair.request, rxid=pair.answer),
        params={"wftmax": 5, "tx_padding": 0xCC},
    )
    layer.send(request)
    until, answer = time.monotonic() + for_s, None
    while answer is None and time.monotonic() < until:
        layer.process(rx_timeout=0.01)
        answer = layer.recv()
    return None if answer is None else bytes(answer), words


def test_a_long_request_is_taken_made_to_wait_or_too_long() -> None:
    # ISO 15765-2: flow status 0 continue, 1 wait, 2 overflow; can-isotp is the other side
    request = bytes.fromhex("22F197F197F197F197")
    wanted = b"\x62" + b"\xf1\x97body" * 4
    with beside() as (bus, _):
        assert asked_at_length(bus, "body", request, for_s=3) == (wanted, [b"\x30"])
    came = set()
    for seed in range(8):
        with beside(switches=Switches(buffer_full=1.0), seed=seed) as (bus, _):
            answer, words = asked_at_length(bus, "body", request, for_s=0.8)
        came.add((answer, *words))
    assert came == {(wanted, b"\x31", b"\x30"), (None, b"\x32")}


def test_frames_that_mean_nothing_are_borne() -> None:
    with beside() as (bus, _):
        for text in ("", "00", "0F", "10", "1000", "21", "FF" * 8, "30", "08" * 8, "1FFF010203040506", "32"):
            for id in (0x7E0, 0x7DF, 0x18DA10F1):
                bus.send(frame(id, text))
        list(heard(bus, WAIT_S))
        assert asked(bus, "engine", "3E00") == ["7e00"]


def test_live_values_follow_a_drive() -> None:
    with beside() as (bus, car):
        assert asked(bus, "engine", "010D") == ["410d00"]
        car.change({"driving": True})
        car._driving_since = time.monotonic() - 60.0  # a minute into the drive it goes at 80 km/h
        assert asked(bus, "engine", "010D") == ["410d50"]
        car.change({"driving": False})
        assert asked(bus, "engine", "010D") == ["410d00"]


class OtherBus(can.BusABC):
    """A bus that could lead to a vehicle."""

    def __init__(self) -> None:
        super().__init__("can0")

    def send(self, msg: can.Message, timeout: float | None = None) -> None:  # noqa: ARG002
        raise AssertionError("nothing may be sent")


def test_a_module_that_only_the_car_file_names_is_there_too() -> None:
    demo = demo_scene()
    circuit = replace(demo.car.circuits["fan"], module="fan control")
    scene = Scene(replace(demo.car, circuits={**demo.car.circuits, "fan": circuit}), demo.before)
    with beside(scene=scene) as (bus, car):
        assert str(car.pairs["fan control"]) == "680/6C0"
        car.change({"left_open": ["fan"], "driven": True})
        bus.send(frame(0x680, "031902FF"))
        said = [data for id, data in heard(bus, WAIT_S) if id == 0x6C0]
        # P0480 with failure type 13, as two bytes and one (SAE J2012, ISO 14229-1)
        assert [data[:8].hex() for data in said] == ["075902ff0480132f"]
        assert "fan control" in car.happened.driven


def test_no_other_bus_is_taken() -> None:
    with pytest.raises(ValueError, match="virtual and udp_multicast only"):
        open_virtual("socketcan", "can0")
    with pytest.raises(ValueError, match="no multicast address"):
        open_virtual("udp_multicast", "10.0.0.1")

    with OtherBus() as bus, pytest.raises(ValueError, match="this is another bus"):
        VirtualCar(bus, demo_scene())


def test_a_change_that_cannot_be_changes_nothing() -> None:
    with beside() as (_, car):
        with pytest.raises(ValueError, match=r"loss is 3\.0"):
            car.change({"left_open": ["horn-plug"], "loss": 3})
        assert car.happened.left_open == frozenset()
        with pytest.raises(ValueError, match="cannot be changed"):
            car.change({"lost": 1})
        with pytest.raises(ValueError, match="seconds"):
            car.change({"off_bus_for_s": -1})


def test_what_leaves_left_open_is_mended() -> None:
    with beside() as (_, car):
        car.change({"left_open": ["horn-plug", "fan-plug"]})
        car.change({"left_open": ["fan-plug"]})
        assert car.happened.mended == {"horn-plug"}
        car.change({"left_open": ["horn-plug"]})
        assert car.happened.mended == {"fan-plug"}
