"""Invented cars with everything that the plain seeded ones lack: each rule of order has something to be about."""

import random
from collections.abc import Mapping
from dataclasses import replace

from putback.core.car import (
    END,
    START,
    Action,
    Car,
    Energy,
    Fluid,
    Guard,
    Item,
    Joint,
    Link,
    Proof,
    Relearn,
    Wait,
)
from putback.core.quantity import Torque
from putback.core.thread import read_thread
from random_cars import random_car, targets_of

SOURCE = "invented"


def rich_car(seed: int, size: int = 14) -> Car:
    """A seeded car with one-time targets and bolts, standing guards, a loop let out at an item, and more energies."""
    car = random_car(seed, size)
    chance = random.Random(seed)
    handled = [id for id, item in car.items.items() if item.action is not Action.RENEW and id.startswith("i")]
    items = dict(car.items)
    for id in targets_of(car):
        items[id] = replace(items[id], one_time=True)
    for id in chance.sample(handled, 3):
        items[id] = replace(items[id], energy=(*items[id].energy, chance.choice(["spring", "steam"])))
    held = [id for id in handled if not items[id].joints and items[id].action is not Action.UNPLUG]
    for id in held[:2]:
        items |= _bolted(items[id])
    removed = [id for id in handled if items[id].action is Action.REMOVE]
    loops = {"oil": _loop(removed[0])} if removed else {}
    return replace(
        car,
        items=items,
        energies=dict(car.energies) | _more_energies(handled[0]),
        guards=dict(car.guards) | _standing(chance, handled, items),
        fluids=dict(car.fluids) | loops,
        relearn=(*car.relearn, *(Relearn(what=f"aim of {id}", after=id) for id in handled[::3])),
    )


def _bolted(item: Item) -> dict[str, Item]:
    """An item with two joints of different length, and the item that brings the new bolts of one of them."""
    joints = tuple(
        Joint(
            id=f"{item.id}-b{n}",
            item=item.id,
            count=2 + n,
            kind="bolt",
            thread=read_thread(f"M8x{30 + 10 * n}"),
            drive="hex10",
            torque=Torque(value=18.0, unit="lbf·ft"),
            source=SOURCE,
        )
        for n in range(2)
    )
    bolts = Item(
        id=f"{item.id}-bolts",
        name=f"bolts of {item.id}",
        zone=item.zone,
        action=Action.RENEW,
        minutes_off=0.0,
        minutes_on=0.5,
        needs_off=(Link(item=item.id),),
        one_time=True,
        renew_with_items=(item.id,),
        renews_joint=joints[0].id,
    )
    return {item.id: replace(item, joints=joints), bolts.id: bolts}


def _loop(id: str) -> Fluid:
    return Fluid(id="oil", litres=2.0, tolerance_l=0.1, energy="steam", drain_item=id, opened_by=(id,), source=SOURCE)


def _more_energies(first: str) -> dict[str, Energy]:
    """A spring that joins the steam in no order; a steam whose wait nobody knows."""
    return {
        "spring": Energy(id="spring", kind="spring", joined=("steam",), proof=Proof(check="locked", source=SOURCE)),
        "steam": Energy(
            id="steam",
            kind="steam",
            restore_after=(),
            wait=Wait(minutes=None, start="lead", source=None),
            after=("lv",),
            proof=Proof(check="no hiss", source=SOURCE),
        ),
    }


def _standing(chance: random.Random, handled: list[str], items: Mapping[str, Item]) -> dict[str, Guard]:
    """Guards that stand behind an item: until it goes back, until another does, or to the end."""
    first, second, third = chance.sample(handled, 3)
    covers = [link.item for link in items[second].needs_off]
    spans = {
        "board": (first, None),
        "bag": (second, covers[0] if covers else second),
        "blanket": (third, END),
        "mat": (START, chance.choice(handled)),
    }
    return {
        id: Guard(id=id, name=f"the {id}", zone="A", pieces=1, in_after=since, out_before=until)
        for id, (since, until) in spans.items()
    }
