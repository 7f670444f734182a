"""One idea: an append costs one flush of the disk; it is timed beside a bare write and fsync of the same bytes.

Bare write and stores take turns, one append each, so that a busy disk or machine hits all alike. With eight writers
turns are blocks of appends by eight threads, each writer of the bare file with a handle of its own.
"""

import os
import time
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from statistics import quantiles
from threading import Barrier, Thread

from benchmarks.append.server import Server
from benchmarks.append.worker import event, received_at
from putback.adapters.stores import Store, open_store

Append = Callable[[int], None]

WRITERS = 8


def timed(append: Append, n: int) -> float:
    """Seconds of one append."""
    started = time.perf_counter()
    append(n)
    return time.perf_counter() - started


def raw(path: Path, job: str) -> Append:
    """A bare append of event n's bytes and an fsync."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND)

    def append(n: int) -> None:
        os.write(handle, event(job, n).content)
        os.fsync(handle)

    return append


def to_store(store: Store, job: str) -> Append:
    """An append of event n to a store."""

    def append(n: int) -> None:
        store.append([event(job, n)], received_at=received_at())

    return append


def one_writer(appends: dict[str, Append], *, count: int) -> dict[str, list[float]]:
    """Seconds of `count` appends by each, taking turns."""
    times: dict[str, list[float]] = {name: [] for name in appends}
    for n in range(1, count + 1):
        for name, append in appends.items():
            times[name].append(timed(append, n))
    return times


def many_writers(appends: dict[str, list[Append]], *, count: int, block: int) -> dict[str, list[float]]:
    """Seconds of `count` appends by each writer of each kind, in turns of `block` appends."""
    times: dict[str, list[float]] = {name: [] for name in appends}
    for begin in range(1, count + 1, block):
        for name, writers in appends.items():
            times[name] += _block(writers, range(begin, begin + block))
    return times


def _block(writers: list[Append], numbers: range) -> list[float]:
    """All writers at once."""
    found: list[list[float]] = [[] for _ in writers]
    barrier = Barrier(len(writers))

    def run(append: Append, into: list[float]) -> None:
        barrier.wait()
        into.extend(timed(append, n) for n in numbers)

    threads = [Thread(target=run, args=pair) for pair in zip(writers, found, strict=True)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return [seconds for one in found for seconds in one]


def row(name: str, seconds: list[float], base: list[float]) -> str:
    """A line of the table: median and p99 in milliseconds, and both as ratios to the base's."""
    (median, p99), (base_median, base_p99) = _points(seconds), _points(base)
    ratios = f"{median / base_median:8.2f}x {p99 / base_p99:8.2f}x"
    return f"{name:<38}{median * 1000:9.2f} {p99 * 1000:9.2f} {ratios}"


def _points(seconds: list[float]) -> tuple[float, float]:
    cuts = quantiles(seconds, n=100, method="inclusive")
    return cuts[49], cuts[98]


def speed(folder: Path, server: Server | None, *, count: int) -> None:
    """One writer, then eight, each beside the bare write."""
    with ExitStack() as stack:
        stores: dict[str, Store] = {"SQLite": stack.enter_context(open_store(str(folder / "a.record"), create=True))}
        if server is not None:
            stores["PostgreSQL"] = stack.enter_context(open_store(server.new_database("speed"), create=True))
        print(f"{'':<38}{'median':>9} {'p99':>9} {'median':>9} {'p99':>9}")
        print(f"{'':<38}{'ms':>9} {'ms':>9} {'to write + fsync':>19}")
        one = one_writer(
            {"write + fsync": raw(folder / "raw", "one"), **{name: to_store(s, "one") for name, s in stores.items()}},
            count=count,
        )
        for name, seconds in one.items():
            print(row(f"{name}, 1 writer", seconds, one["write + fsync"]))
        jobs = [f"writer-{n}" for n in range(WRITERS)]
        alone, together = "write + fsync, 1 writer", f"write + fsync, {WRITERS} writers"
        many = many_writers(
            {
                alone: [raw(folder / "alone", jobs[0])],
                together: [raw(folder / "raw", job) for job in jobs],
                **{
                    f"{name}, {WRITERS} writers": [to_store(store, job) for job in jobs]
                    for name, store in stores.items()
                },
            },
            count=max(25, count // WRITERS),
            block=25,
        )
        for name, seconds in many.items():
            print(row(name, seconds, many[alone]))
        print(f"the same, to {together}")
        for name, seconds in many.items():
            print(row(name, seconds, many[together]))
