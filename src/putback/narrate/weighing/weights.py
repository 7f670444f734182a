"""One idea: clues with their weights, from a table; their sum says how likely it is."""

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

HUNDREDTHS = 100
"""Weights are hundredths of the logarithm of the odds."""


@dataclass(frozen=True, slots=True)
class Weights:
    """For each outcome how much each clue speaks for it. `base` is what speaks for it before anything is known."""

    outcomes: tuple[str, ...]
    base: tuple[int, ...]
    of: Mapping[str, tuple[int, ...]]

    def odds(self, clues: Iterable[str]) -> tuple[int, ...]:
        """The logarithm of the odds of each outcome, in hundredths; a clue that is given twice counts once."""
        known = [weights for weights in map(self.of.get, set(clues)) if weights is not None]
        return tuple(map(sum, zip(self.base, *known, strict=True)))

    def best(self, clues: Iterable[str]) -> tuple[str, int]:
        """The likeliest outcome, with its odds."""
        odds = self.odds(clues)
        most = max(odds)
        return self.outcomes[odds.index(most)], most

    def odds_of_one(self, clues: Iterable[str]) -> int:
        """The same where there is one outcome, of clues that are each given once."""
        return self.base[0] + sum([weights[0] for weights in map(self.of.get, clues) if weights is not None])


def steps(odds: int, size: int, most: int) -> range:
    """Every step of a size that odds have reached, at most so many up or down."""
    return range(-most, max(-most, min(most, odds // size)) + 1)


_USED: dict[str, Weights] = {}


def read(name: str) -> Weights:
    """The table of weights `NAME.csv` beside this file: a column of clues, and one of each outcome."""
    return _USED.get(name) or _of_file(name)


def use(name: str, table: Weights | None) -> None:
    """Read another table under this name from now on; None: the one of the file again."""
    if table is None:
        _USED.pop(name, None)
    else:
        _USED[name] = table


@cache
def _of_file(name: str) -> Weights:
    with (Path(__file__).parent / f"{name}.csv").open(encoding="utf-8", newline="") as lines:
        (_, *outcomes), (_, *base), *rows = csv.reader(lines)
    of = {clue: tuple(map(_number, weights)) for clue, *weights in rows}
    return Weights(tuple(outcomes), tuple(map(_number, base)), of)


def _number(cell: str) -> int:
    return int(cell) if cell else 0
