"""`putback record` as its user meets it: what it prints, its JSON, its exit codes."""

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from core.record.made import event, opening
from putback.adapters.stores import open_store
from putback.core.record import Head, Json
from putback.faces.cli.record import command

AT = "2026-03-02T07:15:01Z"


def run(*words: str) -> tuple[int, Result]:
    """The exit code as the program gives it (a command returns it), and what was printed."""
    result = CliRunner().invoke(command, list(words), standalone_mode=False)
    if isinstance(result.exception, SystemExit | None):
        return (result.return_value if result.exit_code == 0 else result.exit_code), result
    code = getattr(result.exception, "exit_code", None)
    assert code is not None, result.exception
    return code, result


def as_json(*words: str) -> tuple[int, Any]:
    code, result = run(*words, "--json")
    return code, json.loads(result.stdout)


@pytest.fixture
def filled(name: str) -> tuple[str, Head]:
    """A store of each kind with two jobs, and the head of the first."""
    with open_store(name, create=True) as store:
        torque: dict[str, Json] = {"value": 24, "unit": "N·m"}
        done = event("e2", "operation done", {"verb": "tighten", "joint": "j71", "torque": torque})
        store.append([opening(), done, event("e3")], received_at=AT)
        store.append([event("e3", body={"note": "other"}), opening("job-2")], received_at=AT)
        store.put_person("p1", {"name": "A. Hand"})
        return name, store.heads()["job-1"]


def test_verify_says_what_it_found(filled: tuple[str, Head]) -> None:
    store, head = filled
    code, result = run("verify", store)
    assert code == 0
    assert "job job-1: 3 events, nothing changed, lost or out of order" in result.stdout
    assert head.on_paper() in result.stdout
    assert "kept aside" in result.stdout
    assert "no kept head was given" in result.stdout
    code, found = as_json("verify", store, "--job", "job-1", "--head", head.on_paper())
    assert (code, found["faults"]) == (0, 0)
    assert found["jobs"][0]["head"] == {
        "seq": 3,
        "hash": head.hash,
        "text": f"3:{head.hash}",
        "paper": head.on_paper(),
    }


def test_verify_finds_a_cut_end_by_a_kept_head(filled: tuple[str, Head]) -> None:
    store, _ = filled
    for kept in (f"5:{'a' * 64}", "a" * 64):
        code, found = as_json("verify", store, "--job", "job-1", "--head", kept)
        assert code == 1
        assert len(found["jobs"][0]["faults"]) == 1
    code, found = as_json("verify", store, "--job", "gone", "--head", f"5:{'a' * 64}")
    assert (code, found["jobs"][0]["faults"][0]["line"]) == (1, 1)


def test_verify_of_a_tampered_file(tmp_path: Path) -> None:
    path = tmp_path / "a.record"
    with open_store(str(path), create=True) as store:
        store.append([opening(), event("e2"), event("e3")], received_at=AT)
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("UPDATE links SET content = CAST(replace(content, 'about', 'abouT') AS BLOB) WHERE seq = 2")
        raw.commit()
    code, result = run("verify", str(path))
    assert code == 1
    assert "record job-1:2: e2: event 2 was changed after it was chained" in result.stdout
    assert "safe" not in result.stdout
    assert "compliant" not in result.stdout


@pytest.mark.parametrize(
    "words",
    [
        ("verify", "STORE", "--job", "gone"),
        ("verify", "STORE", "--head", "a" * 64),
        ("verify", "STORE", "--job", "job-1", "--head", "not hex"),
        ("verify", "gone.record"),
        ("show", "STORE", "--job", "gone"),
        ("show", "gone.record"),
        ("backup", "gone.record", "b.record"),
        ("restore", "gone.record", "STORE"),
        ("move", "STORE", "gone/b.record"),
        ("verify", "postgresql://ann:secret@/x?host=/nowhere"),
    ],
)
def test_a_wrong_call_is_2_and_never_shows_a_password(
    filled: tuple[str, Head], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    monkeypatch.chdir(tmp_path)
    code, result = run(*(filled[0] if word == "STORE" else word for word in words))
    assert code == 2
    assert "secret" not in result.output
    assert not (tmp_path / "gone.record").exists()


def test_show_lists_jobs_and_events(filled: tuple[str, Head]) -> None:
    store, head = filled
    code, result = run("show", store)
    assert code == 0
    assert f"job-1: 3 events, head 3: {head.hash[:16]}…" in result.stdout
    code, result = run("show", store, "--job", "job-1")
    assert code == 0
    assert "A. Hand  operation done: " in result.stdout
    assert "torque N·m 24" in result.stdout or "torque 24 N·m" in result.stdout
    code, found = as_json("show", store, "--job", "job-1")
    assert [one["seq"] for one in found["events"]] == [1, 2, 3]
    assert found["events"][1]["event"]["body"]["torque"] == {"value": 24, "unit": "N·m"}
    code, found = as_json("show", store)
    assert [job["job"] for job in found["jobs"]] == ["job-1", "job-2"]


@pytest.mark.parametrize(("one", "other"), [("sqlite", "postgresql"), ("postgresql", "sqlite")])
def test_back_up_restore_and_move(name_of: Callable[[str], str], tmp_path: Path, one: str, other: str) -> None:
    first, second = name_of(one), name_of(other)
    file = tmp_path / "kept.record"
    with open_store(first, create=True) as store:
        store.append([opening(), event("e2")], received_at=AT)
        head = store.heads()["job-1"]
    code, found = as_json("backup", first, str(file))
    assert (code, found["events"], found["heads"]) == (0, 2, {"job-1": str(head)})
    assert run("backup", first, str(file))[0] == 2
    code, found = as_json("move", first, second)
    assert (code, found["events"], found["refused"], found["broken"]) == (0, 2, [], [])
    assert run("verify", second, "--head", str(head))[0] == 0
    assert run("restore", str(file), second)[0] == 0
    with open_store(first) as store:
        store.append([event("e3")], received_at=AT)
    with open_store(second) as store:
        store.append([event("other")], received_at=AT)
    code, found = as_json("move", first, second)
    assert (code, found["refused"][0]["line"]) == (3, 3)
    assert run("restore", str(file), second)[0] == 0


def test_verify_says_that_a_head_is_of_one_job(filled: tuple[str, Head]) -> None:
    store, head = filled
    assert "--job says whose" in " ".join(CliRunner().invoke(command, ["verify", "--help"]).stdout.split())
    told = CliRunner().invoke(command, ["verify", store, "--head", str(head)])
    assert told.exit_code == 2
    assert "--head is of one job: name it with --job" in told.stderr
