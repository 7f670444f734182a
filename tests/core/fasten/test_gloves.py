"""Gloves and meters: printed rows, test dates, and the strictest of sources that disagree."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import look, looked_up
from core.fasten.rows import PrintedRow
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.glove_tables import TABLES
from putback.core.fasten.gloves import CLASSES, Current, class_to_use, gloves_for, least_class, meter_for

TABLE_ROWS = [*looked_up("hv_gloves"), *looked_up("hv_procedure")]
TESTED = date(2026, 1, 10)


@pytest.mark.parametrize("row", TABLE_ROWS, ids=lambda row: row.id)
def test_printed_rows_of_the_table(row: PrintedRow) -> None:
    line = look(TABLES, row)
    assert row.agrees(line.value), row
    assert line.unit == row.unit
    assert (line.seen == "from memory") is (row.status == "MEMORY")


def test_the_least_class_by_the_standard() -> None:
    # rows HG-001 to HG-005, HG-020, HG-021: class 00 to 500 V a.c. and 750 V d.c., class 0 to 1000 and 1500
    cases = [
        (400, "dc", "00"),
        (750, "dc", "00"),
        (751, "dc", "0"),
        (800, "dc", "0"),
        (500, "ac", "00"),
        (501, "ac", "0"),
    ]
    for volts, current, name in cases:
        assert least_class(voltage_v=volts, current=Current(current)) == name


def test_the_strictest_source_counts() -> None:
    """400 V d.c.: 00 by the standard; class 0 by common practice (no source), as the note of row HG-020 says."""
    asked = class_to_use(voltage_v=400, current=Current.DC)
    assert (asked.by_standard, asked.to_use) == ("00", "0")
    assert "class 0: common practice, no source" in asked.why
    # 1200 V d.c.: class 0 by the d.c. column, class 1 where the a.c. column is taken (1000 V a.c. is the end of 0)
    assert class_to_use(voltage_v=1200, current=Current.DC).to_use == "1"
    assert class_to_use(voltage_v=400, current=Current.DC, maker_class="2").to_use == "2"
    assert class_to_use(voltage_v=800, current=Current.DC, maker_class="00").to_use == "0"


@given(volts=st.floats(1, 30_000), more=st.floats(0, 6_000), current=st.sampled_from(Current))
def test_more_voltage_never_asks_for_less(volts: float, more: float, current: Current) -> None:
    low, high = (class_to_use(voltage_v=value, current=current) for value in (volts, volts + more))
    assert CLASSES.index(low.to_use) <= CLASSES.index(high.to_use)
    assert CLASSES.index(low.by_standard) <= CLASSES.index(low.to_use)


DAYS = [
    (TESTED, True),
    (date(2026, 7, 9), True),
    (date(2026, 7, 10), False),  # six months to the day, OSHA letter of 25 January 2019
    (date(2026, 1, 9), False),  # the test lies ahead
]


@pytest.mark.parametrize(("day", "may"), DAYS)
def test_six_months_in_service(day: date, may: bool) -> None:
    told = gloves_for(voltage_v=400, current=Current.DC, glove_class="0", tested_on=TESTED, day=day)
    assert told.may_be_used is may
    assert any("air" in text for text in told.before_use)


def test_twelve_months_in_store() -> None:
    for day, may in ((date(2027, 1, 9), True), (date(2027, 1, 10), False)):
        told = gloves_for(
            voltage_v=400, current=Current.DC, glove_class="0", tested_on=TESTED, day=day, in_service=False
        )
        assert told.may_be_used is may


def test_all_reasons_at_once() -> None:
    told = gloves_for(voltage_v=2000, current=Current.DC, glove_class="00", tested_on=None, day=TESTED)
    assert len(told.reasons) == 2
    assert "use class 1" in told.reasons[0]
    assert "unknown" in told.reasons[1]


def test_what_does_not_exist() -> None:
    with pytest.raises(NotComputable, match="no class of gloves"):
        gloves_for(voltage_v=400, current=Current.DC, glove_class="7", tested_on=TESTED, day=TESTED)
    with pytest.raises(NotComputable, match="no class of gloves covers"):
        least_class(voltage_v=40_000, current=Current.AC)
    with pytest.raises(NotComputable, match="no measurement category"):
        meter_for(voltage_v=400, category="V", rated_v=1000)


def test_meters() -> None:
    """Category III, rated for the voltage at least: common practice, no source."""
    for category, rated, reasons in (
        ("III", 1000, 0),
        ("cat iv", 600, 0),
        ("II", 1000, 1),
        ("III", 300, 1),
        ("II", 300, 2),
    ):
        assert len(meter_for(voltage_v=400, category=category, rated_v=rated).reasons) == reasons
