"""One idea: an isolation resistance is measured, and compared with the maker's limit or else with a floor per volt.

The floor is that of a type approval: a figure above it is no proof of health. A bus that is read for it is live:
work for people who are trained and appointed for it.
"""

from dataclasses import dataclass

from putback.core.fasten.answer import Formula, Input, NotComputable, Row
from putback.core.fasten.electrical import MEASURE

FLOOR_ONLY = "the floor of a type approval, no proof of health; the maker's limit wins"

_RI = "Ri = Ro Vb (1/V1' - 1/V1), UN R100; seen at consautoregs.com indic=121300"
_R100 = "UN R100 5.1.3 text at lawinsider.com clause/isolation-resistance"
_LIVE = "a steady live bus, read by appointed people with a meter of 10 Mohm or more"


def least_isolation_ohm(*, ohm_per_volt: float, voltage_v: float) -> float:
    """Least isolation resistance by a figure per volt, [ohm].

    Args:
        ohm_per_volt: from the table for the kind of bus, [ohm/V].
        voltage_v: working voltage, [V].

    Valid for: type approval of the whole vehicle; the maker's own limit wins.
    Source: UN R100, 5.1.3.

    >>> least_isolation_ohm(ohm_per_volt=500, voltage_v=360)
    180000
    """
    return ohm_per_volt * voltage_v


def isolation_ohm(*, known_ohm: float, bus_v: float, larger_v: float, with_known_v: float) -> float:
    """Isolation resistance by two readings, one with a known resistor to the body, [ohm].

    Args:
        known_ohm: Ro, the resistor that was put in between the side of V1 and the body, [ohm].
        bus_v: Vb, across the bus, [V].
        larger_v: V1, from the side with the larger voltage to the body, without Ro, [V].
        with_known_v: V1', the same with Ro, [V]; smaller than V1.

    Raises:
        NotComputable: V1 is above the whole bus, or did not fall with the resistor in.

    Valid for: a meter of at least 10 Mohm, a bus that is live and steady: for people who are appointed for that.
    Source: Ri = Ro Vb (1/V1' - 1/V1), UN R100 annex.

    >>> round(isolation_ohm(known_ohm=40e3, bus_v=400, larger_v=240, with_known_v=34.2857142857))
    400000
    """
    if larger_v > bus_v:
        raise NotComputable("one side is above the whole bus", "the bus was not steady: measure again")
    _fell(larger_v, with_known_v)
    return known_ohm * bus_v * (1 / with_known_v - 1 / larger_v)


def isolation_two_sides_ohm(*, known_ohm: float, larger_v: float, other_v: float, with_known_v: float) -> float:
    """Isolation resistance in the older form with both sides read, [ohm].

    Args:
        known_ohm: Ro, [ohm].
        larger_v: V1, the larger side to the body, without Ro, [V].
        other_v: V2, the other side to the body, without Ro, [V].
        with_known_v: V1', the larger side with Ro, [V].

    Raises:
        NotComputable: V2 is above V1, or V1 did not fall with the resistor in.

    Valid for: as `isolation_ohm`; the same where Vb = V1 + V2.
    Source: Ri = Ro (1 + V2/V1) (V1 - V1') / V1' (from memory).

    >>> round(isolation_two_sides_ohm(known_ohm=40e3, larger_v=240, other_v=160, with_known_v=34.2857142857))
    400000
    """
    if other_v > larger_v * (1 + 1e-9):
        raise NotComputable("V1 is not the larger side of the bus", "swap the two sides")
    _fell(larger_v, with_known_v)
    return known_ohm * (1 + other_v / larger_v) * (larger_v - with_known_v) / with_known_v


def _fell(before_v: float, after_v: float) -> None:
    if after_v >= before_v:
        raise NotComputable(
            "the voltage did not fall with the known resistor in", "check its connection and measure again"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Isolation:
    """A measured isolation resistance beside what is asked. `asked_ohm` is the maker's limit where there is one."""

    measured_ohm: float
    floor_ohm: float
    asked_ohm: float
    source: str
    warnings: tuple[str, ...]

    @property
    def is_below(self) -> bool:
        """Whether the measured value is below what is asked."""
        return self.measured_ohm < self.asked_ohm

    @property
    def says(self) -> str:
        """One sentence that judges the figure and nothing more."""
        place = "below" if self.is_below else "not below"
        measured, asked = _kilo(self.measured_ohm), _kilo(self.asked_ohm)
        return f"{measured} measured is {place} the {asked} asked ({self.source})"


def _kilo(ohm: float) -> str:
    """A resistance in kiloohms, as the tools read it back."""
    return f"{ohm / 1000:.6g} kohm"


def isolation(
    *,
    measured_ohm: float,
    voltage_v: float,
    ohm_per_volt: float,
    maker_limit_ohm: float | None = None,
    maker_source: str | None = None,
) -> Isolation:
    """Compare a measured isolation resistance with the maker's limit, or else with the floor of the type approval.

    Args:
        measured_ohm: [ohm].
        voltage_v: working voltage, [V].
        ohm_per_volt: from the table for the kind of bus, [ohm/V].
        maker_limit_ohm: the maker's limit, [ohm]; None: not known.
        maker_source: where that limit is published; without it the limit is not used.

    >>> isolation(measured_ohm=150e3, voltage_v=360, ohm_per_volt=500).is_below
    True
    """
    floor = least_isolation_ohm(ohm_per_volt=ohm_per_volt, voltage_v=voltage_v)
    maker = maker_limit_ohm if maker_source and maker_source.strip() else None
    warnings = [FLOOR_ONLY, MEASURE]
    if maker_limit_ohm is not None and maker is None:
        warnings.append("the maker's limit has no source, so it is not used: name the publication")
    if maker is not None and maker < floor:
        warnings.append(f"the maker's limit is lower than the {_kilo(floor)} of the type approval: ask the maker")
    return Isolation(
        measured_ohm=measured_ohm,
        floor_ohm=floor,
        asked_ohm=floor if maker is None else maker,
        source=f"UN R100, 5.1.3: {ohm_per_volt:g} ohm/V" if maker is None else str(maker_source),
        warnings=tuple(warnings),
    )


def _floor_warning(*, bus_v: float = 0, larger_v: float = 0, **_: float) -> tuple[str, ...]:
    told: tuple[str, ...] = (FLOOR_ONLY, MEASURE)
    if larger_v < bus_v / 2:
        told += ("V1 is below half of the bus: take the larger of both sides; if it is, the meter loads the circuit",)
    return told


_RO = Input(name="Ro", to="known_ohm", what="known resistor", unit="ohm", above=0)
_V1 = Input(name="V1", to="larger_v", what="larger side to the body", unit="V", above=0)
_V1P = Input(name="V1p", to="with_known_v", what="the same with the known resistor in", unit="V", above=0)

FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="iso_min",
        what="least isolation resistance by a figure per volt",
        inputs=(
            Input(name="ohm_per_volt", to="ohm_per_volt", what="figure for the kind of bus", unit="ohm/V", above=0),
            Input(name="V", to="voltage_v", what="working voltage", unit="V", above=0),
        ),
        unit="ohm",
        work=least_isolation_ohm,
        source=_R100,
        valid="type approval of the whole vehicle",
        warn=_floor_warning,
    ),
    Formula(
        name="iso_Ri",
        what="isolation resistance by two readings",
        inputs=(_RO, Input(name="Vb", to="bus_v", what="across the bus", unit="V", above=0), _V1, _V1P),
        unit="ohm",
        work=isolation_ohm,
        source=_RI,
        valid=_LIVE,
        warn=_floor_warning,
    ),
    Formula(
        name="iso_Ri_alt",
        what="isolation resistance, older form with both sides read",
        inputs=(_RO, _V1, Input(name="V2", to="other_v", what="other side to the body", unit="V", least=0), _V1P),
        unit="ohm",
        work=isolation_two_sides_ohm,
        source="Ri = Ro (1 + V2/V1) (V1 - V1') / V1' (from memory)",
        valid=f"{_LIVE}; the same as iso_Ri where Vb = V1 + V2",
        warn=_floor_warning,
    ),
)


def _floor(bus: str, ohm_per_volt: float) -> Row:
    about = f"min isolation resistance: {bus}"
    keys = {"bus": bus}
    return Row(about=about, keys=keys, value=ohm_per_volt, unit="ohm/V", source=_R100, seen="seen", note=FLOOR_ONLY)


def _us(about: str, source: str, ohm_per_volt: float) -> Row:
    seen = "courthousenews.com on the 2010 rule"
    return Row(about=about, keys={"source": source}, value=ohm_per_volt, unit="ohm/V", source=seen, seen="seen")


TABLES: tuple[Row, ...] = (
    _floor("DC bus, galvanically separate", 100.0),
    _floor("AC bus, galvanically separate", 500.0),
    _floor("combined DC+AC bus", 500.0),
    _floor("combined, AC protected by double insulation or robust enclosure", 100.0),
    _us("FMVSS 305: AC/DC high-voltage source", "ac/dc", 500.0),
    _us("FMVSS 305: DC source with continuous monitoring", "dc monitored", 100.0),
    Row(
        about="voltmeter internal resistance, at least",
        keys={"method": "vehicle"},
        value=10.0,
        unit="Mohm",
        source="AIS 156 Annex B / UN R100 text (ininet.org page 26)",
        seen="seen",
    ),
    Row(
        about="megohmmeter test voltage, at least",
        keys={"fraction": "working voltage"},
        value=0.5,
        unit="x Vwork",
        source="UN R100 annex text (lawinsider.com measurement-method)",
        seen="seen",
        note="only on a dead circuit, electronics parted from it as the maker says",
    ),
)
