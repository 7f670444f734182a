"""One idea: a line runs level only between two layers and upright only in a slot, so it can cross no box.

All links of one item leave its box as one line and branch where they part. Between two layers every such line gets
a track of its own height; lines share a track only where they do not meet (left-edge rule of channel routing;
Hashimoto and Stevens, DAC 1971, from memory).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from putback.faces.draw.in_the_way.links import Links
from putback.faces.draw.in_the_way.places import Places

_INSET = 9.0
_APART = 7.0
_CLEAR = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Net:
    """The line of one item between layer `at` and the next: where it comes from, where its branches go.

    `track` counts from the upper layer; None: one straight line without a level part. `goals` pair the x of each
    branch with the item whose box it enters (None: it goes on in its slot).
    """

    item: str
    at: int
    start: float
    goals: tuple[tuple[float, str | None], ...]
    track: int | None

    @property
    def ends(self) -> tuple[float, float]:
        """The leftmost and the rightmost x of the line's level part."""
        all_x = [self.start, *(x for x, _ in self.goals)]
        return min(all_x), max(all_x)


@dataclass(frozen=True, slots=True, kw_only=True)
class Routes:
    """All nets, gap by gap, and the number of tracks in each gap."""

    nets: tuple[Net, ...]
    tracks: tuple[int, ...]


@dataclass(slots=True)
class _Open:
    """A net whose track is not chosen yet."""

    item: str
    start: float
    boxes: list[str] = field(default_factory=list)
    goals: list[tuple[float, str | None]] = field(default_factory=list)


def routes(graph: Links, spots: Places) -> Routes:
    """Route every link.

    Args:
        graph: the links.
        spots: where boxes and slots stand.
    """
    nets: list[Net] = []
    tracks = []
    for at in range(len(spots.order) - 1):
        found = _in_gap(graph, spots, at)
        nets += found
        tracks.append(max((net.track + 1 for net in found if net.track is not None), default=0))
    return Routes(nets=tuple(nets), tracks=tuple(tracks))


def _in_gap(graph: Links, spots: Places, at: int) -> list[Net]:
    """The nets between layer `at` and the next, with their tracks."""
    open_: dict[str, _Open] = {}
    for id, _ in spots.order[at]:
        boxes = [other for other in graph.below[id] if spots.layer[other] == at + 1]
        onward = (id, at + 1) in spots.x
        if boxes or onward:
            open_[id] = _Open(item=id, start=spots.x[id, at], boxes=boxes)
            if onward:
                open_[id].goals.append((spots.x[id, at + 1], None))
    _enter_boxes(open_, spots, at)
    return _tracked(list(open_.values()), at)


def _enter_boxes(open_: Mapping[str, _Open], spots: Places, at: int) -> None:
    """Where each line enters a box: straight down if it can, apart from its neighbours, clear of other lines."""
    starts = sorted((net.start, net.item) for net in open_.values())
    for box, layer in spots.order[at + 1]:
        if spots.layer[box] != layer:
            continue
        coming = [(start, item) for start, item in starts if box in open_[item].boxes]
        left = spots.x[box, layer] - spots.box / 2 + _INSET
        right = spots.x[box, layer] + spots.box / 2 - _INSET
        taken: list[float] = []
        straight = [(start, item) for start, item in coming if left <= start <= right]
        for start, item in [*straight, *(one for one in coming if one not in straight)]:
            others = [other for other, name in starts if name != item and left - _CLEAR <= other <= right + _CLEAR]
            x = _free_spot(min(max(start, left), right), left, right, taken, others)
            taken.append(x)
            open_[item].goals.append((x, box))


def _free_spot(wish: float, left: float, right: float, taken: Sequence[float], others: Sequence[float]) -> float:
    """The place nearest to the wish that is apart from what is taken and clear of other lines' starts."""
    count = int((right - left) // 2)
    candidates = sorted({wish, *(left + 2.0 * step for step in range(count + 1))}, key=lambda x: (abs(x - wish), x))
    for apart, clear in ((_APART, _CLEAR), (_APART, 2.0), (3.0, 2.0)):
        for x in candidates:
            if all(abs(x - other) >= apart for other in taken) and all(abs(x - other) >= clear for other in others):
                return x
    return wish


def _tracked(open_: Sequence[_Open], at: int) -> list[Net]:
    """Give each net with a level part a track; an upper one where it comes down beside another net's branch."""
    plain: list[Net] = []
    level: list[Net] = []
    for one in open_:
        goals = tuple(sorted(one.goals, key=lambda goal: (goal[0], goal[1] or "")))
        made = Net(item=one.item, at=at, start=one.start, goals=goals, track=None)
        (level if made.ends[1] - made.ends[0] > 0.5 else plain).append(made)
    above = _above(level)
    height: dict[str, int] = {}
    rows: list[list[Net]] = []
    for net in _by_constraint(level, above):
        least = max((height[other] + 1 for other in above[net.item] if other in height), default=0)
        track = next(_free_rows(rows, net, least))
        while len(rows) <= track:
            rows.append([])
        rows[track].append(net)
        height[net.item] = track
    done = [Net(item=n.item, at=at, start=n.start, goals=n.goals, track=height[n.item]) for n in level]
    return [*plain, *done]


def _free_rows(rows: Sequence[Sequence[Net]], net: Net, least: int) -> Iterator[int]:
    for track in range(least, len(rows)):
        low, high = net.ends
        if all(high + _APART < other.ends[0] or other.ends[1] + _APART < low for other in rows[track]):
            yield track
    yield max(len(rows), least)


def _above(nets: Sequence[Net]) -> dict[str, set[str]]:
    """For each net those that must run above it: their start would otherwise run into one of its branches."""
    found: dict[str, set[str]] = {net.item: set() for net in nets}
    for net in nets:
        for other in nets:
            if other is not net and any(abs(other.start - x) < _CLEAR for x, _ in net.goals):
                found[net.item].add(other.item)
    return found


def _by_constraint(nets: Sequence[Net], above: Mapping[str, set[str]]) -> list[Net]:
    """From the left, but never before what must run above; a ring is broken at its leftmost net."""
    left = sorted(nets, key=lambda net: (net.ends[0], net.item))
    order: list[Net] = []
    placed: set[str] = set()
    while left:
        waiting = {net.item for net in left}
        ready = next((net for net in left if not above[net.item] & waiting - placed), left[0])
        left.remove(ready)
        placed.add(ready.item)
        order.append(ready)
    return order
