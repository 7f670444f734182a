"""One idea: each kind of value in a car file is one class that reads it, names it and gives its JSON Schema.

So the reader, the published schema and the documented tables cannot drift apart. A value that cannot be read is
told to the desk and comes back as BAD; nothing is raised. The limits of numbers are in `limits`.
"""

import math
import re
from dataclasses import dataclass
from enum import Enum
from typing import Any, Final, Protocol

from putback.adapters.car_file.desk import Desk, shown
from putback.adapters.car_file.nearest import words_of
from putback.adapters.car_file.nodes import Node, Scalar

Schema = dict[str, Any]


class Bad(Enum):
    """The mark of a value that could not be read."""

    BAD = "bad"


BAD: Final = Bad.BAD


class Kind(Protocol):
    """What a value may be. `words` says it in a few words, for mends and for the documented tables."""

    @property
    def words(self) -> str:
        """The kind in a few words."""

    def read(self, node: Node, at: str, desk: Desk) -> Any:
        """The value, or BAD with what is wrong told to the desk."""

    def schema(self, defined: dict[str, Schema]) -> Schema:
        """The kind as JSON Schema; named groups are put into `defined`."""


def refuse(node: Node, at: str, desk: Desk, mend: str, what: str = "", rule: str = "type") -> Bad:
    """Tell the desk that this value is of the wrong kind."""
    desk.fault(node.line, at, what or f"{shown(node)} cannot stand here", mend, rule)
    return BAD


@dataclass(frozen=True, slots=True)
class Text:
    """Text that is not empty; `pattern` is what the schema may see of its form."""

    words: str = "text"
    pattern: str = r"\S"

    def read(self, node: Node, at: str, desk: Desk) -> str | Bad:
        """The text as written."""
        if isinstance(node, Scalar) and isinstance(node.value, str) and node.value.strip():
            return node.value
        quoted = f', such as "{node.text}"' if isinstance(node, Scalar) and node.text.strip() else ""
        return refuse(node, at, desk, f"write text; a number meant as text goes in quotes{quoted}")

    def schema(self, defined: dict[str, Schema]) -> Schema:  # noqa: ARG002
        """A string."""
        return {"type": "string", "pattern": self.pattern}


@dataclass(frozen=True, slots=True)
class Flag:
    """true or false."""

    words: str = "true or false"

    def read(self, node: Node, at: str, desk: Desk) -> bool | Bad:
        """The flag."""
        if isinstance(node, Scalar) and isinstance(node.value, bool):
            return node.value
        return refuse(node, at, desk, "write true or false, without quotes")

    def schema(self, defined: dict[str, Schema]) -> Schema:  # noqa: ARG002
        """A boolean."""
        return {"type": "boolean"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """A finite number between two limits; `above` leaves its limit out."""

    least: float | None = None
    most: float | None = None
    above: float | None = None
    whole: bool = False

    @property
    def words(self) -> str:
        """The limits in words."""
        name = "whole number" if self.whole else "number"
        if self.least is not None and self.most is not None:
            return f"{name} from {_plain(self.least)} to {_plain(self.most)}"
        limits = (("above", self.above), ("of at least", self.least), ("up to", self.most))
        return " ".join([name, *(f"{word} {_plain(limit)}" for word, limit in limits if limit is not None)])

    def read(self, node: Node, at: str, desk: Desk) -> float | Bad:
        """The number, as an int where it must be whole."""
        value = node.value if isinstance(node, Scalar) else None
        if isinstance(value, bool) or not isinstance(value, int | float):
            comma = isinstance(node, Scalar) and re.fullmatch(r"-?\d+,\d+", node.text)
            mend = f"write a {self.words}" + (", with a point for the comma" if comma else ", without quotes or unit")
            return refuse(node, at, desk, mend)
        if not self._fits(value):
            return refuse(node, at, desk, f"write a {self.words}", f"{shown(node)} cannot be", "number")
        return int(value) if self.whole else float(value)

    def _fits(self, value: float) -> bool:
        return (
            math.isfinite(value)
            and abs(value) < 1e15
            and (self.least is None or value >= self.least)
            and (self.most is None or value <= self.most)
            and (self.above is None or value > self.above)
            and (not self.whole or value == int(value))
        )

    def schema(self, defined: dict[str, Schema]) -> Schema:  # noqa: ARG002
        """A number with its limits."""
        limits = {"minimum": self.least, "maximum": self.most, "exclusiveMinimum": self.above}
        name = "integer" if self.whole else "number"
        return {"type": name, **{key: limit for key, limit in limits.items() if limit is not None}}


def _plain(limit: float) -> str:
    return f"{limit:,.12g}"


@dataclass(frozen=True, slots=True)
class Choice:
    """One word of a closed list."""

    choices: tuple[str, ...]

    @property
    def words(self) -> str:
        """The words to choose from."""
        return " or ".join(filter(None, [", ".join(self.choices[:-1]), self.choices[-1]]))

    def read(self, node: Node, at: str, desk: Desk) -> str | Bad:
        """The word."""
        if isinstance(node, Scalar) and node.value in self.choices:
            return str(node.value)
        near = words_of(self.choices).nearest(node.text) if isinstance(node, Scalar) else None
        mend = f"did you mean {near!r}? It can be {self.words}" if near else f"write {self.words}"
        return refuse(node, at, desk, mend, rule="choice")

    def schema(self, defined: dict[str, Schema]) -> Schema:  # noqa: ARG002
        """An enumeration."""
        return {"enum": list(self.choices)}


@dataclass(frozen=True, slots=True)
class Fact:
    """A short text or a number, kept as written."""

    words: str = "text or number"

    def read(self, node: Node, at: str, desk: Desk) -> str | Bad:
        """The value as text."""
        if isinstance(node, Scalar) and node.value is not None and node.text.strip():
            return node.text
        return refuse(node, at, desk, "write a text or a number")

    def schema(self, defined: dict[str, Schema]) -> Schema:  # noqa: ARG002
        """A string, number or boolean."""
        return {"type": ["string", "number", "boolean"]}
