"""One idea: a difference of two means has an interval that follows from the scatter of both and how few there are.

Welch's t interval: B. L. Welch, Biometrika 34 (1947) 28; its freedom after Satterthwaite (1946). The tests hold it
against a published worked example and an independent library.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, floor, isclose, lgamma, log, log1p, log10, sqrt
from statistics import fmean, variance
from typing import Final

_STEPS: Final = 300
_TINY: Final = 1e-300
_NEAR: Final = 1e-15
_LEAST: Final = 2
_USUAL_DECIMALS: Final = 2
_MOST_DECIMALS: Final = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """Mean after less mean before, with the ends of its interval; None where there is no scatter to judge it by."""

    before: float
    after: float
    low: float | None
    high: float | None
    freedom: float | None

    @property
    def value(self) -> float:
        """After less before."""
        return self.after - self.before

    @property
    def decimals(self) -> int:
        """So many decimals are worth showing: two digits of the interval's half.

        >>> Difference(before=1.0, after=3.0, low=1.52, high=2.48, freedom=4.0).decimals
        2
        """
        if self.low is None or self.high is None:
            return _USUAL_DECIMALS
        half = (self.high - self.low) / 2
        return min(_MOST_DECIMALS, max(0, 1 - floor(log10(half)))) if half > 0 else _MOST_DECIMALS


def welch(before: Sequence[float], after: Sequence[float], *, confidence: float) -> Difference:
    """The difference of two means, whose scatters may differ.

    Args:
        before, after: figures that do not depend on one another, two or more on each side.
        confidence: the share of such intervals that hold the true difference, between 0 and 1, [-].

    Raises:
        ValueError: there are too few figures, or the confidence is no share.

    >>> found = welch([1, 2, 3], [4, 6, 8], confidence=0.95)
    >>> found.value, round(found.low, 2), round(found.high, 2)
    (4.0, -0.16, 8.16)
    """
    if min(len(before), len(after)) < _LEAST:
        raise ValueError("two figures are needed on each side")
    if not 0 < confidence < 1:
        raise ValueError(f"a confidence lies between 0 and 1, not at {confidence:g}")
    means = fmean(before), fmean(after)
    squares = variance(before) / len(before), variance(after) / len(after)
    both = sum(squares)
    if isclose(both, 0.0, abs_tol=1e-18):
        return Difference(before=means[0], after=means[1], low=None, high=None, freedom=None)
    freedom = both**2 / (squares[0] ** 2 / (len(before) - 1) + squares[1] ** 2 / (len(after) - 1))
    half = student_quantile((1 + confidence) / 2, freedom) * sqrt(both)
    value = means[1] - means[0]
    return Difference(before=means[0], after=means[1], low=value - half, high=value + half, freedom=freedom)


def student_quantile(share: float, freedom: float) -> float:
    """The figure that Student's t stays under with this share of chance, for shares of 0.5 and above.

    >>> round(student_quantile(0.975, 10), 3)
    2.228
    """
    low, high = 0.0, 1.0
    while student_share(high, freedom) < share:
        low, high = high, high * 2
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if student_share(middle, freedom) < share else (low, middle)
    return high


def student_share(value: float, freedom: float) -> float:
    """The chance that Student's t is under a value of 0 or more, [-]."""
    return 1 - _incomplete_beta(freedom / 2, 0.5, freedom / (freedom + value * value)) / 2


def _incomplete_beta(a: float, b: float, x: float) -> float:
    """The regularized incomplete beta function, as a continued fraction (Abramowitz and Stegun 26.5.8)."""
    if x in (0.0, 1.0):
        return x
    if x > (a + 1) / (a + b + 2):
        return 1 - _incomplete_beta(b, a, 1 - x)
    front = exp(a * log(x) + b * log1p(-x) + lgamma(a + b) - lgamma(a) - lgamma(b)) / a
    return front * _fraction(a, b, x)


def _fraction(a: float, b: float, x: float) -> float:
    """The continued fraction, from its front (method of Lentz)."""
    upper, lower, value = 1.0, 0.0, 1.0
    for step in range(_STEPS):
        half = step // 2
        if step == 0:
            part = 1.0
        elif step % 2:
            part = -(a + half) * (a + b + half) * x / ((a + 2 * half) * (a + 2 * half + 1))
        else:
            part = half * (b - half) * x / ((a + 2 * half - 1) * (a + 2 * half))
        lower = 1 / ((1 + part * lower) or _TINY)
        upper = (1 + part / upper) or _TINY
        value *= upper * lower
        if step and abs(1 - upper * lower) < _NEAR:
            break
    return value - 1
