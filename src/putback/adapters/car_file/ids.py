"""One idea: an id is given in one place and named in others; both are told to the desk, which compares them.

An id is made of letters, digits, - _ and dots: it goes into command lines, tables and pictures as it is.
"""

import re
from dataclasses import dataclass
from typing import Final

from putback.adapters.car_file.desk import Desk, Reference
from putback.adapters.car_file.kinds import BAD, Bad, Schema, Text
from putback.adapters.car_file.nodes import Node

RESERVED: Final = ("start", "end")
ID_PATTERN: Final = r"^[^\s!-/:-@\[-`{-~][^\s!-,/:-@\[-^`{-~]*$"


def read_id(node: Node, at: str, desk: Desk) -> str | Bad:
    """A text that can be an id, or BAD."""
    value = Text().read(node, at, desk)
    return BAD if value is BAD or not id_is_plain(value, node.line, at, desk) else value


def id_is_plain(id: str, line: int, at: str, desk: Desk) -> bool:
    """Whether an id is made of letters, digits, - _ and dots and is no reserved word."""
    if id in RESERVED:
        desk.fault(line, at, f"{id!r} is a reserved word", "choose another id", "id")
        return False
    if re.match(ID_PATTERN, id) and all(sign.isalnum() or sign in "-_." for sign in id):
        return True
    what = f"{id!r} cannot be an id"
    desk.fault(line, at, what, "use letters, digits, - _ and dots, and start with a letter or digit", "id")
    return False


@dataclass(frozen=True, slots=True)
class NewId:
    """An id given here; `section` None: it need be alone in its own list only."""

    section: str | None = None
    words: str = "id"

    def read(self, node: Node, at: str, desk: Desk) -> str | Bad:
        """The id, declared where it has a section."""
        id = read_id(node, at, desk)
        if id is not BAD and self.section is not None:
            desk.declare(self.section, id, node.line, at)
        return id

    def schema(self, defined: dict[str, Schema]) -> Schema:  # noqa: ARG002
        """A string of plain signs."""
        return {"type": "string", "pattern": ID_PATTERN, "not": {"enum": list(RESERVED)}}


@dataclass(frozen=True, slots=True)
class Named:
    """An id that must exist in one of these sections, or one of the extra words."""

    sections: tuple[str, ...]
    extra: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """Whose id."""
        return "id of " + " or ".join([*self.sections, *self.extra])

    def read(self, node: Node, at: str, desk: Desk) -> str | Bad:
        """The id; whether it exists is looked up when the whole file has been read."""
        id = Text(self.words).read(node, at, desk)
        if id is not BAD:
            desk.name(Reference(id=id, sections=self.sections, extra=self.extra, line=node.line, field=at))
        return id

    def schema(self, defined: dict[str, Schema]) -> Schema:  # noqa: ARG002
        """A string of plain signs."""
        return {"type": "string", "pattern": ID_PATTERN}


@dataclass(frozen=True, slots=True)
class RenewedWith:
    """An item's id, or `fluid NAME`."""

    words: str = "id of items, or `fluid NAME`"

    def read(self, node: Node, at: str, desk: Desk) -> str | Bad:
        """The text as written."""
        text = Text(self.words).read(node, at, desk)
        if text is not BAD:
            first, _, name = text.partition(" ")
            fluid = first == "fluid" and name.strip() != ""
            section, id = ("fluids", name.strip()) if fluid else ("items", text)
            desk.name(Reference(id=id, sections=(section,), extra=(), line=node.line, field=at))
        return text

    def schema(self, defined: dict[str, Schema]) -> Schema:  # noqa: ARG002
        """A string of plain signs, or one after `fluid`."""
        return {"type": "string", "pattern": r"^(fluid\s+)?[^\s,]+$"}
