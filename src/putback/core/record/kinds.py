"""One idea: what can be recorded is one table, `EVENTS`; a kind and a field mean the same for ever.

A later program adds kinds and fields and never changes one. What this program does not know is kept and spoken of
(`strange`), never dropped.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from putback.core.finding import Finding, Kind, Where
from putback.core.operations import Verb
from putback.core.quantity import TORQUE_UNITS_NM
from putback.core.record.event import Event, is_id, is_time


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """What a field may hold, in words and as a test."""

    says: str
    fits: Callable[[Any], bool]


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_whole(value: Any) -> bool:
    """JSON has one kind of number: 4.0 and 4 are the same fact."""
    return _is_number(value) and value == int(value)


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and value != ""


def _is_torque(value: Any) -> bool:
    """`{value, unit, angle_deg}` as a plan writes it; the angle is a number, a list of them, null or left out."""
    if not isinstance(value, Mapping) or not set(value) <= {"value", "unit", "angle_deg"}:
        return False
    angle = value.get("angle_deg")
    angles = angle if isinstance(angle, list | tuple) else [] if angle is None else [angle]
    right = _is_number(value.get("value")) and value["value"] > 0 and value.get("unit") in TORQUE_UNITS_NM
    return right and all(_is_number(one) and one > 0 for one in angles)


def _is_reading(value: Any) -> bool:
    if not isinstance(value, Mapping) or not set(value) <= {"value", "unit", "points"}:
        return False
    return _is_number(value.get("value")) and _is_text(value.get("unit")) and _is_text(value.get("points", "-"))


def _list_of(fits: Callable[[Any], bool]) -> Callable[[Any], bool]:
    return lambda value: isinstance(value, list | tuple) and all(fits(one) for one in value)


def _one_of(*words: str) -> Shape:
    return Shape(says="one of " + ", ".join(words), fits=lambda value: value in words)


_AMOUNT = re.compile(r"-?(0|[1-9][0-9]{0,11})(\.[0-9]{1,4})?", re.ASCII)
_SHA256 = re.compile(r"[0-9a-f]{64}")
_MEDIA = re.compile(r"[a-z]+/[a-z0-9.+-]+")

TEXT = Shape(says="a text", fits=_is_text)
ID = Shape(says="an id", fits=is_id)
IDS = Shape(says="a list of ids", fits=_list_of(is_id))
TEXTS = Shape(says="a list of texts", fits=_list_of(_is_text))
COUNT = Shape(says="a whole number from 0", fits=lambda value: _is_whole(value) and value >= 0)
AMOUNT_OF = Shape(says="a number from 0", fits=lambda value: _is_number(value) and value >= 0)
MONEY = Shape(
    says='an amount as text, such as "1572.40"', fits=lambda value: _is_text(value) and bool(_AMOUNT.fullmatch(value))
)
TIME = Shape(says="a time with its offset", fits=is_time)
SHA256 = Shape(
    says="a SHA-256 as 64 hex digits", fits=lambda value: _is_text(value) and bool(_SHA256.fullmatch(value))
)
MEDIA = Shape(
    says="a media type, such as image/jpeg", fits=lambda value: _is_text(value) and bool(_MEDIA.fullmatch(value))
)
VERB = Shape(says="a verb of the list of operations", fits=lambda value: value in tuple(Verb))
TORQUE = Shape(says='a torque, such as {"value": 24, "unit": "N·m"}', fits=_is_torque)
READING = Shape(says='a reading, such as {"value": 0.4, "unit": "V", "points": "+ to -"}', fits=_is_reading)


@dataclass(frozen=True, slots=True, kw_only=True)
class EventKind:
    """One kind of event: what it says, the fields it must have and those it may have."""

    says: str
    must: Mapping[str, Shape] = field(default_factory=dict)
    may: Mapping[str, Shape] = field(default_factory=dict)


OPENED = "job opened"
DONE = "operation done"
TAKEN_BACK = "operation taken back"
CLOSED = "job closed"

EVENTS: Mapping[str, EventKind] = MappingProxyType(
    {
        OPENED: EventKind(
            says="a job began, on this car file and this plan",
            must={"car_file": TEXT, "car_sha256": SHA256, "wanted": TEXTS},
            may={"plan_sha256": SHA256, "complaint": TEXT},
        ),
        DONE: EventKind(
            says="one operation was done",
            must={"verb": VERB},
            may={
                "planned": COUNT,
                "item": TEXT,
                "joint": TEXT,
                "way": TEXT,
                "count": COUNT,
                "thread": TEXT,
                "torque": TORQUE,
                "torque_source": TEXT,
                "tool": TEXT,
                "stow": TEXT,
                "guard": TEXT,
                "energy": TEXT,
                "fluid": TEXT,
                "litres": AMOUNT_OF,
                "reading": READING,
                "note": TEXT,
            },
        ),
        TAKEN_BACK: EventKind(
            says="an operation was logged by a slip and was not done", must={"mends": ID}, may={"note": TEXT}
        ),
        "not as planned": EventKind(
            says="the car differs from its file",
            must={"what": _one_of("missing", "seized", "different", "one more", "one less", "other")},
            may={"item": TEXT, "joint": TEXT, "count": COUNT, "note": TEXT},
        ),
        "noted": EventKind(says="something worth a line", must={"note": TEXT}, may={"item": TEXT, "joint": TEXT}),
        "photo taken": EventKind(
            says="a photo was taken; its bytes are a file of their own",
            must={"sha256": SHA256, "bytes": COUNT, "media": MEDIA},
            may={"item": TEXT, "joint": TEXT, "finding": TEXT, "note": TEXT},
        ),
        "person came": EventKind(says="a person began to work on the job", must={"who": ID}, may={"note": TEXT}),
        "person left": EventKind(says="a person stopped working on the job", must={"who": ID}, may={"note": TEXT}),
        "gap ended": EventKind(
            says="work went on after a gap, and the last operations were asked again",
            must={"since": TIME},
            may={"asked": IDS, "note": TEXT},
        ),
        "finding seen": EventKind(
            says="something was found that may change the job",
            must={"finding": TEXT},
            may={"item": TEXT, "note": TEXT, "photos": TEXTS, "minutes": AMOUNT_OF, "amount": MONEY, "currency": TEXT},
        ),
        "answer given": EventKind(
            says="who may decide answered a finding",
            must={"finding": TEXT, "who": ID, "at": TIME, "channel": TEXT, "answer": _one_of("yes", "no")},
            may={"amount": MONEY, "currency": TEXT, "note": TEXT},
        ),
        "override given": EventKind(
            says="a named person let a gate that has an override be passed",
            must={"gate": TEXT, "who": ID, "reason": TEXT},
            may={"energy": TEXT, "item": TEXT},
        ),
        CLOSED: EventKind(says="the job ended", may={"note": TEXT}),
    }
)


def strange(event: Event) -> Iterator[Finding]:
    """What this program cannot make sense of: unknown kinds and fields are notes, wrong shapes are faults."""
    kind = EVENTS.get(event.kind)
    newer = "a newer program may have written it; it is kept as it is"
    for name in sorted(event.more):
        yield _said(event, name, f"field {name!r} is not known", newer, Kind.NOTE)
    if kind is None:
        yield _said(event, "kind", f"kind {event.kind!r} is not known", newer, Kind.NOTE)
        return
    shapes = {**kind.must, **kind.may}
    for name in kind.must:
        if event.body.get(name) is None:
            yield _said(event, name, f"{event.kind!r} says no {name}", "mend it by a later event", Kind.FAULT)
    for name, value in sorted(event.body.items()):
        if name not in shapes:
            yield _said(event, name, f"field {name!r} of {event.kind!r} is not known", newer, Kind.NOTE)
        elif value is not None and not shapes[name].fits(value):
            what = f"{value!r:.60} is not {shapes[name].says}"
            yield _said(event, name, what, "mend it by a later event", Kind.FAULT)


def _said(event: Event, name: str, what: str, mend: str, kind: Kind) -> Finding:
    where = Where(file=f"record {event.job}", field=f"{event.id}.{name}")
    return Finding(where=where, what=what, mend=mend, rule="event-shape", kind=kind)
