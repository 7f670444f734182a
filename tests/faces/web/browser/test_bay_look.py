"""How the bay page looks to a machine: nothing that axe objects to, targets for gloves, nothing wider than the screen.

Goals: WCAG rules as axe-core checks them; targets of 72 px, the owner's own figure.
"""

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]
from playwright.sync_api import Browser, Page, expect

from faces.web.browser.driving import at_the_bypass, do, enter, go, tap, work
from faces.web.browser.workshop import Workshop

TARGET_PX = 72
SCREENS = [(390, 844), (1280, 900)]


@pytest.fixture(params=["light", "dark"])
def scheme(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def small_targets(page: Page) -> list[str]:
    """The targets that are smaller than a gloved finger needs, with their sizes."""
    script = """(least) => [...document.querySelectorAll("button, input, textarea, a, label")]
      .filter((one) => one.offsetParent && one.type !== "file")
      .map((one) => [one, one.getBoundingClientRect()])
      .filter(([, box]) => box.width < least || box.height < least)
      .map(([one, box]) => `${one.outerHTML.slice(0, 80)} ${box.width} x ${box.height}`)"""
    found: list[str] = page.evaluate(script, TARGET_PX - 0.5)
    return found


def well(page: Page) -> None:
    """Nothing that axe objects to, no small target, nothing wider than the screen."""
    expect(page.locator("main h1")).to_be_visible()
    results = Axe().run(page)
    assert results.violations_count == 0, results.generate_report()
    assert small_targets(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")


@pytest.mark.parametrize("size", SCREENS, ids=lambda size: f"{size[0]}px")
def test_every_stage_is_well_on_every_screen(
    browser: Browser, workshop: Workshop, scheme: str, size: tuple[int, int]
) -> None:
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme=scheme,  # type: ignore[arg-type]
    )
    page = context.new_page()
    page.clock.install()
    page.goto(f"{workshop.address}/bay?job={workshop.open_job('bypass-pipe')}")
    well(page)
    enter(page, workshop, workshop.open_job("bypass-pipe"))
    well(page)
    do(page)
    for name in ("Not as planned", "Note", "Finding"):
        tap(page, name)
        go(page)
        well(page)
        tap(page, "Leave it")
    page.locator("header button").click()
    well(page)
    tap(page, "Count keys and charge lead")
    well(page)
    tap(page, "Leave it")
    work(page, workshop, "Before 12")
    well(page)
    go(page)
    well(page)
    work(page, workshop, "(?i)prove gone: restraints")
    well(page)
    context.close()


@pytest.mark.parametrize("size", SCREENS, ids=lambda size: f"{size[0]}px")
def test_every_other_state_is_well_on_every_screen(
    browser: Browser, workshop: Workshop, scheme: str, size: tuple[int, int]
) -> None:
    """A finding with its list and its message, what could not be kept, a gap, the jobs of a phone, no such job."""
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme=scheme,  # type: ignore[arg-type]
    )
    page = context.new_page()
    page.clock.install()
    job = workshop.open_job()
    enter(page, workshop, job)
    at_the_bypass(page, workshop, job)
    well(page)
    tap(page, "Finding")
    well(page)
    page.locator("form .row", has_text="bypass bore").click()
    expect(page.locator(".letter")).to_be_visible()
    well(page)
    tap(page, "Back to the work")
    page.evaluate("() => { crypto.subtle.digest = () => { throw new Error('no digest today'); }; }")
    page.locator("input[type=file]").set_input_files(
        {"name": "photo.png", "mimeType": "image/png", "buffer": b"\x89PNG\r\n\x1a\n"}
    )
    expect(page.get_by_role("alert")).to_contain_text("no digest today")
    well(page)
    page.clock.fast_forward("14:00:00")
    page.clock.run_for(2_000)
    expect(page.locator("main h1")).to_have_text("Put a hand on the last three")
    well(page)
    page.goto(f"{workshop.address}/bay")
    expect(page.locator(".row").first).to_be_visible()
    well(page)
    page.goto(f"{workshop.address}/bay?job=none-such")
    expect(page.get_by_role("alert")).to_contain_text("This job cannot be shown here")
    well(page)
    context.close()


def test_a_joint_is_drawn_with_its_order(browser: Browser, workshop: Workshop, scheme: str) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 844}, color_scheme=scheme)  # type: ignore[arg-type]
    page = context.new_page()
    page.clock.install()
    enter(page, workshop, workshop.open_job("crush-beam"))
    work(page, workshop, "(?i)tighten crush beam")
    assert page.locator(".order text").all_text_contents() == [str(at) for at in range(1, 9)]
    expect(page.locator("figcaption")).to_have_text("The order, not the places: the car file gives none.")
    well(page)
    context.close()
