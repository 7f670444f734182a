"""A published procedure on a phone, a desk and paper: nothing runs out of the page. The lines are invented."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from putback.adapters.procedure_file import read_procedure_text
from putback.core.papers.published import without_private
from putback.faces.page.procedure import procedure_page

LONG = "intake-manifold-support-bracket-with-a-very-long-name"
TEXT = f"""\
putback: procedure/1
car: Invented 1
name: renew the {LONG}
invented: true
high_voltage: true
sources: {{book: "invented book of the longest title, second edition, page 112, table 4, footnote b"}}
operations:
  - {{n: 1, verb: isolate, object: service plug}}
  - {{n: 2, verb: undo, object: {LONG} bolts, count: 4, size: 10mm, kind: bolt, tool: long swivel extension}}
  - {{n: 3, verb: remove, object: {LONG}, tray: C, doubts: [what is meant was taken from before]}}
  - {{n: 4, verb: fit, object: {LONG}, twin: 3, confirmed: a person}}
  - {{n: 5, verb: tighten, object: {LONG} bolts, torque: 9Nm, source: book, pattern: criss-cross, twin: 2}}
questions:
  - {{kind: never_put_back, operation: 1, text: "service plug: put back? not heard"}}
"""
A4_MM, LETTER_MM, MARGINS_MM = 210.0, 215.9, 20.0
"""Widths of ISO 216 A4 and ANSI/ASME Y14.1 letter, and both margins of the style sheet, [mm]."""
PX_PER_MM = 96 / 25.4


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The page as a file, by its address."""
    procedure = read_procedure_text(TEXT.encode(), "f").procedure
    assert procedure is not None
    place: Path = tmp_path_factory.mktemp("published") / "one.html"
    place.write_text(procedure_page(without_private(procedure)), encoding="utf-8")
    return place.as_uri()


def runs_out(page: Page) -> list[str]:
    """What ends beyond the right edge."""
    found: list[str] = page.evaluate(
        """() => [...document.querySelectorAll("body *")]
          .filter((one) => one.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
          .map((one) => `${one.tagName} ${one.textContent.trim().slice(0, 40)}`)"""
    )
    return found


@pytest.mark.parametrize("wide", [390, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_runs_out_of_the_screen(browser: Browser, file: str, wide: int, scheme: str) -> None:
    """By measured edges; the ink is not the colour of the paper in either scheme."""
    page = browser.new_page(
        viewport={"width": wide, "height": 900}, color_scheme="dark" if scheme == "dark" else "light"
    )
    page.goto(file)
    assert runs_out(page) == []
    ink, paper = page.evaluate(
        "[getComputedStyle(document.body).color, getComputedStyle(document.body).backgroundColor]"
    )
    assert ink != paper
    page.close()


@pytest.mark.parametrize("sheet_mm", [A4_MM, LETTER_MM])
def test_no_column_is_lost_on_paper(browser: Browser, file: str, sheet_mm: float) -> None:
    """Every column of every table lies on the sheet, and the narrow picture does not stand beside the wide one."""
    wide = int((sheet_mm - MARGINS_MM) * PX_PER_MM)
    page = browser.new_page(viewport={"width": wide, "height": 900})
    page.emulate_media(media="print")
    page.goto(file)
    assert runs_out(page) == []
    assert page.locator("th:visible").count() == page.locator("th").count()
    assert page.locator(".narrow").is_hidden()
    page.close()
