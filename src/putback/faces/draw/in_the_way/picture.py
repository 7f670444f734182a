"""One idea: from the outside of the car at the top to the targets at the bottom, a box hides what hangs below it.

Energies stand in a row of their own above all; a box that asks for one carries its number. Items left on stand
beneath, with the reason.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from putback.core.car import Action
from putback.faces.draw.in_the_way.links import Links, layers, links
from putback.faces.draw.in_the_way.places import Places, places
from putback.faces.draw.in_the_way.routes import Net, Routes, routes
from putback.faces.draw.ink import at, box, dot, group, line, number, path, sheet, text
from putback.faces.draw.marks import diamond
from putback.faces.draw.measure import width, wrap
from putback.faces.draw.valley.words import heading
from putback.faces.names import energy_name
from putback.plan.plan import Plan

WIDE = 1160.0
_MARGIN = 28.0
_BOX = 122.0
_MOST = 7
_NAME = 11.0
_SMALL = 9.5
_LINE = 13.0
_PAD = 8.0
_TRACK = 7.0
_GAP = 15.0
_SIGN = 15.0
_SIGNS_IN_ROW = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class _Card:
    """The lines of text of a box: its name, then its zone and the way that reaches one of its joints."""

    item: str
    names: tuple[str, ...]
    small: tuple[str, ...]
    energies: tuple[int, ...]

    @property
    def high(self) -> float:
        """Height of the box."""
        return 2 * _PAD + _LINE * len(self.names) + 11.5 * len(self.small) - 4


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawing:
    """Everything with its height on the sheet. `tops` and `highs` are those of the layers."""

    plan: Plan
    graph: Links
    spots: Places
    routes: Routes
    cards: Mapping[str, _Card]
    left: float
    tops: tuple[float, ...]
    highs: tuple[float, ...]


def in_the_way_svg(plan: Plan, *, inside: tuple[float, float] | None = None) -> str:
    """What is in the way of what, from the outside of the car down to the targets.

    Args:
        plan: the plan.
        inside: upper left corner in a bigger sheet; None: a file of its own.
    """
    graph = links(plan)
    spots = places(graph, layers(graph, _MOST), box=_BOX, wide=WIDE - 2 * _MARGIN)
    wide = max(WIDE, spots.wide + 2 * _MARGIN)
    head, y = _heading(wide)
    safe, y = _energies(plan, wide, y)
    drawing = _drawing(plan, graph, spots, y + 18)
    parts = [*head, *safe]
    parts += [_net(drawing, net) for net in drawing.routes.nets]
    parts += _joins(drawing)
    parts += [_box(drawing, id) for id in graph.items]
    bottom = drawing.tops[-1] + drawing.highs[-1]
    below, bottom = _below(plan, wide, bottom + 44)
    return sheet(
        [*parts, *below],
        wide=wide,
        high=bottom + _MARGIN,
        title=f"What is in the way of what: {heading(plan).title}",
        says=f"{len(graph.items)} items in {len(spots.order)} layers; {len(plan.left_on)} items are left on.",
        inside=inside,
    )


def _heading(wide: float) -> tuple[list[str], float]:
    y = _MARGIN + 16
    parts = [text(_MARGIN, y, "What is in the way of what", size=20, bold=True)]
    y += 22
    words = (
        "From the outside of the car at the top to the work at the bottom. A box must be off, unplugged, parted, aside"
        " or folded before what hangs below it can be reached; links that follow from others are left out."
    )
    for row in wrap(words, 12, wide - 2 * _MARGIN):
        parts.append(text(_MARGIN, y, row, size=12, tone="text-quiet"))
        y += 16
    return parts, y


def _energies(plan: Plan, wide: float, y: float) -> tuple[list[str], float]:
    """Each energy as a hexagon with its number, in rows that fit."""
    if not plan.energies:
        return [], y
    y += 16
    parts = [text(_MARGIN, y, "made safe before all other work", size=_SMALL, tone="text-quiet")]
    y += 22
    x = _MARGIN
    for place, energy_line in enumerate(plan.energies, start=1):
        energy = energy_line.energy
        by = f", by {plan.car.items[energy.item].name}" if energy.item else ""
        rows = wrap(f"{energy_name(plan, energy.id)}{by}", _NAME, wide - 2 * _MARGIN - 60)
        need = 24 + max(width(row, _NAME) for row in rows) + 26
        if x > _MARGIN and x + need > wide - _MARGIN:
            x, y = _MARGIN, y + 24
        parts.append(_hexagon(x + 9, y - 4, place, radius=9))
        for row, words in enumerate(rows):
            parts.append(text(x + 24, y + row * _LINE, words, size=_NAME))
        y += (len(rows) - 1) * _LINE
        x += need
    return parts, y + 12


def _hexagon(x: float, y: float, number_: int, *, radius: float = 7.0) -> str:
    r, h = radius, radius * 0.8
    shape = f"M{number(x - r)} {number(y)}l{number(r / 2)} -{number(h)}h{number(r)}l{number(r / 2)} {number(h)}"
    shape += f"l-{number(r / 2)} {number(h)}h-{number(r)}z"
    size = radius * 1.15 if number_ < 10 else radius * 0.95
    words = text(x, y + size * 0.36, str(number_), size=size, anchor="middle")
    return path(shape, tone="fill-paper line-ink", thick=1.1) + words


def _drawing(plan: Plan, graph: Links, spots: Places, top: float) -> _Drawing:
    """Heights of the layers, with the tracks between them."""
    numbers = {line.energy.id: place for place, line in enumerate(plan.energies, start=1)}
    cards = {id: _card(plan, id, numbers) for id in graph.items}
    found = routes(graph, spots)
    tops, highs = [], []
    y = top
    for place, row in enumerate(spots.order):
        high = max(cards[id].high for id, layer in row if spots.layer[id] == layer)
        tops.append(y)
        highs.append(high)
        y += high + 2 * _GAP + (_TRACK * max(found.tracks[place] - 1, 0) if place < len(found.tracks) else 0)
    wide = max(WIDE, spots.wide + 2 * _MARGIN)
    return _Drawing(
        plan=plan,
        graph=graph,
        spots=spots,
        routes=found,
        cards=cards,
        left=(wide - spots.wide) / 2,
        tops=tuple(tops),
        highs=tuple(highs),
    )


def _card(plan: Plan, id: str, numbers: Mapping[str, int]) -> _Card:
    item = plan.car.items[id]
    energies = tuple(sorted(numbers[energy] for energy in plan.car.energies_of(item) if energy in numbers))
    zone = plan.car.zones[item.zone].name if item.zone in plan.car.zones else item.zone
    signs = _SIGN * min(len(energies), _SIGNS_IN_ROW)
    mark_ = 14 if item.action is Action.RENEW else 0
    bold = id in plan.targets
    small = list(wrap(zone, _SMALL, _BOX - 2 * _PAD))
    if signs and width(small[-1], _SMALL) + 4 + signs > _BOX - 2 * _PAD:
        small.append("")
    small += [""] * ((len(energies) - 1) // _SIGNS_IN_ROW)
    ways = [f"{joint.id}: {plan.ways[joint.id]}" for joint in item.joints if joint.id in plan.ways]
    for way in ways:
        small = [*wrap(way, _SMALL, _BOX - 2 * _PAD - 12), *small]
    return _Card(
        item=id,
        names=wrap(item.name, _NAME, _BOX - 2 * _PAD - mark_, bold=bold),
        small=tuple(small),
        energies=energies,
    )


def _net(drawing: _Drawing, net: Net) -> str:
    """The line of one item between two layers, its corners rounded."""
    tone = "line line-hair"
    left = drawing.left
    start_y, track_y, goal_y = _heights(drawing, net)
    steps = []
    for x, _ in net.goals:
        steps.append(_branch(left + net.start, start_y, track_y, left + x, goal_y))
    by_way = any((net.item, item) in drawing.graph.by_way for _, item in net.goals)
    return path("".join(steps), tone="line line-ink" if by_way else tone, thick=1.8 if by_way else 1.1)


def _heights(drawing: _Drawing, net: Net) -> tuple[float, float, float]:
    """Where a net starts, runs level and ends."""
    own = drawing.spots.layer[net.item] == net.at
    start = drawing.tops[net.at] + (drawing.cards[net.item].high if own else 0.0)
    track = drawing.tops[net.at] + drawing.highs[net.at] + _GAP + _TRACK * (net.track or 0)
    return start, track, drawing.tops[net.at + 1]


def _branch(x1: float, y1: float, level: float, x2: float, y2: float) -> str:
    """Down, level, down."""
    if abs(x2 - x1) < 0.5:
        return f"M{at(x1, y1)}V{number(y2)}"
    r = min(4.0, abs(x2 - x1) / 2)
    way = 1 if x2 > x1 else -1
    first = f"M{at(x1, y1)}V{number(level - r)}Q{at(x1, level)} {at(x1 + way * r, level)}"
    return f"{first}H{number(x2 - way * r)}Q{at(x2, level)} {at(x2, level + r)}V{number(y2)}"


def _joins(drawing: _Drawing) -> Iterator[str]:
    """A dot where a line branches, so that a branch is not taken for two lines that cross."""
    for net in drawing.routes.nets:
        if net.track is None or len(net.goals) < 2:
            continue
        _, level, _ = _heights(drawing, net)
        low, high = net.ends
        last = low
        for x in sorted({x for x, _ in net.goals} | {net.start}):
            if last + 4 < x < high - 4:
                yield dot(drawing.left + x, level, 1.9, tone="fill-ink")
                last = x


def _box(drawing: _Drawing, id: str) -> str:
    plan, card = drawing.plan, drawing.cards[id]
    item = plan.car.items[id]
    layer = drawing.spots.layer[id]
    x = drawing.left + drawing.spots.x[id, layer] - _BOX / 2
    y = drawing.tops[layer]
    parts = []
    if id in plan.targets:
        parts.append(box(x - 3, y - 3, _BOX + 6, card.high + 6, tone="fill-paper line-accent", thick=1.2, round_=3))
    parts.append(box(x, y, _BOX, card.high, tone="fill-paper line-ink", thick=1.1, round_=2))
    parts += _card_words(card, x, y, new=item.action is Action.RENEW, target=id in plan.targets)
    hides = ", ".join(plan.car.items[other].name for other in drawing.graph.below[id])
    return group(parts, says=f"{item.name}: {item.action}; in the way of {hides or 'nothing else'}")


def _card_words(card: _Card, x: float, y: float, *, new: bool, target: bool) -> Iterator[str]:
    """What stands in a box: the name, the zone, the energies by number."""
    base = y + _PAD + 8
    if new:
        yield diamond(x + _PAD + 4, base - 4)
    for words in card.names:
        tone = "text-accent" if target else "text"
        yield text(x + _PAD + (14 if new else 0), base, words, size=_NAME, tone=tone, bold=target)
        base += _LINE
    base -= 1.5
    for words in card.small:
        yield text(x + _PAD, base, words, size=_SMALL, tone="text-quiet")
        base += 11.5
    rows = [card.energies[at : at + _SIGNS_IN_ROW] for at in range(0, len(card.energies), _SIGNS_IN_ROW)]
    for place, row in enumerate(reversed(rows)):
        signs = x + _BOX - _PAD - _SIGN * len(row) + _SIGN / 2 + 4
        for step, n in enumerate(row):
            yield _hexagon(signs + _SIGN * step, base - 15 - 11.5 * place, n, radius=6.5)


def _below(plan: Plan, wide: float, y: float) -> tuple[list[str], float]:
    """The ways that were chosen, and the items left on with the reason."""
    limit = (wide - 3 * _MARGIN) / 2
    parts: list[str] = []
    bottom, x = y, _MARGIN
    for title, lines in (_ways_text(plan), _left_on_text(plan)):
        if lines:
            column, end = _column(title, lines, limit, x, y)
            parts += column
            bottom = max(bottom, end)
            x += limit + _MARGIN
    if not parts:
        return [], y - 44
    return [line(_MARGIN, y - 24, wide - _MARGIN, y - 24, tone="line-hair", thick=0.8), *parts], bottom


def _column(title: str, lines: Sequence[tuple[str, str]], limit: float, x: float, y: float) -> tuple[list[str], float]:
    """A list under its title: each a line, and its reason below it."""
    parts = [text(x, y, title, size=_NAME, bold=True)]
    y += 20
    for first, rest in lines:
        for row in wrap(first, _NAME, limit):
            parts.append(text(x, y, row, size=_NAME))
            y += _LINE
        for row in wrap(rest, _NAME - 1, limit - 12):
            parts.append(text(x + 12, y, row, size=_NAME - 1, tone="text-quiet"))
            y += _LINE
        y += 5
    return parts, y - 10


def _ways_text(plan: Plan) -> tuple[str, Sequence[tuple[str, str]]]:
    lines = []
    for joint_id, way_id in plan.ways.items():
        joint = plan.car.joint(joint_id)
        others = [way for way in joint.ways if way.id != way_id]
        names = [
            f"{way.id} ({', '.join(plan.car.items[link.item].name for link in way.needs_off) or 'nothing more off'})"
            for way in others
        ]
        first = f"{joint_id} of {plan.car.items[joint.item].name}: {way_id}"
        lines.append((first, f"not taken: {'; '.join(names)}" if names else ""))
    return "Ways taken to joints with more than one", lines


def _left_on_text(plan: Plan) -> tuple[str, Sequence[tuple[str, str]]]:
    return "Left on", [(plan.car.items[id].name, why) for id, why in plan.left_on.items() if id in plan.car.items]
