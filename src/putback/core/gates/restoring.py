"""One idea: giving an energy back is making safe in reverse, with gates of its own.

Whatever needed the energy gone is back and tight, guards are out, loops are full, bonding was measured, people were
seen clear since the last hand was on it. An operation that was taken back asks for another look.
"""

from collections.abc import Iterator

from putback.core.car import Action, Energy, Guard
from putback.core.energy import covers, restored_first
from putback.core.gates.case import Case, Fact, Moment
from putback.core.gates.gate import Gate, GateKind
from putback.core.gates.later import hand_since, meant_by
from putback.core.gates.people import is_personal
from putback.core.gates.proofs import says_of
from putback.core.gates.readings import ohms
from putback.core.gates.sitting import ended
from putback.core.job import Seat
from putback.core.operations import ITEM_OFF, Verb
from putback.core.record.kinds import BONDING_CHECKED, PEOPLE_CLEAR, TAKEN_BACK
from putback.core.rules.audit import at_rest

BOND_CHECK = "bond-check-after"
"""The mark of the car file for an item whose resistance to the body is measured once it is back."""


def restore_gates(case: Case, energy: Energy, moment: Moment) -> Iterator[Gate]:
    """What must have been logged before an energy is given back, then the energies that are given back before it."""
    lacks = (
        *_not_back(case, energy),
        *_guards_in(case, energy),
        *_not_bonded(case, energy),
        *_not_clear(case, energy, moment),
    )
    why = "; ".join(lacks) or "all that needed it is back, guards out, people seen clear"
    opens = "finish these, then log them" if lacks else ""
    yield Gate(kind=GateKind.RESTORE, energy=energy.id, open=not lacks, why=why, opens=opens, lacks=lacks)
    pairs = restored_first(case.car, case.energies | {energy.id})
    for other in sorted(first for first, then in pairs if then == energy.id):
        open_ = given_back(case, case.car.energies[other])
        name = case.name(other)
        why = f"{name} is given back" if open_ else f"{name} is given back before {energy.kind}"
        opens = "" if open_ else f"restore {other} first"
        yield Gate(kind=GateKind.RESTORE, energy=energy.id, about=other, open=open_, why=why, opens=opens)


def given_back(case: Case, energy: Energy) -> bool:
    """Whether an energy was never taken away, or was restored since; what was taken back still counts as taken."""
    taken = 0
    for fact in case.facts:
        op = fact.operation
        if op is None:
            continue
        off = energy.item is not None and op.verb in ITEM_OFF and op.item == energy.item
        if off or says_of(fact, Verb.ISOLATE, energy):
            taken = fact.place
        elif says_of(fact, Verb.RESTORE, energy) and fact.stands:
            taken = 0
    in_place = energy.item is None or case.folded.state.item(energy.item) is Seat.IN_PLACE
    return in_place and not taken


def needing(case: Case, energy: Energy) -> tuple[str, ...]:
    """The items that were touched and must find an energy gone, by id."""
    known = case.touched & case.car.items.keys()
    return tuple(sorted(item for item in known if energy.id in case.demanded(item)))


def _not_back(case: Case, energy: Energy) -> Iterator[str]:
    state = case.folded.state
    for id in needing(case, energy):
        item = case.car.items[id]
        if item.action is not Action.RENEW or item.joints:
            yield from () if at_rest(case.car, state, item) else (f"{item.name} is not back and tight",)
    for fluid in case.car.fluids.values():
        if fluid.energy == energy.id and state.fluids.get(fluid.id) is Seat.DRAINED:
            yield f"{fluid.id} is not filled"


def _guards_in(case: Case, energy: Energy) -> Iterator[str]:
    needs = {*needing(case, energy), energy.item}
    for (id, port), pieces in case.folded.state.guards.items():
        guard = case.car.guards.get(id)
        if pieces > 0 and (guard is None or _belongs(guard, port, needs, energy)):
            yield f"{pieces} {case.name(id)} still in"


def _belongs(guard: Guard, port: str, needs: set[str | None], energy: Energy) -> bool:
    """Whether a guard must be out before an energy comes back: it sits at what needed it, or in its zone."""
    places = {port, guard.out_before, guard.in_after, guard.support_for} - {"", None}
    return bool(places & needs) or guard.zone in energy.near


def _not_bonded(case: Case, energy: Energy) -> Iterator[str]:
    for id in needing(case, energy):
        item = case.car.items[id]
        if BOND_CHECK not in item.notes or _bonded(case, id):
            continue
        yield f"{item.name}: its resistance to the body was not measured below {case.settings.bonding_ohm:g} Ω since"


def _bonded(case: Case, item: str) -> bool:
    """Whether a bond was measured since it was last touched, and the last measurements since are all low enough."""
    said = [fact for fact in case.facts if fact.kind == BONDING_CHECKED and fact.says("item") == item]
    measured = [fact for fact in said if not hand_since(case, fact, frozenset({item}), len(case.facts))]
    low = [_is_low(case, fact) for fact in measured]
    return any(fact.stands for fact in measured) and all(low)


def _is_low(case: Case, fact: Fact) -> bool:
    ohm = ohms(fact.says("value"), fact.says("unit"))
    return ohm is not None and ohm < case.settings.bonding_ohm


def _not_clear(case: Case, energy: Energy, moment: Moment) -> Iterator[str]:
    """People must have been seen clear since the last hand on the car, where the energy is one person's affair.

    Where something of it was taken back, somebody looks again in any case.
    """
    mended = _last_mended(case, energy)
    if not mended and not is_personal(case, energy):
        return
    others = case.touched - own_items(case, energy) if is_personal(case, energy) else frozenset()
    for fact in case.facts[mended:]:
        about = fact.says("energy")
        seen = fact.kind == PEOPLE_CLEAR and fact.stands and about in (None, energy.id)
        seen = seen and not hand_since(case, fact, others, len(case.facts))
        if seen and ended(case, fact, {str(fact.says("who"))}, moment) is None:
            return
    yield "nobody saw the people clear and the counts at zero" + (" since something was taken back" if mended else "")


def own_items(case: Case, energy: Energy) -> frozenset[str]:
    """An energy's own item and what covers it: work on these is part of giving the energy back."""
    own = (energy.item,) if energy.item else ()
    return covers(case.car, own, case.ways) | frozenset(own)


def _last_mended(case: Case, energy: Energy) -> int:
    """The place of the last event that took back something of the items, guards, loops or isolation of an energy."""
    items = {*needing(case, energy), energy.item}
    found = 0
    for fact in case.facts:
        op = meant_by(case, fact) if fact.kind == TAKEN_BACK else None
        if op is None:
            continue
        fluid = case.car.fluids.get(op.fluid or "")
        loop = fluid is not None and fluid.energy == energy.id
        if op.guard or loop or op.energy == energy.id or items.intersection(case.items_of(op)):
            found = fact.place
    return found
