"""One idea: on the way back nothing is covered before it was seen, and nothing is tight before all is started."""

from dataclasses import replace

from putback.core.car import Action, Guard, Item
from putback.core.operations import OFF, TWIN, Verb
from putback.plan.plan import LastLook, LookLine
from putback.plan.steps import Step, guard_span
from putback.plan.write.sheet import Sheet
from putback.plan.write.words import joined, look_text, tightening_text


def tighten(sheet: Sheet, step: Step, number: int) -> None:
    """Tighten a joint; before the first of an item it is fitted and all its joints started."""
    joint = sheet.joint(step)
    item = sheet.car.items[joint.item]
    if not sheet.done & set(sheet.built.way_back[item.id]):
        _begin(sheet, item)
    way = sheet.way(joint)
    torque = joint.sourced_torque
    sheet.say(
        Verb.TIGHTEN,
        **sheet.of_joint(joint),
        minutes=way.minutes_on if way else 0.0,
        torque=torque,
        torque_source=joint.source if torque else None,
        value_needed=joint.torqued and torque is None,
        note=tightening_text(joint, item),
    )
    if sheet.last_step_of(item, sheet.built.way_back, number):
        _take_supports(sheet, item)


def back(sheet: Sheet, step: Step, _: int) -> None:
    """Put back an item that no joint holds."""
    item = sheet.car.items[step.thing]
    _begin(sheet, item)
    _take_supports(sheet, item)


def _take_supports(sheet: Sheet, item: Item) -> None:
    for guard in sheet.supports(item):
        _unguard(sheet, guard, item.id, item.zone, guard.pieces or 1)


def _begin(sheet: Sheet, item: Item) -> None:
    """Before an item's joints are tightened: plugs out, new parts in, last look, fit, start."""
    _take_guards(sheet, item)
    for id in sheet.built.attached_renewals.get(item.id, ()):
        _renew(sheet, sheet.car.items[id])
    _renew_fasteners(sheet, item)
    if item.action is not Action.RENEW and (item.one_time or item.id in sheet.targets):
        note = "new, one-time part" if item.one_time else "the new part"
        sheet.say(Verb.RENEW, item=item.id, zone=item.zone, note=note)
    _look_last(sheet, item)
    if item.action is Action.RENEW:
        _renew(sheet, item)
    else:
        verb = TWIN[OFF[item.action]]
        sheet.say(verb, **sheet.of_item(item), minutes=item.minutes_on, note=joined(item.notes))
    for joint in item.joints:
        sheet.say(Verb.START, **{**sheet.of_joint(joint), "tools": ()})


def _take_guards(sheet: Sheet, item: Item) -> None:
    for guard in sheet.car.guards.values():
        if item.id in guard.closes:
            _unguard(sheet, guard, item.id, item.zone, guard.closes[item.id])
        span = guard_span(guard, sheet.work)
        if span and span[1] == item.id:
            of = span[0] if span[0] in sheet.car.items else None
            _unguard(sheet, guard, of, item.zone, guard.pieces or 1)


def _unguard(sheet: Sheet, guard: Guard, of: str | None, zone: str, pieces: int) -> None:
    sheet.say(Verb.UNGUARD, item=of, guard=guard.id, count=pieces, zone=zone, note=guard.name)


def _renew(sheet: Sheet, item: Item) -> None:
    if item.id in sheet.renewed:
        return
    sheet.renewed.add(item.id)
    sheet.say(
        Verb.RENEW,
        item=item.id,
        joint=item.renews_joint,
        zone=item.zone,
        people=item.people,
        minutes=item.minutes_on,
        note="new, one-time part" if item.one_time else "new",
    )


def _renew_fasteners(sheet: Sheet, item: Item) -> None:
    """One-time fasteners that no item of the work brings new."""
    brought = {sheet.car.items[id].renews_joint for id in sheet.work.items}
    for joint in item.joints:
        if joint.one_time and joint.id not in brought:
            sheet.say(Verb.RENEW, item=item.id, joint=joint.id, count=joint.count, zone=item.zone, note="new")


def _look_last(sheet: Sheet, item: Item) -> None:
    """What this item is the first to cover is looked at once more, the dearest first."""
    covered = [id for id in sheet.hides.get(item.id, ()) if id not in sheet.seen]
    if not covered:
        return
    sheet.seen.update(covered)
    looks = [
        LookLine(item=id, ask=look_text(sheet.car.items[id]), rework_minutes=sheet.rework.get(id, 0.0))
        for id in covered
    ]
    looks.sort(key=lambda look: -look.rework_minutes)
    text = "; ".join(f"{sheet.car.items[look.item].name}: {look.ask}" for look in looks)
    sheet.say(Verb.INSPECT, item=item.id, zone=item.zone, note=f"last look. {text}")
    sheet.looks.append(LastLook(n=len(sheet.operations), before=item.id, looks=tuple(looks)))


def standing_guard(sheet: Sheet, step: Step, _: int) -> None:
    """Take out a guard that stood to the end."""
    guard = sheet.car.guards[step.thing]
    span = guard_span(guard, sheet.work)
    of = span[0] if span and span[0] in sheet.car.items else None
    _unguard(sheet, guard, of, guard.zone, guard.pieces or 1)
    sheet.operations[-1] = replace(sheet.operations[-1], tools=step.tools)


def renew(sheet: Sheet, step: Step, _: int) -> None:
    """Renew a part that goes in for itself."""
    _renew(sheet, sheet.car.items[step.thing])
    sheet.operations[-1] = replace(sheet.operations[-1], tools=step.tools)


def restore(sheet: Sheet, step: Step, _: int) -> None:
    """Give an energy back."""
    energy = sheet.car.energies[step.thing]
    people = 2 if energy.attended else 1
    note = "seated and latched, people clear, counts zero" if energy.item else ""
    sheet.say(Verb.RESTORE, energy=energy.id, item=energy.item, people=people, note=note)


def fill(sheet: Sheet, step: Step, _: int) -> None:
    """Fill a loop that was drained; it is bled when all has its power back."""
    fluid = sheet.car.fluids[step.thing]
    note = f"fill: {fluid.fill}" if fluid.fill else ""
    sheet.say(
        Verb.FILL,
        fluid=fluid.id,
        litres=fluid.sourced_litres,
        value_needed=fluid.sourced_litres is None,
        energy=fluid.energy,
        note=note,
    )
