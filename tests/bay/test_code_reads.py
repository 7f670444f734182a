"""A read that is attached to a job: its bytes, its event, what counts. The lists are those of the invented demo."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from bay.demo_record import Whole, desk, whole
from putback.adapters.car_file import demo_path
from putback.adapters.stores import open_store
from putback.bay import Closed, Opening, OpenJob
from putback.bay.code_compare import held_against
from putback.bay.code_job import Job, job_of_view
from putback.bay.code_reads import Attached, KeptRead, attach, cleared, counting, read_before, reads_of
from putback.core.codes.lists.listing import Stage
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
    assert [str(one.stage) for one in kept.reads] == ["before", "after put-back"]
    named = job_of_view(job.bay, job.view)
    assert isinstance(named, Job)
    held = held_against(kept.listings, job=named)
    assert held.diagnosis is not None
    first = held.diagnosis.explanations[0]
    assert (first.items, first.rework_minutes) == (("shutter-plug",), 43.5)


def test_the_first_whole_read_from_before_counts_and_later_ones_do_not(job: Whole) -> None:
    attached(job, BEFORE)
    attached(job, BEFORE + b"engine,P0104,2F,later\n")
    attached(job, AFTER)
    attached(job, DRIVE)
    kept = counting(reads_of(job.bay, job.view))
    assert [str(one.stage) for one in kept.reads] == ["before", "after put-back", "after road test"]
    assert len(kept.listings[0].listed) == 2


def test_a_stopped_read_is_no_read_of_the_plan_and_gives_way_to_a_whole_one(job: Whole) -> None:
    whole_text = b"# stage: before\n# module engine: 7E0/7E8\n# modules answered: engine\nmodule,code,status,text\n"
    before = sum(op.verb is Verb.READ_BEFORE for op in job.view.now.folded.operations)
    stopped = attached(job, whole_text.replace(b"before\n", b"before\n# stopped: by hand\n")).kept
    assert stopped.stopped == "by hand"
    assert sum(op.verb is Verb.READ_BEFORE for op in job.view.now.folded.operations) == before
    whole_one = attached(job, whole_text).kept
    attached(job, AFTER)
    assert counting(reads_of(job.bay, job.view)).reads[0].event == whole_one.event


def test_of_reads_before_anything_is_touched_the_last_counts(tmp_path: Path) -> None:
    """A read that was made again, with a sweep for one, is the better one as long as nothing was touched."""
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        bay = desk(store, tmp_path)
        opened = bay.open_job(Opening(car=demo_path().name, wanted=("thermostat-and-pump",)))
        assert isinstance(opened, OpenJob)
        short = b"# stage: before\n# modules answered: engine\nmodule,code,status,text\n"
        for data in (short, BEFORE):
            assert isinstance(attach(bay, opened.job, data, name="x"), Attached)
        bay.log(opened.job, [("operation done", {"verb": "unplug", "item": "shutter-plug"})], person=None)
        assert isinstance(attach(bay, opened.job, short, name="x"), Attached)
        view = bay.view(opened.job)
        assert not isinstance(view, Closed)
        kept = reads_of(bay, view)
        assert [one.untouched for one in kept] == [True, True, False]
        counts = read_before(kept)
        assert counts is not None
        assert counts.event == kept[1].event


def spoil(folder: Path, kept: KeptRead) -> None:
    next(folder.rglob(kept.sha256)).write_bytes(b"changed")


def test_no_later_read_stands_in_for_the_lost_one_from_before(job: Whole, tmp_path: Path) -> None:
    """A second read "before" may hold codes of the work: judged by it, they would be acquitted."""
    first = attached(job, BEFORE).kept
    attached(job, BEFORE + b"engine,P1F46-13,2F,\n")
    attached(job, AFTER)
    spoil(tmp_path, first)
    kept = counting(reads_of(job.bay, job.view))
    assert kept.listings == ()
    assert first.sha256[:12] in kept.why_not
    attached(job, BEFORE)
    assert len(counting(reads_of(job.bay, job.view)).listings) == 2


def test_no_older_read_stands_in_for_the_lost_newest(job: Whole, tmp_path: Path) -> None:
    attached(job, BEFORE)
    attached(job, AFTER)
    last = attached(job, DRIVE).kept
    spoil(tmp_path, last)
    assert counting(reads_of(job.bay, job.view)).listings == ()


def test_a_lost_read_in_between_is_remarked(job: Whole, tmp_path: Path) -> None:
    attached(job, BEFORE)
    middle = attached(job, AFTER).kept
    attached(job, DRIVE)
    spoil(tmp_path, middle)
    kept = counting(reads_of(job.bay, job.view))
    assert len(kept.listings) == 2
    assert any("shelf" in one.what for one in kept.remarks)


def test_reads_attached_out_of_order_are_remarked(job: Whole) -> None:
    for data in (BEFORE, DRIVE, AFTER):
        attached(job, data)
    assert any("stands behind" in one.what for one in counting(reads_of(job.bay, job.view)).remarks)


def test_a_stage_that_only_the_caller_said_counts(job: Whole) -> None:
    """Without it a comparison would not know that codes were cleared in between."""
    found = attach(job.bay, job.job, b"module,code\nengine,P0104\n", name="x.csv", stage=Stage.AFTER_CLEAR)
    assert isinstance(found, Attached)
    assert found.kept.listing.stage == "after clear"


def test_each_read_after_the_work_is_done_anew_and_one_before_it_once(job: Whole) -> None:
    def times(verb: Verb) -> int:
        return sum(op.verb is verb for op in job.view.now.folded.operations)

    before, after = times(Verb.READ_BEFORE), times(Verb.READ_AFTER)
    for data in (BEFORE, AFTER, BEFORE, AFTER):
        attached(job, data)
    assert times(Verb.READ_BEFORE) == max(before, 1)
    assert times(Verb.READ_AFTER) == after + 2


def test_a_list_in_which_nobody_answered_pays_no_debt(job: Whole) -> None:
    def times() -> int:
        return sum(op.verb is Verb.READ_AFTER for op in job.view.now.folded.operations)

    before = times()
    attached(job, b"# stage: after put-back\n# modules answered:\n# modules silent: engine\nmodule,code,status,text\n")
    assert times() == before


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


def test_a_clear_rests_on_a_read_of_this_job_alone(job: Whole) -> None:
    head = job.view.head
    refused = cleared(job.bay, job.job, before_sha256="0" * 64, modules=["engine"])
    assert isinstance(refused, Closed)
    assert "no read with the SHA-256 000000000000 is attached" in refused.what
    assert job.view.head == head
    assert isinstance(cleared(job.bay, "job-none", before_sha256="0" * 64, modules=[]), Closed)


def test_the_same_bytes_attached_twice_are_remarked(job: Whole) -> None:
    assert not attached(job, BEFORE).notes
    (note,) = attached(job, BEFORE).notes
    assert "the same bytes are attached already, as the list read before" in str(note)
