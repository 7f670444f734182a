"""Answers that list codes: published traces, 400 random ones against other libraries, and every way to be cut off."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.codes.references import ask
from putback.core.codes.meaning.code_answers import (
    CountAnswer,
    StatusAnswer,
    read_codes,
    read_count,
    read_status_answer,
)
from putback.core.codes.meaning.wrong import Wrong

ON_CAN = [
    # bytes, count said, codes, source
    ("43 02 01 02 01 13", 2, "P0102 P0113", "seen: a public forum page with both traces"),
    ("47 02 22 6D 22 6E", 2, "P226D P226E", "trace seen: python-OBD issue 254; decode computed"),
    ("43 00", 0, "", "trace seen: a public library issue"),
    (
        "43 06 01 43 01 96 02 34 02 CD 03 57 0A 24",
        6,
        "P0143 P0196 P0234 P02CD P0357 P0A24",
        "ISO 15031-5 / SAE J1979 service 03 example (from memory)",
    ),
]

UDSONCAN_ANSWERS = """
from udsoncan import Response
from udsoncan.services import ReadDTCInformation
said = []
for text in given:
    response = Response.from_payload(bytes.fromhex(text))
    found = ReadDTCInformation.interpret_response(response, subfunction=2,
                                                  tolerate_zero_padding=True, ignore_all_zero_dtc=True)
    data = found.service_data
    said.append([data.status_availability.get_byte_as_int(),
                 [[dtc.id, dtc.status.get_byte_as_int()] for dtc in data.dtcs]])
print(json.dumps(said))
"""

SCAPY_ANSWERS = """
from scapy.contrib.automotive.uds import UDS
said = []
for text in given:
    answer = UDS(bytes.fromhex(text))
    rows = []
    for record in answer.DTCAndStatusRecord:
        rows.append([int.from_bytes(bytes(record.dtc)[:3], "big"), int(record.status)])
    said.append([int(answer.DTCStatusAvailabilityMask), rows])
print(json.dumps(said))
"""

SCAPY_LISTS = """
from scapy.contrib.automotive.obd.obd import OBD
said = []
for text in given:
    answer = OBD(bytes.fromhex(text))
    said.append([bytes(dtc)[:2].hex().upper() for dtc in answer.payload.dtcs])
print(json.dumps(said))
"""


@pytest.mark.parametrize(("sent", "stated", "codes", "source"), ON_CAN)
def test_published_lists_over_can(sent: str, stated: int, codes: str, source: str) -> None:
    answer = read_codes(bytes.fromhex(sent))
    assert (answer.stated, " ".join(str(code) for code in answer.codes)) == (stated, codes), source
    assert answer.whole
    assert answer.padding == 0


def test_a_published_list_of_an_older_bus_has_no_count() -> None:
    """43 01 33 00 00 00 00 is P0133 and padding; seen: a public forum page with both traces."""
    answer = read_codes(bytes.fromhex("43013300000000"), on_can=False)
    assert (answer.stated, [str(code) for code in answer.codes], answer.padding) == (None, ["P0133"], 4)
    assert answer.whole


def test_zeros_are_padding_and_are_said() -> None:
    """00 00 inside a list is padding, not a code; seen: python-OBD tests/test_decoders.py @c031f08."""
    answer = read_codes(bytes.fromhex("4301010400000000"))
    assert ([str(code) for code in answer.codes], answer.padding, answer.whole) == (["P0104"], 4, True)
    gap = read_codes(bytes.fromhex("43010400000113"), on_can=False)
    assert ([str(code) for code in gap.codes], gap.padding, gap.whole) == (["P0104", "P0113"], 2, False)
    counted = read_codes(bytes.fromhex("430201040000"))
    assert ([str(code) for code in counted.codes], counted.padding, counted.whole) == (["P0104"], 2, False)


@pytest.mark.parametrize(
    ("sent", "what"),
    [
        ("", "starts with nothing"),
        ("43", "ends before the count"),
        ("4303 0102 0113", "says 3 codes and holds 2"),
        ("4301", "says 1 code and holds 0"),
        ("4301 0102 0113", "01 13 stands after"),
        ("4302 0102 01", "says 2 codes and holds 1"),
        ("4301 0102 FF", "FF stands after"),
        ("4402", "starts with 44"),
    ],
)
def test_a_list_that_is_not_whole_says_so(sent: str, what: str) -> None:
    answer = read_codes(bytes.fromhex(sent))
    assert not answer.whole
    assert what in " ".join(wrong.what for wrong in answer.wrong)


def test_a_list_cut_off_anywhere_is_never_silently_short() -> None:
    whole = bytes.fromhex("43 06 01 43 01 96 02 34 02 CD 03 57 0A 24")
    for end in range(len(whole)):
        answer = read_codes(whole[:end])
        assert not answer.whole, end
        assert len(answer.codes) == max(0, end - 2) // 2


def test_published_answers_with_status() -> None:
    """59 02 FB 12 34 56 20 12 34 57 60; seen: udsoncan test_read_dtc_information.py @061f4d8."""
    sent = bytes.fromhex("5902FB12345620123457 60")
    for padding in range(6):
        answer = read_status_answer(sent + bytes(padding), asked=0x02)
        assert answer.mask == 0xFB
        found = [(item.code.bytes.hex(), item.status.bits, item.status.mask) for item in answer.listed]
        assert found == [("123456", 0x20, 0xFB), ("123457", 0x60, 0xFB)]
        assert (answer.padding, answer.whole) == (padding, True)


def test_a_published_answer_of_one_code() -> None:
    """0A 9B 17 with status 24 is P0A9B-17 (seen: bytes in a public sample; py-uds 4.0.0 decodes so)."""
    (item,) = read_status_answer(bytes.fromhex("5902FF0A9B1724")).listed
    assert (str(item.code), item.status.bits) == ("P0A9B-17", 0x24)


def test_published_answers_that_are_wrong() -> None:
    """59 and 59 02 are invalid, 59 03 FB to a request of report 02 is unexpected; seen: the same udsoncan test."""
    for sent, what in (("59", "ends before"), ("5902", "ends before"), ("5903FB", "report 03 came, report 02 was")):
        answer = read_status_answer(bytes.fromhex(sent), asked=0x02)
        assert not answer.whole
        assert what in answer.wrong[0].what
        assert answer.listed == ()


def test_a_published_count() -> None:
    """59 01 FB 01 12 34: format 1, count 0x1234; seen: the same udsoncan test."""
    count = read_count(bytes.fromhex("5901FB011234"))
    assert count == CountAnswer(report=1, mask=0xFB, form=1, count=0x1234)
    for end in range(6):
        assert isinstance(read_count(bytes.fromhex("5901FB011234")[:end]), Wrong)
    assert isinstance(read_count(bytes.fromhex("5902FB011234")), Wrong)


def _random_answers(number: int) -> list[str]:
    dice = random.Random(20261125)
    answers = []
    for _ in range(number):
        records = [dice.randbytes(4) for _ in range(dice.randrange(0, 40))]
        kept = [record for record in records if any(record[:3])]
        answers.append((bytes([0x59, 0x02, dice.randrange(256)]) + b"".join(kept)).hex())
    return answers


def _ours(text: str) -> list[object]:
    answer = read_status_answer(bytes.fromhex(text), asked=0x02)
    assert answer.whole
    return [answer.mask, [[int.from_bytes(item.code.bytes, "big"), item.status.bits] for item in answer.listed]]


def test_400_random_answers_are_as_udsoncan_reads_them() -> None:
    """udsoncan 1.26.1 (MIT); some carry 1 to 3 zeros of padding."""
    texts = [text + "00" * (place % 4) for place, text in enumerate(_random_answers(400))]
    assert [_ours(text) for text in texts] == ask("udsoncan", UDSONCAN_ANSWERS, texts)


def test_400_random_answers_are_as_scapy_reads_them() -> None:
    """scapy 2.8.0 (GPL-2.0, in a process of its own)."""
    texts = _random_answers(400)
    assert [_ours(text) for text in texts] == ask("scapy", SCAPY_ANSWERS, texts)


def test_400_random_lists_are_as_scapy_reads_them() -> None:
    """scapy 2.8.0 (GPL-2.0, in a process of its own), services 03, 07 and 0A over CAN."""
    dice = random.Random(7)
    lists = []
    for _ in range(400):
        codes = [dice.randrange(1, 0x10000).to_bytes(2, "big") for _ in range(dice.randrange(0, 30))]
        lists.append((bytes([dice.choice([0x43, 0x47, 0x4A]), len(codes)]) + b"".join(codes)).hex())
    ours = [[code.bytes.hex().upper() for code in read_codes(bytes.fromhex(text)).codes] for text in lists]
    assert ours == ask("scapy", SCAPY_LISTS, lists)


@given(st.lists(st.binary(min_size=4, max_size=4), max_size=12), st.integers(0, 255), st.data())
def test_a_cut_answer_with_status_is_short_only_where_zeros_were_cut(
    records: list[bytes], mask: int, data: st.DataObject
) -> None:
    """Whatever is cut off inside a record is said, unless what is left of the record is zeros."""
    sent = bytes([0x59, 0x02, mask]) + b"".join(records)
    end = data.draw(st.integers(0, len(sent)))
    answer = read_status_answer(sent[:end], asked=0x02)
    rest = sent[3:end][(max(end - 3, 0)) // 4 * 4 :]
    if end < 3 or any(rest):
        assert not answer.whole
    covered = 4 * len(answer.listed) + answer.padding + (len(rest) if any(rest) else 0)
    assert covered == max(end - 3, 0)


def test_a_record_that_is_no_code_is_kept_and_said() -> None:
    answer = read_status_answer(bytes.fromhex("5902FF 00000008 0A9B1724"))
    assert [str(item.code) for item in answer.listed] == ["P0000-00", "P0A9B-17"]
    assert "P0000-00 with status 08 is no code" in answer.wrong[0].what
    gap = read_status_answer(bytes.fromhex("5902FF 00000000 0A9B1724"))
    assert ([str(item.code) for item in gap.listed], gap.padding) == (["P0A9B-17"], 4)
    assert "1 empty place stands between codes" in gap.wrong[0].what


def test_other_reports_without_asking() -> None:
    assert read_status_answer(bytes.fromhex("590AFF0A9B1724")).whole
    strange = read_status_answer(bytes.fromhex("5999FF0A9B1724"))
    assert (strange.mask, strange.listed, strange.whole) == (None, (), False)


@given(st.binary(max_size=64), st.booleans())
def test_no_bytes_make_it_raise(sent: bytes, on_can: bool) -> None:
    codes = read_codes(sent, on_can=on_can)
    body = len(sent) - (2 if on_can else 1)
    assert 2 * len(codes.codes) + codes.padding <= max(body, 0)
    assert isinstance(read_status_answer(sent), StatusAnswer)
    assert isinstance(read_count(sent), CountAnswer | Wrong)
