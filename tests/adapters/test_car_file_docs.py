"""The documented format is the format: tables, examples and answers in docs/car-file.md against the code."""

import re
from pathlib import Path
from typing import Any

import pytest

from putback.adapters.car_file import read_car_text, starter
from putback.adapters.car_file.desk import Desk
from putback.adapters.car_file.kinds import Kind
from putback.adapters.car_file.nodes import Mapping, parse
from putback.adapters.car_file.records import Record
from putback.adapters.car_file.table import CAR
from putback.core.finding import faults

PAGE = (Path(__file__).parents[2] / "docs" / "car-file.md").read_text(encoding="utf-8")


def records(kind: Kind | Any) -> dict[str, Record]:
    """Every group of the format by its name, in the order in which they come up."""
    found = {kind.name: kind} if isinstance(kind, Record) else {}
    inner = [key.kind for key in kind.keys] if isinstance(kind, Record) else [getattr(kind, "kind", None)]
    for other in inner:
        if other is not None:
            found.update({name: record for name, record in records(other).items() if name not in found})
    return found


RECORDS = records(CAR)
KEYS = [(record, key) for record in RECORDS.values() for key in record.keys]


def rows(record: Record) -> list[str]:
    return [
        f"| `{key.name}`{' *' if key.required else ''} | {key.kind.words} | {key.meaning} | `{key.example}` |"
        for key in record.keys
    ]


@pytest.mark.parametrize("record", RECORDS.values(), ids=lambda record: record.name)
def test_every_key_is_documented_as_it_is(record: Record) -> None:
    heading = f"### {record.name.replace('_', ' ')}\n"
    assert PAGE.count(heading) == 1
    section = PAGE.partition(heading)[2].split("\n#")[0]
    table = [line for line in section.split("\n") if line.startswith("| `")]
    assert "\n".join(table) == "\n".join(rows(record))


@pytest.mark.parametrize(("record", "key"), KEYS, ids=lambda value: value.name)
def test_every_example_can_be_read(record: Record, key: Any) -> None:
    if key.example.startswith("see "):
        assert f"### {key.example.removeprefix('see ')}\n" in PAGE
        return
    root = parse(f"{key.name}: {key.example.replace('<number>', '1')}\n", "x").root
    assert isinstance(root, Mapping)
    desk = Desk(file="x")
    key.kind.read(root.entries[0].value, key.name, desk)
    assert [str(finding) for finding in desk.findings] == []


def test_the_example_is_the_starter() -> None:
    assert f"```yaml\n{starter()}```" in PAGE


SLIP = re.compile(r"\| `(.+?)` \| `(.+?)` \| (.+?) \|")


def test_the_answers_to_slips_are_what_is_answered() -> None:
    slips = SLIP.findall(PAGE.partition("## When something is wrong")[2].partition("\n## ")[0])
    assert len(slips) >= 8
    for right, wrong, answer in slips:
        text = starter()
        assert text.count(right) == 1, right
        told = [str(finding) for finding in read_car_text(text.replace(right, wrong).encode(), "my.car.yaml").findings]
        assert any(answer in finding for finding in told), told


def test_each_slip_is_a_fault_or_a_note_as_said() -> None:
    broken = starter().replace("action: unplug", "action: unpulg", 1)
    assert len(faults(read_car_text(broken.encode(), "x").findings)) == 1
