"""One idea: a missing tool changes the answer or does not, and either way the reason can be said in a line."""

import difflib
from collections.abc import Sequence

from putback.core.car import Car
from putback.plan.access import Unreachable, solve
from putback.plan.work import CarGraph, Work

SECONDS = 5.0
"""Time to find what the job would be with every tool, [s]."""


def what_changes(graph: CarGraph, numbers: Sequence[int], work: Work) -> tuple[str, ...]:
    """For each missing tool: what it changes, or why nothing does.

    Args:
        graph: the car with its missing tools.
        numbers: the targets.
        work: the answer without the tools.
    """
    if not graph.without:
        return ()
    full = CarGraph(graph.car)
    answer = solve(full.problem, numbers, time_limit_s=SECONDS)
    if isinstance(answer, Unreachable):
        return ()
    before = full.work_of(answer)
    return tuple(_one(graph.car, tool, before, work) for tool in sorted(graph.without))


def _one(car: Car, tool: str, before: Work, after: Work) -> str:
    used = [(joint, way) for joint in car.joints() for way in joint.ways if tool in joint.tools(way)]
    if not used and not any(tool in joint.tools() for joint in car.joints() if not joint.ways):
        known = {name for joint in car.joints() for way in (None, *joint.ways) for name in joint.tools(way)}
        near = difflib.get_close_matches(tool, sorted(known), n=1)
        guess = f" (did you mean {near[0]}?)" if near else ""
        return f"without {tool}: no joint of this car asks for it, so nothing changes{guess}"
    lost = [(joint, way) for joint, way in used if before.ways.get(joint.id) == way.id]
    if not lost:
        names = ", ".join(f"{joint.id} {way.id}" for joint, way in used)
        reason = f"only ways not taken use it ({names})" if names else "no joint of the work needs it"
        return f"without {tool}: nothing changes, {reason}"
    moves = [
        f"{joint.id} now {after.ways[joint.id]} instead of {way.id}" for joint, way in lost if joint.id in after.ways
    ]
    more = after.minutes - before.minutes
    off = [car.items[id].name for id in after.items if id not in before.items]
    stays = [car.items[id].name for id in before.items if id not in after.items]
    parts = [", ".join(moves), f"{after.minutes:g} min instead of {before.minutes:g} ({more:+g})"]
    if off:
        parts.append(f"also off: {', '.join(off)}")
    if stays:
        parts.append(f"may stay on: {', '.join(stays)}")
    return f"without {tool}: " + "; ".join(part for part in parts if part)
