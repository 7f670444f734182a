"""One idea: a torque, a limit, a thread and a recheck are text with a unit, read once and refused without one."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from putback.adapters.car_file.desk import Desk
from putback.adapters.car_file.kinds import BAD, Bad, Schema, Text, refuse
from putback.adapters.car_file.nodes import Node, Scalar
from putback.core.quantity import Limit, Refused, Torque, read_limit, read_torque
from putback.core.thread import Thread, read_thread

Quantity = TypeVar("Quantity")


@dataclass(frozen=True, slots=True)
class TorqueText:
    """Number and unit, with angles after it where the source has them."""

    words: str = "such as `<number> N·m` or `<number> N·m + <number>°`"
    pattern: str = r"^\s*[0-9]+(\.[0-9]+)?\s*[^0-9+\s.][^0-9+]*(\+\s*[0-9]+(\.[0-9]+)?\s*(°|deg|degrees)\s*)*$"

    def read(self, node: Node, at: str, desk: Desk) -> Torque | Bad:
        """The torque."""
        return _quantity(read_torque, node, at, desk, "torque")

    def schema(self, defined: dict[str, Schema]) -> Schema:  # noqa: ARG002
        """A string that starts with a number and has a unit."""
        return {"type": "string", "pattern": self.pattern}


@dataclass(frozen=True, slots=True)
class LimitText:
    """Number and unit of a reading that must not be exceeded."""

    words: str = "such as `<number> V` or `<number> °C`"

    def read(self, node: Node, at: str, desk: Desk) -> Limit | Bad:
        """The limit."""
        return _quantity(read_limit, node, at, desk, "limit")

    def schema(self, defined: dict[str, Schema]) -> Schema:  # noqa: ARG002
        """A string that starts with a number and has a unit."""
        return {"type": "string", "pattern": r"^\s*-?[0-9]+(\.[0-9]+)?\s*[^0-9\s.].*$"}


def _quantity(reader: Callable[[str], Quantity], node: Node, at: str, desk: Desk, rule: str) -> Quantity | Bad:
    if not isinstance(node, Scalar) or isinstance(node.value, bool) or node.value is None:
        return refuse(node, at, desk, "write number and unit", rule=rule)
    try:
        return reader(node.text)
    except Refused as refusal:
        return refuse(node, at, desk, refusal.mend, refusal.what, rule)


@dataclass(frozen=True, slots=True)
class ThreadText:
    """A designation of thread and length."""

    words: str = "such as `M8x40` (nominal x length) or `M8`"

    def read(self, node: Node, at: str, desk: Desk) -> Thread | Bad:
        """The thread."""
        text = Text(self.words).read(node, at, desk)
        if text is BAD:
            return BAD
        mend = "write it such as M8x40 (nominal x length), M8x1.25x40, M8 or 1/4-20 UNC"
        return read_thread(text) or refuse(node, at, desk, mend, f"{text!r} is no thread designation", "thread")

    def schema(self, defined: dict[str, Schema]) -> Schema:  # noqa: ARG002
        """A string that starts like a thread."""
        return {"type": "string", "pattern": r"^\s*([Mm][0-9]|#?[0-9]+(/[0-9]+)?-[0-9])"}


@dataclass(frozen=True, slots=True)
class RecheckText:
    """How far or how long until a joint is checked again."""

    words: str = "such as `<number> km` or `<number> min`"
    pattern: str = r"^\s*[0-9]+(\.[0-9]+)?\s*(km|min|minutes)\s*$"

    def read(self, node: Node, at: str, desk: Desk) -> str | Bad:
        """The text as written."""
        if isinstance(node, Scalar) and isinstance(node.value, str) and re.match(self.pattern, node.value):
            return node.value.strip()
        return refuse(node, at, desk, "write number and unit, km or min", rule="recheck")

    def schema(self, defined: dict[str, Schema]) -> Schema:  # noqa: ARG002
        """A string of number and unit."""
        return {"type": "string", "pattern": self.pattern}
