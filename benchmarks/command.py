"""One idea: what the user waits for is a cold process, from the key press to the last line.

`python -m benchmarks.command` prints a markdown table: the best and the median of several runs of each command, and
beside them the same for an interpreter that does nothing, as the reference on this machine.
"""

import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from statistics import median
from time import perf_counter

from putback.adapters.car_file import demo_path

RUNS = 7
PUTBACK = (sys.executable, "-c", "from putback.faces.cli.main import main; main()")


def seconds(words: Sequence[str]) -> tuple[float, float]:
    """Best and median time of a command, [s]."""
    taken = []
    for _ in range(RUNS):
        begun = perf_counter()
        subprocess.run(words, check=True, capture_output=True)
        taken.append(perf_counter() - begun)
    return min(taken), median(taken)


def main() -> None:
    """Print the table."""
    job = (str(demo_path()), "--for", "thermostat-and-pump")
    with tempfile.TemporaryDirectory() as folder:
        files = ("--svg", str(Path(folder) / "job.svg"), "--html", str(Path(folder) / "job.html"))
        commands = {
            "an interpreter that does nothing": (sys.executable, "-c", "pass"),
            "putback --help": (*PUTBACK, "--help"),
            "putback check (the demo car)": (*PUTBACK, "check", job[0]),
            "putback plan (the demo job)": (*PUTBACK, "plan", *job),
            "putback plan --json": (*PUTBACK, "plan", *job, "--json"),
            "putback plan --svg --html": (*PUTBACK, "plan", *job, *files),
        }
        print("| command, cold | best s | median s | over the bare interpreter |\n|---|---|---|---|")
        bare = 0.0
        for name, words in commands.items():
            best, middle = seconds(words)
            bare = bare or best
            print(f"| {name} | {best:.2f} | {middle:.2f} | {best / bare:.0f} × |", flush=True)


if __name__ == "__main__":
    main()
