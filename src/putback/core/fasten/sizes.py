"""One idea: which pitches a nominal size has is a list, so that a strange pitch is asked about and not believed.

Metric: ISO 261 and ISO 262, M1.6 to M39 (from memory; M14x1.25 is the spark-plug thread there). Unified: ASME B1.1,
UNC, UNF and UNEF, number 0 to 1-1/2 (from memory). Both are checked in the tests against tables that were seen.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

_PITCHES = """
1.6: 0.35 0.2 | 2: 0.4 0.25 | 2.5: 0.45 0.35 | 3: 0.5 0.35 | 3.5: 0.6 0.35 | 4: 0.7 0.5 | 5: 0.8 0.5
6: 1 0.75 | 7: 1 0.75 | 8: 1.25 1 0.75 | 9: 1.25 1 0.75 | 10: 1.5 1.25 1 0.75 | 11: 1.5 1 0.75
12: 1.75 1.5 1.25 1 | 14: 2 1.5 1.25 1 | 15: - 1.5 1 | 16: 2 1.5 1 | 17: - 1.5 1 | 18: 2.5 2 1.5 1
20: 2.5 2 1.5 1 | 22: 2.5 2 1.5 1 | 24: 3 2 1.5 1 | 25: - 2 1.5 1 | 26: - 1.5 | 27: 3 2 1.5 1 | 28: - 2 1.5 1
30: 3.5 3 2 1.5 1 | 32: - 2 1.5 | 33: 3.5 3 2 1.5 | 35: - 1.5 | 36: 4 3 2 1.5 | 38: - 1.5 | 39: 4 3 2 1.5
"""
_THREADS = """
#0: - 80 | #1: 64 72 | #2: 56 64 | #3: 48 56 | #4: 40 48 | #5: 40 44 | #6: 32 40 | #8: 32 36 | #10: 24 32
#12: 24 28 32 | 1/4: 20 28 32 | 5/16: 18 24 32 | 3/8: 16 24 32 | 7/16: 14 20 28 | 1/2: 13 20 28 | 9/16: 12 18 24
5/8: 11 18 24 | 3/4: 10 16 20 | 7/8: 9 14 20 | 1: 8 12 20 | 1-1/8: 7 12 18 | 1-1/4: 7 12 18 | 1-3/8: 6 12 18
1-1/2: 6 12 18
"""
SERIES = ("UNC", "UNF", "UNEF")


@dataclass(frozen=True, slots=True, kw_only=True)
class MetricSize:
    """A nominal diameter with its pitches, [mm]; `coarse_mm` is None where there is no coarse pitch."""

    diameter_mm: float
    coarse_mm: float | None
    fine_mm: tuple[float, ...]

    @property
    def pitches_mm(self) -> tuple[float, ...]:
        """All pitches, [mm], the coarse one first."""
        return self.fine_mm if self.coarse_mm is None else (self.coarse_mm, *self.fine_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class UnifiedSize:
    """A size as it is written, its diameter, [in], and its threads per inch by series."""

    text: str
    diameter_in: float
    threads: Mapping[str, int]


def inches_of_size(text: str) -> float:
    """The diameter of a unified size, [in]; number n is 0.060 + 0.013 n (ASME B1.1).

    >>> inches_of_size("#10"), inches_of_size("1-1/8")
    (0.19, 1.125)
    """
    if text.startswith("#"):
        return round(0.060 + 0.013 * int(text[1:]), 3)
    whole, _, part = text.rpartition("-")
    top, _, bottom = part.partition("/")
    return float(whole or 0) + float(top) / float(bottom or 1)


def _cells(text: str) -> list[tuple[str, list[str]]]:
    cells = (cell.split(":") for cell in text.strip().replace("\n", "|").split("|"))
    return [(size.strip(), figures.split()) for size, figures in cells]


def _metric(size: str, figures: list[str]) -> MetricSize:
    coarse = None if figures[0] == "-" else float(figures[0])
    return MetricSize(diameter_mm=float(size), coarse_mm=coarse, fine_mm=tuple(map(float, figures[1:])))


def _unified(size: str, figures: list[str]) -> UnifiedSize:
    threads = {series: int(count) for series, count in zip(SERIES, figures, strict=False) if count != "-"}
    return UnifiedSize(text=size, diameter_in=inches_of_size(size), threads=MappingProxyType(threads))


METRIC: Mapping[float, MetricSize] = MappingProxyType(
    {float(size): _metric(size, figures) for size, figures in _cells(_PITCHES)}
)
UNIFIED: Mapping[str, UnifiedSize] = MappingProxyType(
    {size: _unified(size, figures) for size, figures in _cells(_THREADS)}
)
