"""The page is checked as a browser would take it: parsed, its policy read, its text searched.

Sources: HTML as Python's own parser reads it; the demo's figures as computed independently of the project.
"""

import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser

import pytest

from putback.adapters.car_file import demo_path, read_car, read_car_text
from putback.faces.page import plan_page
from putback.plan.make import Settings, make_plan, wanted
from putback.plan.plan import Plan

HOSTILE = "</style><script>alert(1)</script><img src=x onerror=alert(1)>&\"' {{ 7 * 7 }}"
SMALL = """\
putback: car/1
name: a test car
zones: {A: bay}
items:
  cover: {name: cover, zone: A, action: remove, minutes: [1, 2]}
  pump:
    name: pump
    zone: A
    action: remove
    minutes: [3, 4]
    needs_off: [cover]
    joints: [{id: j1, count: 2, thread: M6x20, drive: T30, torque: 9 N·m}]
"""
VOID = {"meta", "br", "img", "link", "hr", "input"}


@cache
def demo() -> Plan:
    car = read_car(demo_path()).car
    assert car is not None
    plan = make_plan(car, wanted(car, ["thermostat-and-pump"]), settings=Settings(lift_limit_mm=40.0))
    assert isinstance(plan, Plan)
    return plan


@cache
def small() -> Plan:
    reading = read_car_text(SMALL.encode(), "test.car.yaml")
    assert reading.car is not None, reading.findings
    plan = make_plan(reading.car, wanted(reading.car, ["pump"]), settings=Settings())
    assert isinstance(plan, Plan)
    return plan


def hostile() -> Plan:
    """The demo with a hostile text wherever a car file may hold text."""
    plan = demo()
    car = replace(
        plan.car,
        name=HOSTILE,
        layout=HOSTILE,
        sources=dict.fromkeys(plan.car.sources, HOSTILE),
        items={id: replace(item, name=HOSTILE) for id, item in plan.car.items.items()},
        zones={id: replace(zone, name=HOSTILE) for id, zone in plan.car.zones.items()},
        guards={id: replace(guard, name=HOSTILE) for id, guard in plan.car.guards.items()},
        energies={
            id: replace(energy, kind=HOSTILE, make_safe=HOSTILE, who=HOSTILE, lock=HOSTILE, forbid=(HOSTILE,))
            for id, energy in plan.car.energies.items()
        },
    )
    assert plan.service is not None
    return replace(
        plan,
        car=car,
        service=replace(plan.service, name=HOSTILE),
        energies=tuple(replace(line, energy=car.energies[line.energy.id]) for line in plan.energies),
        operations=tuple(replace(operation, note=HOSTILE) for operation in plan.operations),
        left_on=dict.fromkeys(plan.left_on, HOSTILE),
        guards=tuple(replace(line, name=HOSTILE) for line in plan.guards),
        parts=tuple(replace(line, name=HOSTILE) for line in plan.parts),
    )


class Seen(HTMLParser):
    """Everything that a browser would act upon."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str, str]] = []
        self.open: list[str] = []
        self.text: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] != "style":
            self.text.append(data)

    @property
    def words(self) -> str:
        return " ".join(" ".join(self.text).split())


PLANS = {"demo": demo, "hostile": hostile, "small": small}


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_every_tag_is_closed_and_none_acts(plan: Callable[[], Plan]) -> None:
    seen = Seen(plan_page(plan()))
    assert not seen.open
    assert not {"script", "img", "iframe", "object", "embed", "link", "form", "base"} & set(seen.tags)
    assert not [one for one in seen.attributes if one[1].startswith("on") or one[1] in {"src", "srcdoc", "action"}]
    links = [value for _, name, value in seen.attributes if name in {"href", "xlink:href"}]
    assert links
    assert all(value.startswith("#") for value in links)


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_links_lead_to_places_on_the_page(plan: Callable[[], Plan]) -> None:
    seen = Seen(plan_page(plan()))
    ids = [value for _, name, value in seen.attributes if name == "id"]
    assert len(ids) == len(set(ids))
    assert {value[1:] for _, name, value in seen.attributes if name == "href"} <= set(ids)


def test_hostile_text_is_shown_as_text() -> None:
    page = plan_page(hostile())
    assert "{{ 7 * 7 }}" in Seen(page).words
    assert "<script" not in page
    assert "onerror=alert(1)>" not in page


def test_policy_forbids_everything_from_elsewhere() -> None:
    page = plan_page(demo())
    assert "default-src 'none'; style-src 'unsafe-inline'" in page
    assert set(re.findall(r"https?://[^\"' <]+", page)) == {"http://www.w3.org/2000/svg"}
    assert "url(" not in page
    assert "@import" not in page


def test_is_the_same_twice() -> None:
    assert plan_page(demo()) == plan_page(demo())


@pytest.mark.parametrize(
    "words",
    [
        "72 of 78",
        "131 + 191 = 322",
        "147",
        "1435.40",
        "1572.40",
        "46.5 kg come off the car.",
        "moves 49 mm rearward",
        "it is 59 mm",
        "330 min",
        "335 min",
        "343 min",
        "value needed",
        "23 pieces in, 23 to come out",
        "10 one-time",
        "length trap: keep apart",
        "Your own limit is 40 mm.",
        "Invented vehicle: no value may be used on a real one.",
        "licensed people decide",
    ],
)
def test_says_what_the_demo_is_known_by(words: str) -> None:
    """Figures computed independently of the project, by hand-written set arithmetic."""
    assert words in Seen(plan_page(demo())).words


@pytest.mark.parametrize(
    ("minutes", "name"), [("289.5", "housing gasket"), ("239", "elbow gasket"), ("43.5", "shutter connector")]
)
def test_rework_minutes_stand_beside_what_is_forgotten(minutes: str, name: str) -> None:
    """Minutes computed independently of the project, by hand."""
    assert f"{minutes} {name}" in Seen(plan_page(demo())).words


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_gives_no_verdict(plan: Callable[[], Plan]) -> None:
    words = Seen(plan_page(plan())).words.lower()
    assert "compliant" not in words
    assert not re.search(r"(?<!make )(?<!made )\bsafe\b(?! ?:)", words.replace("making safe", ""))


def test_a_car_that_is_not_invented_says_nothing_of_it() -> None:
    assert "invented" not in Seen(plan_page(small())).words.lower()


def test_a_torque_without_source_is_a_value_needed() -> None:
    words = Seen(plan_page(small())).words
    assert "value needed" in words
    assert "9 N·m" not in words


def test_every_operation_is_listed_once_with_its_twin() -> None:
    plan = demo()
    page = plan_page(plan)
    table = page[page.index('<section id="operations">') :]
    rows = re.findall(r'data-head="n">(\d+)</td>.*?data-head="twin">(\d*)</td>', table, flags=re.S)
    assert rows == [(str(operation.n), str(operation.twin or "")) for operation in plan.operations]


def test_everything_left_on_has_its_reason() -> None:
    plan = demo()
    words = Seen(plan_page(plan)).words
    assert plan.left_on
    for id, why in plan.left_on.items():
        assert f"{plan.car.items[id].name} {why}" in words
