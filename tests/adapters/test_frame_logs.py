"""Logs of frames: python-can's own readers as the reference, and files that are broken, hostile or too large."""

import gzip
import random
import time
from pathlib import Path

import can
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from putback.adapters import frame_logs, frame_pipe
from putback.adapters.frame_logs import LogRead, Row, is_frame_log, read_frame_log, row_of

MASK = 0xFFFF_FFFF


def frames(count: int, *, seed: int = 1) -> list[can.Message]:
    rng = random.Random(seed)
    return [
        can.Message(
            timestamp=1_780_000_000 + n / 1000,
            arbitration_id=rng.randrange(1 << 29) if (long := rng.random() < 0.3) else rng.randrange(0x800),
            is_extended_id=long,
            data=rng.randbytes(rng.randrange(9)),
            channel=0,
        )
        for n in range(count)
    ]


def written(path: Path, messages: list[can.Message]) -> Path:
    with can.Logger(path) as log:
        for message in messages:
            log.on_message_received(message)
    return path


def read(path: Path, **more: int) -> tuple[list[Row], LogRead]:
    rows: list[Row] = []
    return rows, read_frame_log(path, rows.extend, **more)


def reference(path: Path) -> list[Row]:
    """What python-can's own reader makes of it."""
    with can.LogReader(path) as reader:
        return [row for message in reader if (row := row_of(message)) is not None]


@pytest.mark.parametrize("suffix", [".log", ".asc", ".trc", ".csv", ".blf", ".log.gz", ".asc.gz"])
def test_every_kind_of_log_gives_what_the_library_gives(tmp_path: Path, suffix: str) -> None:
    path = written(tmp_path / f"car{suffix}", frames(400))
    rows, came = read(path)
    assert rows == reference(path)
    assert (len(rows), came.frames, came.bad) == (400, 400, 0)
    assert is_frame_log(path)


def test_a_database_of_frames(tmp_path: Path) -> None:
    """python-can's writer of this kind is a thread that writes at its end."""
    path = written(tmp_path / "car.db", frames(50))
    assert read(path)[0] == reference(path)


# the fast path, beside python-can's reader of the same lines

TIMES = st.one_of(st.floats(0, 2e9).map(lambda at: f"{at:.6f}"), st.sampled_from(["0", "1e3", "nan", "1.5.2", ""]))
IDS = st.one_of(
    st.integers(0, 0x7FF).map(lambda one: f"{one:03X}"),
    st.integers(0, 0x3FFF_FFFF).map(lambda one: f"{one:08x}"),
    st.sampled_from(["20000080", "20000004", "1", "12345", "FFFFFFFFF", "xyz"]),
)
DATA = st.one_of(
    st.binary(max_size=8).map(lambda data: data.hex()),
    st.sampled_from(["R", "R8", "r", "#1" + "aa" * 12, "#", "abc", "0G", "aa" * 9, "##0"]),
)
ENDS = st.sampled_from(["", " R", " T", " r", "  ", " R extra"])
LINES = st.one_of(
    st.builds(
        lambda at, channel, one, data, end: f"({at}) {channel} {one}#{data}{end}",
        TIMES,
        st.sampled_from(["can0", "vcan1", "0", "7"]),
        IDS,
        DATA,
        ENDS,
    ),
    st.text("()#. 0123abR\t", max_size=30),
)


@settings(max_examples=200, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.lists(LINES, max_size=12))
def test_the_fast_path_gives_the_frames_of_the_library(tmp_path: Path, lines: list[str]) -> None:
    """Line by line, as the library gives up at the first bad line and we do not."""
    expected, bad, counted = [], 0, []
    for line in lines:
        path = tmp_path / "one.log"
        path.write_text(line + "\n", encoding="utf-8")
        try:
            expected += reference(path)
        except (ValueError, IndexError, OverflowError):
            bad += 1
    path = tmp_path / "all.log"
    path.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
    rows, came = read(path)
    for at, place, data in expected:
        counted.append((repr(at), place & MASK, data))
    assert [(repr(at), place & MASK, data) for at, place, data in rows] == counted
    assert came.bad == bad


def test_channels_of_a_log_are_kept_apart(tmp_path: Path) -> None:
    path = tmp_path / "car.log"
    path.write_text("(1.0) can0 7E8#00\n(1.1) can1 7E8#00\n(1.2) can0 7E8#00 R\n")
    assert [row[1] >> 32 for row in read(path)[0]] == [0, 1, 0]


# bad lines

BAD = {
    ".log": "(1780000000.1) can0 7E8#0G",
    ".asc": "   1.5 1  7E8x  Rx   d 8 01 02 zz 04 05 06 07 08",
    ".trc": "      2         1.000 DT  1     07E8 Rx -  3    61 zz 63",
    ".csv": "1780000000.1,0x7e8,0,0,0,8,AAAA",
}


@pytest.mark.parametrize("suffix", [".log", ".asc", ".trc", ".csv"])
def test_a_bad_line_costs_that_line_and_is_named(tmp_path: Path, suffix: str) -> None:
    path = written(tmp_path / f"car{suffix}", frames(60))
    whole = read(path)[0]
    lines = path.read_text().splitlines()
    first = len(lines) - 60
    for place in (first + 50, first + 20, first + 20):
        lines.insert(place, BAD[suffix])
    path.write_text("\n".join(lines) + "\n")
    rows, came = read(path)
    assert rows == whole
    assert came.bad == 3
    numbers = [finding.where.line for finding in came.findings if finding.where.line is not None]
    assert numbers == [first + 21, first + 22, first + 53]


def test_many_bad_lines_are_counted_and_the_first_named(tmp_path: Path) -> None:
    path = tmp_path / "car.log"
    path.write_text("nothing to see\n" * 500 + "(1.0) can0 7E8#00\n")
    rows, came = read(path)
    assert (len(rows), came.bad, len(came.findings)) == (1, 500, frame_logs.MOST_SHOWN + 1)
    assert "480 more lines" in came.findings[-1].what


def test_a_line_of_ten_million_characters(tmp_path: Path) -> None:
    path = tmp_path / "car.log"
    path.write_text("(1.0) can0 7E8#00\n" + "A" * 10_000_000 + "\n(2.0) can0 7E8#01\n")
    begun = time.monotonic()
    rows, came = read(path)
    assert ([row[2] for row in rows], came.bad) == ([b"\x00", b"\x01"], 1)
    assert time.monotonic() - begun < 5


def test_other_bytes_than_text(tmp_path: Path) -> None:
    path = tmp_path / "car.log"
    path.write_bytes(b"(1.0) can0 7E8#00\r\n\x00\xff\xfe\x85\x0c\n(2.0) can0 7E8#01\n" + bytes(range(256)))
    rows, came = read(path)
    assert [row[2] for row in rows] == [b"\x00", b"\x01"]
    assert came.bad >= 1
    path.write_bytes("(1.0) can0 7E8#00\n(2.0) can0 7E8#01\n".encode("utf-16"))
    assert [row[2] for row in read(path)[0]] == [b"\x00", b"\x01"]


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.sampled_from([".log", ".asc", ".trc", ".csv"]), st.binary(max_size=400))
def test_no_text_log_raises(tmp_path: Path, suffix: str, data: bytes) -> None:
    path = tmp_path / f"car{suffix}"
    path.write_bytes(data)
    read(path)


@pytest.mark.parametrize("suffix", [".asc", ".trc", ".csv"])
def test_a_log_that_is_torn_anywhere_keeps_what_came_before(tmp_path: Path, suffix: str) -> None:
    path = written(tmp_path / f"car{suffix}", frames(20))
    whole, data = read(path)[0], path.read_bytes()
    for end in range(0, len(data), 37):
        path.write_bytes(data[:end])
        rows = read(path)[0]
        assert rows[:-1] == whole[: len(rows[:-1])]


# packed and binary


def test_a_packed_log_that_is_torn_or_too_large(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = "".join(f"({n}.0) can0 7E8#00\n" for n in range(200_000)).encode()
    path = tmp_path / "car.log.gz"
    path.write_bytes(gzip.compress(text)[:-1000])
    rows, came = read(path)
    assert 0 < len(rows) < 200_000
    assert "could not be read to its end" in came.findings[0].what
    path.write_bytes(gzip.compress(text))
    monkeypatch.setattr(frame_logs, "MOST_UNPACKED", 2_000_000)
    rows, came = read(path)
    assert 0 < len(rows) < 200_000
    assert "unpacks to more than 2,000,000" in came.findings[0].what
    path.write_bytes(b"not packed at all")
    assert read(path)[1].findings[0].kind == "fault"


def test_a_binary_log_that_is_torn_keeps_what_came_before(tmp_path: Path) -> None:
    path = written(tmp_path / "car.blf", frames(20_000))
    whole = reference(path)
    path.write_bytes(path.read_bytes()[:-40_000])
    rows, came = read(path)
    assert 0 < len(rows) < 20_000
    assert rows == whole[: len(rows)]
    assert "could not be read to its end" in came.findings[0].what


@pytest.mark.parametrize("suffix", [".blf", ".db", ".mf4"])
def test_a_binary_log_of_any_bytes_is_a_finding(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"car{suffix}"
    path.write_bytes(random.Random(3).randbytes(5000))
    rows, came = read(path)
    assert (rows, len(came.findings)) == ([], 1)
    assert "could not be read to its end" in came.findings[0].what


def test_a_reader_that_hangs_is_stopped(tmp_path: Path) -> None:
    """A pipe that nobody writes to: the library's reader waits for ever."""
    import os  # noqa: PLC0415 - here alone

    path = tmp_path / "car.blf"
    os.mkfifo(path)
    begun = time.monotonic()
    rows, came = read(path, most_seconds=2)
    assert (rows, time.monotonic() - begun < 10) == ([], True)
    assert "longer than a log may" in came.findings[0].what


def test_a_reader_that_swells_is_stopped(tmp_path: Path) -> None:
    """With less memory than the library itself needs, whatever happens is said."""
    path = written(tmp_path / "car.blf", frames(10))
    rows: list[Row] = []
    said = frame_pipe.read_in_child(path, rows.extend, most_seconds=20, most_bytes=30_000_000)
    assert said


def test_what_is_no_log(tmp_path: Path) -> None:
    assert "no kind of log" in read(tmp_path / "car.txt")[1].findings[0].what
    assert "cannot be opened" in read(tmp_path / "missing.log")[1].findings[0].what
    assert "could not be read" in read(tmp_path / "missing.blf")[1].findings[0].what
    listing = tmp_path / "list.csv"
    listing.write_text("module,code,status,text\n")
    assert not is_frame_log(listing)
    assert not is_frame_log(tmp_path / "missing.csv")
