"""The audit can fail: jobs that are right are got wrong in every small way, and each harmful way must be a fault.

What is harm is decided by the judge (`judge.py`, `bench.py`, `contract.py`), which is written from the order rules
of the contract and shares no code with the audit, nor with the plan. The audit must neither miss a harm nor cry at
a change that hurts nobody.
"""

import random
from collections.abc import Callable, Iterator
from itertools import chain

import pytest

from core.judge import harms
from core.mutate import (
    Mutation,
    again,
    changes,
    doubles,
    drops,
    drops_of_things,
    drops_with_twin,
    moves,
    mutations,
    neighbours,
    numbered,
    swaps,
)
from core.rich_cars import rich_car
from putback.adapters.car_file import demo_path, read_car
from putback.core.car import Car
from putback.core.finding import Finding, Kind, faults
from putback.core.operations import Verb
from putback.core.rules import RULES, Audit, audit
from putback.plan.make import Settings, make_plan, wanted
from putback.plan.plan import Plan
from random_cars import random_car

SEEDS = range(15)

HARMLESS_DROP = {
    Verb.INSPECT: "a last look that nobody took is a note: it would have cost seconds, the car is as it should be",
    Verb.ROAD_TEST: "a job that was not driven is a note: the car is whole, taught and read",
    Verb.NOTE: "a note that names no energy says how a thing is done; no rule of order hangs on it",
}

HARMLESS_DOUBLE = {
    Verb.READ_BEFORE: "reading twice changes nothing",
    Verb.READ_AFTER: "reading twice changes nothing",
    Verb.INSPECT: "looking twice changes nothing",
    Verb.NOTE: "ticking twice changes nothing",
    Verb.WAIT: "waiting twice is longer, not shorter",
    Verb.PROVE_DEAD: "proving twice is proving",
    Verb.RENEW: "a part renewed twice is new; that a part too many was used is for the parts list",
    Verb.RELEARN: "teaching twice is teaching",
    Verb.ROAD_TEST: "driving twice is driving",
}


def plan_of(car: Car, service: str) -> Plan:
    plan = make_plan(car, wanted(car, [service]), settings=Settings(most_alternatives=1, order_time_s=5.0))
    assert isinstance(plan, Plan)
    return plan


@pytest.fixture(scope="module")
def demo() -> Plan:
    car = read_car(demo_path()).car
    assert car is not None
    return plan_of(car, "thermostat-and-pump")


@pytest.fixture(scope="module")
def plans() -> tuple[Plan, ...]:
    """Thirty jobs on invented cars: half plain, half with everything that a car file knows."""
    return tuple(plan_of(make(seed), "job") for seed in SEEDS for make in (random_car, rich_car))


def first_fault(plan: Plan, mutation: Mutation) -> Finding | None:
    """The first fault that the audit finds, rule by rule; whether there is one is all that counts here."""
    read = Audit(plan.car, mutation.operations, plan.targets)
    found = (finding for rule in RULES for finding in rule(read))
    return next((finding for finding in found if finding.kind is Kind.FAULT), None)


def harm_in(plan: Plan, mutation: Mutation) -> list[str]:
    return harms(plan.car, mutation.raw, plan.targets)


def agree(plan: Plan, ways: Iterator[Mutation]) -> int:
    """Judge and audit say the same of each mutation; how many of them are harmful."""
    harmful = 0
    for mutation in ways:
        fault, harm = first_fault(plan, mutation), harm_in(plan, mutation)
        assert bool(fault) == bool(harm), f"{plan.car.name}: {mutation}: audit {fault}, judge {harm[:3]}"
        harmful += bool(harm)
    return harmful


def test_right_jobs_are_right_for_both(demo: Plan, plans: tuple[Plan, ...]) -> None:
    for plan in (demo, *plans):
        assert harms(plan.car, plan.operations, plan.targets) == []
        assert faults(audit(plan.car, plan.operations, targets=plan.targets)) == ()


def test_no_harm_to_the_demo_job_is_missed(demo: Plan) -> None:
    """Every operation swapped with the next, or left out with its twin; where the audit is silent, so is the judge."""
    seen = 0
    job = demo.operations
    for mutation in chain(drops_with_twin(job), neighbours(job)):
        if first_fault(demo, mutation):
            seen += 1
            continue
        harm = harm_in(demo, mutation)
        assert harm == [], f"{mutation}: {harm[:3]}"
    assert seen > 300


def test_the_demo_job_got_wrong_anyhow(demo: Plan) -> None:
    chance = random.Random(2)
    job = demo.operations
    ways = [*drops_of_things(job), *swaps(job, chance, 60), *moves(job, chance), *changes(demo.car, job, chance)]
    assert agree(demo, iter(chance.sample(ways, 500))) > 400


@pytest.mark.parametrize("draw", [0, 1, 2])
def test_judge_and_audit_agree_on_every_draw(plans: tuple[Plan, ...], draw: int) -> None:
    """Of all mutations of a third of the jobs two hundred each, drawn by lot."""
    chance = random.Random(draw)
    harmful = 0
    for plan in plans[draw::3]:
        ways = list(mutations(plan.car, plan.operations, chance, many=30))
        harmful += agree(plan, iter(chance.sample(ways, min(200, len(ways)))))
    assert harmful > 1500


def test_a_second_round_is_judged_like_the_first(plans: tuple[Plan, ...]) -> None:
    """Something is found wrong at the end and the way is gone again, with one more slip or none."""
    chance = random.Random(7)
    right = 0
    for plan in plans[:15]:
        job = list(plan.operations)
        end = next(place for place, op in enumerate(job) if op.verb in (Verb.RELEARN, Verb.READ_AFTER))
        whole = numbered([*job[:end], *job[:end], *job[end:]])
        right += not harms(plan.car, whole, plan.targets)
        slips = chain(drops(whole), neighbours(whole), again(whole, chance, 5))
        late = [slip for slip in slips if slip.at > end]
        agree(
            plan,
            iter([Mutation(kind="twice", verb=Verb.NOTE, at=0, raw=whole), *chance.sample(late, min(20, len(late)))]),
        )
    assert right == len(plans[:15])


@pytest.mark.parametrize(
    ("ways", "harmless"),
    [(drops, HARMLESS_DROP), (doubles, HARMLESS_DOUBLE)],
    ids=["left out", "done twice"],
)
def test_what_may_be_left_out_or_done_twice_is_listed(
    demo: Plan, plans: tuple[Plan, ...], ways: Callable[..., Iterator[Mutation]], harmless: dict[Verb, str]
) -> None:
    """Nothing else can be left out or doubled without a fault, and all that is listed can."""
    silent = set()
    for plan in (demo, *plans[:4]):
        for mutation in ways(plan.operations):
            if first_fault(plan, mutation) is None:
                silent.add(mutation.verb)
                assert mutation.verb in harmless, f"{plan.car.name}: {mutation}"
                assert harm_in(plan, mutation) == []
    assert silent == set(harmless)
