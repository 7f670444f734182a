"""One idea: a torque can be done with a wrench whose range, calibration and turning direction cover it, or it cannot.

For each wrench of the owner's list: its setting, what the torque at the fastener is worth, or every reason against.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from types import MappingProxyType

from putback.core.fasten.answer import Band, NotComputable
from putback.core.fasten.lever import Adapter, Setting, setting_behind
from putback.core.fasten.uncertainty import NOT_KNOWN, LengthErrors, Uncertainty, adapter_parts, rectangular
from putback.core.gates.people import months_after
from putback.core.quantity import TORQUE_UNITS_NM, Torque

LEAST_SHARE = 0.20
"""Below this share of its top a wrench is not used; ISO 6789:2003 checks it at 20, 60 and 100 % (manuzoid.com)."""

CALIBRATION_MONTHS = 12
"""Where the owner has set no due date; ISO 6789:2003, 12 months or 5000 cycles (from memory)."""

SMALL_TOOL_NM = 10.0

TOLERANCES_PERCENT: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "I-A": (6.0, 6.0),
        "I-B": (6.0, 4.0),
        "I-C": (6.0, 4.0),
        "I-D": (6.0, 6.0),
        "I-E": (6.0, 4.0),
        "II-A": (6.0, 4.0),
        "II-B": (6.0, 4.0),
        "II-C": (6.0, 4.0),
        "II-D": (6.0, 6.0),
        "II-E": (6.0, 6.0),
        "II-F": (6.0, 6.0),
        "II-G": (6.0, 6.0),
    }
)
"""Permitted deviation by type and class, [%]: of tools up to 10 N·m, and of those above. Source: ISO 6789:2003, type
II class A seen (manuzoid.com, torque tool manual, chapter 1), the others from memory."""

_SLACK = 1e-9


class WrenchKind(StrEnum):
    """How a wrench tells its torque."""

    CLICK = "click"
    DIAL = "dial"
    BEAM = "beam"
    ELECTRONIC = "electronic"
    PRESET = "preset"
    DRIVER = "driver"


class Direction(StrEnum):
    """In which direction a wrench measures: right (clockwise), left or both."""

    RIGHT = "right"
    LEFT = "left"
    BOTH = "both"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrench:
    """A torque wrench of the owner's. `lowest`, `top` and `resolution` are in `unit`, as marked on it.

    None is "not known": of a length, a class, a date. `tolerance_percent` is of its own certificate and wins over the
    class. `corrects_itself`: electronic, and told the length of an adapter.
    """

    id: str
    name: str
    kind: WrenchKind
    lowest: float
    top: float
    unit: str
    grip_length_mm: float | None = None
    tolerance_class: str | None = None
    tolerance_percent: float | None = None
    calibrated_on: date | None = None
    due: date | None = None
    resolution: float | None = None
    direction: Direction = Direction.RIGHT
    corrects_itself: bool = False

    @property
    def least_setting(self) -> float:
        """The higher of 20 % of its top and its lowest mark, in its unit."""
        return max(self.lowest, LEAST_SHARE * self.top)


def tolerance_percent(wrench: Wrench) -> float | None:
    """Permitted deviation of a wrench, [%]: its certificate's, else its class's, else None.

    Source: see `TOLERANCES_PERCENT`.

    >>> tolerance_percent(Wrench(id="b", name="B", kind=WrenchKind.CLICK, lowest=10, top=50, unit="N·m",
    ...     tolerance_class="II-A"))
    4.0
    """
    if wrench.tolerance_percent is not None:
        return wrench.tolerance_percent
    found = TOLERANCES_PERCENT.get(wrench.tolerance_class or "")
    if found is None:
        return None
    return found[0] if wrench.top * TORQUE_UNITS_NM[wrench.unit] <= SMALL_TOOL_NM * (1 + _SLACK) else found[1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What is to be done: the torque at the fastener, on a day, with an adapter between or not.

    `errors`: how well the adapter's lengths are known. `reading_percent`: standard uncertainty of reading a scale.
    """

    torque: Torque
    day: date
    adapter: Adapter | None = None
    left_hand: bool = False
    errors: LengthErrors = NOT_KNOWN
    reading_percent: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitness:
    """Whether a wrench can do a torque. `reasons`: why not, each with the mend; empty: it can.

    `setting` is in the wrench's unit, None where there is none; `mark` is the nearest one on its scale.
    """

    wrench: Wrench
    torque: Torque
    setting: float | None
    mark: float | None
    uncertainty: Uncertainty | None
    reasons: tuple[str, ...]
    warnings: tuple[str, ...]

    @property
    def can(self) -> bool:
        """Whether nothing is against it."""
        return not self.reasons

    @property
    def setting_nm(self) -> float | None:
        """The setting, [N·m]."""
        return None if self.setting is None else self.setting * TORQUE_UNITS_NM[self.wrench.unit]

    @property
    def mark_off_percent(self) -> float | None:
        """By how much the nearest mark differs from the setting, and so the torque from the wanted one, [%]."""
        if self.mark is None or self.setting is None:
            return None
        return (self.mark - self.setting) / self.setting * 100

    @property
    def band_nm(self) -> Band | None:
        """Within what the torque at the fastener lies at k = 2, [N·m]; None where a tolerance is not known."""
        if self.uncertainty is None or TOLERANCE in self.uncertainty.left_out:
            return None
        wide = self.uncertainty.expanded_percent / 100
        return self.torque.torque_nm * (1 - wide), self.torque.torque_nm * (1 + wide)

    @property
    def says(self) -> str:
        """One sentence; the wanted torque in its own unit and digits where the wrench has another."""
        if not self.can or self.setting is None:
            return f"cannot be done with your wrench {self.wrench.name}: {'; '.join(self.reasons)}"
        wanted = "" if self.torque.unit == self.wrench.unit else f", for {self.torque.value:g} {self.torque.unit}"
        setting = f"{_three(self.setting)} {self.wrench.unit}"
        return f"can be done with your wrench {self.wrench.name} at setting {setting}{wanted}"


TOLERANCE = "tolerance of the wrench"


def judge(wrench: Wrench, task: Task) -> Fitness:
    """Whether one wrench can do a torque, and at which setting.

    Limits: the torque and the setting both lie between the higher of 20 % of the wrench's top and its lowest mark,
    and its top; calibration in date; it measures in the direction of turning; with an adapter, its lengths are known.
    Source: ISO 6789 as in this module's constants; lever law for adapters.
    """
    factor = TORQUE_UNITS_NM[wrench.unit]
    wanted = task.torque.torque_nm / factor
    reasons = [*_against_range(wrench, wanted, "the torque"), *_against_date(wrench, task.day)]
    needed = Direction.LEFT if task.left_hand else Direction.RIGHT
    if wrench.direction not in (needed, Direction.BOTH):
        reasons.append(f"it measures to the {wrench.direction} only: a wrench for the {needed} is needed")
    try:
        found = _setting(wrench, wanted, task.adapter)
    except NotComputable as out:
        reasons.append(f"{out.why}: {out.mend}")
        found = None
    if found is not None and found.setting != wanted:
        reasons += _against_range(wrench, found.setting, "the setting")
    setting = None if found is None else found.setting
    return Fitness(
        wrench=wrench,
        torque=task.torque,
        setting=setting,
        mark=None if setting is None or reasons else nearest_mark(wrench, setting),
        uncertainty=None if setting is None else _uncertainty(wrench, setting, task),
        reasons=tuple(reasons),
        warnings=(*(found.warnings if found else ()), *_warnings(wrench, task)),
    )


def _setting(wrench: Wrench, wanted: float, adapter: Adapter | None) -> Setting:
    if adapter is None:
        return Setting(setting=wanted, uncorrected_percent=0.0, source="no adapter", warnings=())
    return setting_behind(
        torque=wanted,
        grip_length_mm=wrench.grip_length_mm,
        adapter=adapter,
        corrects_itself=wrench.corrects_itself,
    )


def _against_range(wrench: Wrench, value: float, what: str) -> list[str]:
    unit, least = wrench.unit, wrench.least_setting
    said = f"{what}, {value:.6g} {unit}, is"
    if value > wrench.top * (1 + _SLACK):
        return [f"{said} above its top of {wrench.top:.6g} {unit}: take a larger wrench"]
    if value < wrench.lowest * (1 - _SLACK):
        return [f"{said} below its lowest mark of {wrench.lowest:.6g} {unit}: take a smaller wrench"]
    if value < least * (1 - _SLACK):
        return [f"{said} below 20 % of its top, {least:.6g} {unit}: take a smaller wrench"]
    return []


def last_day(wrench: Wrench) -> date | None:
    """The last day on which a wrench's calibration holds; None where no date is known."""
    if wrench.due is not None:
        return wrench.due
    return None if wrench.calibrated_on is None else months_after(wrench.calibrated_on, CALIBRATION_MONTHS)


def _against_date(wrench: Wrench, day: date) -> list[str]:
    last = last_day(wrench)
    if last is None:
        return ["its calibration has no date: write the certificate's dates, or have it calibrated"]
    if wrench.calibrated_on is not None and wrench.calibrated_on > day:
        return [f"its calibration of {wrench.calibrated_on} lies ahead: check the date"]
    if day > last:
        return [f"its calibration ran out on {last}: have it calibrated"]
    return []


def nearest_mark(wrench: Wrench, setting: float) -> float | None:
    """The mark on a wrench's scale nearest to a setting, in its unit; None where its resolution is not known.

    >>> scale = Wrench(id="b", name="B", kind=WrenchKind.CLICK, lowest=10, top=50, unit="N·m", resolution=0.5)
    >>> nearest_mark(scale, 21.4)
    21.5
    """
    if wrench.resolution is None:
        return None
    step = wrench.resolution
    lowest, highest = math.ceil(wrench.least_setting / step - _SLACK), math.floor(wrench.top / step + _SLACK)
    if lowest > highest:
        return None
    return min(max(round(setting / step), lowest), highest) * step


def _uncertainty(wrench: Wrench, setting: float, task: Task) -> Uncertainty:
    """Standard uncertainties of the torque at the fastener, [%]: tolerance, scale, reading, adapter."""
    permitted = tolerance_percent(wrench)
    known = {
        TOLERANCE: None if permitted is None else rectangular(half_width=permitted),
        "resolution of the scale": None
        if wrench.resolution is None
        else rectangular(half_width=100 * wrench.resolution / 2 / setting),
        "reading": task.reading_percent,
    }
    parts = {name: part for name, part in known.items() if part is not None}
    left_out = [name for name in known if name not in parts]
    adapter = task.adapter
    if adapter is not None and adapter.length_mm and wrench.grip_length_mm is not None:
        levers = adapter_parts(
            grip_length_mm=wrench.grip_length_mm,
            adapter_length_mm=adapter.length_mm,
            angle_deg=adapter.angle_deg,
            errors=task.errors,
        )
        parts.update(levers.parts_percent)
        left_out += levers.left_out
    return Uncertainty(parts_percent=MappingProxyType(parts), left_out=tuple(left_out))


def _warnings(wrench: Wrench, task: Task) -> Iterable[str]:
    if wrench.due is None and wrench.calibrated_on is not None:
        yield f"no due date: {CALIBRATION_MONTHS} months from calibration are taken (ISO 6789, from memory)"
    if tolerance_percent(wrench) is None:
        yield "its tolerance is not known: write its class or the certificate's tolerance in the tool list"
    if task.torque.angles_deg:
        turns = ", ".join(f"{angle:g}°" for angle in task.torque.angles_deg)
        yield f"the wrench does the torque only; then turn by angle: {turns}"


def judge_all(wrenches: Iterable[Wrench], task: Task) -> tuple[Fitness, ...]:
    """All wrenches judged: those that can first, the surest of them first; then those that cannot, as listed."""
    return tuple(sorted((judge(wrench, task) for wrench in wrenches), key=_rank))


def _rank(fitness: Fitness) -> tuple[bool, bool, float]:
    band, found = fitness.band_nm, fitness.uncertainty
    if not fitness.can or found is None:
        return True, True, 0.0
    return False, band is None, 0.0 if band is None else found.expanded_percent


def says(judged: Sequence[Fitness]) -> str:
    """The answer for a list of wrenches in one sentence.

    >>> says(())
    'there is no wrench in the list'
    """
    if not judged:
        return "there is no wrench in the list"
    if judged[0].can:
        return judged[0].says
    return "none of your wrenches can do it: " + ". ".join(
        f"{one.wrench.name}: {'; '.join(one.reasons)}" for one in judged
    )


def _three(value: float) -> str:
    """A figure with three digits that count, never in powers of ten."""
    digits = 2 - math.floor(math.log10(value)) if value > 0 else 2
    return f"{value:.{max(0, digits)}f}"
