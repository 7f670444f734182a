"""A whole review by keyboard: every act once, undo, reload, and the procedure that comes of it.

The text is invented and labelled beside it; what each key must do is said by docs/review.md.
"""

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]
from playwright.sync_api import Browser, Page, expect

from faces.web.browser.conftest import PATIENCE_MS
from faces.web.browser.workshop import Workshop
from putback.adapters.procedure_file import read_procedure_text
from putback.bay.reviews import ReviewHere, review_here, take_narration
from putback.core.finding import Finding, faults
from putback.core.record.review_kinds import Act
from putback.faces.keyboard import on_page
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

    def does_together(self, key: str) -> None:
        """A key goes to what is done together, and does it there: at once, where all of it is in view already."""
        steps = len(self.here.steps)
        self.looked_at()
        self.press(key)
        goes_there = f"then press {key} again"
        self.until(lambda: len(self.here.steps) > steps or goes_there in self.page.inner_text("#now"))
        if len(self.here.steps) == steps:
            self.press(key)
        self.shown(more_than=steps)

    def until(self, there: Callable[[], bool]) -> None:
        """Wait for what must come, as long as for anything else on a page."""
        end = time.monotonic() + PATIENCE_MS / 1000
        while not there() and time.monotonic() < end:
            self.page.wait_for_timeout(25)

    def looked_at(self) -> None:
        """Mark what the page shows now; the next answer brings it anew, without the mark."""
        self.page.evaluate("document.querySelector('#review').dataset.looked = 'at'")

    def shown(self, *, more_than: int) -> None:
        """Wait until more steps are kept, and the page shows the answer; before, it takes no other key."""
        self.until(lambda: len(self.here.steps) > more_than)
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


SLOWLY = """
const at_once = window.fetch;
const later = () => new Promise((done) => setTimeout(done, 250));
window.fetch = async (...all) => {
  do await later(); while (window.held);
  return at_once(...all);
};
"""
"""Every answer of the server takes a quarter of a second more, and longer for as long as `held` says so."""


@pytest.fixture
def far(browser: Browser, workshop: Workshop) -> Iterator[Reviewing]:
    """A review over a slow line."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    context.add_init_script(SLOWLY)
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
            reviewing.does_together("A")
        elif look.unused:
            reviewing.does_together("X")
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


def acts(reviewing: Reviewing) -> list[tuple[str, str | None]]:
    """What is kept, in its order."""
    return [(str(one.step.act), one.step.value) for one in reviewing.here.steps]


def test_keys_that_are_pressed_ahead_are_all_kept_in_their_order(far: Reviewing) -> None:
    """Pressed without waiting for anything: high voltage, an answer and its undo, a field, a row, an answer."""
    far.page.evaluate("window.held = true")
    far.press("H", "2", "H", "1", "u", "u")
    expect(far.page.locator("#ahead")).to_have_text("4 keys wait")
    far.page.evaluate("window.held = false")
    settled(far, 4)
    assert acts(far)[:2] == [("high voltage", "no"), ("high voltage", "yes")]
    assert [act for act, _ in acts(far)] == ["high voltage", "high voltage", "undo", "undo"]
    assert far.here.standing == ()


def test_what_is_typed_ahead_goes_into_the_sheet_that_it_opened(far: Reviewing) -> None:
    """Pressed while the sheet is still on its way, a figure is no answer and a letter no other key."""
    far.go_to_verb("undo")
    for key in ("c", "1", "2", "Backspace", "1", "Enter", "z", "M", "8", "Enter", "v", *"rem", "Enter"):
        far.press(key)
    far.page.wait_for_timeout(300)
    settled(far, 3)
    line = next(one for one in far.here.look.review.lines if one.said.object.startswith("bracket"))
    assert [(one.step.field, one.step.value) for one in far.here.steps] == [
        ("count", "11"),
        ("size", "M8"),
        ("verb", "remove"),
    ]
    assert (line.said.count, line.said.size, str(line.said.verb)) == (11, "M8", "remove")


def settled(reviewing: Reviewing, steps: int) -> None:
    """Wait until so many steps are kept and no key waits."""
    reviewing.until(lambda: len(reviewing.here.steps) >= steps and not reviewing.page.inner_text("#ahead"))
    reviewing.page.wait_for_timeout(600)
    assert len(reviewing.here.steps) == steps, reviewing.page.inner_text("#now")


def test_a_whole_row_of_confirmations_is_pressed_without_waiting(far: Reviewing) -> None:
    """High voltage, two questions of the whole job, one of a row, which confirms it: none is lost or done twice."""
    far.press("H", "2", "1", "1", "1")
    settled(far, 5)
    kept = [one.step for one in far.here.steps]
    assert [str(step.act) for step in kept] == ["high voltage", "answer", "answer", "answer", "accept"]
    assert len({step.text for step in kept if step.act is Act.ANSWER}) == 3
    confirmed = [key for step in kept if step.act is Act.ACCEPT for key in step.lines]
    assert len(set(confirmed)) == len(confirmed)


def test_where_something_is_wrong_the_keys_behind_it_are_left_and_told(far: Reviewing) -> None:
    far.go_to_verb("undo")
    for key in ("c", "m", "a", "n", "y", "Enter", "x", "x", "u"):
        far.press(key)
    expect(far.page.locator("#sheet [role=alert]")).to_contain_text("is not a number")
    expect(far.page.locator("#now")).to_contain_text("3 pressed after it were left")
    assert far.here.steps == ()
    assert far.page.locator("#sheet #count").input_value() == "many"


def test_a_key_that_is_held_down_confirms_once(far: Reviewing) -> None:
    far.go_to_verb("unplug")
    far.page.keyboard.down("Enter")
    for _ in range(4):
        far.page.keyboard.down("Enter")
    far.page.keyboard.up("Enter")
    settled(far, 1)


def test_a_click_while_another_is_kept_waits_too(far: Reviewing) -> None:
    far.press("H", "2")
    far.page.evaluate(
        "for (const one of document.querySelectorAll('#torques :is(input[type=checkbox], button)')) one.click()"
    )
    settled(far, 2)
    assert [act for act, _ in acts(far)] == ["high voltage", "answer"]


def test_words_in_which_nothing_was_done_go_by_key_and_by_button(browser: Browser, workshop: Workshop) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    said = f"{SAID} Remember the 13 mm bracket. That is the 8 mm spacer. Then the 6 mm sleeve."
    reviewing = begun(context.new_page(), workshop, said.encode(), "grey.txt")
    page = reviewing.page
    first, second, _ = (start for start, _ in reviewing.here.look.unused)
    page.locator(f"#unused-{first}").focus()
    reviewing.does("x")
    expect(page.locator(f"#unused-{second}:focus")).to_have_count(1)
    expect(page.locator("#now")).to_contain_text("nothing was done in “Remember the 13 mm bracket”")
    reviewing.does("u")
    expect(page.locator(f"#unused-{first}:focus")).to_have_count(1)
    reviewing.looked_at()
    page.locator(f"#unused-{first} button").click()
    reviewing.shown(more_than=2)
    reviewing.sheet("n")
    page.keyboard.type("renew")
    page.keyboard.press("Tab")
    page.keyboard.type("spacer")
    reviewing.does("Enter")
    page.keyboard.press("g")
    page.keyboard.type("unplug")
    page.keyboard.press("Enter")
    page.keyboard.press("H")
    page.keyboard.press("x")
    expect(page.locator("#now")).to_contain_text("there is no line here")
    page.locator("#unused").focus()
    page.keyboard.press("j")
    expect(page.locator("#unused li:focus")).to_have_count(1)
    reviewing.does_together("X")
    assert reviewing.here.look.unused == ()
    kept = [str(one.step.act) for one in reviewing.here.steps]
    assert kept == ["dismiss", "undo", "dismiss", "add", "dismiss"]
    page.locator("#unused summary").click()
    assert "13 mm bracket" in page.locator("#unused details").inner_text()
    context.close()


def test_a_line_is_gone_to_by_words_of_it_and_every_row_is_listed(reviewing: Reviewing) -> None:
    page = reviewing.page
    lines = reviewing.here.look.review.lines
    fitted = next(one for one in lines if str(one.said.verb) == "fit")
    page.keyboard.press("g")
    page.keyboard.type("fit bracket")
    page.keyboard.press("Enter")
    expect(page.locator(f"[data-line='{fitted.key}']:focus")).to_have_count(1)
    page.keyboard.press("h")
    expect(
        page.locator(
            f"[data-line='{fitted.said.twin or next(o.key for o in lines if o.said.verb == 'remove')}']:focus"
        )
    ).to_have_count(1)
    page.keyboard.press("g")
    page.keyboard.type("4")
    expect(page.locator("#sheet .pick:visible")).to_have_count(1)
    page.keyboard.press("Enter")
    expect(page.locator(f"[data-line='{lines[3].key}']:focus")).to_have_count(1)
    page.keyboard.press("L")
    expect(page.locator("#now")).to_contain_text("all rows are shown")
    page.keyboard.press("H")
    reviewing.does("2")
    page.keyboard.press("H")
    reviewing.does("1")
    assert reviewing.here.look.review.high_voltage is True


def test_enter_goes_on_where_nothing_is_left_to_confirm(reviewing: Reviewing) -> None:
    """From a confirmed row it goes on; where its question is left it says so; among plain rows it confirms them."""
    page = reviewing.page
    reviewing.go_to_verb("unplug")
    reviewing.does("Enter")
    reviewing.go_to_verb("unplug")
    page.keyboard.press("Enter")
    expect(page.locator("#now")).to_contain_text("what is left is its question")
    reviewing.go_to_verb("inspect")
    page.keyboard.press("Enter")
    page.wait_for_timeout(100)
    if not page.locator("#looked-at").count():
        page.keyboard.press("Enter")
    expect(page.locator("#looked-at")).to_have_count(1)
    reviewing.go_to_verb("inspect")
    page.keyboard.press("Enter")
    expect(page.locator("[data-stop]:focus")).to_have_count(1)


def test_the_page_has_a_function_for_every_key_of_the_table(browser: Browser, workshop: Workshop) -> None:
    context = browser.new_context()
    page = context.new_page()
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    begun(page, workshop, SAID.encode(), "notes.txt")
    assert page.locator("#keys [data-does]").count() == len(list(on_page()))
    assert wrong == []
    context.close()


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


def test_a_number_goes_to_that_very_line_also_when_it_is_confirmed(browser: Browser, workshop: Workshop) -> None:
    """Line 4 is confirmed and stands among those shown short; line 11, which is asked about, stands before line 1."""
    names = ["horn", "fuse", "lamp", "door", "relay", "pump", "valve", "seat", "radio", "mirror", "wiper"]
    said = " ".join(f"Remove the {name} bracket." for name in names)
    said += " ".join(f" Fit the {name} bracket." for name in reversed(names[:-1]))
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    reviewing = begun(context.new_page(), workshop, said.encode(), "brackets.txt")
    page, lines = reviewing.page, reviewing.here.look.review.lines
    reviewing.does_together("A")
    assert lines[0].said.object == "horn bracket"
    page.keyboard.press("g")
    page.keyboard.type("1")
    expect(page.locator("#sheet .pick:visible").first).to_contain_text("1 remove horn bracket")
    page.keyboard.press("Enter")
    expect(page.locator(f"[data-line='{lines[0].key}']:focus")).to_have_count(1)
    page.keyboard.press("g")
    page.keyboard.type("4")
    page.keyboard.press("Enter")
    expect(page.locator(f"[data-line='{lines[3].key}']:focus")).to_have_count(1)
    context.close()
