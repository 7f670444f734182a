"""Frozen frames: the code, the values of that moment, and frames that are not there. The bytes are invented.

The form is of SAE J1979 service 02; PID 02 at zero means that no frame is stored (a public table, seen, and memory).
"""

from hypothesis import given
from hypothesis import strategies as st

from putback.core.codes.meaning.frozen import FrozenFrame, frozen_frames
from putback.core.codes.meaning.pids import LiveAnswer, read_live


def _frames(*sent: str) -> tuple[FrozenFrame, ...]:
    return frozen_frames(read_live(bytes.fromhex(text)) for text in sent)


def test_answers_of_one_frame_become_one_record() -> None:
    """Engine speed 1A F8 is 1726, coolant 7B is 83 (published figures of PIDs 0C and 05)."""
    (frame,) = _frames("42 02 00 0143", "42 0C 00 1AF8", "42 05 00 7B", "42 00 00 58180000")
    assert (frame.number, frame.stored, str(frame.code), frame.wrong) == (0, True, "P0143", ())
    assert [(live.pid, live.readings[0].value) for live in frame.values] == [(0x05, 83.0), (0x0C, 1726.0)]


def test_without_a_code_the_values_mean_nothing() -> None:
    (none,) = _frames("42 02 00 0000", "42 0C 00 1AF8")
    assert (none.stored, none.code, none.values) == (False, None, ())


def test_without_an_answer_about_the_code_it_is_unknown() -> None:
    (frame,) = _frames("42 0C 00 1AF8")
    assert (frame.stored, frame.code, len(frame.values)) == (None, None, 1)


def test_frames_are_kept_apart_and_values_of_now_are_left_out() -> None:
    first, second = _frames("42 02 00 0143", "42 02 01 0A9B", "42 05 01 7B", "41 05 20")
    assert [str(frame.code) for frame in (first, second)] == ["P0143", "P0A9B"]
    assert (first.values, [live.pid for live in second.values]) == ((), [0x05])


def test_two_answers_that_differ_and_a_broken_one_are_said() -> None:
    (frame,) = _frames("42 02 00 0143", "42 05 00 7B", "42 05 00 7C", "42 0C 00 1A")
    assert frame.values[0].data == b"\x7b"
    assert ["ends inside PID 0C" in frame.wrong[0].what, "came twice" in frame.wrong[1].what] == [True, True]
    (broken,) = _frames("42 0C 00 1A")
    assert (broken.stored, len(broken.wrong)) == (None, 1)
    assert _frames() == ()


@given(st.lists(st.binary(max_size=20), max_size=4))
def test_no_bytes_make_it_raise(tails: list[bytes]) -> None:
    answers: list[LiveAnswer] = [read_live(b"\x42" + tail) for tail in tails]
    frames = frozen_frames(answers)
    assert bool(frames) is bool(answers)
    if any(answer.wrong for answer in answers):
        assert all(frame.wrong for frame in frames)
