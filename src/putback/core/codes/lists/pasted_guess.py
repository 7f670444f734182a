"""One idea: a guess at a pasted list is a value: each line with what it was taken for, and what a person said to it.

Nothing counts as answered that is not said, and a line that was not understood stays in view.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from types import MappingProxyType

from putback.core.codes.lists.listing import Listed, Listing
from putback.core.codes.lists.pasted_table import Table


class Byte(StrEnum):
    """What a byte behind a code is, where the text does not say."""

    UNKNOWN = "unknown"
    STATUS = "status"
    FAILURE_TYPE = "failure type"


class LineKind(StrEnum):
    """What a line was taken for."""

    CODE = "code"
    HEADING = "heading"
    NO_CODES = "no codes"
    NO_ANSWER = "no answer"
    COLUMNS = "column names"
    EMPTY = "empty"
    OTHER = "not understood"


@dataclass(frozen=True, slots=True, kw_only=True)
class Corrections:
    """What a person said about a guess.

    Args:
        headings: names of modules by line: that line is a heading with this name, or is not guessed as such.
        no_headings: lines that are no headings.
        skip: lines that hold nothing, whatever they look like.
        module: the module of codes above the first heading.
        byte: what a byte behind a code is.
        columns: columns of a table by what they hold, counted from 1; 0: the table has none.
    """

    headings: Mapping[int, str] = field(default_factory=lambda: MappingProxyType({}))
    no_headings: frozenset[int] = frozenset()
    skip: frozenset[int] = frozenset()
    module: str = ""
    byte: Byte = Byte.UNKNOWN
    columns: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True, kw_only=True)
class GuessedLine:
    """One line: what it was taken for, which module it is about, and why.

    `doubt`: a person should look at it. `unread`: it may hold a code that was not taken. `stated`: how many codes a
    heading says there are.
    """

    number: int
    text: str
    kind: LineKind
    module: str = ""
    listed: tuple[Listed, ...] = ()
    permanent: bool = False
    stated: int | None = None
    why: str = ""
    doubt: bool = False
    unread: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """What a text was taken for. `table` is None where it has no columns; `cut` says what was not looked at."""

    lines: tuple[GuessedLine, ...]
    table: Table | None = None
    cut: str = ""

    @property
    def headings(self) -> tuple[GuessedLine, ...]:
        """The lines that name a module."""
        return tuple(line for line in self.lines if line.kind is LineKind.HEADING)

    @property
    def codes(self) -> tuple[Listed, ...]:
        """Every code, line by line."""
        return tuple(one for line in self.lines for one in line.listed)

    @property
    def not_understood(self) -> tuple[GuessedLine, ...]:
        """The lines of which nothing was taken."""
        return tuple(line for line in self.lines if line.kind is LineKind.OTHER)

    @property
    def unnamed(self) -> tuple[GuessedLine, ...]:
        """The lines that say something of a module that is not named."""
        about = (LineKind.CODE, LineKind.NO_CODES, LineKind.NO_ANSWER)
        return tuple(line for line in self.lines if line.kind in about and not line.module)

    @property
    def doubtful(self) -> tuple[GuessedLine, ...]:
        """The lines that a person should look at."""
        return tuple(line for line in self.lines if line.doubt)

    @property
    def torn(self) -> tuple[str, ...]:
        """Modules of which the text says that they did not answer, and something else besides."""
        silent = {line.module for line in self.lines if line.kind is LineKind.NO_ANSWER}
        heard = {line.module for line in self.lines if line.kind in (LineKind.CODE, LineKind.NO_CODES)}
        return tuple(sorted(silent & heard - {""}))

    @property
    def short(self) -> Mapping[str, tuple[int, int]]:
        """Modules with fewer or more codes than their heading states: stated, found."""
        stated: dict[str, int] = {}
        for line in self.lines:
            if line.stated is not None and line.module:
                stated[line.module] = stated.get(line.module, 0) + line.stated
        found = {module: len({one.code for one in self.codes if one.module == module}) for module in stated}
        return {module: (count, found[module]) for module, count in stated.items() if count != found[module]}

    @property
    def partial(self) -> frozenset[str]:
        """Modules whose list may not be whole: a stated count is not met, or something in it could not be read."""
        unread = {line.module for line in self.lines if line.unread or self.cut}
        return frozenset({*self.short, *unread} - {""})

    def listing(self, *, name: str, stage: str) -> Listing:
        """The guess as a code list; lines of unnamed modules are not in it."""
        silent = {line.module for line in self.lines if line.kind is LineKind.NO_ANSWER} - {""}
        none = {line.module for line in self.lines if line.kind is LineKind.NO_CODES} - {""}
        listed = tuple(_once(one for one in self.codes if one.module and one.module not in silent))
        permanent = [one.code for line in self.lines if line.permanent for one in line.listed]
        return Listing(
            name=name,
            stage=stage,
            listed=listed,
            answered=frozenset({one.module for one in listed} | none - silent),
            silent=frozenset(silent),
            partial=self.partial - silent,
            permanent=tuple(dict.fromkeys(permanent)) or None,
        )


def _once(codes: Iterable[Listed]) -> Iterator[Listed]:
    """Each code of a module once, with the worse of each bit."""
    found: dict[tuple[str, str], Listed] = {}
    for one in codes:
        old = found.get((one.module, one.code))
        if old is not None:
            bits, mask = old.bits & old.mask | one.bits & one.mask, old.mask | one.mask
            found[one.module, one.code] = replace(old, bits=bits, mask=mask, text=old.text or one.text)
        else:
            found[one.module, one.code] = one
    yield from found.values()
