"""Rules of the round trip, each with jobs in which it fires and jobs in which it stays silent."""

import pytest

from core.small import Case, Hands, check, item, job, joint, small_car
from putback.core.car import Action
from putback.core.finding import Kind
from putback.core.operations import Verb
from putback.core.rules.twins import count_differs, does_not_fit, handled_otherwise, no_twin, unknown_thing

CAR = small_car(
    item("cover", (), joint("j-cover", 4)),
    item("plug", ("cover",), action=Action.UNPLUG),
    item("arm", ("cover",), action=Action.SWING),
    item("seal", ("cover",), action=Action.RENEW),
)
DO = Hands(CAR)
RIGHT = job(DO.out("cover"), DO.off("plug"), DO.back("plug"), DO.home("cover"))

CASES = (
    Case(what="all back", rule=no_twin, car=CAR, job=RIGHT),
    Case(what="plug left off", rule=no_twin, car=CAR, job=job(DO.off("plug")), sees=((1, "plug"),)),
    Case(
        what="raised, worked on, lowered",
        rule=no_twin,
        car=CAR,
        job=job(DO.say(Verb.RAISE), RIGHT, DO.say(Verb.LOWER)),
    ),
    Case(
        what="lowered before it was raised",
        rule=no_twin,
        car=CAR,
        job=job(DO.say(Verb.LOWER), RIGHT, DO.say(Verb.RAISE)),
        sees=((1, ""), (9, "")),
    ),
    Case(
        what="marked twice, lined up once",
        rule=no_twin,
        car=CAR,
        job=job(DO.say(Verb.MARK, item="arm"), DO.say(Verb.MARK, item="arm"), DO.say(Verb.LINE_UP, item="arm")),
        sees=((1, "arm"),),
    ),
    Case(
        what="one marked, another lined up",
        rule=no_twin,
        car=CAR,
        job=job(DO.say(Verb.MARK, item="arm"), DO.say(Verb.LINE_UP, item="plug")),
        sees=((1, "arm"), (2, "plug")),
    ),
    Case(what="each once", rule=does_not_fit, car=CAR, job=RIGHT),
    Case(
        what="unplugged twice",
        rule=does_not_fit,
        car=CAR,
        job=job(DO.off("plug"), DO.off("plug")),
        sees=((2, "plug"),),
    ),
    Case(
        what="tightened without being started",
        rule=does_not_fit,
        car=CAR,
        job=job(DO.undo("j-cover"), DO.tighten("j-cover")),
        sees=((2, "j-cover"),),
    ),
    Case(
        what="removed, but plugged in",
        rule=does_not_fit,
        car=CAR,
        job=job(DO.off("cover"), DO.say(Verb.PLUG_IN, item="cover")),
        sees=((2, "cover"),),
    ),
    Case(
        what="two guards out where one went in",
        rule=does_not_fit,
        car=CAR,
        job=job(DO.guard("cap", "plug"), DO.unguard("cap", "plug"), DO.unguard("cap", "plug")),
        sees=((3, "cap"),),
    ),
    Case(
        what="a loop topped up",
        rule=does_not_fit,
        car=CAR,
        job=job(DO.drain("oil"), DO.fill("oil", 5.0), DO.fill("oil", 1.0)),
    ),
    Case(
        what="swung aside as the file says",
        rule=handled_otherwise,
        car=CAR,
        job=job(DO.off("arm"), DO.back("arm")),
    ),
    Case(
        what="a part that is renewed may be taken off by any word",
        rule=handled_otherwise,
        car=CAR,
        job=job(DO.off("seal", verb=Verb.UNPLUG)),
    ),
    Case(
        what="taken off, its lines opened, where it should be swung aside",
        rule=handled_otherwise,
        car=CAR,
        job=job(DO.off("arm", verb=Verb.REMOVE)),
        sees=((1, "arm"),),
    ),
    Case(
        what="another word for a connector",
        rule=handled_otherwise,
        car=CAR,
        job=job(DO.off("plug", verb=Verb.REMOVE)),
        sees=((1, "plug"),),
        kind=Kind.NOTE,
    ),
    Case(what="counted", rule=count_differs, car=CAR, job=RIGHT),
    Case(
        what="three of four back, both times counted",
        rule=count_differs,
        car=CAR,
        job=job(DO.undo("j-cover"), DO.start("j-cover", count=3), DO.tighten("j-cover", count=3)),
        sees=((2, "j-cover"), (3, "j-cover")),
    ),
    Case(
        what="three came out of a file's four, three went back",
        rule=count_differs,
        car=CAR,
        job=job(DO.undo("j-cover", count=3), DO.start("j-cover", count=3), DO.tighten("j-cover", count=3)),
        sees=((1, "j-cover"),),
    ),
    Case(
        what="not counted",
        rule=count_differs,
        car=CAR,
        job=job(DO.undo("j-cover", count=None)),
        sees=((1, "j-cover"),),
    ),
    Case(
        what="three of four fasteners renewed",
        rule=count_differs,
        car=CAR,
        job=job(DO.undo("j-cover"), DO.renew("cover", joint="j-cover", count=3)),
        sees=((2, "j-cover"),),
    ),
    Case(
        what="all four renewed, once counted, once not",
        rule=count_differs,
        car=CAR,
        job=job(DO.renew("cover", joint="j-cover", count=4), DO.renew("cover", joint="j-cover")),
    ),
    Case(what="known ids", rule=unknown_thing, car=CAR, job=RIGHT),
    Case(
        what="an item that no file knows",
        rule=unknown_thing,
        car=CAR,
        job=job(DO.say(Verb.REMOVE, item="cuver")),
        sees=((1, "cuver"),),
    ),
    Case(
        what="unknown joint, energy, guard and fluid",
        rule=unknown_thing,
        car=CAR,
        job=job(
            DO.say(Verb.UNDO, item="cover", joint="j-x"),
            DO.isolate("volts"),
            DO.guard("rag"),
            DO.drain("milk"),
        ),
        sees=((1, "j-x"), (2, "volts"), (3, "rag"), (4, "milk")),
    ),
    Case(
        what="a joint under another item",
        rule=unknown_thing,
        car=CAR,
        job=job(DO.undo("j-cover", item="plug")),
        sees=((1, "j-cover"),),
    ),
    Case(
        what="nothing named: an operation that would be about nothing",
        rule=unknown_thing,
        car=CAR,
        job=job(DO.say(Verb.FIT), DO.say(Verb.TIGHTEN, item="cover"), DO.say(Verb.PROVE_DEAD), DO.say(Verb.FILL)),
        sees=((1, "item"), (2, "joint"), (3, "energy"), (4, "fluid")),
    ),
)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_rule(case: Case) -> None:
    check(case)


def test_operations_are_numbered_by_their_place() -> None:
    """Numbers that do not count up would let a wait before the disconnect pass for one after it."""
    case = CASES[1]
    same_number = tuple(operation for part in (RIGHT, case.job) for operation in part)
    findings = Case(what="", rule=no_twin, car=CAR, job=same_number).found()
    assert [finding.where.line for finding in findings] == [len(RIGHT) + 1]
