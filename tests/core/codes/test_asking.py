"""What is asked of one module, answer by answer, without a bus.

Bytes of lists and refusals: SAE J1979 / ISO 15031-5 and ISO 14229-1, as in test_code_answers.py; what a module without
a service sends (7F xx 11) and what it sends outside its session (7F xx 7F): ISO 14229-1 Annex A.
"""

from collections.abc import Mapping

import pytest

from putback.core.codes.lists.listing import Readiness
from putback.core.codes.talk.asking import address_name, ask_module, name_of
from putback.core.codes.talk.car_read import How, ModuleRead, Pair
from putback.core.codes.talk.exchange import Answer, Ask, Came
from putback.core.codes.talk.may_send import May, MaySend, may_send

PAIR = Pair(request=0x7E0, answer=0x7E8)
YES = may_send(None, None)
NO_SESSION = MaySend(session=May(yes=False, why="open in the job: the plug"), sweep=YES.sweep, clear=YES.clear)
NUMBER = b"9ZZXA00A3T0000001"  # invented, with a right check digit (49 CFR 565.15)

EMISSIONS = {
    "1902FF": "59027F 0A9B1724 01041108",
    "0100": "4100 881B8011",
    "0101": "4101 8307FF00",
    "0141": "4141 0007FF00",
    "0A": "4A01 0104",
    "0900": "4900 40400000",
    "0902": "490201" + NUMBER.hex(),
    "090A": "490A01" + b"ECM\x00-Engine Control\x00\x00\x00".ljust(20, b"\x00")[:20].hex(),
}
LISTS_ONLY = {**EMISSIONS, "1902FF": "7F1911", "03": "43020102 0113", "07": "47020102 226D"}
SHUT = {"1902FF": "7F197F", "1003": "5003 00320064", "1001": "5001 00320064"}


def talk(
    answers: Mapping[str, str | Answer | list[str] | list[str | Answer]],
    *,
    name: str | None = None,
    allowed: MaySend = YES,
) -> tuple[ModuleRead, list[str]]:
    """Hold the talk against a table of answers; what is not in it is refused (11)."""
    left = {request: list(one) if isinstance(one, list) else one for request, one in answers.items()}
    asked: list[str] = []
    generator = ask_module(PAIR, name=name, allowed=allowed)
    wish = next(generator)
    while True:
        assert isinstance(wish, Ask)
        request = wish.request.hex().upper()
        asked.append(request)
        found = left.get(request, f"7F{request[:2]}11")
        said = found.pop(0) if isinstance(found, list) else found
        answer = said if isinstance(said, Answer) else Answer(came=Came.ANSWERED, data=bytes.fromhex(said), sent=1)
        try:
            wish = generator.send(answer)
        except StopIteration as end:
            return end.value, asked


def test_a_module_that_speaks_of_emissions() -> None:
    read, asked = talk(EMISSIONS)
    assert read.how is How.ANSWERED
    assert [(one.code, one.bits, one.mask) for one in read.listed] == [
        ("P0A9B-17", 0x24, 0x7F),
        ("P0104-11", 0x08, 0x7F),
    ]
    assert (read.permanent, read.readiness) == (("P0104",), Readiness(supported=11, complete=11))
    assert (read.vin, read.module, read.service) == (NUMBER.decode(), "engine control", 0x19)
    assert asked == ["1902FF", "0100", "0A", "0101", "0141", "0900", "0902", "090A"]
    assert not read.said


def test_everything_that_is_asked_only_reads() -> None:
    """What changes nothing: 01, 03, 07, 09, 0A of SAE J1979; 19, 22 of ISO 14229-1; 10 only as 01 and 03."""
    for answers in (EMISSIONS, LISTS_ONLY, SHUT, {}):
        _, asked = talk(answers)
        assert {request[:2] for request in asked} <= {"01", "03", "07", "09", "0A", "19", "22", "10"}
        assert {request for request in asked if request.startswith("10")} <= {"1001", "1003"}


def test_lists_without_status_leave_the_other_bits_unknown() -> None:
    read, _ = talk(LISTS_ONLY)
    assert read.how is How.ANSWERED
    assert {one.code: (one.bits, one.mask) for one in read.listed} == {
        "P0102": (0x0C, 0x0C),  # stored and pending
        "P0113": (0x08, 0x08),  # stored
        "P226D": (0x04, 0x04),  # pending
    }
    assert read.service == 0x03
    assert "carry no status" in read.notes[0]


@pytest.mark.parametrize("pending", ["4702 0102", "4701 0102 33", "FF"])
def test_a_pending_list_that_is_not_whole_makes_the_module_partial(pending: str) -> None:
    read, _ = talk({**LISTS_ONLY, "07": pending})
    assert read.how is How.PARTIAL
    assert {one.code for one in read.listed} >= {"P0102", "P0113"}
    assert read.said


def test_a_pending_list_that_did_not_come_makes_the_module_partial() -> None:
    read, _ = talk({**LISTS_ONLY, "07": Answer(came=Came.SILENT, why="no answer")})
    assert read.how is How.PARTIAL
    assert read.said == ("pending codes: no answer",)


def test_a_module_without_pending_codes_is_whole() -> None:
    read, _ = talk({key: value for key, value in LISTS_ONLY.items() if key != "07"})
    assert read.how is How.ANSWERED
    assert any(note.startswith("pending codes: this service is not supported") for note in read.notes)


def test_a_list_that_breaks_inside_a_code_is_asked_for_once_more() -> None:
    read, asked = talk({**EMISSIONS, "1902FF": ["5902FF 0A9B17", "5902FF 0A9B1724"]})
    assert read.how is How.ANSWERED
    assert asked[:2] == ["1902FF", "1902FF"]
    assert not read.said


def test_a_list_that_breaks_inside_a_code_twice_is_partial() -> None:
    read, _ = talk({**EMISSIONS, "1902FF": ["5902FF 0A9B1724 0104", "5902FF 0A9B1724 0104"]})
    assert read.how is How.PARTIAL
    assert [one.code for one in read.listed] == ["P0A9B-17"]
    assert "01 04 stands after the last whole code" in read.said[0]


@pytest.mark.parametrize("count", range(1, 12))
def test_a_list_that_was_cut_off_is_partial_wherever_that_was(count: int) -> None:
    whole = bytes.fromhex("5902FF0A9B172401041108")
    cut = Answer(came=Came.CUT_OFF, data=whole[:count], why="no more of it came", sent=3)
    read, _ = talk({**EMISSIONS, "1902FF": cut})
    assert read.how is How.PARTIAL
    assert len(read.listed) == max(0, count - 3) // 4
    assert read.said


def test_the_demanded_session_is_asked_for_noted_and_left() -> None:
    read, asked = talk({**SHUT, "1902FF": ["7F197F", "5902FF 0A9B1724"]})
    assert read.how is How.ANSWERED
    assert asked[:3] == ["1902FF", "1003", "1902FF"]
    assert asked[-1] == "1001"
    assert "it was read in the extended session, which it demands" in read.notes
    assert "the extended session was left" in read.notes
    assert not read.said


def test_the_session_is_not_asked_for_where_that_may_not_be() -> None:
    read, asked = talk(SHUT, allowed=NO_SESSION)
    assert read.how is How.REFUSED
    assert not any(request.startswith("10") for request in asked)
    assert "this service is not supported in this session (7F 19 7F)" in read.said[0]
    assert any("open in the job: the plug" in note for note in read.notes)


def test_a_session_that_does_not_help_is_left_all_the_same() -> None:
    read, asked = talk(SHUT)
    assert read.how is How.REFUSED
    assert asked[-1] == "1001"


UNHEARD = Answer(came=Came.SILENT, why="no answer", sent=1)


def test_a_session_whose_request_was_lost_is_asked_for_once_more() -> None:
    """Nobody answered 10 03, and 19 is refused as before: it was not entered."""
    sessions: list[str | Answer] = [UNHEARD, "500300320064"]
    read, asked = talk({**SHUT, "1902FF": ["7F197F", "7F197F", "5902FF 0A9B1724"], "1003": sessions})
    assert asked[:5] == ["1902FF", "1003", "1902FF", "1003", "1902FF"]
    assert (read.how, asked[-1], read.said) == (How.ANSWERED, "1001", ())


def test_a_session_whose_answer_was_lost_is_not_asked_for_again() -> None:
    read, asked = talk({**SHUT, "1902FF": ["7F197F", "5902FF 0A9B1724"], "1003": UNHEARD})
    assert (read.how, asked.count("1003"), asked[-1]) == (How.ANSWERED, 1, "1001")


def test_a_session_that_is_never_answered_is_asked_for_twice_and_left() -> None:
    read, asked = talk({**SHUT, "1003": UNHEARD})
    assert (read.how, asked.count("1003"), asked[-1]) == (How.REFUSED, 2, "1001")
    assert "the extended session: no answer" in read.said


def test_a_session_that_is_refused_is_not_asked_for_again() -> None:
    read, asked = talk({**SHUT, "1003": "7F1022"})
    assert (read.how, asked.count("1003"), "1001" in asked) == (How.REFUSED, 1, False)


@pytest.mark.parametrize("reason", ["10", "22", "31", "33", "88"])
def test_any_other_refusal_leaves_the_module_unknown_with_what_it_said(reason: str) -> None:
    read, asked = talk({**EMISSIONS, "1902FF": f"7F19{reason}"})
    assert read.how is How.REFUSED
    assert f"(7F 19 {reason})" in read.said[0]
    assert "03" not in asked
    assert not read.listed


def test_a_silent_module_is_asked_once_more_in_the_old_way_and_no_further() -> None:
    silent = Answer(came=Came.SILENT, why="no answer", sent=4)
    read, asked = talk({"1902FF": silent, "03": silent})
    assert (read.how, asked) == (How.SILENT, ["1902FF", "03"])
    assert read.said == ("codes with their status: no answer", "stored codes: no answer")
    assert read.module == "module 7e0"


def test_a_module_that_knows_only_the_old_way_is_heard() -> None:
    silent = Answer(came=Came.SILENT, why="no answer", sent=4)
    read, _ = talk({**LISTS_ONLY, "1902FF": silent})
    assert read.how is How.ANSWERED
    assert len(read.listed) == 3


def test_a_stop_at_any_moment_leaves_a_value() -> None:
    stopped = Answer(came=Came.STOPPED, why="stopped before it was asked")
    _, asked = talk(EMISSIONS)
    for n in range(len(asked)):
        answers: dict[str, str | Answer | list[str]] = {**EMISSIONS}
        answers.update(dict.fromkeys(asked[n:], stopped))
        read, _ = talk(answers)
        assert read.how is (How.SILENT if n == 0 else How.ANSWERED)


def test_a_code_that_is_sent_twice_stands_once_with_the_worse_of_each_bit() -> None:
    read, _ = talk({**EMISSIONS, "1902FF": "5902FF 0A9B1720 0A9B1704"})
    assert [(one.code, one.bits) for one in read.listed] == [("P0A9B-17", 0x24)]
    assert any("sent twice" in note for note in read.notes)


def test_a_name_that_is_given_is_not_asked_for() -> None:
    read, asked = talk(EMISSIONS, name="engine")
    assert read.module == "engine"
    assert "090A" not in asked


@pytest.mark.parametrize(
    ("text", "name"),
    [("RADAR", "radar"), ("ABS -Brake\\x00", "brake"), ("a,b: c#d", "a b c d"), ("", ""), ("ECM\\x00-", "ecm -")],
)
def test_names_hold_nothing_that_a_list_cannot_bear(text: str, name: str) -> None:
    assert name_of(text) == name


def test_the_name_of_a_module_that_gives_none() -> None:
    assert address_name(Pair(request=0x18DA10F1, answer=0x18DAF110, extended=True)) == "module 18da10f1"
