"""One idea: a torque is mostly friction, so the preload behind it is a band and never one figure.

Short form T = K d F. K, the nut factor, holds all friction and is a test result of one pair of surfaces, not a
property of a grease. The same torque on the same bolt gives a preload that scatters by a quarter or more; each answer
here says so. Nothing here is a specification: the maker's torque wins.

Sources: Shigley's Mechanical Engineering Design, 9th ed., section 8-8 and Tables 8-13 to 8-15 (seen); NASA TM-106943,
equations 1 and 11 to 16 (seen as transcribed); Machinery's Handbook and NASA accuracy tables as given by
docsbay.net/methods-of-applying-and-measuring-preload (seen).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import stdev

from putback.core.fasten.answer import Band, Formula, Input, Kind, NotComputable, Row

SHIGLEY = "Shigley 9th ed. p.439 Tables 8-14, 8-15, Example 8-3"
NASA = "NASA TM-106943 eq 14-16, as transcribed"
SPREAD_OF_TORQUE = 0.25
RELAXATION = 0.05

NO_SPECIFICATION = "information, no specification: the maker's torque wins"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scatter:
    """How far the preload may lie from its nominal value, as a share of it, for one manner of tightening."""

    method: str
    share: float
    source: str


ACCURACY = "docsbay.net/methods-of-applying-and-measuring-preload"
_TR = "trfastenings tightening factors (VDI 2230:1986)"
SCATTERS: Sequence[Scatter] = (
    Scatter(method="torque wrench, unlubricated", share=0.35, source=f"NASA table in {ACCURACY}"),
    Scatter(method="torque wrench, cadmium plated", share=0.30, source=f"NASA table in {ACCURACY}"),
    Scatter(method="torque wrench, lubricated", share=0.25, source=f"NASA table in {ACCURACY}"),
    Scatter(method="torque wrench", share=0.25, source=f"Machinery's Handbook table in {ACCURACY}"),
    Scatter(method="by feel", share=0.35, source=f"Machinery's Handbook table in {ACCURACY}"),
    Scatter(method="turn of nut", share=0.15, source=f"Machinery's Handbook table in {ACCURACY}"),
    Scatter(method="precision power driver", share=0.43, source=f"{_TR}, upper figure"),
)


def scatter_of(method: str) -> Scatter:
    """The published scatter of a manner of tightening.

    Raises:
        NotComputable: a manner for which no figure was read.

    >>> scatter_of("by feel").share
    0.35
    """
    for scatter in SCATTERS:
        if scatter.method == method.strip().casefold():
            return scatter
    known = ", ".join(scatter.method for scatter in SCATTERS)
    raise NotComputable(f"no scatter is published here for {method!r}", f"one of {known}")


def torque(*, nut_factor: float, preload: float, diameter: float) -> float:
    """Torque for a preload, short form T = K F d.

    Args:
        nut_factor: K, [-].
        preload: F, [any force].
        diameter: d, nominal thread diameter, [any length].

    Returns:
        T, [that force times that length].

    Valid for: elastic range, thread that runs freely. Source: Shigley 9th ed. eq 8-27.

    >>> torque(nut_factor=0.2, preload=25000, diameter=0.75)
    3750.0
    """
    return nut_factor * preload * diameter


def preload(*, torque: float, nut_factor: float, diameter: float) -> float:
    """Preload behind a torque, F = T / (K d); force and length as in the torque. Valid and source as `torque`.

    >>> preload(torque=45000, nut_factor=0.2, diameter=10)
    22500.0
    """
    return torque / (nut_factor * diameter)


def nut_factor_from_test(*, torque: float, preload: float, diameter: float) -> float:
    """K, [-], from a measured torque and clamp force, K = T / (F d). Valid for the tested pair of surfaces only.

    >>> round(nut_factor_from_test(torque=346.8, preload=5788, diameter=0.375), 3)
    0.16
    """
    return torque / (preload * diameter)


def preload_at_edge(*, factor: float, torque: float, nut_factor: float, diameter: float) -> float:
    """One edge of the preload band, factor times T / (K d); units as `preload`. Source: NASA TM-106943 eq 14, 16.

    >>> preload_at_edge(factor=1.25, torque=1800, nut_factor=0.2, diameter=0.625)
    18000.0
    """
    return factor * preload(torque=torque, nut_factor=nut_factor, diameter=diameter)


def least_factor(*, spread: float, relaxation: float) -> float:
    """Share of the nominal preload that is left at the least, (1 - u) / (1 + r).

    Args:
        spread: u, scatter of the tightening as a share, [-].
        relaxation: r, settling as a share of the least preload, [-].

    Source: NASA TM-106943 eq 15, Fmin = (1 - u) F - r Fmin, solved for Fmin.

    >>> round(least_factor(spread=0.25, relaxation=0.05), 3)
    0.714
    """
    if spread >= 1:
        raise NotComputable("a spread of 100 % or more leaves no preload", "give the spread as a share, such as 0.25")
    return (1 - spread) / (1 + relaxation)


def standard_deviation(*, data: Sequence[float]) -> float:
    """Standard deviation of a sample (n - 1), in the unit of the data.

    >>> standard_deviation(data=(1.0, 2.0, 3.0))
    1.0
    """
    if len(data) < 2:
        raise NotComputable("one measurement has no scatter", "give two or more, with / between")
    return stdev(data)


def stress(*, force: float, area: float) -> float:
    """Tension in the stress area, F / A: [MPa] from N and mm2, [ksi] from kip and in2.

    >>> round(stress(force=25, area=0.373), 2)
    67.02
    """
    return force / area


def elastic_angle_deg(
    *, pitch_mm: float, preload_n: float, bolt_compliance_mm_per_n: float, joint_compliance_mm_per_n: float
) -> float:
    """Turn beyond snug that gives a preload, 360 / P * F * (db + dj), [degrees].

    Args:
        pitch_mm: P, [mm].
        preload_n: F, [N].
        bolt_compliance_mm_per_n: db, how much the bolt stretches for each newton, [mm/N].
        joint_compliance_mm_per_n: dj, how much the joint is pressed together, [mm/N].

    Valid for: elastic range, from snug on; not for yield-tightened bolts or soft gaskets.
    Source: geometry of the helix with Hooke's law.

    >>> turn = dict(bolt_compliance_mm_per_n=8e-6, joint_compliance_mm_per_n=2e-6)
    >>> round(elastic_angle_deg(pitch_mm=1.25, preload_n=30000, **turn), 1)
    86.4
    """
    return 360 / pitch_mm * preload_n * (bolt_compliance_mm_per_n + joint_compliance_mm_per_n)


def strange_nut_factor(*, nut_factor: float) -> tuple[str, ...]:
    """A word where K is outside all that was read: 0.10 to 0.50, source zipfastener.com/engineering-data."""
    if 0.10 <= nut_factor <= 0.50:
        return ()
    return (f"K = {nut_factor:g} is far from the 0.10 to 0.50 that tests of threads give; check it",)


def refuse_unless_positive(**inputs: float) -> None:
    """Refuse inputs that have to be more than zero; all of them are named.

    Raises:
        NotComputable: one or more are zero, negative or no number.
    """
    wrong = [f"{name.replace('_', ' ')} is {value:g}" for name, value in inputs.items() if not value > 0]
    if wrong:
        raise NotComputable(", ".join(wrong), "each has to be more than zero")


def usual_band(*, torque: float, nut_factor: float, diameter: float) -> Band:
    """Least and most preload by torque control, 0.714 to 1.25 times nominal (NASA TM-106943 eq 14, 16)."""
    nominal = preload(torque=torque, nut_factor=nut_factor, diameter=diameter)
    least = least_factor(spread=SPREAD_OF_TORQUE, relaxation=RELAXATION)
    return (least * nominal, (1 + SPREAD_OF_TORQUE) * nominal)


def _warn_torque(*, nut_factor: float, **_: float) -> tuple[str, ...]:
    scatter = "this torque gives that preload only within about ±25 %"
    return (NO_SPECIFICATION, scatter, *strange_nut_factor(nut_factor=nut_factor))


def _warn_preload(*, nut_factor: float, **_: float) -> tuple[str, ...]:
    return ("read the band, not the figure", *strange_nut_factor(nut_factor=nut_factor))


_K = Input(name="K", to="nut_factor", what="nut factor", above=0)
_T = Input(name="T", to="torque", what="torque", unit="force x length", above=0)
_F = Input(name="F", to="preload", what="preload", unit="force", above=0)
_D = Input(name="d", to="diameter", what="nominal thread diameter", unit="length, as in the torque", above=0)
_FREE = "elastic range, thread that runs freely, turned element stated; not with a prevailing torque"

FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="torque_K",
        what="torque for a preload, T = K F d",
        inputs=(_K, _F, _D),
        unit="as given: force x length (N and mm: N·mm)",
        work=torque,
        source="Shigley 9th ed. eq 8-27",
        valid=_FREE,
        warn=_warn_torque,
    ),
    Formula(
        name="preload_K",
        what="preload behind a torque, F = T / (K d)",
        inputs=(_T, _K, _D),
        unit="as given: force (N·mm and mm: N)",
        work=preload,
        source=f"Shigley 9th ed. eq 8-27; band {NASA}",
        valid=_FREE,
        band=usual_band,
        warn=_warn_preload,
    ),
    Formula(
        name="K_from",
        what="nut factor from a test, K = T / (F d)",
        inputs=(_T, _F, _D),
        unit="-",
        work=nut_factor_from_test,
        source="Shigley 9th ed. eq 8-27, solved for K",
        valid="the tested pair of surfaces; K is a test result, no property of the lubricant",
    ),
    Formula(
        name="preload_band",
        what="edge of the preload band, factor T / (K d)",
        inputs=(Input(name="factor", to="factor", what="1.25 for the most, 0.714 for the least", above=0), _T, _K, _D),
        unit="as given: force (N·mm and mm: N)",
        work=preload_at_edge,
        source=NASA,
        valid=_FREE + "; torque control by hand",
    ),
    Formula(
        name="band_factor",
        what="share of the nominal preload left at the least, (1 - u) / (1 + relax)",
        inputs=(
            Input(name="u", to="spread", what="scatter of the tightening as a share", least=0),
            Input(name="relax", to="relaxation", what="settling as a share of the least preload", least=0, usual=0.05),
        ),
        unit="-",
        work=least_factor,
        source=NASA,
        valid="spread below 1; no loss by heat",
    ),
    Formula(
        name="stdev",
        what="standard deviation of measured preloads, n - 1",
        inputs=(Input(name="data", to="data", what="measurements", unit="any", kind=Kind.NUMBERS),),
        unit="as given",
        work=standard_deviation,
        source="statistics: sample standard deviation; Shigley 9th ed. Tables 8-13, 8-14",
        valid="two or more measurements of one kind",
    ),
    Formula(
        name="stress",
        what="tension in the stress area, F / A",
        inputs=(
            Input(name="F", to="force", what="force", unit="force", least=0),
            Input(name="A", to="area", what="stress area", unit="area", above=0),
        ),
        unit="as given: force / area (N and mm2: MPa)",
        work=stress,
        source="definition of stress; Shigley 9th ed. Example 8-3",
        valid="tension alone, without the twist of tightening",
    ),
    Formula(
        name="torque_angle",
        what="turn beyond snug for a preload, 360 / P F (db + dj)",
        inputs=(
            Input(name="P", to="pitch_mm", what="pitch", unit="mm", above=0),
            Input(name="F", to="preload_n", what="preload", unit="N", least=0),
            Input(name="db", to="bolt_compliance_mm_per_n", what="stretch of the bolt", unit="mm/N", least=0),
            Input(name="dj", to="joint_compliance_mm_per_n", what="give of the joint", unit="mm/N", least=0),
        ),
        unit="deg",
        work=elastic_angle_deg,
        source="geometry of the helix with Hooke's law",
        valid="elastic range, from snug on; not for yield-tightened bolts",
        warn=lambda **_: (NO_SPECIFICATION, "never add an angle to a bolt that is at its final tightness"),
    ),
)

_GUIDE = "textbook guide value; anti-seize K spreads 0.11-0.18 among sources"
_WIKI = "uwmidsun wiki diffpages 3515678722"


def _nut_factor_row(condition: str, nut_factor: float) -> Row:
    keys = {"condition": condition}
    about = f"torque factor K: {condition}"
    return Row(about=about, keys=keys, value=nut_factor, unit="-", source=SHIGLEY, seen="seen", note=_GUIDE)


def _scatter_row(about: str, method: str, value: float | Band, unit: str, source: str) -> Row:
    return Row(about=about, keys={"method": method}, value=value, unit=unit, source=source, seen="seen")


TABLES: tuple[Row, ...] = (
    _nut_factor_row("nonplated black", 0.3),
    _nut_factor_row("zinc plated", 0.2),
    _nut_factor_row("lubricated", 0.18),
    _nut_factor_row("cadmium plated", 0.16),
    _nut_factor_row("proprietary anti-seize", 0.12),
    _scatter_row("preload scatter torque wrench, lower (±%)", "torque wrench, lower", 17, "%", _TR),
    _scatter_row("preload scatter torque wrench, upper (±%)", "torque wrench, upper", 23, "%", _TR),
    _scatter_row("preload scatter yield controlled, lower (±%)", "yield controlled, lower", 5, "%", _TR),
    _scatter_row("preload scatter yield controlled, upper (±%)", "yield controlled, upper", 12, "%", _TR),
    _scatter_row("preload scatter precision power driver, lower (±%)", "precision power driver, lower", 26, "%", _TR),
    _scatter_row("preload scatter precision power driver, upper (±%)", "precision power driver, upper", 43, "%", _TR),
    _scatter_row("preload accuracy: torque method", "torque", 25, "±%", _WIKI),
    _scatter_row("preload accuracy: turn of nut", "turn", 15, "±%", _WIKI),
    *(
        _scatter_row(f"preload accuracy: {one.method}", one.method, one.share * 100, "±%", one.source)
        for one in SCATTERS
    ),
)
