"""Packs for tests: of the demo job, and of invented cars."""

import json
from collections.abc import Iterator
from functools import cache

from putback.adapters.car_file import demo_path, read_car
from putback.bay import Pack
from putback.bay.pack import pack_bytes
from putback.core.car import Action
from putback.plan.make import Settings, make_plan, wanted
from putback.plan.plan import Plan
from random_cars import random_car


@cache
def demo_plan() -> Plan:
    car = read_car(demo_path()).car
    assert car is not None
    plan = make_plan(car, wanted(car, ["thermostat-and-pump"]), settings=Settings())
    assert isinstance(plan, Plan)
    return plan


@cache
def demo_pack() -> Pack:
    pack: Pack = json.loads(pack_bytes(demo_plan()))
    return pack


def random_plans(count: int) -> Iterator[Plan]:
    """Plans of as many invented cars as can be planned."""
    seed = made = 0
    while made < count:
        car = random_car(seed, 16)
        targets = [id for id, item in car.items.items() if item.action is not Action.RENEW][-2:]
        plan = make_plan(car, wanted(car, targets), settings=Settings())
        seed += 1
        if isinstance(plan, Plan):
            made += 1
            yield plan


def random_packs(count: int) -> list[Pack]:
    return [json.loads(pack_bytes(plan)) for plan in random_plans(count)]
