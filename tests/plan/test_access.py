"""Access planning against enumeration written straight from the definition, and the edges of the question."""

from itertools import product
from math import fsum
from random import Random

import pytest

from putback.plan.access import (
    AccessAnswer,
    AccessProblem,
    Choice,
    DeadChoice,
    DeadWay,
    Unreachable,
    Way,
    WhyDead,
    alternatives,
    solve,
    verify,
)
from putback.plan.access.branch import OutOfBudget, branch
from putback.plan.access.component import parts_of
from putback.plan.access.core import core_of
from putback.plan.access.localise import localise, must_masks
from putback.plan.access.programme import prove

Chosen = tuple[tuple[int, int], ...]


def drawn_car(seed: int) -> tuple[AccessProblem, tuple[int, ...]]:
    """A small car with every oddity: circles, dead nodes, ways not allowed, several joints with ways on one item."""
    random = Random(seed)
    count = random.randint(3, 14)

    def others(node: int, any_share: float) -> tuple[int, ...]:
        found = set()
        for _ in range(random.choice([0, 0, 1, 1, 2])):
            if random.random() < any_share:
                found.add(random.randrange(count))
            elif node:
                found.add(random.randrange(node))
        return tuple(sorted(found))

    choices = [
        Choice(
            owner=node,
            ways=tuple(
                Way(minutes=random.randint(0, 8) / 2, needs=others(node, 0.3), allowed=random.random() < 0.9)
                for _ in range(random.choice([1, 2, 2, 2, 3]))
            ),
        )
        for node in range(count)
        for _ in range(random.choice([0, 0, 0, 1, 1, 2]))
    ]
    problem = AccessProblem(
        minutes=tuple(random.randint(0, 10) / 2 for _ in range(count)),
        needs=tuple(others(node, 0.04) for node in range(count)),
        brings=tuple(others(node, 0.3) if random.random() < 0.4 else () for node in range(count)),
        choices=tuple(choices[:7]),
        dead=frozenset(node for node in range(count) if random.random() < 0.03),
    )
    return problem, tuple(sorted(random.sample(range(count), random.randint(1, min(3, count)))))


def enumerated(problem: AccessProblem, targets: tuple[int, ...]) -> dict[Chosen, float]:
    """Every legal choice of ways with its minutes, from the definition: close, then take nodes off while any can."""
    found: dict[Chosen, float] = {}
    for ways in product(*(range(len(choice.ways)) for choice in problem.choices)):
        work = set(targets)
        before = -1
        while before != len(work):
            before = len(work)
            for node in list(work):
                work.update(problem.needs[node], problem.brings[node])
            for choice, way in zip(problem.choices, ways, strict=True):
                if choice.owner in work:
                    work.update(choice.ways[way].needs)
        used = [(at, way) for at, way in enumerate(ways) if problem.choices[at].owner in work]
        if work & problem.dead or not all(problem.choices[at].ways[way].allowed for at, way in used):
            continue
        first = {node: set(problem.needs[node]) for node in work}
        for at, way in used:
            first[problem.choices[at].owner].update(problem.choices[at].ways[way].needs)
        while off := [node for node, needs in first.items() if not needs & first.keys()]:
            for node in off:
                del first[node]
        if not first:
            parts = [problem.minutes[node] for node in work]
            parts += [problem.choices[at].ways[way].minutes for at, way in used]
            found[tuple(used)] = fsum(parts)
    return found


@pytest.mark.parametrize("start", range(0, 2000, 500))
def test_answers_and_alternatives_are_those_of_enumeration(start: int) -> None:
    several = impossible = 0
    for seed in range(start, start + 500):
        problem, targets = drawn_car(seed)
        legal = enumerated(problem, targets)
        answer = solve(problem, targets)
        if not legal:
            impossible += 1
            assert isinstance(answer, Unreachable), seed
            assert answer.targets
            assert set(answer.targets) <= set(targets)
            assert answer.choices or answer.dead or answer.circles
            assert isinstance(alternatives(problem, targets, most=3), Unreachable)
            continue
        assert isinstance(answer, AccessAnswer), seed
        assert answer.proved
        assert answer.gap == 0
        assert verify(problem, targets, answer) == ()
        assert answer.minutes == pytest.approx(min(legal.values()), abs=1e-9), seed
        listed = alternatives(problem, targets, most=1000)
        assert not isinstance(listed, Unreachable)
        assert listed.complete
        assert {other.chosen: other.minutes for other in listed.answers} == pytest.approx(legal, abs=1e-9), seed
        assert [other.minutes for other in listed.answers] == sorted(other.minutes for other in listed.answers)
        assert all(verify(problem, targets, other) == () for other in listed.answers)
        for most in (1, 2, 4):
            first = alternatives(problem, targets, most=most)
            assert not isinstance(first, Unreachable)
            assert [other.minutes for other in first.answers] == sorted(legal.values())[:most], seed
            assert first.complete == (len(legal) <= most), seed
        several += len(legal) > 3
    assert several > 50
    assert impossible > 50


def test_tree_and_programme_find_the_same_least_cost_as_enumeration() -> None:
    tried = 0
    for seed in range(5000, 5700):
        problem, targets = drawn_car(seed)
        legal = enumerated(problem, targets)
        local = localise(problem, targets)
        if isinstance(local, Unreachable):
            assert not legal
            continue
        core = core_of(local, must_masks(local))
        by_tree = by_programme = core.base
        for part in parts_of(core):
            found = branch(part, None, looks=100_000, go_on=lambda: True)
            outcome = prove(part, None, seconds_left=lambda: 60.0, on_bound=lambda *_: None)
            assert found is not None
            assert outcome.complete
            assert outcome.best is not None
            by_tree += found.units
            by_programme += outcome.best.units
            tried += len(part.choices) > 2
        assert by_tree / local.scale == pytest.approx(min(legal.values()), abs=1e-9), seed
        assert by_programme / local.scale == pytest.approx(min(legal.values()), abs=1e-9), seed
    assert tried > 50


def test_a_list_of_alternatives_can_be_cut_off() -> None:
    problem = car(choices=[Choice(owner=0, ways=tuple(Way(minutes=float(at)) for at in range(5)))], nodes=1)
    listed = alternatives(problem, [0], most=3)
    assert not isinstance(listed, Unreachable)
    assert [answer.minutes for answer in listed.answers] == [1.0, 2.0, 3.0]
    assert not listed.complete
    assert not listed.out_of_time
    whole = alternatives(problem, [0], most=5)
    assert not isinstance(whole, Unreachable)
    assert whole.complete


def car(
    *,
    nodes: int,
    needs: dict[int, tuple[int, ...]] | None = None,
    brings: dict[int, tuple[int, ...]] | None = None,
    choices: list[Choice] | None = None,
    dead: frozenset[int] = frozenset(),
) -> AccessProblem:
    """A car of one-minute nodes."""
    return AccessProblem(
        minutes=(1.0,) * nodes,
        needs=tuple((needs or {}).get(node, ()) for node in range(nodes)),
        brings=tuple((brings or {}).get(node, ()) for node in range(nodes)),
        choices=tuple(choices or ()),
        dead=dead,
    )


def test_what_is_brought_may_need_what_brings_it() -> None:
    answer = solve(car(nodes=3, needs={1: (0,)}, brings={0: (1,)}), [0])
    assert isinstance(answer, AccessAnswer)
    assert answer.work == {0, 1}


def test_circle_of_plain_needs_is_told_link_by_link() -> None:
    answer = solve(car(nodes=4, needs={0: (1,), 1: (2,), 2: (3,), 3: (1,)}), [0])
    assert isinstance(answer, Unreachable)
    assert answer.circles == ((1, 2, 3),)


def test_way_that_needs_its_owner_is_told_as_a_circle() -> None:
    choice = Choice(owner=0, ways=(Way(minutes=1, needs=(1,)), Way(minutes=1, needs=(), allowed=False)))
    answer = solve(car(nodes=3, needs={1: (2,), 2: (0,)}, choices=[choice]), [0])
    assert answer == Unreachable(
        targets=(0,),
        choices=(
            DeadChoice(
                choice=0,
                owner=0,
                ways=(
                    DeadWay(way=0, why=WhyDead.CIRCLE, node=1),
                    DeadWay(way=1, why=WhyDead.NOT_ALLOWED),
                ),
            ),
        ),
        dead=(),
        circles=(),
    )


def test_dead_node_is_followed_from_the_target() -> None:
    choice = Choice(owner=0, ways=(Way(minutes=1, needs=(1,)), Way(minutes=9, needs=(2,))))
    problem = car(nodes=6, needs={1: (3,), 4: (5,)}, brings={2: (3,)}, choices=[choice], dead=frozenset({3, 5}))
    answer = solve(problem, [0])
    assert isinstance(answer, Unreachable)
    assert answer.dead == (3,)
    assert [way.why for way in answer.choices[0].ways] == [WhyDead.NEEDS_UNREACHABLE] * 2


def test_choices_that_only_share_a_circle_are_not_taken_apart() -> None:
    cheap_circle = [
        Choice(owner=0, ways=(Way(minutes=0, needs=(1,)), Way(minutes=5))),
        Choice(owner=1, ways=(Way(minutes=0, needs=(0,)), Way(minutes=7))),
    ]
    answer = solve(car(nodes=2, choices=cheap_circle), [0, 1])
    assert isinstance(answer, AccessAnswer)
    assert answer.chosen == ((0, 1), (1, 0))
    assert answer.minutes == 7


@pytest.mark.parametrize("grain", [0.1, 1 / 3, 0.2499999999, 1e-7])
def test_minutes_need_not_lie_on_a_grid(grain: float) -> None:
    ways = (Way(minutes=3 * grain), Way(minutes=2 * grain, needs=(1,)))
    problem = AccessProblem(
        minutes=(grain, grain * 0.999), needs=((), ()), brings=((), ()), choices=(Choice(owner=0, ways=ways),)
    )
    answer = solve(problem, [0])
    assert isinstance(answer, AccessAnswer)
    assert answer.chosen == ((0, 1),)
    assert answer.minutes == pytest.approx(fsum([grain, grain * 0.999, 2 * grain]), abs=1e-12)


def test_no_targets_no_work() -> None:
    answer = solve(car(nodes=2), [])
    assert isinstance(answer, AccessAnswer)
    assert answer.work == frozenset()
    assert answer.minutes == 0
    assert answer.proved


def test_unusable_questions_are_refused() -> None:
    with pytest.raises(ValueError, match="target"):
        solve(car(nodes=2), [2])
    with pytest.raises(ValueError, match="most"):
        alternatives(car(nodes=2), [1], most=0)
    with pytest.raises(ValueError, match="node number"):
        car(nodes=2, needs={0: (5,)})
    with pytest.raises(ValueError, match="at least 0"):
        AccessProblem(minutes=(-1.0,), needs=((),), brings=((),))
    with pytest.raises(ValueError, match="length"):
        AccessProblem(minutes=(1.0,), needs=(), brings=((),))


def test_verify_sees_what_is_wrong() -> None:
    choice = Choice(owner=0, ways=(Way(minutes=2), Way(minutes=1, needs=(1,)), Way(minutes=0, allowed=False)))
    problem = car(nodes=3, choices=[choice])

    def faults(chosen: Chosen, work: set[int], minutes: float) -> str:
        wrong = AccessAnswer(chosen=chosen, work=frozenset(work), minutes=minutes, bound=minutes, proved=True)
        return "; ".join(verify(problem, (0,), wrong))

    assert faults(((0, 0),), {0}, 3) == ""
    assert "add up" in faults(((0, 0),), {0}, 4)
    assert "least set" in faults(((0, 0),), {0, 1}, 4)
    assert "exactly one way" in faults((), {0}, 1)
    assert "not allowed" in faults(((0, 2),), {0}, 1)
    assert "does not exist" in faults(((0, 3),), {0}, 1)


def test_tree_out_of_budget_gives_its_best() -> None:
    local = localise(car(nodes=1, choices=[Choice(owner=0, ways=(Way(minutes=1), Way(minutes=2)))]), [0])
    assert not isinstance(local, Unreachable)
    part = parts_of(core_of(local, must_masks(local)))[0]
    with pytest.raises(OutOfBudget) as spent:
        branch(part, None, looks=0, go_on=lambda: True)
    assert spent.value.args[0] is None
