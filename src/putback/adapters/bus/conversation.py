"""One idea: many modules are spoken to at once by one loop without threads; each has its own row of requests.

A talk (`core.codes.exchange`) yields what it wants to ask and is sent what came of it. No more than a few requests are
open at a time, and a module that says that its answer comes later keeps no place. What is sent goes out at a pace that
a gateway can follow; the word to go on with a long answer goes to the module's own request id.
"""

import time
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from typing import Final, Generic, TypeVar

import can

from putback.adapters.bus.line import Broken, Line
from putback.adapters.bus.timing import Timing
from putback.adapters.bus.turn import Phase, Turn
from putback.core.codes.talk.car_read import Pair
from putback.core.codes.talk.exchange import Answer, Came, Rest, Talk

Result = TypeVar("Result")

_LOOK_S: Final = 0.1
"""So often, at least, somebody looks whether the person wants to stop, [s]."""

_AT_ONCE_HEARD: Final = 200
"""So many frames are taken before anything else is looked at."""

_NEVER: Final = float("-inf")
_YIELDS_AFTER_STOP: Final = 10_000
_BUS_FAILURES: Final = 40
_STOPPED: Final = Answer(came=Came.STOPPED, why="stopped before it was asked")


class _Partner(Generic[Result]):
    """One module that is spoken to."""

    def __init__(self, place: int, line: Line, talk: Talk[Result]) -> None:
        self.place = place
        self.line = line
        self.talk = talk
        self.turn: Turn | None = None
        self.rests_until: float | None = None
        self.last_sent = _NEVER
        self.afterwards: bytes | None = None
        self.alive = True
        self.results: list[Result] = []


class Conversation:
    """Requests to many modules over one bus.

    Args:
        bus: an open bus of python-can.
        timing: how to wait and repeat.
        at_once: so many requests may be open at a time.
        log: is given every frame that is sent or heard.
        clock: a steady clock, [s].
    """

    def __init__(
        self,
        bus: can.BusABC,
        *,
        timing: Timing | None = None,
        at_once: int = 4,
        log: Callable[[can.Message], None] | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.failed = ""
        self.stopped = False
        self._bus = bus
        self._timing = timing or Timing()
        self._at_once = max(1, at_once)
        self._log = log
        self._clock = clock
        self._next_send = _NEVER
        self._failures = 0

    def run(
        self,
        talks: Mapping[Pair, Talk[Result]],
        *,
        stop: Callable[[], bool] | None = None,
        in_turn: bool = False,
    ) -> dict[Pair, Result]:
        """Hold all these talks to their end.

        Args:
            talks: each is asked its first question as soon as may be; then earlier ones are served first.
            stop: asked often; once it says yes (or Ctrl-C comes), every talk is told so and ends with what it has.
            in_turn: serve whoever was served longest ago, for talks without an end.

        Returns:
            What each talk returned. A talk that was broken off by a second Ctrl-C has no result.
        """
        partners = {pair: self._partner(place, pair, talk) for place, (pair, talk) in enumerate(talks.items())}
        by_id = {(pair.answer, pair.extended): partner for pair, partner in partners.items()}
        everyone = tuple(partners.values())
        try:
            self._hold(everyone, by_id, stop, in_turn=in_turn)
        finally:
            self._leave(everyone)
        return {pair: partner.results[0] for pair, partner in partners.items() if partner.results}

    def _partner(self, place: int, pair: Pair, talk: Talk[Result]) -> _Partner[Result]:
        return _Partner(place, Line(pair, self._send, self._timing), talk)

    def _hold(
        self,
        partners: tuple[_Partner[Result], ...],
        by_id: Mapping[tuple[int, bool], _Partner[Result]],
        stop: Callable[[], bool] | None,
        *,
        in_turn: bool,
    ) -> None:
        for partner in partners:
            self._go_on(partner, None)
        while any(partner.alive for partner in partners):
            try:
                if self.stopped or self.failed or (stop is not None and stop()):
                    self.stopped = True
                    self._end_all(partners)
                    return
                self._send_what_may(partners, in_turn=in_turn)
                self._hear(by_id, self._until(partners))
                self._look_at_clock(partners)
            except KeyboardInterrupt:
                if self.stopped:
                    raise
                self.stopped = True

    # the talks

    def _go_on(self, partner: _Partner[Result], answer: Answer | None) -> None:
        """Give a talk its answer and take what it wants next."""
        partner.turn, partner.rests_until = None, None
        try:
            wish = next(partner.talk) if answer is None else partner.talk.send(answer)
        except StopIteration as end:
            partner.alive = False
            partner.results.append(end.value)
        except BaseException:
            partner.alive = False
            raise
        else:
            now = self._clock()
            if isinstance(wish, Rest):
                partner.rests_until = now + wish.seconds
            else:
                partner.turn = Turn(wish, self._timing, now)

    def _settle(self, partner: _Partner[Result]) -> None:
        """Where a turn is over, hand its answer to the talk."""
        turn = partner.turn
        if turn is None or turn.answer is None:
            return
        if turn.answer.positive and turn.ask.request == partner.afterwards:
            partner.afterwards = None
        if turn.answer.sent and turn.answer.refused is None:
            partner.afterwards = turn.ask.afterwards or partner.afterwards
        self._go_on(partner, turn.answer)

    def _end_all(self, partners: Iterable[_Partner[Result]]) -> None:
        """Tell every talk to stop, and let it say what it has."""
        now = self._clock()
        for partner in partners:
            if partner.alive:
                self._go_on(
                    partner, _STOPPED if partner.turn is None else partner.turn.stopped(partner.line.so_far, now)
                )
                self._wind_up(partner)

    def _wind_up(self, partner: _Partner[Result]) -> None:
        """Answer whatever a talk still wants with the word to stop."""
        for _ in range(_YIELDS_AFTER_STOP):
            if not partner.alive:
                return
            self._go_on(partner, _STOPPED)

    def _leave(self, partners: Iterable[_Partner[Result]]) -> None:
        """Send what each talk owes at its end, and wait for nothing."""
        for partner in partners:
            partner.talk.close()
            if partner.afterwards is not None:
                with suppress(can.CanError, OSError):
                    partner.line.ask(partner.afterwards)

    # the bus

    def _send(self, frame: can.Message) -> None:
        frame.timestamp = time.time()
        self._bus.send(frame)
        if self._log is not None:
            self._log(frame)

    def _send_what_may(self, partners: Iterable[_Partner[Result]], *, in_turn: bool) -> None:
        now = self._clock()
        ready = [one for one in partners if one.turn and one.turn.phase is Phase.TO_SEND and one.turn.due <= now]
        ready.sort(key=lambda one: (one.last_sent if in_turn else one.last_sent > _NEVER, one.place))
        free = self._free(partners)
        for partner in ready[:free]:
            if now < self._next_send:
                return
            self._ask(partner, now)
            now = self._clock()

    def _free(self, partners: Iterable[_Partner[Result]]) -> int:
        return self._at_once - sum(one.turn is not None and one.turn.holds_place for one in partners)

    def _ask(self, partner: _Partner[Result], now: float) -> None:
        turn = partner.turn
        assert turn is not None
        partner.last_sent = now
        self._next_send = now + self._timing.gap_s
        try:
            partner.line.ask(turn.ask.request)
        except (can.CanError, OSError) as failure:
            turn.not_sent(str(failure), now)
            self._settle(partner)
        else:
            turn.sent(now)

    def _until(self, partners: Iterable[_Partner[Result]]) -> float:
        """How long nothing but a frame can change anything, [s]."""
        now, free = self._clock(), self._free(partners)
        until = now + _LOOK_S
        for partner in partners:
            if partner.rests_until is not None:
                until = min(until, partner.rests_until)
            elif partner.turn is not None and partner.turn.phase is Phase.WAITS:
                until = min(until, partner.turn.due)
            elif partner.turn is not None and free > 0:
                until = min(until, max(partner.turn.due, self._next_send))
        return max(0.0, until - now)

    def _hear(self, by_id: Mapping[tuple[int, bool], _Partner[Result]], wait_s: float) -> None:
        frame = self._receive(wait_s)
        for _ in range(_AT_ONCE_HEARD):
            if frame is None:
                return
            if self._log is not None:
                self._log(frame)
            partner = by_id.get((frame.arbitration_id, frame.is_extended_id))
            if partner is not None and not (frame.is_error_frame or frame.is_remote_frame or frame.is_fd):
                self._take(partner, frame)
            frame = self._receive(0)

    def _receive(self, wait_s: float) -> can.Message | None:
        try:
            frame = self._bus.recv(wait_s)
        except (can.CanError, OSError) as failure:
            self._failures += 1
            if self._failures > _BUS_FAILURES:
                self.failed = f"the bus failed: {failure}"
            else:
                time.sleep(_LOOK_S / 2)
            return None
        self._failures = 0
        return frame

    def _take(self, partner: _Partner[Result], frame: can.Message) -> None:
        line, turn = partner.line, partner.turn
        twice, meaningless = line.twice, line.meaningless
        came = line.hear(frame)
        if turn is None:
            return
        now = self._clock()
        turn.twice += line.twice - twice
        turn.meaningless += line.meaningless - meaningless
        turn.heard_frame(now, inside=bool(line.so_far))
        for one in came:
            if turn.phase is Phase.OVER:
                break
            if isinstance(one, Broken):
                turn.broke(one.data, one.why, now)
            else:
                turn.heard(one, now)
        self._settle(partner)

    def _look_at_clock(self, partners: Iterable[_Partner[Result]]) -> None:
        now = self._clock()
        for partner in partners:
            if partner.rests_until is not None and partner.rests_until <= now:
                self._go_on(partner, Answer(came=Came.ANSWERED, begun_s=now, ended_s=now))
            turn = partner.turn
            if turn is not None and turn.phase is Phase.WAITS and turn.due <= now:
                so_far = partner.line.so_far
                partner.line.give_up()
                turn.expired(so_far, now)
                self._settle(partner)
