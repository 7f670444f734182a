"""One idea: bytes or text that cannot be read are a value: what is wrong, and what to do about it.

Whatever reads a file adds file, line and field (`core.finding`); what stands here knows only the bytes.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrong:
    """One thing that is wrong in an answer or a text, with the mend."""

    what: str
    mend: str

    def __str__(self) -> str:
        """One line: what, mend.

        >>> print(Wrong(what="the answer ends inside a code", mend="read the module again"))
        the answer ends inside a code; read the module again
        """
        return f"{self.what}; {self.mend}"


def hexed(data: bytes) -> str:
    """Bytes as a person reads them.

    >>> hexed(bytes([0x43, 0x00]))
    '43 00'
    """
    return data.hex(" ").upper()
