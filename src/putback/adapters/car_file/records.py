"""One idea: a group of keys is a table of its keys, and that table alone says what may stand in it.

The same table reads the group, writes its JSON Schema and is compared with the documented tables by a test.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from putback.adapters.car_file.desk import Desk, shown
from putback.adapters.car_file.filled import Filled
from putback.adapters.car_file.ids import ID_PATTERN, RESERVED, Named, id_is_plain
from putback.adapters.car_file.kinds import BAD, Bad, Kind, Schema, refuse
from putback.adapters.car_file.nearest import words_of
from putback.adapters.car_file.nodes import Entry, Mapping, Node, Scalar
from putback.adapters.car_file.rules import Rule


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key of a group. `blank`: it may stand without a value, which means "value needed"."""

    name: str
    kind: Kind
    meaning: str
    example: str
    required: bool = False
    blank: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """A group with known keys; `rest` is the kind of all others, None: others are faults.

    `short` is the kind of a value that may stand for the whole group, as the value of the key of that name.
    """

    name: str
    keys: tuple[Key, ...]
    rules: tuple[Rule, ...] = ()
    rest: Kind | None = None
    short: str | None = None
    make: Callable[[Filled], Any] | None = None

    @property
    def words(self) -> str:
        """What the group is called."""
        group = f"{self.name.replace('_', ' ')} group"
        return f"{self.key(self.short).kind.words}, or {group}" if self.short else group

    def key(self, name: str) -> Key:
        """The key of this name.

        Raises:
            StopIteration: there is none.
        """
        return next(key for key in self.keys if key.name == name)

    def read(self, node: Node, at: str, desk: Desk) -> Any:
        """The group's values, or what `make` makes of them."""
        if self.short is not None and isinstance(node, Scalar) and node.value is not None:
            value = self.key(self.short).kind.read(node, at, desk)
            values = {} if value is BAD else {self.short: value}
            filled = Filled(at=at, line=node.line, values=values, given=frozenset((self.short,)))
            return BAD if value is BAD else self.made(filled)
        if not isinstance(node, Mapping):
            names = ", ".join(key.name for key in self.keys)
            return refuse(node, at, desk, f"write keys and values; the keys are {names}", f"{shown(node)} is no group")
        return self.made(self.fill(node, at, desk))

    def made(self, filled: Filled) -> Any:
        """What comes of a filled group."""
        return filled if self.make is None else self.make(filled)

    def fill(self, node: Mapping, at: str, desk: Desk) -> Filled:
        """Read every key, say what is unknown, missing or at odds with one another."""
        line = desk.lines.get(at, node.line)
        known = {key.name: key for key in self.keys}
        values: dict[str, Any] = {}
        rest: dict[str, Any] = {}
        meant: set[str] = set()
        for entry, first in distinct(node, at, desk):
            key = known.get(entry.key)
            if key is None and self.rest is None:
                meant.add(_say_unknown(entry, node.flow, tuple(known), at, desk))
                continue
            value = _value(key, self.rest, entry, at, desk)
            if value is not BAD and value is not None and first:
                (rest if key is None else values)[entry.key] = value
        given = frozenset(entry.key for entry in node.entries)
        for key in self.keys:
            told_later = at == "" and desk.is_named(key.name)  # with the ids that it would have to hold
            if key.required and key.name not in given | meant and not told_later:
                what = f"the key {key.name} is missing"
                desk.fault(
                    line, inner(at, key.name), what, f"add {key.name}: {key.example} ({key.meaning})", "missing-key"
                )
        filled = Filled(at=at, line=line, values=values, given=given, rest=rest)
        for rule in self.rules:
            rule.check(filled, desk)
        return filled

    def schema(self, defined: dict[str, Schema]) -> Schema:
        """A reference to the group's own definition."""
        if self.name not in defined:
            defined[self.name] = {}
            defined[self.name] = self._definition(defined)
        return {"$ref": f"#/$defs/{self.name}"}

    def _definition(self, defined: dict[str, Schema]) -> Schema:
        group: Schema = {
            "type": "object",
            "properties": {key.name: _key_schema(key, defined) for key in self.keys},
            "required": [key.name for key in self.keys if key.required],
            "additionalProperties": False if self.rest is None else self.rest.schema(defined),
        }
        if self.rules:
            group["allOf"] = [rule.schema() for rule in self.rules]
        return {"anyOf": [self.key(self.short).kind.schema(defined), group]} if self.short else group


def _key_schema(key: Key, defined: dict[str, Schema]) -> Schema:
    schema = key.kind.schema(defined)
    if key.blank:
        schema = {"anyOf": [schema, {"type": "null"}]}
    return {**schema, "description": key.meaning}


def _value(key: Key | None, rest: Kind | None, entry: Entry, at: str, desk: Desk) -> Any:
    """The value of one entry; None where it is blank and may be."""
    field_name = inner(at, entry.key)
    desk.lines.setdefault(field_name, entry.line)
    kind = rest if key is None else key.kind
    if isinstance(entry.value, Scalar) and entry.value.value is None:
        if key is None or not key.blank:
            desk.fault(entry.line, field_name, "there is no value", "write one, or delete the key", "no-value")
        return None
    return BAD if kind is None else kind.read(entry.value, field_name, desk)


def _say_unknown(entry: Entry, flow: bool, known: tuple[str, ...], at: str, desk: Desk) -> str:
    """Tell that a key is unknown; returns the known key it was probably meant to be, else an empty text."""
    near = words_of(known).nearest(entry.key)
    blank = isinstance(entry.value, Scalar) and entry.value.value is None
    mend = f"did you mean {near}?" if near else f"the keys here are {', '.join(known)}"
    if flow and blank:
        mend = "put text with a comma in quotes, and a blank after each colon"
    desk.fault(entry.line, inner(at, entry.key), f"the key {entry.key!r} is unknown", mend, "unknown-key")
    if near:
        desk.faulty.add(inner(at, near))
    return near or ""


def distinct(node: Mapping, at: str, desk: Desk) -> list[tuple[Entry, bool]]:
    """The entries, each with whether it is the first of its key; repeated and odd keys are told."""
    for line, text in node.odd_keys:
        what = f"the key {text!r} is no text" if text else "a list or group stands as a key"
        desk.fault(line, at, what, f'put it in quotes: "{text}"' if text else "write a text before the colon", "key")
    seen: dict[str, int] = {}
    marked = []
    for entry in node.entries:
        first = entry.key not in seen
        if not first:
            what = f"the key {entry.key!r} stands here twice, first in line {seen[entry.key]}"
            desk.fault(entry.line, inner(at, entry.key), what, "keep one of the two, or rename one", "same-key")
        seen.setdefault(entry.key, entry.line)
        marked.append((entry, first))
    return marked


def inner(at: str, key: str) -> str:
    """The field of a key inside a field."""
    return f"{at}.{key}" if at else key


@dataclass(frozen=True, slots=True)
class Section:
    """Ids of the user's own choice, each with a value of one kind. `section` names the ids' pool."""

    section: str
    kind: Kind
    least: int = 0

    @property
    def words(self) -> str:
        """An id and what belongs to it."""
        return f"{{id: {self.kind.words}}}"

    def read(self, node: Node, at: str, desk: Desk) -> dict[str, Any] | Bad:
        """The values by id, in the file's order."""
        if not isinstance(node, Mapping):
            return refuse(node, at, desk, "write an id, a colon and its keys", f"{shown(node)} is no group of ids")
        if len(node.entries) < self.least:
            return refuse(node, at, desk, "write at least one", "there is nothing in it", "length")
        values: dict[str, Any] = {}
        for entry, first in distinct(node, at, desk):
            name = inner(at, entry.key)
            desk.lines.setdefault(name, entry.line)
            plain = id_is_plain(entry.key, entry.line, name, desk)
            if first and entry.key not in RESERVED:
                desk.declare(self.section, entry.key, entry.line, name)
            value = self.kind.read(entry.value, name, desk)
            if first and plain and value is not BAD:
                values[entry.key] = value
        return values

    def schema(self, defined: dict[str, Schema]) -> Schema:
        """An object with free but plain keys."""
        names: Schema = {"pattern": ID_PATTERN, "not": {"enum": list(RESERVED)}}
        schema = {"type": "object", "propertyNames": names, "additionalProperties": self.kind.schema(defined)}
        return {**schema, "minProperties": self.least} if self.least else schema


@dataclass(frozen=True, slots=True)
class Amounts:
    """Free names, each with a value of one kind; `names` says what the names must be where they are ids."""

    kind: Kind
    names: Named | None = None

    @property
    def words(self) -> str:
        """A name and its value."""
        return f"{{{self.names.words if self.names else 'name'}: {self.kind.words}}}"

    def read(self, node: Node, at: str, desk: Desk) -> dict[str, Any] | Bad:
        """The values by name, in the file's order."""
        if not isinstance(node, Mapping):
            return refuse(node, at, desk, "write names, colons and values", f"{shown(node)} is no group")
        values: dict[str, Any] = {}
        for entry, first in distinct(node, at, desk):
            if self.names is not None:
                self.names.read(Scalar(line=entry.line, value=entry.key, text=entry.key), at, desk)
            name = inner(at, entry.key)
            desk.lines.setdefault(name, entry.line)
            value = self.kind.read(entry.value, name, desk)
            if first and value is not BAD:
                values[entry.key] = value
        return values

    def schema(self, defined: dict[str, Schema]) -> Schema:
        """An object with free keys."""
        return {"type": "object", "additionalProperties": self.kind.schema(defined)}
