"""A finding at the car: two taps keep it and show the message with the revised sum, with the server gone too.

Sums: the invented demo, in its README (1435.40 becomes 1572.40, 55 min).
"""

import re

import pytest
from playwright.sync_api import Page, expect

from faces.web.browser.driving import at_the_bypass, go, kept, rest, synced, tap, title
from faces.web.browser.workshop import Workshop

PITTED = "pitted-bypass"


@pytest.fixture
def job(workshop: Workshop) -> str:
    return workshop.open_job()


@pytest.fixture
def bypass(page: Page, workshop: Workshop, job: str) -> Page:
    at_the_bypass(page, workshop, job)
    return page


def test_two_taps_keep_it_and_show_its_message(bypass: Page, workshop: Workshop, job: str) -> None:
    before = len(kept(bypass))
    tap(bypass, "Finding")
    bypass.locator("form .row", has_text="bypass bore").click()
    expect(bypass.locator("main h1")).to_have_text("The finding is kept")
    said = bypass.locator(".letter").inner_text()
    assert "from 1435.40 to 1572.40" in said
    assert "55 min longer" in said
    assert len(kept(bypass)) == before + 1
    synced(bypass)
    seen = workshop.bodies(job, "finding seen")[-1]
    assert (seen["finding"], seen["item"], seen["amount"], seen["minutes"]) == (PITTED, "bypass-pipe", "1572.40", 55)
    tap(bypass, "Back to the work")
    expect(bypass.locator("main h1")).to_have_text(re.compile("bypass pipe", re.IGNORECASE))


def test_its_message_is_the_server_s(bypass: Page, job: str) -> None:
    tap(bypass, "Finding")
    bypass.locator("form .row", has_text="bypass bore").click()
    said = bypass.locator(".letter").inner_text()
    synced(bypass)
    theirs = bypass.evaluate(f"fetch('/api/jobs/{job}/findings/{PITTED}/message').then((answer) => answer.json())")
    assert " ".join(said.split()) == " ".join(theirs["message"].split())


def test_the_answer_is_asked_with_the_amount_that_the_message_names(page: Page, workshop: Workshop, job: str) -> None:
    at_the_bypass(page, workshop, job, does="on")
    tap(page, "Finding")
    page.locator("form .row", has_text="bypass bore").click()
    tap(page, "Back to the work")
    gate = page.locator(".gate", has_text="consent")
    expect(gate).to_contain_text("no answer to it is recorded")
    gate.get_by_role("button", name="Record the answer").click()
    expect(page.get_by_label("amount, as agreed")).to_have_value("1572.40")


def test_with_the_server_gone_it_is_the_same(bypass: Page, workshop: Workshop, job: str) -> None:
    workshop.stop()
    tap(bypass, "Finding")
    bypass.locator("form .row", has_text="bypass bore").click()
    expect(bypass.locator(".letter")).to_contain_text("from 1435.40 to 1572.40")
    workshop.start()
    synced(bypass)
    assert [one["finding"] for one in workshop.bodies(job, "finding seen")] == [PITTED]


def test_a_free_one_adds_to_the_sum_agreed_so_far(page: Page, workshop: Workshop, job: str) -> None:
    tap(page, "Finding")
    page.get_by_label("what was found").fill("a mouse lived here")
    page.get_by_label("more money").fill("48,50")
    go(page)
    expect(page.locator(".letter")).to_contain_text("we found: a mouse lived here.")
    expect(page.locator(".letter")).to_contain_text("from 1435.40 to 1483.90")
    synced(page)
    seen = workshop.bodies(job, "finding seen")[-1]
    assert (seen["note"], seen["amount"]) == ("a mouse lived here", "1483.90")


def test_work_and_parts_both_count_here_and_at_the_server(page: Page, workshop: Workshop, job: str) -> None:
    """35 min at 96.00 an hour and 62.00 of parts are 118.00."""
    tap(page, "Finding")
    page.get_by_label("what was found").fill("a mouse lived here")
    page.get_by_label("more minutes").fill("35")
    page.get_by_label("more money").fill("62.00")
    go(page)
    expect(page.locator(".letter")).to_contain_text("from 1435.40 to 1553.40")
    synced(page)
    page.goto(f"{workshop.address}/jobs/{job}/findings")
    message = page.get_by_label("Message to the owner").input_value()
    assert "parts 62.00, 35 min of work 56.00" in message
    assert "from 1435.40 to 1553.40 EUR (+118.00)" in message or "from 1435.40 to 1553.40 (+118.00)" in message


def test_a_free_one_without_a_price_says_so(page: Page, workshop: Workshop, job: str) -> None:
    tap(page, "Finding")
    page.get_by_label("what was found").fill("a cable is chafed")
    go(page)
    expect(page.locator(".letter")).to_contain_text("Nobody knows the price yet.")
    synced(page)
    assert "amount" not in workshop.bodies(job, "finding seen")[-1]


def test_money_that_is_none_is_asked_again(page: Page) -> None:
    tap(page, "Finding")
    page.get_by_label("what was found").fill("a cable is chafed")
    page.get_by_label("more money").fill("much")
    go(page)
    expect(page.locator(".foot .held")).to_contain_text("Still to say: more money")
    assert title(page) == "Finding"


def test_a_photo_of_it_names_it(page: Page, workshop: Workshop, job: str) -> None:
    tap(page, "Finding")
    page.get_by_label("what was found").fill("a cable is chafed")
    go(page)
    rest(page)
    page.locator("input[type=file]").set_input_files(
        {"name": "chafed.png", "mimeType": "image/png", "buffer": b"\x89PNG\r\n\x1a\n"}
    )
    page.wait_for_function("() => document.querySelector('h1')")
    seen = [row for row in kept(page) if row["kind"] == "finding seen"]
    taken = [row for row in kept(page) if row["kind"] == "photo taken"]
    assert taken[0]["body"]["finding"] == seen[0]["body"]["finding"]
