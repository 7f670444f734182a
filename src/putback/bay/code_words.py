"""One idea: what reads say together is put in the same words on every page and paper, the worst first."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from putback.bay.code_compare import MOST_EXPLAINED, Held, held_against
from putback.bay.code_job import Job, job_of_view
from putback.bay.code_reads import Counting, KeptRead, counting, reads_of
from putback.bay.desk import Bay, JobView
from putback.core.car import Car
from putback.core.codes.causes.cause import Explanation
from putback.core.codes.lists.listing import Listing
from putback.core.codes.verdicts.compare import Judged
from putback.core.codes.verdicts.verdict import Verdict

WORST_FIRST: Mapping[Verdict, int] = MappingProxyType(
    {
        verdict: place
        for place, verdict in enumerate(
            (
                Verdict.CAUSED,
                Verdict.OLD_OR_NEW,
                Verdict.UNKNOWN,
                Verdict.NOT_TESTED,
                Verdict.EXPECTED,
                Verdict.PERMANENT,
                Verdict.ALREADY,
                Verdict.GONE,
                Verdict.GONE_PROVEN,
            )
        )
    }
)
"""What asks for a hand or an eye stands above what does not."""

NO_CAUSE = "no disturbed item of the car file carries a circuit of these codes"


@dataclass(frozen=True, slots=True, kw_only=True)
class JobCodes:
    """The reads of a job and what they say together. `held` None: `why_not` says why nothing can be held."""

    reads: tuple[KeptRead, ...]
    held: Held | None
    why_not: str
    remarks: tuple[str, ...]


def codes_of(bay: Bay, view: JobView) -> JobCodes:
    """All that is known of the codes of a job."""
    reads = reads_of(bay, view)
    count: Counting = counting(reads)
    remarks = tuple(str(one) for one in count.remarks)
    if not count.listings:
        return JobCodes(reads=reads, held=None, why_not=count.why_not, remarks=remarks)
    job = job_of_view(bay, view)
    if isinstance(job, Job):
        return JobCodes(reads=reads, held=held_against(count.listings, job=job), why_not="", remarks=remarks)
    remarks = (*remarks, *map(str, job))
    return JobCodes(reads=reads, held=held_against(count.listings), why_not="", remarks=remarks)


def judged_lines(held: Held) -> tuple[Judged, ...]:
    """The codes with their verdicts, the worst first, then module by module."""
    return tuple(sorted(held.comparison.judged, key=lambda one: (WORST_FIRST[one.verdict], one.module, one.code)))


def cause_name(car: Car, one: Explanation) -> str:
    """What an explanation takes to be at fault, by name."""
    names = " and ".join(car.items[id].name for id in one.items) or "other cause"
    if one.items and one.other_codes:
        names += f"; other cause: {', '.join(code for _, code in one.other_codes)}"
    return names


def cause_circuits(one: Explanation) -> str:
    """The circuits that point to it; a weak hint is called so."""
    return ", ".join(one.circuits) + (" (weak: by the code’s family only)" if one.hint else "")


def rework_words(one: Explanation) -> str:
    """The minutes to get back to it."""
    return "not known" if one.rework_minutes is None else f"{one.rework_minutes:g} min"


def look_next(held: Held) -> str:
    """What tells most for each minute; empty where nothing has to be explained."""
    if held.job is None or held.diagnosis is None:
        return ""
    check = next(iter(held.diagnosis.checks), None)
    return (
        "" if check is None else f"{held.job.car.items[check.item].name}, {check.minutes:g} min to get there and look"
    )


def answered_words(listing: Listing) -> str:
    """How many modules gave a list, were silent or broke off.

    >>> answered_words(Listing(name="a", stage="before", answered=frozenset({"engine"}), silent=frozenset({"radar"})))
    '1 answered, silent, refused or not to be asked: radar'
    """
    return ", ".join(_answered(listing))


def _answered(listing: Listing) -> Iterator[str]:
    yield "it is not said who answered" if listing.answered is None else f"{len(listing.answered)} answered"
    if listing.unheard:
        yield f"silent, refused or not to be asked: {', '.join(sorted(listing.unheard))}"
    if listing.partial:
        yield f"cut off: {', '.join(sorted(listing.partial))}"


def too_many_words(held: Held) -> str:
    """Why no cause is looked for."""
    new = len(held.comparison.caused)
    mend = "see that both lists are of this car and spell its modules alike, then look at supply and bus"
    return f"{new} new codes are more than {MOST_EXPLAINED}, and no single cause is looked for: {mend}"
