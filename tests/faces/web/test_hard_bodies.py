"""Bodies that come slowly, odd values inside them, and a server whose past was brought back from a back-up."""

import asyncio
import itertools
import json
import shutil
from collections.abc import Awaitable, Callable, Iterator, MutableMapping
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from httpx import Response

from faces.web.calling import Caller
from putback.adapters.car_file import demo_path
from putback.adapters.stores import Store, open_store
from putback.bay import Bay, Opening, OpenJob, Shelf
from putback.core.record import read_event
from putback.faces.web import make_app
from putback.faces.web.guard import LARGEST_BODY, Guard

HOST = "127.0.0.1:8999"
NOW = "2026-03-02T08:00:00+01:00"
Message = MutableMapping[str, Any]


def desk(store: Store, folder: Path) -> Bay:
    numbers = itertools.count()
    return Bay(
        store=store,
        shelf=Shelf(folder / "files"),
        cars={demo_path().name: demo_path()},
        clock=lambda: datetime.fromisoformat(NOW),
        new_id=lambda: f"n{next(numbers)}",
    )


def opened(bay: Bay) -> str:
    found = bay.open_job(Opening(car=demo_path().name, wanted=("thermostat-and-pump",)))
    assert isinstance(found, OpenJob)
    return found.job


class Phone:
    """A device: what it logged, and what it offers to a server."""

    def __init__(self, bay: Bay, job: str) -> None:
        self.caller, self.job = Caller(make_app(bay, hosts=[HOST]), HOST), job

    def event(self, id: str, **more: Any) -> dict[str, Any]:
        made = {"id": id, "job": self.job, "device": "phone", "at": NOW, "person": None, "kind": "noted"}
        return {**made, "body": {"note": id}, **more}

    def send(self, content: bytes) -> Response:
        headers = {"origin": f"http://{HOST}", "x-putback": "1", "content-type": "application/json"}
        return self.caller.post(f"/api/jobs/{self.job}/events", content=content, headers=headers)

    def offer(self, *events: dict[str, Any]) -> dict[str, Any]:
        answer = self.send(json.dumps({"events": events}).encode())
        assert answer.status_code == 200, answer.text
        told: dict[str, Any] = answer.json()
        return told

    def ask(self, head: dict[str, Any]) -> dict[str, Any]:
        query = f"after={head['seq']}&hash={head['hash']}"
        told: dict[str, Any] = self.caller.get(f"/api/jobs/{self.job}/events?{query}").json()
        return told


@pytest.fixture
def bay(tmp_path: Path) -> Iterator[Bay]:
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        yield desk(store, tmp_path)


def _guarded(receive: Callable[[], Awaitable[Message]], *, patience_s: float) -> list[Message]:
    """What a guard answers to a body that comes by `receive`; behind it everything fails."""

    async def behind(*_: Any) -> None:
        raise AssertionError("the body was let through")

    async def calling() -> list[Message]:
        sent: list[Message] = []

        async def send(message: Message) -> None:
            sent.append(message)

        named = [(b"host", HOST.encode()), (b"origin", f"http://{HOST}".encode()), (b"x-putback", b"1")]
        scope = {"type": "http", "method": "POST", "path": "/api/people", "scheme": "http", "query_string": b""}
        headers = {"headers": [*named, (b"content-type", b"application/json")]}
        await Guard(behind, hosts=[HOST], patience_s=patience_s)(scope | headers, receive, send)
        return sent

    return asyncio.run(calling())


def test_a_body_that_comes_by_drips_is_refused_once_patience_is_over() -> None:
    """The drips never stop; each alone is in time."""

    async def drip() -> Message:
        await asyncio.sleep(0)
        return {"type": "http.request", "body": b" ", "more_body": True}

    start, body = _guarded(drip, patience_s=0.05)
    assert start["status"] in (408, 413)
    assert set(json.loads(body["body"])["failed"]) == {"what", "mend"}


def test_a_body_that_does_not_come_is_refused() -> None:
    async def silence() -> Message:
        await asyncio.Event().wait()
        raise AssertionError

    start, _ = _guarded(silence, patience_s=0.02)
    assert start["status"] == 408


def test_a_body_that_says_less_than_it_sends_is_counted_as_it_comes() -> None:
    async def flood() -> Message:
        return {"type": "http.request", "body": b" " * 1_000_000, "more_body": True}

    start, _ = _guarded(flood, patience_s=30)
    assert start["status"] == 413


def test_who_goes_away_in_the_middle_gets_no_answer_and_changes_nothing() -> None:
    begun: Message = {"type": "http.request", "body": b"{", "more_body": True}
    left = iter([begun, {"type": "http.disconnect"}])

    async def leaving() -> Message:
        return next(left)

    assert _guarded(leaving, patience_s=30) == []


UNREADABLE = {
    "invalid UTF-8": b'{"events": ["\xff"]}',
    "half a letter": b'{"events": ["\xe2\x82"]}',
    "a key twice": b'{"events": [{"id": "a", "id": "b"}]}',
    "a whole number that binary64 lacks": b'{"events": [9007199254740993]}',
    "a number beyond all": b'{"events": [1e999]}',
    "not a number": b'{"events": [NaN]}',
    "lists without end": b'{"events": ' + b"[" * 50_000 + b"]" * 50_000 + b"}",
    "mappings without end": b'{"a":' * 50_000 + b"1" + b"}" * 50_000,
    "a bare NUL": b'{"events": ["\x00"]}',
    "two documents": b'{"events": []}{"events": []}',
}


@pytest.mark.parametrize("name", UNREADABLE)
def test_what_two_readers_may_read_differently_is_refused_whole(name: str, bay: Bay) -> None:
    phone = Phone(bay, opened(bay))
    before = bay.store.read(phone.job)
    answer = phone.send(UNREADABLE[name])
    assert answer.status_code == 400
    assert set(answer.json()["failed"]) == {"what", "mend"}
    assert bay.store.read(phone.job) == before


def test_odd_values_in_an_event_are_a_fact_or_refused_for_themselves(bay: Bay) -> None:
    """A note may hold any letter, the written NUL too; an id may not; an event has its largest size."""
    phone = Phone(bay, opened(bay))
    odd = phone.event("odd", body={"note": "a\u0000b \u202e 💧"})
    answers = phone.offer(
        odd,
        phone.event("a\u0000b"),
        phone.event("../../etc"),
        phone.event("large", body={"note": "x" * 300_000}),
        phone.event("late", at="2026-02-30T08:00:00Z"),
        phone.event("listed", body=[1]),
        phone.event("good"),
    )["answers"]
    assert ["seq" in one for one in answers] == [True, False, False, False, False, False, True]
    assert all(one["refused"][0]["mend"] for one in answers if "seq" not in one)
    kept = read_event(bay.store.read(phone.job)[1].content)
    assert kept.body["note"] == odd["body"]["note"]
    page = phone.caller.get(f"/jobs/{phone.job}/record")
    assert page.status_code == 200
    assert "💧" in page.text


HALF = "\\ud800"
"""Half of a letter, as JSON may write it; no text of UTF-8 can hold it."""


@pytest.mark.parametrize("field", ["id", "job", "kind", "at", "note"])
def test_half_a_letter_is_refused_for_its_event_alone_in_words_that_can_be_sent(field: str, bay: Bay) -> None:
    phone = Phone(bay, opened(bay))
    bad = {**phone.event("half"), **({"body": {"note": "HALF"}} if field == "note" else {field: "HALF"})}
    sent = json.dumps({"events": [bad, phone.event("good")]}).replace("HALF", HALF)
    answer = phone.send(sent.encode())
    assert answer.status_code == 200
    assert ["seq" in one for one in answer.json()["answers"]] == [False, True]


def test_as_many_events_as_fit_are_taken_at_once_and_one_more_is_refused_whole(bay: Bay) -> None:
    phone = Phone(bay, opened(bay))
    many = [phone.event(f"e{n}") for n in range(1001)]
    assert phone.send(json.dumps({"events": many}).encode()).status_code == 413
    assert len(bay.store.read(phone.job)) == 1
    assert len(json.dumps(many)) < LARGEST_BODY
    assert len(phone.offer(*many[:1000])["answers"]) == 1000
    again = phone.offer(*many[:1000])["answers"]
    assert all(one["again"] for one in again)
    assert len(bay.store.read(phone.job)) == 1001


def test_a_replay_with_other_content_never_takes_the_place_of_what_was_acknowledged(bay: Bay) -> None:
    phone = Phone(bay, opened(bay))
    first = phone.offer(phone.event("e1"))["answers"][0]
    for other in (
        {"body": {"note": "other"}},
        {"at": "2026-03-02T07:00:00+01:00"},
        {"person": "p2"},
        {"device": "d2"},
    ):
        answer = phone.offer(phone.event("e1", **other))["answers"][0]
        assert set(answer) == {"id", "conflict"}
    again = phone.offer(phone.event("e1"))["answers"][0]
    assert (again["seq"], again["hash"], again["again"]) == (first["seq"], first["hash"], True)
    assert len(bay.store.conflicts(phone.job)) == 4
    assert "4 kept aside" in phone.caller.get(f"/jobs/{phone.job}/record").text


def test_a_server_brought_back_from_an_old_back_up_gets_the_lost_events_from_the_devices(tmp_path: Path) -> None:
    """Two phones know heads that the old store does not have; each is told so, and offers what it kept.

    Everything acknowledged is there again once, whatever was logged between; a third who has nothing gets it all.
    """
    path = tmp_path / "store.db"
    with open_store(str(path), create=True) as store:
        bay = desk(store, tmp_path)
        one = Phone(bay, opened(bay))
        one.offer(one.event("a1"))
    shutil.copy(path, tmp_path / "old.db")
    with open_store(str(path)) as store:
        bay = desk(store, tmp_path)
        one, two = Phone(bay, one.job), Phone(bay, one.job)
        mine = [one.event(f"a{n}") for n in (1, 2, 3)]
        yours = [two.event(f"b{n}", device="phone-2") for n in (1, 2)]
        one.offer(*mine[1:])
        heads = [two.offer(*yours)["head"]]
        heads.append(one.ask(heads[0])["head"])
        whole = {link.id: link.content for link in store.read(one.job)}
    with open_store(str(tmp_path / "old.db")) as store:
        bay = desk(store, tmp_path)
        one, two = Phone(bay, one.job), Phone(bay, one.job)
        one.offer(one.event("c1"))
        for phone, kept, head in ((one, mine, heads[1]), (two, yours, heads[0])):
            told = phone.ask(head)
            assert told["known"] is False, "the head of the device is not in this record"
            assert told["events"][0]["seq"] == 1, "so all of it is given"
            answers = phone.offer(*kept)["answers"]
            assert all("seq" in answer for answer in answers)
        links = store.read(one.job)
        assert len({link.id for link in links}) == len(links) == len(whole) + 1
        assert {link.id: link.content for link in links if link.id != "c1"} == whole
        told = one.ask(one.ask({"seq": 0, "hash": ""})["head"])
        assert (told["known"], told["events"]) == (True, [])
