"""One idea: talking to a module is a row of requests, each followed by one answer, and silence is an answer too.

Who asks is a generator: it yields an `Ask` and is sent back an `Answer`. So what is asked of a module is written down
without a bus, a clock or a thread, and many such talks can run side by side on one bus.
"""

from collections.abc import Generator
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias, TypeVar

from putback.core.codes.meaning.refusal import REFUSAL, Refused, read_refusal

POSITIVE = 0x40
"""What an answer adds to the number of the service that was asked for."""

_ECHOED = {0x01: 1, 0x06: 1, 0x09: 1, 0x10: 1, 0x19: 1, 0x22: 2, 0x3E: 1}
"""How many bytes of the request stand again in its answer, by service (ISO 14229-1, SAE J1979)."""


class Came(StrEnum):
    """What came of a request."""

    ANSWERED = "answered"
    CUT_OFF = "cut off"
    SILENT = "silent"
    NOT_SENT = "not sent"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """One request.

    Args:
        request: the whole request, from its service on.
        what: what is asked for, in words, for the person who waits.
        repeat: whether it may be sent again where no whole answer came. Only what reads may.
        repeats: at most so often instead of what the timing says; for what a module may leave unanswered.
        afterwards: what is sent when all is over, whatever happens in between, unless this was refused.
    """

    request: bytes
    what: str = ""
    repeat: bool = True
    repeats: int | None = None
    afterwards: bytes | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """Ask nothing for so many seconds."""

    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What came of one request.

    Args:
        data: the whole answer, or the bytes that came before it was cut off.
        why: what went wrong where it is not whole.
        notes: what was done or seen on the way: repeats, waits, frames that came twice.
        sent: how often the request was on the bus.
        begun_s, ended_s: on the clock of whoever asked, [s].
    """

    came: Came
    data: bytes = b""
    why: str = ""
    notes: tuple[str, ...] = ()
    sent: int = 0
    begun_s: float = 0.0
    ended_s: float = 0.0

    @property
    def whole(self) -> bool:
        """Whether a whole answer came, be it a refusal."""
        return self.came is Came.ANSWERED

    @property
    def refused(self) -> Refused | None:
        """The refusal, where it is one.

        >>> Answer(came=Came.ANSWERED, data=bytes.fromhex("7F1911")).refused.says
        'this service is not supported'
        """
        return read_refusal(self.data) if self.whole and self.data[:1] == bytes([REFUSAL]) else None

    @property
    def positive(self) -> bool:
        """Whether it is a whole answer and no refusal."""
        return self.whole and self.refused is None


Result = TypeVar("Result")
Talk: TypeAlias = Generator[Ask | Rest, Answer, Result]


def answers_to(request: bytes, data: bytes) -> bool:
    """Whether these bytes, as far as they came, answer this request: an answer to an earlier one may come late.

    >>> answers_to(bytes.fromhex("1902FF"), bytes.fromhex("5902FF")), answers_to(b"\\x03", bytes.fromhex("7F0711"))
    (True, False)
    """
    if data[:1] == bytes([REFUSAL]):
        return data[1:2] in (request[:1], b"")
    echoed = request[1 : 1 + _ECHOED.get(request[0], 0)]
    return data[:1] == bytes([request[0] + POSITIVE]) and data[1 : 1 + len(echoed)] == echoed[: len(data) - 1]
