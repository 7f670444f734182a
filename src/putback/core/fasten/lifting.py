"""One idea: a sling at a slant pulls harder than the load weighs, and a jack is never the support.

Arithmetic of the legs only: whether a sling, eye or stand may carry it stands on its own plate and with its maker.
"""

import math

from putback.core.fasten.answer import Formula, Input, NotComputable, Row

LOWEST_ANGLE_DEG = 30.0
"""Below this, slings are not used; rentlgh.com, effects of angle of lift."""

_SOURCE = "1 / sin(angle from the horizontal); hoistcentral.com sling-load-angle, sharrowlifting.com p. 99"
_JACKS = "WAC 296-307-22509 (mirrors 29 CFR 1910.244(a)(2))"
_LEGS_SURELY_LOADED = 2


def sling_factor(*, angle_deg: float) -> float:
    """How many times its share of the load a sling leg pulls, [-].

    Args:
        angle_deg: between the leg and the horizontal, [degrees], 30 to 90.

    Raises:
        NotComputable: flatter than 30°, where slings are not used.

    Valid for: legs of equal length, the load's middle under the hook.
    Source: 1 / sin(angle); rows in tests/core/fasten/printed/lifting.csv.

    >>> round(sling_factor(angle_deg=60), 3)
    1.155
    """
    if not LOWEST_ANGLE_DEG <= angle_deg <= 90:
        raise NotComputable(
            f"slings are not used flatter than {LOWEST_ANGLE_DEG:g}° from the horizontal",
            "use longer slings or a spreader beam; the angle is counted from the horizontal, up to 90°",
        )
    return 1 / math.sin(math.radians(angle_deg))


def leg_load(*, load: float, legs: float, angle_deg: float) -> float:
    """What one leg of a sling pulls, in the load's unit.

    Args:
        load: weight of the load, in any unit of force.
        legs: how many legs share it equally, a whole number.
        angle_deg: between each leg and the horizontal, [degrees], 30 to 90.

    Raises:
        NotComputable: flatter than 30°, or a count of legs that is no whole number.

    Valid for: legs of equal length, the load's middle under the hook, all legs pulling; of three or more legs on a
        stiff load only two are sure to pull.
    Source: W / legs / sin(angle).

    >>> round(leg_load(load=1000, legs=2, angle_deg=45))
    707
    """
    if legs != int(legs):
        raise NotComputable("a count of legs is a whole number", "count the legs")
    return load / legs * sling_factor(angle_deg=angle_deg)


def _warnings(*, legs: float = 0, **_: float) -> tuple[str, ...]:
    told = ["rated loads on the slings, eyes and hook win; use lifting points of the maker only"]
    if legs > _LEGS_SURELY_LOADED:
        told.append("on a stiff load only two of the legs are sure to pull; count on two (common practice, no source)")
    return tuple(told)


_ANGLE = Input(name="angle", to="angle_deg", what="angle of the leg from the horizontal", unit="deg", least=0, most=90)

FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="sling_factor",
        what="how many times its share a slanted sling leg pulls",
        inputs=(_ANGLE,),
        unit="-",
        work=sling_factor,
        source=_SOURCE,
        valid="30° to 90° from the horizontal, legs of equal length, the load's middle under the hook",
        warn=_warnings,
    ),
    Formula(
        name="sling_leg",
        what="pull in one leg of a sling",
        inputs=(
            Input(name="W", to="load", what="weight of the load", unit="force", above=0),
            Input(name="legs", to="legs", what="legs that share it", least=1),
            _ANGLE,
        ),
        unit="as given: force",
        work=leg_load,
        source=_SOURCE,
        valid="as sling_factor, and all legs pulling",
        warn=_warnings,
    ),
)

TABLES: tuple[Row, ...] = (
    Row(
        about="lowest sling angle recommended",
        keys={"angle": "min"},
        value=LOWEST_ANGLE_DEG,
        unit="deg",
        source="rentlgh.com effects of angle of lift",
        seen="seen",
        note="from the horizontal",
    ),
    Row(
        about="work under a load held only by a jack",
        keys={"support": "jack"},
        value=False,
        unit="bool",
        source=f"{_JACKS}; jjkellercompliancenetwork.com jacks",
        seen="seen",
        note="put it on stands or blocks at once, before anyone reaches under it",
    ),
    Row(
        about="jack inspection interval, constant or intermittent use at one place",
        keys={"use": "regular"},
        value=6.0,
        unit="months",
        source=_JACKS,
        seen="seen",
    ),
    Row(
        about="jack inspection interval, sent out of the shop for special work: when sent out and when it comes back",
        keys={"use": "special"},
        value="each time, out and back",
        unit="-",
        source="29 CFR 1910.244(a)(2)(vi)(b)",
        seen="from memory",
    ),
    Row(
        about="jack inspection, after an abnormal load or shock",
        keys={"use": "shock"},
        value="at once after it",
        unit="-",
        source="29 CFR 1910.244(a)(2)(vi)(c): before use and immediately thereafter",
        seen="from memory",
    ),
    Row(
        about="employer-made stand proof test",
        keys={"item": "stand"},
        value=125.0,
        unit="% of SWL",
        source="jjkellercompliancenetwork.com jack stands",
        seen="seen",
    ),
)
