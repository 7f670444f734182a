"""Plans of invented cars: checked against enumeration, against the audit, and against rules that must always hold.

The enumeration here is written from the car file's contract alone and shares no code with the search.
"""

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.rich_cars import rich_car
from putback.adapters.car_file import demo_path, read_car
from putback.core.car import Action, Car, Item, Link, Origin
from putback.core.finding import faults
from putback.core.operations import ITEM_BACK, ITEM_OFF, TWIN, Operation, Verb
from putback.core.rules import audit
from putback.plan.make import Settings, make_plan, wanted
from putback.plan.plan import Impossible, Plan
from random_cars import random_car, targets_of

QUICK = Settings(order_time_s=3.0)
SLOW_MACHINE = settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])


@cache
def _demo() -> Car:
    car = read_car(demo_path()).car
    assert car is not None
    return car


def planned(car: Car, *, without: tuple[str, ...] = ()) -> Plan | Impossible:
    return make_plan(car, wanted(car, ["job"]), without=without, settings=QUICK)


# what the contract says a combination of ways costs, written out plainly


def _work(car: Car, ways: Mapping[str, str]) -> set[str]:
    """Items, energies and fluids that join: plain rules, applied until nothing is added."""
    items, energies, fluids = set(targets_of(car)), set[str](), set[str]()
    while True:
        before = (len(items), len(energies), len(fluids))
        for id in list(items):
            item = car.items[id]
            items |= {link.item for link in item.needs_off}
            energies |= set(item.energy) | {e.id for e in car.energies.values() if item.zone in e.near}
            fluids |= {f.id for f in car.fluids.values() if id in f.opened_by}
            for joint in item.joints:
                if joint.ways:
                    items |= {link.item for link in joint.way(ways[joint.id]).needs_off}
        for id in list(energies):
            energy = car.energies[id]
            energies |= set(energy.after) | set(energy.joined)
            items |= {energy.item} if energy.item else set()
            items |= set(energy.proof.reach) if energy.proof else set()
        for id in list(fluids):
            fluid = car.fluids[id]
            energies |= {fluid.energy} if fluid.energy else set()
            items |= {j.item for j in car.joints() if j.id == fluid.drain_joint}
            items |= {fluid.drain_item} if fluid.drain_item else set()
        for item in car.items.values():
            if items & set(item.renew_with_items) or fluids & set(item.renew_with_fluids):
                items.add(item.id)
        if before == (len(items), len(energies), len(fluids)):
            return items


def _circular(car: Car, work: set[str], ways: Mapping[str, str]) -> bool:
    """Whether some item of the work waits for itself, links and ways together."""
    waiting = {
        id: {link.item for link in car.items[id].needs_off}
        | {link.item for j in car.items[id].joints if j.ways for link in j.way(ways[j.id]).needs_off}
        for id in work
    }
    while free := [id for id, needs in waiting.items() if not needs & waiting.keys()]:
        for id in free:
            del waiting[id]
    return bool(waiting)


def _all_answers(car: Car, without: tuple[str, ...] = ()) -> Iterator[tuple[float, set[str], dict[str, str]]]:
    """Every legal combination of ways: minutes, items, ways of the joints of the work."""
    choosing = [joint for joint in car.joints() if joint.ways]
    seen = set()
    for picked in itertools.product(*(joint.ways for joint in choosing)):
        ways = {joint.id: way.id for joint, way in zip(choosing, picked, strict=True)}
        work = _work(car, ways)
        used = {joint.id: way for joint, way in zip(choosing, picked, strict=True) if joint.item in work}
        key = frozenset((id, way.id) for id, way in used.items())
        if key in seen:
            continue
        seen.add(key)
        drives = {joint.drive or "hand" for id in work for joint in car.items[id].joints if not joint.ways}
        if any(set(way.tools) & set(without) for way in used.values()) or drives & set(without):
            continue
        if not _circular(car, work, ways):
            minutes = sum(car.items[id].minutes for id in work) + sum(way.minutes for way in used.values())
            yield minutes, work, {id: way.id for id, way in used.items()}


def _few_ways(seed: int) -> Car:
    return random_car(seed, size=8 + seed % 6, ways=0.25)


@pytest.mark.parametrize("block", range(10))
def test_least_work_and_alternatives_equal_enumeration(block: int) -> None:
    for seed in range(block * 25, block * 25 + 25):
        car = _few_ways(seed)
        without = ("ring",) if seed % 3 == 0 else ()
        answers = sorted(_all_answers(car, without), key=lambda answer: answer[0])
        plan = planned(car, without=without)
        if not answers:
            assert isinstance(plan, Impossible), seed
            continue
        assert isinstance(plan, Plan), seed
        minutes, _, _ = answers[0]
        assert plan.minutes == pytest.approx(minutes), seed
        assert plan.proved
        assert set(plan.items) == next(work for _, work, ways in answers if ways == dict(plan.ways))
        listed = [other.minutes for other in plan.alternatives]
        assert listed == pytest.approx([answer[0] for answer in answers[: len(listed)]]), seed
        assert plan.alternatives_complete == (len(listed) == len(answers))


# every plan


@SLOW_MACHINE
@given(seed=st.integers(0, 10**6), size=st.integers(4, 30))
def test_every_plan_passes_the_audit(seed: int, size: int) -> None:
    car = random_car(seed, size=size)
    plan = planned(car)
    if isinstance(plan, Plan):
        assert faults(audit(car, plan.operations, targets=plan.targets)) == ()
        assert plan.order.cost == _literal_cost(car, plan.operations)


def _literal_cost(car: Car, operations: tuple[Operation, ...]) -> int:
    """Changes between consecutive operations that need a tool and a place; the lift keeps its position."""
    working = [op for op in operations if op.tools]
    changes = sum((a.tools != b.tools) + 2 * (a.zone != b.zone) for a, b in itertools.pairwise(working))
    lifts = [car.zones[op.zone].lift for op in working if op.zone and car.zones[op.zone].lift != "any"]
    return changes + 4 * sum(a != b for a, b in itertools.pairwise(lifts))


@SLOW_MACHINE
@given(seed=st.integers(0, 10**6))
def test_every_twin_comes_once_and_points_back(seed: int) -> None:
    plan = planned(random_car(seed, size=18))
    if not isinstance(plan, Plan):
        return
    by_number = {op.n: op for op in plan.operations}
    assert list(by_number) == list(range(1, len(plan.operations) + 1))
    for op in plan.operations:
        if op.verb in TWIN:
            assert op.twin is not None
            twin = by_number[op.twin]
            assert twin.twin == op.n
            assert twin.verb is TWIN[op.verb]
            assert (twin.item, twin.joint, twin.guard, twin.count) == (op.item, op.joint, op.guard, op.count) or (
                op.verb in (Verb.READ_BEFORE, Verb.READ_AFTER, Verb.DRAIN, Verb.FILL)
            )


@SLOW_MACHINE
@given(seed=st.integers(0, 10**6))
def test_links_hold_on_the_way_in_and_reversed_on_the_way_back(seed: int) -> None:
    car = random_car(seed, size=20)
    plan = planned(car)
    if not isinstance(plan, Plan):
        return
    off = {op.item: op.n for op in plan.operations if op.verb in ITEM_OFF}
    back = {op.item: op.n for op in plan.operations if op.verb in ITEM_BACK}
    for id, n in off.items():
        for link in car.items[id or ""].needs_off:
            assert off[link.item] < n
            assert back[link.item] > back[id]
    undone = {op.joint: op.n for op in plan.operations if op.verb is Verb.UNDO}
    for joint_id, way_id in plan.ways.items():
        for link in car.joint(joint_id).way(way_id).needs_off:
            assert off[link.item] < undone[joint_id]


@SLOW_MACHINE
@given(seed=st.integers(0, 10**6))
def test_one_more_link_never_makes_a_plan_cheaper(seed: int) -> None:
    car = random_car(seed, size=14)
    before = planned(car)
    numbered = list(car.items)
    later = numbered[-1 - seed % 5]
    earlier = numbered[seed % 5]
    item = car.items[later]
    if later == earlier or earlier in car.items[later].id:
        return
    changed = replace(item, needs_off=(*item.needs_off, Link(item=earlier)))
    after = planned(replace(car, items={**car.items, later: changed}))
    if isinstance(after, Plan):
        assert isinstance(before, Plan)
        assert after.minutes >= before.minutes


@SLOW_MACHINE
@given(seed=st.integers(0, 10**6), energy=st.sampled_from(["lift", "fuel", "lv", "srs", "hv"]))
def test_one_more_energy_never_makes_a_plan_cheaper(seed: int, energy: str) -> None:
    car = random_car(seed, size=14)
    before = planned(car)
    target = targets_of(car)[0]
    item = replace(car.items[target], energy=(*car.items[target].energy, energy))
    after = planned(replace(car, items={**car.items, target: item}))
    if isinstance(after, Plan):
        assert isinstance(before, Plan)
        assert after.minutes >= before.minutes


def test_the_same_car_gives_the_same_plan() -> None:
    car = random_car(7, size=25)
    first, second = planned(car), planned(car)
    assert isinstance(first, Plan)
    assert isinstance(second, Plan)
    assert first.operations == second.operations


def test_links_that_are_only_assumed_are_said_so_and_shorten_nothing() -> None:
    car = random_car(3, size=12, energies=False)
    target = targets_of(car)[0]
    item = car.items[target]
    links = tuple(replace(link, origin=Origin.SEEN, jobs=1) for link in item.needs_off)
    changed = replace(car, items={**car.items, target: replace(item, needs_off=links, links_complete=False)})
    sure, unsure = planned(car), planned(changed)
    assert isinstance(sure, Plan)
    assert isinstance(unsure, Plan)
    assert unsure.items == sure.items
    assert not any(finding.rule == "links" for finding in sure.findings)
    (note,) = [finding for finding in unsure.findings if finding.rule == "links"]
    assert "assumed" in note.what


@SLOW_MACHINE
@given(seed=st.integers(0, 10**6), zone=st.sampled_from("AF"), linked=st.booleans())
def test_rich_cars_with_one_time_parts_everywhere_pass_the_audit(seed: int, zone: str, linked: bool) -> None:
    """One-time items that are handled, and a bolt set whose links need not name what it goes into."""
    car = rich_car(seed, 8 + seed % 14)
    items = dict(car.items)
    handled = [id for id, item in items.items() if id.startswith("i") and item.action is not Action.RENEW]
    for id in handled[::4]:
        items[id] = replace(items[id], one_time=True)
    turned = [joint for id in handled for joint in items[id].joints if joint.one_time]
    if turned:
        host = items[turned[0].item]
        items["bolts"] = Item(
            id="bolts",
            name="bolt set",
            zone=zone,
            action=Action.RENEW,
            minutes_off=0.0,
            minutes_on=0.0,
            needs_off=host.needs_off[:1] if linked else (),
            one_time=True,
            renew_with_items=(host.id,),
            renews_joint=turned[0].id,
        )
    changed = replace(car, items=items)
    plan = planned(changed)
    if isinstance(plan, Plan):
        assert faults(audit(changed, plan.operations, targets=plan.targets)) == ()


@pytest.mark.parametrize("target", [item.id for item in _demo().items.values() if item.action is not Action.RENEW])
def test_every_item_of_the_demo_can_be_the_job(target: str) -> None:
    """Whatever is renewed on the demo car, the plan passes its audit, and fluids are filled behind closed drains."""
    car = _demo()
    plan = make_plan(car, wanted(car, [target]), settings=QUICK)
    assert isinstance(plan, Plan)
    assert faults(audit(car, plan.operations, targets=plan.targets)) == ()
