"""The pages of the tools in a browser: asked by hand and by keyboard, read on a phone and on paper.

Goals: WCAG rules as axe-core checks them, nothing wider than the screen, words of pictures not smaller than 11 px
(common practice, no source).
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from bay.demo_record import desk
from faces.web.browser.test_pages_look import SCREENS, SHEET_PX, screen, served, well
from putback.adapters.stores import open_store

LISTED = (Path(__file__).parents[3] / "samples" / "good.tools.yaml").read_text("utf-8")
PRELOAD = "/fasten/preload?thread=M8&torque=24+Nm&surface=dry+steel&mark=8.8"
DRAWN = (PRELOAD, "/fasten/order?bolts=circle+8&torque=24+Nm", "/fasten/lubricant?for=dry+steel&surface=anti-seize")

LETTERS = """() => [...document.querySelectorAll("figure svg text")].map((one) =>
  parseFloat(getComputedStyle(one).fontSize) * one.ownerSVGElement.getBoundingClientRect().width
  / one.ownerSVGElement.viewBox.baseVal.width)"""

INSIDE = """() => [...document.querySelectorAll("figure svg text")].filter((one) => {
  const sheet = one.ownerSVGElement.getBoundingClientRect(), box = one.getBoundingClientRect();
  return box.left < sheet.left - 1 || box.right > sheet.right + 1 || box.bottom > sheet.bottom + 1;
}).map((one) => one.textContent)"""


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    folder = tmp_path_factory.mktemp("tight")
    with open_store(str(folder / "store.db"), create=True) as store, served(desk(store, folder)) as (there, _):
        yield there


def ask_for_a_wrench(page: Page, address: str) -> None:
    page.goto(f"{address}/fasten/wrench")
    page.get_by_label("torque, with its unit").fill("24 N·m")
    page.get_by_label("your tool list (tools/1)").fill(LISTED)
    page.get_by_text("More that is known").click()
    page.get_by_label("day of the work").fill("2026-11-26")
    page.get_by_label("adapter that sticks out").fill("3 cm")
    page.get_by_role("button", name="Tell me").click()


@pytest.mark.parametrize(("width", "scheme"), SCREENS)
def test_answers_are_well_on_every_screen(browser: Browser, address: str, width: int, scheme: str) -> None:
    context = screen(browser, width, scheme)
    page = context.new_page()
    found: list[str] = []
    for one in DRAWN:
        page.goto(f"{address}{one}")
        expect(page.locator("#told .told")).to_be_visible()
        found += well(page)
        assert min(page.evaluate(LETTERS)) >= 11, one
        assert page.evaluate(INSIDE) == [], one
    ask_for_a_wrench(page, address)
    expect(page.locator("#told .told")).to_have_text("Can be done with your wrench A at setting 21.4 N·m.")
    found += well(page)
    assert page.evaluate(INSIDE) == []
    context.close()
    assert found == []


def test_what_was_typed_stays_beside_the_answer(browser: Browser, address: str) -> None:
    context = screen(browser, 390, "light")
    page = context.new_page()
    ask_for_a_wrench(page, address)
    expect(page.get_by_label("torque, with its unit")).to_have_value("24 N·m")
    expect(page.get_by_label("your tool list (tools/1)")).to_have_value(LISTED)
    expect(page.get_by_label("adapter that sticks out")).to_have_value("3 cm")
    expect(page.get_by_label("day of the work")).to_have_value("2026-11-26")
    context.close()


def test_three_fields_by_keyboard_alone(browser: Browser, address: str) -> None:
    """agentcalc.com, torque wrench extension: 80 N·m, 40 cm and 5 cm: 71.1 N·m."""
    context = screen(browser, 1280, "light")
    page = context.new_page()
    page.goto(f"{address}/fasten")
    page.get_by_role("link", name="Crow-foot or extension").focus()
    page.keyboard.press("Enter")
    page.get_by_label("torque, with its unit").focus()
    for typed in ("80 Nm", "40 cm", "5 cm"):
        page.keyboard.type(typed)
        page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("71.11 N·m")
    assert "torque=80+Nm" in page.url, "the answer has an address of its own"
    context.close()


def test_paper_has_the_answer_and_not_the_form(browser: Browser, address: str) -> None:
    context = screen(browser, SHEET_PX, "dark")
    page = context.new_page()
    page.emulate_media(media="print", color_scheme="dark")
    page.goto(f"{address}{PRELOAD}")
    for seen in (".told", "figure svg", ".stands", ".beware"):
        assert page.locator(f"#told {seen}").is_visible()
    assert "Source:" in page.inner_text("#told")
    assert not page.locator("#ask").is_visible()
    context.close()
