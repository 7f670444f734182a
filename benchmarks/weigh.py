"""How much clues weigh: a logarithmic-linear model for each outcome, fitted on labelled narrations.

`python -m benchmarks.weigh [FOLDER …]` (folders as of `benchmarks.narrate`; default: the texts that are learned from)
writes the tables in `putback.narrate.weighing` (docs/decisions/0013-weights.md).
"""

import csv
import sys
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
from scipy.optimize import minimize
from scipy.sparse import csr_matrix

from benchmarks.narrate import HERE, Text, _group, matched, texts
from putback.narrate.hearing.understand import _Understanding, operations
from putback.narrate.lines import done_clues
from putback.narrate.lines.draft import links_in
from putback.narrate.phrase.reading import read
from putback.narrate.text.spoken import Spoken
from putback.narrate.weighing import clues, weights
from putback.narrate.weighing.likeness import of_text
from putback.narrate.weighing.weights import Weights

TABLES: Final = Path(weights.__file__).parent
SELDOM: Final = 4
"""A clue of fewer places than this is no clue."""
HELD: Final = 2.0
"""So strongly weights are held near nothing, as half of this times their squares."""
SELDOM_HEARD: Final = 9
"""The clues of segments are many."""
HELD_DONE: Final = 4.0
"""The clues of lines are fewer, and say more."""
LEAST: Final = 8
"""Weights below this, in hundredths, are left out of a table."""
HEARD: Final = ("off", "on", "tighten", "guard", "unguard", "aside", "inspect", "clean", "scan", "measure")
"""Groups of operations that a segment may tell of."""
DONE: Final = ("done",)
FOLDS: Final = 5

Case = tuple[frozenset[str], frozenset[str]]
"""What is seen of a place, and the outcomes that are true of it."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """Weights of clues for each outcome, logarithms of odds."""

    outcomes: tuple[str, ...]
    place: dict[str, int]
    matrix: Any


def of_segments(text: Text) -> list[Case]:
    """The clues of each segment of a text and the groups of the operations whose labels begin in it."""
    row = read(text.spoken.text, text.spoken.breaks).segments
    told = [set[str]() for _ in row]
    at = 0
    for label in sorted(text.gold["ops"], key=lambda one: one["pos"]):
        while at + 1 < len(row) and row[at].end - 1 <= label["pos"]:
            at += 1
        told[at].add(_group(label["verb"]))
    seen = clues.Clues(row, text.spoken.text)
    return [(frozenset(seen.of(n)), frozenset(told[n])) for n in range(len(row))]


def fitted(cases: Sequence[Case], outcomes: tuple[str, ...], *, seldom: int = SELDOM, held: float = HELD) -> Fitted:
    """The weights that make what is known of these places likeliest, held near nothing."""
    often = Counter(clue for seen, _ in cases for clue in seen)
    kept = sorted(clue for clue, places in often.items() if places >= seldom)
    place = {clue: n for n, clue in enumerate(["", *kept])}
    rows = _rows([seen for seen, _ in cases], place)
    columns = []
    for outcome in outcomes:
        true = np.array([outcome in known for _, known in cases], dtype=float)
        columns.append(_fit(rows, true, held))
    return Fitted(outcomes, place, np.array(columns).T)


def _rows(seen: Sequence[frozenset[str]], place: dict[str, int]) -> Any:
    """A row of noughts and ones for each place; the first column is always one."""
    at = [(n, place[clue]) for n, each in enumerate(seen) for clue in sorted(each) if clue in place]
    at += [(n, 0) for n in range(len(seen))]
    row, column = zip(*at, strict=True)
    return csr_matrix((np.ones(len(at)), (row, column)), shape=(len(seen), len(place)))


def _fit(rows: Any, true: Any, strongly: float) -> Any:
    def loss(weight: Any) -> tuple[float, Any]:
        odds = rows @ weight
        chance = 1 / (1 + np.exp(-odds))
        held = weight.copy()
        held[0] = 0
        return (
            float(np.logaddexp(0, odds).sum() - (true * odds).sum() + strongly * (held @ held) / 2),
            rows.T @ (chance - true) + strongly * held,
        )

    return minimize(loss, np.zeros(rows.shape[1]), jac=True, method="L-BFGS-B", options={"maxiter": 200}).x


def table(known: Fitted) -> Weights:
    """The weights as they are read, sorted by their clues, without those that hardly count."""
    rows = np.rint(known.matrix * weights.HUNDREDTHS).astype(int).tolist()
    of = {clue: tuple(one if abs(one) >= LEAST else 0 for one in rows[n]) for clue, n in known.place.items() if clue}
    return Weights(known.outcomes, tuple(rows[0]), {clue: each for clue, each in of.items() if any(each)})


def write(known: Fitted, name: str) -> None:
    """The table `NAME.csv` of what was fitted."""
    write_table(table(known), name)


def write_table(whole: Weights, name: str) -> None:
    """The table `NAME.csv`, as the program reads it."""
    with (TABLES / f"{name}.csv").open("w", encoding="utf-8", newline="") as lines:
        out = csv.writer(lines, lineterminator="\n")
        out.writerow(["clue", *whole.outcomes])
        out.writerow(["", *whole.base])
        out.writerows([clue, *(one or "" for one in each)] for clue, each in whole.of.items())


def of_lines(text: Text) -> list[Case]:
    """The clues of each line that is heard of a text, and whether its operation was labelled."""
    said = operations(text.spoken)
    true = set(matched(text.gold["ops"], said).values())
    all_clues = done_clues.clues(said, links_in(text.spoken, said), text.spoken)
    return [(frozenset(seen), frozenset(DONE if n in true else ())) for n, seen in enumerate(all_clues)]


class _Waiting(_Understanding):
    """Hears by rules alone, and keeps the clues of what waits to be weighed."""

    def __init__(self, spoken: Spoken) -> None:
        super().__init__(spoken)
        self.clues: dict[int, frozenset[str]] = {}

    def _group(self, n: int) -> str:
        seen = self.clues_of(n)
        if seen:
            self.clues[n] = frozenset(seen)
        return ""


def of_waiting(text: Text) -> list[Case]:
    """The clues of each segment that no rule hears anything in, and the groups of the labels in it that none found."""
    understanding = _Waiting(text.spoken)
    found = matched(text.gold["ops"], understanding.read())
    missed = [label for label in text.gold["ops"] if label["id"] not in found]
    cases = []
    for n, seen in understanding.clues.items():
        segment = understanding.row[n]
        told = (_group(one["verb"]) for one in missed if segment.start <= one["pos"] < segment.end)
        cases.append((seen, frozenset(told)))
    return cases


@dataclass(frozen=True, slots=True)
class Folds:
    """What is seen of each text with weights that were fitted without it."""

    waiting: list[Case]
    lines: list[Case]


def heard_by_others(found: Sequence[Text], segments: Sequence[Sequence[Case]]) -> Folds:
    """What waits to be weighed in each text, and its lines, as they are heard with weights fitted without it.

    Args:
        found: the texts.
        segments: the cases of the segments of each.
    """
    heard = [table(fitted(_left_out(segments, fold), HEARD, seldom=SELDOM_HEARD)) for fold in range(FOLDS)]
    by_text = [_with({"heard": heard[n % FOLDS]}, of_waiting, text) for n, text in enumerate(found)]
    lines = list[Case]()
    for fold in range(FOLDS):
        tables = {"heard": heard[fold], "unheard": table(fitted(_left_out(by_text, fold), HEARD))}
        lines += [case for n, text in enumerate(found) if n % FOLDS == fold for case in _with(tables, of_lines, text)]
    return Folds([case for cases in by_text for case in cases], lines)


def _left_out(cases: Sequence[Sequence[Case]], fold: int) -> list[Case]:
    """The cases of all texts but those of a fold."""
    return [case for n, each in enumerate(cases) if n % FOLDS != fold for case in each]


def _with(tables: Mapping[str, Weights], seen: Callable[[Text], list[Case]], text: Text) -> list[Case]:
    """What is seen of a text with other weights."""
    for name, each in tables.items():
        weights.use(name, each)
    of_text.cache_clear()
    cases = seen(text)
    for name in tables:
        weights.use(name, None)
    of_text.cache_clear()
    return cases


def main() -> None:
    """Write the tables."""
    folders = [Path(one) for one in sys.argv[1:]] or [HERE / "texts"]
    found = [text for folder in folders for text in texts(folder)]
    segments = [of_segments(text) for text in found]
    known = heard_by_others(found, segments)
    write(fitted(known.waiting, HEARD), "unheard")
    write(fitted(known.lines, DONE, held=HELD_DONE), "done")
    write(fitted([case for each in segments for case in each], HEARD, seldom=SELDOM_HEARD), "heard")


if __name__ == "__main__":
    main()
