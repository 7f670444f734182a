"""What the modules hold: the demo's own lists to the last bit, and the rules of the status byte."""

from itertools import pairwise, product

import pytest

from putback.adapters.car_file import demo_path
from putback.adapters.code_lists import read_code_list
from putback.adapters.virtual_car import MODULES, VIN, Happened, Scene, VirtualCar, open_virtual, read_scene
from putback.adapters.virtual_car.drive import SPEED_KM_H, moment, speed_at
from putback.adapters.virtual_car.happened import changed
from putback.core.codes.lists.listing import Listing
from putback.core.codes.meaning.vin import check_vin
from virtual_cars import demo_scene

WORKED = {"power_was_off": True, "moved": ["radar"], "left_open": ["shutter-plug"]}
MENDED = {"left_open": [], "mended": ["shutter-plug"], "relearned": ["C1A90"], "driven": True}
STAGES = [("before", ()), ("after", (WORKED,)), ("drive", (WORKED, MENDED))]


def happened(*changes: dict[str, object]) -> Happened:
    found = Happened()
    for one in changes:
        every = {name: sorted(MODULES) for name in ("cleared", "driven") if one.get(name) is True}
        found = changed(found, {**one, **every})
    return found


def held(scene: Scene, module: str, what: Happened) -> dict[str, int]:
    return {str(one.code): one.status for one in scene.state(module, what).held}


@pytest.mark.parametrize(("name", "changes"), STAGES)
def test_the_demo_holds_what_its_lists_say(name: str, changes: tuple[dict[str, object], ...]) -> None:
    # the lists came with the demo car and were written by hand, not by this simulator
    listing = read_code_list(demo_path().with_name(f"quillet.{name}.csv")).listing
    assert isinstance(listing, Listing)
    assert listing.readiness is not None
    scene, what = demo_scene(), happened(*changes)
    found = {(module, code, status) for module in MODULES for code, status in held(scene, module, what).items()}
    assert found == {(line.module, line.code, line.bits) for line in listing.listed}
    monitors = scene.state("engine", what).monitors
    supported = bin(monitors[1] & 0x07).count("1") + bin(monitors[2]).count("1")
    waiting = bin(monitors[1] >> 4 & 0x07).count("1") + bin(monitors[3]).count("1")
    assert (supported, supported - waiting) == (listing.readiness.supported, listing.readiness.complete)
    assert listing.answered is not None
    assert listing.answered <= set(MODULES)


def test_a_fault_that_is_there_comes_back_after_every_clear() -> None:
    scene = demo_scene()
    what = happened(WORKED, {"cleared": True})
    assert held(scene, "engine", what) == {"P1F46-13": 0x2F}
    assert held(scene, "chassis", what) == {"C1D27-13": 0x2B}


def test_after_a_clear_what_is_over_is_not_tested_since_and_not_in_this_cycle() -> None:
    # ISO 14229-1: bits 4 and 6 set, all others 0 (check values: the transition seen, the value 50 from memory)
    scene = demo_scene()
    what = happened(WORKED, {"left_open": [], "mended": ["shutter-plug"], "cleared": True})
    assert held(scene, "engine", what) == {"P1F46-13": 0x50}
    assert held(scene, "gateway", what) == {"U1C33-87": 0x50}


def test_a_code_whose_cause_is_gone_stays_stored_until_a_drive() -> None:
    scene = demo_scene()
    what = happened(WORKED, {"left_open": [], "mended": ["shutter-plug"], "relearned": ["steering angle centre"]})
    assert held(scene, "engine", what) == {"P1F46-13": 0x28}
    assert held(scene, "brake", what) == {"C1A90-54": 0x28}
    assert held(scene, "engine", changed(what, {"driven": ["engine"]})) == {}


def test_no_status_contradicts_itself() -> None:
    # ISO 14229-1 Annex D, from memory: failed in this cycle means tested in it; failed since the clear, tested since;
    # failing now means failed in this cycle
    scene = demo_scene()
    flags = product((False, True), repeat=4)
    for power, is_open, cleared, driven in flags:
        what = happened(
            {
                "power_was_off": power,
                "left_open": ["shutter-plug", "horn-plug"] if is_open else [],
                "mended": [] if is_open else ["shutter-plug"],
                "cleared": [*MODULES] if cleared else [],
                "driven": [*MODULES] if driven else [],
            }
        )
        for module in MODULES:
            for code, status in held(scene, module, what).items():
                assert not (status & 0x02 and status & 0x40), code
                assert not (status & 0x20 and status & 0x10), code
                assert not (status & 0x01 and not status & 0x02), code


def test_permanent_codes_come_with_a_drive_and_only_for_emission_codes() -> None:
    scene = demo_scene()
    what = happened({"left_open": ["coolant-temp-plug", "shutter-plug"]})
    assert scene.state("engine", what).permanent == ()
    driven = changed(what, {"driven": ["engine"]})
    assert [str(code) for code in scene.state("engine", driven).permanent] == ["P0116-13"]
    assert scene.state("body", changed(driven, {"permanent": ["P0128"]})).permanent == ()


def test_all_that_is_unknown_is_said_at_once() -> None:
    with open_virtual("virtual", "test of words") as bus, pytest.raises(ValueError, match="left_open") as caught:
        VirtualCar(bus, demo_scene(), happened=happened({"left_open": ["x"], "relearned": ["y"], "permanent": ["z"]}))
    said = str(caught.value)
    assert all(word in said for word in ("'x'", "'y'", "'z'"))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"left_open": "horn-plug"}, "list of names"),
        ({"left_open": [1]}, "no name"),
        ({"driving": 1}, "true or false"),
    ],
)
def test_a_change_of_the_wrong_kind_is_refused(change: dict[str, object], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        changed(Happened(), change)


def test_the_vehicle_number_is_one_that_its_check_digit_confirms() -> None:
    assert check_vin(VIN).warnings == ()  # invented; check values, section 1


def test_files_that_cannot_be_read_are_findings() -> None:
    found = read_scene(demo_path().with_name("no-such.car.yaml"), demo_path().with_name("no-such.csv"))
    assert isinstance(found, tuple)
    assert {finding.where.file.rsplit("/", 1)[-1] for finding in found} == {"no-such.car.yaml", "no-such.csv"}


def test_the_drive_has_no_jumps_and_comes_back_to_a_standstill() -> None:
    length = SPEED_KM_H[-1][0]
    speeds = [speed_at(tenth / 10)[0] for tenth in range(int(length * 10) + 1)]
    assert max(abs(one - other) for one, other in pairwise(speeds)) < 1.0
    assert speeds[0] == speeds[-1] == 0.0
    # a car that speeds up by v in t: a = v / t; 0 to 50 km/h in 12 s is 1.157 m/s² (computed)
    assert speed_at(14.0)[1] == pytest.approx(50 / 3.6 / 12)


def test_false_air_shows_most_at_idle() -> None:
    def trims(driving_s: float | None, *, false_air: bool) -> float:
        now = moment(run_s=100.0, driving_s=driving_s, false_air=false_air)
        return now.short_trim_percent + now.long_trim_percent

    idle = trims(None, false_air=True) - trims(None, false_air=False)
    cruise = trims(60.0, false_air=True) - trims(60.0, false_air=False)
    assert idle > 2 * cruise > 0
