"""One idea: a status byte answers eight questions, and a bit that the module does not keep answers none of them.

The availability mask says which bits a module keeps. A bit outside the mask is unknown, not 0: every answer here is
yes, no or None. Source: ISO 14229-1 Annex D; rows in tests/core/codes/test_status.py.
"""

import re
from dataclasses import dataclass
from enum import IntEnum

from putback.core.codes.meaning.wrong import Wrong


class Bit(IntEnum):
    """The bits of a status byte, by number."""

    FAILING = 0
    FAILED_THIS_CYCLE = 1
    PENDING = 2
    CONFIRMED = 3
    NOT_TESTED_SINCE_CLEAR = 4
    FAILED_SINCE_CLEAR = 5
    NOT_TESTED_THIS_CYCLE = 6
    LAMP_ASKED = 7

    @property
    def words(self) -> str:
        """What the bit says when it is set."""
        return _WORDS[self]


_WORDS = {
    Bit.FAILING: "failing now",
    Bit.FAILED_THIS_CYCLE: "failed in this cycle",
    Bit.PENDING: "pending",
    Bit.CONFIRMED: "confirmed",
    Bit.NOT_TESTED_SINCE_CLEAR: "not tested since the codes were cleared",
    Bit.FAILED_SINCE_CLEAR: "failed since the codes were cleared",
    Bit.NOT_TESTED_THIS_CYCLE: "not tested in this cycle",
    Bit.LAMP_ASKED: "asks for the warning lamp",
}

SEEN_FAILING = (Bit.FAILING, Bit.FAILED_THIS_CYCLE, Bit.PENDING, Bit.CONFIRMED, Bit.FAILED_SINCE_CLEAR)
"""Any of these set inside the mask: the fault was seen."""

NOT_TESTED = (Bit.NOT_TESTED_SINCE_CLEAR, Bit.NOT_TESTED_THIS_CYCLE)

AFTER_CLEAR = 0x50
"""Status of every code just after a clear: bits 4 and 6. Source: transition text of ISO 14229-1 (seen), the value
from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Status:
    """What a module says about one code: `bits` as sent, `mask` the bits that it keeps.

    Two of the same bits under other masks are not the same: the masked ones are unknown.
    """

    bits: int
    mask: int = 0xFF

    def __post_init__(self) -> None:
        for name, value in (("bits", self.bits), ("mask", self.mask)):
            if not 0 <= value <= 0xFF:
                raise ValueError(f"{name} of a status are one byte, not {value:#x}")

    def says(self, bit: Bit) -> bool | None:
        """Whether a bit is set; None where the module does not keep it.

        >>> Status(bits=0x2B, mask=0x0F).says(Bit.CONFIRMED), Status(bits=0x2B, mask=0x0F).says(Bit.FAILED_SINCE_CLEAR)
        (True, None)
        """
        return None if not self.mask >> bit & 1 else bool(self.bits >> bit & 1)

    def any_of(self, bits: tuple[Bit, ...]) -> bool | None:
        """Whether any of some bits is set: yes beats unknown, unknown beats no."""
        answers = [self.says(bit) for bit in bits]
        return True if True in answers else None if None in answers else False

    @property
    def seen_failing(self) -> bool:
        """Whether any bit that speaks of a failure is set inside the mask. No: none is, not that there is no fault."""
        return self.any_of(SEEN_FAILING) is True

    @property
    def untested(self) -> bool | None:
        """Whether bit 4 or 6 says that a test is still to come; None: neither says so and one is not kept."""
        return self.any_of(NOT_TESTED)

    @property
    def passed_this_cycle(self) -> bool | None:
        """Whether the test ran in this cycle and did not fail: bits 6 and 1 clear. Computed from their definitions."""
        return self._none_of((Bit.NOT_TESTED_THIS_CYCLE, Bit.FAILED_THIS_CYCLE))

    @property
    def passed_since_clear(self) -> bool | None:
        """Whether the test ran since the codes were cleared and never failed: bits 4 and 5 clear. Computed."""
        return self._none_of((Bit.NOT_TESTED_SINCE_CLEAR, Bit.FAILED_SINCE_CLEAR))

    def _none_of(self, bits: tuple[Bit, ...]) -> bool | None:
        found = self.any_of(bits)
        return None if found is None else not found

    @property
    def as_after_clear(self) -> bool:
        """Whether the byte reads as just after a clear: bits 4 and 6 set, all others clear, all eight kept."""
        return self.mask == 0xFF and self.bits == AFTER_CLEAR

    @property
    def set_bits(self) -> tuple[Bit, ...]:
        """The bits that are set, inside the mask."""
        return tuple(bit for bit in Bit if self.says(bit))

    @property
    def unknown_bits(self) -> tuple[Bit, ...]:
        """The bits that the module does not keep."""
        return tuple(bit for bit in Bit if self.says(bit) is None)

    def changed(self, later: "Status") -> tuple[Bit, ...]:
        """The bits that both know and that are not the same in a later status.

        >>> [bit.words for bit in Status(bits=0x28).changed(Status(bits=0x2B))]
        ['failing now', 'failed in this cycle']
        """
        known = [bit for bit in Bit if self.says(bit) is not None and later.says(bit) is not None]
        return tuple(bit for bit in known if self.says(bit) != later.says(bit))

    def __str__(self) -> str:
        """The byte with what it says, and what it cannot say.

        >>> print(Status(bits=0x50))
        50: not tested since the codes were cleared, not tested in this cycle
        >>> print(Status(bits=0x08, mask=0x0F))
        08: confirmed (bits 4, 5, 6, 7 not kept: unknown)
        """
        said = ", ".join(bit.words for bit in self.set_bits) or "no bit set"
        unknown = ", ".join(str(bit.value) for bit in self.unknown_bits)
        many = "bits" if len(self.unknown_bits) > 1 else "bit"
        return f"{self.bits:02X}: {said}" + (f" ({many} {unknown} not kept: unknown)" if unknown else "")


def read_status(text: str, *, mask: int = 0xFF) -> Status | Wrong:
    """The status that a list wrote as two hex digits.

    >>> print(read_status("2b").bits)
    43
    >>> print(read_status("43d"))
    '43d' is no status; write the byte as two hex digits, such as 2B
    """
    digits = text.strip()
    if re.fullmatch(r"[0-9A-Fa-f]{2}", digits) is None:
        return Wrong(what=f"{digits!r} is no status", mend="write the byte as two hex digits, such as 2B")
    return Status(bits=int(digits, 16), mask=mask)
