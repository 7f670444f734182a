"""Intake and authorisation of a job. Sums: the invented demo, in its README."""

from datetime import datetime
from hashlib import sha256

from bay.packs import demo_pack, demo_plan
from putback.bay.intake import compared_at_refit, digest_of, intake_of, parts_of, scope_text
from putback.core.gates import Entry
from putback.core.record import Event

AT = "2026-03-02T08:15:00+01:00"


def event(n: int, kind: str, **body: object) -> Entry:
    return Entry(event=Event(id=f"e{n}", job="j1", device="desk", at=AT, person="p1", kind=kind, body=body))  # type: ignore[arg-type]


def test_the_scope_holds_every_sum_of_the_quote_and_no_person() -> None:
    text = scope_text(demo_plan(), limit="1500.00", currency="EUR", see_old_parts=True)
    for line in (
        "Labour: 474 min at 96.00 an hour: 758.40",
        "  pump: 268.00",
        "  radar aim: 145.00",
        "Consumables: 14.00",
        "Total: 1435.40 EUR",
        "Limit without a new answer: 1500.00 EUR",
        "Old parts: to be shown",
    ):
        assert line in text.splitlines()
    assert "137.00 EUR more" in text
    assert digest_of(text) == sha256(text.encode()).hexdigest()


def test_any_other_term_is_another_version() -> None:
    def version(limit: str = "1500.00", currency: str = "EUR", *, see: bool = True) -> str:
        return digest_of(scope_text(demo_plan(), limit=limit, currency=currency, see_old_parts=see))

    assert len({version(), version("1500.01"), version(currency="CHF"), version(see=False)}) == 4
    assert version() == version()


def test_parts_are_those_of_the_plan_and_the_pack_says_the_same() -> None:
    parts = parts_of(demo_plan())
    assert len(parts) == len(demo_plan().parts)
    assert parts["elbow-gasket"] == "elbow gasket"
    assert demo_pack()["before"]["parts"] == dict(parts)
    assert (
        demo_pack()["before"]["compare"] == list(compared_at_refit(demo_plan())) == ["pump", "housing", "thermostat"]
    )


def test_deciders_signature_and_limit_are_read_from_the_record() -> None:
    scope = {
        "who": "p9",
        "at": AT,
        "channel": "in person",
        "scope_sha256": "9b" + "0" * 62,
        "amount": "1435.40",
        "limit": "1500.00",
        "currency": "EUR",
        "see_old_parts": "no",
    }
    owner = event(1, "owner named", who="p9", channel="telephone", **{"as": "owner"})
    at = datetime.fromisoformat(AT)
    now = intake_of(demo_plan(), [owner, event(2, "scope signed", **scope)], at=at)
    assert now.deciders == ("p9",)
    assert now.signed is not None
    assert (now.signed.version, now.signed.amount, str(now.limit)) == ("9b000000", "1435.40", "1500.00")
    stranger = intake_of(demo_plan(), [event(2, "scope signed", **scope)], at=at)
    assert (stranger.signed, stranger.limit, stranger.deciders) == (None, None, ())
