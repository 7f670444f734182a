"""One idea: the plan as JSON, in the shape that docs/json.md fixes; keys are added, never changed."""

from typing import Any

from putback.app import Planned
from putback.core.car import VALUE_NEEDED
from putback.core.operations import ITEM_BACK, ITEM_OFF, Operation, Verb
from putback.core.quantity import Torque
from putback.faces.cli.show import finding_json
from putback.plan.plan import Impossible, Plan, TorqueLine


def plan_json(planned: Planned) -> dict[str, Any]:
    """The whole plan."""
    plan = planned.plan
    return {
        "car": plan.car.name,
        "for": list(plan.wanted),
        "targets": list(plan.targets),
        "items": list(plan.items),
        "ways": dict(plan.ways),
        "minutes": _minutes(plan),
        "minutes_unknown": list(plan.minutes_unknown),
        "fasteners": plan.fasteners,
        "proved": plan.proved,
        "gap": plan.gap_minutes,
        "left_on": dict(plan.left_on),
        "why": {id: list(chain) for id, chain in plan.why.items()},
        "alternatives": [
            {"ways": dict(other.ways), "minutes": other.minutes, "items": list(other.items)}
            for other in plan.alternatives
        ],
        "alternatives_complete": plan.alternatives_complete,
        "without": list(plan.without),
        "without_says": list(plan.without_says),
        **_energies(plan),
        **_watched(plan),
        "rework": {key: _rework(plan, key) for key in plan.rework},
        **_lists(plan),
        "quote": _quote(plan),
        "mass": {
            "off_kg": plan.mass.off_kg,
            "rearward_mm": plan.mass.rearward_mm,
            "fluids_kg": plan.mass.fluids_kg,
            "rearward_drained_mm": plan.mass.rearward_drained_mm,
            "limit_mm": plan.mass.limit_mm,
            "unknown": list(plan.mass.unknown),
        },
        "order": {
            "cost": plan.order.cost,
            "bound": plan.order.bound,
            "proved": plan.order.proved,
            "gap": plan.order.gap,
        },
        "operations": [operation_json(operation) | _unknown(plan, operation) for operation in plan.operations],
        "notes": [finding_json(finding) for finding in plan.findings],
        "audit": [finding_json(finding) for finding in planned.audit],
        "interrupted": plan.interrupted,
    }


def _minutes(plan: Plan) -> dict[str, float | None]:
    """Off, on and total; null where the minutes of some item are not known."""
    figures = {"off": plan.minutes_off, "on": plan.minutes_on, "total": plan.minutes}
    return dict.fromkeys(figures) if plan.minutes_unknown else dict(figures)


def _rework(plan: Plan, key: str) -> float | None:
    """Rework minutes; null where minutes of something over the thing are not known."""
    return None if key in plan.rework_unknown else plan.rework.get(key, 0.0)


def _unknown(plan: Plan, operation: Operation) -> dict[str, None]:
    """Minutes as null where those of the item that it handles are not known."""
    handles = operation.verb in ITEM_OFF or operation.verb in ITEM_BACK
    return {"minutes": None} if handles and operation.item in plan.minutes_unknown else {}


def _watched(plan: Plan) -> dict[str, Any]:
    """Guards and last looks."""
    return {
        "guards": [
            {
                "guard": line.guard,
                "name": line.name,
                "item": line.item,
                "pieces": line.pieces,
                "in": line.put_in,
                "out": line.taken_out,
            }
            for line in plan.guards
        ],
        "last_looks": [
            {
                "n": look.n,
                "before": look.before,
                "items": [
                    {"item": line.item, "ask": line.ask, "rework_minutes": _rework(plan, line.item)}
                    for line in look.looks
                ],
            }
            for look in plan.last_looks
        ],
    }


def impossible_json(impossible: Impossible) -> dict[str, Any]:
    """A job that cannot be done."""
    return {
        "impossible": [
            {"joint": reach.joint, "why": reach.why, "missing": list(reach.missing)} for reach in impossible.joints
        ]
    }


def operation_json(operation: Operation) -> dict[str, Any]:
    """One operation."""
    needed = operation.value_needed
    return {
        "n": operation.n,
        "verb": str(operation.verb),
        "item": operation.item,
        "joint": operation.joint,
        "way": operation.way,
        "count": operation.count,
        "thread": operation.thread,
        "drive": operation.drive,
        "tools": list(operation.tools),
        "zone": operation.zone,
        "people": operation.people,
        "torque": _torque(operation.torque, operation.torque_source, needed=needed and operation.verb is Verb.TIGHTEN),
        "value_needed": needed,
        "stow": operation.stow,
        "guard": operation.guard,
        "energy": operation.energy,
        "fluid": operation.fluid,
        "litres": operation.litres,
        "minutes": operation.minutes,
        "twin": operation.twin,
        "note": operation.note,
    }


def _torque(torque: Torque | None, source: str | None, *, needed: bool) -> dict[str, Any] | str | None:
    if torque is None:
        return VALUE_NEEDED if needed else None
    angles = list(torque.angles_deg)
    angle = angles if len(angles) > 1 else torque.angle_deg
    return {"value": torque.value, "unit": torque.unit, "angle_deg": angle, "source": source}


def _energies(plan: Plan) -> dict[str, Any]:
    return {
        "energies": [
            {
                "energy": line.energy.id,
                "kind": line.energy.kind,
                "item": line.energy.item,
                "isolate": line.isolate,
                "prove": line.prove,
                "restore": line.restore,
                "who": line.energy.who,
                "attended": line.energy.attended,
                "before_it": list(line.energy.before_it),
                "value_needed": list(line.value_needed),
            }
            for line in plan.energies
        ],
        "waits": [
            {
                "energy": wait.energy,
                "minutes": wait.minutes if wait.minutes is not None else VALUE_NEEDED,
                "from": wait.from_item,
                "starts": wait.starts,
                "ends": wait.ends,
                "meanwhile": list(wait.meanwhile),
                "idle_minutes": wait.idle_minutes,
                "source": wait.source,
            }
            for wait in plan.waits
        ],
    }


def _lists(plan: Plan) -> dict[str, Any]:
    return {
        "tools": [
            {
                "tool": line.tool,
                "joints": list(line.joints),
                "length_mm": line.length_mm,
                "crow_foot": line.crow_foot,
                "torque_nm": None
                if line.least_torque_nm is None
                else {"least": line.least_torque_nm, "most": line.most_torque_nm},
            }
            for line in plan.tools
        ],
        "parts": [
            {"part": line.part, "name": line.name, "one_time": line.one_time, "price": line.price}
            for line in plan.parts
        ],
        "one_time": [line.part for line in plan.parts if line.one_time],
        "stow": [
            {
                "place": line.place,
                "zone": line.zone,
                "trap": line.trap,
                "joints": [
                    {
                        "joint": joint.id,
                        "item": joint.item,
                        "count": joint.count,
                        "thread": joint.thread.text if joint.thread else joint.kind,
                        "drive": joint.drive,
                    }
                    for joint in line.joints
                ],
            }
            for line in plan.stow
        ],
        "length_traps": [
            {
                "thread": trap.thread,
                "drive": trap.drive,
                "lengths_mm": list(trap.joints_by_length_mm),
                "joints": {f"{length:g}": list(joints) for length, joints in trap.joints_by_length_mm.items()},
            }
            for trap in plan.length_traps
        ],
        "torque_card": [_card_line(line) | _wrench(line) for line in plan.torque_card],
    }


def _card_line(line: TorqueLine) -> dict[str, Any]:
    joint = line.joint
    return {
        "joint": joint.id,
        "item": line.item,
        "count": joint.count,
        "thread": joint.thread.text if joint.thread else None,
        "drive": joint.drive,
        "tools": list(line.tools),
        "torque": _torque(joint.sourced_torque, joint.source, needed=line.value_needed),
        "torque_nm": joint.sourced_torque.torque_nm if joint.sourced_torque else None,
        "pattern": joint.pattern,
        "passes": list(joint.passes_percent),
        "one_time": joint.one_time,
        "renewed_by": line.renewed_by,
        "recheck": joint.recheck,
        "thread_treatment": joint.thread_treatment,
    }


def _wrench(line: TorqueLine) -> dict[str, Any]:
    """What the owner's tool list says of a torque; nothing where none was given."""
    judged = line.wrench
    if judged is None:
        return {}
    best = judged.best
    said: dict[str, Any] | None = None
    if best is not None:
        said = {
            "id": best.id,
            "name": best.name,
            "setting": best.setting,
            "unit": best.unit,
            "mark": best.mark,
            "band_nm": None if best.band_nm is None else list(best.band_nm),
            "warnings": list(best.warnings),
        }
    elif not line.value_needed:
        said = {"none": [{"id": one.id, "name": one.name, "reasons": list(one.reasons)} for one in judged.none]}
    return {"wrench": said, "doubts": list(judged.doubts)}


def _quote(plan: Plan) -> dict[str, Any]:
    quote = plan.quote
    return {
        "total": quote.total if quote.known else None,
        "most": quote.most if quote.known else None,
        "rate_per_hour": quote.rate_per_hour,
        "minutes": quote.minutes if quote.known else None,
        "work_minutes": quote.work_minutes if quote.known else None,
        "other_minutes": dict(quote.other_minutes),
        "labour": quote.labour if quote.known else None,
        "parts": dict(quote.parts),
        "parts_total": quote.parts_total,
        "consumables": quote.consumables,
        "sublet": dict(quote.sublet),
        "sublet_total": quote.sublet_total,
        "findings": [
            {
                "finding": addition.finding,
                "trigger": addition.trigger,
                "chance": addition.chance,
                "minutes": addition.minutes,
                "labour": addition.labour,
                "parts": addition.parts,
                "adds": addition.total,
                "open_ended": addition.open_ended,
            }
            for addition in quote.additions
        ],
        "open_ended": list(quote.open_ended),
        "labour_only": quote.labour_only,
        "service": plan.service.id if plan.service else None,
    }
