"""One idea: a log of frames is read to its end whatever stands in it: a bad line costs that line, a bad file its rest.

Text logs are read line by line; the commonest form, `(time) channel id#data`, on a fast path that gives the same
frames as python-can. Binary logs are read by python-can in a child process with limits. What came before a fault is
kept.
"""

import gzip
import logging
import re
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import chain, islice
from pathlib import Path
from types import MappingProxyType
from typing import IO, Any, Final, TypeAlias

import can
from can.io.canutils import CanutilsLogReader

from putback.adapters.frame_pipe import read_in_child
from putback.adapters.log_lines import LONGEST_LINE, TooMuch, blocks, open_text
from putback.core.codes.talk.frames import place_of
from putback.core.finding import Finding, Kind, Where

Row: TypeAlias = tuple[float, int, bytes]
Take: TypeAlias = Callable[[list[Row]], None]

FAST: Final = ".log"
TEXT: Final[Mapping[str, Any]] = MappingProxyType(
    {".asc": can.ASCReader, ".csv": can.CSVReader, ".trc": can.TRCReader}
)
BINARY: Final = frozenset({".blf", ".db", ".mf4"})
SUFFIXES: Final = (FAST, *TEXT, *sorted(BINARY))
"""What python-can reads; each may be packed, as in `.log.gz`."""

MOST_UNPACKED: Final = 1_000_000_000
"""So many characters of a packed text are read, and no more."""

MOST_SHOWN: Final = 20
"""So many bad lines are named one by one; the others are counted."""

_RAISED: Final = (ArithmeticError, AttributeError, LookupError, NotImplementedError, TypeError, ValueError)
"""What the library's readers of text raise on lines that they cannot read."""

_BATCH: Final = 10_000
_MOST_HEAD: Final = 200
_MOST_PLACES: Final = 100_000
_ERROR: Final = 0x2000_0000
_LINE: Final = re.compile(
    r"^\((\d+\.\d+)\) (\S+ (?:[0-9A-Fa-f]{3}|[0-9A-Fa-f]{8}))#([0-9A-Fa-f]{0,16})(?: [RT])?$", re.MULTILINE | re.ASCII
)


@dataclass(slots=True, kw_only=True)
class LogRead:
    """What came of a log, beside its frames. `bad` lines could not be read, `passed` lines hold no frame."""

    file: str
    frames: int = 0
    bad: int = 0
    passed: int = 0
    findings: list[Finding] = field(default_factory=list)

    def bad_line(self, number: int, line: str, why: str) -> None:
        """Count a bad line, and name it if not too many are named already."""
        self.bad += 1
        if self.bad <= MOST_SHOWN:
            what = f"this line cannot be read ({why}): {line.strip()!r:.60}"
            self.say(number, what, "it is left out; look whether it was a frame", Kind.NOTE)

    def say(self, line: int | None, what: str, mend: str, kind: Kind = Kind.FAULT) -> None:
        """Note what is wrong."""
        where = Where(file=self.file, line=line)
        self.findings.append(Finding(where=where, what=what, mend=mend, rule="frame-log", kind=kind))

    def sum_up(self) -> None:
        """Say how many lines were not named one by one."""
        if self.bad > MOST_SHOWN:
            self.say(None, f"{self.bad - MOST_SHOWN} more lines cannot be read", "look at the first", Kind.NOTE)
        if self.passed:
            what = f"{self.passed} {'line holds' if self.passed == 1 else 'lines hold'} no frame that can be read"
            self.say(None, what, "nothing needs to be done where they are remarks", Kind.NOTE)


def log_suffix(path: Path) -> str:
    """The suffix that says how a log is written; empty where it is no log."""
    suffixes = [one.lower() for one in path.suffixes]
    last = suffixes[-2:-1] if suffixes[-1:] == [".gz"] else suffixes[-1:]
    return last[0] if last and last[0] in SUFFIXES else ""


def is_frame_log(path: Path) -> bool:
    """Whether a file is a log of frames: by its suffix; a table of values is one where its first column is a time."""
    suffix = log_suffix(path)
    if suffix != ".csv":
        return suffix != ""
    try:
        with open_text(path) as file:
            return file.readline(100).startswith("timestamp,arbitration_id")
    except (OSError, EOFError, UnicodeError, zlib.error):
        return False


def read_frame_log(path: Path, take: Take, *, most_seconds: int = 120) -> LogRead:
    """Give the frames of a log to `take`, some thousands at a time; a fault where not all of it could be read.

    Args:
        path: a file with one of `SUFFIXES`.
        take: is given rows of time in s, place and bytes.
        most_seconds: how long a binary log may take.
    """
    read = LogRead(file=str(path))
    suffix = log_suffix(path)
    if suffix == "":
        read.say(None, f"{path.suffix or 'no suffix'!r} is no kind of log", f"use one of {', '.join(SUFFIXES)}")
    elif suffix in BINARY:
        why = read_in_child(path, _counted(take, read), most_seconds=most_seconds)
        if why:
            read.say(None, f"it could not be read to its end: {why}", _kept(read))
    else:
        _text_log(path, suffix, take, read)
    read.sum_up()
    return read


def _kept(read: LogRead) -> str:
    return f"the {read.frames:,} frames before that are kept; export it again, as {FAST} if you can"


def _counted(take: Take, read: LogRead) -> Take:
    def counting(rows: list[Row]) -> None:
        read.frames += len(rows)
        take(rows)

    return counting


def row_of(message: can.Message) -> Row | None:
    """A frame as a row; None for error and remote frames, which carry no bytes."""
    if message.is_error_frame or message.is_remote_frame:
        return None
    channel = message.channel if isinstance(message.channel, int) and message.channel >= 0 else 0
    extended = message.is_extended_id
    place = place_of(message.arbitration_id & 0x1FFF_FFFF, extended=extended, channel=channel & 0xFFFF)
    return message.timestamp, place, bytes(message.data)


# text


def _text_log(path: Path, suffix: str, take: Take, read: LogRead) -> None:
    counting = _counted(take, read)
    try:
        with open_text(path) as file:
            if suffix == FAST:
                _Fast(counting, read).all(file)
            else:
                _by_library(file, TEXT[suffix], counting, read)
    except TooMuch:
        read.say(None, f"it unpacks to more than {MOST_UNPACKED:,} characters", _kept(read))
    except (gzip.BadGzipFile, EOFError, zlib.error, UnicodeError) as failure:
        read.say(None, f"it could not be read to its end: {failure}", _kept(read))
    except OSError as failure:
        read.say(None, f"it cannot be opened ({failure.strerror or failure})", "check the name and the folder")


class _Places(dict[str, int]):
    """The place for each "channel id"; -1 for frames that report an error. Channels are numbered as they come."""

    def __init__(self) -> None:
        super().__init__()
        self._channels: dict[str, int] = {}

    def __missing__(self, key: str) -> int:
        if len(self) >= _MOST_PLACES:
            self.clear()
        channel, _, digits = key.partition(" ")
        id, extended = int(digits, 16), len(digits) > 3
        number = self._channels.setdefault(channel, len(self._channels)) & 0xFFFF
        error = extended and id & _ERROR and id & 0x80
        self[key] = place = -1 if error else place_of(id & 0x1FFF_FFFF, extended=extended, channel=number)
        return place


class _Fast:
    """Reads lines of the form `(time) channel id#data`, a block at a time."""

    def __init__(self, take: Take, read: LogRead) -> None:
        self._take, self._read = take, read
        self._places = _Places()
        self._line = 1

    def all(self, file: IO[str]) -> None:
        """The whole file."""
        for block in blocks(file, most=MOST_UNPACKED):
            self._take(self._rows(block))
            self._line += block.count("\n")

    def _rows(self, block: str) -> list[Row]:
        found = _LINE.findall(block)
        if len(found) == block.count("\n") + (not block.endswith("\n")):
            try:
                places, whole = self._places, bytes.fromhex
                rows = [(float(at), places[key], whole(data)) for at, key, data in found]
            except ValueError:
                return list(self._slowly(block))
            return rows if -1 not in places.values() else [row for row in rows if row[1] >= 0]
        return list(self._slowly(block))

    def _slowly(self, block: str) -> Iterator[Row]:
        """Line by line, where a line of the block is of another form."""
        for number, line in enumerate(block.split("\n"), start=self._line):
            if not line.strip():
                continue
            found = _LINE.fullmatch(line)
            if found is not None and len(found[3]) % 2 == 0:
                place = self._places[found[2]]
                if place >= 0:
                    yield float(found[1]), place, bytes.fromhex(found[3])
            else:
                yield from self._odd(number, line)

    def _odd(self, number: int, line: str) -> Iterator[Row]:
        """A line that only python-can may understand."""
        if len(line) > LONGEST_LINE:
            self._read.bad_line(number, line, f"it has more than {LONGEST_LINE:,} characters")
            return
        try:
            for message in CanutilsLogReader(_Lines([line])):  # type: ignore[arg-type]  # it only goes through lines
                row = row_of(message)
                if row is not None:
                    key = f"{line.split()[1]} {message.arbitration_id:0{8 if message.is_extended_id else 3}X}"
                    yield row[0], self._places[key], row[2]
        except (ValueError, IndexError, TypeError, OverflowError) as failure:
            self._read.bad_line(number, line, str(failure)[:80])


class _Lines:
    """Lines in the place of a file. Up to the first frame they are kept, to begin again with them."""

    def __init__(self, lines: Iterable[str]) -> None:
        self._lines = iter(lines)
        self.number = 0
        self.last = ""
        self.head: list[str] = []
        self.in_head = True

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        self.last = next(self._lines)
        self.number += 1
        if self.in_head and len(self.head) < _MOST_HEAD:
            self.head.append(self.last)
        return self.last

    def close(self) -> None:
        """Nothing is open here."""


def _by_library(file: IO[str], reader: Any, take: Take, read: LogRead) -> None:
    """Another form of text, by python-can; after a bad line it is begun again with the head of the file."""
    lines = _Lines(line + "\n" for block in blocks(file, most=MOST_UNPACKED) for line in block.split("\n") if line)
    messages = _messages(lines, reader, read)
    while rows := [row for message in islice(messages, _BATCH) if (row := row_of(message)) is not None]:
        take(rows)


def _messages(lines: _Lines, reader: Any, read: LogRead) -> Iterator[can.Message]:
    """Every frame, until the lines end or the head itself is the fault."""
    logger = logging.getLogger("can")
    level = logger.level
    logger.setLevel(logging.CRITICAL)
    try:
        while True:
            begun, head = lines.number, list(lines.head)
            if begun and reader is not can.CSVReader:
                head.append("\n")  # the head ends here: the next line is not looked at as one of it
            try:
                yield from _counted_lines(reader(_Lines(chain(head, lines))), lines, read)
                return
            except _RAISED as failure:
                if lines.number == begun:
                    read.say(None, f"its head cannot be read: {failure}", _kept(read))
                    return
                read.bad_line(lines.number, lines.last, str(failure)[:80])
                if lines.in_head and lines.head:
                    lines.head.pop()
    finally:
        logger.setLevel(level)


def _counted_lines(messages: Iterable[can.Message], lines: _Lines, read: LogRead) -> Iterator[can.Message]:
    """The same frames; the lines between them that hold none are counted."""
    before = lines.number
    for message in messages:
        if lines.in_head:
            lines.in_head = False
            lines.head.pop()
        else:
            read.passed += max(lines.number - before - 1, 0)
        before = lines.number
        if message.is_remote_frame or len(message.data) == message.dlc:
            yield message
        else:
            why = f"{message.dlc} bytes are stated and {len(message.data)} are there"
            read.bad_line(lines.number, lines.last, why)
    if not lines.in_head:
        read.passed += lines.number - before
