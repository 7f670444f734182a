"""Finding modules. The ids of the standard: ISO 15765-4 (from memory; 7DF and 18DB33F1 seen). All cars are made up.

No published table of which id answers which exists to test against: the truth is what the bench was built from.
"""

import random
from collections.abc import Iterable, Iterator
from functools import partial

import can
import pytest

from adapters.bus.bench import Bench, Damage, Module
from putback.adapters.bus.discover import SWEPT_11, SWEPT_29, Found, Sweep, discover, standard_pair
from putback.core.codes.talk.car_read import Pair

PRESENT, HERE = bytes.fromhex("3E00"), bytes.fromhex("7E00")
ABOUT, EMISSIONS = bytes.fromhex("0100"), bytes.fromhex("4100BE3EB813")
BOTH = Sweep(stands_still=True, ids=(*SWEPT_11, *SWEPT_29))
ELEVEN = Sweep(stands_still=True, ids=SWEPT_11)


def module(pair: Pair, *, functional: bool = False, delay_s: float = 0.02) -> Module:
    return Module(pair, {PRESENT: [(delay_s, HERE)]}, delay_s=delay_s, functional=functional)


def find(modules: Iterable[Module], sweep: Sweep | None = None, damage: Damage | None = None) -> tuple[Found, Bench]:
    bus = Bench(modules, damage=damage)
    return discover(bus, sweep=sweep, clock=bus.clock), bus


def pairs(found: Found) -> set[Pair]:
    return {one.pair for one in found.modules}


def test_the_ids_of_the_standard_are_found_without_a_sweep() -> None:
    engine, gearbox = Pair(request=0x7E0, answer=0x7E8), Pair(request=0x7E1, answer=0x7E9)
    gateway = Pair(request=0x18DA10F1, answer=0x18DAF110, extended=True)
    old = Module(engine, {ABOUT: [(0.02, EMISSIONS)]}, functional=True)
    found, bus = find([old, module(gearbox), module(gateway, functional=True)])
    assert pairs(found) == {engine, gearbox, gateway}
    assert not found.not_paired
    assert bus.now < 0.5


def test_only_reading_questions_in_single_frames_go_out() -> None:
    _, bus = find([module(Pair(request=0x7E0, answer=0x7E8))], BOTH)
    questions = {bytes(frame.data[1 : 1 + frame.data[0]]) for frame in bus.sent}
    assert questions <= {PRESENT, ABOUT, bytes.fromhex("1901FF")}
    assert all(len(frame.data) == 8 for frame in bus.sent)


def test_without_a_sweep_no_other_id_is_asked() -> None:
    _, bus = find([])
    asked = {frame.arbitration_id for frame in bus.sent}
    assert asked == {0x7DF, 0x18DB33F1, *range(0x7E0, 0x7E8)}


def test_who_answers_under_another_id_is_heard_and_not_guessed() -> None:
    brake = Pair(request=0x713, answer=0x77D)
    found, _ = find([module(brake, functional=True)])
    assert not found.modules
    assert found.not_paired == ((0x77D, False),)
    swept, _ = find([module(brake, functional=True)], ELEVEN)
    assert pairs(swept) == {brake}
    assert not swept.not_paired


def test_a_sweep_needs_a_person_who_says_that_the_vehicle_stands_still() -> None:
    with pytest.raises(ValueError, match="stand still"):
        Sweep(stands_still=False, ids=SWEPT_11)


def scrambled(seed: int) -> list[Module]:
    """96 pairs, half with 29 bits, ids in no order at all."""
    chance = random.Random(seed)
    low = chance.sample(range(0x600, 0x7DF), 96)
    high = chance.sample([id for id in range(256) if id != 0xF1], 96)
    found = [Pair(request=low[n], answer=low[48 + n]) for n in range(48)]
    found += [
        Pair(request=0x18DA00F1 | high[n] << 8, answer=0x18DAF100 | high[48 + n], extended=True) for n in range(48)
    ]
    return [
        Module(
            pair,
            {PRESENT: Answers(chance)},
            functional=chance.random() < 0.5,
            slow=lambda: chance.uniform(0.005, 0.04),
        )
        for pair in found
    ]


class Answers:
    """Is here, after 5 to 40 ms."""

    def __init__(self, chance: random.Random) -> None:
        self._chance = chance

    def __iter__(self) -> Iterator[tuple[float, bytes]]:
        yield self._chance.uniform(0.005, 0.04), HERE


def with_traffic(modules: list[Module], seed: int, damage: Damage | None = None) -> Bench:
    """A bus on which the car's own frames come again and again, some of which look like answers."""
    chance = random.Random(seed)
    bus = Bench(modules, damage=damage)
    live = chance.sample(range(0x100, 0x500), 12)

    def again(id: int, data: bytes, every_s: float) -> None:
        bus.emit(can.Message(arbitration_id=id, data=data, is_extended_id=False))
        bus.at(bus.now + every_s, lambda: again(id, data, every_s))

    for n, live_id in enumerate(live):
        data = bytes.fromhex("027E00CCCCCCCCCC") if n < 4 else chance.randbytes(8)
        bus.at(chance.uniform(0.0, 0.02), partial(again, live_id, data, 0.03))
    return bus


@pytest.mark.parametrize("seed", range(3))
def test_96_scrambled_pairs_are_all_found_and_none_is_wrong(seed: int) -> None:
    modules = scrambled(seed)
    bus = with_traffic(modules, seed)
    found = discover(bus, sweep=BOTH, clock=bus.clock)
    assert pairs(found) == {one.pair for one in modules}
    assert not found.not_paired


@pytest.mark.parametrize("seed", range(3))
def test_with_3_percent_of_frames_lost_no_pair_is_wrong(seed: int) -> None:
    chance = random.Random(100 + seed)
    modules = scrambled(seed)
    bus = with_traffic(modules, seed, lambda frame: () if chance.random() < 0.03 else (frame,))
    found = discover(bus, sweep=BOTH, clock=bus.clock)
    assert pairs(found) <= {one.pair for one in modules}
    assert len(found.modules) > 48


def test_ids_of_the_cars_own_traffic_are_never_asked() -> None:
    bus = Bench(scrambled(1))
    frame = can.Message(arbitration_id=0x6AB, data=bytes(8), is_extended_id=False)
    bus.at(0.01, lambda: bus.emit(frame))
    discover(bus, sweep=ELEVEN, clock=bus.clock)
    assert 0x6AB not in {one.arbitration_id for one in bus.sent}


@pytest.mark.parametrize("every_s", [0.1, 0.5, 1.0])
def test_what_the_car_sends_seldom_is_heard_before_the_sweep(every_s: float) -> None:
    bus = Bench([module(Pair(request=0x713, answer=0x77D))])

    def again() -> None:
        bus.emit(can.Message(arbitration_id=0x6AB, data=bytes(8), is_extended_id=False))
        bus.at(bus.now + every_s, again)

    bus.at(every_s, again)
    found = discover(bus, sweep=ELEVEN, clock=bus.clock)
    assert pairs(found) == {Pair(request=0x713, answer=0x77D)}
    assert 0x6AB not in {one.arbitration_id for one in bus.sent}


def test_an_id_is_let_alone_as_soon_as_somebody_speaks_under_it() -> None:
    bus = Bench([module(Pair(request=0x713, answer=0x77D))])
    spoken_at = 2.5

    def speaks() -> None:
        bus.emit(can.Message(arbitration_id=0x7A0, data=bytes(8), is_extended_id=False))
        bus.sent.clear()

    bus.at(spoken_at, speaks)
    found = discover(bus, sweep=ELEVEN, clock=bus.clock)
    assert pairs(found) == {Pair(request=0x713, answer=0x77D)}
    assert bus.sent
    assert 0x7A0 not in {one.arbitration_id for one in bus.sent}


def test_a_second_answer_that_comes_late_confirms_nothing() -> None:
    odd = Pair(request=0x18DA33F1, answer=0x18DAF108, extended=True)
    answers = [(0.02, HERE), (0.25, HERE)]
    both = [(0.02, EMISSIONS), (0.28, EMISSIONS)]
    bus = Bench([Module(odd, {PRESENT: answers, ABOUT: both}, functional=True)])
    assert not discover(bus, clock=bus.clock).modules


def test_modules_that_put_their_answer_off_are_found() -> None:
    later = bytes.fromhex("7F3E78")
    modules = [
        Module(one.pair, {PRESENT: [(0.02, later), (0.2, later), (0.6, HERE)]}, functional=one.functional)
        for one in scrambled(5)[:40]
    ]
    found, _ = find(modules, ELEVEN)
    assert pairs(found) == {one.pair for one in modules}


def test_an_id_that_two_modules_listen_to_is_no_pair() -> None:
    one, other = Pair(request=0x700, answer=0x708), Pair(request=0x701, answer=0x709)
    bus = Bench([module(one), module(other)])
    both = bus._nodes[0x700, False], bus._nodes[0x701, False]

    class Both:
        def hear_to_all(self, frame: can.Message) -> None:
            pass

        def hear(self, frame: can.Message) -> None:
            for node in both:
                node.hear(can.Message(arbitration_id=node.module.pair.request, data=frame.data, is_extended_id=False))

    bus._nodes[0x702, False] = Both()  # type: ignore[assignment] # stands for a group's id
    found = discover(bus, sweep=ELEVEN, clock=bus.clock)
    assert pairs(found) <= {one, other}


def test_an_id_that_a_group_listens_to_hides_nobody() -> None:
    modules = [one for one in scrambled(3) if not one.pair.extended][:12]
    bus = Bench(modules)
    nodes = [bus._nodes[one.pair.request, False] for one in modules]
    free = next(
        id for id in range(0x600, 0x7DF) if all(id not in (one.pair.request, one.pair.answer) for one in modules)
    )

    class Group:
        def hear_to_all(self, frame: can.Message) -> None:
            pass

        def hear(self, frame: can.Message) -> None:
            for node in nodes:
                node.hear(can.Message(arbitration_id=node.module.pair.request, data=frame.data, is_extended_id=False))

    bus._nodes[free, False] = Group()  # type: ignore[assignment] # stands for a group's id
    found = discover(bus, sweep=ELEVEN, clock=bus.clock)
    assert pairs(found) == {one.pair for one in modules}
    assert not found.not_paired


def test_a_bus_that_takes_nothing_ends_with_the_reason() -> None:
    bus = Bench([module(Pair(request=0x7E0, answer=0x7E8))])
    bus.refuses_to_send = 10**6
    found = discover(bus, sweep=ELEVEN, clock=bus.clock)
    assert not found.modules
    assert "transmit buffer full" in found.notes[-1]
    assert bus.now < 5


def test_a_bus_that_fails_on_the_way_gives_what_was_found() -> None:
    engine = Pair(request=0x7E0, answer=0x7E8)
    bus = Bench([module(engine)])
    bus.at(2.5, lambda: setattr(bus, "refuses_to_send", 10**6))
    found = discover(bus, sweep=ELEVEN, clock=bus.clock)
    assert pairs(found) == {engine}
    assert "some may be missing" in found.notes[-1]


def test_a_car_whose_pairs_are_all_alike_takes_few_frames() -> None:
    """The distance is made up; that a car's ids often lie at one distance is common practice, no source."""
    modules = [module(Pair(request=0x700 + n, answer=0x76A + n)) for n in (1, 5, 19, 37, 61, 77)]
    found, bus = find(modules, ELEVEN)
    assert pairs(found) == {one.pair for one in modules}
    assert len(bus.sent) < len(SWEPT_11) + 6 * 4 + 40


def test_a_stop_gives_what_was_found() -> None:
    engine = Pair(request=0x7E0, answer=0x7E8)
    bus = Bench([module(engine), module(Pair(request=0x713, answer=0x77D))])
    found = discover(bus, sweep=BOTH, stop=lambda: bus.now > 2.5, clock=bus.clock)
    assert pairs(found) == {engine}
    assert bus.now < 2.8


@pytest.mark.parametrize("answer", [(0x7E7, False), (0x7F0, False), (0x18DAF210, True), (0x77D, False)])
def test_ids_that_the_standard_does_not_pair(answer: tuple[int, bool]) -> None:
    assert standard_pair(answer) is None
