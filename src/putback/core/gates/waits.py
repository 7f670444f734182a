"""One idea: a wait runs from the logged operation, begins anew with every doubt, and is never shorter than sourced."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import timedelta

from putback.core.car import Energy, Wait
from putback.core.gates.case import Case, Fact, Moment
from putback.core.gates.clocks import doubted_clocks, latest, waited, waited_until, went_back_now
from putback.core.gates.gate import VALUE_NEEDED_ASK, Clock, Gate, GateKind
from putback.core.gates.later import off_at, rivals
from putback.core.gates.readings import values_needed
from putback.core.gates.sitting import doubt
from putback.core.operations import ITEM_BACK, ITEM_OFF, Verb
from putback.core.record.kinds import TAKEN_BACK


def starts(case: Case, energy: Energy, wait: Wait, upto: int) -> tuple[Fact, ...]:
    """The events from each of which the whole wait must have passed; empty: its clock does not run.

    The operation that starts it, and since then every doubt, restart or jump of the clock that holds it, and
    everything by which the started item was moved, even if that was taken back.
    """
    off = off_at(case, wait.start, upto)
    if off is None:
        return ()
    begun = case.facts[off - 1]
    found = [begun]
    for fact, jumped in _restarts(case, energy, wait, begun, upto):
        # what the same clock said before it jumped cannot be compared with what it says now
        found = [fact] if jumped else [*found, fact]
    return tuple(found)


def _restarts(case: Case, energy: Energy, wait: Wait, begun: Fact, upto: int) -> Iterator[tuple[Fact, bool]]:
    """What begins a wait anew, and whether the clock that holds it jumped or restarted there."""
    found = case.once(("restarts", energy.id, begun.place), lambda: _begun(case, energy, wait, begun))
    for fact in case.facts[found.upto : upto]:
        found.facts += _again(case, energy, wait, begun, fact)
    found.upto = max(found.upto, upto)
    for fact, jumped, known_at in found.facts:
        if known_at <= upto:
            yield fact, jumped


@dataclass(slots=True)
class _Restarts:
    """What began a wait anew up to a place: the fact, whether its clock jumped, since where it is known."""

    upto: int
    facts: list[tuple[Fact, bool, int]] = field(default_factory=list)


def _begun(case: Case, energy: Energy, wait: Wait, begun: Fact) -> _Restarts:
    found = [again for fact in rivals(case, begun) for again in _again(case, energy, wait, begun, fact)]
    return _Restarts(upto=begun.place, facts=found)


def _again(case: Case, energy: Energy, wait: Wait, begun: Fact, fact: Fact) -> Iterator[tuple[Fact, bool, int]]:
    """Whether a fact begins a wait anew."""
    if begun.device in doubted_clocks(case).get(fact.place, ()):
        yield fact, True, fact.place
        return
    moved = _moves(case, wait, fact.event.id)
    if moved or doubt(case, fact, energy.id) or _doubted_by_mending(case, energy, fact):
        yield fact, False, fact.place
        return
    mends = fact.text("mends") if fact.kind == TAKEN_BACK else None
    if mends is not None and _moves(case, wait, mends):
        yield fact, False, max(fact.place, case.place_of[mends])


def _moves(case: Case, wait: Wait, id: str) -> bool:
    """Whether the event of an id moves the item from which a wait runs."""
    place = case.place_of.get(id)
    op = case.facts[place - 1].operation if place else None
    return op is not None and op.verb in ITEM_BACK | ITEM_OFF and op.item == wait.start


def _doubted_by_mending(case: Case, energy: Energy, fact: Fact) -> bool:
    """Whether an event takes back something that was done to an energy."""
    place = case.place_of.get(str(fact.says("mends"))) if fact.kind == TAKEN_BACK else None
    if place is None:
        return False
    mended = case.facts[place - 1].operation
    return mended is not None and mended.energy == energy.id and mended.verb in (Verb.ISOLATE, Verb.RESTORE, Verb.WAIT)


def passed_before(case: Case, energy: Energy, fact: Fact) -> bool:
    """Whether the whole wait had passed when an event happened; True for an energy without a wait."""
    wait = energy.wait
    if wait is None:
        return True
    begun = starts(case, energy, wait, fact.place)
    if wait.minutes is None or "wait" in values_needed(energy) or not begun:
        return False
    return all(waited(case, start, fact) >= timedelta(minutes=wait.minutes) for start in begun)


def wait_gate(case: Case, energy: Energy, wait: Wait, moment: Moment, *, proved: bool) -> Gate:
    """The gate of a wait at a moment. `proved`: a standing proof was made after the whole wait."""
    kind, from_ = GateKind.WAIT, case.name(wait.start)
    minutes = wait.minutes
    if minutes is None or "wait" in values_needed(energy):
        return Gate(
            kind=GateKind.VALUE_NEEDED,
            energy=energy.id,
            open=False,
            why=f"no source gives the wait from {from_}",
            opens=VALUE_NEEDED_ASK,
            lacks=("wait",),
        )
    begun = starts(case, energy, wait, case.count(moment))
    if not begun:
        why = f"the clock of {minutes:g} min starts when {from_} is logged off"
        return Gate(kind=kind, energy=energy.id, open=False, why=why, opens=f"take {from_} off and log it")
    last = max(begun, key=latest)
    clock = Clock(started=latest(last), ends=latest(last) + timedelta(minutes=minutes))
    if proved:
        why = f"{minutes:g} min had passed when it was proved ({wait.source})"
        return Gate(kind=kind, energy=energy.id, open=True, why=why, clock=clock)
    run = min(waited_until(case, start, moment) for start in begun)
    if went_back_now(case, moment):
        why = "the clock stands before what the record already holds: it must be set right"
        return Gate(kind=kind, energy=energy.id, open=False, why=why, opens="set the clock right", clock=clock)
    so_far = math.floor(max(run.total_seconds(), 0.0) / 6) / 10
    again = "" if last is begun[0] else ", begun anew by a doubt, a restart or a clock that jumped"
    why = f"minute {so_far:.1f} of {minutes:g} from {from_}{again} ({wait.source})"
    is_over = run >= timedelta(minutes=minutes)
    left = f"wait {minutes - so_far:.1f} min more" if not is_over else ""
    return Gate(kind=kind, energy=energy.id, open=is_over, why=why, opens=left, clock=clock)
