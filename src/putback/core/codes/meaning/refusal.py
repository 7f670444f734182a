"""One idea: a module that refuses has answered; what it said is kept, and its codes stay unknown.

Source of the numbers: ISO 14229-1 Annex A, in our words; tests/core/codes/test_refusal.py compares them.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from putback.core.codes.meaning.wrong import Wrong, hexed

REFUSAL = 0x7F
BUSY = 0x21
WAIT = 0x78
NOT_IN_THIS_SESSION = (0x7E, 0x7F)

REASONS: Mapping[int, str] = MappingProxyType(
    {
        0x10: "refused without a reason",
        0x11: "this service is not supported",
        0x12: "this part of the service is not supported",
        0x13: "the request has the wrong length or form",
        0x14: "the answer would be too long",
        0x21: "busy, ask again",
        0x22: "conditions are not right",
        0x24: "requests came in the wrong order",
        0x25: "a module behind this one does not answer",
        0x26: "a failure stands in the way",
        0x31: "what was asked for is out of range",
        0x33: "access is locked",
        0x34: "the asker has to prove who it is",
        0x35: "wrong key",
        0x36: "too many attempts",
        0x37: "the time between attempts is not over",
        0x72: "programming failed",
        0x78: "received, the answer comes later",
        0x7E: "this part of the service is not supported in this session",
        0x7F: "this service is not supported in this session",
        0x81: "engine speed too high",
        0x82: "engine speed too low",
        0x83: "the engine is running",
        0x84: "the engine is not running",
        0x88: "the vehicle is too fast",
        0x92: "voltage too high",
        0x93: "voltage too low",
    }
)
"""What the number in a refusal says. A number that is not here is shown as it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """A module's refusal of a service. `reason` is None where it was cut off."""

    service: int | None
    reason: int | None
    wrong: tuple[Wrong, ...] = ()

    @property
    def says(self) -> str:
        """The reason in words."""
        if self.reason is None:
            return "refused, the reason was cut off"
        return REASONS.get(self.reason, f"refused for reason {self.reason:02X}")

    @property
    def later(self) -> bool:
        """Whether it is no refusal but the word that the answer comes later."""
        return self.reason == WAIT


def read_refusal(answer: bytes) -> Refused:
    """A refusal: 7F, the service, the reason. `answer` starts with 7F; anything else is said to be wrong.

    >>> read_refusal(bytes.fromhex("7F1978")).says
    'received, the answer comes later'
    """
    wrong = []
    if answer[:1] != bytes([REFUSAL]) or len(answer) < 3:
        wrong.append(Wrong(what=f"{hexed(answer) or 'nothing'} is no whole refusal", mend="read the module again"))
    if any(answer[3:]):
        wrong.append(Wrong(what=f"{hexed(answer[3:])} stands after the refusal", mend="keep the bytes and read again"))
    service = answer[1] if len(answer) > 1 else None
    return Refused(service=service, reason=answer[2] if len(answer) > 2 else None, wrong=tuple(wrong))
