"""One idea: how long work takes is an estimate with a spread, never one figure.

Source: three-point estimate (PERT) and the unit learning model, as worked in the pages named in the rows of
tests/core/fasten/printed/labour.csv.
"""

import math
from collections.abc import Sequence

from putback.core.fasten.answer import Formula, Input, Kind, NotComputable, Row

_PERT = "three-point estimate (PERT); worked at baelearn.uncg.edu scm304 6.3.1"
_LEARNING = "unit learning model; worked at business-analysis-made-easy.com (learning curve)"
_THREE = "optimistic <= likely <= pessimistic; a guess of three times, no measurement"


def expected_time(*, optimistic: float, likely: float, pessimistic: float) -> float:
    """Expected time of a task from three guesses, in their unit.

    Args:
        optimistic: a, if all goes well, in any unit of time.
        likely: m, most often, in the same unit.
        pessimistic: b, if all goes badly, in the same unit.

    Raises:
        NotComputable: the three are not in order.

    Valid for: optimistic <= likely <= pessimistic.
    Source: te = (a + 4 m + b) / 6.

    >>> expected_time(optimistic=6, likely=7, pessimistic=14)
    8.0
    """
    _in_order(optimistic, likely, pessimistic)
    return (optimistic + 4 * likely + pessimistic) / 6


def time_variance(*, optimistic: float, likely: float, pessimistic: float) -> float:
    """Variance of a task's time from three guesses, in their unit squared.

    Args:
        optimistic: a, in any unit of time.
        likely: m, in the same unit; it only has to lie between the others.
        pessimistic: b, in the same unit.

    Raises:
        NotComputable: the three are not in order.

    Valid for: optimistic <= likely <= pessimistic.
    Source: ((b - a) / 6)^2.

    >>> round(time_variance(optimistic=6, likely=7, pessimistic=14), 2)
    1.78
    """
    _in_order(optimistic, likely, pessimistic)
    return ((pessimistic - optimistic) / 6) ** 2


def _in_order(optimistic: float, likely: float, pessimistic: float) -> None:
    if not optimistic <= likely <= pessimistic:
        raise NotComputable("the three times are not in order", "give the shortest, the likely and the longest time")


def total(*, values: Sequence[float]) -> float:
    """Sum of values, such as the variances along a path of tasks, in their unit.

    Args:
        values: in one unit.

    Valid for: variances of independent tasks, one after the other.
    Source: the variance of a sum of independent values is the sum of their variances.

    >>> total(values=(4.0, 0.5))
    4.5
    """
    return math.fsum(values)


def chance_in_time(*, limit: float, expected: float, variance: float) -> float:
    """The chance that work is done within a limit, 0 to 1, [-].

    Args:
        limit: the time allowed, in any unit of time.
        expected: expected time, in the same unit.
        variance: variance of the time, in that unit squared, above 0.

    Valid for: a sum of several independent tasks, none of which outweighs the rest (normal distribution).
    Source: Phi((T - mu) / sd).

    >>> round(chance_in_time(limit=28, expected=24, variance=5), 2)
    0.96
    """
    deviation = (limit - expected) / math.sqrt(variance)
    return 0.5 * math.erfc(-deviation / math.sqrt(2))


def learning_exponent(*, rate: float) -> float:
    """The exponent b of the learning curve Tn = T1 n^-b, [-].

    Args:
        rate: what the time falls to with each doubling of the count, above 0, at most 1 [-].

    Valid for: the unit model, in which each doubling takes the same share off the single unit's time.
    Source: b = -log2(rate).

    >>> round(learning_exponent(rate=0.8), 3)
    0.322
    """
    return -math.log2(rate) + 0.0


def learning_rate(*, first_time: float, later_time: float, count: float) -> float:
    """The learning rate from the times of the first and a later unit, [-].

    Args:
        first_time: T1, time of the first unit, in any unit of time.
        later_time: Tn, time of unit number n, in the same unit.
        count: n, above 1.

    Raises:
        NotComputable: the later unit took longer than the first: nothing was learnt.

    Valid for: the unit model.
    Source: rate = (Tn / T1)^(1 / log2 n).

    >>> learning_rate(first_time=10, later_time=1.25, count=8)
    0.5
    """
    if later_time > first_time:
        raise NotComputable("the later one took longer than the first", "look for another reason than learning")
    return float((later_time / first_time) ** (1 / math.log2(count)))


def unit_time(*, first_time: float, rate: float, count: float) -> float:
    """The time of unit number n, in the unit of the first time.

    Args:
        first_time: T1, in any unit of time.
        rate: what the time falls to with each doubling of the count, above 0, at most 1 [-].
        count: n, at least 1.

    Valid for: the unit model; the cumulative average model gives other figures (see `second_of_average`).
    Source: Tn = T1 n^(log2 rate).

    >>> round(unit_time(first_time=10, rate=0.8, count=2), 9)
    8.0
    """
    return float(first_time * count ** math.log2(rate))


def second_of_average(*, rate: float) -> float:
    """The second unit's time in the cumulative average model, as a share of the first, [-].

    Args:
        rate: what the average of all units falls to with each doubling of the count [-].

    Raises:
        NotComputable: a rate of 0.5 or less would leave no time at all for the second.

    Valid for: the cumulative average model only; in the unit model the second takes `rate`.
    Source: 2 rate - 1; maxwideman.com, appendix 2, model A.

    >>> round(second_of_average(rate=0.8), 9)
    0.6
    """
    if rate <= 0.5:
        raise NotComputable("in this model a rate of 0.5 leaves no time for the second", "use a rate above 0.5")
    return 2 * rate - 1


def _three() -> tuple[Input, ...]:
    return (
        Input(name="a", to="optimistic", what="shortest time", unit="time", least=0),
        Input(name="m", to="likely", what="likely time", unit="time", least=0),
        Input(name="b", to="pessimistic", what="longest time", unit="time", least=0),
    )


_RATE = Input(name="rate", to="rate", what="learning rate", above=0, most=1)
_FIRST = Input(name="T1", to="first_time", what="time of the first", unit="time", above=0)

FORMULAS: tuple[Formula, ...] = (
    Formula(
        name="pert_te",
        what="expected time from three guesses",
        inputs=_three(),
        unit="as given: time",
        work=expected_time,
        source=_PERT,
        valid=_THREE,
    ),
    Formula(
        name="pert_var",
        what="variance of a time from three guesses",
        inputs=_three(),
        unit="as given: time squared",
        work=time_variance,
        source=_PERT,
        valid=_THREE,
    ),
    Formula(
        name="sums",
        what="sum of values, such as variances along a path",
        inputs=(Input(name="data", to="values", what="values", unit="one unit", kind=Kind.NUMBERS),),
        unit="as given",
        work=total,
        source="the variance of a sum of independent values is the sum of their variances",
        valid="independent tasks, one after the other",
    ),
    Formula(
        name="norm_p",
        what="chance that work is done in time",
        inputs=(
            Input(name="T", to="limit", what="time allowed", unit="time"),
            Input(name="mu", to="expected", what="expected time", unit="time"),
            Input(name="var", to="variance", what="variance of the time", unit="time squared", above=0),
        ),
        unit="-",
        work=chance_in_time,
        source="normal distribution; worked at flylib.com 3.287.1.117",
        valid="a sum of several independent tasks, none of which outweighs the rest",
    ),
    Formula(
        name="learn_exp",
        what="exponent of a learning curve",
        inputs=(_RATE,),
        unit="-",
        work=learning_exponent,
        source=_LEARNING,
        valid="unit model",
    ),
    Formula(
        name="learn_rate",
        what="learning rate from two times",
        inputs=(
            _FIRST,
            Input(name="Tn", to="later_time", what="time of a later one", unit="time", above=0),
            Input(name="n", to="count", what="which one that was", above=1),
        ),
        unit="-",
        work=learning_rate,
        source="unit learning model; worked at indextestingapp 4852450",
        valid="unit model; the later one took no longer than the first",
    ),
    Formula(
        name="learn_unit",
        what="time of a later one",
        inputs=(_FIRST, _RATE, Input(name="n", to="count", what="which one", least=1)),
        unit="as given: time",
        work=unit_time,
        source=_LEARNING,
        valid="unit model, not the cumulative average model",
    ),
    Formula(
        name="learn_ca_unit2",
        what="second one's share of the first one's time, cumulative average model",
        inputs=(_RATE,),
        unit="x first",
        work=second_of_average,
        source="cumulative average model; maxwideman.com appendix 2 (model A)",
        valid="cumulative average model, rate above 0.5; in the unit model the second takes `rate`",
    ),
)

TABLES: tuple[Row, ...] = ()
