"""One idea: a whole car is read in little more than its slowest module needs alone.

`python -m benchmarks.codes_bus` prints markdown tables: the virtual car (a process of its own, ten invented modules,
plain ones answering in 10 to 40 ms, the slow one after two times 78 and 0.6 s) read four at once, beside one by one
and beside a plain udsoncan client that asks one module after another, in the same run; then with frames lost.
"""

import time
from collections.abc import Sequence

import can
import isotp
from udsoncan.client import Client
from udsoncan.connections import PythonIsoTpConnection

from putback.adapters.bus.discover import SWEPT_11, Found, Sweep, discover
from putback.adapters.bus.reading import read_car
from putback.adapters.virtual_car import Handle, started
from putback.core.codes.car_read import CarRead, How, Pair
from putback.core.codes.may_send import may_send

RUNS = 5
LOSSY_RUNS = 25
CAN_BE_READ = {How.ANSWERED}


def read(bus: can.BusABC, pairs: Sequence[Pair], *, at_once: int = 4) -> tuple[CarRead, float]:
    """The read, and how long it took [s]."""
    begun = time.monotonic()
    found = read_car(bus, pairs, stage="before", at="now", allowed=may_send(None, None), at_once=at_once)
    return found, time.monotonic() - begun


def swept(bus: can.BusABC) -> tuple[Found, float]:
    begun = time.monotonic()
    found = discover(bus, sweep=Sweep(stands_still=True, ids=SWEPT_11))
    return found, time.monotonic() - begun


def udsoncan_one_by_one(handle: Handle, pairs: Sequence[Pair]) -> float:
    """Codes with status of each module by an independent client, one after another [s]; it does no more than that."""
    begun = time.monotonic()
    for pair in pairs:
        mode = isotp.AddressingMode.Normal_29bits if pair.extended else isotp.AddressingMode.Normal_11bits
        with handle.open() as bus:
            stack = isotp.CanStack(bus, address=isotp.Address(mode, txid=pair.request, rxid=pair.answer))
            with Client(PythonIsoTpConnection(stack), request_timeout=8) as client:
                client.set_config("exception_on_negative_response", False)
                client.get_dtc_by_status_mask(0xFF)
    return time.monotonic() - begun


def codes(found: CarRead) -> dict[Pair, set[tuple[str, str]]]:
    return {one.pair: {(line.code, line.status) for line in one.listed} for one in found.modules}


def print_times(handle: Handle, bus: can.BusABC) -> list[Pair]:
    found, sweep_s = swept(bus)
    pairs = [one.pair for one in found.modules]
    alone = max(read(bus, [pair])[1] for pair in pairs)
    ours = min(read(bus, pairs)[1] for _ in range(RUNS))
    single = read(bus, pairs, at_once=1)[1]
    independent = udsoncan_one_by_one(handle, pairs)
    print(f"| what | s | beside the read of {len(pairs)} modules |\n|---|---|---|")
    for name, seconds in (
        (f"sweep of {len(SWEPT_11)} ids, {found.frames_sent} frames, {len(found.not_paired)} not paired", sweep_s),
        ("read, 4 at once", ours),
        ("the slowest module alone", alone),
        ("read, one at once", single),
        ("udsoncan, one by one, codes only", independent),
    ):
        print(f"| {name} | {seconds:.2f} | {seconds / ours:.2f} × |", flush=True)
    return pairs


def print_lossy(handle: Handle, bus: can.BusABC, pairs: Sequence[Pair]) -> None:
    truth = codes(read(bus, pairs)[0])
    can_be = {one.pair for one in read(bus, pairs)[0].modules if one.how is How.ANSWERED}
    handle.tell(loss=0.03)
    whole = short = 0
    for _ in range(LOSSY_RUNS):
        found, _ = read(bus, pairs)
        now = codes(found)
        for one in found.modules:
            if one.how is How.ANSWERED:
                whole += one.pair in can_be
                short += now[one.pair] != truth[one.pair]
    handle.tell(loss=0.0)
    asked = LOSSY_RUNS * len(can_be)
    print(
        f"\n| 3 % of frames lost | of | whole | short unsaid |\n|---|---|---|---|\n| {whole} | {asked} | "
        f"{whole / asked:.2%} | {short} |"
    )


def main() -> None:
    """Print the tables."""
    with started() as handle, handle.open() as bus:
        pairs = print_times(handle, bus)
        print_lossy(handle, bus, pairs)


if __name__ == "__main__":
    main()
