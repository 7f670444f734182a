"""The order of work against brute force, and against what must hold for any job."""

import random
from collections.abc import Callable
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.plan.order import (
    FREE,
    NoOrderError,
    Order,
    OrderProblem,
    Part,
    best_order,
    change_of,
    cost_of,
    faults_of,
    solve,
)
from putback.plan.order import compiled as compiling
from putback.plan.order.bounds import Bounds
from putback.plan.order.frame import frame_of
from putback.plan.order.groups import group


def random_job(seed: int, steps: int, *, stages: int = 1, symmetric: bool = True) -> OrderProblem:
    """A small job: tools and zones at random, some steps without a place, some precedence."""
    rng = random.Random(seed)
    classes = rng.randint(1, 6)
    if symmetric:
        tool = Part(weight=rng.randint(1, 3), label=tuple(rng.randrange(3) for _ in range(classes)))
        zone = Part(weight=rng.randint(1, 3), label=tuple(rng.randrange(3) for _ in range(classes)))
        change, parts = change_of([tool, zone]), (tool, zone) if rng.random() < 0.5 else ()
    else:
        change, parts = shortest([[rng.randint(1, 9) for _ in range(classes)] for _ in range(classes)]), ()
    share = rng.choice((0.05, 0.2, 0.4)) if steps < 20 else 3 / steps
    stage = tuple(sorted(rng.randrange(stages) for _ in range(steps)))
    return OrderProblem(
        place=tuple(FREE if rng.random() < 0.1 else rng.randrange(classes) for _ in range(steps)),
        change=change,
        lift=tuple(rng.randrange(3) for _ in range(classes)),
        lift_cost=rng.choice((0, 1, 4)),
        before=tuple((a, b) for b in range(steps) for a in range(b) if rng.random() < share),
        stage=stage if stages > 1 else None,
        parts=parts,
    )


def shortest(matrix: list[list[int]]) -> tuple[tuple[int, ...], ...]:
    """Shortest ways in a matrix: a metric, not symmetric (Floyd and Warshall)."""
    size = range(len(matrix))
    for c in size:
        matrix[c][c] = 0
    for k in size:
        for i in size:
            for j in size:
                matrix[i][j] = min(matrix[i][j], matrix[i][k] + matrix[k][j])
    return tuple(map(tuple, matrix))


def walked_cost(job: OrderProblem, steps: tuple[int, ...]) -> int:
    """The cost, step by step, in words of its own: a position of hand and of lift that is carried along."""
    hand, lift, total = None, "nowhere", 0
    for step in steps:
        place = job.place[step]
        if place == -1:
            continue
        if hand is not None:
            total += job.change[hand][place]
        hand = place
        wanted = {0: "any", 1: "up", 2: "down"}[job.lift[place]]
        if wanted == "any":
            continue
        if lift not in ("nowhere", wanted):
            total += job.lift_cost
        lift = wanted
    return total


def is_legal(job: OrderProblem, steps: tuple[int, ...]) -> bool:
    """Precedence and stages, looked at pair by pair."""
    at = {step: number for number, step in enumerate(steps)}
    stage = job.stage or (0,) * len(steps)
    pairs = ((a, b) for a in at for b in at)
    return all(at[a] < at[b] for a, b in job.before) and all(at[a] < at[b] for a, b in pairs if stage[a] < stage[b])


def cheapest(job: OrderProblem) -> int:
    """Brute force: the cheapest of all orders, by dynamic programming over (steps done, last step, lift).

    Written without any merging or skipping of steps, so that it shares no idea with the search.
    """
    count = len(job.place)
    stage = job.stage or (0,) * count
    need = [
        sum(1 << a for a, other in job.before if other == b) | sum(1 << a for a in range(count) if stage[a] < stage[b])
        for b in range(count)
    ]
    layer = {(0, -1, 0): 0}
    for _ in range(count):
        after: dict[tuple[int, int, int], int] = {}
        for (done, hand, lift), cost in layer.items():
            for step in range(count):
                if done >> step & 1 or need[step] & ~done:
                    continue
                place, to, spent = job.place[step], lift, cost
                if place != FREE:
                    spent += job.change[hand][place] if hand >= 0 else 0
                    to = job.lift[place] or lift
                    spent += job.lift_cost if lift and to != lift else 0
                key = (done | 1 << step, place if place != FREE else hand, to)
                after[key] = min(spent, after.get(key, spent))
        layer = after
    return min(layer.values())


def assert_right(job: OrderProblem, order: Order, optimum: int) -> None:
    assert sorted(order.steps) == list(range(len(job.place)))
    assert is_legal(job, order.steps)
    assert faults_of(job, order.steps) == ()
    assert order.cost == walked_cost(job, order.steps) == cost_of(job, order.steps)
    assert order.bound <= optimum <= order.cost


def test_the_brute_force_itself_against_all_permutations() -> None:
    for seed in range(30):
        job = random_job(seed, 6, stages=1 + seed % 2)
        legal = [order for order in permutations(range(6)) if is_legal(job, order)]
        assert cheapest(job) == min(walked_cost(job, order) for order in legal)


@pytest.mark.parametrize("stages", [1, 2, 3])
@pytest.mark.parametrize("symmetric", [True, False])
def test_every_small_job_is_proved_and_costs_what_brute_force_finds(stages: int, symmetric: bool) -> None:
    for seed in range(70):
        job = random_job(1000 * stages + seed, 5 + seed % 5, stages=stages, symmetric=symmetric)
        order = solve(job)
        assert_right(job, order, cheapest(job))
        assert order.proved
        assert order.gap == 0
        assert order.cost == order.bound


def test_the_same_job_gives_the_same_order() -> None:
    for seed in range(20):
        job = random_job(seed, 9, stages=2)
        assert solve(job) == solve(job)


def test_the_lift_stays_where_it_is_through_work_that_does_not_care() -> None:
    flat = ((0, 1, 1), (1, 0, 1), (1, 1, 0))
    job = OrderProblem(place=(0, 1, 2), change=flat, lift=(1, 0, 2), lift_cost=4, before=((0, 1), (1, 2)))
    assert solve(job).cost == 1 + 1 + 4
    again = OrderProblem(place=(0, 1, 2), change=flat, lift=(1, 0, 1), lift_cost=4, before=((0, 1), (1, 2)))
    assert solve(again).cost == 1 + 1


def test_a_step_without_a_place_carries_precedence_and_costs_nothing() -> None:
    job = OrderProblem(
        place=(0, FREE, 1, 0), change=((0, 5), (5, 0)), lift=(0, 0), lift_cost=0, before=((2, 1), (1, 0), (3, 2))
    )
    order = solve(job)
    assert order.steps == (3, 2, 1, 0)
    assert order.cost == 10


def test_nothing_to_do_and_nothing_but_notes() -> None:
    assert solve(OrderProblem(place=(), change=(), lift=(), lift_cost=4, before=())).steps == ()
    notes = solve(OrderProblem(place=(FREE, FREE), change=(), lift=(), lift_cost=4, before=((1, 0),)))
    assert notes.steps == (1, 0)
    assert notes.proved


@pytest.mark.parametrize(
    ("before", "stage", "ring"),
    [(((0, 1), (1, 2), (2, 0)), None, {0, 1, 2}), (((1, 0),), (0, 1, 1), {1, 0}), (((2, 2),), None, {2})],
)
def test_an_impossible_job_names_the_steps(
    before: tuple[tuple[int, int], ...], stage: tuple[int, ...] | None, ring: set[int]
) -> None:
    job = OrderProblem(place=(0, 0, 0), change=((0,),), lift=(0,), lift_cost=0, before=before, stage=stage)
    with pytest.raises(NoOrderError) as caught:
        solve(job)
    assert set(caught.value.steps) == ring


@pytest.mark.parametrize(
    ("what", "words"),
    [
        ({"place": (0, 7)}, "place"),
        ({"lift": (0,)}, "lift"),
        ({"stage": (0,)}, "stage"),
        ({"before": ((0, 9),)}, "before"),
        ({"lift_cost": -1}, "negative"),
        ({"change": ((0, 1), (1, 1))}, "diagonal"),
        ({"change": ((0, 9, 1), (9, 0, 1), (1, 1, 0)), "lift": (0, 0, 0)}, "cheaper by way of"),
        ({"parts": (Part(weight=1, label=(0, 0)),)}, "add up"),
    ],
)
def test_a_job_that_is_not_well_formed_is_refused(what: dict[str, object], words: str) -> None:
    right: dict[str, object] = {
        "place": (0, 1),
        "change": ((0, 2), (2, 0)),
        "lift": (0, 0),
        "lift_cost": 4,
        "before": (),
    }
    job = OrderProblem(**(right | what))  # type: ignore[arg-type]
    with pytest.raises(ValueError, match=words):
        solve(job)


jobs = st.builds(
    random_job,
    st.integers(0, 10**6),
    st.integers(3, 10),
    stages=st.integers(1, 2),
    symmetric=st.booleans(),
)


@settings(max_examples=60, deadline=None)
@given(jobs, st.data())
def test_one_more_precedence_never_makes_it_cheaper(job: OrderProblem, data: st.DataObject) -> None:
    count = len(job.place)
    b = data.draw(st.integers(1, count - 1))
    a = data.draw(st.integers(0, b - 1))
    more = OrderProblem(
        place=job.place,
        change=job.change,
        lift=job.lift,
        lift_cost=job.lift_cost,
        before=(*job.before, (a, b)),
        stage=job.stage,
        parts=job.parts,
    )
    assert solve(more).cost >= solve(job).cost


@settings(max_examples=60, deadline=None)
@given(jobs, st.data())
def test_one_step_less_never_makes_it_dearer(job: OrderProblem, data: st.DataObject) -> None:
    gone = data.draw(st.integers(0, len(job.place) - 1))
    kept = [step for step in range(len(job.place)) if step != gone]
    through = {(a, d) for a, b in job.before for c, d in job.before if b == c == gone} | {
        (a, b) for a, b in job.before if gone not in (a, b)
    }
    fewer = OrderProblem(
        place=tuple(job.place[step] for step in kept),
        change=job.change,
        lift=job.lift,
        lift_cost=job.lift_cost,
        before=tuple((kept.index(a), kept.index(b)) for a, b in sorted(through)),
        stage=tuple(job.stage[step] for step in kept) if job.stage else None,
        parts=job.parts,
    )
    assert solve(fewer).cost <= solve(job).cost


def test_a_bound_followed_step_by_step_is_the_one_worked_out_from_nothing() -> None:
    for seed in range(40):
        job = random_job(seed, 14, stages=1 + seed % 3, symmetric=seed % 2 == 0)
        groups = group(job)
        frame = frame_of(job, groups)
        ahead = [3 * stage for stage in range(len(frame.tables))]
        bounds = Bounds(frame, ahead)
        rng, done = random.Random(seed), 0
        outlook = bounds.start(done)
        while done != frame.full:
            c, after = rng.choice(frame.next_of(done, outlook[0]))
            outlook, found = bounds.after(outlook, done, c, after)
            done = after
            assert found == tuple(frame.bound(frame.full & ~done, c, lift, ahead) for lift in range(3))


def in_machine_code(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(best_order, "FEW_GROUPS", 0)


@pytest.mark.parametrize("stages", [1, 2])
@pytest.mark.parametrize("symmetric", [True, False])
def test_machine_code_finds_what_brute_force_finds(
    monkeypatch: pytest.MonkeyPatch, stages: int, symmetric: bool
) -> None:
    in_machine_code(monkeypatch)
    for seed in range(25):
        job = random_job(5000 + seed, 5 + seed % 5, stages=stages, symmetric=symmetric)
        order = solve(job)
        assert_right(job, order, cheapest(job))
        assert order.proved


def test_machine_code_and_plain_python_agree_on_jobs_beyond_brute_force(monkeypatch: pytest.MonkeyPatch) -> None:
    jobs = [random_job(seed, 70, stages=1 + seed % 2) for seed in range(6)]
    plain = [solve(job) for job in jobs]
    in_machine_code(monkeypatch)
    for job, order in zip(jobs, plain, strict=True):
        again = solve(job)
        assert order.proved
        assert again.proved
        assert again.cost == order.cost
        assert_right(job, again, order.cost)


def test_numbers_too_large_for_buckets_of_one_unit() -> None:
    for seed in range(3):
        small = random_job(seed, 9, symmetric=False)
        large_change = tuple(tuple(10**7 * cost + (cost > 0) for cost in row) for row in small.change)
        job = OrderProblem(
            place=small.place, change=large_change, lift=small.lift, lift_cost=10**7, before=small.before
        )
        with pytest.MonkeyPatch.context() as patch:
            in_machine_code(patch)
            order = solve(job)
        assert order.proved
        assert_right(job, order, cheapest(job))


@pytest.mark.parametrize("steps", [60, 260])
def test_an_interruption_leaves_a_legal_order_and_an_honest_bound(monkeypatch: pytest.MonkeyPatch, steps: int) -> None:
    job = random_job(3, steps, stages=2)
    optimum = solve(job, time_limit_s=20)
    for stop_at in (1, 2, 5):
        calls = 0

        def stop(best: int, bound: int, stop_at: int = stop_at) -> None:
            nonlocal calls
            calls += 1
            assert bound <= optimum.cost
            assert bound <= best
            if calls >= stop_at:
                raise KeyboardInterrupt

        order = solve(job, on_progress=stop)
        assert order.interrupted == (calls >= stop_at)
        assert order.steps
        assert_right(job, order, max(order.bound, min(order.cost, optimum.cost)))
        assert order.bound <= optimum.cost
        assert order.proved == (order.cost == order.bound)


def test_a_time_limit_is_kept_and_the_answer_is_honest() -> None:
    job = random_job(11, 400)
    order = solve(job, time_limit_s=0.5)
    assert_right(job, order, order.cost)
    assert order.bound > 0


def test_code_is_made_again_where_it_cannot_be_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []

    def njit(*args: Callable[..., object], **options: object) -> object:
        asked.append(options)
        if options.get("cache"):
            raise RuntimeError("no locator available")
        return args[0] if args else lambda function: function

    monkeypatch.setattr(compiling, "njit", njit)
    assert compiling.compiled(abs)(-3) == 3
    assert compiling.woven(abs)(-3) == 3
    assert [bool(options.get("cache")) for options in asked] == [True, False, True, False]
