"""A plan of things whose minutes nobody said: shown as not known everywhere, never as nought. Invented cars."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from putback.adapters.car_file import read_car_text
from putback.faces.cli import audit, plan

CAR = """\
putback: car/1
name: small
invented: true
zones: {top: top}
items:
  lid: {name: lid, zone: top, action: remove, minutes: [2, 3]}
  box: {name: box, zone: top, action: remove, needs_off: [lid]LATER}
  seal: {name: seal, zone: top, action: renew, needs_off: [box], minutes: [1, 1]}
"""
PROCEDURE = """\
putback: procedure/1
car: Invented 1
high_voltage: false
aliases: {blower wheel: fan}
operations:
  - {n: 1, verb: remove, object: front cowl}
  - {n: 2, verb: remove, object: blower wheel, first: [1]}
  - {n: 3, verb: fit, object: fan, twin: 2}
  - {n: 4, verb: fit, object: front cowl, twin: 1}
"""


def run(command: object, *words: object) -> Result:
    """Call a command; its exit code is its return value."""
    return CliRunner().invoke(command, [str(word) for word in words], standalone_mode=False)  # type: ignore[arg-type]


@pytest.fixture
def car(tmp_path: Path) -> Path:
    """A car file where one item of three has no minutes."""
    file = tmp_path / "small.car.yaml"
    file.write_text(CAR.replace("LATER", ""), encoding="utf-8")
    return file


def test_the_text_says_what_is_not_known(car: Path) -> None:
    """The sums are by hand: lid 2 + 3, seal 1 + 1; the box lies over the seal, so its rework is 5 and more."""
    said = run(plan.command, car, "--for", "seal").output
    assert "3 min off + 4 min on or more, minutes of 1 item not known" in said
    assert "no price: minutes of the work are not known" in said
    assert "5 or more" in said
    assert "7 min" not in said


def test_the_json_gives_null(car: Path) -> None:
    """Minutes, price and what lies behind the box are null; what is known stays a number."""
    told = json.loads(run(plan.command, car, "--for", "seal", "--json").output)
    assert told["minutes"] == {"off": None, "on": None, "total": None}
    assert told["minutes_unknown"] == ["box"]
    assert told["quote"]["total"] is told["quote"]["labour"] is told["quote"]["most"] is None
    assert told["rework"] == {"box": 5, "lid": 0, "seal": None}
    by = {(one["verb"], one["item"]): one["minutes"] for one in told["operations"]}
    assert by["remove", "box"] is None
    assert by["remove", "lid"] == 2


def test_with_minutes_there_is_a_price(car: Path) -> None:
    """The same car with the missing minutes: 17 minutes at 60 an hour are 17.00."""
    car.write_text(CAR.replace("LATER", ", minutes: [4, 6]"), encoding="utf-8")
    told = json.loads(run(plan.command, car, "--for", "seal", "--rate", "60", "--json").output)
    assert told["minutes"]["total"] == 17
    assert told["quote"]["total"] == 17.0
    assert told["minutes_unknown"] == []


def test_the_page_and_its_pictures_show_no_nought(car: Path, tmp_path: Path) -> None:
    """Neither minutes nor amounts are made up on the page."""
    html = tmp_path / "plan.html"
    assert run(plan.command, car, "--for", "seal", "--html", html).return_value == 0
    page = html.read_text(encoding="utf-8")
    assert "no price: minutes of the work are not known" in page
    assert "0 min" not in page
    assert "0.00" not in page


def test_check_says_whose_minutes_are_missing() -> None:
    """A note, no fault."""
    reading = read_car_text(CAR.replace("LATER", "").encode(), "small.car.yaml")
    assert reading.car is not None
    (note,) = [one for one in reading.findings if one.rule == "minutes"]
    assert "the minutes of 1 of 3 items are not known (box)" in str(note)
    assert note.where.line == 7


def test_a_procedure_is_planned_by_name(tmp_path: Path) -> None:
    """By the name of a thing, or its alias; what is assumed is said; nothing is priced."""
    file = tmp_path / "fan.procedure.yaml"
    file.write_text(PROCEDURE, encoding="utf-8")
    for wanted in ("fan", "blower wheel", "FAN"):
        planned = run(plan.command, file, "--for", wanted)
        assert planned.return_value == 0, planned.output
        assert "minutes not known · proved: nothing less will do, by the links that are known" in planned.output
        assert "is assumed, not confirmed" in planned.output
        assert "0 kg" not in planned.output
    wrong = run(plan.command, file, "--for", "fann")
    assert wrong.return_value == 2
    file.write_text(PROCEDURE.partition("operations")[0] + "operations: []\n", encoding="utf-8")
    assert "nothing came off" in run(plan.command, file, "--for", "fan").output


def test_a_plan_of_a_procedure_is_audited_against_it(tmp_path: Path) -> None:
    """What `plan --json` wrote is held against the same procedure, and nothing is found."""
    file, written = tmp_path / "fan.procedure.yaml", tmp_path / "plan.json"
    file.write_text(PROCEDURE, encoding="utf-8")
    written.write_text(run(plan.command, file, "--for", "fan", "--json").output, encoding="utf-8")
    held = run(audit.command, file, written)
    assert held.return_value == 0, held.output
