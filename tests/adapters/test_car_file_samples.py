"""Every fault has a sample that fires on its line with its mend; the good file and the packaged ones stay silent.

In a sample a comment `#= rule: words` stands at the end of each line on which a finding is expected. The schema is
judged by the jsonschema library (draft 2020-12), the texts are loaded for it by ruamel.yaml (YAML 1.2).
"""

import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError
from ruamel.yaml import YAML

from putback.adapters.car_file import Reading, demo_path, json_schema, read_car, read_car_text, starter
from putback.adapters.car_file import reader as reader_module
from putback.adapters.car_file.checks import CHECKS
from putback.core.finding import Finding, Kind, faults

SAMPLES = Path(__file__).parent.parent / "samples"
GOOD = SAMPLES / "good.car.yaml"
BAD = sorted((SAMPLES / "bad").glob("*.car.yaml"))

# What a schema can see: the form of one value or one group.
SEEN_BY_SCHEMA = {
    "choice",
    "drain",
    "energy-without-means",
    "guard-in-two-places",
    "guard-without-place",
    "length",
    "limit",
    "missing-key",
    "no-value",
    "number",
    "proof",
    "recheck",
    "renew",
    "thread",
    "type",
    "unknown-key",
}
# Form faults that only a reader sees: unit names are open, and text that is no number has no place in a pattern.
SEEN_BY_READER_ONLY = {"has a zero in it", "'quarks' is not known"}


class Expected(NamedTuple):
    line: int
    rule: str
    words: str


def expected(text: str) -> list[Expected]:
    found = []
    for number, line in enumerate(text.split("\n"), 1):
        for part in line.split("#= ")[1:]:
            rule, words = part.strip().split(": ", 1)
            found.append(Expected(number, rule, words))
    return found


def plain(text: str) -> Any:
    loader = YAML(typ="safe", pure=True)
    loader.allow_duplicate_keys = True
    return loader.load(text)


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.name)
def test_each_fault_is_told_once_on_its_line_with_its_mend(path: Path) -> None:
    reading = read_car(path)
    left = list(reading.findings)
    for line, rule, words in expected(path.read_text(encoding="utf-8")):
        match = next((f for f in left if (f.where.line, f.rule) == (line, rule) and words in str(f)), None)
        assert match is not None, f"line {line}: no {rule!r} with {words!r} among {[str(f) for f in left]}"
        left.remove(match)
    assert [str(finding) for finding in left] == []
    assert reading.car is None
    assert reading.readable
    assert all(finding.where.field for finding in reading.findings if finding.rule not in {"tag", "key"})


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.name)
def test_findings_are_sorted_by_line(path: Path) -> None:
    lines = [finding.where.line or 0 for finding in read_car(path).findings]
    assert lines == sorted(lines)


def test_the_good_file_is_silent() -> None:
    reading = read_car(GOOD)
    assert reading.findings == ()
    assert reading.car is not None


def test_the_starter_has_notes_only() -> None:
    reading = read_car_text(starter().encode(), "starter.car.yaml")
    assert reading.car is not None
    assert {finding.kind for finding in reading.findings} == {Kind.NOTE}
    assert {finding.rule for finding in reading.findings} == {"value-needed"}
    assert len(reading.car.items) == 10


def test_the_starter_holds_no_torque_wait_limit_or_litre() -> None:
    car = read_car_text(starter().encode(), "starter.car.yaml").car
    assert car is not None
    assert all(joint.torque is None for joint in car.joints())
    assert all(energy.wait is None or energy.wait.minutes is None for energy in car.energies.values())
    assert all(energy.proof is None or energy.proof.at_most is None for energy in car.energies.values())
    assert all(fluid.litres is None for fluid in car.fluids.values())


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.__name__)
def test_every_check_is_documented_and_has_a_sample_that_fires(check: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    assert check.__doc__
    with_all = {path: len(read_car(path).findings) for path in BAD}
    monkeypatch.setattr(reader_module, "CHECKS", tuple(other for other in CHECKS if other is not check))
    without = {path: len(read_car(path).findings) for path in BAD}
    assert with_all != without


def test_the_schema_is_a_schema_and_plain_json() -> None:
    schema = json_schema()
    Draft202012Validator.check_schema(schema)
    assert json.loads(json.dumps(schema)) == schema


@pytest.mark.parametrize("text", [starter(), demo_path().read_text("utf-8"), GOOD.read_text("utf-8")])
def test_the_schema_is_silent_on_good_files(text: str) -> None:
    assert [error.message for error in Draft202012Validator(json_schema()).iter_errors(plain(text))] == []


def all_errors(errors: Any) -> Iterator[ValidationError]:
    for error in errors:
        yield error
        yield from all_errors(error.context or ())


def field_of(document: Any, path: Any) -> str:
    """A schema error's place as the reader calls it: groups in lists by their id, single values by their list."""
    words = []
    for step in path:
        document = document[step]
        if not isinstance(step, int):
            words.append(step)
        elif isinstance(document, dict):
            words.append(str(document.get("id", step + 1)))
    return ".".join(words)


def covers(errors: Counter[str], finding: Finding) -> bool:
    outer = finding.where.field.rpartition(".")[0]
    return finding.where.field in errors or outer in errors


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.name)
def test_the_schema_sees_every_fault_of_form(path: Path) -> None:
    reading: Reading = read_car(path)
    document = plain(path.read_text(encoding="utf-8"))
    errors = Counter(
        field_of(document, error.absolute_path)
        for error in all_errors(Draft202012Validator(json_schema()).iter_errors(document))
    )
    of_form = [f for f in faults(reading.findings) if f.rule in SEEN_BY_SCHEMA | {"torque"}]
    unseen = [str(f) for f in of_form if not covers(errors, f)]
    assert [text for text in unseen if not any(part in text for part in SEEN_BY_READER_ONLY)] == []
