"""A real browser for the pages: Debian's Chromium. Without one these tests are skipped with a loud word, in CI not."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from faces.web.browser.driving import enter
from faces.web.browser.workshop import ZONE, Workshop

PATIENCE_MS = 20_000
"""How long a test waits for what must come: a page tries a server that was gone again after up to eight seconds."""

expect.set_options(timeout=PATIENCE_MS)

LOUD = "THE PAGES ARE NOT TESTED IN A BROWSER: install Debian's package chromium"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    path = shutil.which("chromium")
    if path is None:
        if os.environ.get("CI") == "true":
            pytest.fail(LOUD)
        pytest.skip(LOUD)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=path, args=["--no-sandbox"], env={**os.environ, "TZ": ZONE}
        )
        yield browser
        browser.close()


@pytest.fixture
def workshop(tmp_path: Path) -> Iterator[Workshop]:
    workshop = Workshop(tmp_path)
    workshop.start()
    yield workshop
    workshop.close()


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    context.set_default_timeout(PATIENCE_MS)
    yield context
    context.close()


@pytest.fixture
def job(workshop: Workshop) -> str:
    return workshop.open_job()


@pytest.fixture
def page(phone: BrowserContext, workshop: Workshop, job: str) -> Page:
    """The bay page of a new job, at its first act, with somebody at work."""
    page = phone.new_page()
    enter(page, workshop, job)
    return page
