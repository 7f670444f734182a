"""One idea: on the way in each step leaves something off, open or without power, and says so at once."""

from putback.core.car import Action, Energy, Guard, Item
from putback.core.operations import OFF, Verb
from putback.plan.steps import Step, guard_span
from putback.plan.write.sheet import Sheet
from putback.plan.write.words import VALUE_NEEDED_ASK, handling_text, isolation_text, proof_text, undoing_text


def undo(sheet: Sheet, step: Step, number: int) -> None:
    """Undo a joint; with its last joint the item comes off."""
    joint = sheet.joint(step)
    item = sheet.car.items[joint.item]
    _begin(sheet, item)
    way = sheet.way(joint)
    sheet.say(
        Verb.UNDO,
        **sheet.of_joint(joint),
        minutes=way.minutes_off if way else 0.0,
        stow=sheet.stow.get(joint.id),
        note=undoing_text(joint, way),
    )
    for fluid in sheet.work.fluids:
        if sheet.car.fluids[fluid].drain_joint == joint.id:
            _drain(sheet, fluid, item)
    if sheet.last_step_of(item, sheet.built.way_in, number):
        _take_off(sheet, item)


def off(sheet: Sheet, step: Step, _: int) -> None:
    """Take off, unplug, part, swing aside or fold an item that no joint holds."""
    item = sheet.car.items[step.thing]
    _begin(sheet, item)
    _take_off(sheet, item)


def _begin(sheet: Sheet, item: Item) -> None:
    """Before an item is first touched: the list to tick before its energy goes off, and its support."""
    if item.id in sheet.begun:
        return
    sheet.begun.add(item.id)
    for id in sheet.work.energies:
        energy = sheet.car.energies[id]
        if energy.item == item.id:
            _tick(sheet, energy)
    for guard in sheet.supports(item):
        _guard(sheet, guard, item, guard.pieces or 1)


def _tick(sheet: Sheet, energy: Energy) -> None:
    """The list to tick before an energy goes off."""
    if energy.before_it:
        sheet.say(Verb.NOTE, energy=energy.id, note="tick first: " + ", ".join(energy.before_it))


def _take_off(sheet: Sheet, item: Item) -> None:
    """All joints undone: the item comes off, its fluid is let out, what it leaves open is plugged."""
    if item.action is Action.RENEW:
        return
    note = handling_text(sheet.car, item)
    sheet.say(OFF[item.action], **sheet.of_item(item), minutes=item.minutes_off, note=note)
    for fluid in sheet.work.fluids:
        if sheet.car.fluids[fluid].drain_item == item.id:
            _drain(sheet, fluid, item)
    for guard in sheet.car.guards.values():
        if item.id in guard.closes:
            _guard(sheet, guard, item, guard.closes[item.id])
        span = guard_span(guard, sheet.work)
        if span and span[0] == item.id:
            _guard(sheet, guard, item, guard.pieces or 1)


def _guard(sheet: Sheet, guard: Guard, item: Item, pieces: int) -> None:
    sheet.say(Verb.GUARD, item=item.id, guard=guard.id, count=pieces, zone=item.zone, note=guard.name)


def _drain(sheet: Sheet, id: str, item: Item) -> None:
    fluid = sheet.car.fluids[id]
    sheet.say(
        Verb.DRAIN,
        item=item.id,
        fluid=id,
        litres=fluid.sourced_litres,
        value_needed=fluid.sourced_litres is None,
        energy=fluid.energy,
        zone=item.zone,
        note=f"at {item.name}, caught and measured",
    )


def standing_guard(sheet: Sheet, step: Step, _: int) -> None:
    """Put in a guard that stands for the whole job."""
    guard = sheet.car.guards[step.thing]
    pieces = guard.pieces or 1
    sheet.say(Verb.GUARD, guard=guard.id, count=pieces, zone=guard.zone, tools=step.tools, note=guard.name)


def isolate(sheet: Sheet, step: Step, _: int) -> None:
    """Make an energy safe."""
    energy = sheet.car.energies[step.thing]
    people = 2 if energy.attended else 1
    if energy.item is None:
        _tick(sheet, energy)
    sheet.say(Verb.ISOLATE, energy=energy.id, item=energy.item, people=people, note=isolation_text(energy))


def prove(sheet: Sheet, step: Step, _: int) -> None:
    """Let the wait end, then prove an energy gone."""
    energy = sheet.car.energies[step.thing]
    wait = energy.wait
    if wait:
        known = bool(wait.source) and wait.minutes is not None
        sheet.say(
            Verb.WAIT,
            energy=energy.id,
            item=wait.start,
            minutes=(wait.minutes or 0.0) if known else 0.0,
            value_needed=not known,
            note=f"runs from {sheet.car.items[wait.start].name}" if known else VALUE_NEEDED_ASK,
        )
    note, needed = proof_text(sheet.car, energy.id)
    people = 2 if energy.attended else 1
    sheet.say(Verb.PROVE_DEAD, energy=energy.id, people=people, value_needed=needed, note=note)
