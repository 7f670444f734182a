"""`putback codes`: two lists in, one table out, as the README of the demo data says."""

import json
import time
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from bay.demo_record import whole
from putback.adapters.car_file import demo_path
from putback.adapters.stores import open_store
from putback.faces.cli.codes import command

DEMO = demo_path().parent
BEFORE, AFTER, DRIVE = (str(DEMO / f"quillet.{which}.csv") for which in ("before", "after", "drive"))
JOB = ("--car", str(demo_path()), "--job", "thermostat-and-pump")


def run(*words: str) -> tuple[Any, str, str]:
    result = CliRunner().invoke(command, list(words), standalone_mode=False)
    assert result.exception is None, result.exception
    return result.return_value, result.stdout, result.stderr


def test_the_demo_as_json_in_time() -> None:
    """Verdicts and 43.5 min: README of the demo data; 5 s: the project's own limit."""
    began = time.monotonic()
    code, out, _ = run("compare", BEFORE, AFTER, *JOB, "--json")
    assert time.monotonic() - began < 5
    answer = json.loads(out)
    assert code == 1
    assert {"verdicts", "causes", "readiness", "unknown_modules"} <= set(answer)
    assert {"module", "code", "verdict", "why", "before", "after"} <= set(answer["verdicts"][0])
    assert {one["code"]: one["verdict"] for one in answer["verdicts"]} == {
        "C1D27-13": "already there",
        "B1E08-62": "not tested yet",
        "P1F46-13": "caused",
        "C1A90-54": "expected",
        "U1C33-87": "expected",
        "C1F02-54": "expected",
    }
    first = answer["causes"][0]
    assert (first["items"], first["circuits"], first["rank"], first["rework_minutes"]) == (
        ["shutter-plug"],
        ["shutter"],
        1,
        43.5,
    )
    assert answer["causes"][-1]["items"] == []
    assert answer["unknown_modules"] == []
    assert [one["module"] for one in answer["not_read"]] == ["restraints"]
    assert any("left impact-sensor connector" in point for point in answer["open"]), "names, not ids"


def test_the_demo_as_text() -> None:
    code, out, _ = run("compare", BEFORE, AFTER, DRIVE, *JOB)
    assert code == 1
    assert "3 have not run to their end" in out
    assert "gone, not proven" in out
    assert "all clear" not in out.lower()


def test_the_cause_with_its_weights() -> None:
    code, out, _ = run("cause", BEFORE, AFTER, *JOB, "--weight", "unplug=0.04")
    assert code == 1
    assert "shutter connector" in out
    assert "unplug 0.04" in out
    assert "no source" in out
    _, as_json, _ = run("cause", BEFORE, AFTER, *JOB, "--json")
    assert json.loads(as_json)["checks"][0]["item"] == "shutter-plug"


def test_a_job_by_its_operations(tmp_path: Path) -> None:
    place = tmp_path / "job.json"
    place.write_text(json.dumps([{"verb": "unplug", "item": "horn-plug"}]), encoding="utf-8")
    _, out, _ = run("compare", BEFORE, AFTER, "--car", str(demo_path()), "--job", str(place), "--json")
    answer = json.loads(out)
    assert [one["items"] for one in answer["causes"]] == [[]]
    assert sum(one["verdict"] == "caused" for one in answer["verdicts"]) == 4


def test_without_job_or_car_it_says_what_it_assumes() -> None:
    _, _, said = run("compare", BEFORE, AFTER, "--car", str(demo_path()))
    assert "every item and energy of the car file counts as disturbed" in said
    _, out, _ = run("compare", BEFORE, AFTER, "--json")
    answer = json.loads(out)
    assert answer["causes"] == []
    assert sum(one["verdict"] == "caused" for one in answer["verdicts"]) == 4


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("compare", "none.csv", AFTER), "cannot be opened"),
        (("compare", BEFORE, AFTER, "--car", str(demo_path()), "--job", "nothing"), "neither item nor service"),
        (("compare", BEFORE, AFTER, "--job", "horns"), "no car file"),
        (("compare", AFTER, BEFORE), "stands first"),
        (("compare", BEFORE, AFTER, *JOB, "--weight", "unplug"), "is no NAME=VALUE"),
        (("compare", BEFORE, AFTER, *JOB, "--region", "Harl"), "needs its table"),
        (("compare", BEFORE, AFTER, "--store", "x.db"), "no job of it"),
        (("cause", BEFORE, AFTER), "no car file is named"),
    ],
)
def test_what_cannot_be_served_is_said(words: tuple[str, ...], said: str) -> None:
    code, _, err = run(*words)
    assert code == 2
    assert said in err


def test_a_job_by_its_record(tmp_path: Path) -> None:
    """What was logged counts: the whole demo job disturbs the shutter plug."""
    place = tmp_path / "store.db"
    with open_store(str(place), create=True) as store:
        job = whole(store, tmp_path).job
    words = ("--store", str(place), "--files", str(tmp_path / "files"), "--job")
    _, out, _ = run("compare", BEFORE, AFTER, *words, job, "--json")
    first = json.loads(out)["causes"][0]
    assert (first["items"], first["rework_minutes"]) == (["shutter-plug"], 43.5)
    code, _, err = run("compare", BEFORE, AFTER, *words, "no such job")
    assert code == 2
    assert "no such job" in err


def test_lists_are_attached_to_a_job_and_compared_from_its_record(tmp_path: Path) -> None:
    place = tmp_path / "store.db"
    with open_store(str(place), create=True) as store:
        job = whole(store, tmp_path).job
    here = ("--store", str(place), "--files", str(tmp_path / "files"), "--job", job)
    code, _, err = run("compare", *here)
    assert code == 2
    assert "putback codes attach" in err
    for path, stage in ((BEFORE, "before"), (AFTER, "after put-back")):
        code, out, _ = run("attach", path, *here)
        assert (code, f"as read {stage}" in out) == (0, True)
    code, out, _ = run("compare", *here, "--json")
    answer = json.loads(out)
    assert (code, answer["causes"][0]["items"], answer["causes"][0]["rework_minutes"]) == (1, ["shutter-plug"], 43.5)
    code, _, err = run("attach", AFTER, *here, "--stage", "before")
    assert code == 2
    assert "the list says 'after put-back'" in err


def test_a_list_behind_one_of_a_later_stage_is_remarked() -> None:
    _, _, err = run("compare", BEFORE, DRIVE, AFTER, *JOB)
    assert "stands behind a list read 'after road test'" in err


def test_thousands_of_codes_are_compared_in_seconds(tmp_path: Path) -> None:
    """The same work is done for each code once, however many there are: twice the codes, about twice the time."""
    codes = [f"{system}{number:04X}" for system in "PCBU" for number in range(2, 0x1000, 2)]
    for stage in ("before", "after put-back"):
        lines = "".join(f"engine,{code},2F,\n" for code in codes)
        (tmp_path / f"{stage}.csv").write_text(f"# stage: {stage}\nmodule,code,status,text\n{lines}")
    code, out, _ = run("compare", str(tmp_path / "before.csv"), str(tmp_path / "after put-back.csv"), "--json")
    assert code == 0 or json.loads(out)["open"]
    assert len(json.loads(out)["verdicts"]) == len(codes)


def test_a_table_that_nobody_can_read_is_cut_and_says_so(tmp_path: Path) -> None:
    """The worst lines stay; what is left out is counted; a long text is cut; no cause is looked for among so many."""
    codes = [f"P{number:04X}" for number in range(2, 0x1000, 2)]
    old = "".join(f"engine,{code},2F,\n" for code in codes[:1000])
    new = "".join(f"engine,{code},{'2F' if code == codes[-1] else '50'},{'x' * 900}\n" for code in codes[:-1])
    new += "".join(f"brake,C{code[1:]},2F,\n" for code in codes[:350])
    (tmp_path / "a.csv").write_text(
        f"# stage: before\n# modules answered: engine, brake\nmodule,code,status,text\n{old}"
    )
    (tmp_path / "b.csv").write_text(f"# stage: after put-back\nmodule,code,status,text\n{new}")
    files = (str(tmp_path / "a.csv"), str(tmp_path / "b.csv"))
    code, out, _ = run("compare", *files, *JOB)
    words = " ".join(out.split())
    assert code == 1
    assert "1150 more lines are left out here: 150 caused, 1000 not tested yet. All of them: --json." in words
    assert "350 new codes are more than 300, and no single cause is looked for" in words
    assert out.count("\n") < 1000
    _, out, _ = run("compare", *files, *JOB, "--json")
    answer = json.loads(out)
    assert len(answer["verdicts"]) == 1350
    assert (answer["too_many_to_explain"], answer["causes"]) == (True, [])
    code, _, err = run("cause", *files, *JOB)
    assert code == 3
    assert "350 new codes" in err


def test_a_list_that_is_named_twice_is_remarked() -> None:
    _, _, err = run("compare", BEFORE, AFTER, AFTER, *JOB)
    assert "it holds the same as" in err
    _, _, err = run("compare", BEFORE, AFTER, *JOB)
    assert "it holds the same as" not in err
