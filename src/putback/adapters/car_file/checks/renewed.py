"""One idea: a part that is only exchanged is never off by itself, and a loop runs out somewhere."""

from collections.abc import Iterator

from putback.adapters.car_file.desk import Desk
from putback.core.car import Action, Car


def parts_never_off(car: Car, desk: Desk) -> None:
    """What must be off for an energy, a guard or a drain is an item that comes off: not one with action renew."""
    for at, id, use in _uses(car):
        if id in car.items and car.items[id].action is Action.RENEW:
            what = f"{id} {use}, but its action is renew: it is exchanged, and never off by itself"
            mend = f"write for {id} the action by which it comes off, such as remove, and one_time: true"
            desk.fault(desk.line(at), at, what, mend, "renewed-never-off")


def _uses(car: Car) -> Iterator[tuple[str, str, str]]:
    """Where an item is named that must come off: the field, the id, what for."""
    for energy in car.energies.values():
        if energy.item:
            yield f"energies.{energy.id}.item", energy.item, f"makes {energy.id} safe"
    for guard in car.guards.values():
        at = f"guards.{guard.id}"
        yield from ((f"{at}.closes", id, f"is closed by {guard.id}") for id in guard.closes)
        named = (("in_after", guard.in_after), ("out_before", guard.out_before), ("support_for", guard.support_for))
        yield from ((f"{at}.{key}", id, f"is named by {guard.id}") for key, id in named if id)
    for fluid in car.fluids.values():
        if fluid.drain_item:
            yield f"fluids.{fluid.id}.drain", fluid.drain_item, f"drains {fluid.id}"


def loops_without_drain(car: Car, desk: Desk) -> None:
    """A fluid that some work lets out says where it runs out."""
    renewing = {fluid for item in car.items.values() for fluid in item.renew_with_fluids}
    for fluid in car.fluids.values():
        at = f"fluids.{fluid.id}"
        known = fluid.drain_item or fluid.drain_joint or desk.is_faulty(f"{at}.drain")
        if not known and (fluid.opened_by or fluid.id in renewing):
            mend = "add drain: {item: <the item that is opened>} or drain: {joint: <the drain plug>}"
            desk.fault(desk.line(at), at, f"nothing says where {fluid.id} runs out", mend, "no-drain")
