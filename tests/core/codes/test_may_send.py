"""What may be sent while the job stands as it does. The rule is the project's own: a published one is not known."""

from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest

import putback.data
from putback.adapters.car_file import read_car
from putback.core.car import Car
from putback.core.codes.talk.car_read import CarRead, How, ModuleRead, Pair
from putback.core.codes.talk.may_send import may_send, open_connectors
from putback.core.job import JobState, Seat, fold
from putback.core.operations import Operation, Verb

DEMO = Path(putback.data.__file__).parent / "demo" / "quillet.car.yaml"


@pytest.fixture(scope="module")
def car() -> Car:
    found = read_car(DEMO).car
    assert found is not None
    return found


def before(**change: object) -> CarRead:
    module = ModuleRead(module="engine", pair=Pair(request=0x7E0, answer=0x7E8), how=How.ANSWERED)
    read = CarRead(stage="before", at="2026-11-26T10:00:00+00:00", bus="bench", modules=(module,))
    return replace(read, **change)  # type: ignore[arg-type] # the fields that a test changes


def test_without_a_job_the_person_has_to_know() -> None:
    may = may_send(None, None)
    assert may.session.yes
    assert "for you to know" in may.session.why
    assert not may.sweep.yes
    assert not may.clear.yes


def test_a_sweep_needs_a_vehicle_that_is_said_to_stand_still(car: Car) -> None:
    assert not may_send(car, JobState()).sweep.yes
    assert may_send(car, JobState(), stands_still=True).sweep.yes


def restraints_and_high_voltage(car: Car) -> set[str]:
    """By the demo's own words: kind restraints or high voltage; its item, or an item that carries it."""
    kinds = {id for id, energy in car.energies.items() if energy.kind in ("restraints", "high voltage")}
    carried = {item.id for item in car.items.values() if set(item.energy) & kinds}
    return carried | {item for id in kinds if (item := car.energies[id].item)}


def test_each_restraint_or_high_voltage_item_that_is_open_forbids_all_but_reading(car: Car) -> None:
    dangerous = restraints_and_high_voltage(car)
    assert {"service-disconnect"} < dangerous
    seats = (Seat.OFF, Seat.UNPLUGGED, Seat.PARTED, Seat.ASIDE, Seat.FOLDED, Seat.IN_PLACE)
    for id, seat in product(car.items, seats):
        may = may_send(car, JobState(items={id: seat}), stands_still=True, before=before())
        closed = id not in dangerous or seat not in seats[:3]
        assert may.session.yes is may.sweep.yes is may.clear.yes is closed, (id, seat)
        if not closed:
            assert car.items[id].name in may.session.why


def test_it_is_allowed_again_once_it_is_back(car: Car) -> None:
    out = Operation(n=1, verb=Verb.REMOVE, item="service-disconnect")
    back = Operation(n=2, verb=Verb.FIT, item="service-disconnect")
    assert not may_send(car, fold([out])).session.yes
    assert may_send(car, fold([out, back])).session.yes


def test_an_isolation_without_an_item_of_its_own_counts_as_open(car: Car) -> None:
    bare = replace(car, energies={**car.energies, "hv": replace(car.energies["hv"], item=None)})
    assert list(open_connectors(bare, JobState(energies={"hv": Seat.PROVEN}))) == ["hv (proved gone)"]
    assert not list(open_connectors(bare, JobState(energies={"lv": Seat.ISOLATED})))


def test_volts_alone_make_high_voltage(car: Car) -> None:
    energy = replace(car.energies["lv"], kind="drive battery", volts=318.0)
    other = replace(car, energies={**car.energies, "lv": energy})
    assert list(open_connectors(other, JobState(items={"lv-negative": Seat.OFF})))
    assert not list(open_connectors(car, JobState(items={"lv-negative": Seat.OFF})))


def test_a_doubt_leaves_only_reading(car: Car) -> None:
    may = may_send(car, JobState(), stands_still=True, before=before(), doubt="an event cannot be read")
    assert not (may.session.yes)
    assert not (may.sweep.yes)
    assert not (may.clear.yes)
    assert may.session.why == "an event cannot be read"


def test_clearing_needs_a_whole_saved_read() -> None:
    assert may_send(None, None, before=before()).clear.yes
    module = before().modules[0]
    for bad in (
        None,
        before(stopped="stopped before every module was asked"),
        before(modules=()),
        before(modules=(module, replace(module, module="brake", how=How.PARTIAL))),
    ):
        may = may_send(None, None, before=bad)
        assert not may.clear.yes
        assert may.clear.why
