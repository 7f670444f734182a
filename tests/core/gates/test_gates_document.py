"""The document of the gates says what the tables say: who may pass what, what ends what, where each number is from."""

from pathlib import Path

import pytest

from putback.core.gates import AUTHORITY, VALUE_NEEDED_ASK, GateKind, GateSettings
from putback.core.gates.gate import OVERRIDE
from putback.core.gates.settings import GLOVE_VOLTS, SOURCES
from putback.core.gates.tables import ENDS
from putback.core.record.kinds import EVENTS

TEXT = (Path(__file__).parents[3] / "docs" / "gates.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("kind", list(GateKind))
def test_every_gate_has_its_row_and_says_who_may_pass_it(kind: GateKind) -> None:
    rows = [line for line in TEXT.splitlines() if line.startswith(f"| {kind} |")]
    assert len(rows) == 1
    assert rows[0].endswith(f"| {OVERRIDE[kind]} |")


@pytest.mark.parametrize("event", ENDS)
def test_every_ending_has_its_row(event: str) -> None:
    assert f"| {event} | {', '.join(ENDS[event])} |" in TEXT


def test_no_row_of_endings_is_made_up() -> None:
    begin = TEXT.index("| event | ends |")
    rows = TEXT[begin : TEXT.index("\n\n", begin)].splitlines()[2:]
    assert [row.split(" | ")[0].removeprefix("| ") for row in rows] == list(ENDS)


@pytest.mark.parametrize("name", [name for name in SOURCES if name != "glove_class"])
def test_every_setting_has_its_default_and_source(name: str) -> None:
    assert f"| `{name}` | {getattr(GateSettings(), name):g} | {SOURCES[name]} |" in TEXT


def test_gloves_by_class() -> None:
    assert f"Source of that: {SOURCES['glove_class']}." in TEXT
    for glove, volts in GLOVE_VOLTS.items():
        assert f"| {glove} | {volts:.0f} |" in TEXT


def test_the_authority_stands_first_and_value_needed_is_named() -> None:
    assert TEXT.splitlines()[2] == AUTHORITY
    assert VALUE_NEEDED_ASK in TEXT


def test_every_event_that_it_names_can_be_recorded() -> None:
    begin = TEXT.index("| gate | asks |")
    cells = [row.split(" | ")[2] for row in TEXT[begin : TEXT.index("\n\n", begin)].splitlines()[2:]]
    named = {part for cell in cells for part in cell.split("`")[1::2]}
    assert named - {"prove dead"} <= EVENTS.keys()


def test_no_verdict_is_printed() -> None:
    assert "compliant" not in TEXT
    assert " is safe" not in TEXT
