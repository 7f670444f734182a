"""`putback codes read` and `clear` on the virtual car, which is invented."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import can
import pytest
from click.testing import CliRunner

from bay.demo_record import whole
from putback.adapters.car_file import demo_path
from putback.adapters.code_lists import read_code_list
from putback.adapters.stores import open_store
from putback.adapters.virtual_car import PAIRS, Handle, started
from putback.core.codes.lists.listing import Stage
from putback.faces.cli.codes import command

DEMO = demo_path().parent
SILENT = {"camera"}
REFUSES = {"parking"}
NOT_STANDARD = ("brake", "body", "chassis", "radar", "restraints", "instruments")
HEARD = tuple(sorted(PAIRS[name].answer_text for name in NOT_STANDARD))
"""Those that answer a request to all under ids that the standard pairs with none: docs/virtual-car.md."""


def run(*words: object, typed: str = "") -> tuple[Any, str, str]:
    result = CliRunner().invoke(command, list(map(str, words)), input=typed, standalone_mode=False)
    assert result.exception is None, result.exception
    return result.return_value, result.stdout, result.stderr


@pytest.fixture
def car() -> Iterator[Handle]:
    with started() as handle:
        yield handle


def bus_of(handle: Handle) -> tuple[str, ...]:
    port = handle.options["port"]
    return ("--interface", handle.interface, "--channel", f"{handle.channel}:{port}", "--bus-option", "hop_limit=0")


@pytest.fixture
def like(tmp_path: Path) -> Path:
    """A list that says by which ids the modules are spoken to, and nothing else; made by hand."""
    place = tmp_path / "ids.csv"
    lines = [f"# module {name}: {pair}" for name, pair in PAIRS.items()]
    place.write_text("\n".join(["# stage: before", *lines, "module,code,status,text", ""]))
    return place


def test_the_modules_of_a_list_are_read_and_saved(car: Handle, like: Path, tmp_path: Path) -> None:
    out = tmp_path / "before.csv"
    code, text, err = run("read", out, "--stage", "before", "--like", like, *bus_of(car))
    assert code == 1  # two are unknown
    assert "maker's publication" in err
    assert "unknown: silent" in text
    assert "conditions are not right (7F 19 22)" in text
    found = read_code_list(out)
    assert found.listing is not None
    assert found.read is not None
    assert found.listing.silent == SILENT | REFUSES
    assert found.listing.answered == frozenset(PAIRS) - SILENT - REFUSES
    assert found.read.vin == "9ZZXA00A3T0000001"
    demo = read_code_list(DEMO / "quillet.before.csv").listing
    assert demo is not None
    assert {(one.module, one.code, one.bits) for one in found.listing.listed} == {
        (one.module, one.code, one.bits) for one in demo.listed
    }
    assert found.listing.readiness == demo.readiness


def test_before_work_and_after_are_compared(car: Handle, like: Path, tmp_path: Path) -> None:
    """The shutter plug is left open: README of the demo data, 43.5 minutes."""
    before, after = tmp_path / "before.csv", tmp_path / "after.csv"
    run("read", before, "--stage", "before", "--like", like, *bus_of(car))
    car.tell(power_was_off=True, moved={"radar"}, left_open={"shutter-plug"})
    run("read", after, "--stage", "after put-back", "--like", before, "--since", "12 V was off", *bus_of(car))
    job = ("--car", demo_path(), "--job", "thermostat-and-pump")
    code, text, _ = run("compare", before, after, *job, "--json")
    answer = json.loads(text)
    assert code == 1
    verdicts = {one["code"]: one["verdict"] for one in answer["verdicts"]}
    assert verdicts["P1F46-13"] == "caused"
    assert verdicts["C1D27-13"] == "already there"
    assert answer["causes"][0]["items"] == ["shutter-plug"]
    assert answer["causes"][0]["rework_minutes"] == 43.5
    assert set(answer["unknown_modules"]) == SILENT | REFUSES
    assert any("12 V was off" in sign for sign in answer["erased"])


def test_as_json_with_every_frame_kept(car: Handle, like: Path, tmp_path: Path) -> None:
    out, frames = tmp_path / "before.csv", tmp_path / "read.log"
    words = ("--like", like, "--frames", frames, "--json", *bus_of(car))
    code, text, _ = run("read", out, "--stage", "before", *words)
    answer = json.loads(text)
    assert code == 1
    assert {one["module"]: one["how"] for one in answer["modules"]}["brake"] == "answered"
    assert set(answer["unknown_modules"]) == SILENT | REFUSES
    with can.LogReader(frames) as reader:
        heard = [frame.arbitration_id for frame in reader]
    assert heard.count(0x7E0) < heard.count(0x7E8) + 20
    assert {pair.request for pair in PAIRS.values()} <= set(heard)


def test_without_hardware_a_virtual_car_is_read(like: Path, tmp_path: Path) -> None:
    out = tmp_path / "before.csv"
    code, text, _ = run("read", out, "--stage", "before", "--virtual-car", "--like", like)
    assert code == 1
    assert "virtual car (simulated)" in text
    read = read_code_list(out).read
    assert read is not None
    assert read.bus == "virtual car (simulated)"


def test_a_virtual_car_of_a_file_that_is_none(like: Path, tmp_path: Path) -> None:
    words = ("--virtual-car", "--like", like, "--car", tmp_path / "none.car.yaml")
    code, _, err = run("read", tmp_path / "before.csv", "--stage", "before", *words)
    assert code == 3
    assert "none.car.yaml" in err


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ((), 2, "no bus is named"),
        (("--interface", "nosuch"), 3, "is no interface of python-can"),
        (("--interface", "socketcan", "--channel", "none0"), 3, "cannot be opened"),
        (("--interface", "virtual", "--timing", "p3_s=1"), 2, "there is no 'p3_s'"),
        (("--interface", "virtual", "--timing", "p2_s=-1"), 2, "p2_s cannot be -1"),
        (("--interface", "virtual", "--bus-option", "port"), 3, "is no option of an interface"),
        (("--interface", "virtual", "--frames", "read.doc"), 3, "is no kind of frame log"),
        (("--virtual-car", "--interface", "virtual"), 2, "a bus is named as well"),
        (("--interface", "virtual", "--sweep", "11"), 2, "nobody says that the vehicle stands still"),
        (("--interface", "virtual", "--like", "none.csv"), 2, "none.csv"),
        (("--interface", "virtual", "--job", "job.json"), 2, "no car file"),
    ],
)
def test_a_call_that_cannot_be_done_says_why(tmp_path: Path, words: tuple[str, ...], code: int, said: str) -> None:
    out = tmp_path / "before.csv"
    found, _, err = run("read", out, "--stage", "before", *words)
    assert said in err
    assert found == code
    assert not out.exists()


def test_a_list_without_ids_cannot_be_asked_again(tmp_path: Path) -> None:
    words = ("--interface", "virtual", "--like", DEMO / "quillet.before.csv")
    code, _, err = run("read", tmp_path / "new.csv", "--stage", "before", *words)
    assert code == 2
    assert "does not say by which ids" in err


def test_an_existing_list_stays(tmp_path: Path, like: Path) -> None:
    words = ("--interface", "virtual", "--like", like)
    code, _, err = run("read", like, "--stage", "before", *words)
    assert code == 2
    assert "--force" in err


OPEN = [{"n": 1, "verb": "remove", "item": "service-disconnect", "zone": "B"}]


def test_no_session_and_no_sweep_while_a_high_voltage_connector_is_open(
    car: Handle, like: Path, tmp_path: Path
) -> None:
    job = tmp_path / "job.json"
    job.write_text(json.dumps({"operations": OPEN}))
    out = tmp_path / "before.csv"
    words = ("--car", demo_path(), "--job", job, *bus_of(car))
    run("read", out, "--stage", "before", "--like", like, *words)
    read = read_code_list(out).read
    assert read is not None
    instruments = next(one for one in read.modules if one.module == "instruments")
    assert "7F 19 7F" in instruments.said[0]
    assert any("was not asked for; open in the job" in note for note in instruments.notes)
    code, _, err = run("read", tmp_path / "more.csv", "--stage", "before", "--sweep", "11", "--stationary", *words)
    assert code == 2
    assert "open in the job" in err


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C is sent as a signal")
def test_ctrl_c_keeps_what_has_come(car: Handle, like: Path, tmp_path: Path) -> None:
    out = tmp_path / "before.csv"
    run_main = "from putback.faces.cli.main import main; main()"
    words = ["codes", "read", str(out), "--stage", "before", "--like", str(like), *bus_of(car)]
    slow = ["--timing", "p2_s=20"]  # the silent camera would take minutes
    with subprocess.Popen(
        [sys.executable, "-c", run_main, *words, *slow], stderr=subprocess.PIPE, stdout=subprocess.PIPE
    ) as process:
        time.sleep(3.0)
        os.kill(process.pid, signal.SIGINT)
        _, err = process.communicate(timeout=30)
    assert process.returncode == 130, err.decode()
    found = read_code_list(out)
    assert found.read is not None
    assert found.read.stopped == "stopped before every module was asked"
    assert found.listing is not None
    assert "engine" in (found.listing.answered or ())
    assert "camera" in found.listing.silent


# clearing


def saved(car: Handle, like: Path, tmp_path: Path) -> Path:
    """A read of this very car, without the two modules that are unknown."""
    ids = tmp_path / "heard.csv"
    kept = [line for line in like.read_text().splitlines() if not any(name in line for name in SILENT | REFUSES)]
    ids.write_text("\n".join([*kept, ""]))
    before = tmp_path / "before.csv"
    code, _, _ = run("read", before, "--stage", "before", "--like", ids, *bus_of(car))
    assert code == 0
    return before


def codes_now(car: Handle, before: Path, tmp_path: Path) -> set[str]:
    out = tmp_path / "now.csv"
    run("read", out, "--stage", "after clear", "--like", before, "--force", *bus_of(car))
    listing = read_code_list(out).listing
    assert listing is not None
    return {one.code for one in listing.listed if one.failing}


def test_codes_are_cleared_by_the_word(car: Handle, like: Path, tmp_path: Path) -> None:
    before = saved(car, like, tmp_path)
    assert codes_now(car, before, tmp_path)
    code, text, _ = run("clear", "--before", before, *bus_of(car), typed="clear\n")
    assert "chassis C1D27-13, status 2B" in text
    assert "8 of 8 complete now, none after it" in text
    assert "body: it says that it has cleared its codes" in text
    assert "read again" in text
    assert code in (0, 1)
    assert "B1E08-62" not in codes_now(car, before, tmp_path)


@pytest.mark.parametrize("typed", ["", "no\n", "cl\n"])
def test_anything_but_the_word_clears_nothing(car: Handle, like: Path, tmp_path: Path, typed: str) -> None:
    before = saved(car, like, tmp_path)
    was = codes_now(car, before, tmp_path)
    result = CliRunner().invoke(command, ["clear", "--before", str(before), *bus_of(car)], input=typed)
    assert result.exit_code != 0 or "nothing was cleared" in result.output
    assert codes_now(car, before, tmp_path) == was


def test_clearing_as_json(car: Handle, like: Path, tmp_path: Path) -> None:
    before = saved(car, like, tmp_path)
    _, text, err = run("clear", "--before", before, "--yes-clear", "--json", *bus_of(car))
    answer = json.loads(text)
    assert {one["module"] for one in answer["modules"]} == set(PAIRS) - SILENT - REFUSES
    assert {one["code"] for one in answer["destroyed"]["codes"]} == {"C1D27-13", "B1E08-62"}
    assert "destroys for good" in err


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("9ZZXA00A3T0000001", "9ZZXA00A5T0000002", "is of the vehicle number 9ZZXA00A5T0000002"),
        ("# stage: before", f"# stage: {Stage.AFTER_CLEAR}", "not before the work"),
        ("# stage: before", "# stage: before\n# modules partial: brake", "the list was cut off of: brake"),
        ("# stage: before", "# stage: before\n# stopped: by hand", "is not whole: by hand"),
        ("# module brake: 713/77D", "# module brake: 714/77E", "answered before"),
    ],
)
def test_a_list_that_does_not_fit_clears_nothing(
    car: Handle, like: Path, tmp_path: Path, old: str, new: str, said: str
) -> None:
    before = saved(car, like, tmp_path)
    wrong = tmp_path / "wrong.csv"
    wrong.write_text(before.read_text().replace(old, new))
    if "714/77E" in new:
        wrong.write_text(
            wrong.read_text().replace("# module instruments: 714/77E\n", "").replace("714/77E", "704/70E")
        )
    code, _, err = run("clear", "--before", wrong, "--yes-clear", *bus_of(car))
    assert said in err
    assert code == 3


def test_nothing_is_cleared_while_a_connector_is_open(car: Handle, like: Path, tmp_path: Path) -> None:
    before = saved(car, like, tmp_path)
    job = tmp_path / "job.json"
    job.write_text(json.dumps({"operations": OPEN}))
    words = ("--car", demo_path(), "--job", job)
    code, _, err = run("clear", "--before", before, "--yes-clear", *words, *bus_of(car))
    assert code == 3
    assert "open in the job" in err


# finding the modules


def test_modules_are_found_by_a_sweep_and_read(car: Handle, tmp_path: Path) -> None:
    out = tmp_path / "before.csv"
    code, text, _ = run("read", out, "--stage", "before", "--sweep", "11", "--stationary", *bus_of(car))
    assert code == 1  # one refuses
    assert "unknown: refused" in text
    read = read_code_list(out).read
    assert read is not None
    assert read.pairs.items() >= {(name, pair) for name, pair in PAIRS.items() if name not in SILENT | REFUSES}


def test_without_a_sweep_modules_under_other_ids_are_said_to_be_unknown(car: Handle, tmp_path: Path) -> None:
    out = tmp_path / "before.csv"
    code, text, _ = run("read", out, "--stage", "before", *bus_of(car))
    assert code == 1
    assert "module answering under 77D" in text
    assert "read again, with --sweep 11 --stationary" in text
    read = read_code_list(out).read
    assert read is not None
    assert set(read.pairs) == {"engine", "gateway"}
    assert read.unasked == HEARD


def test_two_reads_of_two_modules_never_leave_nothing_open(car: Handle, tmp_path: Path) -> None:
    """Eight of ten modules were heard or silent and not read: they are open, with and without --like."""
    before, after, like = tmp_path / "before.csv", tmp_path / "after.csv", tmp_path / "like.csv"
    run("read", before, "--stage", "before", *bus_of(car))
    run("read", after, "--stage", "after put-back", *bus_of(car))
    code, text, _ = run("read", like, "--stage", "after put-back", "--like", before, "--json", *bus_of(car))
    names = {f"module answering under {id}" for id in HEARD}
    assert code == 1
    assert set(json.loads(text)["unknown_modules"]) == names
    for later in (after, like):
        code, text, _ = run("compare", before, later, "--json")
        answer = json.loads(text)
        assert code == 1
        assert set(answer["unknown_modules"]) == names
        assert any("not asked" in point for point in answer["open"])


def test_where_nobody_answers_nothing_is_saved(tmp_path: Path) -> None:
    out = tmp_path / "before.csv"
    code, _, err = run("read", out, "--stage", "before", "--interface", "virtual", "--channel", "nobody")
    assert code == 3
    assert "no module answered" in err
    assert not out.exists()


# the record of a job


def test_a_read_is_attached_and_a_clear_is_logged(car: Handle, like: Path, tmp_path: Path) -> None:
    place = tmp_path / "store.db"
    with open_store(str(place), create=True) as store:
        job = whole(store, tmp_path).job
    here = ("--store", place, "--files", tmp_path / "files", "--job", job)
    before = saved(car, like, tmp_path)
    code, _, err = run("clear", "--before", before, "--yes-clear", *here, *bus_of(car))
    assert code == 3
    assert "nothing is cleared: no read with the SHA-256" in err
    code, text, err = run("read", before, "--stage", "before", "--like", before, "--force", *here, *bus_of(car))
    assert (code, err.count("\n")) == (0, 1), err
    assert f"Attached to the job {job}." in text
    run("clear", "--before", before, "--yes-clear", *here, *bus_of(car))
    with open_store(str(place), read_only=True) as store:
        kinds = [json.loads(link.content)["kind"] for link in store.read(job)]
    assert kinds.count("codes read") == 1
    assert kinds.count("codes cleared") == 1
