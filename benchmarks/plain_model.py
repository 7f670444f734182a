"""One idea: the question written down for CP-SAT word by word, as a measure for the search of our own.

A switch for each node and each way; implications for needs, brings and ways; a place in the order for each node,
so that circles cannot be. Source of the solver: OR-Tools CP-SAT.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from putback.plan.access import AccessProblem

SCALE = 2  # made-up cars have minutes in halves


@dataclass(frozen=True, slots=True, kw_only=True)
class Plain:
    """Minutes found (None: none, or impossible), whether CP-SAT was through, and its seconds."""

    minutes: float | None
    proved: bool
    impossible: bool
    seconds: float


def plain_least(
    problem: AccessProblem, targets: Sequence[int], *, limit_s: float, only_reach: bool = False, scale: int = SCALE
) -> Plain:
    """The least minutes by CP-SAT, one worker."""
    nodes = _reach(problem, targets) if only_reach else set(range(len(problem.minutes)))
    model = cp_model.CpModel()
    on = {node: model.new_bool_var("") for node in nodes}
    place = {node: model.new_int_var(0, len(nodes), "") for node in nodes}
    costs = [(on[node], round(problem.minutes[node] * scale)) for node in nodes]
    for node in nodes:
        for need in problem.needs[node]:
            model.add_implication(on[node], on[need])
            model.add(place[node] >= place[need] + 1).only_enforce_if(on[node])
        for other in problem.brings[node]:
            model.add_implication(on[node], on[other])
    for choice in problem.choices:
        if choice.owner not in nodes:
            continue
        taken = []
        for way in choice.ways:
            if not way.allowed:
                continue
            switch = model.new_bool_var("")
            taken.append(switch)
            costs.append((switch, round(way.minutes * scale)))
            for need in way.needs:
                model.add_implication(switch, on[need])
                model.add(place[choice.owner] >= place[need] + 1).only_enforce_if(switch)
        model.add(sum(taken) == on[choice.owner])
    for target in targets:
        model.add(on[target] == 1)
    for node in problem.dead & nodes:
        model.add(on[node] == 0)
    model.minimize(sum(cost * switch for switch, cost in costs))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = limit_s
    status = solver.solve(model)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return Plain(
        minutes=solver.objective_value / scale if found else None,
        proved=status in (cp_model.OPTIMAL, cp_model.INFEASIBLE),
        impossible=status == cp_model.INFEASIBLE,
        seconds=solver.wall_time,
    )


def _reach(problem: AccessProblem, targets: Sequence[int]) -> set[int]:
    """All that the targets can lead to, over any way."""
    leads: dict[int, list[int]] = {}
    for choice in problem.choices:
        for way in choice.ways:
            leads.setdefault(choice.owner, []).extend(way.needs)
    reached = set(targets)
    waiting = list(targets)
    while waiting:
        node = waiting.pop()
        for other in (*problem.needs[node], *problem.brings[node], *leads.get(node, ())):
            if other not in reached:
                reached.add(other)
                waiting.append(other)
    return reached
