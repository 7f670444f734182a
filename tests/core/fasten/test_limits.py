"""Limits of size against published charts (sources in each row), an independent library and the standards' formulas.

The formulas are those of ISO 965-1 and ASME B1.1, from memory; they are a check here and never the source of a limit.
"""

import importlib
import math
from itertools import pairwise
from typing import Any

import pytest

from core.fasten.asked import look, looked_up
from core.fasten.rows import PrintedRow
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.designation import designation
from putback.core.fasten.limits import TABLES, THREADS, Limits, limits
from putback.core.fasten.thread import geometry

LIBRARY: Any = importlib.import_module("screw_thread_lib.data.ASME")
ROWS = [row for area in ("thread_metric", "thread_unified") for row in looked_up(area) if "thread" in row.inputs]
METRIC = [name for name in THREADS if name.startswith("M")]
UNIFIED = [name for name in THREADS if not name.startswith("M")]
RANGES_MM = (0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45)
"""Ranges of diameter in ISO 965-1 (from memory); a tolerance is worked out for the geometric mean of its range."""


def figures_mm(name: str) -> tuple[float, float, float, float]:
    known = limits(name)
    return known.major_min_mm, known.pitch_ext_min_mm, known.minor_int_max_mm, known.pitch_int_max_mm


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_a_published_limit_stands_in_the_table(row: PrintedRow) -> None:
    line = look(TABLES, row)
    assert row.agrees(line.value), f"{line.value}, published {row.expected} ({row.source})"
    assert line.unit == row.unit


def test_there_are_rows_and_the_usual_sizes() -> None:
    assert len(ROWS) == 14
    assert {"M3x0.5", "M6x1", "M8x1", "M10x1.25", "M14x1.25", "M24x3", "M24x2"} <= set(METRIC)
    assert {"#4-40", "#10-32", "1/4-20", "5/16-18", "9/16-18", "1-8", "1-12"} <= set(UNIFIED)


@pytest.mark.parametrize("name", METRIC)
def test_metric_limits_are_those_of_the_tolerance_formulas(name: str) -> None:
    """ISO 965-1, from memory: 6g and 6H. Its tables are rounded to a series in steps of 6 %, so to 5.5 % here."""
    basic = geometry(designation(name))
    pitch = basic.pitch_mm
    mean = next(math.sqrt(low * high) for low, high in pairwise(RANGES_MM) if basic.diameter_mm <= high)
    allowance = (15 + 11 * pitch) / 1000
    major = (180 * pitch ** (2 / 3) - 3.15 / math.sqrt(pitch)) / 1000
    bolt = 90 * pitch**0.4 * mean**0.1 / 1000
    minor = (433 * pitch - 190 * pitch**1.22) / 1000 if pitch < 1 else 0.230 * pitch**0.7
    hole = 1.32 * bolt
    expected = (
        (basic.diameter_mm - allowance - major, major),
        (basic.pitch_diameter_mm - allowance - bolt, bolt),
        (basic.hole_minor_mm + minor, minor),
        (basic.pitch_diameter_mm + hole, hole),
    )
    for found, (limit, tolerance) in zip(figures_mm(name), expected, strict=True):
        assert found == pytest.approx(limit, abs=0.055 * tolerance + 0.001)


@pytest.mark.parametrize("name", UNIFIED)
def test_unified_limits_are_those_of_the_tolerance_formulas(name: str) -> None:
    """ASME B1.1, from memory: 2A and 2B, engagement of one diameter; printed to 4 figures, some minors to 3."""
    basic = geometry(designation(name)) if name != "1-14" else geometry(designation("1-12"))
    diameter, pitch = basic.diameter_mm / 25.4, 1 / float(name.rpartition("-")[2])
    height = math.sqrt(3) / 2 * pitch
    engagement = 9 * pitch if name == "1-14" else diameter
    bolt = 0.0015 * diameter ** (1 / 3) + 0.0015 * math.sqrt(engagement) + 0.015 * pitch ** (2 / 3)
    minor = 0.25 * pitch - 0.4 * pitch**2
    if diameter < 0.25:
        minor = min(max(0.05 * pitch ** (2 / 3) + 0.03 * pitch / diameter - 0.002, minor), 0.394 * pitch)
    expected = (
        diameter - 0.3 * bolt - 0.06 * pitch ** (2 / 3),
        diameter - 0.75 * height - 1.3 * bolt,
        diameter - 1.25 * height + minor,
        diameter - 0.75 * height + 1.3 * bolt,
    )
    for found, limit, apart in zip(figures_mm(name), expected, (1.1e-4, 1.2e-4, 5.5e-4, 1.1e-4), strict=True):
        assert found / 25.4 == pytest.approx(limit, abs=apart)


def agrees_with_library(name: str, known: dict[str, float], apart_in: float) -> None:
    printed = (known["dmin"], known["d2min"], known["D1max"], known["D2max"])
    for found, figure in zip(figures_mm(name), printed, strict=True):
        assert found / 25.4 == pytest.approx(figure, abs=apart_in)


@pytest.mark.parametrize("name", LIBRARY.ASME_UN_2A2B_dict)
def test_unified_limits_are_those_of_an_independent_library(name: str) -> None:
    """screw_thread_lib 0.0.6, values from ASME B1.1-2019."""
    agrees_with_library(f"#{name}" if name.startswith("10-") else name, LIBRARY.ASME_UN_2A2B_dict[name], 1e-6)


@pytest.mark.parametrize("name", ["M8-1.25", "M20-2.5", "M24-3"])
def test_metric_limits_are_those_of_an_independent_library(name: str) -> None:
    """screw_thread_lib 0.0.6, values from ASME B1.13M in inches, to half a thousandth of a millimetre."""
    agrees_with_library(name.replace("-", "x"), LIBRARY.ASME_M_6g6H_dict[name], 0.0005 / 25.4 + 5e-6)


def test_the_library_has_one_figure_that_the_standard_has_not() -> None:
    """M12x1.75, 6g: 0.42023 in is 10.674 mm; with the tolerance of 150 um of ISO 965-1 (from memory) it is 10.679."""
    printed = LIBRARY.ASME_M_6g6H_dict["M12-1.75"]
    assert printed["d2min"] * 25.4 == pytest.approx(10.674, abs=0.0005)
    assert printed["d2max"] * 25.4 - 0.150 == pytest.approx(10.679, abs=0.0005)
    assert limits("M12x1.75").pitch_ext_min_mm == 10.679


def flank_mm(known: Limits) -> float:
    """Depth of the hole's thread at the bolt's edge, in the shear area of FED-STD-H28/2B eq 2a."""
    return known.pitch_mm / 2 + (known.major_min_mm - known.pitch_int_max_mm) / math.sqrt(3)


@pytest.mark.parametrize("name", THREADS)
def test_the_thinnest_bolt_still_holds_in_the_widest_hole(name: str) -> None:
    known = limits(name)
    assert known.minor_int_max_mm < known.pitch_int_max_mm < known.major_min_mm
    assert known.pitch_ext_min_mm < known.pitch_int_max_mm
    assert 0 < flank_mm(known) < known.pitch_mm
    assert limits(name).pitch_mm == pytest.approx(
        geometry(designation(name)).pitch_mm if name != "1-14" else 25.4 / 14
    )


@pytest.mark.parametrize("name", ["M8", "M8x0.5", "M30x3.5", "1/4", "1/4-24", "M8x1.25x40", "", "G1/4"])
def test_a_size_in_no_table_is_refused_and_not_derived(name: str) -> None:
    with pytest.raises(NotComputable, match="not derived"):
        limits(name)


def test_a_figure_from_memory_says_so() -> None:
    for line in TABLES:
        assert line.seen == ("from memory" if line.source.endswith("from memory") else "seen")
    assert "from memory" in limits("M16x2").source
    assert "from memory" not in limits("M10x1.5").source
