"""Every benchmark, the quick form: `make bench`. Each prints markdown; each can be run alone, and at full length.

`python -m benchmarks bay order` runs those that are named.
"""

import subprocess
import sys

RUNS: tuple[tuple[str, str, list[str]], ...] = (
    ("access", "least work, beside CP-SAT", ["--quick"]),
    ("order", "order of work, beside CP-SAT", ["--quick"]),
    ("sop", "published ordering problems, 5 s each", ["--limit", "5"]),
    ("reading", "reading a car file, beside ruamel.yaml", []),
    ("codes_log", "logs of frames, beside python-can and can-isotp", []),
    ("fasten", "torque cards judged against the owner's wrenches, beside pint", []),
    ("learn", "links learned from recordings, beside order alone and marks alone", ["--quick"]),
    ("narrate", "narrations against their labels, and speed", []),
    ("review", "keys that a review takes, by a program at them", []),
    ("command", "the whole command, cold", []),
    ("bay", "the bay page on a slow phone, and appends beside write and fsync", []),
    ("codes_bus", "reading a car over a bus, beside udsoncan", ["--quick"]),
)


def main() -> None:
    """Run them one after the other; the first that fails ends it."""
    wanted = sys.argv[1:] or [name for name, _, _ in RUNS]
    unknown = sorted(set(wanted) - {name for name, _, _ in RUNS})
    if unknown:
        print(f"no such benchmark: {', '.join(unknown)}; there are {', '.join(name for name, _, _ in RUNS)}")
        raise SystemExit(2)
    for name, title, words in RUNS:
        if name in wanted:
            print(f"\n## {title}\n", flush=True)
            subprocess.run([sys.executable, "-m", f"benchmarks.{name}", *words], check=True)


if __name__ == "__main__":
    main()
