"""The general problem against published optima, against brute force, and against what must hold.

Instances and optima: TSPLIB95, sequential ordering problems (comopt.ifi.uni-heidelberg.de), files ESC07, ESC11, ESC12
(N. Ascheuer, L. Escudero) and br17.10, br17.12 (N. Ascheuer), copied in full; optima from its list of best known
solutions.
"""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.plan.order import NoOrderError, Order, solve_matrix

ESC07 = """
0 0 0 0 0 0 0 0 1000000
-1 0 100 200 75 0 300 100 0
-1 400 0 500 325 400 600 0 0
-1 700 800 0 550 700 900 800 0
-1 -1 250 225 0 275 525 250 0
-1 -1 100 200 -1 0 -1 -1 0
-1 -1 1100 1200 1075 1000 0 1100 0
-1 -1 0 500 325 400 600 0 0
-1 -1 -1 -1 -1 -1 -1 -1 0
"""

ESC11 = """
0 0 0 0 0 0 0 0 0 0 0 0 1000000
-1 0 387 440 682 657 584 688 708 362 357 927 0
-1 -1 0 10 935 439 127 769 498 836 341 956 0
-1 -1 -1 0 596 865 70 513 512 373 824 220 0
-1 319 277 439 0 428 212 412 771 620 651 605 0
-1 -1 -1 60 988 0 326 279 687 295 738 270 0
-1 312 158 704 881 696 0 277 413 396 268 156 0
-1 512 939 784 271 432 771 0 279 436 31 444 0
-1 875 927 364 629 419 788 923 0 858 761 139 0
-1 365 43 766 924 845 437 395 991 0 980 359 0
-1 978 839 918 822 885 276 96 537 211 0 608 0
-1 864 168 211 455 543 904 412 535 954 971 0 0
-1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 0
"""

ESC12 = """
0 0 0 0 0 0 0 0 0 0 0 0 0 1000000
-1 0 364 354 287 229 289 68 137 239 135 373 162 0
-1 364 0 276 352 143 88 395 222 457 332 202 217 0
-1 354 276 0 527 135 201 412 391 583 481 279 207 0
-1 287 352 527 0 377 407 285 138 310 200 525 325 0
-1 229 143 135 377 0 68 287 241 458 356 144 82 0
-1 -1 -1 -1 -1 68 0 347 277 512 387 132 142 0
-1 68 395 412 285 287 347 0 167 179 120 431 220 0
-1 137 222 391 138 241 277 167 0 229 104 395 187 0
-1 239 457 583 310 458 512 179 229 0 121 630 391 0
-1 135 332 481 200 356 387 120 104 121 0 505 289 0
-1 373 202 279 525 144 132 431 395 630 505 0 226 0
-1 -1 -1 -1 -1 82 -1 -1 -1 391 289 226 0 0
-1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 0
"""

BR17_10 = """
0 3 5 48 48 8 8 5 5 3 3 0 3 5 8 8 5 1000000
-1 0 3 48 -1 -1 8 5 5 0 0 3 0 3 8 -1 5 3
-1 3 0 72 -1 48 48 24 24 3 3 5 3 0 48 -1 24 5
-1 48 74 0 0 6 6 12 -1 48 48 48 48 74 6 6 12 48
-1 48 74 0 0 6 6 12 12 48 48 48 48 74 6 6 12 48
-1 8 50 6 6 0 0 8 8 8 8 8 8 50 0 0 8 8
-1 8 50 6 6 0 0 8 8 8 8 8 8 50 0 0 8 8
-1 5 26 12 12 -1 8 0 0 5 5 5 -1 26 8 8 0 5
-1 5 26 12 12 8 8 0 0 5 5 5 5 26 8 8 0 5
-1 0 3 48 -1 8 8 5 5 0 0 3 0 3 8 8 5 3
-1 0 3 48 48 8 8 5 5 0 0 3 0 3 8 8 5 3
-1 3 5 48 48 8 8 5 5 3 3 0 3 5 8 8 5 0
-1 0 3 48 48 -1 8 5 5 0 0 3 0 3 8 8 5 3
-1 3 0 72 -1 48 48 24 24 3 3 5 3 0 48 48 24 5
-1 8 50 6 6 -1 0 -1 8 8 8 8 -1 50 0 0 8 8
-1 8 50 6 -1 0 0 8 8 8 8 8 8 50 0 0 8 8
-1 5 26 12 12 8 8 0 0 5 5 5 5 26 8 8 0 5
-1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 0
"""

BR17_12 = """
0 3 5 48 48 8 8 5 5 3 3 0 3 5 8 8 5 1000000
-1 0 3 48 -1 -1 8 5 -1 0 0 3 0 3 8 -1 5 3
-1 3 0 72 -1 48 48 24 -1 -1 3 5 3 0 48 -1 24 5
-1 48 74 0 0 6 6 12 -1 48 48 48 48 74 6 6 12 48
-1 48 74 0 0 6 6 12 -1 48 48 48 48 74 6 6 12 48
-1 8 50 6 6 0 0 8 8 8 8 8 8 50 0 0 8 8
-1 8 50 6 6 0 0 8 8 8 8 8 8 50 0 0 8 8
-1 5 26 12 12 -1 8 0 0 5 5 5 -1 26 8 8 0 5
-1 5 26 12 12 8 8 0 0 5 5 5 5 26 8 8 0 5
-1 0 3 48 -1 8 8 5 -1 0 0 3 0 3 8 8 5 3
-1 0 3 48 48 8 8 5 5 0 0 3 0 3 8 8 5 3
-1 3 5 48 48 8 8 5 5 3 3 0 3 5 8 8 5 0
-1 0 3 48 48 -1 8 5 5 0 0 3 0 3 8 8 5 3
-1 3 0 72 -1 48 48 24 -1 3 3 5 3 0 48 48 24 5
-1 8 50 6 6 -1 0 -1 8 8 8 8 -1 50 0 0 8 8
-1 8 50 6 -1 0 0 8 -1 8 8 8 8 50 0 0 8 8
-1 5 26 12 12 8 8 0 0 5 5 5 5 26 8 8 0 5
-1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 0
"""

PUBLISHED = [
    # instance, matrix, optimum
    ("ESC07", ESC07, 2125),
    ("ESC11", ESC11, 2075),
    ("ESC12", ESC12, 1675),
    ("br17.10", BR17_10, 55),
    ("br17.12", BR17_12, 55),
]


def matrix_of(text: str) -> list[list[int]]:
    return [list(map(int, line.split())) for line in text.split("\n") if line.strip()]


def random_matrix(seed: int, size: int) -> list[list[int]]:
    """Costs at random, zeros among them; precedence along a hidden order, so that there is no ring."""
    rng = random.Random(seed)
    hidden = rng.sample(range(size), size)
    share = rng.choice((0.0, 0.1, 0.3, 0.6))
    matrix = [[0 if a == b else rng.choice((0, rng.randint(1, 99))) for b in range(size)] for a in range(size)]
    for at, a in enumerate(hidden):
        for b in hidden[at + 1 :]:
            if rng.random() < share:
                matrix[b][a] = -1
    return matrix


def walked(matrix: list[list[int]], steps: tuple[int, ...]) -> int:
    total = 0
    for number in range(1, len(steps)):
        total += matrix[steps[number - 1]][steps[number]]
    return total


def is_legal(matrix: list[list[int]], steps: tuple[int, ...]) -> bool:
    return sorted(steps) == list(range(len(matrix))) and all(
        matrix[a][b] != -1 for number, a in enumerate(steps) for b in steps[number + 1 :]
    )


def cheapest(matrix: list[list[int]]) -> int:
    """All walks, shortest first by number of steps: dynamic programming over (steps done, last step)."""
    size = len(matrix)
    before = [{j for j in range(size) if j != i and matrix[i][j] == -1} for i in range(size)]
    layer = {(frozenset([step]), step): 0 for step in range(size) if not before[step]}
    for _ in range(size - 1):
        after: dict[tuple[frozenset[int], int], int] = {}
        for (done, last), cost in layer.items():
            for step in range(size):
                if step not in done and before[step] <= done:
                    key = (done | {step}, step)
                    after[key] = min(after.get(key, 10**9), cost + matrix[last][step])
        layer = after
    return min(layer.values())


def assert_right(matrix: list[list[int]], order: Order) -> None:
    assert is_legal(matrix, order.steps)
    assert order.cost == walked(matrix, order.steps)
    assert order.bound <= order.cost
    assert order.proved == (order.bound == order.cost)


@pytest.mark.parametrize(("name", "text", "optimum"), PUBLISHED)
def test_published_optima_are_found_and_proved(name: str, text: str, optimum: int) -> None:
    matrix = matrix_of(text)
    order = solve_matrix(matrix)
    assert_right(matrix, order)
    assert order.proved
    assert order.cost == optimum


def test_small_matrices_against_brute_force() -> None:
    for seed in range(300):
        matrix = random_matrix(seed, 2 + seed % 8)
        order = solve_matrix(matrix)
        assert_right(matrix, order)
        assert order.proved
        assert order.cost == cheapest(matrix)


def test_the_same_matrix_gives_the_same_order() -> None:
    for seed in range(10):
        matrix = random_matrix(seed, 12)
        assert solve_matrix(matrix) == solve_matrix(matrix)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.integers(3, 9), st.data())
def test_one_more_precedence_never_makes_it_cheaper(seed: int, size: int, data: st.DataObject) -> None:
    matrix = random_matrix(seed, size)
    order = solve_matrix(matrix)
    later = data.draw(st.integers(1, size - 1))
    earlier = data.draw(st.integers(0, later - 1))
    a, b = order.steps[earlier], order.steps[later]
    matrix[b][a] = -1
    assert solve_matrix(matrix).cost == order.cost
    swapped = random_matrix(seed, size)
    if swapped[b][a] != -1:
        swapped[a][b] = -1
        try:
            assert solve_matrix(swapped).cost >= order.cost
        except NoOrderError:
            assert any(-1 in line for line in swapped)


def test_an_interruption_leaves_a_legal_order_and_an_honest_bound() -> None:
    matrix = matrix_of(BR17_10)

    def stop(best: int, bound: int) -> None:
        assert bound <= 55 <= best
        raise KeyboardInterrupt

    order = solve_matrix(matrix, on_progress=stop)
    assert_right(matrix, order)
    assert order.interrupted
    assert order.bound <= 55


def test_a_time_limit_leaves_an_honest_bound() -> None:
    matrix = random_matrix(5, 70)
    order = solve_matrix(matrix, time_limit_s=0.5)
    assert_right(matrix, order)


def test_what_is_refused() -> None:
    with pytest.raises(NoOrderError) as caught:
        solve_matrix([[0, -1, 1], [-1, 0, 1], [1, 1, 0]])
    assert set(caught.value.steps) == {0, 1}
    with pytest.raises(ValueError, match="square"):
        solve_matrix([[0, 1]])


def test_nothing_and_a_single_step() -> None:
    assert solve_matrix([]).steps == ()
    assert solve_matrix([[0]]).steps == (0,)
