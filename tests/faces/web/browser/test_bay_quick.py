"""One line on the bay page: shown as a chip before it counts, held by the gates of the big button, logged as a tap is.

The judge of what was logged is the server's own record, folded by the core.
"""

import re

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from faces.web.browser.driving import do, enter, rest, synced, tap, until, work
from faces.web.browser.test_bay_look import well
from faces.web.browser.workshop import Workshop

COVER = "slam-cover"
"""An item of the demo that comes off with eight clips into tray C1 and needs nothing made safe."""
LINE = "Say it in one line"


@pytest.fixture
def job(workshop: Workshop) -> str:
    return workshop.open_job(COVER)


def begun(page: Page, workshop: Workshop) -> None:
    """Come to the first act that takes the car apart, where the demo's intake is asked once."""
    work(page, workshop, "(?i)remove slam-panel")


def chip(page: Page, line: str) -> str:
    """Type a line; the text of its first chip."""
    page.get_by_label(LINE).fill(line)
    expect(page.locator(".chip").first).to_be_visible()
    return page.locator(".chip").first.inner_text()


def test_a_line_is_shown_as_a_chip_and_counts_when_the_chip_is_tapped(
    page: Page, workshop: Workshop, job: str
) -> None:
    begun(page, workshop)
    before = len(workshop.bodies(job, "operation done"))
    assert "undo 8 × clip, slam-panel top cover → B7" in chip(page, "eight clips off, slam panel cover, tray B7")
    page.get_by_label(LINE).press("Enter")
    synced(page)
    assert len(workshop.bodies(job, "operation done")) == before, "the line alone counts nothing"
    expect(page.locator(".chip").first).to_be_focused()
    page.keyboard.press("Enter")
    if page.locator(".foot .held").count():
        page.locator(".go").click()
    rest(page)
    synced(page)
    done = workshop.bodies(job, "operation done")[-1]
    assert (done["verb"], done["joint"], done["count"], done["stow"]) == ("undo", "j05", 8, "B7")
    assert len(workshop.bodies(job, "operation done")) == before + 1
    expect(page.get_by_label(LINE)).to_have_value("")
    tap(page, "A slip?")
    tap(page, "Take it back")
    rest(page)
    synced(page)
    assert workshop.bodies(job, "operation taken back")


def test_another_count_is_said_on_the_chip_and_asked_at_the_act(page: Page, workshop: Workshop, job: str) -> None:
    begun(page, workshop)
    before = len(workshop.bodies(job, "operation done"))
    assert "7 said, 8 in the plan" in chip(page, "seven clips off slam panel top cover")
    page.locator(".chip").first.click()
    expect(page.locator(".foot .held")).to_contain_text("7 / 8")
    assert len(workshop.bodies(job, "operation done")) == before
    page.locator(".go").click()
    rest(page)
    synced(page)
    assert workshop.bodies(job, "operation done")[-1]["count"] == 7
    assert "count_differs" in [one["gate"] for one in workshop.bodies(job, "hold passed")]


def test_another_head_is_asked_by_name_before_it_counts(page: Page, workshop: Workshop, job: str) -> None:
    """The plan has clips; a head of 10 mm was said. The act's own sheet knows nothing of that, the record does."""
    begun(page, workshop)
    before = len(workshop.bodies(job, "operation done"))
    assert "10mm said, clip in the plan" in chip(page, "eight ten mil off slam panel top cover")
    page.locator(".chip").first.click()
    expect(page.locator(".foot .held")).to_contain_text("10mm said, clip in the plan")
    synced(page)
    assert len(workshop.bodies(job, "operation done")) == before
    page.locator(".go").click()
    rest(page)
    synced(page)
    assert len(workshop.bodies(job, "operation done")) == before + 1
    passed = [one for one in workshop.bodies(job, "hold passed") if one["gate"] == "line differs"]
    assert [one["note"] for one in passed] == ["10mm said, clip in the plan"]


def test_a_shut_act_is_shown_shut_and_nothing_is_counted(page: Page, workshop: Workshop) -> None:
    job = workshop.open_job()
    enter(page, workshop, job)
    assert re.search("shut|comes first", chip(page, "front undertray off"))
    page.locator(".chip").first.click()
    expect(page.locator("main h1")).to_have_text(re.compile("remove front undertray", re.IGNORECASE))
    expect(page.locator(".shut")).to_be_visible()
    synced(page)
    assert workshop.bodies(job, "operation done") == []


def test_what_is_beside_the_plan_is_kept_as_a_note_in_its_words(page: Page, workshop: Workshop, job: str) -> None:
    page.get_by_label(LINE).fill("moon hatch off, tray C")
    expect(page.get_by_text("beside the plan")).to_be_visible()
    tap(page, "Keep it as a note")
    rest(page)
    synced(page)
    assert workshop.bodies(job, "noted")[-1]["note"] == "moon hatch off, tray C"
    assert workshop.bodies(job, "operation done") == []


def test_it_works_with_the_server_gone(page: Page, workshop: Workshop, job: str) -> None:
    """Nobody touched the line before the server went: the worker keeps what reads it."""
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    until(page, lambda: page.evaluate("!!navigator.serviceWorker.controller"))
    begun(page, workshop)
    synced(page)
    workshop.stop()
    page.reload()
    chip(page, "eight clips off slam panel top cover")
    page.locator(".chip").first.click()
    if page.locator(".foot .held").count():
        page.locator(".go").click()
    rest(page)
    workshop.start()
    synced(page)
    assert workshop.bodies(job, "operation done")[-1]["joint"] == "j05"


def test_what_reads_a_line_is_loaded_when_the_line_is_touched(
    phone: BrowserContext, workshop: Workshop, job: str
) -> None:
    page = phone.new_page()
    page.add_init_script("delete Navigator.prototype.serviceWorker")
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    enter(page, workshop, job)
    do(page)
    assert not any("quick.js" in url for url in asked)
    page.get_by_label(LINE).focus()
    until(page, lambda: any("quick.js" in url for url in asked))


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_chips_are_well_on_a_phone(page: Page, workshop: Workshop, scheme: str) -> None:
    page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    enter(page, workshop, workshop.open_job())
    for line in ("clips out", "nine T30 off front undertray tray C", "moon hatch off"):
        page.get_by_label(LINE).fill(line)
        expect(page.locator(".say .chip, .say .note").first).to_be_visible()
        well(page)
