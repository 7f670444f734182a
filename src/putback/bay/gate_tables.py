"""One idea: the gates of a plan are written out as a table, so that a page without its server obeys the same ones.

Ids are the car file's; times are in milliseconds. Whatever follows from the car file alone is worked out here once.
"""

from typing import Any

from putback.bay.gate_words import gate_words
from putback.bay.shapes import written
from putback.core.car import Action, Energy, Guard, Item, Proof
from putback.core.energy import covers, early, joined, made_safe_first, needs_of, restored_first
from putback.core.gates.before import OF_ENERGY
from putback.core.gates.case import TOUCHING, Case, read_case
from putback.core.gates.gate import OVERRIDE, GateKind, Override
from putback.core.gates.people import asked_by, glove_class, is_personal
from putback.core.gates.proofs import rests_on
from putback.core.gates.readings import BELOW_ZERO, OHM, VOLTS, values_needed
from putback.core.gates.restoring import BOND_CHECK
from putback.core.gates.settings import GLOVE_VOLTS, GateSettings
from putback.core.record.kinds import GLOVE_CLASSES, PERSON_LEFT, SHIFT_ENDED
from putback.core.record.shapes import MONEY, TEXTS
from putback.plan.plan import Plan

_WHO = {Override.NOBODY: "nobody", Override.NAMED: "named", Override.ASKED: "asked"}
_SECOND, _MINUTE = 1_000, 60_000


def gate_tables(plan: Plan, settings: GateSettings | None = None) -> dict[str, Any]:
    """All that the page's gates need of a plan and its car file.

    `off` gives for each item what must be off directly before it, by the planned ways; `needs` the energies that an
    item asks for, each with whether it must be proved gone; `joints` the joints of each item that has to go back.
    """
    car, energies = plan.car, [line.energy.id for line in plan.energies]
    case = read_case(car, (), energies=energies, ways=plan.ways, settings=settings)
    return {
        "slack": case.settings.clock_seconds * _SECOND,
        "gap": case.settings.gap_minutes * _MINUTE,
        "months": case.settings.glove_test_months,
        "bonding": case.settings.bonding_ohm,
        "ohms": dict(OHM),
        "planned": sorted(energies),
        "energies": {id: _energy(case, energy) for id, energy in car.energies.items()},
        "touching": sorted(TOUCHING),
        "of_energy": sorted(OF_ENERGY),
        "ends": [SHIFT_ENDED, PERSON_LEFT],
        "overrides": {str(kind): _WHO[OVERRIDE[kind]] for kind in GateKind},
        "home": dict(case.home),
        "off": {id: list(needs_of(car, id, plan.ways)) for id in car.items},
        "needs": {id: [[one.energy, one.proven] for one in needs] for id, needs in case.demands.items() if needs},
        "operates": {id: list(case.operated_by(id)) for id in car.items if case.operated_by(id)},
        "joints": {id: [joint.id for joint in item.joints] for id, item in car.items.items() if _goes_back(item)},
        "bonds": [id for id, item in car.items.items() if BOND_CHECK in item.notes],
        "guards": {id: _guard(case, guard) for id, guard in car.guards.items()},
        "fluids": {id: fluid.energy for id, fluid in car.fluids.items() if fluid.energy},
        "findings": {id: [found.hold or found.seen_at] for id, found in car.findings.items()},
        "costs": [id for id, found in car.findings.items() if found.minutes or found.parts],
        "money": written(MONEY),
        "texts": written(TEXTS),
        "words": gate_words(),
    }


def _goes_back(item: Item) -> bool:
    return item.action is not Action.RENEW or bool(item.joints)


def _guard(case: Case, guard: Guard) -> dict[str, Any]:
    places = [guard.out_before, guard.in_after, guard.support_for]
    return {
        "at": [place for place in places if place],
        "near": [id for id, energy in case.car.energies.items() if guard.zone in energy.near],
        "plug": bool(guard.closes) or guard.support_for is not None,
    }


def _energy(case: Case, energy: Energy) -> dict[str, Any]:
    car, asked, every = case.car, asked_by(case, energy), set(case.car.energies)
    needed = values_needed(energy)
    own = [energy.item] if energy.item else []
    return {
        "id": energy.id,
        "item": energy.item,
        "personal": is_personal(case, energy),
        "asks": {"who": asked.who, "gloves": asked.gloves, "keys": asked.keys}
        | {"second": asked.second, "boundary": asked.boundary},
        "grade": energy.who,
        "accepted": [
            _plain(one) for one in (energy.who or "", *case.settings.accepted_grades.get(energy.who or "", ()))
        ],
        "classes": _classes(case, energy),
        "list": list(energy.before_it),
        "firsts": sorted(first for first, then in made_safe_first(car, every) if then == energy.id),
        "back": sorted(first for first, then in restored_first(car, every) if then == energy.id),
        "joined": sorted(joined(car, [energy.id])),
        "early": sorted(early(car, [energy.id], case.ways)),
        "own": sorted({*covers(car, own, case.ways), *own}),
        "rests": [one.id for one in rests_on(case, energy)],
        "reach": list(energy.proof.reach) if energy.proof else [],
        "wait": energy.wait
        and {"from": energy.wait.start, "minutes": None if "wait" in needed else energy.wait.minutes},
        "proof": None if energy.proof is None or "proof" in needed else _proof(energy.proof),
    }


def _accepted(case: Case, grade: str) -> list[str]:
    """The words of certificates that are accepted for a grade."""
    return [_plain(one) for one in (grade, *case.settings.accepted_grades.get(grade, ()))]


def _plain(text: str) -> str:
    return " ".join(text.lower().split())


def _classes(case: Case, energy: Energy) -> list[str]:
    """The classes of gloves that are not too low for an energy."""
    least = GLOVE_CLASSES.index(glove_class(case, energy)[0])
    return [one for one in GLOVE_CLASSES[least:] if energy.volts is None or energy.volts <= GLOVE_VOLTS[one]]


def _proof(proof: Proof) -> dict[str, Any]:
    """`units` turns a reading into the limit's unit; `signed`: whether below zero counts."""
    made: dict[str, Any] = {
        "points": list(proof.points) or None,
        "within": proof.within_minutes * _MINUTE if proof.within_minutes is not None else None,
        "measure": proof.measure,
        "check": proof.check,
        "reach": list(proof.reach),
    }
    limit = proof.at_most
    if limit is None:
        return made
    if limit.unit in VOLTS:
        units, signed = {unit: by / VOLTS[limit.unit] for unit, by in VOLTS.items()}, "size"
    else:
        units, signed = {limit.unit: 1.0}, "as it is" if limit.unit in BELOW_ZERO else "no"
    return made | {"limit": limit.value, "units": units, "signed": signed}
