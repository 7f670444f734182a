"""Two drives: only where both did the same, no figure from too little, and an interval that is not too narrow."""

from random import Random

import pytest
from scipy import stats

from drives import drive
from putback.core.codes.drive.against import Row, TwoDrives, hold_against
from putback.core.codes.drive.bins import Bin, Places, Settings, stayed
from putback.core.codes.drive.log import Drive, Record, drive_of
from putback.core.codes.drive.misfire import Ran, cylinders, last_count

IDLE = Bin(load=2, speed=-1, coolant=8)


def stays(values: list[list[float]], *, step_s: float = 1.0, channel: str = "06") -> Drive:
    """Some visits of one bin, with ten seconds elsewhere between them."""
    found: list[Record] = []
    at_s = 0.0
    for visit in values:
        for load, of in ((25.0, visit), (65.0, [0.0] * round(10 / step_s))):
            for value in of:
                now = {"04": load, "0D": 0.0, "05": 85.0, channel: value}
                found += [Record(at_s=at_s, key=key, value=one) for key, one in now.items()]
                at_s += step_s
    return drive_of(found, name="stays")


def row_of(found: TwoDrives) -> Row:
    """The short term trim at idle."""
    compared = next(one for one in found.channels if one.channel.key == "06")
    return next(row for row in compared.rows if row.bin == IDLE)


def interval_of(found: TwoDrives) -> tuple[float, float]:
    """The interval of that row, which is there."""
    mean = row_of(found).mean
    assert mean is not None
    assert mean.low is not None
    assert mean.high is not None
    return mean.low, mean.high


def test_visits_are_counted_not_samples() -> None:
    """Logged ten times as fast, the same visits give the same interval."""
    visits: list[list[float]] = [[1, 2, 3], [2, 3, 4], [0, 1, 2]]
    slow = hold_against(stays(visits), stays([[5, 6, 7], [6, 7, 8], [4, 5, 6]]))
    fast = hold_against(
        stays([[one for one in visit for _ in range(10)] for visit in visits], step_s=0.1),
        stays([[5, 6, 7], [6, 7, 8], [4, 5, 6]]),
    )
    theirs = stats.ttest_ind([6, 7, 5], [2, 3, 1], equal_var=False).confidence_interval(0.95)
    for one in (slow, fast):
        assert interval_of(one) == pytest.approx((theirs.low, theirs.high), rel=1e-9)


def test_too_few_visits_give_words_and_no_figure() -> None:
    row = row_of(hold_against(stays([[1, 2, 3]] * 2), stays([[1, 2, 3]] * 5)))
    assert (row.mean, row.spread) == (None, None)
    assert row.why == "too few visits: 2 before, 5 after; 3 of each are needed"
    assert (row.before.samples, row.after.samples) == (6, 15)


def test_a_short_visit_does_not_count() -> None:
    row = row_of(hold_against(stays([[1, 2, 3], [1, 2], [1, 2, 3]]), stays([[1, 2, 3]] * 3)))
    assert row.mean is None
    assert "2 before, 3 after" in row.why


def test_who_flickers_over_an_edge_has_not_left() -> None:
    """Load to and fro between two bins each second: one visit of each, not twenty."""
    load = [29.0, 31.0] * 20
    made = drive({"04": load, "0D": [0.0] * 40, "05": [85.0] * 40, "06": [1.0] * 40})
    found = stayed(made.series["06"], Places(made, Settings()), Settings())
    assert {bin.load: len(visits) for bin, visits in found.visits.items()} == {2: 1, 3: 1}


def test_standing_is_a_bin_of_its_own() -> None:
    made = drive({"04": [25.0, 25.0], "0D": [0.0, 1.0], "05": [85.0, 85.0]})
    places = Places(made, Settings())
    assert [places.at(at_s) for at_s in (0.0, 1.0)] == [IDLE, Bin(load=2, speed=0, coolant=8)]


def test_a_drop_out_is_not_bridged() -> None:
    """While the speed drops out nobody knows the bin, though it was known a moment before and is again after."""
    made = drive(
        {"04": [25.0] * 5, "0D": [0.0, 0.0, None, 0.0, 0.0], "05": [85.0] * 5, "06": [1.0, 2.0, 3.0, None, 5.0]}
    )
    found = stayed(made.series["06"], Places(made, Settings()), Settings())
    assert (dict(found.samples), found.unplaced) == ({IDLE: 3}, 1)


def test_an_old_value_says_nothing() -> None:
    made = drive_of(
        [Record(at_s=0.0, key=key, value=value) for key, value in (("04", 25.0), ("0D", 0.0), ("05", 85.0))], name=""
    )
    places = Places(made, Settings(oldest_s=2.0))
    assert places.at(2.0) == IDLE
    assert places.at(2.1) is None


def test_only_bins_of_both_are_compared() -> None:
    warm, cold = stays([[1, 2, 3]] * 3), stays([[1, 2, 3]] * 3)
    coolant = tuple(Record(at_s=one.at_s, key="05", value=20.0) for one in cold.series["05"])
    series = {**cold.series, "05": coolant}
    found = hold_against(warm, Drive(name="cold", series=series))
    compared = next(one for one in found.channels if one.channel.key == "06")
    assert compared.rows == ()
    assert compared.alone_before == compared.alone_after == 9 + 30


def test_without_speed_nothing_is_matched() -> None:
    made = stays([[1, 2, 3]] * 3)
    blind = Drive(name="", series={key: of for key, of in made.series.items() if key != "0D"})
    found = hold_against(made, blind)
    assert found.channels == ()
    assert found.missing == "nothing can be matched without speed (PID 0D) after"


def correlated(random: Random, visits: int, samples: int) -> list[list[float]]:
    """Visits whose samples hang together: a level of its own for each, and a slow wander on it (invented)."""
    found = []
    for _ in range(visits):
        level, wander, of = random.gauss(0, 1), 0.0, []
        for _ in range(samples):
            wander = 0.95 * wander + random.gauss(0, 0.3)
            of.append(level + wander)
        found.append(of)
    return found


def test_the_interval_holds_what_it_promises() -> None:
    """Nothing differs in 400 pairs of drives: 95 % of the intervals hold nought, as they say (three standard errors
    of a share from 400 are 3.3 %); an interval that took every sample for independent would hold it in under half.
    """
    random = Random(11)
    held = naive = 0
    for _ in range(400):
        before, after = (correlated(random, random.randint(3, 6), 25) for _ in range(2))
        low, high = interval_of(hold_against(stays(before), stays(after)))
        held += low <= 0 <= high
        flat = [[one for visit in side for one in visit] for side in (before, after)]
        theirs = stats.ttest_ind(flat[1], flat[0], equal_var=False).confidence_interval(0.95)
        naive += theirs.low <= 0 <= theirs.high
    assert 0.917 <= held / 400 <= 0.983
    assert naive / 400 < 0.5


def test_trims_are_added_at_one_moment() -> None:
    base = {"04": [25.0] * 4, "0D": [0.0] * 4, "05": [85.0] * 4}
    made = drive(base | {"06": [1.0, 2.0, None, 4.0], "07": [10.0, None, 30.0, 40.0]})
    found = hold_against(made, made)
    assert found.channels[0].channel.key == "06+07"
    assert found.channels[0].rows[0].before.samples == 2


@pytest.mark.parametrize(
    ("records", "ran", "count"),
    [
        ([], Ran.NOT_ASKED, None),
        ([(None, False)], Ran.NO_ANSWER, None),
        ([(None, True)], Ran.NOT_RUN, None),
        ([(0.0, False)], Ran.COUNTED, 0),
        ([(None, True), (7.0, False)], Ran.COUNTED, 7),
        ([(7.0, False), (None, False)], Ran.COUNTED, 7),
        ([(7.0, False), (None, True)], Ran.NOT_RUN, None),
    ],
)
def test_a_nought_that_nobody_counted_is_none(
    records: list[tuple[float | None, bool]], ran: Ran, count: int | None
) -> None:
    made = drive_of(
        [Record(at_s=n, key="06-A2-0C", value=value, not_run=not_run) for n, (value, not_run) in enumerate(records)],
        name="",
    )
    found = last_count(made, "06-A2-0C")
    assert (found.ran, found.count) == (ran, count)
    assert [one.number for one in cylinders(made, made)] == ([1] if records else [])


@pytest.mark.parametrize(
    ("name", "value"),
    [("visits", 1), ("visits", 2.5), ("load_percent", 0), ("confidence", 1), ("speed", 3), ("apart_s", -1)],
)
def test_settings_that_mean_nothing_are_refused(name: str, value: float) -> None:
    with pytest.raises(ValueError, match=r"cannot be|there is no"):
        Settings().changed(name, value)
