"""One idea: everything the search asks again and again is looked up, not worked out.

A state of the work is the set of groups done, the class somebody is at, and where the lift is. The frame holds what
follows from the job alone: what is available, what a move costs, and a bound on what is still to come.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import gcd

from putback.plan.order.groups import Groups, bits
from putback.plan.order.parts import add_up, find_parts
from putback.plan.order.problem import OrderProblem, Part
from putback.plan.order.visits import NONE, Chains, Visits, lift_moves, visits_of

Moves = tuple[tuple[int, ...], tuple[int, ...], tuple[int, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tables:
    """Bounds for one stage.

    Attributes:
        mask: the groups of the stage.
        nodes: the same, one by one.
        views: for each part, visits to its labels; last, visits to places (where the parts add up to the change) or
            to classes (where they do not).
        moves: moves of the lift, for lift nowhere, up, down.
    """

    mask: int
    nodes: tuple[int, ...]
    views: tuple[Visits, ...]
    moves: Moves


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What the search looks up. Sets of groups are ints, one bit each. All costs are divided by `unit`.

    Attributes:
        place: class of each group.
        before: all groups that must be done before each, lower stages included.
        of_class: the groups of each class.
        change: cost between classes.
        lift: lift of each class; lift_cost: cost of one move.
        parts: parts with weights in units; exact: they add up to the change.
        spot: for each class the label of its place (exact) or its own number.
        entry: the least cost of coming to each class (used where the parts do not add up).
        least: the least weight of a part (used where they do).
        tables: bounds, one for each stage.
    """

    place: tuple[int, ...]
    before: tuple[int, ...]
    of_class: tuple[int, ...]
    change: tuple[tuple[int, ...], ...]
    lift: tuple[int, ...]
    lift_cost: int
    unit: int
    parts: tuple[Part, ...]
    exact: bool
    spot: tuple[int, ...]
    entry: tuple[int, ...]
    least: int
    tables: tuple[Tables, ...]

    @property
    def full(self) -> int:
        """All groups."""
        return (1 << len(self.place)) - 1

    def done_with(self, done: int, c: int) -> int:
        """The groups done after everything available in class c is done too, and what that makes available."""
        left = self.of_class[c] & ~done
        rest = left
        while rest:
            low = rest & -rest
            rest ^= low
            if not self.before[low.bit_length() - 1] & ~done:
                done |= low
                left ^= low
                rest = left
        return done

    def next_of(self, done: int, stage: int) -> list[tuple[int, int]]:
        """Each class with something available, and the groups done after it, in the order of the groups.

        Args:
            done: the groups done.
            stage: the stage in work.
        """
        missing = ~done
        ready: dict[int, int] = {}
        for node in self.tables[stage].nodes:
            if not self.before[node] & missing and missing >> node & 1:
                c = self.place[node]
                ready[c] = ready.get(c, 0) | 1 << node
        return [(c, self.done_with(done | nodes, c)) for c, nodes in ready.items()]

    def bound(self, left: int, c: int, lift: int, ahead: Sequence[int]) -> int:
        """No way of doing `left` from class c (NONE: from the start) and this lift costs less.

        Args:
            left: the groups still to be done.
            c: the class somebody is at, or NONE.
            lift: 0 nowhere yet, 1 up, 2 down.
            ahead: ahead[s] = a bound on all stages after stage s.
        """
        for stage, tables in enumerate(self.tables):
            now = left & tables.mask
            if now:
                return self._bound_in(tables, now, c, lift) + ahead[stage]
        return 0

    def _bound_in(self, tables: Tables, left: int, c: int, lift: int) -> int:
        """The bound within one stage.

        Every change of place is a change of at least one part; so beyond the changes that each part needs by
        itself, the visits to places ask for as many changes as there are visits.
        """
        first = c == NONE
        total = self.lift_cost * sum([1 for one in tables.moves[lift] if left & one])
        changes = spent = 0
        for part, visits in zip(self.parts, tables.views, strict=False):
            count = visits.count(left, NONE if first else part.label[c]) - first
            spent += part.weight * count
            changes += count
        if not self.exact:
            return total + max(spent, self._entries(tables.views[-1], left, c))
        beyond = tables.views[-1].count(left, NONE if first else self.spot[c]) - first - changes
        return total + spent + (self.least * beyond if beyond > 0 else 0)

    def _entries(self, classes: Visits, left: int, c: int) -> int:
        """Each class to come is entered at least as often as it is visited."""
        total = dearest = 0
        for one, outside in classes.outside.items():
            levels = classes.inside[one] if one == c else outside
            for level in levels:
                if not left & level:
                    break
                total += self.entry[one]
                dearest = max(dearest, self.entry[one])
        return total - dearest if c == NONE else total


def frame_of(problem: OrderProblem, groups: Groups) -> Frame:
    """Work out what is looked up.

    Raises:
        ValueError: stated parts do not add up to the change matrix.
    """
    parts = problem.parts or find_parts(problem.change)
    exact = add_up(parts, problem.change)
    if problem.parts and not exact:
        raise ValueError("the parts stated do not add up to the change matrix")
    costs = [cost for row in problem.change for cost in row]
    unit = gcd(problem.lift_cost, *costs, *(part.weight for part in parts)) or 1
    parts = tuple(Part(weight=part.weight // unit, label=part.label) for part in parts if part.weight)
    change = tuple(tuple(cost // unit for cost in row) for row in problem.change)
    spots = [tuple(part.label[c] for part in parts) if exact else (c,) for c in range(len(change))]
    names: dict[tuple[int, ...], int] = {}
    bare = Frame(
        place=(),
        before=(),
        of_class=(),
        change=change,
        lift=problem.lift,
        lift_cost=problem.lift_cost // unit,
        unit=unit,
        parts=parts,
        exact=exact,
        spot=tuple(names.setdefault(labels, len(names)) for labels in spots),
        entry=_entry(change, set(groups.place)),
        least=min((part.weight for part in parts), default=0),
        tables=(),
    )
    return with_groups(bare, groups)


def with_groups(frame: Frame, groups: Groups) -> Frame:
    """The frame of other groups in the same places."""
    masks = [0] * (max(groups.stage, default=-1) + 1)
    for node, stage in enumerate(groups.stage):
        masks[stage] |= 1 << node
    return replace(
        frame,
        place=groups.place,
        before=_with_stages(groups, masks),
        of_class=_of_class(groups.place, len(frame.change)),
        tables=_tables(frame, groups, masks),
    )


def _with_stages(groups: Groups, masks: Sequence[int]) -> tuple[int, ...]:
    """What comes before each group, the stages before its own included."""
    lower = [sum(masks[:stage]) for stage in range(len(masks))]
    return tuple(earlier | lower[stage] for earlier, stage in zip(groups.earlier, groups.stage, strict=True))


def _of_class(place: Sequence[int], classes: int) -> tuple[int, ...]:
    """The groups of each class."""
    masks = [0] * classes
    for node, c in enumerate(place):
        masks[c] |= 1 << node
    return tuple(masks)


def _entry(change: Sequence[Sequence[int]], used: set[int]) -> tuple[int, ...]:
    """The least cost of coming to each class from another class in use."""
    return tuple(
        min((change[c][d] for c in used if c != d), default=0) if d in used else 0 for d in range(len(change))
    )


def _tables(frame: Frame, groups: Groups, masks: Sequence[int]) -> tuple[Tables, ...]:
    """The bounds of each stage."""
    place = groups.place
    later = [0] * len(place)
    for node, earlier in enumerate(groups.earlier):
        for other in bits(earlier):
            later[other] |= 1 << node
    chains = Chains(earlier=groups.earlier, later=tuple(later))
    labels = [*(part.label for part in frame.parts), frame.spot]
    return tuple(
        Tables(
            mask=mask,
            nodes=tuple(bits(mask)),
            views=tuple(visits_of([label[c] for c in place], chains, bits(mask)) for label in labels),
            moves=lift_moves([frame.lift[c] for c in place], chains, bits(mask)),
        )
        for mask in masks
    )
