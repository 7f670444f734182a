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
from benchmarks.append.speed import speed


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
