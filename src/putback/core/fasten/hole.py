"""One idea: a bolt in a soft hole must leave the hole's thread a margin at the most preload, not at the nominal one.

The margin is strip load over the upper edge of the preload band. Where metal, engagement or thread are not what the
formula is for (insert, repair, wear, heat, unknown alloy) no margin is given, only that it is unknown.

Sources: areas as in `strip.py`; shear strength 0.6 of the tensile strength, an assumption (seen: machinecalcs.com
thread-engagement-calculator); bending factors as in `alexander.py`; a hole in a thick wall does not widen, so C1 = 1.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType

from putback.core.fasten.alexander import PLATEAU, bolt_bending, hole_bending
from putback.core.fasten.answer import Band, NotComputable
from putback.core.fasten.clamp import PreloadBand
from putback.core.fasten.limits import Limits
from putback.core.fasten.preload import NO_SPECIFICATION, refuse_unless_positive
from putback.core.fasten.strip import FED_STD, bolt_shear_area_per_length, hole_shear_area_per_length

SHEAR_OF_TENSILE = 0.6
"""Shear strength over tensile strength, [-]; an assumption."""


class Metal(Enum):
    """What the hole is tapped in."""

    ALUMINIUM = "aluminium"
    STEEL = "steel"
    MAGNESIUM = "magnesium"
    UNKNOWN = "unknown metal"


class HoleDoubt(Enum):
    """What makes a hole's strength unknowable from its sizes."""

    INSERT = "it has a thread insert"
    REPAIRED = "its thread is repaired or recut"
    WORN = "its thread is worn, stripped or corroded"
    HOT = "the part runs hot or has been overheated"
    UNKNOWN = "the state of its thread is not known"


MENDS: Mapping[HoleDoubt, str] = MappingProxyType(
    {
        HoleDoubt.INSERT: "take the insert maker's figure for this part",
        HoleDoubt.REPAIRED: "take the repair maker's figure, and the part maker's word on repairs",
        HoleDoubt.WORN: "repair the thread as the part's maker says, or renew the part",
        HoleDoubt.HOT: "ask the part's maker; strength falls with heat",
        HoleDoubt.UNKNOWN: "clean the hole and look at the thread first",
    }
)

CAUTIONS: Mapping[Metal, tuple[str, ...]] = MappingProxyType(
    {
        Metal.MAGNESIUM: (
            "bare steel corrodes magnesium: the maker's own bolts and washers only (common practice, no source)",
        ),
    }
)


NO_STRENGTH_SOURCE = "as given, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A tapped hole. `tensile_mpa` and `full_mm` are None where they are not known, which is not the same as zero.

    `full_mm` is the length of full threads in mesh, as `full_engagement_mm` works it out, [mm]; `tensile_mpa` the
    least tensile strength of this very alloy and state, [MPa], with its source, empty where none was named.
    """

    limits: Limits
    metal: Metal
    tensile_mpa: float | None
    tensile_source: str
    full_mm: float | None
    doubts: frozenset[HoleDoubt] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Bolt:
    """The bolt in it: tensile strength, [MPa], and tensile stress area, [mm2]."""

    tensile_mpa: float
    stress_area_mm2: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StripMargin:
    """How far the thread of a hole is from stripping.

    `margin` is from the most preload (the one that counts) to the least. `bolt_strips_n` and `bolt_breaks_n` are
    None where the bolt's strength was not given.
    """

    full_mm: float
    area_mm2: float
    shear_mpa: float
    bending: float
    hole_strips_n: float
    bolt_strips_n: float | None
    bolt_breaks_n: float | None
    margin: Band
    source: str
    warnings: tuple[str, ...]


def full_engagement_mm(
    *, bolt_length_mm: float, clamped_mm: float, thread_depth_mm: float, lost_in_hole_mm: float, lost_on_bolt_mm: float
) -> float:
    """Length of full threads in mesh, [mm].

    Args:
        bolt_length_mm: length under the head, [mm].
        clamped_mm: everything between head and hole: parts, washers, gasket, [mm].
        thread_depth_mm: from the hole's face to the end of its full thread, [mm].
        lost_in_hole_mm: chamfer, counterbore and lead-in at the hole's mouth, [mm].
        lost_on_bolt_mm: point and incomplete threads at the bolt's end, [mm].

    Raises:
        NotComputable: a length is negative, the bolt reaches past the thread (it bottoms and clamps nothing), or no
            full thread is in mesh.

    >>> lengths = dict(thread_depth_mm=25, lost_in_hole_mm=1, lost_on_bolt_mm=1.5)
    >>> full_engagement_mm(bolt_length_mm=40, clamped_mm=22, **lengths)
    15.5
    """
    given = (bolt_length_mm, clamped_mm, thread_depth_mm, lost_in_hole_mm, lost_on_bolt_mm)
    if not all(length >= 0 for length in given):
        raise NotComputable("a length is negative", "give each as it is measured, zero or more")
    inside = bolt_length_mm - clamped_mm
    if inside - lost_on_bolt_mm > thread_depth_mm:
        why = f"the bolt reaches {inside:g} mm into a thread of {thread_depth_mm:g} mm: it bottoms and clamps nothing"
        raise NotComputable(why, "check that this length belongs here, and that no washer or part is missing")
    full = inside - lost_on_bolt_mm - lost_in_hole_mm
    if full <= 0:
        lost = lost_in_hole_mm + lost_on_bolt_mm
        why = f"no full thread is in mesh: {inside:g} mm inside, {lost:g} mm incomplete"
        raise NotComputable(why, "check that this length belongs here")
    return full


def strip_margin(*, hole: Hole, preload_band: PreloadBand, bolt: Bolt | None = None) -> StripMargin:
    """Strip load of a tapped hole and its margin over the preload, counted at the most preload.

    Args:
        hole: thread, metal, strength and full engagement.
        preload_band: the preload as a band, from `clamp.py` or `lubricant.py`.
        bolt: its strength, where it is known: then also what would give first.

    Raises:
        NotComputable: the margin is unknown, with every reason at once.

    Valid for: plain tapped holes in a thick wall (1.9 d and more across), room temperature, static load.
    Source: FED-STD-H28/2B eq 2a and 4a; ISO/TR 16224 for bending; shear strength 0.6 Rm, an assumption.
    """
    tensile_mpa, full_mm = _known(hole)
    limits = hole.limits
    refuse_unless_positive(least_preload=preload_band.low_n, most_preload=preload_band.high_n)
    area = full_mm * hole_shear_area_per_length(
        pitch=limits.pitch_mm, major_min=limits.major_min_mm, pitch_int_max=limits.pitch_int_max_mm
    )
    bending, bolt_strips_n, told = _bending(hole=hole, tensile_mpa=tensile_mpa, area=area, full_mm=full_mm, bolt=bolt)
    strips_n = SHEAR_OF_TENSILE * tensile_mpa * area * bending
    breaks_n = None if bolt is None else bolt.tensile_mpa * bolt.stress_area_mm2
    margin = (strips_n / preload_band.high_n, strips_n / preload_band.low_n)
    return StripMargin(
        full_mm=full_mm,
        area_mm2=area,
        shear_mpa=SHEAR_OF_TENSILE * tensile_mpa,
        bending=bending,
        hole_strips_n=strips_n,
        bolt_strips_n=bolt_strips_n,
        bolt_breaks_n=breaks_n,
        margin=margin,
        source="; ".join(
            (
                f"{FED_STD} eq 2a",
                f"{limits.designation}: {limits.source}",
                f"{hole.metal.value}, Rm {tensile_mpa:g} MPa: {hole.tensile_source or NO_STRENGTH_SOURCE}",
            )
        ),
        warnings=(
            *_judged(margin=margin, strips_n=strips_n, breaks_n=breaks_n),
            *told,
            *(() if hole.tensile_source else ("the strength of the part has no source: name where it is from",)),
            *CAUTIONS.get(hole.metal, ()),
            NO_SPECIFICATION,
        ),
    )


def _known(hole: Hole) -> tuple[float, float]:
    """Strength and engagement, or the refusal that names all that is unknown."""
    why = [doubt.value for doubt in HoleDoubt if doubt in hole.doubts]
    mend = [MENDS[doubt] for doubt in HoleDoubt if doubt in hole.doubts]
    if hole.metal is Metal.UNKNOWN or hole.tensile_mpa is None or not hole.tensile_mpa > 0:
        why.append("alloy and strength of the part are not known")
        mend.append("take them from the maker; a colour or a sound is no proof")
    if hole.full_mm is None or not hole.full_mm > 0:
        why.append("the length of full threads in mesh is not known")
        mend.append("measure bolt, clamped parts and thread depth, and take off incomplete threads")
    if why or hole.tensile_mpa is None or hole.full_mm is None:
        raise NotComputable("the margin is unknown: " + ", and ".join(why), "; ".join(mend))
    return hole.tensile_mpa, hole.full_mm


def _bending(
    *, hole: Hole, tensile_mpa: float, area: float, full_mm: float, bolt: Bolt | None
) -> tuple[float, float | None, tuple[str, ...]]:
    """Factor on the hole's thread, strip load of the bolt's own, and what to beware of."""
    if bolt is None:
        return PLATEAU, None, ("the bolt's strength was not given: the least bending factor, 0.897, is taken",)
    refuse_unless_positive(bolt_tensile=bolt.tensile_mpa, bolt_stress_area=bolt.stress_area_mm2)
    bolt_area = full_mm * bolt_shear_area_per_length(
        pitch=hole.limits.pitch_mm,
        minor_int_max=hole.limits.minor_int_max_mm,
        pitch_ext_min=hole.limits.pitch_ext_min_mm,
    )
    ratio = tensile_mpa * area / (bolt.tensile_mpa * bolt_area)
    plain_n = SHEAR_OF_TENSILE * bolt.tensile_mpa * bolt_area
    try:
        return min(1.0, hole_bending(strength_ratio=ratio)), plain_n * min(1.0, bolt_bending(strength_ratio=ratio)), ()
    except NotComputable:
        told = f"hole and bolt are too unlike for a bending factor (Rs = {ratio:.2g}): the least one, 0.897, is taken"
        return PLATEAU, plain_n * PLATEAU, (told,)


def _judged(*, margin: Band, strips_n: float, breaks_n: float | None) -> tuple[str, ...]:
    told = []
    if margin[1] < 1:
        told.append("even the least preload strips this thread")
    elif margin[0] < 1:
        told.append("the most preload strips this thread")
    if breaks_n is not None and strips_n < breaks_n:
        told.append("the hole strips before the bolt breaks: the damage is in the part, and does not show")
    told.append("the shear strength is an assumption, 0.6 of the tensile strength; castings vary")
    return tuple(told)
