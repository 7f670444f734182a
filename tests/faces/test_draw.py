"""The pictures are checked as pictures: parsed as XML, measured, and followed line by line.

Sources: XML 1.0 as Python's own expat reads it; the links by brute force over all pairs; letter widths as `measure`
has them from DejaVu Sans 2.37.
"""

import itertools
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.adapters.car_file import demo_path, read_car, read_car_text
from putback.core.energy import needs_of
from putback.core.operations import ITEM_OFF, ON_THE_WAY_IN, Verb
from putback.faces.draw import in_the_way_svg, plan_svg, valley_svg
from putback.faces.draw.in_the_way.links import layers, links
from putback.faces.draw.levels import Shape, levels, renewals, torque_text
from putback.faces.draw.measure import width, wrap
from putback.plan.make import Settings, make_plan, wanted
from putback.plan.plan import Plan

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = "</text><script>alert(1)</script>&\"'<![CDATA["
LONG = "a very long name of a thing that somebody has typed in from the works drawing without ever stopping"


@cache
def demo() -> Plan:
    car = read_car(demo_path()).car
    assert car is not None
    plan = make_plan(car, wanted(car, ["thermostat-and-pump"]), settings=Settings())
    assert isinstance(plan, Plan)
    return plan


def car_text(count: int, *, name: str = "cover", zone: str = "bay") -> str:
    """A car without energies: item n hides n + 1, every third one the next but four as well."""
    quoted = f"'{name.replace(chr(39), chr(39) * 2)}'"
    lines = ["putback: car/1", "name: a test car", "zones:"]
    lines += [f"  Z{number}: '{zone.replace(chr(39), chr(39) * 2)} {number}'" for number in range(5)]
    lines += ["sources: {book: a book}", "items:"]
    for number in range(count):
        needs = [f"i{other}" for other in {number - 1 - number % 3, number - 5} if other >= 0]
        lines += [
            f"  i{number}:",
            f"    name: {quoted}",
            f"    zone: Z{number * 5 // count}",
            "    action: remove",
            f"    needs_off: [{', '.join(sorted(needs))}]",
            "    minutes: [1, 2]",
            f"    joints: [{{id: j{number}, count: {1 + number % 30}, thread: M6x20, drive: T30}}]",
        ]
    return "\n".join(lines) + "\n"


@cache
def other(count: int, name: str = "cover", zone: str = "bay") -> Plan:
    reading = read_car_text(car_text(count, name=name, zone=zone).encode(), "test.car.yaml")
    assert reading.car is not None, reading.findings
    everything = list(reading.car.items)[-3:]
    plan = make_plan(reading.car, wanted(reading.car, everything), settings=Settings(order_time_s=1.0))
    assert isinstance(plan, Plan)
    return plan


def renamed(plan: Plan, name: str) -> Plan:
    """The same plan of a car in which every thing has this name."""
    car = plan.car
    changed = replace(
        car,
        name=name,
        items={id: replace(item, name=f"{name} {id}") for id, item in car.items.items()},
        zones={id: replace(zone, name=name) for id, zone in car.zones.items()},
        energies={id: replace(energy, kind=name) for id, energy in car.energies.items()},
        guards={id: replace(guard, name=name) for id, guard in car.guards.items()},
    )
    lines = tuple(replace(line, energy=changed.energies[line.energy.id]) for line in plan.energies)
    service = replace(plan.service, name=name) if plan.service else None
    return replace(plan, car=changed, energies=lines, service=service)


Maker = Callable[[], Plan]
Draw = Callable[[Plan], str]


def valley_for_a_phone(plan: Plan) -> str:
    return valley_svg(plan, narrow=True)


PLANS: dict[str, Maker] = {
    "demo": demo,
    "demo, hostile names": lambda: renamed(demo(), HOSTILE + chr(7)),
    "demo, long names": lambda: renamed(demo(), LONG),
    "demo, one long word": lambda: renamed(demo(), "W" * 120),
    "three items": lambda: other(3),
    "one item": lambda: other(1),
    "two hundred items": lambda: other(200),
}
PICTURES: dict[str, Draw] = {
    "valley": valley_svg,
    "valley for a phone": valley_for_a_phone,
    "in the way": in_the_way_svg,
    "both": plan_svg,
}
ALL = [pytest.param(plan, draw, id=f"{a}-{b}") for a, plan in PLANS.items() for b, draw in PICTURES.items()]


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """A rectangle on the sheet."""

    left: float
    top: float
    right: float
    bottom: float
    says: str = ""

    def meets(self, other: "Area", least: float = 0.3) -> bool:
        across = min(self.right, other.right) - max(self.left, other.left)
        down = min(self.bottom, other.bottom) - max(self.top, other.top)
        return across > least and down > least


def elements(svg: str) -> Iterator[tuple[ET.Element, float, float]]:
    """Every element with how far the groups and sheets around it move it."""

    def walk(element: ET.Element, x: float, y: float) -> Iterator[tuple[ET.Element, float, float]]:
        move = re.fullmatch(r"translate\(([-0-9.]+) ([-0-9.]+)\)", element.get("transform", ""))
        if move:
            x, y = x + float(move[1]), y + float(move[2])
        if element.tag == f"{SVG}svg":
            x, y = x + float(element.get("x", "0")), y + float(element.get("y", "0"))
        yield element, x, y
        for child in element:
            yield from walk(child, x, y)

    yield from walk(ET.fromstring(svg), 0.0, 0.0)


def texts(svg: str) -> list[Area]:
    """The room of each text: capitals are 0.73 of the size high, tails 0.2 deep."""
    found = []
    for element, dx, dy in elements(svg):
        if element.tag != f"{SVG}text":
            continue
        size = float(element.attrib["font-size"])
        wide = width(element.text or "", size, bold="font-weight" in element.attrib)
        x = dx + float(element.attrib["x"])
        x -= {"start": 0.0, "middle": wide / 2, "end": wide}[element.get("text-anchor", "start")]
        y = dy + float(element.attrib["y"])
        found.append(Area(left=x, right=x + wide, top=y - 0.73 * size, bottom=y + 0.2 * size, says=element.text or ""))
    return found


def boxes(svg: str) -> list[Area]:
    """The items' boxes of the second picture."""
    found = []
    for element, dx, dy in elements(svg):
        if element.tag == f"{SVG}rect" and element.get("class") == "fill-paper line-ink":
            x, y = dx + float(element.attrib["x"]), dy + float(element.attrib["y"])
            right, bottom = x + float(element.attrib["width"]), y + float(element.attrib["height"])
            found.append(Area(left=x, top=y, right=right, bottom=bottom))
    return found


Point = tuple[float, float]


def strokes(steps: str) -> list[list[Point]]:
    """The straight pieces of each part of a path made of M, L, H, V and Q; a curve is its two sides."""
    parts: list[list[Point]] = []
    x = y = 0.0
    for letter, figures in re.findall(r"([MLHVQ])([-0-9. ]*)", steps):
        values = [float(value) for value in figures.split()]
        if letter == "H":
            points = [(values[0], y)]
        elif letter == "V":
            points = [(x, values[0])]
        else:
            points = list(zip(values[::2], values[1::2], strict=True))
        if letter == "M":
            parts.append([])
        parts[-1] += points
        x, y = points[-1]
    return parts


def edges(svg: str) -> list[list[Point]]:
    """The lines between boxes: every branch from where it starts to where it ends."""
    found = []
    for element, dx, dy in elements(svg):
        steps = element.get("d", "")
        if element.tag == f"{SVG}path" and element.get("class", "").startswith("line ") and "V" in steps:
            found += [[(x + dx, y + dy) for x, y in part] for part in strokes(steps)]
    return found


@pytest.mark.parametrize(("plan", "draw"), ALL)
def test_is_well_formed_and_says_what_it_is(plan: Maker, draw: Draw) -> None:
    svg = draw(plan())
    root = ET.fromstring(svg)
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    assert root.findtext(f"{SVG}title")
    assert root.findtext(f"{SVG}desc")
    assert not [element for element, _, _ in elements(svg) if "script" in element.tag.lower()]


@pytest.mark.parametrize(("plan", "draw"), ALL)
def test_no_text_meets_another_or_leaves_the_sheet(plan: Maker, draw: Draw) -> None:
    svg = draw(plan())
    wide, high = map(float, ET.fromstring(svg).attrib["viewBox"].split()[2:])
    found = texts(svg)
    for area in found:
        assert area.left >= 0, area
        assert area.right <= wide, area
        assert area.top >= 0, area
        assert area.bottom <= high, area
    found.sort(key=lambda area: area.top)
    for place, area in enumerate(found):
        for later in found[place + 1 :]:
            if later.top >= area.bottom:
                break
            assert not area.meets(later), (area, later)


def test_the_overlap_check_can_fail() -> None:
    one = Area(left=0, right=10, top=0, bottom=10)
    assert one.meets(Area(left=9, right=12, top=9, bottom=12))
    assert not one.meets(Area(left=11, right=12, top=0, bottom=12))


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_no_line_runs_through_a_box(plan: Maker) -> None:
    svg = in_the_way_svg(plan())
    cores = [
        replace(box, left=box.left + 0.6, top=box.top + 0.6, right=box.right - 0.6, bottom=box.bottom - 0.6)
        for box in boxes(svg)
    ]
    assert len(cores) == len(plan().items)
    for edge in edges(svg):
        for (x1, y1), (x2, y2) in itertools.pairwise(edge):
            piece = Area(left=min(x1, x2), right=max(x1, x2), top=min(y1, y2), bottom=max(y1, y2))
            hit = [box for box in cores if piece.meets(replace(box), least=-1e-9)]
            assert not hit, (piece, hit)


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_no_two_boxes_meet(plan: Maker) -> None:
    for one, two in itertools.combinations(boxes(in_the_way_svg(plan())), 2):
        assert not one.meets(two)


def reached_by_lines(svg: str, count: int) -> set[tuple[int, int]]:
    """Pairs of boxes that the drawn lines join, followed from a box's lower edge to another's upper edge."""
    all_boxes = boxes(svg)
    assert len(all_boxes) == count
    starts: dict[tuple[int, int], list[list[Point]]] = {}
    for edge in edges(svg):
        starts.setdefault((round(edge[0][0] * 5), round(edge[0][1])), []).append(edge)

    def near(point: Point) -> list[list[Point]]:
        keys = [(round(point[0] * 5) + dx, round(point[1]) + dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1)]
        return [edge for key in keys for edge in starts.get(key, [])]

    pairs = set()
    for number, box in enumerate(all_boxes):
        left = [
            edge for edge in edges(svg) if box.left < edge[0][0] < box.right and abs(edge[0][1] - box.bottom) < 0.3
        ]
        seen: set[Point] = set()
        while left:
            end = left.pop()[-1]
            if end in seen:
                continue
            seen.add(end)
            goal = [
                at for at, one in enumerate(all_boxes) if one.left < end[0] < one.right and abs(end[1] - one.top) < 0.3
            ]
            if goal:
                pairs.add((number, goal[0]))
            else:
                left += near(end)
    return pairs


@pytest.mark.parametrize("plan", [demo, lambda: other(60)], ids=["demo", "sixty items"])
def test_lines_join_exactly_what_is_directly_in_the_way(plan: Maker) -> None:
    """By brute force: what is drawn leads to everything that the file states, and nothing drawn can be spared."""
    made = plan()
    items = [id for id in made.car.items if id in set(made.items)]
    number = {id: at for at, id in enumerate(items)}
    stated = {
        (number[need], number[id])
        for id in items
        for need in needs_of(made.car, id, dict(made.ways))
        if need in number
    }
    drawn = reached_by_lines(in_the_way_svg(made), len(items))
    assert closure(drawn, len(items)) == closure(stated, len(items))
    for pair in drawn:
        assert pair not in closure(drawn - {pair}, len(items))


def closure(pairs: set[tuple[int, int]], count: int) -> set[tuple[int, int]]:
    """Warshall's algorithm, with sets (J. ACM 9 (1962) 11)."""
    after = [{b for a, b in pairs if a == start} for start in range(count)]
    for middle in range(count):
        for start in range(count):
            if middle in after[start]:
                after[start] |= after[middle]
    return {(start, end) for start in range(count) for end in after[start]}


def test_layers_go_down_and_hold_at_most_what_they_may() -> None:
    for plan in (demo(), other(200)):
        graph = links(plan)
        layer = layers(graph, 7)
        assert all(layer[above] < layer[below] for above in graph.items for below in graph.below[above])
        assert max(sum(at == one for one in layer.values()) for at in layer.values()) <= 7


@pytest.mark.parametrize("draw", PICTURES.values(), ids=PICTURES)
def test_same_plan_same_bytes(draw: Draw) -> None:
    assert draw(demo()) == draw(demo())


def test_asks_nobody_for_anything() -> None:
    svg = plan_svg(demo())
    assert "url(" not in svg
    assert "href" not in svg
    assert set(re.findall(r"https?://[^\"' ]+", svg)) == {"http://www.w3.org/2000/svg"}


def test_is_light_on_paper_and_dark_where_the_screen_asks() -> None:
    svg = valley_svg(demo())
    assert "@media screen and (prefers-color-scheme:dark)" in svg
    assert "@media print" in svg


def test_every_item_taken_off_has_one_level_with_its_own_twin() -> None:
    plan = demo()
    rows = levels(plan)
    by_number = {operation.n: operation for operation in plan.operations}
    taken = [operation.n for operation in plan.operations if operation.verb in ITEM_OFF]
    assert [row.way_in for row in rows if by_number[row.way_in].verb in ITEM_OFF] == taken
    assert len({row.way_in for row in rows}) == len(rows)
    for row in rows:
        assert by_number[row.way_in].verb in ON_THE_WAY_IN
        assert by_number[row.way_in].twin == row.way_back


def test_levels_count_what_the_demo_counts() -> None:
    """147 fasteners, 16 connectors, 10 one-time parts: computed independently of the project, by hand.

    23 guard pieces and 9 energies: counted in the demo's car file by hand.

    The two drain plugs have no level of their own; they lie among the one-time parts at the floor.
    """
    plan = demo()
    rows = levels(plan)
    assert sum(row.fasteners for row in rows) + 2 == 147
    assert sum(row.guards for row in rows) == 23
    assert sum(row.shape is Shape.SAFE for row in rows) == 9
    assert sum(row.shape is Shape.UNPLUGGED for row in rows) == 16
    assert [one.item for one in renewals(plan) if one.target] == ["pump", "housing", "thermostat"]
    assert len([one for one in renewals(plan) if not one.target]) == 10


def test_done_twins_are_joined_by_whole_lines() -> None:
    plan = demo()
    owed = valley_svg(plan)
    done = valley_svg(plan, done=frozenset(operation.n for operation in plan.operations))
    assert owed.count('stroke-dasharray="2 4"') > 60
    assert 'stroke-dasharray="2 4"' not in done
    half = frozenset(range(1, max(row.way_in for row in levels(plan)) + 1))
    rows = levels(plan, half)
    assert all(row.off for row in rows)
    assert not any(row.back for row in rows)


def test_a_level_is_back_only_when_its_joints_are_tight() -> None:
    plan = demo()
    fit = next(
        operation for operation in plan.operations if operation.verb is Verb.FIT and operation.item == "housing"
    )
    until_fit = frozenset(range(1, fit.n + 1))
    assert not next(row for row in levels(plan, until_fit) if row.item == "housing").back
    tight = max(op.n for op in plan.operations if op.verb is Verb.TIGHTEN and op.item == "housing")
    assert next(row for row in levels(plan, frozenset(range(1, tight + 1))) if row.item == "housing").back


def test_a_missing_value_is_said_in_words() -> None:
    assert torque_text([None]) == "value needed"
    assert "value needed" in valley_svg(demo())


@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=80), st.floats(30, 300))
def test_wrapped_lines_fit_and_lose_nothing(words: str, limit: float) -> None:
    rows = wrap(words, 12, limit)
    assert "".join("".join(rows).split()) == "".join(words.split())
    assert all(width(row, 12) <= limit for row in rows)
