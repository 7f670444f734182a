"""One idea: what to pull, buy, lay out and tighten follows from the work alone.

Lengths [mm], torques [N·m], masses [kg], minutes [min].
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType

from putback.core.car import HAND, Action, Car, Item, Joint, Service
from putback.core.energy import covers
from putback.plan.plan import LengthTrap, MassLine, PartLine, StowLine, ToolLine, TorqueLine
from putback.plan.steps import tools_for
from putback.plan.work import Work

_LENGTH = re.compile(r"(?:extension|bar)-(\d+)$")


def joints_of(car: Car, work: Work) -> Iterator[Joint]:
    """Every joint of the work, in the file's order."""
    for id in work.items:
        yield from car.items[id].joints


def tool_list(car: Car, work: Work) -> tuple[ToolLine, ...]:
    """The tools to pull, with the joints each serves and the torques a wrench on it must cover."""
    served: dict[str, list[Joint]] = {}
    for joint in joints_of(car, work):
        for tool in tools_for(joint, work.ways):
            if tool != HAND:
                served.setdefault(tool, []).append(joint)
    return tuple(_tool_line(tool, joints) for tool, joints in sorted(served.items()))


def _tool_line(tool: str, joints: Sequence[Joint]) -> ToolLine:
    torques = [joint.sourced_torque.torque_nm for joint in joints if joint.sourced_torque]
    length = _LENGTH.search(tool)
    return ToolLine(
        tool=tool,
        joints=tuple(joint.id for joint in joints),
        length_mm=float(length[1]) if length else None,
        crow_foot="crow-foot" in tool,
        least_torque_nm=min(torques, default=None),
        most_torque_nm=max(torques, default=None),
    )


def part_list(car: Car, work: Work, targets: Sequence[str], service: Service | None) -> tuple[PartLine, ...]:
    """What must lie on the shelf: the new targets, every one-time part, and what else the service is sold with."""
    prices = service.parts if service else {}
    lines = []
    for id in targets:
        item = car.items[id]
        lines.append(PartLine(part=id, name=item.name, one_time=item.one_time, price=prices.get(id)))
    renewals = [car.items[id] for id in work.items if id not in targets and _is_new(car.items[id])]
    lines += [PartLine(part=item.id, name=item.name, one_time=True, price=prices.get(item.id)) for item in renewals]
    brought = {item.renews_joint for item in map(car.items.__getitem__, work.items)}
    for joint in joints_of(car, work):
        if joint.one_time and joint.id not in brought:
            name = f"{joint.count} new fasteners {joint.thread.text if joint.thread else joint.kind or ''}".strip()
            lines.append(PartLine(part=joint.id, name=name, one_time=True, price=prices.get(joint.id)))
    listed = {line.part for line in lines}
    others = [id for id in prices if id not in listed]
    lines += [PartLine(part=id, name=id.replace("_", " "), one_time=False, price=prices[id]) for id in others]
    return tuple(lines)


def _is_new(item: Item) -> bool:
    return item.one_time or item.action is Action.RENEW


def length_traps(car: Car, work: Work) -> tuple[LengthTrap, ...]:
    """Same thread and drive, other length: fasteners that fit each other's holes and must not meet."""
    groups: dict[tuple[str, str], dict[float, list[str]]] = {}
    for joint in joints_of(car, work):
        if joint.thread and joint.thread.length_mm is not None:
            lengths = groups.setdefault((joint.thread.nominal, joint.drive or ""), {})
            lengths.setdefault(joint.thread.length_mm, []).append(joint.id)
    return tuple(
        LengthTrap(
            thread=thread,
            drive=drive,
            joints_by_length_mm=MappingProxyType({length: tuple(lengths[length]) for length in sorted(lengths)}),
        )
        for (thread, drive), lengths in sorted(groups.items())
        if len(lengths) > 1
    )


def stow_places(car: Car, work: Work) -> tuple[StowLine, ...]:
    """A tray for each zone, and another where one thread and drive comes in several lengths.

    Joints of one item share a tray unless a length trap forces them apart.
    """
    trays: dict[str, list[dict[tuple[str, str], float]]] = {}
    held: dict[tuple[str, int], list[Joint]] = {}
    trapped: set[tuple[str, int]] = set()
    for joint in joints_of(car, work):
        zone = car.items[joint.item].zone
        shelf = trays.setdefault(zone, [])
        kind = (joint.thread.nominal, joint.drive or "") if joint.thread else None
        length = joint.thread.length_mm if joint.thread else None
        place = _first_place(shelf, kind, length)
        if kind and length is not None:
            shelf[place][kind] = length
        held.setdefault((zone, place), []).append(joint)
        if place:
            trapped |= {(zone, place), (zone, 0)}
    return tuple(
        StowLine(place=f"{zone}{place + 1}", zone=zone, joints=tuple(joints), trap=(zone, place) in trapped)
        for (zone, place), joints in sorted(held.items())
    )


def _first_place(shelf: list[dict[tuple[str, str], float]], kind: tuple[str, str] | None, length: float | None) -> int:
    """The first tray in which nothing of this kind lies in another length; a new one if there is none."""
    for place, tray in enumerate(shelf):
        if kind is None or length is None or tray.get(kind, length) == length:
            return place
    shelf.append({})
    return len(shelf) - 1


def torque_card(car: Car, work: Work) -> tuple[TorqueLine, ...]:
    """Every joint of the work whose tightness matters, with its value and source or the words "value needed"."""
    renewed = {car.items[id].renews_joint: id for id in work.items if car.items[id].renews_joint}
    return tuple(
        TorqueLine(
            joint=joint,
            item=joint.item,
            value_needed=joint.sourced_torque is None,
            tools=tools_for(joint, work.ways),
            renewed_by=renewed.get(joint.id),
        )
        for joint in joints_of(car, work)
        if joint.torqued
    )


def rework_minutes(car: Car, work: Work) -> Mapping[str, float]:
    """Minutes to get back to each item, joint and guard piece if it is forgotten, dearest first.

    Minutes off and on, chosen ways included, of everything in the work that covers it; its own minutes and making
    safe are not counted. For a guard piece: the item that closes over it and all that covers that item; a guard
    with several ports has a line for each (`guard@item`) and one under its own name for the dearest.
    """
    minutes = {id: _with_ways(car.items[id], work.ways) for id in work.items}
    cover = {id: covers(car, [id], work.ways) for id in work.items}
    own = {id: sum(minutes[other] for other in cover[id] if other in minutes) for id in work.items}
    found = dict(own)
    for joint in joints_of(car, work):
        found[joint.id] = own[joint.item]
    for guard in car.guards.values():
        ports = [id for id in guard.closes if id in minutes]
        behind = {id: own[id] + minutes[id] for id in ports}
        if behind:
            found[guard.id] = max(behind.values())
        if len(behind) > 1:
            found.update({f"{guard.id}@{id}": value for id, value in behind.items()})
    return MappingProxyType(dict(sorted(found.items(), key=lambda pair: (-pair[1], pair[0]))))


def rework_unknown(car: Car, work: Work) -> frozenset[str]:
    """What lies behind something whose minutes are not known: its rework minutes are the least it takes."""
    unknown = {id for id in work.items if not car.items[id].minutes_known}
    if not unknown:
        return frozenset()
    over = {id for id in work.items if not unknown.isdisjoint(covers(car, [id], work.ways))}
    joints = {joint.id for joint in joints_of(car, work) if joint.item in over}
    behind = {(guard.id, id) for guard in car.guards.values() for id in guard.closes if id in over | unknown}
    return frozenset({*over, *joints, *(f"{guard}@{id}" for guard, id in behind), *(guard for guard, _ in behind)})


def _with_ways(item: Item, ways: Mapping[str, str]) -> float:
    return item.minutes + sum(joint.way(ways[joint.id]).minutes for joint in item.joints if joint.id in ways)


def split_minutes(car: Car, work: Work) -> tuple[float, float]:
    """Minutes off and minutes on of the work, ways included, [min]."""
    items = [car.items[id] for id in work.items]
    ways = [joint.way(work.ways[joint.id]) for joint in joints_of(car, work) if joint.id in work.ways]
    off = sum(item.minutes_off for item in items) + sum(way.minutes_off for way in ways)
    return off, sum(item.minutes_on for item in items) + sum(way.minutes_on for way in ways)


def mass_off(car: Car, work: Work, limit_mm: float | None) -> MassLine:
    """What leaves the car and how far its centre of gravity moves: shift = sum(m arm) / (M - sum m).

    Only removed items count; one swung aside stays on the car. Arms are measured from the old centre of gravity,
    forward positive, so a positive shift is rearward.
    """
    removed = [car.items[id] for id in work.items if car.items[id].action is Action.REMOVE]
    known = [(item.mass_kg, item.ahead_of_front_axle_mm) for item in removed]
    loads = [(mass, arm) for mass, arm in known if mass is not None and arm is not None]
    fluids = [car.fluids[id] for id in work.fluids]
    wet = [(fluid.mass_kg, fluid.ahead_of_front_axle_mm) for fluid in fluids]
    drained = [(mass, arm) for mass, arm in wet if mass is not None and arm is not None]
    return MassLine(
        off_kg=round(sum(item.mass_kg or 0.0 for item in removed), 6),
        rearward_mm=_shift_mm(car, loads),
        fluids_kg=sum(mass or 0.0 for mass, _ in wet),
        rearward_drained_mm=_shift_mm(car, [*loads, *drained]) if drained else None,
        limit_mm=limit_mm,
        unknown=tuple(item.id for item in removed if item.mass_kg is None or item.ahead_of_front_axle_mm is None),
    )


def _shift_mm(car: Car, loads: Iterable[tuple[float, float]]) -> float | None:
    if car.mass_kg is None or car.cg_behind_front_axle_mm is None:
        return None
    off = list(loads)
    moment = sum(mass * (ahead + car.cg_behind_front_axle_mm) for mass, ahead in off)
    left = car.mass_kg - sum(mass for mass, _ in off)
    return moment / left if left > 0 else None
