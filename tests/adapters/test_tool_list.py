"""A tool list is read whole, with every fault at its line; a good one becomes wrenches that can be judged."""

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ruamel.yaml import YAML

from putback.adapters.tool_list import ADAPTER, TOOLS, WRENCH, read_tools, read_tools_text
from putback.core.fasten.lever import Adapter
from putback.core.fasten.wrench import Direction, Task, Wrench, WrenchKind, judge_all, says
from putback.core.quantity import Torque

SAMPLES = Path(__file__).parent.parent / "samples"
GOOD = SAMPLES / "good.tools.yaml"
DOCS = Path(__file__).parent.parent.parent / "docs" / "fasten-tools.md"


def _bare(**keys: object) -> bytes:
    group = {"name": "A", "kind": "click", "lowest": 5, "top": 25, "unit": "N·m"} | keys
    lines = "".join(f"    {key}: {value}\n" for key, value in group.items() if value is not None)
    return f"putback: tools/1\nwrenches:\n  a:\n{lines}".encode()


def _faults(data: bytes) -> list[str]:
    read = read_tools_text(data, "t")
    assert read.tools is None
    return [str(finding) for finding in read.findings]


def test_the_good_sample() -> None:
    read = read_tools(GOOD)
    assert read.findings == ()
    assert read.tools is not None
    assert read.tools.wrenches["b"] == Wrench(
        id="b",
        name="B",
        kind=WrenchKind.CLICK,
        lowest=20,
        top=100,
        unit="N·m",
        grip_length_mm=400,
        tolerance_class="II-A",
        calibrated_on=date(2026, 3, 2),
        due=date(2027, 3, 1),
        resolution=0.5,
        direction=Direction.BOTH,
    )
    assert read.tools.wrenches["c"].unit == "lbf·ft"
    assert read.tools.wrenches["c"].corrects_itself
    assert read.tools.adapters["crow-17"] == Adapter(name="crow-foot 17", length_mm=38)
    assert read.tools.adapters["swivel"] == Adapter(name="swivel joint", flexible=True)


def test_another_yaml_reader_sees_the_same_figures() -> None:
    """Independent: ruamel.yaml, YAML 1.2."""
    read = read_tools(GOOD)
    assert read.tools is not None
    plain = YAML(typ="safe", pure=True).load(GOOD.read_text(encoding="utf-8"))
    for id, wrench in read.tools.wrenches.items():
        for key in ("name", "lowest", "top", "resolution", "grip_length_mm", "tolerance_percent"):
            assert getattr(wrench, key) == plain["wrenches"][id].get(key)


def test_a_list_answers_a_task() -> None:
    read = read_tools(GOOD)
    assert read.tools is not None
    task = Task(torque=Torque(value=60, unit="N·m"), day=date(2026, 6, 1))
    assert says(judge_all(read.tools.wrenches.values(), task)) == (
        "can be done with your wrench C at setting 44.3 lbf·ft, for 60 N·m"  # 60 / 1.35582 = 44.25
    )
    later = Task(torque=Torque(value=60, unit="N·m"), day=date(2026, 11, 1))  # C ran out on 2026-10-14
    assert says(judge_all(read.tools.wrenches.values(), later)).startswith("can be done with your wrench B")


def test_every_fault_of_the_bad_sample_at_once() -> None:
    read = read_tools(SAMPLES / "bad.tools.yaml")
    assert read.tools is None
    told = [(finding.where.line, finding.where.field) for finding in read.findings]
    assert told == [
        (5, "wrenches.a.kind"),
        (6, "wrenches.a.lowest"),
        (8, "wrenches.a.unit"),
        (9, "wrenches.a.resolution"),
        (10, "wrenches.a.calibrated_on"),
        (11, "wrenches.a.dew"),
        (12, "wrenches.b.top"),
        (15, "wrenches.b.lowest"),
        (17, "wrenches.b.class"),
        (18, "wrenches.b.calibrated_on"),
        (20, "wrenches.b.direction"),
        (21, "wrenches.b.corrects_itself"),
        (22, "wrenches.a"),
        (29, "adapters.crow 17"),
        (29, "adapters.crow 17.name"),
        (30, "adapters.crow 17.length_mm"),
    ]
    by_line = {finding.where.line: str(finding) for finding in read.findings}
    assert "did you mean 'click'?" in by_line[5]
    assert "50 is more than top, 25" in by_line[6]
    assert "year-month-day" in by_line[10]
    assert "did you mean due?" in by_line[11]
    assert "point for the comma" in by_line[15]
    assert "2026-03-02 is later than due, 2025-03-02" in by_line[18]
    assert all(finding.mend for finding in read.findings)


FAULTY = [
    ({"unit": None}, "the key unit is missing"),
    ({"unit": "V"}, "'V' is no unit of torque"),
    ({"top": 0}, "top"),
    ({"due": "2026-02-30"}, "year-month-day"),
    ({"due": "2026-W09-1"}, "year-month-day"),
    ({"kind": "beam", "corrects_itself": "true"}, "a beam wrench cannot correct for an adapter"),
    ({"resolution": 30}, "30 is more than top, 25"),
    ({"grip_length": 400}, "did you mean grip_length_mm?"),
]


@pytest.mark.parametrize(("change", "words"), FAULTY)
def test_one_fault_one_finding(change: dict[str, object], words: str) -> None:
    told = _faults(_bare(**change))
    assert len(told) == 1, told
    assert words in told[0]
    assert told[0].startswith("t:")


def test_blank_keys_mean_not_known() -> None:
    read = read_tools_text(_bare(grip_length_mm="", due=""), "t")
    assert read.tools is not None
    assert read.tools.wrenches["a"].grip_length_mm is None
    assert read.tools.wrenches["a"].due is None


WHOLE = [
    (b"", "is empty; start with putback: tools/1"),
    (b"- a\n- b\n", "this is no tool list"),
    (b"putback: car/1\n", "'car/1' is another format"),
    (b"wrenches: {}\n", "the key putback is missing"),
    (b"putback: tools/1\n", "the key wrenches is missing"),
    (b"putback: tools/1\nwrenches: {}\n", "there is nothing in it"),
    (b"a: [", "cannot be read as YAML"),
    (b"\xff\xfea", "UTF-16"),
]


@pytest.mark.parametrize(("data", "words"), WHOLE)
def test_files_that_are_something_else(data: bytes, words: str) -> None:
    assert any(words in text for text in _faults(data)), _faults(data)


def test_a_missing_file_is_a_finding(tmp_path: Path) -> None:
    read = read_tools(tmp_path / "none.yaml")
    assert read.tools is None
    assert "cannot be opened" in str(read.findings[0])
    assert "the tool list" in str(read_tools(tmp_path).findings[0])


@given(st.binary(max_size=200))
def test_no_bytes_are_too_odd(data: bytes) -> None:
    read = read_tools_text(data, "t")
    assert (read.tools is None) is (len(read.findings) > 0)


@given(st.text(max_size=40), st.sampled_from([key.name for key in WRENCH.keys]))
def test_no_value_is_too_odd(text: str, key: str) -> None:
    read = read_tools_text(_bare(**{key: text.replace("\n", " ")}), "t")
    assert read.tools is not None or read.findings


def test_the_page_names_every_key_and_its_example_reads() -> None:
    page = DOCS.read_text(encoding="utf-8")
    for record in (TOOLS, WRENCH, ADAPTER):
        for key in record.keys:
            assert f"| `{key.name}` |" in page, key.name
            if record is not TOOLS:
                assert f"| `{key.name}` | {key.meaning} |" in page, key.meaning
    example = page.split("```yaml\n")[1].split("```")[0]
    assert read_tools_text(example.encode(), "docs").findings == ()
