"""Histories of making safe for tests: what a technician logs, with slips, gaps and odd events; seeded."""

import random
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

from bay.packs import demo_plan
from core.gates.bench import Bench, operation, operations
from putback.bay.intake import parts_of
from putback.core.gates import GateKind
from putback.core.operations import Operation, Verb
from putback.core.record import EVENTS

ASKED: tuple[Operation, ...] = (
    operation(Verb.ISOLATE, "lift"),
    operation(Verb.UNDO, "j02"),
    operation(Verb.REMOVE, "service-disconnect"),
    operation(Verb.ISOLATE, "hv"),
    operation(Verb.REMOVE, "undertray"),
    operation(Verb.WAIT, "srs"),
    operation(Verb.PROVE_DEAD, "hv"),
    operation(Verb.UNPLUG, "shutter-plug"),
    operation(Verb.UNPLUG, "impact-plug-left"),
    operation(Verb.UNDO, "j48"),
    operation(Verb.DRAIN, "drain-washer"),
    operation(Verb.FIT, "service-disconnect"),
    operation(Verb.RESTORE, "moving"),
    operation(Verb.JOIN, "lv-negative"),
    operation(Verb.FIT, "bypass-pipe"),
    operation(Verb.FIT, "pump"),
    Operation(n=1, verb=Verb.REMOVE, item="wheel-left"),
    Operation(n=1, verb=Verb.FIT, item="arch-liner-left"),
    Operation(n=1, verb=Verb.ROAD_TEST),
)
"""Operations before which every kind of gate stands."""

_ODD: tuple[Any, ...] = ("", "ghost", 0, -1, 2.5, 1e20, True, None, [], {}, "hv", "p1")
_BODIES: dict[str, dict[str, Any]] = {
    "finding seen": {"finding": "pitted-bypass", "item": "bypass-pipe", "amount": "137.00", "currency": "EUR"},
    "answer given": {
        "finding": "pitted-bypass",
        "who": "p9",
        "at": "2026-03-02T09:00:00+01:00",
        "channel": "telephone",
        "answer": "yes",
        "amount": "137.00",
    },
    "owner named": {"who": "p9", "as": "owner", "channel": "telephone"},
    "bonding checked": {"item": "bonding-strap", "value": 0.02, "unit": "Ω", "who": "p1"},
    "people seen clear": {"who": "p2"},
    "boundary set": {"who": "p1"},
    "second person named": {"who": "p2"},
    "energy checked": {"energy": "moving", "who": "p1", "gone": "yes"},
    "doubt raised": {"about": "not sure", "energy": "hv"},
}


_SCOPE: dict[str, Any] = {
    "who": "p9",
    "at": "2026-03-02T07:00:00+01:00",
    "channel": "in person",
    "scope_sha256": "0" * 64,
    "amount": "1435.40",
    "limit": "1500.00",
    "currency": "EUR",
    "see_old_parts": "no",
}
_MORE: dict[str, Any] = {"extra": "hoses", "says": "two hoses more", "currency": "EUR"}


def history(seed: int, *, length: int = 90, online: bool = True) -> Bench:
    """A job as far as chance takes it; its clock is right, its tail only on the tablet if not `online`."""
    chance = random.Random(seed)
    bench = Bench(online=online or chance.random() < 0.5)
    order = list(operations())
    at = 0
    if chance.random() < 0.7:
        bench.reach(order[chance.randrange(10, 130)])
        at = sum(1 for one in bench.entries if one.event.kind == "operation done")
    bench.online = online
    for _ in range(length):
        for step in _chosen(chance, bench, order, at):
            step()
        at += 1
    if chance.random() < 0.4:
        for op in chance.sample(ASKED, 4):
            override_all(bench, op)
    return bench


def _chosen(chance: random.Random, bench: Bench, order: list[Operation], at: int) -> Iterator[Any]:
    roll = chance.random()
    if roll < 0.55:
        op = order[min(at, len(order) - 1)] if chance.random() < 0.8 else chance.choice(ASKED)
        yield lambda: bench.step(op)
    elif roll < 0.65:
        yield lambda: disturb(chance, bench)
    elif roll < 0.73 and bench.entries:
        yield lambda: bench.take_back(chance.choice(bench.entries).event.id)
    elif roll < 0.80:
        yield chance.choice(
            [
                *(bench.people, bench.keys, bench.gloves, bench.tick),
                *(lambda: bench.prove("hv"), lambda: answered(bench)),
                *(lambda: otherwise(chance, bench), lambda: agreed(chance, bench), lambda: shelved(chance, bench)),
            ]
        )
    elif roll < 0.90:
        yield lambda: bench.pass_minutes(chance.choice([1, 4, 11, 29, 31]))
    elif roll < 0.93 and bench.entries:
        yield lambda: bench.entries.append(chance.choice(bench.entries))
    else:
        yield lambda: override(chance, bench)


def disturb(chance: random.Random, bench: Bench) -> None:
    """An event of any kind, its fields right, left out or odd; sometimes of another person or device."""
    kind = chance.choice([*EVENTS, *_BODIES, "never heard of"])
    body = dict(_BODIES.get(kind, {}))
    if chance.random() < 0.2 and kind in EVENTS:
        body[chance.choice([*EVENTS[kind].must, *EVENTS[kind].may, "newer"])] = chance.choice(_ODD)
    whose = {"_person": chance.choice(["p1", "p1", "p2", "p3", None]), "_device": chance.choice(["tablet", "phone"])}
    bench.log(kind, **body, **whose)


def answered(bench: Bench) -> None:
    """A finding, priced, and its answer."""
    bench.log("owner named", **_BODIES["owner named"])
    bench.log("finding seen", **_BODIES["finding seen"])
    bench.log("answer given", **_BODIES["answer given"] | {"at": bench.now.isoformat()})


def otherwise(chance: random.Random, bench: Bench) -> None:
    """A joint undone by another way than the planned one; sometimes something is found behind it."""
    bench.do(operation(Verb.UNDO, "j53h"), way=chance.choice(["below", "below", "front", "ghost"]))
    if chance.random() < 0.5:
        bench.log("finding seen", finding="cracked-bracket", item="compressor-bracket", minutes=10)


def agreed(chance: random.Random, bench: Bench) -> None:
    """A scope signed with its limit, more work within it or above, and answers that raise it or do not."""
    if chance.random() < 0.7:
        bench.log("owner named", **_BODIES["owner named"])
    if chance.random() < 0.7:
        bench.log("scope signed", **_SCOPE | chance.choice([{}, {"items": ["bypass-pipe"]}, {"who": "p3"}]))
    for _ in range(chance.randrange(4)):
        amount = chance.choice(["1450.00", "1500.00", "1500.01", "1620.00"])
        items = chance.choice([None, ["bypass-pipe"], ["pump", "ghost"]])
        bench.log("work added", **_MORE | {"amount": amount, "items": items})
        if chance.random() < 0.6:
            said = {"finding": "hoses", "at": bench.now.isoformat(), "answer": chance.choice(["yes", "yes", "no"])}
            said["amount"] = amount if chance.random() < 0.8 else "1620.00"
            bench.log("answer given", **_BODIES["answer given"] | said)
    bench.log("work added", **_MORE | {"extra": "seals", "amount": "1610.00", "items": ["bypass-pipe"]})


def shelved(chance: random.Random, bench: Bench) -> None:
    """Parts on the shelf, waived, held together; a question passed, rightly or not."""
    parts = list(parts_of(demo_plan()))
    bench.log("parts shelved", parts=parts[chance.randrange(2) :] if chance.random() < 0.8 else ["ghost"])
    waived = {"of": chance.choice(["part", "part", "intake"]), "what": parts[0], "who": "p1"}
    bench.log("asked and waived", reason=chance.choice(["comes at noon", " "]), **waived)
    differs: dict[str, object] = chance.choice(
        [{}, {"same": "no"}, {"old_length_mm": 60, "new_length_mm": 65}, {"seal": "different"}]
    )
    item = chance.choice(["pump", "thermostat"])
    bench.log("parts compared", **{"item": item, "same": "yes", **differs})
    gate = chance.choice(["scope-unsigned", "part-missing", "not-compared", "parts-differ"])
    bench.log("hold passed", gate=gate, item=chance.choice([None, parts[0], "pump"]), who="p1")


def override(chance: random.Random, bench: Bench) -> None:
    """An override of a gate that is shut before one of the operations."""
    op = chance.choice(ASKED[1:3] if chance.random() < 0.3 else ASKED)
    shut = [gate for gate in bench.gates(op) if not gate.lets_through]
    if shut:
        wanted = chance.choice(sorted({gate.kind for gate in shut}))
        gate = chance.choice([gate for gate in shut if gate.kind is wanted])
        kind = gate.kind if chance.random() < 0.8 else chance.choice(list(GateKind))
        said = {"energy": gate.energy, "item": gate.item, "about": gate.about if bench.made % 5 else None}
        bench.log("override given", gate=kind.value, **said, who="p2", reason="invented")


def override_all(bench: Bench, op: Operation) -> None:
    """An override of everything that is shut before an operation."""
    for gate in bench.gates(op):
        if not gate.lets_through:
            said = {"energy": gate.energy, "item": gate.item, "about": gate.about}
            bench.log("override given", gate=gate.kind.value, **said, who="p2", reason="made")


def later(bench: Bench, minutes: float) -> Bench:
    """The same record, looked at later."""
    one = bench.copy()
    one.now += timedelta(minutes=minutes)
    return one
