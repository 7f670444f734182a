"""Passes to a torque. The usual ones against the printed rows of `printed/pattern.csv`; the rest: common practice."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import looked_up
from core.fasten.rows import PrintedRow
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.layout import PRACTICE
from putback.core.fasten.passes import CHECK_ROUND, OWN, RANGE, TABLES, loosening, passes
from putback.core.quantity import Torque, read_torque

PRINTED = [row for row in looked_up("pattern") if "pass" in row.inputs]
STAR = (0, 2, 1, 3)


@pytest.mark.parametrize("row", [row for row in PRINTED if row.tolerance == "exact"], ids=lambda row: row.id)
def test_the_usual_passes_are_the_printed_ones(row: PrintedRow) -> None:
    told = passes(torque=read_torque("80 N·m"), order=STAR)
    one = told.passes[int(row.inputs["pass"]) - 1]
    assert row.agrees(one.percent), row.source
    assert one.torque.value == pytest.approx(80 * float(row.expected) / 100)
    assert one.check == (row.inputs["pass"] == "4")


@pytest.mark.parametrize("row", [row for row in PRINTED if row.tolerance == "range"], ids=lambda row: row.id)
def test_the_usual_passes_lie_in_the_printed_bands(row: PrintedRow) -> None:
    low, high = map(float, row.expected.split(".."))
    assert low <= passes(torque=read_torque("80 N·m"), order=STAR).passes[int(row.inputs["pass"]) - 1].percent <= high


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: row.id)
def test_the_table_has_the_printed_row(row: PrintedRow) -> None:
    fitting = [line for line in TABLES if line.about == row.quantity and dict(line.keys) == row.inputs]
    assert len(fitting) == 1
    assert row.agrees(fitting[0].value)
    assert fitting[0].unit == row.unit
    assert (fitting[0].seen == "from memory") == (row.status == "MEMORY")


def test_all_six_rows_are_there() -> None:
    assert len(PRINTED) == 6


def test_the_usual_passes_are_named_common_practice_and_end_with_a_round() -> None:
    told = passes(torque=read_torque("33 N·m"), order=STAR)
    assert told.source == PRACTICE == "common practice, no source"
    assert CHECK_ROUND in told.warnings
    assert [one.order for one in told.passes] == [STAR, STAR, STAR, (0, 1, 2, 3)]


def test_the_sources_own_passes_win_and_nothing_is_added() -> None:
    told = passes(torque=read_torque("60 N·m"), order=STAR, own_percent=(50.0, 100.0))
    assert [one.torque.value for one in told.passes] == [30.0, 60.0]
    assert told.source == OWN
    assert told.warnings == (RANGE,)


def test_a_pass_keeps_the_sources_unit() -> None:
    told = passes(torque=read_torque("18 lbf·ft"), order=STAR)
    assert [str(one.torque) for one in told.passes] == ["5.4 lbf·ft", "10.8 lbf·ft", "18 lbf·ft", "18 lbf·ft"]
    assert told.passes[0].text == "pass 1: 5.4 lbf·ft (30 %), 1-3-2-4"
    assert told.passes[3].text == "check round: 18 lbf·ft (100 %), 1-2-3-4"


def test_one_fastener_alone_needs_no_passes() -> None:
    told = passes(torque=read_torque("8 N·m"), order=(0,))
    assert [one.percent for one in told.passes] == [100.0]


@given(
    value=st.floats(0.1, 1000),
    own=st.lists(st.floats(1, 100), max_size=5).map(lambda some: tuple(sorted([*some, 100.0]))),
)
def test_no_pass_is_below_the_one_before_and_the_last_is_the_full_torque(value: float, own: tuple[float, ...]) -> None:
    for percents in (own, ()):
        told = passes(torque=Torque(value=value, unit="N·m"), order=STAR, own_percent=percents)
        values = [one.torque.value for one in told.passes]
        assert values == sorted(values)
        assert values[-1] == value


@pytest.mark.parametrize(
    "own", [(30.0, 60.0), (100.0, 50.0), (0.0, 100.0), (-5.0, 100.0), (60.0, 120.0), (100.0, 90.0)]
)
def test_passes_that_cannot_be_are_refused(own: tuple[float, ...]) -> None:
    with pytest.raises(NotComputable):
        passes(torque=read_torque("60 N·m"), order=STAR, own_percent=own)


def test_an_angle_has_no_percent() -> None:
    with pytest.raises(NotComputable, match="angle"):
        passes(torque=read_torque("12 N·m + 90°"), order=STAR)


@pytest.mark.parametrize("order", [(), (0, 0), (1, 2), (0, 2)])
def test_an_order_that_misses_one_is_refused(order: tuple[int, ...]) -> None:
    with pytest.raises(NotComputable):
        passes(torque=read_torque("60 N·m"), order=order)


def test_loosening_is_the_reverse() -> None:
    assert loosening(STAR) == (3, 1, 2, 0)
