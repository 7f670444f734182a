"""Gasketed threads: printed rows; torque or angle, never both; dry; the maker's value before any guide."""

from itertools import product

import pytest

from core.fasten.asked import ask, look, looked_up, rows_of
from core.fasten.rows import PrintedRow
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.seat import FORMULAS, TABLES, By, Gasket, Seat, tighten_seat
from putback.core.quantity import Torque

MAKER = Torque(value=22.0, unit="N·m")


@pytest.mark.parametrize("row", rows_of(FORMULAS), ids=lambda row: row.id)
def test_printed_rows(row: PrintedRow) -> None:
    answer = ask(FORMULAS, row.formula, **row.inputs)
    assert row.agrees(answer.value), row
    assert "never both" in answer.warnings[-1]


@pytest.mark.parametrize("row", looked_up("spark_plug"), ids=lambda row: row.id)
def test_printed_rows_of_the_table(row: PrintedRow) -> None:
    line = look(TABLES, row)
    assert row.agrees(line.value), row
    assert line.unit == row.unit


def test_turns_are_those_of_the_printed_rows() -> None:
    # rows SP-012 to SP-015: new gasket 180° to 270°, used 30°, conical 22.5°
    cases = [
        (Seat.GASKET, Gasket.NEW, 180, 270),
        (Seat.GASKET, Gasket.USED, 30, 30),
        (Seat.CONICAL, Gasket.NONE, 22.5, 22.5),
    ]
    for seat, gasket, low, high in cases:
        told = tighten_seat(seat=seat, gasket=gasket, by=By.ANGLE)
        assert (told.low, told.high) == pytest.approx((low, high), abs=0.01)
        assert not told.by_maker


def test_a_guide_never_calls_itself_the_value() -> None:
    told = tighten_seat(seat=Seat.GASKET, gasket=Gasket.NEW, by=By.TORQUE, thread="m14", head="Aluminium")
    assert told.says == "value needed from the engine maker; general guide, no specification: 18 to 21.6 lbf·ft"


def test_the_maker_s_value_wins_over_the_guide() -> None:
    told = tighten_seat(
        seat=Seat.GASKET,
        gasket=Gasket.NEW,
        by=By.TORQUE,
        thread="M14",
        head="aluminium",
        maker_torque=MAKER,
        maker_source="maker, page 12",
    )
    assert told.says == "22 N·m, the maker's value (maker, page 12)"


def test_a_used_gasket_is_warned_of() -> None:
    told = tighten_seat(
        seat=Seat.GASKET, gasket=Gasket.USED, by=By.TORQUE, maker_torque=MAKER, maker_source="maker, page 12"
    )
    assert "used gasket" in told.warnings[-1]


REFUSED = [
    ({"maker_torque": MAKER, "maker_angle_deg": 90.0, "maker_source": "x"}, "both given"),
    ({"maker_torque": Torque(value=12, unit="N·m", angles_deg=(90.0,)), "maker_source": "x"}, "both given"),
    ({"maker_angle_deg": 90.0, "maker_source": "x"}, "gives the angle"),
    ({"maker_torque": MAKER, "maker_source": "x", "by": By.ANGLE}, "gives the torque"),
    ({"maker_torque": MAKER}, "no source"),
    ({"gasket": Gasket.NONE}, "gasket is missing"),
    ({"seat": Seat.CONICAL}, "has no gasket"),
    ({"lubricated": True}, "dry threads"),
    ({"thread": "M18"}, "no guide"),
    ({"thread": "M10", "head": "cast iron"}, "no guide"),
]


@pytest.mark.parametrize(("change", "why"), REFUSED)
def test_refusals(change: dict[str, object], why: str) -> None:
    usual = {"seat": Seat.GASKET, "gasket": Gasket.NEW, "by": By.TORQUE, "thread": "M14", "head": "aluminium"}
    with pytest.raises(NotComputable, match=why):
        tighten_seat(**(usual | change))  # type: ignore[arg-type]


def test_a_lubricant_only_where_the_maker_asks_for_it() -> None:
    # row SP-016: not allowed by default (plug maker)
    told = tighten_seat(
        seat=Seat.GASKET,
        gasket=Gasket.NEW,
        by=By.TORQUE,
        maker_torque=MAKER,
        maker_source="maker, page 12",
        lubricated=True,
        maker_allows_lubricant=True,
    )
    assert told.by_maker


@pytest.mark.parametrize(("seat", "gasket", "by"), list(product(Seat, Gasket, By)))
def test_seat_and_gasket_belong_together(seat: Seat, gasket: Gasket, by: By) -> None:
    if (seat is Seat.CONICAL) is not (gasket is Gasket.NONE):
        with pytest.raises(NotComputable, match="gasket"):
            tighten_seat(seat=seat, gasket=gasket, by=by, thread="M14", head="aluminium")
        return
    told = tighten_seat(seat=seat, gasket=gasket, by=by, thread="M14", head="aluminium")
    assert told.by is by
    assert told.low <= told.high
