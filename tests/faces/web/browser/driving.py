"""Hands for the bay page: each function does what a technician does with a finger, and waits as one would.

`enter` opens the page as somebody, `act` reads what is shown, `do` does the act that is shown as planned.
"""

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any, TypeVar

from playwright.sync_api import Locator, Page, expect

from faces.web.browser.workshop import Workshop

T = TypeVar("T")

TECHNICIAN, SECOND = "Ilvy Marn", "Rosko Tael"
GRADE = "high-voltage skilled person"

ANSWERS: dict[str, str | int] = {
    "grade, as on the certificate": GRADE,
    "issued by": "an invented body",
    "valid until": "2099-12-31",
    "class on the label": "0",
    "asked for by": "common practice class 0",
    "serial number": "G-17",
    "looked at, blown up: the air": "held",
    "keys that the car has": 3,
    "keys in the lock box": 3,
    "charge lead": "out",
    "who stands by": SECOND,
    "known source": "proving unit 7",
    "instrument and its number": "two-pole tester 12",
    "wrench and its number": "wrench 4",
    "unit": "mΩ",
    "of": "compressor bonding strap",
    "by": "telephone",
}
"""What a form is answered with, by the beginning of its words."""


def enter(page: Page, workshop: Workshop, job: str, *, name: str = TECHNICIAN) -> None:
    """Open the bay page of a job; say who works, where nobody said so yet on this device."""
    page.goto(f"{workshop.address}/bay?job={job}")
    expect(page.locator("h1")).to_be_visible()
    if title(page) == "Who works here?":
        page.get_by_label("name").fill(name)
        tap(page, "It is me")
        expect(page.locator("h1")).not_to_have_text("Who works here?")


def title(page: Page) -> str:
    """What is shown now: the name of the act or the form."""
    return page.locator("main h1").inner_text()


def tap(page: Page, name: str | re.Pattern[str]) -> None:
    """Tap the first button with this name."""
    page.get_by_role("button", name=name, exact=isinstance(name, str)).first.click()


def go(page: Page) -> None:
    """Tap the one big button, and wait until what follows is shown."""
    button = page.locator(".go")
    expect(button).to_be_enabled()
    button.click()


def synced(page: Page) -> None:
    """Wait until everything is at the server, as the page says it."""
    expect(page.get_by_role("status")).to_contain_text(re.compile(r"All \d+ kept at the server$"))


def gates(page: Page) -> list[str]:
    """The gates that are shut, in the words of the page."""
    return page.locator(".gate").all_inner_texts()


def is_shut(page: Page) -> bool:
    """Whether the act that is shown is shut."""
    return page.locator(".shut").count() > 0


def choose(page: Page, act: str) -> None:
    """Choose another act of those that are possible now."""
    page.locator(".row", has_text=re.compile(f"^{re.escape(act)}", re.IGNORECASE)).first.click()
    expect(page.locator("main h1")).to_have_text(re.compile(re.escape(act), re.IGNORECASE))


def tick_all(page: Page) -> None:
    """Tap everything that is to be looked at, as often as it asks."""
    for at in range(page.locator(".tick").count()):
        tick = page.locator(".tick").nth(at)
        for _ in range(20):
            if tick.get_attribute("aria-pressed") == "true":
                break
            tick.click()


def answer(page: Page, reading: float = 0.0) -> None:
    """Fill in whatever the sheet asks that has no answer yet."""
    tick_all(page)
    for line in page.locator("form .line:has(input)").all():
        _type(line, reading)
    for line in page.locator("form .line:has(button[aria-label='one more'])").all():
        _count(line)
    for block in page.locator("form div:has(> .ask)").all():
        _pick(block)


def _said(words: str) -> str | int | None:
    for beginning, said in ANSWERS.items():
        if words == beginning or (len(beginning) > len("unit") and words.startswith(beginning)):
            return said
    return None


def _type(line: Locator, reading: float) -> None:
    field = line.locator("input")
    words = field.get_attribute("aria-label") or ""
    if field.input_value():
        return
    if field.get_attribute("type") == "date" and words.startswith("last electrical test"):
        field.fill(_today(line.page))
    elif field.get_attribute("inputmode") == "decimal":
        known = "known source" in line.page.locator("form .note").first.inner_text()
        field.fill("400" if known else f"{reading:g}")
    elif (said := _said(words)) is not None:
        field.fill(str(said))


def _today(page: Page) -> str:
    """Today by the page's own clock."""
    return str(page.evaluate("new Date().toLocaleDateString('sv')"))


def _count(line: Locator) -> None:
    wanted = _said(line.locator("span").first.inner_text())
    while isinstance(wanted, int) and int(line.locator("b").last.inner_text()) < wanted:
        line.get_by_role("button", name="one more").click()


def _pick(block: Locator) -> None:
    if block.locator("[aria-pressed=true]").count():
        return
    words = block.locator(".ask").inner_text()
    said = _said(words)
    choices = block.locator(".few button")
    if said is not None and choices.filter(has_text=re.compile(f"^{re.escape(str(said))}$")).count():
        choices.filter(has_text=re.compile(f"^{re.escape(str(said))}$")).first.click()
    elif "which length goes into" in words:
        choices.first.click()
        if block.locator(".held").count():
            right = block.locator(".held").inner_text().rpartition(" ")[2]
            choices.filter(has_text=re.compile(f"^{re.escape(right)}$")).first.click()
    elif words.startswith("who"):
        block.locator("input").fill(str(said or SECOND))
    elif choices.filter(has_text=re.compile("^yes$")).count():
        choices.filter(has_text=re.compile("^yes$")).first.click()


def do(page: Page, *, reading: float = 0.0) -> str:
    """Do the act that is shown as planned, passing what is asked by name; what was done."""
    done = title(page)
    answer(page, reading)
    go(page)
    if page.locator(".foot .held").count():
        go(page)
    rest(page)
    return done


def rest(page: Page) -> None:
    """Wait out the moment after a tap in which no other tap counts."""
    page.wait_for_function("() => ![...document.querySelectorAll('.go')].some((one) => one.disabled)")


def until(page: Page, look: Callable[[], T], *, tries: int = 200) -> T:
    """Look until something is there."""
    for _ in range(tries):
        if found := look():
            return found
        page.wait_for_timeout(50)
    raise AssertionError("it never came")


def open_gates(page: Page, workshop: Workshop, *, most: int = 60) -> None:
    """Give the evidence that each shut gate asks for, until the act that is shown is open."""
    act = title(page)
    for _ in range(most):
        if title(page) != act or not is_shut(page):
            return
        _open_one(page, workshop)
    raise AssertionError(f"still shut: {gates(page)}")


def _open_one(page: Page, workshop: Workshop) -> None:
    for gate in page.locator(".gate").all():
        buttons = gate.get_by_role("button").filter(has_not_text="Let it pass")
        if "the wait runs" in gate.inner_text() and not gate.locator("p.line").count():
            pass_time(page, workshop, 4)
            page.clock.run_for(16_000)
            return
        if gate.locator("p.line").count():
            minutes, seconds = gate.locator("p.line b").inner_text().split(":")
            pass_time(page, workshop, int(minutes) + int(seconds) / 60 + 0.1)
            page.clock.run_for(6_000)  # the page works its state out every five seconds
            return
        if buttons.count():
            buttons.first.click()
            while page.locator(".note", has_text=re.compile("^Reading [0-9]")).count():
                done = page.locator(".note").first.inner_text()
                answer(page)
                go(page)
                expect(page.locator(".note").first).not_to_have_text(done)
                rest(page)
            if page.get_by_role("button", name="Leave it").count():
                do(page)
            return
    raise AssertionError(f"nothing opens these gates: {gates(page)}")


def work(page: Page, workshop: Workshop, until: str | re.Pattern[str], *, most: int = 400) -> list[str]:
    """Do what is suggested, with its gates, until an act is shown whose name fits; what was done."""
    done: list[str] = []
    for _ in range(most):
        if re.search(until, title(page)):
            return done
        if is_shut(page):
            open_gates(page, workshop)
        if re.search(until, title(page)):
            return done
        done.append(do(page))
    raise AssertionError(f"{until} never came; last was {done[-5:]}")


def at_the_bypass(page: Page, workshop: Workshop, job: str, *, does: str = "off") -> None:
    """Come to the bypass pipe, where the car file knows of a finding: another device logs all that comes before.

    Args:
        page: the bay page.
        workshop: its server.
        job: the job.
        does: on the way in ("off"), or on the way back ("on").
    """
    pack = page.evaluate(f"fetch('/api/jobs/{job}/pack').then((answer) => answer.json())")
    acts = [(act["does"], act.get("thing")) for act in pack["acts"]]
    place = acts.index((does, "bypass-pipe"))
    ops = {op["n"]: op for op in pack["operations"]}
    workshop.log_done(job, [ops[n] for act in pack["acts"][:place] for n in act["operations"]])
    page.reload()
    name = re.compile(re.escape(pack["acts"][place]["title"]), re.IGNORECASE)
    until(page, lambda: page.locator("main h1, .row").filter(has_text=name).count())
    if not name.fullmatch(title(page)):
        choose(page, pack["acts"][place]["title"])


def kept(page: Page) -> list[dict[str, Any]]:
    """The events that this device holds, as its disk has them: id, kind, and the server's number once it is known."""
    script = """async () => {
      const base = await new Promise((done, failed) => {
        const request = indexedDB.open("putback", 1);
        request.onsuccess = () => done(request.result);
        request.onerror = () => failed(request.error);
      });
      const rows = await new Promise((done) => {
        const request = base.transaction("events").objectStore("events").getAll();
        request.onsuccess = () => done(request.result);
      });
      base.close();
      return rows.map(({ id, seq, refused, event }) => ({ id, seq, refused, kind: event.kind, body: event.body }));
    }"""
    rows: list[dict[str, Any]] = page.evaluate(script)
    return rows


def pass_time(page: Page, workshop: Workshop, minutes: float) -> None:
    """Let time go by, for the page and for the server; the page's clock must have been installed."""
    workshop.ahead += timedelta(minutes=minutes)
    page.clock.fast_forward(int(minutes * 60_000))
