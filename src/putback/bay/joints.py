"""One idea: what a hand needs to know at a joint beside its torque: the order, the passes, the look-alikes at hand."""

from collections.abc import Iterator, Mapping
from math import cos, pi, sin
from typing import Any

from putback.core.car import Joint
from putback.core.fasten.layout import CROSS, STAR, tightening_order
from putback.plan.plan import Plan

_RING_FROM = 4
"""From how many fasteners on a star or cross is drawn as a plain ring, where the car file gives no positions."""


def joints_of(plan: Plan) -> dict[str, dict[str, Any]]:
    """The joints of a plan that are more than a count: `points` stand in the order of tightening, [mm].

    `ring` is true where the positions are not the car file's: the order alone is drawn. `lengths` are the other
    threads that fit the same hole and lie in the same zone, with this joint's own.
    """
    alike = _look_alikes(plan)
    found = {}
    for joint in (line.joint for line in plan.torque_card):
        made = dict(_marks(joint))
        if joint.id in alike:
            made["lengths"] = alike[joint.id]
        if made:
            found[joint.id] = made
    return found


def _marks(joint: Joint) -> Iterator[tuple[str, Any]]:
    points = joint.layout_mm or _ring(joint)
    if len(points) > 1:
        yield "points", [list(points[at]) for at in tightening_order(points, joint.pattern)]
        yield "ring", not joint.layout_mm
    if joint.pattern:
        yield "pattern", joint.pattern
    if joint.passes_percent:
        yield "passes", list(joint.passes_percent)


def _ring(joint: Joint) -> tuple[tuple[float, float], ...]:
    """Places on a ring, for the order alone."""
    if joint.pattern not in (STAR, CROSS) or joint.count < _RING_FROM:
        return ()
    turns = [2 * pi * at / joint.count for at in range(joint.count)]
    return tuple((round(40 * sin(turn), 1), round(40 * cos(turn), 1)) for turn in turns)


def _look_alikes(plan: Plan) -> Mapping[str, list[str]]:
    """For each joint in a length trap, the threads of its zone that look the same but for length, shortest first."""
    joints = {line.joint.id: line.joint for line in plan.torque_card}
    found: dict[str, list[str]] = {}
    for trap in plan.length_traps:
        zones: dict[str, list[Joint]] = {}
        for ids in trap.joints_by_length_mm.values():
            for joint in (joints[id] for id in ids if id in joints):
                zones.setdefault(plan.car.items[joint.item].zone, []).append(joint)
        for alike in zones.values():
            threads = list(dict.fromkeys(joint.thread.text for joint in alike if joint.thread))
            if len(threads) > 1:
                found |= {joint.id: threads for joint in alike}
    return found
