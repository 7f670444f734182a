"""One idea: a code list comes in as a small CSV that says who answered; all that is wrong with it is told at once.

Lines `# key: value` say when it was read, which modules answered or were silent, which status bits a module keeps,
how many self-tests are complete, and what was done since the read before. Then a table: module, code, status, text.
"""

import csv
import difflib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from putback.adapters.car_file.text import read_bytes, read_text
from putback.adapters.code_list_read import (
    WHOLE_KEYS,
    ReadLines,
    module_name,
    module_names,
    read_permanent_words,
    read_readiness_words,
)
from putback.core.codes.lists.listing import CONFIRMED, Listed, Listing, Readiness, Stage
from putback.core.codes.meaning.code import read_code
from putback.core.codes.meaning.wrong import Wrong
from putback.core.codes.talk.car_read import CarRead
from putback.core.finding import Finding, Kind, Where, faults

COLUMNS: Final = ("module", "code", "status", "text")
ALL_BITS: Final = 0xFF

_KEY = re.compile(r"#\s*([A-Za-z][^:]*?)\s*:\s*(.*)")
_BYTE = re.compile(r"(?:0[xX])?([0-9A-Fa-f]{1,2})")
_OF = re.compile(r"(.+?)\s+of\s+(.+)", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class ListRead:
    """What came of a code list. `listing` is None where there are faults; findings are sorted by line.

    `read` is the read that the list was written from, where it says by which ids its modules were spoken to.
    """

    listing: Listing | None
    findings: tuple[Finding, ...]
    read: CarRead | None = None


def read_code_list(path: Path) -> ListRead:
    """Read a code list; a missing or unreadable file is a finding, nothing is raised."""
    data = read_bytes(path)
    if isinstance(data, Finding):
        return ListRead(listing=None, findings=(_own_words(data),))
    return read_code_list_text(data, str(path))


def read_code_list_text(data: bytes, name: str) -> ListRead:
    """Read the bytes of a code list; `name` is the file's name in findings."""
    text = read_text(data, name)
    if isinstance(text, Finding):
        return ListRead(listing=None, findings=(_own_words(text),))
    sheet = _Sheet(file=name)
    rows = []
    for number, line in enumerate(re.split(r"\r\n|\r|\n", text), start=1):
        if line.lstrip().startswith("#"):
            sheet.header(number, line.strip())
        elif line.strip():
            rows.append((number, line))
    sheet.table(rows)
    listing = sheet.listing()
    findings = tuple(sorted(sheet.findings, key=lambda finding: finding.where.line or 0))
    if faults(findings):
        return ListRead(listing=None, findings=findings)
    return ListRead(listing=listing, findings=findings, read=sheet.read.car_read(listing, sheet.masks))


_MENDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "empty": "a code list starts with # stage: before, then the line module,code,status,text",
        "size": "check that it is a code list; a whole car takes some kilobytes",
    }
)


def _own_words(finding: Finding) -> Finding:
    """The same finding, with a mend that speaks of a code list."""
    mend = _MENDS.get(finding.rule, finding.mend.replace("the car file itself, such as my.car.yaml", "the code list"))
    return replace(finding, mend=mend)


@dataclass
class _Sheet:
    """A list while it is read."""

    file: str
    findings: list[Finding] = field(default_factory=list)
    said: dict[str, int] = field(default_factory=dict)
    stage: str | None = None
    answered: frozenset[str] | None = None
    silent: frozenset[str] = frozenset()
    partial: frozenset[str] = frozenset()
    readiness: Readiness | None = None
    permanent: tuple[str, ...] | None = None
    since: str = ""
    read: ReadLines = field(default_factory=ReadLines)
    masks: dict[str, int] = field(default_factory=dict)
    lines: dict[tuple[str, str], Listed] = field(default_factory=dict)

    def wrong(self, line: int | None, field: str, what: str, mend: str, kind: Kind = Kind.FAULT) -> None:
        """Note what is wrong."""
        where = Where(file=self.file, line=line, field=field)
        self.findings.append(Finding(where=where, what=what, mend=mend, rule="code-list", kind=kind))

    # the lines that begin with #

    def header(self, number: int, line: str) -> None:
        """One `# key: value` line; a # line without a colon is a remark."""
        found = _KEY.fullmatch(line)
        if found is None:
            return
        key, value = " ".join(found[1].lower().split()), found[2].strip()
        if key in self.said and not self.read.may_repeat(key):
            mend = "say it once"
            self.wrong(number, key, f"{key!r} was said on line {self.said[key]} already", mend)
            return
        self.said[key] = number
        if key.startswith("mask "):
            self._mask(number, key, value)
        elif key in _KEYS:
            _KEYS[key](self, number, value)
        elif self.read.knows(key):
            self._wrong(number, key, self.read.take(key, value))
        else:
            known = [*_KEYS, *WHOLE_KEYS, "mask MODULE", "module MODULE"]
            near = difflib.get_close_matches(key, known, n=1, cutoff=0.7)
            mend = f"did you mean {near[0]!r}?" if near else f"the keys are {', '.join(known)}"
            self.wrong(number, key, f"{key!r} is no key of a code list and is not read", mend, Kind.NOTE)

    def _stage(self, number: int, value: str) -> None:
        stages = [str(stage) for stage in Stage]
        if value.lower() in stages:
            self.stage = value.lower()
            return
        near = difflib.get_close_matches(value.lower(), stages, n=1, cutoff=0.0)
        self.wrong(number, "stage", f"{value!r} is no stage", f"write one of {', '.join(stages)}: {near[0]}?")

    def _wrong(self, number: int, key: str, wrong: Wrong | None) -> None:
        if wrong is not None:
            self.wrong(number, key, wrong.what, wrong.mend)

    def _answered(self, number: int, value: str) -> None:  # noqa: ARG002 - one shape for all keys
        self.answered = frozenset(module_names(value))

    def _silent(self, number: int, value: str) -> None:  # noqa: ARG002 - the same
        self.silent = frozenset(module_names(value))

    def _partial(self, number: int, value: str) -> None:  # noqa: ARG002 - the same
        self.partial = frozenset(module_names(value))

    def _readiness(self, number: int, value: str) -> None:
        found = read_readiness_words(value)
        if isinstance(found, Wrong):
            self._wrong(number, "readiness", found)
        else:
            self.readiness = found

    def _permanent(self, number: int, value: str) -> None:
        found = read_permanent_words(value)
        for one in found:
            if isinstance(one, Wrong):
                self._wrong(number, "permanent", one)
        self.permanent = tuple(one for one in found if not isinstance(one, Wrong))

    def _since(self, number: int, value: str) -> None:  # noqa: ARG002 - the same
        self.since = value

    def _mask(self, number: int, key: str, value: str) -> None:
        byte = _byte(value)
        if byte is None:
            self.wrong(number, key, f"{value!r} is no byte", "write two hex digits, such as FF")
        else:
            self.masks[module_name(key.removeprefix("mask "))] = byte

    # the table

    def table(self, rows: list[tuple[int, str]]) -> None:
        """The line of column names, then the codes."""
        if not rows:
            self.wrong(
                None, "", "there is no table", f"write the line {','.join(COLUMNS)}, also where no code follows"
            )
            return
        number, first = rows[0]
        names = [name.strip().lower() for name in _cells(first)]
        unknown = [name for name in names if name not in COLUMNS]
        missing = [name for name in COLUMNS[:2] if name not in names]
        if unknown or missing or len(set(names)) < len(names):
            what = f"{first.strip()!r:.100} is not the line of column names"
            commas = "; separate the columns with commas" if ";" in first or "\t" in first else ""
            self.wrong(number, "", what, f"write {','.join(COLUMNS)} as the first line that has no #{commas}")
            return
        for number, line in rows[1:]:
            self._row(number, line, names)

    def _row(self, number: int, line: str, names: list[str]) -> None:
        if line.count('"') % 2:
            self.wrong(
                number, "", "a quote is opened and not closed", 'close it: "…", and write "" for a quote inside'
            )
            return
        cells = _cells(line)
        if len(cells) > len(names):
            mend = 'put a text with a comma between quotes: "…"'
            self.wrong(number, "", f"{len(cells)} values for {len(names)} columns", mend)
            return
        got = dict(zip(names, cells, strict=False))
        module, code = module_name(got.get("module", "")), read_code(got.get("code", ""))
        if not module:
            self.wrong(number, "module", "no module is named", "write which module gave the code")
        if isinstance(code, Wrong):
            self.wrong(number, "code", code.what, code.mend)
        status = self._status(number, got.get("status", "").strip(), module)
        if not module or isinstance(code, Wrong) or status is None:
            return
        bits, mask = status
        if code.number == 0:
            what = "P0000 is no code but padding of an answer"
            self.wrong(number, "code", what, "it is not counted; delete it", Kind.NOTE)
            return
        text = got.get("text", "").strip()
        self._add(Listed(module=module, code=str(code), bits=bits, mask=mask, text=text, line=number))

    def _status(self, number: int, value: str, module: str) -> tuple[int, int] | None:
        """Bits and mask. Without a status the code is taken as stored, and nothing else is known of it."""
        if not value:
            what = "no status: the code is taken as stored (confirmed), and nothing else is known of it"
            mend = "write the status byte as two hex digits if the list has it"
            self.wrong(number, "status", what, mend, Kind.NOTE)
            return CONFIRMED, CONFIRMED
        of = _OF.fullmatch(value)
        byte, mask = _byte(of[1] if of else value), _byte(of[2]) if of else ALL_BITS
        if byte is None or mask is None:
            mend = "write two hex digits, such as 2F, or 08 of 08 where it keeps some bits only"
            self.wrong(number, "status", f"{value!r} is no status byte", mend)
            return None
        return byte, mask & self.masks.get(module, ALL_BITS)

    def _add(self, one: Listed) -> None:
        old = self.lines.get((one.module, one.code))
        if old is not None:
            what = f"{one.module} {one.code} stands on line {old.line} already"
            mend = "the worse of each status bit is taken; delete one"
            self.wrong(one.line, "code", what, mend, Kind.NOTE)
            bits, mask = old.bits & old.mask | one.bits & one.mask, old.mask & one.mask | old.bits & old.mask
            mask |= one.bits & one.mask
            one = replace(one, bits=bits, mask=mask, text=one.text or old.text)
        self.lines[one.module, one.code] = one

    # the whole

    def listing(self) -> Listing:
        """The list, with what its parts say of one another held together."""
        for module in sorted(self.silent & (self.answered or frozenset())):
            self._torn(self.said["modules silent"], module, "is said to have answered and to be silent")
        for module in sorted(self.silent & self.partial):
            self._torn(self.said["modules partial"], module, "is said to be silent and to have answered in part")
        for one in self.lines.values():
            if one.module in self.silent:
                self._torn(one.line, one.module, "is said to be silent, and has a code")
        self._notes()
        return Listing(
            name=self.file,
            stage=self.stage or self.file,
            listed=tuple(self._masked(one) for one in self.lines.values()),
            answered=self.answered,
            silent=self.silent,
            partial=self.partial,
            readiness=self.readiness,
            permanent=self.permanent,
            since=self.since,
            unasked=frozenset(self.read.unasked),
            answering=self.read.answering,
        )

    def _torn(self, line: int | None, module: str, what: str) -> None:
        self.wrong(line, "module", f"{module} {what}", "write which is true")

    def _notes(self) -> None:
        named = {*(one.module for one in self.lines.values()), *self.silent, *self.partial, *(self.answered or ())}
        for module in sorted(set(self.masks) - named):
            key = f"mask {module}"
            self.wrong(self.said[key], key, f"no module {module!r} is named", "check its name", Kind.NOTE)
        if self.stage is None and "stage" not in self.said:
            self.wrong(None, "stage", "it is not said when it was read", "write # stage: before, or which", Kind.NOTE)
        if self.answered is None:
            what = "it is not said which modules answered: one without a code is unknown"
            self.wrong(None, "modules answered", what, "write # modules answered: engine, brake", Kind.NOTE)

    def _masked(self, one: Listed) -> Listed:
        """A mask may stand below the code that it is for."""
        mask = self.masks.get(one.module)
        return one if mask is None or one.mask == CONFIRMED else replace(one, mask=one.mask & mask)


_KEYS: Final[Mapping[str, Callable[[_Sheet, int, str], None]]] = MappingProxyType(
    {
        "stage": _Sheet._stage,
        "modules answered": _Sheet._answered,
        "modules silent": _Sheet._silent,
        "modules partial": _Sheet._partial,
        "readiness": _Sheet._readiness,
        "permanent": _Sheet._permanent,
        "since the read before": _Sheet._since,
    }
)


def _cells(line: str) -> list[str]:
    """The cells of one line; one that the reader of tables refuses is split at its commas."""
    try:
        return next(csv.reader([line], skipinitialspace=True), [])
    except csv.Error:
        return line.split(",")


def _byte(text: str) -> int | None:
    found = _BYTE.fullmatch(text.strip())
    return None if found is None else int(found[1], 16)
