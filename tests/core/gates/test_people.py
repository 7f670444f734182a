"""Who, gloves, keys, second person and boundary: what opens them, and every way round them that was thought of.

Six months between electrical tests, class by voltage and the air test of the day: 29 CFR 1910.137 and its letter of
interpretation of 25 January 2019 (seen as excerpts; use voltages from memory). Class 0 where the maker names none:
common practice, no source.
"""

from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import pytest

from core.gates.bench import SHIELD, Bench, at_shield, before, operation
from putback.core.gates import GateKind, GateSettings, MakerClass
from putback.core.gates.people import months_after
from putback.core.operations import Verb

PROVE = operation(Verb.PROVE_DEAD, "hv")
DISCONNECT = operation(Verb.REMOVE, "service-disconnect")


def before_the_people(kind: str) -> Bench:
    """Ready to take the disconnect out, but without the events of one kind."""
    bench = before(DISCONNECT)
    bench.entries = [one for one in bench.entries if one.event.kind != kind]
    return bench


def shut(bench: Bench, kind: GateKind, person: str = "p1") -> bool:
    return (kind, "hv") in bench.shut(DISCONNECT, person=person)


WHO: tuple[tuple[dict[str, Any], bool], ...] = (
    ({}, False),
    ({"grade": "  High-Voltage   skilled PERSON "}, False),
    ({"expires": "2026-03-02"}, False),
    ({"expires": "2026-03-01"}, True),
    ({"expires": "2026-02-30"}, True),
    ({"expires": "20270531"}, True),
    ({"expires": None}, True),
    ({"issuer": None}, True),
    ({"issuer": ""}, True),
    ({"grade": "instructed person"}, True),
    ({"grade": ["high-voltage skilled person"]}, True),
    ({"who": "p2"}, True),
    ({"who": ["p1"]}, True),
)


@pytest.mark.parametrize(("body", "is_shut"), WHO)
def test_a_named_person_with_the_grade_in_date(body: dict[str, Any], is_shut: bool) -> None:
    bench = before_the_people("grade shown")
    assert shut(bench, GateKind.WHO)
    bench.grade(**body)
    assert shut(bench, GateKind.WHO) is is_shut


def test_nobody_named_is_nobody() -> None:
    bench = before(DISCONNECT)
    assert not shut(bench, GateKind.WHO)
    assert (GateKind.WHO, "hv") in bench.shut(DISCONNECT, person=None)


def test_a_grade_taken_back_is_none() -> None:
    bench = before_the_people("grade shown")
    bench.take_back(bench.grade())
    assert shut(bench, GateKind.WHO)


def test_a_clock_set_back_brings_no_expired_grade_to_life() -> None:
    """The device says February; the server's receipts say March."""
    bench = before_the_people("grade shown")
    bench.grade(expires="2026-03-01")
    bench.slow["tablet"] = timedelta(days=20)
    assert (GateKind.WHO, "hv") in bench.shut(DISCONNECT, device="tablet")


def test_words_on_a_certificate_count_only_where_the_workshop_accepts_them() -> None:
    bench = before_the_people("grade shown")
    bench.grade(grade="2S")
    assert shut(bench, GateKind.WHO)
    bench.settings = GateSettings(accepted_grades={"high-voltage skilled person": ("2S",)})
    assert not shut(bench, GateKind.WHO)


GLOVES: tuple[tuple[dict[str, Any], bool], ...] = (
    ({}, False),
    ({"tested": "2025-09-03"}, False),
    ({"tested": "2025-09-02"}, True),
    ({"tested": "2025-08-01"}, True),
    ({"tested": "2026-03-03"}, True),
    ({"tested": "2026-03-02"}, False),
    ({"tested": "12.01.2026"}, True),
    ({"tested": None}, True),
    ({"class": "00"}, True),
    ({"class": "1"}, False),
    ({"class": 0}, True),
    ({"serial": None}, True),
    ({"air_test": "failed"}, True),
    ({"air_test": "Held"}, True),
    ({"air_test_at": "2026-03-01T16:00:00+01:00"}, True),
    ({"air_test_at": "2026-03-01T23:30:00-05:00"}, False),
    ({"air_test_at": "2026-03-02T23:30:00+01:00"}, True),
    ({"air_test_at": "2026-03-02T00:30:00+14:00"}, True),
    ({"air_test_at": None}, True),
    ({"who": "p3"}, True),
)


@pytest.mark.parametrize(("body", "is_shut"), GLOVES)
def test_own_gloves_in_date_and_blown_up_today(body: dict[str, Any], is_shut: bool) -> None:
    bench = before_the_people("gloves checked")
    assert shut(bench, GateKind.GLOVES)
    bench.pass_minutes(60)
    bench.gloves(**body)
    assert shut(bench, GateKind.GLOVES) is is_shut


def test_the_gloves_of_another_do_not_protect() -> None:
    bench = before(DISCONNECT)
    assert not shut(bench, GateKind.GLOVES)
    assert shut(bench, GateKind.GLOVES, person="p3")


@pytest.mark.parametrize("who", ["p1", "p3"])
def test_a_later_failed_air_test_ends_them_and_cannot_be_taken_back(who: str) -> None:
    bench = before(DISCONNECT)
    failed = bench.gloves(who=who, air_test="failed")
    assert shut(bench, GateKind.GLOVES)
    bench.take_back(failed)
    assert shut(bench, GateKind.GLOVES)
    bench.gloves(serial="G-200")
    assert not shut(bench, GateKind.GLOVES), "another pair, checked since"


def test_the_makers_class_wins_over_common_practice() -> None:
    bench = before(DISCONNECT)
    bench.settings = GateSettings(maker_gloves={"hv": MakerClass(glove_class="1", source="invented publication")})
    assert shut(bench, GateKind.GLOVES)
    bench.gloves(**{"class": "1", "basis": "maker's class"})
    assert not shut(bench, GateKind.GLOVES)


@pytest.mark.parametrize(
    ("volts", "glove_class", "is_shut"), [(1000, "0", False), (1001, "0", True), (1001, "1", False)]
)
def test_class_against_voltage(volts: float, glove_class: str, is_shut: bool) -> None:
    """Highest use voltages: 29 CFR 1910.137 (from memory)."""
    bench = before_the_people("gloves checked")
    high = replace(bench.car.energies["hv"], volts=float(volts))
    bench.car = replace(bench.car, energies={**bench.car.energies, "hv": high})
    bench.gloves(**{"class": glove_class})
    assert shut(bench, GateKind.GLOVES) is is_shut


def test_unknown_volts_ask_for_gloves_all_the_same() -> None:
    bench = before_the_people("gloves checked")
    unknown = replace(bench.car.energies["hv"], volts=None)
    bench.car = replace(bench.car, energies={**bench.car.energies, "hv": unknown})
    assert shut(bench, GateKind.GLOVES)


@pytest.mark.parametrize(
    ("day", "months", "then"),
    [
        (date(2025, 9, 2), 6, date(2026, 3, 2)),
        (date(2025, 8, 31), 6, date(2026, 2, 28)),
        (date(2023, 8, 31), 6, date(2024, 2, 29)),
        (date(2025, 12, 31), 2, date(2026, 2, 28)),
        (date(2025, 6, 30), 6, date(2025, 12, 30)),
    ],
)
def test_months_by_the_calendar(day: date, months: int, then: date) -> None:
    assert months_after(day, months) == then


KEYS: tuple[tuple[dict[str, Any], bool], ...] = (
    ({}, False),
    ({"in_box": 2}, True),
    ({"in_box": 0, "of": 0}, True),
    ({"in_box": 4, "of": 3}, True),
    ({"in_box": 3.0}, False),
    ({"in_box": "3"}, True),
    ({"in_box": True, "of": True}, True),
    ({"of": None}, True),
    ({"charge_lead": "in"}, True),
    ({"charge_lead": None}, True),
    ({"remote_starts": 1}, True),
    ({"remote_starts": None}, True),
    ({"memory_savers": 1}, True),
    ({"holder": None}, True),
    ({"holder": ""}, True),
)


@pytest.mark.parametrize(("body", "is_shut"), KEYS)
def test_keys_lead_starts_and_savers_are_all_counted(body: dict[str, Any], is_shut: bool) -> None:
    bench = before_the_people("keys counted")
    assert shut(bench, GateKind.KEYS)
    bench.keys(**body)
    assert shut(bench, GateKind.KEYS) is is_shut


def test_fewer_keys_in_a_new_count_do_not_make_one_vanish() -> None:
    bench = before(DISCONNECT)
    bench.keys(in_box=2, of=2)
    assert shut(bench, GateKind.KEYS)


def test_a_wrong_count_taken_back_and_counted_again() -> None:
    bench = before_the_people("keys counted")
    slip = bench.keys(in_box=4, of=4)
    bench.keys(in_box=3, of=3)
    assert shut(bench, GateKind.KEYS)
    bench.take_back(slip)
    assert shut(bench, GateKind.KEYS), "taking back alone opens nothing"
    bench.keys(in_box=3, of=3)
    assert not shut(bench, GateKind.KEYS)


@pytest.mark.parametrize("kind", ["key moved", "charge lead plugged"])
def test_a_moved_key_cannot_be_taken_back_only_counted(kind: str) -> None:
    bench = at_shield()
    assert not bench.shut()
    moved = bench.log(kind)
    assert bench.shut() == {(GateKind.KEYS, "hv"), (GateKind.PROOF, "hv")}
    bench.take_back(moved)
    assert (GateKind.KEYS, "hv") in bench.shut()
    bench.keys()
    assert bench.shut() == {(GateKind.PROOF, "hv")}, "counted again: the keys are right, the proof is not"
    bench.prove("hv")
    assert not bench.shut()


def test_another_key_that_turns_up_voids_the_proof() -> None:
    bench = at_shield()
    bench.keys(in_box=4, of=4)
    assert bench.shut() == {(GateKind.PROOF, "hv")}


def test_a_memory_saver_keeps_the_restraints_shut() -> None:
    """The demo's file forbids a memory saver for the restraints; so the count is asked there too."""
    plug = operation(Verb.UNPLUG, "impact-plug-left")
    bench = at_shield()
    assert not bench.shut(plug)
    bench.keys(memory_savers=1)
    assert (GateKind.KEYS, "srs") in bench.shut(plug)


@pytest.mark.parametrize(
    ("body", "person", "is_shut"),
    [
        ({"who": "p2"}, "p1", False),
        ({"who": "p1"}, "p1", True),
        ({"who": None}, "p1", True),
        ({"who": "p2"}, "p2", True),
    ],
)
def test_the_second_person_is_somebody_else(body: dict[str, Any], person: str, is_shut: bool) -> None:
    bench = before_the_people("second person named")
    assert shut(bench, GateKind.SECOND_PERSON)
    bench.log("second person named", **body)
    assert shut(bench, GateKind.SECOND_PERSON, person) is is_shut


def test_the_second_person_leaves() -> None:
    bench = at_shield()
    left = bench.log("person left", who="p2")
    assert (GateKind.SECOND_PERSON, "hv") in bench.shut()
    bench.take_back(left)
    assert (GateKind.SECOND_PERSON, "hv") in bench.shut()
    bench.log("second person named", who="p3")
    assert (GateKind.SECOND_PERSON, "hv") not in bench.shut()


def test_the_boundary_of_yesterday_is_none() -> None:
    bench = at_shield()
    bench.now = datetime.fromisoformat("2026-03-03T08:00:00+01:00")
    assert {kind for kind, energy in bench.shut() if energy == "hv"} == {
        GateKind.GLOVES,
        GateKind.KEYS,
        GateKind.SECOND_PERSON,
        GateKind.BOUNDARY,
        GateKind.PROOF,
    }


@pytest.mark.parametrize(
    "kind", ["grade shown", "gloves checked", "keys counted", "second person named", "boundary set"]
)
def test_each_is_asked_before_isolating_proving_and_working(kind: str) -> None:
    """Left out, it shuts all three; whatever else was logged, and in whatever order."""
    bench = at_shield()
    bench.entries = [one for one in bench.entries if one.event.kind != kind]
    for op in (DISCONNECT, PROVE, SHIELD):
        assert any(energy == "hv" for _, energy in bench.shut(op))


def test_logged_after_the_work_it_opens_nothing_before() -> None:
    """Evidence from before the people's gates were open is no evidence: order cannot be turned round."""
    bench = before_the_people("gloves checked").reach_from(DISCONNECT, SHIELD)
    bench.gloves()
    assert bench.shut() == {(GateKind.PROOF, "hv")}
