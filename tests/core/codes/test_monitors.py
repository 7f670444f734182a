"""Monitor results: published records, misfire counts that are no zeros, and answers that are cut off."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.codes.references import ask
from putback.core.codes.meaning.monitors import MONITORS, misfires, next_average, read_monitors

RECORDS = [
    # record, value, least, most, unit, tolerance, source
    ("01010A0BB00BB00BB0", 365, 365, 365, "mV", 0.25, "seen: python-OBD test_monitor; 2992/8192 V = 365.23 mV"),
    ("0105100048 00000064", 72, 0, 100, "ms", 0, "seen: the same"),
    ("0185240096004BFFFF", 150, 75, 65535, "count", 0, "seen: the same"),
]

SCAPY_NAMES = """
from scapy.contrib.automotive.obd.mid import mids
print(json.dumps(sorted(mids.OBD_S06_PR_Record.on_board_monitoring_ids)))
"""


@pytest.mark.parametrize(("record", "value", "least", "most", "unit", "apart", "source"), RECORDS)
def test_published_records(
    record: str, value: float, least: float, most: float, unit: str, apart: float, source: str
) -> None:
    (test,) = read_monitors(bytes.fromhex("46" + record)).tests
    factor = 1000 if unit == "mV" else 1
    assert test.unit == ("V" if unit == "mV" else unit)
    for ours, theirs in ((test.value, value), (test.least, least), (test.most, most)):
        assert ours is not None
        assert abs(ours * factor - theirs) <= apart, source
    assert test.has_run
    assert test.passed


def test_three_records_in_one_answer() -> None:
    sent = bytes.fromhex("46" + "".join(row[0] for row in RECORDS))
    for end in range(2, len(sent)):
        answer = read_monitors(sent[:end])
        assert len(answer.tests) == (end - 1) // 9
        assert (answer.wrong == ()) is ((end - 1) % 9 == 0)
    assert [test.what for test in read_monitors(sent).tests] == ["test 01", "test 05", "test 85"]


def test_published_support_of_monitors() -> None:
    """46 A0 78 00 00 00: monitors A2 to A5, four cylinders; bytes seen: python-OBD issue 257, decode computed."""
    answer = read_monitors(bytes.fromhex("46A078000000"))
    assert answer.supported == (0xA2, 0xA3, 0xA4, 0xA5)
    assert [MONITORS[monitor] for monitor in answer.supported] == [f"misfire, cylinder {n}" for n in range(1, 5)]
    two = read_monitors(bytes.fromhex("46 00 80000001 20 80000000"))
    assert two.supported == (0x01, 0x20, 0x21)
    padded = read_monitors(bytes.fromhex("46A078000000 0000"))
    assert (padded.supported, padded.padding, padded.wrong) == ((0xA2, 0xA3, 0xA4, 0xA5), 2, ())


def test_all_zero_has_not_run_and_is_never_a_count() -> None:
    """Value, least and most all zero: not run since the clear (seen in third-party tables of SAE J1979)."""
    sent = bytes.fromhex("46 A20C24000000000000 A30C240000 0000FFFF A30B240007 0000FFFF")
    answer = read_monitors(sent)
    not_run, zero, _ = answer.tests
    assert (not_run.has_run, not_run.passed, not_run.value, not_run.most) == (False, None, None, None)
    assert (zero.has_run, zero.passed, zero.value) == (True, True, 0.0)
    first, second = misfires(answer.tests)
    assert (first.cylinder, first.count, first.average) == (1, None, None)
    assert (second.cylinder, second.count, second.average) == (2, 0, 7)


def test_a_record_of_zeros_at_the_end_is_padding() -> None:
    answer = read_monitors(bytes.fromhex("46 010510004800000064" + "00" * 9))
    assert (len(answer.tests), answer.padding, answer.wrong) == (1, 9, ())


def test_signed_values_are_compared_with_their_sign() -> None:
    (test,) = read_monitors(bytes.fromhex("46 01 80 8B FFFF 8000 0001")).tests
    assert (test.raw, test.passed) == (-1, True)
    (low,) = read_monitors(bytes.fromhex("46 01 80 0B FFFF 0000 0001")).tests
    assert low.passed is False


def test_an_unknown_unit_is_shown_as_a_number() -> None:
    (test,) = read_monitors(bytes.fromhex("46 F0 99 77 0005 0001 0009")).tests
    assert (test.raw, test.value, test.unit, test.passed) == (5, None, "", True)
    assert test.note == "unit 77 is not known here: whole numbers are shown"
    assert (test.name, test.what) == ("monitor F0", "test 99")


def test_the_running_average() -> None:
    """Computed from the rule: ten misfires in every cycle from 0 give 1.0, 1.9, 2.71, 3.439, 4.0951."""
    average, found = 0.0, []
    for _ in range(5):
        average = next_average(average=average, count=10)
        found.append(round(average, 4))
    assert found == [1.0, 1.9, 2.71, 3.439, 4.0951]


def test_monitors_are_those_that_scapy_names() -> None:
    """scapy 2.8.0 (GPL-2.0, in a process of its own); it leaves exhaust gas recirculation of bank 1, 31, out."""
    theirs = {monitor for monitor in ask("scapy", SCAPY_NAMES, None) if monitor % 0x20}
    assert set(MONITORS) ^ theirs <= {0x31}


@pytest.mark.parametrize("sent", ["", "46", "4701", "41"])
def test_what_is_no_answer_is_said(sent: str) -> None:
    assert "no answer to service 06" in read_monitors(bytes.fromhex(sent)).wrong[0].what


@given(st.binary(max_size=60))
def test_no_bytes_make_it_raise(tail: bytes) -> None:
    for sent in (tail, b"\x46" + tail):
        answer = read_monitors(sent)
        if not sent or sent[0] != 0x46:
            assert answer.wrong
        elif answer.tests and not answer.wrong:
            assert 9 * len(answer.tests) + answer.padding == len(sent) - 1
        for test in answer.tests:
            assert (test.passed is None) is not test.has_run
            assert isinstance(test.note, str)
        misfires(answer.tests)
