"""One idea: a bolt's proof load is its stress area times the proof strength of its head mark; without a mark, none.

Metric: ISO 898-1, M1.6 to M39 coarse, M8x1 to M39x3 fine. Inch: SAE J429, 1/4 to 1-1/2. Room temperature; clean,
undamaged, marked steel fasteners. Printed load tables carry three figures and are sometimes rounded down.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import TypeAlias

from putback.core.fasten.answer import Formula, Input, NotComputable, Row
from putback.core.fasten.designation import METRIC_SYSTEM, Designation
from putback.core.fasten.thread import MM_PER_INCH, geometry

ISO = "ISO 898-1"
SAE = "SAE J429"
SHIGLEY = "Shigley 9th ed. Table 8-11 p.435; Analysis and Design of Machine Elements p.77 Table 3.2"
MST = "web.mst.edu/jthomas fasteners property reference (Shigley & Mischke 5th ed. p.341)"
VIBROMERA = "vibromera.eu bolt-strength-class-iso898; optimas ISO metric thread proof loads (EN ISO 898-1)"
FROM_MEMORY = "from memory"
MPA_PER_KSI = 0.45359237 * 9.80665 * 1000 / MM_PER_INCH**2
LEAST_FINE_MM = 8
HIGHEST_NUT_FACTOR, LOWEST_NUT_FACTOR = 0.30, 0.12
LEAST_SHARE = 0.05

NO_LIMIT = "information, no specification: a load is no torque, and the maker's value wins"
SOUND = "holds for a clean, undamaged fastener with a readable mark only"
REUSE = (
    "0.75 of the proof load is a common target for joints that are taken apart again, 0.90 for permanent ones; "
    "not for fasteners tightened to yield"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Strength:
    """What a property class or grade stands for, [MPa], and for which diameters it does, [mm], both ends included.

    `proof`, `tensile` and `yields` are as printed, in `unit`; `sizes` is the range as printed.
    """

    name: str
    sizes: str
    least_mm: float
    most_mm: float
    proof: float
    tensile: float
    yields: float
    unit: str
    seen: frozenset[str] = frozenset()

    @property
    def metric(self) -> bool:
        """Whether it is a class of ISO 898-1."""
        return self.unit == "MPa"

    @property
    def source(self) -> str:
        """The standard behind it."""
        return ISO if self.metric else SAE

    def mpa(self, printed: float) -> float:
        """A printed strength, [MPa]."""
        return printed if self.metric else printed * MPA_PER_KSI

    @property
    def proof_mpa(self) -> float:
        """Least proof strength Sp, [MPa]."""
        return self.mpa(self.proof)

    @property
    def tensile_mpa(self) -> float:
        """Least tensile strength Rm, [MPa]."""
        return self.mpa(self.tensile)

    @property
    def yield_mpa(self) -> float:
        """Least yield strength ReL, Rp0.2 or Rpf, [MPa]."""
        return self.mpa(self.yields)


TO_M16, ABOVE_M16 = "to M16", "M16-M36"
Sizes: TypeAlias = tuple[str, float, float]


def _iso(name: str, printed: tuple[float, float, float], seen: tuple[str, ...] = (), *, sizes: str = "") -> Strength:
    """A class of ISO 898-1; printed are proof, tensile and yield strength, [MPa]."""
    proof, tensile, yields = printed
    return Strength(
        name=name,
        sizes=sizes,
        least_mm=16.001 if sizes == ABOVE_M16 else 1.6,
        most_mm=16 if sizes == TO_M16 else 39,
        proof=proof,
        tensile=tensile,
        yields=yields,
        unit="MPa",
        seen=frozenset(seen),
    )


def _sae(grade: str, sizes: Sizes, printed: tuple[float, float, float], seen: tuple[str, ...] = ()) -> Strength:
    """A grade of SAE J429; printed are proof, tensile and yield strength, [ksi]."""
    text, least_in, most_in = sizes
    proof, tensile, yields = printed
    return Strength(
        name=f"SAE {grade}",
        sizes=text,
        least_mm=least_in * MM_PER_INCH,
        most_mm=most_in * MM_PER_INCH,
        proof=proof,
        tensile=tensile,
        yields=yields,
        unit="ksi",
        seen=frozenset(seen),
    )


_WHOLE = ("1/4-1 1/2", 0.25, 1.5)
_TO_1 = ("1/4-1", 0.25, 1.0)
_ABOVE_1 = ("1 1/8-1 1/2", 1.125, 1.5)

STRENGTHS: Sequence[Strength] = (
    _iso("4.6", (225, 400, 240)),
    _iso("4.8", (310, 420, 340)),
    _iso("5.6", (280, 500, 300)),
    _iso("5.8", (380, 520, 420)),
    _iso("6.8", (440, 600, 480)),
    _iso("8.8", (580, 800, 640), ("proof",), sizes=TO_M16),
    _iso("8.8", (600, 830, 660), ("proof", "tensile"), sizes=ABOVE_M16),
    _iso("9.8", (650, 900, 720), ("proof",), sizes=TO_M16),
    _iso("10.9", (830, 1040, 940), ("proof", "yield")),
    _iso("12.9", (970, 1220, 1100), ("tensile", "yield")),
    _sae("1", _WHOLE, (33, 60, 36)),
    _sae("2", ("1/4-3/4", 0.25, 0.75), (55, 74, 57), ("proof",)),
    _sae("2", ("7/8-1 1/2", 0.875, 1.5), (33, 60, 36)),
    _sae("5", _TO_1, (85, 120, 92), ("proof",)),
    _sae("5", _ABOVE_1, (74, 105, 81), ("proof",)),
    _sae("8", _WHOLE, (120, 150, 130), ("proof",)),
)
"""ISO 898-1 and SAE J429; `seen` names the figures that were read on a page, the others are from memory. The change of
class 8.8 lies at M16 in ISO 898-1, M16 itself with the smaller ones; a textbook counts M16 with the larger."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofLoad:
    """What a marked fastener holds, [N], with the area behind it, [mm2]."""

    designation: str
    strength: Strength
    stress_area_mm2: float
    proof_n: float
    ultimate_n: float
    source: str
    warnings: tuple[str, ...] = (NO_LIMIT, SOUND)


def strength_of(*, name: str, diameter_mm: float) -> Strength:
    """The strength of a property class or grade at a diameter.

    Args:
        name: `8.8`, `class 8.8`, `SAE 5`, `grade 5`.
        diameter_mm: nominal thread diameter, [mm].

    Raises:
        NotComputable: no such class, or a diameter for which the standard does not give it.

    >>> strength_of(name="8.8", diameter_mm=10).proof_mpa
    580
    """
    wanted = _plain(name)
    rows = [one for one in STRENGTHS if one.name == wanted]
    if not rows:
        known = ", ".join(dict.fromkeys(one.name for one in STRENGTHS))
        raise NotComputable(
            f"{name!r} is no strength in the tables here", f"read the mark on the head; one of {known}"
        )
    for one in rows:
        if one.least_mm - 1e-6 <= diameter_mm <= one.most_mm + 1e-6:
            return one
    why = f"{wanted} is not given for a diameter of {diameter_mm:g} mm by {rows[0].source}"
    raise NotComputable(why, "check mark and thread")


def _plain(name: str) -> str:
    text = name.strip().casefold()
    grade = re.fullmatch(r"(?:sae\s*(?:j429)?\s*)?(?:grade|gr\.?)\s*(\d)|sae\s*(?:j429\s*)?(\d)", text)
    if grade:
        return f"SAE {grade[1] or grade[2]}"
    return re.sub(r"^(?:property\s+)?class\s*", "", text)


def proof_load(*, designation: Designation, name: str | None) -> ProofLoad:
    """Proof and least breaking load of a fastener, from thread and mark.

    Args:
        designation: the thread, as read.
        name: property class or grade, as `strength_of`; None: the mark is not known.

    Raises:
        NotComputable: no mark is known, a mark that does not go with the thread, or outside the standard's sizes.

    Valid for: ISO 898-1 coarse threads, fine ones from M8; SAE J429 UNC and UNF. Source: ISO 898-1, SAE J429.

    >>> from putback.core.fasten.designation import designation
    >>> round(proof_load(designation=designation("M8"), name="8.8").proof_n, -2)
    21200.0
    """
    if name is None:
        raise NotComputable(
            "no property class or grade is known, so the fastener is not identified", "read the mark on its head"
        )
    strength = strength_of(name=name, diameter_mm=designation.diameter_mm)
    _fits(designation, strength)
    sizes = geometry(designation)
    area = sizes.stress_area_mm2
    return ProofLoad(
        designation=designation.name,
        strength=strength,
        stress_area_mm2=area,
        proof_n=load(area=area, strength=strength.proof_mpa),
        ultimate_n=load(area=area, strength=strength.tensile_mpa),
        source=f"{strength.source}; {sizes.source}",
    )


def proof_load_n(*, designation: Designation, name: str) -> float:
    """The proof load alone, [N]; as `proof_load`."""
    return proof_load(designation=designation, name=name).proof_n


def _fits(designation: Designation, strength: Strength) -> None:
    metric = designation.system == METRIC_SYSTEM
    if metric != strength.metric:
        kind = "metric" if strength.metric else "inch"
        why = f"{strength.name} is a mark of {kind} fasteners and {designation.name} is none"
        raise NotComputable(why, "check thread and mark")
    if metric and not designation.coarse and designation.diameter_mm < LEAST_FINE_MM:
        why = f"{strength.source} does not cover the fine thread {designation.name}"
        raise NotComputable(why, "take the load from the maker of the fastener")


def plausible_nm(designation: Designation) -> tuple[float, float]:
    """Least and most torque that can be meant for a thread, [N·m]: to tell a wrong unit by, no limit for use.

    The most is what brings the strongest class to its proof load with much friction (K 0.30), the least what brings
    the weakest to a twentieth of it with little (K 0.12).

    Raises:
        NotComputable: a thread for which no strengths are known.

    Source: K from Shigley 9th ed. Table 8-15; the twentieth is common practice, no source.

    >>> from putback.core.fasten.designation import designation
    >>> [round(edge, 1) for edge in plausible_nm(designation("M8"))]
    [0.4, 85.2]
    """
    metric = designation.system == METRIC_SYSTEM
    proofs = [
        one.proof_mpa
        for one in STRENGTHS
        if one.metric == metric and one.least_mm - 1e-6 <= designation.diameter_mm <= one.most_mm + 1e-6
    ]
    if not proofs:
        raise NotComputable(f"no strengths are known for {designation.name}", "read the unit in the source again")
    area_mm2, arm_m = geometry(designation).stress_area_mm2, designation.diameter_mm / 1000
    least = LOWEST_NUT_FACTOR * arm_m * load(area=area_mm2, strength=min(proofs)) * LEAST_SHARE
    return least, HIGHEST_NUT_FACTOR * arm_m * load(area=area_mm2, strength=max(proofs))


def load(*, area: float, strength: float) -> float:
    """Load at a strength, F = As S: [N] from mm2 and MPa, [lbf] from in2 and psi.

    Valid for: tension alone, room temperature. Source: ISO 898-1, SAE J429.

    >>> load(area=36.6, strength=580)
    21228.0
    """
    return area * strength


def preload_of_share(*, share: float, area: float, strength: float) -> float:
    """Preload as a share of the load at a strength, F = share As S; units as `load`.

    Valid for: elastic range, share at most 1; clean, undamaged, identified fasteners.
    Source: Shigley 9th ed. section 8-9.

    >>> preload_of_share(share=0.75, area=36.6, strength=600)
    16470.0
    """
    return share * load(area=area, strength=strength)


_AREA = Input(name="As", to="area", what="tensile stress area", unit="area", above=0)
_STRENGTH = Input(name="S", to="strength", what="proof or tensile strength", unit="stress", above=0)
_UNIT = "as given: area x stress (mm2 and MPa: N)"

FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="load",
        what="load at a strength, As S",
        inputs=(_AREA, _STRENGTH),
        unit=_UNIT,
        work=load,
        source="ISO 898-1, SAE J429: stress area times strength",
        valid="tension alone, room temperature; printed tables are rounded to three figures, so up to 0.6 % apart",
        warn=lambda **_: (NO_LIMIT, SOUND),
    ),
    Formula(
        name="preload_frac",
        what="preload as a share of proof or tensile load",
        inputs=(
            Input(name="frac", to="share", what="share, such as 0.75", above=0, most=1),
            _AREA,
            _STRENGTH,
        ),
        unit=_UNIT,
        work=preload_of_share,
        source="Shigley 9th ed. (0.75 Sp At reusable, 0.90 permanent); rule seen at mechcompass.com",
        valid="elastic range; clean, undamaged, identified fasteners; not tightened to yield",
        warn=lambda **_: (NO_LIMIT, SOUND, REUSE),
    ),
)


def _printed(one: Strength) -> Mapping[str, float]:
    return MappingProxyType({"proof": one.proof, "tensile": one.tensile, "yield": one.yields})


def _row(one: Strength, what: str, value: float, about: str, keys: Mapping[str, str]) -> Row:
    seen = what in one.seen
    page = (VIBROMERA if one.sizes == TO_M16 else SHIGLEY) if one.metric else MST
    return Row(
        about=about,
        keys=MappingProxyType(dict(keys)),
        value=value,
        unit=one.unit,
        source=f"{one.source}; {page}" if seen else one.source,
        seen="seen" if seen else FROM_MEMORY,
        note="M16 itself belongs with the smaller sizes in ISO 898-1 (580 MPa)" if one.sizes == ABOVE_M16 else "",
    )


def _rows(one: Strength) -> Iterator[Row]:
    sizes = f" ({one.sizes})" if one.name == "8.8" else ""
    for what, value in _printed(one).items():
        if one.metric:
            about = f"class {one.name}{sizes} minimum {what} strength"
            yield _row(one, what, value, about, {"class": one.name, "property": what})
            continue
        about = f"{one.name.replace('SAE', 'SAE grade')} minimum {what} strength {one.sizes} in"
        yield _row(one, what, value, about, {"class": one.name, "size": one.sizes, "property": what})
        if what == "proof":
            yield _row(one, what, value, about, {"grade": one.name.removeprefix("SAE "), "size": one.sizes})


TABLES: tuple[Row, ...] = tuple(row for one in STRENGTHS for row in _rows(one))
