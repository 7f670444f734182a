"""One idea: what can go wrong on the wire is a row of chances, each of which can be changed while the car runs.

The faults are made on frames, after the modules have spoken, so that no module knows of them.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import can

_SINGLE, _FIRST, _CONSECUTIVE, _FLOW_CONTROL = range(4)
_WAIT, _FULL = 0x31, 0x32
_IN_FIRST, _IN_OTHERS = 6, 7
"""Bytes of a message in its first frame, and in each after it (ISO 15765-2)."""
WAIT_S: Final = 0.03
"""So long a module whose buffer is full makes the asker wait, [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Switches:
    """What goes wrong. All chances are for one frame, 0 to 1, but `cut_off`: for one long answer.

    Args:
        loss: a frame is lost, whichever way it goes.
        twice: a frame of the car comes twice.
        wrong_number: a frame in the middle of an answer has a wrong number.
        malformed: a frame of the car is no frame that the standard knows.
        cut_off: an answer stops in its middle.
        buffer_full: a module that is sent a long request says that it must wait, or that it is too long.
        late_s: a frame of the car comes up to so much later, [s].
        busy: so many requests are answered by each module with "busy, ask again".
        at_once: plain modules answer without any delay of their own.
    """

    loss: float = 0.0
    twice: float = 0.0
    wrong_number: float = 0.0
    malformed: float = 0.0
    cut_off: float = 0.0
    buffer_full: float = 0.0
    late_s: float = 0.0
    busy: int = 0
    at_once: bool = False

    def wrong(self) -> tuple[str, ...]:
        """What of it cannot be."""
        chances = ("loss", "twice", "wrong_number", "malformed", "cut_off", "buffer_full")
        found = [
            f"{name} is {getattr(self, name)}, it is 0 to 1" for name in chances if not 0 <= getattr(self, name) <= 1
        ]
        found += [f"late_s is {self.late_s}, it is 0 to 10"] if not 0 <= self.late_s <= 10 else []
        return (*found, *([f"busy is {self.busy}, it is not negative"] if self.busy < 0 else []))


class Faults:
    """The frames as they come out of a bad wire."""

    def __init__(self, switches: Switches, *, seed: int) -> None:
        self.switches = switches
        self._random = random.Random(f"{seed} wire")
        self._left: dict[int, int] = {}
        self._busy_until: dict[int, float] = {}

    def lets_in(self) -> bool:
        """Whether a frame to the car arrives."""
        return not self._happens(self.switches.loss)

    def out(self, frame: can.Message, at_s: float) -> Iterator[tuple[float, can.Message]]:
        """What becomes of a frame of the car: when it goes out, [s], and what goes out."""
        kind = frame.data[0] >> 4 if frame.data else _SINGLE
        if self._is_cut_off(frame, kind):
            return
        for late_s, one in self._full(frame, kind):
            if not self._happens(self.switches.loss):
                made = self._spoilt(one, kind)
                due = self._due(frame.arbitration_id, at_s + late_s)
                yield due, made
                if self._happens(self.switches.twice):
                    yield due, made

    def _happens(self, chance: float) -> bool:
        return chance > 0 and self._random.random() < chance

    def _due(self, id: int, at_s: float) -> float:
        """No frame of a module passes an earlier one of it."""
        due = max(self._busy_until.get(id, 0.0), at_s + self._random.uniform(0, self.switches.late_s))
        self._busy_until[id] = due
        return due

    def _is_cut_off(self, frame: can.Message, kind: int) -> bool:
        """Whether the answer that this frame belongs to has stopped before it."""
        id = frame.arbitration_id
        if kind == _FIRST:
            self._left.pop(id, None)
            if self._happens(self.switches.cut_off):
                length = int.from_bytes(frame.data[:2], "big") & 0xFFF
                self._left[id] = self._random.randrange(max(1, -(-(length - _IN_FIRST) // _IN_OTHERS)))
        elif kind == _CONSECUTIVE and id in self._left:
            self._left[id] -= 1
            return self._left[id] < 0
        return False

    def _full(self, frame: can.Message, kind: int) -> Iterator[tuple[float, can.Message]]:
        """The word to go on, or instead of it: wait first, or never."""
        if kind == _FLOW_CONTROL and self._happens(self.switches.buffer_full):
            said = self._random.choice((_WAIT, _FULL))
            yield 0.0, _with(frame, bytes([said]) + bytes(frame.data[1:]))
            if said == _WAIT:
                yield WAIT_S, frame
        else:
            yield 0.0, frame

    def _spoilt(self, frame: can.Message, kind: int) -> can.Message:
        data = bytes(frame.data)
        if kind == _CONSECUTIVE and self._happens(self.switches.wrong_number):
            data = bytes([_CONSECUTIVE << 4 | (data[0] + self._random.randint(1, 14)) & 0xF]) + data[1:]
        if self._happens(self.switches.malformed):
            data = self._random.choice((self._bad_kind, self._bad_length, self._short, self._junk))(data)
        return frame if data == frame.data else _with(frame, data)

    # None of these can pass for a frame with other contents: a wire's check sum lets no such frame through.

    def _bad_kind(self, data: bytes) -> bytes:
        return bytes([self._random.randint(4, 15) << 4 | self._random.randrange(16)]) + data[1:]

    def _bad_length(self, data: bytes) -> bytes:
        return bytes([self._random.choice((0x00, 0x08, 0x0F, 0x10))]) + bytes(data[1:3])

    def _short(self, data: bytes) -> bytes:
        return data[: self._random.randint(0, 3)]

    def _junk(self, _data: bytes) -> bytes:
        return self._bad_kind(self._random.randbytes(self._random.randint(1, 8)))


def _with(frame: can.Message, data: bytes) -> can.Message:
    return can.Message(arbitration_id=frame.arbitration_id, is_extended_id=frame.is_extended_id, data=data)
