"""One idea: an energy that waits for itself can never be made safe."""

from putback.adapters.car_file.checks.loops import shown_chain, stated_needs
from putback.adapters.car_file.desk import Desk
from putback.adapters.car_file.graph import chain, closure, loops
from putback.core.car import Car, Energy


def order_loops(car: Car, desk: Desk) -> None:
    """Energies made safe one after the other have a first one.

    Order comes from `after`, from `before` of the other, and from the energies that what covers an energy's own
    item needs. `with` gives no order, so two energies may name one another in it.
    """
    covers, touching = _covers(car), _touching(car)
    first = {id: dict.fromkeys(energy.after) for id, energy in car.energies.items()}
    for id, energy in car.energies.items():
        for later in energy.before:
            if later in first:
                first[later][id] = None
        for cover in covers[id]:
            first[id].update(dict.fromkeys(other for other in touching[cover] if other != id))
    for loop in loops({id: list(others) for id, others in first.items()}):
        at = f"energies.{loop[0]}"
        what = f"none of these can be made safe first: {shown_chain((*loop, loop[0]), 'energies', desk)}"
        mend = "correct their after and before, or what their items lie behind"
        desk.fault(desk.line(at), at, what, mend, "energy-loop")


def restore_loops(car: Car, desk: Desk) -> None:
    """Energies restored one after the other have a first one."""
    for loop in loops({id: energy.restore_after or () for id, energy in car.energies.items()}):
        at = f"energies.{loop[0]}.restore_after"
        what = f"none of these can be restored first: {shown_chain((*loop, loop[0]), 'energies', desk)}"
        desk.fault(desk.line(at), at, what, "correct their restore_after", "restore-loop")


def behind_themselves(car: Car, desk: Desk) -> None:
    """What covers an energy's own item does not itself wait for that energy.

    The item that is operated may name its own energy. A cover that is merely near it comes off with the energy live,
    since there is no other way to it: a note says so.
    """
    needs, covers, touching = stated_needs(car), _covers(car), _touching(car)
    for energy in car.energies.values():
        for cover in covers[energy.id]:
            if cover != energy.item and energy.id in touching[cover]:
                _say_behind(car, energy, chain(needs, [energy.item or ""], cover) or (), desk)


def _say_behind(car: Car, energy: Energy, path: tuple[str, ...], desk: Desk) -> None:
    cover = path[-1]
    shown = shown_chain(path, "items", desk)
    if energy.id in car.items[cover].energy:
        at = f"items.{cover}.energy"
        what = f"{cover} cannot be touched before {energy.id} is made safe, but {energy.id} is made safe behind it"
        mend = f"correct what {energy.item} needs; only if {cover} may be touched first, take {energy.id} off its list"
        desk.fault(desk.line(at, energy.id), at, f"{what} ({shown})", mend, "energy-behind-itself")
        return
    zone = car.items[cover].zone
    at = f"energies.{energy.id}.near"
    what = f"{cover} (zone {zone}) comes off before {energy.id} is made safe: {energy.id} is made safe behind it"
    mend = "be sure that the maker's publication allows it, or correct zone, near or what is in the way"
    desk.note(desk.line(at, zone), at, f"{what} ({shown})", mend, "energy-behind-itself")


def _covers(car: Car) -> dict[str, list[str]]:
    """Each energy's item and all that must be off before it."""
    needs = stated_needs(car)
    return {id: closure(needs, [energy.item] if energy.item else []) for id, energy in car.energies.items()}


def _touching(car: Car) -> dict[str, tuple[str, ...]]:
    """The energies that must be safe before each item is touched."""
    return {id: car.energies_of(item) for id, item in car.items.items()}


def clocks_never_started(car: Car, desk: Desk) -> None:
    """The item that starts a wait is operated when the energy is made safe (a note: then the wait never begins)."""
    covers = _covers(car)
    joins = {id: (*energy.after, *energy.joined) for id, energy in car.energies.items()}
    for energy in car.energies.values():
        if energy.wait is None or energy.wait.start not in car.items:
            continue
        if all(energy.wait.start not in covers[id] for id in closure(joins, [energy.id])):
            at = f"energies.{energy.id}.wait.from"
            what = f"making {energy.id} safe does not operate {energy.wait.start}, so its clock may never start"
            mend = f"name the item that is operated, or join the energy it belongs to by after in {energy.id}"
            desk.note(desk.line(at), at, what, mend, "wait-not-started")
