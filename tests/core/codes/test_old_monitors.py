"""Monitor results on buses before CAN: limits of both kinds, the tests there are, and answers that are cut off.

The form is of SAE J1979 of 2002, from memory: no independent reference that reads it was found. Invented bytes.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.core.codes.meaning.answers import read_answer
from putback.core.codes.meaning.old_monitors import OldMonitorAnswer, read_old_monitors


@pytest.mark.parametrize(
    ("sent", "component", "least", "passed"),
    [
        ("46 05 01 0048 0064", 1, False, True),
        ("46 05 01 0065 0064", 1, False, False),
        ("46 05 01 0064 0064", 1, False, True),
        ("46 05 81 0048 0064", 1, True, False),
        ("46 05 FF 0064 0064", 0x7F, True, True),
        ("46 05 00 0000 0000", 0, False, None),
    ],
)
def test_a_limit_is_the_most_or_the_least(sent: str, component: int, least: bool, passed: bool | None) -> None:
    found = read_old_monitors(bytes.fromhex(sent)).found
    assert found is not None
    assert (found.test, found.component, found.limit_is_least, found.passed) == (5, component, least, passed)


def test_the_tests_there_are() -> None:
    answer = read_old_monitors(bytes.fromhex("46 00 FF C0000001"))
    assert (answer.supported, answer.found, answer.wrong) == ((0x01, 0x02, 0x20), None, ())


def test_an_answer_cut_off_or_too_long_is_said() -> None:
    sent = bytes.fromhex("46 05 01 0048 0064")
    for end in range(len(sent)):
        assert "no whole answer" in read_old_monitors(sent[:end]).wrong[0].what
    assert read_old_monitors(sent + bytes(2)).padding == 2
    assert "01 stands after" in read_old_monitors(sent + b"\x01").wrong[0].what


def test_the_same_bytes_are_not_read_as_those_of_can() -> None:
    sent = bytes.fromhex("46 05 01 0048 0064")
    assert isinstance(read_answer(sent, on_can=False), OldMonitorAnswer)
    assert not isinstance(read_answer(sent), OldMonitorAnswer)


@given(st.binary(max_size=20))
def test_no_bytes_make_it_raise(tail: bytes) -> None:
    for sent in (tail, b"\x46" + tail):
        answer = read_old_monitors(sent)
        assert answer.wrong or answer.found is not None or sent[1] % 0x20 == 0
