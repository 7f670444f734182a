"""One idea: gloves and meters have a class, and the strictest of the sources that disagree is the one that counts.

Figures are of the standards as seen in excerpts; the class printed on the glove and the maker's publication win.
Work on high voltage is for people who are trained and appointed for it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from types import MappingProxyType

from putback.core.fasten.answer import NotComputable
from putback.core.fasten.electrical import AC_LIMIT_V, DC_LIMIT_V
from putback.core.gates.people import months_after
from putback.core.gates.settings import GLOVE_VOLTS

IN_SERVICE_MONTHS = 6
"""Electrical test of gloves in service; OSHA letter of interpretation, 25 January 2019 (seen). Stricter than
IEC 60903, which asks for none in classes 00 and 0."""

UNISSUED_MONTHS = 12
"""Age of the test at which gloves that lie in store may still be issued; oshacademy 709-6-5 (seen)."""

COMMON_CLASS = "0"
"""What most workshops ask for on any high-voltage vehicle: common practice, no source."""

DC_VOLTS: Mapping[str, float] = MappingProxyType(
    {"00": 750.0, "0": 1_500.0, "1": 11_250.0, "2": 25_500.0, "3": 39_750.0, "4": 54_000.0}
)
"""Highest use voltage of each class, [V d.c.]. Source: ASTM D120 / IEC 60903, classes 00 and 0 seen at cnjndl.com,
arcflashwear.com, boddingtons-electrical.com; 1 to 4 from memory. The OSHA table has no d.c. column."""

CLASSES: tuple[str, ...] = tuple(GLOVE_VOLTS)

CAT_IMPULSE_V: Mapping[tuple[str, int], float] = MappingProxyType(
    {("III", 600): 6_000.0, ("III", 1000): 8_000.0, ("IV", 600): 8_000.0}
)
"""Impulse that a meter of a category and rated voltage withstands, [V]; IEC 61010-2-030/-033 (from memory)."""

_CATEGORIES = ("II", "III", "IV")


class Current(StrEnum):
    """Kind of current."""

    DC = "dc"
    AC = "ac"


@dataclass(frozen=True, slots=True, kw_only=True)
class GloveClass:
    """The least class by the standard for this current, and the class to use: the strictest of the sources."""

    by_standard: str
    to_use: str
    why: tuple[str, ...]


def least_class(*, voltage_v: float, current: Current) -> str:
    """The lowest class whose use voltage covers a voltage.

    Args:
        voltage_v: highest voltage that can be there, [V], above 0; r.m.s. for a.c.
        current: direct or alternating.

    Raises:
        NotComputable: above the highest class.

    Source: ASTM D120 / IEC 60903, 29 CFR 1910.137 (see `DC_VOLTS`, `gates.settings.GLOVE_VOLTS`).

    >>> least_class(voltage_v=800, current=Current.DC)
    '0'
    """
    most = DC_VOLTS if current is Current.DC else GLOVE_VOLTS
    for name in CLASSES:
        if voltage_v <= most[name]:
            return name
    raise NotComputable(f"no class of gloves covers {voltage_v:g} V {current}", "this is no work for gloves")


def class_to_use(*, voltage_v: float, current: Current, maker_class: str | None = None) -> GloveClass:
    """The class of gloves to use: the strictest of the standard, the a.c. table, common practice and the maker.

    Args:
        voltage_v: highest voltage that can be there, [V], above 0.
        current: direct or alternating.
        maker_class: the class that the maker publishes; None: not known.

    Raises:
        NotComputable: above the highest class, or a class that does not exist.

    >>> class_to_use(voltage_v=400, current=Current.DC).to_use
    '0'
    """
    standard = least_class(voltage_v=voltage_v, current=current)
    asked = {f"use voltage for {current}, ASTM D120 / IEC 60903": standard}
    if current is Current.DC:
        cautious = _by_ac_column(voltage_v)
        asked["a.c. column taken for d.c. too, as 29 CFR 1910.137 has no d.c. column (from memory)"] = cautious
    if voltage_v > (DC_LIMIT_V if current is Current.DC else AC_LIMIT_V):
        asked["common practice, no source"] = COMMON_CLASS
    if maker_class is not None:
        asked["the vehicle's maker"] = _known(maker_class)
    strictest = max(asked.values(), key=CLASSES.index)
    why = tuple(f"class {name}: {source}" for source, name in asked.items())
    return GloveClass(by_standard=standard, to_use=strictest, why=why)


def _by_ac_column(voltage_dc_v: float) -> str:
    """The class that the a.c. column asks for at a direct voltage."""
    try:
        return least_class(voltage_v=voltage_dc_v, current=Current.AC)
    except NotComputable as out:
        why = f"no class of gloves covers {voltage_dc_v:g} V dc by the a.c. column, which counts as the stricter one"
        raise NotComputable(why, out.mend) from None


def _known(glove_class: str) -> str:
    if glove_class not in CLASSES:
        raise NotComputable(f"{glove_class!r} is no class of gloves", f"one of {', '.join(CLASSES)}, as printed on it")
    return glove_class


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """Whether a thing may be used for this; `reasons` says why not, each with what to do. No reasons: it may.

    "May" means that nothing here speaks against it, not more: it is looked at and tried before each use.
    """

    reasons: tuple[str, ...]
    before_use: tuple[str, ...]

    @property
    def may_be_used(self) -> bool:
        """Whether nothing speaks against it."""
        return not self.reasons


def gloves_for(
    *,
    voltage_v: float,
    current: Current,
    glove_class: str,
    tested_on: date | None,
    day: date,
    in_service: bool = True,
    maker_class: str | None = None,
) -> Fit:
    """Whether a pair of gloves may be used at a voltage on a day.

    The months count from the electrical test, also where the gloves were issued later: the stricter reading.

    Args:
        voltage_v: highest voltage that can be there, [V], above 0.
        current: direct or alternating.
        glove_class: as printed on the gloves.
        tested_on: day of their electrical test; None: not known.
        day: the day of the work.
        in_service: False for gloves that were tested and never issued.
        maker_class: the class that the maker of the vehicle publishes.

    Raises:
        NotComputable: a class that does not exist, or a voltage above all classes.

    >>> gloves_for(voltage_v=400, current=Current.DC, glove_class="0", tested_on=date(2026, 1, 10),
    ...     day=date(2026, 7, 10)).reasons
    ('their electrical test of 2026-01-10 is 6 months old or more: have them tested',)
    """
    needed = class_to_use(voltage_v=voltage_v, current=current, maker_class=maker_class)
    reasons = []
    if CLASSES.index(_known(glove_class)) < CLASSES.index(needed.to_use):
        reasons.append(f"class {glove_class} is too low for {voltage_v:g} V {current}: use class {needed.to_use}")
    months = IN_SERVICE_MONTHS if in_service else UNISSUED_MONTHS
    if tested_on is None:
        reasons.append("the day of their electrical test is unknown: read it on the gloves, or have them tested")
    elif tested_on > day:
        reasons.append(f"their electrical test of {tested_on} lies ahead: check the date")
    elif day >= months_after(tested_on, months):
        reasons.append(f"their electrical test of {tested_on} is {months} months old or more: have them tested")
    before = [
        "fill them with air and look for leaks, cuts and ozone cracks before each use",
        "wear leather protectors over them",
    ]
    if not in_service:
        before.append("write the day of issue on them; six months of service count from the test")
    return Fit(reasons=tuple(reasons), before_use=tuple(before))


def meter_for(*, voltage_v: float, category: str, rated_v: float) -> Fit:
    """Whether a meter may be used on a high-voltage system.

    Args:
        voltage_v: highest voltage that can be there, [V], above 0.
        category: measurement category as printed: II, III or IV.
        rated_v: rated voltage printed beside that category, [V].

    Raises:
        NotComputable: a category that does not exist.

    Source: category III and rated for the voltage at least: common practice, no source; categories IEC 61010-2-030
        (from memory).

    >>> meter_for(voltage_v=400, category="II", rated_v=1000).reasons
    ('category II is too low: use a meter of category III or IV',)
    """
    name = category.strip().upper().removeprefix("CAT").strip()
    if name not in _CATEGORIES:
        raise NotComputable(f"{category!r} is no measurement category", "one of II, III, IV, as printed on the meter")
    reasons = []
    if name == "II":
        reasons.append("category II is too low: use a meter of category III or IV")
    if rated_v < voltage_v:
        reasons.append(f"rated {rated_v:g} V is below the {voltage_v:g} V that can be there: use a higher rated one")
    before = (
        "prove the meter on a known live source, measure, prove it again",
        "leads of the same category and rating",
    )
    return Fit(reasons=tuple(reasons), before_use=before)
