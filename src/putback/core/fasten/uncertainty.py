"""One idea: what a tightness is worth is told from its parts: each a standard uncertainty, added as squares.

Source: JCGM 100:2008 (GUM), 4.3.7 for a rectangular distribution, 5.1.2 for independent parts, 6.2.1 for the
expanded uncertainty (clause numbers from memory).
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from putback.core.fasten.answer import Formula, Input, Kind, NotComputable, Row

COVERAGE = 2.0
"""k = 2: about 95 of 100 values lie within, for a normal distribution (GUM, G.6.6, from memory)."""

_GUM = "GUM (JCGM 100:2008)"


def percent(*, part: float, whole: float) -> float:
    """How many per cent one value is of another, [%].

    Args:
        part: the value, in any unit.
        whole: what it is compared with, in the same unit; not zero.

    Valid for: two values of the same kind in the same unit.
    Source: arithmetic.

    >>> percent(part=20, whole=100)
    20.0
    """
    return part / whole * 100


def rectangular(*, half_width: float) -> float:
    """Standard uncertainty of a value that lies anywhere within plus or minus a half-width, in its unit.

    Args:
        half_width: a, half of the whole width, at least 0.

    Valid for: limits without anything known about what lies between them, such as a tolerance or a scale division.
    Source: GUM 4.3.7, u = a / sqrt(3).

    >>> round(rectangular(half_width=4), 3)
    2.309
    """
    return half_width / math.sqrt(3)


def combined(*, parts: Sequence[float]) -> float:
    """Standard uncertainty of a sum of independent parts, in their unit.

    Args:
        parts: standard uncertainties in one unit, each at least 0.

    Valid for: independent parts, each with the same weight (one per cent of it is one per cent of the result).
    Source: GUM 5.1.2, u = sqrt(sum u_i^2).

    >>> combined(parts=(3.0, 4.0))
    5.0
    """
    return math.hypot(*parts)


def expanded(*, parts: Sequence[float], coverage_factor: float = COVERAGE) -> float:
    """Expanded uncertainty U = k u of independent parts, in their unit.

    Args:
        parts: standard uncertainties in one unit, each at least 0.
        coverage_factor: k, [-].

    Valid for: as `combined`; k = 2 stands for about 95 % where no single part that is rectangular outweighs the rest.
    Source: GUM 6.2.1.

    >>> expanded(parts=(3.0, 4.0))
    10.0
    """
    return coverage_factor * combined(parts=parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncertainty:
    """Standard uncertainties in per cent of the torque at the fastener, by what they come from.

    `left_out` names what was not counted because nothing is known about it.
    """

    parts_percent: Mapping[str, float]
    left_out: tuple[str, ...] = ()

    @property
    def standard_percent(self) -> float:
        """u, [%]."""
        return combined(parts=tuple(self.parts_percent.values()))

    @property
    def expanded_percent(self) -> float:
        """U = 2 u, [%]."""
        return expanded(parts=tuple(self.parts_percent.values()))


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthErrors:
    """By how much the lengths and the angle may be wrong, plus or minus; None: nothing is known about it."""

    adapter_mm: float | None = None
    grip_mm: float | None = None
    angle_deg: float | None = None


NOT_KNOWN = LengthErrors()


def adapter_parts(
    *, grip_length_mm: float, adapter_length_mm: float, angle_deg: float, errors: LengthErrors
) -> Uncertainty:
    """What wrong lengths and a wrong angle do to the torque at the fastener, as standard uncertainties in per cent.

    The torque there is Ts (L + E cos a) / L at a setting Ts; its derivative by each of L, E and a gives the weight.

    Args:
        grip_length_mm: L, from the middle of the grip to the drive, [mm], above 0.
        adapter_length_mm: E, from the drive to the fastener, [mm], at least 0.
        angle_deg: a, between wrench and adapter, [degrees].
        errors: half-widths, [mm] and [degrees]; taken as rectangular.

    Raises:
        NotComputable: the adapter takes the whole lever away.

    Valid for: errors that are small beside the lengths (first derivative only).
    Source: GUM 5.1.3 with the lever law; no published table.

    >>> errors = LengthErrors(adapter_mm=1, grip_mm=10, angle_deg=5)
    >>> found = adapter_parts(grip_length_mm=400, adapter_length_mm=50, angle_deg=0, errors=errors)
    >>> {name: round(part, 3) for name, part in found.parts_percent.items()}
    {'adapter length': 0.128, 'grip position': 0.16, 'angle of the adapter': 0.0}
    """
    turn = math.radians(angle_deg)
    lever_mm = grip_length_mm + adapter_length_mm * math.cos(turn)
    if lever_mm <= 0:
        raise NotComputable("the adapter takes the whole lever away", "turn the adapter, or use another one")
    along, across = adapter_length_mm * math.cos(turn), adapter_length_mm * math.sin(turn)
    weighed = {
        "adapter length": (errors.adapter_mm, abs(math.cos(turn)) / lever_mm),
        "grip position": (errors.grip_mm, abs(along) / (grip_length_mm * lever_mm)),
        "angle of the adapter": (
            None if errors.angle_deg is None else math.radians(errors.angle_deg),
            abs(across) / lever_mm,
        ),
    }
    known = {
        name: 100 * weight * rectangular(half_width=half)
        for name, (half, weight) in weighed.items()
        if half is not None
    }
    return Uncertainty(
        parts_percent=MappingProxyType(known), left_out=tuple(name for name in weighed if name not in known)
    )


_PARTS = Input(name="u", to="parts", what="standard uncertainties", unit="(one unit)", kind=Kind.NUMBERS, least=0)

FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="pct",
        what="how many per cent one value is of another",
        inputs=(
            Input(name="part", to="part", what="the value", unit="(any unit)"),
            Input(name="whole", to="whole", what="what it is compared with", unit="(unit of part)", above=0),
        ),
        unit="%",
        work=percent,
        source="arithmetic",
        valid="two values of one kind in one unit",
    ),
    Formula(
        name="rect",
        what="standard uncertainty of a tolerance or a scale division",
        inputs=(
            Input(name="half_width", to="half_width", what="half of the whole width", unit="(any unit)", least=0),
        ),
        unit="as given (%)",
        work=rectangular,
        source=f"{_GUM}, 4.3.7: a / sqrt(3)",
        valid="limits without anything known about what lies between them",
    ),
    Formula(
        name="rss",
        what="combined standard uncertainty",
        inputs=(_PARTS,),
        unit="as given (%)",
        work=combined,
        source=f"{_GUM}, 5.1.2: root of the sum of squares",
        valid="independent parts in one unit, each with the same weight",
    ),
    Formula(
        name="rss_k",
        what="expanded uncertainty",
        inputs=(_PARTS, Input(name="k", to="coverage_factor", what="coverage factor", above=0, usual=COVERAGE)),
        unit="as given (%)",
        work=expanded,
        source=f"{_GUM}, 6.2.1: U = k u",
        valid="as rss; k = 2 stands for about 95 % where no single rectangular part outweighs the rest",
    ),
)

TABLES: tuple[Row, ...] = ()
