"""What may be shown while a drive is logged: nothing, unless the speed is known to be nought."""

import pytest

from putback.core.codes.drive.log import Record, drive_of
from putback.core.codes.drive.standstill import FRESH_S, may_show


@pytest.mark.parametrize("quiet_s", [0.0, FRESH_S, FRESH_S + 0.1, 1e6])
@pytest.mark.parametrize("stands", [False, True])
@pytest.mark.parametrize("speed", [None, 0.0, 0.1, 1.0, 130.0, "never asked"])
@pytest.mark.parametrize("later_s", [0.0, FRESH_S, FRESH_S + 0.1])
def test_every_case(quiet_s: float, speed: float | str | None, later_s: float, *, stands: bool) -> None:
    """While the log grows its newest speed decides alone; later only a person's word does."""
    records = [Record(at_s=9.0, key="0D", value=0.0)]
    records += [] if isinstance(speed, str) else [Record(at_s=10.0, key="0D", value=speed)]
    records = [] if speed == "never asked" else records
    made = drive_of([*records, Record(at_s=10.0 + later_s, key="0C", value=800.0)], name="")
    shown = may_show(made, quiet_s=quiet_s, stands=stands)
    growing = quiet_s <= FRESH_S
    expected = speed == 0.0 and later_s + quiet_s <= FRESH_S if growing else stands
    assert shown.yes is expected
    assert shown.why


def test_a_long_silence_hides_what_stood_still() -> None:
    made = drive_of([Record(at_s=1.0, key="0D", value=0.0)], name="")
    assert may_show(made, quiet_s=0.5).yes
    assert may_show(made, quiet_s=60.0).why == "nothing was logged for 60 s, so the speed is not known"
