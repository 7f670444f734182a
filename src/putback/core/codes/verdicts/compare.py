"""One idea: reads of one car, held against one another, give one line for each code and say what nobody has tested.

The first read is what the car came with, the last is how it stands; reads in between show what came and went. What a
clear or a power cut in between destroyed is said, because after it an empty list proves little.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from putback.core.codes.lists.listing import (
    FAILED_SINCE_CLEAR,
    NOT_TESTED_SINCE_CLEAR,
    Listed,
    Listing,
    Readiness,
    Stage,
    base,
    bit_words,
    matches_any,
    module_under,
    under_one_name,
)
from putback.core.codes.verdicts.verdict import Missing, Permanent, Standing, Verdict, is_failing, verdict_of

MODULE_NOT_SAID: Final = "module not said"
"""The module of a permanent code that no list gives to a module."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Expectation:
    """Codes that this job is expected to leave, and why. A code without failure type means all of its types."""

    codes: tuple[str, ...]
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One code of one module with its verdict. `first_seen` is the read in which it was first seen failing."""

    module: str
    code: str
    verdict: Verdict
    why: str
    before: str
    after: str
    text: str = ""
    first_seen: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """All that several reads of one car say together.

    `untested` are codes of the last read that do not fail and whose test may not have run; `unknown_modules` those
    that the last read did not hear to the end, `cut_off_modules` those of them whose list broke off, `unasked_modules`
    those that answered and could not be asked; `erased` the signs that codes were cleared or the power was off in
    between.
    """

    judged: tuple[Judged, ...]
    untested: tuple[tuple[str, str], ...]
    unknown_modules: tuple[str, ...]
    erased: tuple[str, ...]
    readiness_before: Readiness | None
    readiness_after: Readiness | None
    permanent_read: bool
    stage: str
    cut_off_modules: tuple[str, ...] = ()
    unasked_modules: tuple[str, ...] = ()

    def with_verdict(self, *verdicts: Verdict) -> tuple[Judged, ...]:
        """The lines with one of these verdicts."""
        return tuple(one for one in self.judged if one.verdict in verdicts)

    @property
    def caused(self) -> tuple[Judged, ...]:
        """The new codes that nothing explains."""
        return self.with_verdict(Verdict.CAUSED)


def compare(listings: Sequence[Listing], *, expected: Sequence[Expectation] = ()) -> Comparison:
    """Hold reads of one car against one another.

    Args:
        listings: at least two, in the order in which they were read; the first is from before the work.
        expected: what this job is expected to leave behind.

    Raises:
        ValueError: fewer than two reads.
    """
    if len(listings) < 2:
        raise ValueError("a comparison needs a read from before and a read from after")
    listings = under_one_name(listings)
    last = listings[-1]
    lines = [_judge(listings, module, code, expected) for module, code in _keys(listings)]
    return Comparison(
        judged=tuple(line for line in lines if line is not None),
        untested=tuple((one.module, one.code) for one in last.listed if _unproven(last, one)),
        unknown_modules=tuple(
            module for module in _modules(listings) if not last.heard(module) or module in last.partial
        ),
        erased=tuple(_erased(listings)),
        readiness_before=listings[0].readiness,
        readiness_after=last.readiness,
        permanent_read=last.permanent is not None,
        stage=last.stage,
        cut_off_modules=tuple(module for module in _modules(listings) if module in last.partial),
        unasked_modules=tuple(map(module_under, sorted(last.unasked))),
    )


def _unproven(last: Listing, one: Listed) -> bool:
    return last.heard(one.module) and not one.failing and bool(one.untested)


def _modules(listings: Sequence[Listing]) -> list[str]:
    """Every module that any read names, those with lines first, in the order of the lists."""
    named = [one.module for listing in listings for one in listing.listed]
    rest = sorted({module for listing in listings for module in listing.modules})
    return list(dict.fromkeys([*named, *rest]))


def _keys(listings: Sequence[Listing]) -> list[tuple[str, str]]:
    """Every (module, code) to be judged, once. A code without failure type gives way to the same with one."""
    found = dict.fromkeys((one.module, one.code) for listing in listings for one in listing.listed)
    for listing in listings:
        for code in listing.permanent or ():
            if not any(base(code) == base(other) for _, other in found):
                found[MODULE_NOT_SAID, code] = None
    typed = {(module, base(code)) for module, code in found if "-" in code}
    return [key for key in found if key not in typed]


def _judge(listings: Sequence[Listing], module: str, code: str, expected: Sequence[Expectation]) -> Judged | None:
    standings = [standing_in(listing, module, code) for listing in listings]
    first, now = standings[0], standings[-1]
    permanent = _permanent(listings, code)
    seen = [n for n, standing in enumerate(standings) if is_failing(standing)]
    earlier = [n for n in seen if n < len(standings) - 1]
    failing_now = is_failing(now) or permanent.still(now)
    before = first if failing_now or not earlier else standings[earlier[-1]]
    reasons = [one.because for one in expected if matches_any(code, one.codes)]
    verdict = verdict_of(before, now, expected=bool(reasons), permanent=permanent)
    if verdict is None:
        return None
    cut_off = module in listings[-1].partial
    if cut_off and verdict in (Verdict.GONE, Verdict.GONE_PROVEN):
        verdict = Verdict.UNKNOWN  # a list that broke off proves nothing gone, whatever stands in it
    inexact = _spelt_otherwise(code, before) or _spelt_otherwise(code, now)
    if verdict is Verdict.GONE_PROVEN and inexact:
        verdict = Verdict.GONE
    story = _Story(first=first, before=before, now=now, reasons=reasons, inexact=inexact, cut_off=cut_off)
    came_with_work = bool(earlier) and not is_failing(first) and not failing_now
    why = story.why(verdict)
    if came_with_work:
        why = f"seen failing in the read {listings[earlier[0]].stage!r}; {why}"
    return Judged(
        module=module,
        code=code,
        verdict=verdict,
        why=why,
        before=shown(first),
        after=shown(now),
        text=_text(listings, module, code),
        first_seen=listings[seen[0]].stage if seen else None,
    )


def standing_in(listing: Listing, module: str, code: str) -> Standing:
    """How a code stands in a read.

    Where the read spells it without failure type, that line is taken; asked for without failure type, the line of
    its types that says most.
    """
    if module != MODULE_NOT_SAID and not listing.heard(module):
        return Missing.UNHEARD
    exact = listing.find(module, code)
    if exact is not None:
        return exact
    near = [one for one in listing.like(module, code) if "-" not in one.code or "-" not in code]
    if not near:
        return Missing.CUT_OFF if module in listing.partial else Missing.ABSENT
    return max(near, key=lambda one: (bool(one.failing), bool(one.untested)))


def _spelt_otherwise(code: str, standing: Standing) -> bool:
    return isinstance(standing, Listed) and standing.code != code


def _permanent(listings: Sequence[Listing], code: str) -> Permanent:
    before = any(_among(code, listing.permanent or ()) for listing in listings[:-1])
    after = listings[-1].permanent
    return Permanent(before=before, after=None if after is None else _among(code, after))


def _among(code: str, permanent: Iterable[str]) -> bool:
    """Permanent codes have no failure type in most reads, so the type is asked only where both give one."""
    return any(code == one or (base(code) == base(one) and ("-" not in one or "-" not in code)) for one in permanent)


def shown(standing: Standing) -> str:
    """How a code stands, for a table: its status in hex, or why there is none."""
    return standing.status if isinstance(standing, Listed) else standing.value


def _text(listings: Sequence[Listing], module: str, code: str) -> str:
    """The newest words that a list has for a code."""
    for listing in reversed(listings):
        standing = standing_in(listing, module, code)
        if isinstance(standing, Listed) and standing.text:
            return standing.text
    return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Story:
    """What is needed to say why a verdict is what it is."""

    first: Standing
    before: Standing
    now: Standing
    reasons: Sequence[str]
    inexact: bool
    cut_off: bool

    def why(self, verdict: Verdict) -> str:
        """One sentence."""
        words = {
            Verdict.UNKNOWN: self._unknown,
            Verdict.OLD_OR_NEW: self._old_or_new,
            Verdict.ALREADY: self._already,
            Verdict.PERMANENT: lambda: "permanent: it stays until its own test has run and passed",
            Verdict.EXPECTED: lambda: "; ".join(self.reasons),
            Verdict.CAUSED: self._caused,
            Verdict.NOT_TESTED: self._not_tested,
            Verdict.GONE_PROVEN: lambda: "its test ran since the clear and in this cycle, and did not fail",
            Verdict.GONE: self._gone,
        }[verdict]()
        return f"{words}; one of the lists gives no failure type" if self.inexact else words

    def _unknown(self) -> str:
        if self.cut_off:
            return "the list of its module was cut off in the last read"
        return "its module was not heard in the last read"

    def _old_or_new(self) -> str:
        if self.before is Missing.CUT_OFF:
            return "the list of its module was cut off before the work, so it may be old or new"
        return "its module was not heard before the work, so it may be old or new"

    def _already(self) -> str:
        old, new = self.before, self.now
        if not isinstance(old, Listed) or not isinstance(new, Listed):
            return "it was failing before the work"
        both = old.mask & new.mask
        came, went = bit_words(new.bits & ~old.bits & both), bit_words(old.bits & ~new.bits & both)
        changes = [f"now also: {came}" if came else "", f"no longer: {went}" if went else ""]
        changed = "; ".join(one for one in changes if one)
        return f"it was failing before the work; {changed or 'its status has not changed'}"

    def _caused(self) -> str:
        if isinstance(self.first, Listed) and self.first.untested:
            return "it did not fail before the work, but its test may not have run then, so it may be older"
        return "it was not there before the work and is not expected of this job"

    def _not_tested(self) -> str:
        if not isinstance(self.now, Listed):
            return ""
        untested, hidden = self.now.untested & self.now.mask, self.now.untested & ~self.now.mask
        said = [bit_words(untested & self.now.bits)]
        said += [f"outside the mask, so unknown: {bit_words(hidden)}"] if hidden else []
        return "; ".join(one for one in said if one)

    def _gone(self) -> str:
        if not isinstance(self.now, Listed):
            return "it is not listed any more, which does not show that its test has run"
        if not self.now.passed:
            return "its test ran, but the module does not give the result"
        return "a test with this code passed"


def _erased(listings: Sequence[Listing]) -> Iterator[str]:
    """The signs that codes were cleared, or the power was off, between two reads."""
    for old, new in pairwise(listings):
        if new.since:
            yield f"the list {new.stage!r} says: since the read before, {new.since}"
        if new.stage == Stage.AFTER_CLEAR:
            yield f"the list {new.stage!r} was read after a clear"
        if old.readiness and new.readiness and new.readiness.complete < old.readiness.complete:
            fewer = f"{new.readiness.complete} complete self-tests after {old.readiness.complete}"
            yield f"{fewer}: codes were cleared, or the power was off"
        yield from _by_bits(old, new)


_SIGNS: Final[Mapping[str, str]] = {
    "tested": "its test had run, and now has not since the clear",
    "failed": "it had failed since the clear, and now has not",
}


def _by_bits(old: Listing, new: Listing) -> Iterator[str]:
    """Bits that only a clear changes: bit 4 comes back, or bit 5 goes."""
    for one in new.listed:
        was = old.find(one.module, one.code)
        if was is None:
            continue
        both = was.mask & one.mask
        came, went = one.bits & ~was.bits & both, was.bits & ~one.bits & both
        sign = "tested" if came & NOT_TESTED_SINCE_CLEAR else "failed" if went & FAILED_SINCE_CLEAR else None
        if sign:
            yield f"{one.module} {one.code}: {_SIGNS[sign]}, so it was cleared"
