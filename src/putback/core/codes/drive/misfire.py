"""One idea: a misfire count is what the module counted, or that it has not counted; never a nought nobody counted.

Service 06, monitors A2 and following: one for each cylinder. What counts is the last result of the drive; one that was
asked for later and did not come does not take it away.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from putback.core.codes.drive.log import Drive, misfire_key
from putback.core.codes.meaning.monitors import MISFIRE_AVERAGE, MISFIRE_COUNT

MOST_CYLINDERS: Final = 12


class Ran(StrEnum):
    """What is known of the monitor of a cylinder."""

    COUNTED = "counted"
    NOT_RUN = "not run"
    NO_ANSWER = "no answer"
    NOT_ASKED = "not asked"


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """Misfires of one cylinder in one drive; `count` only where it is `COUNTED`."""

    ran: Ran
    count: int | None = None

    def __str__(self) -> str:
        """The count, or why there is none.

        >>> str(Count(ran=Ran.NOT_RUN)), str(Count(ran=Ran.COUNTED, count=0))
        ('not run', '0')
        """
        return str(self.ran) if self.count is None else str(self.count)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cylinder:
    """One cylinder, before and after: this drive's count, and the average of the last ten drives."""

    number: int
    before: Count
    after: Count
    average_before: Count
    average_after: Count


def cylinders(before: Drive, after: Drive) -> tuple[Cylinder, ...]:
    """Every cylinder that one of the drives speaks of."""
    drives = (before, after)
    numbers = [
        number
        for number in range(1, MOST_CYLINDERS + 1)
        if any(misfire_key(number, test) in one.series for one in drives for test in (MISFIRE_COUNT, MISFIRE_AVERAGE))
    ]
    return tuple(
        Cylinder(
            number=number,
            before=last_count(before, misfire_key(number, MISFIRE_COUNT)),
            after=last_count(after, misfire_key(number, MISFIRE_COUNT)),
            average_before=last_count(before, misfire_key(number, MISFIRE_AVERAGE)),
            average_after=last_count(after, misfire_key(number, MISFIRE_AVERAGE)),
        )
        for number in numbers
    )


def last_count(drive: Drive, key: str) -> Count:
    """The last result of a monitor in a drive."""
    records = drive.series.get(key, ())
    if not records:
        return Count(ran=Ran.NOT_ASKED)
    for one in reversed(records):
        if one.not_run:
            return Count(ran=Ran.NOT_RUN)
        if one.value is not None:
            return Count(ran=Ran.COUNTED, count=int(one.value))
    return Count(ran=Ran.NO_ANSWER)
