"""Consent: what opens the covering of a finding, and everything that does not. The car is the invented demo.

That the covering waits for a recorded answer is this project's own rule (its contracts, section 4); that work above
the agreed sum needs a new word: 16 CCR 3354-3356, as quoted in its job paper. Sums: the invented demo, in its README.
"""

import random
from collections.abc import Mapping
from datetime import datetime, timedelta
from functools import cache
from typing import Any

import pytest

from bay.packs import demo_plan
from putback.core.car import Car
from putback.core.gates import Entry, Gate, GateKind, Moment, gates_before, read_case
from putback.core.gates.consent import agreed
from putback.core.operations import Operation, Verb
from putback.core.record import Event

START = datetime.fromisoformat("2026-03-02T08:00:00+01:00")
SHA = "0" * 64
NOW = "now"
"""Stands for the minute in which a fact is logged: they are logged one a minute."""
PIPE = "bypass-pipe"
ID = "pitted-bypass"
ASKED = {"finding": ID, "item": PIPE, "minutes": 55, "amount": "1572.40", "currency": "EUR"}
Fact = tuple[str, Mapping[str, Any]]

OWNER: Fact = ("owner named", {"who": "p9", "as": "owner", "channel": "telephone"})
SEEN: Fact = ("finding seen", ASKED)


def scope(limit: str = "1435.40", **more: Any) -> Fact:
    body = {"who": "p9", "at": at(0), "channel": "in person", "scope_sha256": SHA, "amount": "1435.40"}
    items = ["pump", "housing", PIPE]
    return "scope signed", {
        **body, "limit": limit, "currency": "EUR", "see_old_parts": "no", "items": items, **more,
    }  # fmt: skip


def answer(said: str = "yes", *, minute: float | None = None, **more: Any) -> Fact:
    """An answer to the finding, given when it is logged, or in another minute of the morning."""
    body = {"finding": ID, "who": "p9", "at": NOW if minute is None else at(minute), "channel": "telephone"}
    priced = {"amount": "1572.40", "currency": "EUR"} if said == "yes" else {}
    return "answer given", {**body, "answer": said, **priced, **more}


def at(minute: float) -> str:
    return (START + timedelta(minutes=minute)).isoformat()


@cache
def car() -> Car:
    return demo_plan().car


def record(*facts: Fact) -> list[Event]:
    return [
        Event(id=f"e{n}", job="j1", device="tablet", at=at(n), person="p1", kind=kind, body=_timed(body, at(n)))
        for n, (kind, body) in enumerate(facts)
    ]


def _timed(body: Mapping[str, Any], time: str) -> Mapping[str, Any]:
    return {name: time if value == NOW else value for name, value in body.items()}


def gates(events: list[Event], operation: Operation, *, later: float = 600) -> tuple[Gate, ...]:
    case = read_case(car(), [Entry(event=one, received_at=one.at) for one in events], ways=demo_plan().ways)
    moment = Moment(at=START + timedelta(minutes=later), person="p1", device="tablet")
    return tuple(gate for gate in gates_before(case, operation, moment) if gate.kind is GateKind.CONSENT)


def fit(item: str = PIPE) -> Operation:
    return Operation(n=1, verb=Verb.FIT, item=item)


def let_through(*facts: Fact) -> bool:
    (gate,) = gates(record(*facts), fit())
    return gate.lets_through


def test_a_finding_holds_the_covering_until_it_is_answered() -> None:
    assert gates(record(OWNER), fit()) == ()
    assert not let_through(OWNER, SEEN)
    assert let_through(OWNER, SEEN, answer("yes"))
    assert let_through(OWNER, SEEN, answer("no"))


def test_what_covers_the_place_is_held_as_well_and_the_rest_is_free() -> None:
    events = record(OWNER, SEEN)
    assert [gate.open for gate in gates(events, fit("bumper"))] == [False]
    assert [gate.open for gate in gates(events, Operation(n=1, verb=Verb.START, joint="j73", item="housing"))] == []
    assert gates(events, Operation(n=1, verb=Verb.REMOVE, item="bumper")) == ()


@pytest.mark.parametrize(
    ("why", "facts"),
    [
        ("nobody is named who may decide", (SEEN, answer())),
        ("a stranger", (OWNER, SEEN, answer(who="p8"))),
        ("whoever found it", (OWNER, SEEN, answer(who="p1"))),
        ("named only after the answer", (SEEN, answer(), OWNER)),
        ("another finding", (OWNER, SEEN, answer(finding="chafed-hose"))),
        ("an extra of another name", (OWNER, SEEN, answer(finding="x1"))),
        ("dated before the finding", (OWNER, SEEN, answer(minute=-30))),
        ("dated after it was logged", (OWNER, SEEN, answer(minute=90))),
        ("a sum that is too low", (OWNER, SEEN, answer(amount="1435.40"))),
        ("a sum that is too low by a cent", (OWNER, SEEN, answer(amount="1572.39"))),
        ("another currency", (OWNER, SEEN, answer(currency="XXX"))),
        ("no channel", (OWNER, SEEN, answer(channel="  "))),
        ("no who", (OWNER, SEEN, answer(who=None))),
        ("no time", (OWNER, SEEN, answer(at=None))),
        ("neither yes nor no", (OWNER, SEEN, answer("perhaps"))),
        ("a sum that is no sum", (OWNER, SEEN, answer(amount="1,572.40"))),
        ("a sum as a number", (OWNER, SEEN, answer(amount=1572.4))),
        ("given before the finding was logged", (OWNER, answer(), SEEN)),
        ("found again since, at another price", (OWNER, SEEN, answer(), ("finding seen", ASKED))),
        ("an answer taken back", (OWNER, SEEN, answer(), ("operation taken back", {"mends": "e2"}))),
        ("the finding taken back", (OWNER, SEEN, ("operation taken back", {"mends": "e1"}))),
        ("an override", (OWNER, SEEN, ("override given", {"gate": "consent", "who": "p9", "reason": "in a hurry"}))),
        ("a hold passed", (OWNER, SEEN, ("hold passed", {"gate": ID, "item": PIPE, "who": "p9"}))),
        ("a signed limit that is high enough", (OWNER, scope("9000.00"), SEEN)),
        ("a finding without its fields", (OWNER, ("finding seen", {"finding": ID, "item": 7}))),
        (
            "a yes without a sum to a finding that costs",
            (OWNER, ("finding seen", {"finding": ID}), answer(amount=None)),
        ),
        ("an owner taken back", (OWNER, SEEN, answer(), ("operation taken back", {"mends": "e0"}))),
    ],
)
def test_what_does_not_open_it(why: str, facts: tuple[Fact, ...]) -> None:
    assert not let_through(*facts), why


def test_an_answer_of_who_may_decide_counts_like_the_owners() -> None:
    other: Fact = ("owner named", {"who": "p7", "as": "may decide", "channel": "message"})
    assert let_through(OWNER, other, SEEN, answer("no", who="p7"))


def test_the_device_may_be_a_minute_off() -> None:
    assert let_through(OWNER, SEEN, answer(minute=0.5))
    assert let_through(OWNER, SEEN, answer(minute=2.5))
    assert not let_through(OWNER, SEEN, answer(minute=3.5))


def test_the_same_answer_again_and_one_of_another_job_change_nothing() -> None:
    events = record(OWNER, SEEN)
    other = Event(
        id="o1",
        job="j2",
        device="tablet",
        at=at(2),
        person="p1",
        kind="answer given",
        body=_timed(answer("no")[1], at(2)),
    )
    again = Event(
        id="e1", job="j1", device="tablet", at=at(2), person="p1", kind="answer given", body=_timed(answer()[1], at(2))
    )
    (gate,) = gates([*events, other, again], fit())
    assert not gate.lets_through


def test_time_alone_opens_nothing() -> None:
    early: Fact = answer(minute=90)
    for later in (3, 89, 91, 10_000):
        (gate,) = gates(record(OWNER, SEEN, early), fit(), later=later)
        assert not gate.lets_through


def test_a_finding_that_nobody_placed_waits_before_the_last_read_and_the_road_test() -> None:
    events = record(OWNER, ("finding seen", {"finding": "free-1", "note": "oil at the sump"}))
    assert gates(events, fit()) == ()
    for verb in (Verb.READ_AFTER, Verb.ROAD_TEST):
        assert [gate.open for gate in gates(events, Operation(n=1, verb=verb))] == [False]


EXTRA: Fact = (
    "work added",
    {"extra": "x1", "says": "renew the fan", "items": ["fan"], "amount": "1700.00", "currency": "EUR"},
)


def extra_open(*facts: Fact, verb: Verb = Verb.REMOVE) -> bool:
    (gate,) = gates(record(*facts), Operation(n=1, verb=verb, item="fan"))
    return gate.lets_through


def test_work_above_the_limit_waits_and_work_within_it_does_not() -> None:
    assert not extra_open(OWNER, scope(), EXTRA)
    assert not extra_open(OWNER, scope("1699.99"), EXTRA)
    assert extra_open(OWNER, scope("1700.00"), EXTRA)
    assert extra_open(OWNER, scope(), EXTRA, answer(finding="x1", amount="1700.00"))
    assert not extra_open(OWNER, EXTRA), "nobody signed anything"
    assert not extra_open(scope("9000.00"), EXTRA), "signed by somebody who is not named"
    assert not extra_open(OWNER, scope("9000.00", currency="XXX"), EXTRA), "another currency"


def test_work_that_was_signed_for_goes_on_while_an_extra_waits() -> None:
    events = record(OWNER, scope(items=["fan"]), EXTRA)
    assert gates(events, Operation(n=1, verb=Verb.REMOVE, item="fan")) == ()
    assert [gate.open for gate in gates(events, fit("fan"))] == [False]


def test_a_yes_raises_the_limit_to_its_amount() -> None:
    facts = (OWNER, scope(), SEEN, answer())
    within: Fact = ("work added", {**EXTRA[1], "amount": "1572.40"})
    above: Fact = ("work added", {**EXTRA[1], "amount": "1572.41"})
    assert extra_open(*facts, within)
    assert not extra_open(*facts, above)
    case = read_case(car(), [Entry(event=one) for one in record(*facts)])
    assert str(agreed(case, Moment(at=START, person=None)).limit) == "1572.40"


@pytest.mark.parametrize(
    "mend",
    [
        ("operation taken back", {"mends": "e1"}),
        ("operation taken back", {"mends": "e3"}),
        ("operation taken back", {"mends": "e4"}),
        ("operation taken back", {"mends": "e0"}),
    ],
)
def test_taking_back_never_opens_an_extra(mend: Fact) -> None:
    """The high scope, then a low one; an answer of no, then of yes: none comes back by taking the other back."""
    low = (OWNER, scope("9000.00"), ("noted", {"note": "-"}), scope("1435.40"), EXTRA)
    assert not extra_open(*low, mend)
    other: Fact = ("work added", {**EXTRA[1], "extra": "x2", "items": ["radar"], "amount": "5000.00"})
    said = (
        OWNER,
        scope(),
        other,
        answer(finding="x2", amount="5000.00"),
        answer("no", finding="x2"),
    )
    assert not extra_open(*said, EXTRA, mend)


def test_an_added_mending_event_never_opens_what_was_shut() -> None:
    """Random records of owners, scopes, findings, extras and answers; then each event is taken back in turn."""
    chance = random.Random(20260302)
    shut = 0
    for _ in range(400):
        facts: list[Fact] = []
        for _place in range(chance.randrange(2, 12)):
            made = chance.choice([OWNER, SEEN, EXTRA, scope(chance.choice(["900.00", "2000.00"]))])
            said = answer(
                chance.choice(["yes", "no"]),
                finding=chance.choice([ID, "x1", "x2"]),
                who=chance.choice(["p9", "p9", "p1"]),
                amount=chance.choice(["1572.40", "1800.00", None]),
            )
            facts.append(chance.choice([made, made, said]))
        before = {gate.about: gate for op in (fit(), fit("fan")) for gate in gates(record(*facts), op)}
        for n in range(len(facts)):
            mended = record(*facts, ("operation taken back", {"mends": f"e{n}"}))
            after = {gate.about: gate for op in (fit(), fit("fan")) for gate in gates(mended, op)}
            for about, gate in before.items():
                shut += not gate.lets_through
                assert gate.lets_through or not after[about].lets_through
    assert shut > 400, "the records reach too little"
