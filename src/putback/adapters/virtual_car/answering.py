"""One idea: a module takes one request at a time, and its answer is what it sends and when.

Sessions, refusals and their reasons are those of ISO 14229-1, from memory where tests name no other source: to a
request that goes to all modules, a refusal that only says "I do not have that" is not sent.
"""

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from putback.adapters.virtual_car import diagnosis, emission
from putback.adapters.virtual_car.drive import Moment
from putback.adapters.virtual_car.modules import Manner, Module
from putback.adapters.virtual_car.scene import State
from putback.core.codes.meaning.refusal import BUSY, REFUSAL, WAIT

NO_SUCH_SERVICE, NO_SUCH_PART, WRONG_FORM, CONDITIONS, OUT_OF_RANGE, NOT_IN_SESSION = (
    0x11,
    0x12,
    0x13,
    0x22,
    0x31,
    0x7F,
)
NOT_SAID_TO_ALL: Final = frozenset({NO_SUCH_SERVICE, NO_SUCH_PART, OUT_OF_RANGE, 0x7E, NOT_IN_SESSION})
DEFAULT, EXTENDED = 0x01, 0x03
SESSION_ENDS_S: Final = 5.0
"""Without a request for so long a module goes back to its default session (S3 of ISO 14229-2, from memory)."""

FASTEST_S, SLOWEST_S = 0.010, 0.040
PUT_OFF_S: Final = (0.025, 0.3)
PUT_OFF_ANSWER_S: Final = 0.6
_QUIET: Final = 0x80
_P2: Final = bytes.fromhex("003201F4")
"""P2 50 ms, P2* 5,000 ms, as a session's answer gives them."""
_EVERY_CODE: Final = b"\xff\xff\xff"


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One message of a module: so many seconds after the request, [s]."""

    after_s: float
    data: bytes


class Answering:
    """One module's manner of answering.

    Args:
        clear: is called when its codes are to be cleared.
    """

    def __init__(self, module: Module, *, seed: int, clear: Callable[[str], None]) -> None:
        self.module = module
        self.busy = 0
        self._clear = clear
        self._session = DEFAULT
        self._asked_at = float("-inf")
        self._random = random.Random(f"{seed} {module.name}")
        self._services: Mapping[int, Callable[[bytes, State], bytes | int | None]] = {
            0x10: lambda request, _: self._change_session(request),
            0x14: lambda request, _: self._reason() or self._clear_codes(request),
            0x19: lambda request, state: self._reason() or diagnosis.read_codes(request, state),
            0x22: diagnosis.read_data,
            0x3E: lambda request, _: self._present(request),
        }

    def said(
        self, request: bytes, *, state: State, now: Moment, at_s: float, to_all: bool, at_once: bool
    ) -> tuple[Said, ...]:
        """What it says to a request, and when.

        Args:
            to_all: whether the request went to all modules.
            at_once: whether it takes no time for it.
        """
        if self.module.manner is Manner.SILENT or not request or (to_all and not self.module.functional):
            return ()
        if at_s - self._asked_at > SESSION_ENDS_S:
            self._session = DEFAULT
        self._asked_at = at_s
        came = self._answer(request, state, now)
        if came is None:
            return ()
        if isinstance(came, int):
            if to_all and came in NOT_SAID_TO_ALL:
                return ()
            came = _refusal(request, came)
        return self._timed(request, came, at_once=at_once)

    def _timed(self, request: bytes, data: bytes, *, at_once: bool) -> tuple[Said, ...]:
        delay_s = self._random.uniform(FASTEST_S, SLOWEST_S)
        if self.module.manner is Manner.SLOW and request[0] == diagnosis.READ_CODES:
            later = tuple(Said(after_s=after_s, data=_refusal(request, WAIT)) for after_s in PUT_OFF_S)
            return (*later, Said(after_s=PUT_OFF_ANSWER_S, data=data))
        return (Said(after_s=0.0 if at_once else delay_s, data=data),)

    def _answer(self, request: bytes, state: State, now: Moment) -> bytes | int | None:
        """The answer; a number is the reason of a refusal, None: nothing is to be said."""
        if self.busy > 0:
            self.busy -= 1
            return BUSY
        service = request[0]
        if service in self._services:
            return self._services[service](request, state)
        if self.module.manner is not Manner.EMISSIONS:
            return NO_SUCH_SERVICE
        if service == 0x04:
            return self._clear_emissions(request)
        return emission.answer(request, state, now) if service in emission.SERVICES else NO_SUCH_SERVICE

    def _reason(self) -> int | None:
        """Why it gives or clears no codes now."""
        if self.module.manner is Manner.REFUSING:
            return CONDITIONS
        if self.module.manner is Manner.IN_SESSION and self._session != EXTENDED:
            return NOT_IN_SESSION
        return None

    def _change_session(self, request: bytes) -> bytes | int | None:
        if len(request) != 2:
            return WRONG_FORM
        wanted = request[1] & ~_QUIET
        if wanted not in (DEFAULT, EXTENDED):
            return NO_SUCH_PART
        self._session = wanted
        return None if request[1] & _QUIET else bytes([0x50, wanted]) + _P2

    def _present(self, request: bytes) -> bytes | int | None:
        if len(request) != 2:
            return WRONG_FORM
        if request[1] & ~_QUIET:
            return NO_SUCH_PART
        return None if request[1] & _QUIET else b"\x7e\x00"

    def _clear_codes(self, request: bytes) -> bytes | int:
        if len(request) != 4:
            return WRONG_FORM
        if request[1:] != _EVERY_CODE:
            return OUT_OF_RANGE
        self._clear(self.module.name)
        return b"\x54"

    def _clear_emissions(self, request: bytes) -> bytes | int:
        if len(request) != 1:
            return WRONG_FORM
        self._clear(self.module.name)
        return b"\x44"


def _refusal(request: bytes, reason: int) -> bytes:
    return bytes([REFUSAL, request[0], reason])
