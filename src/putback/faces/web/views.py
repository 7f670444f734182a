"""One idea: what a server page says is chosen here, as plain text; the templates only set it."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from putback.bay import JobView, Pack, Standing
from putback.bay.order import thing_key
from putback.core.job import Seat
from putback.core.papers import Breach, Told, breaches
from putback.core.record import Event, Link
from putback.faces.web.words import name_of, said, when
from putback.plan.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line of a list: the thing, where it stands, and what more is known."""

    name: str
    stands: str
    more: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Lines under one heading."""

    title: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShutLine:
    """An operation that was logged while gates were shut: which event, when, by whom, and each gate with its why."""

    seq: int
    at: str
    who: str
    device: str
    what: str
    gates: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EventLine:
    """One event of the record."""

    seq: int
    at: str
    received: str
    who: str
    device: str
    kind: str
    says: str


def done_numbers(view: JobView, plan: Plan) -> frozenset[int]:
    """The operations of a plan that are done, found by what they are done to: the plan may have been made again."""
    keys = {op["key"] for op in view.pack["operations"] if op["n"] in view.now.done and "key" in op}
    loose = {
        (op["verb"], op.get("note")) for op in view.pack["operations"] if op["n"] in view.now.done and "key" not in op
    }
    found = set()
    for op in plan.operations:
        key = thing_key(op)
        if (key is not None and "|".join(key) in keys) or (key is None and (str(op.verb), op.note or None) in loose):
            found.add(op.n)
    return frozenset(found)


def figures(view: JobView) -> tuple[tuple[str, str], ...]:
    """The headline figures of a job under way: name and words."""
    acts = view.now.standing
    state = view.now.state
    off = sum(seat is not Seat.IN_PLACE for seat in state.items.values())
    return (
        ("acts done", f"{sum(one is Standing.DONE for one in acts)} of {len(acts)}"),
        ("twins owed", str(view.now.owed)),
        ("items not in place", str(off)),
        ("events", str(view.head.seq)),
    )


def off_by_zone(view: JobView) -> tuple[Group, ...]:
    """What is not in place, by zone."""
    zones: dict[str, list[Line]] = {}
    for id, seat in view.now.state.items.items():
        if seat is not Seat.IN_PLACE:
            zone = view.pack["items"].get(id, {}).get("zone", "")
            zones.setdefault(zone, []).append(
                Line(name=name_of(view.pack, id), stands=str(seat), more=_held(view, id))
            )
    names = view.pack["zones"]
    return tuple(Group(title=names.get(zone, "elsewhere"), lines=tuple(zones[zone])) for zone in sorted(zones))


def _held(view: JobView, item: str) -> str:
    """The fasteners of an item that are out, with their stow places."""
    counts = view.now.counts
    return ", ".join(
        f"{counts[str(op['joint'])].out} × {op.get('thread', 'fastener')}" + _to(op) for op in _out(view, item)
    )


def _to(op: Mapping[str, object]) -> str:
    return f" in {op['stow']}" if op.get("stow") else ""


def _undone(view: JobView, item: str | None = None) -> Iterator[Mapping[str, object]]:
    """The planned undoings whose fasteners are not all back."""
    for op in view.pack["operations"]:
        owed = view.now.counts.get(op.get("joint", ""))
        if op["verb"] == "undo" and owed and owed.off > owed.back and item in (None, op.get("item")):
            yield op


def _out(view: JobView, item: str | None = None) -> Iterator[Mapping[str, object]]:
    """The planned undoings of which fasteners are in no hole yet."""
    return (op for op in _undone(view, item) if view.now.counts[str(op["joint"])].out > 0)


def by_tray(view: JobView) -> tuple[Group, ...]:
    """What lies in each stow place."""
    trays: dict[str, list[Line]] = {}
    for op in _out(view):
        out = view.now.counts[str(op["joint"])].out
        line = Line(name=name_of(view.pack, op.get("item")), stands=f"{out} × {op.get('thread', 'fastener')}")
        trays.setdefault(str(op.get("stow") or "no place named"), []).append(line)
    return tuple(Group(title=tray, lines=tuple(trays[tray])) for tray in sorted(trays))


def loose(view: JobView) -> tuple[Line, ...]:
    """Joints of items that are in place again and are not tight."""
    found = []
    for op in _undone(view):
        item = str(op.get("item"))
        if view.now.state.item(item) is Seat.IN_PLACE:
            owed = view.now.counts[str(op["joint"])]
            found.append(Line(name=name_of(view.pack, item), stands=f"{owed.back} of {owed.off} tight"))
    return tuple(found)


def energies(view: JobView) -> tuple[Line, ...]:
    """Every energy of the job and where it stands, as it was logged. Those of one name are told apart by their ids."""
    found = []
    names = Counter(str(energy["name"]) for energy in view.pack["energies"].values())
    for id, energy in view.pack["energies"].items():
        seat = view.now.state.energy(id)
        item = energy.get("item")
        back = item is not None and seat is not Seat.LIVE and view.now.state.item(item) is Seat.IN_PLACE
        more = f"by {name_of(view.pack, item)}" if item else ""
        stands = f"{seat} on paper, but {name_of(view.pack, item)} is back: live" if back else str(seat)
        name = str(energy["name"])
        found.append(Line(name=f"{name}, {id}" if names[name] > 1 else name, stands=stands, more=more))
    return tuple(found)


def guards(view: JobView) -> tuple[Line, ...]:
    """Guards that are in, with their pieces."""
    return tuple(
        Line(
            name=str(view.pack["guards"].get(guard, guard)),
            stands=f"{pieces} in",
            more=f"at {name_of(view.pack, item)}" if item else "",
        )
        for (guard, item), pieces in view.now.state.guards.items()
        if pieces
    )


def fluids(view: JobView) -> tuple[Line, ...]:
    """What was let out and is not back."""
    return tuple(
        Line(name=f"{id} fluid", stands=str(seat), more=f"{view.now.state.litres_out.get(id, 0):g} l out")
        for id, seat in view.now.state.fluids.items()
        if seat is Seat.DRAINED
    )


def logged_while_shut(view: JobView) -> tuple[ShutLine, ...]:
    """Every operation that was logged while a gate was shut, the newest first."""
    told = Told(case=view.case, people=view.case.people)
    return tuple(_shut_line(told, breach) for breach in reversed(breaches(view.case)))


def _shut_line(told: Told, breach: Breach) -> ShutLine:
    fact = breach.fact
    back = f"; taken back by event {breach.mended_at}" if breach.mended_at else ""
    return ShutLine(
        seq=fact.place,
        at=when(fact.event.at),
        who=told.name(fact.person),
        device=fact.device,
        what=told.operation(breach.operation) + back,
        gates=tuple(dict.fromkeys((str(gate.kind), gate.why) for gate in breach.gates)),
    )


def event_lines(view: JobView, people: Mapping[str, str]) -> tuple[EventLine, ...]:
    """The record, the newest first."""
    by_id = {one.event.id: one.event for one in view.received}
    return tuple(_event_line(view, link, by_id.get(link.id), people) for link in reversed(view.links))


def _event_line(view: JobView, link: Link, event: Event | None, people: Mapping[str, str]) -> EventLine:
    who = people.get(event.person or "", event.person or "") if event else ""
    return EventLine(
        seq=link.seq,
        at=when(event.at) if event else "",
        received=when(link.received_at),
        who=who,
        device=event.device if event else "",
        kind=event.kind if event else "cannot be read",
        says=said(view.pack, event, case=view.case) if event else "",
    )


def complaint(view: JobView) -> str:
    """The complaint in the owner's words."""
    return str(view.opened.body.get("complaint") or "")


def title(pack: Pack) -> str:
    """What the job is."""
    return str(pack["title"])
