"""One idea: calls that come while a commit is under way go together into the next one.

A commit waits for the disk, and one wait can serve many callers. The first caller leads: it commits for all who
wait by then, and hands the lead to the first of those who came meanwhile. Nobody waits for more than the commit
under way and its own.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from threading import Event, Lock
from typing import Generic, TypeVar

T = TypeVar("T")
R = TypeVar("R")


@dataclass(slots=True)
class _Call(Generic[T, R]):
    """One caller's part: what it brings, and what it gets."""

    part: T
    wake: Event = field(default_factory=Event)
    done: bool = False
    answer: R | None = None
    error: Exception | None = None


class Together(Generic[T, R]):
    """Runs `commit` for the parts of all callers that wait, one commit at a time; safe for threads.

    `commit` gives one answer for each part, in order. What it raises is raised to every caller of that commit.
    """

    def __init__(self, commit: Callable[[Sequence[T]], Sequence[R]]) -> None:
        self._commit = commit
        self._lock = Lock()
        self._waiting: list[_Call[T, R]] = []
        self._led = False

    def __call__(self, part: T) -> R:
        """Commit one part, together with whatever else waits."""
        call: _Call[T, R] = _Call(part)
        with self._lock:
            self._waiting.append(call)
            leads, self._led = not self._led, True
        if not leads:
            call.wake.wait()
        if not call.done:
            self._lead()
        if call.error is not None:
            raise call.error
        return call.answer  # type: ignore[return-value]  # set by the leader whenever there is no error

    def _lead(self) -> None:
        with self._lock:
            batch, self._waiting = self._waiting, []
        try:
            answers = self._commit([call.part for call in batch])
            for call, answer in zip(batch, answers, strict=True):
                call.answer = answer
        except Exception as error:
            for call in batch:
                call.error = error
        finally:
            with self._lock:
                heir = self._waiting[0] if self._waiting else None
                self._led = heir is not None
            for call in batch:
                call.done = True
                call.wake.set()
            if heir is not None:
                heir.wake.set()
