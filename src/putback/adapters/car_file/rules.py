"""One idea: what keys of one group have to do with one another is said once, for the reader and for the schema."""

from dataclasses import dataclass
from typing import Any, Protocol

from putback.adapters.car_file.desk import Desk
from putback.adapters.car_file.filled import Filled

Schema = dict[str, Any]


class Rule(Protocol):
    """A relation between keys of one group."""

    def check(self, filled: Filled, desk: Desk) -> None:
        """Tell the desk where the group breaks it."""

    def schema(self) -> Schema:
        """The same as JSON Schema."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AtLeastOne:
    """One of these keys must be there."""

    keys: tuple[str, ...]
    mend: str
    rule: str

    def check(self, filled: Filled, desk: Desk) -> None:
        """Tell if none is."""
        if not filled.given.intersection(self.keys):
            desk.fault(filled.line, filled.at, f"there is none of {_list(self.keys)}", self.mend, self.rule)

    def schema(self) -> Schema:
        """Any of them required."""
        return {"anyOf": [{"required": [key]} for key in self.keys]}


@dataclass(frozen=True, slots=True, kw_only=True)
class ExactlyOne:
    """One of these keys must be there, and only one."""

    keys: tuple[str, ...]
    mend: str
    rule: str

    def check(self, filled: Filled, desk: Desk) -> None:
        """Tell if none or several are."""
        given = [key for key in self.keys if key in filled.given]
        if len(given) != 1:
            what = f"there is {_list(given, 'and')}" if given else f"there is none of {_list(self.keys)}"
            desk.fault(filled.line, filled.at, what, self.mend, self.rule)

    def schema(self) -> Schema:
        """One of them required."""
        return {"oneOf": [{"required": [key]} for key in self.keys]}


@dataclass(frozen=True, slots=True, kw_only=True)
class NotWith:
    """Where `key` is, none of `others` may be."""

    key: str
    others: tuple[str, ...]
    mend: str
    rule: str

    def check(self, filled: Filled, desk: Desk) -> None:
        """Tell each that is there all the same."""
        if self.key in filled.given:
            for other in self.others:
                if other in filled.given:
                    at = f"{filled.at}.{other}"
                    desk.fault(desk.line(at), at, f"{other} beside {self.key}", self.mend, self.rule)

    def schema(self) -> Schema:
        """If the key, then none of the others."""
        none = {"not": {"anyOf": [{"required": [other]} for other in self.others]}}
        return {"if": {"required": [self.key]}, "then": none}


@dataclass(frozen=True, slots=True, kw_only=True)
class OnlyWhen:
    """`key` may be there only when `other` has this value."""

    key: str
    other: str
    value: str
    mend: str
    rule: str

    def check(self, filled: Filled, desk: Desk) -> None:
        """Tell where the other has another value."""
        if self.key in filled.given and filled.get(self.other) not in {None, self.value}:
            at = f"{filled.at}.{self.key}"
            what = f"{self.key} where {self.other} is {filled.get(self.other)}"
            desk.fault(desk.line(at), at, what, self.mend, self.rule)

    def schema(self) -> Schema:
        """If the other has another value, then not the key."""
        fits = {"properties": {self.other: {"const": self.value}}}
        return {"if": fits, "else": {"not": {"required": [self.key]}}}


def _list(keys: tuple[str, ...] | list[str], word: str = "or") -> str:
    return keys[0] if len(keys) == 1 else ", ".join(keys[:-1]) + f" {word} {keys[-1]}"
