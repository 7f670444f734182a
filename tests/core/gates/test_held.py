"""What is only held: asked once, by name, before the cover goes on; passed by one tap; never shut for good."""

from dataclasses import replace
from typing import Any

import pytest

from core.gates.bench import Bench, before, operation
from putback.core.gates import Gate, GateKind, Override
from putback.core.operations import Operation, Verb

HOUSING = operation(Verb.TIGHTEN, "j73")
HEAT_SHIELD = operation(Verb.FIT, "heat-shield")
HOSE = operation(Verb.JOIN, "degas-hose")


def asked(bench: Bench, op: Operation) -> list[Gate]:
    return [gate for gate in bench.held(op) if not gate.lets_through]


def pass_it(bench: Bench, gate: Gate, /, **body: Any) -> str:
    """One tap, as the page logs it."""
    joint = next((id for id in gate.lacks if id in bench.case().home), None)
    return bench.log("hold passed", **{"gate": gate.about, "item": gate.item, "joint": joint, "who": "p1"} | body)


def short_counted() -> tuple[Bench, Operation]:
    """Four of five bolts are back; the next thing would be the last of them."""
    return before(HOUSING), replace(HOUSING, count=3)


def test_a_count_that_differs_is_asked_at_once_and_not_at_the_end() -> None:
    bench, short = short_counted()
    gates = asked(bench, short)
    assert gates
    assert {gate.kind for gate in gates} == {GateKind.HELD}
    assert all(gate.override is Override.ASKED for gate in gates)
    assert not asked(bench, HOUSING), "the planned count is no question"


def test_a_swapped_length_is_asked_before_the_cover() -> None:
    bench = before(operation(Verb.START, "j73h"))
    long = replace(operation(Verb.START, "j73h"), thread="M7x60")
    assert asked(bench, long)


def test_a_plug_left_in_the_port_holds_its_cover() -> None:
    """Three plugs of the block went in; the one under the housing is left, and the housing would go on."""
    fit = operation(Verb.FIT, "housing")
    bench = before(fit)
    assert not asked(bench, fit)
    bench.entries = [
        one
        for one in bench.entries
        if not (one.event.body.get("verb") == "unguard" and one.event.body.get("item") == "housing")
    ]
    gates = asked(bench, fit)
    assert gates
    assert all(gate.kind is GateKind.HELD for gate in gates), "held, never shut"


def test_passed_by_one_tap_and_no_more_asked() -> None:
    bench, short = short_counted()
    for gate in asked(bench, short):
        pass_it(bench, gate)
    assert not asked(bench, short)
    assert all(gate.passed and gate.passed.who == "p1" for gate in bench.held(short))


PASSES: tuple[tuple[dict[str, Any], bool], ...] = (
    ({}, True),
    ({"who": None}, True),
    ({"gate": "another rule"}, False),
    ({"gate": None}, False),
    ({"item": "pump"}, False),
    ({"joint": "j73h"}, False),
    ({"joint": None}, False),
    ({"_job": "job-2"}, False),
)


@pytest.mark.parametrize(("body", "is_passed"), PASSES)
def test_it_passes_this_question_and_no_other(body: dict[str, Any], *, is_passed: bool) -> None:
    bench, short = short_counted()
    for gate in asked(bench, short):
        pass_it(bench, gate, **body)
    assert (not asked(bench, short)) is is_passed


def test_taken_back_it_is_asked_again() -> None:
    bench, short = short_counted()
    taps = [pass_it(bench, gate) for gate in asked(bench, short)]
    for tap in taps:
        bench.take_back(tap)
    assert asked(bench, short)


def test_an_override_is_no_answer_to_a_question() -> None:
    bench, short = short_counted()
    for gate in asked(bench, short):
        bench.log("override given", gate="held", item=gate.item, who="p2", reason="invented")
    assert asked(bench, short)


def test_after_it_came_off_again_it_is_asked_again() -> None:
    bench, short = short_counted()
    for gate in asked(bench, short):
        pass_it(bench, gate)
    bench.do(short)
    bench.do(operation(Verb.UNDO, "j73"))
    bench.do(operation(Verb.START, "j73"))
    assert asked(bench, short)


def test_energies_are_not_asked_here_they_have_gates() -> None:
    """Work before anything is made safe: gates say so; no question repeats it."""
    bench = Bench()
    rules = {gate.about for gate in bench.held(operation(Verb.UNDO, "j48"))}
    assert not rules & {"energy_not_made_safe", "work_before_made_safe", "operated_too_early"}


def test_done_as_planned_nothing_is_asked_from_beginning_to_end() -> None:
    """The tool never nags: none of the plan's own operations raises a question."""
    bench = Bench()
    for op in bench.walk():
        assert not asked(bench, op), f"operation {op.n}: {op.verb} {op.item}"


def test_an_open_port_is_asked_about_when_the_next_item_is_touched() -> None:
    """Not when it is opened: the plugs come next. Not again once it was answered."""
    purge = operation(Verb.PART, "purge-line")
    bench = before(purge)
    assert not asked(bench, purge)
    bench.do(purge)
    assert not asked(bench, operation(Verb.GUARD, "purge-line"))
    assert not asked(bench, Operation(n=1, verb=Verb.NOTE, note="tea"))
    other = operation(Verb.UNDO, "j58b")
    gates = asked(bench, other)
    assert [gate.about for gate in gates] == ["port_open_not_guarded"]
    pass_it(bench, gates[0])
    bench.do(other)
    assert not asked(bench, operation(Verb.UNDO, "j59"))


def test_a_drain_that_closes_before_its_litres_are_counted() -> None:
    bench = before(operation(Verb.DRAIN, "drain-washer"))
    assert not asked(bench, operation(Verb.UNDO, "j13b"))
    assert [gate.about for gate in asked(bench, operation(Verb.START, "jdE"))].count("let_out_unsaid") == 1
