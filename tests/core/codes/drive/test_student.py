"""Welch's interval against an independent library, a published worked example and a published table."""

from random import Random

import pytest
from scipy import stats

from putback.core.codes.drive.student import student_quantile, student_share, welch

SCREWS = ([30.02, 29.99, 30.11, 29.97, 30.01, 29.99], [29.89, 29.93, 29.72, 29.98, 30.02, 29.98])
"""Worked example "weights of screws" of the public encyclopedia's article on Student's t-test, unequal variances
(seen in a copy of it): difference 0.095, standard error 0.04849, freedom 7.031, t 1.959, p 0.09077."""

TABLE = [
    # freedom, two-sided 95 %, printed with three decimals; Student's table (from memory, as in any handbook)
    (1, 12.706),
    (2, 4.303),
    (5, 2.571),
    (10, 2.228),
    (30, 2.042),
    (120, 1.980),
]


def test_the_published_example() -> None:
    found = welch(*SCREWS, confidence=0.95)
    assert found.freedom == pytest.approx(7.031, abs=0.0005)
    assert found.value == pytest.approx(-0.095, abs=0.0005)
    assert found.low is not None
    assert found.high is not None
    half = (found.high - found.low) / 2
    assert half / student_quantile(0.975, 7.031) == pytest.approx(0.04849, abs=0.00002)
    assert 2 * (1 - student_share(1.959, 7.031)) == pytest.approx(0.09077, abs=0.0001)


@pytest.mark.parametrize(("freedom", "printed"), TABLE)
def test_the_printed_table(freedom: int, printed: float) -> None:
    assert student_quantile(0.975, freedom) == pytest.approx(printed, abs=0.0005)


def test_quantiles_against_the_library() -> None:
    for share in (0.5, 0.6, 0.9, 0.975, 0.995, 0.9995):
        for freedom in (1.0, 1.3, 2.0, 3.7, 10.0, 50.0, 1000.0, 1e5):
            assert student_quantile(share, freedom) == pytest.approx(stats.t.ppf(share, freedom), rel=1e-8, abs=1e-12)


def test_intervals_against_the_library() -> None:
    random = Random(5)
    for _ in range(300):
        before, after = ([random.gauss(0, scale) for _ in range(random.randint(2, 12))] for scale in (1.0, 3.0))
        confidence = random.choice((0.8, 0.95, 0.99))
        found = welch(before, after, confidence=confidence)
        theirs = stats.ttest_ind(after, before, equal_var=False)
        interval = theirs.confidence_interval(confidence)
        assert (found.low, found.high) == pytest.approx((interval.low, interval.high), rel=1e-7)
        assert found.freedom == pytest.approx(theirs.df, rel=1e-9)


def test_without_scatter_there_is_no_interval() -> None:
    found = welch([2.0, 2.0, 2.0], [5.0, 5.0, 5.0], confidence=0.95)
    assert (found.value, found.low, found.high) == (3.0, None, None)


@pytest.mark.parametrize(("before", "after", "confidence"), [([1.0], [1.0, 2.0], 0.9), ([1.0, 2.0], [1.0, 3.0], 1.0)])
def test_what_cannot_be_judged_is_refused(before: list[float], after: list[float], confidence: float) -> None:
    with pytest.raises(ValueError, match=r"two figures|between 0 and 1"):
        welch(before, after, confidence=confidence)
