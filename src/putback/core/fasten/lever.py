"""One idea: an adapter that sticks out changes the lever, so the wrench is set to another value than the torque.

The torque at the fastener is the hand's force times the distance from the fastener to the hand, measured along the
wrench: L + E cos a. The wrench itself feels only L. An adapter square to the wrench (90°) needs no correction, one
turned back (above 90°) needs a higher setting.
"""

import math
from dataclasses import dataclass

from putback.core.fasten.answer import Formula, Input, NotComputable, Row

_SOURCE = "lever law; form seen at agentcalc.com (torque wrench extension) and physicsforums 860812"
_VALID = (
    "a stiff adapter, the hand at the middle of the grip and pulling square to the wrench, all lengths in one unit; "
    "not for flexible or wobble joints, nor a wrench that corrects by itself"
)
_SQUARE_DEG = 90.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Adapter:
    """A crow-foot or extension between wrench and fastener.

    `length_mm` is from the middle of the drive to the middle of the fastener, None where nobody measured it; 0 for
    an extension in line with the fastener's axis. `angle_deg` is between the wrench, drawn on beyond its drive, and
    the adapter: 0 makes the wrench longer, 90 is square, 180 is turned back along the wrench.
    """

    name: str = "adapter"
    length_mm: float | None = None
    angle_deg: float = 0.0
    flexible: bool = False

    @property
    def sticks_out(self) -> bool:
        """Whether it may change the lever; an unknown length may."""
        return self.length_mm != 0


def wrench_setting(*, torque: float, grip_length: float, adapter_length: float, angle_deg: float) -> float:
    """What the wrench is set to, so that the fastener behind an adapter gets the torque; in the torque's unit.

    Args:
        torque: wanted at the fastener, in any unit.
        grip_length: L, from the middle of the grip to the drive, in any unit of length, above 0.
        adapter_length: E, from the drive to the fastener, in the same unit of length.
        angle_deg: between wrench and adapter, [degrees], 0 to 180.

    Raises:
        NotComputable: the adapter is turned back and reaches the hand or beyond: no lever is left.

    Valid for: a stiff adapter, a hand at the middle of the grip, pulling square to the wrench.
    Source: Ts = T L / (L + E cos a), lever law; rows in tests/core/fasten/printed/crowfoot.csv.

    >>> round(wrench_setting(torque=80, grip_length=40, adapter_length=5, angle_deg=0), 2)
    71.11
    """
    lever = grip_length + adapter_length * _cosine(angle_deg)
    if lever <= 0:
        raise NotComputable(
            "the adapter is turned back and reaches the middle of the grip or beyond, so no lever is left",
            "turn the adapter, or take a longer wrench",
        )
    return torque * grip_length / lever


def uncorrected_percent(*, adapter_over_grip: float, angle_deg: float) -> float:
    """By how much the fastener is too tight if the adapter is left uncorrected, [%]; below 0: too loose.

    Args:
        adapter_over_grip: E / L, adapter length over grip length, [-].
        angle_deg: between wrench and adapter, [degrees].

    Valid for: as `wrench_setting`.
    Source: E cos a / L, lever law.

    >>> round(uncorrected_percent(adapter_over_grip=0.25, angle_deg=75), 1)
    6.5
    """
    return adapter_over_grip * _cosine(angle_deg) * 100


def _cosine(angle_deg: float) -> float:
    """The cosine; exactly 0 at a right angle, so that a square adapter changes nothing at all."""
    return 0.0 if angle_deg == _SQUARE_DEG else math.cos(math.radians(angle_deg))


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """A wrench setting, in the unit of the torque that was asked for, and what leaving it uncorrected would do."""

    setting: float
    uncorrected_percent: float
    source: str
    warnings: tuple[str, ...]


def setting_behind(
    *, torque: float, grip_length_mm: float | None, adapter: Adapter, corrects_itself: bool = False
) -> Setting:
    """The setting of a wrench with this adapter on it.

    Args:
        torque: wanted at the fastener, in any unit; the setting is in the same.
        grip_length_mm: from the middle of the grip to the drive, [mm]; None: unknown.
        adapter: what is between wrench and fastener.
        corrects_itself: an electronic wrench that was told the adapter's length.

    Raises:
        NotComputable: a length is unknown, the joint is flexible, the wrench corrects by itself, or no lever is left.

    >>> round(setting_behind(torque=100, grip_length_mm=400, adapter=Adapter(length_mm=50, angle_deg=45)).setting, 2)
    91.88
    """
    if adapter.flexible:
        raise NotComputable("a flexible or wobble joint has no lever that holds still", "use a stiff adapter")
    if adapter.length_mm is None:
        raise NotComputable(
            "the adapter's length is unknown",
            "measure it from the middle of the drive to the middle of the fastener, and enter it",
        )
    if adapter.length_mm == 0:
        warning = "an extension in line with the fastener adds no lever; keep it in line, a long thin one twists"
        return Setting(setting=torque, uncorrected_percent=0.0, source=_SOURCE, warnings=(warning,))
    if corrects_itself:
        raise NotComputable(
            "this wrench corrects for an adapter by itself, and a second correction would be wrong",
            "enter the adapter's length in the wrench as its maker says, and set the wanted torque",
        )
    if grip_length_mm is None:
        raise NotComputable(
            "the length from the grip to the drive is unknown",
            "measure it from the middle of the grip to the middle of the drive, and enter it",
        )
    if adapter.length_mm < 0 or grip_length_mm <= 0:
        raise NotComputable("a length is zero or below zero", "measure both lengths; turned back is an angle of 180°")
    setting = wrench_setting(
        torque=torque,
        grip_length=grip_length_mm,
        adapter_length=adapter.length_mm,
        angle_deg=adapter.angle_deg,
    )
    ratio = adapter.length_mm / grip_length_mm
    off = uncorrected_percent(adapter_over_grip=ratio, angle_deg=adapter.angle_deg)
    return Setting(
        setting=setting, uncorrected_percent=off, source=_SOURCE, warnings=_warnings(off, adapter.angle_deg)
    )


def _warnings(off_percent: float, angle_deg: float) -> tuple[str, ...]:
    hold = "hold the wrench at the middle of the grip and pull square to it; the lengths count from there"
    if off_percent == 0:
        return (f"square to the wrench no correction is needed; at {angle_deg:g}° exactly, not nearly", hold)
    what = "too tight" if off_percent > 0 else "too loose"
    return (f"left uncorrected, the fastener would get {abs(off_percent):.1f} % {what}", hold)


_ANGLE = Input(name="angle", to="angle_deg", what="angle between wrench and adapter", unit="deg", least=0, most=180)

FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="crowfoot",
        what="wrench setting with a crow-foot or extension",
        inputs=(
            Input(name="T", to="torque", what="torque wanted at the fastener", unit="N·m (or any)", above=0),
            Input(name="L", to="grip_length", what="middle of the grip to the drive", unit="(any length)", above=0),
            Input(name="E", to="adapter_length", what="drive to the fastener", unit="(unit of L)", least=0),
            _ANGLE,
        ),
        unit="as given: torque (N·m)",
        work=wrench_setting,
        source=_SOURCE,
        valid=_VALID,
        warn=lambda **given: _warnings(
            uncorrected_percent(
                adapter_over_grip=given["adapter_length"] / given["grip_length"], angle_deg=given["angle_deg"]
            ),
            given["angle_deg"],
        ),
    ),
    Formula(
        name="crowfoot_err",
        what="how much too tight, if an adapter is left uncorrected",
        inputs=(
            Input(name="E_over_L", to="adapter_over_grip", what="adapter length over grip length", least=0),
            _ANGLE,
        ),
        unit="%",
        work=uncorrected_percent,
        source=_SOURCE,
        valid=_VALID,
    ),
)

TABLES: tuple[Row, ...] = ()
