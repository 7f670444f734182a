"""One idea: giving an energy back is making safe in reverse, with gates of its own.

Whatever needed the energy gone is back and tight, guards are out, loops are full, bonding was measured, people were
seen clear since the last hand was on it. An operation that was taken back asks for another look.
"""

from bisect import bisect_right
from collections.abc import Iterator

from putback.core.car import Action, Energy, Guard
from putback.core.energy import covers, restored_first
from putback.core.gates.case import Case, Fact, Moment
from putback.core.gates.gate import Gate, GateKind
from putback.core.gates.later import hand_since, meant_by
from putback.core.gates.people import is_personal
from putback.core.gates.readings import ohms
from putback.core.gates.sitting import ended
from putback.core.gates.stood import last_of, states_at
from putback.core.job import JobState, Seat
from putback.core.operations import ITEM_OFF, Verb
from putback.core.record.kinds import BONDING_CHECKED, PEOPLE_CLEAR, TAKEN_BACK
from putback.core.rules.audit import at_rest

BOND_CHECK = "bond-check-after"
"""The mark of the car file for an item whose resistance to the body is measured once it is back."""


def restore_gates(case: Case, energy: Energy, moment: Moment) -> Iterator[Gate]:
    """What must have been logged before an energy is given back, then the energies that are given back before it."""
    upto = case.count(moment)
    today, *then = ((*_not_back(case, energy, one), *_guards_in(case, energy, one)) for one in states_at(case, upto))
    lacks = (
        *today,
        *(line for one in then for line in one if line not in today),
        *_not_bonded(case, energy, upto),
        *_not_clear(case, energy, moment),
    )
    why = "; ".join(lacks) or "all that needed it is back, guards out, people seen clear"
    opens = "finish these, then log them" if lacks else ""
    yield Gate(kind=GateKind.RESTORE, energy=energy.id, open=not lacks, why=why, opens=opens, lacks=lacks)
    pairs = restored_first(case.car, case.energies | {energy.id})
    for other in sorted(first for first, then in pairs if then == energy.id):
        open_ = given_back(case, case.car.energies[other], upto)
        name = case.name(other)
        why = f"{name} is given back" if open_ else f"{name} is given back before {case.name(energy.id)}"
        opens = "" if open_ else f"restore {name} first"
        yield Gate(kind=GateKind.RESTORE, energy=energy.id, about=other, open=open_, why=why, opens=opens)


def given_back(case: Case, energy: Energy, upto: int) -> bool:
    """Whether an energy was never taken away up to a place, or restored since; what was taken back counts as taken."""
    isolated = (fact.place for fact in reversed(case.says_of(Verb.ISOLATE, energy.id, upto)))
    restored = (fact.place for fact in reversed(case.says_of(Verb.RESTORE, energy.id, upto)) if fact.stands)
    off = last_of(case, ("item", energy.item), ITEM_OFF, upto) if energy.item else 0
    if max(next(isolated, 0), off) > next(restored, 0):
        return False
    return energy.item is None or all(state.item(energy.item) is Seat.IN_PLACE for state in states_at(case, upto))


def needing(case: Case, energy: Energy) -> tuple[str, ...]:
    """The items that were touched and must find an energy gone, by id."""
    return case.once(("needing", energy.id), lambda: tuple(sorted(_needing(case, energy))))


def _needing(case: Case, energy: Energy) -> Iterator[str]:
    return (item for item in case.touched & case.car.items.keys() if energy.id in case.demanded(item))


def _not_back(case: Case, energy: Energy, state: JobState) -> Iterator[str]:
    for id in needing(case, energy):
        item = case.car.items[id]
        if item.action is not Action.RENEW or item.joints:
            yield from () if at_rest(case.car, state, item) else (f"{item.name} is not back and tight",)
    for fluid in case.car.fluids.values():
        if fluid.energy == energy.id and state.fluids.get(fluid.id) is Seat.DRAINED:
            yield f"{fluid.id} fluid is not filled"


def _guards_in(case: Case, energy: Energy, state: JobState) -> Iterator[str]:
    needs = {*needing(case, energy), energy.item}
    for (id, port), pieces in state.guards.items():
        guard = case.car.guards.get(id)
        if pieces > 0 and (guard is None or _belongs(guard, port, needs, energy)):
            yield f"{pieces} {case.name(id)} still in"


def _belongs(guard: Guard, port: str, needs: set[str | None], energy: Energy) -> bool:
    """Whether a guard must be out before an energy comes back: it sits at what needed it, or in its zone."""
    places = {port, guard.out_before, guard.in_after, guard.support_for} - {"", None}
    return bool(places & needs) or guard.zone in energy.near


def _not_bonded(case: Case, energy: Energy, upto: int) -> Iterator[str]:
    for id in needing(case, energy):
        item = case.car.items[id]
        if BOND_CHECK not in item.notes or _bonded(case, id, upto):
            continue
        yield f"{item.name}: its resistance to the body was not measured below {case.settings.bonding_ohm:g} Ω since"


def _bonded(case: Case, item: str, upto: int) -> bool:
    """Whether a bond was measured since it was last touched, and the last measurements since are all low enough."""
    said = [fact for fact in case.of_kind(BONDING_CHECKED, upto) if fact.says("item") == item]
    measured = [fact for fact in said if not hand_since(case, fact, frozenset({item}), upto)]
    low = [_is_low(case, fact) for fact in measured]
    return any(fact.stands for fact in measured) and all(low)


def _is_low(case: Case, fact: Fact) -> bool:
    ohm = ohms(fact.says("value"), fact.says("unit"))
    return ohm is not None and ohm < case.settings.bonding_ohm


def _not_clear(case: Case, energy: Energy, moment: Moment) -> Iterator[str]:
    """People must have been seen clear since the last hand on the car, where the energy is one person's affair.

    Where something of it was taken back, somebody looks again in any case.
    """
    upto = case.count(moment)
    mended = _last_mended(case, energy, upto)
    if not mended and not is_personal(case, energy):
        return
    others = others_than(case, energy) if is_personal(case, energy) else frozenset()
    for fact in case.of_kind(PEOPLE_CLEAR, upto):
        seen = fact.place > mended and fact.stands and fact.says("energy") in (None, energy.id)
        seen = seen and not hand_since(case, fact, others, upto)
        if seen and ended(case, fact, {str(fact.says("who"))}, moment) is None:
            return
    yield "nobody saw the people clear and the counts at zero" + (" since something was taken back" if mended else "")


def own_items(case: Case, energy: Energy) -> frozenset[str]:
    """An energy's own item and what covers it: work on these is part of giving the energy back."""
    own = (energy.item,) if energy.item else ()
    return covers(case.car, own, case.ways) | frozenset(own)


def others_than(case: Case, energy: Energy) -> frozenset[str]:
    """The touched items that are not an energy's own."""
    return case.once(("others", energy.id), lambda: case.touched - own_items(case, energy))


def _last_mended(case: Case, energy: Energy, upto: int) -> int:
    """The place of the last event that took back something of the items, guards, loops or isolation of an energy."""
    places = case.once(("mended", energy.id), lambda: tuple(_mended(case, energy)))
    found = bisect_right(places, upto)
    return places[found - 1] if found else 0


def _mended(case: Case, energy: Energy) -> Iterator[int]:
    items = {*needing(case, energy), energy.item}
    for fact in case.by_kind.get(TAKEN_BACK, ()):
        op = meant_by(case, fact)
        if op is None:
            continue
        fluid = case.car.fluids.get(op.fluid or "")
        loop = fluid is not None and fluid.energy == energy.id
        if op.guard or loop or op.energy == energy.id or items.intersection(case.items_of(op)):
            yield fact.place
