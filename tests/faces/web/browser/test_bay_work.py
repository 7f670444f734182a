"""The bay page on a phone: one tap for what goes as planned, and room for what does not.

The judge of what was logged is the server's own record, folded by the core.
"""

import re
from hashlib import sha256
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from faces.web.browser.driving import (
    TECHNICIAN,
    answer,
    choose,
    do,
    enter,
    go,
    kept,
    rest,
    synced,
    tap,
    title,
    until,
    work,
)
from faces.web.browser.workshop import Workshop

COVER = "slam-cover"
"""An item of the demo that comes off with eight clips and needs nothing made safe."""


@pytest.fixture
def job(workshop: Workshop) -> str:
    return workshop.open_job(COVER)


def test_one_tap_takes_an_item_off_with_the_planned_count(page: Page, workshop: Workshop, job: str) -> None:
    """The first act that takes the car apart asks for what intake and shelf lack, so here it is a second tap."""
    work(page, workshop, "(?i)remove slam-panel")
    do(page)
    synced(page)
    done = workshop.bodies(job, "operation done")
    assert [(one["verb"], one.get("count"), one.get("stow")) for one in done[-2:]] == [
        ("undo", 8, "C1"),
        ("remove", None, None),
    ]
    assert {event.person for event in workshop.events(job, "operation done")} != {None}


def test_another_count_is_asked_once_and_passed_by_one_tap(page: Page, workshop: Workshop, job: str) -> None:
    work(page, workshop, "(?i)remove slam-panel")
    page.get_by_role("button", name="one less").first.click()
    go(page)
    expect(page.locator(".held")).to_contain_text("7 / 8")
    assert "undo" not in [one["verb"] for one in workshop.bodies(job, "operation done")]
    go(page)
    rest(page)
    synced(page)
    assert workshop.bodies(job, "operation done")[-2]["count"] == 7
    assert "count_differs" in [one["gate"] for one in workshop.bodies(job, "hold passed")]
    trays = page.locator(".owes").all_inner_texts()
    assert any("7 × clip" in line for line in trays)


def test_what_came_out_is_what_goes_back(page: Page, workshop: Workshop, job: str) -> None:
    """Seven came out: seven are offered on the way back, without a question."""
    work(page, workshop, "(?i)remove slam-panel")
    page.get_by_role("button", name="one less").first.click()
    go(page)
    go(page)
    rest(page)
    work(page, workshop, "(?i)fit slam-panel")
    expect(page.locator(".line b").first).to_have_text("7")
    do(page)
    synced(page)
    backs = [one for one in workshop.bodies(job, "operation done") if one["verb"] in ("start", "tighten")]
    assert {one["count"] for one in backs} == {7}


def test_another_tray_is_logged(page: Page, workshop: Workshop, job: str) -> None:
    work(page, workshop, "(?i)remove slam-panel")
    page.get_by_label("into tray").fill("B7")
    do(page)
    synced(page)
    assert workshop.bodies(job, "operation done")[-2]["stow"] == "B7"
    expect(page.locator("h3").first).to_have_text("B7")


def test_not_as_planned_a_note_and_a_doubt(page: Page, workshop: Workshop, job: str) -> None:
    work(page, workshop, "(?i)remove slam-panel")
    tap(page, "Not as planned")
    go(page)
    expect(page.locator(".held")).to_contain_text("Still to say")
    tap(page, "seized")
    go(page)
    rest(page)
    tap(page, "Note")
    page.locator("textarea").fill("two clips are brittle")
    go(page)
    rest(page)
    synced(page)
    assert workshop.bodies(job, "not as planned")[0] == {"what": "seized", "item": "slam-cover"}
    assert workshop.bodies(job, "noted")[-1] == {"note": "two clips are brittle", "item": "slam-cover"}
    assert re.search("(?i)remove slam-panel", title(page))


def test_a_slip_is_mended_by_two_taps(page: Page, workshop: Workshop, job: str) -> None:
    do(page)
    tap(page, "A slip?")
    tap(page, "Take it back")
    rest(page)
    synced(page)
    last = workshop.events(job, "operation done")[-1]
    assert [one["mends"] for one in workshop.bodies(job, "operation taken back")] == [last.id]
    assert workshop.view(job).now.done == frozenset()


def test_a_second_tap_of_a_gloved_finger_counts_for_nothing(page: Page, workshop: Workshop, job: str) -> None:
    before = len(workshop.events(job))
    page.locator(".go").dblclick()
    rest(page)
    synced(page)
    assert len(workshop.events(job, "operation done")) <= before


def test_each_thing_to_tick_is_ticked_by_itself(page: Page, workshop: Workshop, job: str) -> None:
    enter(page, workshop, other := workshop.open_job())
    work(page, workshop, "Before 12")
    for at in (0, 3):
        page.locator(".tick").nth(at).click()
    assert [one == "true" for one in ticks(page)] == [True, False, False, True, False, False]
    go(page)
    assert page.locator(".held p").count() == 4
    go(page)
    rest(page)
    synced(page)
    assert workshop.bodies(other, "list ticked") == [
        {"energy": "lv", "ticked": ("codes saved", "tailgate latched open"), "who": workshop.events(other)[-1].person}
    ]


def test_a_list_of_which_nothing_is_ticked_is_no_evidence(page: Page, workshop: Workshop, job: str) -> None:
    enter(page, workshop, other := workshop.open_job())
    work(page, workshop, "Before 12")
    go(page)
    assert page.locator(".held p").count() == 6
    go(page)
    rest(page)
    synced(page)
    assert not workshop.bodies(other, "list ticked")
    assert len(workshop.bodies(other, "hold passed")) >= 6


def ticks(page: Page) -> list[str | None]:
    return [tick.get_attribute("aria-pressed") for tick in page.locator(".tick").all()]


def test_what_was_said_last_is_offered_again(page: Page, workshop: Workshop, job: str) -> None:
    """The keys that the car has are known after the first count; how many lie in the box is counted anew."""
    for _ in range(2):
        page.locator("header button").click()
        tap(page, "Count keys and charge lead")
        do(page)
        page.locator("header button").click()
        tap(page, "Back to the work")
    synced(page)
    counts = workshop.bodies(job, "keys counted")
    assert [(one["in_box"], one["of"], one["charge_lead"]) for one in counts] == [(3, 3, "out"), (3, 3, "out")]
    page.locator("header button").click()
    tap(page, "Count keys and charge lead")
    assert page.locator(".line > b").all_inner_texts()[:2] == ["0", "3"]


def test_a_photo_is_kept_with_its_digest(page: Page, workshop: Workshop, job: str, tmp_path: Path) -> None:
    made = BytesIO()
    Image.new("RGB", (64, 48), "grey").save(made, "JPEG")
    photo = tmp_path / "photo.jpg"
    photo.write_bytes(made.getvalue())
    page.locator("input[type=file]").set_input_files(photo)
    taken = until(page, lambda: [row for row in kept(page) if row["kind"] == "photo taken"])
    assert taken[0]["body"]["sha256"] == sha256(made.getvalue()).hexdigest()
    assert taken[0]["body"]["bytes"] == len(made.getvalue())


def test_a_photo_of_the_walk_round_says_its_view_and_later_ones_do_not(
    page: Page, workshop: Workshop, job: str, tmp_path: Path
) -> None:
    for name, grey in (("front", 90), ("later", 160)):
        Image.new("RGB", (64, 48), (grey, grey, grey)).save(tmp_path / f"{name}.jpg", "JPEG")
    page.goto(f"{workshop.address}/jobs/{job}/intake")
    page.locator("a", has_text="front").click()
    expect(page.locator("main h1")).to_have_text("Photo: front")
    page.locator("input[type=file]").set_input_files(tmp_path / "front.jpg")
    expect(page.locator(".note")).to_have_text("1 taken of this view")
    page.get_by_role("link", name="Back to the work").click()
    page.locator("input[type=file]").set_input_files(tmp_path / "later.jpg")
    until(page, lambda: len([row for row in kept(page) if row["kind"] == "photo taken"]) == 2)
    synced(page)
    assert [one.get("view") for one in workshop.bodies(job, "photo taken")] == ["front", None]


def test_who_works_here_is_chosen_once(page: Page, workshop: Workshop, job: str) -> None:
    page.reload()
    expect(page.locator("header button")).to_have_text(TECHNICIAN)
    names = str(workshop.events(job))
    assert TECHNICIAN not in names


def test_anything_possible_may_come_first(page: Page, workshop: Workshop, job: str) -> None:
    """What is out of order is asked once, and done all the same: only energies and consent block."""
    enter(page, workshop, workshop.open_job())
    do(page)
    choose(page, "Before 12")
    answer(page)
    go(page)
    rest(page)


def test_the_whole_small_job_ends_with_nothing_owed(page: Page, workshop: Workshop, job: str) -> None:
    work(page, workshop, "Nothing is left to do")
    synced(page)
    assert workshop.view(job).now.owed == 0
    tap(page, "Close the job")
    go(page)
    rest(page)
    synced(page)
    assert workshop.view(job).closed
