"""One idea: whoever must obey the gates without this program reads them as one table of plain values.

A small reducer elsewhere (a page that works without its server) takes its verbs, steps, gates and counts from here,
and is tested against the core on the same histories. Nothing in the table is a judgement.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from putback.core.car import Car, Energy, Guard, Item
from putback.core.energy import joined, made_safe_first, restored_first
from putback.core.gates.before import GOES_BACK, GOES_OFF, OF_ENERGY
from putback.core.gates.case import TOUCHING, Case, read_case
from putback.core.gates.consent import held_items
from putback.core.gates.gate import AUTHORITY, OVERRIDE, VALUE_NEEDED_ASK, GateKind, Override
from putback.core.gates.people import asked_by, glove_class, is_personal
from putback.core.gates.readings import values_needed
from putback.core.gates.restoring import BOND_CHECK
from putback.core.gates.settings import GLOVE_VOLTS, SOURCES, GateSettings
from putback.core.job import STEPS, Seat
from putback.core.operations import ITEM_BACK, ITEM_OFF, JOINT_VERBS, ON_THE_WAY_BACK, ON_THE_WAY_IN, TWIN, Verb
from putback.core.record import kinds
from putback.core.record.kinds import EVENTS
from putback.core.record.shapes import Shape

ENDS: Mapping[str, tuple[GateKind, ...]] = {
    kinds.KEY_MOVED: (GateKind.KEYS, GateKind.PROOF),
    kinds.CHARGE_LEAD_PLUGGED: (GateKind.KEYS, GateKind.PROOF),
    kinds.SHIFT_ENDED: (
        GateKind.KEYS,
        GateKind.PROOF,
        GateKind.GLOVES,
        GateKind.SECOND_PERSON,
        GateKind.BOUNDARY,
    ),
    kinds.PERSON_LEFT: (
        GateKind.KEYS,
        GateKind.PROOF,
        GateKind.GLOVES,
        GateKind.SECOND_PERSON,
        GateKind.BOUNDARY,
    ),
    kinds.DEVICE_RESTARTED: (GateKind.WAIT, GateKind.PROOF),
    kinds.CLOCK_JUMPED: (GateKind.WAIT, GateKind.PROOF),
    kinds.DOUBT_RAISED: (
        GateKind.WAIT,
        GateKind.PROOF,
        GateKind.KEYS,
        GateKind.GLOVES,
        GateKind.SECOND_PERSON,
        GateKind.BOUNDARY,
    ),
}
"""What an event that speaks of a change ends. An event that cannot be read ends all that a doubt ends.

Shift's end and leaving count for the person they name, or for everybody; a doubt that names an energy ends that
energy's wait and proof alone; a restart or jump counts for what that device holds.
"""


def tables(
    car: Car,
    *,
    energies: Iterable[str] = (),
    ways: Mapping[str, str] | None = None,
    settings: GateSettings | None = None,
) -> dict[str, Any]:
    """All that a reducer must know, as JSON has it.

    Args:
        car: the car.
        energies: those of the plan.
        ways: the planned way of each joint.
        settings: the workshop's own figures.
    """
    case = read_case(car, (), energies=energies, ways=ways, settings=settings)
    needed = joined(car, energies)
    return {
        "format": "gates/1",
        "authority": AUTHORITY,
        "value_needed": VALUE_NEEDED_ASK,
        "verbs": {verb.value: _verb(verb) for verb in Verb},
        "steps": [[seat.value, verb.value, after.value] for (seat, verb), after in STEPS.items()],
        "at_rest": {"item": Seat.IN_PLACE, "joint": Seat.TIGHT, "energy": Seat.LIVE, "fluid": Seat.FULL},
        "gates": {kind.value: OVERRIDE[kind].value for kind in GateKind},
        "overrides": [way.value for way in Override],
        "events": {name: {"must": _shapes(kind.must), "may": _shapes(kind.may)} for name, kind in EVENTS.items()},
        "ends": {name: [kind.value for kind in ended] for name, ended in ENDS.items()},
        "settings": _settings(case.settings),
        "needed": sorted(needed),
        "energies": {id: _energy(case, energy, needed) for id, energy in car.energies.items()},
        "items": {id: _item(case, item) for id, item in car.items.items()},
        "joints": {joint.id: {"item": joint.item, "count": joint.count} for joint in car.joints()},
        "guards": {id: _guard(guard) for id, guard in car.guards.items()},
        "fluids": {
            id: {"energy": one.energy, "litres": one.sourced_litres, "tolerance_l": one.tolerance_l}
            for id, one in car.fluids.items()
        },
        "findings": {id: sorted(held_items(case, id)) for id in car.findings},
    }


def _shapes(fields: Mapping[str, Shape]) -> dict[str, str]:
    return {name: shape.says for name, shape in fields.items()}


def _verb(verb: Verb) -> dict[str, Any]:
    twin = TWIN.get(verb)
    return {
        "twin": twin.value if twin else None,
        "way": "in" if verb in ON_THE_WAY_IN else "back" if verb in ON_THE_WAY_BACK else None,
        "touches": verb in TOUCHING,
        "item_off": verb in ITEM_OFF,
        "item_back": verb in ITEM_BACK,
        "joint": verb in JOINT_VERBS,
        "of_energy": verb in OF_ENERGY,
        "goes_off": verb in GOES_OFF,
        "goes_back": verb in GOES_BACK,
    }


def _settings(settings: GateSettings) -> dict[str, Any]:
    names = ("glove_test_months", "gloves_above_volts", "bonding_ohm", "gap_minutes", "clock_seconds")
    return {
        **{name: {"value": getattr(settings, name), "source": SOURCES[name]} for name in names},
        "glove_volts": {"value": dict(GLOVE_VOLTS), "source": SOURCES["glove_class"]},
        "accepted_grades": {asked: list(words) for asked, words in settings.accepted_grades.items()},
    }


def _energy(case: Case, energy: Energy, needed: frozenset[str]) -> dict[str, Any]:
    asked, known = asked_by(case, energy), needed | joined(case.car, [energy.id])
    glove, basis = glove_class(case, energy)
    return {
        "kind": energy.kind,
        "item": energy.item,
        "make_safe": energy.make_safe,
        "lock": energy.lock,
        "volts": energy.volts,
        "forbid": list(energy.forbid),
        "personal": is_personal(case, energy),
        "who": {"asked": asked.who, "grade": energy.who},
        "gloves": {"class": glove, "basis": basis} if asked.gloves else None,
        "keys": asked.keys,
        "second_person": asked.second,
        "boundary": asked.boundary,
        "before_it": list(energy.before_it),
        "first": sorted(first for first, then in made_safe_first(case.car, known) if then == energy.id),
        "restored_first": sorted(first for first, then in restored_first(case.car, known) if then == energy.id),
        "value_needed": list(values_needed(energy)),
        "wait": _wait(energy),
        "proof": _proof(energy),
    }


def _wait(energy: Energy) -> dict[str, Any] | None:
    wait = energy.wait
    if wait is None:
        return None
    known = "wait" not in values_needed(energy)
    return {"minutes": wait.minutes if known else None, "from": wait.start, "source": wait.source}


def _proof(energy: Energy) -> dict[str, Any] | None:
    proof = energy.proof
    if proof is None or "proof" in values_needed(energy):
        return None
    limit = proof.at_most
    return {
        "measure": proof.measure,
        "check": proof.check,
        "points": list(proof.points),
        "at_most": {"value": limit.value, "unit": limit.unit} if limit else None,
        "within_minutes": proof.within_minutes,
        "reach": list(proof.reach),
        "source": proof.source,
    }


def _item(case: Case, item: Item) -> dict[str, Any]:
    return {
        "name": item.name,
        "zone": item.zone,
        "needs": [{"energy": one.energy, "proven": one.proven} for one in case.demands[item.id]],
        "operates": list(case.operated_by(item.id)),
        "early": item.id in case.early,
        "bond_check": BOND_CHECK in item.notes,
        "joints": [joint.id for joint in item.joints],
    }


def _guard(guard: Guard) -> dict[str, Any]:
    return {
        "name": guard.name,
        "zone": guard.zone,
        "closes": dict(guard.closes),
        "pieces": guard.pieces,
        "in_after": guard.in_after,
        "out_before": guard.out_before,
        "support_for": guard.support_for,
    }
