"""A job is opened on a procedure: the car is drawn from it, and no price is made up. All lines are invented."""

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import pytest

from faces.web.calling import Caller
from putback.adapters.car_file import read_car_text
from putback.adapters.stores import open_store
from putback.bay import Bay, JobView, Opening, OpenJob, Shelf
from putback.bay.handover import hand_over
from putback.bay.papers import Source, source_of
from putback.core.record import Event, read_event
from putback.faces.web import make_app
from putback.plan.plan import Plan

HOST = "127.0.0.1:8998"
NAME = "fan.procedure.yaml"
PROCEDURE = """\
putback: procedure/1
car: Invented 1
high_voltage: false
aliases: {blower wheel: fan}
operations:
  - {n: 1, verb: undo, object: cowl bolts, count: 4, size: 10mm, kind: bolt}
  - {n: 2, verb: remove, object: cowl}
  - {n: 3, verb: unplug, object: fan connector, first: [2]}
  - {n: 4, verb: remove, object: blower wheel, first: [2]}
  - {n: 5, verb: fit, object: fan, twin: 4}
  - {n: 6, verb: plug in, object: fan connector, twin: 3}
  - {n: 7, verb: fit, object: cowl, twin: 2}
  - {n: 8, verb: tighten, object: cowl bolts, twin: 1}
"""


@dataclass
class Desk:
    bay: Bay
    client: Caller

    def open(self, *wanted: str) -> str:
        opened = self.bay.open_job(Opening(car=NAME, wanted=wanted))
        assert isinstance(opened, OpenJob), opened
        return opened.job

    def view(self, job: str) -> JobView:
        view = self.bay.view(job)
        assert isinstance(view, JobView)
        return view

    def source(self, job: str) -> Source:
        view = self.view(job)
        plan = self.bay.plan(view)
        assert isinstance(plan, Plan)
        return source_of(self.bay, view, plan)

    def events(self, job: str) -> list[Event]:
        return [read_event(link.content) for link in self.bay.store.read(job)]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A desk whose only car is a procedure in its folder of reviewed ones."""
    folder = tmp_path / "procedures"
    folder.mkdir()
    (folder / NAME).write_text(PROCEDURE, encoding="utf-8")
    number = itertools.count()
    with open_store(str(tmp_path / "jobs.db"), create=True) as store:
        bay = Bay(
            store=store,
            shelf=Shelf(tmp_path / "files"),
            cars={},
            clock=lambda: datetime.fromisoformat("2026-03-02T08:00:00+01:00"),
            new_id=lambda: f"{next(number):04}",
            procedures=folder,
        )
        yield Desk(bay=bay, client=Caller(make_app(bay, hosts=[HOST]), HOST))


def test_the_form_lists_the_procedure_and_what_came_off(desk: Desk) -> None:
    """Its file and its things, by name."""
    page = desk.client.get("/jobs/new", params={"car": NAME}).text
    assert NAME in page
    assert "fan connector" in page


def test_what_the_job_keeps_is_the_car_that_was_drawn(desk: Desk) -> None:
    """The record names a car file that reads without faults, so a later version plans on the same car."""
    job = desk.open("fan")
    opened = desk.events(job)[0]
    content = desk.bay.shelf.get(str(opened.body["car_sha256"]))
    assert content is not None
    car = read_car_text(content, "kept").car
    assert car is not None
    assert set(car.items) == {"cowl", "fan-connector", "fan"}
    assert opened.body["car_file"] == NAME


def test_a_thing_is_asked_for_by_name_or_alias(desk: Desk) -> None:
    """The alias of the procedure leads to the same item."""
    for wanted in ("fan", "Fan", "blower wheel"):
        view = desk.view(desk.open(wanted))
        assert set(view.pack["items"]) == {"cowl", "fan-connector", "fan"}


def test_no_price_is_made_up(desk: Desk) -> None:
    """Minutes are not known: no page of the job says an amount for the work, and the limit alone is signed."""
    job = desk.open("fan")
    plan = desk.client.get(f"/jobs/{job}").text
    assert "no price: minutes of the work are not known" in plan
    assert "0 min" not in plan
    assert "0.00" not in plan
    terms = {"limit": "300.00", "currency": "EUR", "see": "no"}
    asked = desk.client.get(f"/jobs/{job}/authorise", params=terms).text
    assert "Total: not known; at most the limit" in asked
    assert "0.00 EUR" not in asked.replace("300.00 EUR", "")
    version = re.search(r'name="version" value="(\w{64})"', asked)
    assert version
    signing = {"version": version[1], "owner-name": "A Person", "channel": "in person", "typed": "A P"}
    answer = desk.client.post(f"/jobs/{job}/authorise", data={**terms, **signing})
    assert answer.status_code == 303, answer.text
    signed = next(event for event in desk.events(job) if event.kind == "scope signed")
    assert signed.body["amount"] == signed.body["limit"] == "300.00"
    found = desk.client.get(f"/jobs/{job}/findings").text
    assert "300.00 EUR" in found
    sheet = hand_over(desk.source(job))
    assert (sheet.total, sheet.total_says) == ("300.00", "at most, as signed, with every yes")


def test_before_anybody_signs_nothing_is_agreed(desk: Desk) -> None:
    """The page of findings says so, and does not call nought a quote."""
    job = desk.open("fan")
    page = desk.client.get(f"/jobs/{job}/findings").text
    assert "<dt>agreed so far; minutes of the work are not known</dt><dd>nothing</dd>" in page
    assert "as quoted" not in page
    sheet = hand_over(desk.source(job))
    assert (sheet.total, sheet.total_says) == ("not recorded", "nothing was quoted; nobody signed")
    assert [(one.name, one.amount) for one in sheet.sums] == [
        ("labour at 96.00 an hour, minutes not known beforehand", "not recorded")
    ]


def test_every_last_look_is_asked_where_its_minutes_are_not_known(desk: Desk) -> None:
    """Not known is not cheap: what is covered is asked for by name."""
    view = desk.view(desk.open("fan"))
    assert view.pack["looks"]["asked_from"] == 0
    assert "not known if forgotten" in view.pack["asks"]["fan"]["more"]
