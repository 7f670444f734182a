"""One idea: a whole car is read in little more than its slowest module needs alone.

`python -m benchmarks.codes_bus` prints markdown tables and what is missed of the figures asked for; where anything is
missed it ends with 1. The virtual car (a process of its own, ten invented modules, plain ones answering in 10 to
40 ms, the slow one after two times 78 and 0.6 s) is swept and read four at once, beside one by one and beside
udsoncan, which asks each module the same requests. Pairing runs on the tests' bus in its own time. `--quick`: fewer
rounds.
"""

import logging
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median
from typing import TypeVar

import can
import isotp
from udsoncan.client import Client
from udsoncan.connections import PythonIsoTpConnection
from udsoncan.exceptions import NegativeResponseException
from udsoncan.Request import Request

from putback.adapters.bus.asking_all import PRESENT, Asker
from putback.adapters.bus.discover import LISTEN_BEFORE_SWEEP_S, SWEPT_11, SWEPT_29, Sweep, discover
from putback.adapters.bus.reading import read_car
from putback.adapters.bus.timing import Timing
from putback.adapters.virtual_car import Handle, started
from putback.core.codes.lists.listing import Listed
from putback.core.codes.meaning.code import read_code
from putback.core.codes.meaning.wrong import Wrong
from putback.core.codes.talk.car_read import CarRead, How, Pair
from putback.core.codes.talk.may_send import may_send

Result = TypeVar("Result")

SWEEP_AND_READ_S = 1.5
READ_BESIDE_SLOWEST = 1.10
WHOLE_OF_ALL = 0.995
JUDGED_FROM = 1000
"""With fewer reads of a module than this, one of them alone would be more than the share that may be missing."""

SILENT = "camera"
NOT_UDS = frozenset({0x01, 0x03, 0x07, 0x09, 0x0A})
"""Services of SAE J1979, which udsoncan does not know; its connection carries them all the same."""


@dataclass(frozen=True, kw_only=True)
class Rounds:
    """How often each part runs."""

    sweeps: int
    reads: int
    seeds: int
    lossy_reads: int


FULL = Rounds(sweeps=5, reads=9, seeds=12, lossy_reads=150)
QUICK = Rounds(sweeps=2, reads=2, seeds=1, lossy_reads=6)


@dataclass
class Judge:
    """Keeps what is missed."""

    missed: list[str] = field(default_factory=list)

    def asked(self, what: str, *, holds: bool) -> None:
        if not holds:
            self.missed.append(what)


def timed(run: Callable[[], Result]) -> tuple[Result, float]:
    """What it gives, and how long it took [s]."""
    begun = time.monotonic()
    found = run()
    return found, time.monotonic() - begun


def row(*cells: object) -> None:
    print(f"| {' | '.join(f'{cell:.2f}' if isinstance(cell, float) else str(cell) for cell in cells)} |", flush=True)


def heading(*cells: str) -> None:
    print()
    row(*cells)
    row(*["---"] * len(cells))


def spread(seconds: Sequence[float]) -> tuple[float, float]:
    return median(seconds), max(seconds)


# finding and reading


def read(
    bus: can.BusABC, pairs: Sequence[Pair], *, at_once: int = 4, log: Callable[[can.Message], None] | None = None
) -> CarRead:
    return read_car(bus, pairs, stage="before", at="now", allowed=may_send(None, None), at_once=at_once, log=log)


@dataclass(frozen=True, kw_only=True)
class Whole:
    """One run from nothing known to everything read; times in seconds."""

    pairs: tuple[Pair, ...]
    frames: int
    listened_s: float
    found_s: float
    read_s: float

    @property
    def spoken_s(self) -> float:
        """All of it but the listening before the first frame."""
        return self.found_s + self.read_s


def find_and_read(bus: can.BusABC, sweep: Sweep | None) -> Whole:
    steps: list[float] = []
    found, all_s = timed(lambda: discover(bus, sweep=sweep, on_progress=lambda _words: steps.append(time.monotonic())))
    slowest_first = sorted(found.modules, key=lambda one: -one.answered_in_s)
    pairs = tuple(one.pair for one in slowest_first)
    _, read_s = timed(lambda: read(bus, pairs))
    listened_s = steps[1] - steps[0]
    return Whole(
        pairs=pairs, frames=found.frames_sent, listened_s=listened_s, found_s=all_s - listened_s, read_s=read_s
    )


def print_found(handle: Handle, bus: can.BusABC, rounds: Rounds, judge: Judge) -> list[Pair]:
    """Both ways of finding, each with the read that follows; the pairs that can be found."""
    can_be = {pair for name, pair in handle.pairs.items() if name != SILENT}
    heading(
        "found by",
        "modules of 10",
        "frames",
        "listening, s",
        "finding, s",
        "reading, s",
        "finding and reading, median s",
        "worst s",
    )
    sweep_11 = Sweep(stands_still=True, ids=SWEPT_11)
    ways: Mapping[str, Sweep | None] = {"the standard's ids": None, f"sweep of {len(SWEPT_11)} ids": sweep_11}
    for name, sweep in ways.items():
        runs = [find_and_read(bus, sweep) for _ in range(rounds.sweeps)]
        middle, worst = spread([one.spoken_s for one in runs])
        parts = [
            median(part) for part in zip(*((one.listened_s, one.found_s, one.read_s) for one in runs), strict=True)
        ]
        row(name, min(len(one.pairs) for one in runs), max(one.frames for one in runs), *parts, middle, worst)
        judge.asked(f"{name}: a pair is wrong", holds=all(set(one.pairs) <= can_be for one in runs))
        if sweep is not None:
            judge.asked(f"{name}: not all of 9 modules found", holds=all(set(one.pairs) == can_be for one in runs))
            all_s = median(one.listened_s + one.spoken_s for one in runs)
            judge.asked(
                f"sweep and read: {all_s:.2f} s, {middle:.2f} s of it after listening; asked {SWEEP_AND_READ_S} s",
                holds=all_s <= SWEEP_AND_READ_S,
            )
    return sorted(can_be)


def print_reading(handle: Handle, bus: can.BusABC, pairs: Sequence[Pair], rounds: Rounds, judge: Judge) -> None:
    """The read beside its slowest module alone, one by one, and udsoncan."""
    by_time = sorted(pairs, key=lambda pair: -timed(lambda: read(bus, [pair]))[1])
    ours, alone, single, theirs = [], [], [], []
    for _ in range(rounds.reads):
        ours.append(timed(lambda: read(bus, by_time))[1])
        alone.append(timed(lambda: read(bus, by_time[:1]))[1])
        single.append(timed(lambda: read(bus, by_time, at_once=1))[1])
        theirs.append(udsoncan_one_by_one(handle, bus, by_time, judge))
    with_silent = [timed(lambda: read(bus, [*by_time, handle.pairs[SILENT]]))[1] for _ in range(rounds.reads)]
    heading(f"{len(pairs)} modules, the same requests", "median s", "worst s", "beside four at once, median")
    for name, seconds in (
        ("four at once", ours),
        ("the slowest module alone", alone),
        ("one at once", single),
        ("udsoncan over can-isotp, one by one", theirs),
        ("four at once, and the silent one asked by its ids", with_silent),
    ):
        row(name, *spread(seconds), f"{median(seconds) / median(ours):.2f} ×")
    ratio = median(one / other for one, other in zip(ours, alone, strict=True))
    print(f"\nFour at once beside the slowest alone, run by run: {ratio:.2f} ×, asked {READ_BESIDE_SLOWEST:.2f} ×")
    judge.asked(
        f"the read takes {ratio:.2f} × its slowest module; asked {READ_BESIDE_SLOWEST} ×",
        holds=ratio <= READ_BESIDE_SLOWEST,
    )


# the independent client


def udsoncan_one_by_one(handle: Handle, bus: can.BusABC, pairs: Sequence[Pair], judge: Judge) -> float:
    """The same requests by udsoncan, one module after another [s]; the codes must be the same."""
    requests: dict[Pair, list[bytes]] = defaultdict(list)
    by_request = {(pair.request, pair.extended): pair for pair in pairs}

    def note(frame: can.Message) -> None:
        pair = by_request.get((frame.arbitration_id, frame.is_extended_id))
        if pair is not None and not frame.is_rx and 0 < frame.data[0] < len(frame.data):
            requests[pair].append(bytes(frame.data[1 : 1 + frame.data[0]]))

    known = codes(read(bus, pairs, log=note))
    took_s = 0.0
    for pair in pairs:
        found, one_s = udsoncan_asks(handle, pair, requests[pair])
        took_s += one_s
        judge.asked(f"udsoncan reads other codes of {pair} than we do", holds=found == known[pair])
    return took_s


def udsoncan_asks(handle: Handle, pair: Pair, requests: Iterable[bytes]) -> tuple[set[bytes], float]:
    """Ask one module: its codes with their status as bytes, and how long the asking took, without opening [s]."""
    mode = isotp.AddressingMode.Normal_29bits if pair.extended else isotp.AddressingMode.Normal_11bits
    found: set[bytes] = set()
    with handle.open() as bus:
        stack = isotp.CanStack(bus, address=isotp.Address(mode, txid=pair.request, rxid=pair.answer))
        with Client(PythonIsoTpConnection(stack), request_timeout=8) as client:
            client.set_config("exception_on_negative_response", False)
            begun = time.monotonic()
            for request in requests:
                found |= udsoncan_asks_one(client, request)
            took_s = time.monotonic() - begun
    return found, took_s


def udsoncan_asks_one(client: Client, request: bytes) -> set[bytes]:
    if request[0] in NOT_UDS:
        client.conn.send(request)
        client.conn.wait_frame(timeout=2, exception=True)
    elif request[:2] == b"\x19\x02":
        answer = client.get_dtc_by_status_mask(request[2])
        if answer is not None and answer.positive:
            return {
                one.id.to_bytes(3, "big") + bytes([one.status.get_byte_as_int()]) for one in answer.service_data.dtcs
            }
    else:
        with suppress(NegativeResponseException):
            client.send_request(Request.from_payload(request))
    return set()


def codes(found: CarRead) -> dict[Pair, set[bytes]]:
    """Each module's codes with their status, as they were sent."""
    return {one.pair: {sent(line) for line in one.listed} for one in found.modules}


def sent(line: Listed) -> bytes:
    code = read_code(line.code)
    if isinstance(code, Wrong):
        raise AssertionError(code)
    return code.bytes + bytes([line.bits])


# pairing, on a bus in its own time


def print_pairing(rounds: Rounds, judge: Judge) -> None:
    """96 pairs in no order, 48 of 11 and 48 of 29 bits, among traffic that looks like answers."""
    sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))
    from adapters.bus.test_discover import scrambled, with_traffic  # noqa: PLC0415 - a part of the tests

    ids = (*SWEPT_11, *SWEPT_29)
    heading(f"96 scrambled pairs, {rounds.seeds} seeds, the bus's own time", "found", "wrong", "frames", "s")
    found = wrong = frames = 0
    bus_s = 0.0
    for seed in range(rounds.seeds):
        modules = scrambled(seed)
        bus = with_traffic(modules, seed)
        came = discover(bus, sweep=Sweep(stands_still=True, ids=ids), clock=bus.clock)
        truth, got = {one.pair for one in modules}, {one.pair for one in came.modules}
        found, wrong = found + len(truth & got), wrong + len(got - truth)
        frames, bus_s = frames + came.frames_sent, bus_s + bus.now
    row("by bit pattern, each pair confirmed", found, wrong, frames // rounds.seeds, bus_s / rounds.seeds)
    judge.asked(f"{wrong} scrambled pairs are wrong", holds=wrong == 0)
    judge.asked(f"{96 * rounds.seeds - found} scrambled pairs are not found", holds=found == 96 * rounds.seeds)
    found, wrong, asked_s = 0, 0, 0.0
    for seed in range(rounds.seeds):
        modules = scrambled(seed)
        bus = with_traffic(modules, seed)
        asker = Asker(bus, Timing(), clock=bus.clock)
        asker.listen(LISTEN_BEFORE_SWEEP_S)
        truth = {one.pair for one in modules}
        for id in ids:
            for one in asker.ask([id], [PRESENT], gap_s=0.0):
                pair = Pair(request=id[0], answer=one.id[0], extended=id[1]) if one.id != id else None
                found, wrong = found + (pair in truth), wrong + (pair not in truth)
        asked_s += bus.now
    row("each id asked alone, its whole wait, not confirmed", found, wrong, len(ids), asked_s / rounds.seeds)


# frames lost


def print_lossy(handle: Handle, bus: can.BusABC, pairs: Sequence[Pair], rounds: Rounds, judge: Judge) -> None:
    """Reads with 3 % of the frames lost, either way."""
    truth = read(bus, pairs)
    answering = {one.pair for one in truth.modules if one.how is How.ANSWERED}
    whole, short, seconds = 0, 0, []
    worse: Counter[str] = Counter()
    handle.tell(loss=0.03)
    for _ in range(rounds.lossy_reads):
        found, took_s = timed(lambda: read(bus, pairs))
        seconds.append(took_s)
        now = codes(found)
        for one in found.modules:
            is_whole = one.how is How.ANSWERED
            whole += is_whole and one.pair in answering
            short += is_whole and now[one.pair] != codes(truth)[one.pair]
            if not is_whole and one.pair in answering:
                worse[f"{one.module}: {one.how}"] += 1
    handle.tell(loss=0.0)
    asked = rounds.lossy_reads * len(answering)
    heading("3 % of frames lost: module reads", "whole", "short unsaid", "median s", "worst s")
    row(asked, f"{whole} ({whole / asked:.2%})", short, *spread(seconds))
    if worse:
        print("\nnot whole, and said so: " + ", ".join(f"{name} ({count})" for name, count in worse.items()))
    judge.asked(f"{short} lists are short and look whole", holds=short == 0)
    if asked >= JUDGED_FROM:
        judge.asked(f"{whole / asked:.2%} whole, asked {WHOLE_OF_ALL:.1%}", holds=whole >= WHOLE_OF_ALL * asked)
    else:
        print(f"\n{asked} are too few to judge {WHOLE_OF_ALL:.1%}; the full length does.")


def main() -> None:
    """Print the tables."""
    rounds, judge = QUICK if "--quick" in sys.argv[1:] else FULL, Judge()
    logging.getLogger("UdsClient").setLevel(logging.CRITICAL)  # refusals are expected
    with started() as handle, handle.open() as bus:
        pairs = print_found(handle, bus, rounds, judge)
        print_reading(handle, bus, pairs, rounds, judge)
        print_pairing(rounds, judge)
        print_lossy(handle, bus, pairs, rounds, judge)
    if judge.missed:
        print("\nMissed: " + "; ".join(judge.missed) + ".")
        raise SystemExit(1)


if __name__ == "__main__":
    main()
