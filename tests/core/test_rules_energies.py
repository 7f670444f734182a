"""Rules of energies, each with jobs in which it fires and jobs in which it stays silent."""

from dataclasses import replace

import pytest

from core.small import SOURCE, Case, Hands, check, item, job, joint, small_car
from putback.core.car import Action, Energy, Fluid, Proof, Wait
from putback.core.finding import Kind
from putback.core.operations import Verb
from putback.core.quantity import Limit
from putback.core.rules.energies import (
    energy_not_made_safe,
    isolated_in_name_only,
    isolation_not_restored,
    operated_too_early,
    proof_without_source,
    proof_without_wait,
    restored_while_still_needed,
    work_before_made_safe,
)

VOLTS = Proof(measure="volts", at_most=Limit(value=1.0, unit="V"), source=SOURCE)
CAR = small_car(
    item("flap"),
    item("lead", ("flap",), action=Action.PART),
    item("tray", zone="U"),
    item("key", ("lead",)),
    item("shield", ("tray",), joint("j-shield", 3), energy=("high",)),
    item("horn", zone="U"),
    item("hose", (), energy=("hot",)),
    energies=(
        Energy(id="low", kind="low voltage", item="lead", before_it=("codes saved",), proof=VOLTS),
        Energy(
            id="high",
            kind="high voltage",
            item="key",
            near=("U",),
            after=("low",),
            wait=Wait(minutes=10.0, start="key", source=SOURCE),
            proof=Proof(points=("a-b",), at_most=VOLTS.at_most, within_minutes=5.0, reach=("tray",), source=SOURCE),
        ),
        Energy(id="hot", kind="heat", proof=Proof(check="hand warm", source=SOURCE)),
        Energy(id="air", kind="air pressure", item="horn", wait=Wait(minutes=None, start="horn", source=None)),
        Energy(id="spring", kind="spring", item="horn", joined=("hot",), before=("low",), proof=VOLTS),
    ),
    fluids=(Fluid(id="water", litres=6.0, tolerance_l=0.2, energy="hot", opened_by=("hose",), source=SOURCE),),
)
DO = Hands(CAR)
LOW = (DO.tick("low"), DO.off("flap"), DO.off("lead"), DO.safe("low"))
HIGH_OFF = (DO.off("key"), DO.isolate("high"), DO.off("tray"))
HIGH_PROVEN = (DO.say(Verb.WAIT, energy="high", item="key", minutes=10.0), DO.prove("high"))
SAFE = job(LOW, HIGH_OFF, HIGH_PROVEN)
CLOSED = (DO.home("shield"), DO.back("tray"))
LIVE = (DO.back("key"), DO.restore("high"), DO.back("lead"), DO.restore("low"), DO.back("flap"))
RIGHT = job(SAFE, DO.out("shield"), CLOSED, LIVE)
WARM = job(DO.safe("hot"), DO.drain("water"), DO.out("hose"), DO.home("hose"), DO.fill("water"), DO.restore("hot"))


TOUCHING = (
    Case(what="isolated, waited for, proven", rule=energy_not_made_safe, car=CAR, job=RIGHT),
    Case(what="drained when cool", rule=energy_not_made_safe, car=CAR, job=WARM),
    Case(
        what="the orange shield with nothing done",
        rule=energy_not_made_safe,
        car=CAR,
        job=job(DO.off("tray"), DO.undo("j-shield")),
        sees=((1, "high"), (2, "high")),
    ),
    Case(
        what="isolated is enough for what is off to reach the points, and for nothing else",
        rule=energy_not_made_safe,
        car=CAR,
        job=job(LOW, HIGH_OFF, DO.off("horn")),
        sees=((9, "high"),),
    ),
    Case(
        what="given back, then touched again",
        rule=energy_not_made_safe,
        car=CAR,
        job=job(RIGHT, DO.off("tray")),
        sees=((len(RIGHT) + 1, "high"),),
    ),
    Case(
        what="the key went back in and no word was said: the proof is stale",
        rule=energy_not_made_safe,
        car=CAR,
        job=job(SAFE, DO.back("key"), DO.undo("j-shield")),
        sees=((12, "high"),),
    ),
    Case(
        what="the key went back in and came out again: still stale",
        rule=energy_not_made_safe,
        car=CAR,
        job=job(SAFE, DO.back("key"), DO.off("key"), DO.undo("j-shield"), HIGH_PROVEN, DO.undo("j-shield")),
        sees=((13, "high"),),
    ),
    Case(
        what="a loop drained while hot",
        rule=energy_not_made_safe,
        car=CAR,
        job=job(DO.isolate("hot"), DO.drain("water")),
        sees=((2, "hot"),),
    ),
    Case(what="safe before all else", rule=work_before_made_safe, car=CAR, job=RIGHT),
    Case(
        what="a hose, which asks for the heat to be gone too, before anything is safe",
        rule=work_before_made_safe,
        car=CAR,
        job=job(DO.off("hose"), RIGHT),
        sees=((1, "hose"), (12, "shield"), (13, "shield")),
    ),
    Case(
        what="what joins an energy came back while its items still come off",
        rule=work_before_made_safe,
        car=replace(CAR, items={**CAR.items, "hose": replace(CAR.items["hose"], energy=("spring",))}),
        job=job(DO.off("horn"), DO.safe("spring"), DO.safe("hot"), DO.restore("hot"), DO.off("hose")),
        sees=((7, "hose"),),
    ),
    Case(
        what="a plain item again when all was given back hurts nobody",
        rule=work_before_made_safe,
        car=CAR,
        job=job(RIGHT, DO.off("flap"), DO.back("flap")),
    ),
)

MAKING_SAFE = (
    Case(what="ticked, in order", rule=operated_too_early, car=CAR, job=RIGHT),
    Case(
        what="nothing ticked",
        rule=operated_too_early,
        car=CAR,
        job=job(DO.off("flap"), DO.off("lead"), DO.isolate("low")),
        sees=((2, "low"), (3, "low")),
    ),
    Case(
        what="ticked for the first time only",
        rule=operated_too_early,
        car=CAR,
        job=job(LOW, DO.back("lead"), DO.restore("low"), DO.off("lead")),
        sees=((8, "low"),),
    ),
    Case(
        what="the key out before the low voltage is proven gone",
        rule=operated_too_early,
        car=CAR,
        job=job(DO.tick("low"), DO.off("flap"), DO.off("lead"), DO.off("key"), DO.isolate("high")),
        sees=((4, "high"), (5, "high")),
    ),
    Case(
        what="the spring is needed and goes before the lead",
        rule=operated_too_early,
        car=CAR,
        job=job(LOW, DO.off("horn"), DO.safe("spring")),
        sees=((3, "low"), (4, "low")),
    ),
    Case(what="the thing itself is off", rule=isolated_in_name_only, car=CAR, job=RIGHT),
    Case(
        what="called isolated with the lead on, proven with it on, given back with it off",
        rule=isolated_in_name_only,
        car=CAR,
        job=job(DO.isolate("low"), DO.prove("low"), DO.off("flap"), DO.off("lead"), DO.restore("low")),
        sees=((1, "low"), (2, "low"), (5, "low")),
    ),
    Case(
        what="proven again after the key was put back and taken out, without isolating anew",
        rule=isolated_in_name_only,
        car=CAR,
        job=job(SAFE, DO.back("key"), DO.off("key"), HIGH_PROVEN),
        sees=((14, "high"),),
    ),
    Case(what="the whole wait", rule=proof_without_wait, car=CAR, job=RIGHT),
    Case(
        what="waited before the key came out",
        rule=proof_without_wait,
        car=CAR,
        job=job(LOW, HIGH_PROVEN[0], HIGH_OFF, DO.prove("high")),
        sees=((10, "high"),),
    ),
    Case(
        what="nine minutes of ten; no wait at all; ten minutes, but from the lead",
        rule=proof_without_wait,
        car=CAR,
        job=job(
            LOW,
            HIGH_OFF,
            DO.prove("high"),
            DO.say(Verb.WAIT, energy="high", item="key", minutes=9.0),
            DO.prove("high"),
            DO.say(Verb.WAIT, energy="high", item="lead", minutes=10.0),
            DO.prove("high"),
        ),
        sees=((9, "high"), (11, "high"), (13, "high")),
    ),
    Case(
        what="ten minutes, then one more to be sure",
        rule=proof_without_wait,
        car=CAR,
        job=job(
            LOW,
            HIGH_OFF,
            HIGH_PROVEN[0],
            DO.say(Verb.WAIT, energy="high", item="key", minutes=1.0),
            DO.prove("high"),
        ),
    ),
    Case(
        what="a wait that is no number",
        rule=proof_without_wait,
        car=CAR,
        job=job(LOW, HIGH_OFF, DO.say(Verb.WAIT, energy="high", minutes=float("nan")), DO.prove("high")),
        sees=((10, "high"),),
    ),
    Case(
        what="the points are still covered",
        rule=proof_without_wait,
        car=CAR,
        job=job(LOW, DO.off("key"), DO.isolate("high"), HIGH_PROVEN),
        sees=((9, "high"),),
    ),
    Case(
        what="the key came out again after the wait",
        rule=proof_without_wait,
        car=CAR,
        job=job(LOW, HIGH_OFF, HIGH_PROVEN, DO.back("key"), DO.off("key"), DO.isolate("high"), DO.prove("high")),
        sees=((14, "high"),),
    ),
    Case(what="sourced", rule=proof_without_source, car=CAR, job=RIGHT),
    Case(
        what="neither wait nor proof is in the file: blocked, value needed",
        rule=proof_without_source,
        car=CAR,
        job=job(DO.off("horn"), DO.safe("air")),
        sees=((4, "air"), (4, "air")),
        kind=Kind.NOTE,
    ),
)

GIVING_BACK = (
    Case(what="given back", rule=isolation_not_restored, car=CAR, job=RIGHT),
    Case(
        what="the key is in, but nobody gave the voltage back",
        rule=isolation_not_restored,
        car=CAR,
        job=job(one for one in RIGHT if (one.energy, one.verb) != ("high", Verb.RESTORE)),
        sees=((None, "high"),),
    ),
    Case(what="in its turn, all closed", rule=restored_while_still_needed, car=CAR, job=RIGHT),
    Case(what="when the loop is full", rule=restored_while_still_needed, car=CAR, job=WARM),
    Case(
        what="the key goes in while the shield is only started",
        rule=restored_while_still_needed,
        car=CAR,
        job=job(SAFE, DO.out("shield"), DO.back("shield"), DO.start("j-shield"), DO.back("tray"), DO.back("key")),
        sees=((16, "high"),),
    ),
    Case(
        what="the low voltage before the high",
        rule=restored_while_still_needed,
        car=CAR,
        job=job(SAFE, DO.back("tray"), DO.back("lead"), DO.restore("low")),
        sees=((12, "low"), (13, "low")),
    ),
    Case(
        what="heat comes back while the loop is empty",
        rule=restored_while_still_needed,
        car=CAR,
        job=job(DO.safe("hot"), DO.drain("water"), DO.restore("hot")),
        sees=((4, "hot"),),
    ),
)

CASES = (*TOUCHING, *MAKING_SAFE, *GIVING_BACK)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_rule(case: Case) -> None:
    check(case)
