"""Energies: which are needed, in which order they are made safe and given back, what waits for what.

Expectations come from the words of the contract's order rules, worked out by hand on small cars, and from a second
reading of the same rules (`contract.py`) on seeded ones.
"""

import pytest

from core.contract import Contract
from core.rich_cars import rich_car
from core.small import SOURCE, item, joint, small_car, way
from putback.core.car import Car, Energy, Proof
from putback.core.energy import (
    Demand,
    covers,
    demands,
    early,
    joined,
    made_safe_first,
    needs_of,
    restored_first,
)
from putback.core.operations import Operation, Verb
from random_cars import random_car

SEEDS = range(40)


def energy(id: str, **said: object) -> Energy:
    return Energy(id=id, kind=id, **said)  # type: ignore[arg-type]


CAR = small_car(
    item("bonnet"),
    item("flap", zone="U"),
    item("lead", ("bonnet",)),
    item("plug", ("flap", "lead"), energy=("srs",), zone="U"),
    item("tray", zone="U"),
    item("undershield", ("tray",), energy=("hv",)),
    item("box", ("undershield",), joint("j-box", ways=(way("left", "bonnet"), way("right", "tray"))), energy=("hv",)),
    item("fan", zone="U"),
    energies=(
        energy("lv", item="lead", before_it=("codes saved",)),
        energy("srs", after=("lv",)),
        energy("fuel", before=("lv",), joined=("lv",)),
        energy(
            "hv",
            item="plug",
            near=("U",),
            after=("lv",),
            proof=Proof(points=("a-b",), reach=("undershield",), source=SOURCE),
        ),
        energy("spring"),
    ),
)


def test_what_covers_an_item_is_transitive_and_takes_the_chosen_way() -> None:
    assert covers(CAR, ["plug"]) == {"flap", "lead", "bonnet"}
    assert covers(CAR, ["box"]) == {"undershield", "tray"}
    assert covers(CAR, ["box"], {"j-box": "left"}) == {"undershield", "tray", "bonnet"}
    assert covers(CAR, ["box"], {"j-box": "right"}) == {"undershield", "tray"}
    assert covers(CAR, ["bonnet"]) == frozenset()
    assert covers(CAR, ["no such thing"]) == frozenset()
    assert list(needs_of(CAR, "box", {"j-box": "left"})) == ["undershield", "bonnet"]


def test_energies_join_by_after_and_with_but_not_by_before() -> None:
    assert joined(CAR, ["hv"]) == {"hv", "lv"}
    assert joined(CAR, ["fuel"]) == {"fuel", "lv"}
    assert joined(CAR, ["lv"]) == {"lv"}
    assert joined(CAR, ["spring", "no such energy"]) == {"spring"}


def test_made_safe_first_holds_among_what_is_needed_only() -> None:
    assert made_safe_first(CAR, ["lv", "srs", "hv", "spring"]) == {("lv", "srs"), ("lv", "hv")}
    assert made_safe_first(CAR, ["lv", "fuel"]) == {("fuel", "lv")}
    assert made_safe_first(CAR, ["hv"]) == frozenset()


def test_giving_back_is_the_reverse_unless_the_file_says_otherwise() -> None:
    assert restored_first(CAR, ["lv", "srs", "hv", "fuel"]) == {("srs", "lv"), ("hv", "lv"), ("lv", "fuel")}
    stated = small_car(
        item("lead"),
        energies=(
            energy("lv", item="lead", restore_after=("hv",)),
            energy("srs", after=("lv",), restore_after=("lv",)),
            energy("hv", after=("lv",)),
            energy("gas", restore_after=("not needed here",)),
        ),
    )
    needed = ["lv", "srs", "hv", "gas"]
    assert restored_first(stated, needed) == {("hv", "lv"), ("lv", "srs")}


def test_early_is_what_making_safe_itself_asks_for() -> None:
    assert early(CAR, ["lv"]) == {"lead", "bonnet"}
    assert early(CAR, ["hv"]) == {"plug", "flap", "lead", "bonnet", "undershield", "tray"}
    assert early(CAR, ["srs", "spring"]) == frozenset()


def test_an_item_waits_for_its_own_energies_and_for_those_of_its_zone() -> None:
    wants = demands(CAR)
    assert wants["fan"] == (Demand(energy="hv", proven=True),)
    assert wants["box"] == (Demand(energy="hv", proven=True),)
    assert wants["bonnet"] == ()


def test_the_energys_own_item_does_not_wait_for_that_energy() -> None:
    assert demands(CAR)["plug"] == (Demand(energy="srs", proven=True),)


def test_what_covers_the_energys_item_does_not_wait_for_being_near() -> None:
    assert demands(CAR)["flap"] == ()


def test_what_is_off_to_reach_the_points_waits_for_the_isolation_alone() -> None:
    wants = demands(CAR)
    assert wants["undershield"] == (Demand(energy="hv", proven=False),)
    assert wants["tray"] == (Demand(energy="hv", proven=False),)


def opened(car: Car, chosen: dict[str, str]) -> Contract:
    """The second reading of a car, by the ways that were taken."""
    undone = [Operation(n=1, verb=Verb.UNDO, joint=joint, way=way) for joint, way in chosen.items()]
    return Contract(car, undone)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("make", [random_car, rich_car])
def test_two_readings_of_the_contract_agree(make: object, seed: int) -> None:
    car = random_car(seed) if make is random_car else rich_car(seed)
    chosen = {joint.id: joint.ways[seed % len(joint.ways)].id for joint in car.joints() if joint.ways}
    other = opened(car, chosen)
    wants = demands(car, chosen)
    for id in car.items:
        assert covers(car, [id], chosen) == other.all_behind(id)
        assert covers(car, [id]) == other.links_behind(id)
        assert {demand.energy: demand.proven for demand in wants[id]} == other.asked_by_item[id]
    needed = joined(car, car.energies)
    assert needed == set(car.energies)
    pairs = [(first, then) for first in needed for then in needed]
    assert made_safe_first(car, needed) == {pair for pair in pairs if other.precedes(*pair)}
    assert restored_first(car, needed) == {pair for pair in pairs if other.restored_before(*pair)}
