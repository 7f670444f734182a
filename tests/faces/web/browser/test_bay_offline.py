"""The bay page with the server gone: it opens, works on from any step, and loses and doubles nothing afterwards."""

import re

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from faces.web.browser.driving import (
    SECOND,
    TECHNICIAN,
    do,
    enter,
    go,
    kept,
    rest,
    synced,
    tap,
    title,
    until,
    work,
)
from faces.web.browser.workshop import Workshop

COVER = "slam-cover"
GONE = re.compile("kept on this phone; the server is not reached")


@pytest.fixture
def job(workshop: Workshop) -> str:
    return workshop.open_job(COVER)


def ready(page: Page) -> None:
    """Wait until the page is kept whole for the time without a server."""
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    until(page, lambda: page.evaluate("!!navigator.serviceWorker.controller"))


def same(page: Page, workshop: Workshop, job: str) -> None:
    """What this device holds is what the server has: each event once, in one order."""
    mine = sorted((row["seq"], row["id"]) for row in kept(page))
    theirs = [(seq, event.id) for seq, event in enumerate(workshop.events(job), start=1)]
    assert mine == theirs
    assert not workshop.view(job).faults


def test_the_server_is_gone_and_the_work_goes_on(page: Page, workshop: Workshop, job: str) -> None:
    ready(page)
    work(page, workshop, "(?i)remove slam-panel")
    synced(page)
    workshop.stop()
    do(page)
    expect(page.get_by_role("status")).to_contain_text(GONE)
    page.reload()
    expect(page.locator("header button")).to_have_text(TECHNICIAN)
    assert re.search("(?i)fit slam-panel", title(page))
    do(page)
    expect(page.get_by_role("status")).to_contain_text(GONE)
    offline = {row["id"] for row in kept(page) if row["seq"] is None}
    assert offline
    workshop.start()
    synced(page)
    same(page, workshop, job)
    assert offline <= {event.id for event in workshop.events(job)}
    work(page, workshop, "Nothing is left to do")


def test_an_answer_that_never_came_doubles_nothing(page: Page, workshop: Workshop, job: str) -> None:
    """The server kept the events, and its answer was lost: they are offered again, and stand once."""
    page.route("**/events", lambda route: (route.fetch(), route.abort())[1])
    do(page)
    expect(page.get_by_role("status")).to_contain_text(GONE)
    had = len(workshop.events(job))
    page.unroute("**/events")
    synced(page)
    same(page, workshop, job)
    assert len(workshop.events(job)) == had


def test_two_devices_work_on_one_job(page: Page, browser: Browser, workshop: Workshop, job: str) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    other = context.new_page()
    enter(other, workshop, job, name=SECOND)
    work(page, workshop, "(?i)remove slam-panel")
    other.bring_to_front()
    expect(other.locator("main h1")).to_have_text(re.compile("remove slam-panel", re.IGNORECASE), timeout=15_000)
    do(other)
    synced(other)
    page.bring_to_front()
    expect(page.locator("main h1")).to_have_text(re.compile("fit slam-panel", re.IGNORECASE), timeout=15_000)
    synced(page)
    same(page, workshop, job)
    assert len({event.person for event in workshop.events(job) if event.person}) == 2
    context.close()


def test_two_tabs_of_one_device_show_the_same(page: Page, phone: BrowserContext, workshop: Workshop, job: str) -> None:
    tab = phone.new_page()
    enter(tab, workshop, job)
    done = do(page)
    expect(tab.locator("main h1")).not_to_have_text(done)
    do(tab)
    synced(tab)
    synced(page)
    same(page, workshop, job)
    same(tab, workshop, job)


def test_a_full_phone_says_so_and_the_tap_stays(page: Page, workshop: Workshop, job: str) -> None:
    work(page, workshop, "(?i)remove slam-panel")
    page.get_by_label("into tray").fill("B7")
    go(page)
    expect(page.locator(".held")).to_contain_text("nobody signed for this work")
    session = page.context.new_cdp_session(page)
    session.send("Storage.overrideQuotaForOrigin", {"origin": workshop.address, "quotaSize": 1})
    before = len(kept(page))
    page.evaluate(
        """() => { const put = IDBObjectStore.prototype.put;
             window.mend = () => { IDBObjectStore.prototype.put = put; };
             IDBObjectStore.prototype.put = function () { throw new DOMException("full", "QuotaExceededError"); }; }"""
    )
    go(page)
    expect(page.locator(".held").first).to_contain_text("its storage is full; make room")
    rest(page)
    assert len(kept(page)) == before
    assert page.get_by_label("into tray").input_value() == "B7"
    page.evaluate("mend()")
    session.send("Storage.overrideQuotaForOrigin", {"origin": workshop.address})
    go(page)
    rest(page)
    synced(page)
    assert workshop.bodies(job, "operation done")[-2]["stow"] == "B7"
    expect(page.locator(".held")).to_have_count(0)


def test_a_browser_that_keeps_nothing_says_so(phone: BrowserContext, workshop: Workshop, job: str) -> None:
    page = phone.new_page()
    page.add_init_script("Object.defineProperty(window, 'indexedDB', { get() { throw new Error('not allowed'); } })")
    page.goto(f"{workshop.address}/bay?job={job}")
    expect(page.locator("main")).to_contain_text("cannot be shown here: not allowed")


def test_a_restored_back_up_gets_what_the_device_still_has(
    page: Page, workshop: Workshop, job: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """The server comes back with an older record: the device offers all it holds, and nothing is lost."""
    old = [one.event for one in workshop.view(job).received]
    do(page)
    do(page)
    synced(page)
    ids = {row["id"] for row in kept(page)}
    workshop.stop()
    workshop.replace(tmp_path_factory.mktemp("older"), old)
    workshop.start()
    until(page, lambda: ids <= {event.id for event in workshop.events(job)})
    until(page, lambda: {row["id"] for row in kept(page) if row["seq"]} >= ids)
    same(page, workshop, job)


def test_a_new_start_of_the_device_is_logged_and_a_reload_is_none(
    page: Page, phone: BrowserContext, browser: Browser, workshop: Workshop, job: str
) -> None:
    page.reload()
    expect(page.locator("main h1")).to_be_visible()
    do(page)
    synced(page)
    assert workshop.bodies(job, "device restarted") == []
    state = phone.storage_state(indexed_db=True)
    page.close()
    started = browser.new_context(storage_state=state)
    started.add_init_script("localStorage.beat = 0; sessionStorage.clear()")
    again = started.new_page()
    again.goto(f"{workshop.address}/bay?job={job}")
    synced(again)
    assert len(workshop.bodies(job, "device restarted")) == 1
    started.close()


def test_a_clock_that_jumped_is_logged(phone: BrowserContext, workshop: Workshop, job: str) -> None:
    page = phone.new_page()
    page.add_init_script("const real = Date.now; window.ahead = 0; Date.now = () => real() + window.ahead;")
    enter(page, workshop, job)
    page.evaluate("window.ahead = -600_000")
    jumped = until(page, lambda: workshop.bodies(job, "clock jumped"))
    assert jumped[0]["seconds"] == pytest.approx(-600, abs=2)


def test_nothing_is_asked_of_any_other_machine(phone: BrowserContext, workshop: Workshop, job: str) -> None:
    page = phone.new_page()
    asked: list[str] = []
    phone.on("request", lambda request: asked.append(request.url))
    enter(page, workshop, job)
    ready(page)
    do(page)
    synced(page)
    assert asked
    assert all(url.startswith(workshop.address) for url in asked)


def test_a_held_question_of_a_gap_is_asked_by_name(phone: BrowserContext, workshop: Workshop, job: str) -> None:
    page = phone.new_page()
    page.clock.install()
    enter(page, workshop, job)
    for _ in range(3):
        do(page)
        page.clock.run_for(400)
    page.clock.fast_forward("15:00:00")
    page.clock.run_for(2000)
    expect(page.locator("main h1")).to_have_text("Put a hand on the last three")
    assert page.locator(".tick").count() == 3
    go(page)
    expect(page.locator("main .held")).to_contain_text("not ticked")
    page.locator(".tick").first.click()
    tap(page, re.compile("Go on"))
    page.clock.run_for(400)
    if page.locator("main .held").count():
        go(page)
        page.clock.run_for(400)
    until(page, lambda: [row for row in kept(page) if row["kind"] == "gap ended"])
    ended = next(row for row in kept(page) if row["kind"] == "gap ended")
    assert len(ended["body"]["asked"]) == 1
    assert [row["body"]["gate"] for row in kept(page) if row["kind"] == "hold passed"].count("gap") == 2
