"""One idea: reads of one car and the job between them are held against one another once, for every face."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from putback.bay.code_job import Job
from putback.core.codes.causes.cause import Diagnosis, diagnose
from putback.core.codes.causes.weights import Weights
from putback.core.codes.lists.listing import Listing, Stage, under_one_name
from putback.core.codes.verdicts.compare import Comparison, compare
from putback.core.codes.verdicts.expected import expectations
from putback.core.codes.verdicts.statement import (
    NotRead,
    RegionRule,
    headline,
    not_read,
    open_points,
    readiness_words,
)
from putback.core.finding import Finding, Kind, Where

MOST_EXPLAINED: Final = 300
"""So many new codes are explained at most; where there are more, the lists do not fit or the whole car is without
supply. The time of the search grows with their square. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What came of it. `job` None: it is not known what the work disturbed; `diagnosis` None: no cause is looked for,
    for that reason or because the new codes are too many.
    """

    comparison: Comparison
    job: Job | None
    diagnosis: Diagnosis | None
    unread: tuple[NotRead, ...]
    rule: RegionRule | None = None

    @property
    def open_points(self) -> tuple[str, ...]:
        """What nobody has tested, heard or explained."""
        return open_points(self.comparison, self.unread)

    @property
    def headline(self) -> str:
        """The sum of it in one sentence."""
        return headline(self.comparison, self.open_points)

    @property
    def too_many(self) -> bool:
        """Whether no cause is looked for because the new codes are too many."""
        return self.job is not None and self.diagnosis is None

    @property
    def readiness(self) -> str:
        """What is to be said of the self-tests."""
        return readiness_words(self.comparison.readiness_after, self.rule)


def held_against(
    listings: Sequence[Listing],
    *,
    job: Job | None = None,
    weights: Weights | None = None,
    rule: RegionRule | None = None,
) -> Held:
    """Hold reads against one another.

    Args:
        listings: at least two, in the order in which they were read; the first is from before the work.
        job: what the work disturbed; None: not known, and then no cause is named.
        weights: the guesses behind the ranking; None: the usual ones.
        rule: how many self-tests may be incomplete where the car is tested, as a table of the user says.

    Raises:
        ValueError: fewer than two reads.
    """
    listings = under_one_name(listings)
    if job is None:
        return Held(comparison=compare(listings), job=None, diagnosis=None, unread=(), rule=rule)
    comparison = compare(listings, expected=expectations(job.car, job.disturbed))
    last, items = listings[-1], job.disturbed.items
    diagnosis = None
    if len(comparison.caused) <= MOST_EXPLAINED:
        weights = weights or Weights()
        diagnosis = diagnose(job.car, items, comparison=comparison, last=last, weights=weights, access=job.access)
    return Held(
        comparison=comparison,
        job=job,
        diagnosis=diagnosis,
        unread=not_read(job.car, items, last),
        rule=rule,
    )


def out_of_order(listings: Sequence[Listing]) -> list[Finding]:
    """The first list is from before the work and no other is, as far as the lists say when they were read."""
    found = []
    for n, one in enumerate(listings):
        if one.stage in set(Stage) and (one.stage == Stage.BEFORE) is not (n == 0):
            what = f"it was read {one.stage!r}, and stands {'first' if n == 0 else 'after the list from before'}"
            mend = "give the list from before the work first, then those from after it"
            found.append(Finding(where=Where(file=one.name, field="stage"), what=what, mend=mend, rule="call"))
    return found


def said_twice(listings: Sequence[Listing]) -> list[Finding]:
    """A list that holds the same as another, line for line: given twice, it is one read and not two."""
    first: dict[Listing, str] = {}
    found = []
    for one in listings:
        content = replace(one, name="")
        if content in first:
            what = f"it holds the same as {first[content]}, line for line"
            mend = "name the list that was meant, unless the car was read twice and nothing had changed"
            found.append(Finding(where=Where(file=one.name), what=what, mend=mend, rule="call", kind=Kind.NOTE))
        first.setdefault(content, one.name)
    return found


def odd_order(listings: Sequence[Listing]) -> list[Finding]:
    """A list that stands behind one of a later stage: right after work was done again, else a slip of the hand."""
    stages = list(Stage)
    found = []
    for earlier, later in pairwise(listings):
        if {earlier.stage, later.stage} <= set(Stage) and stages.index(Stage(later.stage)) < stages.index(
            Stage(earlier.stage)
        ):
            what = f"it was read {later.stage!r} and stands behind a list read {earlier.stage!r}; the last one counts"
            mend = "change their order, unless work was done again in between"
            where = Where(file=later.name, field="stage")
            found.append(Finding(where=where, what=what, mend=mend, rule="call", kind=Kind.NOTE))
    return found
