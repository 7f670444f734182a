"""Numbers of the gates: each with where it comes from, and settable in the strict direction alone."""

from typing import Any

import pytest

from core.gates.bench import at_shield
from putback.core.gates import GateKind, GateSettings, MakerClass
from putback.core.gates.settings import GLOVE_VOLTS, SOURCES
from putback.core.record.kinds import GLOVE_CLASSES

LOOSER: tuple[dict[str, Any], ...] = (
    {"glove_test_months": 7},
    {"glove_test_months": 0},
    {"gloves_above_volts": 61.0},
    {"gloves_above_volts": -1.0},
    {"bonding_ohm": 0.2},
    {"bonding_ohm": float("nan")},
    {"gap_minutes": 121.0},
    {"gap_minutes": float("inf")},
    {"clock_seconds": 121.0},
    {"clock_seconds": 0.0},
    {"maker_gloves": {"hv": MakerClass(glove_class="5", source="invented")}},
    {"maker_gloves": {"hv": MakerClass(glove_class="0", source=" ")}},
)


@pytest.mark.parametrize("looser", LOOSER)
def test_looser_than_its_source_is_refused(looser: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=r"must be above 0|name one of the classes"):
        GateSettings(**looser)


def test_every_figure_has_its_source_or_says_that_it_has_none() -> None:
    figures = set(GateSettings.__slots__) - {"maker_gloves", "accepted_grades"}
    assert figures <= SOURCES.keys()
    for source in SOURCES.values():
        assert "seen" in source or "no source" in source or "from memory" in source


def test_use_voltages_rise_with_the_class() -> None:
    """29 CFR 1910.137, table of use voltages, a.c. (from memory)."""
    assert tuple(GLOVE_VOLTS) == GLOVE_CLASSES
    assert list(GLOVE_VOLTS.values()) == [500, 1000, 7500, 17000, 26500, 36000]


STRICTER: tuple[tuple[dict[str, Any], GateKind], ...] = (
    ({"glove_test_months": 1}, GateKind.GLOVES),
    ({"gap_minutes": 0.01}, GateKind.PROOF),
    ({"maker_gloves": {"hv": MakerClass(glove_class="1", source="invented")}}, GateKind.GLOVES),
)


@pytest.mark.parametrize(("stricter", "kind"), STRICTER)
def test_stricter_shuts(stricter: dict[str, Any], kind: GateKind) -> None:
    bench = at_shield()
    assert not bench.shut()
    bench.settings = GateSettings(**stricter)
    assert (kind, "hv") in bench.shut()
