"""One idea: all diameters of a 60° thread follow from its size and pitch, and each has its own name.

ISO 68-1 and the unified form of ASME B1.1 are one profile: H = sqrt(3)/2 P. Two "minor diameters" are in circulation,
of the hole (D1) and of the bolt's rounded root (d3): each function says which it gives. Not for pipe threads (55° or
tapered), trapezoidal threads or self-tapping screws.

Sources: ISO 68-1, ISO 724 (tables seen at engineeringhardware.com and docs.steelcam.org/yamawa); ASME B1.1;
Machinery's Handbook 27th ed., threads and threading; stress areas ISO 898-1 and FED-STD-H28/2B eq 1b (seen:
screw_thread_lib).
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from putback.core.fasten.answer import Formula, Input, Kind, NotComputable, Row
from putback.core.fasten.designation import METRIC_SYSTEM, Designation
from putback.core.fasten.sizes import METRIC

SQRT3 = math.sqrt(3)
MM_PER_INCH = 25.4
ISO_68 = "ISO 68-1 / ISO 724: 60° profile, H = sqrt(3)/2 P"
B1_1 = "ASME B1.1: 60° profile, p = 1/n"
STRESS_ISO = "ISO 898-1: pi/4 ((d2 + d3)/2)^2"
STRESS_UN = "FED-STD-H28/2B eq 1b (ASME B1.1): pi/4 (d - 0.974279/n)^2"

_TERMS: Mapping[str, float] = MappingProxyType(
    {"H": 1.0, "H/8": 1 / 8, "H/6": 1 / 6, "H/4": 1 / 4, "3H/8": 3 / 8, "5H/8": 5 / 8, "3H/4": 3 / 4, "5H/4": 5 / 4}
)


def profile_height_mm(*, pitch_mm: float) -> float:
    """H, height of the sharp triangle, [mm]. Source: ISO 68-1.

    >>> round(profile_height_mm(pitch_mm=1), 6)
    0.866025
    """
    return SQRT3 / 2 * pitch_mm


def profile_term_mm(*, pitch_mm: float, term: str) -> float:
    """A share of H by its name in the standard, such as 5H/8, [mm]. Source: ISO 68-1.

    >>> round(profile_term_mm(pitch_mm=1, term="3H/4"), 6)
    0.649519
    """
    if term not in _TERMS:
        raise NotComputable(f"{term!r} is no term of the profile", f"one of {', '.join(_TERMS)}")
    return _TERMS[term] * profile_height_mm(pitch_mm=pitch_mm)


def pitch_diameter(*, diameter: float, pitch: float) -> float:
    """Basic pitch diameter d2 = d - 3H/4, in the unit of the inputs. Source: ISO 724; ASME B1.1.

    >>> round(pitch_diameter(diameter=8, pitch=1.25), 3)
    7.188
    """
    return diameter - 0.375 * SQRT3 * pitch


def hole_minor_diameter(*, diameter: float, pitch: float) -> float:
    """Basic minor diameter of the hole D1 = d - 5H/4, in the unit of the inputs. Source: ISO 724; ASME B1.1.

    >>> round(hole_minor_diameter(diameter=8, pitch=1.25), 3)
    6.647
    """
    return _core(diameter - 0.625 * SQRT3 * pitch, diameter, pitch)


def bolt_root_diameter(*, diameter: float, pitch: float) -> float:
    """Minor diameter of the bolt with a rounded root d3 = D1 - H/6 (UNR: the same), in the unit of the inputs.

    Source: ISO 68-1 with the root radius H/6; ASME B1.1 UNR.

    >>> round(bolt_root_diameter(diameter=8, pitch=1), 3)
    6.773
    """
    return _core(diameter - 17 / 24 * SQRT3 * pitch, diameter, pitch)


def _core(left: float, diameter: float, pitch: float) -> float:
    """What is left, refused where that is nothing; an array passes unchecked."""
    if isinstance(left, int | float) and left <= 0:
        raise NotComputable(f"a pitch of {pitch:g} leaves no core in a bolt of {diameter:g}", "check size and pitch")
    return left


def whitworth_minor_mm(*, diameter_mm: float, threads_per_inch: float) -> float:
    """Minor diameter of a 55° thread, d - 2 x 0.640327 P, [mm]. Source: ISO 228-1 (profile of Whitworth).

    >>> round(whitworth_minor_mm(diameter_mm=13.157, threads_per_inch=19), 3)
    11.445
    """
    pitch_mm = 25.4 / threads_per_inch
    return _core(diameter_mm - 2 * 0.640327 * pitch_mm, diameter_mm, pitch_mm)


def stress_area_mm2(*, diameter_mm: float, pitch_mm: float) -> float:
    """Tensile stress area of a metric bolt, pi/4 ((d2 + d3)/2)^2, [mm2].

    Valid for: ISO metric threads; the 0.9743 of inch threads is 1.3 % low here. Source: ISO 898-1.

    >>> round(stress_area_mm2(diameter_mm=8, pitch_mm=1.25), 1)
    36.6
    """
    across = pitch_diameter(diameter=diameter_mm, pitch=pitch_mm) + bolt_root_diameter(
        diameter=diameter_mm, pitch=pitch_mm
    )
    return math.pi / 4 * (across / 2) ** 2


def stress_area_in2(*, diameter_in: float, threads_per_inch: float) -> float:
    """Tensile stress area of a unified bolt, pi/4 (d - 0.974279/n)^2, [in2].

    Valid for: bolts up to 180 ksi; above, the least pitch diameter is to be used. Source: FED-STD-H28/2B eq 1b.

    >>> round(stress_area_in2(diameter_in=0.25, threads_per_inch=20), 4)
    0.0318
    """
    bolt_root_diameter(diameter=diameter_in, pitch=1 / threads_per_inch)
    return math.pi / 4 * (diameter_in - 0.9742786 / threads_per_inch) ** 2


def minor_area_in2(*, diameter_in: float, threads_per_inch: float) -> float:
    """Area at the minor diameter as Shigley has it, pi/4 (d - 1.299038/n)^2, [in2]: of the sharp root, not UNR.

    Source: Shigley's Mechanical Engineering Design, 9th ed., Table 8-2.

    >>> round(minor_area_in2(diameter_in=0.5, threads_per_inch=13), 4)
    0.1257
    """
    left = _core(diameter_in - 1.299038 / threads_per_inch, diameter_in, 1 / threads_per_inch)
    return math.pi / 4 * left**2


@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """The basic sizes of a thread, [mm], and its stress area, [mm2]; each minor diameter says which one it is.

    `hole_minor_mm` is D1; `bolt_root_mm` is d3 (metric) or the UNR root (unified), both rounded.
    """

    name: str
    diameter_mm: float
    pitch_mm: float
    pitch_diameter_mm: float
    hole_minor_mm: float
    bolt_root_mm: float
    stress_area_mm2: float
    source: str


def geometry(designation: Designation) -> Geometry:
    """The basic sizes of a thread that was read.

    Raises:
        NotComputable: a pitch that leaves no core.

    Valid for: metric and unified 60° threads. Source: ISO 724, ISO 898-1; ASME B1.1, FED-STD-H28/2B.

    >>> from putback.core.fasten.designation import designation
    >>> round(geometry(designation("M8")).stress_area_mm2, 1), round(geometry(designation("1/4-20")).bolt_root_mm, 3)
    (36.6, 4.792)
    """
    size_mm, pitch_mm = designation.diameter_mm, designation.pitch_mm
    metric = designation.system == METRIC_SYSTEM
    inches = {"diameter_in": size_mm / MM_PER_INCH, "threads_per_inch": designation.threads_per_inch}
    return Geometry(
        name=designation.name,
        diameter_mm=size_mm,
        pitch_mm=pitch_mm,
        pitch_diameter_mm=pitch_diameter(diameter=size_mm, pitch=pitch_mm),
        hole_minor_mm=hole_minor_diameter(diameter=size_mm, pitch=pitch_mm),
        bolt_root_mm=bolt_root_diameter(diameter=size_mm, pitch=pitch_mm),
        stress_area_mm2=stress_area_mm2(diameter_mm=size_mm, pitch_mm=pitch_mm)
        if metric
        else stress_area_in2(**inches) * MM_PER_INCH**2,
        source=f"{ISO_68}; {STRESS_ISO}" if metric else f"{B1_1}; {STRESS_UN}",
    )


_D = Input(name="d", to="diameter", what="nominal diameter", unit="mm", above=0)
_P = Input(name="P", to="pitch", what="pitch", unit="mm", above=0)
_D_MM = Input(name="d", to="diameter_mm", what="nominal diameter", unit="mm", above=0)
_P_MM = Input(name="P", to="pitch_mm", what="pitch", unit="mm", above=0)
_D_IN = Input(name="d", to="diameter_in", what="nominal diameter", unit="in", above=0)
_N = Input(name="n", to="threads_per_inch", what="threads per inch", unit="1/in", above=0)
_METRIC_ONLY = "60° metric threads; not for pipe, trapezoidal or self-tapping threads"
_UNIFIED = "unified 60° threads; not for pipe threads"

FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="thread_H",
        what="height of the sharp profile, H",
        inputs=(_P_MM,),
        unit="mm",
        work=profile_height_mm,
        source=ISO_68,
        valid=_METRIC_ONLY,
    ),
    Formula(
        name="thread_coeff",
        what="a share of the profile's height",
        inputs=(_P_MM, Input(name="term", to="term", what="which share", unit="such as 3H/4", kind=Kind.TEXT)),
        unit="mm",
        work=profile_term_mm,
        source=ISO_68,
        valid=_METRIC_ONLY,
    ),
    Formula(
        name="thread_d2",
        what="basic pitch diameter, d - 3H/4",
        inputs=(_D, _P),
        unit="mm",
        work=pitch_diameter,
        source=ISO_68,
        valid=_METRIC_ONLY,
    ),
    Formula(
        name="thread_D1",
        what="basic minor diameter of the hole, d - 5H/4",
        inputs=(_D, _P),
        unit="mm",
        work=hole_minor_diameter,
        source=ISO_68,
        valid=_METRIC_ONLY,
    ),
    Formula(
        name="thread_d3",
        what="minor diameter of the bolt, D1 - H/6",
        inputs=(_D, _P),
        unit="mm",
        work=bolt_root_diameter,
        source=ISO_68,
        valid=_METRIC_ONLY,
    ),
    Formula(
        name="whit_minor",
        what="minor diameter of a 55° thread",
        inputs=(_D_MM, Input(name="tpi", to="threads_per_inch", what="threads per inch", unit="1/in", above=0)),
        unit="mm",
        work=whitworth_minor_mm,
        source="ISO 228-1 (profile of Whitworth)",
        valid="parallel 55° threads (G); not for tapered ones",
    ),
    Formula(
        name="un_pitch",
        what="basic pitch diameter of a unified thread",
        inputs=(_D_IN, _N),
        unit="in",
        work=lambda *, diameter_in, threads_per_inch: pitch_diameter(diameter=diameter_in, pitch=1 / threads_per_inch),
        source=B1_1,
        valid=_UNIFIED,
    ),
    Formula(
        name="un_minor_int",
        what="basic minor diameter of the hole of a unified thread",
        inputs=(_D_IN, _N),
        unit="in",
        work=lambda *, diameter_in, threads_per_inch: hole_minor_diameter(
            diameter=diameter_in, pitch=1 / threads_per_inch
        ),
        source=B1_1,
        valid=_UNIFIED,
    ),
    Formula(
        name="un_minor_unr",
        what="minor diameter of a unified bolt with a rounded root (UNR)",
        inputs=(_D_IN, _N),
        unit="in",
        work=lambda *, diameter_in, threads_per_inch: bolt_root_diameter(
            diameter=diameter_in, pitch=1 / threads_per_inch
        ),
        source=B1_1,
        valid=_UNIFIED,
    ),
    Formula(
        name="un_minor_area",
        what="area at the minor diameter of a unified bolt, sharp root",
        inputs=(_D_IN, _N),
        unit="in^2",
        work=minor_area_in2,
        source="Shigley 9th ed. Table 8-2",
        valid=_UNIFIED,
    ),
    Formula(
        name="as_metric",
        what="tensile stress area of a metric bolt",
        inputs=(_D_MM, _P_MM),
        unit="mm^2",
        work=stress_area_mm2,
        source=STRESS_ISO,
        valid=_METRIC_ONLY,
    ),
    Formula(
        name="as_un",
        what="tensile stress area of a unified bolt",
        inputs=(_D_IN, _N),
        unit="in^2",
        work=stress_area_in2,
        source=STRESS_UN,
        valid="unified bolts up to 180 ksi",
    ),
)

_TAP = "PyPI bd_warehouse 0.4.0 data/tap_hole_sizes.csv"
_DRILLS_MM: Mapping[str, float] = MappingProxyType(
    {"M3-0.5": 2.5, "M4-0.7": 3.3, "M5-0.8": 4.2, "M6-1": 5.0, "M6-0.75": 5.25, "M8-1.25": 6.8, "M8-1": 7.0}
    | {"M10-1.5": 8.5, "M10-1.25": 8.8, "M10-1": 9.0, "M12-1.75": 10.3, "M12-1.5": 10.5, "M12-1.25": 10.8}
    | {"M14-2": 12.1, "M14-1.5": 12.5, "M14-1.25": 12.8, "M16-2": 14.0, "M16-1.5": 14.5}
    | {"M18-2.5": 15.5, "M18-1.5": 16.5, "M20-2.5": 17.5}
)


def _drill_row(size: str, drill_mm: float) -> Row:
    nominal, _, pitch = size.partition("-")
    coarse = METRIC[float(nominal[1:])].coarse_mm == float(pitch)
    return Row(
        about=f"{nominal} tap drill (soft)" + ("" if coarse else f", {size}"),
        keys={"size": size},
        value=drill_mm,
        unit="mm",
        source=f"{_TAP}; engineeringtoolbox ISO 724" if size == "M6-1" else _TAP,
        seen="seen",
        note="for soft metals; a hole that is repaired takes the drill of the repair's maker",
    )


TABLES: tuple[Row, ...] = tuple(_drill_row(size, drill_mm) for size, drill_mm in _DRILLS_MM.items())
