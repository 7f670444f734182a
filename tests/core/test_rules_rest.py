"""Rules of fluids, reads, relearns, the drive and last looks: jobs in which each fires and in which it is silent."""

import pytest

from core.small import SOURCE, Case, Hands, check, item, job, joint, small_car
from putback.core.car import Action, Energy, Fluid, Proof, Relearn
from putback.core.finding import Kind
from putback.core.operations import Verb
from putback.core.rules.rest import (
    code_read_missing,
    driven_too_early,
    filled_while_open,
    fluid_out_is_not_in,
    last_look_missing,
    let_out_unsaid,
    opened_before_drained,
    relearn_missing,
)

CAR = small_car(
    item("cover"),
    item("screw", (), joint("j-drain", 1, "M14", None), action=Action.RENEW),
    item("hose", ("cover",)),
    item("branch"),
    item("eye", ("cover",), joint("j-eye", 3)),
    item("lead", action=Action.PART),
    energies=(Energy(id="low", kind="low voltage", item="lead", proof=Proof(check="dark", source=SOURCE)),),
    fluids=(
        Fluid(id="water", litres=6.0, tolerance_l=0.2, drain_joint="j-drain", opened_by=("hose",), source=SOURCE),
        Fluid(id="oil", litres=2.0, tolerance_l=None, drain_item="branch", opened_by=("branch",), source=SOURCE),
    ),
    relearn=(Relearn(what="clock", after="low"), Relearn(what="aim", after="eye")),
)
DO = Hands(CAR)
DRAINED = (DO.undo("j-drain"), DO.drain("water"))
CLOSED = (DO.start("j-drain"), DO.tighten("j-drain"))
LOOP = job(DRAINED, DO.off("cover"), DO.off("hose"), DO.back("hose"), DO.back("cover"), CLOSED, DO.fill("water"))
BRANCH = job(DO.off("branch"), DO.drain("oil", 2.0), DO.back("branch"), DO.fill("oil", 2.0))

READ = DO.say(Verb.READ_BEFORE)
READ_AGAIN = DO.say(Verb.READ_AFTER)
DRIVE = DO.say(Verb.ROAD_TEST)
CLOCK = DO.say(Verb.RELEARN, note="clock")
AIM = DO.say(Verb.RELEARN, note="aim")
LOOK = DO.say(Verb.INSPECT, item="cover")
DEAD = (DO.off("lead"), DO.safe("low"))
LIVE = (DO.back("lead"), DO.restore("low"))
EYE = (DO.off("cover"), DO.out("eye"), DO.home("eye"), LOOK, DO.back("cover"))
WHOLE = job(READ, DEAD, EYE, LIVE, CLOCK, AIM, READ_AGAIN, DRIVE)

FLUIDS = (
    Case(what="six out, six in", rule=fluid_out_is_not_in, car=CAR, job=LOOP),
    Case(what="within the tolerance", rule=fluid_out_is_not_in, car=CAR, job=job(LOOP[:-1], DO.fill("water", 5.8))),
    Case(
        what="0.3 l short, no tolerance stated and 0.1 too much",
        rule=fluid_out_is_not_in,
        car=CAR,
        job=job(DO.drain("water"), DO.fill("water", 5.7), DO.drain("oil", 2.0), DO.fill("oil", 2.1)),
        sees=((None, "water"), (None, "oil")),
    ),
    Case(
        what="filled by nothing, and not counted at all",
        rule=fluid_out_is_not_in,
        car=CAR,
        job=job(DO.drain("water"), DO.fill("water", 0.0), DO.drain("oil", None)),
        sees=((None, "water"), (None, "oil")),
    ),
    Case(
        what="topped up after bleeding, run out at two drains",
        rule=fluid_out_is_not_in,
        car=CAR,
        job=job(DO.drain("water", 4.0), DO.drain("water", 2.0), DO.fill("water", 5.5), DO.fill("water", 0.5)),
    ),
    Case(
        what="less than nothing, and no number",
        rule=fluid_out_is_not_in,
        car=CAR,
        job=job(DO.drain("water", -6.0), DO.fill("water", -6.0), DO.drain("oil", float("nan")), DO.fill("oil", 2.0)),
        sees=((1, "water"), (2, "water"), (3, "oil"), (None, "oil")),
    ),
    Case(what="drained first", rule=opened_before_drained, car=CAR, job=LOOP),
    Case(what="let out where it is opened", rule=opened_before_drained, car=CAR, job=BRANCH),
    Case(
        what="the hose before the drain",
        rule=opened_before_drained,
        car=CAR,
        job=job(DO.off("cover"), DO.off("hose")),
        sees=((2, "water"),),
    ),
    Case(
        what="the hose again, after the filling",
        rule=opened_before_drained,
        car=CAR,
        job=job(LOOP, DO.off("cover"), DO.off("hose")),
        sees=((11, "water"),),
    ),
    Case(
        what="drained through closed drains",
        rule=opened_before_drained,
        car=CAR,
        job=job(DO.drain("water"), DO.drain("oil")),
        sees=((1, "water"), (2, "oil")),
    ),
    Case(what="said", rule=let_out_unsaid, car=CAR, job=job(LOOP, BRANCH)),
    Case(
        what="both drains opened and closed, no word of what ran out",
        rule=let_out_unsaid,
        car=CAR,
        job=job(DO.undo("j-drain"), CLOSED, DO.off("branch")),
        sees=((1, "water"), (4, "oil")),
    ),
    Case(what="closed, then filled", rule=filled_while_open, car=CAR, job=job(LOOP, BRANCH)),
    Case(
        what="filled with the hose off, the drain open, the branch off",
        rule=filled_while_open,
        car=CAR,
        job=job(
            DRAINED,
            DO.off("hose"),
            CLOSED,
            DO.fill("water"),
            DO.back("hose"),
            DRAINED,
            DO.fill("water"),
            DO.off("branch"),
            DO.fill("oil"),
        ),
        sees=((6, "water"), (10, "water"), (12, "oil")),
    ),
)

TO_THE_END = (
    Case(what="before and after", rule=code_read_missing, car=CAR, job=WHOLE),
    Case(what="lowered after the read", rule=code_read_missing, car=CAR, job=job(WHOLE, DO.say(Verb.LOWER))),
    Case(what="nothing was touched", rule=code_read_missing, car=CAR, job=job(CLOCK)),
    Case(
        what="no read at all",
        rule=code_read_missing,
        car=CAR,
        job=job(EYE),
        sees=((1, "codes"), (None, "codes")),
    ),
    Case(
        what="read when an energy was off already, and before it was back",
        rule=code_read_missing,
        car=CAR,
        job=job(DEAD, READ, EYE, DO.back("lead"), READ_AGAIN, DO.restore("low")),
        sees=((1, "codes"), (None, "codes")),
    ),
    Case(what="taught at the end", rule=relearn_missing, car=CAR, job=WHOLE),
    Case(what="nothing lost its memory", rule=relearn_missing, car=CAR, job=LOOP),
    Case(
        what="taught before the power was back, and before the eye was tight",
        rule=relearn_missing,
        car=CAR,
        job=job(DEAD, CLOCK, LIVE, DO.out("eye"), DO.back("eye"), AIM, DO.start("j-eye"), DO.tighten("j-eye")),
        sees=((None, "low"), (None, "eye")),
    ),
    Case(
        what="not taught",
        rule=relearn_missing,
        car=CAR,
        job=job(EYE),
        sees=((None, "eye"),),
    ),
    Case(what="driven last", rule=driven_too_early, car=CAR, job=WHOLE),
    Case(
        what="driven with the cover off and nothing read",
        rule=driven_too_early,
        car=CAR,
        job=job(READ, DO.off("cover"), DRIVE, DO.back("cover"), READ_AGAIN, DRIVE),
        sees=((3, "road test"),),
    ),
    Case(
        what="driven on the lift",
        rule=driven_too_early,
        car=CAR,
        job=job(READ, DO.say(Verb.RAISE), READ_AGAIN, DRIVE, DO.say(Verb.LOWER)),
        sees=((4, "road test"),),
    ),
    Case(
        what="driven before the eye is taught, though all is read",
        rule=driven_too_early,
        car=CAR,
        job=job(READ, EYE, READ_AGAIN, DRIVE, AIM),
        sees=((11, "road test"),),
    ),
    Case(
        what="not driven",
        rule=driven_too_early,
        car=CAR,
        job=job(EYE),
        sees=((None, "road test"),),
        kind=Kind.NOTE,
    ),
    Case(what="looked at, then covered", rule=last_look_missing, car=CAR, job=WHOLE),
    Case(
        what="covered unseen",
        rule=last_look_missing,
        car=CAR,
        job=job(DO.off("cover"), DO.out("eye"), DO.home("eye"), DO.back("cover")),
        sees=((7, "cover"),),
        kind=Kind.NOTE,
    ),
    Case(
        what="looked at before it was back",
        rule=last_look_missing,
        car=CAR,
        job=job(DO.off("cover"), LOOK, DO.out("eye"), DO.home("eye"), DO.back("cover")),
        sees=((8, "cover"),),
        kind=Kind.NOTE,
    ),
)

CASES = (*FLUIDS, *TO_THE_END)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_rule(case: Case) -> None:
    check(case)
