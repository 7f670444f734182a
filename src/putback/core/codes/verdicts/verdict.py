"""One idea: the verdict of one code is one table, and what was not heard or not tested is never called good.

The rows in their order: a module that was not heard after the work makes the code unknown; a code that fails now was
there already, or is expected of this job, or was caused; a code that no longer fails is gone, and proven gone only by
its own test having run since the clear and in this cycle. Bit 4 (not tested since the clear) overrides every other
sign of a passed test.
"""

from dataclasses import dataclass
from enum import Enum, StrEnum

from putback.core.codes.lists.listing import Listed


class Verdict(StrEnum):
    """What is said of one code after the work."""

    UNKNOWN = "unknown"
    OLD_OR_NEW = "unknown (old or new)"
    ALREADY = "already there"
    PERMANENT = "already there (permanent)"
    EXPECTED = "expected"
    CAUSED = "caused"
    NOT_TESTED = "not tested yet"
    GONE_PROVEN = "gone, proven"
    GONE = "gone, not proven"


class Missing(Enum):
    """Why a read has no line for a code."""

    ABSENT = "not listed"
    UNHEARD = "module not heard"
    CUT_OFF = "list cut off"


NOT_KNOWN = (Missing.UNHEARD, Missing.CUT_OFF)
"""Without a line for one of these reasons, a code may be there or not."""

Standing = Listed | Missing
"""How a code stands in one read: its line, or why there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Permanent:
    """Whether a code stands among the permanent ones: `after` None where they were not read after the work."""

    before: bool = False
    after: bool | None = None

    def still(self, now: Standing) -> bool:
        """Whether it is still permanent: said so, or it was and nobody has seen its own test pass."""
        passed = isinstance(now, Listed) and now.passed
        return bool(self.after) or (self.before and self.after is None and not passed)


NOT_PERMANENT = Permanent(after=False)


def is_failing(standing: Standing) -> bool:
    """Whether a code is seen failing: one of its failing bits is set inside the mask."""
    return isinstance(standing, Listed) and bool(standing.failing)


def verdict_of(
    before: Standing, after: Standing, *, expected: bool = False, permanent: Permanent = NOT_PERMANENT
) -> Verdict | None:
    """The verdict by the table; None where there is nothing to say (it may still have to be counted as untested).

    Args:
        before: how the code stood before the work.
        after: how it stands now.
        expected: it is expected of an energy or item of this job.
        permanent: whether it is among the permanent codes, before and after.
    """
    if after in NOT_KNOWN:
        return Verdict.UNKNOWN
    was = is_failing(before) or permanent.before
    if is_failing(after) or permanent.still(after):
        return _failing_now(before, was=was, expected=expected, permanent=permanent.still(after))
    return _not_failing_now(after) if was else None


def _failing_now(before: Standing, *, was: bool, expected: bool, permanent: bool) -> Verdict:
    if was:
        return Verdict.PERMANENT if permanent else Verdict.ALREADY
    if before in NOT_KNOWN:
        return Verdict.OLD_OR_NEW
    return Verdict.EXPECTED if expected else Verdict.CAUSED


def _not_failing_now(after: Standing) -> Verdict:
    """What was seen failing, and is not any more."""
    if not isinstance(after, Listed):
        return Verdict.GONE
    if after.untested:
        return Verdict.NOT_TESTED
    return Verdict.GONE_PROVEN if after.passed else Verdict.GONE
