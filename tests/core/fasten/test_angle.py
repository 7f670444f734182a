"""Angle tightening: one run for each bolt. Common practice, no source: an aborted or overturned bolt is renewed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.core.fasten.angle import ASK, LEAVE, Fate, Run, Turn, angle_run, outcome
from putback.core.fasten.answer import NotComputable
from putback.core.quantity import read_torque

ORDER = (0, 2, 1)


def run(torque: str = "20 N·m + 60° + 90°", *, own: tuple[float, ...] = (), tolerance_deg: float = 0.0) -> Run:
    return angle_run(torque=read_torque(torque), order=ORDER, own_percent=own, tolerance_deg=tolerance_deg)


def good(of: Run) -> list[Turn]:
    """Every step on every bolt, as asked."""
    return [Turn(bolt=bolt, step=step.number, angle_deg=step.angle_deg) for step in of.steps for bolt in step.order]


def test_snug_comes_first_then_each_angle_by_itself() -> None:
    steps = run().steps
    assert [(step.torque and step.torque.torque_nm, step.angle_deg) for step in steps] == [
        (20.0, None),
        (None, 60.0),
        (None, 90.0),
    ]
    assert all(step.order == ORDER for step in steps)
    assert LEAVE in run().warnings


def test_the_sources_own_passes_lead_to_snug() -> None:
    steps = run(own=(50.0, 100.0)).steps
    assert [str(step.torque) for step in steps[:2]] == ["10 N·m", "20 N·m"]
    assert [step.text for step in steps] == [
        "step 1: snug to 10 N·m, 1-3-2",
        "step 2: snug to 20 N·m, 1-3-2",
        "step 3: turn on by 60°, 1-3-2",
        "step 4: turn on by 90°, 1-3-2",
    ]


def test_all_steps_done_is_final() -> None:
    after = outcome(run(), good(run()))
    assert after.finished
    assert not after.new_bolts


def test_what_comes_next_is_known_for_each_bolt() -> None:
    after = outcome(run(), good(run())[:5])
    assert [(bolt.place, bolt.next_step) for bolt in after.bolts] == [(0, 3), (1, 2), (2, 3)]


def test_a_bolt_at_its_final_tightness_is_never_turned_on() -> None:
    for turn in (Turn(bolt=1, step=3, angle_deg=90), Turn(bolt=1, step=1), Turn(bolt=1, step=2, angle_deg=1)):
        after = outcome(run(), [*good(run()), turn])
        assert after.new_bolts == (1,)
        assert "final tightness" in after.bolts[1].why
        assert not after.finished


@pytest.mark.parametrize(
    ("turn", "why"),
    [
        (Turn(bolt=0, step=2, angle_deg=75), "too far"),
        (Turn(bolt=0, step=2, angle_deg=45), "not far enough"),
        (Turn(bolt=0, step=2, angle_deg=30, aborted=True), "stopped on the way"),
        (Turn(bolt=0, step=2), "angle is unknown"),
        (Turn(bolt=0, step=3, angle_deg=90), "before step 2"),
    ],
)
def test_what_leaves_the_run_is_a_new_bolt(turn: Turn, why: str) -> None:
    after = outcome(run(), [*good(run())[:3], turn])
    assert after.new_bolts == (0,)
    assert why in after.bolts[0].why
    assert "new bolts for 1" in after.warnings
    assert ASK in after.warnings
    assert [bolt.fate for bolt in after.bolts[1:]] == [Fate.NEXT, Fate.NEXT]


def test_a_spent_bolt_stays_spent() -> None:
    turns = [*good(run())[:3], Turn(bolt=0, step=2, angle_deg=75), Turn(bolt=0, step=3, angle_deg=90)]
    assert outcome(run(), turns).new_bolts == (0,)


@pytest.mark.parametrize(("turned", "spent"), [(57, False), (60, False), (63, False), (64, True), (56, True)])
def test_the_sources_own_tolerance_counts(turned: float, *, spent: bool) -> None:
    of = run(tolerance_deg=3.0)
    after = outcome(of, [*good(of)[:3], Turn(bolt=0, step=2, angle_deg=turned)])
    assert bool(after.new_bolts) is spent


def test_snug_may_be_stopped_or_done_again_before_any_angle() -> None:
    turns = [Turn(bolt=0, step=1, aborted=True), Turn(bolt=0, step=1), Turn(bolt=0, step=1)]
    after = outcome(run(), turns)
    assert not after.new_bolts
    assert after.bolts[0].next_step == 2


def test_snug_after_an_angle_spends_the_bolt() -> None:
    turns = [*good(run())[:6], Turn(bolt=2, step=1)]
    assert outcome(run(), turns).new_bolts == (2,)


def test_too_much_snug_torque_spends_the_bolt() -> None:
    after = outcome(run(), [Turn(bolt=0, step=1, torque_nm=24.0), Turn(bolt=1, step=1, torque_nm=20.0)])
    assert after.new_bolts == (0,)
    assert "above the snug torque" in after.bolts[0].why


def test_giving_up_after_an_angle_means_new_bolts() -> None:
    after = outcome(run(), good(run())[:4], job_aborted=True)
    assert after.new_bolts == (0,)
    assert [bolt.fate for bolt in after.bolts[1:]] == [Fate.NEXT, Fate.NEXT]
    assert not outcome(run(), good(run())[:3], job_aborted=True).new_bolts
    assert not outcome(run(), good(run()), job_aborted=True).new_bolts


@given(cut=st.integers(0, 9), extra=st.floats(0.1, 360))
def test_whatever_is_done_right_spends_nothing_and_any_excess_does(cut: int, extra: float) -> None:
    turns = good(run())
    assert not outcome(run(), turns[:cut]).new_bolts
    asked = turns[cut].angle_deg if cut < len(turns) else None
    if asked is not None:
        over = Turn(bolt=turns[cut].bolt, step=turns[cut].step, angle_deg=asked + extra)
        assert outcome(run(), [*turns[:cut], over]).new_bolts == (turns[cut].bolt,)


def test_a_torque_without_angle_is_no_angle_run() -> None:
    with pytest.raises(NotComputable, match="no angle"):
        angle_run(torque=read_torque("20 N·m"), order=ORDER)


@pytest.mark.parametrize("own", [(50.0,), (100.0, 50.0), (0.0, 100.0), (120.0, 100.0)])
def test_snug_passes_that_cannot_be_are_refused(own: tuple[float, ...]) -> None:
    with pytest.raises(NotComputable):
        run(own=own)


@pytest.mark.parametrize("tolerance", [-1.0, float("nan")])
def test_a_tolerance_that_is_none_is_refused(tolerance: float) -> None:
    with pytest.raises(NotComputable):
        run(tolerance_deg=tolerance)


@pytest.mark.parametrize("order", [(), (0, 0), (1, 2)])
def test_an_order_that_misses_one_is_refused(order: tuple[int, ...]) -> None:
    with pytest.raises(NotComputable):
        angle_run(torque=read_torque("20 N·m + 90°"), order=order)


@pytest.mark.parametrize("turn", [Turn(bolt=3, step=1), Turn(bolt=0, step=0), Turn(bolt=0, step=4)])
def test_a_turn_of_what_is_not_there_is_refused(turn: Turn) -> None:
    with pytest.raises(NotComputable):
        outcome(run(), [turn])
