"""One idea: a tapped hole strips at the shear area of its own thread, and real threads have less of it than drawings.

Areas are those of minimum-material sizes: the thinnest bolt (least major diameter) in the widest hole (most pitch
diameter). Basic sizes overstate an M10 by 28 %. Only full threads count.

Sources: FED-STD-H28/2B Table II.B.1, equations 2a, 4a, 13 and 14, as in screw_thread_lib 0.0.6 (MIT, seen) and as
quoted from Machinery's Handbook 24 (seen at forums.thscc.com).
"""

import math

from putback.core.fasten.answer import Formula, Input, NotComputable, Row
from putback.core.fasten.thread import pitch_diameter

FED_STD = "FED-STD-H28/2B Table II.B.1"
_SQRT3 = math.sqrt(3)


def hole_shear_area_per_length(*, pitch: float, major_min: float, pitch_int_max: float) -> float:
    """Shear area of the hole's thread for each length engaged, (pi/P) dmin (P/2 + (dmin - D2max)/sqrt3).

    Args:
        pitch: P, [any length].
        major_min: least major diameter of the bolt, dmin, [the same length].
        pitch_int_max: most pitch diameter of the hole, D2max, [the same length].

    Returns:
        [area/length].

    Raises:
        NotComputable: threads of these sizes do not overlap.

    Valid for: 60° threads; a hole that is sound, not worn, repaired or lined. Source: FED-STD-H28/2B eq 2a.

    >>> round(hole_shear_area_per_length(pitch=1.25, major_min=7.76, pitch_int_max=7.348), 2)
    16.83
    """
    return math.pi / pitch * major_min * _tooth(pitch=pitch, outer=major_min, inner=pitch_int_max)


def bolt_shear_area_per_length(*, pitch: float, minor_int_max: float, pitch_ext_min: float) -> float:
    """Shear area of the bolt's thread for each length engaged, (pi/P) D1max (P/2 + (d2min - D1max)/sqrt3).

    Args:
        pitch: P, [any length].
        minor_int_max: most minor diameter of the hole, D1max, [the same length].
        pitch_ext_min: least pitch diameter of the bolt, d2min, [the same length].

    Returns, raises and valid as `hole_shear_area_per_length`. Source: FED-STD-H28/2B eq 4a.

    >>> round(bolt_shear_area_per_length(pitch=1.25, minor_int_max=6.912, pitch_ext_min=7.042), 2)
    12.16
    """
    return math.pi / pitch * minor_int_max * _tooth(pitch=pitch, outer=pitch_ext_min, inner=minor_int_max)


def engagement_needed(*, pitch: float, major_min: float, pitch_int_max: float, force: float, shear: float) -> float:
    """Length of full threads in the hole that bears a force, F / (tau ASn per length).

    Args:
        pitch: P, [mm].
        major_min: dmin, [mm].
        pitch_int_max: D2max, [mm].
        force: what the thread has to bear, [N].
        shear: shear strength of the hole's metal, [MPa].

    Returns:
        Le, [mm]; inch sizes with lbf and psi give [in].

    Valid and raises as `hole_shear_area_per_length`. Source: FED-STD-H28/2B eq 2a, solved for Le.

    >>> round(engagement_needed(pitch=1.5, major_min=9.732, pitch_int_max=9.206, force=69600, shear=130), 1)
    24.9
    """
    area = hole_shear_area_per_length(pitch=pitch, major_min=major_min, pitch_int_max=pitch_int_max)
    return force / (shear * area)


def engagement_combined(*, diameter: float, threads_per_length: float) -> float:
    """Engagement at which bolt and hole of equal strength strip together as the bolt breaks, 4 As / (pi d2).

    Args:
        diameter: d, nominal, [in].
        threads_per_length: n, [1/in].

    Returns:
        Le, [in]; with mm and threads per mm, [mm].

    Valid for: equal strengths of bolt and hole, basic sizes. Source: FED-STD-H28/2B eq 13.

    >>> round(engagement_combined(diameter=0.5, threads_per_length=13), 4)
    0.4015
    """
    middle = pitch_diameter(diameter=diameter, pitch=1 / threads_per_length)
    return 4 * _stress_area(diameter=diameter, threads_per_length=threads_per_length) / (math.pi * middle)


def engagement_equal(
    *, diameter: float, threads_per_length: float, minor_int_max: float, pitch_ext_min: float
) -> float:
    """Engagement at which the bolt breaks before its thread strips, 2 As / ASs per length.

    Args:
        diameter: d, nominal, [in].
        threads_per_length: n, [1/in].
        minor_int_max: D1max, [in].
        pitch_ext_min: d2min, [in].

    Returns:
        Le, [in]; with mm and threads per mm, [mm].

    Valid for: shear strength of half the tensile strength or more, a hole as strong as the bolt.
    Source: FED-STD-H28/2B eq 14.

    >>> round(engagement_equal(diameter=0.5, threads_per_length=13, minor_int_max=0.434, pitch_ext_min=0.4435), 4)
    0.3643
    """
    area = bolt_shear_area_per_length(
        pitch=1 / threads_per_length, minor_int_max=minor_int_max, pitch_ext_min=pitch_ext_min
    )
    return 2 * _stress_area(diameter=diameter, threads_per_length=threads_per_length) / area


def _tooth(*, pitch: float, outer: float, inner: float) -> float:
    """Width of a tooth where it shears, P/2 + (outer - inner)/sqrt3."""
    width = pitch / 2 + (outer - inner) / _SQRT3
    if not 0 < width < pitch:
        why = "threads of these sizes do not mesh"
        raise NotComputable(why, "give least sizes of the bolt and most sizes of the hole, all in one unit")
    return width


def _stress_area(*, diameter: float, threads_per_length: float) -> float:
    """Tensile stress area of a unified thread, pi/4 (d2 - 3/8 H)^2; FED-STD-H28/2B eq 1a."""
    pitch = 1 / threads_per_length
    across = pitch_diameter(diameter=diameter, pitch=pitch) - 3 / 16 * _SQRT3 * pitch
    if across <= 0:
        raise NotComputable("so few threads leave no core", "check diameter and threads per length")
    return math.pi / 4 * across**2


_P = Input(name="P", to="pitch", what="pitch", unit="length", above=0)
_D_MIN = Input(name="d_min", to="major_min", what="least major diameter of the bolt", unit="the same", above=0)
_D2_MAX = Input(name="D2_max", to="pitch_int_max", what="most pitch diameter of the hole", unit="the same", above=0)
_D1_MAX = Input(name="D1_max", to="minor_int_max", what="most minor diameter of the hole", unit="the same", above=0)
_D2_MIN = Input(name="d2_min", to="pitch_ext_min", what="least pitch diameter of the bolt", unit="the same", above=0)
_D = Input(name="d", to="diameter", what="nominal thread diameter", unit="length", above=0)
_N = Input(name="n", to="threads_per_length", what="threads per length", unit="1/length", above=0)
_SOUND = "60° threads, minimum-material sizes, full threads; not for inserts, repaired, worn or hot threads"


def _full_threads(**_: float) -> tuple[str, ...]:
    return ("count full threads only: take off chamfer, lead-in and incomplete threads",)


FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="strip_area_int",
        what="shear area of the hole's thread for each length engaged",
        inputs=(_P, _D_MIN, _D2_MAX),
        unit="as given: area / length (mm: mm^2/mm)",
        work=hole_shear_area_per_length,
        source=f"{FED_STD} eq 2a",
        valid=_SOUND,
        warn=_full_threads,
    ),
    Formula(
        name="strip_area_ext",
        what="shear area of the bolt's thread for each length engaged",
        inputs=(_P, _D1_MAX, _D2_MIN),
        unit="as given: area / length (mm: mm^2/mm)",
        work=bolt_shear_area_per_length,
        source=f"{FED_STD} eq 4a",
        valid=_SOUND,
        warn=_full_threads,
    ),
    Formula(
        name="engage_int",
        what="full threads in the hole that bear a force, F / (tau ASn)",
        inputs=(
            *(_P, _D_MIN, _D2_MAX),
            Input(name="Fbolt", to="force", what="force the thread has to bear", unit="N", least=0),
            Input(name="tau", to="shear", what="shear strength of the hole's metal", unit="MPa", above=0),
        ),
        unit="as given: length (mm, N and MPa: mm)",
        work=engagement_needed,
        source=f"{FED_STD} eq 2a, solved for the length",
        valid=_SOUND,
        warn=_full_threads,
    ),
    Formula(
        name="fed_le13",
        what="engagement at which threads of equal strength strip as the bolt breaks, 4 As/(pi d2)",
        inputs=(_D, _N),
        unit="as given: length (in and 1/in: in)",
        work=engagement_combined,
        source=f"{FED_STD} eq 13",
        valid="bolt and hole of equal strength, basic sizes",
        warn=_full_threads,
    ),
    Formula(
        name="fed_le14",
        what="engagement at which the bolt breaks before its thread strips, 2 As/ASs",
        inputs=(_D, _N, _D1_MAX, _D2_MIN),
        unit="as given: length (in and 1/in: in)",
        work=engagement_equal,
        source=f"{FED_STD} eq 14",
        valid="a hole as strong as the bolt, minimum-material sizes",
        warn=_full_threads,
    ),
)

_TRIALS = "mastik.pt page677 / Bossard F.039 recommended minimum engagement (trials M6-M16)"
_GENERAL = "generator service manual general torque notes (easymanua.ls p.51); US Army TM 9-6115-604-34 note 6"
_DESIGN = "scribd 183112520 Bolt Design p.15 (Roloff/Matek; VDI 2230)"
_CONTEXT = "general chart, context only: the maker's engagement and strength class win"


def _least(about: str, value: float, source: str, **keys: str) -> Row:
    name = {"strength_class": "class"}
    return Row(
        about=about,
        keys={name.get(key, key): text for key, text in keys.items()},
        value=value,
        unit="x d",
        source=source,
        seen="seen",
        note=_CONTEXT,
    )


def _trial(material: str, value: float) -> Row:
    about = f"min engagement, class 8.8 coarse in {material}"
    return _least(about, value, _TRIALS, material=material, strength_class="8.8")


TABLES: tuple[Row, ...] = (
    _trial("S235 >360 MPa", 1.0),
    _trial("E285/S355 >500 MPa", 0.9),
    _trial("heat-treated steel >800 MPa", 0.8),
    _trial("EN-GJL-250 >220 MPa", 1.0),
    _trial("Al99.5 >180 MPa", 2.0),
    _trial("AlMg3 F18 >180 MPa", 2.0),
    _least("min engagement, hardware into aluminium", 2.0, _GENERAL, material="aluminium"),
    _least("min engagement, hardware into steel", 1.25, _GENERAL, material="steel"),
    _least("min engagement, hardware into cast iron", 1.25, _GENERAL, material="cast iron"),
    _least(
        "min engagement, M8 10.9 in Al (Rm 250-270) without insert",
        2.0,
        _DESIGN,
        material="Al 250-270",
        strength_class="10.9",
    ),
    _least(
        "min engagement, same with wire thread insert",
        1.5,
        "scribd 183112520 (DIN 8140-1 3.1)",
        material="Al 250-270",
        strength_class="10.9",
        insert="yes",
    ),
)
