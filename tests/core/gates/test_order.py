"""Making safe comes first and in its own order; which gates a named person may pass, and how far that reaches."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest

from core.gates.bench import SHIELD, Bench, at_shield, before, operation, operations
from core.gates.histories import ASKED
from core.small import SOURCE, item, joint, small_car
from putback.core.car import Action, Car, Energy, Proof
from putback.core.gates import Entry, Gate, GateKind, Moment, Override, gates_before, overrides, plain, read_case, shut
from putback.core.gates.gate import OVERRIDE
from putback.core.gates.overrides import passed
from putback.core.operations import Operation, Verb

LEAD = operation(Verb.UNDO, "j02")
DISCONNECT = operation(Verb.REMOVE, "service-disconnect")
UNDERTRAY = operation(Verb.UNDO, "j09")
SLAM = operation(Verb.UNDO, "j05")
DRAIN = operation(Verb.DRAIN, "drain-washer")

NAMED = {GateKind.BEFORE_IT, GateKind.ORDER, GateKind.BOUNDARY, GateKind.RESTORE}
"""The contract of gates: everything about energies but who, gloves, keys, second person, wait and proof."""


def test_who_may_pass_what_is_the_contract() -> None:
    assert {kind for kind in GateKind if OVERRIDE[kind] is Override.NAMED} == NAMED
    assert {kind for kind in GateKind if OVERRIDE[kind] is Override.ASKED} == {GateKind.HELD}
    assert set(OVERRIDE) == set(GateKind)


@pytest.mark.parametrize("kind", list(GateKind))
@pytest.mark.parametrize("said", [*GateKind, "all", "", "Boundary"])
def test_an_override_passes_its_own_kind_and_only_if_it_has_one(kind: GateKind, said: str) -> None:
    """The full product: every kind of gate against an override of every kind, right in all else."""
    bench = at_shield()
    bench.log("override given", gate=said or None, energy="hv", item="orange-shield", who="p2", reason="invented")
    gate = Gate(kind=kind, energy="hv", item="orange-shield", open=False, why="shut")
    assert passed(bench.case(), gate, bench.moment()).lets_through is (kind in NAMED and said == kind)


def boundary_gone() -> Bench:
    """Only the boundary is shut, and the proof is there."""
    bench = at_shield()
    bench.entries = [one for one in bench.entries if one.event.kind != "boundary set"]
    assert bench.shut() == {(GateKind.BOUNDARY, "hv")}
    return bench


GIVEN: tuple[tuple[dict[str, Any], bool], ...] = (
    ({}, True),
    ({"who": None}, False),
    ({"who": "nobody at all"}, False),
    ({"reason": None}, False),
    ({"reason": ""}, False),
    ({"reason": " \t"}, False),
    ({"reason": 5}, False),
    ({"energy": None}, False),
    ({"energy": "lv"}, False),
    ({"item": "orange-shield"}, False),
    ({"gate": "wait"}, False),
    ({"gate": "BOUNDARY"}, False),
    ({"_job": "job-2"}, False),
)


@pytest.mark.parametrize(("body", "lets_through"), GIVEN)
def test_a_named_person_a_printed_reason_and_this_gate(body: dict[str, Any], *, lets_through: bool) -> None:
    bench = boundary_gone()
    said = {"gate": "boundary", "energy": "hv", "who": "p2", "reason": "bay door is locked"}
    bench.log("override given", **said | body)
    assert ((GateKind.BOUNDARY, "hv") not in bench.shut()) is lets_through
    gate = next(gate for gate in bench.gates() if gate.kind is GateKind.BOUNDARY and gate.energy == "hv")
    assert not gate.open, "passed is not open"
    if lets_through:
        assert gate.passed is not None
        assert (gate.passed.who, gate.passed.reason) == ("p2", "bay door is locked")


ENDED: dict[str, Callable[[Bench, str], object]] = {
    "taken back": lambda bench, given: bench.take_back(given),
    "the shift ended": lambda bench, _: bench.log("shift ended"),
    "who gave it left": lambda bench, _: bench.log("person left", who="p2"),
    "a doubt": lambda bench, _: bench.log("doubt raised", about="?"),
    "overnight": lambda bench, _: setattr(bench, "now", datetime.fromisoformat("2026-03-03T08:00:00+01:00")),
}


@pytest.mark.parametrize("what", ENDED)
def test_an_override_is_of_one_sitting(what: str) -> None:
    bench = boundary_gone()
    id = bench.log("override given", gate="boundary", energy="hv", who="p2", reason="invented")
    assert not bench.shut()
    ENDED[what](bench, id)
    assert (GateKind.BOUNDARY, "hv") in bench.shut()


def test_every_override_is_printed_those_that_count_for_nothing_too() -> None:
    bench = boundary_gone()
    bench.log("override given", gate="boundary", energy="hv", who="p2", reason="bay door is locked")
    bench.log("override given", gate="wait", energy="hv", who="p2", reason="in a hurry")
    bench.log("override given", gate="nothing", energy="hv", who="p2", reason="in a hurry")
    bench.log("override given", gate="order", energy="hv", who="p2")
    bench.take_back(bench.log("override given", gate="order", energy="hv", who="p2", reason="a slip"))
    lines = overrides(bench.case())
    assert [(line.gate, line.counts) for line in lines] == [
        ("boundary", True),
        ("wait", False),
        ("nothing", False),
        ("order", False),
        ("order", False),
    ]
    assert (lines[0].who, lines[0].reason, lines[0].why) == ("p2", "bay door is locked", "")
    assert all(line.why for line in lines[1:])


# --- order ---


@pytest.mark.parametrize("op", [SLAM, DRAIN, SHIELD, operation(Verb.UNPLUG, "pump-plug")])
def test_isolations_come_before_all_other_work(op: Operation) -> None:
    bench = before(DISCONNECT)
    asked = {energy for kind, energy in bench.shut(op) if kind in (GateKind.ORDER, GateKind.PROOF)}
    assert "hv" in asked
    assert not before(operation(Verb.UNDO, "j10")).shut(op)


def test_an_item_that_the_car_file_does_not_know_is_other_work() -> None:
    ghost = Operation(n=1, verb=Verb.REMOVE, item="ghost")
    assert (GateKind.ORDER, "hv") in before(DISCONNECT).shut(ghost)
    assert not at_shield().shut(ghost)


def test_what_uncovers_the_points_waits_for_the_isolation_alone() -> None:
    bench = before(DISCONNECT)
    bench.do(operation(Verb.ISOLATE, "lift"))
    bench.prove("lift")
    assert (GateKind.ORDER, "hv") not in bench.shut(DISCONNECT)
    bench.do(DISCONNECT)
    bench.do(operation(Verb.ISOLATE, "hv"))
    assert (GateKind.PROOF, "hv") not in bench.shut(UNDERTRAY)
    assert (GateKind.WAIT, "hv") not in bench.shut(UNDERTRAY)


def test_the_disconnect_waits_for_twelve_volts_and_that_for_the_fuel() -> None:
    bench = Bench()
    assert (GateKind.ORDER, "lv") in bench.shut(DISCONNECT)
    assert (GateKind.ORDER, "fuel") in bench.shut(LEAD)
    isolated = before(operation(Verb.PROVE_DEAD, "lv"))
    assert (GateKind.ORDER, "lv") in isolated.shut(DISCONNECT), "off is not proved"
    isolated.prove("lv")
    assert (GateKind.ORDER, "lv") not in isolated.shut(DISCONNECT)


def test_called_isolated_while_its_item_is_in_place() -> None:
    bench = before(DISCONNECT)
    isolate = operation(Verb.ISOLATE, "hv")
    gate = next(gate for gate in bench.gates(isolate) if gate.item == "service-disconnect" and gate.energy == "hv")
    assert not gate.open
    bench.do(isolate)
    bench.do(DISCONNECT)
    bench.pass_minutes(11)
    assert (GateKind.ORDER, "hv") in bench.shut(operation(Verb.PROVE_DEAD, "hv")), "isolated before it was out"


@pytest.mark.parametrize("line", range(6))
def test_each_line_of_the_list_and_none_after_a_restore(line: int) -> None:
    bench = before(LEAD)
    assert (GateKind.BEFORE_IT, "lv") not in bench.shut(LEAD)
    whole = next(one for one in bench.entries if one.event.kind == "list ticked")
    lines = list(bench.car.energies["lv"].before_it)
    bench.entries.remove(whole)
    bench.log("list ticked", energy="lv", ticked=[one for one in lines if one != lines[line]], who="p1")
    bench.log("list ticked", energy="hv", ticked=[lines[line]], who="p1")
    bench.log("list ticked", energy="lv", ticked=[lines[line].upper()], who="p1")
    bench.log("list ticked", energy="lv", ticked=lines[line], who="p1")
    gate = next(gate for gate in bench.gates(LEAD) if gate.kind is GateKind.BEFORE_IT)
    assert gate.lacks == (lines[line],)
    bench.take_back(bench.log("list ticked", energy="lv", ticked=lines, who="p1"))
    assert (GateKind.BEFORE_IT, "lv") in bench.shut(LEAD)
    bench.tick()
    assert (GateKind.BEFORE_IT, "lv") not in bench.shut(LEAD)
    restored = bench.do(operation(Verb.RESTORE, "lv"))
    assert (GateKind.BEFORE_IT, "lv") in bench.shut(LEAD)
    bench.take_back(restored)
    assert (GateKind.BEFORE_IT, "lv") in bench.shut(LEAD)


def test_what_was_logged_out_of_plan_brings_its_energies() -> None:
    """A job without high voltage in its plan, until somebody logs work on what is orange."""
    bench = Bench()
    lift_only = read_case(bench.car, [], energies=["lift"])
    assert "hv" not in {gate.energy for gate in gates_before(lift_only, SLAM, bench.moment())}
    bench.log("operation done", verb="unplug", item="compressor-plug")
    touched = read_case(bench.car, bench.entries, energies=["lift"])
    assert "hv" in {gate.energy for gate in gates_before(touched, SLAM, bench.moment())}


def test_logging_makes_no_difference_to_what_is_free() -> None:
    for verb in (Verb.NOTE, Verb.INSPECT, Verb.READ_BEFORE, Verb.ROAD_TEST, Verb.SWITCH_OFF, Verb.STOW):
        assert (
            gates_before(at_shield().case(), Operation(n=1, verb=verb, item="orange-shield"), at_shield().moment())
            == ()
        )


def test_an_energy_by_itself_asks_for_no_papers() -> None:
    """A spring has no disconnect, no grade, no gloves: isolated and checked is all."""
    car: Car = small_car(
        item("strut", (), joint("j-strut", 2), energy=("spring",)),
        item("hose", (), action=Action.PART),
        energies=(Energy(id="spring", kind="stored spring", proof=Proof(check="tool seated", source=SOURCE)),),
    )
    moment = Moment(at=datetime.fromisoformat("2026-03-02T08:00:00+01:00"), person="p1")
    case = read_case(car, ())
    kinds = [gate.kind for gate in gates_before(case, Operation(n=1, verb=Verb.UNDO, joint="j-strut"), moment)]
    assert kinds == [GateKind.PROOF]
    assert gates_before(case, Operation(n=1, verb=Verb.PART, item="hose"), moment) == ()


def test_events_of_another_job_and_what_is_sent_again_change_nothing() -> None:
    bench = at_shield()
    before_it = [plain(gate) for op in ASKED for gate in bench.gates(op)]
    again = [Entry(event=one.event, received_at=bench.now.isoformat()) for one in bench.entries]
    bench.entries += again
    for kind in ("key moved", "doubt raised", "shift ended"):
        bench.log(kind, about="?" if kind == "doubt raised" else None, _job="job-2")
    bench.now = at_shield().now
    assert [plain(gate) for op in ASKED for gate in bench.gates(op)] == before_it


def test_each_gate_is_named_once_and_says_its_words() -> None:
    bench = Bench()
    for op in operations():
        gates = bench.gates(op)
        keys = [(gate.kind, gate.energy, gate.item, gate.about, gate.lacks) for gate in gates]
        assert len(keys) == len(set(keys))
        assert all(gate.why for gate in gates)
        assert all(gate.opens for gate in shut(gates))
        for word in ("compliant", "is safe", "car is safe"):
            assert not any(word in gate.why + gate.opens for gate in gates)
