"""Readiness: published bytes, every byte pair against another library, and bits of monitors that are not there."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.codes.references import ask, obd_python
from putback.core.codes.meaning.readiness import COMPRESSION, SPARK, Ignition, Readiness, Since, read_readiness
from putback.core.codes.meaning.wrong import Wrong

PRINTED = [
    # bytes, lamp, codes, ignition, supported, not complete, source
    (
        "8307FF00",
        True,
        3,
        "spark",
        ["misfire", "fuel system", "components", *SPARK.values()],
        [],
        "seen: python-OBD tests, test_status",
    ),
    (
        "00790303",
        False,
        0,
        "compression",
        ["misfire", "hydrocarbon catalyst", "nitrogen oxide aftertreatment"],
        ["misfire", "hydrocarbon catalyst", "nitrogen oxide aftertreatment"],
        "seen: the same; bits 5 and 6 of the second byte speak of monitors that are not there",
    ),
    (
        "0007E500",
        False,
        0,
        "spark",
        [
            "misfire",
            "fuel system",
            "components",
            "catalyst",
            "evaporative system",
            "oxygen sensor",
            "oxygen sensor heater",
            "exhaust gas recirculation or valve timing",
        ],
        [],
        "bytes seen: a public library issue; decode computed",
    ),
    (
        "82076500",
        True,
        2,
        "spark",
        [
            "misfire",
            "fuel system",
            "components",
            "catalyst",
            "evaporative system",
            "oxygen sensor",
            "oxygen sensor heater",
        ],
        [],
        "bytes seen: the same; decode computed",
    ),
    ("00040000", False, 0, "spark", ["components"], [], "bytes seen: the same; decode computed"),
]

SCAPY_READINESS = """
from scapy.contrib.automotive.obd.pid.pids import OBD_PID01
names = {"catalyst": 0, "heatedCatalyst": 1, "evaporativeSystem": 2, "secondaryAirSystem": 3,
         "acSystemRefrigerant": 4, "oxygenSensor": 5, "oxygenSensorHeater": 6, "egr": 7}
steady = {"misfire": 0, "fuelSystem": 1, "fuel_system": 1, "components": 2}
def places(flags, names):
    return sorted(names[name] for name in str(flags).split("+") if name)
said = []
for text in given:
    answer = OBD_PID01(bytes.fromhex(text))
    said.append([int(answer.mil), int(answer.dtc_count),
                 places(answer.continuous_tests_supported, steady), places(answer.continuous_tests_ready, steady),
                 places(answer.once_per_trip_tests_supported, names), places(answer.once_per_trip_tests_ready, names)])
print(json.dumps(said))
"""


def _read(text: str, since: Since = Since.CLEAR) -> Readiness:
    found = read_readiness(bytes.fromhex(text), since=since)
    assert isinstance(found, Readiness)
    return found


@pytest.mark.parametrize(("sent", "lamp", "codes", "ignition", "supported", "waiting", "source"), PRINTED)
def test_published_bytes(
    sent: str, lamp: bool, codes: int, ignition: str, supported: list[str], waiting: list[str], source: str
) -> None:
    found = _read(sent)
    assert (found.lamp, found.codes, found.ignition.value) == (lamp, codes, ignition), source
    assert [monitor.name for monitor in found.supported] == supported
    assert [monitor.name for monitor in found.waiting] == waiting
    assert len(found.complete) == len(supported) - len(waiting)
    assert found.wrong == ()


def test_a_monitor_that_is_not_there_is_never_waited_for() -> None:
    """All not-complete bits set, nothing supported: nothing is waited for, and nothing is complete."""
    for second in (0x70, 0x78):
        found = read_readiness(bytes([0, second, 0x00, 0xFF]))
        assert isinstance(found, Readiness)
        assert (found.supported, found.waiting, found.complete) == ((), (), ())
        assert {monitor.complete for monitor in found.monitors} == {None}


def test_random_bytes_are_as_scapy_reads_them() -> None:
    """scapy 2.8.0 (GPL-2.0, in a process of its own), 1,000 spark answers; its "ready" flags are not-complete bits.

    It names the bits of the last two bytes from the other end (catalyst bit 7, exhaust gas recirculation bit 0).
    python-OBD 0.7.3 and the public bytes above have catalyst at bit 0: scapy's names are wrong, its bits agree.
    """
    dice = random.Random(1)
    texts = [bytes([d[0], d[1] & 0x77, d[2], d[3]]).hex() for d in (dice.randbytes(4) for _ in range(1000))]
    ours = []
    for text in texts:
        found = _read(text)
        places = [found.monitors.index(monitor) for monitor in found.supported]
        waits = [found.monitors.index(monitor) for monitor in found.waiting]
        ours.append((found.lamp, found.codes, places, waits))
    theirs = []
    for lamp, codes, steady, not_steady, once, not_once in ask("scapy", SCAPY_READINESS, texts):
        supported = [*steady, *sorted(10 - place for place in once)]
        not_complete = {*not_steady, *(10 - place for place in not_once)}
        theirs.append((bool(lamp), codes, supported, [place for place in supported if place in not_complete]))
    assert ours == theirs


OBD_NAMES = """
from obd.commands import commands
from obd.protocols.protocol import Message
said = []
for text in given:
    message = Message([])
    message.data = bytearray([0x41, 1]) + bytearray.fromhex(text)
    status = commands.STATUS.decode([message])
    tests = {name: test for name, test in vars(status).items() if hasattr(test, "available")}
    said.append([name for name, test in tests.items() if test.available])
print(json.dumps(said))
"""

THEIR_NAMES = {
    # ours: theirs (python-OBD 0.7.3)
    "catalyst": "CATALYST_MONITORING",
    "heated catalyst": "HEATED_CATALYST_MONITORING",
    "evaporative system": "EVAPORATIVE_SYSTEM_MONITORING",
    "secondary air": "SECONDARY_AIR_SYSTEM_MONITORING",
    "oxygen sensor": "OXYGEN_SENSOR_MONITORING",
    "oxygen sensor heater": "OXYGEN_SENSOR_HEATER_MONITORING",
    "exhaust gas recirculation or valve timing": "EGR_VVT_SYSTEM_MONITORING",
    "hydrocarbon catalyst": "NMHC_CATALYST_MONITORING",
    "nitrogen oxide aftertreatment": "NOX_SCR_AFTERTREATMENT_MONITORING",
    "boost pressure": "BOOST_PRESSURE_MONITORING",
    "exhaust gas sensor": "EXHAUST_GAS_SENSOR_MONITORING",
    "particle filter": "PM_FILTER_MONITORING",
}


def test_every_bit_has_the_name_that_python_obd_gives_it() -> None:
    """python-OBD 0.7.3 (GPL-2.0), where a Python that has it is named; bit 4 (refrigerant) is not in it."""
    asked = [(names, second, bit) for names, second in ((SPARK, 0x00), (COMPRESSION, 0x08)) for bit in names]
    asked = [(names, second, bit) for names, second, bit in asked if names[bit] in THEIR_NAMES]
    texts = [bytes([0, second, 1 << bit, 0]).hex() for _, second, bit in asked]
    said = ask("obd", OBD_NAMES, texts, python=obd_python())
    assert said == [[THEIR_NAMES[names[bit]]] for names, _, bit in asked]


def test_this_cycle_carries_no_lamp_and_no_count() -> None:
    found = _read("0007E521", Since.START)
    assert (found.lamp, found.codes, found.since) == (None, None, Since.START)
    assert [monitor.name for monitor in found.waiting] == ["catalyst", "oxygen sensor"]
    assert "first byte of PID 41" in _read("8007E500", Since.START).wrong[0].what


def test_bits_that_mean_nothing_are_said() -> None:
    strange = _read("00881400")
    assert [wrong.what for wrong in strange.wrong] == [
        "bit 7 of the second byte is set, it has no meaning",
        "bit 2 of the third byte names a monitor that is not known",
        "bit 4 of the third byte names a monitor that is not known",
    ]
    assert strange.ignition is Ignition.COMPRESSION
    assert set(range(8)) - set(COMPRESSION) == {2, 4}


@given(st.binary(max_size=6), st.sampled_from(Since))
def test_no_bytes_make_it_raise(sent: bytes, since: Since) -> None:
    found = read_readiness(sent, since=since)
    assert isinstance(found, Wrong) is (len(sent) != 4)
    if isinstance(found, Readiness):
        assert len(found.supported) == len(found.complete) + len(found.waiting)
        assert str(found)
