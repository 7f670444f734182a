"""The whole way on a phone: read before, work, a plug left open, read after, the cause. The car is virtual, in its own
process; 43.5 min is the README of the invented demo.
"""

import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import uvicorn
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]
from playwright.sync_api import BrowserContext, Page, expect

from faces.web.browser.workshop import Workshop
from putback.adapters.virtual_car import started
from putback.bay.car_reader import CarBus, CarReader
from putback.bay.code_reads import reads_of
from putback.core.operations import Verb
from putback.faces.web import make_app

READ_MS = 60_000
"""With the sweep a read takes some seconds; other tests may want the machine too."""


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Workshop]:
    """A workshop whose server speaks to a virtual car."""
    shop = Workshop(tmp_path)
    with started() as car:
        reader = CarReader(bus=CarBus(name="virtual car (simulated)", open=car.open, virtual=car))
        app = make_app(shop.bay, hosts=[f"127.0.0.1:{shop.port}"], reader=reader)
        config = uvicorn.Config(app, host="127.0.0.1", port=shop.port, log_level="error", lifespan="off")
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        yield shop
        reader.wait(READ_MS / 1000)
        server.should_exit = True
        thread.join(10)
    shop.close()


def read(page: Page, *, sweep: bool = False) -> None:
    """Read every module by the form, and wait until the page says that the list is kept."""
    form = page.locator("#read")
    if sweep:
        form.get_by_label("Also try the ids").check()
    form.get_by_label("I say: the vehicle stands still").check()
    form.get_by_role("button", name="Read every module").click()
    expect(page.get_by_text("it is attached to the job")).to_be_visible(timeout=READ_MS)


def fits(page: Page) -> None:
    """Nothing is wider than the screen, and axe finds nothing (its own rules for WCAG)."""
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def test_the_plug_that_was_left_open_is_found(shop: Workshop, phone: BrowserContext) -> None:
    job = shop.open_job()
    page = phone.new_page()
    page.goto(f"{shop.address}/jobs/{job}/codes")
    expect(page.get_by_role("heading", name="Virtual car (simulated)").first).to_be_visible()
    read(page, sweep=True)
    fits(page)

    operations = shop.view(job).pack["operations"]
    back = next(n for n, one in enumerate(operations) if one["verb"] == str(Verb.READ_AFTER))
    shop.log_done(job, [one for one in operations[:back] if not one["verb"].startswith("read codes")])
    page.goto(f"{shop.address}/jobs/{job}/codes")
    virtual = page.locator("#virtual")
    virtual.get_by_label("shutter connector").check()
    virtual.get_by_label("forward radar").check()
    virtual.get_by_label("The power was off").check()
    virtual.get_by_role("button").click()
    expect(page.locator("#virtual").get_by_label("shutter connector")).to_be_checked()
    read(page)

    first = page.locator("#causes tbody tr").first
    expect(first).to_contain_text("shutter connector")
    expect(first).to_contain_text("43.5 min")
    expect(page.locator("#verdicts")).to_contain_text("P1F46-13")
    expect(page.locator("#open")).to_contain_text("parking")
    fits(page)
    assert [str(one.stage) for one in reads_of(shop.bay, shop.view(job))] == ["before", "after put-back"]


def test_a_read_can_be_stopped_and_what_came_is_kept(shop: Workshop, phone: BrowserContext) -> None:
    job = shop.open_job()
    page = phone.new_page()
    page.goto(f"{shop.address}/jobs/{job}/codes")
    page.get_by_label("Also try the ids").check()
    page.locator("#read").get_by_label("I say: the vehicle stands still").check()
    page.get_by_role("button", name="Read every module").click()
    page.get_by_role("button", name="Stop; keep what has come").click()
    expect(page.get_by_role("button", name="Read every module")).to_be_visible(timeout=READ_MS)
    expect(page.get_by_text("topped")).to_be_visible()
