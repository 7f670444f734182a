"""Isolation: printed rows, a divider worked out by Ohm's law, and the maker's limit before the floor."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import ask, look, looked_up, rows_of
from core.fasten.rows import PrintedRow
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.isolation import FORMULAS, TABLES, isolation, isolation_ohm, isolation_two_sides_ohm

OHM = st.floats(1e4, 1e7)


@pytest.mark.parametrize("row", rows_of(FORMULAS), ids=lambda row: row.id)
def test_printed_rows(row: PrintedRow) -> None:
    assert row.agrees(ask(FORMULAS, row.formula, **row.inputs).value), row


@pytest.mark.parametrize("row", looked_up("hv_insulation"), ids=lambda row: row.id)
def test_printed_rows_of_the_table(row: PrintedRow) -> None:
    line = look(TABLES, row)
    assert row.agrees(line.value), row
    assert line.unit == row.unit


@given(larger=OHM, smaller=OHM, known=st.floats(1e4, 1e6), volts=st.floats(100, 1000))
def test_ohms_law_gives_the_smaller_resistance_back(larger: float, smaller: float, known: float, volts: float) -> None:
    """Independent: a voltage divider of two resistances to the body. The side with the larger voltage is the one with
    the larger resistance; the known resistor lies beside that one; the formula gives the other one back."""
    larger, smaller = max(larger, smaller), min(larger, smaller)
    first = volts * larger / (larger + smaller)
    beside = larger * known / (larger + known)
    then = volts * beside / (beside + smaller)
    found = isolation_ohm(known_ohm=known, bus_v=volts, larger_v=first, with_known_v=then)
    assert found == pytest.approx(smaller, rel=1e-6)
    older = isolation_two_sides_ohm(known_ohm=known, larger_v=first, other_v=volts - first, with_known_v=then)
    assert older == pytest.approx(smaller, rel=1e-6)


def test_readings_that_cannot_be() -> None:
    with pytest.raises(NotComputable, match="did not fall"):
        isolation_ohm(known_ohm=1e4, bus_v=400, larger_v=240, with_known_v=240)
    with pytest.raises(NotComputable, match="above the whole bus"):
        isolation_ohm(known_ohm=1e4, bus_v=400, larger_v=401, with_known_v=100)
    with pytest.raises(NotComputable, match="larger side"):
        isolation_two_sides_ohm(known_ohm=1e4, larger_v=100, other_v=300, with_known_v=50)


def test_the_smaller_side_is_warned_of() -> None:
    told = ask(FORMULAS, "iso_Ri", Ro="40000", Vb="400", V1="160", V1p="30")
    assert "below half of the bus" in told.warnings[-1]
    assert len(ask(FORMULAS, "iso_Ri", Ro="40000", Vb="400", V1="240", V1p="30").warnings) == 2


def test_the_maker_s_limit_wins_over_the_floor() -> None:
    # row HI-009: 360 V at 500 ohm/V is 180 000 ohm
    floor = isolation(measured_ohm=500_000, voltage_v=360, ohm_per_volt=500)
    assert (floor.asked_ohm, floor.is_below) == (180_000, False)
    maker = isolation(
        measured_ohm=500_000, voltage_v=360, ohm_per_volt=500, maker_limit_ohm=1e6, maker_source="maker, page 7"
    )
    assert maker.is_below
    assert "maker, page 7" in maker.says
    lower = isolation(
        measured_ohm=1e5, voltage_v=360, ohm_per_volt=500, maker_limit_ohm=9e4, maker_source="maker, page 7"
    )
    assert not lower.is_below
    assert "ask the maker" in lower.warnings[-1]


def test_a_limit_without_a_source_is_not_used() -> None:
    told = isolation(measured_ohm=1e5, voltage_v=360, ohm_per_volt=500, maker_limit_ohm=1)
    assert told.asked_ohm == 180_000
    assert "no source" in told.warnings[-1]


def test_nothing_is_called_in_order() -> None:
    told = isolation(measured_ohm=1e9, voltage_v=360, ohm_per_volt=500)
    words = " ".join((told.says, *told.warnings)).lower()
    assert "no proof of health" in words
    assert "safe" not in words
    assert "compliant" not in words
