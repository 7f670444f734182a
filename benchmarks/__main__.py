"""Every benchmark, the quick form: `make bench`. Each prints markdown; each can be run alone, and at full length."""

import subprocess
import sys

RUNS = (
    ("least work, beside CP-SAT", ["benchmarks.access", "--quick"]),
    ("order of work, beside CP-SAT", ["benchmarks.order", "--quick"]),
    ("published ordering problems, 5 s each", ["benchmarks.sop", "--limit", "5"]),
    ("reading a car file, beside ruamel.yaml", ["benchmarks.reading"]),
    ("the whole command, cold", ["benchmarks.command"]),
)


def main() -> None:
    """Run them one after the other; the first that fails ends it."""
    for title, words in RUNS:
        print(f"\n## {title}\n", flush=True)
        subprocess.run([sys.executable, "-m", *words], check=True)


if __name__ == "__main__":
    main()
