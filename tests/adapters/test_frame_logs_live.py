"""A log that a read of the virtual car leaves says the same as the read itself: two ways through other code.

The live read puts frames together and waits as a module on the bus asks for; the replay only looks on.
"""

from dataclasses import replace
from pathlib import Path

import pytest

from putback.adapters.bus.frame_log import FrameLog, open_frame_log
from putback.adapters.bus.reading import read_car
from putback.adapters.frame_logs import read_frame_log
from putback.adapters.virtual_car import Switches
from putback.adapters.virtual_car.modules import PAIRS
from putback.core.codes.talk.car_read import CarRead, ModuleRead, Pair
from putback.core.codes.talk.may_send import may_send
from putback.core.codes.talk.replay import Replay
from virtual_cars import beside


def told(one: ModuleRead) -> tuple[object, ...]:
    """What of a module must be the same whichever way it was read."""
    lines = tuple(replace(line, module="") for line in one.listed)
    return one.how, lines, one.mask, one.permanent, one.readiness, one.vin, one.service


def by_pair(read: CarRead) -> dict[Pair, tuple[object, ...]]:
    return {one.pair: told(one) for one in read.modules}


HAPPENED = {
    ".log": Switches(),
    ".asc": Switches(at_once=True, twice=0.05),
    ".blf": Switches(at_once=True, loss=0.02, busy=1),
}


@pytest.mark.parametrize("suffix", HAPPENED)
def test_a_log_says_what_the_read_said(tmp_path: Path, suffix: str) -> None:
    pairs = list(PAIRS.values())
    path = tmp_path / f"car{suffix}"
    with beside(switches=HAPPENED[suffix]) as (bus, _):
        log = open_frame_log(path)
        assert isinstance(log, FrameLog)
        with log:
            live = read_car(
                bus, pairs, stage="before", at="2026-11-26T12:00:00+00:00", allowed=may_send(None, None), log=log
            )
    replay = Replay(stage="before")
    read = read_frame_log(path, replay.take_all)
    assert (read.frames, read.bad) == (log.count, 0)
    (again,) = replay.end().reads
    assert by_pair(again) == by_pair(live)
    assert again.vin == live.vin
