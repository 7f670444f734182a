"""One idea: an answer is a figure with its unit, band, source and warnings, or the reason why there is none."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Any, TypeAlias

Figure: TypeAlias = float | str | bool
Band: TypeAlias = tuple[float, float]


class NotComputable(ValueError):
    """A formula is asked outside the range in which it holds. `why` says so, `mend` what to do instead."""

    def __init__(self, why: str, mend: str) -> None:
        super().__init__(f"{why}; {mend}")
        self.why = why
        self.mend = mend


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a formula or a table says.

    Exactly one of `value`, `range` and `refused` is given. `band` is within what the value may lie, where it is
    known; it holds the value.
    """

    value: Figure | None = None
    range: Band | None = None
    refused: str | None = None
    unit: str = "-"
    band: Band | None = None
    source: str
    warnings: tuple[str, ...] = ()


class Kind(Enum):
    """What an input is."""

    NUMBER = "number"
    NUMBERS = "numbers with / between"
    TEXT = "text"


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """One input of a formula.

    `name` is what a person types, `to` the keyword of the function behind it. `least` and `most` are what the number
    may be at all (a thread cannot be of negative size); `above` that it must be more than. A formula's own range of
    validity is not this: outside that, the function raises `NotComputable`.
    """

    name: str
    to: str
    what: str
    unit: str = "-"
    kind: Kind = Kind.NUMBER
    least: float | None = None
    above: float | None = None
    most: float | None = None
    usual: float | str | None = None


Work: TypeAlias = Callable[..., Figure]
"""The function behind a formula; it may raise `NotComputable`."""


def _silent(**_: Any) -> tuple[str, ...]:
    return ()


def _no_band(**_: Any) -> None:
    return None


def _no_unit(**_: Any) -> str:
    return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """A formula by the short name it is called by.

    `unit` is the answer's; where it follows the inputs' (any one system of units), it says so in words. `valid` says
    where the formula holds and where not. `band`, `warn` and `unit_of` (a unit that an input
    names) are called with the same inputs as `work`.
    """

    name: str
    what: str
    inputs: Sequence[Input]
    unit: str
    work: Work
    source: str
    valid: str
    band: Callable[..., Band | None] = _no_band
    warn: Callable[..., Iterable[str]] = _silent
    unit_of: Callable[..., str] = _no_unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of a table: what it is about, how it is looked up, what it says and where that was seen.

    `value` is a figure, or two for a range. `seen` is how well the source is known: "seen", "computed", "from
    memory" or "common practice, no source".
    """

    about: str
    keys: Mapping[str, str]
    value: Figure | Band
    unit: str
    source: str
    seen: str
    note: str = ""
