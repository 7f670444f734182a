"""One idea: between a module and the bus stands the transport layer, which makes frames of messages and back.

can-isotp does it (ISO 15765-2); a new request ends an answer that is still being sent.
"""

import logging
from collections import deque
from collections.abc import Callable
from typing import Final

import can
import isotp

from putback.adapters.virtual_car.modules import Module

PADDING: Final = 0xAA
_LOGGER: Final = "putback.virtual_car"
_LONGEST: Final = 4095
_WAITS_FOR_WORD_MS: Final = 1000
_WAITS_AT_MOST: Final = 20
_SINGLE, _FLOW_CONTROL = 0, 3

logging.getLogger(_LOGGER).addHandler(logging.NullHandler())
logging.getLogger(_LOGGER).propagate = False


class Wire:
    """The transport layer of one module."""

    def __init__(self, module: Module, send: Callable[[can.Message], None]) -> None:
        self._send = send
        self._extended = module.pair.extended
        self._inbox: deque[isotp.CanMessage] = deque()
        mode = isotp.AddressingMode.Normal_29bits if self._extended else isotp.AddressingMode.Normal_11bits
        self._layer = isotp.TransportLayerLogic(
            rxfn=lambda _timeout: self._inbox.popleft() if self._inbox else None,
            txfn=self._out,
            address=isotp.Address(mode, txid=module.pair.answer, rxid=module.pair.request),
            params={
                "tx_padding": PADDING,
                "blocksize": 0,
                "stmin": 0,
                "max_frame_size": _LONGEST,
                "rx_flowcontrol_timeout": _WAITS_FOR_WORD_MS,
                "wftmax": _WAITS_AT_MOST,
                "logger_name": _LOGGER,
            },
        )

    def hear(self, frame: can.Message) -> tuple[bytes, ...]:
        """Take a frame that was sent to the module; the requests that it ends."""
        data = bytes(frame.data)
        if self._layer.transmitting() and data and data[0] >> 4 != _FLOW_CONTROL:
            self._layer.stop_sending()
        self._inbox.append(isotp.CanMessage(frame.arbitration_id, len(data), data, self._extended))
        self._layer.process()
        came = []
        while (request := self._layer.recv()) is not None:
            came.append(bytes(request))
        return tuple(came)

    def say(self, data: bytes) -> None:
        """Send a message, as far as it goes before the other side must say to go on."""
        self._layer.send(data)
        self._layer.process()

    def go_on(self) -> float | None:
        """Send what may be sent now; how long until more may be, [s]; None: nothing is being sent."""
        if not self._layer.transmitting():
            return None
        self._layer.process()
        delay = self._layer.next_cf_delay()
        return self._layer.sleep_time() if delay is None else delay

    def _out(self, frame: isotp.CanMessage) -> None:
        self._send(can.Message(arbitration_id=frame.arbitration_id, is_extended_id=self._extended, data=frame.data))


def single(frame: can.Message) -> bytes | None:
    """The request in one frame, as those that go to all modules come; None: it is no such frame.

    >>> single(can.Message(data=bytes.fromhex("023E00CCCCCCCCCC"))).hex()
    '3e00'
    """
    data = bytes(frame.data)
    if not data or data[0] >> 4 != _SINGLE or not 0 < data[0] < len(data):
        return None
    return data[1 : 1 + data[0]]
