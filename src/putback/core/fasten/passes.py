"""One idea: a joint of many fasteners is brought up in passes; the source's own passes win over what is usual.

A pass is a torque and an order. The usual three passes with a check round are common practice, and are called so.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from putback.core.fasten.answer import NotComputable, Row
from putback.core.fasten.layout import MAKER_WINS, PRACTICE
from putback.core.quantity import Torque

USUAL_PERCENT = (30.0, 60.0, 100.0)

OWN = "passes as the source gives them"
"""Said of passes that were not made here."""

CHECK_ROUND = "check round: once round the joint at the full torque, again until no fastener moves"
RANGE = "each pass is a setting of its own: look whether the wrench's range holds it"

_PAGES = "hswhite.com; gasketsandsealing.com; henniggasket.com; mj-anchor.com"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pass:
    """One pass over all fasteners: `order` are places from 0, `torque` is in the source's own unit.

    `check` is true for the round at the end in which nothing should move any more.
    """

    number: int
    percent: float
    torque: Torque
    order: tuple[int, ...]
    check: bool = False

    @property
    def text(self) -> str:
        """The pass in words.

        >>> Pass(number=1, percent=30, torque=Torque(value=12, unit="N·m"), order=(0, 2, 1, 3)).text
        'pass 1: 12 N·m (30 %), 1-3-2-4'
        """
        way = "-".join(str(at + 1) for at in self.order)
        name = "check round" if self.check else f"pass {self.number}"
        return f"{name}: {self.torque} ({self.percent:g} %), {way}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Passes:
    """All passes of a joint, where they are from, and what to beware of."""

    passes: tuple[Pass, ...]
    source: str
    warnings: tuple[str, ...]


def passes(*, torque: Torque, order: Sequence[int], own_percent: Sequence[float] = ()) -> Passes:
    """The passes to a torque.

    Args:
        torque: the full torque as its source gives it, without angles.
        order: the places in the order of tightening, from 0.
        own_percent: the passes of the source itself, [% of the full torque]; empty: it gives none.

    Returns:
        The source's own passes as they are; else 30, 60 and 100 % and a check round, named common practice. One
        fastener alone needs no passes.

    Raises:
        NotComputable: the torque has angles, there is no fastener, or the source's passes are not between 0 and
            100 %, fall, or end below 100 %.

    >>> told = passes(torque=Torque(value=40.0, unit="N·m"), order=(0, 2, 1, 3))
    >>> [one.torque.value for one in told.passes], told.source  # the last is the check round
    ([12.0, 24.0, 40.0, 40.0], 'common practice, no source')
    """
    if torque.angles_deg:
        raise NotComputable(
            f"{torque} ends with an angle, and percent of an angle means nothing",
            "follow the maker's own steps: snug torque first, then each angle",
        )
    _refuse_order(order)
    if own_percent:
        _refuse_percent(own_percent)
        return Passes(passes=_made(torque, order, own_percent), source=OWN, warnings=(RANGE,))
    if len(order) == 1:
        return Passes(passes=_made(torque, order, (100.0,)), source=PRACTICE, warnings=(RANGE, MAKER_WINS))
    usual = _made(torque, order, USUAL_PERCENT)
    round_ = Pass(number=len(usual) + 1, percent=100.0, torque=torque, order=tuple(sorted(order)), check=True)
    return Passes(passes=(*usual, round_), source=PRACTICE, warnings=(CHECK_ROUND, RANGE, MAKER_WINS))


def loosening(order: Sequence[int]) -> tuple[int, ...]:
    """The order of loosening: tightening in reverse. Source: common practice, no source.

    >>> loosening((0, 2, 1, 3))
    (3, 1, 2, 0)
    """
    return tuple(reversed(order))


def share(torque: Torque, percent: float) -> Torque:
    """A share of a torque in its own unit; noise of the last digits is dropped.

    >>> str(share(Torque(value=18, unit="lbf·ft"), 30))
    '5.4 lbf·ft'
    """
    value = torque.value if percent == 100 else min(torque.value, float(f"{torque.value * percent / 100:.12g}"))
    return Torque(value=value, unit=torque.unit)


def _made(torque: Torque, order: Sequence[int], percents: Sequence[float]) -> tuple[Pass, ...]:
    return tuple(
        Pass(number=number, percent=percent, torque=share(torque, percent), order=tuple(order))
        for number, percent in enumerate(percents, start=1)
    )


def _refuse_order(order: Sequence[int]) -> None:
    if not order or sorted(order) != list(range(len(order))):
        raise NotComputable("the order does not name each fastener once", "give every place once, from 0")


def _refuse_percent(percents: Sequence[float]) -> None:
    told = ", ".join(f"{percent:g}" for percent in percents)
    if not all(0 < percent <= 100 for percent in percents):
        raise NotComputable(f"passes of {told} % are not between 0 and 100", "compare them with the source")
    if any(later < before for before, later in pairwise(percents)):
        raise NotComputable(
            f"passes of {told} % fall: no pass is below the one before", "compare them with the source"
        )
    if percents[-1] != 100:
        raise NotComputable(f"passes of {told} % end below the full torque", "compare them with the source")


def _row(number: int, about: str, value: float | tuple[float, float], source: str, seen: str, note: str = "") -> Row:
    return Row(about=about, keys={"pass": str(number)}, value=value, unit="%", source=source, seen=seen, note=note)


_OTHER = "some texts say 30, 70 and 100 %; the maker's own passes win"

TABLES: tuple[Row, ...] = (
    *(
        _row(number, f"pass {number} torque fraction", percent, _PAGES, "seen", _OTHER)
        for number, percent in enumerate(USUAL_PERCENT, start=1)
    ),
    _row(
        4,
        "final circumferential check pass at",
        100.0,
        "henniggasket.com; hswhite.com (repeat until no nut moves)",
        "seen",
        CHECK_ROUND,
    ),
    _row(1, "PCC-1 pass 1 band", (20.0, 30.0), "ASME PCC-1", "from memory"),
    _row(2, "PCC-1 pass 2 band", (50.0, 70.0), "ASME PCC-1", "from memory"),
)
