"""A drive log: written as it comes, read back as it was, and every fault of a file said at once."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from drives import drive, write_drive
from putback.adapters.drive_log import DriveLog, begin_drive_log, read_drive_log, read_drive_text, read_tail
from putback.core.codes.drive.log import Channel, Record, channel_of, rate, runs
from putback.core.finding import Finding, Kind

HEAD = "# format: drive/1\ntime_s,pid,value,unit\n"


def test_what_is_written_is_read(tmp_path: Path) -> None:
    made = drive({"0C": [800.0, None, 820.25], "0D": [0.0, 1.0, 2.0], "14.2": [-1.5625, None, 3.125]})
    write_drive(tmp_path / "a.csv", made, stage="before", bus="can0")
    read = read_drive_log(tmp_path / "a.csv")
    assert read.findings == ()
    assert read.drive is not None
    assert dict(read.drive.series) == dict(made.series)
    assert {"stage": "before", "bus": "can0", "ended": "at its time"}.items() <= read.drive.facts.items()


def test_a_monitor_that_has_not_run_is_no_drop_out(tmp_path: Path) -> None:
    log = begin_drive_log(tmp_path / "a.csv", {})
    assert isinstance(log, DriveLog)
    log(Record(at_s=1.0, key="06-A2-0C", value=None, not_run=True))
    log(Record(at_s=2.0, key="06-A2-0C", value=None))
    log.close()
    assert (tmp_path / "a.csv").read_text("utf-8").splitlines()[2:] == [
        "1.000,06-A2-0C,not run,count",
        "2.000,06-A2-0C,,count",
    ]
    read = read_drive_log(tmp_path / "a.csv")
    assert read.drive is not None
    found = read.drive.series["06-A2-0C"]
    assert [one.not_run for one in found] == [True, False]
    assert rate(found).drop_outs == 1


def test_a_log_is_never_written_over(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("mine", encoding="utf-8")
    found = begin_drive_log(tmp_path / "a.csv", {})
    assert isinstance(found, Finding)
    assert "there already" in found.what
    assert (tmp_path / "a.csv").read_text("utf-8") == "mine"


def test_every_fault_is_said_at_once_with_its_line() -> None:
    lines = [
        "x,0C,800,1/min",
        "1,0C,eight,1/min",
        "2,0C,800,rpm",
        "3,ZZ,1,",
        "4,0C,800",
        "5,03,1,",
        "6,0C,not run,1/min",
        "7,14,1,V",
        "8,0C,nan,1/min",
        "9,0C,800,1/min",
    ]
    read = read_drive_text((HEAD + "\n".join(lines) + "\n").encode(), "a.csv")
    assert read.drive is None
    assert [(one.where.line, one.where.field) for one in read.findings] == [
        (3, "time_s"),
        (4, "value"),
        (5, "unit"),
        (6, "pid"),
        (7, ""),
        (8, "pid"),
        (9, "value"),
        (10, "pid"),
        (11, "value"),
    ]
    assert all(one.mend and one.where.file == "a.csv" for one in read.findings)


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"", "there are no records"),
        (b"\xff\xfe0C\n", "not UTF-8"),
        (b"# format: drive/9\ntime_s,pid,value,unit\n", "no format"),
        (b"time,pid\n", "not the line of column names"),
        (b"\x00\x00\x00\n", "not the line of column names"),
        (HEAD.encode() + b'1,"0C\n', "2 values for 4"),
    ],
)
def test_what_is_no_log_is_a_finding(data: bytes, what: str) -> None:
    read = read_drive_text(data, "a.csv")
    assert read.drive is None
    assert what in " ".join(one.what for one in read.findings)


def test_a_torn_last_line_costs_that_line_only() -> None:
    read = read_drive_text((HEAD + "1,0C,800,1/min\n2,0C,81").encode(), "a.csv")
    assert read.drive is not None
    assert [one.value for one in read.drive.series["0C"]] == [800.0]
    assert [(one.kind, one.where.line) for one in read.findings] == [(Kind.NOTE, 4)]


def test_every_cut_of_a_log_can_be_read(tmp_path: Path) -> None:
    """Whatever byte a log ends at, once its head is there: no fault, and never a value that was not written."""
    write_drive(tmp_path / "a.csv", drive({"0C": [800.0, None, 820.0], "05": [85.0, 86.0, 87.0]}))
    whole = (tmp_path / "a.csv").read_bytes()
    all_of = read_drive_text(whole, "").drive
    assert all_of is not None
    for end in range(whole.index(b"unit\n") + 5, len(whole)):
        cut = read_drive_text(whole[:end], "")
        assert cut.drive is not None
        for key, found in cut.drive.series.items():
            assert found == all_of.series[key][: len(found)]


def test_a_missing_file_is_a_finding(tmp_path: Path) -> None:
    for read in (read_drive_log(tmp_path / "none.csv"), read_tail(tmp_path / "none.csv")):
        assert read.drive is None
        assert "cannot be read" in read.findings[0].what


def test_the_newest_part_of_a_long_log(tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    write_drive(path, drive({"0C": [float(n) for n in range(60_000)]}), stage="before")
    read = read_tail(path)
    assert read.drive is not None
    assert read.drive.facts["stage"] == "before"
    values = [one.value for one in read.drive.series["0C"]]
    assert values[-1] == 59_999.0
    assert len(values) < 60_000


WRITER = """
import sys, time
from pathlib import Path
from putback.adapters.drive_log import begin_drive_log
from putback.core.codes.drive.log import Record
log = begin_drive_log(Path(sys.argv[1]), {})
for n in range(10**6):
    log(Record(at_s=n / 10, key="0C", value=800.0 + n))
    print(n, flush=True)
    time.sleep(0.002)
"""


def test_a_killed_program_leaves_what_it_had(tmp_path: Path) -> None:
    """SIGKILL: every line that was said to be written can be read."""
    path = tmp_path / "killed.csv"
    child = subprocess.Popen([sys.executable, "-c", WRITER, str(path)], stdout=subprocess.PIPE, text=True)
    assert child.stdout is not None
    deadline = time.monotonic() + 20
    said = -1
    while said < 40 and time.monotonic() < deadline:
        said = int(child.stdout.readline())
    os.kill(child.pid, signal.SIGKILL)
    child.stdout.close()
    child.wait()
    read = read_drive_log(path)
    assert read.drive is not None
    assert len(read.drive.series["0C"]) >= said + 1 > 40


def test_lines_break_where_nothing_came() -> None:
    found = drive({"0C": [1.0, 2.0, None, 4.0, 5.0, 6.0]}).series["0C"]
    late = Record(at_s=30.0, key="0C", value=7.0)
    assert [[one.value for one in run] for run in runs((*found, late))] == [[1.0, 2.0], [4.0, 5.0, 6.0], [7.0]]


@pytest.mark.parametrize("key", ["", "C", "0c", "14", "14.3", "0C.1", "06-A1-0C", "06-A2-0D", "FF", "00", "0C\n"])
def test_a_key_that_names_nothing_is_wrong(key: str) -> None:
    assert not isinstance(channel_of(key), Channel)
