"""One idea: jobs that look like work on a car, made from a seed.

A car is zones with layers from the outside inwards. An item lies in a zone and a layer, is held by one to three
groups of fasteners, and is reached only when what covers it from the layer above is off. Tools are used unevenly:
a few sizes do most of the work. Work from below and from above moves the lift.
"""

import random
from dataclasses import dataclass

from putback.plan.order import OrderProblem, Part, change_of

TOOL_WEIGHT, ZONE_WEIGHT, CREW_WEIGHT, LIFT_COST = 1, 2, 3, 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Fastening:
    """A group of fasteners of one kind, as the generator thinks of it."""

    tool: int
    zone: int
    crew: int
    depth: int


def _covers(rng: random.Random, zones: int, layer: list[tuple[int, list[int]]], zone: int) -> list[list[int]]:
    """The groups of some items of the layer above, in this zone or next to it."""
    near = [groups for where, groups in layer if where in {zone, (zone + 1) % zones, (zone - 1) % zones}]
    rng.shuffle(near)
    return near[: rng.choice((1, 1, 2, 2, 3))]


def fastenings(
    groups: int, rng: random.Random, tools: int, zones: int
) -> tuple[list[Fastening], list[tuple[int, int]]]:
    """Groups of fasteners, and which must be undone before which."""
    weights = [1 / (1 + 0.35 * tool) for tool in range(tools)]
    depth = max(3, round(groups**0.5 / 1.6))
    layers: list[list[tuple[int, list[int]]]] = [[] for _ in range(depth)]
    found: list[Fastening] = []
    while len(found) < groups:
        zone, level = rng.randrange(zones), rng.randrange(depth)
        crew = int(rng.random() < 0.1)
        held = []
        for _ in range(min(groups - len(found), rng.choice((1, 1, 1, 2, 2, 3)))):
            held.append(len(found))
            reached = zone if rng.random() < 0.85 else (zone + 1) % zones
            tool = rng.choices(range(tools), weights)[0]
            found.append(Fastening(tool=tool, zone=reached, crew=crew, depth=level))
        layers[level].append((zone, held))
    before = [
        (a, b)
        for level in range(1, depth)
        for zone, held in layers[level]
        for cover in _covers(rng, zones, layers[level - 1], zone)
        for a in cover
        for b in held
    ]
    return found, before


def job(
    groups: int,
    seed: int,
    *,
    tools: int = 12,
    zones: int = 8,
    each: int = 1,
    round_trip: bool = False,
    crew: bool = False,
) -> OrderProblem:
    """A job.

    Args:
        groups: groups of fasteners on the way in.
        seed: the same seed gives the same job.
        tools: kinds of tool.
        zones: zones round the car; every fourth is worked from below, every fourth from above.
        each: identical fasteners in a group, each a step of its own.
        round_trip: the way back follows as a second stage: the same groups, the relation turned round, torque
            wrenches as tools of their own for a third of them.
        crew: some items need two persons; coming and going of the second one costs too.
    """
    rng = random.Random(seed)
    found, before = fastenings(groups, rng, tools, zones)
    spots = [(one.tool, one.zone, one.crew * crew) for one in found]
    stage = [0] * groups
    if round_trip:
        wrench = [tools + tool % 4 if rng.random() < 1 / 3 else tool for tool, _, _ in spots]
        spots += [(tool, zone, two) for tool, (_, zone, two) in zip(wrench, spots, strict=True)]
        before = before + [(groups + b, groups + a) for a, b in before]
        stage += [1] * groups
    return _problem(spots, before, stage, each, zones)


def _problem(
    spots: list[tuple[int, int, int]],
    before: list[tuple[int, int]],
    stage: list[int],
    each: int,
    zones: int,
) -> OrderProblem:
    """The job as the planner takes it, every group `each` times."""
    classes = sorted(set(spots))
    lift = [{3: 1, 0: 2}.get(zone % 4, 0) if zones > 1 else 0 for _, zone, _ in classes]
    parts = tuple(
        Part(weight=weight, label=tuple(spot[at] for spot in classes))
        for at, weight in enumerate((TOOL_WEIGHT, ZONE_WEIGHT, CREW_WEIGHT))
    )
    return OrderProblem(
        place=tuple(classes.index(spot) for spot in spots for _ in range(each)),
        change=change_of(parts),
        lift=tuple(lift),
        lift_cost=LIFT_COST,
        before=tuple((a * each + i, b * each + j) for a, b in before for i in range(each) for j in range(each)),
        stage=tuple(s for s in stage for _ in range(each)),
        parts=parts,
    )
