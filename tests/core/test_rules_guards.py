"""Rules of guards and supports, each with jobs in which it fires and jobs in which it stays silent."""

from types import MappingProxyType

import pytest

from core.small import Case, Hands, check, item, job, joint, small_car
from putback.core.car import Action, Guard
from putback.core.rules.guards import (
    guard_count_differs,
    guard_covered_in,
    guard_in_too_early,
    hung_without_support,
    port_open_not_guarded,
    standing_guard_missing,
    support_after_what_it_holds,
    support_covered_in,
)

CAR = small_car(
    item("cover"),
    item("hose", ("cover",), opens_port=True),
    item("pipe", ("hose",), opens_port=True),
    item("fan"),
    item("arm", ("cover",), joint("j-arm", 2), action=Action.SWING),
    guards=(
        Guard(id="caps", name="hose caps", zone="T", closes=MappingProxyType({"hose": 2, "pipe": 1})),
        Guard(id="strap", name="arm strap", zone="T", pieces=1, support_for="arm"),
    ),
)
DO = Hands(CAR)
HOSE = (DO.off("cover"), DO.off("hose"), DO.guard("caps", "hose", 2))
HOSE_BACK = (DO.unguard("caps", "hose", 2), DO.back("hose"), DO.back("cover"))
PIPE = (DO.off("pipe"), DO.guard("caps", "pipe"))
PIPE_BACK = (DO.unguard("caps", "pipe"), DO.back("pipe"))
RIGHT = job(HOSE, PIPE, PIPE_BACK, HOSE_BACK)
ARM = job(DO.off("cover"), DO.guard("strap"), DO.out("arm"), DO.home("arm"), DO.unguard("strap"), DO.back("cover"))

STOOD = small_car(
    item("cover"),
    item("fan", ("cover",)),
    item("horn"),
    guards=(
        Guard(id="mats", name="wing mats", zone="T", pieces=2, in_after="start", out_before="end"),
        Guard(id="board", name="fan board", zone="T", pieces=1, in_after="fan"),
        Guard(id="bag", name="fan bag", zone="T", pieces=1, in_after="fan", out_before="cover"),
    ),
)
SET = Hands(STOOD)
FAN_OFF = (SET.off("cover"), SET.off("fan"), SET.guard("board", "fan"), SET.guard("bag", "fan"))
FAN_BACK = (SET.unguard("board", "fan"), SET.back("fan"), SET.unguard("bag", "fan"), SET.back("cover"))
STANDING = job(SET.guard("mats", count=2), FAN_OFF, SET.off("horn"), SET.back("horn"), FAN_BACK)
STANDING_TO_THE_END = job(STANDING, SET.unguard("mats", count=2))

CASES = (
    Case(what="plugged until it goes back", rule=port_open_not_guarded, car=CAR, job=RIGHT),
    Case(
        what="the next item before the plugs",
        rule=port_open_not_guarded,
        car=CAR,
        job=job(DO.off("cover"), DO.off("hose"), PIPE, PIPE_BACK, DO.guard("caps", "hose", 2), HOSE_BACK),
        sees=((2, "hose"),),
    ),
    Case(
        what="one of two plugs, and never more",
        rule=port_open_not_guarded,
        car=CAR,
        job=job(DO.off("cover"), DO.off("hose"), DO.guard("caps", "hose", 1)),
        sees=((2, "hose"),),
    ),
    Case(
        what="plugs in, and out again at once",
        rule=port_open_not_guarded,
        car=CAR,
        job=job(HOSE, DO.unguard("caps", "hose", 2), PIPE),
        sees=((4, "hose"),),
    ),
    Case(
        what="plugs in the wrong port",
        rule=port_open_not_guarded,
        car=CAR,
        job=job(DO.off("cover"), DO.off("hose"), DO.guard("caps", "pipe", 2), DO.off("pipe")),
        sees=((2, "hose"),),
    ),
    Case(
        what="never plugged, though nothing else was touched",
        rule=port_open_not_guarded,
        car=CAR,
        job=job(DO.off("cover"), DO.off("hose"), DO.back("hose")),
        sees=((2, "hose"),),
    ),
    Case(what="plugged once it is off", rule=guard_in_too_early, car=CAR, job=RIGHT),
    Case(what="covered once it is off", rule=guard_in_too_early, car=STOOD, job=STANDING),
    Case(
        what="caps counted in while the hose is on",
        rule=guard_in_too_early,
        car=CAR,
        job=job(DO.guard("caps", "hose", 2)),
        sees=((1, "caps"),),
    ),
    Case(
        what="a board behind a fan that is in place",
        rule=guard_in_too_early,
        car=STOOD,
        job=job(SET.guard("board", "fan")),
        sees=((1, "board"),),
    ),
    Case(what="out before what closes over it", rule=guard_covered_in, car=CAR, job=RIGHT),
    Case(what="each in its turn", rule=guard_covered_in, car=STOOD, job=STANDING_TO_THE_END),
    Case(
        what="a cap left in its own port and under the next cover",
        rule=guard_covered_in,
        car=CAR,
        job=job(HOSE, PIPE, DO.back("pipe"), DO.unguard("caps", "hose", 2), DO.back("hose"), DO.back("cover")),
        sees=((6, "caps"), (8, "caps"), (None, "caps")),
    ),
    Case(
        what="counted out elsewhere, twice",
        rule=guard_covered_in,
        car=CAR,
        job=job(HOSE, DO.unguard("caps", "pipe", 1), DO.unguard("caps", "pipe", 1), DO.back("hose")),
        sees=((6, "caps"), (None, "caps")),
    ),
    Case(
        what="the bag under the cover, the mats at the end",
        rule=guard_covered_in,
        car=STOOD,
        job=job(SET.guard("mats", count=2), SET.off("cover"), SET.guard("bag"), SET.back("cover")),
        sees=((4, "bag"), (None, "mats"), (None, "bag")),
    ),
    Case(what="two in, two out", rule=guard_count_differs, car=CAR, job=RIGHT),
    Case(
        what="three in of two, two out of three, uncounted",
        rule=guard_count_differs,
        car=CAR,
        job=job(DO.guard("caps", "hose", 3), DO.unguard("caps", "hose", 1), DO.unguard("caps", "hose", None)),
        sees=((1, "caps"), (2, "caps"), (3, "caps")),
    ),
    Case(
        what="a port that it does not close, and none at all",
        rule=guard_count_differs,
        car=CAR,
        job=job(DO.guard("caps", "fan", 1), DO.guard("caps", None, 1)),
        sees=((1, "caps"), (2, "caps")),
    ),
    Case(what="stands all the time", rule=standing_guard_missing, car=STOOD, job=STANDING_TO_THE_END),
    Case(
        what="mats too late, board and bag never",
        rule=standing_guard_missing,
        car=STOOD,
        job=job(SET.off("cover"), SET.guard("mats", count=2), SET.off("fan"), SET.off("horn")),
        sees=((1, "mats"), (4, "board"), (4, "bag")),
    ),
    Case(
        what="board away before the fan goes back",
        rule=standing_guard_missing,
        car=STOOD,
        job=job(SET.guard("mats", count=2), FAN_OFF, SET.unguard("board", "fan"), SET.off("horn")),
        sees=((7, "board"),),
    ),
    Case(what="supported", rule=support_after_what_it_holds, car=CAR, job=ARM),
    Case(
        what="undone, then supported",
        rule=support_after_what_it_holds,
        car=CAR,
        job=job(DO.undo("j-arm"), DO.guard("strap"), DO.off("arm")),
        sees=((1, "strap"),),
    ),
    Case(what="held to the end", rule=hung_without_support, car=CAR, job=ARM),
    Case(
        what="let go while it is only started",
        rule=hung_without_support,
        car=CAR,
        job=job(DO.guard("strap"), DO.out("arm"), DO.back("arm"), DO.start("j-arm"), DO.unguard("strap")),
        sees=((6, "strap"),),
    ),
    Case(what="out before the cover", rule=support_covered_in, car=CAR, job=ARM),
    Case(
        what="the cover goes on over the strap",
        rule=support_covered_in,
        car=CAR,
        job=job(DO.off("cover"), DO.guard("strap"), DO.out("arm"), DO.home("arm"), DO.back("cover")),
        sees=((8, "strap"),),
    ),
)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_rule(case: Case) -> None:
    check(case)
