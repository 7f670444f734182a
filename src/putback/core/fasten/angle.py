"""One idea: a bolt turned by an angle gets one run, step by step; what leaves that run is a new bolt.

First the snug torque to all, then each angle to all, in order. Each turn is told by itself, so that at any moment it
is known of every bolt what comes next, that it is finished and never turned on, or that it must be renewed.

Source: the maker's steps alone. That an aborted or overturned bolt is not used again is common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from putback.core.fasten.answer import NotComputable
from putback.core.fasten.layout import MAKER
from putback.core.fasten.passes import share
from putback.core.quantity import Torque

NEW_BOLTS = "new bolts"
LEAVE = "a bolt at its final tightness is never turned on, not even to check it"
ASK = "ask the maker whether the gasket and the other bolts are to be renewed too"
GAUGE = "mark head and part before each angle, and turn in one pull with an angle gauge"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step over all bolts: a snug torque, or an angle. `order` are places from 0. Angle in [degrees]."""

    number: int
    order: tuple[int, ...]
    torque: Torque | None = None
    angle_deg: float | None = None

    @property
    def text(self) -> str:
        """The step in words.

        >>> Step(number=2, order=(0, 1, 2), angle_deg=90).text
        'step 2: turn on by 90°, 1-2-3'
        """
        what = f"snug to {self.torque}" if self.torque else f"turn on by {self.angle_deg:g}°"
        return f"step {self.number}: {what}, {'-'.join(str(at + 1) for at in self.order)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """All steps of an angle-tightened joint; `tolerance_deg` is the source's own, 0 where it gives none."""

    steps: tuple[Step, ...]
    tolerance_deg: float = 0.0
    source: str = MAKER
    warnings: tuple[str, ...] = (LEAVE, GAUGE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """One step done on one bolt: `bolt` its place from 0, `angle_deg` how far it was turned, [degrees].

    `torque_nm` is what the wrench said at a snug step, [N·m]; None: as the step asks. `aborted`: stopped on the way.
    """

    bolt: int
    step: int
    angle_deg: float | None = None
    torque_nm: float | None = None
    aborted: bool = False


class Fate(Enum):
    """What holds for a bolt."""

    NEXT = "to be tightened"
    FINAL = "at its final tightness: never turn it on"
    NEW = "a new bolt is needed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bolt:
    """How a bolt stands: its fate, the step that comes next (None: no more), and why it is spent."""

    place: int
    fate: Fate
    next_step: int | None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """How all bolts stand, and what to do about those that are spent."""

    bolts: tuple[Bolt, ...]
    warnings: tuple[str, ...] = ()

    @property
    def new_bolts(self) -> tuple[int, ...]:
        """The places whose bolt must be renewed, from 0."""
        return tuple(bolt.place for bolt in self.bolts if bolt.fate is Fate.NEW)

    @property
    def finished(self) -> bool:
        """Whether every bolt is at its final tightness."""
        return all(bolt.fate is Fate.FINAL for bolt in self.bolts)


def angle_run(
    *, torque: Torque, order: Sequence[int], own_percent: Sequence[float] = (), tolerance_deg: float = 0.0
) -> Run:
    """The steps of a torque with angles: snug to all, then each angle to all.

    Args:
        torque: snug torque and angles as the source gives them, such as 12 N·m + 90°.
        order: the places in the order of tightening, from 0.
        own_percent: the source's own passes up to the snug torque, [%]; empty: it goes there at once.
        tolerance_deg: how far an angle may be over or under, as the source gives it, [degrees].

    Raises:
        NotComputable: no angle, an order that does not name each bolt once, passes that do not end at 100 %, or a
            tolerance below 0.

    >>> run = angle_run(torque=Torque(value=12, unit="N·m", angles_deg=(90.0,)), order=(0, 2, 1))
    >>> [step.text for step in run.steps]
    ['step 1: snug to 12 N·m, 1-3-2', 'step 2: turn on by 90°, 1-3-2']
    """
    if not torque.angles_deg:
        raise NotComputable(f"{torque} has no angle", "tighten it in passes by torque")
    if not order or sorted(order) != list(range(len(order))):
        raise NotComputable("the order does not name each bolt once", "give every place once, from 0")
    percents = tuple(own_percent) or (100.0,)
    if (
        not all(0 < percent <= 100 for percent in percents)
        or list(percents) != sorted(percents)
        or percents[-1] != 100
    ):
        raise NotComputable("the snug passes do not rise to 100 %", "compare them with the source")
    if not tolerance_deg >= 0:
        raise NotComputable("the tolerance is below 0", "give it as the source does, in degrees")
    steps = [Step(number=at, order=tuple(order), torque=share(torque, part)) for at, part in enumerate(percents, 1)]
    for angle in torque.angles_deg:
        steps.append(Step(number=len(steps) + 1, order=tuple(order), angle_deg=angle))
    return Run(steps=tuple(steps), tolerance_deg=tolerance_deg)


def outcome(run: Run, turns: Sequence[Turn], *, job_aborted: bool = False) -> Outcome:
    """How every bolt stands after some turns.

    Args:
        run: the steps of the joint.
        turns: what was done, in the order in which it was done.
        job_aborted: the tightening is given up: a bolt that has had an angle, or is on its way there, is spent.

    Raises:
        NotComputable: a turn of a bolt or a step that the joint does not have.

    >>> run = angle_run(torque=Torque(value=12, unit="N·m", angles_deg=(90.0,)), order=(0, 1))
    >>> after = outcome(run, [Turn(bolt=0, step=1), Turn(bolt=0, step=2, angle_deg=95)])
    >>> after.bolts[0].why, after.bolts[1].next_step
    ('step 2 asks for 90°, it was turned 95°: too far', 1)
    """
    places = run.steps[0].order
    for turn in turns:
        if turn.bolt not in places or not 1 <= turn.step <= len(run.steps):
            raise NotComputable(f"there is no bolt {turn.bolt + 1} with a step {turn.step}", "tell it anew")
    bolts = [_bolt(run, place, [turn for turn in turns if turn.bolt == place]) for place in sorted(places)]
    if job_aborted:
        bolts = [_given_up(run, bolt) for bolt in bolts]
    spent = [bolt.place for bolt in bolts if bolt.fate is Fate.NEW]
    if not spent:
        return Outcome(bolts=tuple(bolts), warnings=run.warnings)
    which = ", ".join(str(place + 1) for place in spent)
    return Outcome(bolts=tuple(bolts), warnings=(f"{NEW_BOLTS} for {which}", ASK, *run.warnings))


def _bolt(run: Run, place: int, turns: Sequence[Turn]) -> Bolt:
    """Walk through the turns of one bolt; the first that leaves the run spends it."""
    done = 0
    for turn in turns:
        why = _spent(run, turn, done)
        if why:
            return Bolt(place=place, fate=Fate.NEW, next_step=None, why=why)
        if not _again(run, turn, done):
            done = turn.step
    if done == len(run.steps):
        return Bolt(place=place, fate=Fate.FINAL, next_step=None)
    return Bolt(place=place, fate=Fate.NEXT, next_step=done + 1)


def _again(run: Run, turn: Turn, done: int) -> bool:
    """Whether a turn leaves the bolt where it was: a snug step that was stopped, or one done before."""
    return run.steps[turn.step - 1].torque is not None and (turn.aborted or turn.step <= done)


def _spent(run: Run, turn: Turn, done: int) -> str:
    """Why a turn spends its bolt; empty where it does not."""
    step, last = run.steps[turn.step - 1], len(run.steps)
    if done == last:
        return f"it was at its final tightness, and step {turn.step} was done on it again"
    if turn.step > done + 1:
        return f"step {turn.step} was done before step {done + 1}"
    had_angle = done > 0 and run.steps[done - 1].torque is None
    if turn.step <= done and (had_angle or step.torque is None):
        return f"step {turn.step} was done on it a second time"
    if step.torque is not None:
        return _over_snug(run, turn)
    if turn.aborted or turn.angle_deg is None:
        return (
            f"step {turn.step} was stopped on the way" if turn.aborted else f"step {turn.step}: its angle is unknown"
        )
    return _off_angle(step, turn.angle_deg, run.tolerance_deg)


def _over_snug(run: Run, turn: Turn) -> str:
    """A snug step is spoilt only by more than the snug torque itself; less can still be brought up."""
    snug = [step.torque.torque_nm for step in run.steps if step.torque is not None][-1]
    if turn.torque_nm is None or turn.torque_nm <= snug * (1 + 1e-9):
        return ""
    return f"step {turn.step}: {turn.torque_nm:g} N·m is above the snug torque, so the angle has no known start"


def _off_angle(step: Step, turned_deg: float, tolerance_deg: float) -> str:
    asked = step.angle_deg or 0.0
    if abs(turned_deg - asked) <= tolerance_deg + 1e-9:
        return ""
    how = "too far" if turned_deg > asked else "not far enough, and a second pull has no known start"
    return f"step {step.number} asks for {asked:g}°, it was turned {turned_deg:g}°: {how}"


def _given_up(run: Run, bolt: Bolt) -> Bolt:
    """A bolt of a tightening that is given up: only one that never had an angle may stay."""
    step = bolt.next_step
    if bolt.fate is not Fate.NEXT or step is None or step == 1 or run.steps[step - 2].torque is not None:
        return bolt
    return Bolt(place=bolt.place, fate=Fate.NEW, next_step=None, why=f"given up before step {step}")
