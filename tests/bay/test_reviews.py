"""A review at the desk: what is kept, in both stores. The narrations are invented."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from putback.adapters.stores import open_store
from putback.bay import Bay, Closed, Shelf
from putback.bay.reviews import (
    Begun,
    ReviewHere,
    aliases_of,
    do,
    do_all,
    review_here,
    reviews,
    take_narration,
    undo,
    write,
)
from putback.core.finding import Finding
from putback.core.record import Event, verify
from putback.core.record.review_kinds import REVIEW_STEP, Act
from putback.narrate.review.answers import DONE
from putback.narrate.review.moves import answering
from putback.narrate.review.step import Step

pytest_plugins = ["adapters.stores.conftest"]

TEXT = b"Unplug the horn connector. Remove the horn. Remove the tray. Fit the tray. Fit the horn."
BEGUN = datetime(2026, 3, 2, 8, 15, tzinfo=timezone(timedelta(hours=1)))


def desk(name: str, files: Path) -> Bay:
    """A desk over a store of this name; each call of its clock is a second later."""
    seconds, ids = count(), count(1)
    opened = open_store(name, create=True)
    begun = len(opened.heads())
    return Bay(
        store=opened,
        shelf=Shelf(files),
        cars={},
        clock=lambda: BEGUN + timedelta(seconds=next(seconds)),
        new_id=lambda: f"{begun}x{next(ids)}",
    )


@pytest.fixture
def files(tmp_path: Path) -> Path:
    return tmp_path / "files"


@pytest.fixture
def bay(name: str, files: Path) -> Iterator[Bay]:
    made = desk(name, files)
    with made.store:
        yield made


def taken(bay: Bay, text: bytes = TEXT, car: str = "Quillet") -> str:
    found = take_narration(bay, text, name="horn.txt", car=car, person="p1")
    assert isinstance(found, Begun)
    return found.review


def here(bay: Bay, review: str) -> ReviewHere:
    found = review_here(bay, review)
    assert isinstance(found, ReviewHere), found
    return found


def key_of(found: ReviewHere, verb: str, thing: str) -> int:
    return next(one.key for one in found.look.review.lines if (one.said.verb, one.said.object) == (verb, thing))


def accept(found: ReviewHere, verb: str, thing: str) -> Step:
    return Step(act=Act.ACCEPT, lines=(key_of(found, verb, thing),))


def test_a_step_is_kept_with_who_did_it(bay: Bay) -> None:
    review = taken(bay)
    start = here(bay, review)
    after = do(bay, review, accept(start, "remove", "tray"), person="p1")
    assert isinstance(after, ReviewHere)
    line = after.look.review.line(key_of(start, "remove", "tray"))
    assert line is not None
    assert line.confirmed == "p1"
    assert after.look.unconfirmed == start.look.unconfirmed - 1
    assert verify(bay.store.read(review), job=review, own=bay.store.heads()[review]) == ()


def test_it_goes_on_where_it_was_left_after_the_store_was_closed(name: str, files: Path) -> None:
    with (first := desk(name, files)).store:
        review = taken(first)
        left = do(first, review, accept(here(first, review), "remove", "tray"), person="p1")
    with (second := desk(name, files)).store:
        assert here(second, review) == left
        (line,) = reviews(second)
    assert (line.name, line.car, line.lines) == ("horn.txt", "Quillet", 5)
    assert line.unconfirmed == 4


def test_the_same_text_on_the_same_car_is_the_same_review(bay: Bay) -> None:
    review = taken(bay)
    again = take_narration(bay, TEXT, name="other-name.txt", car="Quillet")
    assert isinstance(again, Begun)
    assert (again.review, again.again) == (review, True)
    assert taken(bay, car="another invented car") != review
    assert taken(bay, TEXT + b" Lower the car.") != review


def test_all_steps_or_none_are_kept(bay: Bay) -> None:
    review = taken(bay)
    start = here(bay, review)
    told = do_all(bay, review, (accept(start, "remove", "tray"), Step(act=Act.DELETE, lines=(9999,))), person="p1")
    assert told == "there is no line 9999 any more"
    assert here(bay, review) == start
    assert len(bay.store.read(review)) == 1


def test_steps_of_one_call_may_build_on_each_other(bay: Bay) -> None:
    review = taken(bay)
    new = here(bay, review).look.review.next_key
    after = do_all(
        bay,
        review,
        (Step(act=Act.ADD, value="clean", name="seat"), Step(act=Act.SET, lines=(new,), field="zone", value="front")),
        person=None,
    )
    assert isinstance(after, ReviewHere)
    line = after.look.review.line(new)
    assert line is not None
    assert (line.said.zone, line.confirmed) == ("front", "unnamed")


def test_undo_takes_the_last_step_out_and_an_undo_of_nothing_is_told(bay: Bay) -> None:
    review = taken(bay)
    start = here(bay, review)
    assert undo(bay, review, person=None) == "there is nothing to undo"
    done = do(bay, review, Step(act=Act.DELETE, lines=(key_of(start, "remove", "tray"),)), person="p1")
    assert isinstance(done, ReviewHere)
    assert len(done.look.review.lines) == 4
    back = undo(bay, review, person="p1")
    assert isinstance(back, ReviewHere)
    assert back.look == start.look
    assert back.last is None
    assert len(back.steps) == 2, "what was done and undone stays in the record"
    told = do(bay, review, Step(act=Act.UNDO, step="no-such-step"), person=None)
    assert told == "undo: there is no such step"


def test_names_said_to_be_the_same_are_remembered_for_the_car_alone(bay: Bay) -> None:
    first = taken(bay)
    renamed = do(bay, first, Step(act=Act.RENAME, name="tray", value="belly pan"), person="p1")
    assert isinstance(renamed, ReviewHere)
    assert dict(aliases_of(bay, "Quillet").names) == {"tray": "belly pan"}
    assert dict(aliases_of(bay, "another invented car").names) == {}
    later = here(bay, taken(bay, b"Remove the belly pan. Remove the lamp. Fit the lamp. Fit the tray."))
    fitted = later.look.review.line(key_of(later, "fit", "tray"))
    assert fitted is not None
    assert fitted.said.twin == key_of(later, "remove", "belly pan")
    undo(bay, first, person="p1")
    assert dict(aliases_of(bay, "Quillet").names) == {}


def test_an_answer_that_two_names_are_one_is_remembered(bay: Bay) -> None:
    review = taken(bay, b"Remove the shroud. Remove the horn. Fit the horn. Fit the cowl.")
    found = here(bay, review)
    step = Step(
        act=Act.ANSWER,
        kind="same_as",
        text="cowl: same as shroud?",
        lines=(key_of(found, "fit", "cowl"),),
        other=key_of(found, "remove", "shroud"),
        value="the same",
    )
    after = do(bay, review, step, person="p1")
    assert isinstance(after, ReviewHere)
    assert dict(aliases_of(bay, "Quillet").names) == {"cowl": "shroud"}


def test_the_procedure_is_on_the_shelf_and_is_stale_after_a_further_step(bay: Bay) -> None:
    review = taken(bay)
    content = write(bay, review, person="p1")
    assert isinstance(content, bytes)
    written = here(bay, review).written
    assert written is not None
    assert not written.stale
    assert bay.shelf.get(written.sha256) == content
    do(bay, review, accept(here(bay, review), "remove", "tray"), person="p1")
    later = here(bay, review).written
    assert later is not None
    assert replace(later, stale=False) == written
    assert later.stale


def test_a_review_is_no_job_and_a_job_no_review(bay: Bay) -> None:
    review = taken(bay)
    assert bay.jobs() == ()
    assert isinstance(bay.view(review), Closed)
    told = review_here(bay, "talk-none")
    assert isinstance(told, Closed)
    assert "talk-none" in told.what
    assert isinstance(do(bay, "talk-none", Step(act=Act.HIGH_VOLTAGE, value="no"), person=None), Closed)
    assert isinstance(undo(bay, "talk-none", person=None), Closed)
    assert isinstance(write(bay, "talk-none", person=None), Closed)


def test_what_is_no_narration_is_not_taken(bay: Bay) -> None:
    assert isinstance(take_narration(bay, b"", name="empty.txt", car="Quillet"), Finding)
    assert reviews(bay) == ()


def test_a_draft_that_is_gone_from_the_shelf_is_told_with_its_mend(bay: Bay, files: Path) -> None:
    review = taken(bay)
    for file in files.iterdir():
        file.unlink()
    told = review_here(bay, review)
    assert isinstance(told, Closed)
    assert "back-up" in told.mend


def test_a_step_of_a_newer_program_or_a_misfit_in_the_record_stops_nothing(bay: Bay) -> None:
    review = taken(bay)
    start = here(bay, review)
    odd: list[dict[str, Any]] = [{"act": "delete", "lines": [777]}, {"act": "polish", "lines": [1]}]
    events = [
        Event(id=f"e{n}", job=review, device="other", at=BEGUN.isoformat(), person=None, kind=REVIEW_STEP, body=body)
        for n, body in enumerate(odd)
    ]
    bay.store.append(events, received_at=BEGUN.isoformat())
    found = here(bay, review)
    assert found.look == start.look
    assert found.misfits == (("e0", "there is no line 777 any more"),)
    assert isinstance(do(bay, review, accept(start, "remove", "tray"), person="p1"), ReviewHere)


def test_an_undo_takes_back_all_that_one_key_did(bay: Bay) -> None:
    """ "Done, not said" writes a line and confirms its row: one undo, and nobody put the horn back any more."""
    begun = take_narration(bay, b"Remove the horn. Remove the tray. Fit the tray.", name="a.txt", car="invented")
    assert isinstance(begun, Begun)
    here = review_here(bay, begun.review)
    assert isinstance(here, ReviewHere)
    asked = next(one for one in here.look.open_questions if one.kind == "never_put_back")
    row = next(row for row in here.look.rows if asked in row.questions)
    before = here.look.review.lines
    answered = do_all(bay, begun.review, answering(row, asked, DONE), person="p1")
    assert isinstance(answered, ReviewHere)
    assert len(answered.look.review.lines) == len(before) + 1
    assert len(answered.standing) > 1
    back = undo(bay, begun.review, person="p1")
    assert isinstance(back, ReviewHere)
    assert back.look.review.lines == before
    assert back.standing == ()
    assert undo(bay, begun.review, person="p1") == "there is nothing to undo"
