"""One idea: a code list says what each module answered, and a module or a bit that said nothing is unknown, not good.

A listing is one read of the car. The status byte comes with its availability mask: a bit outside the mask proves
nothing either way.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum, StrEnum
from functools import cached_property
from types import MappingProxyType
from typing import Final

from putback.core.codes.meaning.status import NOT_TESTED, SEEN_FAILING, Bit

NOT_TESTED_SINCE_CLEAR: Final = 1 << Bit.NOT_TESTED_SINCE_CLEAR
FAILED_SINCE_CLEAR: Final = 1 << Bit.FAILED_SINCE_CLEAR
CONFIRMED: Final = 1 << Bit.CONFIRMED

FAILING: Final = sum(1 << bit for bit in SEEN_FAILING)
"""Any of these set, inside the mask: the code is seen failing."""

UNTESTED: Final = sum(1 << bit for bit in NOT_TESTED)
"""Both clear, inside the mask: the test ran, since the clear and in this cycle."""

RESULT: Final = sum(1 << bit for bit in (Bit.FAILING, Bit.FAILED_THIS_CYCLE, Bit.FAILED_SINCE_CLEAR))
"""The bits that give a test's result; at least one must be there before a test can be called passed."""


class Stage(StrEnum):
    """When a list was read."""

    BEFORE = "before"
    AFTER_PUT_BACK = "after put-back"
    AFTER_CLEAR = "after clear"
    AFTER_ROAD_TEST = "after road test"


class Answer(Enum):
    """Whether a module was heard in a read."""

    HEARD = "answered"
    NOT_HEARD = "silent or refused"
    NOT_SAID = "the list does not say whether it answered"


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """One code of one module. `bits` is the status byte, `mask` which of its bits the module keeps (0 to 255)."""

    module: str
    code: str
    bits: int
    mask: int = 0xFF
    text: str = ""
    line: int | None = None

    @property
    def failing(self) -> int:
        """The bits, inside the mask, by which it is seen failing."""
        return self.bits & self.mask & FAILING

    @property
    def untested(self) -> int:
        """Bits 4 and 6 as far as they are set or outside the mask: its test may not have run."""
        return UNTESTED & (self.bits | ~self.mask)

    @property
    def passed(self) -> bool:
        """Whether its test ran since the clear and in this cycle, and did not fail. Bit 4 overrides all else."""
        return not self.failing and not self.untested and bool(self.mask & RESULT)

    @property
    def status(self) -> str:
        """The status byte as two hex digits, with the mask where bits are missing.

        >>> Listed(module="engine", code="P1F46-13", bits=0x2F).status
        '2F'
        >>> Listed(module="engine", code="P1F46-13", bits=0x08, mask=0x08).status
        '08 of 08'
        """
        return f"{self.bits:02X}" if self.mask == 0xFF else f"{self.bits & self.mask:02X} of {self.mask:02X}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness:
    """Self-tests that the car has, and how many of them are complete."""

    supported: int
    complete: int

    @property
    def not_complete(self) -> int:
        """How many have not run to their end."""
        return self.supported - self.complete


@dataclass(frozen=True, kw_only=True)
class Listing:
    """One read of the whole car.

    `answered` None: the list does not say which modules answered; then a module without a line is unknown.
    `partial` are modules whose list came cut off: the codes that came are there, and none is absent.
    `permanent` None: permanent codes were not read. `since` is what the list says was done since the read before.
    `unasked` are ids under which modules answered that could not be asked for codes; `answering` says of those that
    could under which id each answers.
    """

    name: str
    stage: str
    listed: tuple[Listed, ...] = ()
    answered: frozenset[str] | None = None
    silent: frozenset[str] = frozenset()
    partial: frozenset[str] = frozenset()
    readiness: Readiness | None = None
    permanent: tuple[str, ...] | None = None
    since: str = ""
    unasked: frozenset[str] = frozenset()
    answering: frozenset[tuple[str, str]] = frozenset()

    @cached_property
    def _by_code(self) -> Mapping[tuple[str, str], Listed]:
        return MappingProxyType({(one.module, one.code): one for one in self.listed})

    @cached_property
    def _by_base(self) -> Mapping[tuple[str, str], tuple[Listed, ...]]:
        found: dict[tuple[str, str], list[Listed]] = {}
        for one in self.listed:
            found.setdefault((one.module, base(one.code)), []).append(one)
        return MappingProxyType({key: tuple(lines) for key, lines in found.items()})

    @cached_property
    def _modules_with_lines(self) -> frozenset[str]:
        return frozenset(one.module for one in self.listed)

    @cached_property
    def unheard(self) -> frozenset[str]:
        """The modules that gave nothing: they were silent, refused, or could not be asked."""
        return self.silent | frozenset(map(module_under, self.unasked))

    @property
    def modules(self) -> frozenset[str]:
        """Every module that the list names."""
        return self._modules_with_lines | self.unheard | self.partial | (self.answered or frozenset())

    def answer(self, module: str) -> Answer:
        """Whether a module was heard. One that is said silent is not heard, whatever else the list says."""
        if module in self.unheard:
            return Answer.NOT_HEARD
        if module in self._modules_with_lines or module in self.partial | (self.answered or frozenset()):
            return Answer.HEARD
        return Answer.NOT_SAID

    def heard(self, module: str) -> bool:
        """Whether a module answered."""
        return self.answer(module) is Answer.HEARD

    def find(self, module: str, code: str) -> Listed | None:
        """The line of this code of this module, spelt exactly so."""
        return self._by_code.get((module, code))

    def like(self, module: str, code: str) -> tuple[Listed, ...]:
        """The lines of this code of this module, whatever their failure type."""
        return self._by_base.get((module, base(code)), ())

    def of_module(self, module: str) -> tuple[Listed, ...]:
        """The lines of one module."""
        return tuple(one for one in self.listed if one.module == module)


def module_under(id: str) -> str:
    """The name of a module of which only the id is known under which it answers."""
    return f"module answering under {id}"


def under_one_name(listings: Sequence[Listing]) -> tuple[Listing, ...]:
    """The same reads, where a module that one could not ask has the name by which another knows it.

    >>> known = Listing(name="a", stage="before", answering=frozenset({("77D", "brake")}))
    >>> heard = Listing(name="b", stage="after put-back", unasked=frozenset({"77D", "7AC"}))
    >>> sorted(under_one_name([known, heard])[1].unheard)
    ['brake', 'module answering under 7AC']
    """
    names = {id: module for listing in listings for id, module in listing.answering}
    return tuple(_with_names(listing, names) if listing.unasked else listing for listing in listings)


def _with_names(listing: Listing, names: Mapping[str, str]) -> Listing:
    named = {id: names[id] for id in listing.unasked if id in names}
    silent = frozenset(module for module in named.values() if not listing.heard(module))
    return replace(listing, unasked=listing.unasked - set(named), silent=listing.silent | silent)


def base(code: str) -> str:
    """A code without its failure type.

    >>> base("P1F46-13"), base("P1F46")
    ('P1F46', 'P1F46')
    """
    return code.partition("-")[0]


def matches(code: str, pattern: str) -> bool:
    """Whether a code is meant by a pattern: one without failure type means all its failure types.

    >>> matches("P1F46-13", "P1F46"), matches("P1F46-13", "P1F46-11"), matches("P1F46", "P1F46-13")
    (True, False, False)
    """
    return code == pattern or ("-" not in pattern and base(code) == pattern)


def matches_any(code: str, patterns: Iterable[str]) -> bool:
    """Whether one of the patterns means this code."""
    return any(matches(code, pattern) for pattern in patterns)


def bit_words(bits: int) -> str:
    """What these status bits say, in words.

    >>> bit_words(0x09)
    'failing now, confirmed'
    """
    return ", ".join(bit.words for bit in Bit if bits >> bit & 1)
