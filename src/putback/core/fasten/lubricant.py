"""One idea: a published torque belongs to one state of the thread; in another state it gives another preload.

At the same torque the preload goes with K1 / K2. Both are bands, so the change is a band, and it is told as a
warning. A torque made smaller for a lubricant is never given: published reductions run from 10 % to 55 % and
contradict each other. Ask the maker, or clean the threads.

Sources: zipfastener.com/engineering-data (nut factors as ranges, seen); Shigley 9th ed. Table 8-15 (seen);
mechanicsupport.com/bolt_torque.html and securitylocknut.com (tests with anti-seize, seen).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from putback.core.fasten.answer import Band, Formula, Input, NotComputable, Row
from putback.core.fasten.clamp import PreloadBand
from putback.core.fasten.preload import NO_SPECIFICATION, preload, refuse_unless_positive

NEVER_REDUCED = "no reduced torque is given: ask the maker for this state, or clean the threads to what it is for"


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """What is on thread and bearing face, with the least and the most nut factor that was read for it, [-]."""

    name: str
    least: float
    most: float
    source: str

    @property
    def middle(self) -> float:
        """The middle of the band, [-]; a place to draw a mark, no better known than the edges."""
        return (self.least + self.most) / 2


_RANGES = "zipfastener.com/engineering-data, nut factor ranges"
_ANTI_SEIZE = "mechanicsupport.com 0.11, Shigley 9th ed. Table 8-15 0.12, securitylocknut.com up to 0.18"

SURFACES: Sequence[Surface] = (
    Surface(name="dry steel", least=0.18, most=0.27, source=_RANGES),
    Surface(name="machine oil", least=0.10, most=0.26, source=_RANGES),
    Surface(name="cadmium plated", least=0.15, most=0.19, source=_RANGES),
    Surface(name="phosphate and oil", least=0.15, most=0.22, source=_RANGES),
    Surface(name="zinc plated", least=0.17, most=0.35, source=_RANGES),
    Surface(name="stainless on stainless", least=0.30, most=0.50, source=_RANGES),
    Surface(name="anti-seize", least=0.11, most=0.18, source=_ANTI_SEIZE),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LubricantEffect:
    """What another state of the thread does to the preload at the same torque, [% more; less where negative]."""

    low_percent: float
    middle_percent: float
    high_percent: float
    source: str
    warnings: tuple[str, ...]

    @property
    def band_percent(self) -> Band:
        """From the least to the most change, [%]."""
        return (self.low_percent, self.high_percent)


def surface(name: str) -> Surface:
    """What was read of a state of the thread.

    Raises:
        NotComputable: nothing was read of it, such as of dirt, rust or an unknown paste.

    >>> surface("anti-seize").least
    0.11
    """
    for known in SURFACES:
        if known.name == name.strip().casefold():
            return known
    names = ", ".join(known.name for known in SURFACES)
    raise NotComputable(f"no nut factor was read for {name!r}", f"clean the thread, or choose one of {names}")


def lubricant_effect(*, published_for: Surface, found: Surface) -> LubricantEffect:
    """What it does to the preload to keep a published torque on a thread in another state.

    Args:
        published_for: the state that the published torque is for.
        found: the state of the thread at hand.

    Valid for: elastic range, thread that runs freely. Source: T = K d F at the same torque, F2 / F1 = K1 / K2.

    >>> effect = lubricant_effect(published_for=surface("dry steel"), found=surface("anti-seize"))
    >>> round(effect.low_percent), round(effect.high_percent)
    (0, 145)
    """
    low = gain_percent(published_nut_factor=published_for.least, found_nut_factor=found.most)
    high = gain_percent(published_nut_factor=published_for.most, found_nut_factor=found.least)
    return LubricantEffect(
        low_percent=low,
        middle_percent=gain_percent(published_nut_factor=published_for.middle, found_nut_factor=found.middle),
        high_percent=high,
        source=f"F2/F1 = K1/K2; {published_for.name}: {published_for.source}; {found.name}: {found.source}",
        warnings=tuple(_told(published_for=published_for, found=found, low=low, high=high)),
    )


def preload_as_found(
    *, torque_nm: float, diameter_mm: float, found: Surface, torque_share: float = 0.0
) -> PreloadBand:
    """The preload that a torque gives on a thread in the state at hand, as a band.

    Args:
        torque_nm: the torque on the turned element, [N·m].
        diameter_mm: nominal thread diameter, [mm].
        found: the state of the thread at hand.
        torque_share: how far the torque itself may be off, as a share, such as 0.04.

    Raises:
        NotComputable: an input is not positive, or the torque's share is not from 0 to 1.

    >>> band = preload_as_found(torque_nm=24, diameter_mm=8, found=surface("anti-seize"))
    >>> round(band.low_n), round(band.high_n)
    (16667, 27273)
    """
    refuse_unless_positive(torque=torque_nm, diameter=diameter_mm)
    if not 0 <= torque_share < 1:
        raise NotComputable(f"a torque that may be off by {torque_share:.0%} says nothing", "give it as 0.04 for ±4 %")
    least, nominal, most = (
        preload(torque=torque_nm * share * 1000, nut_factor=k, diameter=diameter_mm)
        for share, k in ((1 - torque_share, found.most), (1.0, found.middle), (1 + torque_share, found.least))
    )
    return PreloadBand(
        nominal_n=nominal,
        low_n=least,
        high_n=most,
        source=f"T = K d F with K = {found.least:g} to {found.most:g} ({found.name}: {found.source})",
        warnings=(NO_SPECIFICATION, "the published torque may be for another state of the thread"),
    )


def gain_percent(*, published_nut_factor: float, found_nut_factor: float) -> float:
    """How much more preload the same torque gives, (K1 / K2 - 1) 100, [%]. Source: T = K d F.

    >>> round(gain_percent(published_nut_factor=0.20, found_nut_factor=0.15), 1)
    33.3
    """
    return (published_nut_factor / found_nut_factor - 1) * 100


def times(*, value: float, factor: float) -> float:
    """A published value times a published factor, [as the value]; for checking what a page says, no more.

    >>> times(value=45, factor=0.75)
    33.75
    """
    return value * factor


def _told(*, published_for: Surface, found: Surface, low: float, high: float) -> Iterable[str]:
    if published_for.name == found.name:
        yield f"the state is the one the torque is for; {found.name} alone leaves this much open"
        return
    yield f"the torque is for {published_for.name}, the thread is {found.name}"
    yield f"at the same torque the preload changes by {low:+.0f} to {high:+.0f} %"
    if high > 0:
        yield "too much preload stretches the bolt, strips the thread or crushes the part"
    if low < 0:
        yield "too little preload lets the joint work loose"
    yield NEVER_REDUCED


def _warn_gain(*, published_nut_factor: float, found_nut_factor: float) -> tuple[str, ...]:
    both = "K is a test result and spreads; read this as one point of a band"
    if found_nut_factor == published_nut_factor:
        return (both,)
    return (both, NEVER_REDUCED)


def _warn_times(**_: float) -> tuple[str, ...]:
    return ("arithmetic only, " + NO_SPECIFICATION, NEVER_REDUCED)


FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="lub_gain",
        what="how much more preload the same torque gives, (K_dry / K_lub - 1) 100",
        inputs=(
            Input(name="K_dry", to="published_nut_factor", what="nut factor the torque is for", above=0),
            Input(name="K_lub", to="found_nut_factor", what="nut factor of the thread at hand", above=0),
        ),
        unit="%",
        work=gain_percent,
        source="T = K d F at the same torque, F2/F1 = K1/K2",
        valid="elastic range, thread that runs freely; both K from tests",
        warn=_warn_gain,
    ),
    Formula(
        name="scaled",
        what="a published value times a published factor",
        inputs=(
            Input(name="x", to="value", what="published value", unit="any", least=0),
            Input(name="factor", to="factor", what="published factor", least=0),
        ),
        unit="as given: x",
        work=times,
        source="arithmetic",
        valid="checking what a page says; never for working out a torque to use",
        warn=_warn_times,
    ),
)

_ARMY = "US Army TM 9-6115-604-34 table 1-2 notes (dieselgenerators.tpub.com)"
_ARMY_NOTE = "only when no specific torque is given; 2 diameters engagement in aluminium"


def _reduction(condition: str, percent: float) -> Row:
    return Row(
        about=f"torque reduction, general table: {condition}",
        keys={"condition": condition},
        value=percent,
        unit="%",
        source=_ARMY,
        seen="seen",
        note=f"{_ARMY_NOTE}; context, no specification",
    )


def _range(one: Surface) -> Row:
    return Row(
        about=f"nut factor K, least and most read: {one.name}",
        keys={"surface": one.name},
        value=(one.least, one.most),
        unit="-",
        source=one.source,
        seen="seen",
        note="a test of the same pair of surfaces wins",
    )


TABLES: tuple[Row, ...] = (
    _reduction("engine oil", 10),
    _reduction("new plated capscrew", 20),
    _reduction("threaded into aluminium (or more)", 30),
    Row(
        about="spark-plug anti-seize torque error, plug maker (up to)",
        keys={"case": "spark plug"},
        value=20,
        unit="%",
        source="jalopnik.com 2088034 quoting a plug maker",
        seen="seen",
        note="other pages: 20-30 % (engineerfix.com), 35 % (a club newsletter); they contradict each other",
    ),
    *(_range(one) for one in SURFACES),
)
