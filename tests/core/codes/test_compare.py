"""Reads of one car against one another: what is listed, silent, cleared, spelt otherwise; and the demo's answers."""

from pathlib import Path

import pytest

from putback.adapters.car_file import demo_path, read_car
from putback.adapters.code_lists import read_code_list
from putback.core.car import Car
from putback.core.codes.lists.listing import Listed, Listing, Readiness
from putback.core.codes.verdicts.compare import Comparison, Expectation, compare
from putback.core.codes.verdicts.expected import Disturbed, disturbed_by, disturbed_by_items, expectations
from putback.core.codes.verdicts.statement import RegionRule, headline, open_points, readiness_words
from putback.core.codes.verdicts.verdict import Verdict
from putback.core.operations import Operation, Verb
from putback.plan.reached import least_work
from putback.plan.work import Work

DEMO = demo_path().parent


def demo_list(which: str) -> Listing:
    read = read_code_list(DEMO / f"quillet.{which}.csv")
    assert read.listing is not None
    assert read.findings == ()
    return read.listing


@pytest.fixture(scope="module")
def car() -> Car:
    found = read_car(demo_path()).car
    assert found is not None
    return found


@pytest.fixture(scope="module")
def disturbed(car: Car) -> Disturbed:
    work = least_work(car, ["thermostat-and-pump"])
    assert isinstance(work, Work)
    return Disturbed(items=work.items, energies=work.energies)


def verdicts(comparison: Comparison) -> dict[str, str]:
    return {one.code: str(one.verdict) for one in comparison.judged}


def listing(*lines: tuple[str, str, int], stage: str = "before", **more: object) -> Listing:
    listed = tuple(Listed(module=module, code=code, bits=bits) for module, code, bits in lines)
    said = {"answered": frozenset({"engine", "brake"}), **more}
    return Listing(name="x", stage=stage, listed=listed, **said)  # type: ignore[arg-type]


def test_the_demo_after_put_back(car: Car, disturbed: Disturbed) -> None:
    """The answers that stand in the README of the demo data, computed apart from this program."""
    found = compare([demo_list("before"), demo_list("after")], expected=expectations(car, disturbed))
    assert verdicts(found) == {
        "C1D27-13": "already there",
        "B1E08-62": "not tested yet",
        "P1F46-13": "caused",
        "C1A90-54": "expected",
        "U1C33-87": "expected",
        "C1F02-54": "expected",
    }
    assert (found.readiness_before, found.readiness_after) == (
        Readiness(supported=8, complete=8),
        Readiness(supported=8, complete=0),
    )
    assert "12 V was off" in found.erased[0]
    assert found.untested == (("body", "B1E08-62"),)


def test_the_demo_after_the_drive(car: Car, disturbed: Disturbed) -> None:
    reads = [demo_list(which) for which in ("before", "after", "drive")]
    found = compare(reads, expected=expectations(car, disturbed))
    assert verdicts(found) == {
        "C1D27-13": "already there",
        "B1E08-62": "not tested yet",
        "P1F46-13": "gone, not proven",
        "C1A90-54": "gone, not proven",
        "U1C33-87": "gone, not proven",
        "C1F02-54": "expected",
    }
    assert any("3 have not run" in point for point in open_points(found))


def test_nothing_is_expected_of_an_item_that_was_not_touched(car: Car) -> None:
    """A code planted on an untouched system is not excused by the car file."""
    touched = disturbed_by_items(car, ["slam-cover"])
    found = compare([demo_list("before"), demo_list("after")], expected=expectations(car, touched))
    assert {code for code, verdict in verdicts(found).items() if verdict == "caused"} == {
        "P1F46-13",
        "C1A90-54",
        "U1C33-87",
        "C1F02-54",
    }


def test_operations_disturb_what_they_touch(car: Car) -> None:
    operations = [
        Operation(n=1, verb=Verb.ISOLATE, energy="lv"),
        Operation(n=2, verb=Verb.UNPLUG, item="shutter-plug"),
        Operation(n=3, verb=Verb.UNDO, joint="j16"),
        Operation(n=4, verb=Verb.INSPECT, item="horns"),
        Operation(n=5, verb=Verb.REMOVE, item="of another car"),
    ]
    assert disturbed_by(car, operations) == Disturbed(items=("radar", "shutter-plug"), energies=("lv",))


def test_a_silent_module_is_unknown_and_one_not_named_too() -> None:
    before = listing(("engine", "P0104", 0x08), ("brake", "C0123", 0x08))
    silent = listing(stage="after put-back", answered=frozenset({"brake"}), silent=frozenset({"engine"}))
    found = compare([before, silent])
    assert verdicts(found) == {"P0104": "unknown", "C0123": "gone, not proven"}
    assert found.unknown_modules == ("engine",)
    not_said = compare([before, listing(("brake", "C0123", 0x08), answered=None)])
    assert verdicts(not_said) == {"P0104": "unknown", "C0123": "already there"}


def test_a_module_first_heard_after_the_work_is_old_or_new() -> None:
    found = compare([listing(answered=frozenset({"brake"})), listing(("engine", "P0104", 0x2F))])
    assert verdicts(found) == {"P0104": "unknown (old or new)"}


@pytest.mark.parametrize(
    ("before", "after", "verdict"),
    [
        ("P1F46", "P1F46-13", {"P1F46-13": "already there"}),
        ("P1F46-13", "P1F46", {"P1F46-13": "already there"}),
        ("P1F46-13", "P1F46-11", {"P1F46-13": "gone, not proven", "P1F46-11": "caused"}),
    ],
)
def test_a_code_without_failure_type_means_all_of_them(before: str, after: str, verdict: dict[str, str]) -> None:
    found = compare([listing(("engine", before, 0x2F)), listing(("engine", after, 0x2F))])
    assert verdicts(found) == verdict


def test_another_spelling_never_proves_that_a_code_is_gone() -> None:
    found = compare([listing(("engine", "P1F46", 0x2F)), listing(("engine", "P1F46-11", 0x00))])
    assert verdicts(found) == {"P1F46-11": "gone, not proven"}


def test_permanent_codes_stay_until_their_own_test_passed() -> None:
    before = listing(("engine", "P0104", 0x2F), permanent=("P0104",))
    cleared = listing(stage="after clear", permanent=("P0104",))
    assert verdicts(compare([before, cleared])) == {"P0104": "already there (permanent)"}
    assert verdicts(compare([before, listing(stage="after clear")])) == {"P0104": "already there (permanent)"}
    erased = listing(stage="after road test", permanent=())
    assert verdicts(compare([before, erased])) == {"P0104": "gone, not proven"}
    unnamed = compare([listing(permanent=("P0104",)), listing(permanent=("P0104",))])
    assert [(one.module, one.verdict) for one in unnamed.judged] == [("module not said", Verdict.PERMANENT)]


@pytest.mark.parametrize(
    ("after", "sign"),
    [
        (listing(("engine", "P0104", 0x50)), "so it was cleared"),  # bit 4 comes back with a clear only
        (listing(("engine", "P0104", 0x08)), "so it was cleared"),  # bit 5 goes with a clear only
        (listing(stage="after clear"), "after a clear"),
        (listing(since="battery was off"), "battery was off"),
        (listing(readiness=Readiness(supported=8, complete=1)), "1 complete self-tests after 8"),
    ],
)
def test_a_clear_in_between_is_said(after: Listing, sign: str) -> None:
    before = listing(("engine", "P0104", 0x28), readiness=Readiness(supported=8, complete=8))
    assert any(sign in one for one in compare([before, after]).erased)
    assert compare([before, before]).erased == ()


def test_a_code_listed_and_not_failing_counts_as_untested() -> None:
    found = compare([listing(), listing(("engine", "P0104", 0x50), ("brake", "C0123", 0x00))])
    assert found.judged == ()
    assert found.untested == (("engine", "P0104"),)


def test_a_module_that_was_heard_and_not_asked_is_unknown_and_open() -> None:
    ready = Readiness(supported=8, complete=8)
    ids = frozenset({"77D"})
    before = listing(unasked=ids, readiness=ready)
    found = compare([before, listing(stage="after put-back", unasked=ids, readiness=ready)])
    assert found.unknown_modules == found.unasked_modules == ("module answering under 77D",)
    assert open_points(found) == ("heard in the last read and not asked, so unknown: module answering under 77D",)
    only_before = compare([before, listing(stage="after put-back", readiness=ready)])
    assert open_points(only_before) == ("not heard in the last read: module answering under 77D",)


def test_a_module_heard_in_one_read_and_asked_in_another_is_one_module() -> None:
    heard = listing(unasked=frozenset({"7B4"}))
    asked = listing(("body", "B1E08-62", 0x2F), answered=frozenset({"body"}), answering=frozenset({("7B4", "body")}))
    after = compare([heard, asked])
    assert after.unasked_modules == ()
    assert after.unknown_modules == ("brake", "engine")  # of which the second list says nothing
    assert verdicts(after) == {"B1E08-62": "unknown (old or new)"}
    back = compare([asked, heard])
    assert back.unknown_modules == ("body",)
    assert back.unasked_modules == ()
    assert verdicts(back) == {"B1E08-62": "unknown"}


def test_it_never_reads_as_a_clean_bill() -> None:
    ready = Readiness(supported=8, complete=8)
    cases = [
        compare([listing(), listing()]),
        compare([listing(), listing(readiness=Readiness(supported=8, complete=7))]),
        compare([listing(), listing(("engine", "P0104", 0x40), readiness=ready)]),
        compare([listing(), listing(silent=frozenset({"engine"}), readiness=ready)]),
    ]
    for found in cases:
        assert open_points(found)
    done = compare([listing(), listing(readiness=ready)])
    assert open_points(done) == ()
    for found in (*cases, done):
        said = headline(found, open_points(found)).lower()
        assert not any(word in said for word in ("all clear", "safe", "compliant"))


def test_the_region_comes_from_the_users_table() -> None:
    rule = RegionRule(region="Harl", most_not_complete=1, source="made up")
    assert readiness_words(Readiness(supported=8, complete=6), rule).endswith(
        "more than the 1 that the table allows for Harl (made up)"
    )
    assert "not more than the 1" in readiness_words(Readiness(supported=8, complete=7), rule)


def test_one_read_is_no_comparison() -> None:
    with pytest.raises(ValueError, match="needs a read"):
        compare([listing()])


def test_an_expected_code_that_failed_before_is_already_there() -> None:
    read = listing(("engine", "P0104-13", 0x2F))
    found = compare([read, read], expected=[Expectation(codes=("P0104",), because="x")])
    assert verdicts(found) == {"P0104-13": "already there"}


def test_the_lists_of_the_demo_are_in_the_package() -> None:
    assert {path.name for path in Path(DEMO).glob("quillet.*.csv")} >= {"quillet.before.csv", "quillet.after.csv"}
