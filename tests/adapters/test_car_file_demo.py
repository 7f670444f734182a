"""Nothing of the demo file is lost: its counts are those of its description, every value is in the model.

The counts (items, joints, fasteners and so on) were computed outside this program when the demo car was invented.
The values are loaded a second time by ruamel.yaml (YAML 1.2), which knows nothing of the table of `car/1`.
"""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any

import pytest
from ruamel.yaml import YAML

from putback.adapters.car_file import demo_path, json_schema, read_car
from putback.core.car import Action, Car, Lift, Origin
from putback.core.quantity import Limit, Torque
from putback.core.thread import Thread


@pytest.fixture(scope="module")
def car() -> Car:
    found = read_car(demo_path()).car
    assert found is not None
    return found


def test_the_counts_of_its_description(car: Car) -> None:
    joints = list(car.joints())
    assert len(car.items) == 78
    assert sum(joint.count for joint in joints) == 171
    assert len(joints) == 58
    assert len(car.zones) == 10
    assert len(car.guards) == 14
    assert sum(guard.pieces + sum(guard.closes.values()) for guard in car.guards.values()) == 23
    assert [joint.id for joint in joints if joint.ways] == ["j53h", "j73h"]
    assert car.mass_kg == 1585


def test_its_only_finding_is_a_drain_plug_without_a_torque() -> None:
    told = read_car(demo_path()).findings
    assert [(finding.rule, finding.where.field) for finding in told] == [
        ("value-needed", "items.drain-oring.joints.jdR.torque")
    ]


def test_some_values_by_hand(car: Car) -> None:
    bolts = car.joint("j71")
    assert (bolts.item, bolts.count, bolts.one_time) == ("pump", 3, True)
    assert bolts.torque == Torque(value=12, unit="N·m", angles_deg=(90,))
    assert bolts.thread == Thread(text="M8x55", nominal="M8", length_mm=55)
    below = car.joint("j73h").way("below")
    assert (below.minutes_off, below.minutes_on, below.sight) == (7, 9, "blind")
    assert below.tools == ("socket-13", "extension-450", "universal-joint")
    drain = car.items["drain-washer"]
    assert (drain.action, drain.renew_with_fluids, drain.renew_with_items) == (Action.RENEW, ("engine",), ())
    assert car.items["pump-bolts"].renews_joint == "j71"
    assert car.energies["hv"].near == ("H",)
    assert car.energies["fuel"].joined == ("lv",)
    proof = car.energies["hv"].proof
    assert proof is not None
    assert (proof.at_most, proof.within_minutes, proof.reach) == (Limit(value=5, unit="V"), 10, ("undertray",))
    assert car.swing_limits["compressor"].facts["max_drop_mm"] == "120"
    assert car.services["thermostat-and-pump"].sublet == {"radar aim": 145}
    assert all(link.origin is Origin.STATED for item in car.items.values() for link in item.needs_off)
    assert all(zone.lift is Lift.ANY for zone in car.zones.values())


def test_lines_are_those_of_the_file(car: Car) -> None:
    lines = demo_path().read_text(encoding="utf-8").split("\n")
    for item in car.items.values():
        assert lines[item.line - 1] == f"  {item.id}:"
        assert all(f"id: {joint.id}," in lines[joint.line - 1] for joint in item.joints)
    for section in (car.energies, car.guards, car.fluids):
        assert all(lines[thing.line - 1].startswith(f"  {thing.id}:") for thing in section.values())


def written(value: Any) -> str:
    """A single value as it is compared: numbers as numbers."""
    return f"{value:g}" if isinstance(value, int | float) and not isinstance(value, bool) else str(value)


def leaves(value: Any) -> Iterator[str]:
    """Every single value in a loaded document, keys left out."""
    if isinstance(value, Mapping | list):
        for inner in value.values() if isinstance(value, Mapping) else value:
            yield from leaves(inner)
    else:
        yield written(value)


def keys(value: Any) -> Iterator[str]:
    """Every key in a loaded document."""
    if isinstance(value, Mapping):
        yield from value
    if isinstance(value, Mapping | list):
        for inner in value.values() if isinstance(value, Mapping) else value:
            yield from keys(inner)


def modelled(value: Any) -> Iterator[str]:
    """Every single value in the model, quantities as their source wrote them."""
    if isinstance(value, Torque | Limit):
        yield str(value)
    elif isinstance(value, Thread):
        yield value.text
    elif isinstance(value, Enum):
        yield str(value.value)
    elif is_dataclass(value):
        for field in fields(value):
            yield from modelled(getattr(value, field.name))
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            yield from modelled(key)
            yield from modelled(inner)
    elif isinstance(value, tuple):
        for inner in value:
            yield from modelled(inner)
    elif value is not None:
        yield written(value)


def test_every_value_of_the_file_is_in_the_model(car: Car) -> None:
    document = YAML(typ="safe", pure=True).load(demo_path().read_text(encoding="utf-8"))
    in_file, in_model = Counter(leaves(document)), Counter(modelled(car))
    del in_file["car/1"]  # the format itself
    in_file["engine"] += in_file.pop("fluid engine")  # kept as the name of the fluid
    assert {text: count for text, count in in_file.items() if count > in_model[text]} == {}


def test_every_key_of_the_file_is_a_name_in_the_model_or_of_the_format(car: Car) -> None:
    document = YAML(typ="safe", pure=True).load(demo_path().read_text(encoding="utf-8"))
    words = {name for group in json_schema()["$defs"].values() for name in group.get("properties", {})}
    known = words | set(json_schema()["properties"]) | set(modelled(car))
    assert set(keys(document)) - known == set()
