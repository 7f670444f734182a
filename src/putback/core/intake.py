"""One idea: what is asked before the work is a list in plain sight; what is missing is named, and waived by name.

The list is common practice, no source; local law on estimates and on old parts may ask for more. Nothing here blocks:
what is missing is asked once when the car is first taken apart.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from putback.core.record.event import Event
from putback.core.record.intake_kinds import (
    CAR_IDENTIFIED,
    COMPLAINT_TAKEN,
    KEYS_RECEIVED,
    KEYS_RETURNED,
    LAMPS_NOTED,
    ODOMETER_READ,
    OLD_PARTS_ASKED,
    OWNER_NAMED,
    PARTS_COMPARED,
    PARTS_SHELVED,
    RECALLS_ASKED,
    WAIVED,
)
from putback.core.record.kinds import OPENED, PHOTO_TAKEN, TAKEN_BACK, strange

KEYS: Mapping[str, str] = MappingProxyType(
    {"fobs": "keys and fobs in use", "spares": "spare keys and fobs", "phone_keys": "phones and cards"}
)
"""The kinds of key, by field: each one that can start the car is counted."""

VIEWS: Mapping[str, str] = MappingProxyType(
    {
        "front": "front",
        "rear": "rear",
        "left": "left side",
        "right": "right side",
        "roof": "roof",
        "inside": "inside",
        "dash": "dash, switched on",
    }
)
"""The walk-round, by `view` of a photo. Common practice, no source."""


class Given(StrEnum):
    """Where one thing that is asked for stands."""

    GIVEN = "given"
    WAIVED = "waived"
    MISSING = "missing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One thing that is asked for: its id, its name, where it stands, what was said or why it is waived.

    `who` is the id of the people's table that it names, or that waived it.
    """

    id: str
    name: str
    stands: Given
    says: str = ""
    who: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One thing that intake asks: by which kind of event it is given, its words, and the field that names a person."""

    id: str
    name: str
    kind: str
    words: Callable[[Event], str]
    who: str | None = None


def _keys(event: Event) -> str:
    return ", ".join(f"{name} {event.body[field]:g}" for field, name in KEYS.items())


def _lamps(event: Event) -> str:
    lamps = event.body["lamps"]
    return ", ".join(map(str, lamps)) if isinstance(lamps, Sequence) and lamps else "none lit"


def _field(name: str, more: str = "") -> Callable[[Event], str]:
    return lambda event: " · ".join(str(event.body[key]) for key in (name, more) if event.body.get(key))


POINTS: tuple[Point, ...] = (
    Point(id="identity", name="which car it is", kind=CAR_IDENTIFIED, words=_field("vin_end"), who="car"),
    Point(id="owner", name="who may sign and answer", kind=OWNER_NAMED, words=_field("as", "channel"), who="who"),
    Point(
        id="odometer",
        name="odometer",
        kind=ODOMETER_READ,
        words=lambda event: f"{event.body['value']:g} {event.body['unit']}",
    ),
    Point(id="complaint", name="complaint, in the owner's words", kind=COMPLAINT_TAKEN, words=_field("words")),
    Point(id="keys", name="keys counted", kind=KEYS_RECEIVED, words=_keys),
    Point(id="lamps", name="warning lamps on the dash", kind=LAMPS_NOTED, words=_lamps),
    Point(id="recalls", name="open recalls asked for", kind=RECALLS_ASKED, words=_field("open", "where")),
    Point(id="old-parts", name="wish to see the old parts", kind=OLD_PARTS_ASKED, words=_field("see")),
)
"""What intake asks beside the photos of the walk-round."""

VIEW_ID = "photo {}"


def standing(events: Iterable[Event]) -> tuple[Event, ...]:
    """The events that are well formed and were not taken back, in order."""
    listed = list(events)
    mended = {str(event.body.get("mends")) for event in listed if event.kind == TAKEN_BACK}
    return tuple(event for event in listed if event.id not in mended and not any(strange(event)))


def intake(events: Iterable[Event]) -> tuple[Line, ...]:
    """Everything that intake asks, with what was said last.

    Args:
        events: the record of a job, in order.
    """
    stand = standing(events)
    waived = _waived(stand, "intake")
    said: dict[str, tuple[str | None, str]] = {}
    for event in stand:
        for point in POINTS:
            if event.kind == point.kind:
                who = str(event.body[point.who]) if point.who else None
                said[point.id] = who, point.words(event)
        if event.kind == OPENED and event.body.get("complaint"):
            said["complaint"] = None, str(event.body["complaint"])
        if event.kind == PHOTO_TAKEN and event.body.get("view") in VIEWS:
            said[VIEW_ID.format(event.body["view"])] = None, "taken"
    names = {point.id: point.name for point in POINTS}
    names |= {VIEW_ID.format(view): f"photo: {name}" for view, name in VIEWS.items()}
    return tuple(_line(id, name, said.get(id), waived.get(id)) for id, name in names.items())


def _line(id: str, name: str, said: tuple[str | None, str] | None, waived: tuple[str, str] | None) -> Line:
    if said is not None:
        return Line(id=id, name=name, stands=Given.GIVEN, says=said[1], who=said[0])
    if waived is not None:
        return Line(id=id, name=name, stands=Given.WAIVED, says=waived[1], who=waived[0])
    return Line(id=id, name=name, stands=Given.MISSING)


def _waived(stand: Iterable[Event], of: str) -> dict[str, tuple[str, str]]:
    """What was waived, by whom and why."""
    return {
        str(event.body["what"]): (str(event.body["who"]), str(event.body["reason"]))
        for event in stand
        if event.kind == WAIVED and event.body["of"] == of and str(event.body["reason"]).strip()
    }


def missing(lines: Iterable[Line]) -> tuple[Line, ...]:
    """What is neither given nor waived."""
    return tuple(line for line in lines if line.stands is Given.MISSING)


def shelf(events: Iterable[Event], parts: Mapping[str, str]) -> tuple[Line, ...]:
    """The parts of a job, each on the shelf, waived or missing.

    Args:
        events: the record of a job, in order.
        parts: what the plan asks for: names by id.
    """
    stand = standing(events)
    seen = {part for event in stand if event.kind == PARTS_SHELVED for part in _texts(event, "parts")}
    waived = _waived(stand, "part")
    return tuple(
        _line(id, name, (None, "on the shelf") if id in seen else None, waived.get(id)) for id, name in parts.items()
    )


def _texts(event: Event, name: str) -> tuple[str, ...]:
    values = event.body[name]
    return tuple(map(str, values)) if isinstance(values, Sequence) else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """An old part held against the new one. `differs` names every difference; empty: none was seen."""

    item: str
    event: str
    differs: tuple[str, ...]
    says: str


def compared(events: Iterable[Event]) -> Mapping[str, Comparison]:
    """The last comparison of each item.

    Two lengths that are not equal are a difference whatever the verdict; a part number that differs is none by
    itself, for makers supersede them.
    """
    return MappingProxyType(
        {str(event.body["item"]): _comparison(event) for event in standing(events) if event.kind == PARTS_COMPARED}
    )


def _comparison(event: Event) -> Comparison:
    body = event.body
    differs = [name for name in ("ports", "seal") if body.get(name) == "different"]
    old, new = body.get("old_length_mm"), body.get("new_length_mm")
    if isinstance(old, int | float) and isinstance(new, int | float) and old != new:
        differs.append(f"length {old:g} mm against {new:g} mm")
    if body["same"] == "no" and not differs:
        differs.append(str(body.get("note") or "not the same"))
    looked = [f"{name.replace('_', ' ')} {body[name]}" for name in ("ports", "seal", "part_number") if body.get(name)]
    lengths = [
        f"{name} {value:g} mm" for name, value in (("old", old), ("new", new)) if isinstance(value, int | float)
    ]
    return Comparison(
        item=str(body["item"]), event=event.id, differs=tuple(differs), says=", ".join([*lengths, *looked])
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Keys:
    """Keys of one kind: how many came, and how many went back; None: not counted."""

    name: str
    came: int | None
    back: int | None


def keys(events: Iterable[Event]) -> tuple[Keys, ...]:
    """Keys in against keys out, by kind: what came in goes back."""
    stand = standing(events)
    last = {event.kind: event for event in stand if event.kind in (KEYS_RECEIVED, KEYS_RETURNED)}
    return tuple(
        Keys(name=name, came=_count(last.get(KEYS_RECEIVED), field), back=_count(last.get(KEYS_RETURNED), field))
        for field, name in KEYS.items()
    )


def _count(event: Event | None, field: str) -> int | None:
    value = event.body.get(field) if event else None
    return int(value) if isinstance(value, int | float) else None
