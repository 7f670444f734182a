"""One idea: how likely each group of operations was done in each segment of a text, worked out when it is asked."""

from collections.abc import Mapping, Sequence
from functools import cached_property, lru_cache
from types import MappingProxyType
from typing import Final

from putback.core.operations import Verb
from putback.narrate.phrase import reading
from putback.narrate.phrase.segments import Segment
from putback.narrate.weighing import weights
from putback.narrate.weighing.clues import Clues

GROUPS: Final[Mapping[Verb, str]] = MappingProxyType(
    {
        **dict.fromkeys((Verb.REMOVE, Verb.UNDO, Verb.UNPLUG, Verb.PART), "off"),
        **dict.fromkeys((Verb.FIT, Verb.START, Verb.PLUG_IN, Verb.JOIN, Verb.SWING_BACK, Verb.UNFOLD), "on"),
        **dict.fromkeys((Verb.SWING_ASIDE, Verb.FOLD), "aside"),
        **dict.fromkeys((Verb.READ_BEFORE, Verb.READ_AFTER), "scan"),
        Verb.TIGHTEN: "tighten",
        Verb.GUARD: "guard",
        Verb.UNGUARD: "unguard",
        Verb.INSPECT: "inspect",
        Verb.CLEAN: "clean",
        Verb.MEASURE: "measure",
    }
)
"""The group of operations that a weight is known for."""
LONG_ENOUGH: Final = 25
"""Shorter texts, in segments, tell too little of how a job goes for anything to be weighed."""


class Likeness:
    """The odds of each group in each segment, in hundredths of their logarithm."""

    def __init__(self, row: Sequence[Segment], text: str) -> None:
        self._row = row
        self._text = text
        self._known: dict[int, tuple[int, ...]] = {}

    @property
    def long_enough(self) -> bool:
        """Whether the text tells of a job, and is not a line or two."""
        return len(self._row) >= LONG_ENOUGH

    @cached_property
    def clues(self) -> Clues:
        """What each segment is seen as; worked out only where something is weighed, which a line or two never is."""
        return Clues(self._row, self._text)

    @cached_property
    def _table(self) -> weights.Weights:
        return weights.read("heard")

    def by_group(self, n: int) -> dict[str, int]:
        """The odds of each group in a segment."""
        return dict(zip(self._table.outcomes, self.odds(n), strict=True))

    def odds(self, n: int) -> tuple[int, ...]:
        """The odds of all groups in a segment."""
        known = self._known.get(n)
        if known is None:
            known = self._known[n] = self._table.odds(self.clues.of(n))
        return known

    def best(self, n: int) -> tuple[str, int]:
        """The likeliest group of a segment, with its odds."""
        return self._table.likeliest(self.odds(n))

    def of(self, verb: Verb, n: int) -> int | None:
        """The odds of an operation in a segment; None where no weights are known for it."""
        group = GROUPS.get(verb)
        return self.odds(n)[self._table.outcomes.index(group)] if group is not None else None


@lru_cache(maxsize=4)
def of_text(text: str, breaks: frozenset[int] = frozenset()) -> Likeness:
    """The likeness of a text; hearing asks for it, and so does the draft."""
    return Likeness(reading.read(text, breaks).segments, text)
