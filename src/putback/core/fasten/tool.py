"""One idea: what a mechanic asks is a few fields and one answer; the command line and the page show the same tools.

A tool reads its fields from text, says at once all that is wrong with them, and tells: the answer, the lines behind
it, each with unit and source, what to beware of, and a layout to draw where there is one.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from difflib import get_close_matches
from enum import Enum
from typing import TypeAlias

from putback.core.fasten.answer import Answer, Band, NotComputable
from putback.core.fasten.calc import Wrong
from putback.core.quantity import Refused, Torque, read_torque

Given: TypeAlias = Mapping[str, str]
Point: TypeAlias = tuple[float, float]


class Ask(Enum):
    """How a field is asked."""

    NUMBER = "number"
    TEXT = "text"
    CHOICE = "choice"
    DATE = "date"
    FILE = "file"


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field of a tool: the option's name, the words beside it, an example as it is typed."""

    name: str
    words: str
    like: str
    ask: Ask = Ask.TEXT
    unit: str = ""
    needed: bool = False
    of: Sequence[str] = ()
    usual: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A figure behind an answer. `value` is a figure or words; `band` within what it may lie."""

    name: str
    value: float | str
    unit: str = ""
    band: Band | None = None
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Where fasteners sit, [mm], y upwards, and in which order they are tightened, as places in `points`."""

    points: tuple[Point, ...]
    order: tuple[int, ...]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What a tool tells: one sentence with the answer, the answer itself, the lines behind it, and a layout."""

    says: str
    answer: Answer
    lines: tuple[Line, ...] = ()
    layout: Layout | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tool:
    """One thing that can be asked. `answer` may raise `Wrong` (fields) and `NotComputable` (no answer exists)."""

    name: str
    title: str
    what: str
    fields: Sequence[Field]
    answer: Callable[["Fields"], Told]
    authority: str = ""
    draws: bool = False

    def tell(self, given: Given) -> Told:
        """Answer with fields as typed.

        Raises:
            Wrong: fields that are unknown, missing or cannot be read; all at once.
        """
        read = Fields(tool=self, given=given)
        names = [one.name for one in self.fields]
        for name in given:
            if name not in names:
                near = get_close_matches(name, names, n=3, cutoff=0.5)
                read.faults.append(f"{name!r} is no field; near it: {', '.join(near or names)}")
        for one in self.fields:
            if one.needed and not given.get(one.name, "").strip():
                read.faults.append(f"{one.name} is missing: {one.words}, such as {one.like}")
        if read.faults:
            raise Wrong(read.faults)
        try:
            told = self.answer(read)
        except (NotComputable, Refused) as out:
            if read.faults:
                raise Wrong(read.faults) from None
            why = out.why if isinstance(out, NotComputable) else out.what
            told = Told(says=f"No answer: {why}; {out.mend}.", answer=Answer(refused=f"{why}; {out.mend}", source="-"))
        if read.faults:
            raise Wrong(read.faults)
        return told


@dataclass(slots=True, kw_only=True)
class Fields:
    """The fields of one call. Each reader gives the value, or notes the fault and gives something harmless."""

    tool: Tool
    given: Given
    faults: list[str] = field(default_factory=list)

    def text(self, name: str) -> str:
        """What was typed, or what is usual."""
        usual = next(one.usual for one in self.tool.fields if one.name == name)
        return self.given.get(name, "").strip() or usual

    def has(self, name: str) -> bool:
        """Whether the field was filled in."""
        return bool(self.given.get(name, "").strip())

    def number(
        self, name: str, *, above: float | None = None, least: float | None = None, most: float = math.inf
    ) -> float:
        """A number within bounds; a comma may stand for the point."""
        text = self.text(name)
        try:
            value = float(text.replace(",", "."))
        except ValueError:
            self.faults.append(f"{name}={text!r} is not a number; write it as a plain number")
            return above + 1 if above is not None else least or 0.0
        if not math.isfinite(value):
            self.faults.append(f"{name}={text!r} has no end; write the number as it is")
        elif above is not None and value <= above:
            self.faults.append(f"{name}={text} is too small; it is more than {above:g}")
        elif least is not None and value < least:
            self.faults.append(f"{name}={text} is too small; it is at least {least:g}")
        elif value > most:
            self.faults.append(f"{name}={text} is too much; it is at most {most:g}")
        return value

    def choice(self, name: str) -> str:
        """One of the words that the field may hold."""
        of = next(one.of for one in self.tool.fields if one.name == name)
        text = self.text(name).lower()
        if text not in of:
            self.faults.append(f"{name}={text!r} is not known; one of {', '.join(of)}")
            return of[0]
        return text

    def day(self, name: str) -> date | None:
        """A day of the calendar; None where it cannot be read, which is noted."""
        try:
            return date.fromisoformat(self.text(name))
        except ValueError:
            self.faults.append(f"{name}={self.text(name)!r} is no day; write such as 2026-11-26")
            return None

    def torque(self, name: str) -> Torque:
        """A torque with its unit."""
        try:
            return read_torque(self.text(name))
        except Refused as wrong:
            self.faults.append(f"{name}: {wrong.what}; {wrong.mend}")
            return Torque(value=1.0, unit="N·m")
