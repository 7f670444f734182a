"""One idea: a car is drawn from recordings as far as they go; what nobody said stays unknown and is listed.

A link is as sure as the recordings make it, an item's links are never complete, and where two recordings differ
about a count, a size or a torque neither is taken.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import count
from typing import Final, TypeVar

from putback.core.car import Action, Car, Energy, Item, Joint, Link, Zone
from putback.core.finding import Finding, Kind, Where
from putback.core.operations import ITEM_BACK, ITEM_OFF, OFF, TWIN, Verb
from putback.core.procedure import Line, Procedure, names_high_voltage
from putback.core.quantity import Refused, Torque, read_torque
from putback.core.thread import read_thread
from putback.narrate.car.contradiction import Contradiction, Saying, of_order, saying
from putback.narrate.car.learn import Evidence, Learned, reduced

MOST_FASTENERS: Final = 400
"""So many equal fasteners a joint of a car file has at most; more were never counted."""
ZONE_NOT_SAID: Final = "not-said"
_ACTIONS = {verb: action for action, verb in OFF.items()} | {Verb.RENEW: Action.RENEW}
_MAKE_SAFE = "as the maker's publication says, by a person who is licensed for it"
_NOT_FOR_AN_ID = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """A car as far as recordings show it, and what they leave open or say in two ways.

    Each of `contradictions` is one of `findings` too.
    """

    car: Car
    ids: Mapping[str, str]
    findings: tuple[Finding, ...]
    contradictions: tuple[Contradiction, ...] = ()


@dataclass(slots=True)
class _Board:
    """What is gathered while a car is drawn."""

    procedures: Sequence[Procedure]
    learned: Learned
    ids: dict[str, str] = field(default_factory=dict)
    zones: dict[str, Zone] = field(default_factory=dict)
    sources: dict[str, str] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    contradictions: list[Contradiction] = field(default_factory=list)
    joint_ids: set[str] = field(default_factory=set)

    def note(self, file: str, at: str, what: str, mend: str, rule: str, line: int | None = None) -> None:
        """Something is open, or was said in two ways."""
        where = Where(file=file, line=line, field=at)
        self.findings.append(Finding(where=where, what=what, mend=mend, rule=rule, kind=Kind.NOTE))

    def contradict(self, one: Contradiction, at: str) -> None:
        """Something was said in two ways."""
        self.contradictions.append(one)
        file = next((saying.file for saying in one.sayings if saying.file), self.procedures[0].file)
        self.note(file, at, str(one), one.mend, "contradiction")

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


@dataclass(frozen=True, slots=True, kw_only=True)
class _At:
    """Which fasteners are meant: in words, and where they stand in the car file."""

    words: str
    field: str


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
    named: set[str] = set()
    for name, text in ((name, text) for procedure in procedures for name, text in procedure.sources.items()):
        if text not in board.sources.values():
            board.sources[_free_id(name, named)] = text
    fasteners = _fasteners(board)
    links = reduced(learned)
    items = [_item(board, thing, links.get(thing, ()), fasteners.get(thing, {})) for thing in learned.things]
    energies = _energies(board)
    what, mend = "no minutes are known, so no plan has a price", "write what each thing takes, off and on"
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
    return Drawn(car=car, ids=board.ids, findings=tuple(board.findings), contradictions=tuple(board.contradictions))


def _id_words(name: str) -> str:
    """The words of a name as an id, which starts with a letter.

    >>> _id_words("Top cover, left"), _id_words("2nd fan")
    ('top-cover-left', 'thing-2nd-fan')
    """
    plain = _NOT_FOR_AN_ID.sub("-", name.lower()).strip("-")
    return f"thing-{plain}" if plain[:1].isdigit() else plain


def _free_id(name: str, taken: set[str]) -> str:
    """An id made of the words of a name, with a number where it is taken."""
    plain = _id_words(name) or "thing"
    id, number = plain, 2
    while id in taken:
        id, number = f"{plain}-{number}", number + 1
    taken.add(id)
    return id


def _item(board: _Board, thing: str, links: Sequence[Evidence], told: Mapping[str, list[_Fasteners]]) -> Item:
    """One thing with what holds it and what is in its way."""
    about = board.lines_about(thing)
    verbs = _verbs(board, thing, about)
    joints, uncounted = _joints(board, thing, told)
    action = _ACTIONS[verbs[0]] if verbs else Action.REMOVE
    notes = ["seen in one job only"] if thing in board.learned.thin else []
    return Item(
        id=board.ids[thing],
        name=thing,
        zone=_zone(board, thing, about),
        action=action,
        minutes_off=0.0,
        minutes_on=0.0,
        minutes_known=False,
        needs_off=tuple(_link(board, one) for one in links),
        links_complete=False,
        one_time=action is Action.RENEW,
        renew_with_items=tuple(board.ids[one.first] for one in links[:1]) if action is Action.RENEW else (),
        joints=joints,
        notes=(*notes, *uncounted),
    )


def _verbs(board: _Board, thing: str, about: Sequence[tuple[Procedure, Line]]) -> tuple[Verb, ...]:
    """How it comes off, as it was said; more than one is a contradiction."""
    said = [
        (one, line, TWIN.get(line.verb, line.verb) if line.verb in ITEM_BACK else line.verb) for one, line in about
    ]
    verbs = {verb: saying(one, line, str(verb)) for one, line, verb in reversed(said)}
    found = tuple(dict.fromkeys(verb for _, _, verb in said))
    if len(found) > 1:
        told = tuple(verbs[verb] for verb in found)
        mend = "see what is done to it, and mend the action"
        one = Contradiction(about=f"what is done to {thing}", sayings=told, done=f"{found[0]} is taken", mend=mend)
        board.contradict(one, f"items.{board.ids[thing]}.action")
    return found


def _link(board: _Board, one: Evidence) -> Link:
    jobs = len(set(one.seen) | (set(one.marked) & {procedure.file for procedure in board.procedures}))
    return Link(item=board.ids[one.first], origin=one.origin, jobs=jobs)


def _zone(board: _Board, thing: str, lines: Sequence[tuple[Procedure, Line]]) -> str:
    """The zone in which a thing was said to be; the first where two were said, which is told."""
    said = [(one, line, one.zones.get(line.zone, line.zone)) for one, line in lines if line.zone]
    if not said:
        board.zones.setdefault(ZONE_NOT_SAID, Zone(id=ZONE_NOT_SAID, name="zone not said"))
        return ZONE_NOT_SAID
    zones = {name: saying(one, line, name) for one, line, name in reversed(said)}
    first = said[0][2]
    if len(zones) > 1:
        told = tuple(zones[name] for name in dict.fromkeys(name for _, _, name in said))
        two = Contradiction(about=f"where {thing} is", sayings=told, done=f"{first} is taken", mend="mend the zone")
        board.contradict(two, f"items.{board.ids[thing]}.zone")
    id = _id_words(first) or "zone"
    board.zones.setdefault(id, Zone(id=id, name=first))
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
            group = found.setdefault(owner, {})
            group.setdefault(_free_name(group, told), []).append(told)
    return found


def _free_name(group: Mapping[str, list[_Fasteners]], told: _Fasteners) -> str:
    """The name of fasteners; what one recording undoes under one name again are others, and numbered."""
    name = told.procedure.named(told.undone.object)
    numbered = (name if n == 1 else f"{name} ({n})" for n in count(1))
    return next(one for one in numbered if all(other.procedure is not told.procedure for other in group.get(one, ())))


def _owner(board: _Board, procedure: Procedure, place: int) -> str | None:
    """What fasteners hold: the thing in their name, else what comes off next."""
    line = procedure.lines[place]
    words = procedure.named(line.object).split()
    named = [thing for thing in board.learned.things if thing and _within(thing.split(), words)]
    if named:
        return max(named, key=len)
    for later in procedure.lines[place + 1 :]:
        if later.verb in ITEM_OFF:
            return procedure.named(later.object)
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
        at = _At(words=name if thing in name else f"{thing}: {name}", field=f"items.{board.ids[thing]}.joints")
        file = told[0].procedure.file
        count = _agreed(board, at, "count", [(one.procedure, one.undone, one.undone.count) for one in told])
        if count is None or count > MOST_FASTENERS:
            what = f"{at.words}: how many there are is not known, so the joint is left out"
            board.note(file, at.field, what, "count them and add the joint", "count")
            uncounted.append(f"fasteners not counted: {name}")
            continue
        joints.append(_joint(board, thing, at, count, told))
    return tuple(joints), tuple(uncounted)


def _joint(board: _Board, thing: str, at: _At, count: int, told: Sequence[_Fasteners]) -> Joint:
    out = [(one.procedure, one.undone) for one in told]
    back = [(one.procedure, line) for one in told for line in one.tightened]
    size = _agreed(board, at, "size", [(one, line, line.size) for one, line in out])
    torque = _agreed(board, at, "torque", [(one, line, line.torque) for one, line in back])
    source = _agreed(board, at, "source", [(one, line, one.sources.get(line.source or "")) for one, line in back])
    return Joint(
        id=_free_id(f"j-{board.ids[thing]}", board.joint_ids),
        item=board.ids[thing],
        count=count,
        thread=read_thread(size) if size else None,
        kind=_agreed(board, at, "kind", [(one, line, line.kind) for one, line in out]),
        drive=_drive(size),
        torque=_torque(torque),
        source=next((id for id, text in board.sources.items() if text == source), None) if _torque(torque) else None,
        pattern=_agreed(board, at, "pattern", [(one, line, _pattern(line)) for one, line in back]),
    )


_Value = TypeVar("_Value", str, int)


def _agreed(
    board: _Board, at: _At, field: str, said: Sequence[tuple[Procedure, Line, _Value | None]]
) -> _Value | None:
    """The one value that was said, however often; None where nobody said one or two differ, which is told."""
    values = {value: saying(one, line, str(value)) for one, line, value in reversed(said) if value is not None}
    if len(values) > 1:
        told = tuple(sorted(values.values(), key=lambda one: (one.file, one.operation or 0)))
        mend = "see which is right, correct the other"
        one = Contradiction(about=f"{at.words}: {field}", sayings=told, done="neither is taken", mend=mend)
        board.contradict(one, f"{at.field}.{field}")
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


def _pattern(line: Line) -> str | None:
    """The order of tightening, as the car file calls it."""
    said = line.pattern or ""
    names = {"criss": "cross", "cross": "cross", "star": "star", "spiral": "spiral", "centre out": "spiral"}
    return next((name for part, name in names.items() if part in said.lower()), None)


def _energies(board: _Board) -> dict[str, Energy]:
    """What was isolated, and high voltage where the car has it: near everything, and blocked until it is proved."""
    zones = tuple(board.zones)
    found: dict[str, Energy] = {}
    _say_high_voltage(board)
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
            high = names_high_voltage(name)
            id = "high-voltage" if high else _id_words(f"isolated {name}")
            found.setdefault(id, _energy(id, "high voltage" if high else name, zones))
    for id, energy in found.items():
        what = f"{energy.kind}: how it is made safe, how long to wait and how it is proved"
        board.note(board.procedures[0].file, f"energies.{id}", f"value needed: {what}", "ask the maker", "energy")
    return found


def _say_high_voltage(board: _Board) -> None:
    """One says that the car has none, and another that it has, or isolates it."""
    denied = [Saying(words="has none", file=one.file) for one in board.procedures if one.high_voltage is False]
    claimed = [Saying(words="has it", file=one.file) for one in board.procedures if one.high_voltage]
    for procedure in board.procedures:
        lines = [one for one in procedure.lines if one.verb is Verb.ISOLATE]
        high = [one for one in lines if names_high_voltage(procedure.named(one.object))]
        claimed += [saying(procedure, one, f"{one.object} was isolated") for one in high]
    if denied and claimed:
        done, mend = "it is taken to have it", "find out before anything is touched"
        told = (*denied, *claimed)
        one = Contradiction(about="high voltage on the car", sayings=told, done=done, mend=mend)
        board.contradict(one, "energies.high-voltage")


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
    told = of_order(board.procedures, one, done=done, mend=mend)
    board.contradict(told, f"items.{board.ids[one.thing]}.needs_off")
