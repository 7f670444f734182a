"""One idea: what may be wrong with a line, and how much each sign of it weighs, in one table.

A weight is how much likelier a sign makes it that a line is wrong, measured on labelled narrations by
`python -m benchmarks.doubts` (docs/decisions/0012-doubts.md); a line is doubtful where its signs add up to `DOUBTFUL`.
"""

from collections.abc import Mapping
from enum import Enum, auto
from types import MappingProxyType
from typing import Final

DOUBTFUL: Final = 16
"""From so much on a line is shown as doubtful, whatever speaks against it: about one in four of those is wrong."""


class Sign(Enum):
    """What a line may be looked at for; the first ones are heard with its words, the others follow from all lines."""

    TOLD = auto()
    NO_UNIT = auto()
    NO_KIND = auto()
    ONLY_WEIGHED = auto()
    HARDLY = auto()
    MAYBE = auto()
    NO_NAME = auto()
    NO_TWIN = auto()
    UNDONE_BEFORE = auto()
    PASSED_OVER = auto()
    OTHER_NAME = auto()
    RIVAL = auto()
    UNSURE_TWIN = auto()
    TWICE = auto()
    NEXT_HAS_NONE = auto()
    ANOTHER_BEFORE = auto()
    UNCOUNTED_TWIN = auto()
    NO_WAY_BACK = auto()
    TOO_EARLY = auto()
    TOO_LATE = auto()
    UNDONE_UNCOUNTED = auto()
    STARTED_UNCOUNTED = auto()
    MANY_UNCOUNTED = auto()
    NO_SIZE = auto()
    ODD_COUNT = auto()
    ODD_KIND = auto()
    TWO_COUNTS = auto()
    ONE_BY_NAME = auto()
    COUNT_FROM_BEFORE = auto()
    KIND_FROM_BEFORE = auto()
    FAR = auto()
    ANOTHER_NAMED_SINCE = auto()
    PRONOUN = auto()
    LONG_NAME = auto()
    NEW_PART = auto()
    SAME_WORDS = auto()
    NOT_SAID_WHAT = auto()
    MORE_TOLD = auto()
    MAY_BE = auto()
    STANDS = auto()
    INSIDE = auto()
    SELDOM_WRONG = auto()


HARDLY: Final = "its words and its place in the job hardly speak for it; was it done?"
MAYBE: Final = "its words and its place in the job speak for it a little"
_HOW_MANY: Final = "how many was not heard"
_FROM_BEFORE: Final = "what is meant was taken from before"

TABLE: Final[Mapping[Sign, tuple[int, str]]] = MappingProxyType(
    {
        Sign.TOLD: (DOUBTFUL, "{}"),
        Sign.NO_UNIT: (DOUBTFUL, "{}"),
        Sign.NO_KIND: (4, "{}"),
        Sign.ONLY_WEIGHED: (DOUBTFUL, "{}"),
        Sign.HARDLY: (29, "{}"),
        Sign.MAYBE: (6, ""),
        Sign.NO_NAME: (DOUBTFUL, "no name was heard"),
        Sign.NO_TWIN: (48, "nothing was heard that it undoes"),
        Sign.UNDONE_BEFORE: (6, "what it undoes was put back before"),
        Sign.PASSED_OVER: (4, "line {} came off later and is still off; is that meant?"),
        Sign.OTHER_NAME: (7, "its twin was called otherwise: {}"),
        Sign.RIVAL: (10, "line {} fits nearly as well"),
        Sign.UNSURE_TWIN: (10, "what it undoes is not sure"),
        Sign.TWICE: (3, "line {} says the same"),
        Sign.NEXT_HAS_NONE: (5, "the line after it undoes nothing that was heard"),
        Sign.ANOTHER_BEFORE: (14, "line {} before it is on something else; which was tightened?"),
        Sign.UNCOUNTED_TWIN: (4, "how many came off was not heard"),
        Sign.NO_WAY_BACK: (0, "no way back was heard; did it come off, or was it only named?"),
        Sign.TOO_EARLY: (2, "other things still came off after this; did it go back here?"),
        Sign.TOO_LATE: (0, "other things had gone back before this; did it come off here?"),
        Sign.UNDONE_UNCOUNTED: (15, _HOW_MANY),
        Sign.STARTED_UNCOUNTED: (13, _HOW_MANY),
        Sign.MANY_UNCOUNTED: (10, _HOW_MANY),
        Sign.NO_SIZE: (16, "what size was not heard"),
        Sign.ODD_COUNT: (14, "the number may belong to something else"),
        Sign.ODD_KIND: (24, "it may be what held it that was meant, and not the thing"),
        Sign.TWO_COUNTS: (11, "several numbers were said together"),
        Sign.ONE_BY_NAME: (10, "one, because it was named so; no number was said"),
        Sign.COUNT_FROM_BEFORE: (10, "its number was not said here"),
        Sign.KIND_FROM_BEFORE: (13, "bolts, nuts or screws were not said here"),
        Sign.FAR: (0, _FROM_BEFORE),
        Sign.ANOTHER_NAMED_SINCE: (2, _FROM_BEFORE),
        Sign.PRONOUN: (3, "no name was said here, only a word for it"),
        Sign.LONG_NAME: (4, "its name is long; does all of it belong to it?"),
        Sign.NEW_PART: (0, "a new part was named; was it fitted here?"),
        Sign.SAME_WORDS: (10, "line {} stands on the same words"),
        Sign.NOT_SAID_WHAT: (1, "what was done was not said"),
        Sign.MORE_TOLD: (1, "other things were told in the same words"),
        Sign.MAY_BE: (3, "told as what may or will be done; was it?"),
        Sign.STANDS: (5, "told as it stands; was anything done?"),
        Sign.INSIDE: (4, ""),
        Sign.SELDOM_WRONG: (-4, ""),
    }
)
"""The weight of each sign, tenths of the logarithm of the odds, and its words for a person; none: it only weighs."""
