"""The drive page in a browser: it fills as the log grows, and is blank as soon as the vehicle may be moving.

Goals: WCAG rules as axe-core checks them, nothing wider than the screen, words of pictures not smaller than 11 px
(common practice, no source).
"""

import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Browser, Page, expect

from bay.demo_record import opened
from drives import write_drive
from faces.web.browser.test_fasten_look import INSIDE, LETTERS
from faces.web.browser.test_pages_look import SCREENS, screen, well
from faces.web.browser.workshop import free_port
from faces.web.test_drive_page import driven, put
from putback.adapters.drive_log import DriveLog, begin_drive_log
from putback.adapters.stores import open_store
from putback.core.codes.drive.log import Record
from putback.faces.web import drive, make_app


@dataclass(frozen=True)
class Shop:
    """A server with a job and the folder of its logs."""

    address: str
    job: str
    folder: Path
    server: uvicorn.Server


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    port = free_port()
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        made = opened(store, tmp_path)
        app = make_app(made.bay, hosts=[f"127.0.0.1:{port}"], more=drive.ROUTES)
        app.state.bay.drives = tmp_path / "drives"
        folder = tmp_path / "drives" / made.job
        folder.mkdir(parents=True)
        config = uvicorn.Config(
            app, host="127.0.0.1", port=port, log_level="error", lifespan="off", timeout_graceful_shutdown=1
        )
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        yield Shop(f"http://127.0.0.1:{port}", made.job, folder, server)
        server.should_exit = True
        thread.join(10)


def begun(folder: Path, name: str) -> DriveLog:
    log = begin_drive_log(folder / name, {"begun": "2026-03-02T08:15:00+01:00"})
    assert isinstance(log, DriveLog)
    return log


def told(page: Page, words: str) -> None:
    expect(page.locator("#now .told")).to_contain_text(words)


@pytest.mark.parametrize(("width", "scheme"), SCREENS)
def test_the_page_is_well_on_every_screen(browser: Browser, shop: Shop, width: int, scheme: str) -> None:
    put(shop.folder, "before.csv", driven(480.0, false_air=True), ago_s=500.0)
    put(shop.folder, "after.csv", driven(480.0), ago_s=400.0)
    context = screen(browser, width, scheme)
    page = context.new_page()
    page.goto(f"{shop.address}/jobs/{shop.job}/drive")
    told(page, "Blank: nothing was logged")
    found = well(page)
    page.get_by_label("I say: the vehicle stands still").check()
    page.get_by_role("button", name="Show it").click()
    told(page, "after.csv")
    found += well(page)
    assert min(page.evaluate(LETTERS)) >= 11
    assert page.evaluate(INSIDE) == []
    page.get_by_label("held against an earlier one").select_option("before.csv")
    page.get_by_role("button", name="Show it").click()
    told(page, "before.csv → after.csv")
    found += well(page)
    assert min(page.evaluate(LETTERS)) >= 11
    assert page.evaluate(INSIDE) == []
    context.close()
    assert found == []


def test_it_fills_and_is_blank_while_it_moves(browser: Browser, shop: Shop) -> None:
    """Standing, moving, speed lost, standing again: shown, blank, blank, shown, and all of it is in the log."""
    log = begun(shop.folder, "a.csv")
    page = browser.new_page()
    page.goto(f"{shop.address}/jobs/{shop.job}/drive")
    at_s = 0.0

    def goes_on(speed: float | None, words: str, *, pictures: bool) -> None:
        nonlocal at_s
        deadline = time.monotonic() + 20
        while time.monotonic() < deadline:
            for key, value in (("0D", speed), ("0C", 800.0 + at_s)):
                log(Record(at_s=at_s, key=key, value=value))
            at_s += 0.2
            page.wait_for_timeout(200)
            text = page.locator("#now").inner_text()
            if words in text and (page.locator("#now svg").count() > 0) == pictures:
                return
        pytest.fail(f"after 20 s: {text!r}, wanted {words!r}")

    goes_on(0.0, "Shown, as the vehicle stands still", pictures=True)
    goes_on(3.0, "Blank: the vehicle moves", pictures=False)
    goes_on(None, "Blank: the speed is not known", pictures=False)
    goes_on(0.0, "Shown, as the vehicle stands still", pictures=True)
    log.close()
    told(page, "Blank: nothing was logged")
    page.close()


def test_a_server_that_is_gone_blanks_the_page(browser: Browser, shop: Shop) -> None:
    put(shop.folder, "a.csv", driven(6.0), ago_s=60.0)
    page = browser.new_page()
    page.goto(f"{shop.address}/jobs/{shop.job}/drive")
    page.get_by_label("I say: the vehicle stands still").check()
    page.get_by_role("button", name="Show it").click()
    expect(page.locator("#now svg").first).to_be_visible()
    shop.server.should_exit = True
    told(page, "Blank: no word from the server")
    expect(page.locator("#now svg")).to_have_count(0)
    page.close()


def test_without_script_it_shows_nothing_and_says_why(browser: Browser, shop: Shop) -> None:
    write_drive(shop.folder / "a.csv", driven(6.0))
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{shop.address}/jobs/{shop.job}/drive")
    expect(page.get_by_text("Without script it cannot, so it shows nothing.")).to_be_visible()
    assert page.locator("svg").count() == 0
    context.close()
