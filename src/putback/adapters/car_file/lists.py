"""One idea: a list is values of one kind; its groups are called by their id."""

from dataclasses import dataclass
from typing import Any

from putback.adapters.car_file.desk import Desk, shown
from putback.adapters.car_file.ids import Named, RenewedWith
from putback.adapters.car_file.kinds import BAD, Bad, Kind, Schema, refuse
from putback.adapters.car_file.nodes import Mapping, Node, Scalar, Sequence
from putback.adapters.car_file.records import Record


@dataclass(frozen=True, slots=True)
class Many:
    """A list of values of one kind. `own_ids`: its groups have ids that are theirs alone within this list."""

    kind: Kind
    least: int = 0
    exactly: int | None = None
    own_ids: bool = False

    @property
    def words(self) -> str:
        """The kind of its entries."""
        if self.exactly is None:
            return f"[{self.kind.words}]"
        return f"[{', '.join('n' * self.exactly)}], each n a {self.kind.words}"

    def read(self, node: Node, at: str, desk: Desk) -> tuple[Any, ...] | Bad:
        """The values; those that could not be read are left out, unless their number matters."""
        if not isinstance(node, Sequence):
            return refuse(node, at, desk, f"write a list: {self.words}", f"{shown(node)} is no list")
        if self.exactly is not None and len(node.entries) != self.exactly:
            count = len(node.entries)
            what = f"{count} {'value' if count == 1 else 'values'} where {self.exactly} belong"
            return refuse(node, at, desk, f"write {self.words}; a fraction takes a point, not a comma", what, "length")
        if len(node.entries) < self.least:
            return refuse(node, at, desk, "name at least one, or delete the key", "the list is empty", "length")
        values = []
        for number, entry in enumerate(node.entries, 1):
            inside = entry_field(entry, number, at)
            desk.lines.setdefault(inside, entry.line)
            values.append(self.kind.read(entry, inside, desk))
        if self.exactly is not None and BAD in values:
            return BAD
        self._say_repeats(node, at, desk)
        self._keep_lines(node, at, desk)
        return tuple(value for value in values if value is not BAD)

    def _say_repeats(self, node: Sequence, at: str, desk: Desk) -> None:
        """Tell ids given twice among the groups, and ids named twice among the values."""
        names_ids = isinstance(self.kind, Named | RenewedWith) or (isinstance(self.kind, Record) and self.kind.short)
        seen: dict[str, int] = {}
        for entry in node.entries:
            id = entry.get("id") if isinstance(entry, Mapping) else entry
            text = id.text if isinstance(id, Scalar) else ""
            if text in seen and self.own_ids:
                what = f"the id {text!r} is taken in line {seen[text]}"
                desk.fault(entry.line, at, what, "give each an id of its own", "same-id")
            elif text in seen and names_ids and isinstance(entry, Scalar):
                desk.note(entry.line, at, f"{text!r} is named twice", "name it once", "repeated")
            if text:
                seen.setdefault(text, entry.line)

    def _keep_lines(self, node: Sequence, at: str, desk: Desk) -> None:
        """Keep the lines of ids that are named by a group, as those of ids named alone are kept."""
        if isinstance(self.kind, Record) and self.kind.short:
            for entry in node.entries:
                named = entry.get(self.kind.short) if isinstance(entry, Mapping) else None
                if isinstance(named, Scalar):
                    desk.entry_lines.setdefault((at, named.text), named.line)

    def schema(self, defined: dict[str, Schema]) -> Schema:
        """An array."""
        limits = {"minItems": self.exactly or self.least, "maxItems": self.exactly}
        return {
            "type": "array",
            "items": self.kind.schema(defined),
            **{key: limit for key, limit in limits.items() if limit},
        }


def entry_field(entry: Node, number: int, at: str) -> str:
    """The field of one list entry: groups are called by their id, else by their number; single values by the list."""
    if isinstance(entry, Scalar | Sequence):
        return at
    id = entry.get("id")
    named = isinstance(id, Scalar) and isinstance(id.value, str) and id.value != ""
    return f"{at}.{id.value if named and isinstance(id, Scalar) else number}"
