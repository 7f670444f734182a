"""One idea: ids of a car file are for files; a face says the names that people use."""

from putback.core.car import HAND, Joint
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
    said = "" if thread and kind == "bolt" else kind
    words = " ".join(part for part in (thread, said) if part) or "fastener"
    known = joint.drive in (None, HAND) or (joint.drive or "").startswith(kind + "-")
    return f"{joint.count} × {words}" + ("" if known else f" {joint.drive}")


def energy_name(plan: Plan, id: str) -> str:
    """What an energy is called: its kind, with its id where the plan has several of that kind."""
    kind = plan.car.energies[id].kind
    return f"{kind}, {id}" if sum(line.energy.kind == kind for line in plan.energies) > 1 else kind


def total_minutes(plan: Plan) -> str:
    """What the whole work takes, off and on, as far as it is known."""
    if not plan.minutes_unknown:
        return f"{plan.minutes_off:g} min off + {plan.minutes_on:g} min on = {plan.minutes:g} min"
    if not plan.minutes:
        return "minutes not known"
    unknown = f"minutes of {counted(len(plan.minutes_unknown), 'item')} not known"
    return f"{plan.minutes_off:g} min off + {plan.minutes_on:g} min on or more, {unknown}"


def proof_words(plan: Plan) -> str:
    """How far it is proved that less work will not do."""
    if not plan.proved:
        return f"not proved: up to {plan.gap_minutes:g} min less may do"
    if plan.minutes_unknown and plan.ways:
        return "proved for the minutes that are known"
    assumed = any(finding.rule == "links" for finding in plan.findings)
    return "proved: nothing less will do" + (", by the links that are known" if assumed else "")


NO_PRICE = "no price: minutes of the work are not known"


def counted(count: int, word: str) -> str:
    """A count with its word.

    >>> counted(1, "fault"), counted(2, "fault")
    ('1 fault', '2 faults')
    """
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def blocked(plan: Plan) -> list[str]:
    """What nobody may pass until a value is there: each energy without a sourced wait or proof, and from where on."""
    found = []
    for line in plan.energies:
        if line.value_needed:
            what = " and ".join(line.value_needed)
            at = f" at operation {line.prove}" if line.prove else ""
            name = energy_name(plan, line.energy.id)
            found.append(f"STOP{at}: {name} has no sourced {what}. Value needed: ask the maker's publication.")
    return found
