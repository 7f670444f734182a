"""One idea: a job that cannot be done names the joint that stops it and what is missing to undo it."""

from putback.core.car import Joint
from putback.plan.access import DeadChoice, DeadWay, Unreachable, WhyDead
from putback.plan.order import NoOrderError
from putback.plan.plan import Impossible, Reach
from putback.plan.steps import Steps
from putback.plan.work import ITEM, CarGraph


def impossible(graph: CarGraph, unreachable: Unreachable) -> Impossible:
    """An unreachable answer in the words of the car file."""
    found = [_joint(graph, choice) for choice in unreachable.choices]
    for number in unreachable.dead:
        kind, id = graph.nodes[number]
        if kind == ITEM:
            found += [_direct(joint) for joint in graph.missing_drives(id)]
    for circle in unreachable.circles:
        names = [graph.nodes[number][1] for number in circle]
        why = "waits for itself: " + " needs ".join([*names, names[0]])
        found.append(Reach(joint=names[0], why=why, missing=()))
    return Impossible(joints=tuple(found))


def _direct(joint: Joint) -> Reach:
    tools = joint.tools()
    why = f"{joint.item}: undone with {', '.join(tools)} and no other way is known"
    return Reach(joint=joint.id, why=why, missing=tools)


def _joint(graph: CarGraph, dead: DeadChoice) -> Reach:
    joint = graph.choosing[dead.choice]
    missing = sorted({tool for way in joint.ways for tool in joint.tools(way) if tool in graph.without})
    reasons = "; ".join(_way(graph, joint, way) for way in dead.ways)
    return Reach(joint=joint.id, why=f"{joint.item}: {reasons}", missing=tuple(missing))


def _way(graph: CarGraph, joint: Joint, dead: DeadWay) -> str:
    way = joint.ways[dead.way]
    if dead.why is WhyDead.NOT_ALLOWED:
        tools = ", ".join(tool for tool in joint.tools(way) if tool in graph.without)
        return f"way {way.id} needs {tools}"
    node = graph.nodes[dead.node][1] if dead.node is not None else "something"
    if dead.why is WhyDead.CIRCLE:
        return f"way {way.id} needs its own item off first, by way of {node}"
    return f"way {way.id} needs {node} off, which cannot come off"


def no_order(built: Steps, contradiction: NoOrderError) -> Impossible:
    """Rules of order that contradict each other, link by link."""
    steps = [built.steps[number] for number in contradiction.steps]
    names = [f"{step.does} {step.thing}" for step in steps]
    why = "waits for itself: " + ", then ".join([*names, names[0]])
    return Impossible(joints=(Reach(joint=steps[0].thing, why=why, missing=()),))
