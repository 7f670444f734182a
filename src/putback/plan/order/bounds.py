"""One idea: a visit changes only the counts of its own tool, zone and place, so a bound follows from the one before.

`Frame.bound` works a bound out from nothing; this gives the same figures step by step.
"""

from collections.abc import Sequence

from putback.plan.order.frame import Frame, Tables

Outlook = tuple[int, tuple[int, ...]]
"""The stage in work, and for each part and for places the visits to come, counted from outside every label."""

ByLift = tuple[int, int, int]
"""A bound for the lift nowhere yet, up, down."""


class Bounds:
    """Bounds on what is still to come, along the moves of a search."""

    def __init__(self, frame: Frame, ahead: Sequence[int]) -> None:
        """For a frame, with a bound on the stages after each stage."""
        self._frame = frame
        self._ahead = ahead
        self._labels = [*(part.label for part in frame.parts), frame.spot]
        self.fresh = [self._counts(tables, tables.mask) for tables in frame.tables]
        self._worth = [1] * (max(frame.spot, default=0) + 1) if frame.exact else frame.entry

    def _counts(self, tables: Tables, left: int) -> tuple[int, ...]:
        """The visits to come from outside every label; for places in a change that is no sum, their entries."""
        counts = [sum(hits(levels, left) for levels in view.outside.values()) for view in tables.views]
        if not self._frame.exact:
            entry = self._frame.entry
            counts[-1] = sum(entry[c] * hits(levels, left) for c, levels in tables.views[-1].outside.items())
        return tuple(counts)

    def start(self, done: int) -> Outlook:
        """The outlook with these groups done."""
        for stage, tables in enumerate(self._frame.tables):
            if tables.mask & ~done:
                return stage, self._counts(tables, tables.mask & ~done)
        return len(self._frame.tables), ()

    def after(self, outlook: Outlook, done: int, c: int, after: int) -> tuple[Outlook, ByLift]:
        """The outlook after a visit to class c, and the bound there.

        Args:
            outlook: the one with `done` done.
            done: groups done before the visit.
            c: the class visited.
            after: groups done after it.
        """
        stage, counts = outlook
        tables = self._frame.tables[stage]
        if not tables.mask & ~after:
            while not self._frame.tables[stage].mask & ~after:
                stage += 1
                if stage == len(self._frame.tables):
                    return (stage, ()), (0, 0, 0)
            tables, counts, done = self._frame.tables[stage], self.fresh[stage], 0
        before, left = tables.mask & ~done, tables.mask & ~after
        outside, here = [], []
        for view, label, count in zip(tables.views, self._labels, counts, strict=True):
            levels = view.outside.get(label[c], ())
            worth = 1 if view is not tables.views[-1] else self._worth[label[c]]
            still = hits(levels, left)
            now = count + worth * (still - hits(levels, before))
            outside.append(now)
            here.append(now + worth * (hits(view.inside.get(label[c], ()), left) - still))
        base = self._changes(here) + self._ahead[stage]
        up, down = (base + self._frame.lift_cost * hits(tables.moves[lift], left) for lift in (1, 2))
        return (stage, tuple(outside)), (base + self._frame.lift_cost * hits(tables.moves[0], left), up, down)

    def _changes(self, visits: Sequence[int]) -> int:
        """What so many visits to the labels of each part, and to places, cost at least; as in `Frame.bound`."""
        changes = spent = 0
        for part, count in zip(self._frame.parts, visits, strict=False):
            spent += part.weight * count
            changes += count
        if not self._frame.exact:
            return max(spent, visits[-1])
        return spent + self._frame.least * max(0, visits[-1] - changes)


def hits(levels: Sequence[int], left: int) -> int:
    """How many of the sets, each of which holds the next, have something in common with `left`."""
    count = 0
    for level in levels:
        if not level & left:
            break
        count += 1
    return count
