"""Rules of reach, each with jobs in which it fires and jobs in which it stays silent."""

import pytest

from core.small import Case, Hands, check, item, job, joint, small_car, way
from putback.core.car import Action
from putback.core.operations import Verb
from putback.core.rules.reach import reached_while_blocked, way_not_named

CAR = small_car(
    item("cover"),
    item("fan", ("cover",)),
    item("tray"),
    item("pump", ("fan",), joint("j-pump", 1, ways=(way("above", "cover"), way("below", "tray")))),
    item("housing"),
    item("gasket", ("housing",), action=Action.RENEW),
    item("plate", ("gasket",)),
    item("filter", ("housing",), action=Action.RENEW),
    item("screw", (), joint("j-drain", 1), action=Action.RENEW),
    item("sump", ("screw",)),
)
DO = Hands(CAR)
TO_PUMP = (DO.off("cover"), DO.off("fan"))

CASES = (
    Case(
        what="from the outside in, from the inside out",
        rule=reached_while_blocked,
        car=CAR,
        job=job(TO_PUMP, DO.out("pump"), DO.home("pump"), DO.back("fan"), DO.back("cover")),
    ),
    Case(
        what="the cover goes back before the fan that it covers",
        rule=reached_while_blocked,
        car=CAR,
        job=job(TO_PUMP, DO.back("cover"), DO.back("fan")),
        sees=((4, "fan"),),
    ),
    Case(
        what="the fan is off, but the cover went back over the pump",
        rule=reached_while_blocked,
        car=CAR,
        job=job(TO_PUMP, DO.back("cover"), DO.undo("j-pump")),
        sees=((4, "j-pump"),),
    ),
    Case(
        what="undone from below while the tray is on",
        rule=reached_while_blocked,
        car=CAR,
        job=job(TO_PUMP, DO.undo("j-pump", way="below")),
        sees=((3, "j-pump"),),
    ),
    Case(
        what="tightened another way, which is blocked",
        rule=reached_while_blocked,
        car=CAR,
        job=job(TO_PUMP, DO.out("pump"), DO.back("pump"), DO.start("j-pump"), DO.tighten("j-pump", way="below")),
        sees=((7, "j-pump"),),
    ),
    Case(
        what="tightened another way, which is open",
        rule=reached_while_blocked,
        car=CAR,
        job=job(
            DO.off("tray"),
            TO_PUMP,
            DO.out("pump"),
            DO.back("pump"),
            DO.start("j-pump"),
            DO.tighten("j-pump", way="below"),
        ),
    ),
    Case(
        what="without a word, the way by which it was undone: blocked since",
        rule=reached_while_blocked,
        car=CAR,
        job=job(
            DO.off("tray"),
            TO_PUMP,
            DO.undo("j-pump", way="below"),
            DO.back("tray"),
            DO.start("j-pump", way=None),
        ),
        sees=((6, "j-pump"),),
    ),
    Case(
        what="a plate behind a gasket is behind what the gasket sits behind",
        rule=reached_while_blocked,
        car=CAR,
        job=job(DO.off("plate"), DO.off("housing"), DO.back("plate")),
        sees=((1, "plate"),),
    ),
    Case(
        what="a filter renewed behind a housing that is on",
        rule=reached_while_blocked,
        car=CAR,
        job=job(DO.renew("filter"), DO.off("housing"), DO.renew("filter")),
        sees=((1, "filter"),),
    ),
    Case(
        what="a sump behind a screw that is only loosened once",
        rule=reached_while_blocked,
        car=CAR,
        job=job(DO.off("sump"), DO.undo("j-drain"), DO.back("sump")),
        sees=((1, "sump"),),
    ),
    Case(what="named", rule=way_not_named, car=CAR, job=job(DO.undo("j-pump", way="below"))),
    Case(
        what="none where there is none, and none again on the way back",
        rule=way_not_named,
        car=CAR,
        job=job(DO.undo("j-drain"), DO.start("j-pump", way=None), DO.tighten("j-pump", way=None)),
    ),
    Case(
        what="not named, or unknown",
        rule=way_not_named,
        car=CAR,
        job=job(DO.undo("j-pump", way=None), DO.undo("j-pump", way="behind"), DO.tighten("j-pump", way="behind")),
        sees=((1, "j-pump"), (2, "j-pump"), (3, "j-pump")),
    ),
)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_rule(case: Case) -> None:
    check(case)


def test_each_round_is_judged_by_its_own_way() -> None:
    """A later round by another way says nothing about the first."""
    rounds = job(
        TO_PUMP,
        DO.undo("j-pump"),
        DO.start("j-pump"),
        DO.tighten("j-pump", way=None),
        DO.off("tray"),
        DO.undo("j-pump", way="below"),
    )
    assert rounds[-1].verb is Verb.UNDO
    assert Case(what="", rule=reached_while_blocked, car=CAR, job=rounds).found() == ()
