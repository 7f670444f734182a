"""Loops against igraph (an independent library) and against brute force on small random graphs."""

import random
from itertools import permutations

import igraph
import pytest

from putback.adapters.car_file.graph import chain, closure, knots, loops

Needs = dict[str, list[str]]


def random_needs(seed: int, nodes: int) -> Needs:
    choose = random.Random(seed)
    names = [f"n{number}" for number in range(nodes)]
    chance = choose.choice((0.05, 0.15, 0.3))
    return {name: [*(other for other in names if choose.random() < chance), "elsewhere"] for name in names}


def as_igraph(needs: Needs) -> igraph.Graph:
    names = list(needs)
    edges = [(names.index(name), names.index(other)) for name in names for other in needs[name] if other in needs]
    return igraph.Graph(n=len(names), edges=edges, directed=True)


@pytest.mark.parametrize("seed", range(60))
def test_knots_are_the_strong_components_of_igraph(seed: int) -> None:
    needs = random_needs(seed, 14)
    names = list(needs)
    components = as_igraph(needs).connected_components(mode="strong")
    expected = {frozenset(names[node] for node in component) for component in components if len(component) > 1}
    assert {frozenset(knot) for knot in knots(needs)} == expected


@pytest.mark.parametrize("seed", range(60))
def test_chains_are_as_short_as_igraphs(seed: int) -> None:
    needs = random_needs(seed, 14)
    distances = as_igraph(needs).distances(mode="out")
    for row, start in enumerate(needs):
        assert set(closure(needs, [start])) == {
            name for column, name in enumerate(needs) if distances[row][column] < float("inf")
        }
        for column, goal in enumerate(needs):
            found = chain(needs, [start], goal)
            assert (len(found) - 1 if found else float("inf")) == distances[row][column]
            assert all(after in needs[before] for before, after in zip(found or (), (found or ())[1:], strict=False))


@pytest.mark.parametrize("seed", range(40))
def test_loops_are_real_share_no_link_and_leave_none(seed: int) -> None:
    needs = random_needs(seed, 14)
    found = list(loops(needs))
    links = [link for loop in found for link in zip(loop, (*loop[1:], loop[0]), strict=True)]
    assert len(links) == len(set(links))
    assert all(after in needs[before] for before, after in links)
    left = {name: [other for other in needs[name] if (name, other) not in links] for name in needs}
    assert as_igraph(left).is_dag()


@pytest.mark.parametrize("seed", range(40))
def test_each_knot_is_shown_by_its_shortest_loop(seed: int) -> None:
    needs = random_needs(seed, 6)
    found = list(loops(needs))
    for loop in found:
        assert all(after in needs[before] for before, after in zip(loop, (*loop[1:], loop[0]), strict=True))
    assert {loop[0] for loop in found if len(loop) == 1} == {name for name in needs if name in needs[name]}
    for knot in knots({name: [other for other in needs[name] if other != name] for name in needs}):
        shortest = min(
            size
            for size in range(2, len(knot) + 1)
            for order in permutations(knot, size)
            if all(after in needs[before] for before, after in zip(order, (*order[1:], order[0]), strict=True))
        )
        assert shortest in {len(loop) for loop in found if set(loop) <= set(knot)}
