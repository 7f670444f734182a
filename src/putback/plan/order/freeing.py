"""One idea: a good order gets better when some of its steps are set free and the rest keep their order.

The rest then is one long chain, the bounds become sharp, and the small job that is left is soon solved again. Which
steps are set free changes from round to round: all of a tool, all of a zone, a stretch of the walk, or any. An
order that costs the same is taken too, so that the walk does not stay where it is.
"""

import random
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

from putback.plan.order.frame import Frame, with_groups
from putback.plan.order.groups import bits, group
from putback.plan.order.problem import OrderProblem
from putback.plan.order.small import Search

SeekIn = Callable[[Frame, Search], bool]
"""Looks for a walk cheaper than the best known of the search; True when there is none left."""

FEWEST, MOST = 16, 80
"""Steps set free at a time."""


def sequence_of(frame: Frame, classes: Sequence[int]) -> list[int]:
    """The groups in the order in which a walk does them."""
    done, sequence = 0, []
    for c in classes:
        after = frame.done_with(done, c)
        sequence += sorted(bits(after & ~done), key=lambda node: (frame.before[node].bit_count(), node))
        done = after
    return sequence


def cost_in(frame: Frame, classes: Sequence[int]) -> int:
    """Cost of a walk, in units; places where nothing is left to do are passed over."""
    done = lift = spent = 0
    last = None
    for c in classes:
        after = frame.done_with(done, c)
        if after == done:
            continue
        position = frame.lift[c] or lift
        if last is not None:
            spent += frame.change[last][c] + frame.lift_cost * (lift not in (0, position))
        done, last, lift = after, c, position
    return spent


class Freeing:
    """Rounds of setting free; the same seed gives the same rounds."""

    def __init__(self, frame: Frame, search: Search) -> None:
        self._frame = frame
        self._search = search
        self._arcs = _direct(frame.before)
        self._rng = random.Random(1)
        self._many = 30.0
        self._kinds = self._choices()

    def round(self, seek: SeekIn) -> bool:
        """Set some steps free and look for a better order.

        Returns:
            The walk of the search has become cheaper.
        """
        frame, search = self._frame, self._search
        sequence = sequence_of(frame, search.classes)
        cost = cost_in(frame, search.classes)
        problem = self._freed(sequence, next(self._kinds)(sequence, int(self._many)))
        inner = with_groups(frame, group(problem))
        found = Search(best=cost + 1)
        ended = seek(inner, found)
        self._many = min(MOST, self._many * 1.04) if ended else max(FEWEST, self._many * 0.9)
        if not found.classes:
            return False
        search.classes = found.classes
        search.best = cost_in(frame, found.classes)
        return search.best < cost

    def _freed(self, sequence: Sequence[int], free: set[int]) -> OrderProblem:
        """The job in which all steps that are not free keep their order."""
        frame = self._frame
        chain = pairwise(node for node in sequence if node not in free)
        return OrderProblem(
            place=frame.place,
            change=frame.change,
            lift=frame.lift,
            lift_cost=frame.lift_cost,
            before=(*self._arcs, *chain),
        )

    def _choices(self) -> Iterator[Callable[[Sequence[int], int], set[int]]]:
        """The kinds of choice in turn."""
        frame = self._frame
        labels = [[part.label[c] for c in frame.place] for part in frame.parts] or [list(frame.place)]
        while True:
            for label in labels:
                yield lambda _, many, label=label: self._of_labels(label, many)  # type: ignore[misc]
            yield lambda sequence, many: set(self._rng.sample(sequence, min(many, len(sequence))))
            yield self._stretch

    def _of_labels(self, label: Sequence[int], many: int) -> set[int]:
        """Steps of one tool or zone, then of another, until there are enough."""
        order = sorted(set(label))
        self._rng.shuffle(order)
        free: list[int] = []
        for one in order:
            nodes = [node for node, at in enumerate(label) if at == one]
            self._rng.shuffle(nodes)
            free += nodes
            if len(free) >= many:
                break
        return set(free[:many])

    def _stretch(self, sequence: Sequence[int], many: int) -> set[int]:
        """Steps that are done one after the other."""
        start = self._rng.randrange(max(1, len(sequence) - many + 1))
        return set(sequence[start : start + many])


def _direct(before: Sequence[int]) -> tuple[tuple[int, int], ...]:
    """Pairs with nothing in between, of a relation given with everything that follows from it."""
    pairs = []
    for node, nodes in enumerate(before):
        between = 0
        for other in bits(nodes):
            between |= before[other]
        pairs += [(other, node) for other in bits(nodes & ~between)]
    return tuple(pairs)
