"""One idea: what a capacitor ought to do is information; what it does is measured.

R and C are printed values, a bleed resistor may be open, and the battery's side of the contactors never discharges.
So no time computed here is a wait, and no figure here stands for a measured one. The maker's wait wins. Work on
high voltage is for people who are trained and appointed for it.
"""

import math
from dataclasses import dataclass

from putback.core.fasten.answer import Formula, Input, NotComputable, Row

DC_LIMIT_V = 60.0
"""Above it a direct voltage counts as high voltage; ISO 6469-4:2015, 5.2.2 (excerpt seen)."""

AC_LIMIT_V = 30.0
"""The same for an alternating voltage, r.m.s."""

NEVER_A_WAIT = "information only, never a wait: the maker's wait counts, then measure; a bleed resistor may be open"
MEASURE = "measured values count; prove the meter before and after on a known live source"

_RC = "V = V0 exp(-t / (R C)); seen at infoneva.com, amk-motion.com"
_TE = "0.5 C (V^2 - 3600), UN R94/R95/R100 (from memory)"


def discharge_time_s(*, resistance_ohm: float, capacitance_f: float, start_v: float, target_v: float) -> float:
    """Time in which a capacitor falls from one voltage to another, [s]. Never a wait.

    Args:
        resistance_ohm: R of the discharge path, [ohm].
        capacitance_f: C, [F].
        start_v: V0, [V].
        target_v: V, [V], above 0 and not above V0.

    Raises:
        NotComputable: the wanted voltage is above the first.

    Valid for: one ideal capacitor over one whole resistor, with nothing feeding it.
    Source: t = R C ln(V0 / V); amk-motion.com, discharging circuit.

    >>> round(discharge_time_s(resistance_ohm=150e3, capacitance_f=300e-6, start_v=600, target_v=50), 2)
    111.82
    """
    return resistance_ohm * capacitance_f * _log_ratio(start_v, target_v)


def voltage_after_v(*, resistance_ohm: float, capacitance_f: float, start_v: float, time_s: float) -> float:
    """Voltage that is left on a capacitor after some time, [V].

    Args:
        resistance_ohm: R of the discharge path, [ohm].
        capacitance_f: C, [F].
        start_v: V0, [V].
        time_s: t, [s].

    Valid for: one ideal capacitor over one whole resistor, with nothing feeding it.
    Source: V = V0 exp(-t / (R C)).

    >>> round(voltage_after_v(resistance_ohm=100e3, capacitance_f=1e-3, start_v=400, time_s=300), 2)
    19.91
    """
    return start_v * math.exp(-time_s / (resistance_ohm * capacitance_f))


def largest_resistance_ohm(*, time_s: float, capacitance_f: float, start_v: float, target_v: float) -> float:
    """Largest resistance that takes a capacitor from one voltage to another in some time, [ohm].

    Args:
        time_s: t, [s].
        capacitance_f: C, [F].
        start_v: V0, [V].
        target_v: V, [V], above 0 and below V0.

    Raises:
        NotComputable: the wanted voltage is not below the first.

    Valid for: one ideal capacitor over one resistor; no word on the power the resistor must bear.
    Source: R = t / (C ln(V0 / V)).

    >>> round(largest_resistance_ohm(time_s=2, capacitance_f=600e-6, start_v=450, target_v=60))
    1654
    """
    ratio = _log_ratio(start_v, target_v)
    if ratio == 0:
        raise NotComputable("nothing has to be discharged", "give a wanted voltage below the first")
    return time_s / (capacitance_f * ratio)


def _log_ratio(start_v: float, target_v: float) -> float:
    if target_v > start_v:
        raise NotComputable("the wanted voltage is above the first", "a capacitor only falls by itself; check both")
    return math.log(start_v / target_v)


def stored_energy_j(*, capacitance_f: float, voltage_v: float) -> float:
    """Energy in a capacitor, [J].

    Args:
        capacitance_f: C, [F].
        voltage_v: V, [V].

    Valid for: an ideal capacitor.
    Source: E = C V^2 / 2.

    >>> stored_energy_j(capacitance_f=1e-3, voltage_v=400)
    80.0
    """
    return 0.5 * capacitance_f * voltage_v**2


def energy_above_limit_j(*, capacitance_f: float, voltage_v: float) -> float:
    """Energy in a capacitor above what it holds at 60 V, as the regulations count it, [J].

    Args:
        capacitance_f: Cx, [F].
        voltage_v: Vb, [V], at least 60.

    Raises:
        NotComputable: below 60 V.

    Valid for: direct voltage from 60 V up.
    Source: TE = 0.5 Cx (Vb^2 - 3600), UN R94/R95/R100 (from memory).

    >>> round(energy_above_limit_j(capacitance_f=2e-6, voltage_v=400), 4)
    0.1564
    """
    return 0.5 * capacitance_f * _above_limit(voltage_v)


def largest_capacitance_f(*, energy_j: float, voltage_v: float) -> float:
    """Largest capacitance that holds no more than some energy above 60 V, [F].

    Args:
        energy_j: E, [J].
        voltage_v: V, [V], above 60.

    Raises:
        NotComputable: 60 V or less.

    Valid for: direct voltage above 60 V.
    Source: C = 2 E / (V^2 - 3600), UN R94/R95/R100 (from memory).

    >>> round(largest_capacitance_f(energy_j=0.2, voltage_v=400) * 1e6, 4)
    2.5575
    """
    above = _above_limit(voltage_v)
    if above == 0:
        raise NotComputable("at 60 V any capacitance holds nothing above the limit", "give a voltage above 60 V")
    return 2 * energy_j / above


def _above_limit(voltage_v: float) -> float:
    if voltage_v < DC_LIMIT_V:
        raise NotComputable("the formula counts from 60 V", "below that use the stored energy, C V^2 / 2")
    return voltage_v**2 - DC_LIMIT_V**2


@dataclass(frozen=True, slots=True, kw_only=True)
class Discharge:
    """What a capacitor ought to do; no wait. `wait_minutes` is the maker's, None: value needed."""

    time_s: float
    target_v: float
    energy_j: float
    wait_minutes: float | None
    wait_source: str | None
    left_after_wait_v: float | None
    warnings: tuple[str, ...]
    source: str = _RC

    @property
    def wait_says(self) -> str:
        """The wait in words: the maker's, or that it is needed; the computed time is never in it."""
        if self.wait_minutes is None:
            return "wait: value needed, from the maker's publication; then measure"
        return f"wait: {self.wait_minutes:g} min ({self.wait_source}); then measure"


def discharge(
    *,
    resistance_ohm: float,
    capacitance_f: float,
    start_v: float,
    target_v: float = DC_LIMIT_V,
    wait_minutes: float | None = None,
    wait_source: str | None = None,
) -> Discharge:
    """What a capacitor ought to do over its bleed resistor, beside the maker's own wait.

    Args:
        resistance_ohm: bleed resistor, [ohm], above 0.
        capacitance_f: [F], above 0.
        start_v: [V], above 0.
        target_v: [V], above 0.
        wait_minutes: the maker's wait, [min]; None: not known.
        wait_source: where that wait is published; without it the wait is not shown.

    Raises:
        NotComputable: the wanted voltage is above the first.

    >>> discharge(resistance_ohm=150e3, capacitance_f=300e-6, start_v=600).wait_says
    "wait: value needed, from the maker's publication; then measure"
    """
    sourced = wait_minutes if wait_source and wait_source.strip() else None
    time_s = discharge_time_s(
        resistance_ohm=resistance_ohm, capacitance_f=capacitance_f, start_v=start_v, target_v=target_v
    )
    left_v = None
    warnings = [NEVER_A_WAIT, MEASURE]
    if wait_minutes is not None and sourced is None:
        warnings.append("the maker's wait has no source, so it is not shown: name the publication")
    if sourced is not None:
        seconds = sourced * 60
        left_v = voltage_after_v(
            resistance_ohm=resistance_ohm, capacitance_f=capacitance_f, start_v=start_v, time_s=seconds
        )
        if left_v > target_v:
            warnings.append("by these values the maker's wait would not be enough: check R and C; measure in any case")
    return Discharge(
        time_s=time_s,
        target_v=target_v,
        energy_j=stored_energy_j(capacitance_f=capacitance_f, voltage_v=start_v),
        wait_minutes=sourced,
        wait_source=wait_source if sourced is not None else None,
        left_after_wait_v=left_v,
        warnings=tuple(warnings),
    )


def _wait_warning(**_: float) -> tuple[str, ...]:
    return (NEVER_A_WAIT, MEASURE)


_C = Input(name="C", to="capacitance_f", what="capacitance", unit="F", above=0)
_R = Input(name="R", to="resistance_ohm", what="resistance of the discharge path", unit="ohm", above=0)
_V0 = Input(name="V0", to="start_v", what="voltage at the start", unit="V", above=0)
_V = Input(name="V", to="target_v", what="voltage wanted", unit="V", above=0)
_T = Input(name="t", to="time_s", what="time", unit="s", least=0)
_ACROSS = Input(name="V", to="voltage_v", what="voltage across it", unit="V", above=0)
_E = Input(name="E", to="energy_j", what="energy", unit="J", above=0)
_ONE_RC = "one ideal capacitor over one whole resistor, with nothing feeding it; information only"

FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="rc_time",
        what="time of a discharge, never a wait",
        inputs=(_R, _C, _V0, _V),
        unit="s",
        work=discharge_time_s,
        source=_RC,
        valid=_ONE_RC,
        warn=_wait_warning,
    ),
    Formula(
        name="rc_volt",
        what="voltage left on a capacitor",
        inputs=(_R, _C, _V0, _T),
        unit="V",
        work=voltage_after_v,
        source=_RC,
        valid=_ONE_RC,
        warn=_wait_warning,
    ),
    Formula(
        name="rc_R",
        what="largest resistance for a discharge in some time",
        inputs=(_T, _C, _V0, _V),
        unit="ohm",
        work=largest_resistance_ohm,
        source=_RC,
        valid=_ONE_RC + "; no word on the power the resistor must bear",
        warn=_wait_warning,
    ),
    Formula(
        name="cap_energy",
        what="energy stored in a capacitor",
        inputs=(_C, _ACROSS),
        unit="J",
        work=stored_energy_j,
        source="E = C V^2 / 2; seen at infoneva.com",
        valid="an ideal capacitor",
        warn=_wait_warning,
    ),
    Formula(
        name="cap_TE",
        what="energy above what is held at 60 V",
        inputs=(_C, _ACROSS),
        unit="J",
        work=energy_above_limit_j,
        source=_TE,
        valid="direct voltage from 60 V up",
        warn=_wait_warning,
    ),
    Formula(
        name="cap_max",
        what="largest capacitance for some energy above 60 V",
        inputs=(_E, _ACROSS),
        unit="F",
        work=largest_capacitance_f,
        source=_TE,
        valid="direct voltage above 60 V",
        warn=_wait_warning,
    ),
)


def _row(about: str, keys: dict[str, str], value: float, unit: str, source: str, seen: str, note: str = "") -> Row:
    return Row(about=about, keys=keys, value=value, unit=unit, source=source, seen=seen, note=note)


_ISO4 = "ISO 6469-4:2015 5.2.2/5.2.3 excerpt (standards-download.mealir.com)"
_FMVSS = "FMVSS 305 final-rule summary (mdrang.80port.net)"
_ISO3 = "ISO 6469-3"

TABLES: tuple[Row, ...] = (
    _row("low-energy limit", {"case": "contact"}, 0.2, "J", _ISO4, "seen"),
    _row(
        "hazard threshold DC",
        {"current": "dc"},
        DC_LIMIT_V,
        "V",
        f"{_ISO4}; copy of the {_FMVSS}: > 60 V DC",
        "seen",
        "above 60 V is high voltage; 60 V itself is not",
    ),
    _row("hazard threshold AC rms", {"current": "ac"}, AC_LIMIT_V, "V", _ISO4, "seen", "above 30 V is high voltage"),
    _row(
        "time limit to reach <=60 V after separating an accessible connector",
        {"case": "connector"},
        1.0,
        "s",
        _FMVSS,
        "seen",
        "a design rule for new vehicles, never a wait",
    ),
    _row(
        "post-crash: limit reached within, after vehicle at rest",
        {"case": "post-crash"},
        5.0,
        "s",
        _ISO4,
        "seen",
        "or 10 s after impact if at rest within 5 s; a design rule for new vehicles, never a wait",
    ),
    _row("voltage class B upper bound DC", {"current": "dc"}, 1500.0, "V", _ISO3, "from memory"),
    _row("voltage class B upper bound AC", {"current": "ac"}, 1000.0, "V", _ISO3, "from memory"),
)
