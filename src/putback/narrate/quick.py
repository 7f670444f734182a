"""One idea: one line says one thing done, and everything in it that is not understood is said, never guessed.

The bay page reads the same line by the same tables (`quick_words`), so what is here stays simple: words from left to
right, each known by the tables or by the names of this job.
"""

import re
import unicodedata
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from putback.narrate.quick_words import TABLES
from putback.narrate.sense.things import singular

_TOKEN: Final = re.compile(r"[0-9]+(?:[.,][0-9]+)?(?:/[0-9]+)?|[^\W\d_]+(?:['’][^\W\d_]+)*|\S")
_STOPS: Final = frozenset(",;.:!?")
_MOST: Final = 1000
"""A count is smaller."""
_LONGEST: Final = 300
"""So many signs a line has at most; what stands behind them is not read, and that is said."""
_GROUPS: Final = dict.fromkeys(("on", "start", "tighten", "renew", "fill"), "back") | {"off": "in", "drain": "in"}
_PLAIN: Final = frozenset({"on", "off"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What one line says. `does`: off, on, start, tighten, renew, drain, fill, guard, or "" where it does not say.

    `size` as in narration (`10mm`, `T30`), `thread` beside it (`M6`, `M6x25`); `torque` its value and unit; `words`
    what the thing is called, in the singular; `soft` words of fasteners that may be part of a name too. `doubts` say
    why it cannot count as it stands: two, not, other, slack, no unit, long.
    """

    does: str = ""
    count: int | None = None
    size: str | None = None
    thread: str | None = None
    kind: str | None = None
    torque: tuple[str, str] | None = None
    words: tuple[str, ...] = ()
    soft: tuple[str, ...] = ()
    tray: str | None = None
    tool: str | None = None
    new: bool = False
    doubts: tuple[str, ...] = ()


def read_line(line: str, names: Collection[str] = ()) -> Reading:
    """What a line says.

    Args:
        line: one line, typed or dictated.
        names: the words of all names of the job, in lower case and in the singular.

    >>> said = read_line("four ten-mil off, front cowl, tray C", {"front", "cowl"})
    >>> said.does, said.count, said.size, said.words, said.tray
    ('off', 4, '10mm', ('front', 'cowl'), 'C')
    """
    text = unicodedata.normalize("NFKC", line).lower()
    reader = _Reader([match.group() for match in _TOKEN.finditer(text[:_LONGEST])], names)
    if len(text) > _LONGEST:
        reader.doubt("long")
    return reader.read()


@dataclass(slots=True)
class _Reader:
    """What was read so far. `at` is the place of the next word; `corrects` says that "no" stood before it."""

    tokens: Sequence[str]
    names: Collection[str]
    at: int = 0
    corrects: bool = False
    heard: dict[str, Any] = field(default_factory=dict)
    groups: list[list[str]] = field(default_factory=lambda: [[]])
    soft: list[str] = field(default_factory=list)
    weak: str = ""
    slot: str = ""
    doubts: list[str] = field(default_factory=list)

    def read(self) -> Reading:
        """All words, from left to right."""
        while self.at < len(self.tokens):
            known = self._stop() or self._tray() or self._tool() or self._quantity() or self._correction()
            if not known:
                self._word()
        does = self.heard.pop("does", self.weak)
        if does in ("slack", "other"):
            self.doubt(does)
            does = ""
        words = tuple(dict.fromkeys(word for group in self.groups for word in group))
        return Reading(
            does=does, words=words, soft=tuple(dict.fromkeys(self.soft)), doubts=tuple(self.doubts), **self.heard
        )

    def doubt(self, why: str) -> None:
        """Say once why the line cannot count."""
        if why not in self.doubts:
            self.doubts.append(why)

    def _low(self, at: int) -> str:
        return self.tokens[at] if at < len(self.tokens) else ""

    def _is_name(self, low: str) -> bool:
        return singular(low) in self.names

    def _set(self, what: str, value: Any) -> None:
        """Keep what was heard: said twice it counts only where the second corrects the first."""
        if what in self.heard and self.heard[what] != value and not self.corrects:
            self.doubt("two")
        self.heard[what] = value
        self.corrects = False
        self.slot = what

    def _stop(self) -> bool:
        if self._low(self.at) not in _STOPS:
            return False
        if self.groups[-1]:
            self.groups.append([])
        self.at += 1
        return True

    def _correction(self) -> bool:
        low = self._low(self.at)
        if low not in TABLES["corrects"] or self._is_name(low):
            return False
        behind = any(one not in _STOPS for one in self.tokens[self.at + 1 :])
        before = self._low(self.at - 1) if self.at else ""
        if not behind or not before or (low == "no" and before not in _STOPS and not self.slot):
            return False
        self.corrects = True
        self.at += 1
        return True

    def _tray(self) -> bool:
        """`Tray C1`, `bench`: where it is put; after a correction the label alone will do."""
        low = self._low(self.at)
        mended, behind = self._label(self.at)
        if self.corrects and self.slot == "tray" and mended:
            self._set("tray", mended)
            self.at = behind
            return True
        if low not in TABLES["stores"] or self._is_name(low):
            return False
        label, self.at = self._label(self.at + 1)
        if label or low != "tray":
            self._set("tray", label if low == "tray" else f"{low} {label}".strip())
        self.weak = ""
        return True

    def _label(self, at: int) -> tuple[str, int]:
        """A letter, a letter with a number, or a number; and the place behind it."""
        low = self._low(at)
        letter = low.upper() if len(low) == 1 and low.isascii() and low.isalpha() else ""
        number, after = number_at(self.tokens, at + 1 if letter else at)
        if number and not set(number) & set("./") and (letter or not self._is_unit(after)):
            return letter + number, after
        return letter, at + 1 if letter else at

    def _is_unit(self, at: int) -> bool:
        low = self._low(at + 1 if self._low(at) == "-" else at)
        return low in TABLES["millimetres"] or low in TABLES["inches"] or self._torque_unit(at) is not None

    def _tool(self) -> bool:
        """`With the 10 mm socket`: up to the last word that names a tool, before the next stop."""
        if self._low(self.at) not in ("with", "using"):
            return False
        end = self.at + 1
        while end < len(self.tokens) and self.tokens[end] not in _STOPS:
            end += 1
        last = max((at for at in range(self.at, end) if singular(self.tokens[at]) in TABLES["tools"]), default=0)
        if not last:
            self.at += 1
            return True
        inside = [one for one in self.tokens[self.at + 1 : last + 1] if one not in ("the", "a", "an", "my")]
        self._set("tool", " ".join(inside))
        size = _size_of(inside)
        if size and "size" not in self.heard:
            self._set("size", size)
        self.at = last + 1
        return True

    def _quantity(self) -> bool:
        return self._lettered() or self._tens() or self._number()

    def _lettered(self) -> bool:
        """`M6`, `T thirty`, `torx 25`."""
        letter = TABLES["letters"].get(self._low(self.at))
        at = self.at + (2 if self._low(self.at + 1) == "-" else 1)
        number, after = number_at(self.tokens, at)
        if letter is None or not number or set(number) & set("./") or not 0 < int(number) <= 100:
            return False
        size = letter + number
        if letter == "M" and self._low(after) in ("x", "×"):
            length, behind = number_at(self.tokens, after + 1)
            if length:
                size, after = f"{size}x{length}", behind
        self._set("thread" if letter == "M" else "size", size)
        self.at = after
        return True

    def _tens(self) -> bool:
        """`Three tens`: heads of ten millimetres."""
        head = TABLES["tens_of"].get(self._low(self.at))
        if head is None:
            return False
        self._set("size", f"{head}mm")
        self.at += 1
        return True

    def _number(self) -> bool:
        at = self.at + (self._low(self.at) in ("x", "×"))
        number, after = number_at(self.tokens, at)
        if not number:
            return False
        if singular(self._low(at)) in self.names and self._is_name(self._low(after)):
            return False
        behind = after + (self._low(after) == "-")
        unit = self._torque_unit(behind)
        if unit is not None:
            self._set("torque", (number, unit[0]))
            self.at = unit[1]
        elif self._low(behind) in TABLES["millimetres"]:
            self.at = behind + 1
            self._sized(number, "mm")
        elif self._low(behind) in TABLES["inches"] or "/" in number:
            self.at = behind + (self._low(behind) in TABLES["inches"])
            self._sized(number, "in")
        elif self._low(behind) in TABLES["other_units"]:
            self.at = behind + 1
        else:
            self._counted(number, at, after)
        return True

    def _sized(self, number: str, unit: str) -> None:
        drive = TABLES["drives"].get(self._low(self.at))
        self.at += drive is not None
        self._set("size", f"{number}{unit}{f' {drive}' if drive else ''}")

    def _counted(self, number: str, at: int, after: int) -> None:
        """A number alone: a count; after "to" a torque without its unit, which is none."""
        self.at = after + (self._low(after) in ("x", "×", "of", "s"))
        if self._low(after) == "s":
            self._set("size", f"{number}mm")
        elif (at and self._low(at - 1) == "to") or set(number) & set("./") or not 0 < int(number) < _MOST:
            self.doubt("no unit")
        else:
            self._set("count", int(number))

    def _torque_unit(self, at: int) -> tuple[str, int] | None:
        for unit, name in TABLES["torque_units"]:
            if list(self.tokens[at : at + len(unit)]) == unit:
                return name, at + len(unit)
        return None

    def _word(self) -> None:
        low = self._low(self.at)
        self.at += 1
        if self._said_not(low) or self._direction(low) or self._fastener(low):
            return
        if low == "new":
            self.heard["new"] = True
        elif self._is_name(low) or not self._says_nothing(low):
            self._named(singular(low))

    def _said_not(self, low: str) -> bool:
        if low not in TABLES["negations"] or self._is_name(low):
            return False
        self.doubt("not")
        return True

    def _direction(self, low: str) -> bool:
        """A verb or particle that says what was done."""
        if low in TABLES["weak"]:
            self.weak = self.weak or ("on" if low in ("on", "in") else "")
            return True
        does = TABLES["particles"].get(low) or TABLES["verbs"].get(low)
        if does is None or low in TABLES["fasteners"] or (self._is_name(low) and low not in TABLES["participles"]):
            return False
        if does:
            self._does(does)
        return True

    def _does(self, does: str) -> None:
        """A second word of the same direction makes the first exact; another direction is a doubt."""
        known = self.heard.get("does", "")
        if known and not self.corrects and _GROUPS.get(known, known) == _GROUPS.get(does, does):
            if does in _PLAIN:
                return
            if known in _PLAIN:
                self.heard["does"] = does
                return
        self._set("does", does)

    def _fastener(self, low: str) -> bool:
        kind = TABLES["fasteners"].get(low)
        if kind is None:
            return False
        if self._is_name(low):
            self.soft.append(singular(low))
        self._set("kind", kind)
        return True

    def _says_nothing(self, low: str) -> bool:
        known = low in TABLES["passed_over"] or low in TABLES["of_fasteners"] or low in TABLES["weak"] or low == "to"
        return known or not (low.isalpha() or "'" in low or "’" in low)

    def _named(self, word: str) -> None:
        """A word of what it is called. After a correction it takes the place of what stood before."""
        if self.corrects and self.slot == "words":
            self.groups = [*[group for group in self.groups if group][:-1], []]
        self.corrects = False
        self.slot = "words"
        self.groups[-1].append(word)


def number_at(tokens: Sequence[str], at: int) -> tuple[str, int]:
    """The number that begins at a word, as it is written, and the place behind it; "" where none does.

    >>> [number_at(said.split(), 0) for said in ("twenty two off", "five point five", "five eighths", "off")]
    [('22', 2), ('5.5', 3), ('5/8', 2), ('', 0)]
    """
    low = tokens[at] if at < len(tokens) else ""
    if low[:1].isdigit():
        return (low.replace(",", "."), at + 1) if len(low) <= len("123456789012") and "/0" not in low else ("", at)
    value, after = _whole(tokens, at)
    if value is None:
        part = TABLES["parts"].get(low)
        inch = tokens[after + 1] if part and after + 1 < len(tokens) else ""
        return (f"1/{part}", at + 1) if inch in TABLES["inches"] else ("", at)
    part = TABLES["parts"].get(_at(tokens, _past_hyphen(tokens, after)))
    if part and value < part:
        return f"{value}/{part}", _past_hyphen(tokens, after) + 1
    digits, end = "", after + 1
    while _at(tokens, after) == "point" and TABLES["units"].get(_at(tokens, end), 10) < 10:
        digits += str(TABLES["units"][_at(tokens, end)])
        end += 1
    return (f"{value}.{digits}", end) if digits else (str(value), after)


def _whole(tokens: Sequence[str], at: int) -> tuple[int | None, int]:
    """A whole number in words."""
    low, units, tens = _at(tokens, at), TABLES["units"], TABLES["tens"]
    if low in units:
        value, after = units[low], at + 1
    elif low in tens:
        value, after = tens[low], at + 1
        unit = _past_hyphen(tokens, after)
        if 0 < units.get(_at(tokens, unit), 0) < 10:
            value, after = value + units[_at(tokens, unit)], unit + 1
    else:
        return None, at
    if value and _at(tokens, after) == "hundred":
        value, after = value * 100, after + 1
        rest, behind = _whole(tokens, after + (_at(tokens, after) == "and"))
        if rest is not None and rest < 100:
            value, after = value + rest, behind
    return value, after


def _past_hyphen(tokens: Sequence[str], at: int) -> int:
    return at + (_at(tokens, at) == "-")


def _at(tokens: Sequence[str], at: int) -> str:
    return tokens[at] if at < len(tokens) else ""


def _size_of(tokens: Sequence[str]) -> str | None:
    """The size of a tool."""
    return _Reader(list(tokens), ()).read().size
