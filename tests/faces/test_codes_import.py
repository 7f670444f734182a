"""`putback codes import`: texts and logs in, a code list out that `putback codes compare` reads. Texts: invented."""

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from putback.adapters.code_lists import read_code_list
from putback.core.codes.lists.listing import Listing
from putback.faces.cli.codes import command

TEXT = "Engine control\n  P0123-1F  throttle   stored\nBrakes: no codes\nRadar: no response\n"
LOG = """(1780000000.000000) can0 7E0#031902FF
(1780000000.010000) can0 7E8#0759020F0A9B1724
(1780000000.020000) can0 7E1#031902FF
"""
LATER = LOG.replace("17800000", "17800009")


def run(*words: str, typed: str | bytes | None = None) -> tuple[Any, str, str]:
    result = CliRunner().invoke(command, ["import", *words, "--stage", "before"], input=typed, standalone_mode=False)
    assert result.exception is None, result.exception
    return result.return_value, result.stdout, result.stderr


def listing(path: Path) -> Listing:
    read = read_code_list(path)
    assert read.listing is not None, read.findings
    return read.listing


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path / "before.csv"


def written(tmp_path: Path, name: str, content: str | bytes) -> str:
    path = tmp_path / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return str(path)


def test_a_text_is_shown_confirmed_and_written(tmp_path: Path, out: Path) -> None:
    code, shown, asked = run(written(tmp_path, "list.txt", TEXT), str(out), typed="y\n")
    assert (code, "Is that right?" in asked, "engine control" in shown) == (0, True, True)
    found = listing(out)
    assert (found.stage, found.answered, found.silent) == (
        "before",
        frozenset({"engine control", "brakes"}),
        frozenset({"radar"}),
    )
    assert [(one.code, one.status, one.text) for one in found.listed] == [("P0123-1F", "08 of 08", "throttle")]


def test_no_is_no(tmp_path: Path, out: Path) -> None:
    assert run(written(tmp_path, "list.txt", TEXT), str(out), typed="n\n")[0] == 0
    assert not out.exists()


def test_what_is_pasted_needs_a_yes_in_the_call(out: Path) -> None:
    code, _, said = run("-", str(out), typed=TEXT)
    assert (code, "give --yes" in said, out.exists()) == (2, True, False)
    assert run("-", str(out), "--yes", typed=TEXT)[0] == 0
    assert listing(out).silent == frozenset({"radar"})


def test_a_file_that_is_there_stays(tmp_path: Path, out: Path) -> None:
    out.write_text("mine")
    code, _, said = run(written(tmp_path, "list.txt", TEXT), str(out), "--yes")
    assert (code, "there already" in said, out.read_text()) == (2, True, "mine")
    assert run(written(tmp_path, "list.txt", TEXT), str(out), "--yes", "--force")[0] == 0


def test_codes_of_nobody_are_asked_for(out: Path) -> None:
    code, _, said = run("-", str(out), "--yes", typed="P0123\n")
    assert (code, "no module is named" in said, out.exists()) == (2, True, False)
    assert run("-", str(out), "--yes", "--module", "Engine", typed="P0123\n")[0] == 0
    assert listing(out).listed[0].module == "engine"


def test_corrections_on_the_command_line(out: Path) -> None:
    text = "Some shop\nP0123 2F\nEngine\nP0456\nnot PO123\n"
    words = ["--not-a-heading", "1", "--heading", "3=Motor", "--module", "gearbox", "--byte", "status", "--skip", "5"]
    assert run("-", str(out), "--yes", *words, typed=text)[0] == 0
    assert [(one.module, one.code, one.status) for one in listing(out).listed] == [
        ("gearbox", "P0123", "2F"),
        ("motor", "P0456", "08 of 08"),
    ]


def test_what_may_be_a_code_makes_the_exit_code_1(out: Path) -> None:
    code, shown, _ = run("-", str(out), "--yes", typed="Engine\nP0123\nP045612\n")
    assert (code, listing(out).partial) == (1, frozenset({"engine"}))
    assert "line 3 not understood" in shown


def test_as_json_it_is_written_only_where_yes_is_said(tmp_path: Path, out: Path) -> None:
    code, shown, _ = run(written(tmp_path, "list.txt", TEXT), str(out), "--json")
    answer = json.loads(shown)
    assert (code, answer["written"], out.exists()) == (0, False, False)
    assert [line["kind"] for line in answer["lines"]] == ["heading", "code", "no codes", "no answer"]
    code, shown, _ = run(written(tmp_path, "list.txt", TEXT), str(out), "--json", "--yes")
    assert (code, json.loads(shown)["written"], out.exists()) == (0, True, True)


@pytest.mark.parametrize(
    ("words", "what"),
    [
        (["--heading", "x=engine"], "no number of a line"),
        (["--heading", "engine"], "has no ="),
        (["--column", "price=2"], "names no column"),
        (["--column", "module"], "has no ="),
    ],
)
def test_wrong_calls(out: Path, words: list[str], what: str) -> None:
    code, _, said = run("-", str(out), "--yes", *words, typed=TEXT)
    assert (code, what in said, out.exists()) == (2, True, False)


@pytest.mark.parametrize("typed", ["", "nothing of that kind\n", b"\x00\xff\x00\x01", b"\xff\xfe"])
def test_nothing_in_it(out: Path, typed: str | bytes) -> None:
    assert run("-", str(out), "--yes", typed=typed)[0] == 2
    assert not out.exists()


# logs


def test_a_log_of_frames(tmp_path: Path, out: Path) -> None:
    code, shown, _ = run(written(tmp_path, "car.log", LOG), str(out), "--heading", "7E8=Engine")
    assert (code, "3 frames" in shown) == (0, True)
    found = listing(out)
    assert (found.answered, found.silent) == (frozenset({"engine"}), frozenset({"module 7e1"}))
    assert [(one.code, one.status) for one in found.listed] == [("P0A9B-17", "04 of 0F")]


def test_a_log_with_several_reads_asks_which(tmp_path: Path, out: Path) -> None:
    path = written(tmp_path, "car.log", LOG + LATER)
    code, _, said = run(path, str(out))
    assert (code, "holds 2 reads" in said, "read 2:" in said, out.exists()) == (2, True, True, False)
    assert run(path, str(out), "--read", "2")[0] == 0
    assert run(path, str(out), "--read", "3", "--force")[0] == 2


def test_a_bad_line_is_named_and_the_rest_is_taken(tmp_path: Path, out: Path) -> None:
    code, shown, said = run(written(tmp_path, "car.log", LOG + "rubbish\n"), str(out), "--json")
    assert (code, "car.log:4" in said, json.loads(shown)["bad_lines"]) == (1, True, 1)
    assert len(listing(out).listed) == 1


def test_a_log_that_could_not_be_read_to_its_end_is_not_whole(tmp_path: Path, out: Path) -> None:
    import gzip  # noqa: PLC0415 - here alone

    text = LOG + "".join(f"({1780000001 + n}.0) can0 123#{n:016X}\n" for n in range(50_000))
    code, shown, _ = run(written(tmp_path, "car.log.gz", gzip.compress(text.encode())[:-500]), str(out))
    assert (code, "Not whole" in shown, "# stopped: " in out.read_text()) == (1, True, True)


def test_a_log_without_codes_or_of_no_kind(tmp_path: Path, out: Path) -> None:
    code, _, said = run(written(tmp_path, "car.log", TEXT), str(out))
    assert (code, "--as text" in said) == (2, True)
    assert run(written(tmp_path, "car.log", TEXT), str(out), "--as", "text", "--yes")[0] == 0
    assert run(str(tmp_path / "missing.blf"), str(out), "--force")[0] == 2
    assert run(str(tmp_path / "missing.txt"), str(out), "--force")[0] == 2
    assert run(written(tmp_path, "car.log", LOG), str(out), "--force", "--heading", "engine=7E8")[0] == 2
