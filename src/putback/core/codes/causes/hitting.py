"""One idea: a set of faults explains all that was seen if it hits every conflict, and the least such sets come first.

A conflict is a set of things of which at least one must be at fault. Sources: R. Reiter, "A theory of diagnosis from
first principles" (1987); J. de Kleer and B. C. Williams, "Diagnosing multiple faults" (1987); from memory, checked
against exhaustive search.
"""

from collections.abc import Collection, Hashable, Iterator, Mapping
from dataclasses import dataclass
from heapq import heappop, heappush
from typing import Generic, TypeVar

Thing = TypeVar("Thing", bound=Hashable)


def minimal_hitting_sets(
    conflicts: Collection[Collection[Thing]],
    *,
    cost: Mapping[Thing, float] | None = None,
    most_steps: int | None = None,
) -> Iterator[frozenset[Thing]]:
    """The sets that hit every conflict and lose that with any member less, cheapest first.

    Args:
        conflicts: each must be hit; an empty one cannot be, and then there is no set at all.
        cost: of each thing, above 0; a set costs the sum. None: every thing costs 1, so the smallest sets come first.
        most_steps: after so many part sets looked at, the search ends; None: it ends when all are found.

    Best-first search over the conflicts not yet hit; what is still to be spent is never guessed too high (the cheapest
    member of conflicts that share nothing). In the worst case as many steps as there are hitting sets.
    """
    search = _Search.of(conflicts, cost)
    heap: list[tuple[float, tuple[int, ...]]] = [(search.still_to_spend(frozenset()), ())]
    seen: set[tuple[int, ...]] = {()}
    steps = 0
    while heap and (most_steps is None or steps < most_steps):
        steps += 1
        _, picked = heappop(heap)
        chosen = frozenset(picked)
        row = next((one for one in search.rows if chosen.isdisjoint(one)), None)
        if row is None:
            yield frozenset(search.things[n] for n in picked)
            continue
        for n in row:
            larger = tuple(sorted((*picked, n)))
            if larger not in seen and search.each_needed(chosen | {n}):
                seen.add(larger)
                spent = sum(search.price[one] for one in larger)
                heappush(heap, (spent + search.still_to_spend(frozenset(larger)), larger))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Search(Generic[Thing]):
    """The conflicts in numbers, the numbers in the order in which the things are first named."""

    things: list[Thing]
    price: list[float]
    rows: list[tuple[int, ...]]

    @classmethod
    def of(cls, conflicts: Collection[Collection[Thing]], cost: Mapping[Thing, float] | None) -> "_Search[Thing]":
        things = list(dict.fromkeys(thing for one in conflicts for thing in one))
        number = {thing: n for n, thing in enumerate(things)}
        return cls(
            things=things,
            price=[1.0 if cost is None else cost[thing] for thing in things],
            rows=[tuple(sorted(number[thing] for thing in one)) for one in _least(conflicts)],
        )

    def still_to_spend(self, chosen: frozenset[int]) -> float:
        """At least this: the cheapest member of each of some conflicts not hit that share nothing."""
        taken: set[int] = set()
        total = 0.0
        for row in self.rows:
            if chosen.isdisjoint(row) and taken.isdisjoint(row):
                taken.update(row)
                total += min((self.price[n] for n in row), default=0.0)
        return total

    def each_needed(self, chosen: frozenset[int]) -> bool:
        """Whether every member alone hits some conflict; what is no longer needed never becomes so again."""
        alone: set[int] = set()
        for row in self.rows:
            hits = [n for n in row if n in chosen]
            if len(hits) == 1:
                alone.add(hits[0])
        return alone == chosen


def _least(conflicts: Collection[Collection[Thing]]) -> list[frozenset[Thing]]:
    """The conflicts that hold no other conflict, each once: whoever hits these hits all."""
    sets = sorted(dict.fromkeys(frozenset(one) for one in conflicts), key=len)
    found: list[frozenset[Thing]] = []
    for one in sets:
        if not any(other <= one for other in found):
            found.append(one)
    return found
