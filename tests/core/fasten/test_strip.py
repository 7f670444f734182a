"""Shear areas of threads: printed figures, an independent package, and what minimum material takes away."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import ask, look, looked_up, rows_of
from core.fasten.rows import PrintedRow
from putback.core.fasten.strip import (
    FORMULAS,
    TABLES,
    bolt_shear_area_per_length,
    engagement_combined,
    engagement_equal,
    engagement_needed,
    hole_shear_area_per_length,
)


@pytest.mark.parametrize("row", rows_of(FORMULAS), ids=lambda row: row.id)
def test_printed_rows(row: PrintedRow) -> None:
    answer = ask(FORMULAS, row.formula, **row.inputs)
    assert answer.value is not None, row
    assert row.agrees(answer.value), (row, answer)
    assert any("full threads only" in text for text in answer.warnings)


def test_every_formula_has_a_printed_row() -> None:
    assert {row.formula for row in rows_of(FORMULAS)} == {formula.name for formula in FORMULAS}


@pytest.mark.parametrize("row", looked_up("thread_strip"), ids=lambda row: row.id)
def test_table_rows(row: PrintedRow) -> None:
    line = look(TABLES, row)
    assert row.agrees(line.value)
    assert line.unit == row.unit
    assert "context only" in line.note


@pytest.mark.parametrize("thread", ["10-32", "1/4-20", "1/4-28", "1/2-13", "1/2-20", "3/4-10", "3/4-16", "1-8"])
def test_the_package_says_the_same(thread: str) -> None:
    library = pytest.importorskip("screw_thread_lib")  # PyPI screw_thread_lib (MIT), FED-STD-H28/2B and ASME B1.1
    joint = library.Assembly.from_ASME_B11_UN_2A2B(thread)
    hole = hole_shear_area_per_length(pitch=joint.p, major_min=joint.dmin, pitch_int_max=joint.D2max)
    bolt = bolt_shear_area_per_length(pitch=joint.p, minor_int_max=joint.D1max, pitch_ext_min=joint.d2min)
    assert hole == pytest.approx(joint.ASn_min_FEDSTD_2a())
    assert bolt == pytest.approx(joint.ASs_min_FEDSTD_4a())
    size = {"diameter": joint.dbsc, "threads_per_length": joint.n}
    assert engagement_combined(**size) == pytest.approx(joint.LEr_FEDSTD_13())
    equal = engagement_equal(minor_int_max=joint.D1max, pitch_ext_min=joint.d2min, **size)
    assert equal == pytest.approx(joint.LEr_FEDSTD_14())


def test_basic_sizes_overstate_an_m10_by_28_percent() -> None:
    # M10x1.5: 6g/6H limits seen in published charts (dmin 9.732, D2max 9.206); basic sizes 10 and 9.026 (ISO 724)
    real = hole_shear_area_per_length(pitch=1.5, major_min=9.732, pitch_int_max=9.206)
    basic = hole_shear_area_per_length(pitch=1.5, major_min=10, pitch_int_max=9.026)
    assert basic / real == pytest.approx(1.28, abs=0.005)


@pytest.mark.parametrize(
    ("name", "inputs"),
    [
        ("strip_area_int", {"P": "1.25", "d_min": "6", "D2_max": "7.4"}),  # bolt smaller than the hole
        ("strip_area_int", {"P": "1.25", "d_min": "0.3", "D2_max": "7.4"}),  # inches among millimetres
        ("strip_area_int", {"P": "1.25", "d_min": "10", "D2_max": "7.4"}),  # bolt of another size
        ("strip_area_ext", {"P": "1.25", "D1_max": "9", "d2_min": "7"}),
        ("engage_int", {"P": "1.25", "d_min": "6", "D2_max": "7.4", "Fbolt": "1000", "tau": "100"}),
        ("fed_le13", {"d": "0.25", "n": "2"}),
        ("fed_le14", {"d": "0.25", "n": "2", "D1_max": "0.2", "d2_min": "0.2"}),
    ],
)
def test_threads_that_do_not_mesh_are_refused(name: str, inputs: dict[str, str]) -> None:
    assert ask(FORMULAS, name, **inputs).refused


@given(force=st.floats(1, 1e6), more=st.floats(1, 1e6), shear=st.floats(20, 800))
def test_more_force_needs_more_thread(force: float, more: float, shear: float) -> None:
    few, many = (
        engagement_needed(pitch=1.5, major_min=9.732, pitch_int_max=9.206, force=one, shear=shear)
        for one in sorted((force, more))
    )
    assert few <= many


@given(thin=st.floats(9.3, 10), thick=st.floats(9.3, 10), wide=st.floats(9.03, 9.21), tight=st.floats(9.03, 9.21))
def test_less_material_is_never_more_area(thin: float, thick: float, wide: float, tight: float) -> None:
    thin, thick = sorted((thin, thick))
    tight, wide = sorted((tight, wide))
    least = hole_shear_area_per_length(pitch=1.5, major_min=thin, pitch_int_max=wide)
    most = hole_shear_area_per_length(pitch=1.5, major_min=thick, pitch_int_max=tight)
    assert least <= most or math.isclose(least, most)
