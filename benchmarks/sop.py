"""One idea: how many published sequential ordering problems are proved, in a table with the best known values.

`python -m benchmarks.sop` reads the instances below the folder that the environment variable PUTBACK_BENCH names:
`tsplib/*.sop` (TSPLIB95 format), `soplib/*.sop` (the dimension, then the matrix) and `bks.json` (best known bounds).
"""

import argparse
import json
import os
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from time import perf_counter

from putback.plan.order import Order, solve_matrix


def read_instance(text: str) -> list[list[int]]:
    """The cost matrix of a `.sop` file, with or without a header.

    Raises:
        ValueError: fewer numbers than the dimension asks for.
    """
    body = text.rsplit("EDGE_WEIGHT_SECTION", maxsplit=1)[-1].replace("EOF", "")
    size, *numbers = map(int, body.split())
    if len(numbers) < size * size:
        raise ValueError(f"{size * size} numbers expected, {len(numbers)} found")
    return [numbers[size * row : size * (row + 1)] for row in range(size)]


def is_right(matrix: Sequence[Sequence[int]], order: Order) -> bool:
    """Cost and precedence looked at again, pair by pair."""
    steps = order.steps
    cost = sum(matrix[a][b] for a, b in pairwise(steps))
    behind = all(matrix[a][b] != -1 for at, a in enumerate(steps) for b in steps[at + 1 :])
    return cost == order.cost and behind and sorted(steps) == list(range(len(matrix)))


def row(path: Path, known: dict[str, int | None], limit: float) -> tuple[str, bool, bool]:
    """One line of the table; proved; best known value reached."""
    matrix = read_instance(path.read_text(encoding="utf-8"))
    begun = perf_counter()
    order = solve_matrix(matrix, time_limit_s=limit)
    seconds = perf_counter() - begun
    if not is_right(matrix, order):
        raise AssertionError(f"{path.stem}: not legal, or the cost is wrong")
    lower, upper = known["lb"], known["ub"]
    reached = upper is not None and order.cost <= upper
    published = f"{upper}" if lower in (upper, None) else f"{lower} to {upper}"
    proof = "proved" if order.proved else f"gap {100 * order.gap / max(1, order.cost):.1f} %"
    cells = (path.stem, len(matrix), order.cost, order.bound, published, proof, f"{seconds:.1f}")
    return "| " + " | ".join(map(str, cells)) + " |", order.proved, reached


def table(folder: Path, names: Sequence[str], limit: float) -> None:
    """The table of one folder."""
    known = json.loads((folder.parent / "bks.json").read_text(encoding="utf-8"))
    print("\n| instance | n | cost | bound | published | | s |\n|---|---|---|---|---|---|---|")
    lines = []
    for path in sorted(folder.glob("*.sop"), key=lambda path: path.stem.lower()):
        if not names or path.stem in names:
            lines.append(row(path, known[path.stem], limit))
            print(lines[-1][0], flush=True)
    proved, reached = sum(line[1] for line in lines), sum(line[2] for line in lines)
    print(f"\n{folder.name}: of {len(lines)} proved {proved}, best published value reached on {reached}.")


def main() -> None:
    """Print the tables, or say why there are none."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="instances; all when none is named")
    parser.add_argument("--limit", type=float, default=60.0, help="seconds for each instance")
    asked = parser.parse_args()
    place = os.environ.get("PUTBACK_BENCH")
    if not place or not (Path(place) / "bks.json").exists():
        print("skipped: PUTBACK_BENCH names no folder with tsplib/, soplib/ and bks.json")
        return
    solve_matrix([[0, 1, 1], [-1, 0, 1], [-1, -1, 0]])  # machine code is made or loaded here
    for name in ("tsplib", "soplib"):
        table(Path(place) / name, asked.names, asked.limit)


if __name__ == "__main__":
    main()
