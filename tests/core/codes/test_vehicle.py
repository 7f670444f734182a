"""What a module says of itself: published answers, odd characters kept and marked, and answers that are cut off."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.core.codes.meaning.vehicle import InfoAnswer, read_info, shown


def test_a_published_number_with_strange_characters_is_shown_and_marked() -> None:
    """Seen: hartkopp/can-isotp issue 34, 20 bytes; decode computed. - and I cannot be in a vehicle number."""
    sent = bytes.fromhex("4902015744582D53494D30303139323132333435")
    assert len(sent) == 0x14
    answer = read_info(sent)
    assert (answer.stated, answer.items[0].text, answer.wrong) == (1, "WDX-SIM0019212345", ())
    assert "cannot be in a vehicle number" in answer.vins[0].warnings[0]


def test_a_published_answer_that_is_shorter_than_it_says() -> None:
    """49 04 00..18; seen: python-OBD test_protocol_can. Its count of items is 0, and bytes stand after it."""
    answer = read_info(bytes([0x49, 0x04, *range(0x19)]))
    assert (answer.stated, answer.items) == (0, ())
    assert "stands after the last whole item" in answer.wrong[0].what


def test_a_number_cut_off_anywhere_is_said() -> None:
    whole = b"\x49\x02\x01" + b"9ZZXA00A3T0000001"
    for end in range(len(whole)):
        answer = read_info(whole[:end])
        assert answer.wrong, end
        assert answer.items == ()
    assert read_info(whole).wrong == ()


def test_other_kinds() -> None:
    two = read_info(b"\x49\x04\x02" + b"CAL-0001".ljust(16, b"\x00") + b"CAL-0002".ljust(16, b"\x00"))
    assert [(item.text, item.padding) for item in two.items] == [("CAL-0001", 8), ("CAL-0002", 8)]
    check = read_info(bytes.fromhex("49 06 01 1791BC82"))
    assert (check.items[0].number, check.items[0].text, check.vins) == (0x1791BC82, None, ())
    counts = read_info(bytes.fromhex("49 08 02 0001 0002 0000"))
    assert ([item.number for item in counts.items], counts.padding) == ([1, 2], 2)
    other = read_info(bytes.fromhex("49 55 01 AABB"))
    assert (other.name, other.items[0].data.hex()) == ("information 55", "aabb")


def test_support_bits_with_and_without_a_count() -> None:
    """Over CAN 49 00 and four bytes; older buses put 01 between (SAE J1979, from memory)."""
    assert read_info(bytes.fromhex("4900 54400000")).supported == (0x02, 0x04, 0x06, 0x0A)
    assert read_info(bytes.fromhex("490001 54400000")).supported == (0x02, 0x04, 0x06, 0x0A)
    assert read_info(bytes.fromhex("4900 5440")).wrong
    assert read_info(bytes.fromhex("4900 54400000 11")).wrong
    assert read_info(bytes.fromhex("4900 54400000 00")).padding == 1


def test_nothing_that_acts_on_a_screen_is_passed_on() -> None:
    assert shown(bytes(range(256))).isprintable()
    assert shown(b"\x1b[2J") == "\\x1B[2J"


@pytest.mark.parametrize(("sent", "name"), [("", "nothing"), ("49", "nothing"), ("4902", "vehicle number")])
def test_what_is_no_answer_is_said(sent: str, name: str) -> None:
    answer = read_info(bytes.fromhex(sent))
    assert answer.wrong
    assert answer.name == name


@given(st.binary(max_size=60))
def test_no_bytes_make_it_raise(tail: bytes) -> None:
    for sent in (tail, b"\x49" + tail, b"\x49\x02\x01" + tail):
        answer = read_info(sent)
        assert isinstance(answer, InfoAnswer)
        assert all(vin.warnings or vin.digit_agrees for vin in answer.vins)
