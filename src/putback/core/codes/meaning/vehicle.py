"""One idea: what a module says of itself is shown as it was sent, odd characters and all, and marked.

Service 09 over CAN: kind, count, then items of one length. Source: SAE J1979 / ISO 15031-5; rows in
tests/core/codes/test_vehicle.py.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from putback.core.codes.meaning.bits import SPAN, supported
from putback.core.codes.meaning.vin import VinCheck, check_vin
from putback.core.codes.meaning.wrong import Wrong, hexed

ANSWER = 0x49
VIN = 0x02


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """What one kind of information is: its name, the bytes of one item, whether they are text."""

    name: str
    size: int
    text: bool


KINDS: Mapping[int, Kind] = MappingProxyType(
    {
        VIN: Kind(name="vehicle number", size=17, text=True),
        0x04: Kind(name="calibration", size=16, text=True),
        0x06: Kind(name="calibration check number", size=4, text=False),
        0x08: Kind(name="counts of monitors run, spark", size=2, text=False),
        0x0A: Kind(name="module name", size=20, text=True),
        0x0B: Kind(name="counts of monitors run, compression", size=2, text=False),
    }
)
"""Kinds of information that can be read; 0B from memory. Others are shown as bytes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One piece of information: its bytes, and its text where it is one. `padding` counts zeros around the text."""

    data: bytes
    text: str | None
    padding: int = 0

    @property
    def number(self) -> int:
        """The bytes as a number."""
        return int.from_bytes(self.data, "big")


@dataclass(frozen=True, slots=True, kw_only=True)
class InfoAnswer:
    """What an answer to service 09 says. `kind` and `stated`, the count, are None where the answer was cut off."""

    kind: int | None
    stated: int | None = None
    items: tuple[Item, ...] = ()
    supported: tuple[int, ...] = ()
    padding: int = 0
    wrong: tuple[Wrong, ...] = ()

    @property
    def name(self) -> str:
        """What the information is."""
        if self.kind is None:
            return "nothing"
        return KINDS[self.kind].name if self.kind in KINDS else f"information {self.kind:02X}"

    @property
    def vins(self) -> tuple[VinCheck, ...]:
        """The vehicle numbers with what speaks against them; none for other kinds."""
        return tuple(check_vin(item.text or "") for item in self.items) if self.kind == VIN else ()


def shown(data: bytes) -> str:
    r"""Bytes as text: ASCII as it is, anything else as \xNN, so that nothing is dropped and nothing acts on a screen.

    >>> print(shown(b"A-1\x07"))
    A-1\x07
    """
    return "".join(chr(byte) if 0x20 <= byte < 0x7F else f"\\x{byte:02X}" for byte in data)


def read_info(answer: bytes) -> InfoAnswer:
    """The items of an answer to service 09 over CAN, from 49 on.

    >>> found = read_info(b"\\x49\\x02\\x01" + b"9ZZXA00A3T0000001")
    >>> found.items[0].text, found.vins[0].warnings
    ('9ZZXA00A3T0000001', ())
    """
    if len(answer) < 2 or answer[0] != ANSWER:
        what = f"{hexed(answer[:2]) or 'nothing'} is no answer to service 09"
        return InfoAnswer(kind=None, wrong=(Wrong(what=what, mend="read the module again"),))
    if answer[1] % SPAN == 0:
        return _supported(answer)
    if len(answer) == 2:
        wrong = Wrong(what="the answer ends before the count of items", mend="read the module again")
        return InfoAnswer(kind=answer[1], wrong=(wrong,))
    if answer[1] not in KINDS:
        return InfoAnswer(kind=answer[1], stated=answer[2], items=(Item(data=answer[3:], text=None),))
    return _items(answer, KINDS[answer[1]])


def _items(answer: bytes, kind: Kind) -> InfoAnswer:
    stated, body = answer[2], answer[3:]
    end = min(len(body) // kind.size, stated) * kind.size
    items = tuple(_item(body[place : place + kind.size], kind) for place in range(0, end, kind.size))
    rest = body[end:]
    wrong = []
    if len(items) < stated:
        what = f"the answer says {stated} of {kind.size} bytes and holds {len(items)}"
        wrong.append(Wrong(what=what, mend="read the module again"))
    if any(rest):
        wrong.append(Wrong(what=f"{hexed(rest)} stands after the last whole item", mend="read the module again"))
    padding = 0 if any(rest) else len(rest)
    return InfoAnswer(kind=answer[1], stated=stated, items=items, padding=padding, wrong=tuple(wrong))


def _item(data: bytes, kind: Kind) -> Item:
    if not kind.text:
        return Item(data=data, text=None)
    bare = data.strip(b"\x00")
    return Item(data=data, text=shown(bare), padding=len(data) - len(bare))


def _supported(answer: bytes) -> InfoAnswer:
    """Over CAN five bytes: the kind and four bytes of bits; older buses put a count of 01 between them."""
    bits = answer[3:7] if len(answer) == 7 and answer[2] == 1 else answer[2:6]
    rest = b"" if len(answer) == 7 and answer[2] == 1 else answer[6:]
    wrong = []
    if len(bits) < 4:
        wrong.append(Wrong(what="the answer ends inside its row of bits", mend="read the module again"))
    if any(rest):
        wrong.append(Wrong(what=f"{hexed(rest)} stands after the row of bits", mend="read the module again"))
    found = supported(answer[1], bits) if len(bits) == 4 else ()
    padding = 0 if any(rest) else len(rest)
    return InfoAnswer(kind=answer[1], supported=found, padding=padding, wrong=tuple(wrong))
