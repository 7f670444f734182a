"""One idea: what holds a joint is the preload, and a torque tells it only within a band, or not at all.

Built on the short form in `preload.py`; `vdi.py` does the same with pitch and friction. Where the preload cannot be
known (yield control, prevailing torque, unknown coating, damage, unidentified fastener) the answer is a refusal.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType

from putback.core.fasten.answer import Band, NotComputable
from putback.core.fasten.preload import (
    NASA,
    NO_SPECIFICATION,
    RELAXATION,
    Scatter,
    least_factor,
    preload,
    refuse_unless_positive,
    strange_nut_factor,
)
from putback.core.fasten.vdi import KELLERMANN_KLEIN, arms_mm

BREAKS = (
    "even the least preload is above the least breaking load: before that the bolt breaks; read figure and unit again"
)


class Doubt(Enum):
    """What makes a preload unknowable from a torque."""

    YIELD = "it is tightened to yield or by an angle"
    PREVAILING = "it has a prevailing torque (locking nut, patch or insert) of unknown size"
    COATING = "its coating or lubricant is not known"
    DAMAGED = "the fastener or the thread is damaged"
    UNIDENTIFIED = "the fastener is not identified (thread, strength class)"


MENDS: Mapping[Doubt, str] = MappingProxyType(
    {
        Doubt.YIELD: "follow the maker's torque and angle steps",
        Doubt.PREVAILING: "ask the maker whether the published torque includes it, and measure it on the free run",
        Doubt.COATING: "find out what is on the thread, or clean it and take the maker's value",
        Doubt.DAMAGED: "renew the fastener or repair the thread first",
        Doubt.UNIDENTIFIED: "read thread and head mark, or fit the maker's part",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PreloadBand:
    """A preload with the band in which it may lie, [N], its source and what to beware of."""

    nominal_n: float
    low_n: float
    high_n: float
    source: str
    warnings: tuple[str, ...] = (NO_SPECIFICATION,)

    @property
    def band_n(self) -> Band:
        """From the least to the most preload, [N]."""
        return (self.low_n, self.high_n)


def refuse_doubts(doubts: Collection[Doubt]) -> None:
    """Refuse a preload for a fastener of which it cannot be known.

    Raises:
        NotComputable: at least one doubt; all of them are named.
    """
    if doubts:
        told = [doubt for doubt in Doubt if doubt in doubts]
        why = "no preload can be given: " + ", and ".join(doubt.value for doubt in told)
        raise NotComputable(why, "; ".join(MENDS[doubt] for doubt in told))


def preload_from_nut_factor(
    *,
    torque_nm: float,
    diameter_mm: float,
    nut_factor: float,
    scatter: Scatter,
    doubts: Collection[Doubt] = (),
) -> PreloadBand:
    """The preload behind a torque by the short form, as a band.

    Args:
        torque_nm: T, the torque on the turned element, [N·m].
        diameter_mm: d, nominal thread diameter, [mm].
        nut_factor: K, [-], from a test of the same surfaces or a textbook row.
        scatter: how far the preload lies from T / (K d) with this manner of tightening.
        doubts: what makes the preload unknowable.

    Returns:
        Nominal T / (K d); the least also after 5 % of settling.

    Raises:
        NotComputable: there is a doubt, or an input is not positive.

    Valid for: elastic range, thread that runs freely. Source: T = K d F; band after NASA TM-106943 eq 12-16.

    >>> from putback.core.fasten.preload import scatter_of
    >>> wrench = scatter_of("torque wrench")
    >>> band = preload_from_nut_factor(torque_nm=45, diameter_mm=10, nut_factor=0.2, scatter=wrench)
    >>> round(band.low_n), round(band.nominal_n), round(band.high_n)
    (16071, 22500, 28125)
    """
    refuse_doubts(doubts)
    refuse_unless_positive(torque=torque_nm, diameter=diameter_mm, nut_factor=nut_factor)
    nominal_n = preload(torque=torque_nm * 1000, nut_factor=nut_factor, diameter=diameter_mm)
    return PreloadBand(
        nominal_n=nominal_n,
        low_n=nominal_n * least_factor(spread=scatter.share, relaxation=RELAXATION),
        high_n=nominal_n * (1 + scatter.share),
        source=f"T = K d F with K = {nut_factor:g}; ±{scatter.share:.0%} ({scatter.source}); 5 % settling ({NASA})",
        warnings=(NO_SPECIFICATION, *strange_nut_factor(nut_factor=nut_factor)),
    )


def share_of_proof(
    *, preload_band: PreloadBand, proof_load_n: float, breaking_load_n: float | None = None
) -> tuple[Band, tuple[str, ...]]:
    """How much of the proof load the preload takes up, least and most, and what to beware of.

    Args:
        preload_band: the preload, [N].
        proof_load_n: what the bolt bears without staying longer, [N].
        breaking_load_n: the least load at which it breaks, [N]; None: not known.

    >>> some = PreloadBand(nominal_n=22500, low_n=16000, high_n=28000, source="example")
    >>> share_of_proof(preload_band=some, proof_load_n=33700)[1]
    ()
    """
    refuse_unless_positive(proof_load=proof_load_n)
    low, high = preload_band.low_n / proof_load_n, preload_band.high_n / proof_load_n
    if breaking_load_n is not None and preload_band.low_n > breaking_load_n:
        return (low, high), (BREAKS,)
    if low > 1:
        return (low, high), ("even the least preload is above the proof load: the bolt is stretched for good",)
    if high > 1:
        return (low, high), ("the most preload is above the proof load: the bolt may be stretched for good",)
    return (low, high), ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FrictionJoint:
    """What a bolt turns in and on: thread and bearing face, [mm], and friction as least and most, [-]."""

    diameter_mm: float
    pitch_mm: float
    bearing_outer_mm: float
    hole_mm: float
    thread_friction: Band
    head_friction: Band
    friction_source: str


def preload_from_friction(
    *, torque_nm: float, joint: FrictionJoint, torque_share: float = 0.0, doubts: Collection[Doubt] = ()
) -> PreloadBand:
    """The preload behind a torque by pitch, thread and head friction, as a band.

    Args:
        torque_nm: MA, the torque on the turned head or nut, [N·m].
        joint: thread, bearing face and the friction band.
        torque_share: how far the torque itself may be off, as a share, such as 0.04 for a wrench of ±4 %.
        doubts: what makes the preload unknowable.

    Returns:
        Nominal at the middle of both friction bands; least with the most friction and the least torque.

    Raises:
        NotComputable: there is a doubt, an input is not positive, a band is upside down, or the torque's own share
            is 1 or more.

    Valid for: elastic range, 60° threads, turned element with a flat ring face. Source: Kellermann-Klein / VDI 2230.

    >>> joint = FrictionJoint(
    ...     diameter_mm=8, pitch_mm=1.25, bearing_outer_mm=11.63, hole_mm=9,
    ...     thread_friction=(0.10, 0.14), head_friction=(0.10, 0.14), friction_source="example",
    ... )
    >>> band = preload_from_friction(torque_nm=24.5, joint=joint, torque_share=0.04)
    >>> round(band.low_n, -2), round(band.nominal_n, -2), round(band.high_n, -2)
    (15700.0, 18600.0, 22600.0)
    """
    refuse_doubts(doubts)
    refuse_unless_positive(torque=torque_nm, diameter=joint.diameter_mm, pitch=joint.pitch_mm)
    if not 0 <= torque_share < 1:
        raise NotComputable(f"a torque that may be off by {torque_share:.0%} says nothing", "give it as 0.04 for ±4 %")
    low, middle, high = (_arm_mm(joint=joint, share=share) for share in (1.0, 0.5, 0.0))
    return PreloadBand(
        nominal_n=torque_nm * 1000 / middle,
        low_n=torque_nm * (1 - torque_share) * 1000 / low,
        high_n=torque_nm * (1 + torque_share) * 1000 / high,
        source=f"{KELLERMANN_KLEIN}; friction: {joint.friction_source}; torque ±{torque_share:.0%}",
        warnings=(NO_SPECIFICATION, "the band holds friction and torque, not settling, heat or prevailing torque"),
    )


def torque_shares(*, joint: FrictionJoint) -> Mapping[str, float]:
    """Where the torque goes at the middle of the friction bands: pitch (which clamps), thread, head, [% of it]."""
    arms = _arms_mm(joint=joint, share=0.5)
    return MappingProxyType({part: 100 * arm / sum(arms.values()) for part, arm in arms.items()})


def _arm_mm(*, joint: FrictionJoint, share: float) -> float:
    return sum(_arms_mm(joint=joint, share=share).values())


def _arms_mm(*, joint: FrictionJoint, share: float) -> Mapping[str, float]:
    return arms_mm(
        diameter_mm=joint.diameter_mm,
        pitch_mm=joint.pitch_mm,
        thread_friction=_within(joint.thread_friction, share=share, what="thread friction"),
        head_friction=_within(joint.head_friction, share=share, what="head friction"),
        bearing_outer_mm=joint.bearing_outer_mm,
        hole_mm=joint.hole_mm,
    )


def _within(band: Band, *, share: float, what: str) -> float:
    low, high = band
    if not 0 <= low <= high:
        raise NotComputable(f"{what} from {low:g} to {high:g} is no band", "give the least first, zero or more")
    return low + share * (high - low)
