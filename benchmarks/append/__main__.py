"""One idea: both stores, side by side with a bare write and fsync, and under kill -9; figures as they come.

    python -m benchmarks.append [--count 2000] [--kill 500] [--folder DIR]

Without `--kill` the speed is measured. The folder's disk is what is measured: give one on the disk that counts.
"""

import argparse
import tempfile
from contextlib import ExitStack
from pathlib import Path

from benchmarks.append.kill import kill_rounds
from benchmarks.append.server import Server, running
from benchmarks.append.speed import many_writers, one_writer, raw, row, to_store
from putback.adapters.stores import Store, open_store

WRITERS = 8


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


def kill(folder: Path, server: Server | None, *, rounds: int) -> None:
    """Kill rounds on each store."""
    print("SQLite      ", kill_rounds(str(folder / "killed.record"), rounds=rounds, seed=1))
    if server is not None:
        print("PostgreSQL  ", kill_rounds(server.new_database("killed"), rounds=rounds, seed=2, server=server))


def main() -> None:
    """Measure what is asked for."""
    asked = argparse.ArgumentParser(prog="python -m benchmarks.append", description=__doc__)
    asked.add_argument("--count", type=int, default=2000, help="appends by one writer")
    asked.add_argument("--kill", type=int, default=0, metavar="ROUNDS", help="kill -9 so many times on each store")
    asked.add_argument("--folder", type=Path, default=None, help="where to write; the system's temporary folder")
    given = asked.parse_args()
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory(dir=given.folder)))
        server: Server | None = None
        try:
            server = stack.enter_context(running())
        except LookupError as missing:
            print(f"PostgreSQL is not measured: {missing}")
        if given.kill:
            kill(folder, server, rounds=given.kill)
        else:
            speed(folder, server, count=given.count)


if __name__ == "__main__":
    main()
