"""Folding: events against the same operations folded without any record, and what taking back may never do."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.record.made import AT, OPENING, event, opening
from putback.core import job
from putback.core.finding import Kind
from putback.core.job import Seat
from putback.core.operations import Operation, Verb
from putback.core.quantity import Torque
from putback.core.record import Event, fold, operation_of
from putback.core.record.canonical import Json

SAFE = {Seat.LIVE: 0, Seat.ISOLATED: 1, Seat.PROVEN: 2}


def done(id: str, verb: str, **body: Json) -> Event:
    return event(id, "operation done", {"verb": verb, **body})


def back(id: str, mends: str) -> Event:
    return event(id, "operation taken back", {"mends": mends})


def rules(events: list[Event]) -> list[str]:
    return [found.rule for found in fold([opening(), *events]).findings]


def test_an_operation_has_all_that_was_logged() -> None:
    made = done(
        "e1",
        "tighten",
        item="pump",
        joint="j71",
        way="front",
        count=5,
        thread="M8x40",
        torque={"value": 12, "unit": "N·m", "angle_deg": 90},
        torque_source="made-up",
        tool="wrench-2",
        stow="tray C",
        note="second pass",
    )
    assert operation_of(made, 3) == Operation(
        n=3,
        verb=Verb.TIGHTEN,
        item="pump",
        joint="j71",
        way="front",
        count=5,
        thread="M8x40",
        torque=Torque(value=12.0, unit="N·m", angles_deg=(90.0,)),
        torque_source="made-up",
        tools=("wrench-2",),
        stow="tray C",
        note="second pass",
    )
    assert operation_of(done("e2", "drain", fluid="coolant", litres=6.5)) == Operation(
        n=1, verb=Verb.DRAIN, fluid="coolant", litres=6.5
    )
    assert operation_of(event("e3")) is None
    assert operation_of(done("e4", "kick", item="pump")) is None


LOGGED = [
    ("remove", {"item": "fan"}),
    ("fit", {"item": "fan"}),
    ("undo", {"joint": "j1", "count": 4}),
    ("start", {"joint": "j1"}),
    ("tighten", {"joint": "j1", "torque": {"value": 24, "unit": "N·m"}}),
    ("isolate", {"energy": "hv"}),
    ("wait", {"energy": "hv"}),
    ("prove dead", {"energy": "hv"}),
    ("restore", {"energy": "hv"}),
    ("isolate", {"energy": "12v"}),
    ("drain", {"fluid": "coolant", "litres": 6.5}),
    ("fill", {"fluid": "coolant", "litres": 6}),
    ("guard", {"guard": "plug", "item": "hose", "count": 3}),
    ("unguard", {"guard": "plug", "item": "hose", "count": 2}),
    ("renew", {"item": "seal"}),
    ("read codes before", {}),
    ("read codes after", {}),
    ("clean", {"item": "fan"}),
]
STEPS = st.lists(st.sampled_from(LOGGED), max_size=14)


def logged(steps: list[tuple[str, Any]]) -> list[Event]:
    return [done(f"e{n}", verb, **body) for n, (verb, body) in enumerate(steps, start=1)]


@given(STEPS)
def test_the_state_is_that_of_the_same_operations(steps: list[tuple[str, Any]]) -> None:
    events = [opening(), *logged(steps)]
    folded = fold(events)
    plain = [operation_of(one, n) for n, one in enumerate(events[1:], start=1)]
    assert folded.state == job.fold([one for one in plain if one])
    assert folded.operations == tuple(plain)
    assert [found.rule for found in folded.findings] == ["misfit"] * len(folded.state.misfits)


@given(STEPS, st.data())
def test_an_event_that_comes_again_is_no_second_event(steps: list[tuple[str, Any]], data: st.DataObject) -> None:
    events = [opening(), *logged(steps)]
    again = list(events)
    for one in data.draw(st.lists(st.sampled_from(events), max_size=4)):
        again.insert(data.draw(st.integers(again.index(one) + 1, len(again))), one)
    assert (fold(again).state, fold(again).operations) == (fold(events).state, fold(events).operations)


@given(STEPS, st.data())
def test_taken_back_is_as_if_it_had_not_been_logged(steps: list[tuple[str, Any]], data: st.DataObject) -> None:
    """For everything but energies, wherever the taking back stands."""
    steps = [step for step in steps if "energy" not in step[1]]
    events = logged(steps)
    slips = data.draw(st.lists(st.sampled_from(events), unique_by=lambda one: one.id)) if events else []
    mends = [back(f"m{n}", slip.id) for n, slip in enumerate(slips)]
    mixed: list[Event] = list(events)
    for mend in mends:
        mixed.insert(data.draw(st.integers(0, len(mixed))), mend)
    folded = fold([opening(), *mixed])
    without = fold([opening(), *(one for one in events if one not in slips)])
    assert (folded.state, folded.operations) == (without.state, without.operations)
    assert set(folded.taken_back) == {slip.id for slip in slips}


@given(STEPS, st.data())
def test_taking_back_never_makes_an_energy_safer(steps: list[tuple[str, Any]], data: st.DataObject) -> None:
    """A mending event can make a gate stricter, never looser, whatever was logged and in whatever order."""
    events: list[Event] = [opening(), *logged(steps)]
    for n in range(data.draw(st.integers(1, 4))):
        before = fold(events).state
        events.append(back(f"m{n}", data.draw(st.sampled_from(events)).id))
        after = fold(events).state
        for energy in ("hv", "12v"):
            assert SAFE[after.energy(energy)] <= SAFE[before.energy(energy)]
        assert after.waited <= before.waited


def test_a_proof_falls_with_the_isolation_it_rests_on() -> None:
    made = [done("e1", "isolate", energy="hv"), done("e2", "wait", energy="hv"), done("e3", "prove dead", energy="hv")]
    folded = fold([opening(), *made, back("m1", "e1")])
    assert folded.state.energy("hv") is Seat.LIVE
    assert set(folded.taken_back) == {"e1", "e2", "e3"}
    assert [found.rule for found in folded.findings] == ["in doubt", "in doubt"]
    again = [
        done("e4", "isolate", energy="hv"),
        done("e5", "wait", energy="hv"),
        done("e6", "prove dead", energy="hv"),
    ]
    assert fold([opening(), *made, back("m1", "e1"), *again]).state.energy("hv") is Seat.PROVEN


def test_a_slip_of_a_proof_does_not_undo_the_wait() -> None:
    made = [done("e1", "isolate", energy="hv"), done("e2", "wait", energy="hv"), done("e3", "prove dead", energy="hv")]
    folded = fold([opening(), *made, back("m1", "e3")])
    assert folded.state.energy("hv") is Seat.ISOLATED
    assert folded.state.waited == {"hv"}


def test_a_restore_that_is_taken_back_still_counts() -> None:
    made = [done("e1", "isolate", energy="hv"), done("e2", "restore", energy="hv"), back("m1", "e2")]
    folded = fold([opening(), *made])
    assert folded.state.energy("hv") is Seat.LIVE
    assert [(found.rule, found.kind) for found in folded.findings] == [("restore stands", Kind.NOTE)]


@pytest.mark.parametrize(
    ("events", "rule"),
    [
        ([done("e1", "fit", item="fan")], "misfit"),
        ([back("m1", "e9")], "mends nothing"),
        ([event("e1"), back("m1", "e1")], "mends nothing"),
        ([event("e1", job="job-2")], "other job"),
        ([event("e1"), event("e1", body={"note": "other"})], "conflict"),
        ([event("e1", "job opened", OPENING)], "opened twice"),
        ([event("e1", "job closed"), event("e2")], "after close"),
        ([event("e1", "key moved", {"key": 2})], "event-shape"),
        ([done("e1", "kick", item="pump")], "event-shape"),
        ([event("e1", "answer given", {"finding": "f1", "answer": "no"})], "event-shape"),
    ],
)
def test_what_does_not_fit_is_kept_and_becomes_a_finding(events: list[Event], rule: str) -> None:
    assert set(rules(events)) == {rule}
    (last, *_) = [found for found in fold([opening(), *events]).findings if found.rule == rule]
    assert last.where.line is not None
    assert last.where.line >= 2


def test_a_record_without_its_beginning_says_so() -> None:
    assert [found.rule for found in fold([event("e1"), event("e2")]).findings] == ["not opened"]
    assert fold([]).findings == ()


def test_events_that_this_program_cannot_read_are_named_as_a_doubt() -> None:
    newer = Event(
        id="e4", job="job-1", device="d", at=AT, person=None, kind="noted", body={"note": "x"}, more={"v": 2}
    )
    events = [
        event("e1", "key moved", {"key": 2}),
        done("e2", "kick", item="pump"),
        done("e3", "remove", item="fan", voice="x"),
        newer,
        event("e5"),
    ]
    assert fold([opening(), *events]).unknown == ("e1", "e2", "e3", "e4")


@given(st.lists(st.sampled_from([*logged(LOGGED), *(back(f"m{n}", f"e{n}") for n in range(1, 20)), event("n1")])))
def test_any_sequence_folds(events: list[Event]) -> None:
    folded = fold(events)
    assert len(folded.operations) == len(folded.made_by)
    assert {found.where.line for found in folded.findings} <= set(range(1, len(events) + 1))
