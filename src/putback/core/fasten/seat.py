"""One idea: a gasketed thread is tightened by torque or by angle, never both, dry, and by the maker's value if any.

Without the maker's value there is only a plug maker's general guide: it is shown as what it is, never as the value
for this engine.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from putback.core.fasten.answer import Band, Formula, Input, NotComputable, Row
from putback.core.quantity import Torque

_GUIDE = "ngksparkplugs.com/en/resources/correctly-install-spark-plugs"
_LUBRICANT = "ngkntk.co.uk installation page"
_GUIDE_NOTE = "a plug maker's general guide, dry and cold; the engine maker's value wins; no specification"
_TURN_NOTE = "only where the maker gives no torque; it depends on the kind of gasket"


class Seat(StrEnum):
    """How the part closes its hole."""

    GASKET = "gasket"
    CONICAL = "conical"


class Gasket(StrEnum):
    """The state of the gasket."""

    NEW = "new"
    USED = "used"
    NONE = "none"


class By(StrEnum):
    """What is measured while tightening."""

    TORQUE = "torque"
    ANGLE = "angle"


GUIDE_LBF_FT: Mapping[tuple[str, str, str], Band] = MappingProxyType(
    {
        ("M14", "gasket", "cast iron"): (18.0, 25.3),
        ("M14", "gasket", "aluminium"): (18.0, 21.6),
        ("M12", "gasket", "cast iron"): (10.8, 18.0),
        ("M12", "gasket", "aluminium"): (10.8, 14.5),
        ("M10", "gasket", "aluminium"): (7.2, 8.7),
        ("M14", "conical", "cast iron"): (10.8, 18.0),
        ("M14", "conical", "aluminium"): (7.2, 14.5),
    }
)
"""A plug maker's general dry torques by thread, seat and head, [lbf·ft]; source: `_GUIDE` (seen)."""

_TURNS: Mapping[tuple[Seat, Gasket], tuple[float, float, str]] = MappingProxyType(
    {
        (Seat.GASKET, Gasket.NEW): (1 / 2, 3 / 4, "ie.gsparkplug.com tightening torque; sparkplugs.co.uk"),
        (Seat.GASKET, Gasket.USED): (1 / 12, 1 / 12, "ngkntk.co.uk tightening torque; sparkplugs.co.uk"),
        (Seat.CONICAL, Gasket.NONE): (1 / 16, 1 / 16, "ie.gsparkplug.com; e3sparkplugs.com; sparkplugs.co.uk"),
    }
)


def turn_deg(*, turns: float) -> float:
    """A part of a turn as an angle, [degrees].

    Args:
        turns: turns past finger-tight, [-].

    Valid for: dry, cold, clean threads; the turn itself comes from the maker of the part, for that gasket.
    Source: a turn is 360°.

    >>> turn_deg(turns=1 / 16)
    22.5
    """
    return turns * 360


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatAnswer:
    """How a gasketed or conical seat is tightened. `by_maker` False: a general guide, context only."""

    by: By
    low: float
    high: float
    unit: str
    by_maker: bool
    source: str
    warnings: tuple[str, ...]

    @property
    def says(self) -> str:
        """One sentence; a guide calls itself one."""
        figure = f"{self.low:g}" if self.low == self.high else f"{self.low:g} to {self.high:g}"
        if self.by_maker:
            return f"{figure} {self.unit}, the maker's value ({self.source})"
        return f"value needed from the engine maker; general guide, no specification: {figure} {self.unit}"


def tighten_seat(
    *,
    seat: Seat,
    gasket: Gasket,
    by: By,
    thread: str = "",
    head: str = "",
    maker_torque: Torque | None = None,
    maker_angle_deg: float | None = None,
    maker_source: str = "",
    lubricated: bool = False,
    maker_allows_lubricant: bool = False,
) -> SeatAnswer:
    """How a spark plug or another gasketed thread is tightened: the maker's value, or else a guide named as such.

    Args:
        seat: gasket or conical.
        gasket: new, used or none; a conical seat has none.
        by: torque or angle.
        thread: nominal thread, such as M14; for the guide's torque only.
        head: cast iron or aluminium; for the guide's torque only.
        maker_torque: the maker's torque.
        maker_angle_deg: the maker's angle past finger-tight, [degrees].
        maker_source: where the maker's value is published.
        lubricated: whether anything was put on the thread.
        maker_allows_lubricant: whether the maker asks for it by name.

    Raises:
        NotComputable: torque and angle at once, a seat and a gasket that do not go together, a lubricant that the
            maker does not ask for, a maker's value without source, or no guide for this.

    >>> tighten_seat(seat=Seat.CONICAL, gasket=Gasket.NONE, by=By.ANGLE).says
    'value needed from the engine maker; general guide, no specification: 22.5 °'
    """
    _refuse(seat, gasket, lubricated and not maker_allows_lubricant)
    if maker_torque is not None and (maker_angle_deg is not None or maker_torque.angles_deg):
        raise NotComputable(
            "torque and angle are both given",
            "use the one that the maker's publication gives for this very part, not both",
        )
    if maker_torque is not None or maker_angle_deg is not None:
        return _by_maker(by, maker_torque, maker_angle_deg, maker_source.strip(), gasket)
    if by is By.TORQUE:
        return _guide_torque(seat, gasket, thread, head)
    low, high, source = _TURNS[seat, gasket]
    return SeatAnswer(
        by=By.ANGLE,
        low=turn_deg(turns=low),
        high=turn_deg(turns=high),
        unit="°",
        by_maker=False,
        source=source,
        warnings=(f"counted from finger-tight: {_TURN_NOTE}", _THREAD_STATE),
    )


_THREAD_STATE = "dry, cold, clean thread; start it by hand for several turns"


def _refuse(seat: Seat, gasket: Gasket, oiled: bool) -> None:
    if seat is Seat.CONICAL and gasket is not Gasket.NONE:
        raise NotComputable("a conical seat has no gasket", "take the gasket off, or check which seat the part has")
    if seat is Seat.GASKET and gasket is Gasket.NONE:
        raise NotComputable("the gasket is missing", "fit the gasket that belongs to the part")
    if oiled:
        raise NotComputable(
            "something is on the thread, and figures are for dry threads",
            "clean it, unless the maker asks for that very lubricant by name",
        )


def _by_maker(by: By, torque: Torque | None, angle_deg: float | None, source: str, gasket: Gasket) -> SeatAnswer:
    if not source:
        raise NotComputable("the maker's value has no source", "name the publication and its page")
    if (by is By.TORQUE) != (torque is not None):
        other = By.TORQUE if torque is not None else By.ANGLE
        raise NotComputable(f"the maker gives the {other}", f"tighten by {other}, and not by {by}")
    value, unit = (torque.value, torque.unit) if torque is not None else (angle_deg or 0.0, "°")
    warnings = [_THREAD_STATE]
    if gasket is Gasket.USED:
        warnings.append("a used gasket is already pressed flat: the maker's value is most often for a new one; ask")
    return SeatAnswer(by=by, low=value, high=value, unit=unit, by_maker=True, source=source, warnings=tuple(warnings))


def _guide_torque(seat: Seat, gasket: Gasket, thread: str, head: str) -> SeatAnswer:
    found = GUIDE_LBF_FT.get((thread.strip().upper(), seat.value, head.strip().lower()))
    if found is None:
        raise NotComputable(
            f"no guide for {thread or 'an unknown thread'}, {seat} seat, {head or 'an unknown head'}",
            "value needed, from the engine maker",
        )
    warnings = [_GUIDE_NOTE, _THREAD_STATE]
    if gasket is Gasket.USED:
        warnings.append("the guide is for a new gasket: for a used one fit a new one, or ask the maker")
    return SeatAnswer(
        by=By.TORQUE,
        low=found[0],
        high=found[1],
        unit="lbf·ft",
        by_maker=False,
        source=_GUIDE,
        warnings=tuple(warnings),
    )


FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="turn_deg",
        what="turns past finger-tight as an angle",
        inputs=(Input(name="turns", to="turns", what="turns past finger-tight", least=0),),
        unit="deg",
        work=turn_deg,
        source="a turn is 360°",
        valid="dry, cold, clean threads; the turn comes from the part's maker, for that gasket",
        warn=lambda **_: (_TURN_NOTE, "torque or angle, never both"),
    ),
)


def _guide_rows() -> Iterator[Row]:
    words = {"gasket": "gasket seat", "conical": "conical seat"}
    for (thread, seat, head), band in GUIDE_LBF_FT.items():
        yield Row(
            about=f"general dry torque {thread} {words[seat]}, {head} head",
            keys={"thread": thread, "seat": seat, "head": head},
            value=band,
            unit="lbf*ft",
            source=_GUIDE,
            seen="seen",
            note=_GUIDE_NOTE,
        )


TABLES: tuple[Row, ...] = (
    *_guide_rows(),
    Row(
        about="lubricant on spark-plug threads allowed by default",
        keys={"default": "1"},
        value=False,
        unit="bool",
        source=_LUBRICANT,
        seen="seen",
        note="plug maker: no thread lubricant, torque charts become wrong",
    ),
)
