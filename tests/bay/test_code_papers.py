"""Codes on paper: the job record and the hand-over say what the reads say, and what they leave open.

The lists and the 43.5 min are those of the invented demo and its README.
"""

import io
from collections.abc import Iterator
from pathlib import Path

import pikepdf
import pytest

from bay.demo_record import Whole, whole
from putback.adapters.car_file import demo_path
from putback.adapters.stores import open_store
from putback.bay.code_papers import SIMULATED
from putback.bay.code_reads import Attached, attach
from putback.bay.handover import hand_over
from putback.bay.papers import Source, job_record, source_of
from putback.faces.pdf import paper

DEMO = demo_path().parent
BEFORE, AFTER, DRIVE = ((DEMO / f"quillet.{which}.csv").read_bytes() for which in ("before", "after", "drive"))
SILENT = b"# stage: after put-back\n# modules answered: engine\n# modules silent: body\nmodule,code,status,text\n"


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Whole]:
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        yield whole(store, tmp_path)


def source(job: Whole, *lists: bytes) -> Source:
    for data in lists:
        assert isinstance(attach(job.bay, job.job, data, name="list.csv", person="p1"), Attached)
    return source_of(job.bay, job.view, job.plan)


def record_text(made: Source) -> str:
    return "\n".join(next(one for one in job_record(made).sections if one.id == "codes").texts())


def open_block(made: Source) -> str:
    return "\n".join(
        line for head, lines in hand_over(made).blocks if head.startswith("What nobody") for line in lines
    )


def test_the_record_holds_verdicts_causes_and_the_digest_of_each_read(job: Whole) -> None:
    made = source(job, BEFORE, AFTER)
    text = record_text(made)
    for words in (
        "P1F46-13",
        "caused",
        "not tested yet",
        "expected",
        "43.5 min",
        "shutter",
        "readiness",
        "still open",
    ):
        assert words in text
    for read in made.codes.reads:
        assert read.sha256[:16] in text
    assert SIMULATED not in text


def test_the_hand_over_gives_the_sum_and_every_open_point(job: Whole) -> None:
    made = source(job, BEFORE, AFTER)
    assert made.codes.held is not None
    text = open_block(made)
    assert made.codes.held.headline in text
    for point in made.codes.held.open_points:
        assert point in text
    assert "does not hold them" not in text


@pytest.mark.parametrize("lists", [(BEFORE, AFTER), (BEFORE, AFTER, DRIVE), (BEFORE, SILENT), (BEFORE,), (AFTER,), ()])
def test_no_paper_says_that_all_is_well(job: Whole, lists: tuple[bytes, ...]) -> None:
    made = source(job, *lists)
    text = f"{record_text(made)}\n{open_block(made)}".lower()
    for words in ("all clear", "no faults", "compliant", "safe "):
        assert words not in text
    if lists:
        assert "no proof" in text or "nothing can be said" in text


def test_a_silent_module_stands_on_both_papers(job: Whole) -> None:
    made = source(job, BEFORE, SILENT)
    for text in (record_text(made), open_block(made)):
        assert "not heard in the last read" in text
        assert "body" in text


def test_without_reads_the_papers_say_so_as_before(job: Whole) -> None:
    assert "not the codes" in record_text(source(job))


def test_a_lost_list_is_said_and_nothing_is_judged_in_its_stead(job: Whole, tmp_path: Path) -> None:
    made = source(job, BEFORE, AFTER)
    (tmp_path / "files" / made.codes.reads[0].sha256).unlink()
    again = source_of(job.bay, job.view, job.plan)
    assert again.codes.held is None
    assert "lost" in record_text(again)
    assert len(again.lists) == 1


def test_a_read_of_the_virtual_car_is_called_so(job: Whole) -> None:
    made = source(job, b"# bus: virtual car (simulated)\n# module engine: 7E0/7E8\n" + BEFORE, AFTER)
    assert SIMULATED in record_text(made)
    assert SIMULATED in open_block(made)


def test_the_lists_are_attached_byte_by_byte(job: Whole) -> None:
    source(job, BEFORE, AFTER)
    content = paper("record", job.bay, job.view, job.plan)
    with pikepdf.open(io.BytesIO(content)) as file:
        held = {name: bytes(one.get_file().read_bytes()) for name, one in file.attachments.items()}
    assert [held[name] for name in sorted(held) if name.startswith("codes-")] == [BEFORE, AFTER]
    assert "record.jsonl" in held


def test_the_hand_over_stays_one_page(job: Whole) -> None:
    source(job, BEFORE, AFTER)
    with pikepdf.open(io.BytesIO(paper("handover", job.bay, job.view, job.plan))) as file:
        assert len(file.pages) == 1
