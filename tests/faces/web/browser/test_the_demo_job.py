"""The demo job from its opening to its papers, on a phone of 390 px, as one technician does it over two days.

What must be caught on the way: the orange shield opened too early, for five reasons; a housing with four of its bolts
and one of another length; a plug left in a port under a hose. What must hold: a battery that is dead in the morning, a
finding that the owner declines, no network for half of the job, a record that shows any change. The car is invented;
what is asked at the shield and at the last look is common practice, no source.
"""

import re
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from playwright.sync_api import Browser, BrowserContext, Page, expect

from faces.web.browser.driving import (
    answer,
    do,
    enter,
    go,
    is_shut,
    kept,
    open_gates,
    pass_time,
    rest,
    synced,
    tap,
    title,
)
from faces.web.browser.test_bay_gates import PROVE, readings, refused
from faces.web.browser.test_owner_pages import draw, take_in
from faces.web.browser.workshop import ZONE, Workshop
from putback.bay.handover import hand_over
from putback.bay.papers import source_of
from putback.faces.cli.record import command
from putback.plan.plan import Plan

OWNER = "Odalys Quent"
NIGHT_MINUTES = 14 * 60


class Phone:
    """A phone whose battery can die: what its browser has on the disk is there when it starts again."""

    def __init__(self, browser: Browser, folder: Path, workshop: Workshop) -> None:
        self._browser, self._folder, self._workshop = browser, folder, workshop
        self._on: BrowserContext | None = None

    def start(self) -> Page:
        """Switch it on; its clock shows what the workshop's shows, and is in our hands."""
        self._on = self._browser.browser_type.launch_persistent_context(
            self._folder,
            executable_path=shutil.which("chromium"),
            args=["--no-sandbox"],
            env={"TZ": ZONE},
            viewport={"width": 390, "height": 844},
            has_touch=True,
        )
        self._on.set_default_timeout(15_000)
        page = self._on.pages[0]
        page.clock.install(time=self._workshop.now())
        return page

    def die(self) -> None:
        """Nothing is said to the page before."""
        if self._on is not None:
            self._on.close()
            self._on = None


@pytest.fixture
def phone(browser: Browser, tmp_path: Path, workshop: Workshop) -> Iterator[Phone]:
    phone = Phone(browser, tmp_path / "phone", workshop)
    yield phone
    phone.die()


def work(page: Page, workshop: Workshop, until: str, *, met: set[str]) -> None:
    """Do what is suggested until an act is shown; every kind of gate that is met for the first time is tried first."""
    for _ in range(400):
        if re.search(until, title(page)):
            return
        if not is_shut(page):
            do(page)
            continue
        kinds = {words.partition(" · ")[0] for words in page.locator(".gate > b:first-child").all_inner_texts()}
        if kinds - met:
            refused(page)
        met |= kinds
        open_gates(page, workshop)
    pytest.fail(f"{until} never came")


def test_the_demo_job_on_a_phone(phone: Phone, workshop: Workshop, tmp_path: Path) -> None:
    met: set[str] = set()
    page = phone.start()
    job = taken_in(page, workshop)
    enter(page, workshop, job)
    make_safe(page, workshop, met)
    work(page, workshop, "(?i)remove bypass pipe", met=met)
    decline(page, workshop, job)
    workshop.stop()  # no network from here
    work(page, workshop, "(?i)fit thermostat housing", met=met)
    held_at_the_housing(page)
    phone.die()
    workshop.ahead += timedelta(minutes=NIGHT_MINUTES)
    page = phone.start()
    enter(page, workshop, job)
    resumed(page)
    work(page, workshop, "(?i)join degas hose", met=met)
    proved_anew(page, workshop)
    held_at_the_hose(page)
    work(page, workshop, "(?i)tighten crush beam", met=met)
    assert len([row for row in kept(page) if not row["seq"]]) > 150
    workshop.start()
    work(page, workshop, "Nothing is left to do", met=met)
    tap(page, "Close the job")
    go(page)
    rest(page)
    synced(page)
    proved(page, workshop, job, tmp_path)
    assert met >= {"who", "gloves", "keys", "second person", "boundary", "wait", "proof"}, met


def taken_in(page: Page, workshop: Workshop) -> str:
    """Open the job on the page of jobs, take the car in, have the scope signed, put the parts on the shelf."""
    page.goto(workshop.address)
    page.get_by_role("link", name="Open a job").first.click()
    expect(page.get_by_label("hermostat").first).to_be_checked()
    page.get_by_role("button", name="Plan it and open the job").click()
    page.wait_for_url("**/intake")
    job = page.url.split("/")[-2]
    base = f"{workshop.address}/jobs/{job}"
    take_in(page, base)
    page.goto(f"{base}/authorise")
    page.get_by_label("Currency").fill("EUR")
    page.get_by_role("button", name="Set the terms").click()
    page.get_by_label("Name, typed as signature").fill(OWNER)
    draw(page)
    page.get_by_role("button", name="Signed for 1435.40 EUR").click()
    expect(page.get_by_role("heading", name="Signed")).to_be_visible()
    return job


def make_safe(page: Page, workshop: Workshop, met: set[str]) -> None:
    """The shield is refused five times before it may be touched; each refusal says why."""
    work(page, workshop, "(?i)remove service disconnect", met=met)
    gloves_tested(page, days_ago=7 * 31)
    refused(page, "6 months old or more")
    gloves_tested(page, days_ago=30)
    work(page, workshop, PROVE, met=met)
    pass_time(page, workshop, 1)
    page.clock.run_for(6_000)
    refused(page, "wait")
    pass_time(page, workshop, 10.2)
    page.clock.run_for(6_000)
    readings(page, 400, 6)
    refused(page, "6 V")
    readings(page, 400, 0, 0, 0)
    refused(page, "known source again")
    readings(page, 400)
    page.locator("header button").click()
    tap(page, "A key was moved")
    do(page)
    refused(page, "key")


def gloves_tested(page: Page, *, days_ago: int) -> None:
    """Check the gloves, with an electrical test of some days ago on their label."""
    tap(page, "Check the gloves")
    tested = datetime.fromisoformat(page.evaluate("new Date().toISOString()")) - timedelta(days=days_ago)
    page.get_by_label("last electrical test").fill(tested.date().isoformat())
    do(page)


def decline(page: Page, workshop: Workshop, job: str) -> None:
    """A finding that the car file knows of: two taps and its message; the owner says no by telephone."""
    tap(page, "Finding")
    page.locator(".row", has_text="bypass bore").click()
    page.locator(".row", has_text="findings").click()
    page.get_by_label("No", exact=True).check()
    page.locator("#channel-1").select_option("telephone")
    page.get_by_role("button", name="Keep the answer").click()
    expect(page.locator(".verdict")).to_contain_text("Answered: no; noted for the hand-over")
    enter(page, workshop, job)


def held_at_the_housing(page: Page) -> None:
    """One bolt fewer, and a bolt of another length: each is asked by name before anything is logged."""
    before = len(kept(page))
    answer(page)
    page.get_by_role("button", name="one less").first.click()
    choice(page, "4 holes", "M8x60")
    expect(page.locator("[role=alert]")).to_contain_text("M8x35")
    go(page)
    asked = page.locator(".foot .held")
    expect(asked).to_contain_text("M8x35: 3 / 4")
    expect(asked).to_contain_text("which length goes into the 4 holes?: M8x60")
    assert len(kept(page)) == before
    page.get_by_role("button", name="one more").first.click()
    choice(page, "4 holes", "M8x35")
    expect(asked).to_have_count(0)


def choice(page: Page, question: str, said: str) -> None:
    """Answer a question by one of its buttons."""
    block = page.locator("form div:has(> .ask)", has_text=question).last
    block.get_by_role("button", name=said, exact=True).click()


def resumed(page: Page) -> None:
    """In the morning the last three are asked again, and nothing that was tapped is lost."""
    expect(page.locator("main h1")).to_have_text("Put a hand on the last three")
    do(page)
    page.clock.run_for(400)


def proved_anew(page: Page, workshop: Workshop) -> None:
    """What was proved gone yesterday is proved again, by the buttons at the gates, before the act is open."""
    act = title(page)
    assert is_shut(page)
    for _ in range(20):
        open_gates(page, workshop)
        if title(page) == act and not is_shut(page):
            return
        if not is_shut(page):
            do(page)
    pytest.fail(f"{act} stays shut")


def held_at_the_hose(page: Page) -> None:
    """A plug that is still in its port is asked for before the hose goes on."""
    before = len(kept(page))
    answer(page)
    plug = page.locator(".tick", has_text="coolant port caps").first
    expect(plug).to_contain_text("1 / 1 out")
    plug.click()
    go(page)
    expect(page.locator(".foot .held")).to_contain_text("coolant port caps")
    assert len(kept(page)) == before
    plug.click()


def proved(page: Page, workshop: Workshop, job: str, folder: Path) -> None:
    """Nothing is owed; the papers tell what happened; the record is whole, and a changed line is found."""
    view = workshop.view(job)
    assert view.closed
    assert view.now.owed == 0
    assert sorted(row["id"] for row in kept(page)) == sorted(one.event.id for one in view.received)
    plan = workshop.bay.plan(view)
    assert isinstance(plan, Plan)
    lines = "\n".join(line for _, block in hand_over(source_of(workshop.bay, view, plan)).blocks for line in block)
    assert "bypass" in lines
    assert f"Your answer: no: {OWNER}" in lines
    assert "relearn" not in lines
    store = str(folder / "store.db")
    head = f"{view.head.seq}:{view.head.hash}"
    assert verified(store, "--head", head) == 0
    with closing(sqlite3.connect(store)) as disk, disk:
        disk.execute(
            "UPDATE links SET content = CAST(replace(CAST(content AS TEXT), '\"M8x60\"', '\"M8x35\"') AS BLOB)"
        )
    assert verified(store) == 1


def verified(*words: str) -> object:
    """The exit code of `putback record verify`, which its command gives back."""
    return CliRunner().invoke(command, ["verify", *words], standalone_mode=False).return_value
