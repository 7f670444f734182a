"""Rules of tightness and of new parts, each with jobs in which it fires and jobs in which it stays silent."""

import pytest

from core.small import Case, Hands, check, item, job, joint, small_car, way
from putback.core.car import Action
from putback.core.finding import Kind
from putback.core.quantity import read_torque
from putback.core.rules.renewals import (
    angle_joint_tightened_twice,
    one_time_part_back_in,
    renewed_while_in_place,
    target_not_renewed,
)
from putback.core.rules.tight import (
    covered_while_loose,
    joint_not_tightened,
    length_trap_in_one_place,
    off_while_held,
    other_fastener,
    started_before_fitted,
    tightened_before_all_started,
    torque_not_the_sources,
    torque_without_source,
)

CAR = small_car(
    item("pump", (), joint("j-long", 1, "M8x60"), joint("j-short", 2, "M8x35", "18 lbf·ft")),
    item("tray", (), joint("j-bare", 4, "M6x16", None), joint("j-clip", 4, None, None)),
    item("rumour", (), joint("j-hearsay", 1, "M10x30", "50 N·m", source=None)),
)
DO = Hands(CAR)
HIDDEN = small_car(
    item("fan"),
    item("housing", (), joint("j-near", 3), joint("j-far", 1, ways=(way("front", "fan"), way("below")))),
)
HIDE = Hands(HIDDEN)
RIGHT = job(DO.out("pump"), DO.home("pump"))
TIGHT = {"item": "pump", "joint": "j-short", "count": 2}

NEW = small_car(
    item("pump", (), joint("j-pump", 3, "M8x55", "12 N·m + 90°", one_time=True), energy=()),
    item("bolts", ("pump",), action=Action.RENEW, one_time=True, renew_with_items=("pump",), renews_joint="j-pump"),
    item("hose", (), one_time=True),
    item("elbow"),
    item("ring", ("elbow",), action=Action.RENEW, one_time=True, renew_with_items=("elbow",)),
    item("seal", (), joint("j-drain", 1, "M14", None), action=Action.RENEW, renew_with_fluids=("oil",)),
)
GET = Hands(NEW)
NEW_PUMP = job(GET.out("pump"), GET.renew("pump", joint=None), GET.renew("bolts"), GET.home("pump"))

TIGHTNESS = (
    Case(what="tight again", rule=joint_not_tightened, car=CAR, job=RIGHT),
    Case(
        what="one only started, one left out",
        rule=joint_not_tightened,
        car=CAR,
        job=job(DO.out("pump"), DO.back("pump"), DO.start("j-long")),
        sees=((1, "j-long"), (2, "j-short")),
    ),
    Case(what="the source's own value and unit", rule=torque_not_the_sources, car=CAR, job=RIGHT),
    Case(
        what="the same value converted, 18 lbf·ft is 24.4 N·m",
        rule=torque_not_the_sources,
        car=CAR,
        job=job(DO.tighten("j-short", torque=read_torque("24.4 N·m"))),
    ),
    Case(
        what="the number with a wrong unit, another number, an angle too many, no value",
        rule=torque_not_the_sources,
        car=CAR,
        job=job(
            DO.tighten("j-short", torque=read_torque("18 N·m")),
            DO.tighten("j-long", torque=read_torque("9 N·m")),
            DO.tighten("j-long", torque=read_torque("8 N·m + 90°")),
            DO.tighten("j-long", torque=None),
        ),
        sees=((1, "j-short"), (2, "j-long"), (3, "j-long"), (4, "j-long")),
    ),
    Case(what="every value has a source", rule=torque_without_source, car=CAR, job=RIGHT),
    Case(
        what="a clip needs none",
        rule=torque_without_source,
        car=CAR,
        job=job(DO.tighten("j-clip")),
    ),
    Case(
        what="a source of its own, named",
        rule=torque_without_source,
        car=CAR,
        job=job(DO.tighten("j-bare", torque=read_torque("9 N·m"), torque_source="a page")),
    ),
    Case(
        what="no value: value needed; a value in the file without source likewise",
        rule=torque_without_source,
        car=CAR,
        job=job(DO.tighten("j-bare"), DO.tighten("j-hearsay")),
        sees=((1, "j-bare"), (2, "j-hearsay")),
        kind=Kind.NOTE,
    ),
    Case(
        what="a figure from nowhere, the file's hearsay among them",
        rule=torque_without_source,
        car=CAR,
        job=job(
            DO.tighten("j-bare", torque=read_torque("9 N·m")), DO.tighten("j-hearsay", torque=read_torque("50 N·m"))
        ),
        sees=((1, "j-bare"), (2, "j-hearsay")),
    ),
    Case(what="its own bolts", rule=other_fastener, car=CAR, job=RIGHT),
    Case(
        what="length not said",
        rule=other_fastener,
        car=CAR,
        job=job(DO.start("j-long", thread="M8"), DO.start("j-short", thread=None), DO.start("j-clip", thread="clip")),
    ),
    Case(
        what="the two joints' bolts swapped",
        rule=other_fastener,
        car=CAR,
        job=job(DO.start("j-long", thread="M8x35"), DO.start("j-short", thread="M8x60")),
        sees=((1, "j-long"), (2, "j-short")),
    ),
    Case(
        what="a finer pitch goes into the hole",
        rule=other_fastener,
        car=CAR,
        job=job(DO.tighten("j-long", thread="M8x1x60")),
        sees=((1, "j-long"),),
    ),
    Case(what="all started, then all tight", rule=tightened_before_all_started, car=CAR, job=RIGHT),
    Case(
        what="the first tight before the second is started",
        rule=tightened_before_all_started,
        car=CAR,
        job=job(DO.out("pump"), DO.back("pump"), DO.start("j-long"), DO.tighten("j-long")),
        sees=((6, "j-long"),),
    ),
    Case(
        what="only one joint was undone",
        rule=tightened_before_all_started,
        car=CAR,
        job=job(DO.undo("j-long"), DO.start("j-long"), DO.tighten("j-long")),
    ),
    Case(
        what="all tight before the cover goes back",
        rule=covered_while_loose,
        car=HIDDEN,
        job=job(
            HIDE.out("fan"),
            HIDE.undo("j-near"),
            HIDE.undo("j-far", way="front"),
            HIDE.off("housing"),
            HIDE.back("housing"),
            HIDE.start("j-near"),
            HIDE.start("j-far", way="front"),
            HIDE.tighten("j-far", way="front"),
            HIDE.tighten("j-near"),
            HIDE.home("fan"),
        ),
    ),
    Case(
        what="the cover goes back over a housing that hangs on one bolt",
        rule=covered_while_loose,
        car=HIDDEN,
        job=job(
            HIDE.out("fan"),
            HIDE.undo("j-near"),
            HIDE.undo("j-far", way="front"),
            HIDE.off("housing"),
            HIDE.back("housing"),
            HIDE.start("j-near"),
            HIDE.start("j-far", way="front"),
            HIDE.tighten("j-far", way="front"),
            HIDE.back("fan"),
        ),
        sees=((9, "fan"),),
    ),
    Case(what="fitted, then started", rule=started_before_fitted, car=CAR, job=RIGHT),
    Case(
        what="started in the air",
        rule=started_before_fitted,
        car=CAR,
        job=job(DO.out("pump"), DO.start("j-long")),
        sees=((4, "j-long"),),
    ),
    Case(what="all joints undone", rule=off_while_held, car=CAR, job=RIGHT),
    Case(
        what="pulled off one bolt",
        rule=off_while_held,
        car=CAR,
        job=job(DO.undo("j-long"), DO.off("pump")),
        sees=((2, "pump"),),
    ),
    Case(
        what="pulled off a bolt that was started again",
        rule=off_while_held,
        car=CAR,
        job=job(DO.undo("j-long"), DO.undo("j-short"), DO.start("j-short"), DO.off("pump")),
        sees=((4, "pump"),),
    ),
    Case(
        what="two places",
        rule=length_trap_in_one_place,
        car=CAR,
        job=job(DO.undo("j-long", stow="tray 1"), DO.undo("j-short", stow="tray 2")),
    ),
    Case(
        what="one place, one after the other",
        rule=length_trap_in_one_place,
        car=CAR,
        job=job(
            DO.undo("j-long", stow="tray 1"),
            DO.start("j-long"),
            DO.undo("j-short", stow="tray 1"),
        ),
    ),
    Case(
        what="60 and 35 mm in one tray, the thread said or not",
        rule=length_trap_in_one_place,
        car=CAR,
        job=job(
            DO.undo("j-long", stow="tray 1", thread=None, drive=None),
            DO.undo("j-short", stow="tray 1", thread=None, drive=None),
        ),
        sees=((2, "j-short"),),
    ),
)

RENEWALS = (
    Case(what="renewed", rule=target_not_renewed, car=NEW, job=NEW_PUMP, targets=("pump",)),
    Case(what="forgotten", rule=target_not_renewed, car=NEW, job=NEW_PUMP, targets=("hose",), sees=((None, "hose"),)),
    Case(
        what="only its bolts are new",
        rule=target_not_renewed,
        car=NEW,
        job=job(GET.renew("pump", joint="j-pump"), GET.renew("bolts")),
        targets=("pump",),
        sees=((None, "pump"),),
    ),
    Case(what="while it is out", rule=renewed_while_in_place, car=NEW, job=NEW_PUMP),
    Case(
        what="pump and bolts renewed on paper",
        rule=renewed_while_in_place,
        car=NEW,
        job=job(GET.renew("pump", joint=None), GET.renew("bolts")),
        sees=((1, "pump"), (2, "j-pump")),
    ),
    Case(
        what="a drain plug's seal with the plug tight",
        rule=renewed_while_in_place,
        car=NEW,
        job=job(GET.renew("seal"), GET.undo("j-drain"), GET.renew("seal")),
        sees=((1, "seal"),),
    ),
    Case(what="new bolts", rule=one_time_part_back_in, car=NEW, job=NEW_PUMP),
    Case(
        what="new fasteners named by their joint",
        rule=one_time_part_back_in,
        car=NEW,
        job=job(GET.undo("j-pump"), GET.renew("pump", joint="j-pump"), GET.start("j-pump"), GET.tighten("j-pump")),
    ),
    Case(
        what="old bolts, told by the item that brings them and by the joint",
        rule=one_time_part_back_in,
        car=NEW,
        job=job(GET.out("pump"), GET.home("pump")),
        sees=((3, "bolts"), (5, "j-pump")),
    ),
    Case(
        what="new bolts, then undone again and tightened",
        rule=one_time_part_back_in,
        car=NEW,
        job=job(NEW_PUMP, GET.undo("j-pump"), GET.start("j-pump"), GET.tighten("j-pump")),
        sees=((10, "j-pump"),),
    ),
    Case(
        what="an old hose, and the ring behind an elbow renewed before the elbow came off",
        rule=one_time_part_back_in,
        car=NEW,
        job=job(GET.out("hose"), GET.home("hose"), GET.renew("ring"), GET.out("elbow"), GET.home("elbow")),
        sees=((2, "hose"), (5, "ring")),
    ),
    Case(
        what="an old seal at the filling, then a new one",
        rule=one_time_part_back_in,
        car=NEW,
        job=job(GET.drain("oil"), GET.fill("oil"), GET.drain("oil"), GET.renew("seal"), GET.fill("oil")),
        sees=((2, "seal"),),
    ),
    Case(what="one run", rule=angle_joint_tightened_twice, car=NEW, job=NEW_PUMP),
    Case(
        what="again with the same bolts",
        rule=angle_joint_tightened_twice,
        car=NEW,
        job=job(NEW_PUMP, GET.tighten("j-pump")),
        sees=((8, "j-pump"),),
    ),
    Case(
        what="again with a new set, which says its joint or is known to bring it",
        rule=angle_joint_tightened_twice,
        car=NEW,
        job=job(
            NEW_PUMP,
            GET.undo("j-pump"),
            GET.renew("bolts", joint=None),
            GET.start("j-pump"),
            GET.tighten("j-pump"),
        ),
    ),
)

CASES = (*TIGHTNESS, *RENEWALS)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_rule(case: Case) -> None:
    check(case)
