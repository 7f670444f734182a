"""One idea: a car is drawn from recordings as far as they go; what nobody said stays unknown and is listed.

A link is as sure as the recordings make it, an item's links are never complete, and where two recordings differ
about a count, a size or a torque neither is taken.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, TypeVar

from putback.core.car import Action, Car, Energy, Item, Joint, Link, Zone
from putback.core.finding import Finding, Kind, Where
from putback.core.operations import ITEM_BACK, ITEM_OFF, OFF, TWIN, Verb
from putback.core.procedure import Line, Procedure
from putback.core.quantity import Refused, Torque, read_torque
from putback.core.thread import read_thread
from putback.narrate.learn import Evidence, Learned, reduced, thing_of

ZONE_NOT_SAID: Final = "not-said"
_ACTIONS = {verb: action for action, verb in OFF.items()} | {Verb.RENEW: Action.RENEW}
_MAKE_SAFE = "as the maker's publication says, by a person who is licensed for it"
_HIGH_VOLTAGE = re.compile(r"\b(high[ -]voltage|hv|service (plug|disconnect)|traction battery)\b", re.IGNORECASE)
_NOT_FOR_AN_ID = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """A car as far as recordings show it, and what they leave open or say in two ways."""

    car: Car
    ids: Mapping[str, str]
    findings: tuple[Finding, ...]


@dataclass(slots=True)
class _Board:
    """What is gathered while a car is drawn."""

    procedures: Sequence[Procedure]
    learned: Learned
    ids: dict[str, str] = field(default_factory=dict)
    zones: dict[str, Zone] = field(default_factory=dict)
    sources: dict[str, str] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    joint_ids: set[str] = field(default_factory=set)

    def note(self, file: str, at: str, what: str, mend: str, rule: str, line: int | None = None) -> None:
        """Something is open, or was said in two ways."""
        where = Where(file=file, line=line, field=at)
        self.findings.append(Finding(where=where, what=what, mend=mend, rule=rule, kind=Kind.NOTE))

    def lines_about(self, thing: str) -> list[tuple[Procedure, Line]]:
        """Every line that takes this thing off, in all recordings; else those that put it back."""
        said = [(one, line) for one in self.procedures for line in one.lines if one.named(line.object) == thing]
        return [one for one in said if one[1].verb in _ACTIONS] or [one for one in said if one[1].verb in ITEM_BACK]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fasteners:
    """What one recording says of the fasteners of a thing."""

    procedure: Procedure
    undone: Line
    tightened: tuple[Line, ...]


def car_from(procedures: Sequence[Procedure], learned: Learned) -> Drawn:
    """Draw a car.

    Args:
        procedures: recordings of one car, one at least.
        learned: what they show of what is in the way of what.
    """
    board = _Board(procedures=procedures, learned=learned)
    taken: set[str] = {"start", "end"}
    for thing in learned.things:
        board.ids[thing] = _free_id(thing, taken)
    board.joint_ids = set(board.ids.values())
    for procedure in procedures:
        board.sources |= procedure.sources
    fasteners = _fasteners(board)
    links = reduced(learned)
    items = [_item(board, thing, links.get(thing, ()), fasteners.get(thing, {})) for thing in learned.things]
    energies = _energies(board)
    what, mend = "no minutes are known, and 0 stands for them", "write what it takes, off and on"
    board.note(procedures[0].file, "minutes", what, mend, "minutes")
    _say_contradictions(board)
    car = Car(
        name=procedures[0].car,
        file=procedures[0].file,
        invented=any(one.invented for one in procedures),
        zones=board.zones,
        sources=board.sources,
        items={item.id: item for item in items},
        energies=energies,
    )
    return Drawn(car=car, ids=board.ids, findings=tuple(board.findings))


def _free_id(name: str, taken: set[str]) -> str:
    """An id made of the words of a name, with a number where it is taken."""
    plain = _NOT_FOR_AN_ID.sub("-", name.lower()).strip("-") or "thing"
    id, number = plain, 2
    while id in taken:
        id, number = f"{plain}-{number}", number + 1
    taken.add(id)
    return id


def _item(board: _Board, thing: str, links: Sequence[Evidence], told: Mapping[str, list[_Fasteners]]) -> Item:
    """One thing with what holds it and what is in its way."""
    about = board.lines_about(thing)
    verbs = dict.fromkeys(TWIN.get(line.verb, line.verb) if line.verb in ITEM_BACK else line.verb for _, line in about)
    file = about[0][0].file if about else board.procedures[0].file
    if len(verbs) > 1:
        what = f"{thing}: {' and '.join(verbs)} were both said; the first is taken"
        board.note(file, "action", what, "see what is done to it, and mend the action", "contradiction")
    joints, uncounted = _joints(board, thing, told)
    action = _ACTIONS[next(iter(verbs))] if verbs else Action.REMOVE
    notes = ["minutes not known"]
    if thing in board.learned.thin:
        notes.append("seen in one job only")
    return Item(
        id=board.ids[thing],
        name=thing,
        zone=_zone(board, about),
        action=action,
        minutes_off=0.0,
        minutes_on=0.0,
        needs_off=tuple(_link(board, one) for one in links),
        links_complete=False,
        one_time=action is Action.RENEW,
        renew_with_items=tuple(board.ids[one.first] for one in links[:1]) if action is Action.RENEW else (),
        joints=joints,
        notes=(*notes, *uncounted),
    )


def _link(board: _Board, one: Evidence) -> Link:
    jobs = len(set(one.seen) | (set(one.marked) & {procedure.file for procedure in board.procedures}))
    return Link(item=board.ids[one.first], origin=one.origin, jobs=jobs)


def _zone(board: _Board, lines: Sequence[tuple[Procedure, Line]]) -> str:
    """The zone in which a thing was said to be; the first that was said."""
    said = [(one, line.zone) for one, line in lines if line.zone]
    if not said:
        board.zones.setdefault(ZONE_NOT_SAID, Zone(id=ZONE_NOT_SAID, name="zone not said"))
        return ZONE_NOT_SAID
    procedure, name = said[0]
    id = _NOT_FOR_AN_ID.sub("-", name.lower()).strip("-") or ZONE_NOT_SAID
    board.zones.setdefault(id, Zone(id=id, name=procedure.zones.get(name, name)))
    return id


def _fasteners(board: _Board) -> dict[str, dict[str, list[_Fasteners]]]:
    """By thing, then by the name of the fasteners: what each recording says of them."""
    found: dict[str, dict[str, list[_Fasteners]]] = {}
    for procedure in board.procedures:
        for place, line in enumerate(procedure.lines):
            if line.verb is not Verb.UNDO:
                continue
            owner = _owner(board, procedure, place)
            if owner is None:
                what = f"nothing that came off was held by {line.object or 'these fasteners'}"
                board.note(procedure.file, f"operations.{line.n}", what, "say what they hold", "fasteners")
                continue
            back = tuple(one for one in procedure.twins_of(line.n) if one.verb is Verb.TIGHTEN)
            told = _Fasteners(procedure=procedure, undone=line, tightened=back)
            found.setdefault(owner, {}).setdefault(procedure.named(line.object), []).append(told)
    return found


def _owner(board: _Board, procedure: Procedure, place: int) -> str | None:
    """What fasteners hold: the thing in their name, else what comes off next."""
    line = procedure.lines[place]
    words = procedure.named(line.object).split()
    named = [thing for thing in board.learned.things if thing and _within(thing.split(), words)]
    if named:
        return max(named, key=len)
    numbers = {one.n: one for one in procedure.lines}
    for later in procedure.lines[place + 1 :]:
        if later.verb in ITEM_OFF:
            return thing_of(later, numbers, procedure)
    return None


def _within(inner: Sequence[str], outer: Sequence[str]) -> bool:
    """Whether these words stand together in those."""
    return any(list(outer[n : n + len(inner)]) == list(inner) for n in range(len(outer) - len(inner) + 1))


def _joints(
    board: _Board, thing: str, fasteners: Mapping[str, list[_Fasteners]]
) -> tuple[tuple[Joint, ...], tuple[str, ...]]:
    """The joints of a thing, and notes on fasteners that nobody counted."""
    joints = []
    uncounted = []
    for name, told in fasteners.items():
        at = f"{thing}: {name}" if name != thing else thing
        file = told[0].procedure.file
        count = _agreed(board, at, "count", [(one.procedure.file, one.undone.count) for one in told])
        if count is None:
            what = f"{at}: how many fasteners was not heard, or was said in two ways"
            board.note(file, "count", f"{what}; the joint is left out", "count them and add the joint", "count")
            uncounted.append(f"fasteners not counted: {name}")
            continue
        joints.append(_joint(board, thing, at, count, told))
    return tuple(joints), tuple(uncounted)


def _joint(board: _Board, thing: str, at: str, count: int, told: Sequence[_Fasteners]) -> Joint:
    back = [(one.procedure.file, line) for one in told for line in one.tightened]
    size = _agreed(board, at, "size", [(one.procedure.file, one.undone.size) for one in told])
    torque = _agreed(board, at, "torque", [(file, line.torque) for file, line in back])
    source = _agreed(board, at, "source", [(file, line.source) for file, line in back])
    return Joint(
        id=_free_id(f"j-{board.ids[thing]}", board.joint_ids),
        item=board.ids[thing],
        count=count,
        thread=read_thread(size) if size else None,
        kind=_agreed(board, at, "kind", [(one.procedure.file, one.undone.kind) for one in told]),
        drive=_drive(size),
        torque=_torque(torque),
        source=source if _torque(torque) else None,
        pattern=_pattern(back),
    )


_Value = TypeVar("_Value", str, int)


def _agreed(board: _Board, at: str, field: str, said: Sequence[tuple[str, _Value | None]]) -> _Value | None:
    """The one value that was said, however often; None where nobody said one or two differ, which is told."""
    values: dict[_Value, str] = {}
    for file, value in said:
        if value is not None:
            values.setdefault(value, file)
    if len(values) > 1:
        both = " and ".join(f"{value} ({file})" for value, file in values.items())
        what, mend = f"{at}: {field} was said as {both}; neither is taken", "see which is right, correct the other"
        board.note(next(iter(values.values())), field, what, mend, "contradiction")
        return None
    return next(iter(values), None)


def _drive(size: str | None) -> str | None:
    """What turns a fastener, from the size that was said.

    >>> [_drive(size) for size in ("10mm", "T30", "5mm hex", "M8x40")]
    ['hex10', 'T30', '5mm hex', None]
    """
    if size is None or read_thread(size):
        return None
    head = re.fullmatch(r"([0-9.]+) ?mm", size)
    return f"hex{head[1]}" if head else size


def _torque(said: str | None) -> Torque | None:
    """A torque with its unit; None where none was said or its unit is not known."""
    try:
        return read_torque(said) if said else None
    except Refused:
        return None


def _pattern(lines: Sequence[tuple[str, Line]]) -> str | None:
    """The order of tightening, as the car file calls it."""
    said = next((line.pattern for _, line in lines if line.pattern), "")
    names = {"criss": "cross", "cross": "cross", "star": "star", "spiral": "spiral", "centre out": "spiral"}
    return next((name for part, name in names.items() if part in said.lower()), None)


def _energies(board: _Board) -> dict[str, Energy]:
    """What was isolated, and high voltage where the car has it: near everything, and blocked until it is proved."""
    zones = tuple(board.zones)
    found: dict[str, Energy] = {}
    if any(one.high_voltage for one in board.procedures):
        found["high-voltage"] = _energy("high-voltage", "high voltage", zones)
    elif any(one.high_voltage is None for one in board.procedures):
        what = "whether the car has high voltage is not known"
        board.note(board.procedures[0].file, "high_voltage", what, "write high_voltage: true or false", "high-voltage")
    for procedure in board.procedures:
        for line in procedure.lines:
            if line.verb is not Verb.ISOLATE:
                continue
            name = procedure.named(line.object) or "energy that was isolated"
            high = _HIGH_VOLTAGE.search(name) is not None
            id = "high-voltage" if high else _NOT_FOR_AN_ID.sub("-", f"isolated {name}".lower()).strip("-")
            found.setdefault(id, _energy(id, "high voltage" if high else name, zones))
    for id, energy in found.items():
        what = f"{energy.kind}: how it is made safe, how long to wait and how it is proved"
        board.note(board.procedures[0].file, f"energies.{id}", f"value needed: {what}", "ask the maker", "energy")
    return found


def _energy(id: str, kind: str, zones: tuple[str, ...]) -> Energy:
    return Energy(id=id, kind=kind, make_safe=_MAKE_SAFE, near=zones)


def _say_contradictions(board: _Board) -> None:
    """Links that a job speaks against, those set aside, and those that would close a circle."""
    learned = board.learned
    for one in learned.contradictions:
        why = "marked" if one.marked else "seen in one order only"
        _say(board, one, f"kept, because it was {why}", "look whether it must be off")
    for one in learned.set_aside:
        _say(board, one, "set aside", "look whether it must be off, and mark it if so")
    for one in learned.circles:
        _say(board, one, "set aside, because surer links say the reverse", "look which of the two it is")


def _say(board: _Board, one: Evidence, done: str, mend: str) -> None:
    seen, against = ", ".join(dict.fromkeys([*one.marked, *one.seen])), ", ".join(one.against)
    what = f"{one.first} off before {one.thing}: {seen or 'no job'} for it, {against or 'no job'} against it; {done}"
    board.note(board.procedures[0].file, f"items.{board.ids[one.thing]}.needs_off", what, mend, "contradiction")
