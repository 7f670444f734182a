"""Least hitting sets against the classic circuits and against brute force."""

from itertools import combinations, islice, product
from random import Random

import pytest

from putback.core.codes.causes.hitting import minimal_hitting_sets


def brute_force(conflicts: list[set[str]]) -> set[frozenset[str]]:
    things = sorted(set().union(*conflicts)) if conflicts else []
    every = [frozenset(one) for size in range(len(things) + 1) for one in combinations(things, size)]
    hitting = [one for one in every if all(one & conflict for conflict in conflicts)]
    return {one for one in hitting if not any(other < one for other in hitting)}


@pytest.mark.parametrize(
    ("conflicts", "diagnoses"),
    [
        # polybox, inputs 3 2 2 3 3, F = 10, G = 12: de Kleer and Williams 1987 (from memory; {A2,M2} seen in lecture
        # slides), found again from the circuit below
        ([{"M1", "M2", "A1"}, {"M1", "M3", "A1", "A2"}], [{"A1"}, {"M1"}, {"A2", "M2"}, {"M2", "M3"}]),
        # full adder, in 1 0 1, out sum 1, carry 0: Reiter 1987 (from memory), found again from the gates below
        ([{"X1", "X2"}, {"X1", "A2", "O1"}], [{"X1"}, {"X2", "O1"}, {"X2", "A2"}]),
    ],
)
def test_classic_circuits(conflicts: list[set[str]], diagnoses: list[set[str]]) -> None:
    found = list(minimal_hitting_sets(conflicts))
    assert set(found) == {frozenset(one) for one in diagnoses}
    assert [len(one) for one in found] == sorted(len(one) for one in diagnoses)


def consistent_polybox(faulty: frozenset[str]) -> bool:
    """Whether F = 10 and G = 12 can be if just these parts may give any value."""
    anything = range(-2, 30)
    right = {"M1": 3 * 2, "M2": 2 * 3, "M3": 2 * 3}
    for x, y, z in product(*(anything if part in faulty else [right[part]] for part in ("M1", "M2", "M3"))):
        if ("A1" in faulty or x + y == 10) and ("A2" in faulty or y + z == 12):
            return True
    return False


def consistent_adder(faulty: frozenset[str]) -> bool:
    """Whether sum 1 and carry 0 can be for 1 + 0 with carry 1, if just these gates may give any value."""

    def gate(name: str, value: int) -> list[int]:
        return [0, 1] if name in faulty else [value]

    for half in gate("X1", 1 ^ 0):
        for total, first, second in product(gate("X2", half ^ 1), gate("A1", 1 & 0), gate("A2", half & 1)):
            if total == 1 and 0 in gate("O1", first | second):
                return True
    return False


@pytest.mark.parametrize(
    ("parts", "consistent", "diagnoses"),
    [
        (("M1", "M2", "M3", "A1", "A2"), consistent_polybox, [{"A1"}, {"M1"}, {"A2", "M2"}, {"M2", "M3"}]),
        (("X1", "X2", "A1", "A2", "O1"), consistent_adder, [{"X1"}, {"X2", "O1"}, {"X2", "A2"}]),
    ],
)
def test_the_same_from_the_circuit_itself(parts, consistent, diagnoses) -> None:  # type: ignore[no-untyped-def]
    """Conflicts are the sets of parts that cannot all work; both from exhaustive search."""
    every = [frozenset(one) for size in range(len(parts) + 1) for one in combinations(parts, size)]
    least = [one for one in every if consistent(one) and not any(consistent(other) for other in every if other < one)]
    assert set(least) == {frozenset(one) for one in diagnoses}
    conflicts = [one for one in every if not consistent(frozenset(parts) - one)]
    assert set(minimal_hitting_sets(conflicts)) == set(least)


def test_2000_random_cases_against_brute_force() -> None:
    random = Random(5)
    for _ in range(2000):
        things = "abcdefgh"[: random.randint(1, 8)]
        conflicts = [
            set(random.sample(things, random.randint(1, min(4, len(things))))) for _ in range(random.randint(0, 6))
        ]
        found = list(minimal_hitting_sets(conflicts))
        assert len(found) == len(set(found))
        assert set(found) == brute_force(conflicts)
        assert [len(one) for one in found] == sorted(len(one) for one in found)


def test_by_cost_the_cheapest_comes_first() -> None:
    random = Random(6)
    for _ in range(300):
        cost = {thing: random.choice([0.5, 1.0, 2.0, 4.0]) for thing in "abcdefg"}
        conflicts = [set(random.sample("abcdefg", random.randint(1, 4))) for _ in range(5)]
        found = list(minimal_hitting_sets(conflicts, cost=cost))
        prices = [sum(cost[thing] for thing in one) for one in found]
        assert prices == sorted(prices)
        assert set(found) == brute_force(conflicts)


def test_no_conflict_asks_for_nothing_and_an_empty_one_for_the_impossible() -> None:
    assert list(minimal_hitting_sets([])) == [frozenset()]
    assert list(minimal_hitting_sets([{"a"}, set()])) == []


def test_the_first_sets_of_a_large_case_come_at_once() -> None:
    conflicts = [[f"{row}-{n}" for n in range(12)] for row in range(12)]
    first = list(
        islice(minimal_hitting_sets(conflicts, cost={t: 1.0 + (t[-1] != "0") for r in conflicts for t in r}), 1)
    )
    assert first == [frozenset(f"{row}-0" for row in range(12))]
