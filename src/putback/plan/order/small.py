"""One idea: a small job is searched in plain Python, so that nothing heavy has to be loaded for it.

The state of the work is what is done, where somebody is, and where the lift is; a move goes to another class and
does everything available there. Best first by cost so far plus bound; of equals the one with more done.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from heapq import heappop, heappush

from putback.plan.order.bounds import Bounds, ByLift
from putback.plan.order.frame import Frame
from putback.plan.order.visits import NONE

State = tuple[int, int, int]
"""Groups done, class, lift."""

Move = tuple[int, State, int]
"""Its cost, where it leads, and the bound there."""


@dataclass(slots=True, kw_only=True)
class Search:
    """A search that can be stopped and asked what it knows.

    Attributes:
        best: cost of the best walk found, in units; None before the first.
        classes: the classes visited by it, in order.
        bound: no walk costs less.
    """

    best: int | None = None
    classes: tuple[int, ...] = ()
    bound: int = 0
    _parent: dict[State, State | None] = field(default_factory=dict)

    def walk_to(self, state: State) -> tuple[int, ...]:
        """The classes visited on the way to a state."""
        classes = []
        at: State | None = state
        while at is not None:
            if at[1] != NONE:
                classes.append(at[1])
            at = self._parent[at]
        return tuple(reversed(classes))


class _Moves:
    """The moves from every state met; what can be done next depends on the groups done alone."""

    def __init__(self, frame: Frame, start: int, ahead: Sequence[int]) -> None:
        self._frame = frame
        self._bounds = Bounds(frame, ahead)
        self._outlook = {start: self._bounds.start(start)}
        self._next: dict[int, list[tuple[int, int, ByLift]]] = {}

    def _classes(self, done: int) -> list[tuple[int, int, ByLift]]:
        """The classes with something available, the groups done after each, and the bounds there."""
        outlook = self._outlook[done]
        found = []
        for to, after in self._frame.next_of(done, outlook[0]):
            self._outlook[after], bounds = self._bounds.after(outlook, done, to, after)
            found.append((to, after, bounds))
        return found

    def from_state(self, state: State) -> list[Move]:
        """The moves to every class with something available."""
        done, c, lift = state
        if done not in self._next:
            self._next[done] = self._classes(done)
        lifts, lift_cost = self._frame.lift, self._frame.lift_cost
        change = self._frame.change[c] if c != NONE else (0,) * len(lifts)
        moves = []
        for to, after, bounds in self._next[done]:
            position = lifts[to] or lift
            cost = change[to] + lift_cost if lift and position != lift else change[to]
            moves.append((cost, (after, to, position), bounds[position]))
        return moves


def quick_walk(frame: Frame, start: int, ahead: Sequence[int], width: int) -> tuple[int, tuple[int, ...]]:
    """A good walk, soon: in step with the number of groups done, only the most promising states are followed.

    Args:
        frame: the job.
        start: the groups not to be done here.
        ahead: bounds on the stages after each stage.
        width: states kept at each number of groups done.

    Returns:
        Its cost in units and the classes visited.
    """
    search, moves = Search(), _Moves(frame, start, ahead)
    origin = (start, NONE, 0)
    search._parent[origin] = None
    layers: dict[int, dict[State, tuple[int, int]]] = {start.bit_count(): {origin: (0, 0)}}
    for count in range(start.bit_count(), len(frame.place)):
        layer = layers.pop(count, {})
        ranked = sorted((key, state) for state, key in layer.items())[:width]
        for (_, spent), state in ranked:
            for cost, after, bound in moves.from_state(state):
                key = (spent + cost + bound, spent + cost)
                known = layers.setdefault(after[0].bit_count(), {})
                if after not in known or key < known[after]:
                    known[after] = key
                    search._parent[after] = state
    final = layers.get(len(frame.place), {origin: (0, 0)})
    (cost, _), state = min((key, state) for state, key in final.items())
    return cost, search.walk_to(state)


def best_first(
    frame: Frame,
    start: int,
    ahead: Sequence[int],
    search: Search,
    proceed: Callable[[int], bool],
) -> bool:
    """Find a cheapest walk, and prove it.

    Args:
        frame: the job.
        start: the groups not to be done here.
        ahead: bounds on the stages after each stage.
        search: holds the best walk known before, and takes the better one and the bound.
        proceed: asked before each state with their number so far; False stops the search.

    Returns:
        The search came to its end: `search.best` equals `search.bound`.
    """
    origin = (start, NONE, 0)
    spent = {origin: 0}
    search._parent = {origin: None}
    waiting = {frame.bound(frame.full & ~start, NONE, 0, ahead): [origin]}
    totals, moves = list(waiting), _Moves(frame, start, ahead)
    expanded = 0
    while totals and (search.best is None or totals[0] < search.best):
        total = totals[0]
        search.bound = max(search.bound, total)
        if not waiting[total]:
            del waiting[heappop(totals)]
            continue
        state = waiting[total].pop()
        if state[0] == frame.full:
            search.best, search.classes = total, search.walk_to(state)
            break
        if not proceed(expanded):
            return False
        expanded += 1
        for after, reached in _better_moves(moves, state, spent, total):
            if search.best is None or reached < search.best:
                search._parent[after] = state
                if reached not in waiting:
                    heappush(totals, reached)
                waiting.setdefault(reached, []).append(after)
    search.bound = search.best or 0
    return True


def _better_moves(moves: _Moves, state: State, spent: dict[State, int], total: int) -> list[tuple[State, int]]:
    """Where to go from here: states not reached as cheaply before, each with cost so far plus bound."""
    so_far = spent[state]
    better = []
    for cost, after, bound in moves.from_state(state):
        now = so_far + cost
        if after not in spent or now < spent[after]:
            spent[after] = now
            better.append((after, max(total, now + bound)))
    return better
