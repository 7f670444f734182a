"""Status bytes: all 256 against two independent libraries, every mask, and what a masked bit may not say."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.codes.references import ask
from putback.core.codes.meaning.status import AFTER_CLEAR, NOT_TESTED, SEEN_FAILING, Bit, Status, read_status
from putback.core.codes.meaning.wrong import Wrong

UDSONCAN_STATUS = """
from udsoncan import Dtc
names = ["test_failed", "test_failed_this_operation_cycle", "pending", "confirmed",
         "test_not_completed_since_last_clear", "test_failed_since_last_clear",
         "test_not_completed_this_operation_cycle", "warning_indicator_requested"]
said = []
for byte in range(256):
    status = Dtc.Status.from_byte(byte)
    said.append([bool(getattr(status, name)) for name in names])
print(json.dumps(said))
"""

SCAPY_STATUS = """
from scapy.contrib.automotive.uds import UDS
order = ["TestFailed", "TestFailedThisOperationCycle", "PendingDTC", "ConfirmedDTC", "TestNotCompletedSinceLastClear",
         "TestFailedSinceLastClear", "TestNotCompletedThisOperationCycle", "WarningIndicatorRequested"]
said = []
for byte in range(256):
    record = UDS(bytes([0x59, 2, 0xFF, 1, 2, 3, byte])).DTCAndStatusRecord[0]
    names = str(record.status).split("+")
    said.append([name in names for name in order])
print(json.dumps(said))
"""


def _all_answers() -> list[list[bool | None]]:
    return [[Status(bits=byte).says(bit) for bit in Bit] for byte in range(256)]


def test_every_status_is_as_udsoncan_reads_it() -> None:
    """udsoncan 1.26.1 (MIT), Dtc.Status.from_byte."""
    assert _all_answers() == ask("udsoncan", UDSONCAN_STATUS, None)


def test_every_status_is_as_scapy_reads_it() -> None:
    """scapy 2.8.0 (GPL-2.0, in a process of its own), record of report 02."""
    assert _all_answers() == ask("scapy", SCAPY_STATUS, None)


@pytest.mark.parametrize(
    ("value", "bit"),
    [
        # ISO 14229-1 Annex D, seen on a public forum page and in jakub-michalik/pulse-ecu docs/dtc_status_bits.md
        (0x01, Bit.FAILING),
        (0x02, Bit.FAILED_THIS_CYCLE),
        (0x04, Bit.PENDING),
        (0x08, Bit.CONFIRMED),
        (0x10, Bit.NOT_TESTED_SINCE_CLEAR),
        (0x20, Bit.FAILED_SINCE_CLEAR),
        (0x40, Bit.NOT_TESTED_THIS_CYCLE),
        (0x80, Bit.LAMP_ASKED),
    ],
)
def test_each_bit_stands_in_its_place(value: int, bit: Bit) -> None:
    assert Status(bits=value).set_bits == (bit,)


def test_every_bit_under_every_mask_says_yes_no_or_unknown() -> None:
    """The rule of check: a bit outside the mask is unknown, not 0 (all 65,536 pairs)."""
    for bits in range(256):
        for mask in range(256):
            status = Status(bits=bits, mask=mask)
            said = [status.says(bit) for bit in Bit]
            assert [answer is None for answer in said] == [not mask >> place & 1 for place in range(8)]
            assert status.set_bits == tuple(bit for bit in Bit if bits & mask & 1 << bit)
            assert len(status.unknown_bits) == 8 - mask.bit_count()
            assert status.seen_failing is bool(bits & mask & 0b00101111)
            kept_untested = mask & 0b01010000
            expected = True if bits & kept_untested else False if kept_untested == 0b01010000 else None
            assert status.untested is expected


def test_passed_needs_every_bit_that_it_rests_on() -> None:
    """Passed this cycle: bits 6 and 1 clear; since the clear: bits 4 and 5 clear (computed from the definitions)."""
    for bits in range(256):
        for mask in range(256):
            status = Status(bits=bits, mask=mask)
            for says, rests in ((status.passed_this_cycle, 0b01000010), (status.passed_since_clear, 0b00110000)):
                if bits & mask & rests:
                    assert says is False
                else:
                    assert says is (True if mask & rests == rests else None)


def test_after_a_clear() -> None:
    """0x50: bits 4 and 6 (transition text of ISO 14229-1 seen, the value from memory)."""
    assert AFTER_CLEAR == 0x50
    status = Status(bits=AFTER_CLEAR)
    assert (status.as_after_clear, status.untested, status.seen_failing) == (True, True, False)
    assert status.passed_since_clear is False
    assert not Status(bits=0x50, mask=0x7F).as_after_clear


def test_the_bits_of_a_request() -> None:
    """0x5A is bits 1, 3, 4, 6 (seen in a test of udsoncan)."""
    assert [bit.value for bit in Status(bits=0x5A).set_bits] == [1, 3, 4, 6]


def test_changed_bits_are_those_that_both_know() -> None:
    before, after = Status(bits=0x28), Status(bits=0x2B, mask=0xFE)
    assert before.changed(after) == (Bit.FAILED_THIS_CYCLE,)
    assert after.changed(before) == before.changed(after)


def test_a_status_says_what_it_cannot_say() -> None:
    assert str(Status(bits=0x00)) == "00: no bit set"
    assert str(Status(bits=0x10, mask=0x2F)) == "10: no bit set (bits 4, 6, 7 not kept: unknown)"


def test_status_as_text() -> None:
    for byte in range(256):
        assert read_status(f" {byte:02x} ") == Status(bits=byte)
    assert read_status("2B", mask=0x7F) == Status(bits=0x2B, mask=0x7F)


@given(st.text())
def test_no_text_makes_it_raise(text: str) -> None:
    read = read_status(text)
    assert isinstance(read, Wrong) or f"{read.bits:02X}" == text.strip().upper()


def test_the_two_groups_do_not_meet() -> None:
    assert not set(SEEN_FAILING) & set(NOT_TESTED)


@pytest.mark.parametrize(("bits", "mask"), [(256, 0), (-1, 0), (0, 256)])
def test_a_status_of_more_than_a_byte_is_our_own_mistake(bits: int, mask: int) -> None:
    with pytest.raises(ValueError, match="one byte"):
        Status(bits=bits, mask=mask)
