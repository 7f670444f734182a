"""A read that is attached to a job: its bytes, its event, what counts. The lists are those of the invented demo."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from bay.demo_record import Whole, whole
from putback.adapters.car_file import demo_path
from putback.adapters.stores import open_store
from putback.bay import Closed
from putback.bay.code_compare import held_against
from putback.bay.code_job import Job, job_of_view
from putback.bay.code_reads import Attached, attach, cleared, counting, reads_of
from putback.core.codes.listing import Stage
from putback.core.operations import Verb
from putback.core.record.code_kinds import CODES_CLEARED, CODES_READ

DEMO = demo_path().parent
BEFORE, AFTER, DRIVE = ((DEMO / f"quillet.{which}.csv").read_bytes() for which in ("before", "after", "drive"))


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Whole]:
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        yield whole(store, tmp_path)


def attached(job: Whole, data: bytes, person: str | None = None) -> Attached:
    found = attach(job.bay, job.job, data, name="list.csv", person=person)
    assert isinstance(found, Attached), found
    return found


def test_a_read_is_kept_byte_by_byte_and_named_by_its_digest(job: Whole) -> None:
    kept = attached(job, BEFORE, person="p1").kept
    assert job.bay.shelf.get(kept.sha256) == BEFORE
    event = next(one.event for one in job.view.received if one.event.id == kept.event)
    assert (event.kind, event.person, event.body["stage"], event.body["codes"]) == (CODES_READ, "p1", "before", 2)
    assert not job.view.faults
    assert not job.view.now.folded.findings or all(
        "codes read" not in str(one) for one in job.view.now.folded.findings
    )


def test_the_job_of_the_reads_names_the_shutter_plug(job: Whole) -> None:
    """43.5 min: README of the demo data."""
    for data in (BEFORE, AFTER):
        attached(job, data)
    kept = counting(reads_of(job.bay, job.view))
    assert [str(one.stage) for one in kept] == ["before", "after put-back"]
    named = job_of_view(job.bay, job.view)
    assert isinstance(named, Job)
    held = held_against([one.listing for one in kept], job=named)
    assert held.diagnosis is not None
    first = held.diagnosis.explanations[0]
    assert (first.items, first.rework_minutes) == (("shutter-plug",), 43.5)


def test_the_first_whole_read_from_before_counts_and_later_ones_do_not(job: Whole) -> None:
    attached(job, BEFORE)
    attached(job, BEFORE + b"engine,P0104,2F,later\n")
    attached(job, AFTER)
    attached(job, DRIVE)
    kept = counting(reads_of(job.bay, job.view))
    assert [str(one.stage) for one in kept] == ["before", "after put-back", "after road test"]
    assert len(kept[0].listing.listed) == 2


def test_a_stopped_read_is_no_read_of_the_plan_and_gives_way_to_a_whole_one(job: Whole) -> None:
    whole_text = b"# stage: before\n# module engine: 7E0/7E8\n# modules answered: engine\nmodule,code,status,text\n"
    before = sum(op.verb is Verb.READ_BEFORE for op in job.view.now.folded.operations)
    stopped = attached(job, whole_text.replace(b"before\n", b"before\n# stopped: by hand\n")).kept
    assert stopped.stopped == "by hand"
    assert sum(op.verb is Verb.READ_BEFORE for op in job.view.now.folded.operations) == before
    whole_one = attached(job, whole_text).kept
    attached(job, AFTER)
    assert counting(reads_of(job.bay, job.view))[0].event == whole_one.event


def test_a_list_that_is_lost_says_so_and_does_not_count(job: Whole, tmp_path: Path) -> None:
    kept = attached(job, BEFORE).kept
    next(tmp_path.rglob(kept.sha256)).write_bytes(b"changed")
    (one,) = reads_of(job.bay, job.view)
    assert "shelf" in one.lost
    assert counting([one]) == ()


@pytest.mark.parametrize(
    ("data", "stage", "said"),
    [
        (b"module,code\nengine,P0104\n", None, "not said when it was read"),
        (BEFORE, Stage.AFTER_CLEAR, "the list says 'before'"),
        (b"module,code\nengine,PX104\n", Stage.BEFORE, "PX104"),
        (b"", Stage.BEFORE, "empty"),
    ],
)
def test_what_cannot_be_attached_is_said_and_nothing_is_logged(
    job: Whole, data: bytes, stage: Stage | None, said: str
) -> None:
    head = job.view.head
    found = attach(job.bay, job.job, data, name="list.csv", stage=stage)
    assert isinstance(found, tuple)
    assert any(said in str(one) for one in found), [str(one) for one in found]
    assert job.view.head == head


def test_a_job_that_is_not_here(job: Whole) -> None:
    assert isinstance(attach(job.bay, "job-none", BEFORE, name="x"), Closed)


def test_a_clear_is_an_event_with_the_list_that_was_saved_before_it(job: Whole) -> None:
    kept = attached(job, BEFORE).kept
    assert cleared(job.bay, job.job, before_sha256=kept.sha256, modules=["engine"], not_cleared=["radar"]) is None
    event = job.view.received[-1].event
    assert (event.kind, event.body["before_sha256"]) == (CODES_CLEARED, kept.sha256)
    assert event.body["not_cleared"] == ("radar",)
