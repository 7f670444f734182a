"""One idea: a quote is a sum whose every line can be recalculated by hand.

Labour is time at the owner's rate; parts, consumables and sublet come from the service; a finding that may turn up
makes the price a range and is never hidden in it. Money is in the owner's own currency, minutes are [min].
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from putback.core.car import PossibleFinding, Service


@dataclass(frozen=True, slots=True, kw_only=True)
class Addition:
    """What one possible finding would add to the quote. `chance` 0 to 1, None if the file gives none."""

    finding: str
    trigger: str
    chance: float | None
    minutes: float
    labour: float
    parts: float
    total: float
    open_ended: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """A first quote: `total` if nothing turns up, `most` if every priced finding does.

    `open_ended` names findings that stop the job or go to a licensed person, whose price nobody knows yet. `known`
    False: minutes of the work are not known, so labour, total and most are sums that lack something and no price.
    """

    rate_per_hour: float
    work_minutes: float
    other_minutes: Mapping[str, float]
    labour: float
    parts: Mapping[str, float]
    parts_total: float
    consumables: float
    sublet: Mapping[str, float]
    sublet_total: float
    total: float
    additions: tuple[Addition, ...]
    most: float
    labour_only: bool
    known: bool = True

    @property
    def minutes(self) -> float:
        """All minutes sold, [min]."""
        return self.work_minutes + sum(self.other_minutes.values())

    @property
    def open_ended(self) -> tuple[str, ...]:
        """Findings whose price is open."""
        return tuple(addition.finding for addition in self.additions if addition.open_ended)


def labour(*, minutes: float, rate_per_hour: float) -> float:
    """Price of some minutes at an hourly rate.

    >>> labour(minutes=474, rate_per_hour=96)
    758.4
    """
    return minutes * rate_per_hour / 60


def quote(
    *,
    work_minutes: float,
    service: Service | None,
    findings: Iterable[PossibleFinding],
    rate_per_hour: float,
    known: bool = True,
) -> Quote:
    """The first quote for some work.

    Args:
        work_minutes: off and on together, [min].
        service: what is sold beside the work; None: labour only, and the quote says so.
        findings: those that may turn up at an item of the work.
        rate_per_hour: the owner's labour rate.
        known: whether the minutes of all the work are known.
    """
    other = service.minutes if service else MappingProxyType({})
    parts = service.parts if service else MappingProxyType({})
    sublet = service.sublet if service else MappingProxyType({})
    consumables = service.consumables if service else 0.0
    price = labour(minutes=work_minutes + sum(other.values()), rate_per_hour=rate_per_hour)
    additions = tuple(_addition(finding, rate_per_hour) for finding in findings)
    total = price + sum(parts.values()) + consumables + sum(sublet.values())
    return Quote(
        rate_per_hour=rate_per_hour,
        work_minutes=work_minutes,
        other_minutes=other,
        labour=round(price, 2),
        parts=parts,
        parts_total=sum(parts.values()),
        consumables=consumables,
        sublet=sublet,
        sublet_total=sum(sublet.values()),
        total=round(total, 2),
        additions=additions,
        most=round(total + sum(addition.total for addition in additions), 2),
        labour_only=service is None,
        known=known,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """What some more work makes of a quote: `before` plus `adds` is `after`; `minutes` of work at the same rate."""

    minutes: float
    labour: float
    parts: float
    adds: float
    before: float
    after: float


def revise(*, before: float, minutes: float, parts: Iterable[float], rate_per_hour: float) -> Revision:
    """A quote with more minutes and parts in it.

    >>> revise(before=1435.40, minutes=55, parts=[38, 11], rate_per_hour=96).after
    1572.4
    """
    work = round(labour(minutes=minutes, rate_per_hour=rate_per_hour), 2)
    material = round(sum(parts), 2)
    return Revision(
        minutes=minutes,
        labour=work,
        parts=material,
        adds=round(work + material, 2),
        before=round(before, 2),
        after=round(before + work + material, 2),
    )


def _addition(finding: PossibleFinding, rate_per_hour: float) -> Addition:
    work = labour(minutes=finding.minutes, rate_per_hour=rate_per_hour)
    parts = sum(finding.parts.values())
    return Addition(
        finding=finding.id,
        trigger=finding.trigger,
        chance=finding.chance,
        minutes=finding.minutes,
        labour=round(work, 2),
        parts=parts,
        total=round(work + parts, 2),
        open_ended=finding.stop or finding.sublet,
    )
