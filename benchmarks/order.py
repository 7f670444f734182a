"""One idea: proved optima of car-like jobs, and the same jobs given to a general solver, side by side in one run.

`python -m benchmarks.order` prints markdown tables; `--quick` takes about a minute. The general solver is CP-SAT's
circuit model (OR-Tools) with positions for the precedence and one state variable for the lift.
"""

import argparse
from statistics import median
from time import perf_counter

from ortools.sat.python import cp_model

from benchmarks.jobs import job
from putback.plan.order import FREE, Order, OrderProblem, faults_of, solve


def circuit_model(problem: OrderProblem, time_limit_s: float) -> tuple[int | None, int, bool, float]:
    """The job for CP-SAT: cost, bound, proved, seconds.

    One node for each step and one for start and end; an arc costs the change; the lift at a step is a variable that
    an arc carries on through work that does not care; a position variable for each step keeps the precedence.
    """
    begun = perf_counter()
    steps = [step for step, c in enumerate(problem.place) if c != FREE]
    model = cp_model.CpModel()
    position = [model.new_int_var(0, len(problem.place), f"position {step}") for step in range(len(problem.place))]
    lift = [_lift(model, problem, step) for step in range(len(problem.place))]
    arcs, costs = [], []
    later = _later(problem)
    for a in steps:
        for start, end in ((len(problem.place), a), (a, len(problem.place))):
            arcs.append((start, end, model.new_bool_var("")))
        for b in steps:
            if a == b or a in later[b]:
                continue
            arc = model.new_bool_var("")
            arcs.append((a, b, arc))
            model.add(position[b] >= position[a] + 1).only_enforce_if(arc)
            costs.append(problem.change[problem.place[a]][problem.place[b]] * arc)
            moved = model.new_bool_var("")
            if not problem.lift[problem.place[b]]:
                model.add(lift[b] == lift[a]).only_enforce_if(arc)
            else:
                model.add(lift[b] == lift[a]).only_enforce_if(arc, ~moved)
                costs.append(problem.lift_cost * moved)
    model.add_circuit(arcs)
    for a in range(len(problem.place)):
        for b in later[a]:
            model.add(position[b] >= position[a] + 1)
    model.minimize(sum(costs))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = time_limit_s
    solver.parameters.num_workers = 8
    status = solver.solve(model)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    bound = max(0, round(solver.best_objective_bound))
    cost = round(solver.objective_value) if found else None
    return cost, bound, status == cp_model.OPTIMAL, perf_counter() - begun


def _lift(model: cp_model.CpModel, problem: OrderProblem, step: int) -> cp_model.IntVar:
    """The position of the lift at a step: given, or either where the work does not care."""
    c = problem.place[step]
    given = problem.lift[c] if c != FREE else 0
    return model.new_int_var(given or 1, given or 2, f"lift {step}")


def _later(problem: OrderProblem) -> list[set[int]]:
    """Steps asked for after each step, stages included."""
    count = len(problem.place)
    stage = problem.stage or (0,) * count
    later: list[set[int]] = [{b for b in range(count) if stage[a] < stage[b]} for a in range(count)]
    for a, b in problem.before:
        later[a].add(b)
    return later


def timed(problem: OrderProblem, time_limit_s: float | None) -> tuple[Order, float]:
    """The order and the seconds it took."""
    begun = perf_counter()
    order = solve(problem, time_limit_s=time_limit_s)
    seconds = perf_counter() - begun
    if faults_of(problem, order.steps):
        raise AssertionError("an order that is not legal")
    return order, seconds


def proofs(seeds: int, limit: float) -> None:
    """Jobs that should be proved."""
    print("\n| job | jobs | proved | median s | longest s |\n|---|---|---|---|---|")
    kinds: list[tuple[str, int, dict[str, bool]]] = [
        ("30 groups", 30, {}),
        ("60 groups", 60, {}),
        ("60 groups, crew", 60, {"crew": True}),
        ("30 groups in and back", 30, {"round_trip": True}),
        ("60 groups in and back", 60, {"round_trip": True}),
    ]
    for name, groups, options in kinds:
        found = [timed(job(groups, seed, **options), limit) for seed in range(seeds)]
        seconds = [took for _, took in found]
        proved = sum(order.proved for order, _ in found)
        print(f"| {name} | {seeds} | {proved} | {median(seconds):.2f} | {max(seconds):.2f} |", flush=True)


def large(seeds: int, longer: float) -> None:
    """Jobs that are too large for a proof: five seconds against a longer search."""
    print(f"\n| 200 groups of 4 | cost in 5 s | bound | best in {longer:.0f} s | above it |\n|---|---|---|---|---|")
    for seed in range(seeds):
        problem = job(200, seed, each=4)
        soon, _ = timed(problem, 5)
        late, _ = timed(problem, longer)
        best = min(soon.cost, late.cost)
        print(
            f"| seed {seed} | {soon.cost} | {soon.bound} | {best} | {100 * (soon.cost - best) / best:.1f} % |",
            flush=True,
        )


def against_circuit(seeds: int, limit: float) -> None:
    """The same jobs for both, single fasteners as steps."""
    print("\n| job | putback: cost, s | CP-SAT circuit: cost, bound, s | ratio of times |\n|---|---|---|---|")
    for groups, each in ((10, 1), (10, 4), (20, 1), (20, 4), (60, 1)):
        for seed in range(seeds):
            problem = job(groups, seed, each=each)
            order, seconds = min((timed(problem, 60) for _ in range(3)), key=lambda pair: pair[1])
            cost, bound, proved, took = circuit_model(problem, limit)
            if proved and order.proved and cost != order.cost:
                raise AssertionError(f"two proofs that differ: {order.cost} and {cost}")
            sign = "" if proved else "at least "
            print(
                f"| {groups} groups of {each}, seed {seed} | {order.cost}{'' if order.proved else ' not proved'}, "
                f"{seconds:.3f} | {cost}, {bound}, {took:.1f} | {sign}{took / seconds:.0f} |",
                flush=True,
            )


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="fewer jobs, shorter limits")
    quick = parser.parse_args().quick
    solve(job(130, 0), time_limit_s=1)  # machine code is made or loaded here, so that no job pays for it
    proofs(3 if quick else 20, 10 if quick else 60)
    large(1 if quick else 3, 10 if quick else 60)
    against_circuit(1 if quick else 2, 5 if quick else 60)


if __name__ == "__main__":
    main()
