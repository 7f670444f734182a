"""One idea: a car file opens while the finger is still on the key, and a hostile one is refused as fast.

`python -m benchmarks.reading` prints a markdown table: our reading with every check, beside ruamel.yaml's plain
loading of the same text (no checks) in the same run.
"""

import tempfile
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

from ruamel.yaml import YAML

from putback.adapters.car_file import demo_path, read_car, read_car_text

RUNS = 5


def best(call: Callable[[], object]) -> float:
    """Best time of some calls, [s]."""
    taken = []
    for _ in range(RUNS):
        begun = perf_counter()
        call()
        taken.append(perf_counter() - begun)
    return min(taken)


def generated(count: int) -> bytes:
    """A car of so many items, each behind two others, every fifth with a joint of two ways."""
    lines = ["putback: car/1", "name: large", "zones: {top: top}", "items:"]
    for n in range(count):
        needs = ", ".join(f"i{other}" for other in {n * 7 % max(n, 1), n * 11 % max(n, 1)} if n)
        way = f"{{needs_off: [i{n * 13 % max(n, 1)}], minutes: [1, 1], id: "
        ways = f", ways: [{way}a}}, {way}b}}]" if n and n % 5 == 0 else ""
        lines += [
            f"  i{n}: {{name: item {n}, zone: top, action: remove, minutes: [1, 2], needs_off: [{needs}],",
            f"    joints: [{{id: j{n}, count: 4, kind: clip, drive: hand{ways}}}]}}",
        ]
    return "\n".join(lines).encode()


def main() -> None:
    """Print the tables."""
    print("| car file | ours, with checks, ms | ruamel.yaml, plain loading, ms | ratio |\n|---|---|---|---|")
    for name, data in (("the demo, 78 items", demo_path().read_bytes()), ("5,000 items", generated(5000))):
        ours = best(lambda data=data: read_car_text(data, "x"))  # type: ignore[misc]
        theirs = best(lambda data=data: YAML(typ="safe", pure=True).load(data))  # type: ignore[misc]
        print(f"| {name} | {1000 * ours:.0f} | {1000 * theirs:.0f} | {theirs / ours:.1f} × |", flush=True)
    print("\n| refused | ms |\n|---|---|")
    aliases = b"a: &a [x,x]\n" + b"".join(b"b%d: &b%d [*a,*a,*a,*a,*a,*a,*a,*a,*a]\n" % (n, n) for n in range(50))
    for name, data in (("aliases that stand for 9^50 words", aliases), ("a million open brackets", b"[" * 1_000_000)):
        print(f"| {name} | {1000 * best(lambda data=data: read_car_text(data, 'x')):.1f} |")  # type: ignore[misc]
    with tempfile.TemporaryDirectory() as folder:
        large = Path(folder) / "large.car.yaml"
        with large.open("wb") as file:
            file.truncate(50_000_000)
        print(f"| a file of 50 MB | {1000 * best(lambda: read_car(large)):.1f} |")


if __name__ == "__main__":
    main()
