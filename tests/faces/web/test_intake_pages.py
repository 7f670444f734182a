"""Intake, shelf, authorisation and findings by their pages: what is typed becomes facts, no name enters the record.

Sums: the invented demo, in its README.
"""

import itertools
import re
import shutil
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, cast

import pytest
from httpx import Response

from faces.web.calling import Caller
from putback.adapters.car_file import demo_path
from putback.adapters.stores import Store, open_store
from putback.bay import Bay, JobView, Opening, OpenJob, Shelf
from putback.core.record import Event, read_event, strange
from putback.faces.web import make_app

HOST = "127.0.0.1:8999"
OWNER = "Odalys Quent"
WORKER = "Wim Orvelt"
PLATE = "QQ 00 ZZ"
VIN = "XXINVENTED0004711"
PHONE = "+00 12 345"


class Clock:
    """A clock that goes on by a second at each look."""

    def __init__(self) -> None:
        self.now = datetime.fromisoformat("2026-03-02T08:00:00+01:00")

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


@dataclass
class Desk:
    bay: Bay
    client: Caller
    job: str
    folder: Path

    def get(self, page: str) -> Response:
        return self.client.get(f"/jobs/{self.job}/{page}")

    def post(self, page: str, **fields: Any) -> Response:
        return self.client.post(f"/jobs/{self.job}/{page}", data=fields)

    def events(self) -> list[Event]:
        return [read_event(link.content) for link in self.bay.store.read(self.job)]

    def last(self) -> Event:
        return self.events()[-1]

    def id_of(self, name: str) -> str:
        return next(one.id for one in self.bay.store.people() if (one.data or {}).get("name") == name)

    def ready(self) -> str:
        """Intake and signature done; the owner's id."""
        self.post("intake", **INTAKE)
        owner = self.id_of(OWNER)
        assert self.sign(owner).status_code == 303
        return owner

    def sign(self, owner_id: str, **more: str) -> Response:
        terms = {"limit": "1435.40", "currency": "EUR", "see": "yes"}
        page = self.client.get(f"/jobs/{self.job}/authorise", params=terms)
        found = re.search(r'name="version" value="(\w{64})"', page.text)
        assert found
        signing = {"version": found[1], "owner": owner_id, "channel": "in person", "typed": OWNER}
        return self.post("authorise", **{**terms, **signing, **more})


INTAKE = {
    "by-name": WORKER,
    "plate": PLATE,
    "vin": VIN,
    "owner-name": OWNER,
    "owner-phone": PHONE,
    "owner-as": "owner",
    "channel": "telephone",
    "odometer": "84 210,5",
    "unit": "km",
    "complaint": "runs hot in traffic",
    "fobs": "2",
    "spares": "1",
    "phone_keys": "",
    "lamps": "coolant, , engine",
    "recalls": "no",
    "old-parts": "yes",
}


def bay_in(folder: Path, store: Store, first: int) -> Bay:
    numbers = itertools.count(first)
    return Bay(
        store=store,
        shelf=Shelf(folder / "files"),
        cars={"demo": demo_path()},
        clock=Clock(),
        new_id=lambda: f"{next(numbers):08x}",
    )


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str, Bay]:
    """A folder with one job that was opened and planned once; tests work on copies of it."""
    folder = tmp_path_factory.mktemp("opened")
    with open_store(str(folder / "store.db"), create=True) as store:
        bay = bay_in(folder, store, 0)
        job = bay.open_job(Opening(car="demo", wanted=("thermostat-and-pump",)))
        assert isinstance(job, OpenJob)
        view = bay.view(job.job)
        assert isinstance(view, JobView)
        bay.plan(view)
    return folder, job.job, bay


@pytest.fixture
def desk(opened: tuple[Path, str, Bay], tmp_path: Path) -> Iterator[Desk]:
    folder, job, planned = opened
    shutil.copytree(folder, tmp_path, dirs_exist_ok=True)
    with open_store(str(tmp_path / "store.db")) as store:
        bay = bay_in(tmp_path, store, 1000)
        bay._plans.update(planned._plans)
        client = Caller(app=make_app(bay, hosts=[HOST]), host=HOST)
        yield Desk(bay=bay, client=client, job=job, folder=tmp_path)


def test_intake_becomes_facts_and_names_stay_outside(desk: Desk) -> None:
    assert desk.post("intake", **INTAKE).status_code == 303
    said = {event.kind: event for event in desk.events()}
    assert said["odometer read"].body == {"value": 84210.5, "unit": "km"}
    assert said["keys received"].body == {"fobs": 2, "spares": 1, "phone_keys": 0}
    assert said["dash lamps noted"].body["lamps"] == ("coolant", "engine")
    assert said["car identified"].body["vin_end"] == "004711"
    assert said["owner named"].body["who"] == desk.id_of(OWNER)
    assert {event.person for event in desk.events()[1:]} == {desk.id_of(WORKER)}
    written = b"".join(link.content for link in desk.bay.store.read(desk.job))
    for name in (OWNER, WORKER, PLATE, VIN, PHONE):
        assert name.encode() not in written
    page = desk.get("intake").text
    assert PLATE in page
    assert OWNER in page
    assert "7 of 15 still missing" in page


def test_the_list_of_jobs_says_which_car_until_that_is_deleted(desk: Desk) -> None:
    def listed() -> str:
        return desk.client.get("/").text

    assert PLATE not in listed()
    desk.post("intake", **INTAKE)
    assert f"{PLATE}, vehicle number ends in 004711" in listed()
    assert VIN not in listed()
    car = next(event.body["car"] for event in desk.events() if event.kind == "car identified")
    desk.bay.store.delete_person(str(car))
    assert PLATE not in listed()
    assert "deleted, vehicle number ends in 004711" in listed()


def test_intake_says_which_of_its_list_is_asked_again(desk: Desk) -> None:
    """The core asks about scope and parts alone (`asked_before`); the page says no more."""
    text = " ".join(desk.get("intake").text.split())
    assert "Only the signed scope and the parts on the shelf are asked about again, once each, in the bay." in text
    assert "it is asked once" not in text


def test_no_part_is_said_to_be_there_that_nobody_ticked(desk: Desk) -> None:
    desk.post("intake", **INTAKE)
    worker = desk.id_of(WORKER)
    page = desk.get("shelf").text
    assert re.search(r'name="part" value="\w', page)
    assert not re.search(r'name="part"[^>]* checked', page)
    refused = desk.post("shelf", by=worker)
    assert refused.status_code == 422
    assert "are not ticked" in refused.text
    assert desk.post("shelf", part=["pump"], by="person-nobody").status_code == 422
    desk.post("shelf", part=["pump"], by=worker)
    desk.post("shelf", all="yes", by=worker)
    first, second = (
        list(cast("Sequence[str]", event.body["parts"])) for event in desk.events() if event.kind == "parts shelved"
    )
    assert first == ["pump"]
    assert "pump" not in second
    assert "Every part is on the shelf or waived" in desk.get("shelf").text


def test_every_fact_of_every_form_fits_its_kind(desk: Desk) -> None:
    owner = desk.ready()
    worker = desk.id_of(WORKER)
    desk.post("waive", of="intake", what=["photo roof", "photo inside"], by=worker, reason="wrapped")
    desk.post("shelf", part=["pump", "coolant"], by=worker)
    desk.post("waive", of="part", what="elbow-gasket", by=worker, reason="comes at noon")
    desk.post("compare", item="pump", same="no", old="60", new="65", ports="same", seal="different", by=worker)
    desk.post("findings", form="known", finding="pitted-bypass", note="two pits", by=worker)
    desk.post("findings", form="free", says="oil", item="housing", minutes="12", part1="seal", price1="3,50")
    desk.post("findings", form="extra", says="new fan", item="fan", minutes="20", part1="fan", price1="180")
    desk.post("findings/answer", finding="pitted-bypass", answer="no", who=owner, channel="telephone", by=worker)
    desk.post("keys", **{"back-fobs": "2", "back-spares": "1", "back-phone_keys": "0"})
    kinds = [event.kind for event in desk.events()]
    assert len(kinds) == len(set(kinds)) + 2 + 1, kinds
    assert [list(strange(event)) for event in desk.events()] == [[]] * len(kinds)
    for page in ("intake", "shelf", "authorise", "findings", "record"):
        assert desk.get(page).status_code == 200


def test_a_form_says_all_that_is_wrong_keeps_nothing_and_shows_what_was_typed(desk: Desk) -> None:
    before = desk.events()
    answer = desk.post("intake", **{**INTAKE, "odometer": "plenty", "fobs": "1.5", "unit": "ell", "channel": ""})
    assert answer.status_code == 422
    for words in ("plenty", "not a whole number", "is not in the list", "how to reach them is not chosen"):
        assert words in answer.text
    assert desk.events() == before
    assert desk.bay.store.people() == ()
    assert 'value="plenty"' in answer.text


@pytest.mark.parametrize("odometer", ["84.231", "84,200", "1.000"])
def test_an_odometer_that_can_be_read_in_two_ways_is_asked_back(desk: Desk, odometer: str) -> None:
    before = desk.events()
    answer = desk.post("intake", **{**INTAKE, "odometer": odometer})
    assert answer.status_code == 422
    assert "write it without one, such as 84210" in answer.text
    assert desk.events() == before


@pytest.mark.parametrize(
    "page", ["intake", "shelf", "waive", "compare", "authorise", "findings", "findings/answer", "keys"]
)
@pytest.mark.parametrize("body", [b"", b"\xff\xfe=\x00", b"a=1&" * 2000, b"by=person-nobody&what=x&of=part&reason=r"])
def test_odd_bodies_are_refused_in_words(desk: Desk, page: str, body: bytes) -> None:
    before = desk.events()
    headers = {"origin": f"http://{HOST}", "content-type": "application/x-www-form-urlencoded"}
    answer = desk.client.post(f"/jobs/{desk.job}/{page}", content=body, headers=headers)
    assert answer.status_code in (303, 422)
    assert desk.events() == before
    assert answer.status_code == 303 or "Nothing is kept yet" in answer.text


@pytest.mark.parametrize("page", ["intake", "shelf", "authorise", "findings"])
def test_another_site_and_another_job_get_nothing(desk: Desk, page: str) -> None:
    before = desk.events()
    foreign = desk.client.post(f"/jobs/{desk.job}/{page}", data=INTAKE, headers={"origin": "http://elsewhere.example"})
    assert foreign.status_code == 403
    assert desk.client.get(f"/jobs/job-none/{page}").status_code == 404
    assert desk.client.get(f"/jobs/..%2f..%2fetc/{page}").status_code == 404
    assert desk.events() == before


def test_hostile_text_is_shown_as_text(desk: Desk) -> None:
    hostile = '<script src="//x.example"></script>\'"{{ 7*7 }}'
    desk.post("intake", **{**INTAKE, "complaint": hostile, "owner-name": hostile, "plate": "<b>"})
    desk.post("findings", form="free", says=hostile, item="housing")
    for page in ("intake", "findings", "record", "authorise"):
        text = desk.get(page).text
        assert "x.example" not in text or "&lt;script" in text
        assert '<script src="//x' not in text
        assert "<b>" not in re.sub(r"<b>(?=[A-Za-z])", "", text)


def test_what_is_missing_is_waived_by_name_with_a_reason(desk: Desk) -> None:
    assert desk.post("waive", of="intake", what="recalls", reason="no network").status_code == 422
    assert desk.post("waive", of="intake", what="recalls", **{"by-name": WORKER}).status_code == 422
    assert desk.post("waive", of="intake", reason="no network", **{"by-name": WORKER}).status_code == 422
    done = desk.post("waive", of="intake", what="recalls", reason="no network", **{"by-name": WORKER})
    assert done.status_code == 303
    assert f"waived by {WORKER}: no network" in desk.get("intake").text


def test_the_signed_text_is_the_one_that_was_read_and_stands_on_the_shelf(desk: Desk) -> None:
    owner = desk.ready()
    scope = desk.last()
    assert scope.kind == "scope signed"
    assert (scope.body["amount"], scope.body["limit"], scope.body["who"]) == ("1435.40", "1435.40", owner)
    kept = desk.bay.shelf.get(str(scope.body["scope_sha256"]))
    assert kept is not None
    assert "Total: 1435.40 EUR" in kept.decode()
    assert OWNER not in kept.decode()
    assert str(scope.body["scope_sha256"])[:8] in desk.get("authorise").text


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"limit": "9000"}, "is not the one that was read"),
        ({"currency": "CHF"}, "is not the one that was read"),
        ({"version": "0" * 64}, "is not the one that was read"),
        ({"limit": "1435.39"}, "is below the total of 1435.40"),
        ({"limit": "-1"}, "is not an amount"),
        ({"typed": ""}, "is empty"),
        ({"owner": ""}, "is not named"),
        ({"owner": "owner-none"}, "is not in the list of people"),
        ({"channel": "smoke"}, "is not in the list"),
        ({"at": "2026-02-30T08:00"}, "is not a time"),
        ({"drawn": "M1 2 L3 4 <svg>"}, "holds something else than lines"),
    ],
)
def test_what_is_not_signed(desk: Desk, more: dict[str, str], words: str) -> None:
    desk.post("intake", **INTAKE)
    before = desk.events()
    answer = desk.sign(desk.id_of(OWNER), **more)
    assert answer.status_code == 422
    assert words in answer.text
    assert desk.events() == before


def test_a_drawn_signature_is_the_owners_data_and_goes_with_it(desk: Desk) -> None:
    desk.post("intake", **INTAKE)
    owner = desk.id_of(OWNER)
    assert desk.sign(owner, drawn="M10 20 L30 40 M5 6 L7 8").status_code == 303
    assert 'd="M10 20 L30 40 M5 6 L7 8"' in desk.get("authorise").text
    assert b"M10 20" not in b"".join(link.content for link in desk.bay.store.read(desk.job))
    desk.bay.store.delete_person(owner)
    page = desk.get("authorise").text
    assert "M10 20" not in page
    assert OWNER not in page
    assert "name deleted" in page


def test_a_finding_is_two_taps_from_its_message(desk: Desk) -> None:
    """One tap logs it, and the page that it leads to holds the message; the same is told by the API."""
    desk.ready()
    tapped = desk.post("findings", form="known", finding="pitted-bypass")
    assert tapped.headers["location"] == f"/jobs/{desk.job}/findings#pitted-bypass"
    assert desk.last().body["amount"] == "1572.40"
    assert "from 1435.40 to 1572.40 EUR (+137.00); the work takes 55 min longer" in desk.get("findings").text
    told = desk.client.get(f"/api/jobs/{desk.job}/findings/pitted-bypass/message").json()
    assert (told["before"], told["after"], told["adds"], told["minutes"]) == ("1435.40", "1572.40", "137.00", 55)
    assert told["open"] is False
    assert desk.client.get(f"/api/jobs/{desk.job}/findings/chafed-hose/message").status_code == 404


def test_the_answer_is_kept_by_name_channel_time_and_amount(desk: Desk) -> None:
    owner = desk.ready()
    desk.post("findings", form="known", finding="pitted-bypass")
    said = {"finding": "pitted-bypass", "answer": "yes", "who": owner, "channel": "telephone", "amount": "1572.40"}
    for wrong in (
        {"who": "p1"},
        {"who": desk.id_of(WORKER)},
        {"channel": ""},
        {"answer": ""},
        {"amount": "1572.39"},
        {"amount": ""},
        {"finding": "chafed-hose"},
    ):
        assert desk.post("findings/answer", **{**said, **wrong}).status_code == 422
    assert desk.last().kind == "finding seen"
    assert desk.post("findings/answer", **said).status_code == 303
    body = desk.last().body
    assert (body["answer"], body["who"], body["channel"], body["amount"]) == ("yes", owner, "telephone", "1572.40")
    told = desk.client.get(f"/api/jobs/{desk.job}/findings/pitted-bypass/message").json()
    assert (told["open"], told["answer"]) == (True, "yes")
    assert "1572.40 EUR" in desk.get("authorise").text, "the limit is raised to what was agreed"


def test_an_answer_dated_before_the_finding_is_kept_and_opens_nothing(desk: Desk) -> None:
    owner = desk.ready()
    desk.post("findings", form="known", finding="pitted-bypass")
    early = {
        "finding": "pitted-bypass",
        "answer": "no",
        "who": owner,
        "channel": "telephone",
        "at": "2026-03-01T12:00",
    }
    assert desk.post("findings/answer", **early).status_code == 303
    told = desk.client.get(f"/api/jobs/{desk.job}/findings/pitted-bypass/message").json()
    assert told["open"] is False
    assert "dated before" in told["why"]


def test_without_a_named_owner_the_page_says_who_is_missing(desk: Desk) -> None:
    desk.post("findings", form="known", finding="pitted-bypass")
    assert "Nobody is named who may answer" in desk.get("findings").text


def test_a_difference_is_put_to_the_owner_by_one_tap(desk: Desk) -> None:
    assert "Put it to the owner" not in desk.get("shelf").text
    desk.post("compare", item="pump", same="yes", old="142", new="147", **{"by-name": WORKER})
    page = desk.get("shelf").text
    assert "length 142 mm against 147 mm" in page
    hidden = dict(
        re.findall(r'type="hidden" name="(form|item|says|by)" value="([^"]*)"', page.partition("Put it to")[0])
    )
    assert hidden["item"] == "pump"
    assert desk.post("findings", **hidden).status_code == 303
    body = desk.last().body
    assert (body["item"], body["note"]) == (
        "pump",
        "the new part differs from the old one: length 142 mm against 147 mm",
    )


def test_work_above_the_limit_waits_and_says_so(desk: Desk) -> None:
    desk.ready()
    desk.post("findings", form="extra", says="renew the fan", item="fan", minutes="20", part1="fan", price1="180")
    assert desk.last().body["amount"] == "1647.40"
    page = desk.get("findings").text
    assert "Waits for an answer" in page
    assert "work on fan and cowl that was not signed for" in page


def test_opening_a_job_leads_to_its_intake(desk: Desk) -> None:
    fields = {"car": "demo", "wanted": "thermostat-and-pump", "complaint": "runs hot"}
    opened = desk.client.post("/jobs", data=fields)
    assert opened.status_code == 303
    assert opened.headers["location"].endswith("/intake")
    assert "runs hot" in desk.client.get(opened.headers["location"]).text
