"""Codes: published bytes, all 65,536 of them against two independent libraries, and texts that are no codes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.codes.references import ask
from putback.core.codes.meaning.code import FAILURE_TYPES, Code, code_of_bytes, read_code
from putback.core.codes.meaning.wrong import Wrong

PRINTED = [
    # bytes, spelt, source
    ("0104", "P0104", "seen: python-OBD tests/test_decoders.py @c031f08"),
    ("4123", "C0123", "seen: the same"),
    ("8003", "B0003", "seen: the same"),
    ("0A9B17", "P0A9B-17", "seen: py-uds 4.0.0 decodes it so; ISO 14229-1 example, its text from memory"),
    ("080511", "P0805-11", "ISO 14229-1 example (from memory)"),
    ("25221F", "P2522-1F", "ISO 14229-1 example (from memory)"),
]

SCAPY_CODES = """
from scapy.contrib.automotive.obd.services import OBD_DTC
letters = {"Powertrain": "P", "Chassis": "C", "Body": "B", "Network": "U"}
kind = OBD_DTC.fields_desc[0]
said = []
for number in range(0x10000):
    code = OBD_DTC(number.to_bytes(2, "big"))
    letter = letters[kind.i2repr(code, code.location)]
    said.append(f"{letter}{code.code1}{code.code2:X}{code.code3:X}{code.code4:X}")
print(json.dumps(said))
"""

PY_UDS_CODES = """
from uds.utilities.conversions import int_to_obd_dtc, obd_dtc_to_int
print(json.dumps([int_to_obd_dtc(number) for number in given]))
"""

PY_UDS_NUMBERS = """
from uds.utilities.conversions import obd_dtc_to_int
print(json.dumps([obd_dtc_to_int(text) for text in given]))
"""


@pytest.mark.parametrize(("sent", "spelt", "source"), PRINTED)
def test_published_bytes_are_spelt_as_published(sent: str, spelt: str, source: str) -> None:
    code = code_of_bytes(bytes.fromhex(sent))
    assert isinstance(code, Code), source
    assert str(code) == spelt
    assert read_code(spelt) == code
    assert code.bytes == bytes.fromhex(sent)


def test_every_two_byte_code_is_as_scapy_spells_it() -> None:
    """scapy 2.8.0 (GPL-2.0, in a process of its own), OBD_DTC."""
    said = ask("scapy", SCAPY_CODES, None)
    assert len(said) == 65_536
    assert [str(Code(number=number)) for number in range(0x10000)] == said


def test_every_two_byte_code_is_as_py_uds_spells_it() -> None:
    """py-uds 4.0.0 (MIT), which spells three bytes; the failure type goes through all 256 values."""
    numbers = [number << 8 | number % 251 & 0xFF for number in range(0x10000)] + [
        0x0A9B00 | byte for byte in range(256)
    ]
    ours = [Code(number=number >> 8, failure_type=number & 0xFF) for number in numbers]
    assert [str(code) for code in ours] == ask("uds", PY_UDS_CODES, numbers)
    assert ask("uds", PY_UDS_NUMBERS, [str(code) for code in ours]) == numbers


def test_every_code_is_read_as_it_is_spelt() -> None:
    for number in range(0x10000):
        code = Code(number=number)
        assert read_code(str(code)) == code
        assert code_of_bytes(code.bytes) == code


@pytest.mark.parametrize(
    "text",
    [
        "",
        "P",
        "P010",
        "P01045",
        "X0104",
        "P4104",
        "PO104",
        "P010G",
        "P0A9B17",
        "P0A9B-1",
        "P0A9B-",
        "P0A9B-177",
        "٣0104",
    ],
)
def test_what_is_no_code_is_said_to_be_none(text: str) -> None:
    wrong = read_code(text)
    assert isinstance(wrong, Wrong)
    assert "P0A9B-17" in wrong.mend


@pytest.mark.parametrize("length", [0, 1, 4])
def test_a_code_has_two_or_three_bytes(length: int) -> None:
    assert isinstance(code_of_bytes(bytes(length)), Wrong)


@given(st.text())
def test_no_text_makes_it_raise(text: str) -> None:
    read = read_code(text)
    assert isinstance(read, Wrong) or str(read) == text.strip().upper()


@given(st.binary(max_size=5))
def test_no_bytes_make_it_raise(sent: bytes) -> None:
    read = code_of_bytes(sent)
    assert isinstance(read, Wrong) is (len(sent) not in (2, 3))


def test_a_code_without_failure_type_means_all_of_them() -> None:
    """Contract of the car file: P1F46 matches P1F46-13."""
    stated, found = read_code("P1F46"), read_code("P1F46-13")
    assert isinstance(stated, Code)
    assert isinstance(found, Code)
    assert stated.covers(found)
    assert not found.covers(stated)
    assert not found.covers(Code(number=found.number, failure_type=0x14))
    assert found.without_type == stated
    assert sorted([found, stated]) == [stated, found]


@pytest.mark.parametrize(
    ("byte", "words"),
    [
        # seen in a public table of UDS fields
        (0x01, "general electrical"),
        (0x04, "system internal"),
        (0x07, "mechanical"),
        (0x08, "bus signal message"),
        (0x09, "component"),
        (0x11, "short ground"),
        (0x12, "short battery"),
        (0x13, "open"),
        (0x14, "short ground open"),
        (0x15, "short battery open"),
        (0x16, "voltage below threshold"),
        (0x17, "voltage above threshold"),
        (0x18, "current below"),
        (0x19, "current above"),
        (0x1A, "resistance below"),
        (0x1B, "resistance above"),
        (0x1C, "voltage out of range"),
        (0x1F, "intermittent"),
        (0x31, "no signal"),
        # SAE J2012 digital annex (from memory)
        (0x87, "message missing"),
    ],
)
def test_failure_types_say_what_the_public_table_says(byte: int, words: str) -> None:
    assert set(words.split()) <= set(FAILURE_TYPES[byte].split())


def test_a_failure_type_that_is_not_known_is_its_number() -> None:
    assert Code(number=1).how == ""
    assert Code(number=1, failure_type=0xEE).how == "failure type EE"


@pytest.mark.parametrize(
    ("spelt", "by"),
    [
        # SAE J2012, groups of codes (from memory)
        ("P0104", "the standard"),
        ("P1F46", "the maker"),
        ("P2522", "the standard"),
        ("P3000", "the maker"),
        ("P3400", "the standard"),
        ("P3A00", "reserved"),
        ("C0123", "the standard"),
        ("B1E08", "the maker"),
        ("C2000", "the maker"),
        ("B3000", "reserved"),
        ("U0133", "the standard"),
        ("U3000", "the standard"),
    ],
)
def test_who_says_what_a_code_means(spelt: str, by: str) -> None:
    code = read_code(spelt)
    assert isinstance(code, Code)
    assert code.defined_by == by


@pytest.mark.parametrize(("number", "failure_type"), [(-1, None), (0x10000, None), (0, 0x100), (0, -1)])
def test_a_code_of_more_bytes_is_our_own_mistake(number: int, failure_type: int | None) -> None:
    with pytest.raises(ValueError, match="byte"):
        Code(number=number, failure_type=failure_type)
