"""Independent programs read the virtual car and find what its scene says; and an independent module is read by ours.

udsoncan 1.26 over can-isotp 2.0 (MIT), scapy 2.8 over its own ISO-TP (GPL-2.0, development only), each in a process of
its own on python-can's bus between programs.
"""

from collections.abc import Iterator
from typing import Any

import pytest

from adapters.virtual_car.clients import SCAPY, UDSONCAN
from core.codes.references import ask
from independent_modules import independent_module
from putback.adapters.bus.conversation import Conversation
from putback.adapters.virtual_car import MODULES, PAIRS, VIN, Handle, Happened, started
from putback.adapters.virtual_car.happened import changed
from putback.adapters.virtual_car.scene import State
from putback.core.codes.talk.car_read import Pair
from putback.core.codes.talk.exchange import Answer, Ask, Came, Talk
from virtual_cars import demo_scene

WORKED = {
    "power_was_off": True,
    "moved": ["radar"],
    "left_open": ["shutter-plug", "horn-plug", "impact-plug-left", "coolant-temp-plug"],
    "permanent": ["P0128"],
    "false_air": True,
}


@pytest.fixture(scope="module")
def car() -> Iterator[Handle]:
    with started() as handle:
        handle.tell(**WORKED)
        yield handle


def state_of(module: str, happened: dict[str, Any] | None = None) -> State:
    return demo_scene().state(module, changed(Happened(), happened or WORKED))


def rows(state: State) -> list[list[object]]:
    return [[one.code.bytes.hex().upper(), one.status] for one in state.held]


def udsoncan_reads(car: Handle, module: str, *, clear: bool = False) -> dict[str, Any]:
    pair = PAIRS[module]
    given = {
        "channel": car.channel,
        "port": car.options["port"],
        "request": pair.request,
        "answer": pair.answer,
        "extended": pair.extended,
        "name_length": len(module),
        "clear": clear,
    }
    said: dict[str, Any] = ask("udsoncan", UDSONCAN, given)
    return said


@pytest.mark.parametrize("module", [name for name in MODULES if name != "camera"])
def test_udsoncan_finds_what_the_scene_says(car: Handle, module: str) -> None:
    state, said = state_of(module), udsoncan_reads(car, module)
    assert (said["session"], said["p2 ms"], said["present"]) == (3, 50, 0)
    assert (said["vin"], said["both"]) == (VIN, [VIN, module])
    assert (said["other session"], said["reset"]) == ("12", "11")
    if module == "parking":
        assert {said[key] for key in ("by mask", "confirmed", "count", "supported", "clear one group")} == {"22"}
        return
    assert said["by mask"] == ("7F" if module == "instruments" else rows(state))
    assert said["confirmed"] == [row for row in rows(state) if int(str(row[1])) & 0x08]
    assert said["count"] == len(state.held)
    assert [code for code, _ in said["supported"]] == [code.bytes.hex().upper() for code in state.known]
    assert [row for row in said["supported"] if row in rows(state)] == rows(state)
    assert [code for code, _ in said["permanent"]] == [code.bytes.hex().upper() for code in state.permanent]
    assert (said["other report"], said["clear one group"]) == ("12", "31")


def test_udsoncan_clears_and_reads_what_stays() -> None:
    with started() as car:
        said = udsoncan_reads(car, "body", clear=True)
    assert said["by mask"] == [["9E0862", 0x28]]
    assert said["cleared"] is True
    assert said["after clear"] == [["9E0862", 0x50]]


ENGINE = [PAIRS["engine"].request, PAIRS["engine"].answer]


def scapy_reads(car: Handle, asked: list[tuple[str, str]]) -> list[tuple[str | None, Any]]:
    """The bytes of each answer, and what scapy makes of them."""
    given = {
        "channel": car.channel,
        "port": car.options["port"],
        "asked": [[ENGINE, request, kind] for request, kind in asked],
    }
    return [(one, other) for one, other in ask("scapy", SCAPY, given)]


def records(answer: Any) -> list[dict[str, Any]]:
    """The records of an answer, in whichever packet scapy has put them."""
    found: list[dict[str, Any]] = next(one["data_records"] for one in answer.values() if "data_records" in one)
    return found


def test_scapy_takes_the_live_values_apart_as_they_were_meant(car: Handle) -> None:
    car.tell(driving=False)
    numbers = (0x04, 0x05, 0x06, 0x07, 0x0C, 0x0D, 0x0F, 0x11, 0x1F, 0x33, 0x42, 0x46)
    found = {
        number: records(words)[0][f"OBD_PID{number:02X}"]["data"]
        for number, (_, words) in zip(
            numbers, scapy_reads(car, [(f"01{number:02X}", "obd") for number in numbers]), strict=True
        )
    }
    assert found[0x0D] == 0
    assert found[0x0C] == pytest.approx(780, abs=9)
    assert found[0x04] == pytest.approx(22, abs=0.4)
    assert 28 <= found[0x05] <= 88
    assert found[0x07] == pytest.approx(1.6 + 14 * 0.6, abs=0.8)
    assert found[0x06] == pytest.approx(14 * 0.4, abs=1.6 + 0.8)
    assert found[0x0F] == pytest.approx(24, abs=5)
    assert found[0x11] == pytest.approx(12, abs=0.4)
    assert 0 < found[0x1F] < 600
    assert (found[0x33], found[0x42], found[0x46]) == (101, 14.1, 18)


def test_scapy_takes_readiness_and_bit_maps_apart(car: Handle) -> None:
    asked = [(text, "obd") for text in ("0100", "0120", "0140", "0101", "0600", "06A0", "0900")]
    said = [words for _, words in scapy_reads(car, asked)]
    named = [str(next(iter(_packet(one).values()))) for one in (said[0], said[1], said[2], said[4], said[5], said[6])]
    wanted = [
        "PID20 PID1F PID1C PID11 PID10 PID0F PID0D PID0C PID07 PID06 PID05 PID04 PID01",
        "PID40 PID33",
        "PID46 PID42 PID41",
        "MID20",
        "MIDA5 MIDA4 MIDA3 MIDA2",
        "IID0A IID06 IID04 IID02",
    ]
    for text, names in zip(named, wanted, strict=True):
        assert sorted(text.rpartition("(")[2].rstrip(")>").split("+")) == sorted(names.split())
    ready = _packet(said[3])
    assert (ready["mil"], ready["dtc_count"]) == (0, 2)
    for name in ("continuous_tests_supported", "continuous_tests_ready"):
        assert ready[name].startswith("<Flag 7 ")
    for name in ("once_per_trip_tests_supported", "once_per_trip_tests_ready"):
        assert ready[name].startswith("<Flag 229 ")  # E5: five of them, none complete


def _packet(words: Any) -> dict[str, Any]:
    record = records(words)[0]
    found: dict[str, Any] = next(fields for name, fields in record.items() if not name.endswith("_Record"))
    return found


def test_scapy_takes_codes_misfires_and_names_apart(car: Handle) -> None:
    asked = [(text, "obd") for text in ("03", "07", "0A", "06A3", "0902", "0904", "0906", "090A")]
    said = scapy_reads(car, asked)
    assert [codes_of(words) for _, words in said[:3]] == [["P0116", "P1F46"], ["P0116", "P1F46"], ["P0128"]]
    misfires = [next(fields for name, fields in one.items() if name == "OBD_MIDXX") for one in records(said[3][1])]
    assert [(one["standardized_test_id"], one["unit_and_scaling_id"]) for one in misfires] == [(11, 36), (12, 36)]
    assert {one[key] for one in misfires for key in ("test_value", "min_limit", "max_limit")} == {0}  # has not run
    assert VIN in str(said[4][1])
    assert "INVENTED-0001" in str(said[5][1])
    assert said[6][0] == "4906011a2b3c4d"
    assert "engine" in str(said[7][1])


def codes_of(words: Any) -> list[str]:
    """The codes as scapy's fields spell them: letter, and four digits."""
    codes = next(one["dtcs"] for one in words.values() if "dtcs" in one)
    fields = [next(iter(one.values())) for one in codes]
    return [
        "PCBU"[one["location"]] + f"{one['code1']:X}{one['code2']:X}{one['code3']:X}{one['code4']:X}" for one in fields
    ]


def test_scapy_reads_long_lists_of_service_19(car: Handle) -> None:
    state = state_of("engine")
    (raw, words), (count, _) = scapy_reads(car, [("1902FF", "uds"), ("1901FF", "uds")])
    body = b"".join(one.code.bytes + bytes([one.status]) for one in state.held)
    assert raw == "5902ff" + body.hex()
    assert next(fields for fields in words.values() if "reportType" in fields)["reportType"] == 2
    assert count == f"5901ff01{len(state.held):04x}"


READS = {
    bytes.fromhex("1902FF"): [bytes.fromhex("5902FF") + bytes.fromhex("0A9B1724") * 30],
    bytes.fromhex("22F197"): [bytes.fromhex("7F2278"), b"\x62\xf1\x97engine"],
}


def talk() -> Talk[list[Answer]]:
    codes = yield Ask(request=bytes.fromhex("1902FF"))
    name = yield Ask(request=bytes.fromhex("22F197"))
    other = yield Ask(request=bytes.fromhex("22F190"))
    return [codes, name, other]


@pytest.mark.parametrize(
    "pair",
    [Pair(request=0x701, answer=0x709), Pair(request=0x18DA22F1, answer=0x18DAF122, extended=True)],
    ids=str,
)
def test_our_reader_reads_a_module_that_scapy_makes(pair: Pair) -> None:
    # scapy waits 10 to 500 ms between two messages, so that P2 is passed and the request may be asked once more
    with independent_module(pair, READS) as place, place.open() as bus:
        found = Conversation(bus).run({pair: talk()})[pair]
    assert [one.came for one in found] == [Came.ANSWERED] * 3
    assert [one.data for one in found[:2]] == [said[-1] for said in READS.values()]
    assert found[2].refused is not None
    assert found[2].refused.reason == 0x10  # scapy's answer to what it does not know
