"""One idea: a proof is one person's evidence in one sitting; anything that may have changed what it showed voids it.

Evidence is readings or a check by one person with one device and one instrument, after the isolation and the whole
wait, followed by the logged `prove dead` of that person.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from functools import partial
from itertools import product

from putback.core.car import Energy, Proof
from putback.core.gates.case import Case, Fact, Moment, first_places
from putback.core.gates.clocks import doubted_clocks, earliest, took, went_back_now
from putback.core.gates.later import first_since, off_at
from putback.core.gates.people import is_personal, keys_disturbed, people_shut, whole
from putback.core.gates.readings import bad_reading, reading_of, values_needed
from putback.core.gates.sitting import doubt, gap, other_day, went
from putback.core.gates.waits import passed_before
from putback.core.operations import ITEM_BACK, ITEM_OFF, JOINT_VERBS, Verb
from putback.core.record.kinds import (
    ENERGY_CHECKED,
    KEYS_COUNTED,
    PROVE_AFTER,
    PROVE_BEFORE,
    READING_TAKEN,
    TAKEN_BACK,
    TEST,
)

_BACK = ITEM_BACK | {Verb.START, Verb.TIGHTEN}
_MOVES = ITEM_BACK | ITEM_OFF | JOINT_VERBS


@dataclass(frozen=True, slots=True, kw_only=True)
class Proved:
    """A proof as it was made: whose, from the first of its evidence to the `prove dead` that says so."""

    person: str
    first: Fact
    last: Fact
    said: Fact


def isolated_at(case: Case, energy: Energy, place: int) -> int | None:
    """The place of the isolation that holds at `place`; None: the energy is live, or may be.

    It holds while its item is off, and until anything of that item goes back or the energy is restored, even if that
    was taken back later.
    """
    if not _item_off(case, energy, place):
        return None
    key = ("gives back", energy.id)
    for fact in case.says_of(Verb.ISOLATE, energy.id, place):
        if not fact.stands or first_since(case, key, fact, place, lambda one: gives_back(case, energy, one)):
            continue
        if case.once((*key, fact.place), partial(_item_off, case, energy, fact.place)):
            return fact.place
    return None


def _item_off(case: Case, energy: Energy, place: int) -> bool:
    return energy.item is None or off_at(case, energy.item, place) is not None


def gives_back(case: Case, energy: Energy, fact: Fact) -> bool:
    """Whether an event may have brought an energy back, taken back or not."""
    op = fact.operation
    if op is None:
        return False
    return says_of(fact, Verb.RESTORE, energy) or (op.verb in _BACK and energy.item in case.items_of(op))


def says_of(fact: Fact, verb: Verb, energy: Energy) -> bool:
    """Whether an event says a verb of an energy."""
    return fact.operation is not None and fact.operation.verb is verb and fact.operation.energy == energy.id


def rests_on(case: Case, energy: Energy) -> tuple[Energy, ...]:
    """The energies whose isolation an energy's own stands on: those it comes after, however far."""
    found: dict[str, Energy] = {}
    left = list(energy.after)
    while left:
        id = left.pop()
        if id in case.car.energies and id not in found and id != energy.id:
            found[id] = case.car.energies[id]
            left += found[id].after
    return tuple(found[id] for id in sorted(found))


def proofs(case: Case, energy: Energy, upto: int) -> tuple[Proved, ...]:
    """Every proof of an energy that was rightly made, standing or void by now; the latest first."""
    key = ("proofs", energy.id)
    if key not in case.memo:
        every = case.says_of(Verb.PROVE_DEAD, energy.id, len(case.facts))
        said = [fact for fact in every if fact.stands and fact.person]
        case.memo[key] = tuple(one for fact in reversed(said) for one in _made(case, energy, fact))
    found: tuple[Proved, ...] = case.memo[key]
    return tuple(one for one in found if one.said.place <= upto)


def _made(case: Case, energy: Energy, said: Fact) -> Iterator[Proved]:
    if energy.proof is None or values_needed(energy):
        return
    for first, last in _evidence(case, energy, energy.proof, said):
        made = Proved(person=said.person or "", first=first, last=last, said=said)
        then = Moment(at=said.at, person=said.person, device=said.device, upto=said.place)
        if _unready(case, energy, first, said.person) is None and void(case, energy, made, then) is None:
            yield made


def why_not(case: Case, energy: Energy, said: Fact) -> str | None:
    """Why a logged `prove dead` that has its evidence proves nothing; None where it does, or has no evidence."""
    if energy.proof is None or values_needed(energy):
        return None
    for first, last in _evidence(case, energy, energy.proof, said):
        made = Proved(person=said.person or "", first=first, last=last, said=said)
        then = Moment(at=said.at, person=said.person, device=said.device, upto=said.place)
        return _unready(case, energy, first, said.person) or void(case, energy, made, then)
    return None


def _unready(case: Case, energy: Energy, first: Fact, person: str | None) -> str | None:
    """What was still missing when the first of the evidence was taken."""
    key = ("unready", energy.id, first.place, person)
    return case.once(key, lambda: _not_ready(case, energy, first, person))


def _not_ready(case: Case, energy: Energy, first: Fact, person: str | None) -> str | None:
    for one in (energy, *rests_on(case, energy)):
        if isolated_at(case, one, first.place) is None:
            return f"{case.name(one.id)} was not isolated when {case.name(energy.id)} was proved"
    covered = [id for id in (energy.proof.reach if energy.proof else ()) if off_at(case, id, first.place) is None]
    if covered:
        return f"{case.name(covered[0])} covered the points"
    if not passed_before(case, energy, first):
        return "it was proved before the wait was over"
    moment = Moment(at=first.at, person=person, device=first.device, upto=first.place)
    gate = people_shut(case, energy, moment)
    return f"{gate.kind}: {gate.why}" if gate else None


def _evidence(case: Case, energy: Energy, proof: Proof, said: Fact) -> Iterator[tuple[Fact, Fact]]:
    """First and last event of what may stand behind a `prove dead`, latest first."""
    if proof.points:
        yield from _sets(case, energy, said.person, said.place, said.device)
        return
    if proof.measure and _good(proof, said):
        yield said, said
    for fact in reversed(_by_hand_of(case, energy, said.person, said.place, said.device)):
        checked = proof.check and fact.kind == ENERGY_CHECKED and fact.says("gone") == "yes"
        tested_at = proof.measure and fact.kind == READING_TAKEN and fact.says("phase") == TEST
        if checked or (tested_at and _good(proof, fact)):
            yield fact, fact


def _by_hand_of(case: Case, energy: Energy, person: str | None, upto: int, device: str | None) -> tuple[Fact, ...]:
    """The readings and checks of an energy up to a place, by one person, on one device (None: on any)."""
    return first_places(
        case.once(("by hand", energy.id, person, device), lambda: tuple(_of_hand(case, energy, person, device))), upto
    )


def _of_hand(case: Case, energy: Energy, person: str | None, device: str | None) -> Iterator[Fact]:
    every = (*case.by_kind.get(READING_TAKEN, ()), *case.by_kind.get(ENERGY_CHECKED, ()))
    for fact in sorted(every, key=lambda one: one.place):
        own = fact.stands and person == fact.says("who") == fact.person and device in (None, fact.device)
        if own and fact.says("energy") == energy.id:
            yield fact


def _readings(case: Case, energy: Energy, person: str | None, upto: int, device: str | None) -> tuple[Fact, ...]:
    """Of these the readings within their limits; a proving that names no known source is none."""
    key = ("readings", energy.id, person, device)
    return first_places(case.once(key, lambda: tuple(_right(case, energy, person, device))), upto)


def _right(case: Case, energy: Energy, person: str | None, device: str | None) -> Iterator[Fact]:
    for fact in _by_hand_of(case, energy, person, len(case.facts), device):
        named = fact.says("phase") == TEST or fact.says("known_source")
        if energy.proof and named and fact.kind == READING_TAKEN and _good(energy.proof, fact):
            yield fact


def _good(proof: Proof, fact: Fact) -> bool:
    reading = reading_of(fact, str(fact.says("energy")))
    return reading is not None and bad_reading(proof, reading) is None


def _sets(
    case: Case, energy: Energy, person: str | None, upto: int, device: str | None
) -> Iterator[tuple[Fact, Fact]]:
    """Proved on a known source, every named pair of points tested, proved again: one instrument, one window."""
    found = case.once(("sets", energy.id, person, device), lambda: tuple(_every_set(case, energy, person, device)))
    return (pair for pair in found if pair[1].place <= upto)


def _every_set(case: Case, energy: Energy, person: str | None, device: str | None) -> Iterator[tuple[Fact, Fact]]:
    proof, taken = energy.proof, _readings(case, energy, person, len(case.facts), device)
    if proof is None:
        return
    before = [fact for fact in taken if fact.says("phase") == PROVE_BEFORE]
    after = [fact for fact in taken if fact.says("phase") == PROVE_AFTER]
    most = timedelta(minutes=proof.within_minutes or 0.0)
    for last, first in product(reversed(after), reversed(before)):
        if first.place > last.place or not _same_hand(first, last):
            continue
        time = took(case, first, last)
        in_time = time is not None and timedelta(0) <= time <= most
        if in_time and set(proof.points) <= tested(taken, first, last.place):
            yield first, last


def tested(taken: tuple[Fact, ...], first: Fact, before: int) -> set[str]:
    """The pairs of points tested between the first proving and a place, with the instrument that was proved."""
    return {
        str(fact.says("points"))
        for fact in taken
        if fact.says("phase") == TEST and first.place < fact.place < before and _same_hand(first, fact)
    }


def _same_hand(first: Fact, then: Fact) -> bool:
    """Whether two readings are of one instrument and one device."""
    return (first.says("instrument"), first.device) == (then.says("instrument"), then.device)


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """A proof that the person at work has begun: its first proving, the pairs tested since, whether proved again."""

    first: Fact
    tested: frozenset[str]
    again: bool


def begun(case: Case, energy: Energy, proof: Proof, moment: Moment) -> Begun | None:
    """The proof that a person is in the middle of, as far as it counts; None: it has to be begun, or begun anew."""
    upto = case.count(moment)
    taken = _readings(case, energy, moment.person, upto, moment.device)
    for first, last in _sets(case, energy, moment.person, upto, moment.device):
        if _counts_so_far(case, energy, first, last, moment):
            return Begun(first=first, tested=frozenset(proof.points), again=True)
    most = timedelta(minutes=proof.within_minutes or 0.0)
    for first in reversed([fact for fact in taken if fact.says("phase") == PROVE_BEFORE]):
        if moment.at - earliest(first) <= most and _counts_so_far(case, energy, first, first, moment):
            return Begun(first=first, tested=frozenset(tested(taken, first, upto + 1)), again=False)
    return None


def _counts_so_far(case: Case, energy: Energy, first: Fact, last: Fact, moment: Moment) -> bool:
    made = Proved(person=moment.person or "", first=first, last=last, said=last)
    return _unready(case, energy, first, moment.person) is None and void(case, energy, made, moment) is None


def void(case: Case, energy: Energy, made: Proved, moment: Moment) -> str | None:
    """What has voided a proof up to a moment; None: it stands."""
    if _clock_doubted(case, made, made.first):
        return "its device was restarted, or its clock jumped"
    key, upto = ("void", energy.id, made.person), case.count(moment)
    why = first_since(case, key, made.first, upto, lambda fact: _voided_by(case, energy, made, fact))
    if why:
        return why
    if other_day(case, made.first, moment):
        return "the proof is of another day"
    if went_back_now(case, moment):
        return "the clock stands before what the record already holds"
    longest = gap(case, made.last, made.person, moment)
    if longest is not None:
        return f"a gap of {longest:.0f} min, at most {case.settings.gap_minutes:g}"
    return None


def _clock_doubted(case: Case, made: Proved, fact: Fact) -> bool:
    return made.first.device in doubted_clocks(case).get(fact.place, ())


def _voided_by(case: Case, energy: Energy, made: Proved, fact: Fact) -> str | None:
    """Why one event after the first of the evidence voids a proof."""
    if _clock_doubted(case, made, fact):
        return "its device was restarted, or its clock jumped"
    why = doubt(case, fact, energy.id) or went(fact, {made.person}) or read_against(energy, fact)
    if why is None and is_personal(case, energy):
        why = keys_disturbed(fact) or _key_turned_up(case, made, fact) or _switched_on(fact)
    return why or _touched(case, energy, made, fact)


def _key_turned_up(case: Case, made: Proved, fact: Fact) -> str | None:
    """Whether a count speaks of more keys than any did before the evidence: one was not in the box then."""
    if fact.kind != KEYS_COUNTED:
        return None
    before = case.of_kind(KEYS_COUNTED, made.first.place)
    known = max((whole(one.says("of")) for one in before), default=0.0)
    return "another key turned up" if whole(fact.says("of")) > known > 0 else None


def _switched_on(fact: Fact) -> str | None:
    return "something was switched on" if fact.operation and fact.operation.verb is Verb.SWITCH_ON else None


def read_against(energy: Energy, fact: Fact) -> str | None:
    """Whether a later reading or check speaks against a proof."""
    reading = reading_of(fact, energy.id)
    if reading and energy.proof:
        return bad_reading(energy.proof, reading)
    if fact.kind == ENERGY_CHECKED and fact.says("energy") == energy.id and fact.says("gone") != "yes":
        return "a check found it there"
    return None


def _touched(case: Case, energy: Energy, made: Proved, fact: Fact) -> str | None:
    """Whether the isolation was touched, or somebody else did work that needs this proof."""
    if fact.kind == TAKEN_BACK:
        place = case.place_of.get(str(fact.says("mends")))
        return "something it rests on was taken back" if place and _concerns(case, energy, place) else None
    op = fact.operation
    if op is None:
        return None
    items = case.items_of(op)
    if gives_back(case, energy, fact) or (energy.item in items and op.verb in _MOVES):
        return f"the isolation was touched: {op.verb} {case.name(energy.item or energy.id)}"
    for one in rests_on(case, energy):
        if gives_back(case, one, fact):
            return f"it rests on {case.name(one.id)}, which was given back: {op.verb} {case.name(one.item or one.id)}"
    others = fact.person != made.person and any(energy.id in case.demanded(item) for item in items)
    if others and is_personal(case, energy):
        who = case.who(fact.person) if fact.person else "somebody"
        return f"{who} worked on {case.name(items[0])} with the proof of {case.who(made.person)}"
    return None


def _concerns(case: Case, energy: Energy, place: int) -> bool:
    """Whether an event says something of an energy or of its item."""
    fact = case.facts[place - 1]
    op = fact.operation
    if op is None:
        return bool(fact.says("energy") == energy.id)
    return op.energy == energy.id or (energy.item is not None and energy.item in case.items_of(op))


def standing(case: Case, energy: Energy, moment: Moment) -> Proved | None:
    """The proof of an energy that stands at a moment: that of the person at work before anybody else's."""
    return case.once_at(moment, ("standing", energy.id), lambda: _standing(case, energy, moment))


def _standing(case: Case, energy: Energy, moment: Moment) -> Proved | None:
    found = [one for one in proofs(case, energy, case.count(moment)) if void(case, energy, one, moment) is None]
    own = [one for one in found if one.person == moment.person]
    return next(iter(own or found), None)


def proved_once(case: Case, energy: Energy, moment: Moment) -> bool:
    """Whether an energy was proved gone and is isolated still; the proof itself may have run out since."""
    return case.once_at(moment, ("proved once", energy.id), lambda: _proved_once(case, energy, moment))


def _proved_once(case: Case, energy: Energy, moment: Moment) -> bool:
    upto = case.count(moment)
    isolated = isolated_at(case, energy, upto)
    return isolated is not None and any(made.first.place > isolated for made in proofs(case, energy, upto))
