"""`putback say`: what is said is shown, and counted by the rules of the bay page. The judge is the folded record."""

import json
import os
import pty
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from putback.adapters.car_file import demo_path
from putback.adapters.stores import open_store
from putback.bay import JobView, Opening, OpenJob
from putback.faces.cli.job_here import desk
from putback.faces.cli.say import command

COVER = "slam-cover"
"""An item of the demo: eight clips, joint j05, into C1."""


@pytest.fixture
def job(tmp_path: Path) -> str:
    """A job whose codes were read, which comes before all else."""
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        bay = desk(store, tmp_path / "files", cars={"demo": demo_path()})
        opened = bay.open_job(Opening(car="demo", wanted=(COVER,)))
        assert isinstance(opened, OpenJob)
        bay.log(opened.job, [("operation done", {"verb": "read codes before", "planned": 1})], person=None)
        return opened.job


def say(tmp_path: Path, job: str, *args: str, given: str = "") -> tuple[int, str]:
    place = [str(tmp_path / "store.db"), "--job", job, "--files", str(tmp_path / "files")]
    result = CliRunner().invoke(command, [*place, *args], input=given, standalone_mode=False)
    assert result.exception is None, result.output
    return result.return_value, result.output


def done(tmp_path: Path, job: str) -> list[dict[str, Any]]:
    with open_store(str(tmp_path / "store.db"), read_only=True) as store:
        view = desk(store, tmp_path / "files").view(job)
        assert isinstance(view, JobView)
        return [dict(one.event.body) for one in view.received if one.event.kind == "operation done"][1:]


def test_without_yes_nothing_counts_at_a_pipe(tmp_path: Path, job: str) -> None:
    code, told = say(tmp_path, job, given="eight clips off, slam panel top cover\n")
    assert code == 1
    assert "undo 8 × clip, slam-panel top cover → C1" in told
    assert done(tmp_path, job) == []


def test_what_is_asked_by_name_is_not_passed_by_yes(tmp_path: Path, job: str) -> None:
    """Nobody signed for the demo job: the bay page asks that once, so a pipe does not count."""
    code, told = say(tmp_path, job, "--yes", "eight clips off, slam panel top cover")
    assert (code, done(tmp_path, job)) == (1, [])
    assert "not counted" in told


def test_yes_counts_what_nothing_speaks_against(tmp_path: Path, job: str) -> None:
    code, told = say(tmp_path, job, "--yes", "--json", "two wing covers in")
    assert code == 0, told
    assert json.loads(told)["counted"] is True
    assert [(one["verb"], one["guard"], one["count"]) for one in done(tmp_path, job)] == [("guard", "wing-covers", 2)]


def test_another_count_is_not_counted_by_yes(tmp_path: Path, job: str) -> None:
    code, told = say(tmp_path, job, "--yes", "three wing covers in")
    assert (code, done(tmp_path, job)) == (1, [])
    assert "3 said, 2 in the plan" in told


def test_beside_the_plan(tmp_path: Path, job: str) -> None:
    code, told = say(tmp_path, job, "--yes", "moon hatch off")
    assert (code, done(tmp_path, job)) == (1, [])
    assert "beside the plan" in told


def test_no_such_job_and_nobody_of_that_name(tmp_path: Path, job: str) -> None:
    assert say(tmp_path, "none", "--yes", "x")[0] == 2
    code, told = say(tmp_path, job, "--who", "nobody", "x")
    assert code == 2
    assert "not known" in told


def test_at_a_terminal_a_hold_is_shown_and_passed_by_a_word(tmp_path: Path, job: str) -> None:
    """A real terminal: the same questions as on the page, each logged as passed."""
    near, far = pty.openpty()
    args = [str(tmp_path / "store.db"), "--job", job, "--files", str(tmp_path / "files")]
    call = f"command({args!r}, standalone_mode=False)"
    script = f"import sys; from putback.faces.cli.say import command; sys.exit({call})"
    process = subprocess.Popen([sys.executable, "-c", script], stdin=far, stdout=far, stderr=far)
    os.write(near, b"eight clips off, slam panel top cover\ny\n\x04")
    assert process.wait(60) == 0, os.read(near, 10_000).decode()
    os.close(far)
    os.close(near)
    assert [(one["verb"], one["joint"], one["count"]) for one in done(tmp_path, job)] == [("undo", "j05", 8)]
