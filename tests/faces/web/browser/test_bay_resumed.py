"""The bay page after a night, a dead battery, a new hand: what was done is asked again, the proofs are made again."""

import os
import shutil
import signal
from contextlib import suppress
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from playwright.sync_api import Error as Gone

from faces.web.browser.driving import (
    SECOND,
    do,
    enter,
    is_shut,
    kept,
    open_gates,
    pass_time,
    synced,
    title,
    until,
    work,
)
from faces.web.browser.workshop import ZONE, Workshop

NIGHT_MINUTES = 14 * 60
LAST_THREE = "Put a hand on the last three"


def switched_on(browser: Browser, folder: Path, workshop: Workshop) -> BrowserContext:
    """A phone with its own disk; its clock shows what the workshop's shows, and is in our hands."""
    phone = browser.browser_type.launch_persistent_context(
        folder,
        executable_path=shutil.which("chromium"),
        args=["--no-sandbox"],
        env={**os.environ, "TZ": ZONE},
        viewport={"width": 390, "height": 844},
    )
    phone.set_default_timeout(15_000)
    phone.pages[0].clock.install(time=workshop.now())
    return phone


def battery_dies(folder: Path) -> None:
    """Every process that works on this disk is gone at once: none can write a last word."""
    for process in Path("/proc").glob("[0-9]*"):
        try:
            mine = str(folder) in (process / "cmdline").read_text(encoding="utf-8", errors="replace")
        except OSError:
            continue
        if mine:
            os.kill(int(process.name), signal.SIGKILL)


def test_after_a_battery_died_overnight_the_last_three_are_asked(
    browser: Browser, workshop: Workshop, tmp_path: Path
) -> None:
    job, disk = workshop.open_job("slam-cover"), tmp_path / "disk"
    phone = switched_on(browser, disk, workshop)
    page = phone.pages[0]
    enter(page, workshop, job)
    for _ in range(3):
        do(page)
        page.clock.run_for(400)
    tapped = {row["id"] for row in kept(page)}
    battery_dies(disk)
    with suppress(Gone):
        phone.close()
    workshop.ahead += timedelta(minutes=NIGHT_MINUTES)
    phone = switched_on(browser, disk, workshop)
    page = phone.pages[0]
    enter(page, workshop, job)
    expect(page.locator("main h1")).to_have_text(LAST_THREE)
    assert page.locator(".tick").count() == 3
    assert tapped <= {row["id"] for row in kept(page)}
    do(page)
    page.clock.run_for(400)
    expect(page.locator("main h1")).not_to_have_text(LAST_THREE)
    until(page, lambda: workshop.events(job, "gap ended"))
    assert {event.person for event in workshop.events(job, "device restarted")} <= {None}
    phone.close()


def test_a_gap_is_asked_before_anything_else(page: Page, workshop: Workshop) -> None:
    """Neither the menu nor a new name comes before it."""
    page.clock.install()
    enter(page, workshop, workshop.open_job("slam-cover"))
    do(page)
    page.clock.run_for(400)
    page.clock.fast_forward("14:00:00")
    page.clock.run_for(2_000)
    expect(page.locator("main h1")).to_have_text(LAST_THREE)
    page.locator("header button").click()
    expect(page.locator("main h1")).to_have_text(LAST_THREE)


def test_somebody_who_comes_in_the_morning_is_asked_too(
    page: Page, browser: Browser, workshop: Workshop, job: str
) -> None:
    do(page)
    synced(page)
    workshop.ahead += timedelta(minutes=NIGHT_MINUTES)
    context = browser.new_context()
    other = context.new_page()
    other.clock.install(time=workshop.now())
    enter(other, workshop, job, name=SECOND)
    expect(other.locator("main h1")).to_have_text(LAST_THREE)
    context.close()


def test_what_was_proved_yesterday_is_proved_again(page: Page, workshop: Workshop) -> None:
    """Each shut gate leads to the act that opens it, though that act was done before; then it is done over again."""
    page.clock.install()
    job = workshop.open_job("orange-shield")
    enter(page, workshop, job)
    work(page, workshop, "(?i)remove orange-cable shield")
    before = proofs(workshop, job)
    pass_time(page, workshop, NIGHT_MINUTES)
    page.clock.run_for(6_000)
    do(page)
    page.clock.run_for(400)
    act = title(page)
    assert is_shut(page)
    for _ in range(40):
        open_gates(page, workshop)
        if not is_shut(page):
            done = do(page)
            if done == act:
                break
    synced(page)
    assert workshop.view(job).now.state.item("orange-shield") != "in place"
    again = proofs(workshop, job)
    assert again["hv"] > before["hv"]
    assert not workshop.view(job).faults


def proofs(workshop: Workshop, job: str) -> dict[str, int]:
    """How often each energy was proved gone."""
    found: dict[str, int] = {}
    for body in workshop.bodies(job, "operation done"):
        if body["verb"] == "prove dead":
            found[body["energy"]] = found.get(body["energy"], 0) + 1
    return found


@pytest.fixture
def job(workshop: Workshop) -> str:
    return workshop.open_job("slam-cover")
