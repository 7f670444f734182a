"""One idea: the gates of a plan are written out as a table, so that a page without its server obeys the same ones.

Ids are the car file's; times are in milliseconds. Whatever follows from the car file alone is worked out here once.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from putback.bay.gate_words import gate_words
from putback.bay.shapes import written
from putback.core.car import Action, Energy, Guard, Item, Proof
from putback.core.energy import joined, made_safe_first, restored_first
from putback.core.gates.asking import APART, PUTS_IN
from putback.core.gates.before import GOES_BACK, GOES_OFF, OF_ENERGY
from putback.core.gates.case import TOUCHING, Case, read_case
from putback.core.gates.consent import COVERING, LAST
from putback.core.gates.gate import OVERRIDE, GateKind, Override
from putback.core.gates.people import asked_by, glove_class, is_personal
from putback.core.gates.proofs import rests_on
from putback.core.gates.readings import BELOW_ZERO, OHM, VOLTS, values_needed
from putback.core.gates.restoring import BOND_CHECK
from putback.core.gates.settings import GLOVE_VOLTS, GateSettings
from putback.core.operations import ITEM_BACK, ITEM_OFF, JOINT_VERBS, Verb
from putback.core.record.kinds import (
    BOUNDARY_SET,
    CHARGE_LEAD_PLUGGED,
    CLOCK_JUMPED,
    DEVICE_RESTARTED,
    ENERGY_CHECKED,
    FINDING_SEEN,
    GLOVE_CLASSES,
    GLOVES_CHECKED,
    GRADE_SHOWN,
    HOLD_PASSED,
    KEY_MOVED,
    KEYS_COUNTED,
    OVERRIDE_GIVEN,
    PERSON_LEFT,
    READING_TAKEN,
    SECOND_PERSON_NAMED,
    SHIFT_ENDED,
    WORK_ADDED,
)
from putback.core.record.shapes import MONEY, TEXTS
from putback.plan.plan import Plan

_WHO = {Override.NOBODY: "nobody", Override.NAMED: "named", Override.ASKED: "asked"}
_SECOND, _MINUTE = 1_000, 60_000

ARE: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "off": ITEM_OFF,
        "on": ITEM_BACK,
        "touching": TOUCHING,
        "moves": ITEM_BACK | ITEM_OFF | JOINT_VERBS,
        "back": COVERING,
        "comes off": ITEM_OFF | {Verb.UNDO},
        "takes apart": APART,
        "puts in": PUTS_IN,
        "goes off": GOES_OFF,
        "goes back": GOES_BACK,
        "of energy": OF_ENERGY,
        "turns": frozenset({Verb.ISOLATE, Verb.RESTORE, Verb.WAIT}),
        "last": LAST,
        "asks": frozenset({FINDING_SEEN, WORK_ADDED}),
        "ends": frozenset({SHIFT_ENDED, PERSON_LEFT}),
        "jumps": frozenset({CLOCK_JUMPED, DEVICE_RESTARTED}),
        "reads": frozenset({READING_TAKEN, ENERGY_CHECKED}),
        "moves keys": frozenset({KEY_MOVED, CHARGE_LEAD_PLUGGED}),
    }
)
"""What verbs and kinds of event are, in one word."""

EVIDENCE: Mapping[GateKind, tuple[str, str | None, str]] = MappingProxyType(
    {
        GateKind.WHO: (GRADE_SHOWN, None, "no grade"),
        GateKind.GLOVES: (GLOVES_CHECKED, "who", "no gloves"),
        GateKind.KEYS: (KEYS_COUNTED, "holder", "no keys"),
        GateKind.SECOND_PERSON: (SECOND_PERSON_NAMED, "who", "nobody"),
        GateKind.BOUNDARY: (BOUNDARY_SET, "who", "nobody"),
    }
)
"""By which kind of event a gate opens, whose sitting it is of (the field that names them), and what it lacks else."""

COUNTED: Mapping[str, str | int] = MappingProxyType({"charge_lead": "out", "remote_starts": 0, "memory_savers": 0})
"""What a count of keys says beside the keys."""

DIFFERS: Mapping[str, str] = MappingProxyType({"same": "no", "ports": "different", "seal": "different"})
"""By which fields an old part held against a new one differs from it, beside their lengths."""


def gate_tables(plan: Plan, settings: GateSettings | None = None) -> dict[str, Any]:
    """All that the page's gates need of a plan and its car file.

    `are` says what verbs and kinds of event are; `links` gives for each item what must be off directly before it, and
    `ways` what else each way of its joints needs off, `chosen` being the planned ones; `asks` the energies that an
    item asks for, and whether it names them itself; `joints` the joints of each item that has to go back.
    """
    car, energies = plan.car, [line.energy.id for line in plan.energies]
    case = read_case(car, (), energies=energies, ways=plan.ways, settings=settings)
    return {
        "slack": case.settings.clock_seconds * _SECOND,
        "gap": case.settings.gap_minutes * _MINUTE,
        "months": case.settings.glove_test_months,
        "bonding": case.settings.bonding_ohm,
        "ohms": dict(OHM),
        "counted": dict(COUNTED),
        "differs": dict(DIFFERS),
        "planned": sorted(energies),
        "energies": {id: _energy(case, energy) for id, energy in car.energies.items()},
        "are": {name: sorted(map(str, ones)) for name, ones in ARE.items()},
        "evidence": {str(kind): list(said) for kind, said in EVIDENCE.items()},
        "overrides": {str(kind): _WHO[OVERRIDE[kind]] for kind in GateKind},
        "passes": {_WHO[Override.NAMED]: OVERRIDE_GIVEN, _WHO[Override.ASKED]: HOLD_PASSED},
        "home": dict(case.home),
        "links": {id: [link.item for link in item.needs_off] for id, item in car.items.items()},
        "ways": {id: ways for id, item in car.items.items() if (ways := _ways(item))},
        "chosen": dict(plan.ways),
        "asks": {id: asks for id, item in car.items.items() if (asks := _asks(case, item))},
        "operates": {id: list(case.operated_by(id)) for id in car.items if case.operated_by(id)},
        "joints": {id: [joint.id for joint in item.joints] for id, item in car.items.items() if _goes_back(item)},
        "bonds": [id for id, item in car.items.items() if BOND_CHECK in item.notes],
        "guards": {id: _guard(case, guard) for id, guard in car.guards.items()},
        "fluids": {id: fluid.energy for id, fluid in car.fluids.items() if fluid.energy in car.energies},
        "findings": {id: [found.hold or found.seen_at] for id, found in car.findings.items()},
        "costs": [id for id, found in car.findings.items() if found.minutes or found.parts],
        "money": written(MONEY),
        "texts": written(TEXTS),
        "words": gate_words(),
    }


def _ways(item: Item) -> dict[str, dict[str, list[str]]]:
    return {
        joint.id: {way.id: [link.item for link in way.needs_off] for way in joint.ways}
        for joint in item.joints
        if joint.ways
    }


def _asks(case: Case, item: Item) -> list[list[Any]]:
    """The energies that an item may ask for, each with whether it names it itself, whatever covers what."""
    energies = case.car.energies
    return [[id, id in item.energy] for id in case.car.energies_of(item) if energies[id].item != item.id]


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
    """One energy. `asks` are the kinds of gate before it; `own` is its item, `reach` what covers its points."""
    car, asked, every = case.car, asked_by(case, energy), set(case.car.energies)
    needed, grade = values_needed(energy), energy.who or ""
    gates = {GateKind.WHO: asked.who, GateKind.GLOVES: asked.gloves, GateKind.KEYS: asked.keys}
    gates |= {GateKind.SECOND_PERSON: asked.second, GateKind.BOUNDARY: asked.boundary}
    return {
        "id": energy.id,
        "item": energy.item,
        "personal": is_personal(case, energy),
        "asks": [str(kind) for kind, is_asked in gates.items() if is_asked],
        "grade": energy.who,
        "accepted": [_plain(one) for one in (grade, *case.settings.accepted_grades.get(grade, ()))],
        "classes": _classes(case, energy),
        "list": list(energy.before_it),
        "firsts": sorted(first for first, then in made_safe_first(car, every) if then == energy.id),
        "back": sorted(first for first, then in restored_first(car, every) if then == energy.id),
        "joined": sorted(joined(car, [energy.id])),
        "own": [energy.item] if energy.item else [],
        "rests": [one.id for one in rests_on(case, energy)],
        "reach": list(energy.proof.reach) if energy.proof else [],
        "wait": energy.wait
        and {"from": energy.wait.start, "minutes": None if "wait" in needed else energy.wait.minutes},
        "proof": None if energy.proof is None or "proof" in needed else _proof(energy.proof),
    }


def _plain(text: str) -> str:
    return " ".join(text.lower().split())


def _classes(case: Case, energy: Energy) -> list[str]:
    """The classes of gloves that are not too low for an energy."""
    least = GLOVE_CLASSES.index(glove_class(case, energy)[0])
    return [one for one in GLOVE_CLASSES[least:] if energy.volts is None or energy.volts <= GLOVE_VOLTS[one]]


def _proof(proof: Proof) -> dict[str, Any]:
    """`units` turns a reading into the limit's unit; `volts`: its sign says nothing; `least`: it counts from there."""
    made: dict[str, Any] = {
        "points": list(proof.points) or None,
        "within": proof.within_minutes * _MINUTE if proof.within_minutes is not None else None,
        "measure": proof.measure,
        "check": proof.check,
    }
    limit = proof.at_most
    if limit is None:
        return made
    volts = limit.unit in VOLTS
    units = {unit: by / VOLTS[limit.unit] for unit, by in VOLTS.items()} if volts else {limit.unit: 1.0}
    least = -1e308 if limit.unit in BELOW_ZERO else 0
    return made | {"limit": limit.value, "units": units, "volts": volts, "least": least}
