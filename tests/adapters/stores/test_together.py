"""Calls that wait together are committed together, each gets its own answer, and a failure reaches all of them."""

from collections.abc import Sequence
from threading import Event, Thread

import pytest

from putback.adapters.stores.together import Together


def test_one_caller_alone_commits_alone() -> None:
    sizes: list[int] = []

    def commit(parts: Sequence[int]) -> Sequence[int]:
        sizes.append(len(parts))
        return [part * 2 for part in parts]

    together = Together(commit)
    assert [together(1), together(2)] == [2, 4]
    assert sizes == [1, 1]


def test_those_who_wait_go_together_and_nobody_waits_for_two() -> None:
    """The first commit is held until nine callers wait; the second then takes all nine."""
    batches: list[list[int]] = []
    go_on, begun = Event(), Event()

    def commit(parts: Sequence[int]) -> Sequence[int]:
        batches.append(list(parts))
        begun.set()
        go_on.wait(10)
        return [part * 2 for part in parts]

    together = Together(commit)
    answers: dict[int, int] = {}
    threads = [Thread(target=lambda n=n: answers.update({n: together(n)})) for n in range(10)]
    threads[0].start()
    begun.wait(10)
    for thread in threads[1:]:
        thread.start()
    while len(together._waiting) < 9:
        pass
    go_on.set()
    for thread in threads:
        thread.join()
    assert answers == {n: n * 2 for n in range(10)}
    assert [len(batch) for batch in batches] == [1, 9]
    assert batches[0] == [0]


def test_a_failure_reaches_every_caller_and_the_next_one_is_served() -> None:
    failing = True

    def commit(parts: Sequence[int]) -> Sequence[int]:
        if failing:
            raise OSError("disk")
        return parts

    together = Together(commit)
    for _ in range(2):
        with pytest.raises(OSError, match="disk"):
            together(1)
    failing = False
    assert together(7) == 7


def test_many_callers_many_times() -> None:
    total: list[int] = []

    def commit(parts: Sequence[int]) -> Sequence[int]:
        total.extend(parts)
        return [len(total)] * len(parts)

    together = Together(commit)
    threads = [Thread(target=lambda n=n: [together(n * 1000 + k) for k in range(200)]) for n in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(total) == sorted(n * 1000 + k for n in range(8) for k in range(200))
