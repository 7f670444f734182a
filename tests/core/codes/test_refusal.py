"""Refusals: every reason that has words is a reason of the standard, as another library names it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.codes.references import ask
from putback.core.codes.meaning.refusal import BUSY, NOT_IN_THIS_SESSION, REASONS, WAIT, read_refusal

UDSONCAN_REASONS = """
from udsoncan import Response
codes = vars(Response.Code)
print(json.dumps({str(value): name for name, value in codes.items() if isinstance(value, int)}))
"""

WORDS = {
    # number: a word of ours, a word in udsoncan's name of it
    0x11: ("not supported", "ServiceNotSupported"),
    0x12: ("part of the service", "SubFunctionNotSupported"),
    0x13: ("length or form", "IncorrectMessageLength"),
    0x21: ("busy", "BusyRepeat"),
    0x22: ("conditions", "ConditionsNotCorrect"),
    0x31: ("out of range", "OutOfRange"),
    0x33: ("locked", "SecurityAccessDenied"),
    0x36: ("attempts", "NumberOfAttempts"),
    0x37: ("time between", "TimeDelay"),
    0x78: ("comes later", "ResponsePending"),
    0x7E: ("in this session", "InActiveSession"),
    0x7F: ("in this session", "InActiveSession"),
    0x83: ("is running", "EngineIsRunning"),
    0x84: ("not running", "EngineIsNotRunning"),
    0x88: ("too fast", "SpeedTooHigh"),
    0x92: ("too high", "VoltageTooHigh"),
    0x93: ("too low", "VoltageTooLow"),
}


def test_every_reason_is_one_of_the_standard() -> None:
    """udsoncan 1.26.1 (MIT), Response.Code."""
    known = ask("udsoncan", UDSONCAN_REASONS, None)
    assert {str(reason) for reason in REASONS} <= set(known)
    for reason, (ours, theirs) in WORDS.items():
        assert ours in REASONS[reason]
        assert theirs in known[str(reason)]


def test_a_refusal_says_what_and_why() -> None:
    """7F 19 78: the answer to service 19 comes later (ISO 14229-1; seen in udsoncan issue 73)."""
    found = read_refusal(bytes.fromhex("7F1978"))
    assert (found.service, found.reason, found.later, found.wrong) == (0x19, WAIT, True, ())
    assert not read_refusal(bytes([0x7F, 0x19, BUSY])).later
    assert all("session" in REASONS[reason] for reason in NOT_IN_THIS_SESSION)


@pytest.mark.parametrize(("sent", "reason"), [("7F", None), ("7F19", None), ("", None), ("7F191100", 0x11)])
def test_a_refusal_that_is_cut_off(sent: str, reason: int | None) -> None:
    found = read_refusal(bytes.fromhex(sent))
    assert found.reason == reason
    assert bool(found.wrong) is (reason is None)


def test_an_unknown_reason_is_its_number() -> None:
    assert read_refusal(bytes.fromhex("7F19F3")).says == "refused for reason F3"
    assert "stands after" in read_refusal(bytes.fromhex("7F191142")).wrong[0].what


@given(st.binary(max_size=8))
def test_no_bytes_make_it_raise(sent: bytes) -> None:
    assert read_refusal(sent).says
