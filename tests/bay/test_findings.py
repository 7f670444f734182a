"""Findings: price, message, answer. Sums: the invented demo, in its README (1435.40, +55 min, +137.00, 1572.40)."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

import pytest

from bay.packs import demo_pack, demo_plan
from putback.bay.findings import Findings, Matter, filled, findings_of, message, money, revised
from putback.core.gates import Entry
from putback.core.record import Event

AT = "2026-03-02T08:15:00+01:00"
ID = "pitted-bypass"
Fact = tuple[str, Mapping[str, Any]]
OWNER: Fact = ("owner named", {"who": "p9", "as": "owner", "channel": "telephone"})
SEEN: Fact = ("finding seen", {"finding": ID, "item": "bypass-pipe", "minutes": 55, "amount": "1572.40"})
SCOPE: Fact = (
    "scope signed",
    {
        "who": "p9",
        "at": AT,
        "channel": "in person",
        "scope_sha256": "0" * 64,
        "amount": "1435.40",
        "limit": "1450.00",
        "currency": "EUR",
        "see_old_parts": "no",
    },
)


def answer(said: str, finding: str = ID, amount: str = "1572.40") -> Fact:
    body = {"finding": finding, "who": "p9", "at": AT, "channel": "telephone", "answer": said}
    return "answer given", {**body, "amount": amount} if said == "yes" else body


def found(*facts: Fact) -> Findings:
    events = [
        Event(id=f"e{n}", job="j1", device="desk", at=AT, person="p1", kind=kind, body=body)
        for n, (kind, body) in enumerate(facts)
    ]
    return findings_of(demo_plan(), [Entry(event=one) for one in events], at=datetime.fromisoformat(AT))


def test_the_revised_quote_of_the_demo() -> None:
    plan = demo_plan()
    revision = revised(plan, plan.car.findings[ID])
    assert (revision.before, revision.after, revision.adds, revision.minutes) == (1435.40, 1572.40, 137.00, 55)
    assert (revision.labour, revision.parts) == (88.00, 49.00)


def test_the_message_says_what_it_needs_what_it_costs_and_what_a_no_means() -> None:
    (line,) = found(OWNER, SCOPE, SEEN).seen
    for words in (
        "bypass bore in block pitted deeper than 0.5 mm",
        "bypass insert sleeve 38.00, sleeve sealant 11.00, 55 min of work 88.00",
        "from 1435.40 to 1572.40 EUR (+137.00); the work takes 55 min longer",
        "If you say no: refit with new O-rings, note on invoice, no leak warranty on that joint.",
    ):
        assert words in line.message
    assert "{" not in line.message
    for word in ("safe", "compliant", "guarantee", "p9"):
        assert word not in line.message


def test_the_pack_holds_the_same_amounts_and_message() -> None:
    one = next(one for one in demo_pack()["findings"] if one["id"] == ID)
    assert (one["before"], one["adds"], one["amount"], one["minutes"]) == ("1435.40", "137.00", "1572.40", 55)
    assert [part["amount"] for part in one["parts"]] == ["38.00", "11.00"]
    (line,) = found(OWNER, SCOPE, SEEN).seen
    assert filled(one["message"], before=one["before"], after=one["amount"], currency="EUR") == line.message
    assert "bypass-pipe" in one["holds"]
    assert "bumper" in one["holds"]
    assert "compressor" not in one["holds"]


def test_what_may_turn_up_leaves_the_list_once_it_is_seen() -> None:
    assert [matter.id for matter, _ in found().possible] == [ID, "chafed-hose"]
    assert [matter.id for matter, _ in found(SEEN).possible] == ["chafed-hose"]


def test_a_yes_moves_the_sum_and_the_limit_and_a_no_moves_nothing() -> None:
    yes, no = found(OWNER, SCOPE, SEEN, answer("yes")), found(OWNER, SCOPE, SEEN, answer("no"))
    assert (yes.before, yes.limit, yes.seen[0].says) == ("1572.40", "1572.40", "yes")
    assert (no.before, no.limit, no.seen[0].says) == ("1435.40", "1450.00", "no")
    assert no.seen[0].matter.declined == "refit with new O-rings, note on invoice, no leak warranty on that joint"
    assert money(yes.seen[0].revision.before) == "1435.40"
    assert yes.seen[0].waits == no.seen[0].waits == ()


def test_a_second_finding_starts_from_what_was_agreed() -> None:
    free: Fact = (
        "finding seen",
        {
            "finding": "free-1",
            "item": "fan",
            "note": "blade cracked",
            "minutes": 10,
            "parts": [{"name": "fan", "amount": "180.00"}, {"name": "fan", "amount": "2.50"}],
        },
    )
    first, second = found(OWNER, SCOPE, SEEN, answer("yes"), free).seen
    assert first.open
    assert not second.open
    assert "from 1572.40 to 1770.90 EUR (+198.50)" in second.message
    assert second.matter.parts == {"fan": 182.5}


@pytest.mark.parametrize(("rate_per_hour", "labour"), [(60.0, "10.00"), (75.0, "12.50"), (0.0, "0.00")])
def test_a_free_finding_is_priced_at_the_owner_s_rate(rate_per_hour: float, labour: str) -> None:
    """Rate times minutes, over 60; at 60 an hour money and minutes look alike and are still two things."""
    plan = demo_plan()
    other = replace(plan, quote=replace(plan.quote, rate_per_hour=rate_per_hour))
    nothing: dict[str, Any] = {"item": None, "declined": "", "open_ended": False, "goes_to": ""}
    matter = Matter(id="free-1", what="blade cracked", minutes=10.0, parts={"fan": 7.5}, **nothing)
    revision = revised(other, matter, before=100.0)
    assert money(revision.labour) == labour
    assert money(revision.adds) == money(float(labour) + 7.5)
    assert money(revision.after) == money(100.0 + float(labour) + 7.5)
    assert f"fan 7.50, 10 min of work {labour}" in message(other, matter, revision)


def test_a_finding_that_stops_the_job_has_no_price() -> None:
    (line,) = found(OWNER, ("finding seen", {"finding": "chafed-hose", "note": "cord is seen"})).seen
    assert "Nobody knows the price yet" in line.message
    assert "licensed refrigerant person" in line.message
    assert "cord is seen" in line.message
    assert line.matter.open_ended


def test_proposed_work_within_the_limit_is_open_and_above_it_waits() -> None:
    extra: Fact = ("work added", {"extra": "x1", "says": "renew the horn", "items": ["horns"], "amount": "1450.00"})
    assert [line.open for line in found(OWNER, SCOPE, extra).seen] == [True]
    dearer: Fact = ("work added", {**extra[1], "amount": "1450.01"})
    assert [line.open for line in found(OWNER, SCOPE, dearer).seen] == [False]
    assert "You may want, or we suggest: renew the horn" in found(OWNER, SCOPE, dearer).seen[0].message


def test_malformed_findings_are_listed_and_shut() -> None:
    odd: Fact = ("finding seen", {"finding": "f", "minutes": "many", "parts": [{"name": 1}], "amount": 7, "item": 3})
    (line,) = found(OWNER, odd).seen
    assert not line.open
    assert (line.matter.minutes, dict(line.matter.parts), line.asked, line.matter.item) == (0.0, {}, None, None)
    assert found(("finding seen", {})).seen[0].open is False


def test_photos_of_a_finding_are_those_that_name_it() -> None:
    photo = {"sha256": "1" * 64, "bytes": 9, "media": "image/jpeg"}
    seen: Fact = ("finding seen", {"finding": ID, "photos": ["2" * 64]})
    (line,) = found(seen, ("photo taken", {**photo, "finding": ID}), ("photo taken", photo)).seen
    assert line.photos == ("2" * 64, "1" * 64)
