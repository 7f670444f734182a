"""One idea: a car that was drawn from recordings is written as a car file, `car/1`, for a person to go on with.

What is written: zones, sources, items with their joints and links, and energies. Nothing else can be drawn.
"""

from collections.abc import Mapping, Sequence

from putback.adapters.car_file.table import FORMAT
from putback.adapters.yaml_text import Value, entries, value_text, word
from putback.core.car import Car, Energy, Item, Joint, Lift, Link, Origin, Zone
from putback.core.finding import Finding


def write_car(car: Car, *, findings: Sequence[Finding] = ()) -> str:
    """The text of a car file.

    Args:
        car: as it was drawn.
        findings: what is open; each stands as a comment at the head.
    """
    lines = [f"putback: {FORMAT}", *_comments(findings), *entries({"name": car.name}, 0)]
    if car.invented:
        lines.append("invented: true")
    lines += _section("zones", {zone.id: _zone(zone) for zone in car.zones.values()})
    lines += _section("sources", dict(car.sources))
    lines += _section("energies", {one.id: _energy(one) for one in car.energies.values()})
    lines += _section("items", {item.id: _item(item) for item in car.items.values()})
    return "\n".join(lines) + "\n"


def _comments(findings: Sequence[Finding]) -> list[str]:
    if not findings:
        return []
    told = [" ".join(f"{one.what}; {one.mend}".split()) for one in findings]
    plain = ("".join(sign if sign.isprintable() else "\ufffd" for sign in one) for one in told)
    return ["# Drawn from recordings. What is open:", *(f"# - {one}" for one in plain)]


def _section(name: str, groups: Mapping[str, Value]) -> list[str]:
    if not groups:
        return []
    lines = ["", f"{name}:"]
    for id, group in groups.items():
        if isinstance(group, Mapping):
            lines += [f"  {word(id)}:", *_group(group)]
        else:
            lines += entries({id: group}, 2)
    return lines


def _group(group: Mapping[str, Value]) -> list[str]:
    """The keys of one group; joints stand one a line."""
    lines: list[str] = []
    for key, value in group.items():
        if key == "joints" and isinstance(value, Sequence) and not isinstance(value, str):
            lines += ["    joints:", *(f"      - {value_text(one)}" for one in value)]
        else:
            lines += entries({key: value}, 4)
    return lines


def _zone(zone: Zone) -> Value:
    return zone.name if zone.lift is Lift.ANY else {"name": zone.name, "lift": str(zone.lift)}


def _energy(energy: Energy) -> Value:
    return _said({"kind": energy.kind, "make_safe": energy.make_safe, "near": list(energy.near)})


def _item(item: Item) -> Value:
    return _said(
        {
            "name": item.name,
            "zone": item.zone,
            "action": str(item.action),
            "minutes": [item.minutes_off, item.minutes_on] if item.minutes_known else None,
            "needs_off": [_link(link) for link in item.needs_off],
            "links": None if item.links_complete else "incomplete",
            "energy": list(item.energy),
            "one_time": item.one_time or None,
            "renew_with": list(item.renew_with_items),
            "notes": list(item.notes),
            "joints": [_joint(joint) for joint in item.joints],
        }
    )


def _link(link: Link) -> Value:
    if link.origin is Origin.STATED:
        return link.item
    return {"item": link.item, "from": str(link.origin), "jobs": link.jobs}


def _joint(joint: Joint) -> Value:
    return _said(
        {
            "id": joint.id,
            "count": joint.count,
            "thread": joint.thread.text if joint.thread else None,
            "kind": joint.kind,
            "drive": joint.drive,
            "torque": str(joint.torque) if joint.torque else None,
            "source": joint.source,
            "pattern": joint.pattern,
        }
    )


def _said(group: Mapping[str, Value]) -> dict[str, Value]:
    """The keys that have something to say."""
    return {key: value for key, value in group.items() if value is not None and value != []}
