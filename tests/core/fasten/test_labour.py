"""Estimates: printed rows, scipy's normal distribution, and the two learning models kept apart."""

import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import ask, rows_of
from core.fasten.rows import PrintedRow
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.labour import (
    FORMULAS,
    chance_in_time,
    expected_time,
    learning_exponent,
    learning_rate,
    second_of_average,
    time_variance,
    total,
    unit_time,
)

TIMES = st.lists(st.floats(0.1, 1000), min_size=3, max_size=3).map(sorted)


@pytest.mark.parametrize("row", rows_of(FORMULAS), ids=lambda row: row.id)
def test_printed_rows(row: PrintedRow) -> None:
    assert row.agrees(ask(FORMULAS, row.formula, **row.inputs).value), row


@given(limit=st.floats(-50, 50), expected=st.floats(-50, 50), variance=st.floats(0.01, 100))
def test_the_chance_is_scipy_s(limit: float, expected: float, variance: float) -> None:
    ours = chance_in_time(limit=limit, expected=expected, variance=variance)
    assert ours == pytest.approx(scipy.stats.norm.cdf(limit, expected, variance**0.5), abs=1e-12)


@given(times=TIMES)
def test_the_expected_time_lies_between(times: list[float]) -> None:
    short, likely, long = times
    expected = expected_time(optimistic=short, likely=likely, pessimistic=long)
    assert short * (1 - 1e-12) <= expected <= long * (1 + 1e-12)
    assert time_variance(optimistic=short, likely=likely, pessimistic=long) >= 0


def test_times_out_of_order_have_no_answer() -> None:
    for function in (expected_time, time_variance):
        with pytest.raises(NotComputable, match="not in order"):
            function(optimistic=5, likely=4, pessimistic=6)


@given(rate=st.floats(0.51, 1), count=st.floats(2, 500), first=st.floats(0.1, 1000))
def test_rate_and_time_are_inverse(rate: float, count: float, first: float) -> None:
    later = unit_time(first_time=first, rate=rate, count=count)
    assert learning_rate(first_time=first, later_time=min(later, first), count=count) == pytest.approx(rate)
    assert later == pytest.approx(first * count ** -learning_exponent(rate=rate))


def test_each_doubling_takes_the_same_share() -> None:
    """The model's own statement: at 80 % the fourth unit takes 0.8 x 0.8 of the first."""
    assert unit_time(first_time=100, rate=0.8, count=4) == pytest.approx(64)


def test_the_two_models_differ_in_the_second_unit() -> None:
    # row LA-018: 0.60 in the cumulative average model, 0.80 in the unit model
    assert second_of_average(rate=0.8) == pytest.approx(0.6)
    assert unit_time(first_time=1, rate=0.8, count=2) == pytest.approx(0.8)
    with pytest.raises(NotComputable):
        second_of_average(rate=0.5)


def test_nothing_was_learnt() -> None:
    with pytest.raises(NotComputable, match="longer than the first"):
        learning_rate(first_time=10, later_time=11, count=2)


def test_a_sum_is_exact() -> None:
    assert total(values=[0.1] * 10) == 1.0
