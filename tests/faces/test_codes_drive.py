"""`codes watch` and `codes drive`: a drive in the terminal, as JSON, as a page and as a picture. All invented."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import click
import pytest
from click.testing import CliRunner

from drives import bench_of, write_drive
from putback.adapters.bus.watch import Wish, watch
from putback.adapters.drive_log import read_drive_log
from putback.core.codes.drive.log import Drive, Record, drive_of
from putback.faces.cli.codes_watch import drive_command, watch_command


def run(command: click.Command, *words: str) -> tuple[Any, str, str]:
    result = CliRunner().invoke(command, list(words), standalone_mode=False)
    assert result.exception is None, result.exception
    return result.return_value, result.stdout, result.stderr


def driven(seconds: float, **engine: Any) -> Drive:
    bench, _ = bench_of(**engine)
    kept: list[Record] = []
    watch(bench, Wish(seconds=seconds, every_s=0.5), kept.append, clock=bench.clock)
    return drive_of(kept, name="")


@pytest.fixture(scope="module")
def logs(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str]:
    folder = tmp_path_factory.mktemp("drives")
    write_drive(folder / "before.csv", driven(600.0, false_air=True, misfires=b"\x00\x07"), stage="before")
    write_drive(folder / "after.csv", driven(600.0, misfires=b"\x00\x00"), stage="after road test")
    return str(folder / "before.csv"), str(folder / "after.csv")


def test_two_drives_in_the_terminal(logs: tuple[str, str]) -> None:
    code, out, err = run(drive_command, *logs)
    assert (code, err) == (0, "")
    assert "short and long term fuel trim, bank 1 [%]" in out
    assert "too few visits" in out
    assert "not run" in out
    assert "would still leave nought out by chance" in out
    for word in (" ok", "fine", "passed", "good", "healthy"):
        assert word not in out.lower()


def test_two_drives_as_json(logs: tuple[str, str]) -> None:
    code, out, _ = run(drive_command, *logs, "--json")
    answer = json.loads(out)
    assert code == 0
    sums = answer["channels"][0]
    assert sums["pid"] == "06+07"
    for row in sums["bins"]:
        assert set(row["visits"]) == set(row["samples"]) == {"before", "after"}
        assert (row["mean"] is None) == (row["spread"] is None) == bool(row["too_few"])
    idle = next(row for row in sums["bins"] if row["bin"].startswith("load 20–30 %, standing"))
    assert idle["mean"]["interval"][0] < -14 + 0.4
    assert idle["mean"]["difference"] == pytest.approx(-14, abs=0.5)
    assert [(one["before"], one["after"], one["after_is"]) for one in answer["misfires"]] == [(7, None, "not run")] * 4
    assert answer["settings_source"] == "common practice, no source"


def test_pictures_and_page(logs: tuple[str, str], tmp_path: Path) -> None:
    html, svg = tmp_path / "d.html", tmp_path / "d.svg"
    code, _, _ = run(drive_command, *logs, "--html", str(html), "--svg", str(svg))
    assert code == 0
    ElementTree.fromstring(svg.read_text("utf-8"))
    text = html.read_text("utf-8")
    assert text.count("<svg") == 1 + 1 + 6  # the sum, misfires, and six channels that are no axis
    assert "<script" not in text
    assert "after: not run" in text


def test_settings_can_be_changed(logs: tuple[str, str]) -> None:
    _, out, _ = run(drive_command, *logs, "--json", "--setting", "visits=50")
    assert all(row["mean"] is None for one in json.loads(out)["channels"] for row in one["bins"])
    code, _, err = run(drive_command, *logs, "--setting", "visits=1", "--setting", "width=3", "--setting", "x")
    assert code == 2
    assert len(err.splitlines()) == 3


def test_wrong_way_round_is_said(logs: tuple[str, str]) -> None:
    _, _, err = run(drive_command, *reversed(logs))
    assert "is BEFORE named first?" in err


def test_a_log_without_speed_cannot_be_compared(logs: tuple[str, str], tmp_path: Path) -> None:
    read = read_drive_log(Path(logs[0])).drive
    assert read is not None
    write_drive(tmp_path / "b.csv", Drive(name="", series={key: of for key, of in read.series.items() if key != "0D"}))
    code, out, err = run(drive_command, logs[0], str(tmp_path / "b.csv"))
    assert code == 3
    assert "nothing can be matched without speed (PID 0D) after; log PIDs 04, 05 and 0D in both drives" in err
    assert "[%]" not in out


def test_both_bad_logs_are_told_at_once(tmp_path: Path) -> None:
    for name in ("a.csv", "b.csv"):
        (tmp_path / name).write_text("time_s,pid,value,unit\n1,0C,x,1/min\n", encoding="utf-8")
    code, out, err = run(drive_command, str(tmp_path / "a.csv"), str(tmp_path / "b.csv"), "--json")
    assert code == 2
    assert len(err.splitlines()) == len(json.loads(out)["findings"]) == 2


def test_a_drive_of_the_virtual_car(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    words = (
        str(path),
        "--virtual-car",
        "--seconds",
        "2",
        "--pid",
        "0C",
        "--pid",
        "0d",
        "--pid",
        "5C",
        "--stage",
        "before",
    )
    code, out, err = run(watch_command, *words)
    assert code == 0
    assert "The driver does not look at this" in err
    assert "PID 5C is not supported by this module" in err
    assert "engine speed" in out
    read = read_drive_log(path)
    assert read.findings == ()
    assert read.drive is not None
    assert {"0C", "0D"} <= set(read.drive.series)
    assert read.drive.facts["ended"] == "at its time"
    assert run(watch_command, *words)[0] == 2  # it is there already, and is not written over


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ((), "no bus is named"),
        (("--virtual-car", "--pid", "0"), "is no PID"),
        (("--virtual-car", "--pid", "03"), "not known here as a figure"),
        (("--virtual-car", "--module", "engine"), "is no pair of ids"),
    ],
)
def test_a_wrong_call_leaves_no_file(tmp_path: Path, words: tuple[str, ...], what: str) -> None:
    code, _, err = run(watch_command, str(tmp_path / "a.csv"), *words)
    assert code == 2
    assert what in err
    assert list(tmp_path.iterdir()) == []


def test_a_module_that_is_not_there_leaves_no_file(tmp_path: Path) -> None:
    code, _, err = run(
        watch_command, str(tmp_path / "a.csv"), "--virtual-car", "--module", "7E1/7E9", "--seconds", "2"
    )
    assert code == 3
    assert "nothing was logged" in err
    assert list(tmp_path.iterdir()) == []


CALL = (
    "import sys; from putback.faces.cli.codes_watch import watch_command as w; sys.exit(w.main(standalone_mode=False))"
)


def test_ctrl_c_keeps_the_log(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    child = subprocess.Popen(
        [sys.executable, "-c", CALL, str(path), "--virtual-car"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    deadline = time.monotonic() + 30
    while time.monotonic() < deadline and not (path.exists() and path.read_text("utf-8").count("\n") > 60):
        time.sleep(0.05)
    os.kill(child.pid, signal.SIGINT)
    out, err = child.communicate(timeout=20)
    assert child.returncode == 130, err
    assert str(path) in out
    read = read_drive_log(path)
    assert read.findings == ()
    assert read.drive is not None
    assert read.drive.facts["ended"] == "stopped"
    assert len(read.drive.series["0D"]) > 3
