"""One idea: one request has its own course: sent, put off, cut off, sent again, and in the end one answer.

A turn knows no bus. It is told what happened and when, and says when it wants to send and until when it waits.
"""

from enum import Enum, auto

from putback.adapters.bus.timing import Timing
from putback.core.codes.meaning.refusal import BUSY, REFUSAL, read_refusal
from putback.core.codes.talk.exchange import Answer, Ask, Came, answers_to


class Phase(Enum):
    """Where a turn stands."""

    TO_SEND = auto()
    WAITS = auto()
    OVER = auto()


class Turn:
    """The course of one request."""

    def __init__(self, ask: Ask, timing: Timing, now: float) -> None:
        self.ask = ask
        self.phase = Phase.TO_SEND
        self.due = now
        self.holds_place = False
        self.answer: Answer | None = None
        self.strays = 0
        self.twice = 0
        self.meaningless = 0
        self._timing = timing
        self._begun = now
        self._sent = 0
        self._silences = 0
        self._refusals_to_send = 0
        self._later = 0
        self._busy = 0
        self._cuts: list[bytes] = []
        self._why = ""

    # what happened

    def sent(self, now: float) -> None:
        """The request is on the bus."""
        self._sent += 1
        self.phase, self.holds_place = Phase.WAITS, True
        self.due = now + self._timing.first_s(self._silences)

    def not_sent(self, why: str, now: float) -> None:
        """The interface did not take it."""
        self._refusals_to_send += 1
        if self.ask.repeat and self._refusals_to_send <= self._timing.repeats:
            self._send_at(now + self._timing.busy_s * 2 ** (self._refusals_to_send - 1))
        else:
            self._end(Came.NOT_SENT, b"", why, now)

    def heard_frame(self, now: float, *, inside: bool) -> None:
        """A frame of the module came; `inside`: a message is coming in."""
        if self.phase is Phase.WAITS and inside:
            self.due = now + self._timing.between_frames_s
        elif self.phase is Phase.TO_SEND and self._sent:
            self.due = max(self.due, now + self._timing.quiet_s)

    def heard(self, data: bytes, now: float) -> None:
        """A whole message of the module came."""
        if not self._sent or not answers_to(self.ask.request, data):
            self.strays += 1
            return
        refused = read_refusal(data) if data[:1] == bytes([REFUSAL]) else None
        if refused is not None and refused.reason is None:
            self.broke(data, "the refusal came without its reason", now)
        elif refused is not None and refused.later:
            self._put_off(now)
        elif refused is not None and refused.reason == BUSY and self._may_ask_the_busy:
            self._busy += 1
            self._send_at(now + self._timing.busy_s * 2 ** (self._busy - 1))
        else:
            self._end(Came.ANSWERED, data, "", now)

    def broke(self, data: bytes, why: str, now: float) -> None:
        """A message of the module broke off."""
        if not self._sent or not answers_to(self.ask.request, data):
            self.strays += 1
            return
        self._cuts.append(data)
        self._why = why
        same = sum(len(cut) == len(data) for cut in self._cuts) >= self._timing.same_cut
        if self.ask.repeat and not same and len(self._cuts) <= self._timing.repeats:
            self._send_at(now + self._timing.quiet_s)
        else:
            self._give_up(now)

    def expired(self, so_far: bytes, now: float) -> None:
        """Nothing more came until `due`; `so_far`: what had come of a message."""
        if so_far:
            self.broke(so_far, "no more of it came", now)
            return
        self._silences += 1
        allowed = self._timing.silent_repeats if self.ask.repeats is None else self.ask.repeats
        late = now - self._begun > self._timing.later_for_s
        if self.ask.repeat and self._silences <= allowed and not late:
            self._send_at(now)
        else:
            self._give_up(now)

    def stopped(self, so_far: bytes, now: float) -> Answer:
        """The person wants to stop: the answer as far as it came."""
        if self.answer is None and so_far and answers_to(self.ask.request, so_far):
            self._cuts.append(so_far)
            self._why = "stopped in its middle"
        if self.answer is None and self._cuts:
            self._give_up(now)
        elif self.answer is None:
            self._end(Came.STOPPED, b"", "stopped before an answer came", now)
        assert self.answer is not None
        return self.answer

    # what follows from it

    @property
    def _may_ask_the_busy(self) -> bool:
        return self.ask.repeat and self._busy < self._timing.busy_repeats

    def _put_off(self, now: float) -> None:
        """The module says that its answer comes later: it keeps no place, and may take longer."""
        self._later += 1
        self.holds_place = False
        too_often = self._later > self._timing.later_at_most
        if too_often or now - self._begun > self._timing.later_for_s:
            self._give_up(now)
        elif self.phase is Phase.WAITS:
            self.due = now + self._timing.p2_star_s

    def _send_at(self, due: float) -> None:
        self.phase, self.due, self.holds_place = Phase.TO_SEND, due, False

    def _give_up(self, now: float) -> None:
        """End with the most that came."""
        if self._cuts:
            most = max(self._cuts, key=len)
            self._end(Came.CUT_OFF, most, f"{self._why}; {len(most)} bytes came", now)
        elif self._later:
            why = f"it said {_times(self._later)} that the answer comes later, and none came"
            self._end(Came.SILENT, b"", why, now)
        else:
            self._end(Came.SILENT, b"", "no answer", now)

    def _end(self, came: Came, data: bytes, why: str, now: float) -> None:
        self.phase, self.holds_place = Phase.OVER, False
        self.answer = Answer(
            came=came,
            data=data,
            why=why,
            notes=tuple(self._notes(now)),
            sent=self._sent,
            begun_s=self._begun,
            ended_s=now,
        )

    def _notes(self, now: float) -> list[str]:
        what = self.ask.what or self.ask.request.hex(" ").upper()
        took = f"{now - self._begun:.1f} s"
        said = [
            (self._sent > 1, f"asked {_times(self._sent)}"),
            (self._later > 0, f"answer put off {_times(self._later)}, {took} in all"),
            (self._busy > 0, f"busy {_times(self._busy)}"),
            (len(self._cuts) > 0, f"answer cut off {_times(len(self._cuts))}"),
            (self._refusals_to_send > 0, f"not sent {_times(self._refusals_to_send)}"),
            (self.twice > 0, f"{_frames(self.twice)} came twice"),
            (self.meaningless > 0, f"{_frames(self.meaningless)} meant nothing"),
            (self.strays > 0, f"{_times(self.strays)} something else was answered"),
        ]
        words = ", ".join(text for is_so, text in said if is_so)
        return [f"{what}: {words}"] if words else []


def _times(count: int) -> str:
    """How often, in words.

    >>> _times(1), _times(2), _times(3)
    ('once', 'twice', '3 times')
    """
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def _frames(count: int) -> str:
    return "1 frame" if count == 1 else f"{count} frames"
