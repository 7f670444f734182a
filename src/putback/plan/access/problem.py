"""One idea: what must come off is a least-cost set; some joints can be reached in several ways, one each.

Nodes are numbers: items, energies, fluids of a car, as the caller lists them. `needs` gives both an order
and an implication, `brings` an implication alone. The work is the least set that holds the targets and is
closed under both and under the needs of the chosen ways. A choice of ways whose order arcs run in a circle
within the work is illegal: nothing in such a circle could ever be the first to come off.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One manner of reaching a joint: `minutes` off and on, added to its owner's; `needs` must be off first."""

    minutes: float
    needs: tuple[int, ...] = ()
    allowed: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A joint with ways: when node `owner` is in the work, exactly one allowed way is taken."""

    owner: int
    ways: tuple[Way, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AccessProblem:
    """A car as nodes 0 to n - 1.

    Args:
        minutes: off and on together for each node, [min]; at least 0; 0 for nodes that are no handling.
        needs: for each node, those that must come off before it: order and implication.
        brings: for each node, those that join the work with it: implication only; may be circular.
        choices: the joints with ways. One owner may have several.
        dead: nodes that can never come off, whatever else does.

    Raises:
        ValueError: lists of unlike length, a negative or endless figure, or a node number out of range.
    """

    minutes: tuple[float, ...]
    needs: tuple[tuple[int, ...], ...]
    brings: tuple[tuple[int, ...], ...]
    choices: tuple[Choice, ...] = ()
    dead: frozenset[int] = frozenset()

    def __post_init__(self) -> None:
        count = len(self.minutes)
        if len(self.needs) != count or len(self.brings) != count:
            raise ValueError(
                f"minutes, needs and brings differ in length: {count}, {len(self.needs)}, {len(self.brings)}"
            )
        if not all(0 <= minutes < float("inf") for minutes in _all_minutes(self)):
            raise ValueError("minutes must be finite and at least 0")
        if not all(min(nodes) >= 0 and max(nodes) < count for nodes in _all_node_lists(self) if nodes):
            raise ValueError(f"a node number lies outside 0 to {count - 1}")


def _all_minutes(problem: AccessProblem) -> Iterator[float]:
    yield from problem.minutes
    for choice in problem.choices:
        for way in choice.ways:
            yield way.minutes


def _all_node_lists(problem: AccessProblem) -> Iterator[Sequence[int]]:
    yield from problem.needs
    yield from problem.brings
    for choice in problem.choices:
        yield (choice.owner,)
        for way in choice.ways:
            yield way.needs
    yield tuple(problem.dead)


def checked_targets(problem: AccessProblem, targets: Iterable[int]) -> tuple[int, ...]:
    """The targets once each, ascending.

    Raises:
        ValueError: a target is no node of the problem.
    """
    once = tuple(sorted(set(targets)))
    if once and (once[0] < 0 or once[-1] >= len(problem.minutes)):
        raise ValueError(f"a target lies outside 0 to {len(problem.minutes) - 1}")
    return once


@dataclass(frozen=True, slots=True, kw_only=True)
class AccessAnswer:
    """A legal choice of ways and what comes off with it.

    Args:
        chosen: (choice number, way number), ascending, for every choice whose owner is in the work.
        work: the nodes of the work.
        minutes: of the work and of its chosen ways, [min].
        bound: no legal choice costs less than this, [min]; equals `minutes` when proved.
        proved: no legal choice is cheaper.
        interrupted: the search was stopped from outside before it was through.
    """

    chosen: tuple[tuple[int, int], ...]
    work: frozenset[int]
    minutes: float
    bound: float
    proved: bool
    interrupted: bool = False

    @property
    def ways(self) -> dict[int, int]:
        """Choice number to the number of its chosen way."""
        return dict(self.chosen)

    @property
    def gap(self) -> float:
        """Minutes above the bound, [min]; 0 when proved."""
        return 0.0 if self.proved else max(0.0, self.minutes - self.bound)


class WhyDead(Enum):
    """Why a way leads nowhere."""

    NOT_ALLOWED = "not allowed"
    NEEDS_UNREACHABLE = "needs what cannot come off"
    CIRCLE = "needs its own owner, however far round"


@dataclass(frozen=True, slots=True, kw_only=True)
class DeadWay:
    """Way number `way` of a dead choice; `node` is the first of its needs that stands in its way, if any."""

    way: int
    why: WhyDead
    node: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DeadChoice:
    """A choice all of whose ways are dead, with the reason for each."""

    choice: int
    owner: int
    ways: tuple[DeadWay, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unreachable:
    """No legal choice reaches all targets.

    Args:
        targets: those that cannot be reached, ascending.
        choices: the dead choices that stand in their way, ascending.
        dead: nodes given as dead that stand in their way, ascending.
        circles: circles of plain needs that stand in their way, each link by link: every node needs the next,
            the last the first.
    """

    targets: tuple[int, ...]
    choices: tuple[DeadChoice, ...]
    dead: tuple[int, ...]
    circles: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternatives:
    """Distinct legal choices of ways, the answer first, then by minutes.

    Args:
        answers: each with its own least work; `proved` says that no legal choice missing before it is cheaper.
        complete: every legal choice is listed; else the list was cut off.
        out_of_time: it was the time limit or an interruption that cut it off, not the number asked for.
    """

    answers: tuple[AccessAnswer, ...]
    complete: bool
    out_of_time: bool = False
