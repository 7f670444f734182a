"""A bus in its own time, with modules on it whose frames are made by can-isotp, and faults that a test chooses.

can-isotp is independent of this project; only what the modules answer is made up here.
"""

import heapq
import itertools
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import can
import isotp

from putback.core.codes.talk.car_read import Pair

FRAME_S = 0.0003
"""Computed: 135 bits at 500 kbit/s."""

TO_ALL = {False: 0x7DF, True: 0x18DB33F1}
"""ISO 15765-4, seen in a public source."""

Reply = tuple[float, bytes]
"""After so many seconds, these bytes."""


@dataclass
class Module:
    """One module: what it answers to each request. A request that is not there is refused (11)."""

    pair: Pair
    replies: Mapping[bytes, Iterable[Reply]]
    delay_s: float = 0.02
    asked: list[bytes] = field(default_factory=list)
    silent: bool = False
    functional: bool = False
    slow: Callable[[], float] | None = None

    def answers(self, request: bytes) -> Iterable[Reply]:
        if self.silent:
            return ()
        delay_s = self.slow() if self.slow else self.delay_s
        return self.replies.get(request, [(delay_s, bytes([0x7F, request[0], 0x11]))])


Damage = Callable[[can.Message], Iterable[can.Message]]


class Bench(can.BusABC):
    """The bus. Time passes only while somebody listens."""

    def __init__(self, modules: Iterable[Module], *, damage: Damage | None = None) -> None:
        self.now = 0.0
        self.sent: list[can.Message] = []
        self.refuses_to_send = 0
        self._damage = damage or (lambda frame: (frame,))
        self._events: list[tuple[float, int, Callable[[], None]]] = []
        self._count = itertools.count()
        self._heard: list[can.Message] = []
        self._free_at = 0.0
        self._nodes = {(one.pair.request, one.pair.extended): _Node(self, one) for one in modules}
        self.channel_info = "bench"
        self._is_shutdown = True

    def clock(self) -> float:
        return self.now

    def at(self, when: float, what: Callable[[], None]) -> None:
        heapq.heappush(self._events, (when, next(self._count), what))

    def emit(self, frame: can.Message) -> None:
        """A module's frame, after those before it, as the damage lets it through."""
        for one in self._damage(frame):
            self._free_at = max(self._free_at, self.now) + FRAME_S
            self.at(self._free_at, lambda one=one: self._heard.append(one))  # type: ignore[misc] # a bound default

    def send(self, msg: can.Message, timeout: float | None = None) -> None:  # noqa: ARG002 - python-can's own call
        if self.refuses_to_send:
            self.refuses_to_send -= 1
            raise can.CanOperationError("transmit buffer full")
        self.sent.append(msg)
        if msg.arbitration_id == TO_ALL[msg.is_extended_id]:
            for listener in self._nodes.values():
                listener.hear_to_all(msg)
        node = self._nodes.get((msg.arbitration_id, msg.is_extended_id))
        if node is not None:
            for one in self._damage(msg):
                self.at(self.now + FRAME_S, lambda one=one: node.hear(one))  # type: ignore[misc] # the same

    def recv(self, timeout: float | None = None) -> can.Message | None:
        until = self.now + (timeout or 0.0)
        while not self._heard and self._events and self._events[0][0] <= until:
            when, _, what = heapq.heappop(self._events)
            self.now = max(self.now, when)
            what()
        if self._heard:
            return self._heard.pop(0)
        self.now = until
        return None

    def shutdown(self) -> None:
        pass


class _Node:
    def __init__(self, bench: Bench, module: Module) -> None:
        self.bench, self.module = bench, module
        self.inbox: list[isotp.CanMessage] = []
        pair = module.pair
        mode = isotp.AddressingMode.Normal_29bits if pair.extended else isotp.AddressingMode.Normal_11bits
        params: dict[str, Any] = {"tx_padding": 0xAA, "logger_name": "putback.isotp"}
        self.layer = isotp.TransportLayerLogic(
            rxfn=lambda _timeout: self.inbox.pop(0) if self.inbox else None,
            txfn=self._out,
            address=isotp.Address(mode, txid=pair.answer, rxid=pair.request),
            params=params,
        )

    def hear_to_all(self, frame: can.Message) -> None:
        """A question to all is answered only where the answer is positive (ISO 14229-1, from memory)."""
        if not self.module.functional or frame.is_extended_id is not self.module.pair.extended:
            return
        for after, data in self.module.answers(bytes(frame.data[1 : 1 + frame.data[0]])):
            if data[0] != 0x7F:
                self.bench.at(self.bench.now + FRAME_S + after, lambda data=data: self._say(data))  # type: ignore[misc] # same

    def hear(self, frame: can.Message) -> None:
        self.inbox.append(isotp.CanMessage(frame.arbitration_id, frame.dlc, bytes(frame.data), frame.is_extended_id))
        self.layer.process()
        while (request := self.layer.recv()) is not None:
            self.module.asked.append(bytes(request))
            for after, data in self.module.answers(bytes(request)):
                self.bench.at(self.bench.now + after, lambda data=data: self._say(data))  # type: ignore[misc] # same

    def _say(self, data: bytes) -> None:
        if self.layer.transmitting():  # an answer that nobody told to go on is given up for the next one
            self.layer.stop_sending()
        self.layer.send(data)
        self.layer.process()

    def _out(self, frame: isotp.CanMessage) -> None:
        self.bench.emit(
            can.Message(arbitration_id=frame.arbitration_id, data=frame.data, is_extended_id=self.module.pair.extended)
        )
