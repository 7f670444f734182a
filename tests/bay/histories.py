"""Histories of jobs for tests: mostly what a technician would log, partly what nobody should; seeded."""

import random
from collections.abc import Mapping
from typing import Any

from putback.core.record import EVENTS

Raw = dict[str, Any]

FIELDS = ("verb", "item", "joint", "way", "count", "thread", "guard", "energy", "fluid", "litres", "stow")
ODD: tuple[Any, ...] = ("", "ghost", 0, -1, 2.5, 1e20, True, None, [], {}, "undo")


def history(pack: Mapping[str, Any], seed: int, *, length: int = 60) -> list[Raw]:
    """Events of one job, as JSON, in the server's order."""
    chance = random.Random(seed)
    events: list[Raw] = []
    walk = [n for act in pack["acts"] for n in act["operations"]]
    at = chance.randrange(len(walk))
    for place in range(length):
        at = (at + 1) % len(walk) if chance.random() < 0.8 else chance.randrange(len(walk))
        op = next(one for one in pack["operations"] if one["n"] == walk[at])
        events.append(_event(chance, op, events, place))
    return events


def done(op: Mapping[str, Any]) -> Raw:
    """The body of an operation that is done as planned."""
    return {"planned": op["n"]} | {name: op[name] for name in FIELDS if name in op}


def _event(chance: random.Random, op: Mapping[str, Any], before: list[Raw], place: int) -> Raw:
    minute = place + chance.randrange(3)
    event: Raw = {
        "id": f"e{place}",
        "job": "j1",
        "device": f"d{chance.randrange(2)}",
        "at": f"2026-03-02T{8 + minute // 60:02d}:{minute % 60:02d}:{chance.randrange(60):02d}+01:00",
        "person": "p1",
        "kind": "operation done",
        "body": done(op),
    }
    slip = chance.random()
    if slip < 0.08 and before:
        event |= {"kind": "operation taken back", "body": {"mends": chance.choice(before)["id"]}}
    elif slip < 0.12:
        event["body"][chance.choice([*FIELDS, "planned", "unheard-of"])] = chance.choice(ODD)
    elif slip < 0.15:
        event |= {"kind": chance.choice([*EVENTS, "never heard of"]), "body": {}}
    elif slip < 0.17 and before:
        event["id"] = chance.choice(before)["id"]
    elif slip < 0.19:
        event["newer"] = 1
    elif slip < 0.20:
        event["job"] = "j2"
    elif slip < 0.25:
        event["body"].pop(chance.choice(list(event["body"])))
    elif slip < 0.30 and "count" in event["body"]:
        event["body"]["count"] = chance.randrange(12)
    return event
