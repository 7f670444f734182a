"""One idea: the nut factor is no constant; it follows from lead, thread friction and collar friction.

The textbook's long form of T = K d F. With f = fc = 0.15 it gives about 0.20 whatever the size, which is where the
short form's usual K comes from. Lengths may be in any one unit. Source: Shigley 9th ed. pp. 438-440 (seen).
"""

import math

from putback.core.fasten.answer import Formula, Input, NotComputable
from putback.core.fasten.preload import NO_SPECIFICATION

FLANK_RAD = math.radians(30)
"""Half of the 60° thread angle."""

COLLAR = 0.625
"""Half of a collar's mean diameter of 1.25 d, over d."""


def mean_diameter(*, diameter: float, minor: float) -> float:
    """Mean thread diameter (d + dr) / 2, [any length]. Source: Shigley 9th ed. p. 438.

    >>> round(mean_diameter(diameter=0.75, minor=0.6685), 4)
    0.7092
    """
    if minor > diameter:
        raise NotComputable("the root is thicker than the thread", "give d, then dr below it")
    return (diameter + minor) / 2


def lead_angle_deg(*, lead: float, mean_diameter: float) -> float:
    """Lead angle of the helix, atan(lead / (pi dm)), [degrees]; lengths in one unit.

    >>> round(lead_angle_deg(lead=0.0625, mean_diameter=0.7093), 4)
    1.6066
    """
    return math.degrees(math.atan(lead / (math.pi * mean_diameter)))


def nut_factor(
    *, diameter: float, mean_diameter: float, lead: float, thread_friction: float, collar_friction: float
) -> float:
    """K from friction, (dm / 2d)(tan L + f sec a)/(1 - f tan L sec a) + 0.625 fc, [-].

    Args:
        diameter: d, nominal, [any length].
        mean_diameter: dm = (d + dr) / 2, [the same length].
        lead: pitch times starts, [the same length].
        thread_friction: f, [-].
        collar_friction: fc, under the turned head or nut, [-].

    Valid for: 60° threads, collar of mean diameter 1.25 d (plain hexagon heads); not flange heads, spark plugs or
    large washers. Source: Shigley 9th ed. eq 8-26.

    >>> round(nut_factor(diameter=12, mean_diameter=10.9265, lead=1.75, thread_friction=0.15, collar_friction=0.15), 2)
    0.2
    """
    slope = lead / (math.pi * mean_diameter)
    rubbing = thread_friction / math.cos(FLANK_RAD)
    if 1 - rubbing * slope <= 0:
        raise NotComputable("so steep a thread with so much friction cannot be turned", "check lead, dm and friction")
    screw = mean_diameter / (2 * diameter) * (slope + rubbing) / (1 - rubbing * slope)
    return screw + COLLAR * collar_friction


def torque_long(
    *,
    diameter: float,
    mean_diameter: float,
    lead: float,
    thread_friction: float,
    collar_friction: float,
    preload: float,
) -> float:
    """Torque from friction, T = K d F with K from `nut_factor`, [force times length]. Valid and source as there.

    >>> shape = dict(diameter=0.75, mean_diameter=0.7093, lead=0.0625)
    >>> round(torque_long(**shape, thread_friction=0.15, collar_friction=0.15, preload=25000))
    3551
    """
    k = nut_factor(
        diameter=diameter,
        mean_diameter=mean_diameter,
        lead=lead,
        thread_friction=thread_friction,
        collar_friction=collar_friction,
    )
    return k * diameter * preload


def stiffness_share(*, bolt_stiffness: float, joint_stiffness: float) -> float:
    """Share of an outside pull that the bolt takes up, C = kb / (kb + km), [-]; stiffnesses in one unit.

    Valid for: load at the plane of head and nut, joint still closed. Source: Shigley 9th ed. section 8-7.

    >>> round(stiffness_share(bolt_stiffness=6.5, joint_stiffness=13.8), 2)
    0.32
    """
    return bolt_stiffness / (bolt_stiffness + joint_stiffness)


def _only_information(**_: float) -> tuple[str, ...]:
    return (NO_SPECIFICATION,)


_D = Input(name="d", to="diameter", what="nominal thread diameter", unit="length", above=0)
_DM = Input(name="dm", to="mean_diameter", what="mean thread diameter", unit="the same length", above=0)
_LEAD = Input(name="lead", to="lead", what="pitch times starts", unit="the same length", above=0)
_F_THREAD = Input(name="f", to="thread_friction", what="friction in the thread", least=0)
_F_COLLAR = Input(name="fc", to="collar_friction", what="friction under the turned head or nut", least=0)
_COLLAR = "60° threads, plain hexagon heads (collar of mean diameter 1.25 d); not flanges, spark plugs, big washers"
_SOURCE = "Shigley 9th ed. p.438 eq 8-26/8-27"

FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="mean_dia",
        what="mean thread diameter, (d + dr)/2",
        inputs=(_D, Input(name="dr", to="minor", what="minor (root) diameter", unit="the same length", above=0)),
        unit="as given: length",
        work=mean_diameter,
        source="Shigley 9th ed. p.438",
        valid="root diameter below the nominal one",
    ),
    Formula(
        name="lead_angle",
        what="lead angle of the helix, atan(lead / (pi dm))",
        inputs=(_LEAD, _DM),
        unit="deg",
        work=lead_angle_deg,
        source="Shigley 9th ed. p.440; geometry of the helix",
        valid="any helix",
    ),
    Formula(
        name="K_long",
        what="nut factor from friction",
        inputs=(_D, _DM, _LEAD, _F_THREAD, _F_COLLAR),
        unit="-",
        work=nut_factor,
        source=_SOURCE,
        valid=_COLLAR,
    ),
    Formula(
        name="T_long",
        what="torque for a preload from friction",
        inputs=(
            _D,
            _DM,
            _LEAD,
            _F_THREAD,
            _F_COLLAR,
            Input(name="F", to="preload", what="preload", unit="force", least=0),
        ),
        unit="as given: force x length (N and mm: N·mm)",
        work=torque_long,
        source=_SOURCE,
        valid=_COLLAR,
        warn=_only_information,
    ),
    Formula(
        name="stiff_C",
        what="share of an outside pull that the bolt takes up, kb/(kb + km)",
        inputs=(
            Input(name="kb", to="bolt_stiffness", what="stiffness of the bolt", unit="force/length", above=0),
            Input(name="km", to="joint_stiffness", what="stiffness of the clamped parts", unit="the same", above=0),
        ),
        unit="-",
        work=stiffness_share,
        source="Shigley 9th ed. section 8-7 and Table 8-12",
        valid="joint still closed, load at the planes of head and nut",
    ),
)
