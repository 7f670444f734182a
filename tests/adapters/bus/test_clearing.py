"""Clearing: once to each module, with a saved read of this car, and what it said is kept.

Services 14 and 04, answers 54 and 44: ISO 14229-1 and SAE J1979 (from memory).
"""

from collections.abc import Mapping
from dataclasses import replace

import pytest

from adapters.bus.bench import Bench, Module, Reply
from putback.adapters.bus.clearing import clear_car
from putback.adapters.bus.reading import read_car
from putback.core.codes.lists.listing import Readiness
from putback.core.codes.talk.car_read import CarRead, How, Pair
from putback.core.codes.talk.clearing import against_clearing, destroyed
from putback.core.codes.talk.may_send import May, MaySend, may_send

BY_STATUS, BY_LIST = bytes.fromhex("14FFFFFF"), b"\x04"
ENGINE, BRAKE, RADAR = (Pair(request=0x7E0 + n, answer=0x7E8 + n) for n in range(3))


def module(pair: Pair, clear: Mapping[bytes, list[Reply]], *, old: bool = False) -> Module:
    replies = {
        bytes.fromhex("1902FF"): [(0.02, bytes.fromhex("7F1911" if old else "5902FF0A9B1724"))],
        bytes.fromhex("22F190"): [(0.02, bytes.fromhex("62F190") + b"9ZZXA00A3T0000001")],
        **clear,
    }
    if old:
        replies |= {b"\x03": [(0.02, bytes.fromhex("43010102"))], b"\x07": [(0.02, bytes.fromhex("4700"))]}
    return Module(pair, replies)


def a_car() -> list[Module]:
    return [
        module(ENGINE, {BY_LIST: [(0.02, b"\x44")]}, old=True),
        module(BRAKE, {BY_STATUS: [(0.02, bytes.fromhex("7F1478")), (1.5, b"\x54")]}),
        module(RADAR, {BY_STATUS: [(0.02, bytes.fromhex("7F1422"))]}),
    ]


def read(bus: Bench, modules: list[Module], stage: str = "before") -> CarRead:
    pairs = [one.pair for one in modules]
    return read_car(bus, pairs, stage=stage, at="now", allowed=may_send(None, None), clock=bus.clock)


def test_each_module_is_told_once_by_the_service_by_which_it_gave_its_codes() -> None:
    modules = a_car()
    bus = Bench(modules)
    before, now = read(bus, modules), read(bus, modules, "after put-back")
    told = clear_car(bus, before, now, allowed=may_send(None, None, before=before), clock=bus.clock)
    assert [one.cleared for one in told] == [True, True, False]
    assert told[2].said == "conditions are not right (7F 14 22)"
    cleared = [[request for request in one.asked if request[0] in (0x04, 0x14)] for one in modules]
    assert cleared == [[BY_LIST], [BY_STATUS], [BY_STATUS]]


def test_silence_is_not_taken_for_a_clear_and_nothing_is_sent_again() -> None:
    modules = [module(BRAKE, {BY_STATUS: []})]
    bus = Bench(modules)
    before = read(bus, modules)
    (told,) = clear_car(bus, before, read(bus, modules), allowed=may_send(None, None, before=before), clock=bus.clock)
    assert told.cleared is None
    assert "whether it cleared is not known" in told.said
    assert modules[0].asked.count(BY_STATUS) == 1


@pytest.mark.parametrize("session", [True, False])
def test_a_session_that_the_clear_demands_is_entered_only_where_it_may_be_and_left(session: bool) -> None:
    modules = [
        module(
            BRAKE,
            {
                BY_STATUS: [(0.02, bytes.fromhex("7F147F"))],
                bytes.fromhex("1003"): [(0.02, bytes.fromhex("500300320064"))],
                bytes.fromhex("1001"): [(0.02, bytes.fromhex("500100320064"))],
            },
        )
    ]
    bus = Bench(modules)
    before = read(bus, modules)
    may = may_send(None, None, before=before)
    allowed = MaySend(session=May(yes=session, why="said"), sweep=may.sweep, clear=may.clear)
    (told,) = clear_car(bus, before, read(bus, modules), allowed=allowed, clock=bus.clock)
    assert told.cleared is False
    asked = [request.hex() for request in modules[0].asked if request[0] in (0x10, 0x14)]
    assert asked == (["14ffffff", "1003", "14ffffff", "1001"] if session else ["14ffffff"])


def test_a_stop_leaves_the_rest_uncleared() -> None:
    modules = [module(pair, {BY_STATUS: [(0.5, b"\x54")]}) for pair in (ENGINE, BRAKE, RADAR)]
    bus = Bench(modules)
    before = read(bus, modules)
    now = read(bus, modules)
    begun = bus.now
    allowed = may_send(None, None, before=before)
    told = clear_car(bus, before, now, allowed=allowed, stop=lambda: bus.now > begun + 0.7, clock=bus.clock)
    assert [one.cleared for one in told] == [True, None, False]
    assert [one.asked.count(BY_STATUS) for one in modules] == [1, 1, 0]


def test_what_shows_that_the_list_is_not_of_this_car() -> None:
    modules = a_car()
    bus = Bench(modules)
    before, now = read(bus, modules), read(bus, modules)
    assert against_clearing(before, now) == ()
    silent = replace(now.modules[1], how=How.SILENT)
    for old, new, why in (
        (replace(before, vin="9ZZXA00A5T0000002"), now, "is of the vehicle number 9ZZXA00A5T0000002"),
        (replace(before, vin=None), now, "no vehicle number"),
        (replace(before, stage="after clear"), now, "'after clear', not before the work"),
        (before, replace(now, stopped="stopped"), "not all asked"),
        (before, replace(now, modules=(now.modules[0], silent, now.modules[2])), "answered before and is silent now"),
        (before, replace(now, modules=now.modules[:2]), "answered before and was not asked now"),
    ):
        (reason,) = against_clearing(old, new)
        assert why in reason
        with pytest.raises(ValueError, match=r"\w"):
            clear_car(bus, old, new, allowed=may_send(None, None, before=before), clock=bus.clock)


def test_nothing_is_sent_where_it_is_not_allowed() -> None:
    modules = a_car()
    bus = Bench(modules)
    before = read(bus, modules)
    with pytest.raises(ValueError, match="no saved read"):
        clear_car(bus, before, before, allowed=may_send(None, None), clock=bus.clock)
    assert not any(request[0] in (0x04, 0x14) for one in modules for request in one.asked)


def test_what_is_destroyed_is_said() -> None:
    modules = a_car()
    now = read(Bench(modules), modules)
    engine = replace(now.modules[0], readiness=Readiness(supported=8, complete=5), permanent=("P0104",))
    loss = destroyed(replace(now, modules=(engine, *now.modules[1:])))
    assert [(line.module, line.code) for line in loss.codes] == [
        ("module 7e0", "P0102"),
        ("module 7e1", "P0A9B-17"),
        ("module 7e2", "P0A9B-17"),
    ]
    said = "\n".join(loss.words)
    for words in ("frozen", "service 06", "5 of 8 complete now", "permanent codes stay: P0104", "maker's publication"):
        assert words in said
