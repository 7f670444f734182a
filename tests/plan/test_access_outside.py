"""Access planning against an outside solver, on cars of dozens of nodes, and what must hold whatever the car.

Outside: SCIP through OR-Tools' pywraplp, on a model written straight from the definition, with a place in the order
for every node so that circles cannot be.
"""

from collections.abc import Callable
from dataclasses import replace
from itertools import count
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.linear_solver import pywraplp

from putback.plan.access import (
    AccessAnswer,
    AccessProblem,
    Choice,
    Closures,
    Unreachable,
    Way,
    alternatives,
    closure_many,
    solve,
    verify,
)


def layered_car(seed: int, *, most: int = 60) -> tuple[AccessProblem, tuple[int, ...]]:
    """Layers from outside to inside, covers over much, ways from beside or further in, seals, dead nodes and ways."""
    random = Random(seed)
    size = random.randint(12, most)
    covers = 3
    layer = [0] * covers + sorted(random.randint(0, 4) for _ in range(size - covers))
    needs: list[set[int]] = [set() for _ in range(size)]
    brings: list[set[int]] = [set() for _ in range(size)]
    choices: list[Choice] = []

    def some(pool: list[int], most_of_them: int) -> set[int]:
        return set(random.sample(pool, min(len(pool), random.randint(0, most_of_them))))

    for node in range(covers, size):
        outer = [other for other in range(size) if layer[other] < layer[node]]
        needs[node] = some(outer[-8:], 2) | (some(list(range(covers)), 1) if random.random() < 0.4 else set())
        if random.random() < 0.1:
            brings[node] = some(list(range(size)), 1)
        if random.random() < 0.4:
            pool = list(range(size)) if random.random() < 0.15 else outer
            ways = tuple(
                Way(
                    minutes=random.randint(0, 12) / 2,
                    needs=tuple(sorted(some(pool, 3) - {node})),
                    allowed=random.random() < 0.95,
                )
                for _ in range(random.choice([2, 2, 3]))
            )
            choices.append(Choice(owner=node, ways=ways))
    problem = AccessProblem(
        minutes=tuple(random.randint(0, 20) / 2 for _ in range(size)),
        needs=tuple(tuple(sorted(nodes)) for nodes in needs),
        brings=tuple(tuple(sorted(nodes)) for nodes in brings),
        choices=tuple(choices),
        dead=frozenset([random.randrange(size)] if random.random() < 0.1 else []),
    )
    return problem, tuple(sorted(random.sample(range(size // 2, size), random.randint(1, 3))))


def least_by_scip(problem: AccessProblem, targets: tuple[int, ...]) -> float | None:
    """The least minutes, or None when there is no legal choice."""
    size = len(problem.minutes)
    solver = pywraplp.Solver.CreateSolver("SCIP")
    on = [solver.BoolVar("") for _ in range(size)]
    place = [solver.NumVar(0, size, "") for _ in range(size)]
    cost = [problem.minutes[node] * on[node] for node in range(size)]
    for node in range(size):
        for need in problem.needs[node]:
            solver.Add(on[need] >= on[node])
            solver.Add(place[node] >= place[need] + 1 - (size + 1) * (1 - on[node]))
        for other in problem.brings[node]:
            solver.Add(on[other] >= on[node])
    for choice in problem.choices:
        taken = [solver.BoolVar("") for _ in choice.ways]
        solver.Add(sum(taken) == on[choice.owner])
        for way, switch in zip(choice.ways, taken, strict=True):
            cost.append(way.minutes * switch)
            if not way.allowed:
                solver.Add(switch == 0)
            for need in way.needs:
                solver.Add(on[need] >= switch)
                solver.Add(place[choice.owner] >= place[need] + 1 - (size + 1) * (1 - switch))
    for target in targets:
        solver.Add(on[target] == 1)
    for node in problem.dead:
        solver.Add(on[node] == 0)
    solver.Minimize(sum(cost))
    status = solver.Solve()
    assert status in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.INFEASIBLE)
    return solver.Objective().Value() if status == pywraplp.Solver.OPTIMAL else None


@pytest.mark.parametrize("start", range(0, 500, 100))
def test_least_minutes_are_those_of_scip(start: int) -> None:
    impossible = 0
    for seed in range(start, start + 100):
        problem, targets = layered_car(seed)
        least = least_by_scip(problem, targets)
        answer = solve(problem, targets)
        if least is None:
            impossible += 1
            assert isinstance(answer, Unreachable), seed
            continue
        assert isinstance(answer, AccessAnswer), seed
        assert answer.proved
        assert answer.minutes == pytest.approx(least, abs=1e-5), seed
        assert verify(problem, targets, answer) == ()
    assert impossible < 50


def least(problem: AccessProblem, targets: tuple[int, ...]) -> float:
    """Minutes of the answer; endless when impossible."""
    answer = solve(problem, targets)
    return float("inf") if isinstance(answer, Unreachable) else answer.minutes


def with_arc(arcs: tuple[tuple[int, ...], ...], node: int, other: int) -> tuple[tuple[int, ...], ...]:
    return tuple((*found, other) if at == node else found for at, found in enumerate(arcs))


cars = st.integers(0, 10**6).map(lambda seed: layered_car(seed, most=30))
numbers = st.integers(0, 10**6)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(cars, numbers, numbers)
def test_one_more_link_never_makes_it_cheaper(
    drawn: tuple[AccessProblem, tuple[int, ...]], one: int, two: int
) -> None:
    problem, targets = drawn
    size = len(problem.minutes)
    before = least(problem, targets)
    node, other = one % size, two % size
    assert least(replace(problem, needs=with_arc(problem.needs, node, other)), targets) >= before - 1e-9
    assert least(replace(problem, brings=with_arc(problem.brings, node, other)), targets) >= before - 1e-9


@settings(max_examples=100, deadline=None, derandomize=True)
@given(cars, numbers, numbers)
def test_a_way_or_node_less_never_makes_it_cheaper(
    drawn: tuple[AccessProblem, tuple[int, ...]], one: int, two: int
) -> None:
    problem, targets = drawn
    before = least(problem, targets)
    node = one % len(problem.minutes)
    assert least(replace(problem, dead=problem.dead | {node}), targets) >= before - 1e-9
    if problem.choices:
        at = one % len(problem.choices)
        choice = problem.choices[at]
        barred = two % len(choice.ways)
        ways = tuple(replace(way, allowed=way.allowed and number != barred) for number, way in enumerate(choice.ways))
        choices = (*problem.choices[:at], replace(choice, ways=ways), *problem.choices[at + 1 :])
        assert least(replace(problem, choices=choices), targets) >= before - 1e-9


@settings(max_examples=60, deadline=None, derandomize=True)
@given(cars)
def test_more_targets_cost_no_less_and_the_same_question_has_the_same_answer(
    drawn: tuple[AccessProblem, tuple[int, ...]],
) -> None:
    problem, targets = drawn
    assert least(problem, targets[:1]) <= least(problem, targets) + 1e-9
    assert solve(problem, targets) == solve(problem, reversed(targets))
    assert alternatives(problem, targets, most=4) == alternatives(problem, targets, most=4)


def tangled_car(*, size: int, seed: int) -> AccessProblem:
    """Half of the items with three ways anywhere further out or, now and then, further in."""
    random = Random(seed)
    choices = []
    for node in range(20, size, 2):
        ways = []
        for _ in range(3):
            near = range(max(0, node - 60), node if random.random() < 0.97 else min(size, node + 20))
            ways.append(Way(minutes=random.randint(0, 9) / 2, needs=tuple(random.sample(near, 2))))
        choices.append(Choice(owner=node, ways=tuple(ways)))
    return AccessProblem(
        minutes=tuple(random.randint(1, 18) / 2 for _ in range(size)),
        needs=tuple(tuple(random.sample(range(node), 1)) if node > 20 and node % 3 else () for node in range(size)),
        brings=((),) * size,
        choices=tuple(choices),
    )


def test_time_limit_gives_a_legal_answer_with_an_honest_bound() -> None:
    problem = tangled_car(size=160, seed=1)
    targets = (150, 155, 159)
    whole = solve(problem, targets)
    assert isinstance(whole, AccessAnswer)
    assert whole.proved
    short = solve(problem, targets, time_limit_s=0)
    assert isinstance(short, AccessAnswer)
    assert verify(problem, targets, short) == ()
    assert short.bound <= whole.minutes <= short.minutes
    assert short.gap == pytest.approx(short.minutes - short.bound) or short.proved
    listed = alternatives(problem, targets, most=5, time_limit_s=0)
    assert not isinstance(listed, Unreachable)
    assert not listed.complete
    assert len(listed.answers) == 1


def interrupting(after: int) -> Callable[[float, float], None]:
    calls = count(1)

    def told(best: float, bound: float) -> None:
        assert bound <= best + 1e-9
        if next(calls) == after:
            raise KeyboardInterrupt

    return told


@pytest.mark.parametrize("after", [1, 2, 3])
def test_interruption_gives_the_best_so_far(after: int) -> None:
    problem = tangled_car(size=400, seed=2)
    targets = (350, 360, 370, 380, 390, 399)
    answer = solve(problem, targets, time_limit_s=20, on_progress=interrupting(after))
    assert isinstance(answer, AccessAnswer)
    assert verify(problem, targets, answer) == ()
    assert answer.interrupted
    assert answer.bound <= answer.minutes


def plain_closure(problem: AccessProblem, targets: tuple[int, ...]) -> set[int]:
    work = set(targets)
    before = -1
    while before != len(work):
        before = len(work)
        work |= {other for node in work for other in problem.needs[node] + problem.brings[node]}
    return work


def test_closure_of_many_targets_is_that_of_each() -> None:
    for seed in range(60):
        problem, _ = layered_car(seed)
        problem = replace(problem, choices=(), dead=frozenset())
        lists = [(node, (node * 7) % len(problem.minutes)) for node in range(len(problem.minutes))]
        table = closure_many(problem, lists)
        ready = Closures(problem)
        for targets, work, minutes in zip(lists, table.works, table.minutes, strict=True):
            plain = plain_closure(problem, targets)
            assert set(work) == plain == ready.work(targets)
            assert minutes == pytest.approx(sum(problem.minutes[node] for node in plain))


def test_closure_refuses_a_car_with_ways() -> None:
    problem, _ = layered_car(0)
    assert problem.choices
    with pytest.raises(ValueError, match="ways"):
        Closures(problem)
