"""One idea: steps with a place are written in their order, those without where they do most good.

An isolation, a restoration or a filling is done as soon as it can be; a proof only when the next step asks for it,
so that its wait runs while other legal work is done.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from putback.core.car import Lift
from putback.core.operations import Operation, Verb
from putback.plan.plan import GuardLine, LastLook, WaitLine
from putback.plan.steps import Does, Step, Steps
from putback.plan.write import way_back, way_in
from putback.plan.write.sheet import Sheet
from putback.plan.write.twins import guard_lines, wait_lines, with_twins

_WRITE: Mapping[Does, Callable[[Sheet, Step, int], None]] = MappingProxyType(
    {
        Does.UNDO: way_in.undo,
        Does.OFF: way_in.off,
        Does.GUARD: way_in.standing_guard,
        Does.ISOLATE: way_in.isolate,
        Does.PROVE: way_in.prove,
        Does.TIGHTEN: way_back.tighten,
        Does.BACK: way_back.back,
        Does.UNGUARD: way_back.standing_guard,
        Does.RENEW: way_back.renew,
        Does.RESTORE: way_back.restore,
        Does.FILL: way_back.fill,
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """The operations and what was noted while they were written."""

    operations: tuple[Operation, ...]
    last_looks: tuple[LastLook, ...]
    waits: tuple[WaitLine, ...]
    guards: tuple[GuardLine, ...]


def write(
    built: Steps,
    order: Iterable[int],
    *,
    targets: Iterable[str],
    stow: Mapping[str, str],
    rework: Mapping[str, float],
) -> Written:
    """Write an order out.

    Args:
        built: the steps.
        order: every step's number, in a legal order; those without a place may stand anywhere legal.
        targets: the items that are renewed.
        stow: stow place of each joint.
        rework: rework minutes of each item, [min].
    """
    sheet = Sheet(built=built, targets=frozenset(targets), stow=stow, rework=rework)
    earlier: dict[int, set[int]] = {number: set() for number in range(len(built.steps))}
    for a, b in built.before:
        earlier[b].add(a)
    sheet.say(Verb.READ_BEFORE, note="every module, saved before anything is disconnected")
    for number in order:
        if built.steps[number].zone is not None:
            _settle(sheet, earlier, _asked_for(sheet, earlier, number))
            _do(sheet, number)
            _settle(sheet, earlier, _soon(sheet))
    _settle(sheet, earlier, set(earlier) - sheet.done)
    _close(sheet)
    operations = with_twins(sheet.operations)
    return Written(
        operations=operations,
        last_looks=tuple(sheet.looks),
        waits=tuple(wait_lines(built.car, operations)),
        guards=tuple(guard_lines(built.car, operations)),
    )


def _do(sheet: Sheet, number: int) -> None:
    step = sheet.built.steps[number]
    _move_lift(sheet, step)
    _WRITE[step.does](sheet, step, number)
    sheet.tick(number)


def _asked_for(sheet: Sheet, earlier: Mapping[int, set[int]], number: int) -> set[int]:
    """The steps without a place that must be done before this one and are not yet."""
    found: set[int] = set()
    left = [number]
    while left:
        more = earlier[left.pop()] - sheet.done - found
        found |= more
        left += more
    return found


def _soon(sheet: Sheet) -> set[int]:
    """The steps without a place that are best done as soon as they can be: no proof, none of a later stage."""
    steps = sheet.built.steps
    placeless = [number for number in sheet.placeless if number not in sheet.done]
    return {
        number
        for number in placeless
        if steps[number].does is not Does.PROVE and steps[number].stage <= sheet.stage_reached
    }


def _settle(sheet: Sheet, earlier: Mapping[int, set[int]], wanted: set[int]) -> None:
    """Do the wanted steps that can be done: isolations first, then the proofs with the shortest wait."""

    def haste(number: int) -> tuple[bool, float, int]:
        step = sheet.built.steps[number]
        wait = sheet.car.energies[step.thing].wait if step.does is Does.PROVE else None
        return step.does is Does.PROVE, (wait.minutes or 0.0) if wait else 0.0, number

    while ready := [number for number in wanted - sheet.done if earlier[number] <= sheet.done]:
        _do(sheet, min(ready, key=haste))


def _move_lift(sheet: Sheet, step: Step) -> None:
    """Raise or lower the car where the step's zone asks for another position; it comes in standing low."""
    wanted = sheet.car.zones[step.zone].lift if step.zone else Lift.ANY
    if wanted not in (Lift.ANY, sheet.lift):
        sheet.lift = wanted
        name = sheet.car.zones[step.zone or ""].name
        sheet.say(Verb.RAISE if wanted is Lift.UP else Verb.LOWER, note=f"for the work at: {name}")


def _close(sheet: Sheet) -> None:
    """The car down, what was filled bled with its power back, relearns, the read after, the road test."""
    if sheet.lift is Lift.UP:
        sheet.lift = Lift.DOWN
        sheet.say(Verb.LOWER)
    for id in sheet.work.fluids:
        bleed = sheet.car.fluids[id].bleed
        if bleed:
            sheet.say(Verb.NOTE, fluid=id, note=f"bleed: {bleed}")
    touched = {*sheet.work.energies, *sheet.work.items}
    for relearn in sheet.car.relearn:
        if relearn.after in touched:
            sheet.say(Verb.RELEARN, note=relearn.what)
    sheet.say(Verb.READ_AFTER, note="the same modules, compared with the read before")
    sheet.say(Verb.ROAD_TEST, note="then leaks, levels and codes again")
