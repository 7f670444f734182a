"""Basic sizes of threads against published tables (sources in each row) and an independent thread library."""

import importlib
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import ask, look, looked_up, rows_of
from core.fasten.rows import PrintedRow
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.designation import designation
from putback.core.fasten.thread import (
    FORMULAS,
    TABLES,
    bolt_root_diameter,
    geometry,
    hole_minor_diameter,
    pitch_diameter,
    profile_term_mm,
    stress_area_in2,
    stress_area_mm2,
)

ROWS = rows_of(FORMULAS)
LIBRARY: Any = importlib.import_module("screw_thread_lib.data.ASME")
ASSEMBLY: Any = importlib.import_module("screw_thread_lib.threads")
SIZES = st.sampled_from(
    ["M3", "M5", "M6", "M8x1", "M10x1.25", "M14x1.25", "M24", "#10-32", "1/4-20", "1/2-13", "1-12"]
)


def test_there_are_rows_of_both_systems_and_misprints() -> None:
    assert {row.area for row in ROWS} >= {"thread_metric", "thread_unified", "stress_area"}
    assert sum(row.misprint for row in ROWS) == 5
    assert {row.formula for row in ROWS} == {formula.name for formula in FORMULAS} - {"thread_H"}


@pytest.mark.parametrize("row", [row for row in ROWS if not row.misprint], ids=lambda row: row.id)
def test_a_published_size_comes_out(row: PrintedRow) -> None:
    answer = ask(FORMULAS, row.formula, **row.inputs)
    assert row.agrees(answer.value), f"{row.quantity}: {answer.value}, published {row.expected} ({row.source})"
    assert answer.unit == row.unit


@pytest.mark.parametrize("row", [row for row in ROWS if row.misprint], ids=lambda row: row.id)
def test_a_misprinted_area_is_found_out(row: PrintedRow) -> None:
    value, apart = ask(FORMULAS, row.formula, **row.inputs).value, float(row.tolerance.partition(":")[2])
    assert isinstance(value, float)
    assert abs(value - float(row.expected)) > apart * float(row.expected)


def test_the_height_of_the_triangle_is_a_term_of_its_own() -> None:
    """ISO 68-1: H = 0.8660254 for a pitch of 1 mm (printed so in the profile table)."""
    assert ask(FORMULAS, "thread_H", P="1").value == pytest.approx(0.8660254, abs=5e-8)


@pytest.mark.parametrize("row", [row for row in looked_up("thread_metric") if "size" in row.inputs])
def test_a_published_tap_drill_stands_in_the_table(row: PrintedRow) -> None:
    line = look(TABLES, row)
    assert row.agrees(line.value)
    assert line.unit == row.unit


def test_a_tap_drill_leaves_some_thread_and_passes_the_core() -> None:
    """A drill lies between the basic minor diameter and the pitch diameter of its thread, to a tenth."""
    for row in TABLES:
        size, _, pitch = row.keys["size"].partition("-")
        basic = {"diameter": float(size[1:]), "pitch": float(pitch)}
        assert isinstance(row.value, float)
        assert hole_minor_diameter(**basic) - 0.1 < row.value < pitch_diameter(**basic), row


@pytest.mark.parametrize("name", LIBRARY.ASME_UN_2A2B_dict)
def test_unified_areas_are_those_of_an_independent_library(name: str) -> None:
    """screw_thread_lib 0.0.6, FED-STD-H28/2B formulas 1a and 1b."""
    known = ASSEMBLY.Assembly.from_database("ASME_UN_2A2B", name)
    area = stress_area_in2(diameter_in=known.dbsc, threads_per_inch=known.n)
    assert area == pytest.approx(known.As_FEDSTD_1b(), rel=1e-6)
    assert area == pytest.approx(known.As_FEDSTD_1a(), rel=1e-6)


@pytest.mark.parametrize("name", LIBRARY.ASME_M_6g6H_dict)
def test_metric_areas_are_those_of_an_independent_library(name: str) -> None:
    """screw_thread_lib 0.0.6, area of ISO/TR 16224, which works in inches."""
    known = ASSEMBLY.Assembly.from_database("ASME_M_6g6H", name)
    diameter_mm, pitch_mm = known.dbsc * 25.4, 25.4 / known.n
    area = stress_area_mm2(diameter_mm=diameter_mm, pitch_mm=pitch_mm)
    assert area == pytest.approx(known.As_ISO() * 25.4**2, rel=1e-6)


def test_the_constant_of_inch_threads_is_low_on_a_metric_one() -> None:
    """36.13 against 36.61 mm2 on M8: the two constants are not to be mixed (Shigley 9th ed. p.413, ISO 898-1)."""
    wrong = stress_area_in2(diameter_in=8 / 25.4, threads_per_inch=25.4 / 1.25) * 25.4**2
    assert wrong == pytest.approx(36.13, abs=0.005)
    assert stress_area_mm2(diameter_mm=8, pitch_mm=1.25) == pytest.approx(36.61, abs=0.005)


@given(st.floats(1, 100), st.floats(0.02, 0.3))
def test_the_diameters_of_a_thread_lie_in_their_order(diameter: float, share: float) -> None:
    basic = {"diameter": diameter, "pitch": share * diameter}
    assert diameter > pitch_diameter(**basic) > hole_minor_diameter(**basic) > bolt_root_diameter(**basic) > 0


@given(st.floats(1, 100), st.floats(0.02, 0.3), st.floats(0.1, 10))
def test_sizes_grow_with_the_unit(diameter: float, share: float, scale: float) -> None:
    """Any unit of length: all of a thread's diameters scale with it."""
    one = hole_minor_diameter(diameter=diameter, pitch=share * diameter)
    other = hole_minor_diameter(diameter=scale * diameter, pitch=scale * share * diameter)
    assert other == pytest.approx(scale * one, rel=1e-9)


def test_a_column_of_sizes_is_worked_out_at_once() -> None:
    diameters, pitches = np.array([6.0, 8.0, 10.0]), np.array([1.0, 1.25, 1.5])
    areas = stress_area_mm2(diameter_mm=diameters, pitch_mm=pitches)  # type: ignore[arg-type]
    assert np.round(areas, 1).tolist() == [20.1, 36.6, 58.0]  # ISO 898-1, stress areas of M6, M8, M10


@pytest.mark.parametrize("name", ["thread_D1", "thread_d3", "as_metric"])
def test_a_pitch_that_leaves_no_core_is_refused(name: str) -> None:
    assert "no core" in str(ask(FORMULAS, name, d="2", P="2").refused)


@pytest.mark.parametrize("name", ["un_minor_int", "un_minor_unr", "un_minor_area", "as_un"])
def test_too_few_threads_per_inch_are_refused(name: str) -> None:
    assert "no core" in str(ask(FORMULAS, name, d="0.25", n="4").refused)


@pytest.mark.parametrize("term", ["", "H/0", "2P", "H+1"])
def test_what_is_no_term_of_the_profile_is_refused(term: str) -> None:
    with pytest.raises(NotComputable, match="no term"):
        profile_term_mm(pitch_mm=1, term=term)


@given(SIZES)
def test_the_sizes_of_a_thread_agree_with_the_formulas(name: str) -> None:
    sizes = geometry(designation(name))
    assert sizes.diameter_mm > sizes.pitch_diameter_mm > sizes.hole_minor_mm > sizes.bolt_root_mm
    across = (sizes.pitch_diameter_mm + sizes.bolt_root_mm) / 2
    assert sizes.stress_area_mm2 == pytest.approx(math.pi / 4 * across**2, rel=0.05)


def test_the_stress_area_of_an_inch_thread_is_told_in_square_millimetres() -> None:
    """1/4-20 UNC: 0.0318 in2 (Shigley 9th ed. Table 8-2), 20.5 mm2."""
    assert geometry(designation("1/4-20")).stress_area_mm2 == pytest.approx(0.0318 * 25.4**2, rel=0.003)
