"""What is written as `procedure/1` reads back as the same values; what is wrong is named with line, field and mend."""

from dataclasses import fields, replace
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as some

from putback.adapters.car_file import read_car_text
from putback.adapters.car_writer import write_car
from putback.adapters.procedure_file import (
    LINE,
    is_procedure,
    read_procedure,
    read_procedure_text,
    write_procedure,
)
from putback.adapters.yaml_text import value_text
from putback.core.car import Car
from putback.core.finding import faults
from putback.core.operations import Verb
from putback.core.procedure import Line, Procedure, Question
from putback.narrate.car.car_from import car_from
from putback.narrate.car.learn import learned, recorded
from putback.narrate.lines.firm import line_of
from putback.narrate.lines.said import Said

FILE = "job.procedure.yaml"
SIGNS = some.characters(exclude_categories=("Cs", "Cc"), exclude_characters="\ufffe\uffff")
WORDS = some.text(SIGNS, min_size=1, max_size=30).filter(lambda text: text.strip() != "")
TABLES = some.dictionaries(WORDS, WORDS, max_size=3)


SAID = some.one_of(some.none(), WORDS)


@some.composite
def said(draw: some.DrawFn, n: int) -> Said:
    """Any operation that a narration can give, every field of it."""
    earlier = some.integers(1, n - 1) if n > 1 else some.none()
    return Said(
        n=n,
        verb=draw(some.sampled_from(Verb)),
        object=draw(some.one_of(some.just(""), WORDS)),
        start=n,
        end=n + draw(some.integers(0, 50)),
        count=draw(some.one_of(some.none(), some.integers(1, 9999))),
        size=draw(SAID),
        kind=draw(SAID),
        torque=draw(SAID),
        pattern=draw(SAID),
        zone=draw(SAID),
        tool=draw(SAID),
        tray=draw(SAID),
        seconds=draw(some.one_of(some.none(), some.floats(0, 9e6))),
        twin=draw(some.one_of(some.none(), earlier)),
        also=tuple(draw(some.lists(some.integers(1, n - 1), max_size=2))) if n > 1 else (),
        condition=draw(SAID),
        doubts=tuple(draw(some.lists(WORDS, max_size=2))),
        slackened=draw(some.booleans()),
    )


@some.composite
def procedures(draw: some.DrawFn) -> Procedure:
    """Any procedure whose numbers name earlier lines."""
    sources = draw(TABLES)
    lines = []
    for n in range(1, draw(some.integers(0, 6)) + 1):
        first = tuple(draw(some.lists(some.integers(1, max(1, n - 1)), max_size=2))) if n > 1 else ()
        source = draw(some.sampled_from(sorted(sources))) if sources else None
        lines.append(line_of(draw(said(n)), source=source, first=first, confirmed=draw(SAID)))
    asked = [
        Question(kind=draw(WORDS), text=draw(WORDS), operation=line.n, answer=draw(SAID), answered_by=draw(SAID))
        for line in lines[:1]
    ]
    return Procedure(
        car=draw(WORDS),
        file=FILE,
        name=draw(some.one_of(some.just(""), WORDS)),
        invented=draw(some.booleans()),
        high_voltage=draw(some.sampled_from([None, True, False])),
        aliases={alias: f"{name}, the thing itself" for alias, name in draw(TABLES).items()},
        zones=draw(TABLES),
        sources=sources,
        private=draw(TABLES),
        lines=tuple(lines),
        questions=tuple(asked),
    )


def test_a_line_keeps_every_field_of_what_was_said() -> None:
    """A field that narration gives and a procedure does not know would be lost in silence."""
    known = {key.name for key in LINE.keys} - {"span"} | {"start", "end"}
    assert {one.name for one in fields(Said)} <= {one.name for one in fields(Line)}
    assert {one.name for one in fields(Line)} == known


@given(procedures())
@settings(max_examples=150, deadline=None)
def test_round_trip(procedure: Procedure) -> None:
    """Whatever a procedure says, its file says the same."""
    read = read_procedure_text(write_procedure(procedure).encode(), FILE)
    assert read.procedure == procedure, read.findings


@given(procedures())
@settings(max_examples=150, deadline=None)
def test_a_car_that_is_drawn_reads_back(procedure: Procedure) -> None:
    """Whatever was said, the car file that is written of it has no faults and says the same."""
    known = learned([recorded(procedure)])
    if not known.things:
        return
    drawn = car_from([procedure], known)
    read = read_car_text(write_car(drawn.car, findings=drawn.findings).encode(), drawn.car.file)
    assert read.car is not None, faults(read.findings)
    assert _without_lines(read.car) == _without_lines(drawn.car)


def _without_lines(car: Car) -> Car:
    """The same without the lines of the file at which things stand, in plain tables."""
    items = {
        id: replace(item, line=0, joints=tuple(replace(joint, line=0) for joint in item.joints))
        for id, item in car.items.items()
    }
    energies = {id: replace(energy, line=0) for id, energy in car.energies.items()}
    return replace(car, items=items, energies=energies, zones=dict(car.zones), sources=dict(car.sources))


@given(some.one_of(WORDS, some.integers(), some.booleans(), some.none(), some.floats(-1e9, 1e9), TABLES))
@settings(max_examples=300, deadline=None)
def test_values_are_yaml(value: str | float | dict[str, str] | None) -> None:
    """PyYAML, an independent reader (YAML 1.1), reads quoted text, numbers and groups the same."""
    if isinstance(value, str):
        text = value_text(value)
        assert not text.startswith('"') or yaml.safe_load(text) == value
    elif isinstance(value, float) and not isinstance(value, bool):
        assert float(value_text(value)) == value
    elif not isinstance(value, dict):
        assert yaml.safe_load(value_text(value)) == value


BAD = """\
putback: procedure/1
car: Invented 1
operations:
  - {n: 1, verb: remove, object: top cover, twin: 1}
  - {n: 1, verb: removed, object: fan, cuont: 3}
  - {n: 3, verb: tighten, object: fan bolts, torque: 9Nm, source: my-book, span: [9, 2], first: [8]}
  - {n: 4, verb: fit, object: fan, count: -2}
questions:
  - {kind: never_put_back, text: "fan: put back? not heard", operation: 12}
"""


def test_all_faults_at_once() -> None:
    """One bad file: each fault with its line, its field and a mend."""
    read = read_procedure_text(BAD.encode(), FILE)
    assert read.procedure is None
    found = {(one.where.line, one.where.field.rpartition(".")[2]) for one in read.findings if one.kind == "fault"}
    assert {(4, "twin"), (5, "verb"), (5, "cuont"), (5, "n"), (6, "source"), (6, "span"), (6, "first")} <= found
    assert {(7, "count"), (9, "operation")} <= found
    assert all(one.mend for one in read.findings)


def test_notes_are_no_faults() -> None:
    """Lines that nobody confirmed and torques without a source are notes."""
    text = "putback: procedure/1\ncar: Invented 1\noperations:\n  - {n: 1, verb: tighten, object: fan, torque: 9Nm}\n"
    read = read_procedure_text(text.encode(), FILE)
    assert read.procedure is not None
    assert {one.rule for one in read.findings} == {"review", "torque"}


@pytest.mark.parametrize(
    "data",
    [b"", b"\xff\xfe\x00", b"a: [", b"- 1", b"putback: car/1", b"putback: procedure/2", b"\x00", b"x" * 9_000_000],
)
def test_what_is_no_procedure(data: bytes) -> None:
    """Anything else is refused with a reason, never with a traceback."""
    read = read_procedure_text(data, FILE)
    assert read.procedure is None
    assert read.findings


@given(some.binary(max_size=400))
@settings(max_examples=200, deadline=None)
def test_any_bytes(data: bytes) -> None:
    """Random bytes after a good head never raise."""
    read = read_procedure_text(b"putback: procedure/1\noperations:\n  - " + data, FILE)
    assert read.findings


def test_missing_file(tmp_path: Path) -> None:
    """A file that is not there is a finding."""
    assert not read_procedure(tmp_path / "none.yaml").readable


def test_alias_that_leads_back() -> None:
    """Two names that stand for each other name nothing."""
    text = "putback: procedure/1\ncar: a\naliases: {tank: bottle, bottle: tank}\noperations: []\n"
    assert "alias" in {one.rule for one in read_procedure_text(text.encode(), FILE).findings}


def test_head_names_the_format() -> None:
    """Comments before the head and a byte order mark change nothing."""
    assert is_procedure(b"\xef\xbb\xbf# mine\n\nputback: procedure/1\n")
    assert not is_procedure(b"car: putback: procedure/1")
