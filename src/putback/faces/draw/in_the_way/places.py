"""One idea: every item gets a box in its layer; a link over several layers passes the boxes in a slot of its own.

All links of one item share one trunk, which passes a layer in one slot. igraph's Sugiyama layout orders boxes and
slots in each layer so that few lines cross; their places along the layer are then the nearest ones to their
neighbours that keep every distance (isotonic regression, pool adjacent violators).

Sources: Sugiyama, Tagawa, Toda, IEEE Trans. SMC 11 (1981) 109; Ayer et al., Ann. Math. Stat. 26 (1955) 641
(both from memory).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from putback.faces.draw.in_the_way.links import Links

Place = tuple[str, int]
"""An item in a layer: its box where it is the item's own layer, else the slot of its trunk."""

_SWEEPS = 24
_GAP_BOXES = 16.0
_GAP_SLOTS = 9.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """Where everything stands along its layer. `x` are middles; `order` lists each layer from left to right."""

    layer: Mapping[str, int]
    order: tuple[tuple[Place, ...], ...]
    x: Mapping[Place, float]
    wide: float
    box: float

    def is_box(self, place: Place) -> bool:
        """Whether a place is an item's box and not its trunk's slot."""
        return self.layer[place[0]] == place[1]


def places(graph: Links, layer: Mapping[str, int], *, box: float, wide: float) -> Places:
    """Boxes and slots along their layers.

    Args:
        graph: the links.
        layer: the layer of each item.
        box: width of a box.
        wide: width of the sheet; it grows where a layer needs more.
    """
    lines = _lines(graph, layer)
    order = _ordered(graph, layer, lines)
    near: dict[Place, list[tuple[Place, float]]] = {place: [] for row in order for place in row}
    for upper, lower in lines:
        boxes = (layer[upper[0]] == upper[1]) + (layer[lower[0]] == lower[1])
        weight = (8.0, 2.0, 1.0)[boxes]
        near[upper].append((lower, weight))
        near[lower].append((upper, weight))
    widths = {place: box if layer[place[0]] == place[1] else 0.0 for place in near}
    steps = [_steps(row, widths) for row in order]
    need = max(steps[at][-1] + (widths[row[0]] + widths[row[-1]]) / 2 for at, row in enumerate(order))
    wide = max(wide, need)
    x = _start(order, steps, widths, wide)
    for sweep in range(_SWEEPS):
        rows = range(len(order)) if sweep % 2 == 0 else reversed(range(len(order)))
        for at in rows:
            x.update(_settled(order[at], steps[at], near, x, widths, wide))
        if sweep >= _SWEEPS - 3:
            _straighten(order, layer, widths, x, graph)
    return Places(layer=layer, order=order, x=x, wide=wide, box=box)


def _lines(graph: Links, layer: Mapping[str, int]) -> list[tuple[Place, Place]]:
    """Each piece of a link from one layer to the next; links of one item share its trunk."""
    lines = []
    for id in graph.items:
        if not graph.below[id]:
            continue
        last = max(layer[other] for other in graph.below[id])
        lines += [((id, at), (id, at + 1)) for at in range(layer[id], last - 1)]
        lines += [((id, layer[other] - 1), (other, layer[other])) for other in graph.below[id]]
    return lines


def _ordered(
    graph: Links, layer: Mapping[str, int], lines: Sequence[tuple[Place, Place]]
) -> tuple[tuple[Place, ...], ...]:
    """Boxes and slots of each layer from left to right, few lines crossing."""
    import igraph  # noqa: PLC0415 - heavy, and only this picture needs it

    found = dict.fromkeys((id, layer[id]) for id in graph.items)
    found.update(dict.fromkeys(place for piece in lines for place in piece))
    all_places = list(found)
    number = {place: at for at, place in enumerate(all_places)}
    net = igraph.Graph(
        n=len(all_places), edges=[(number[upper], number[lower]) for upper, lower in lines], directed=True
    )
    spots = net.layout_sugiyama(layers=[at for _, at in all_places], maxiter=300).coords
    rows: list[list[Place]] = [[] for _ in range(max(layer.values(), default=-1) + 1)]
    for place in sorted(all_places, key=lambda place: (spots[number[place]][0], number[place])):
        rows[place[1]].append(place)
    return tuple(tuple(row) for row in rows)


def _steps(row: Sequence[Place], widths: Mapping[Place, float]) -> list[float]:
    """Least distance of each place's middle from that of the first one in its layer."""
    steps = [0.0]
    for left, right in pairwise(row):
        gap = _GAP_BOXES if widths[left] and widths[right] else _GAP_SLOTS
        steps.append(steps[-1] + (widths[left] + widths[right]) / 2 + gap)
    return steps


def _start(
    order: Sequence[Sequence[Place]], steps: Sequence[Sequence[float]], widths: Mapping[Place, float], wide: float
) -> dict[Place, float]:
    """Every layer packed, in the middle of the sheet."""
    x = {}
    for row, step in zip(order, steps, strict=True):
        used = step[-1] + (widths[row[0]] + widths[row[-1]]) / 2
        first = (wide - used) / 2 + widths[row[0]] / 2
        x.update({place: first + at for place, at in zip(row, step, strict=True)})
    return x


def _settled(
    row: Sequence[Place],
    steps: Sequence[float],
    near: Mapping[Place, Sequence[tuple[Place, float]]],
    x: Mapping[Place, float],
    widths: Mapping[Place, float],
    wide: float,
) -> dict[Place, float]:
    """The layer's places nearest to their neighbours' weighted middle that keep all distances."""
    blocks: list[list[float]] = []
    for place, step in zip(row, steps, strict=True):
        pulls = near[place]
        weight = sum(w for _, w in pulls)
        goal = sum(x[other] * w for other, w in pulls) / weight if pulls else x[place]
        blocks.append([(goal - step) * (weight or 0.1), weight or 0.1, 1])
        while len(blocks) > 1 and blocks[-2][0] / blocks[-2][1] >= blocks[-1][0] / blocks[-1][1]:
            total, weight, count = blocks.pop()
            blocks[-1] = [blocks[-1][0] + total, blocks[-1][1] + weight, blocks[-1][2] + count]
    least = widths[row[0]] / 2
    most = wide - widths[row[-1]] / 2 - steps[-1]
    found, at = {}, 0
    for total, weight, count in blocks:
        offset = min(max(total / weight, least), most)
        for _ in range(int(count)):
            found[row[at]] = offset + steps[at]
            at += 1
    return found


def _straighten(
    order: Sequence[Sequence[Place]],
    layer: Mapping[str, int],
    widths: Mapping[Place, float],
    x: dict[Place, float],
    graph: Links,
) -> None:
    """Trunks run straight as far as their neighbours in each layer let them."""
    position = {place: at for row in order for at, place in enumerate(row)}
    for id in graph.items:
        slots = sorted((place for place in position if place[0] == id and place[1] != layer[id]), key=lambda p: p[1])
        run: list[Place] = []
        low, high = float("-inf"), float("inf")
        for slot in slots:
            left, right = _free(order[slot[1]], position[slot], widths, x)
            if run and max(low, left) > min(high, right):
                _set_run(run, low, high, x, layer)
                run, low, high = [], float("-inf"), float("inf")
            run.append(slot)
            low, high = max(low, left), min(high, right)
        _set_run(run, low, high, x, layer)


def _set_run(run: Sequence[Place], low: float, high: float, x: dict[Place, float], layer: Mapping[str, int]) -> None:
    """Put a run of slots at one place; under its own box's middle where that is free."""
    if not run:
        return
    id, at = run[0]
    own = x[id, at - 1]
    goal = own if low <= own <= high else sum(x[slot] for slot in run) / len(run)
    if layer[id] == at - 1 and not low <= own <= high:
        goal = own
    for slot in run:
        x[slot] = min(max(goal, low), high)


def _free(
    row: Sequence[Place], at: int, widths: Mapping[Place, float], x: Mapping[Place, float]
) -> tuple[float, float]:
    """Between which two places a slot may stand."""
    left = right = None
    if at > 0:
        left = x[row[at - 1]] + widths[row[at - 1]] / 2 + _GAP_SLOTS
    if at + 1 < len(row):
        right = x[row[at + 1]] - widths[row[at + 1]] / 2 - _GAP_SLOTS
    return (float("-inf") if left is None else left), (float("inf") if right is None else right)
