"""One idea: a tightening torque is three shares, pitch, thread friction and head friction, and only pitch clamps.

Kellermann and Klein's form, as VDI 2230 uses it. Friction is measured for one pair of surfaces; a value from a table
is a guess, and the band has to show it.

Sources: Kellermann-Klein as printed by genfast.com (DIN 946) and bulten.com fastcalc (seen), the guideline VDI 2230
itself from memory; its fine-thread table at mastik.pt page 685 (seen).
"""

import math
from collections.abc import Mapping

from putback.core.fasten.answer import Formula, Input, Kind, NotComputable, Row
from putback.core.fasten.longform import FLANK_RAD
from putback.core.fasten.preload import NO_SPECIFICATION
from putback.core.fasten.thread import pitch_diameter

USED_OF_YIELD = 0.9
"""Share of the yield strength, tension and twist together, that the tables of VDI 2230 use."""

VDI = "VDI 2230 (form from memory; its fine-thread table seen at mastik.pt page 685)"
KELLERMANN_KLEIN = "Kellermann-Klein / VDI 2230 (form seen: genfast.com DIN 946, bulten fastcalc)"


def core_diameter_mm(*, diameter_mm: float, pitch_mm: float) -> float:
    """Root diameter of a metric bolt, d3 = d2 - 2/3 H, [mm]; basic size. Source: ISO 68-1, ISO 724.

    Raises:
        NotComputable: a pitch too coarse for the diameter leaves no core.
    """
    root = pitch_diameter(diameter=diameter_mm, pitch=pitch_mm) - pitch_mm / math.sqrt(3)
    if root <= 0:
        why = f"a pitch of {pitch_mm:g} mm leaves no core in a bolt of {diameter_mm:g} mm"
        raise NotComputable(why, "check the designation")
    return root


def allowed_preload_kn(*, diameter_mm: float, pitch_mm: float, friction: float, yield_mpa: float) -> float:
    """Preload at which tension and twist together use 90 % of yield, [kN].

    FM = A0 0.9 Rp0.2 / sqrt(1 + 3 [1.5 (d2/d0)(P/(pi d2) + 1.155 mu)]^2), A0 = pi/4 d0^2, d0 = (d2 + d3)/2.

    Args:
        diameter_mm: d, nominal, [mm].
        pitch_mm: P, [mm].
        friction: mu in the thread, [-].
        yield_mpa: least Rp0.2 of the property class, [MPa]; 640 for 8.8 (660 above M16), 940 for 10.9, 1100 for 12.9.

    Valid for: metric steel bolts, shank not thinner than the thread root, room temperature. Source: VDI 2230.

    >>> round(allowed_preload_kn(diameter_mm=16, pitch_mm=1.5, friction=0.12, yield_mpa=640), 1)
    87.7
    """
    middle = pitch_diameter(diameter=diameter_mm, pitch=pitch_mm)
    across = (middle + core_diameter_mm(diameter_mm=diameter_mm, pitch_mm=pitch_mm)) / 2
    slope = pitch_mm / (math.pi * middle) + friction / math.cos(FLANK_RAD)
    twist = 1 + 3 * (1.5 * middle / across * slope) ** 2
    return USED_OF_YIELD * yield_mpa * math.pi / 4 * across**2 / math.sqrt(twist) / 1000


def bearing_diameter_mm(*, bearing_outer_mm: float, hole_mm: float) -> float:
    """Mean diameter under the head, Dkm = (dw + dh) / 2, [mm].

    Raises:
        NotComputable: the head would fall through the hole.
    """
    if bearing_outer_mm <= hole_mm:
        why = f"a bearing face of {bearing_outer_mm:g} mm has nothing to sit on round a hole of {hole_mm:g} mm"
        raise NotComputable(why, "check dw and dh")
    return (bearing_outer_mm + hole_mm) / 2


def arms_mm(
    *,
    diameter_mm: float,
    pitch_mm: float,
    thread_friction: float,
    head_friction: float,
    bearing_outer_mm: float,
    hole_mm: float,
) -> Mapping[str, float]:
    """Torque for each newton of preload by where it goes, [mm]: pitch P/2pi, thread mu d2/(2 cos 30°), head mu Dkm/2.

    Valid for: 60° threads, turned element with a flat ring face. Source: Kellermann-Klein, as in VDI 2230.
    """
    core_diameter_mm(diameter_mm=diameter_mm, pitch_mm=pitch_mm)
    under_head = bearing_diameter_mm(bearing_outer_mm=bearing_outer_mm, hole_mm=hole_mm)
    return {
        "pitch": pitch_mm / (2 * math.pi),
        "thread": thread_friction * pitch_diameter(diameter=diameter_mm, pitch=pitch_mm) / (2 * math.cos(FLANK_RAD)),
        "head": head_friction * under_head / 2,
    }


def tightening_torque_nm(
    *,
    preload_n: float,
    diameter_mm: float,
    pitch_mm: float,
    thread_friction: float,
    head_friction: float,
    bearing_outer_mm: float,
    hole_mm: float,
) -> float:
    """Torque for a preload, MA = FM (P/2pi + muG d2/(2 cos 30°) + muK Dkm/2), [N·m]. Valid and source as `arms_mm`.

    >>> shape = dict(diameter_mm=8, pitch_mm=1.25, bearing_outer_mm=11.63, hole_mm=9)
    >>> round(tightening_torque_nm(preload_n=18600, thread_friction=0.12, head_friction=0.12, **shape), 1)
    24.5
    """
    arms = arms_mm(
        diameter_mm=diameter_mm,
        pitch_mm=pitch_mm,
        thread_friction=thread_friction,
        head_friction=head_friction,
        bearing_outer_mm=bearing_outer_mm,
        hole_mm=hole_mm,
    )
    return preload_n * sum(arms.values()) / 1000


def share_percent(
    *,
    diameter_mm: float,
    pitch_mm: float,
    thread_friction: float,
    head_friction: float,
    bearing_outer_mm: float,
    hole_mm: float,
    part: str,
) -> float:
    """Share of the torque that goes into `part`: pitch (the only one that clamps), thread or head, [%].

    >>> shape = dict(diameter_mm=8, pitch_mm=1.25, bearing_outer_mm=11.63, hole_mm=9)
    >>> round(share_percent(thread_friction=0.12, head_friction=0.12, part="pitch", **shape), 1)
    15.1
    """
    arms = arms_mm(
        diameter_mm=diameter_mm,
        pitch_mm=pitch_mm,
        thread_friction=thread_friction,
        head_friction=head_friction,
        bearing_outer_mm=bearing_outer_mm,
        hole_mm=hole_mm,
    )
    if part not in arms:
        raise NotComputable(f"{part!r} is no part of a torque", f"one of {', '.join(arms)}")
    return 100 * arms[part] / sum(arms.values())


def allowed_torque_nm(
    *,
    diameter_mm: float,
    pitch_mm: float,
    friction: float,
    yield_mpa: float,
    bearing_outer_mm: float,
    hole_mm: float,
) -> float:
    """Torque that gives `allowed_preload_kn`, one friction for thread and head, [N·m]. Valid and source as there.

    >>> shape = dict(diameter_mm=10, pitch_mm=1.5, bearing_outer_mm=14.63, hole_mm=11)
    >>> round(allowed_torque_nm(friction=0.12, yield_mpa=640, **shape))
    48
    """
    kilonewtons = allowed_preload_kn(
        diameter_mm=diameter_mm, pitch_mm=pitch_mm, friction=friction, yield_mpa=yield_mpa
    )
    return tightening_torque_nm(
        preload_n=kilonewtons * 1000,
        diameter_mm=diameter_mm,
        pitch_mm=pitch_mm,
        thread_friction=friction,
        head_friction=friction,
        bearing_outer_mm=bearing_outer_mm,
        hole_mm=hole_mm,
    )


def least_preload(*, most: float, tightening_factor: float) -> float:
    """Least preload FMmax / alphaA, [as the most]. Source: VDI 2230.

    >>> round(least_preload(most=41.9, tightening_factor=1.8), 1)
    23.3
    """
    return most / tightening_factor


def tightening_factor(*, scatter_percent: float) -> float:
    """alphaA = FMmax / FMmin of a scatter of plus or minus t, (1 + t)/(1 - t), [-].

    >>> round(tightening_factor(scatter_percent=23), 2)
    1.6
    """
    if scatter_percent >= 100:
        raise NotComputable("a scatter of 100 % or more leaves no preload", "give it in percent, below 100")
    return (100 + scatter_percent) / (100 - scatter_percent)


def _high_yield(*, yield_mpa: float, friction: float, **_: float) -> tuple[str, ...]:
    told = [NO_SPECIFICATION, "room temperature, plain steel bolt; divide by alphaA for the least preload"]
    if yield_mpa > 1200:
        told.append(f"no common property class has a yield strength of {yield_mpa:g} MPa; check it")
    if not 0.04 <= friction <= 0.35:
        told.append(f"friction of {friction:g} is outside the 0.04 to 0.35 of the friction classes; check it")
    return tuple(told)


def _only_information(**_: object) -> tuple[str, ...]:
    return (NO_SPECIFICATION,)


_D = Input(name="d", to="diameter_mm", what="nominal thread diameter", unit="mm", above=0)
_P = Input(name="P", to="pitch_mm", what="pitch", unit="mm", above=0)
_MU = Input(name="mu", to="friction", what="friction of thread and head", least=0)
_RP = Input(name="Rp02", to="yield_mpa", what="least yield strength of the property class", unit="MPa", above=0)
_MU_G = Input(name="muG", to="thread_friction", what="friction in the thread", least=0)
_MU_K = Input(name="muK", to="head_friction", what="friction under the turned head or nut", least=0)
_DW = Input(name="dw", to="bearing_outer_mm", what="outer diameter of the bearing face", unit="mm", above=0)
_DH = Input(name="dh", to="hole_mm", what="hole under the head", unit="mm", above=0)
_STEEL = "metric steel bolts, standard heads, shank not thinner than the thread root, room temperature"
_RING = "60° threads, turned element with a flat ring face, no prevailing torque"

FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="vdi_preload",
        what="preload at 90 % of yield, tension and twist together",
        inputs=(_D, _P, _MU, _RP),
        unit="kN",
        work=allowed_preload_kn,
        source=VDI,
        valid=_STEEL,
        warn=_high_yield,
    ),
    Formula(
        name="vdi_torque",
        what="torque for the preload at 90 % of yield, one friction for thread and head",
        inputs=(_D, _P, _MU, _RP, _DW, _DH),
        unit="N*m",
        work=allowed_torque_nm,
        source=VDI,
        valid=_STEEL,
        warn=_high_yield,
    ),
    Formula(
        name="kk_torque",
        what="torque for a preload from pitch, thread and head friction",
        inputs=(Input(name="F", to="preload_n", what="preload", unit="N", least=0), _D, _P, _MU_G, _MU_K, _DW, _DH),
        unit="N*m",
        work=tightening_torque_nm,
        source=KELLERMANN_KLEIN,
        valid=_RING,
        warn=_only_information,
    ),
    Formula(
        name="kk_share",
        what="share of the torque that goes into pitch, thread or head",
        inputs=(
            *(_D, _P, _MU_G, _MU_K, _DW, _DH),
            Input(name="part", to="part", what="pitch, thread or head", kind=Kind.TEXT),
        ),
        unit="%",
        work=share_percent,
        source=KELLERMANN_KLEIN,
        valid=_RING,
    ),
    Formula(
        name="alphaA_min",
        what="least preload, FMmax / alphaA",
        inputs=(
            Input(name="FMmax", to="most", what="most preload", unit="kN", least=0),
            Input(name="alphaA", to="tightening_factor", what="most over least preload", least=1),
        ),
        unit="kN",
        work=least_preload,
        source="VDI 2230 (from memory); example: Bossard VDI 2230 tables 2021-05",
        valid="right after tightening, before settling; any unit of force, the same for both",
    ),
    Formula(
        name="alphaA_tol",
        what="tightening factor of a scatter, (1 + t)/(1 - t)",
        inputs=(
            Input(
                name="tol_pct", to="scatter_percent", what="scatter of the preload, plus or minus", unit="%", least=0
            ),
        ),
        unit="-",
        work=tightening_factor,
        source="definition alphaA = FMmax / FMmin; scatters: trfastenings (VDI 2230:1986)",
        valid="scatter below 100 %, even to both sides",
    ),
)


def _friction_class(name: str, low: float, high: float) -> Row:
    return Row(
        about=f"friction class {name}, thread and head",
        keys={"friction_class": name},
        value=(low, high),
        unit="-",
        source="VDI 2230 table A5",
        seen="from memory",
        note="a guess from a table; a test of the same pair of surfaces wins",
    )


TABLES: tuple[Row, ...] = (
    _friction_class("A", 0.04, 0.10),
    _friction_class("B", 0.08, 0.16),
    _friction_class("C", 0.14, 0.24),
    _friction_class("D", 0.20, 0.35),
)
