"""Hand-over sheet, labels, and the ways to get the papers: by the command and by the pages."""

import io
import json
import subprocess
import sys
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pikepdf
import pytest

from bay.demo_record import ASKED, LIMIT, OWNER, Whole, opened, whole
from core.gates.bench import Bench
from faces.web.calling import Caller
from putback.adapters.stores import Store, open_store
from putback.bay.handover import HandOver, hand_over
from putback.bay.labels import Labels, labels_of
from putback.bay.papers import Source, source_of
from putback.core.operations import Operation, Verb
from putback.faces.pdf import handover_pdf, labels_pdf
from putback.faces.web import make_app

HOST = "127.0.0.1:8998"


def source(made: Whole) -> Source:
    return source_of(made.bay, made.view, made.plan)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("sheets")


@pytest.fixture(scope="module")
def store(folder: Path) -> Iterator[Store]:
    with open_store(str(folder / "store.db"), create=True) as made:
        yield made


@pytest.fixture(scope="module")
def demo(store: Store, folder: Path) -> Whole:
    return whole(store, folder)


@pytest.fixture(scope="module")
def sheet(demo: Whole) -> HandOver:
    return hand_over(source(demo))


@pytest.fixture(scope="module")
def labels(demo: Whole) -> Labels:
    return labels_of(source(demo))


def pages(content: bytes) -> int:
    with pikepdf.open(io.BytesIO(content)) as pdf:
        return len(pdf.pages)


def block(sheet: HandOver, title: str) -> str:
    return "\n".join(next(lines for name, lines in sheet.blocks if name.startswith(title)))


def test_the_sheet_of_the_demo_is_one_page_and_the_same_twice(sheet: HandOver) -> None:
    content = handover_pdf(sheet)
    assert pages(content) == 1
    assert handover_pdf(sheet) == content


def test_the_sheet_says_what_was_done_found_decided_and_left(sheet: HandOver) -> None:
    assert "Renewed: electric coolant pump, thermostat housing, thermostat insert." in block(sheet, "What was done")
    found = block(sheet, "What was found")
    assert f"Your answer: no: {OWNER}" in found
    assert "Note for the invoice: refit with new O-rings" in found
    assert "Taught again: steering angle centre" in block(sheet, "What to watch")
    left = block(sheet, "What nobody tested")
    assert "no code is no proof" in left
    assert "Tight, without a logged value: drain-plug O-ring radiator, M14 (jdR)." in left
    assert "Gates passed by override: 1" in left


def test_the_sum_is_that_of_its_lines(sheet: HandOver) -> None:
    """The demo's quote, in its README: 1435.40; the declined finding adds nothing."""
    assert sheet.total == LIMIT
    assert sum((Decimal(one.amount) for one in sheet.sums), Decimal(0)) == Decimal(LIMIT)


def test_a_yes_is_a_line_of_the_sum(tmp_path: Path) -> None:
    def also(bench: Bench, op: Operation) -> None:
        if op.verb is Verb.FIT and op.item == "pump":
            answer = {"finding": "pitted-bypass", "who": "owner-1", "channel": "telephone", "answer": "yes"}
            bench.log("answer given", **answer, amount=ASKED, currency="EUR", at=bench.now.isoformat())

    with open_store(str(tmp_path / "store.db"), create=True) as store:
        sheet = hand_over(source(whole(store, tmp_path, also=also)))
    assert sheet.total == ASKED
    assert sum((Decimal(one.amount) for one in sheet.sums), Decimal(0)) == Decimal(ASKED)
    assert pages(handover_pdf(sheet)) == 1


def test_a_job_without_intake_says_what_is_not_recorded(tmp_path: Path) -> None:
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        sheet = hand_over(source(opened(store, tmp_path)))
    facts = dict(sheet.facts)
    assert facts["for"] == facts["odometer"] == facts["keys"] == "not recorded"
    assert facts["closed"] == "not closed yet"
    assert sheet.total_says == "as quoted; nobody signed"
    assert "Road test: not recorded." in block(sheet, "What nobody tested")
    assert "Wanted, and not recorded as renewed" in block(sheet, "What was done")


def test_a_joint_to_check_again_is_on_the_sheet(tmp_path: Path) -> None:
    """The demo's left front wheel: recheck after 50 km, as its car file says (invented)."""
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        made = opened(store, tmp_path)
        for verb in ("undo", "tighten"):
            made.bench.log("operation done", verb=verb, item="wheel-left", joint="j11", count=5)
        made.keep()
        watch = block(hand_over(source(made)), "What to watch")
    assert "left front wheel: check tightness again (5 × M14), after 50km: to do." in watch


def test_every_tray_of_the_plan_has_its_label(labels: Labels, demo: Whole) -> None:
    assert [one.place for one in labels.labels] == [line.place for line in demo.plan.stow]
    counted = sum(content.count for one in labels.labels for content in one.contents)
    assert counted == sum(joint.count for line in demo.plan.stow for joint in line.joints)


def test_a_length_trap_is_marked_with_its_length(labels: Labels) -> None:
    k2 = next(one for one in labels.labels if one.place == "K2")
    long = next(content for content in k2.contents if content.kind == "M8x60")
    assert (long.trap, long.length_mm, long.count) == (True, 60.0, 1)
    clips = next(one for one in labels.labels if one.place == "A1").contents[0]
    assert (clips.trap, clips.length_mm) == (False, None)


def test_a_code_leads_to_the_car_or_says_job_and_place(demo: Whole, labels: Labels) -> None:
    assert labels.labels[0].points_to == f"{demo.job} A1"
    there = labels_of(source(demo), address="http://192.0.2.7:8070").labels[0].points_to
    assert there == f"http://192.0.2.7:8070/jobs/{demo.job}/car"


def test_labels_are_the_same_twice_and_a_few_sheets(labels: Labels) -> None:
    content = labels_pdf(labels)
    assert labels_pdf(labels) == content
    assert pages(content) == 3


def test_the_command_writes_all_three_the_same_each_time(demo: Whole, folder: Path) -> None:
    def run(to: str, *more: str) -> subprocess.CompletedProcess[str]:
        words = ["handover", str(folder / "store.db"), "--files", str(folder / "files"), "--to", str(folder / to)]
        code = "from putback.faces.cli.main import main; main()"
        return subprocess.run(
            [sys.executable, "-c", code, *words, *more], capture_output=True, text=True, check=False, timeout=120
        )

    first, second = run("one", "--job", demo.job, "--json"), run("two", "--job", demo.job)
    assert (first.returncode, second.returncode) == (0, 0), first.stderr + second.stderr
    told = json.loads(first.stdout)
    assert told["head"] == str(demo.view.head)
    assert set(told["files"]) == {"record", "handover", "labels"}
    for name in told["files"].values():
        assert (folder / "two" / Path(name).name).read_bytes() == Path(name).read_bytes()
    nobody = run("three", "--job", "job-nobody")
    assert nobody.returncode == 2
    assert demo.job in nobody.stderr
    assert not (folder / "three").exists()


def test_without_the_files_beside_the_store_it_says_so(demo: Whole, folder: Path) -> None:
    words = ["handover", str(folder / "store.db"), "--job", demo.job, "--files", str(folder / "none")]
    command = [sys.executable, "-c", "from putback.faces.cli.main import main; main()", *words]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60, cwd=folder)
    assert done.returncode == 3
    assert "bring the folder of files back" in done.stderr


def test_the_pages_give_the_papers(demo: Whole) -> None:
    client = Caller(app=make_app(demo.bay, hosts=[HOST]), host=HOST)
    for name in ("record", "handover", "labels"):
        answer = client.get(f"/jobs/{demo.job}/{name}.pdf")
        assert answer.status_code == 200
        assert answer.headers["content-type"] == "application/pdf"
        assert answer.headers["content-disposition"] == f'inline; filename="{name}-{demo.job}.pdf"'
        assert answer.content.startswith(b"%PDF-")
        assert f'href="/jobs/{demo.job}/{name}.pdf"' in client.get(f"/jobs/{demo.job}/record").text
    assert client.get(f"/jobs/{demo.job}/other.pdf").status_code == 404
    assert client.get("/jobs/job-nobody/record.pdf").status_code == 404
    assert client.get("/jobs/..%2f..%2fetc/record.pdf").status_code == 404
    assert client.post(f"/jobs/{demo.job}/record.pdf").status_code == 405
