"""`putback plan --tools`: the torque card with the owner's wrenches; without it nothing is changed."""

import json
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

import pytest

from faces.test_cli import DEMO, JOB, run
from putback.app import OwnTools, Planned, Refused, plan_job
from putback.faces.cli.plan_json import plan_json
from putback.faces.page import plan_page
from putback.faces.page.lists import torque_card
from putback.plan.make import Settings
from putback.plan.plan import Plan

SAMPLES = Path(__file__).parent.parent / "samples"
GOOD = SAMPLES / "good.tools.yaml"
DAY = date(2026, 6, 1)


def planned(tools: Path | None, day: date = DAY) -> Planned:
    own = None if tools is None else OwnTools(file=tools, day=day)
    found = plan_job(Path(DEMO), [JOB], settings=Settings(most_alternatives=1), tools=own)
    assert isinstance(found, Planned)
    return found


@pytest.fixture(scope="module")
def with_tools() -> Planned:
    return planned(GOOD)


@pytest.fixture(scope="module")
def plain() -> Planned:
    return planned(None)


def test_only_keys_are_added(with_tools: Planned, plain: Planned) -> None:
    said, before = plan_json(with_tools), plan_json(plain)
    assert all({"wrench", "doubts"} <= set(line) for line in said["torque_card"])
    for line in said["torque_card"]:
        del line["wrench"], line["doubts"]
    assert said == before


def test_what_the_json_says(with_tools: Planned) -> None:
    """Wrench A goes from 5 to 25 N·m, B from 20 to 100, C from 30 lbf·ft = 40.7 N·m to 150 lbf·ft = 203 N·m."""
    lines = {line["joint"]: line for line in plan_json(with_tools)["torque_card"]}
    assert set(lines["j73"]["wrench"]) == {"id", "name", "setting", "unit", "mark", "band_nm", "warnings"}
    assert (lines["j73"]["wrench"]["id"], lines["j73"]["wrench"]["setting"]) == ("a", 22)
    low, high = lines["j73"]["wrench"]["band_nm"]
    assert low < 22 < high
    assert lines["j71"]["wrench"]["warnings"] == ["the wrench does the torque only; then turn by angle: 90°"]
    assert lines["jdR"]["wrench"] is None
    none = lines["j08"]["wrench"]["none"]
    assert [one["id"] for one in none] == ["a", "b", "c"]
    assert all(one["reasons"] for one in none)
    for line in lines.values():
        if line["torque"] != "value needed" and 5 <= line["torque_nm"] <= 203:
            assert line["wrench"].get("id"), line
        assert line["doubts"] == []


def test_the_day_counts(with_tools: Planned) -> None:
    """Calibrated until 2026-10-14 and 2027-03-01."""
    late = plan_json(planned(GOOD, date(2027, 3, 2)))["torque_card"]
    assert not [line for line in late if line["wrench"] and "id" in line["wrench"]]
    assert [line for line in plan_json(with_tools)["torque_card"] if line["wrench"] and "id" in line["wrench"]]


class Column(HTMLParser):
    """The cells under one head."""

    def __init__(self, page: str, head: str) -> None:
        super().__init__()
        self.head, self.cells, self._in = head, [""][:0], False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "td":
            self._in = dict(attrs).get("data-head") == self.head
            self.cells += [""] if self._in else []

    def handle_endtag(self, tag: str) -> None:
        self._in = self._in and tag != "td"

    def handle_data(self, data: str) -> None:
        if self._in:
            self.cells[-1] += data


def test_the_page_has_a_column_only_with_a_list(with_tools: Planned, plain: Planned) -> None:
    cells = Column(plan_page(with_tools.plan), "your wrench").cells
    assert len(cells) == len(with_tools.plan.torque_card)
    assert any(cell.startswith("A at setting 22 N·m ± ") for cell in cells)
    assert any(cell.startswith("none of your wrenches: A: the torque, 3 N·m") for cell in cells)
    assert Column(plan_page(plain.plan), "your wrench").cells == []
    assert "wrench" not in " ".join(column.head for column in torque_card(plain.plan).columns)


def test_rows_have_a_text_for_each_column(with_tools: Planned, plain: Planned) -> None:
    plans: tuple[Plan, Plan] = with_tools.plan, plain.plan
    for plan in plans:
        table = torque_card(plan)
        assert {len(row) for row in table.rows} == {len(table.columns)}


def test_text(tmp_path: Path) -> None:
    own = tmp_path / "my.tools.yaml"
    dated = GOOD.read_text(encoding="utf-8")
    for day in ("2027-03-01", "2026-10-14"):
        dated = dated.replace(f"due: {day}", "due: 2999-12-31")
    own.write_text(dated, encoding="utf-8")
    short = run("plan", DEMO, "--for", JOB, "--tools", str(own))
    assert short.returncode == 0, short.stderr
    assert "32 of 35 torques can be done" in short.stdout
    assert "none of your wrenches" in short.stdout
    full = run("plan", DEMO, "--for", JOB, "--full", "--tools", str(own))
    assert "your wrench" in full.stdout
    assert "snug torque: A" in full.stdout


def test_faults_of_list_and_car_file_are_told_together(tmp_path: Path) -> None:
    bad = SAMPLES / "bad.tools.yaml"
    result = run("plan", DEMO, "--for", JOB, "--tools", str(bad), "--json")
    assert result.returncode == 2
    assert "did you mean 'click'" in result.stderr
    assert json.loads(result.stdout)["findings"][0]["file"] == str(bad)
    car = tmp_path / "no.car.yaml"
    car.write_text("putback: car/1\n", encoding="utf-8")
    both = plan_job(car, [JOB], settings=Settings(), tools=OwnTools(file=bad, day=DAY))
    assert isinstance(both, Refused)
    assert {one.where.file for one in both.findings} == {str(car), str(bad)}


def test_a_list_that_is_not_there(tmp_path: Path) -> None:
    result = run("plan", DEMO, "--for", JOB, "--tools", str(tmp_path / "none.yaml"))
    assert result.returncode == 2
    assert "none.yaml" in result.stderr


def test_the_list_is_never_written_over(tmp_path: Path) -> None:
    own = tmp_path / "own.yaml"
    own.write_bytes(GOOD.read_bytes())
    result = run("plan", DEMO, "--for", JOB, "--tools", str(own), "--html", str(own))
    assert result.returncode == 2
    assert own.read_bytes() == GOOD.read_bytes()
