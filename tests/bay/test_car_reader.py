"""Reading in the background, without HTTP: the virtual car (invented) on python-can's own bus between threads."""

import time
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import can
import pytest

from bay.demo_record import Whole, opened
from putback.adapters.stores import open_store
from putback.adapters.virtual_car import open_virtual
from putback.bay.car_reader import CarBus, CarReader, ReadWish, first_read
from putback.bay.code_reads import reads_of
from putback.core.codes.lists.listing import Stage
from putback.core.finding import Finding, Where
from putback.core.operations import Verb
from putback.core.record.code_kinds import CODES_CLEARED
from virtual_cars import beside

LONG_S = 60.0


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Whole]:
    with open_store(str(tmp_path / "store.db"), create=True) as store:
        yield opened(store, tmp_path)


@pytest.fixture
def channel() -> Iterator[str]:
    channel = str(uuid.uuid4())
    with beside(channel):
        yield channel


def reader(channel: str) -> CarReader:
    return CarReader(bus=CarBus(name="virtual car (simulated)", open=lambda: open_virtual("virtual", channel)))


def until(said: Callable[[], bool]) -> None:
    for _ in range(3000):
        if said():
            return
        time.sleep(0.01)
    raise AssertionError("it never came")


def test_a_read_finds_the_modules_and_a_later_one_asks_the_same_again(job: Whole, channel: str) -> None:
    it = reader(channel)
    for stage in (Stage.BEFORE, Stage.AFTER_PUT_BACK):
        assert it.read(job.bay, job.job, ReadWish(stage=stage, stands_still=True, person="p1")) == ""
        assert it.wait(LONG_S)
        ended = it.ended(job.job)
        assert ended is not None
        assert "attached to the job" in ended.said
    first, second = reads_of(job.bay, job.view)
    assert first.read is not None
    assert second.read is not None
    assert first.person == "p1"
    assert first.read.bus == "virtual car (simulated)"
    assert dict(first.read.pairs) == dict(second.read.pairs)
    done = [one.verb for one in job.view.now.folded.operations]
    assert Verb.READ_BEFORE in done
    assert Verb.READ_AFTER in done


def test_with_a_sweep_more_modules_are_found(job: Whole, channel: str) -> None:
    it = reader(channel)
    it.read(job.bay, job.job, ReadWish(stage=Stage.BEFORE, stands_still=True, sweep=True))
    assert it.wait(LONG_S)
    first = first_read(job.bay, job.job)
    assert first is not None
    assert first.read is not None
    assert len(first.read.modules) == 9, "the tenth answers nothing at all"


def test_a_read_that_only_heard_some_is_made_again_with_a_sweep(job: Whole, channel: str) -> None:
    """Who forgot the sweep is not held to the few modules of that read."""
    it = reader(channel)
    for sweep in (False, True):
        it.read(job.bay, job.job, ReadWish(stage=Stage.BEFORE, stands_still=True, sweep=sweep))
        assert it.wait(LONG_S)
        ended = it.ended(job.job)
        assert ended is not None
        assert ("a sweep may find them" in ended.said) is not sweep
    heard, found = reads_of(job.bay, job.view)
    assert heard.read is not None
    assert "77D" in heard.read.unasked
    counts = first_read(job.bay, job.job)
    assert counts is not None
    assert counts.event == found.event
    assert counts.read is not None
    assert len(counts.read.modules) == 9


def test_nothing_is_sent_unless_somebody_says_that_the_vehicle_stands_still(job: Whole, channel: str) -> None:
    it = reader(channel)
    assert "stands still" in it.read(job.bay, job.job, ReadWish(stage=Stage.BEFORE, stands_still=False))
    assert it.running is None
    assert reads_of(job.bay, job.view) == ()


def test_one_thing_at_a_time_and_a_stop_keeps_what_came(job: Whole, channel: str) -> None:
    it = reader(channel)
    wish = ReadWish(stage=Stage.BEFORE, stands_still=True)
    assert it.read(job.bay, job.job, wish) == ""
    assert "just now" in it.read(job.bay, job.job, wish)
    until(lambda: (one := it.running) is None or one.done > 0)
    it.stop("another job")
    assert it.running is None or not it.running.stopping
    it.stop(job.job)
    assert it.wait(LONG_S)
    (kept,) = reads_of(job.bay, job.view)
    assert kept.stopped
    assert Verb.READ_BEFORE not in [one.verb for one in job.view.now.folded.operations], "a part is no read"


def test_a_bus_that_does_not_open_is_said(job: Whole) -> None:
    nobody = Finding(where=Where(file="bus"), what="the bus cannot be opened", mend="plug it in", rule="bus")
    it = CarReader(bus=CarBus(name="none", open=lambda: nobody))
    assert it.read(job.bay, job.job, ReadWish(stage=Stage.BEFORE, stands_still=True)) == ""
    assert it.wait(LONG_S)
    ended = it.ended(job.job)
    assert ended is not None
    assert not ended.good
    assert "plug it in" in ended.said


def test_a_driver_that_breaks_is_said_and_the_next_read_can_begin(job: Whole) -> None:
    def broken() -> can.BusABC:
        raise can.CanError("the adapter is gone")

    it = CarReader(bus=CarBus(name="broken", open=broken))
    for _ in range(2):
        assert it.read(job.bay, job.job, ReadWish(stage=Stage.BEFORE, stands_still=True)) == ""
        assert it.wait(LONG_S)
        ended = it.ended(job.job)
        assert ended is not None
        assert "the adapter is gone" in ended.said


def test_clearing_needs_a_read_from_before_and_a_fresh_question(job: Whole, channel: str) -> None:
    now = [0.0]
    it = reader(channel)
    it.clock = lambda: now[0]
    assert it.clear(job.bay, job.job, person=None)
    assert it.ask_before_clear(job.bay, job.job, stands_still=True) == ""
    assert it.wait(LONG_S)
    ended = it.ended(job.job)
    assert ended is not None
    assert "no saved read" in ended.said
    assert it.ready(job.job) is None

    it.read(job.bay, job.job, ReadWish(stage=Stage.BEFORE, stands_still=True))
    assert it.wait(LONG_S)
    it.ask_before_clear(job.bay, job.job, stands_still=True)
    assert it.wait(LONG_S)
    ready = it.ready(job.job)
    assert ready is not None
    assert ready.against == ()
    now[0] += 121
    assert it.ready(job.job) is None
    now[0] -= 121
    assert it.clear(job.bay, job.job, person="p1") == ""
    assert it.wait(LONG_S)
    event = job.view.received[-1].event
    assert event.kind == CODES_CLEARED
    assert event.body["before_sha256"] == ready.before.sha256
    assert "engine" in str(event.body["modules"])
    assert it.ready(job.job) is None, "a clear uses up what it rests on"
