"""Events: their fields, their one spelling, and what a newer program may add."""

import json
from typing import Any

import pytest
from hypothesis import given

from core.record.made import AT, EVENTS, OPENING, SHA, event, opening
from putback.core.finding import Kind
from putback.core.record import EVENTS as KINDS
from putback.core.record import Event, NotAnEvent, read_event, strange
from putback.core.record.canonical import DEEPEST, Json
from putback.core.record.event import LARGEST_BYTES

GOOD: dict[str, Any] = {
    "id": "e1",
    "job": "j1",
    "device": "d1",
    "at": AT,
    "person": "p1",
    "kind": "noted",
    "body": {"note": "bypass pitted"},
}

BODIES: dict[str, dict[str, Json]] = {
    "job opened": {**OPENING, "plan_sha256": SHA, "complaint": "runs hot in traffic"},
    "operation done": {
        "verb": "tighten",
        "item": "pump",
        "joint": "j71",
        "way": "front",
        "count": 5,
        "torque": {"value": 12.5, "unit": "N·m", "angle_deg": [90, 90]},
        "torque_source": "made-up",
        "tool": "wrench-2",
        "reading": {"value": 0.4, "unit": "V", "points": "+ to -"},
        "litres": 6.5,
        "planned": 17,
    },
    "operation taken back": {"mends": "e7"},
    "not as planned": {"what": "seized", "joint": "j71", "count": 1},
    "noted": {"note": "bolt head worn"},
    "photo taken": {"sha256": SHA, "bytes": 31_415, "media": "image/jpeg", "finding": "f1"},
    "person came": {"who": "p2"},
    "person left": {"who": "p2"},
    "gap ended": {"since": AT, "asked": ["e5", "e6", "e7"]},
    "finding seen": {"finding": "f1", "photos": [SHA], "minutes": 55, "amount": "137.00", "currency": "EUR"},
    "answer given": {"finding": "f1", "who": "p9", "at": AT, "channel": "telephone", "answer": "no"},
    "work added": {"extra": "x1", "says": "renew the fan", "items": ["fan"], "amount": "1790.00", "currency": "EUR"},
    "car identified": {"car": "car-17", "vin_end": "004711"},
    "owner named": {"who": "p9", "as": "owner", "channel": "telephone"},
    "odometer read": {"value": 84210, "unit": "km"},
    "complaint taken": {"words": "runs hot in traffic"},
    "keys received": {"fobs": 1, "spares": 1, "phone_keys": 0},
    "keys returned": {"fobs": 1, "spares": 1, "phone_keys": 0},
    "dash lamps noted": {"lamps": []},
    "recalls asked": {"open": "no", "where": "the maker's page"},
    "old parts asked": {"see": "yes"},
    "asked and waived": {"of": "part", "what": "elbow-gasket", "who": "p1", "reason": "comes at noon"},
    "scope signed": {
        "who": "p9",
        "at": AT,
        "channel": "in person",
        "scope_sha256": SHA,
        "amount": "1435.40",
        "limit": "1435.40",
        "currency": "EUR",
        "see_old_parts": "yes",
        "items": ["pump"],
    },
    "parts shelved": {"parts": ["pump", "elbow-gasket"]},
    "parts compared": {"item": "pump", "same": "no", "old_length_mm": 60, "new_length_mm": 65, "seal": "same"},
    "codes read": {
        "stage": "after put-back",
        "sha256": SHA,
        "codes": 6,
        "answered": 9,
        "silent": 1,
        "partial": 0,
        "stopped": "by hand",
        "since": "12 V was off",
    },
    "codes cleared": {
        "before_sha256": SHA,
        "modules": ["engine", "chassis"],
        "not_cleared": ["chassis"],
        "who": "p1",
    },
    "narration taken": {"name": "fan.srt", "car": "Invented 1", "text_sha256": SHA, "draft_sha256": SHA},
    "review step": {"act": "accept", "lines": [4, 9], "twins": [0, 4]},
    "procedure written": {"sha256": SHA, "lines": 27, "confirmed": 27, "open_questions": 1},
    "override given": {"gate": "fuel pressure", "who": "p3", "reason": "gauge broken, line parted cold"},
    "keys counted": {
        "in_box": 2,
        "of": 2,
        "charge_lead": "out",
        "remote_starts": 0,
        "memory_savers": 0,
        "holder": "p1",
    },
    "key moved": {"note": "spare taken out"},
    "charge lead plugged": {"who": "p2"},
    "boundary set": {"who": "p1"},
    "gloves checked": {
        "who": "p1",
        "class": "0",
        "basis": "common practice class 0",
        "serial": "G-17",
        "tested": "2026-01-15",
        "air_test": "held",
        "air_test_at": AT,
    },
    "grade shown": {"who": "p1", "grade": "skilled person", "issuer": "a school", "expires": "2027-06-30"},
    "second person named": {"who": "p2"},
    "list ticked": {"energy": "lv", "ticked": ["codes saved"]},
    "reading taken": {
        "energy": "hv",
        "phase": "test",
        "value": 0.4,
        "unit": "V",
        "instrument": "meter-3",
        "who": "p1",
        "points": "TP1-TP2",
        "steady_s": 71.5,
    },
    "energy checked": {"energy": "lift", "who": "p1", "gone": "yes"},
    "shift ended": {"who": "p1"},
    "device restarted": {"device": "tablet"},
    "clock jumped": {"seconds": -312.5},
    "doubt raised": {"about": "somebody was at the load bay", "energy": "hv"},
    "people seen clear": {"who": "p1", "energy": "hv"},
    "bonding checked": {"item": "bonding-strap", "value": 12, "unit": "mΩ", "who": "p1", "instrument": "meter-4"},
    "hold passed": {"gate": "guard_covered_in", "item": "housing"},
    "job closed": {},
}


def test_every_kind_has_a_sample_that_fits() -> None:
    assert set(BODIES) == set(KINDS)
    for kind, body in BODIES.items():
        assert list(strange(event("e1", kind, body))) == []
        assert KINDS[kind].says


@pytest.mark.parametrize(("kind", "name"), [(kind, name) for kind, shape in KINDS.items() for name in shape.must])
def test_a_field_that_must_be_there_is_missed(kind: str, name: str) -> None:
    body = {other: value for other, value in BODIES[kind].items() if other != name}
    (found,) = strange(event("e1", kind, body))
    assert found.kind is Kind.FAULT
    assert name in found.what


@pytest.mark.parametrize(("kind", "name"), [(kind, name) for kind, body in BODIES.items() for name in body])
def test_a_field_of_another_shape_is_a_fault_and_is_kept(kind: str, name: str) -> None:
    odd = event("e1", kind, {**BODIES[kind], name: {"odd": True}})
    (found,) = strange(odd)
    assert found.kind is Kind.FAULT
    assert json.loads(odd.content)["body"][name] == {"odd": True}


@pytest.mark.parametrize(
    ("kind", "name", "value"),
    [
        ("operation done", "torque", {"value": 24}),
        ("operation done", "torque", {"value": 24, "unit": "Nm?"}),
        ("operation done", "torque", {"value": 0, "unit": "N·m"}),
        ("operation done", "torque", {"value": True, "unit": "N·m"}),
        ("operation done", "count", -1),
        ("operation done", "count", 2.5),
        ("operation done", "count", True),
        ("operation done", "reading", {"value": 0.4}),
        ("operation done", "verb", "kick"),
        ("finding seen", "amount", "1,572.40"),
        ("finding seen", "amount", 1572.4),
        ("answer given", "answer", "maybe"),
        ("photo taken", "sha256", "abc"),
        ("gap ended", "since", "yesterday"),
    ],
)
def test_a_number_without_its_unit_and_the_like_is_a_fault(kind: str, name: str, value: Json) -> None:
    assert [found.kind for found in strange(event("e1", kind, {**BODIES[kind], name: value}))] == [Kind.FAULT]


def test_what_a_newer_program_wrote_is_kept_and_is_a_note() -> None:
    newer = read_event(json.dumps({**GOOD, "kind": "key moved", "body": {"key": 2}, "signed": "abc"}))
    assert [found.kind for found in strange(newer)] == [Kind.NOTE, Kind.NOTE]
    assert json.loads(newer.content) == {**GOOD, "kind": "key moved", "body": {"key": 2}, "signed": "abc"}
    field = event("e1", "noted", {"note": "x", "voice": "y"})
    assert [found.kind for found in strange(field)] == [Kind.NOTE]
    assert b'"voice":"y"' in field.content


@given(EVENTS)
def test_an_event_reads_back_from_its_bytes(made: Event) -> None:
    assert read_event(made.content) == made
    assert read_event(made.content).content == made.content


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("id", ""),
        ("id", "a b"),
        ("id", "x" * 101),
        ("id", "e\n1"),
        ("id", None),
        ("id", 7),
        ("id", "../e1"),
        ("job", "é"),
        ("device", None),
        ("person", ""),
        ("person", "ann@example.org"),
        ("at", "2026-03-02T08:15:00"),
        ("at", "2026-03-02 08:15:00Z"),
        ("at", "2026-13-02T08:15:00Z"),
        ("at", 1_772_000_000),
        ("kind", ""),
        ("kind", "Noted\n"),
        ("kind", None),
        ("body", []),
        ("body", None),
    ],
)
def test_fields_that_make_no_event_are_named(name: str, value: Any) -> None:
    with pytest.raises(NotAnEvent) as wrong:
        read_event({**GOOD, name: value})
    assert [found.where.field for found in wrong.value.findings] == [name]


def test_every_fault_is_named_at_once() -> None:
    with pytest.raises(NotAnEvent) as wrong:
        read_event({})
    assert {found.where.field for found in wrong.value.findings} == set(GOOD) - {"person"}


def test_what_no_person_did_has_no_person() -> None:
    assert read_event({**GOOD, "person": None}).person is None


@pytest.mark.parametrize("content", ["[]", "7", '"x"', "{", "", b"\xff", '{"id":1,"id":2}'])
def test_what_is_no_object_is_no_event(content: str | bytes) -> None:
    with pytest.raises(NotAnEvent):
        read_event(content)


def test_size_and_depth_have_an_end() -> None:
    with pytest.raises(NotAnEvent, match="larger than"):
        event("e1", "noted", {"note": "x" * LARGEST_BYTES})
    deep: Json = 1
    for _ in range(DEEPEST):
        deep = [deep]
    with pytest.raises(NotAnEvent, match="nested deeper"):
        event("e1", "noted", {"note": deep})
    with pytest.raises(NotAnEvent, match="surrogate"):
        event("e1", "noted", {"note": "\ud800"})


def test_an_event_cannot_be_changed() -> None:
    made = opening()
    with pytest.raises(AttributeError):
        made.kind = "noted"  # type: ignore[misc]
    with pytest.raises(TypeError):
        made.body["car_file"] = "other"  # type: ignore[index]
