"""One idea: a short question goes out under many ids at a steady pace, and whoever answers is noted with the time.

Only single frames go out, and only questions whose answers fit a single frame, so that no module waits for a word to
go on. Ids that were heard before anything was sent belong to the car's own traffic: nothing under them is an answer.
An id under which anybody speaks, at any time, can be let alone too. Who says that its answer comes later is waited
for, so that the answer to one question is not taken for the answer to the next.
"""

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import can

from putback.adapters.bus.timing import Timing
from putback.core.codes.meaning.refusal import REFUSAL
from putback.core.codes.talk.exchange import answers_to

Id = tuple[int, bool]
"""An id, and whether it has 29 bits."""

PRESENT: Final = bytes.fromhex("3E00")
COUNT: Final = bytes.fromhex("1901FF")
ABOUT_EMISSIONS: Final = bytes.fromhex("0100")

_SINGLE_MOST: Final = 7
_TRIES: Final = 20
_STEP_S: Final = 0.003
_LATER: Final = 0x78
_LATER_S: Final = 2.0
"""So long an answer is waited for that was put off [s]: common practice, no source."""

_FOLLOWS_S: Final = 0.02
"""Who else answers the same question does so within this time of the first [s]: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """A single frame that answers a question: who sent it, when, and its bytes."""

    id: Id
    at_s: float
    data: bytes


class Asker:
    """Sends single frames and hears what answers them."""

    def __init__(
        self,
        bus: can.BusABC,
        timing: Timing,
        *,
        stop: Callable[[], bool] | None = None,
        log: Callable[[can.Message], None] | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.live: frozenset[Id] = frozenset()
        self.spoken: set[Id] = set()
        self.failed = ""
        self.sent = 0
        self.sent_at: dict[Id, float] = {}
        self.timing = timing
        self.clock = clock
        self._bus = bus
        self._stop = stop or (lambda: False)
        self._log = log

    @property
    def stopped(self) -> bool:
        """Whether the person wants to stop, or the bus failed."""
        return bool(self.failed) or self._stop()

    def listen(self, seconds: float) -> None:
        """Note the ids of the car's own traffic, before anything is sent."""
        frames = self._until(self.clock() + seconds)
        self.live = frozenset((frame.arbitration_id, frame.is_extended_id) for _, frame in frames)

    def ask(
        self,
        ids: Iterable[Id],
        questions: Sequence[bytes],
        *,
        gap_s: float,
        wait_s: float | None = None,
        only_quiet: bool = False,
    ) -> list[Heard]:
        """Ask each id each question, and hear until the last has had its time: `wait_s`, or the usual one.

        With `only_quiet` an id is passed over as soon as anybody was heard to speak under it.
        """
        heard: list[tuple[float, can.Message]] = []
        for id in ids:
            for question in questions:
                if self.stopped:
                    return self._answers(heard, questions)
                if only_quiet and id in self.spoken:
                    break
                self._send(id, question)
                heard += self._until(self.clock() + gap_s)
        heard += self._until(self.clock() + (self.timing.first_s(0) if wait_s is None else wait_s))
        return self._with_later(heard, questions)

    def is_quiet(self, id: Id, seconds: float) -> bool:
        """Whether nobody speaks under this id for so long."""
        frames = self._until(self.clock() + seconds)
        return all((frame.arbitration_id, frame.is_extended_id) != id for _, frame in frames)

    def ask_alone(self, id: Id, question: bytes, *, expected: Id, wait_s: float | None = None) -> list[Heard]:
        """Ask one id one question, and hear until the expected one has answered and nobody else followed."""
        self._send(id, question)
        end = self.clock() + (self.timing.first_s(0) if wait_s is None else wait_s)
        frames: list[tuple[float, can.Message]] = []
        while not self.stopped and (now := self.clock()) < end:
            frames += self._until(min(end, now + _STEP_S))
            if any(one.id == expected for one in self._answers(frames, [question])):
                frames += self._until(self.clock() + _FOLLOWS_S)
                break
        return self._with_later(frames, [question])

    def _with_later(self, heard: list[tuple[float, can.Message]], questions: Sequence[bytes]) -> list[Heard]:
        """The answers, heard until nobody who put one off still has to give it."""
        end = self.clock() + _LATER_S
        while not self.stopped and (left := end - self.clock()) > 0:
            answers = self._answers(heard, questions)
            if not _put_off(answers):
                break
            heard += self._until(self.clock() + min(left, _FOLLOWS_S))
        return self._answers(heard, questions)

    def _answers(self, heard: Iterable[tuple[float, can.Message]], questions: Sequence[bytes]) -> list[Heard]:
        found = []
        for at_s, frame in heard:
            id, data = (frame.arbitration_id, frame.is_extended_id), bytes(frame.data)
            length = data[0] if data else 0
            if id in self.live or not 0 < length < len(data):
                continue
            message = data[1 : 1 + length]
            if any(answers_to(question, message) for question in questions):
                found.append(Heard(id=id, at_s=at_s, data=message))
        return found

    def _send(self, id: Id, question: bytes) -> None:
        data = bytes([len(question)]) + question + bytes([self.timing.padding]) * (_SINGLE_MOST - len(question))
        frame = can.Message(arbitration_id=id[0], is_extended_id=id[1], data=data, is_rx=False, timestamp=time.time())
        if self.stopped or not self._went_out(frame):
            return
        self.sent += 1
        self.sent_at[id] = self.clock()
        if self._log is not None:
            self._log(frame)

    def _went_out(self, frame: can.Message) -> bool:
        """Whether the bus took the frame; it is tried for a while, for a full buffer empties itself."""
        why = ""
        for _ in range(_TRIES):
            try:
                self._bus.send(frame)
            except (can.CanError, OSError) as failure:
                why = str(failure)
                self._until(self.clock() + self.timing.busy_s)
            else:
                return True
        self.failed = self.failed or why
        return False

    def _until(self, end: float) -> list[tuple[float, can.Message]]:
        heard: list[tuple[float, can.Message]] = []
        while not self.stopped and (left := end - self.clock()) > 0:
            try:
                frame = self._bus.recv(left)
            except (can.CanError, OSError) as failure:
                self.failed = str(failure)
                break
            if frame is None or frame.is_error_frame or frame.is_remote_frame:
                continue
            heard.append((self.clock(), frame))
            self._note(frame)
            if self._log is not None:
                self._log(frame)
        return heard

    def _note(self, frame: can.Message) -> None:
        """Note that somebody speaks under this id, unless it is our own question that comes back."""
        id = (frame.arbitration_id, frame.is_extended_id)
        if id not in self.sent_at or bytes(frame.data[1:3]) not in {PRESENT, COUNT[:2], ABOUT_EMISSIONS}:
            self.spoken.add(id)


def _put_off(answers: Iterable[Heard]) -> bool:
    """Whether somebody's last word is that the answer comes later."""
    last = {one.id: one.data for one in answers}
    return any(data[:1] == bytes([REFUSAL]) and data[2:3] == bytes([_LATER]) for data in last.values())
