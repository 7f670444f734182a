"""`putback narrate` as a person calls it. The narration is invented."""

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from putback.adapters.procedure_file import read_procedure
from putback.faces.cli.narrate import command

TEXT = """1
00:00:01,000 --> 00:00:05,000
Unplug the horn connector. Remove two 10 mm bolts from the horn.

2
00:00:05,000 --> 00:00:09,000
Remove the horn. Fit the horn. Fit the horn bolts. Torque the bolts to 9 newton metres.
"""
OPERATION = {"n", "verb", "object", "count", "size", "kind", "torque", "pattern", "zone", "tool", "tray"} | {
    "span", "seconds", "twin", "doubts"
}  # fmt: skip


def run(*words: str | Path) -> Result:
    result = CliRunner().invoke(command, [str(word) for word in words], standalone_mode=False)
    assert result.exception is None, result.exception
    return result


@pytest.fixture
def horn(tmp_path: Path) -> Path:
    path = tmp_path / "horn.srt"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_json_has_the_fields_of_the_contract(horn: Path) -> None:
    answer = json.loads(run(horn, "--json").stdout)
    assert set(answer) == {"spoken", "operations", "questions", "unused"}
    assert all(set(one) >= OPERATION for one in answer["operations"])
    assert answer["spoken"].startswith("Unplug the horn connector.")
    for one in answer["operations"]:
        assert 0 <= one["span"][0] < one["span"][1] <= len(answer["spoken"])
        assert 1.0 <= one["seconds"] <= 9.0
    asked = {(question["kind"], question["operation"]) for question in answer["questions"]}
    assert ("never_plugged_in", 1) in asked


def test_terminal_shows_the_question_the_words_and_the_time(horn: Path) -> None:
    shown = run(horn).stdout
    assert "? horn connector: plugged back in? not heard (line 1)" in shown
    assert "0:01 Unplug the horn connector" in " ".join(shown.split())
    assert "nothing is firm" in shown


def test_corrected_operations_come_back_with_twins(horn: Path, tmp_path: Path) -> None:
    answer = json.loads(run(horn, "--json").stdout)
    answer["operations"].append({"n": 99, "verb": "plug in", "object": "horn connector"})
    corrected = tmp_path / "corrected.json"
    corrected.write_text(json.dumps(answer), encoding="utf-8")
    again = json.loads(run("--operations", corrected, "--json").stdout)
    assert again["operations"][-1]["twin"] == 1
    assert "never_plugged_in" not in {question["kind"] for question in again["questions"]}
    assert again["spoken"] == answer["spoken"]


def test_corrected_operations_lose_no_further_twin_and_no_condition(tmp_path: Path) -> None:
    corrected = tmp_path / "corrected.json"
    rows: list[dict[str, Any]] = [
        {"verb": "remove", "object": "left wheel"},
        {"verb": "remove", "object": "right wheel"},
        {"verb": "fit", "object": "wheels", "twin": 1, "also": [2], "condition": "if it has two"},
    ]
    corrected.write_text(json.dumps(rows), encoding="utf-8")
    answer = json.loads(run("--operations", corrected, "--json").stdout)
    assert (answer["operations"][2]["also"], answer["operations"][2]["condition"]) == ([2], "if it has two")
    assert "never_put_back" not in {question["kind"] for question in answer["questions"]}
    for also in ([3], "2", [7]):
        corrected.write_text(json.dumps([*rows[:2], {**rows[2], "also": also}]), encoding="utf-8")
        assert run("--operations", corrected).return_value == 2


def test_the_draft_is_written_as_a_procedure_that_reads_back(horn: Path, tmp_path: Path) -> None:
    place = tmp_path / "horn.procedure.yaml"
    run(horn, "--to", place)
    procedure = read_procedure(place).procedure
    assert procedure is not None
    assert procedure.unconfirmed() == procedure.lines
    assert any(question.kind == "never_plugged_in" for question in procedure.questions)


def test_aliases_of_an_earlier_procedure_are_remembered(tmp_path: Path) -> None:
    earlier = tmp_path / "earlier.yaml"
    earlier.write_text(
        "putback: procedure/1\ncar: mine\naliases: {lid: top cover}\noperations: []\n", encoding="utf-8"
    )
    corrected = tmp_path / "ops.json"
    rows = [{"verb": "remove", "object": "top cover"}, {"verb": "fit", "object": "lid"}]
    corrected.write_text(json.dumps(rows), encoding="utf-8")
    assert json.loads(run("--operations", corrected, "--json").stdout)["operations"][1]["twin"] is None
    answer = json.loads(run("--operations", corrected, "--car", earlier, "--json").stdout)
    assert answer["operations"][1]["twin"] == 1


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{", "it is no JSON"),
        ("[" * 100_000, "it is no JSON"),
        ("{}", "no list of operations"),
        ('[{"verb": "explode", "object": 3, "count": 0, "span": [4, 1]}]', "'explode' is not known"),
        ('[{"verb": "remove", "seconds": NaN}]', "seconds"),
        ("[7]", "it is no operation"),
        ('[{"verb": "fit", "twin": 1}]', "no operation before it has the number 1"),
        ('[{"verb": "fit", "object": "\\ud800"}]', "cannot be printed"),
        ('{"spoken": "\\ud800", "operations": []}', "spoken"),
    ],
)
def test_a_wrong_file_is_an_error_with_its_mend(tmp_path: Path, text: str, says: str) -> None:
    path = tmp_path / "wrong.json"
    path.write_text(text, encoding="utf-8")
    result = run("--operations", path)
    assert result.return_value == 2
    assert says in result.stderr


def test_all_that_is_wrong_is_said_at_once(tmp_path: Path) -> None:
    path = tmp_path / "wrong.json"
    path.write_text('[{"verb": "explode", "object": 3, "count": 0, "span": [4, 1]}, 5]', encoding="utf-8")
    assert len(run("--operations", path).stderr.strip().splitlines()) == 5


def test_missing_files_and_no_words_are_errors(tmp_path: Path) -> None:
    assert run(tmp_path / "none.srt").return_value == 2
    empty = tmp_path / "empty.txt"
    empty.write_text(" \n", encoding="utf-8")
    assert "there are no words" in run(empty).stderr


def test_what_was_read_is_not_written_over(horn: Path) -> None:
    assert run(horn, "--to", horn).return_value == 2
    assert horn.read_text(encoding="utf-8") == TEXT
