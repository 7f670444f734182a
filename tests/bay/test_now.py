"""The job now, by the core's gates: what is shut, for whom, and that an act is named shut only by its own gates."""

from bay.packs import demo_pack, demo_plan
from core.gates.bench import Bench, at_shield, operation
from putback.bay import Now, Received, Standing, now_of
from putback.core.gates import GateKind
from putback.core.operations import Verb


def now(bench: Bench, *, person: str | None = "p1") -> Now:
    """The demo job as a bench has it."""
    received = [Received(event=one.event, received_at=one.received_at) for one in bench.entries]
    return now_of(demo_pack(), received, car=demo_plan().car, moment=bench.moment(person=person))


def place(does: str, thing: str) -> int:
    """The place of an act."""
    acts = demo_pack()["acts"]
    return next(at for at, act in enumerate(acts) if (act["does"], act.get("thing")) == (does, thing))


SHIELD = place("off", "orange-shield")


def test_with_all_evidence_the_shield_is_open_for_who_proved_it_and_for_nobody_else() -> None:
    bench = at_shield()
    assert {gate.kind for gate in now(bench).shut.get(SHIELD, ())} <= {GateKind.HELD}
    for person in ("p3", None):
        kinds = {gate.kind for gate in now(bench, person=person).shut[SHIELD]}
        assert {GateKind.WHO, GateKind.PROOF} <= kinds


def test_a_key_that_was_moved_shuts_it() -> None:
    bench = at_shield()
    bench.log("key moved")
    assert {GateKind.KEYS, GateKind.PROOF} <= {gate.kind for gate in now(bench).shut[SHIELD]}


def test_what_is_shut_stands_as_shut_and_is_suggested_only_when_nothing_else_is_possible() -> None:
    bench = Bench().reach(operation(Verb.UNDO, "j02"))
    bench.log("shift ended")
    view = now(bench)
    assert Standing.SHUT in view.standing
    assert view.suggested is not None
    possible = Standing.POSSIBLE in view.standing
    assert view.standing[view.suggested] is (Standing.POSSIBLE if possible else Standing.SHUT)


def test_each_gate_stands_once_in_an_act() -> None:
    for gates in now(Bench()).shut.values():
        keys = [(gate.kind, gate.energy, gate.item, gate.about) for gate in gates]
        assert len(keys) == len(set(keys))
        assert not any(gate.lets_through for gate in gates)


def test_an_event_of_another_job_under_the_same_id_does_not_say_what_was_planned_here() -> None:
    first, then, *_ = (op.n for op in demo_plan().operations if op.verb is Verb.RELEARN)
    bench = Bench()
    bench.log("noted", note="the first line says whose job it is")
    bench.log("operation done", verb="relearn", planned=first, _id="e2", _job="job-2")
    bench.log("operation done", verb="relearn", planned=then, _id="e2")
    assert now(bench).done == {then}
