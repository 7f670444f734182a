"""One idea: between one module and us stand frames; whole messages come out, and what broke off is not lost.

The frames are put together by can-isotp. It forgets what it has when a frame is missing, so what came is noted before
each frame; and frames that would only confuse it (the same one twice, one that means nothing) are counted and kept
from it.
"""

import logging
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import can
import isotp

from putback.adapters.bus.timing import Timing
from putback.core.codes.talk.car_read import Pair

LONGEST: Final = 0xFFFF
"""No answer may be longer, [bytes]: some 16,000 codes."""

_LOGGER: Final = "putback.isotp"
_SINGLE, _FIRST, _CONSECUTIVE = range(3)
_FULL: Final = 8
_RECENT: Final = 15
"""So many frames back one may come again; the one before that has the number of the next."""

logging.getLogger(_LOGGER).setLevel(logging.CRITICAL + 1)  # what it has to say comes back as a value


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """A message that broke off: the bytes that came, and why no more did."""

    data: bytes
    why: str


class Line:
    """The frames to and from one module."""

    def __init__(self, pair: Pair, send: Callable[[can.Message], None], timing: Timing) -> None:
        self.twice = 0
        self.meaningless = 0
        self._send = send
        self._extended = pair.extended
        self._inbox: deque[isotp.CanMessage] = deque()
        self._came: list[bytes | Broken] = []
        self._first = b""
        self._recent: deque[bytes] = deque(maxlen=_RECENT)
        self._so_far = b""
        mode = isotp.AddressingMode.Normal_29bits if pair.extended else isotp.AddressingMode.Normal_11bits
        self._layer = isotp.TransportLayerLogic(
            rxfn=self._next,
            txfn=self._out,
            address=isotp.Address(mode, txid=pair.request, rxid=pair.answer),
            error_handler=self._wrong,
            params={
                "tx_padding": timing.padding,
                "blocksize": 0,
                "stmin": 0,
                "max_frame_size": LONGEST,
                "rx_consecutive_frame_timeout": 3_600_000,  # whoever asks keeps the time
                "logger_name": _LOGGER,
            },
        )

    @property
    def so_far(self) -> bytes:
        """What has come of a message that is not whole yet."""
        return bytes(self._layer.rx_buffer)

    def ask(self, request: bytes) -> None:
        """Send a request; what had come of another message is given up.

        Raises:
            can.CanError: the interface did not take the frame.
        """
        self._layer.reset()
        self._forget()
        self._layer.send(request)
        self._layer.process()

    def hear(self, frame: can.Message) -> tuple[bytes | Broken, ...]:
        """Take one frame of the module; the messages that it ends, whole or broken."""
        data = bytes(frame.data)
        if not self._is_meant(data):
            self.meaningless += 1
            return ()
        if self._is_repeated(data):
            self.twice += 1
            return ()
        self._so_far = self.so_far
        if self._is_short(data):
            self.give_up()
            return (Broken(data=self._so_far, why="a frame in its middle was too short"),)
        self._note(data)
        return self._put_together(isotp.CanMessage(frame.arbitration_id, len(data), data, self._extended))

    def _put_together(self, frame: isotp.CanMessage) -> tuple[bytes | Broken, ...]:
        self._inbox.append(frame)
        try:
            self._layer.process()
        except can.CanError as failure:
            self.give_up()
            self._came.append(Broken(data=self._so_far, why=f"the word to go on could not be sent ({failure})"))
        while (whole := self._layer.recv()) is not None:
            self._came.append(bytes(whole))
        came, self._came = tuple(self._came), []
        return came

    def give_up(self) -> None:
        """Forget a message that is not whole."""
        self._layer.stop_receiving()

    def _forget(self) -> None:
        self._first = b""
        self._recent.clear()

    def _note(self, data: bytes) -> None:
        """Keep what tells a frame that comes twice."""
        if data[0] >> 4 == _FIRST:
            self._forget()
            self._first = data
            self._so_far = data[2:]
        elif data[0] >> 4 == _CONSECUTIVE:
            self._recent.append(data)

    def _is_repeated(self, data: bytes) -> bool:
        """Whether it is a frame of this message once more: it is not the next one, and came before."""
        kind = data[0] >> 4
        if kind == _FIRST:
            return bool(self.so_far) and data == self._first
        is_next = bool(self.so_far) and data[0] & 0xF == (self._layer.last_seqnum + 1) & 0xF
        return kind == _CONSECUTIVE and not is_next and data in self._recent

    def _is_meant(self, data: bytes) -> bool:
        """Whether it is a frame of an answer as the standard knows it, long enough to say what it says.

        The word to go on is none: every request of ours is a single frame.
        """
        if not data:
            return False
        kind, low = data[0] >> 4, data[0] & 0xF
        if kind == _SINGLE:
            return 0 < low < len(data)
        if kind == _FIRST:
            return len(data) >= _FULL and not 0 < (low << 8 | data[1]) < _FULL
        return kind == _CONSECUTIVE

    def _is_short(self, data: bytes) -> bool:
        """Whether it is a frame inside a message that brings less than it should."""
        missing = self._layer.rx_frame_length - len(self._so_far)
        return bool(self._so_far) and data[0] >> 4 == _CONSECUTIVE and len(data) - 1 < min(_FULL - 1, missing)

    def _next(self, _timeout: float) -> isotp.CanMessage | None:
        return self._inbox.popleft() if self._inbox else None

    def _out(self, frame: isotp.CanMessage) -> None:
        self._send(
            can.Message(
                arbitration_id=frame.arbitration_id,
                data=frame.data,
                is_extended_id=self._extended,
                is_rx=False,
            )
        )

    def _wrong(self, error: Exception) -> None:
        """What can-isotp says is wrong; only what ends a message that was coming in is of use."""
        why = _ENDS.get(type(error))
        if why is not None and (self._so_far or type(error) is isotp.errors.FrameTooLongError):
            self._came.append(Broken(data=self._so_far, why=why))


_ENDS: Final[Mapping[type[Exception], str]] = {
    isotp.errors.WrongSequenceNumberError: "a frame was missing or out of order",
    isotp.errors.ReceptionInterruptedWithFirstFrameError: "another answer began in its middle",
    isotp.errors.ReceptionInterruptedWithSingleFrameError: "another answer came in its middle",
    isotp.errors.ChangingInvalidRXDLError: "its frames changed their length",
    isotp.errors.FrameTooLongError: f"it says that it is longer than {LONGEST} bytes",
}
