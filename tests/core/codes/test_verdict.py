"""The verdict of a code, over every status byte and mask, against the printed table of the project's contract.

The table is written out again here, row by row. Meaning of the bits: ISO 14229-1 Annex D ("passed since the clear" is
bits 4 and 5 clear, "passed in this cycle" bits 6 and 1 clear; computed from the definitions).
"""

from collections import Counter
from itertools import product

import pytest

from putback.core.codes.lists.listing import Listed, Listing
from putback.core.codes.verdicts.compare import compare
from putback.core.codes.verdicts.statement import open_points
from putback.core.codes.verdicts.verdict import Missing, Permanent, Standing, Verdict, verdict_of

FAILING_BITS = (0, 1, 2, 3, 5)


def line(bits: int, mask: int = 0xFF) -> Listed:
    return Listed(module="engine", code="P0A9B-17", bits=bits, mask=mask)


def sets(bits: int, mask: int, bit: int) -> bool | None:
    """Whether a bit is set; None: outside the mask."""
    return bool(bits >> bit & 1) if mask >> bit & 1 else None


def seen_failing(bits: int, mask: int) -> bool:
    return any(sets(bits, mask, bit) for bit in FAILING_BITS)


EVERY = [(bits, mask) for bits in range(256) for mask in range(256)]
LINES = {pair: line(*pair) for pair in EVERY}
BEFORE: list[Standing] = [Missing.UNHEARD, Missing.CUT_OFF, Missing.ABSENT, line(0x28), line(0x50), line(0x2F, 0x50)]
PERMANENT = [Permanent(after=False), Permanent(before=True), Permanent(before=True, after=True)]


def by_the_table(before: Standing, after: Standing, *, expected: bool) -> Verdict | None:
    """The rows of the table, for a code that is not permanent, where a result bit is inside the mask."""
    was = isinstance(before, Listed) and seen_failing(before.bits, before.mask)
    if after in (Missing.UNHEARD, Missing.CUT_OFF):
        return Verdict.UNKNOWN
    if isinstance(after, Listed) and seen_failing(after.bits, after.mask):
        if before in (Missing.UNHEARD, Missing.CUT_OFF):
            return Verdict.OLD_OR_NEW
        if was:
            return Verdict.ALREADY
        return Verdict.EXPECTED if expected else Verdict.CAUSED
    if not was:
        return None
    if not isinstance(after, Listed):
        return Verdict.GONE
    bit_4, bit_6 = sets(after.bits, after.mask, 4), sets(after.bits, after.mask, 6)
    return Verdict.GONE_PROVEN if bit_4 is False and bit_6 is False else Verdict.NOT_TESTED


def test_every_status_byte_under_every_mask_is_judged_by_the_table() -> None:
    no_result = ~(1 << 0 | 1 << 1 | 1 << 5)
    counted: Counter[Verdict | None] = Counter()
    for before, expected in product(BEFORE, (False, True)):
        for (_, mask), after in LINES.items():
            found = verdict_of(before, after, expected=expected)
            table = by_the_table(before, after, expected=expected)
            if table is Verdict.GONE_PROVEN and not mask & ~no_result:
                table = Verdict.GONE  # bits outside the mask prove nothing: the test ran, its result is not kept
            assert found is table, (before, after, expected)
            counted[found] += 1
    assert sum(counted.values()) == len(BEFORE) * 2 * 65_536
    assert {one for one in Verdict if one not in counted} == {Verdict.UNKNOWN, Verdict.PERMANENT}


def test_gone_proven_is_never_said_without_proof() -> None:
    proven = wrong = 0
    for before, permanent in product(BEFORE, PERMANENT):
        for (bits, mask), after in LINES.items():
            if verdict_of(before, after, permanent=permanent) is not Verdict.GONE_PROVEN:
                continue
            proven += 1
            ran = sets(bits, mask, 4) is False and sets(bits, mask, 6) is False
            result = any(sets(bits, mask, bit) is False for bit in (0, 1, 5))
            clean = not seen_failing(bits, mask)
            wrong += not (ran and result and clean)
    assert proven > 0
    assert wrong == 0


def test_every_pair_of_status_bytes() -> None:
    for one, other in product(range(256), repeat=2):
        before, after = LINES[one, 0xFF], LINES[other, 0xFF]
        assert verdict_of(before, after) is by_the_table(before, after, expected=False)


@pytest.mark.parametrize("after", list(Missing))
@pytest.mark.parametrize("before", BEFORE)
def test_no_line_after(before: Standing, after: Missing) -> None:
    assert verdict_of(before, after) is by_the_table(before, after, expected=False)


@pytest.mark.parametrize(
    ("permanent", "after", "verdict"),
    [
        # 13 CCR 1968.2(d)(2.5): erased by the system itself after its own monitor ran and passed, by nothing else
        (Permanent(before=True), Missing.ABSENT, Verdict.PERMANENT),
        (Permanent(before=True), line(0x50), Verdict.PERMANENT),
        (Permanent(before=True), line(0x00), Verdict.GONE_PROVEN),
        (Permanent(before=True, after=True), line(0x00), Verdict.PERMANENT),
        (Permanent(before=True, after=False), Missing.ABSENT, Verdict.GONE),
        (Permanent(before=True, after=False), line(0x10), Verdict.NOT_TESTED),
        (Permanent(before=False, after=True), Missing.ABSENT, Verdict.CAUSED),
        (Permanent(before=True, after=True), Missing.UNHEARD, Verdict.UNKNOWN),
        (Permanent(before=True, after=True), Missing.CUT_OFF, Verdict.UNKNOWN),
    ],
)
def test_permanent(permanent: Permanent, after: Standing, verdict: Verdict) -> None:
    assert verdict_of(Missing.ABSENT, after, permanent=permanent) is verdict


def test_a_list_that_was_cut_off_proves_nothing_gone() -> None:
    """Over every status byte: neither a code that stands in the part that came, nor one that does not, is gone."""
    old = Listing(name="before", stage="before", listed=(line(0x2F),), answered=frozenset({"engine"}))
    counted: Counter[Verdict] = Counter()
    for lines in ((), *((LINES[pair],) for pair in EVERY if pair[1] in (0xFF, 0x7F, 0x5F, 0x08))):
        new = Listing(
            name="after",
            stage="after put-back",
            listed=lines,
            answered=frozenset({"engine"}),
            partial=frozenset({"engine"}),
        )
        comparison = compare([old, new])
        assert comparison.unknown_modules == comparison.cut_off_modules == ("engine",)
        (judged,) = comparison.judged
        counted[judged.verdict] += 1
        if judged.verdict is Verdict.UNKNOWN:
            assert judged.why == "the list of its module was cut off in the last read"
    assert set(counted) == {Verdict.UNKNOWN, Verdict.ALREADY, Verdict.NOT_TESTED}


def test_a_module_that_was_heard_and_not_asked_proves_nothing_gone() -> None:
    """Over every status byte from before, and whether or not the first list knows the module's id."""
    new = Listing(name="after", stage="after put-back", answered=frozenset({"body"}), unasked=frozenset({"7E8"}))
    counted: Counter[Verdict] = Counter()
    known_or_not: tuple[frozenset[tuple[str, str]], ...] = (frozenset({("7E8", "engine")}), frozenset())
    lines = [LINES[pair] for pair in EVERY if pair[1] in (0xFF, 0x7F, 0x5F, 0x08)]
    for old_line, known in product(lines, known_or_not):
        old = Listing(
            name="before", stage="before", listed=(old_line,), answered=frozenset({"engine"}), answering=known
        )
        found = compare([old, new])
        counted.update(one.verdict for one in found.judged)
        assert "engine" in found.unknown_modules
        assert ("module answering under 7E8" in found.unknown_modules) is not bool(known)
        assert open_points(found)
    assert set(counted) == {Verdict.UNKNOWN}


def test_a_code_is_not_new_where_the_list_from_before_was_cut_off() -> None:
    old = Listing(name="before", stage="before", answered=frozenset({"engine"}), partial=frozenset({"engine"}))
    new = Listing(name="after", stage="after put-back", listed=(line(0x2F),), answered=frozenset({"engine"}))
    (judged,) = compare([old, new]).judged
    assert judged.verdict is Verdict.OLD_OR_NEW
    assert judged.why == "the list of its module was cut off before the work, so it may be old or new"


def test_bit_4_overrides_every_other_sign() -> None:
    for bits in range(256):
        if bits & 0x10:
            assert not line(bits).passed
