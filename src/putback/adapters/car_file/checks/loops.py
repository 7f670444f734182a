"""One idea: what must be off first can never, however far round, wait for the thing itself."""

from dataclasses import replace
from typing import Final

from putback.adapters.car_file.desk import Desk
from putback.adapters.car_file.graph import chain, knots, loops, shortest_loops
from putback.core.car import Car, Item, Joint, Link, Way

_SHOWN: Final = 12


def needs_off_loops(car: Car, desk: Desk) -> None:
    """No item needs itself off, however far round. Each loop is told once, link by link with lines."""
    for loop in loops(stated_needs(car)):
        first, second = loop[0], loop[1 % len(loop)]
        at = f"items.{first}.needs_off"
        what = f"a loop, so none of these can come off first: {shown_chain((*loop, first), 'items', desk)}"
        desk.fault(desk.line(at, second), at, what, "delete the link that is not so on the car", "needs-off-loop")


def ways_through_their_own_item(car: Car, desk: Desk) -> None:
    """No way of reaching a joint needs the joint's own item off: the item cannot be off before its joint is."""
    for (item, joint, way), found in _through_themselves(car):
        _say_own_item(item, joint, way, found, desk)


def _through_themselves(car: Car) -> list[tuple[tuple[Item, Joint, Way], tuple[str, ...]]]:
    """Ways that need their own item, each with the chain; only knots of all needs together are searched."""
    needs = certain_needs(car)
    knot_of = {id: number for number, knot in enumerate(knots(_all_needs(car))) for id in knot}

    def same_knot(one: str, other: str) -> bool:
        return one in knot_of and knot_of[one] == knot_of.get(other)

    found = []
    for item in car.items.values():
        for joint in item.joints:
            for way in joint.ways:
                near = [link.item for link in way.needs_off if link.item == item.id or same_knot(link.item, item.id)]
                path = chain(needs, near, item.id)
                if path is not None:
                    found.append(((item, joint, way), path))
    return found


def _all_needs(car: Car) -> dict[str, list[str]]:
    return {id: _open_needs(item, set(), car) for id, item in car.items.items()}


def _say_own_item(item: Item, joint: Joint, way: Way, found: tuple[str, ...], desk: Desk) -> None:
    at = f"items.{item.id}.joints.{joint.id}.ways.{way.id}.needs_off"
    what = f"the way {way.id} to {joint.id} of {item.id} needs {shown_chain(found, 'items', desk)}"
    mend = f"{item.id} is not off before {joint.id} is undone: correct what this way needs, or delete the way"
    desk.fault(desk.line(at, found[0]), at, what, mend, "way-through-itself")


def joints_never_reached(car: Car, desk: Desk) -> None:
    """Every joint can be reached by some combination of ways; told are loops in which each way waits for another.

    Ways that need their own item are told by `ways_through_their_own_item` alone and are passed over here.
    """
    needs = stated_needs(car)
    looped = {id for knot in knots(needs) for id in knot} | {id for id, needed in needs.items() if id in needed}
    told = {(joint.id, way.id) for (_, joint, way), _ in _through_themselves(car)}
    reached = _reached(car, looped, told)
    stuck = {id: _stuck_needs(item, reached, car, told) for id, item in car.items.items() if id not in reached}
    for loop in shortest_loops(stuck):
        what = f"every way waits for another, so none can be reached: {shown_chain((*loop, loop[0]), 'items', desk)}"
        at = f"items.{loop[0]}.joints"
        mend = "give one of their joints a way that needs none of the others"
        desk.fault(desk.line(at), at, what, mend, "ways-loop")


def _reached(car: Car, given: set[str], told: set[tuple[str, str]]) -> set[str]:
    """The items that can be off once the given ones are, by some combination of ways; those told already are free."""
    waiting_for: dict[str, list[str]] = {}
    for waiting, needed in _all_needs(car).items():
        for id in needed:
            waiting_for.setdefault(id, []).append(waiting)
    reached = set(given)
    queue = [*given, *car.items]
    while queue:
        id = queue.pop()
        if id not in reached and _can_be_off(car.items[id], reached, car, told):
            reached.add(id)
        if id in reached:
            queue += [other for other in waiting_for.pop(id, ()) if other not in reached]
    return reached


def _can_be_off(item: Item, reached: set[str], car: Car, told: set[tuple[str, str]]) -> bool:
    return _off(item.needs_off, reached, car) and all(_free(joint, reached, car, told) for joint in item.joints)


def _free(joint: Joint, reached: set[str], car: Car, told: set[tuple[str, str]]) -> bool:
    """Whether a joint can be reached."""
    return not joint.ways or any((joint.id, way.id) in told or _off(way.needs_off, reached, car) for way in joint.ways)


def _off(links: tuple[Link, ...], reached: set[str], car: Car) -> bool:
    return all(link.item in reached or link.item not in car.items for link in links)


def _stuck_needs(item: Item, reached: set[str], car: Car, told: set[tuple[str, str]]) -> list[str]:
    """What this item still waits for, joints that can be reached left out."""
    closed = tuple(joint for joint in item.joints if not _free(joint, reached, car, told))
    return _open_needs(replace(item, joints=closed), reached, car)


def _open_needs(item: Item, reached: set[str], car: Car) -> list[str]:
    """What this item still waits for, through its own needs and through all ways of its joints."""
    links = [*item.needs_off, *(link for joint in item.joints for way in joint.ways for link in way.needs_off)]
    return [link.item for link in links if link.item in car.items and link.item not in reached]


def stated_needs(car: Car) -> dict[str, list[str]]:
    """Each item's `needs_off`."""
    return {item.id: [link.item for link in item.needs_off] for item in car.items.values()}


def certain_needs(car: Car) -> dict[str, list[str]]:
    """Each item's `needs_off`, and what every way of one of its joints needs alike."""
    needs = stated_needs(car)
    for item in car.items.values():
        for joint in item.joints:
            if joint.ways:
                first, *others = ([link.item for link in way.needs_off] for way in joint.ways)
                needs[item.id] += [id for id in first if all(id in other for other in others)]
    return needs


def shown_chain(ids: tuple[str, ...], section: str, desk: Desk) -> str:
    """The chain in words, each id with its line where it first stands.

    A chain of more than a dozen is shown by its two ends.
    """
    seen: set[str] = set()
    words = []
    for id in ids:
        line = None if id in seen else desk.lines.get(f"{section}.{id}")
        words.append(id if line is None else f"{id} (line {line})")
        seen.add(id)
    if len(words) > _SHOWN:
        hidden = len(words) - _SHOWN
        words = [*words[: _SHOWN - 4], f"{hidden} others one after the other", *words[-4:]]
    return " needs ".join(words)
