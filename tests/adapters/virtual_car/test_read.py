"""The project's reader on the virtual car: the demo's lists come over the bus; on a bad wire none is short unsaid."""

from typing import Any

import pytest

from putback.adapters.bus.reading import read_car
from putback.adapters.bus.timing import Timing
from putback.adapters.car_file import demo_path
from putback.adapters.code_lists import read_code_list
from putback.adapters.virtual_car import PAIRS, Switches, started
from putback.core.codes.lists.listing import Listing
from putback.core.codes.talk.car_read import CarRead, How
from putback.core.codes.talk.may_send import may_send
from virtual_cars import beside

STAGES: tuple[tuple[str, dict[str, Any]], ...] = (
    ("before", {}),
    ("after", {"power_was_off": True, "moved": ["radar"], "left_open": ["shutter-plug"]}),
    ("drive", {"left_open": [], "relearned": ["C1A90"], "driven": True}),
)
QUICK = tuple(pair for name, pair in PAIRS.items() if name not in ("camera", "restraints"))
SEEDS = 10
AT = "2026-01-01T08:00:00+00:00"
IMPATIENT = Timing(p2_s=0.03, allowance_s=0.02, between_frames_s=0.06, quiet_s=0.01)


def demo_list(name: str) -> Listing:
    listing = read_code_list(demo_path().with_name(f"quillet.{name}.csv")).listing
    assert isinstance(listing, Listing)
    return listing


def lines(listing: Listing) -> set[tuple[str, str, int]]:
    return {(one.module, one.code, one.bits) for one in listing.listed}


def test_the_lists_of_the_demo_come_over_the_bus() -> None:
    with started() as car, car.open() as bus:
        for name, changes in STAGES:
            car.tell(**changes)
            read = read_car(bus, QUICK, stage=name, at=AT, allowed=may_send(None, None, stands_still=True))
            listing, wanted = read.listing(name), demo_list(name)
            assert lines(listing) == lines(wanted)
            assert listing.readiness == wanted.readiness
            assert (wanted.answered or frozenset()) <= (listing.answered or frozenset())
            assert listing.silent == {"parking"}


BAD = [
    Switches(loss=0.03, at_once=True),
    Switches(twice=0.2, at_once=True),
    Switches(wrong_number=0.1, at_once=True),
    Switches(malformed=0.05, at_once=True),
    Switches(cut_off=0.3, at_once=True),
    Switches(loss=0.1, twice=0.1, wrong_number=0.1, malformed=0.05, cut_off=0.2, late_s=0.01, at_once=True),
]


@pytest.mark.parametrize("switches", BAD, ids=lambda one: str(one)[9:60])
def test_on_a_bad_wire_no_list_is_short_unsaid(switches: Switches) -> None:
    whole = 0
    for seed in range(SEEDS):
        with beside(switches=switches, seed=seed) as (bus, _):
            read = read_car(bus, QUICK[:4], stage="before", at=AT, allowed=may_send(None, None), timing=IMPATIENT)
        whole += _check(read)
    assert whole >= SEEDS * 2  # of four modules each; the reader asks again


def _check(read: CarRead) -> int:
    """How many modules answered; each of those with all that it holds."""
    wanted = {line[0]: line for line in lines(demo_list("before"))}
    answered = [one for one in read.modules if one.how is How.ANSWERED]
    by_pair = {pair: name for name, pair in PAIRS.items()}
    for one in answered:
        name = by_pair[one.pair]
        found = [(line.code, line.bits) for line in one.listed]
        assert found == ([wanted[name][1:]] if name in wanted else [])
    return len(answered)
