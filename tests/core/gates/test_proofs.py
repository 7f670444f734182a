"""A proof is one person's, of one sitting: what makes one, every slip that must not, and all that ends it.

Prove, test, prove again: test of the instrument before and after is required above 600 V and recommended below (US
DOE electrical safety handbook, seen as an excerpt); the pairs, the limit and the window are the demo's own, invented.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from core.gates.bench import POINTS, SHIELD, Bench, at_shield, before, operation
from putback.core.car import Energy
from putback.core.gates import GateKind, gates_before
from putback.core.gates.readings import bad_reading, reading_of
from putback.core.gates.tables import ENDS
from putback.core.operations import Operation, Verb

PROVE = operation(Verb.PROVE_DEAD, "hv")
PROOF = (GateKind.PROOF, "hv")


def proved(bench: Bench) -> bool:
    return PROOF not in bench.shut()


def ready() -> Bench:
    """Waited, points reached, everything there but the proof."""
    bench = before(PROVE)
    assert bench.shut() == {PROOF}
    return bench


def test_five_readings_and_the_word() -> None:
    bench = ready()
    bench.readings()
    assert PROOF not in bench.shut(PROVE)
    assert not proved(bench), "readings alone are no proof until the person says so"
    bench.do(PROVE)
    assert proved(bench)


LIMITS: tuple[tuple[object, object, bool], ...] = (
    (5, "V", True),
    (5.01, "V", False),
    (6, "V", False),
    (-4.9, "V", True),
    (-6, "V", False),
    (5000, "mV", True),
    (5001, "mV", False),
    (-5001, "mV", False),
    (0.003, "kV", False),
    (4, "A", False),
    (4, "v", False),
    (4, "", False),
    (4, None, False),
    (4, ["V"], False),
    ("4", "V", False),
    (True, "V", False),
    (None, "V", False),
    (0, "V", True),
)


@pytest.mark.parametrize(("value", "unit", "is_good"), LIMITS)
@pytest.mark.parametrize("pair", POINTS)
def test_each_reading_has_its_unit_and_its_limit(pair: str, value: object, unit: object, *, is_good: bool) -> None:
    bench = ready()
    bench.reading("prove before", 302)
    for one in POINTS:
        bench.reading("test", 0.3, one, **({"value": value, "unit": unit} if one == pair else {}))
    bench.reading("prove after", 301)
    bench.do(PROVE)
    assert proved(bench) is is_good


def test_what_is_no_number_never_becomes_an_event() -> None:
    bench = ready()
    for value in (float("nan"), float("inf")):
        with pytest.raises(ValueError, match="number"):
            bench.reading("test", value, POINTS[0])


PROVINGS: tuple[tuple[dict[str, Any], bool], ...] = (
    ({}, True),
    ({"value": 0}, False),
    ({"value": 5}, False),
    ({"value": 302, "unit": "mV"}, False),
    ({"value": 302_000, "unit": "mV"}, True),
    ({"value": -302}, True),
    ({"known_source": None}, False),
    ({"instrument": "meter-4"}, False),
    ({"instrument": None}, False),
    ({"who": "p2"}, False),
    ({"_person": "p2"}, False),
    ({"_person": None}, False),
    ({"_device": "phone"}, False),
    ({"energy": "lv"}, False),
    ({"phase": "proved"}, False),
)


@pytest.mark.parametrize(("body", "is_good"), PROVINGS)
@pytest.mark.parametrize("phase", ["prove before", "prove after"])
def test_the_instrument_is_proved_before_and_after(phase: str, body: dict[str, Any], *, is_good: bool) -> None:
    bench = ready()
    bench.reading("prove before", 302, **(body if phase == "prove before" else {}))
    for pair in POINTS:
        bench.reading("test", 0.3, pair)
    bench.reading("prove after", 302, **(body if phase == "prove after" else {}))
    bench.do(PROVE)
    assert proved(bench) is is_good


@pytest.mark.parametrize("left_out", range(5))
def test_none_of_the_five_readings_can_be_left_out(left_out: int) -> None:
    bench = ready()
    taken = bench.readings()
    bench.entries = [one for one in bench.entries if one.event.id != taken[left_out]]
    bench.do(PROVE)
    assert not proved(bench)


@pytest.mark.parametrize(
    "order", [(1, 0, 2, 3, 4), (0, 1, 2, 4, 3), (4, 1, 2, 3, 0), (1, 2, 3, 0, 4), (0, 4, 1, 2, 3)]
)
def test_logged_in_another_order_it_is_no_proof(order: tuple[int, ...]) -> None:
    bench = ready()
    bench.readings()
    five = bench.entries[-5:]
    bench.entries[-5:] = [five[at] for at in order]
    bench.do(PROVE)
    assert not proved(bench)


def test_pairs_under_other_names_do_not_count() -> None:
    bench = ready()
    bench.reading("prove before", 302)
    for pair in ("TP1-TP2", "TP1-TP2", "TP1-body", "tp2-body"):
        bench.reading("test", 0.3, pair)
    bench.reading("prove after", 301)
    bench.do(PROVE)
    assert not proved(bench)


@pytest.mark.parametrize(("minutes", "is_good"), [(9.5, True), (10.1, False), (25, False)])
def test_all_in_one_window(minutes: float, *, is_good: bool) -> None:
    bench = ready()
    bench.reading("prove before", 302)
    for pair in POINTS:
        bench.reading("test", 0.3, pair)
    bench.pass_minutes(minutes)
    bench.reading("prove after", 301)
    bench.do(PROVE)
    assert proved(bench) is is_good


def test_a_slow_clock_does_not_stretch_the_window() -> None:
    """The tablet's clock is set back by 20 min between the provings; the server saw both at once."""
    bench = ready()
    bench.reading("prove before", 302)
    for pair in POINTS:
        bench.reading("test", 0.3, pair)
    bench.pass_minutes(25)
    bench.slow["tablet"] = timedelta(minutes=20)
    bench.reading("prove after", 301)
    bench.do(PROVE)
    assert not proved(bench)


def test_a_high_reading_cannot_be_taken_back_only_proved_anew() -> None:
    bench = at_shield()
    six = bench.reading("test", 6.0, "TP1-body")
    assert not proved(bench)
    bench.take_back(six)
    assert not proved(bench)
    bench.prove("hv")
    assert proved(bench)


def test_a_high_reading_between_the_provings_spoils_the_set() -> None:
    bench = ready()
    bench.reading("prove before", 302)
    six = bench.reading("test", 6.0, "TP1-body")
    for pair in POINTS:
        bench.reading("test", 0.3, pair)
    bench.reading("prove after", 301)
    bench.take_back(six)
    bench.do(PROVE)
    assert not proved(bench)


@pytest.mark.parametrize("part", range(6))
def test_no_part_of_a_proof_can_be_taken_back_without_its_falling(part: int) -> None:
    bench = ready()
    parts = [*bench.readings(), bench.do(PROVE)]
    assert proved(bench)
    bench.take_back(parts[part])
    assert not proved(bench)


def test_a_proof_sent_again_is_no_second_one() -> None:
    bench = ready()
    bench.prove("hv")
    old = bench.entries[-6:]
    bench.log("key moved")
    bench.keys()
    bench.entries += old
    assert bench.shut() == {PROOF}


def test_an_old_proof_under_a_new_job_or_an_old_id_is_none() -> None:
    bench = ready()
    other = bench.copy()
    for phase, points in (("prove before", None), *(("test", pair) for pair in POINTS), ("prove after", None)):
        other.reading(phase, 0.3 if points else 302, points, _job="job-2")
    other.do(PROVE, _job="job-2")
    assert not proved(other), "events of another job"
    used = bench.entries[3].event.id
    bench.readings()
    assert PROOF not in bench.copy().shut(PROVE)
    bench.do(PROVE, _id=used)
    assert not proved(bench), "an id that was used before says nothing but doubt"


ONE_PERSON: tuple[tuple[str, dict[str, Any]], ...] = (
    ("p2 says the word", {"_person": "p2"}),
    ("nobody says the word", {"_person": None}),
    ("said on another device", {"_device": "phone"}),
    ("said of another energy", {"energy": "lv"}),
    ("said of none", {"energy": None}),
)


@pytest.mark.parametrize(("what", "body"), ONE_PERSON, ids=[what for what, _ in ONE_PERSON])
def test_the_word_is_of_who_measured(what: str, body: dict[str, Any]) -> None:
    bench = ready()
    bench.readings()
    bench.do(PROVE, **body)
    assert not proved(bench), what


def test_the_proof_of_one_is_not_that_of_another() -> None:
    """p3 has shown grade and gloves; the proof is p1's all the same."""
    bench = at_shield()
    bench.grade(who="p3")
    bench.gloves(who="p3", serial="G-9")
    assert bench.shut(person="p3") == {PROOF}


def test_work_of_another_ends_it() -> None:
    bench = at_shield()
    bench.do(SHIELD, _person="p3")
    assert not proved(bench)


VOIDS: dict[str, Callable[[Bench], object]] = {
    "the lead goes back on, and off again": lambda bench: [bench.do(operation(Verb.JOIN, "lv-negative"))],
    "the lead is called back, though it is off": lambda bench: bench.do(operation(Verb.RESTORE, "lv")),
    "the disconnect goes back in": lambda bench: bench.do(operation(Verb.FIT, "service-disconnect")),
    "the disconnect is called back": lambda bench: bench.do(operation(Verb.RESTORE, "hv")),
    "something is switched on": lambda bench: bench.log("operation done", verb="switch on"),
    "a restore of nobody knows what": lambda bench: bench.log("operation done", verb="restore"),
    "an operation that cannot be read": lambda bench: bench.log("operation done", verb="fit", item=7),
    "a reading that names no energy": lambda bench: bench.reading("test", 6.0, "TP1-body", energy=None),
    "a reading of an energy that is not in the file": lambda bench: bench.reading("test", 6.0, energy="hvv"),
    "a kind of a newer program": lambda bench: bench.log("never heard of"),
    "a field of a newer program": lambda bench: bench.log("noted", note="seen", newer=1),
    "a field beside the body": lambda bench: bench.log("noted", note="seen", _more={"newer": 1}),
    "a slip that is not in the record": lambda bench: bench.take_back("nobody-knows"),
    "an id that was used before": lambda bench: bench.log("noted", note="other", _id=bench.entries[2].event.id),
    "a gap": lambda bench: bench.pass_minutes(31),
    "a gap with a line of somebody else in between": lambda bench: [
        bench.pass_minutes(20),
        bench.log("noted", note="tea", _person="p2"),
        bench.grade(_person="p2"),
        bench.pass_minutes(20),
    ],
    "overnight": lambda bench: setattr(bench, "now", datetime.fromisoformat("2026-03-03T00:00:01+01:00")),
}


@pytest.mark.parametrize("what", VOIDS)
def test_what_ends_a_proof(what: str) -> None:
    bench = at_shield()
    assert proved(bench)
    VOIDS[what](bench)
    assert not proved(bench), what


@pytest.mark.parametrize("kind", ENDS)
def test_what_an_event_ends_is_what_the_table_says(kind: str) -> None:
    """The table of endings, which pages and documents read, against what the gates do."""
    bench = at_shield()
    bench.log(kind, **({"about": "not sure"} if kind == "doubt raised" else {}))
    assert {gate for gate, energy in bench.shut() if energy == "hv"} == set(ENDS[kind])


@pytest.mark.parametrize("kind", ["shift ended", "person left"])
def test_the_shift_of_somebody_else_does_not_end_ours(kind: str) -> None:
    bench = at_shield()
    bench.log(kind, who="p3")
    assert not bench.shut()
    bench.log(kind, who=["p3"])
    assert not proved(bench), "a name that cannot be read is everybody's"


def test_a_doubt_of_one_energy_is_of_that_one_alone() -> None:
    bench = at_shield()
    bench.log("doubt raised", about="the rock test", energy="lift")
    assert proved(bench)
    bench.log("doubt raised", about="which one?", energy="not known")
    assert not proved(bench)


def test_ordinary_work_of_the_same_person_ends_nothing() -> None:
    bench = at_shield()
    for op in (SHIELD, operation(Verb.REMOVE, "orange-shield"), operation(Verb.GUARD, "orange-shield")):
        assert not bench.shut(op)
        bench.pass_minutes(25)
        bench.do(op)
    assert not bench.shut(operation(Verb.UNDO, "j49"))


UNREADY: dict[str, str] = {
    "isolate": "the energy was never called isolated",
    "remove": "the points were covered",
    "keys counted": "keys were not counted",
    "second person named": "nobody stood by",
}


@pytest.mark.parametrize("left_out", UNREADY)
def test_readings_taken_too_early_stay_worthless(left_out: str) -> None:
    """What was missing when the readings were taken can be logged later; the proof has to be made again."""
    bench = ready()
    taken = [
        one
        for one in bench.entries
        if left_out == one.event.kind
        or (left_out == "isolate" and one.event.body.get("verb") == "isolate" and one.event.body.get("energy") == "hv")
        or (
            left_out == "remove"
            and one.event.body.get("verb") == "remove"
            and one.event.body.get("item") == "undertray"
        )
    ]
    assert len(taken) == 1
    bench.entries = [one for one in bench.entries if one not in taken]
    bench.prove("hv")
    assert not proved(bench), UNREADY[left_out]
    bench.entries += [replace(taken[0], received_at=bench.now.isoformat())]
    assert not proved(bench), UNREADY[left_out]


@pytest.mark.parametrize(
    ("energy", "reading", "is_good"),
    [
        ("lv", {"value": 0.4, "unit": "V"}, True),
        ("lv", {"value": 14.2, "unit": "V"}, False),
        ("lv", {"value": 600, "unit": "mV"}, False),
        ("lv", {"value": 0.4}, False),
        ("lv", {"value": "0.4", "unit": "V"}, False),
        ("lv", None, False),
        ("fuel", {"value": 0, "unit": "kPa"}, True),
        ("fuel", {"value": -3, "unit": "kPa"}, False),
        ("fuel", {"value": 0, "unit": "bar"}, False),
    ],
)
def test_a_reading_beside_the_word(energy: str, reading: dict[str, Any] | None, *, is_good: bool) -> None:
    """Where one reading is enough it may stand in the same line; it is held against the limit there too."""
    bench = before(operation(Verb.PROVE_DEAD, energy))
    bench.do(operation(Verb.PROVE_DEAD, energy), reading=reading)
    follows = operation(Verb.REMOVE, "service-disconnect") if energy == "lv" else operation(Verb.UNDO, "j02")
    if energy == "fuel":
        bench.tick()
    gates = gates_before(bench.case(), follows, bench.moment())
    gate = next(gate for gate in gates if gate.kind is GateKind.ORDER and gate.energy == energy)
    assert gate.open is is_good


def test_below_zero_is_a_temperature_and_nothing_else() -> None:
    bench = before(operation(Verb.PROVE_DEAD, "cool-engine"))
    event = bench.do(operation(Verb.PROVE_DEAD, "cool-engine"), reading={"value": -3, "unit": "°C"})
    fact = bench.case().facts[-1]
    assert fact.event.id == event
    proof, reading = bench.car.energies["cool-engine"].proof, reading_of(fact, "cool-engine")
    assert proof is not None
    assert reading is not None
    assert bad_reading(proof, reading) is None


def test_twelve_volts_back_ends_what_rests_on_it() -> None:
    """Parts that start by themselves are made safe by 12 V being off; they have no disconnect of their own."""
    plug = operation(Verb.UNPLUG, "shutter-plug")
    bench = at_shield()
    assert not bench.shut(plug)
    bench.do(operation(Verb.JOIN, "lv-negative"))
    assert (GateKind.PROOF, "moving") in bench.shut(plug)
    bench.log("energy checked", energy="moving", who="p1", gone="yes")
    bench.do(operation(Verb.PROVE_DEAD, "moving"))
    assert (GateKind.PROOF, "moving") in bench.shut(plug), "a check does not help while the lead is on"


def test_a_check_that_says_no_is_no_proof() -> None:
    plug = operation(Verb.UNPLUG, "shutter-plug")
    bench = at_shield()
    no = bench.log("energy checked", energy="moving", who="p1", gone="no")
    assert (GateKind.PROOF, "moving") in bench.shut(plug)
    bench.take_back(no)
    assert (GateKind.PROOF, "moving") in bench.shut(plug)


def _without(energy: Energy, **fields: Any) -> Energy:
    assert energy.proof is not None
    return replace(energy, proof=replace(energy.proof, **fields))


@pytest.mark.parametrize("fields", [{"source": None}, {"source": ""}, {"at_most": None}, {"within_minutes": None}])
def test_a_limit_without_a_source_is_asked_for_and_shuts(fields: dict[str, Any]) -> None:
    bench = at_shield()
    bench.car = replace(bench.car, energies={**bench.car.energies, "hv": _without(bench.car.energies["hv"], **fields)})
    gate = next(gate for gate in bench.gates() if gate.kind is GateKind.VALUE_NEEDED)
    assert gate.opens == "value needed: ask the maker's publication"
    bench.log("override given", gate="value needed", energy="hv", item="orange-shield", who="p2", reason="known")
    bench.log("override given", gate="value needed", energy="hv", who="p2", reason="known")
    assert (GateKind.VALUE_NEEDED, "hv") in bench.shut()
    assert (GateKind.VALUE_NEEDED, "hv") in bench.shut(PROVE)


def test_an_energy_without_any_proof_stays_shut() -> None:
    bench = at_shield()
    bare = replace(bench.car.energies["hv"], proof=None)
    bench.car = replace(bench.car, energies={**bench.car.energies, "hv": bare})
    assert (GateKind.VALUE_NEEDED, "hv") in bench.shut()


def test_it_says_what_is_left_to_do() -> None:
    bench = ready()
    left = []
    for step in range(5):
        gate = next(gate for gate in bench.gates() if gate.kind is GateKind.PROOF and gate.energy == "hv")
        left.append(len(gate.lacks))
        where = None if step in (0, 4) else POINTS[step - 1]
        bench.reading(("prove before", "test", "test", "test", "prove after")[step], 0.3 if where else 302, where)
    assert left == [6, 5, 4, 3, 2]


def test_the_word_is_let_through_only_when_it_would_count() -> None:
    """All five readings are there, but they would prove nothing: so they are asked for anew, all of them."""
    early = Bench()
    for _ in early.walk(operation(Verb.WAIT, "hv"), minutes=0.05):
        pass
    early.readings()
    early.sit_out(early.car.energies["hv"])
    slow = ready()
    slow.reading("prove before", 302)
    slow.pass_minutes(11)
    for pair in POINTS:
        slow.reading("test", 0.3, pair)
    slow.reading("prove after", 301)
    two = ready()
    two.reading("prove before", 302, _device="phone")
    for pair in POINTS:
        two.reading("test", 0.3, pair)
    two.reading("prove after", 301)
    for bench in (early, slow, two):
        gate = next(gate for gate in bench.gates(PROVE) if gate.kind is GateKind.PROOF)
        assert not gate.lets_through
        assert len(gate.lacks) >= 5
        bench.do(PROVE)
        assert not proved(bench)


def test_a_word_of_the_plan_is_asked_for_by_name() -> None:
    """`prove dead` as an operation is itself behind isolation, wait, reach and readings."""
    bench = Bench()
    word = Operation(n=1, verb=Verb.PROVE_DEAD, energy="hv")
    kinds = {kind for kind, energy in bench.shut(word) if energy == "hv"}
    assert kinds >= {GateKind.ORDER, GateKind.WAIT, GateKind.PROOF, GateKind.WHO, GateKind.GLOVES, GateKind.KEYS}
