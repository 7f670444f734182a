"""The drive page without a browser: what may be shown at which moment, and that no other file can be reached."""

import os
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from bay.demo_record import desk
from drives import bench_of, write_drive
from faces.web.calling import Caller
from putback.adapters.bus.watch import Wish, watch
from putback.adapters.stores import open_store
from putback.core.codes.drive.log import Drive, Record, drive_of
from putback.faces.web import drive, make_app

HOST = "127.0.0.1:8070"


def driven(seconds: float, *, false_air: bool = False) -> Drive:
    bench, _ = bench_of(false_air=false_air, misfires=b"\x00\x00")
    kept: list[Record] = []
    watch(bench, Wish(seconds=seconds, every_s=0.5), kept.append, clock=bench.clock)
    return drive_of(kept, name="")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "drives").mkdir()
    return tmp_path / "drives"


@pytest.fixture
def caller(tmp_path: Path, folder: Path) -> Iterator[Caller]:
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        app = make_app(desk(store, tmp_path), hosts=[HOST], more=drive.ROUTES)
        app.state.bay.drives = folder
        yield Caller(app, HOST)


def put(folder: Path, name: str, made: Drive, *, ago_s: float) -> Path:
    path = folder / name
    path.unlink(missing_ok=True)
    write_drive(path, made)
    os.utime(path, (time.time() - ago_s,) * 2)
    return path


def test_nothing_is_shown_while_it_moves(caller: Caller, folder: Path) -> None:
    """Twelve seconds into the drive the speed is above nought (the virtual car's own table)."""
    put(folder, "a.csv", driven(12.0), ago_s=0.0)
    answer = caller.get("/drive/now?log=a.csv")
    assert answer.status_code == 200
    assert "Blank: the vehicle moves." in answer.text
    assert "<svg" not in answer.text


def test_standing_still_shows_what_came(caller: Caller, folder: Path) -> None:
    put(folder, "a.csv", driven(6.0), ago_s=0.0)
    answer = caller.get("/drive/now?log=a.csv")
    assert "the vehicle stands still" in answer.text
    assert answer.text.count("<svg") == 9
    assert "Misfires: cylinder 1: not run" in answer.text


def test_another_log_is_blank_too_while_one_moves(caller: Caller, folder: Path) -> None:
    put(folder, "a.csv", driven(6.0), ago_s=100.0)
    put(folder, "b.csv", driven(12.0), ago_s=0.0)
    for asked in ("log=a.csv", "log=b.csv&against=a.csv", "log=a.csv&stands=yes"):
        answer = caller.get(f"/drive/now?{asked}")
        assert "<svg" not in answer.text, asked


def test_a_word_of_standing_holds_for_the_log_as_it_is(caller: Caller, folder: Path) -> None:
    path = put(folder, "a.csv", driven(12.0), ago_s=60.0)
    assert "so the speed is not known" in caller.get("/drive/now?log=a.csv").text
    word = str(int(path.stat().st_mtime))
    assert f'value="{word}"' in caller.get("/drive").text
    assert "you say that the vehicle stands still" in caller.get(f"/drive/now?log=a.csv&stands={word}").text
    put(folder, "a.csv", driven(14.0), ago_s=30.0)
    assert "Blank" in caller.get(f"/drive/now?log=a.csv&stands={word}").text


def test_two_drives_side_by_side(caller: Caller, folder: Path) -> None:
    put(folder, "before.csv", driven(480.0, false_air=True), ago_s=500.0)
    path = put(folder, "after.csv", driven(480.0), ago_s=400.0)
    word = int(path.stat().st_mtime)
    answer = caller.get(f"/drive/now?log=after.csv&against=before.csv&stands={word}")
    assert "before.csv → after.csv" in answer.text
    assert "short and long term fuel trim, bank 1" in answer.text
    assert "before: not run" in answer.text


def test_a_log_that_cannot_be_read_says_why(caller: Caller, folder: Path) -> None:
    path = folder / "a.csv"
    path.write_text("time_s,pid,value,unit\n1,0C,<b>,1/min\n", encoding="utf-8")
    os.utime(path, (time.time() - 60,) * 2)
    answer = caller.get(f"/drive/now?log=a.csv&stands={int(path.stat().st_mtime)}")
    assert "This log cannot be read" in answer.text
    assert "&lt;b&gt;" in answer.text
    assert "<b>" not in answer.text


def test_no_other_file_can_be_reached(caller: Caller, folder: Path) -> None:
    (folder.parent / "secret.csv").write_text("mine", encoding="utf-8")
    put(folder, "a.csv", driven(6.0), ago_s=0.0)
    for name in ("../secret.csv", "%2e%2e/secret.csv", "/etc/passwd", "", "b.csv", "a.csv%00"):
        assert caller.get(f"/drive/now?log={name}").status_code == 404, name
    assert caller.get("/drive/now?log=a.csv&against=../secret.csv").status_code == 404
    put(folder.parent, "above.csv", driven(6.0), ago_s=0.0)
    for job in ("%2e%2e", "..%2f", "job-nobody"):
        assert caller.get(f"/jobs/{job}/drive/now?log=above.csv").status_code == 404, job
        assert caller.get(f"/jobs/{job}/drive").status_code == 404
        assert caller.get(f"/jobs/{job}/drive/now?log=a.csv").status_code == 404


def test_a_server_without_a_place_for_logs_says_so(tmp_path: Path) -> None:
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        answer = Caller(make_app(desk(store, tmp_path), hosts=[HOST], more=drive.ROUTES), HOST).get("/drive")
    assert answer.status_code == 200
    assert "No drive was logged here yet." in answer.text
