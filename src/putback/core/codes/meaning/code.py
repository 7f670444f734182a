"""One idea: a code is two bytes and, in newer modules, a third that says how it failed; it is spelt one way only.

Two top bits are the letter, two the first digit, twelve the three hex digits after it. The third byte is the failure
type; a code without one stands for all its failure types. Source: SAE J2012 / ISO 15031-6, ISO 14229-1 Annex D; the
checks are in tests/core/codes/test_code.py.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from putback.core.codes.meaning.wrong import Wrong

LETTERS = "PCBU"
"""The four systems in the order of their two bits."""

SYSTEMS: Mapping[str, str] = MappingProxyType(
    {"P": "powertrain", "C": "chassis", "B": "body", "U": "network and vehicle integration"}
)

FAILURE_TYPES: Mapping[int, str] = MappingProxyType(
    {
        0x01: "general electrical failure",
        0x04: "system internal failure",
        0x07: "mechanical failure",
        0x08: "bus signal or message failure",
        0x09: "component failure",
        0x11: "short to ground",
        0x12: "short to battery",
        0x13: "open circuit",
        0x14: "short to ground or open circuit",
        0x15: "short to battery or open circuit",
        0x16: "voltage below threshold",
        0x17: "voltage above threshold",
        0x18: "current below threshold",
        0x19: "current above threshold",
        0x1A: "resistance below threshold",
        0x1B: "resistance above threshold",
        0x1C: "voltage out of range",
        0x1F: "intermittent",
        0x31: "no signal",
        0x54: "calibration missing",
        0x62: "signals do not agree",
        0x87: "message missing",
    }
)
"""What a failure type byte says, in our words. Source: SAE J2012 failure types as seen in a public table; 0x54, 0x62
and 0x87 from memory. A byte that is not here is shown as its number."""

_SPELT = re.compile(r"([PCBU])([0-3])([0-9A-F]{3})(?:-([0-9A-F]{2}))?")
_MEND = "write a letter of P, C, B, U, a digit 0 to 3, three hex digits, and if known - and the failure type: P0A9B-17"


@dataclass(frozen=True, slots=True, kw_only=True)
class Code:
    """A trouble code: `number` is its first two bytes, `failure_type` the third, None where there is none.

    None is not 0: a failure type of 00 was sent, and says that there is no more to say.
    """

    number: int
    failure_type: int | None = None

    def __post_init__(self) -> None:
        if not 0 <= self.number <= 0xFFFF:
            raise ValueError(f"a code is two bytes, not {self.number:#x}")
        if self.failure_type is not None and not 0 <= self.failure_type <= 0xFF:
            raise ValueError(f"a failure type is one byte, not {self.failure_type:#x}")

    def __lt__(self, other: "Code") -> bool:
        """In the order of their bytes; a code without failure type comes before those with one."""
        return self.bytes < other.bytes

    def __str__(self) -> str:
        """The code as it is spelt.

        >>> str(Code(number=0x0A9B, failure_type=0x17)), str(Code(number=0xC133))
        ('P0A9B-17', 'U0133')
        """
        letter = LETTERS[self.number >> 14]
        spelt = f"{letter}{self.number >> 12 & 3}{self.number & 0xFFF:03X}"
        return spelt if self.failure_type is None else f"{spelt}-{self.failure_type:02X}"

    @property
    def bytes(self) -> bytes:
        """The two or three bytes as a module sends them.

        >>> Code(number=0x0A9B, failure_type=0x17).bytes.hex()
        '0a9b17'
        """
        two = self.number.to_bytes(2, "big")
        return two if self.failure_type is None else two + bytes([self.failure_type])

    @property
    def system(self) -> str:
        """Powertrain, chassis, body, or network."""
        return SYSTEMS[str(self)[0]]

    @property
    def defined_by(self) -> str:
        """Who says what the code means: "the standard", "the maker" or "reserved".

        Source: SAE J2012, table of code groups (from memory): P0, P2 and P34 to P39, B0, C0, U0 and U3 are the
        standard's; P1, P30 to P33, B1, B2, C1, C2, U1, U2 the maker's; the rest is reserved.

        >>> Code(number=0x1F46).defined_by
        'the maker'
        """
        letter, digit, second = LETTERS[self.number >> 14], self.number >> 12 & 3, self.number >> 8 & 0xF
        if digit == 0 or (letter, digit) in {("P", 2), ("U", 3)}:
            return "the standard"
        if (letter, digit) == ("P", 3):
            return "the maker" if second < 4 else "the standard" if second <= 9 else "reserved"
        return "reserved" if digit == 3 else "the maker"

    @property
    def how(self) -> str:
        """What the failure type says; empty where there is none.

        >>> Code(number=0x1F46, failure_type=0x13).how, Code(number=0x1F46, failure_type=0xEE).how
        ('open circuit', 'failure type EE')
        """
        if self.failure_type is None:
            return ""
        return FAILURE_TYPES.get(self.failure_type, f"failure type {self.failure_type:02X}")

    @property
    def without_type(self) -> "Code":
        """The same code for all its failure types."""
        return Code(number=self.number)

    def covers(self, found: "Code") -> bool:
        """Whether a code as stated means the one found: without failure type it means all its failure types.

        >>> Code(number=0x1F46).covers(Code(number=0x1F46, failure_type=0x13))
        True
        >>> Code(number=0x1F46, failure_type=0x13).covers(Code(number=0x1F46))
        False
        """
        return self.number == found.number and self.failure_type in (None, found.failure_type)


def code_of_bytes(data: bytes) -> Code | Wrong:
    """The code of two or three bytes.

    >>> str(code_of_bytes(bytes.fromhex("0A9B17")))
    'P0A9B-17'
    """
    if len(data) not in (2, 3):
        return Wrong(what=f"a code has two or three bytes, not {len(data)}", mend="read the module again")
    return Code(number=int.from_bytes(data[:2], "big"), failure_type=data[2] if len(data) == 3 else None)


def read_code(text: str) -> Code | Wrong:
    """The code that a person or a list wrote; small letters and spaces around it are taken.

    A letter O for the digit 0 is not guessed: the reader is asked. The failure type needs its hyphen, as P0A9B17
    could be seven characters of something else.

    >>> str(read_code(" c1d27-13 "))
    'C1D27-13'
    >>> print(read_code("P4123"))  # doctest: +ELLIPSIS
    'P4123' is no code; write a letter of P, C, B, U, a digit 0 to 3, ...
    """
    found = _SPELT.fullmatch(text.strip().upper()) if text.isascii() else None
    if found is None:
        return Wrong(what=f"{text.strip()!r} is no code", mend=_MEND)
    letter, digit, rest, kind = found.groups()
    number = LETTERS.index(letter) << 14 | int(digit) << 12 | int(rest, 16)
    return Code(number=number, failure_type=None if kind is None else int(kind, 16))
