"""One idea: a record is read by people: every event is one line in the words of the car file."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from putback.bay import Pack
from putback.core.gates import Case
from putback.core.gates.consent import matter_name
from putback.core.record import Event


def thing(pack: Pack, body: Mapping[str, Any]) -> str:
    """The name of what an operation is done to."""
    item = name_of(pack, body.get("item"))
    if guard := body.get("guard"):
        name = pack["guards"].get(guard, guard)
        return f"{name}, at {item}" if item else str(name)
    if body.get("energy") and not body.get("fluid"):
        energy = pack["energies"].get(body["energy"], {"name": body["energy"]})
        return str(energy["name"])
    if body.get("fluid"):
        return f"{body['fluid']} fluid"
    return item


def name_of(pack: Pack, id: Any) -> str:
    """The name of an item; the id itself where the plan has none."""
    return str(pack["items"].get(id, {"name": id or ""})["name"])


def said(pack: Pack, event: Event, *, case: Case) -> str:
    """What an event says, in one line, with the names of car file and people."""
    body = event.body
    if event.kind == "operation done":
        return _operation(pack, body)
    parts = [thing(pack, body)] if body.get("item") else []
    for name, value in body.items():
        if name not in ("item", "car_sha256", "plan_sha256", "sha256", "steady_s") and value is not None:
            words = _short(_named(case, name, value))
            parts.append(words if name in ("note", "finding", "what") else f"{name.replace('_', ' ')} {words}")
    return " · ".join(parts)


def _operation(pack: Pack, body: Mapping[str, Any]) -> str:
    parts = [f"{body.get('verb', '')} {thing(pack, body)}".strip()]
    if body.get("count") is not None:
        parts.append(f"{body['count']} × {body.get('thread') or 'piece'}")
    torque = body.get("torque")
    if isinstance(torque, Mapping):
        angle = torque.get("angle_deg")
        angles = angle if isinstance(angle, list | tuple) else [angle] if angle else []
        parts.append(" + ".join([f"{torque.get('value')} {torque.get('unit')}", *(f"{one}°" for one in angles)]))
    signs = {"tool": "{}", "stow": "to {}", "litres": "{} l", "note": "{}"}
    parts += [sign.format(body[name]) for name, sign in signs.items() if body.get(name)]
    return " · ".join(parts)


_PEOPLE = frozenset({"who", "holder", "car"})
_THINGS = frozenset({"energy", "guard", "joint", "items", "parts", "about"})


def _named(case: Case, field: str, value: Any) -> Any:
    """A value with names for ids, by what its field may hold; what has no name stands as it is."""
    if isinstance(value, list | tuple):
        return tuple(_named(case, field, one) for one in value)
    if not isinstance(value, str):
        return value
    if field in _PEOPLE:
        return case.who(value)
    if field in ("finding", "extra"):
        return matter_name(case, value)
    return case.name(value).replace("_", " ") if field in _THINGS else value


def _short(value: Any) -> str:
    if isinstance(value, Mapping):
        return " ".join(_short(one) for one in value.values() if one is not None)
    if isinstance(value, tuple | list):
        return ", ".join(map(_short, value))
    return str(value)


def when(time: str) -> str:
    """A time as written, to the minute, in its own offset.

    >>> when("2026-03-02T08:15:42.123+01:00")
    '2026-03-02 08:15'
    """
    try:
        return datetime.fromisoformat(time).strftime("%Y-%m-%d %H:%M")
    except ValueError:
        return time
