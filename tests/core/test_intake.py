"""Intake, shelf and comparisons, read from a record. The lists are common practice, no source."""

from collections.abc import Mapping
from typing import Any

import pytest

from putback.core.intake import POINTS, VIEWS, Given, compared, intake, keys, missing, shelf
from putback.core.record import EVENTS, Event

AT = "2026-03-02T08:15:00+01:00"
SHA = "0" * 64
PARTS = {"pump": "electric coolant pump", "seal": "elbow gasket"}

SAID: dict[str, tuple[str, Any]] = {
    "identity": ("car identified", {"car": "car-1", "vin_end": "234567"}),
    "owner": ("owner named", {"who": "p9", "as": "owner", "channel": "telephone"}),
    "odometer": ("odometer read", {"value": 84210, "unit": "km"}),
    "complaint": ("complaint taken", {"words": "runs hot"}),
    "keys": ("keys received", {"fobs": 2, "spares": 1, "phone_keys": 0}),
    "lamps": ("dash lamps noted", {"lamps": []}),
    "recalls": ("recalls asked", {"open": "not known", "where": "the maker's page"}),
    "old-parts": ("old parts asked", {"see": "yes"}),
} | {
    f"photo {view}": ("photo taken", {"sha256": SHA, "bytes": 9, "media": "image/jpeg", "view": view})
    for view in VIEWS
}


def record(*facts: tuple[str, Mapping[str, Any]]) -> list[Event]:
    return [
        Event(id=f"e{n}", job="j1", device="desk", at=AT, person="p1", kind=kind, body=body)
        for n, (kind, body) in enumerate(facts)
    ]


def test_an_empty_record_lacks_everything_by_name() -> None:
    lines = intake([])
    assert missing(lines) == lines
    assert {line.id for line in lines} == set(SAID)
    assert all(line.name for line in lines)


def test_each_point_is_given_by_its_own_kind_of_event() -> None:
    for id, fact in SAID.items():
        given = [line.id for line in intake(record(fact)) if line.stands is Given.GIVEN]
        assert given == [id]
    assert missing(intake(record(*SAID.values()))) == ()
    assert {point.kind for point in POINTS} <= set(EVENTS)


def test_what_was_said_last_counts_and_is_shown() -> None:
    later = ("odometer read", {"value": 84211.5, "unit": "mi"})
    says = {line.id: line for line in intake(record(*SAID.values(), later))}
    assert says["odometer"].says == "84211.5 mi"
    assert says["keys"].says == "keys and fobs in use 2, spare keys and fobs 1, phones and cards 0"
    assert says["lamps"].says == "none lit"
    assert (says["owner"].who, says["identity"].who) == ("p9", "car-1")


def test_the_complaint_of_the_opening_counts() -> None:
    opening = ("job opened", {"car_file": "x", "car_sha256": SHA, "wanted": ["pump"], "complaint": "runs hot"})
    assert [line.says for line in intake(record(opening)) if line.id == "complaint"] == ["runs hot"]


@pytest.mark.parametrize(
    ("body", "stands"),
    [
        ({"of": "intake", "what": "recalls", "who": "p1", "reason": "no network"}, Given.WAIVED),
        ({"of": "intake", "what": "recalls", "who": "p1", "reason": "  "}, Given.MISSING),
        ({"of": "intake", "what": "recalls", "reason": "no network"}, Given.MISSING),
        ({"of": "part", "what": "recalls", "who": "p1", "reason": "no network"}, Given.MISSING),
        ({"of": "intake", "what": "keys", "who": "p1", "reason": "no network"}, Given.MISSING),
    ],
)
def test_a_waiver_is_by_name_with_a_reason_for_one_thing(body: Mapping[str, Any], stands: Given) -> None:
    (line,) = (line for line in intake(record(("asked and waived", body))) if line.id == "recalls")
    assert line.stands is stands
    assert stands is Given.MISSING or (line.who, line.says) == ("p1", "no network")


def test_what_was_taken_back_or_is_malformed_is_missing() -> None:
    back = record(SAID["odometer"], ("operation taken back", {"mends": "e0"}))
    assert {line.id for line in intake(back) if line.stands is Given.GIVEN} == set()
    odd = record(("odometer read", {"value": "84 210", "unit": "km"}), ("keys received", {"fobs": -1}))
    assert {line.id for line in intake(odd) if line.stands is Given.GIVEN} == set()


def test_parts_are_on_the_shelf_waived_or_missing() -> None:
    assert [line.stands for line in shelf([], PARTS)] == [Given.MISSING, Given.MISSING]
    there = ("parts shelved", {"parts": ["pump", "of another job"]})
    waived = ("asked and waived", {"of": "part", "what": "seal", "who": "p1", "reason": "comes at noon"})
    lines = shelf(record(there, waived), PARTS)
    assert [(line.stands, line.says) for line in lines] == [
        (Given.GIVEN, "on the shelf"),
        (Given.WAIVED, "comes at noon"),
    ]
    assert [line.name for line in missing(shelf(record(there), PARTS))] == ["elbow gasket"]


@pytest.mark.parametrize(
    ("body", "differs"),
    [
        ({"same": "yes"}, ()),
        ({"same": "yes", "part_number": "different"}, ()),
        ({"same": "yes", "old_length_mm": 60, "new_length_mm": 60.0}, ()),
        ({"same": "yes", "old_length_mm": 60, "new_length_mm": 65}, ("length 60 mm against 65 mm",)),
        ({"same": "yes", "ports": "different"}, ("ports",)),
        ({"same": "no", "seal": "different"}, ("seal",)),
        ({"same": "no"}, ("not the same",)),
        ({"same": "no", "note": "other hose end"}, ("other hose end",)),
    ],
)
def test_a_difference_is_named(body: Mapping[str, Any], differs: tuple[str, ...]) -> None:
    seen = compared(record(("parts compared", {"item": "pump", **body})))
    assert seen["pump"].differs == differs


def test_a_later_comparison_replaces_the_earlier_one() -> None:
    first = ("parts compared", {"item": "pump", "same": "no"})
    assert compared(record(first, ("parts compared", {"item": "pump", "same": "yes"})))["pump"].differs == ()


def test_keys_in_against_keys_out() -> None:
    assert [(one.came, one.back) for one in keys([])] == [(None, None)] * 3
    back = ("keys returned", {"fobs": 2, "spares": 0, "phone_keys": 0})
    assert [(one.came, one.back) for one in keys(record(SAID["keys"], back))] == [(2, 2), (1, 0), (0, 0)]
