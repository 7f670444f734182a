"""Captions and notes: WebVTT (W3C, sections 4 and 6), SRT as players take it (no standard), any bytes."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.core.finding import Finding
from putback.narrate.text.captions import LONGEST, Heard, read_narration
from putback.narrate.text.line_ends import end_sentences

VTT = """WEBVTT - a title

NOTE cover off
this is a comment

STYLE
::cue { color: red }

one
00:01.000 --> 00:03.000 align:start
<v Ann>cover <b>off</b></v>
two bolts

00:59:59.500 --> 01:00:01.000
out
"""


def _heard(data: bytes) -> Heard:
    heard = read_narration(data, "job.vtt")
    assert isinstance(heard, Heard)
    return heard


def test_of_webvtt_only_the_words_of_cues_are_read() -> None:
    spoken = _heard(VTT.encode()).spoken
    assert spoken.text == "cover off two bolts out"
    assert (spoken.second(0), spoken.second(20)) == (1.0, 3599.5)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_line_ends_and_encodings_change_nothing(end: str, encoding: str) -> None:
    data = "1\n00:00:01,000 --> 00:00:02,000\ncover off\n\n2\n00:00:02,000 --> 00:00:04,000\nbolt out\n"
    assert _heard(data.replace("\n", end).encode(encoding)).spoken.text == "cover off bolt out"


def test_a_stamp_is_taken_off_its_line_and_the_line_is_a_sentence() -> None:
    spoken = _heard(b"[0:02] cover off\n[1:05] two bolts out\n").spoken
    assert spoken.text == "cover off two bolts out"
    assert (spoken.second(0), spoken.second(10)) == (2.0, 65.0)
    assert spoken.breaks == {9, 23}


def test_folded_lines_are_no_sentences() -> None:
    assert not end_sentences(["take the", "cover off and", "then pull the", "hose"])


def test_a_cue_that_ends_before_it_begins_is_told() -> None:
    heard = _heard(b"1\n00:00:09,000 --> 00:00:02,000\ncover off\n")
    assert [note.what for note in heard.findings] == ["the cue ends before it begins"]


@pytest.mark.parametrize("data", [b"", b" \n ", b"a " * LONGEST, b"bolt " * (LONGEST // 8)])
def test_nothing_to_read_and_too_much_are_told(data: bytes) -> None:
    assert isinstance(read_narration(data, "job.srt"), Finding)


@settings(max_examples=300, deadline=None)
@given(st.binary())
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    assert isinstance(read_narration(data, "job.srt"), Heard | Finding)


@settings(max_examples=200, deadline=None)
@given(st.integers(0, len(VTT)))
def test_a_truncated_file_is_read_or_refused(length: int) -> None:
    assert isinstance(read_narration(VTT.encode()[:length], "job.vtt"), Heard | Finding)


def test_a_file_that_holds_no_words_is_read_and_told() -> None:
    """Bytes without meaning are read as far as they go; whoever named the wrong file is told."""
    heard = read_narration(bytes(range(128, 256)) * 20, "photo.raw")
    assert isinstance(heard, Heard)
    assert [str(one.kind) for one in heard.findings] == ["note"]
    assert "most of it is no words" in heard.findings[0].what
    plain = read_narration(b"Cover off, 4 clips. T25. Fan out.", "notes.txt")
    assert isinstance(plain, Heard)
    assert plain.findings == ()


def test_a_file_of_the_program_itself_is_no_narration() -> None:
    wrong = read_narration(b"# a car\nputback: car/1\nname: invented\n", "my.car.yaml")
    assert isinstance(wrong, Finding)
    assert "car/1" in wrong.what
