"""The pages of codes by what they answer, without a browser. Lists and minutes: the invented demo and its README."""

import re
import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from httpx import Response

from bay.demo_record import Whole, whole
from faces.web.calling import Caller
from putback.adapters.car_file import demo_path
from putback.adapters.stores import open_store
from putback.adapters.virtual_car import NotTakenError
from putback.bay.car_reader import CarBus, CarReader
from putback.bay.code_reads import reads_of
from putback.core.finding import Finding, Where
from putback.faces.web import make_app

HOST = "127.0.0.1:8999"
DEMO = demo_path().parent
BEFORE, AFTER = ((DEMO / f"quillet.{which}.csv").read_text(encoding="utf-8") for which in ("before", "after"))
PASTED = "Engine control\n  P0123-1F stored\nBrakes: no codes\nRadar: no response\nsome P01 odd"


class Told:
    """Keeps what it is told, and refuses an item that no car has."""

    def __init__(self) -> None:
        self.changes: dict[str, Any] = {}

    def tell(self, **changes: Any) -> None:
        if "no-item" in changes.get("left_open", ()):
            raise NotTakenError("left_open: 'no-item' is no item of this car")
        self.changes = changes


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Whole]:
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        yield whole(store, tmp_path)


def caller(job: Whole, reader: CarReader | None = None) -> Caller:
    return Caller(make_app(job.bay, hosts=[HOST], reader=reader), HOST)


def no_bus() -> Finding:
    return Finding(where=Where(file="bus"), what="the bus cannot be opened", mend="plug it in", rule="bus")


def post(
    job: Whole,
    path: str = "",
    *,
    reader: CarReader | None = None,
    fields: Mapping[str, str] | None = None,
    **more: str,
) -> Response:
    return caller(job, reader).post(f"/jobs/{job.job}/codes{path}", data={**(fields or {}), **more})


def codes_page(job: Whole, reader: CarReader | None = None) -> str:
    found = caller(job, reader).get(f"/jobs/{job.job}/codes")
    assert found.status_code == 200
    return found.text


def test_two_pasted_lists_name_the_shutter_plug_first(job: Whole) -> None:
    for text in (BEFORE, AFTER):
        assert post(job, text=text).status_code == 303
    page = codes_page(job)
    causes = page[page.index('id="causes"') :]
    assert re.search(r"<b>shutter connector</b>.*?43\.5 min", causes, re.DOTALL)
    assert causes.index("shutter connector") < causes.index("other cause")
    assert "all clear" not in page.lower()


def test_a_list_of_another_tool_is_shown_before_it_counts(job: Whole) -> None:
    first = post(job, text=PASTED, stage="before")
    assert first.status_code == 200
    assert "engine control" in first.text
    assert "not understood" in first.text
    assert reads_of(job.bay, job.view) == ()
    seen = re.search(r'name="seen" value="(\w+)"', first.text)
    assert seen
    fields = {"text": PASTED, "stage": "before", "looked": "yes"}
    changed = post(job, fields={**fields, "seen": seen[1], "heading-1": "motor"})
    assert changed.status_code == 422, "a correction is shown before it counts"
    again = re.search(r'name="seen" value="(\w+)"', changed.text)
    assert again
    assert post(job, fields={**fields, "seen": again[1], "heading-1": "motor"}).status_code == 303
    (kept,) = reads_of(job.bay, job.view)
    assert [one.module for one in kept.listing.listed] == ["motor"]
    assert kept.listing.silent == {"radar"}


def test_a_text_without_codes_and_one_without_a_stage_are_refused_in_words(job: Whole) -> None:
    nothing = post(job, text="good morning", looked="yes", stage="before")
    assert nothing.status_code == 422
    assert "holds no code" in nothing.text
    no_stage = post(job, text="module,code,status,text\nengine,P0100,08,x")
    assert no_stage.status_code == 422
    assert "when it was read" in no_stage.text
    wrong = post(job, text="# stage: before\nmodule,code,status,text\nengine,P9,08,x")
    assert wrong.status_code == 422
    assert "P9" in wrong.text
    assert reads_of(job.bay, job.view) == ()


def test_without_a_bus_the_page_says_how_to_get_one(job: Whole) -> None:
    assert "putback serve --can" in codes_page(job)
    refused = post(job, "/read", fields={"read-stage": "before", "stands": "yes"})
    assert refused.status_code == 422
    assert "no bus" in refused.text


def test_nothing_is_read_unless_the_vehicle_stands_still(job: Whole) -> None:
    reader = CarReader(bus=CarBus(name="test", open=no_bus))
    refused = post(job, "/read", reader=reader, fields={"read-stage": "before"})
    assert refused.status_code == 422
    assert "stands still" in refused.text
    assert reader.running is None


def test_a_clear_needs_the_word_a_person_and_a_fresh_question(job: Whole) -> None:
    reader = CarReader(bus=CarBus(name="test", open=no_bus))
    for fields in (
        {"step": "clear", "word": "Clear", "clears-name": "Ilvy Marn"},
        {"step": "clear", "word": "clear"},
        {"step": "clear", "word": "clear", "clears": "p1"},
    ):
        refused = post(job, "/clear", reader=reader, fields=fields)
        assert refused.status_code == 422
        assert 'role="alert"' in refused.text
    assert not any(one.event.kind == "codes cleared" for one in job.view.received)


def test_the_virtual_car_is_called_so_and_takes_only_its_own_items(job: Whole) -> None:
    told = Told()
    reader = CarReader(bus=CarBus(name="virtual car (simulated)", open=no_bus, virtual=told))
    assert codes_page(job, reader).count("Virtual car (simulated)") >= 2
    assert "Virtual car" not in codes_page(job)
    assert post(job, "/virtual", reader=reader, left_open="shutter-plug", power_was_off="yes").status_code == 303
    assert told.changes["left_open"] == ["shutter-plug"]
    assert told.changes["power_was_off"] is True
    assert "no item of this car" in post(job, "/virtual", reader=reader, left_open="no-item").text
    assert post(job, "/virtual", left_open="shutter-plug").status_code == 404


def test_a_list_is_given_back_byte_by_byte_and_no_other_file_is(job: Whole) -> None:
    post(job, text=BEFORE)
    (kept,) = reads_of(job.bay, job.view)
    here = caller(job)
    assert here.get(f"/jobs/{job.job}/codes/list/{kept.sha256}").content == job.bay.shelf.get(kept.sha256)
    plan = str(job.view.opened.body["plan_sha256"])
    assert here.get(f"/jobs/{job.job}/codes/list/{plan}").status_code == 404


def test_lost_and_long_lists_and_markup_in_them_look_right(job: Whole, tmp_path: Path) -> None:
    rows = "".join(f"module {'x' * 50},P{n:04d}-11,2F,<b>words</b> {'long ' * 30}\n" for n in range(60))
    for stage in ("before", "after put-back"):
        post(job, text=f"# stage: {stage}\nmodule,code,status,text\n{rows}")
    page = codes_page(job)
    assert page.count("already there") >= 60
    assert "<b>words" not in page
    shutil.rmtree(tmp_path / "files" / reads_of(job.bay, job.view)[0].sha256, ignore_errors=True)
    (tmp_path / "files" / reads_of(job.bay, job.view)[0].sha256).unlink()
    assert "lost" in codes_page(job)


def test_two_lists_without_a_job(job: Whole) -> None:
    here = caller(job)
    assert here.get("/codes").status_code == 200
    fields = {"before-text": BEFORE, "after-text": AFTER, "car": demo_path().name, "work": "thermostat-and-pump"}
    page = here.post("/codes", data=fields)
    assert page.status_code == 200
    assert re.search(r"<b>shutter connector</b>.*?43\.5 min", page.text, re.DOTALL)
    without = here.post("/codes", data={"before-text": BEFORE, "after-text": AFTER})
    assert "P1F46-13" in without.text
    assert "no cause is named" in without.text
    nobody = here.post("/codes", data={**fields, "work": "no-such-thing"})
    assert nobody.status_code == 422
    assert "no-such-thing" in nobody.text
    assert here.post("/codes", data={"before-text": "", "after-text": AFTER}).status_code == 422
