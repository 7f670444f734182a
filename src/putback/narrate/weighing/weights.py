"""One idea: clues with their weights, from a table; their sum says how likely it is."""

import csv
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

HUNDREDTHS = 100
"""Weights are hundredths of the logarithm of the odds."""


_LANE = 32
"""So many bits of one whole number are kept for the weight of each outcome, far more than any sum of weights needs."""
_HALF = 1 << (_LANE - 1)


@dataclass(frozen=True, slots=True)
class Weights:
    """For each outcome how much each clue speaks for it. `base` is what speaks for it before anything is known.

    The weights of a clue stand side by side in one whole number, so that all outcomes are summed at once.
    """

    outcomes: tuple[str, ...]
    base: tuple[int, ...]
    of: Mapping[str, tuple[int, ...]]
    _together: Mapping[str, int] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Put the weights of each clue side by side."""
        object.__setattr__(self, "_together", {clue: _side_by_side(each) for clue, each in self.of.items()})

    def odds(self, clues: Iterable[str]) -> tuple[int, ...]:
        """The logarithm of the odds of each outcome, in hundredths; a clue that is given twice counts once."""
        known = self._together.keys() & clues
        return _apart(sum(map(self._together.__getitem__, known), _side_by_side(self.base)), len(self.base))

    def best(self, clues: Iterable[str]) -> tuple[str, int]:
        """The likeliest outcome by these clues, with its odds."""
        return self.likeliest(self.odds(clues))

    def likeliest(self, odds: Sequence[int]) -> tuple[str, int]:
        """The likeliest outcome by the odds of all, with its odds; of equals the first."""
        most = max(odds)
        return self.outcomes[odds.index(most)], most

    def odds_of_one(self, clues: Iterable[str]) -> int:
        """The same where there is one outcome, of clues that are each given once."""
        return self.base[0] + sum([weights[0] for weights in map(self.of.get, clues) if weights is not None])


def _side_by_side(weights: Sequence[int]) -> int:
    """Weights, below nothing too, as one whole number: their sums are found in the sum of such numbers."""
    return sum(one << (_LANE * n) for n, one in enumerate(weights))


def _apart(whole: int, many: int) -> tuple[int, ...]:
    """The weights that stand side by side in a whole number."""
    found = []
    for _ in range(many):
        one = (whole + _HALF) % (2 * _HALF) - _HALF
        found.append(one)
        whole = (whole - one) >> _LANE
    return tuple(found)


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
