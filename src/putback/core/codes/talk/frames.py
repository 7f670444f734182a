"""One idea: frames are put together without taking part, and a message that is not all there says so and why.

A log holds the frames of many modules, mixed. Each id is followed by itself: single frames, first and consecutive
frames, flow control. A message is whole when every byte of its stated length came in sequence; otherwise it is
partial, with the bytes before the fault. Nothing here raises for any bytes, and memory is bounded whatever comes.
Source: ISO 15765-2 (2016 for the escape lengths), tests/core/codes/test_frames.py; its time limit is from memory.
"""

from collections.abc import Callable, Iterable, Iterator
from enum import StrEnum
from typing import Final, NamedTuple

SINGLE, FIRST, CONSECUTIVE, FLOW = range(4)

SILENCE_S: Final = 1.0
"""Longest pause between two frames of one message, [s]. Source: N_Cr of ISO 15765-2 (from memory; also the default of
an independent library)."""

MOST_BYTES: Final = 1 << 16
"""A message is not followed beyond so many bytes; a code list of a whole car has some hundreds."""

MOST_OPEN: Final = 4096
"""So many messages are followed at once; the one that waits longest is given up for the next."""

STILL_HERE: Final = 0x3E
"""The service by which a tester keeps a session open while it waits (ISO 14229-1)."""

CLASSIC: Final = 8
"""Bytes of a frame that is not CAN FD."""

_ID: Final = 0x1FFF_FFFF
_EXTENDED: Final = 1 << 31
_CHANNEL: Final = 32
_ADDRESS: Final = 48


def place_of(id: int, *, extended: bool = False, channel: int = 0) -> int:
    """The number that stands for one id on one channel.

    >>> hex(place_of(0x18DAF110, extended=True))
    '0x98daf110'
    """
    return channel << _CHANNEL | (_EXTENDED if extended else 0) | id


class Frame(NamedTuple):
    """One frame of a log. A tuple, as there are millions. `place` is made by `place_of`; `at_s` is in [s]."""

    at_s: float
    place: int
    data: bytes


class Why(StrEnum):
    """Why a message is partial."""

    SEQUENCE = "a frame is missing or out of order"
    NEW = "cut off by the beginning of another message"
    SILENT = "cut off by silence"
    ENDED = "the frames end before it does"
    SHORT = "one of its frames is shorter or longer than it must be"
    HEADLESS = "its beginning is missing"
    LONG = "it is longer than is followed here"
    CROWDED = "too many messages at once"
    BROKEN = "a new request came before it ended"


class Message(NamedTuple):
    """A message, whole or partial.

    Args:
        at_s, ended_s: when its first and its last frame came, [s].
        data: all of it, or the bytes that came in sequence before the fault.
        stated: the length that its first frame gave; None where that frame is missing.
        why: why it is partial; None where it is whole.
        duplicates: frames that came twice in a row, the same, and were taken once.
    """

    at_s: float
    ended_s: float
    place: int
    data: bytes
    stated: int | None
    why: Why | None = None
    duplicates: int = 0

    @property
    def whole(self) -> bool:
        """Whether every stated byte came, in sequence."""
        return self.why is None

    @property
    def id(self) -> int:
        """The id that it came under."""
        return self.place & _ID

    @property
    def extended(self) -> bool:
        """Whether that id has 29 bits."""
        return bool(self.place & _EXTENDED)

    @property
    def channel(self) -> int:
        """The number of the channel."""
        return self.place >> _CHANNEL & 0xFFFF

    @property
    def said(self) -> str:
        """Why it is not whole, with how far it came; empty where it is whole.

        >>> Message(0.0, 0.0, 0x7E8, b"12345678", 32, Why.ENDED).said
        'the frames end before it does: 8 of 32 bytes'
        """
        if self.why is None:
            return ""
        return str(self.why) if self.stated is None else f"{self.why}: {len(self.data)} of {self.stated} bytes"


class FlowControl(NamedTuple):
    """The word of the receiving side that the other may go on. `status`: 0 go on, 1 wait, 2 it is too long."""

    at_s: float
    place: int
    status: int
    block: int
    gap: int


class _Open:
    """A message that is on its way."""

    __slots__ = ("at", "data", "duplicates", "expected", "last", "last_at", "missing", "size", "stated")

    def __init__(self, at: float, frame: bytes, data: bytes, stated: int) -> None:
        self.at = self.last_at = at
        self.data = bytearray(data)
        self.stated = stated
        self.missing = stated - len(data)
        self.expected = 0x21
        self.size = len(frame)
        self.last = frame
        self.duplicates = 0


class _Ended(NamedTuple):
    """How a message ended: when, with which frame, and whether frames of it may still come (`tail`)."""

    at: float
    last: bytes
    tail: bool


class Reassembler:
    """Follows every id at once. Frames go in, in their order; messages and flow control come out as they end.

    Args:
        silence_s: longest pause inside one message, [s].
        address_bytes: 1 for extended and mixed addressing, where an address stands before the rest of each frame.
        ended_by: the id whose messages end when a message under this id asks for something else; None: there is none.

    >>> from putback.core.codes.talk.frames import Frame, Reassembler
    >>> one = Reassembler()
    >>> one.take(Frame(0.0, 0x7E8, bytes.fromhex("0643020102 0113")))[0].data.hex()
    '430201020113'
    """

    def __init__(
        self,
        *,
        silence_s: float = SILENCE_S,
        address_bytes: int = 0,
        ended_by: Callable[[int], int | None] = lambda _: None,
    ) -> None:
        self.unread = 0
        """Frames that are of no known kind, or empty, or state a length that they may not."""
        self.late = 0
        """Frames that came for a message that had ended already."""
        self._silence = silence_s
        self._address = address_bytes
        self._ended_by = ended_by
        self._open: dict[int, _Open] = {}
        self._ended: dict[int, _Ended] = {}
        self._out: list[Message | FlowControl] = []

    def take(self, frame: Frame) -> list[Message | FlowControl]:
        """What ends with this frame: mostly nothing or one message, at most two."""
        return self.take_all((frame,))

    def take_all(self, frames: Iterable[tuple[float, int, bytes]]) -> list[Message | FlowControl]:
        """What ends with these frames, in order. This loop is what a log waits for."""
        get, forget, out = self._open.get, self._ended.pop, self._out
        opens, silence, limit = self._open, self._silence, CLASSIC - self._address
        for at, place, data in self._addressed(frames) if self._address else frames:
            first = data[0] if data else 0xFF
            if first >> 4 == CONSECUTIVE:
                open = get(place)
                if open is None or first != open.expected or len(data) != open.size or at - open.last_at > silence:
                    self._odd(at, place, data, open)
                elif (missing := open.missing - len(data) + 1) > 0:
                    open.data += data[1:]
                    open.missing, open.last, open.last_at = missing, data, at
                    open.expected = first + 1 if first != 0x2F else 0x20
                    if len(open.data) > MOST_BYTES:
                        self._give_up(place, Why.LONG)
                else:
                    self._last(at, place, data, open)
            elif 0 < first < len(data) <= limit and get(place) is None:
                forget(place, None)
                if opens:
                    self._asked(place, data[1])
                out.append(Message(at, at, place, data[1 : first + 1], first))
            else:
                self._other(at, place, data, first)
        self._out = []
        return out

    def end(self) -> list[Message | FlowControl]:
        """End what is still on its way: there are no more frames."""
        for place in list(self._open):
            self._give_up(place, Why.ENDED)
        return self._drained()

    def _drained(self) -> list[Message | FlowControl]:
        out, self._out = self._out, []
        return out

    def _addressed(self, frames: Iterable[tuple[float, int, bytes]]) -> Iterator[tuple[float, int, bytes]]:
        """The frames with their address moved to the id, so that each address is followed by itself."""
        for at, place, data in frames:
            address = int.from_bytes(data[: self._address], "big")
            yield at, place | address + 1 << _ADDRESS, data[self._address :]

    def _asked(self, place: int, service: int) -> None:
        """End what is on its way to whoever asks for something else now; "I am still here" asks for nothing."""
        answer = self._ended_by(place)
        if answer is not None and service != STILL_HERE:
            self._give_up(answer, Why.BROKEN)

    # frames that are not just the next of a message

    def _other(self, at: float, place: int, data: bytes, first: int) -> None:
        kind = first >> 4
        if kind == SINGLE:
            self._single(at, place, data)
        elif kind == FIRST:
            self._first(at, place, data)
        elif kind == FLOW and len(data) >= 3:
            self._out.append(FlowControl(at, place, first & 0xF, data[1], data[2]))
        else:
            self.unread += 1

    def _single(self, at: float, place: int, data: bytes) -> None:
        length, start = data[0], 1
        if length == 0 and self._is_fd(data):
            length, start = data[1], 2
        elif self._is_fd(data):
            length = 0  # a long frame states its length in its second byte
        if length == 0 or (length >= CLASSIC and start == 1):
            self.unread += 1
            return
        self._close(at, place)
        came = data[start : start + length]
        why = None if len(came) == length else Why.SHORT
        self._out.append(Message(at, at, place, came, length, why))

    def _first(self, at: float, place: int, data: bytes) -> None:
        """A first frame; a repeated one starts its message anew."""
        open = self._open.get(place)
        if open is not None and open.last == data and at - open.last_at <= self._silence:
            open.duplicates += 1
            open.last_at = at
            return
        stated, start = int.from_bytes(data[:2], "big") & 0xFFF, 2
        if stated == 0:
            stated, start = int.from_bytes(data[2:6], "big"), 6
        least = len(data) - 1 if self._is_fd(data) else CLASSIC - self._address
        if stated < least or (start == 6 and stated < 0x1000):
            self.unread += 1  # a length that belongs in a single frame, or in twelve bits, is to be ignored
            return
        self._close(at, place)
        came = data[start:]
        if len(data) < CLASSIC - self._address:
            self._out.append(Message(at, at, place, came, stated, Why.SHORT))
            self._note_end(at, place, data, tail=True)
            return
        if len(self._open) >= MOST_OPEN:
            self._give_up(next(iter(self._open)), Why.CROWDED)
        self._open[place] = _Open(at, data, came, stated)

    def _odd(self, at: float, place: int, data: bytes, open: _Open | None) -> None:
        """A consecutive frame that is not simply the next one."""
        if open is not None and at - open.last_at > self._silence:
            self._give_up(place, Why.SILENT)
            self._note_end(at, place, data, tail=True)
        elif open is not None and data == open.last:
            open.duplicates += 1
            open.last_at = at
        elif open is not None and data[0] != open.expected:
            self._give_up(place, Why.SEQUENCE)
        elif open is not None and len(data) <= open.missing:
            self._give_up(place, Why.SHORT)
        elif open is not None and len(data) < open.size:
            self._last(at, place, data, open)
        elif open is not None:
            self._give_up(place, Why.SHORT)
        else:
            self._without_beginning(at, place, data)

    def _without_beginning(self, at: float, place: int, data: bytes) -> None:
        """A consecutive frame where no message is on its way: the rest of one that ended, or one without a head."""
        ended = self._ended.get(place)
        if ended is not None and at - ended.at <= self._silence and (ended.tail or data == ended.last):
            self.late += 1
        else:
            self._out.append(Message(at, at, place, b"", None, Why.HEADLESS))
        self._note_end(at, place, data, tail=ended is None or ended.tail or data != ended.last)

    def _last(self, at: float, place: int, data: bytes, open: _Open) -> None:
        open.data += data[1 : open.missing + 1]
        del self._open[place]
        self._note_end(at, place, data, tail=False)
        self._out.append(Message(open.at, at, place, bytes(open.data), open.stated, None, open.duplicates))

    def _close(self, at: float, place: int) -> None:
        """Another message begins under this id."""
        open = self._open.get(place)
        if open is not None:
            self._give_up(place, Why.SILENT if at - open.last_at > self._silence else Why.NEW)
        self._ended.pop(place, None)

    def _give_up(self, place: int, why: Why) -> None:
        open = self._open.pop(place, None)
        if open is None:
            return
        self._note_end(open.last_at, place, open.last, tail=True)
        self._out.append(Message(open.at, open.last_at, place, bytes(open.data), open.stated, why, open.duplicates))

    def _note_end(self, at: float, place: int, last: bytes, *, tail: bool) -> None:
        """Frames that still come for a message that has ended are not one more message."""
        if len(self._ended) >= MOST_OPEN:
            del self._ended[next(iter(self._ended))]
        self._ended[place] = _Ended(at, last, tail)

    def _is_fd(self, data: bytes) -> bool:
        return len(data) + self._address > CLASSIC
