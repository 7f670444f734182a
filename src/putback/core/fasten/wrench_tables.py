"""One idea: the published figures on torque wrenches stand here as rows, each with its source."""

from putback.core.fasten.answer import Row
from putback.core.fasten.wrench import SMALL_TOOL_NM, TOLERANCES_PERCENT

_MANUAL = 'manuzoid.com torque tool manual ch.1 "Review of ISO 6789" (type II class A)'
_GEARBOX = "gearbox manual BA 5060 table 7"
_TOPS_NM = (2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 110, 120, 150, 200, 210, 220, 250, 300)
_MORE_TOPS_NM = (320, 340, 350, 400, 500, 550, 600, 750, 800, 850, 1000, 1500, 2000, 3000)


def _deviation(top_nm: float) -> Row:
    small, large = TOLERANCES_PERCENT["II-A"]
    is_small = top_nm <= SMALL_TOOL_NM
    return Row(
        about=f"max permissible deviation, tool max {'<=' if is_small else '>'} 10 N·m",
        keys={"tool_max": f"{top_nm:g}"},
        value=small if is_small else large,
        unit="%",
        source=_MANUAL,
        seen="seen",
        note="type II class A; the tool's own certificate wins",
    )


def _point(percent: int) -> Row:
    return Row(
        about=f"calibration point {percent} %",
        keys={"point": str(percent)},
        value=float(percent),
        unit="% of max",
        source=f"{_MANUAL}; utmetrology.com",
        seen="seen",
    )


def _scatter(name: str, what: str, percent: float) -> Row:
    return Row(
        about=f"class {name} {what}",
        keys={"class": name},
        value=percent,
        unit="%",
        source=f"{_GEARBOX}",
        seen="seen",
        note="classes of tightening of that manual, not of ISO 6789",
    )


TABLES: tuple[Row, ...] = (
    *(_deviation(top) for top in (*_TOPS_NM, *_MORE_TOPS_NM)),
    *(_point(percent) for percent in (20, 60, 100)),
    Row(
        about="pre-loads at maximum before calibration",
        keys={"type": "II"},
        value=5.0,
        unit="count",
        source=f"{_MANUAL}; scsconcept.com ISO 6789:2003",
        seen="seen",
    ),
    Row(
        about="calibration device uncertainty limit",
        keys={"type": "device"},
        value=1.0,
        unit="%",
        source=f"{_MANUAL}; scsconcept.com",
        seen="seen",
    ),
    _scatter("C", "tool scatter, torque wrench, upper", 10.0),
    _scatter("D", "tool scatter, upper", 20.0),
    _scatter("E", "(impact wrench / unmeasured) scatter, upper", 50.0),
)
