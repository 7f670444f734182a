"""What intake, authorisation and shelf lack is asked once and never blocks. The car is the invented demo."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from bay.packs import demo_plan
from putback.bay.intake import compared_at_refit, parts_of
from putback.core.gates import Entry, Gate, GateKind, Moment, Override, read_case
from putback.core.gates.asking import NOT_COMPARED, PART_MISSING, PARTS_DIFFER, SCOPE_UNSIGNED, asked_before
from putback.core.operations import Operation, Verb
from putback.core.record import Event

AT = "2026-03-02T08:15:00+01:00"
Fact = tuple[str, Mapping[str, Any]]
OWNER: Fact = ("owner named", {"who": "p9", "as": "owner", "channel": "telephone"})
SCOPE: Fact = (
    "scope signed",
    {
        "who": "p9",
        "at": AT,
        "channel": "in person",
        "scope_sha256": "0" * 64,
        "amount": "1435.40",
        "limit": "1435.40",
        "currency": "EUR",
        "see_old_parts": "no",
    },
)
ALL_PARTS: Fact = ("parts shelved", {"parts": list(parts_of(demo_plan()))})
FIRST = Operation(n=1, verb=Verb.REMOVE, item="fan")
FIT = Operation(n=1, verb=Verb.FIT, item="pump")


def asked(operation: Operation, *facts: Fact) -> list[Gate]:
    """The questions that nobody passed yet."""
    plan = demo_plan()
    events = [
        Event(id=f"e{n}", job="j1", device="desk", at=AT, person="p1", kind=kind, body=body)
        for n, (kind, body) in enumerate(facts)
    ]
    case = read_case(plan.car, [Entry(event=one) for one in events], energies=[one.energy.id for one in plan.energies])
    moment = Moment(at=datetime.fromisoformat(AT), person="p1")
    gates = asked_before(case, operation, moment, parts=parts_of(plan), renewed=compared_at_refit(plan))
    assert all(gate.kind is GateKind.HELD and gate.override is Override.ASKED for gate in gates)
    return [gate for gate in gates if not gate.lets_through]


def test_the_start_asks_for_the_signature_and_for_each_missing_part_by_name() -> None:
    gates = asked(FIRST)
    assert [gate.about for gate in gates] == [SCOPE_UNSIGNED, *[PART_MISSING] * len(parts_of(demo_plan()))]
    assert [gate.item for gate in gates[1:]] == list(parts_of(demo_plan()))
    assert asked(FIRST, OWNER, SCOPE, ALL_PARTS) == []


def test_one_part_is_missing_and_is_waived_by_name_or_passed_by_a_tap() -> None:
    others: Fact = ("parts shelved", {"parts": [part for part in parts_of(demo_plan()) if part != "elbow-gasket"]})
    assert [gate.item for gate in asked(FIRST, OWNER, SCOPE, others)] == ["elbow-gasket"]
    waived: Fact = ("asked and waived", {"of": "part", "what": "elbow-gasket", "who": "p1", "reason": "comes at noon"})
    assert asked(FIRST, OWNER, SCOPE, others, waived) == []
    passed: Fact = ("hold passed", {"gate": PART_MISSING, "item": "elbow-gasket", "who": "p1"})
    assert asked(FIRST, OWNER, SCOPE, others, passed) == []
    wrong: Fact = ("hold passed", {"gate": PART_MISSING, "item": "pump", "who": "p1"})
    assert len(asked(FIRST, OWNER, SCOPE, others, wrong)) == 1


def test_it_is_asked_once_at_the_start_and_not_by_making_safe() -> None:
    begun: Fact = ("operation done", {"verb": "remove", "item": "shutter"})
    assert asked(FIRST, begun) == []
    assert asked(Operation(n=1, verb=Verb.ISOLATE, energy="lv")) == []
    lead = demo_plan().car.energies["lv"].item
    assert asked(Operation(n=1, verb=Verb.UNPLUG, item=lead)) == []


def test_a_scope_signed_by_a_stranger_is_no_scope() -> None:
    assert [gate.about for gate in asked(FIRST, SCOPE, ALL_PARTS)] == [SCOPE_UNSIGNED]


def test_a_new_part_goes_in_after_it_was_held_against_the_old_one() -> None:
    assert [gate.about for gate in asked(FIT)] == [NOT_COMPARED]
    assert asked(FIT, ("parts compared", {"item": "pump", "same": "yes"})) == []
    other: Fact = ("parts compared", {"item": "housing", "same": "yes"})
    assert [gate.about for gate in asked(FIT, other)] == [NOT_COMPARED]
    longer: Fact = ("parts compared", {"item": "pump", "same": "yes", "old_length_mm": 60, "new_length_mm": 65})
    assert [gate.about for gate in asked(FIT, longer)] == [PARTS_DIFFER]
    assert asked(FIT, longer, ("hold passed", {"gate": PARTS_DIFFER, "item": "pump"})) == []
    passed_before: Fact = ("hold passed", {"gate": NOT_COMPARED, "item": "pump"})
    assert [gate.about for gate in asked(FIT, passed_before, longer)] == [PARTS_DIFFER]


def test_what_is_not_renewed_is_not_asked_for() -> None:
    assert asked(Operation(n=1, verb=Verb.FIT, item="bumper")) == []
    assert asked(Operation(n=1, verb=Verb.RENEW, item="elbow-gasket")) == []
