"""A whole review by keyboard: every act once, undo, reload, and the procedure that comes of it.

The text is invented and labelled beside it; what each key must do is said by docs/review.md.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]
from playwright.sync_api import Browser, Page, expect

from faces.web.browser.workshop import Workshop
from putback.adapters.procedure_file import read_procedure_text
from putback.bay.reviews import ReviewHere, review_here, take_narration
from putback.core.finding import Finding, faults
from putback.core.record.review_kinds import Act
from putback.narrate.review.words import is_looked_at, without_line

SAID = (
    "Unplug the horn. Undo four 10mm bolts on the bracket. Remove the bracket. Inspect the seal. "
    "Fit the bracket. Start the four bracket bolts and tighten the bracket bolts."
)
TEXT = Path(__file__).parents[3] / "narrate" / "texts" / "oilline.vtt"


class Reviewing:
    """A page of a review with hands on the keyboard."""

    def __init__(self, page: Page, shop: Workshop, review: str) -> None:
        self.page, self.shop, self.review = page, shop, review
        page.goto(f"{shop.address}/narrations/{review}")

    @property
    def here(self) -> ReviewHere:
        found = review_here(self.shop.bay, self.review)
        assert isinstance(found, ReviewHere)
        return found

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def does(self, *keys: str) -> None:
        """Press keys that keep something, and wait until it is kept and shown."""
        steps = len(self.here.steps)
        self.looked_at()
        self.press(*keys)
        self.shown(more_than=steps)

    def looked_at(self) -> None:
        """Mark what the page shows now; the next answer brings it anew, without the mark."""
        self.page.evaluate("document.querySelector('#review').dataset.looked = 'at'")

    def shown(self, *, more_than: int) -> None:
        """Wait until more steps are kept, and the page shows the answer; before, it takes no other key."""
        for _ in range(200):
            if len(self.here.steps) > more_than:
                break
            self.page.wait_for_timeout(25)
        assert len(self.here.steps) > more_than, self.page.inner_text("#now")
        expect(self.page.locator("#review:not([data-looked])")).to_have_count(1)
        expect(self.page.locator("#now")).to_contain_text("left")
        expect(self.page.locator("#sheet[open]")).to_have_count(0)

    def go_to_line(self, key: int) -> None:
        """Put the focus on a line, wherever its row stands."""
        self.page.evaluate("for (const one of document.querySelectorAll('#looked-at details')) one.open = true;")
        self.page.locator(f"[data-line='{key}']").focus()

    def go_to_verb(self, verb: str) -> None:
        """Put the focus on the first line with this verb."""
        self.go_to_line(next(one.key for one in self.here.look.review.lines if str(one.said.verb) == verb))

    def sheet(self, key: str) -> None:
        self.press(key)
        expect(self.page.locator("#sheet[open] #change")).to_be_visible()


@pytest.fixture
def reviewing(browser: Browser, workshop: Workshop) -> Iterator[Reviewing]:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    yield begun(context.new_page(), workshop, SAID.encode(), "notes.txt")
    context.close()


def begun(page: Page, shop: Workshop, data: bytes, name: str) -> Reviewing:
    taken = take_narration(shop.bay, data, name=name, car="Quillon Pemba")
    assert not isinstance(taken, Finding)
    return Reviewing(page, shop, taken.review)


KEYS = [
    ("unplug", "x", [], Act.DELETE),
    ("unplug", "f", [], Act.FLIP),
    ("unplug", "Enter", [], Act.ACCEPT),
    ("unplug", "a", [], Act.ACCEPT),
    ("unplug", "1", [], Act.ANSWER),
    ("unplug", "2", [], Act.ANSWER),
    ("unplug", "3", [], Act.ANSWER),
    ("unplug", "c", ["2", "Enter"], Act.SET),
    ("unplug", "z", ["M6", "Enter"], Act.SET),
    ("unplug", "o", ["low horn", "Enter"], Act.SET),
    ("unplug", "v", ["remove", "Enter"], Act.SET),
    ("unplug", "r", ["low horn", "Enter"], Act.RENAME),
    ("unplug", "s", ["low horn\nhigh horn", "Tab", "Enter"], Act.SPLIT),
    ("undo", "q", ["22 N·m", "Tab", "invented sheet 7", "Enter"], Act.TORQUE),
    ("remove", "t", ["fit bracket", "Enter"], Act.TWIN),
    ("remove", "b", ["horn", "ArrowDown", "Space", "Enter"], Act.FIRST),
    ("remove", "n", ["inspect", "Tab", "duct", "Enter"], Act.ADD),
]
"""The verb of the line, its key, what follows in the sheet, and the act that the record must then hold."""


@pytest.mark.parametrize(("verb", "key", "more", "act"), KEYS, ids=[key for _, key, _, _ in KEYS])
def test_every_key_keeps_its_act_and_undo_takes_it_back(
    reviewing: Reviewing, verb: str, key: str, more: list[str], act: Act
) -> None:
    lines = reviewing.here.look.review.lines
    reviewing.go_to_line(next(one.key for one in lines if str(one.said.verb) == verb))
    if more:
        reviewing.sheet(key)
    for one in more[:-1]:
        if one in ("Tab", "ArrowDown", "Space"):
            reviewing.press(one)
        else:
            reviewing.page.keyboard.type(one)
    reviewing.does(more[-1] if more else key)
    assert act in [one.step.act for one in reviewing.here.standing]
    expect(reviewing.page.locator(":is(.row, [data-stop]):focus")).to_have_count(1)  # it goes by itself
    while reviewing.here.standing:
        reviewing.does("u")
    assert reviewing.here.look.review.lines == lines


def test_two_lines_are_merged_by_one_key_on_each(reviewing: Reviewing) -> None:
    start, tighten = (
        next(one.key for one in reviewing.here.look.review.lines if str(one.said.verb) == verb)
        for verb in ("start", "tighten")
    )
    reviewing.go_to_line(start)
    reviewing.press("m")
    expect(reviewing.page.locator("#now")).to_contain_text("go to the other line")
    reviewing.go_to_line(tighten)
    reviewing.does("m")
    assert reviewing.here.look.review.line(tighten) is None


def test_a_whole_review_by_the_usual_keys(browser: Browser, workshop: Workshop) -> None:
    """The focus goes by itself; what is left is the record's own figure; the file has every line confirmed."""
    page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
    reviewing = begun(page, workshop, TEXT.read_bytes(), TEXT.name)
    reviewing.press("k")
    for _ in range(80):
        look = reviewing.here.look
        if look.review.high_voltage is None:
            page.wait_for_function("() => document.activeElement.id === 'high-voltage'")
            reviewing.does("2")
        elif without_line(look) or any(not is_looked_at(row) for row in look.rows if row not in look.plain):
            asked = page.evaluate("Boolean(document.activeElement.querySelector('.ask button'))")
            reviewing.does("1" if asked else "Enter")
        elif look.plain:
            page.wait_for_function("() => document.activeElement.closest('#plain')")
            reviewing.press("A")
            reviewing.does("A")
        else:
            break
    expect(page.locator("#now")).to_contain_text("0 left")

    before = len(reviewing.here.steps)
    page.reload()
    expect(page.locator("#now")).to_contain_text("0 left")
    assert page.locator("#looked-at summary").inner_text().startswith("Confirmed")

    needed = reviewing.here.look.torques_needed()
    assert needed, "the text leaves a torque unsaid"
    reviewing.press("T")
    page.keyboard.type("22 N·m")
    page.keyboard.press("Tab")
    page.keyboard.type("invented sheet 7")
    reviewing.looked_at()
    page.keyboard.press("Enter")
    reviewing.shown(more_than=before)
    assert len(reviewing.here.look.torques_needed()) == len(needed) - 1
    page.locator("#torques input[type=checkbox]").check()
    reviewing.looked_at()
    page.locator("#torques button").press("Enter")
    reviewing.shown(more_than=before + 1)
    assert reviewing.here.look.open_questions == ()

    reviewing.press("w")
    expect(page.get_by_text("the procedure file")).to_be_visible()
    with page.expect_download() as download:
        page.get_by_text("the procedure file").click()
    content = Path(download.value.path()).read_bytes()
    read = read_procedure_text(content, download.value.suggested_filename)
    assert read.procedure is not None
    assert not faults(read.findings)
    assert read.procedure.unconfirmed() == ()
    assert read.procedure.unanswered() != ()
    page.goto(f"{reviewing.shop.address}/narrations/{reviewing.review}/published")
    assert "Draft" not in page.inner_text("body")


def test_what_is_wrong_stays_in_the_sheet_with_what_was_typed(reviewing: Reviewing) -> None:
    reviewing.page.keyboard.press("j")
    reviewing.go_to_verb("undo")
    reviewing.sheet("q")
    reviewing.page.keyboard.type("22")
    reviewing.page.keyboard.press("Enter")
    expect(reviewing.page.locator("#sheet [role=alert]")).to_contain_text("unit")
    assert reviewing.page.locator("#sheet #torque").input_value() == "22"
    reviewing.page.keyboard.press("Escape")
    assert reviewing.here.steps == ()


def test_letters_can_be_switched_off_and_never_count_in_a_field(reviewing: Reviewing) -> None:
    """WCAG 2.2, 2.1.4: a key of one letter can be turned off."""
    page = reviewing.page
    page.keyboard.press("?")
    page.locator(".one-letter input").uncheck()
    reviewing.go_to_verb("undo")
    page.keyboard.press("x")
    page.reload()
    reviewing.go_to_verb("undo")
    page.keyboard.press("x")
    page.wait_for_timeout(300)
    assert reviewing.here.steps == ()


def test_the_sheet_and_the_keys_are_well(reviewing: Reviewing) -> None:
    reviewing.press("?")
    found = Axe().run(reviewing.page)
    assert found.violations_count == 0, found.generate_report()
    reviewing.go_to_verb("undo")
    reviewing.sheet("t")
    found = Axe().run(reviewing.page)
    assert found.violations_count == 0, found.generate_report()
