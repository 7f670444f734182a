"""One idea: a comparison ends with what is still open, and while anything is open it never reads as a clean bill.

Open is: a module that was not heard, a code or self-test that has not run, codes that the work may have caused, and
what was not read at all. How many self-tests may be incomplete is a rule of the place where the vehicle is tested: it
comes from a table that the user keeps, with its source; this program knows none by itself.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from putback.core.car import Car
from putback.core.codes.lists.listing import Listing, Readiness
from putback.core.codes.verdicts.compare import Comparison
from putback.core.codes.verdicts.verdict import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionRule:
    """How many self-tests may be incomplete at a test in one place, and who says so."""

    region: str
    most_not_complete: int
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NotRead:
    """A module that the disturbed items belong to by their circuits, and that no read has heard.

    `items` are their ids, `names` what the car file calls them, in the same order.
    """

    module: str
    items: tuple[str, ...]
    names: tuple[str, ...]


def not_read(car: Car, items: Sequence[str], last: Listing) -> tuple[NotRead, ...]:
    """The modules of disturbed circuits that the last read did not hear."""
    found: dict[str, dict[str, None]] = {}
    for circuit in car.circuits.values():
        touched = [id for id in circuit.items if id in items]
        if circuit.module and touched and not last.heard(circuit.module):
            found.setdefault(circuit.module, {}).update(dict.fromkeys(touched))
    return tuple(
        NotRead(module=module, items=tuple(ids), names=tuple(car.items[id].name for id in ids))
        for module, ids in found.items()
    )


def readiness_words(readiness: Readiness | None, rule: RegionRule | None = None) -> str:
    """What is to be said of the self-tests.

    >>> readiness_words(Readiness(supported=8, complete=5))
    '8 self-tests supported, 5 complete, 3 have not run to their end'
    """
    if readiness is None:
        return "the self-tests were not read"
    count = f"{readiness.supported} self-tests supported, {readiness.complete} complete"
    left = readiness.not_complete
    said = f"{count}, {left} {'has' if left == 1 else 'have'} not run to {'its' if left == 1 else 'their'} end"
    if rule is None:
        return said
    word = "not more than" if left <= rule.most_not_complete else "more than"
    return f"{said}: {word} the {rule.most_not_complete} that the table allows for {rule.region} ({rule.source})"


def open_points(comparison: Comparison, unread: Sequence[NotRead] = ()) -> tuple[str, ...]:
    """Everything that nobody has tested, heard or explained; empty only where nothing is left of it."""
    return tuple(_open(comparison, unread))


def _open(comparison: Comparison, unread: Sequence[NotRead]) -> Iterator[str]:
    caused = len(comparison.caused)
    if caused:
        yield f"{_count(caused, 'new code')} to be explained"
    unsure = len(comparison.with_verdict(Verdict.OLD_OR_NEW))
    if unsure:
        yield f"{_count(unsure, 'code')} of modules not heard before the work: old or new"
    said_apart = {*comparison.cut_off_modules, *comparison.unasked_modules}
    unheard = [module for module in comparison.unknown_modules if module not in said_apart]
    if comparison.unasked_modules:
        yield f"heard in the last read and not asked, so unknown: {_some(comparison.unasked_modules)}"
    if unheard:
        yield f"not heard in the last read: {_some(unheard)}"
    if comparison.cut_off_modules:
        yield f"list cut off in the last read: {_some(comparison.cut_off_modules)}"
    for one in unread:
        yield f"not in the last read, though the work disturbed {', '.join(one.names)}: {one.module}"
    if comparison.untested:
        yield f"{_count(len(comparison.untested), 'listed code')} not tested: {_named(comparison.untested)}"
    gone = len(comparison.with_verdict(Verdict.GONE))
    if gone:
        yield f"{_count(gone, 'code')} gone, but not proven"
    expected = len(comparison.with_verdict(Verdict.EXPECTED))
    if expected:
        yield f"{_count(expected, 'expected code')} still there: do the relearns, drive, and read again"
    ready = comparison.readiness_after
    if ready is None or ready.not_complete or not ready.supported:
        yield readiness_words(ready)


def _count(n: int, word: str) -> str:
    return f"{n} {word}" if n == 1 else f"{n} {word}s"


def _named(codes: Sequence[tuple[str, str]]) -> str:
    return _some([f"{module} {code}" for module, code in codes], most=6)


def _some(names: Sequence[str], *, most: int = 30) -> str:
    named = ", ".join(names[:most])
    return f"{named} and {len(names) - most} more" if len(names) > most else named


def headline(comparison: Comparison, points: Sequence[str]) -> str:
    """Counts, then whether anything is open. The best it can say is that nothing is open in what was read."""
    counts = [
        f"{len(comparison.with_verdict(verdict))} {verdict}" for verdict in Verdict if comparison.with_verdict(verdict)
    ]
    counted = "; ".join(counts) or "no code to judge"
    if points:
        return f"{counted}. Still open: {len(points)} {'point' if len(points) == 1 else 'points'}."
    return f"{counted}. Nothing is open in what was read; what has no self-test was not tested."
