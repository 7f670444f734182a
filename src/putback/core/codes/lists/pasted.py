"""One idea: a pasted list is guessed line by line, and the guess is a value that a person confirms or corrects.

Each line says what it was taken for and why. Which module a code belongs to is a guess where the text has headings;
nothing counts as answered that is not said, and a line that was not understood stays in view.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from putback.core.codes.lists.listing import Listed
from putback.core.codes.lists.pasted_guess import Byte, Corrections, Guess, GuessedLine, LineKind
from putback.core.codes.lists.pasted_table import Table, find_table
from putback.core.codes.lists.pasted_words import (
    ALL_BITS,
    COUNT,
    PERMANENT,
    STORED,
    FoundCode,
    byte_of,
    fields,
    find_codes,
    looks_like_code,
    plain,
    says_no_answer,
    says_no_codes,
    status_of,
)
from putback.core.codes.meaning.code import Code

__all__ = ["Byte", "Corrections", "Guess", "GuessedLine", "LineKind", "guess", "module_name"]

MOST_LINES: Final = 20_000
LONGEST_LINE: Final = 4_000
LONGEST_HEADING: Final = 60
LONGEST_SENTENCE: Final = 200
"""A line without a code that is longer names no module and no result."""

_MARKED: Final = re.compile(r"^\s*(?:#{1,6}\s|==|\[.+\]\s*$|\*\*.+\*\*\s*$|.+:\s*$)")
_INLINE: Final = re.compile(r"^\W*(.{1,60}?)\s*(?::|\s[-–—]\s|\.{3,}|\t|\s{3,})\s*$")
_RESULT: Final = re.compile(r"^\W*(.{1,60}?)\s*(?::|\s[-–—]\s|\.{2,}|\t|\s{2,}|\()\s*(.+?)\)?\s*$")


def guess(text: str, corrections: Corrections | None = None) -> Guess:
    """What a text with codes in it says, line by line.

    >>> found = guess("Engine control\\n  P0123-1F stored\\nBrakes: no codes\\nRadar: no response")
    >>> [(line.kind.value, line.module) for line in found.lines]
    [('heading', 'engine control'), ('code', 'engine control'), ('no codes', 'brakes'), ('no answer', 'radar')]
    """
    corrections = corrections or Corrections()
    lines = re.split(r"\r\n|\r|\n", text.rstrip())
    cut = f"the text has {len(lines):,} lines, {MOST_LINES:,} are looked at" if len(lines) > MOST_LINES else ""
    kept = lines[:MOST_LINES]
    table = find_table(kept, corrections.columns)
    reader = _Reader(corrections=corrections, lines=kept, table=table)
    return Guess(lines=tuple(reader.all()), table=table, cut=cut)


def module_name(text: str) -> str:
    """A name as a code list can hold it: small letters, single spaces, no commas and colons.

    >>> module_name("[Engine,  Control]: ")
    'engine control'
    """
    return " ".join(re.sub(r"[,:;\"#]", " ", plain(text)).split())


@dataclass
class _Reader:
    """Goes through the lines with the heading that holds for them."""

    corrections: Corrections
    lines: Sequence[str]
    table: Table | None
    module: str = ""

    described: bool = False

    def __post_init__(self) -> None:
        self.module = module_name(self.corrections.module)
        self.described = self._last_is_described()

    def _last_is_described(self) -> bool:
        """Whether the last code has a line of text right below it: then so may the others."""
        last = next((n for n in reversed(range(len(self.lines))) if _has_code(self.lines[n])), len(self.lines))
        below = self.lines[last + 1] if last + 1 < len(self.lines) else ""
        return _is_name(below) and not says_no_codes(below) and not says_no_answer(below)

    def all(self) -> Iterator[GuessedLine]:
        """Each line with its guess."""
        for number, text in enumerate(self.lines, start=1):
            yield self._line(number, text)

    def _line(self, number: int, text: str) -> GuessedLine:
        line = GuessedLine(number=number, text=text.strip()[:200], kind=LineKind.OTHER)
        if number in self.corrections.headings:
            return self._heading(line, self.corrections.headings[number], "you said so")
        if number in self.corrections.skip:
            return replace(line, why="you said that it holds nothing")
        if not plain(text):
            return replace(line, kind=LineKind.EMPTY)
        if len(text) > LONGEST_LINE:
            why = f"only {LONGEST_LINE:,} of its {len(text):,} characters were looked at"
            line = replace(line, why=why, doubt=True, unread=True, module=self.module)
        text = text[:LONGEST_LINE]
        if self.table is not None and number == self.table.names_line:
            return replace(line, kind=LineKind.COLUMNS, why=self.table.said)
        if self.table is not None and (cells := self.table.cells(text)):
            return self._row(line, self.table, cells)
        found = list(find_codes(text))
        return self._codes(line, text, found) if found else self._words(line, text)

    def _heading(self, line: GuessedLine, text: str, why: str, *, stated: int | None = None) -> GuessedLine:
        self.module = module_name(text)
        return replace(line, kind=LineKind.HEADING, module=self.module, why=why, stated=stated)

    # a line with codes

    def _codes(self, line: GuessedLine, text: str, found: Sequence[FoundCode]) -> GuessedLine:
        before = text[: found[0].start]
        inline = _INLINE.match(before) if len(before) <= LONGEST_SENTENCE else None
        why, doubt = line.why, line.doubt
        if inline is not None and line.number not in self.corrections.no_headings and _is_name(inline[1]):
            self.module, why = module_name(inline[1]), "the module stands before the code"
        ends = [*(one.start for one in found[1:]), len(text)]
        read = [self._one(line, one, text[one.end : end]) for one, end in zip(found, ends, strict=True)]
        odd = [one.odd for one in found if one.odd] + [said for _, _, said in read if said]
        unread = looks_like_code(_without(text, found))
        odd += ["something else in it looks like a code"] * unread
        odd += [] if self.module else ["no module is named above it"]
        return replace(
            line,
            kind=LineKind.CODE,
            module=self.module,
            listed=tuple(one for one, _, _ in read),
            permanent=any(permanent for _, permanent, _ in read),
            why="; ".join(filter(None, [why, *dict.fromkeys(odd)])),
            doubt=doubt or bool(odd),
            unread=line.unread or unread,
        )

    def _one(self, line: GuessedLine, found: FoundCode, rest: str) -> tuple[Listed, bool, str]:
        """A code with what stands behind it: its status and text, whether it is permanent, and what is to be asked."""
        head = re.match(r"\s*([0-9A-Fa-f]{2})(?![0-9A-Za-z])", rest)
        parts = fields(rest) if head is None else [head[1], *fields(rest[head.end() :])]
        status, words, byte = None, [], None
        for part in parts:
            said = status_of(part)
            if said is not None:
                status = said if status is None else (status[0] | said[0], status[1] | said[1])
            elif byte is None and byte_of(part) is not None:
                byte = byte_of(part)
            else:
                words.append(part)
        code, by_byte, asked = _bare_byte(found.code, byte, self.corrections.byte)
        bits, mask = by_byte or status or STORED
        text = ", ".join(words)[:200]
        listed = Listed(module=self.module, code=str(code), bits=bits, mask=mask, text=text, line=line.number)
        return listed, any(PERMANENT in plain(part).split() for part in parts), asked

    def _row(self, line: GuessedLine, table: Table, cells: tuple[str, ...]) -> GuessedLine:
        """A row of a table; an empty cell for the module means the one above."""
        named = module_name(_cell(cells, table.module))
        self.module = named or self.module
        found = list(find_codes(cells[table.code]))
        if not found:
            results = (self._result(line, cell, self.module) for cell in cells)
            return next(filter(None, results), None) or self._no_code(line)
        code, status, said = self._row_status(found[0], table, cells)
        said += [one.odd for one in found if one.odd]
        if not self.module:
            said.append("no module is named")
        text = _cell(cells, table.text)[:200]
        bits, mask = status
        listed = Listed(module=self.module, code=str(code), bits=bits, mask=mask, text=text, line=line.number)
        return replace(
            line,
            kind=LineKind.CODE,
            module=self.module,
            listed=(listed,),
            permanent=PERMANENT in plain(_cell(cells, table.status)).split(),
            why="; ".join([*filter(None, [line.why]), *said]) or "a row of the table",
            doubt=bool(said) or line.doubt,
        )

    def _row_status(
        self, found: FoundCode, table: Table, cells: Sequence[str]
    ) -> tuple[Code, tuple[int, int], list[str]]:
        """The status of a row, by its own column, else by a byte that stands in a column of no name."""
        cell = _cell(cells, table.status)
        if plain(cell):
            byte = byte_of(cell)
            status = status_of(cell) or (None if byte is None else (byte, ALL_BITS))
            unread = [] if status else [f"its status {cell!r:.30} is not understood: it is taken as stored"]
            return found.code, status or STORED, unread
        others = [other for place, other in enumerate(cells) if place not in table.places]
        bare = next((byte for other in others if (byte := byte_of(other)) is not None), None)
        code, by_byte, asked = _bare_byte(found.code, bare, self.corrections.byte)
        return code, by_byte or STORED, [asked] if asked else []

    def _no_code(self, line: GuessedLine) -> GuessedLine:
        unread = looks_like_code(line.text)
        return replace(line, module=self.module, why="a row of the table without a code", doubt=unread, unread=unread)

    # a line without codes

    def _words(self, line: GuessedLine, text: str) -> GuessedLine:
        if len(text) > LONGEST_SENTENCE:
            return self._unread(line) if looks_like_code(text) else replace(line, why="it is too long for a heading")
        whole = self._result(line, text, self.module)
        if whole is not None:
            return whole
        parts = _RESULT.match(text)
        if parts is not None and _is_name(parts[1]) and line.number not in self.corrections.no_headings:
            result = self._result(line, parts[2], module_name(parts[1]))
            if result is not None:
                self.module = result.module
                return result
        return self._maybe_heading(line, text)

    def _result(self, line: GuessedLine, text: str, module: str) -> GuessedLine | None:
        kind = LineKind.NO_CODES if says_no_codes(text) else LineKind.NO_ANSWER if says_no_answer(text) else None
        if kind is None:
            return None
        why = "it says so" if module else "no module is named above it"
        return replace(line, kind=kind, module=module, why=why, doubt=not module)

    def _maybe_heading(self, line: GuessedLine, text: str) -> GuessedLine:
        if looks_like_code(text):
            return self._unread(line)
        count = COUNT.search(text)
        name = text[: count.start()] if count else text
        if line.number in self.corrections.no_headings:
            return replace(line, why="you said that it is no heading")
        if not _is_name(name):
            return replace(line, why="it names no module and no code")
        if count is not None or _MARKED.match(text):
            return self._heading(line, name, "it is written as a heading", stated=int(count[1]) if count else None)
        if self._codes_follow(line.number):
            return self._between_codes(line, text, name)
        return replace(line, why="no code and no result follows it")

    def _between_codes(self, line: GuessedLine, text: str, name: str) -> GuessedLine:
        """A plain line before a code: a heading, or the text of the code right above it."""
        above = self.lines[line.number - 2] if line.number > 1 else ""
        if not _has_code(above) or _indent(text) < _indent(above):
            return self._heading(line, name, "codes or a result follow it")
        if self.described:
            why = f"taken for the text of the code above it; where it names a module: --heading {line.number}=NAME"
            return replace(line, why=why, module=self.module, doubt=True)
        why = "codes follow it; where it is the text of the code above: --not-a-heading"
        return replace(self._heading(line, name, f"{why} {line.number}"), doubt=True)

    def _unread(self, line: GuessedLine) -> GuessedLine:
        why = "something in it looks like a code and cannot be told for sure"
        return replace(line, why=why, module=self.module, doubt=True, unread=True)

    def _codes_follow(self, number: int) -> bool:
        """Whether the next line that is not empty holds a code, or says that there is none."""
        following = (text[:LONGEST_LINE] for text in self.lines[number : number + 5])
        text = next((one for one in following if plain(one)), "")
        return _has_code(text) or says_no_codes(text) or says_no_answer(text)


def _has_code(text: str) -> bool:
    return any(True for _ in find_codes(text[:LONGEST_LINE]))


def _indent(text: str) -> int:
    return len(text) - len(text.lstrip())


def _bare_byte(code: Code, byte: int | None, meant: Byte) -> tuple[Code, tuple[int, int] | None, str]:
    """What a byte that stands alone behind a code makes of it: the code, its status, and what is to be asked."""
    if byte is None:
        return code, None, ""
    if code.failure_type is not None or meant is Byte.STATUS:
        return code, (byte, ALL_BITS), ""
    if meant is Byte.FAILURE_TYPE:
        return Code(number=code.number, failure_type=byte), None, ""
    return code, None, f"whether {byte:02X} is a status or a failure type is not said: it is left out"


def _without(text: str, found: Sequence[FoundCode]) -> str:
    """A text without the codes that were found in it."""
    starts, ends = [0, *(one.end for one in found)], [*(one.start for one in found), len(text)]
    return " ".join(text[start:end] for start, end in zip(starts, ends, strict=True))


def _cell(cells: Sequence[str], place: int | None) -> str:
    return cells[place] if place is not None and place < len(cells) else ""


def _is_name(text: str) -> bool:
    """Whether a text may be the name of a module: short, of letters mostly, not a key with its value."""
    name = module_name(text)
    letters = sum(sign.isalpha() for sign in name)
    return 1 < len(name) <= LONGEST_HEADING and letters * 2 > len(name) and not re.search(r":\s*\S", text.strip())
