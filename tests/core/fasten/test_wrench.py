"""Which wrench can do it: range from 20 % and the lowest mark to the top, calibration, direction, adapter, worth."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import look, looked_up
from core.fasten.rows import PrintedRow
from putback.core.fasten.lever import Adapter
from putback.core.fasten.uncertainty import LengthErrors
from putback.core.fasten.wrench import (
    TOLERANCE,
    Direction,
    Task,
    Wrench,
    WrenchKind,
    judge,
    judge_all,
    last_day,
    nearest_mark,
    says,
    tolerance_percent,
)
from putback.core.fasten.wrench_tables import TABLES
from putback.core.quantity import Torque

DAY = date(2026, 6, 1)
B = Wrench(
    id="b",
    name="B",
    kind=WrenchKind.CLICK,
    lowest=10,
    top=100,
    unit="N·m",
    grip_length_mm=400,
    tolerance_class="II-A",
    calibrated_on=date(2026, 1, 10),
    due=date(2027, 1, 9),
    resolution=0.5,
)


def _task(value: float, unit: str = "N·m", adapter: Adapter | None = None, day: date = DAY) -> Task:
    return Task(torque=Torque(value=value, unit=unit), day=day, adapter=adapter)


@pytest.mark.parametrize("row", looked_up("torque_wrench"), ids=lambda row: row.id)
def test_printed_rows_of_the_table(row: PrintedRow) -> None:
    line = look(TABLES, row)
    assert row.agrees(line.value), row
    assert line.unit == row.unit


def test_the_range_begins_exactly_at_20_percent() -> None:
    # rows TW-009, TW-010: 20 N·m is accepted on 100 N·m, rejected on 200 N·m
    assert judge(B, _task(20)).can
    reasons = judge(replace(B, top=200), _task(20)).reasons
    assert reasons == ("the torque, 20 N·m, is below 20 % of its top, 40 N·m: take a smaller wrench",)
    assert not judge(B, _task(19.99)).can
    assert judge(B, _task(100)).can
    assert "above its top" in judge(B, _task(100.1)).reasons[0]


def test_a_higher_lowest_mark_counts() -> None:
    """ISO 6789-1:2017 starts the range at the lowest marked value (seen at norbar.com)."""
    assert "lowest mark of 30 N·m" in judge(replace(B, lowest=30), _task(25)).reasons[0]


@given(top=st.floats(1, 2000), lowest_share=st.floats(0.01, 1), share=st.floats(0.001, 2))
def test_range_for_any_wrench(top: float, lowest_share: float, share: float) -> None:
    wrench = replace(B, top=top, lowest=lowest_share * top)
    low = max(0.2, lowest_share)
    if min(abs(share - low), abs(share - 1)) > 1e-6:
        assert judge(wrench, _task(share * top)).can is (low < share < 1)


def test_the_corrected_setting_must_be_in_range_too() -> None:
    adapter = Adapter(length_mm=100, angle_deg=0)
    judged = judge(B, _task(22, adapter=adapter))  # 22 x 400 / 500 = 17.6
    assert judged.reasons == ("the setting, 17.6 N·m, is below 20 % of its top, 20 N·m: take a smaller wrench",)
    assert judged.mark is None
    back = judge(B, _task(80, adapter=replace(adapter, angle_deg=180)))  # 80 x 400 / 300 = 106.7
    assert "the setting, 106.667 N·m, is above its top" in back.reasons[0]


def test_the_sentence_and_the_nearest_mark() -> None:
    judged = judge(B, _task(24, adapter=Adapter(length_mm=48.6, angle_deg=0)))  # 24 x 400 / 448.6 = 21.4
    assert judged.says == "can be done with your wrench B at setting 21.4 N·m"
    assert judged.mark == 21.5
    assert judged.mark_off_percent == pytest.approx(0.467, abs=0.001)  # 21.5 / 21.4 = 1.00467


def test_the_setting_is_in_the_wrench_s_own_unit() -> None:
    """1 lbf·ft = 1.3558179483314 N·m (row UN-001)."""
    wrench = replace(B, unit="lbf·ft", resolution=None)
    judged = judge(wrench, _task(50 * 1.3558179483314))
    assert judged.setting == pytest.approx(50)
    assert judged.setting_nm == pytest.approx(67.79, abs=0.001)
    assert judged.says.endswith("setting 50.0 lbf·ft, for 67.7909 N·m")
    assert judged.mark is None


DATES = [
    ({"due": date(2026, 6, 1)}, True),  # the last day itself
    ({"due": date(2026, 5, 31)}, False),
    ({"due": None, "calibrated_on": date(2025, 6, 1)}, True),  # 12 months, ISO 6789 (from memory)
    ({"due": None, "calibrated_on": date(2025, 5, 31)}, False),
    ({"due": None, "calibrated_on": None}, False),
    ({"calibrated_on": date(2026, 6, 2)}, False),
]


@pytest.mark.parametrize(("dates", "can"), DATES)
def test_calibration(dates: dict[str, date | None], can: bool) -> None:
    judged = judge(replace(B, **dates), _task(50))  # type: ignore[arg-type]
    assert judged.can is can
    assert can or "calibration" in judged.reasons[0]


def test_last_day_is_named() -> None:
    assert last_day(replace(B, due=None, calibrated_on=date(2026, 2, 28))) == date(2027, 2, 28)
    assert "2026-05-31" in judge(replace(B, due=date(2026, 5, 31)), _task(50)).says


def test_direction_of_turning() -> None:
    left = replace(_task(50), left_hand=True)
    assert "a wrench for the left is needed" in judge(B, left).reasons[0]
    assert judge(replace(B, direction=Direction.BOTH), left).can
    assert not judge(replace(B, direction=Direction.LEFT), _task(50)).can


def test_every_reason_is_told_at_once() -> None:
    wrench = replace(B, due=date(2020, 1, 1), direction=Direction.LEFT, grip_length_mm=None, calibrated_on=None)
    judged = judge(wrench, _task(500, adapter=Adapter(length_mm=50)))
    assert len(judged.reasons) == 4
    assert judged.setting is None


def test_tolerance_of_small_and_large_tools() -> None:
    # rows TW-001, TW-002: 4 % above 10 N·m, 6 % up to it
    for top, unit, percent in ((50, "N·m", 4.0), (10, "N·m", 6.0), (10, "lbf·ft", 4.0), (1000, "cN·m", 6.0)):
        assert tolerance_percent(replace(B, top=top, lowest=1, unit=unit)) == percent
    assert tolerance_percent(replace(B, tolerance_percent=3.0)) == 3.0
    assert tolerance_percent(replace(B, tolerance_class=None)) is None


def test_what_the_torque_is_worth() -> None:
    """By hand, GUM: 4 / sqrt 3 = 2.309 %; half a division of 0.5 at 50 N·m: 0.5 / sqrt 3 = 0.289 %; reading 1 %."""
    judged = judge(B, replace(_task(50), reading_percent=1.0))
    assert judged.uncertainty is not None
    assert judged.uncertainty.standard_percent == pytest.approx((2.3094**2 + 0.28868**2 + 1) ** 0.5, abs=1e-4)
    assert judged.band_nm == pytest.approx((50 * (1 - 0.05066), 50 * (1 + 0.05066)), abs=0.01)


def test_no_band_without_a_tolerance() -> None:
    judged = judge(replace(B, tolerance_class=None), _task(50))
    assert judged.can
    assert judged.band_nm is None
    assert judged.uncertainty is not None
    assert TOLERANCE in judged.uncertainty.left_out
    assert "tolerance is not known" in judged.warnings[0]


@given(value=st.floats(20, 100), error=st.floats(0, 50))
def test_the_band_holds_the_torque_and_worse_lengths_never_narrow_it(value: float, error: float) -> None:
    adapter, known = Adapter(length_mm=100, angle_deg=60), LengthErrors(adapter_mm=0, grip_mm=0, angle_deg=0)
    surest = judge(B, replace(_task(value, adapter=adapter), errors=known)).band_nm
    wide = judge(B, replace(_task(value, adapter=adapter), errors=replace(known, grip_mm=error))).band_nm
    assert surest is not None
    assert wide is not None
    assert wide[0] <= surest[0] + 1e-9 < value < surest[1] - 1e-9 <= wide[1]


@given(setting=st.floats(20, 100), step=st.sampled_from([0.1, 0.2, 0.25, 0.5, 1.0, 5.0]))
def test_the_mark_is_on_the_scale_within_range_and_nearest(setting: float, step: float) -> None:
    mark = nearest_mark(replace(B, resolution=step), setting)
    assert mark is not None
    assert mark / step == pytest.approx(round(mark / step))
    assert 20 - 1e-9 <= mark <= 100 + 1e-9
    assert abs(mark - setting) <= step / 2 + 1e-9


def test_the_surest_comes_first_and_those_that_cannot_last() -> None:
    better = replace(B, id="c", name="C", tolerance_percent=1.0)
    unknown = replace(B, id="u", name="U", tolerance_class=None)
    small = replace(B, id="s", name="S", top=20, lowest=4)
    judged = judge_all((small, unknown, B, better), _task(50))
    assert [one.wrench.name for one in judged] == ["C", "B", "U", "S"]
    assert says(judged) == "can be done with your wrench C at setting 50.0 N·m"
    assert says(judged[3:]).startswith("none of your wrenches can do it: S: the torque, 50 N·m, is above its top")


def test_the_angle_after_the_torque_is_not_forgotten() -> None:
    task = replace(_task(50), torque=Torque(value=50, unit="N·m", angles_deg=(90.0, 45.0)))
    assert "then turn by angle: 90°, 45°" in judge(B, task).warnings[0]
