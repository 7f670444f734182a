"""One idea: everything the bay page needs of a plan is one file, kept under its own digest from the job's start.

A plan made again later may come in another order; the one that the job was opened with stays the one that counts.
"""

from collections.abc import Mapping
from typing import Any

from putback.bay import findings, intake
from putback.bay.acts import Act, acts_of
from putback.bay.drawn import pictures
from putback.bay.forms import SAYS, forms_of, readings_of
from putback.bay.gate_tables import gate_tables
from putback.bay.order import thing_key, undone_again
from putback.bay.sheets import Sheets
from putback.bay.tables import fold_tables
from putback.core.car import Car, Energy, Guard, Joint
from putback.core.energy import demands, needs_of
from putback.core.operations import Operation, Verb
from putback.core.quantity import Torque
from putback.core.record import canonical_bytes
from putback.plan.plan import Plan
from putback.plan.write import proof_text
from putback.plan.write.words import look_text

FORMAT = "bay/1"

LOOKS = {"asked_from": 10.0, "twice_from": 150.0, "gap_minutes": 30.0}
"""From how many rework minutes on a last look is asked by name, and asked twice, [min]: the owner's own settings."""


def pack_of(plan: Plan) -> dict[str, Any]:
    """The plan as the bay page reads it: plain JSON values, ids as in the car file, minutes [min], litres [l]."""
    car = plan.car
    looked = {operation.n for operation in plan.operations if operation.verb is Verb.INSPECT}
    acts = acts_of(plan)
    sheets = Sheets(plan)
    felled = undone_again(plan.operations)
    shown = {op.n: _operation(plan, op, felled, sheets) for op in plan.operations if op.n not in looked}
    found = findings.for_pack(plan)
    return {
        "format": FORMAT,
        "car": car.name,
        "invented": car.invented,
        "title": plan.service.name if plan.service else "renew " + _listed(car, plan.targets),
        "wanted": list(plan.wanted),
        "minutes": [plan.minutes_off, plan.minutes_on],
        "zones": {id: zone.name for id, zone in car.zones.items()},
        "items": {id: {"name": car.items[id].name, "zone": car.items[id].zone} for id in plan.items},
        "guards": {line.guard: line.name for line in plan.guards},
        "stands": [line.guard for line in plan.guards if stands_on(car.guards[line.guard])],
        "energies": {
            line.energy.id: _energy(plan, line.energy, line.value_needed) | {"called": sheets.called[line.energy.id]}
            for line in plan.energies
        },
        "operations": list(shown.values()),
        "acts": [_act(plan, act, looked) | sheets.of(act, shown) for act in acts],
        "hides": _hides(plan),
        "asks": {id: _look(plan, id) for id in plan.items},
        "stows": [_stow(op) for op in shown.values() if op["verb"] == Verb.UNDO],
        "rework": {key: minutes for key, minutes in plan.rework.items() if minutes},
        "looks": LOOKS if not plan.rework_unknown else LOOKS | {"asked_from": 0.0},
        "ways": [[op.n for op in plan.operations if _owes(op, way)] for way in (1, -1)],
        "quote": findings.money(findings.quoted(plan)),
        "findings": found,
        "before": intake.for_pack(plan),
        "forms": forms_of(car, intake.parts_of(plan), found, rate_per_hour=plan.quote.rate_per_hour),
        "says": dict(SAYS),
        "pictures": pictures(),
        "tables": fold_tables(),
        "gates": gate_tables(plan),
    }


def pack_bytes(plan: Plan) -> bytes:
    """The pack in its one spelling (RFC 8785)."""
    return canonical_bytes(pack_of(plan))


def _look(plan: Plan, id: str) -> dict[str, Any]:
    """A last look as it is asked by name: twice, if it is dear."""
    minutes = plan.rework.get(id, 0.0)
    return {
        "key": id,
        "how": "tick",
        "usual": 0,
        "want": 1 if minutes < LOOKS["twice_from"] else 2,
        "words": plan.car.items[id].name,
        "more": f"{look_text(plan.car.items[id])} · {plan.rework_words(id)} if forgotten",
        "again": "put a hand on it, and tap again",
        "hold": {"gate": "last_look_missing", "item": id},
    }


def stands_on(guard: Guard) -> bool:
    """Whether a guard rightly stays in when what it stands behind is covered: it says that it comes out later."""
    return not guard.closes and not guard.support_for and guard.out_before not in (None, guard.in_after)


def _stow(op: Mapping[str, Any]) -> dict[str, Any]:
    """Where the fasteners of a joint lie once they are out."""
    return {name: op.get(name) for name in ("n", "joint", "item", "thread")} | {
        "stow": op.get("stow", "no place named")
    }


def _listed(car: Car, ids: tuple[str, ...]) -> str:
    return ", ".join(car.items[id].name for id in ids)


def _act(plan: Plan, act: Act, looked: set[int]) -> dict[str, Any]:
    """An act. `needs` are energies that must be isolated (false) or proven gone (true) before a hand goes there."""
    made: dict[str, Any] = {
        "does": act.does,
        "operations": [n for n in act.operations if n not in looked],
        "after": list(act.after),
    }
    if act.thing:
        made["thing"] = act.thing
    if act.does in ("off", "on", "tighten", "renew"):
        needs = demands(plan.car, plan.ways)[act.thing]
        made["needs"] = [[one.energy, one.proven] for one in needs if _planned(plan, one.energy)]
    return made


def _planned(plan: Plan, energy: str) -> bool:
    return any(line.energy.id == energy for line in plan.energies)


def _owes(op: Operation, way: int) -> bool:
    """Whether an operation is one of the way in (1), or of the way back (-1)."""
    return op.twin is not None and (op.twin - op.n) * way > 0


def _operation(plan: Plan, op: Operation, felled: Mapping[int, tuple[int, ...]], sheets: Sheets) -> dict[str, Any]:
    """One operation; what it does not have is left out."""
    joint = next((one for one in plan.car.items[op.item].joints if one.id == op.joint), None) if op.item else None
    key = thing_key(op)
    made: dict[str, Any] = {
        "n": op.n,
        "verb": str(op.verb),
        "key": "|".join(key) if key else None,
        "item": op.item,
        "joint": op.joint,
        "way": op.way,
        "count": op.count,
        "thread": op.thread,
        "tools": [tool for tool in dict.fromkeys((*op.tools, op.drive)) if tool and tool != "hand"] or None,
        "people": op.people if op.people > 1 else None,
        "torque": torque_json(op.torque) if op.torque else None,
        "torque_source": op.torque_source,
        "shown": str(op.torque) if op.torque else None,
        "needed": op.value_needed or None,
        "stow": op.stow,
        "guard": op.guard,
        "energy": op.energy,
        "fluid": op.fluid,
        "litres": op.litres,
        "twin": op.twin,
        "note": op.note or None,
        "said": sheets.said(op),
        "fells": list(felled.get(op.n, ())) or None,
    }
    if op.verb is Verb.TIGHTEN and joint is not None and _matters(joint):
        made["evidence"] = True
    return {name: value for name, value in made.items() if value is not None}


def torque_json(torque: Torque) -> dict[str, Any]:
    """A torque as a record keeps it."""
    angles = list(torque.angles_deg)
    angle: Any = angles if len(angles) > 1 else torque.angle_deg
    return {"value": torque.value, "unit": torque.unit} | ({"angle_deg": angle} if angle else {})


def _matters(joint: Joint) -> bool:
    """Whether what it was tightened to is asked for: where the file gives a manner, not a figure alone."""
    manner = joint.pattern or joint.passes_percent or joint.one_time or joint.recheck or joint.thread_treatment
    angle = joint.torque is not None and joint.torque.angles_deg
    return bool(joint.sourced_torque and (manner or angle))


def _energy(plan: Plan, energy: Energy, needed: tuple[str, ...]) -> dict[str, Any]:
    wait = energy.wait
    proof = energy.proof
    made: dict[str, Any] = {
        "name": energy.kind,
        "item": energy.item,
        "who": energy.who,
        "attended": energy.attended or None,
        "needed": list(needed) or None,
        "proof": proof_text(plan.car, energy.id)[0],
        "limit": str(proof.at_most) if proof and proof.at_most else None,
        "readings": readings_of(energy) or None,
    }
    if wait is not None:
        known = wait.source is not None and wait.minutes is not None
        made["wait"] = {"from": wait.start, "minutes": wait.minutes if known else None}
    return {name: value for name, value in made.items() if value is not None}


def _hides(plan: Plan) -> dict[str, list[str]]:
    """For each item what it is over: what cannot be seen any more once it is back."""
    hides: dict[str, list[str]] = {}
    for id in plan.items:
        for cover in dict.fromkeys(needs_of(plan.car, id, plan.ways)):
            if cover in plan.rework or cover in plan.items:
                hides.setdefault(cover, []).append(id)
    return hides
