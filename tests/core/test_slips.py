"""Slips that a technician makes on the demo job, each of which the audit names at the place where it can be mended.

The slips are those that the trade's view of the job lists as its costliest; the numbers are the demo's own.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from core.mutate import numbered
from putback.adapters.car_file import demo_path, read_car
from putback.core.finding import Finding, faults
from putback.core.operations import Operation, Verb
from putback.core.quantity import Torque
from putback.core.rules import audit
from putback.plan.make import Settings, make_plan, wanted
from putback.plan.plan import Plan

Job = tuple[Operation, ...]


@pytest.fixture(scope="module")
def plan() -> Plan:
    car = read_car(demo_path()).car
    assert car is not None
    made = make_plan(car, wanted(car, ["thermostat-and-pump"]), settings=Settings(most_alternatives=1))
    assert isinstance(made, Plan)
    return made


def is_of(operation: Operation, verb: Verb, thing: str) -> bool:
    """Whether an operation is this verb, of this thing; no thing: of any."""
    of = (operation.item, operation.joint, operation.energy, operation.guard)
    return operation.verb is verb and (not thing or thing in of)


def place(job: Job, verb: Verb, thing: str) -> int:
    """Where an operation stands in the job."""
    return next(at for at, operation in enumerate(job) if is_of(operation, verb, thing))


def without(job: Job, verb: Verb, thing: str) -> Job:
    at = place(job, verb, thing)
    return (*job[:at], *job[at + 1 :])


def moved(job: Job, verb: Verb, thing: str, before: tuple[Verb, str]) -> Job:
    """One operation moved to just before another."""
    operation = job[place(job, verb, thing)]
    rest = without(job, verb, thing)
    at = place(rest, *before)
    return (*rest[:at], operation, *rest[at:])


def said(job: Job, of: Verb, thing: str, **wrong: Any) -> Job:
    """One operation said wrong."""
    at = place(job, of, thing)
    return (*job[:at], replace(job[at], **wrong), *job[at + 1 :])


def found(plan: Plan, job: Job) -> tuple[Finding, ...]:
    return faults(audit(plan.car, numbered(job), targets=plan.targets))


SLIPS: list[tuple[str, Callable[[Job], Job], str, str]] = [
    (
        "the shutter's plug left off",
        lambda job: without(job, Verb.PLUG_IN, "shutter-plug"),
        "no_twin",
        "shutter-plug",
    ),
    (
        "one of the block's plugs not counted out",
        lambda job: tuple(op for op in job if not (is_of(op, Verb.UNGUARD, "block-plugs") and op.item == "housing")),
        "guard_covered_in",
        "block-plugs",
    ),
    (
        "12 V off before its list is ticked",
        lambda job: without(job, Verb.NOTE, "lv"),
        "operated_too_early",
        "lv",
    ),
    (
        "12 V off before the fuel pressure is proven gone",
        lambda job: moved(job, Verb.PROVE_DEAD, "fuel", (Verb.ISOLATE, "srs")),
        "operated_too_early",
        "lv",
    ),
    (
        "the shield at minute nine of ten",
        lambda job: said(job, Verb.WAIT, "hv", minutes=9.0),
        "proof_without_wait",
        "hv",
    ),
    (
        "the wait begun before the disconnect is out",
        lambda job: moved(job, Verb.WAIT, "hv", (Verb.REMOVE, "service-disconnect")),
        "proof_without_wait",
        "hv",
    ),
    (
        "no proof",
        lambda job: without(job, Verb.PROVE_DEAD, "hv"),
        "energy_not_made_safe",
        "hv",
    ),
    (
        "two of three pump bolts back",
        lambda job: said(job, Verb.START, "j71", count=2),
        "count_differs",
        "j71",
    ),
    (
        "the pump's bolts used again",
        lambda job: without(job, Verb.RENEW, "pump-bolts"),
        "one_time_part_back_in",
        "j71",
    ),
    (
        "a 55 mm bolt's place taken by a 35 mm one",
        lambda job: said(job, Verb.START, "j71", thread="M8x35"),
        "other_fastener",
        "j71",
    ),
    (
        "the pump's torque in the wrong unit",
        lambda job: said(job, Verb.TIGHTEN, "j71", torque=replace(torque_of(job, "j71"), unit="lbf·ft")),
        "torque_not_the_sources",
        "j71",
    ),
    (
        "the compressor undone before its strap",
        lambda job: moved(job, Verb.GUARD, "compressor-strap", (Verb.SWING_ASIDE, "compressor")),
        "support_after_what_it_holds",
        "compressor-strap",
    ),
    (
        "the compressor taken off with its lines instead of swung aside",
        lambda job: said(
            said(job, Verb.SWING_ASIDE, "compressor", verb=Verb.REMOVE), Verb.SWING_BACK, "compressor", verb=Verb.FIT
        ),
        "handled_otherwise",
        "compressor",
    ),
    (
        "0.6 l of coolant short",
        lambda job: tuple(
            replace(op, litres=op.litres - 0.6) if op.verb is Verb.FILL and op.fluid == "engine" and op.litres else op
            for op in job
        ),
        "fluid_out_is_not_in",
        "engine",
    ),
    (
        "the old pump back in",
        lambda job: without(job, Verb.RENEW, "pump"),
        "target_not_renewed",
        "pump",
    ),
    (
        "codes read before 12 V is back",
        lambda job: moved(job, Verb.READ_AFTER, "", (Verb.JOIN, "lv-negative")),
        "code_read_missing",
        "codes",
    ),
]


def torque_of(job: Job, joint: str) -> Torque:
    torque = job[place(job, Verb.TIGHTEN, joint)].torque
    assert torque is not None
    return torque


@pytest.mark.parametrize(("what", "slip", "rule", "thing"), SLIPS, ids=[slip[0] for slip in SLIPS])
def test_a_slip_is_named(plan: Plan, what: str, slip: Callable[[Job], Job], rule: str, thing: str) -> None:
    findings = found(plan, slip(plan.operations))
    assert (rule, thing) in {(finding.rule, finding.where.field) for finding in findings}, what
