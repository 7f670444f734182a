"""Live values: every figure against three references, published answers, and answers that cannot be told apart.

The three: scapy 2.8.0 (GPL-2.0, in a process of its own); python-OBD 0.7.3 (GPL-2.0, its kept values); a public
table, as copied in xlloss/raz1_font src/RETWapp/OBD.h @4a49173 (seen), of which each figure's lowest and highest is
here. That copy has no formulas for 66, 67 and 68: a newer copy of the same table has, and lengths from 81 on (seen,
its place not noted). 8E is in the newer copy and, in place of scapy, in a public CAN database as used in
andersjohnsen/speedo obd2.toit @231710f (seen).
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.codes.references import OBD_LIVE, SCAPY_LIVE, ask, kept, obd_python, raw_bytes
from putback.core.codes.meaning.bits import more_follow, supported
from putback.core.codes.meaning.pid_table import DISPUTED, PIDS, Figure, Seen
from putback.core.codes.meaning.pid_words import FUELS, REQUIREMENTS
from putback.core.codes.meaning.pids import Live, Reading, read_live, read_pid
from putback.core.codes.meaning.readiness import Readiness
from putback.core.codes.meaning.wrong import Wrong

CLOSE = 1e-3
"""The references print rounded factors (0.0000305, 0.000122, 99.2): a thousandth covers them."""

SCAPY_ROUNDS = 0.00051
"""scapy prints three decimals."""

WIDE = range(0x24, 0x2C)
CURRENT = range(0x34, 0x3C)
NARROW = range(0x14, 0x1C)
SECONDARY = range(0x55, 0x59)
PERCENTS = (0x04, 0x11, 0x2C, 0x2E, 0x2F, 0x45, 0x47, 0x48, 0x49, 0x4A, 0x4B, 0x4C, 0x52, 0x5A, 0x5B)
TEMPERATURES = (0x05, 0x0F, 0x46, 0x5C)
TRIMS = (0x06, 0x07, 0x08, 0x09, 0x2D)

PUBLIC: dict[tuple[int, int], tuple[float, float]] = {
    **dict.fromkeys([(pid, 0) for pid in PERCENTS], (0, 100)),
    **dict.fromkeys([(pid, 0) for pid in TEMPERATURES], (-40, 215)),
    **dict.fromkeys([(pid, 0) for pid in TRIMS], (-100, 99.2)),
    (0x0A, 0): (0, 765),
    (0x0B, 0): (0, 255),
    (0x0C, 0): (0, 16_383.75),
    (0x0D, 0): (0, 255),
    (0x0E, 0): (-64, 63.5),
    (0x10, 0): (0, 655.35),
    **dict.fromkeys([(pid, 0) for pid in NARROW], (0, 1.275)),
    **dict.fromkeys([(pid, 1) for pid in NARROW], (-100, 99.2)),
    (0x1F, 0): (0, 65_535),
    (0x21, 0): (0, 65_535),
    (0x22, 0): (0, 5177.265),
    (0x23, 0): (0, 655_350),
    **dict.fromkeys([(pid, 0) for pid in (*WIDE, *CURRENT)], (0, 2)),
    **dict.fromkeys([(pid, 1) for pid in WIDE], (0, 8)),
    (0x30, 0): (0, 255),
    (0x31, 0): (0, 65_535),
    (0x32, 0): (-8192, 8191.75),
    (0x33, 0): (0, 255),
    **dict.fromkeys([(pid, 1) for pid in CURRENT], (-128, 128)),
    **dict.fromkeys([(pid, 0) for pid in range(0x3C, 0x40)], (-40, 6513.5)),
    (0x42, 0): (0, 65.535),
    (0x43, 0): (0, 25_700),
    (0x44, 0): (0, 2),
    (0x4D, 0): (0, 65_535),
    (0x4E, 0): (0, 65_535),
    **dict.fromkeys([(0x4F, place) for place in range(3)], (0, 255)),
    (0x4F, 3): (0, 2550),
    (0x50, 0): (0, 2550),
    (0x53, 0): (0, 327.675),
    (0x54, 0): (-32_767, 32_768),
    **dict.fromkeys([(pid, place) for pid in SECONDARY for place in (0, 1)], (-100, 99.2)),
    (0x59, 0): (0, 655_350),
    (0x5D, 0): (-210, 301.992),
    (0x5E, 0): (0, 3276.75),
    **dict.fromkeys([(pid, 0) for pid in (0x61, 0x62)], (-125, 130)),
    (0x63, 0): (0, 65_535),
    **dict.fromkeys([(0x64, place) for place in range(5)], (-125, 130)),
    **dict.fromkeys([(0x66, place) for place in (0, 1)], (0, 2047.96875)),
    **dict.fromkeys([(pid, place) for pid in (0x67, 0x68) for place in (0, 1)], (-40, 215)),
    (0x8E, 0): (-125, 130),
}
"""Lowest and highest of each figure in the public table. It prints 125 for the highest of 61, 62 and 64, whose formula
A-125 gives 130 at FF; the formula counts."""

OLDER_LENGTHS = {
    0x65: 2,
    0x66: 5,
    0x67: 3,
    0x68: 7,
    0x69: 7,
    0x6A: 5,
    0x6B: 5,
    0x6C: 5,
    0x6D: 6,
    0x6E: 5,
    0x6F: 3,
    0x70: 9,
    0x71: 5,
    0x72: 5,
    0x73: 5,
    0x74: 5,
    0x75: 7,
    0x76: 7,
    0x77: 5,
    0x78: 9,
    0x79: 9,
    0x7A: 7,
    0x7B: 7,
    0x7C: 9,
    0x7D: 1,
    0x7E: 1,
    0x7F: 13,
    0x81: 21,
    0x82: 21,
    0x83: 5,
}
"""Lengths in the older copy of the public table."""

NEWER_LENGTHS = {
    **OLDER_LENGTHS,
    0x68: 3,
    0x6D: 11,
    0x6E: 9,
    0x70: 10,
    0x71: 6,
    0x81: 41,
    0x82: 41,
    0x83: 9,
    0x84: 1,
    0x85: 10,
    0x86: 5,
    0x87: 5,
    0x88: 13,
    0x89: 41,
    0x8A: 41,
    0x8B: 7,
    0x8C: 17,
    0x8D: 1,
    0x8E: 1,
    0x8F: 7,
    0x90: 3,
    0x91: 5,
    0x92: 2,
    0x93: 3,
    0x94: 12,
    0x98: 9,
    0x99: 9,
    0x9A: 6,
    0x9B: 4,
    0x9C: 17,
    0x9D: 4,
    0x9E: 2,
    0x9F: 9,
    0xA1: 9,
    0xA2: 2,
    0xA3: 9,
    0xA4: 4,
    0xA5: 4,
    0xA6: 4,
}
"""Lengths in the newer copy."""

SCAPY_LENGTHS = """
from scapy.contrib.automotive.obd.pid import pids
print(json.dumps([len(bytes(getattr(pids, f"OBD_PID{pid:02X}")())) for pid in given]))
"""

OBD_SECOND = {**dict.fromkeys([*WIDE, *CURRENT], 1)}
"""Where python-OBD gives the second figure of a PID, not the first."""

NEWER_ONLY = (0x66, 0x67, 0x68, 0x8E)
"""PIDs that python-OBD 0.7.3 does not know, and the older copy of the table has no figures for."""


def _size(pid: int) -> int:
    """Bytes at which a PID is compared: those of the longest form."""
    length = PIDS[pid].length
    return OLDER_LENGTHS[pid] if length is None else length


FIGURES = [(pid, place) for pid, row in PIDS.items() for place in range(len(row.figures))]
ASKED = [(pid, text) for pid, row in PIDS.items() if row.figures for text in raw_bytes(_size(pid))]
ASKED_OF_OBD = [(pid, text) for pid, text in ASKED if pid not in NEWER_ONLY]


def _value(figure: Figure, text: str) -> float:
    return figure.whole(bytes.fromhex(text)) * figure.times / figure.by + figure.plus


def _close(ours: float, theirs: float, apart: float = 1e-6) -> bool:
    return abs(ours - theirs) <= CLOSE * abs(theirs) + apart


def _agrees_public(pid: int, place: int) -> bool:
    figure = PIDS[pid].figures[place]
    low, high = ("8000", "7FFF") if figure.signed else ("00" * _size(pid), "FF" * _size(pid))
    least, most = PUBLIC[pid, place]
    return _close(_value(figure, low), least) and _close(_value(figure, high), most)


def _agrees_obd(pid: int, place: int) -> bool | None:
    if OBD_SECOND.get(pid, 0) != place or pid in NEWER_ONLY:
        return None
    figure = PIDS[pid].figures[place]
    theirs = [(text, kept()["pid", pid, text]) for text in raw_bytes(_size(pid))]
    said = [(text, value) for text, value in theirs if value is not None]
    return all(_close(_value(figure, text), value) for text, value in said) if said else None


def _agrees_scapy(said: dict[tuple[int, str], list[float]], pid: int, place: int) -> bool | None:
    if pid == 0x8E:
        return None
    figure = PIDS[pid].figures[place]
    texts = raw_bytes(_size(pid))
    return all(_close(_value(figure, text), said[pid, text][place], SCAPY_ROUNDS) for text in texts)


def _agrees_database(pid: int, place: int) -> bool | None:
    """The public CAN database, where scapy gives no figure: 8E, factor 1, offset -125."""
    if pid != 0x8E:
        return None
    return all(_value(PIDS[pid].figures[place], f"{byte:02X}") == byte - 125 for byte in range(256))


def test_every_figure_says_rightly_who_confirms_it() -> None:
    """THREE means three of three, TWO exactly two; a reference that differs is told in `DISPUTED`."""
    said = dict(zip(ASKED, ask("scapy", SCAPY_LIVE, ASKED), strict=True))
    differing = set()
    for pid, place in FIGURES:
        votes = [
            _agrees_public(pid, place),
            _agrees_obd(pid, place),
            _agrees_scapy(said, pid, place),
            _agrees_database(pid, place),
        ]
        seen = PIDS[pid].figures[place].seen
        if seen is Seen.DISPUTED:
            continue
        assert votes.count(True) == (3 if seen is Seen.THREE else 2), (f"{pid:02X}", place, votes)
        if False in votes:
            differing.add(pid)
    assert differing == {0x10, 0x32, *CURRENT}
    assert differing <= set(DISPUTED)


def test_every_figure_is_in_the_public_table() -> None:
    assert set(PUBLIC) == set(FIGURES)
    assert all(_agrees_public(pid, place) for pid, place in FIGURES if pid != 0x54)


def test_every_length_that_parts_an_answer_is_undisputed() -> None:
    """scapy 2.8.0 and both copies of the public table; where one differs, no length is used."""
    asked = sorted(NEWER_LENGTHS)
    for pid, theirs in zip(asked, ask("scapy", SCAPY_LENGTHS, asked), strict=True):
        lengths = {theirs, NEWER_LENGTHS[pid], OLDER_LENGTHS.get(pid, theirs)}
        assert PIDS[pid].length == (lengths.pop() if len(lengths) == 1 else None), f"{pid:02X}"
    assert {pid for pid, row in PIDS.items() if row.length is None} <= set(DISPUTED)


def test_a_sensor_that_the_module_does_not_have_has_no_value() -> None:
    """Bits 0 and 1 of the first byte say which sensors there are (scapy 2.8.0, newer public table; seen)."""
    for text, values in (("03 0020 0040", [1.0, 2.0]), ("01 0020 0040", [1.0, None]), ("02 0020 0040", [None, 2.0])):
        readings = read_pid(0x66, bytes.fromhex(text)).readings
        assert [reading.value for reading in readings] == values
        assert [bool(reading.note) for reading in readings] == [value is None for value in values]


def test_a_pid_of_disputed_length_is_read_alone_only() -> None:
    for sent in ("41 68 03 41 42", "41 68 03 41 42 00 00 00 00"):
        (live,) = read_live(bytes.fromhex(sent)).values
        assert [reading.value for reading in live.readings] == [25.0, 26.0]
    (short,) = read_live(bytes.fromhex("41 68 03 41")).values
    assert len(short.readings) == 1
    hidden = read_live(bytes.fromhex("41 05 7B 68 03 41 42"))
    assert ([live.pid for live in hidden.values], hidden.rest.hex()) == ([0x05], "68034142")
    assert "the length of PID 68 is not known" in hidden.wrong[0].what


def test_the_kept_values_are_what_python_obd_says() -> None:
    said = ask("obd", OBD_LIVE, ASKED_OF_OBD, python=obd_python())
    assert said == [kept()["pid", pid, text] for pid, text in ASKED_OF_OBD]


@pytest.mark.parametrize(
    ("pid", "text", "value"),
    [
        # python-OBD tests @c031f08 and public tables (seen), as in the table of PID formulas
        (0x04, "00", 0),
        (0x11, "FF", 100),
        (0x05, "00", -40),
        (0x0F, "FF", 215),
        (0x06, "80", 0),
        (0x06, "FF", 99.21875),
        (0x0A, "80", 384),
        (0x0A, "FF", 765),
        (0x0C, "FFFF", 16383.75),
        (0x0C, "1AF8", 1726),
        (0x0E, "00", -64),
        (0x0E, "FF", 63.5),
        (0x10, "FFFF", 655.35),
        (0x14, "FFFF", 1.275),
        (0x43, "FFFF", 25700),
        (0x53, "FFFF", 327.675),
        (0x5D, "0000", -210),
        (0x5E, "FFFF", 3276.75),
        # two references against one (run here): the bytes at which they differ
        (0x10, "EE3B", 609.87),
        (0x32, "708F", 7203.75),
    ],
)
def test_published_figures(pid: int, text: str, value: float) -> None:
    reading = read_pid(pid, bytes.fromhex(text)).readings[0]
    assert isinstance(reading.value, float)
    assert math.isclose(reading.value, value, abs_tol=1e-9)


def test_a_value_that_no_two_references_share_is_not_given() -> None:
    """PID 54 at CC6A: scapy 2.8.0 gives -13206, python-OBD 0.7.3 gives 19563 (run here)."""
    (reading,) = read_pid(0x54, bytes.fromhex("CC6A")).readings
    assert reading.value is None
    assert "CC 6A" in reading.note
    assert kept()["pid", 0x54, "0000"] == -32767


def test_a_trim_that_is_not_used() -> None:
    """Public table (seen): FF in the second byte, the sensor is not used for the trim."""
    _, trim = read_pid(0x14, bytes.fromhex("FFFF")).readings
    assert (trim.value, trim.note) == (None, "not used")


@pytest.mark.parametrize(
    ("text", "first", "second"),
    [
        # python-OBD tests (seen): 0100, 0800, 0808 are taken, 0300 is invalid
        ("0100", "open loop, engine not warm enough", None),
        ("0800", "open loop, because of a fault", None),
        ("0808", "open loop, because of a fault", "open loop, because of a fault"),
        ("0300", None, None),
    ],
)
def test_fuel_system_states(text: str, first: str | None, second: str | None) -> None:
    one, two = read_pid(0x03, bytes.fromhex(text)).readings
    assert (one.value, two.value) == (first, second)
    assert two.note == ("no such system" if second is None else "")
    assert bool(one.note) is (text == "0300")


def test_published_support_bits() -> None:
    """41 00 B8 7B 30 10; bytes seen: secdev/scapy issue 4410, decode computed."""
    (live,) = read_live(bytes.fromhex("4100B87B3010")).values
    assert live.supported == (0x01, 0x03, 0x04, 0x05, 0x0A, 0x0B, 0x0C, 0x0D, 0x0F, 0x10, 0x13, 0x14, 0x1C)
    assert not more_follow(0x00, live.data)
    assert more_follow(0x20, bytes.fromhex("00000001"))
    assert supported(0x20, b"") == ()


def test_several_pids_in_one_answer() -> None:
    answer = read_live(bytes.fromhex("41 0C 1AF8 05 7B 01 8307FF00"))
    assert [live.pid for live in answer.values] == [0x0C, 0x05, 0x01]
    ready = answer.values[2].readiness
    assert isinstance(ready, Readiness)
    assert (ready.lamp, ready.codes) == (True, 3)
    assert (answer.wrong, answer.padding, answer.rest) == ((), 0, b"")


def test_zeros_at_the_end_are_padding_and_are_said() -> None:
    answer = read_live(bytes.fromhex("41 0D 00 00 00"))
    assert ([live.readings[0].value for live in answer.values], answer.padding) == ([0.0], 2)


def test_a_frozen_frame_carries_its_number() -> None:
    answer = read_live(bytes.fromhex("42 02 00 0143 0C 00 1AF8"))
    assert [(live.pid, live.frame) for live in answer.values] == [(0x02, 0), (0x0C, 0)]
    assert answer.values[0].readings[0].value == "P0143"
    (none,) = read_live(bytes.fromhex("42 02 00 0000")).values
    assert none.readings[0].value is None
    assert "no frame is stored" in none.readings[0].note


@pytest.mark.parametrize(
    ("sent", "what", "rest"),
    [
        ("", "starts with nothing", ""),
        ("43", "starts with 43", "43"),
        ("41", "carries no PID", ""),
        ("41 0C 1A", "ends inside PID 0C", "0C1A"),
        ("41 0C", "ends inside PID 0C", "0C"),
        ("41 05 7B F3 11", "the length of PID F3 is not known here", "F311"),
        ("42 0C", "ends inside PID 0C", "0C"),
    ],
)
def test_what_cannot_be_told_apart_is_said(sent: str, what: str, rest: str) -> None:
    answer = read_live(bytes.fromhex(sent))
    assert what in answer.wrong[0].what
    assert answer.rest == bytes.fromhex(rest)


def test_an_unknown_pid_alone_is_shown_as_bytes() -> None:
    (live,) = read_live(bytes.fromhex("41 F3 11 22")).values
    assert (live.name, live.data.hex(), live.readings) == ("PID F3", "1122", ())
    assert live.note
    assert "2 bytes are needed" in read_pid(0x0C, b"\x01").note


def test_sensors_are_counted_from_the_lowest_bit() -> None:
    """Public table (seen): PID 13, A0 to A3 are bank 1; PID 1D, A0 is bank 1 sensor 1. scapy agrees."""
    two = read_pid(0x13, b"\x03").readings
    assert [reading.name for reading in two if reading.value] == [
        "oxygen sensor, bank 1, sensor 1",
        "oxygen sensor, bank 1, sensor 2",
    ]
    four = read_pid(0x1D, b"\x05").readings
    assert [reading.name for reading in four if reading.value] == [
        "oxygen sensor, bank 1, sensor 1",
        "oxygen sensor, bank 2, sensor 1",
    ]


def test_words_of_single_numbers() -> None:
    """As in scapy 2.8.0 and the public table: 12 02 downstream, 1E bit 0 power take-off, 51 4 diesel, 1C 6 EOBD."""
    asked = {0x12: 2, 0x1E: 1, 0x51: 4, 0x1C: 6}
    said = {pid: read_pid(pid, bytes([byte])).readings[0] for pid, byte in asked.items()}
    assert said[0x12].value == "after the catalyst inlet"
    assert said[0x1E].value is True
    assert said[0x51].value == "diesel"
    assert said[0x1C].value == "EOBD, Europe"
    assert read_pid(0x12, b"\x03").readings[0] == Reading(
        name="secondary air, commanded", value=None, note="03 is not known here"
    )
    assert len(FUELS) == 24
    assert not {0x0E, 0x0F, 0x10, 0x16, 0x1B} & set(REQUIREMENTS)


def test_every_known_pid_takes_every_byte() -> None:
    for pid, row in PIDS.items():
        for byte in range(256):
            live = read_pid(pid, bytes([byte]) * (9 if row.length is None else row.length))
            assert live.name == row.name
            assert all(reading.value is not None or reading.note for reading in live.readings)
            assert isinstance(live.readiness, Readiness | Wrong | None)


@given(st.binary(max_size=40))
def test_no_bytes_make_it_raise(tail: bytes) -> None:
    for head in (b"", b"\x41", b"\x42"):
        sent = head + tail
        answer = read_live(sent)
        taken = sum((1 if live.frame is None else 2) + len(live.data) for live in answer.values)
        if head:
            assert taken + len(answer.rest) + answer.padding == len(tail)
        assert answer.values or answer.wrong


@given(st.integers(0, 255), st.binary(max_size=8))
def test_no_pid_makes_it_raise(pid: int, data: bytes) -> None:
    live = read_pid(pid, data)
    assert isinstance(live, Live)
    assert live.readings or live.note or pid not in PIDS or not PIDS[pid].figures
