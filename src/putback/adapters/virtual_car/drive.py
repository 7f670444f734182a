"""One idea: live values follow from the time alone, so that two drives of the virtual car can be laid side by side.

All figures are invented: they are plausible for a small petrol engine and nothing more.
"""

import math
from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

SPEED_KM_H: Final = (
    (0.0, 0.0),
    (8.0, 0.0),
    (20.0, 50.0),
    (45.0, 50.0),
    (55.0, 80.0),
    (85.0, 80.0),
    (100.0, 0.0),
    (120.0, 0.0),
)
"""Speed over time, [s] and [km/h]; straight in between, and again from the start after the last."""

_IDLE_PER_MIN: Final = 780.0
_LEAK_TRIM: Final = 14.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """The engine's values at one moment."""

    run_s: float
    speed_km_h: float
    engine_per_min: float
    load_percent: float
    coolant_c: float
    intake_c: float
    air_g_s: float
    throttle_percent: float
    short_trim_percent: float
    long_trim_percent: float
    volts: float = 14.1
    ambient_c: float = 18.0
    pressure_kpa: float = 101.0


def speed_at(driving_s: float) -> tuple[float, float]:
    """Speed [km/h] and acceleration [m/s²] so many seconds into a drive.

    >>> speed_at(30), speed_at(0)
    ((50.0, 0.0), (0.0, 0.0))
    """
    at = driving_s % SPEED_KM_H[-1][0]
    place = bisect_right([second for second, _ in SPEED_KM_H], at) - 1
    (begin, low), (end, high) = list(pairwise(SPEED_KM_H))[place]
    slope = (high - low) / (end - begin)
    return low + slope * (at - begin), slope / 3.6


def moment(*, run_s: float, driving_s: float | None, false_air: bool) -> Moment:
    """The values so long after the engine was started.

    Args:
        run_s: since the start, [s].
        driving_s: since the drive began, [s]; None: the car stands.
        false_air: whether air comes in past the meter; it shows most at little load.
    """
    speed, acceleration = (0.0, 0.0) if driving_s is None else speed_at(driving_s)
    turns = _IDLE_PER_MIN + 22.0 * speed if speed else _IDLE_PER_MIN
    load = min(95.0, max(8.0, 22.0 + 0.2 * speed + 30.0 * acceleration))
    leak = _LEAK_TRIM * _IDLE_PER_MIN / turns if false_air else 0.0
    return Moment(
        run_s=run_s,
        speed_km_h=speed,
        engine_per_min=turns + 8.0 * math.sin(run_s),
        load_percent=load,
        coolant_c=88.0 - 60.0 * math.exp(-run_s / 200.0),
        intake_c=24.0 + 4.0 * math.sin(run_s / 60.0),
        air_g_s=turns * load / 12_000.0,
        throttle_percent=min(100.0, 12.0 + 0.6 * max(0.0, load - 22.0)),
        short_trim_percent=1.6 * math.sin(run_s / 2.0) + leak * 0.4,
        long_trim_percent=1.6 + leak * 0.6,
    )
