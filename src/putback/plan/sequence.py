"""One idea: what changes between two steps is the tool, the zone, the lift and who must be called to help.

The order cost is the contract's: other tool 1, other zone 2, lift up or down 4. Calling a helper breaks ties only:
two-person steps stand together wherever that costs no other change.
"""

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass

from putback.core.car import Lift
from putback.plan.order import FREE, Order, OrderProblem, Part, change_of, cost_of, solve
from putback.plan.plan import OrderLine
from putback.plan.steps import Steps

_LIFT = {Lift.ANY: 0, Lift.UP: 1, Lift.DOWN: 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeCosts:
    """What a change costs; all settable, in one unit without a name."""

    tool: int = 1
    zone: int = 2
    lift: int = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Sequence:
    """Every step's number in a legal order, and how good the order is."""

    steps: tuple[int, ...]
    line: OrderLine
    interrupted: bool


def order_problem(built: Steps, costs: ChangeCosts) -> OrderProblem:
    """The steps as the order search knows them."""
    places = [(step.tools, step.zone) if step.zone else None for step in built.steps]
    classes = {place: n for n, place in enumerate(dict.fromkeys(place for place in places if place))}
    zones = [zone for _, zone in classes]
    known = built.car.zones
    parts = (
        Part(weight=costs.tool, label=_labels([tools for tools, _ in classes])),
        Part(weight=costs.zone, label=_labels(zones)),
    )
    return OrderProblem(
        place=tuple(classes[place] if place else FREE for place in places),
        change=change_of(parts),
        lift=tuple(_LIFT[known[zone].lift if zone in known else Lift.ANY] for zone in zones),
        lift_cost=costs.lift,
        before=tuple(sorted(built.before)),
        stage=tuple(step.stage for step in built.steps),
        parts=parts,
    )


def _labels(values: Iterable[Hashable]) -> tuple[int, ...]:
    numbers: dict[Hashable, int] = {}
    return tuple(numbers.setdefault(value, len(numbers)) for value in values)


def sequence(
    built: Steps,
    *,
    costs: ChangeCosts,
    time_limit_s: float | None,
    on_progress: Callable[[float, float], None] | None,
) -> Sequence:
    """The order of work with the fewest changes.

    Raises:
        NoOrderError: the rules of order contradict each other; its steps are numbers of `built.steps`.
    """
    problem = order_problem(built, costs)
    order = solve(problem, time_limit_s=time_limit_s, on_progress=on_progress)
    steps = helpers_together(built, problem, order)
    line = OrderLine(cost=order.cost, bound=order.bound, proved=order.proved, gap=order.gap)
    return Sequence(steps=steps, line=line, interrupted=order.interrupted)


def helpers_together(built: Steps, problem: OrderProblem, order: Order) -> tuple[int, ...]:
    """The same order with two-person steps moved beside each other where that changes no cost and no rule.

    Within a run of steps in one place any legal order costs the same; there, steps for one person that can come
    first do, then those for two, then the rest.
    """
    earlier: dict[int, set[int]] = {}
    for a, b in problem.before:
        earlier.setdefault(b, set()).add(a)

    def where(step: int) -> tuple[int, int]:
        return problem.place[step], built.steps[step].stage

    moved: list[int] = []
    run: list[int] = []
    for step in order.steps:
        if run and where(step) != where(run[0]):
            moved += _regrouped(built, run, earlier, set(moved))
            run = []
        run.append(step)
    moved += _regrouped(built, run, earlier, set(moved))
    if cost_of(problem, moved) != order.cost:
        return order.steps
    return tuple(moved)


def _regrouped(built: Steps, run: list[int], earlier: dict[int, set[int]], done: set[int]) -> list[int]:
    """One run, sorted so that as few changes between one and two people happen as a greedy choice finds."""
    left, found, people = list(run), [], 1
    while left:
        ready = [step for step in left if earlier.get(step, set()) <= done]
        step = next((step for step in ready if built.steps[step].people == people), ready[0])
        people = built.steps[step].people
        left.remove(step)
        found.append(step)
        done.add(step)
    return found
