"""`putback fasten` as its user meets it: what is typed, what is printed, the exit code (CONTRACTS, section 2)."""

import json
import re
import subprocess
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import click
import pytest
from click.testing import CliRunner, Result

from putback.core.fasten.calc import FORMULAS
from putback.faces.cli import fasten
from putback.tight import TOOLS

SAMPLES = Path(__file__).parents[1] / "samples"
GOOD, BAD = str(SAMPLES / "good.tools.yaml"), str(SAMPLES / "bad.tools.yaml")
DAY = date(2026, 11, 26)

LINES = {
    "wrench": f"24 N·m {GOOD}",
    "crowfoot": "80 N·m 400 50",
    "order": "circle 8 --torque 24Nm",
    "torque": "18 lbf ft",
    "thread": "M8 --mark 8.8",
    "preload": "M8 24 N·m dry steel",
    "lubricant": "dry steel anti-seize",
    "strip": "M8 24 N·m aluminium dry steel --strength 240 --strength-source p.12 --engagement 16 --incomplete 2,5",
    "plug": "M14 gasket new",
    "gloves": "400 V",
    "meter": "400 V III 1000 V",
    "discharge": "600 V 300 µF 150 kohm --down-to 50",
    "isolation": "400 400 kohm --bus dc",
}
CONTRACT = {"unit", "band", "source", "warnings"}


@pytest.fixture(autouse=True)
def _day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fasten, "today", lambda: DAY)


def run(*words: str) -> tuple[int, Result]:
    """The command, with its exit code."""
    result = CliRunner().invoke(fasten.command, list(words), standalone_mode=False)
    if result.exception is not None:
        raise result.exception
    return result.return_value, result


def told(line: str) -> dict[str, Any]:
    code, result = run(*line.split(), "--json")
    assert code == 0, result.output
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def test_every_tool_has_a_line() -> None:
    assert set(LINES) == set(TOOLS)


@pytest.mark.parametrize("name", LINES)
def test_json_has_the_shape_of_the_contract(name: str) -> None:
    found = told(f"{name} {LINES[name]}")
    assert set(found) >= CONTRACT
    assert len({"value", "range", "refused"} & set(found)) == 1
    band = found["band"]
    assert band is None or band[0] <= found["value"] <= band[1]
    assert found["source"]
    assert isinstance(found["warnings"], list)


@pytest.mark.parametrize("name", LINES)
def test_people_read_the_answer_first_and_who_decides_last(name: str) -> None:
    code, result = run(name, *LINES[name].split())
    lines = result.stdout.splitlines()
    assert code == 0
    assert lines[0].endswith(".")
    assert lines[-1] == TOOLS[name].authority
    assert any(line.startswith("  source: ") for line in lines)
    assert not re.search(r"\b(safe|safely|compliant)\b|None|nan\b", result.stdout)


def test_a_published_example_by_command() -> None:
    """agentcalc.com: 80 N·m behind 5 cm on 40 cm: 71.1 N·m; securitylocknut.com: 7/8-9, 400 lbf·ft, 30 000 lbf dry."""
    assert told("crowfoot 80 N·m 40 cm 5 cm")["value"] == pytest.approx(71.1, abs=0.05)
    band = told("preload 7/8-9 400 lbf ft dry steel")["band"]
    assert band[0] < 30000 * 4.4482216152605e-3 < band[1]


@pytest.mark.parametrize(
    ("typed", "in_quotes"),
    [
        ("crowfoot 24 N·m 250 30", ("crowfoot", "24 N·m", "250", "30")),
        ("crowfoot 24Nm 250 mm 3 cm", ("crowfoot", "24 N·m", "250", "30")),
        ("crowfoot 24,5 N*m 250 30 --angle 45°", ("crowfoot", "24.5 N·m", "250", "30", "--angle", "45")),
        ("crowfoot 12 N·m + 90° 250 30", ("crowfoot", "12 N·m + 90°", "250", "30")),
        ("crowfoot 12 N·m +90 deg 250 30", ("crowfoot", "12 N·m + 90°", "250", "30")),
        ("torque 18 lbf ft", ("torque", "18 lbf·ft")),
        ("preload M8 24 N·m machine oil", ("preload", "M8", "24 N·m", "machine oil")),
        ("lubricant dry steel phosphate and oil", ("lubricant", "dry steel", "phosphate and oil")),
        (
            "order circle 6 --torque 12 N·m + 90° --pattern star",
            ("order", "circle 6", "--torque", "12 N·m + 90°", "--pattern=star"),
        ),
        ("order circle 6 --torque 24 lbf ft", ("order", "circle 6", "--torque", "24 lbf·ft")),
        ("crowfoot 24 N·m 250 30 --angle 45 deg", ("crowfoot", "24 N·m", "250", "30", "--angle", "45")),
        ("order rectangle 4 3", ("order", "rectangle 4 3")),
        ("order -40,0 40,0 0,-40 0,40", ("order", "-40,0 40,0 0,-40 0,40")),
        ("strip M8 24 N·m aluminium dry steel", ("strip", "M8", "24 N·m", "aluminium", "dry steel")),
    ],
)
def test_words_need_no_quotes(typed: str, in_quotes: Sequence[str]) -> None:
    assert run(*typed.split())[1].output == run(*in_quotes)[1].output


def test_a_word_too_many_is_named() -> None:
    code, result = run("crowfoot", "24", "N·m", "250", "30", "7")
    assert code == 2
    assert "'7' is one too many; give torque, length, adapter, in this order" in result.stderr


@pytest.mark.parametrize(
    "line",
    [
        "crowfoot 24Nm 250 30 --angle 90 --angle 45",
        "gloves 400 --glove-class 0 --tested 2025-01-01 --tested 2026-11-01",
        "leftover --thread M8x40 --thread M6x40 --car none.yaml",
    ],
)
def test_an_option_given_twice_is_asked_back(line: str) -> None:
    with pytest.raises(click.UsageError, match=r"^--\w+ is given twice; give it once$"):
        run(*line.split())


@pytest.mark.parametrize("words", [("-24 N·m",), ("-24", "N·m"), ("-24Nm",)])
def test_a_torque_below_zero_is_a_wrong_torque_and_no_option(words: Sequence[str]) -> None:
    code, result = run("crowfoot", *words, "250", "30")
    assert code == 2
    assert "is not a torque; write number and unit, such as 24 N·m" in result.stderr


def test_every_fault_at_once_for_people_and_for_programs() -> None:
    code, result = run("crowfoot", "24", "x", "--angle", "200", "--json")
    found = json.loads(result.stdout)["faults"]
    assert code == 2
    assert len(found) == 4
    assert result.stderr.splitlines() == found
    assert "no unit" in " ".join(found)
    assert run("crowfoot", "24", "x", "--angle", "200")[1].stdout == ""


def test_faults_of_a_tool_list_name_file_line_and_field() -> None:
    code, result = run("wrench", "24", "N·m", BAD)
    assert code == 2
    assert "bad.tools.yaml:5: wrenches.a.kind: 'clik' cannot stand here; did you mean 'click'?" in result.stderr


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    code, result = run("wrench", "24", "N·m", str(tmp_path / "none.yaml"))
    assert code == 2
    assert "cannot be read" in result.stderr
    (tmp_path / "odd.yaml").write_bytes(b"\xff\xfe\x00")
    assert run("wrench", "24", "N·m", str(tmp_path / "odd.yaml"))[0] == 2


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (f"wrench 500 N·m {GOOD}", "none of the 3 wrenches"),
        ("preload M8 24 N·m grey paste", "no nut factor was read for 'grey paste'"),
        ("preload M8 24 N·m dry steel --kind yield", "yield"),
        ("strip M8 24 N·m aluminium dry steel", "unknown"),
        ("order line 201", "more bolts than a joint has"),
    ],
)
def test_a_refusal_says_why_and_is_exit_3(line: str, why: str) -> None:
    code, result = run(*line.split())
    assert code == 3
    assert why.casefold() in result.stdout.casefold() or "more than a joint has" in result.stdout
    code, result = run(*line.split(), "--json")
    found = json.loads(result.stdout)
    assert code == 3
    assert found["refused"]
    assert not {"value", "range"} & set(found)


def test_the_day_is_today_unless_it_is_told() -> None:
    """The third wrench of the list ran out on 2026-10-14, the first two on 2027-03-01."""
    assert run("wrench", "24Nm", GOOD)[1].stdout == run("wrench", "24Nm", GOOD, "--day", "2026-11-26")[1].stdout
    assert run("wrench", "24Nm", GOOD, "--day", "2027-03-02")[0] == 3


def test_the_picture_of_an_order_is_written(tmp_path: Path) -> None:
    code, _ = run("order", "circle", "8", "--svg", str(tmp_path / "order.svg"))
    root = ElementTree.fromstring((tmp_path / "order.svg").read_text("utf-8"))
    assert code == 0
    assert {"1", "8"} <= {one.text for one in root.iter("{http://www.w3.org/2000/svg}text")}
    code, result = run("order", "circle", "8", "--svg", str(tmp_path / "none" / "order.svg"))
    assert code == 2
    assert "cannot be written" in result.stderr


# Formulas by name.


def test_calc_by_name() -> None:
    """agentcalc.com: 80 N·m, 40 cm, 5 cm: 71.1."""
    found = told("calc crowfoot T=80 L=40 E=5 angle=0")
    assert set(found) == CONTRACT | {"value"}
    assert found["value"] == pytest.approx(71.1, abs=0.05)


def test_calc_looks_up_tables() -> None:
    """EN ISO 898-1: proof stress of class 8.8 is 580 MPa up to M16, 600 above; two rows fit, so it asks."""
    code, result = run("calc", "lookup", "class=10.9", "property=proof", "--json")
    assert code in (0, 3)
    assert set(json.loads(result.stdout)) >= CONTRACT


def test_calc_takes_a_comma_for_the_point_and_asks_where_it_may_be_thousands() -> None:
    """NIST SP 811: 1.5 lbf·ft is 2.03 N·m."""
    found = told("calc convert value=1,5 from=lbf*ft to=N*m")
    assert found["value"] == pytest.approx(1.5 * 1.3558179483314004)
    code, result = run("calc", "convert", "value=1,250", "from=lbf*ft", "to=N*m")
    assert code == 2
    assert "value='1,250' may be 1.250 or 1250" in result.stderr


def test_a_lookup_of_nothing_names_the_keys_and_not_every_row() -> None:
    code, result = run("calc", "lookup")
    assert code == 2
    assert "no key is given; give such as class=8.8 property=yield" in result.stderr
    assert len(result.stderr) < 1000


def test_a_lookup_that_fits_many_rows_counts_the_rest() -> None:
    code, result = run("calc", "lookup", "about=max permissible deviation", "--json")
    found = json.loads(result.stdout)
    assert code == 3
    assert re.search(r"; and \d+ more$", found["refused"])
    named = found["refused"].partition(": ")[2].rpartition("; and")[0].split("; ")
    assert len(named) == len(set(named)) == 12
    for one in named[:3]:
        assert run("calc", "lookup", *one.split())[0] == 0, f"{one} leads to one answer"


def test_calc_list_names_every_formula_with_inputs_unit_and_source() -> None:
    code, result = run("calc", "--list")
    assert code == 0
    assert all(re.search(rf"^{name} ", result.stdout, re.MULTILINE) for name in FORMULAS)
    found = json.loads(run("calc", "--list", "--json")[1].stdout)
    assert {one["fn"] for one in found} == {*FORMULAS, "lookup"}
    assert all(one["source"] and one["unit"] and one["inputs"] for one in found if one["fn"] != "lookup")


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        ("calc crowfot T=80", "'crowfot' is no formula; near it: crowfoot"),
        ("calc crowfoot T=80 T=81 L=40 E=5", "T is given twice"),
        ("calc crowfoot T=80 L40 E=5", "'L40' is no NAME=VALUE"),
        ("calc crowfoot T=80 L=x E=5", "L='x' is not a number"),
        ("calc crowfoot T=80 E=5", "L is missing"),
        ("calc crowfoot T=80 L=40 E=5 W=1", "'W' is no input of crowfoot"),
    ],
)
def test_calc_says_what_is_wrong(line: str, fault: str) -> None:
    code, result = run(*line.split())
    assert code == 2
    assert fault in result.stderr
    code, result = run(*line.split(), "--json")
    assert code == 2
    assert any(fault in one for one in json.loads(result.stdout)["faults"])


def test_calc_says_all_that_is_wrong_at_once() -> None:
    found = run("calc", "crowfoot", "T=x", "T=80", "L", "W=1")[1].stderr
    for fault in ("'L' is no NAME=VALUE", "T is given twice", "'W' is no input", "E is missing"):
        assert fault in found


def test_calc_refuses_outside_of_a_formulas_range() -> None:
    """No lever is left where an adapter is turned back over the grip: L + E cos a is not above nought."""
    code, result = run("calc", "crowfoot", "T=80", "L=40", "E=40", "angle=180", "--json")
    assert code == 3
    assert json.loads(result.stdout)["refused"]


def test_the_exit_code_is_the_process_own() -> None:
    command = [sys.executable, "-c", "from putback.faces.cli.main import main; main()", "fasten"]
    for words, code in (
        (["torque", "24Nm"], 0),
        (["torque", "24"], 2),
        (["order", "line", "201"], 3),
        (["nothing"], 2),
    ):
        assert subprocess.run([*command, *words], capture_output=True, timeout=60, check=False).returncode == code
