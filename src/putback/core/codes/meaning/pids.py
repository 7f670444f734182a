"""One idea: a live value is shown with its unit, or as bytes; nothing is made up for a PID that is not known.

Services 01 (now) and 02 (frozen when a code was set). Over CAN one answer may carry several PIDs, told apart by their
lengths alone, so an unknown PID hides what follows it, and that is said.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from putback.core.codes.meaning.bits import SPAN, supported
from putback.core.codes.meaning.code import Code
from putback.core.codes.meaning.pid_table import DISPUTED, PIDS, Row, Seen
from putback.core.codes.meaning.pid_words import AIR_STATES, FUEL_STATES, FUELS, REQUIREMENTS
from putback.core.codes.meaning.readiness import Readiness, Since, read_readiness
from putback.core.codes.meaning.wrong import Wrong, hexed

NOW = 0x41
FROZEN = 0x42

Value: TypeAlias = float | str | bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One value. None: the module says that it has none, or the references disagree (`note` says which)."""

    name: str
    value: Value | None
    unit: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Live:
    """What one PID says: its bytes, and the values in them; none for a PID that is not known or is shown as bytes.

    `frame` is the number of the frozen frame, None for a value of now.
    """

    pid: int
    data: bytes
    readings: tuple[Reading, ...] = ()
    frame: int | None = None
    note: str = ""

    @property
    def name(self) -> str:
        """What the PID is about."""
        return PIDS[self.pid].name if self.pid in PIDS else f"PID {self.pid:02X}"

    @property
    def readiness(self) -> Readiness | Wrong | None:
        """The readiness that PID 01 or 41 carries; None for every other PID."""
        since = {0x01: Since.CLEAR, 0x41: Since.START}.get(self.pid)
        return None if since is None else read_readiness(self.data, since=since)

    @property
    def supported(self) -> tuple[int, ...] | None:
        """The PIDs that a support PID names; None for every other PID."""
        return supported(self.pid, self.data) if self.pid % SPAN == 0 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveAnswer:
    """What an answer to service 01 or 02 says. `rest` is what could not be told apart, `padding` counts zeros."""

    service: int
    values: tuple[Live, ...]
    rest: bytes = b""
    padding: int = 0
    wrong: tuple[Wrong, ...] = ()


def read_live(answer: bytes) -> LiveAnswer:
    """The values of an answer to service 01 or 02, from 41 or 42 on.

    >>> [(live.pid, live.readings[0].value) for live in read_live(bytes.fromhex("410C1AF8057B")).values]
    [(12, 1726.0), (5, 83.0)]
    """
    if answer[:1] not in (bytes([NOW]), bytes([FROZEN])):
        what = f"the answer starts with {hexed(answer[:1]) or 'nothing'}, not 41 or 42"
        return LiveAnswer(
            service=answer[0] - 0x40 if answer else -1,
            values=(),
            rest=answer,
            wrong=(Wrong(what=what, mend="read the module again"),),
        )
    head = 2 if answer[0] == FROZEN else 1
    values: list[Live] = []
    wrong: list[Wrong] = []
    rest = answer[1:]
    while rest and (any(rest) or not values):
        pid, row = rest[0], PIDS.get(rest[0])
        length = None if row is None else row.length
        end = max(len(rest), head) if length is None else head + length
        if len(rest) < head + 1 or end > len(rest):
            wrong.append(_cut_off(pid, rest))
            break
        if length is None and values:
            wrong.append(_hides(pid, rest))
            break
        values.append(read_pid(pid, rest[head:end], frame=rest[1] if head == 2 else None))
        rest = rest[end:]
    if not values and not wrong:
        wrong.append(Wrong(what="the answer carries no PID", mend="read the module again"))
    zeros = 0 if any(rest) or wrong else len(rest)
    kept = b"" if zeros else rest
    return LiveAnswer(service=answer[0] - 0x40, values=tuple(values), rest=kept, padding=zeros, wrong=tuple(wrong))


def read_pid(pid: int, data: bytes, *, frame: int | None = None) -> Live:
    """What the bytes of one PID say; bytes that are not of its length stay bytes, with a note.

    >>> read_pid(0x05, bytes([0x7B])).readings[0]
    Reading(name='coolant temperature', value=83.0, unit='°C', note='')
    """
    row = PIDS.get(pid)
    if row is None:
        return Live(pid=pid, data=data, frame=frame, note="not known here: shown as bytes")
    if row.length is not None and len(data) != row.length:
        note = f"{row.length} bytes are needed, {len(data)} came: shown as bytes"
        return Live(pid=pid, data=data, frame=frame, note=note)
    words = _WORDS.get(pid)
    readings = tuple(_figures(pid, row, data) if words is None else words(data))
    return Live(pid=pid, data=data, readings=readings, frame=frame, note=DISPUTED.get(pid, ""))


def _figures(pid: int, row: Row, data: bytes) -> Iterator[Reading]:
    for figure in row.figures:
        if not figure.fits(data):
            continue
        note = ""
        if figure.seen is Seen.DISPUTED:
            note = f"bytes {hexed(data)}; {DISPUTED[pid]}"
        elif not figure.there(data):
            note = "the module says that it does not have it"
        elif figure.whole(data) == figure.unused:
            note = "not used"
        yield Reading(name=figure.name, value=figure.value(data), unit=figure.unit, note=note)


def _cut_off(pid: int, rest: bytes) -> Wrong:
    return Wrong(what=f"the answer ends inside PID {pid:02X}: {hexed(rest)}", mend="read the module again")


def _hides(pid: int, rest: bytes) -> Wrong:
    what = f"the length of PID {pid:02X} is not known here, so what follows cannot be told apart: {hexed(rest)}"
    return Wrong(what=what, mend="ask for it alone")


def _frozen_by(data: bytes) -> Iterator[Reading]:
    name = PIDS[0x02].name
    if any(data):
        yield Reading(name=name, value=str(Code(number=int.from_bytes(data, "big"))))
    else:
        yield Reading(name=name, value=None, note="no frame is stored: what else service 02 says means nothing")


def _fuel_state(data: bytes) -> Iterator[Reading]:
    for number, byte in enumerate(data, 1):
        name = f"fuel system {number}"
        if byte == 0:
            yield Reading(name=name, value=None, note="no such system")
        elif byte in FUEL_STATES:
            yield Reading(name=name, value=FUEL_STATES[byte])
        else:
            yield Reading(name=name, value=None, note=f"{byte:02X} has no meaning: one bit is to be set")


def _named(pid: int, names: Mapping[int, str]) -> Callable[[bytes], Iterator[Reading]]:
    def read(data: bytes) -> Iterator[Reading]:
        value = names.get(data[0])
        note = "" if value else f"{data[0]:02X} is not known here"
        yield Reading(name=PIDS[pid].name, value=value, note=note)

    return read


def _sensors(banks: int) -> Callable[[bytes], Iterator[Reading]]:
    each = 8 // banks

    def read(data: bytes) -> Iterator[Reading]:
        for bit in range(8):
            name = f"oxygen sensor, bank {bit // each + 1}, sensor {bit % each + 1}"
            yield Reading(name=name, value=bool(data[0] >> bit & 1))

    return read


def _inputs(data: bytes) -> Iterator[Reading]:
    note = "" if data[0] < 2 else f"{data[0]:02X}: bits 1 to 7 are to be 0"
    yield Reading(name="power take-off on", value=bool(data[0] & 1), note=note)


_WORDS: Mapping[int, Callable[[bytes], Iterator[Reading]]] = {
    0x02: _frozen_by,
    0x03: _fuel_state,
    0x12: _named(0x12, AIR_STATES),
    0x13: _sensors(2),
    0x1C: _named(0x1C, REQUIREMENTS),
    0x1D: _sensors(4),
    0x1E: _inputs,
    0x51: _named(0x51, FUELS),
}
"""PIDs that are bits or words."""
