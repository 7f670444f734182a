"""One idea: a thread under load opens and bends, so it strips a little earlier than its plain shear area says.

Alexander's factors as ISO/TR 16224 uses them: C1 for a nut that widens, C2 for the bolt's thread, C3 for the nut's
or the hole's. They were fitted to tests within ranges; outside them there is no answer.

Sources: screw_thread_lib 0.0.6 (MIT), which names ISO/TR 16224:2012, 4.2.3.1 (seen); the last term of C1 is 2.61 in
Alexander's paper of 1977 and VDI 2230 (from memory), 2.60 in that package.
"""

import math

from putback.core.fasten.answer import Formula, Input, NotComputable
from putback.core.fasten.thread import pitch_diameter

PLATEAU = 0.897
"""C2 and C3 where the other thread is the weaker one, [-]."""

MEAN_OF_BELL = 1.026
"""Mean minor diameter of a nut's bell mouth over D1, ISO/TR 16224, [-]."""

ISO = "ISO/TR 16224:2012, 4.2.3.1, as in screw_thread_lib 0.0.6"
_SQRT3 = math.sqrt(3)


def nut_dilation(*, width_over_diameter: float) -> float:
    """C1, how much of its strength a hexagon nut keeps although it widens, 3.8 s/D - (s/D)^2 - 2.61, [-].

    Args:
        width_over_diameter: s/D, width across flats over nominal diameter, [-].

    Valid for: 1.4 <= s/D < 1.9. A tapped hole in a thick wall does not widen: C1 = 1 there, without this formula.
    Source: Alexander 1977 and VDI 2230, from memory.

    >>> round(nut_dilation(width_over_diameter=1.5), 2)
    0.84
    """
    if not 1.4 <= width_over_diameter < 1.9:
        why = f"C1 was fitted for s/D from 1.4 to below 1.9, not {width_over_diameter:g}"
        raise NotComputable(why, "a thick wall has C1 = 1; for a thinner one there is no value")
    return 3.8 * width_over_diameter - width_over_diameter**2 - 2.61


def bolt_bending(*, strength_ratio: float) -> float:
    """C2, how much of its shear strength the bolt's thread keeps although threads bend, [-].

    Args:
        strength_ratio: Rs = (Rm nut x ASn) / (Rm bolt x ASb), [-].

    Valid for: 0 < Rs < 2.2. Source: ISO/TR 16224 as in screw_thread_lib.

    >>> round(bolt_bending(strength_ratio=1.5), 3)
    1.104
    """
    if not 0 < strength_ratio < 2.2:
        why = f"C2 was fitted for Rs above 0 and below 2.2, not {strength_ratio:g}"
        raise NotComputable(why, "no factor exists there")
    if strength_ratio <= 1:
        return PLATEAU
    rs = strength_ratio
    return 5.594 - 13.682 * rs + 14.107 * rs**2 - 6.057 * rs**3 + 0.9353 * rs**4


def hole_bending(*, strength_ratio: float) -> float:
    """C3, how much of its shear strength the nut's or hole's thread keeps although threads bend, [-].

    Args:
        strength_ratio: Rs = (Rm nut x ASn) / (Rm bolt x ASb), [-].

    Valid for: Rs > 0.4. Source: ISO/TR 16224 as in screw_thread_lib.

    >>> round(hole_bending(strength_ratio=0.6), 3)
    1.027
    """
    if not strength_ratio > 0.4:
        why = f"C3 was fitted for Rs above 0.4, not {strength_ratio:g}"
        raise NotComputable(why, "no factor exists there")
    if strength_ratio >= 1:
        return PLATEAU
    rs = strength_ratio
    return 0.728 + 1.769 * rs - 2.896 * rs**2 + 1.296 * rs**3


def bolt_shear_area_per_length(*, diameter: float, pitch: float) -> float:
    """Shear area of a bolt's thread for each length engaged, basic sizes, with a bell mouth over 40 %, [length].

    Args:
        diameter: d, nominal, [any length].
        pitch: P, [the same length].

    Returns:
        0.6 (pi/P) D1 (P/2 + (d2 - D1)/sqrt3) + 0.4 (pi/P) Dm (P/2 + (d2 - Dm)/sqrt3), Dm = 1.026 D1, [area/length].

    Valid for: 60° threads, basic sizes: real threads have less; use minimum-material sizes for a margin. Source: ISO.

    >>> round(bolt_shear_area_per_length(diameter=8, pitch=1.25), 2)
    15.14
    """
    minor, middle = _basic(diameter=diameter, pitch=pitch)
    mouth = MEAN_OF_BELL * minor
    straight = math.pi / pitch * minor * (pitch / 2 + (middle - minor) / _SQRT3)
    belled = math.pi / pitch * mouth * (pitch / 2 + (middle - mouth) / _SQRT3)
    return 0.6 * straight + 0.4 * belled


def hole_shear_area_per_length(*, diameter: float, pitch: float) -> float:
    """Shear area of a nut's or hole's thread for each length engaged, basic sizes, [area/length].

    (pi/P) d (P/2 + (d - D2)/sqrt3), which is 7/8 pi d. Args, valid and source as `bolt_shear_area_per_length`.

    >>> round(hole_shear_area_per_length(diameter=8, pitch=1.25), 3)
    21.991
    """
    _, middle = _basic(diameter=diameter, pitch=pitch)
    return math.pi / pitch * diameter * (pitch / 2 + (diameter - middle) / _SQRT3)


def _basic(*, diameter: float, pitch: float) -> tuple[float, float]:
    """Basic minor diameter D1 = D2 - H/2 and pitch diameter D2. Source: ISO 68-1, ISO 724."""
    middle = pitch_diameter(diameter=diameter, pitch=pitch)
    minor = middle - _SQRT3 / 4 * pitch
    if minor <= 0:
        raise NotComputable("so coarse a pitch leaves no core", "check diameter and pitch")
    return minor, middle


_RS = Input(name="Rs", to="strength_ratio", what="(Rm nut x ASn) / (Rm bolt x ASb)", above=0)
_D = Input(name="d", to="diameter", what="nominal thread diameter", unit="length", above=0)
_P = Input(name="P", to="pitch", what="pitch", unit="the same length", above=0)
_BASIC = "60° threads, basic sizes; real threads have less: a margin needs minimum-material sizes"


def _too_large(**_: float) -> tuple[str, ...]:
    return ("basic sizes overstate a real thread's area; for a margin use minimum-material sizes",)


FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="alex_C1",
        what="nut dilation, 3.8 s/D - (s/D)^2 - 2.61",
        inputs=(Input(name="s_over_D", to="width_over_diameter", what="width across flats over diameter", above=0),),
        unit="-",
        work=nut_dilation,
        source="Alexander 1977 / VDI 2230 (from memory)",
        valid="1.4 <= s/D < 1.9; a tapped hole in a thick wall has C1 = 1",
        warn=lambda **_: ("screw_thread_lib has 2.60 for the last term: 1 % apart",),
    ),
    Formula(
        name="alex_C2",
        what="thread bending, bolt",
        inputs=(_RS,),
        unit="-",
        work=bolt_bending,
        source=ISO,
        valid="0 < Rs < 2.2",
    ),
    Formula(
        name="alex_C3",
        what="thread bending, nut or tapped hole",
        inputs=(_RS,),
        unit="-",
        work=hole_bending,
        source=ISO,
        valid="Rs > 0.4",
    ),
    Formula(
        name="iso_asb_basic",
        what="shear area of the bolt's thread for each length engaged, basic sizes",
        inputs=(_D, _P),
        unit="mm^2/mm",
        work=bolt_shear_area_per_length,
        source=ISO,
        valid=_BASIC,
        warn=_too_large,
    ),
    Formula(
        name="iso_asn_basic",
        what="shear area of the nut's thread for each length engaged, basic sizes",
        inputs=(_D, _P),
        unit="mm^2/mm",
        work=hole_shear_area_per_length,
        source=ISO,
        valid=_BASIC,
        warn=_too_large,
    ),
)
