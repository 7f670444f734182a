"""Gates by the page: what is shut has no button, and no tap, key, clock or reload opens it without its evidence.

The five refusals are those of the trade's own list for the orange shield: the wait, a reading, gloves, the second
proving of the meter, a key (common practice; figures of the invented demo).
"""

import re
from datetime import datetime, timedelta

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from faces.web.browser.driving import (
    answer,
    do,
    enter,
    gates,
    go,
    is_shut,
    kept,
    open_gates,
    pass_time,
    rest,
    synced,
    tap,
    title,
    until,
    work,
)
from faces.web.browser.workshop import Workshop
from putback.faces.web.script import MODULES

pytestmark = pytest.mark.skipif("gates" not in MODULES, reason="the page has no gates of its own yet")

PROVE, SHIELD = "Prove gone: high voltage", "Remove orange-cable shield"


@pytest.fixture
def job(workshop: Workshop) -> str:
    return workshop.open_job("orange-shield")


@pytest.fixture
def page(phone: BrowserContext, workshop: Workshop, job: str) -> Page:
    """The bay page, its clock in our hands."""
    page = phone.new_page()
    page.clock.install()
    enter(page, workshop, job)
    return page


@pytest.fixture
def waiting(page: Page, workshop: Workshop) -> Page:
    """The page as the wait after the disconnect begins."""
    work(page, workshop, PROVE)
    return page


@pytest.fixture
def waited(waiting: Page, workshop: Workshop) -> Page:
    """The page with the whole wait passed, and nothing proved."""
    pass_time(waiting, workshop, 10.2)
    waiting.clock.run_for(6_000)
    expect(waiting.locator(".shut")).not_to_contain_text("wait")
    return waiting


def refused(page: Page, *words: str) -> None:
    """The act is shut, in these words; it has no button, and neither a submit nor a key logs it."""
    assert is_shut(page)
    for word in words:
        assert any(word in gate for gate in gates(page)), gates(page)
    assert page.locator(".go").count() == 0
    before = len(kept(page))
    page.evaluate("document.querySelector('form').requestSubmit()")
    page.evaluate("document.querySelector('form').dispatchEvent(new Event('submit', { cancelable: true }))")
    page.locator("form").press("Enter") if page.locator("form input").count() else None
    rest(page)
    assert len(kept(page)) == before


def reading(page: Page, value: float) -> None:
    """Take the reading that is asked for now."""
    answer(page, value)
    go(page)
    rest(page)


def readings(page: Page, *values: float) -> None:
    """Take readings one after the other, then leave the flow."""
    tap(page, "Take the next reading")
    for value in values:
        reading(page, value)
    if title(page) == "Reading":
        tap(page, "Leave it")


def shield(page: Page) -> None:
    """Look at the shield among what is possible or shut now."""
    row = page.locator(".row", has_text=re.compile(SHIELD, re.IGNORECASE))
    if row.count():
        row.first.click()


def test_minute_9_of_10(waiting: Page, workshop: Workshop) -> None:
    pass_time(waiting, workshop, 9)
    waiting.clock.run_for(6_000)
    refused(waiting, "minute 9")
    assert not [
        row for row in kept(waiting) if row["body"].get("verb") == "prove dead" and row["body"]["energy"] == "hv"
    ]


def test_a_reading_of_6_v(waited: Page) -> None:
    tap(waited, "Take the next reading")
    reading(waited, 400)
    reading(waited, 6)
    expect(waited.locator("main h1")).not_to_have_text("Reading")
    refused(waited, "6 V")


def test_gloves_of_seven_months_ago(page: Page, workshop: Workshop) -> None:
    work(page, workshop, "Remove service disconnect")
    tap(page, "Check the gloves")
    tested = datetime.fromisoformat(page.evaluate("new Date().toISOString()")) - timedelta(days=7 * 31)
    page.get_by_label("last electrical test").fill(tested.date().isoformat())
    do(page)
    refused(page, "6 months old or more")


def test_no_second_proving_of_the_meter(waited: Page) -> None:
    readings(waited, 400, 0, 0, 0)
    refused(waited, "known source again")


def test_a_phone_key_in_the_yard(waited: Page, workshop: Workshop) -> None:
    readings(waited, 400, 0, 0, 0, 400)
    do(waited)
    expect(waited.locator("main h1")).to_have_text(re.compile(SHIELD, re.IGNORECASE))
    assert not is_shut(waited)
    waited.locator("header button").click()
    tap(waited, "A key was moved")
    do(waited)
    refused(waited, "key", "proof")


def test_with_all_evidence_it_opens(page: Page, workshop: Workshop, job: str) -> None:
    work(page, workshop, SHIELD)
    assert not is_shut(page)
    do(page)
    synced(page)
    assert workshop.view(job).now.state.item("orange-shield") != "in place"


def test_a_wait_has_no_override_and_a_boundary_has_one_by_name(page: Page, workshop: Workshop, job: str) -> None:
    work(page, workshop, "Part 12")
    names = page.locator(".gate", has_text="boundary").get_by_role("button").all_inner_texts()
    assert "Let it pass, by name" in names
    page.locator(".gate", has_text="boundary").get_by_role("button", name="Let it pass, by name").click()
    page.locator("textarea").fill("the hall is closed off already")
    go(page)
    rest(page)
    expect(page.locator(".gate", has_text="boundary")).to_have_count(0)
    synced(page)
    assert workshop.bodies(job, "override given")[0]["reason"] == "the hall is closed off already"
    work(page, workshop, PROVE)
    wait = page.locator(".gate", has_text="wait")
    assert wait.get_by_role("button", name="Let it pass, by name").count() == 0


def test_offline_the_gates_are_as_shut(waiting: Page, workshop: Workshop) -> None:
    synced(waiting)
    waiting.evaluate("navigator.serviceWorker.ready.then(() => true)")
    until(waiting, lambda: waiting.evaluate("!!navigator.serviceWorker.controller"))
    workshop.stop()
    waiting.reload()
    expect(waiting.locator("main h1")).to_have_text(re.compile(PROVE, re.IGNORECASE))
    refused(waiting, "wait")
    pass_time(waiting, workshop, 5)
    waiting.clock.run_for(6_000)
    refused(waiting, "wait")
    pass_time(waiting, workshop, 5.5)
    waiting.clock.run_for(6_000)
    expect(waiting.locator(".shut")).not_to_contain_text("wait")
    refused(waiting, "proof")


def test_a_clock_set_ahead_opens_nothing(waiting: Page, workshop: Workshop) -> None:
    waiting.evaluate("(() => { const real = Date.now; Date.now = () => real() + 660_000; })()")
    waiting.clock.run_for(6_000)
    assert is_shut(waiting)
    assert waiting.locator(".go").count() == 0
    refused(waiting, "wait")


def test_a_clock_that_is_not_the_server_s_is_told(page: Page, workshop: Workshop) -> None:
    told = page.get_by_role("alert").filter(has_text="min apart")
    do(page)
    expect(told).to_have_count(0)
    page.clock.fast_forward("09:00")
    page.clock.run_for(6_000)
    expect(told).to_contain_text("are 9 min apart. Set this phone's right")
    workshop.ahead += timedelta(minutes=9)
    page.clock.run_for(6_000)
    expect(told).to_have_count(0)


def test_a_reload_opens_nothing(waiting: Page) -> None:
    for _ in range(3):
        waiting.reload()
        expect(waiting.locator("main h1")).to_have_text(re.compile(PROVE, re.IGNORECASE))
        refused(waiting, "wait")


def test_the_night_ends_the_proof(page: Page, workshop: Workshop) -> None:
    work(page, workshop, SHIELD)
    pass_time(page, workshop, 15 * 60)
    page.clock.run_for(6_000)
    expect(page.locator("main h1")).to_have_text("Put a hand on the last three")
    do(page)
    page.clock.run_for(400)
    shield(page)
    refused(page, "proof")


def test_gates_open_again_with_new_evidence(waited: Page, workshop: Workshop) -> None:
    readings(waited, 400, 6)
    refused(waited, "6 V")
    open_gates(waited, workshop)
    assert not is_shut(waited)


def test_a_reading_above_its_limit_says_that_nothing_is_proved(page: Page, workshop: Workshop) -> None:
    """A number that speaks against the proof is kept, and the page says so while it is typed and after it is kept."""
    job = workshop.open_job()
    enter(page, workshop, job)
    work(page, workshop, re.compile("prove gone: fuel", re.IGNORECASE))
    field = page.get_by_label("fuel pressure")
    field.fill("abc")
    page.locator(".go").click()
    expect(page.get_by_role("alert")).to_contain_text("a number")
    field.fill("5")
    expect(page.get_by_role("alert")).to_contain_text("Nothing is proved")
    page.get_by_label("instrument").fill("gauge 3")
    page.locator(".go").click()
    rest(page)
    facts = [(fact["kind"], fact["body"]) for fact in kept(page) if fact["body"].get("energy") == "fuel"]
    assert [body["value"] for kind, body in facts if kind == "reading taken"] == [5]
    assert not [body for _, body in facts if body.get("verb") == "prove dead"]
    expect(page.get_by_role("alert")).to_contain_text("5 kPa")
    assert title(page).lower().startswith("prove gone: fuel")
    page.get_by_label("fuel pressure").fill("0")
    page.get_by_label("instrument").fill("gauge 3")
    page.locator(".go").click()
    rest(page)
    assert not title(page).lower().startswith("prove gone: fuel")
