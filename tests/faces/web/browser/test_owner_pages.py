"""Intake, shelf, authorisation and findings in a browser: by keyboard, on a phone and a desk, light and dark.

Goals: WCAG rules as axe-core checks them; nothing wider than the screen; no request to anywhere else.
"""

import re
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]
from playwright.sync_api import Browser, Page, expect

from faces.web.browser.workshop import Workshop

PAGES = ("intake", "shelf", "authorise", "authorise?limit=1500&currency=EUR&see=yes", "findings")


def well(page: Page) -> None:
    """Nothing that axe objects to, nothing wider than the screen."""
    results = Axe().run(page)
    assert results.violations_count == 0, results.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")


def take_in(page: Page, base: str) -> None:
    """Intake by the form, with the owner named."""
    page.goto(f"{base}/intake")
    page.locator("#by-name").fill("Wim Orvelt")
    page.locator("#owner-name").fill("Odalys Quent")
    page.locator("#channel").select_option("telephone")
    page.get_by_label("Odometer, as it reads").fill("84 210")
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_text("84210 km")).to_be_visible()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_every_page_is_well_on_every_screen(browser: Browser, workshop: Workshop, scheme: str, width: int) -> None:
    context = browser.new_context(
        viewport={"width": width, "height": 844},
        color_scheme=scheme,  # type: ignore[arg-type]
    )
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    base = f"{workshop.address}/jobs/{workshop.open_job('bypass-pipe')}"
    for address in PAGES:
        page.goto(f"{base}/{address}")
        well(page)
    take_in(page, base)
    page.goto(f"{base}/findings")
    page.locator("button", has_text="Found it").first.click()
    well(page)
    for name in page.locator("summary").all():
        name.click()
    well(page)
    page.goto(f"{base}/intake")
    page.get_by_label("Odometer, as it reads").fill("many")
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_role("alert")).to_contain_text("is not a number")
    well(page)
    assert {urlsplit(url).netloc for url in asked} == {urlsplit(workshop.address).netloc}
    context.close()


def test_a_job_is_signed_and_a_finding_answered_on_a_phone(browser: Browser, workshop: Workshop) -> None:
    """Sums: the invented demo, in its README."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    context.set_default_timeout(10_000)
    page = context.new_page()
    base = f"{workshop.address}/jobs/{workshop.open_job()}"
    take_in(page, base)
    page.goto(f"{base}/authorise")
    page.get_by_label("Currency").fill("EUR")
    page.get_by_role("button", name="Set the terms").click()
    expect(page.locator("#sign pre")).to_contain_text("Total: 1435.40 EUR")
    page.get_by_label("Name, typed as signature").fill("Odalys Quent")
    draw(page)
    page.get_by_role("button", name="Signed for 1435.40 EUR").click()
    expect(page.get_by_role("heading", name="Signed")).to_be_visible()
    expect(page.get_by_role("img", name="the drawn signature")).to_be_visible()
    page.goto(f"{base}/findings")
    page.locator(".possible li", has_text="bypass bore").get_by_role("button").click()
    message = page.get_by_label("Message to the owner").input_value()
    assert "from 1435.40 to 1572.40 EUR (+137.00); the work takes 55 min longer" in message
    page.get_by_label("No", exact=True).check()
    page.locator("#channel-1").select_option("telephone")
    page.get_by_role("button", name="Keep the answer").click()
    expect(page.locator(".verdict")).to_contain_text("Answered: no; noted for the hand-over")
    context.close()


def draw(page: Page) -> None:
    """Three strokes on the pad, one of them begun anew."""
    pad = page.locator(".pad")
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    assert box is not None
    for start in (0.2, 0.5):
        page.mouse.move(box["x"] + box["width"] * start, box["y"] + box["height"] * 0.3)
        page.mouse.down()
        page.mouse.move(box["x"] + box["width"] * (start + 0.2), box["y"] + box["height"] * 0.7, steps=4)
        page.mouse.up()
    assert page.locator("[name=drawn]").input_value().count("M") == 2


def test_the_pages_work_without_script_and_by_keyboard(browser: Browser, workshop: Workshop) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 900}, java_script_enabled=False)
    page = context.new_page()
    base = f"{workshop.address}/jobs/{workshop.open_job('bypass-pipe')}"
    page.goto(f"{base}/shelf")
    assert page.locator("[name=part]:checked").count() == 0
    page.locator("#by-name").focus()
    page.keyboard.type("Wim Orvelt")
    page.keyboard.press("Enter")
    expect(page.get_by_text("are not ticked; tick those that lie there, new")).to_be_visible()
    page.locator("[name=part]").first.check()
    page.get_by_role("button", name="The ticked ones are there").click()
    expect(page.locator("h2", has_text="not on the shelf")).to_be_visible()
    while page.locator("[name=part]").count():
        many = page.get_by_role("button", name=re.compile("^All . are there$"))
        if not many.count():
            page.locator("[name=part]").first.check()
        (many if many.count() else page.get_by_role("button", name="The ticked ones are there")).click()
    expect(page.get_by_role("heading", name="Every part is on the shelf or waived")).to_be_visible()
    page.goto(f"{base}/authorise?limit=9999&currency=EUR&see=no")
    expect(page.locator("#draw")).to_be_hidden()
    context.close()
