"""One idea: ids of a car file are for files; a page says the names that people use."""

from putback.core.car import Joint
from putback.plan.plan import Plan


def item_name(plan: Plan, id: str | None) -> str:
    """The name of an item; the id itself where the car has no such item."""
    if id is None:
        return ""
    item = plan.car.items.get(id)
    return item.name if item else id


def zone_name(plan: Plan, id: str | None) -> str:
    """The name of a zone."""
    if id is None:
        return ""
    zone = plan.car.zones.get(id)
    return zone.name if zone else id


def thing_name(plan: Plan, key: str) -> str:
    """The name of what rework minutes are given for: an item, a joint of one, a guard, or a guard `@` its item."""
    car = plan.car
    guard, _, at = key.partition("@")
    if at and guard in car.guards:
        return f"{car.guards[guard].name}, at {item_name(plan, at)}"
    if key in car.guards:
        return car.guards[key].name
    if key in car.items:
        return car.items[key].name
    for joint in car.joints():
        if joint.id == key:
            return f"{item_name(plan, joint.item)}, joint {key}"
    return key


def fasteners(joint: Joint) -> str:
    """What a joint is made of, in one line: count, thread or kind, drive."""
    thread = joint.thread.text if joint.thread else ""
    kind = joint.kind or ""
    words = " ".join(part for part in (thread, kind) if part) or "fastener"
    drive = f", {joint.drive}" if joint.drive else ""
    return f"{joint.count} × {words}{drive}"
