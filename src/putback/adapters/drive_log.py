"""One idea: a drive is written line by line as it comes, so that whatever ends it, what came before can be read.

CSV: lines `# key: value`, then `time_s,pid,value,unit`. A value that was asked for and did not come is a line without
a value; `not run` stands where a monitor has not run since the codes were cleared.
"""

import csv
import difflib
import io
import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, TextIO

from putback.core.codes.drive.log import Channel, Drive, Record, channel_of, drive_of
from putback.core.codes.meaning.wrong import Wrong
from putback.core.finding import Finding, Kind, Where, faults

COLUMNS: Final = ("time_s", "pid", "value", "unit")
FORMAT: Final = "drive/1"
NOT_RUN: Final = "not run"
KEYS: Final = ("format", "begun", "stage", "bus", "module", "not supported", "note", "ended")
LARGEST: Final = 256 * 1024 * 1024
TAIL: Final = 256 * 1024
"""So much of the end of a log is read while it grows, [bytes]: some minutes."""
NEWEST: Final = 16 * 1024
"""So much tells what holds at this moment, [bytes]: some seconds."""

_KEY = re.compile(r"#\s*([A-Za-z][^:]*?)\s*:\s*(.*)")
_HEAD: Final = 8 * 1024


class DriveLog:
    """A drive that is being written."""

    def __init__(self, file: TextIO) -> None:
        self.count = 0
        self._file = file

    def say(self, key: str, value: str) -> None:
        """One line about the drive."""
        self._line(f"# {key}: {' '.join(value.split())}")

    def begin(self) -> None:
        """The line of column names: records follow."""
        self._line(",".join(COLUMNS))

    def __call__(self, record: Record) -> None:
        """Write one record, and bring it to the disk's keeper at once."""
        channel = channel_of(record.key)
        unit = channel.unit if isinstance(channel, Channel) else ""
        value = NOT_RUN if record.not_run else "" if record.value is None else f"{record.value:.6g}"
        self.count += 1
        self._line(_row((f"{record.at_s:.3f}", record.key, value, unit)))

    def close(self) -> None:
        """No more is written."""
        self._file.close()

    def _line(self, text: str) -> None:
        self._file.write(text + "\n")
        self._file.flush()


def begin_drive_log(path: Path, facts: Mapping[str, str]) -> DriveLog | Finding:
    """Begin a log; a file that is there already stays as it is."""
    try:
        file = path.open("x", encoding="utf-8", newline="")
    except FileExistsError:
        return _finding(path, None, "", "it is there already", "name another file; a log is never written over")
    except OSError as failure:
        return _finding(path, None, "", f"it cannot be written ({failure.strerror})", "name another place")
    log = DriveLog(file)
    for key, value in {"format": FORMAT, **facts}.items():
        if value:
            log.say(key, value)
    log.begin()
    return log


@dataclass(frozen=True, slots=True, kw_only=True)
class DriveRead:
    """What came of a log. `drive` is None where there are faults; findings are sorted by line."""

    drive: Drive | None
    findings: tuple[Finding, ...]


def read_drive_log(path: Path) -> DriveRead:
    """Read a whole log; a missing or unreadable file is a finding, nothing is raised."""
    data = _bytes(path, LARGEST)
    if isinstance(data, Finding):
        return DriveRead(drive=None, findings=(data,))
    return read_drive_text(data, str(path))


def read_tail(path: Path, *, size: int = TAIL) -> DriveRead:
    """Read the head and the newest part, of this size [bytes], of a log that grows."""
    try:
        with path.open("rb") as file:
            head = file.read(_HEAD)
            end = file.seek(0, 2)
            if end <= size:
                file.seek(0)
                return read_drive_text(file.read(), str(path))
            file.seek(end - size)
            newest = file.read().partition(b"\n")[2]
    except OSError as failure:
        return DriveRead(drive=None, findings=(_unreadable(path, failure),))
    upto = head.partition((",".join(COLUMNS) + "\n").encode())
    return read_drive_text(upto[0] + upto[1] + newest, str(path))


def read_drive_text(data: bytes, name: str) -> DriveRead:
    """Read the bytes of a log; `name` is the file's name in findings."""
    whole, _, torn = data.rpartition(b"\n")
    try:
        text = whole.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        at = data.count(b"\n", 0, wrong.start) + 1
        what = f"byte {data[wrong.start]:02X} is not UTF-8"
        return DriveRead(drive=None, findings=(_finding(Path(name), at, "", what, "save it as UTF-8"),))
    sheet = _Sheet(name=name)
    lines = text.split("\n")
    for number, line in enumerate(lines, start=1):
        sheet.line(number, line.rstrip("\r"))
    if torn.strip():
        what = "the last line is not whole: the log was cut off while it was written"
        sheet.note(len(lines) + 1, "", what, "it is left out; nothing else is lost")
    return sheet.read()


@dataclass
class _Sheet:
    """A log while it is read."""

    name: str
    findings: list[Finding] = field(default_factory=list)
    facts: dict[str, str] = field(default_factory=dict)
    records: list[Record] = field(default_factory=list)
    channels: dict[str, Channel | Wrong] = field(default_factory=dict)
    begun: bool = False

    def wrong(self, line: int | None, field: str, what: str, mend: str) -> None:
        self.findings.append(_finding(Path(self.name), line, field, what, mend))

    def note(self, line: int | None, field: str, what: str, mend: str) -> None:
        self.findings.append(_finding(Path(self.name), line, field, what, mend, Kind.NOTE))

    def line(self, number: int, line: str) -> None:
        """One whole line."""
        if line.startswith("#"):
            self._fact(number, line)
        elif not line.strip():
            return
        elif not self.begun:
            self._columns(number, line)
        else:
            self._record(number, line)

    def _fact(self, number: int, line: str) -> None:
        found = _KEY.fullmatch(line.strip())
        if found is None:
            return
        key = found[1].lower()
        if key not in KEYS:
            near = difflib.get_close_matches(key, KEYS, n=1, cutoff=0.7)
            mend = f"did you mean {near[0]!r}?" if near else f"the keys are {', '.join(KEYS)}"
            self.note(number, key, f"{key!r} is no key of a drive log and is not read", mend)
        elif key == "format" and found[2] != FORMAT:
            self.wrong(number, key, f"{found[2]!r} is no format that is read here", f"it is to be {FORMAT}")
        else:
            self.facts[key] = f"{self.facts[key]}; {found[2]}" if key in self.facts else found[2]

    def _columns(self, number: int, line: str) -> None:
        self.begun = True
        if tuple(cell.strip().lower() for cell in line.split(",")) != COLUMNS:
            what = f"{line.strip()!r:.60} is not the line of column names"
            self.wrong(number, "", what, f"write {','.join(COLUMNS)} as the first line that has no #")

    def _record(self, number: int, line: str) -> None:
        cells = [cell.strip() for cell in (_quoted(line) if '"' in line else line.split(","))]
        if len(cells) != len(COLUMNS):
            what = f"{len(cells)} values for {len(COLUMNS)} columns"
            self.wrong(number, "", what, "write time, PID, value and unit; a drop-out has an empty value")
            return
        at_s = self._number(number, "time_s", cells[0])
        key = cells[1].upper()
        channel = self.channels.setdefault(key, channel_of(key))
        not_run = cells[2].lower() == NOT_RUN
        value = None if not_run or not cells[2] else self._number(number, "value", cells[2])
        if isinstance(channel, Wrong):
            self.wrong(number, "pid", channel.what, channel.mend)
        elif cells[3] != channel.unit:
            mend = f"write {channel.unit or 'nothing'}, and the value in it"
            self.wrong(number, "unit", f"{cells[3]!r:.20} is not the unit of {channel.name}", mend)
        elif not_run and not key.startswith("06-"):
            self.wrong(number, "value", "only a monitor can be 'not run'", "leave the value of a drop-out empty")
        elif at_s is not None:
            self.records.append(Record(at_s=at_s, key=key, value=value, not_run=not_run))

    def _number(self, number: int, field: str, text: str) -> float | None:
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not math.isfinite(value):
            self.wrong(number, field, f"{text!r:.40} is not a number", "write digits with a point, such as 24.5")
            return None
        return value

    def read(self) -> DriveRead:
        """What came of it."""
        if not self.begun:
            self.wrong(None, "", "there are no records", f"write the line {','.join(COLUMNS)}, then what came")
        found = tuple(sorted(self.findings, key=lambda one: one.where.line or 0))
        drive = None if faults(found) else drive_of(self.records, name=self.name, facts=self.facts)
        return DriveRead(drive=drive, findings=found)


def _quoted(line: str) -> list[str]:
    """The cells of a line that another program wrote again, with quotes."""
    try:
        return next(csv.reader([line]), [])
    except csv.Error:
        return line.split(",")


def _row(cells: Iterable[str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()


def _bytes(path: Path, most: int) -> bytes | Finding:
    try:
        if path.stat().st_size > most:
            what = f"it is larger than {most // 1024 // 1024} MiB"
            return _finding(path, None, "", what, "check that it is a drive log, and cut it in two")
        return path.read_bytes()
    except OSError as failure:
        return _unreadable(path, failure)


def _unreadable(path: Path, failure: OSError) -> Finding:
    return _finding(path, None, "", f"it cannot be read ({failure.strerror})", "name a log that codes watch wrote")


def _finding(path: Path, line: int | None, field: str, what: str, mend: str, kind: Kind = Kind.FAULT) -> Finding:
    where = Where(file=str(path), line=line, field=field)
    return Finding(where=where, what=what, mend=mend, rule="drive-log", kind=kind)
