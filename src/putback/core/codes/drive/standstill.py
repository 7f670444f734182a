"""One idea: nothing is shown while the vehicle may be moving, and a speed that is not known may be any speed.

The driver looks at the road. Local law on screens in a vehicle wins over all of this.
"""

from dataclasses import dataclass
from typing import Final

from putback.core.codes.drive.log import SPEED, Drive

FRESH_S: Final = 3.0
"""A speed counts for so long, [s] (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """Whether pictures may be shown, and why."""

    yes: bool
    why: str


def may_show(drive: Drive, *, quiet_s: float, stands: bool = False) -> Shown:
    """Whether the pictures of a drive that is being logged may be shown.

    Args:
        drive: as far as it was logged.
        quiet_s: the log has not grown for so long, [s].
        stands: a person says that the vehicle stands. It counts only where no log says otherwise.
    """
    if quiet_s > FRESH_S:
        if stands:
            return Shown(yes=True, why="nothing is being logged, and you say that the vehicle stands still")
        return Shown(yes=False, why=f"nothing was logged for {quiet_s:.0f} s, so the speed is not known")
    speeds = drive.series.get(SPEED, ())
    newest_s = max((records[-1].at_s for records in drive.series.values() if records), default=0.0)
    if not speeds or speeds[-1].value is None or newest_s - speeds[-1].at_s + quiet_s > FRESH_S:
        return Shown(yes=False, why="the speed is not known")
    if speeds[-1].value > 0:
        return Shown(yes=False, why="the vehicle moves")
    return Shown(yes=True, why="the vehicle stands still")
