"""One idea: what a mechanic asks is a few fields and one answer; the command line and the page show the same tools.

A tool reads its fields from text, says at once all that is wrong with them, and tells: the answer, the lines behind
it, each with unit and source, what to beware of, and a layout to draw where there is one.
"""

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from difflib import get_close_matches
from enum import Enum
from typing import TypeAlias

from putback.core.fasten.answer import Answer, Band, NotComputable
from putback.core.fasten.calc import Wrong
from putback.core.fasten.typed import Unread, number_typed, with_points
from putback.core.quantity import Refused, Torque, read_torque

Given: TypeAlias = Mapping[str, str]
Point: TypeAlias = tuple[float, float]


class Ask(Enum):
    """How a field is asked."""

    NUMBER = "number"
    TORQUE = "torque"
    TEXT = "text"
    CHOICE = "choice"
    DATE = "date"
    FILE = "file"


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field of a tool: the option's name, the words beside it, an example as it is typed.

    A number is more than `above`, at least `least` and at most `most`, in `unit`.
    `today`: where it is left out, whoever asks fills in the day on which it is asked.
    """

    name: str
    words: str
    like: str
    ask: Ask = Ask.TEXT
    unit: str = ""
    needed: bool = False
    of: Sequence[str] = ()
    usual: str = ""
    above: float | None = None
    least: float | None = None
    most: float = math.inf
    today: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A figure behind an answer. `value` is a figure or words; `band` within what it may lie.

    `mark`: it is worth seeing on the picture of the band, being in the same unit.
    """

    name: str
    value: float | str
    unit: str = ""
    band: Band | None = None
    source: str = ""
    mark: bool = False


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

    def on(self, day: date, given: Given) -> dict[str, str]:
        """The fields with the day of asking in those that were left out and mean it."""
        days = {one.name: day.isoformat() for one in self.fields if one.today and not given.get(one.name, "").strip()}
        return {**given, **days}

    def tell(self, given: Given) -> Told:
        """Answer with fields as typed.

        Raises:
            Wrong: fields that are unknown, missing or cannot be read; all at once.
        """
        read = Fields(tool=self, given=given)
        read.names()
        told = self._told(read) if not read.faults else _refused("unread", "")
        if read.faults:
            read.look()
            raise Wrong(tuple(dict.fromkeys(read.faults)))
        return told if _has_an_end(told) else _refused("the answer has no end", "check the figures")

    def _told(self, read: "Fields") -> Told:
        """The answer, or why there is none; of no account where the fields have faults."""
        try:
            return self.answer(read)
        except NotComputable as out:
            return _refused(out.why, out.mend)
        except Refused as out:
            return _refused(out.what, out.mend)
        except ArithmeticError:
            return _refused("these figures have no answer", "check them")
        except ValueError:
            if not read.faults:
                raise
            return _refused("unread", "")


def _refused(why: str, mend: str) -> Told:
    """No answer, why not, and what to do instead."""
    return Told(says=f"No answer: {why}; {mend}.", answer=Answer(refused=f"{why}; {mend}", source="-"))


def _has_an_end(told: Told) -> bool:
    """Whether every figure of an answer is a number that can be written."""
    bands = (told.answer.band, told.answer.range, *(one.band for one in told.lines))
    figures = (told.answer.value, *(one.value for one in told.lines), *(end for band in bands if band for end in band))
    return all(math.isfinite(one) for one in figures if isinstance(one, float))


@dataclass(slots=True, kw_only=True)
class Fields:
    """The fields of one call. Each reader gives the value, or notes the fault and gives something harmless."""

    tool: Tool
    given: Given
    faults: list[str] = field(default_factory=list)

    def names(self) -> None:
        """Note fields that are not known, and those that are missing."""
        known = [one.name for one in self.tool.fields]
        for name in self.given:
            if name not in known:
                near = get_close_matches(name, known, n=3, cutoff=0.5)
                self.faults.append(f"{name!r} is no field; near it: {', '.join(near or known)}")
        for one in self.tool.fields:
            if one.needed and not self.has(one.name):
                self.faults.append(f"{one.name} is missing: {one.words}, such as {one.like}")

    def look(self) -> None:
        """Read what was given without asking for an answer, so that every fault of it is noted."""
        readers: dict[Ask, Callable[[str], object]] = {
            Ask.NUMBER: self.number,
            Ask.TORQUE: self.torque,
            Ask.DATE: self.day,
        }
        for one in self.tool.fields:
            if one.ask in readers and self.has(one.name):
                readers[one.ask](one.name)

    def text(self, name: str) -> str:
        """What was typed, or what is usual."""
        return self.given.get(name, "").strip() or self._field(name).usual

    def has(self, name: str) -> bool:
        """Whether the field was filled in."""
        return bool(self.given.get(name, "").strip())

    def number(self, name: str) -> float:
        """A number within its field's bounds and in its unit; a comma may stand for the point, the unit behind it."""
        text, one = self.text(name), self._field(name)
        try:
            value = number_typed(text, one.unit)
        except Unread as wrong:
            self.faults.append(f"{name}={text!r} {wrong}")
            return one.above + 1 if one.above is not None else one.least or 0.0
        if one.above is not None and value <= one.above:
            self.faults.append(f"{name}={text} is too small; it is more than {one.above:g}")
        elif one.least is not None and value < one.least:
            self.faults.append(f"{name}={text} is too small; it is at least {one.least:g}")
        elif value > one.most:
            self.faults.append(f"{name}={text} is too much; it is at most {one.most:g}")
        return value

    def _field(self, name: str) -> Field:
        return next(one for one in self.tool.fields if one.name == name)

    def completed(self, name: str) -> str:
        """A word of a choice, where only one begins with what was typed; else the text as it is."""
        text = self.text(name).casefold()
        begun = [word for word in self._field(name).of if word.casefold().startswith(text)]
        exact = [word for word in begun if word.casefold() == text]
        return exact[0] if exact else begun[0] if len(begun) == 1 else text

    def choice(self, name: str) -> str:
        """One of the words that the field may hold."""
        of, text = self._field(name).of, self.completed(name)
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
            return read_torque(with_points(self.text(name)))
        except Unread as wrong:
            self.faults.append(f"{name}={self.text(name)!r} {wrong}")
        except Refused as wrong:
            self.faults.append(f"{name}: {wrong.what}; {wrong.mend.removesuffix(', in quotes')}")
        return Torque(value=1.0, unit="N·m")

    def digits(self, name: str) -> str:
        """The number in front of a text, with the digits that its source gave it."""
        found = re.match(r"[\d.]+", with_points(self.text(name)))
        return found[0] if found else ""
