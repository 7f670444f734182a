"""One idea: what is shown and asked at an act is a list in the pack; the page draws it and decides nothing.

Each line says what it fills in of which operation, what is usual, and what is asked by name when it is otherwise.
"""

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import chain
from types import MappingProxyType
from typing import Any

from putback.bay.acts import Act
from putback.bay.drawn import MOST_DOTS, order_svg
from putback.bay.forms import MAY
from putback.bay.intake import compared_at_refit
from putback.bay.joints import joints_of
from putback.core.car import VALUE_NEEDED
from putback.core.gates.restoring import BOND_CHECK
from putback.core.operations import ITEM_BACK, ITEM_OFF, Operation, Verb
from putback.core.record import EVENTS
from putback.core.record.intake_kinds import PARTS_COMPARED
from putback.core.record.kinds import BONDING_CHECKED, DONE, ENERGY_CHECKED, LIST_TICKED, READING_TAKEN, TEST
from putback.plan.plan import Plan

Ask = dict[str, Any]

_TITLES: Mapping[str, str] = MappingProxyType(
    {
        "isolate": "make safe: {}",
        "prove": "prove gone: {}",
        "restore": "restore: {}",
        "tick": "before {} goes off",
        "guard": "guard: {}",
        "unguard": "take out: {}",
        "fill": "fill: {}",
        "renew": "renew {}",
        "tighten": "tighten {}",
    }
)

_GO: Mapping[str, str] = MappingProxyType(
    {
        "isolate": "Isolated",
        "prove": "Proved gone",
        "restore": "Restored",
        "tick": "Ticked",
        "guard": "In",
        "unguard": "Out",
        "fill": "Filled",
        "renew": "New part in",
        "tighten": "Tight",
        "read": "Read and saved",
        Verb.REMOVE: "Off",
        Verb.UNPLUG: "Unplugged",
        Verb.PART: "Parted",
        Verb.SWING_ASIDE: "Aside",
        Verb.FOLD: "Folded",
        Verb.UNDO: "Undone",
        Verb.DRAIN: "Drained",
        Verb.FIT: "On",
        Verb.PLUG_IN: "Plugged in",
        Verb.JOIN: "Joined",
        Verb.SWING_BACK: "Back",
        Verb.UNFOLD: "Unfolded",
        Verb.START: "All started",
        Verb.RENEW: "New part in",
        Verb.RAISE: "Up",
        Verb.LOWER: "Down",
    }
)
"""What the one button of an act says, by what the act does, else by the verb that names it."""


LAST = True
"""The mark of an event that is logged behind the operations of its act, not before them."""

_NOT_PROVED = (
    "Nothing is proved by that, and the work stays shut. It is kept in the record. Make it safe anew as the maker's "
    "publication says, then read again."
)
_INSTRUMENT = "instrument and its number"


class Sheets:
    """The sheets of a plan's acts."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._joints = joints_of(plan)
        self._ops = {op.n: op for op in plan.operations}
        self.called = self._energy_names()
        self._compared = frozenset(compared_at_refit(plan))

    def of(self, act: Act, shown: Mapping[int, Mapping[str, Any]]) -> dict[str, Any]:
        """Title, button and lines of one act.

        Args:
            act: the act.
            shown: its operations as the pack has them, by number.
        """
        operations = [self._ops[n] for n in act.operations if n in shown]
        lines = chain(
            self._energy(act),
            chain.from_iterable(self._lines(op, shown[op.n], operations) for op in operations),
            self._trays(operations),
        )
        title = re.sub(r"(?<=\d) ", "\N{NO-BREAK SPACE}", self.title(act, operations))
        made = {"title": title, "go": self._go(act, operations)}
        bodies = {op.n: _said_of(shown[op.n], noted=act.does == "say") for op in operations}
        return made | _with_logs(list(lines), bodies) | self._figures(act, operations)

    def title(self, act: Act, operations: Sequence[Operation]) -> str:
        """What an act is called: its verb and its thing."""
        if act.does in _TITLES:
            return _TITLES[act.does].format(self._thing(act))
        verb = _naming(operations)
        if verb is Verb.NOTE:
            return operations[0].note
        reads = verb in (Verb.READ_BEFORE, Verb.READ_AFTER)
        return f"{verb} {self._thing(act) or ('' if reads else operations[0].note)}".strip()

    def said(self, op: Operation) -> str:
        """An operation in a few words, as it is named once it is done."""
        car = self._plan.car
        guard, item = op.guard and car.guards[op.guard].name, op.item and car.items[op.item].name
        thing = guard or self.called.get(op.energy or "") or op.fluid or item or op.note
        return " ".join(filter(None, [str(op.verb), thing, op.thread]))

    def _go(self, act: Act, operations: Sequence[Operation]) -> str:
        return _GO.get(act.does) or _GO.get(_naming(operations), "Done")

    def _thing(self, act: Act) -> str:
        car = self._plan.car
        if act.thing in self.called:
            return self.called[act.thing]
        if act.thing in car.items:
            return car.items[act.thing].name
        if act.thing in car.guards:
            return car.guards[act.thing].name
        return f"{act.thing} fluid" if act.thing else ""

    def _energy_names(self) -> Mapping[str, str]:
        """Energies by their kind; with their id, where two are of one kind."""
        kinds = [line.energy.kind for line in self._plan.energies]
        return {
            line.energy.id: line.energy.kind + (f" ({line.energy.id})" if kinds.count(line.energy.kind) > 1 else "")
            for line in self._plan.energies
        }

    def _figures(self, act: Act, operations: Sequence[Operation]) -> dict[str, Any]:
        """The drawing of an act's fasteners and their twins, and how many people are needed."""
        joints = {op.joint: op.count or 0 for op in operations if op.joint and op.verb is not Verb.RENEW}
        dots, people = sum(joints.values()), max((op.people for op in operations), default=1)
        picture = {"picture": f"{'in' if act.does == 'off' else 'back'} {min(dots, MOST_DOTS)}"} if dots else {}
        zone = (
            self._plan.car.zones.get(self._plan.car.items[act.thing].zone) if act.thing in self._plan.items else None
        )
        where = [zone.name] if zone else []
        return picture | {"zone": " · ".join([*where, *([f"{people} people"] if people > 1 else [])])}

    def _energy(self, act: Act) -> Iterator[Ask]:
        """What is ticked before an energy goes off; how it is proved gone, where that is one reading or one check."""
        energy = self._plan.car.energies.get(act.thing)
        if energy is None:
            return
        given = {"energy": energy.id}
        if act.does == "tick":
            for text in energy.before_it:
                yield _tick(text, {"gate": "before it"}) | {
                    "also": (LIST_TICKED, given),
                    "field": "ticked",
                    "into": text,
                }
        proof = energy.proof if act.does == "prove" else None
        if proof is None or proof.points:
            return
        if proof.measure and proof.at_most:
            also = (READING_TAKEN, given | {"phase": TEST, "unit": proof.at_most.unit})
            words = f"{proof.measure}, {proof.at_most.unit}: at most {proof.at_most.value:g}"
            value = {"also": also, "field": "value", "how": "number", "words": words, "most": proof.at_most.value}
            yield value | {"must": True, "wrong": _NOT_PROVED}
            instrument = {"also": also, "field": "instrument", "how": "word", "words": _INSTRUMENT}
            yield instrument | {"kept": f"instrument {proof.at_most.unit}", "must": True}
        elif proof.check:
            also = (ENERGY_CHECKED, given)
            check = {"also": also, "field": "gone", "how": "choice", "words": f"{proof.check}: is it gone?"}
            yield check | {"of": [["yes"], ["no"]], "needs": "yes", "want": "yes", "must": True, "wrong": _NOT_PROVED}

    def _lines(self, op: Operation, shown: Mapping[str, Any], operations: Sequence[Operation]) -> Iterator[Ask]:
        if op.verb is Verb.RENEW:
            yield from self._renewed(op)
        elif op.verb is Verb.UNGUARD:
            yield self._pieces(op)
        elif op.joint:
            yield from self._joint(op, shown, operations)
        elif op.guard:
            yield self._count(op, f"guard in: {self._plan.car.guards[op.guard].name}")
        elif op.fluid and op.verb in (Verb.DRAIN, Verb.FILL):
            litres = {"usual": op.litres} if op.litres is not None else {"bold": VALUE_NEEDED}
            yield {"n": [op.n], "field": "litres", "how": "number", "words": f"litres of {op.fluid} fluid"} | litres
        elif op.note and op.verb not in (Verb.NOTE, Verb.PROVE_DEAD):
            yield {"how": "say", "words": op.note}

    def _renewed(self, op: Operation) -> Iterator[Ask]:
        name = self._plan.car.items[op.item].name if op.item else ""
        hold = {"gate": "one_time_part_back_in", "item": op.item}
        yield _tick(f"new: {name}", hold) | {"n": [op.n], "more": op.note, "must": True}
        if op.item in self._compared:
            yield {
                "also": (PARTS_COMPARED, {"item": op.item}),
                "field": "same",
                "how": "choice",
                "words": f"{name}: old and new held together: the same?",
                "of": [["yes"], ["no"]],
                "hold": {"gate": "not-compared", "item": op.item},
                "usual": "",
                "want": "yes",
                "wrong": "They differ: the new one is not the part that came out.",
                "must": True,
            }

    def _pieces(self, op: Operation) -> Ask:
        """A guard comes out piece by piece: each is counted."""
        minutes = self._plan.rework.get(f"{op.guard}@{op.item}", 0.0)
        words = f"out: {self._plan.car.guards[op.guard or ''].name}"
        made = _tick(words, {"gate": "guard_covered_in", "item": op.item}) | {"n": [op.n], "field": "count"}
        made |= {"want": op.count, "must": True}
        return made | ({"more": f"{minutes:g} min if forgotten"} if minutes else {})

    def _count(self, op: Operation, words: str) -> Ask:
        hold = {"gate": "count_differs", "item": op.item}
        return {"n": [op.n], "field": "count", "how": "count", "words": words, "usual": op.count or 0, "hold": hold}

    def _joint(self, op: Operation, shown: Mapping[str, Any], operations: Sequence[Operation]) -> Iterator[Ask]:
        """Count and size; on the way back as many as came out, the length that belongs there, and its tightness."""
        name = self._plan.car.items[op.item].name if op.item else ""
        tools = " · ".join([*shown.get("tools", ()), *([op.note] if op.note else [])])
        marks = self._joints.get(op.joint or "", {})
        tightened_here = any(one.verb is Verb.TIGHTEN and one.joint == op.joint for one in operations)
        if op.verb is not Verb.START or not tightened_here:
            back = {"joint": op.joint} if op.verb is not Verb.UNDO else {}
            bold = {"bold": shown["shown"]} if "shown" in shown else {}
            bold |= {"bold": VALUE_NEEDED} if op.value_needed else {}
            begun = [one.n for one in operations if one.verb is Verb.START and one.joint == op.joint and one.n != op.n]
            numbers = {"n": [*begun, op.n]}
            more = {"more": tools} if tools else {}
            yield self._count(op, op.thread or "fastener") | back | bold | more | numbers
        if op.verb is Verb.START and "lengths" in marks:
            yield {
                "n": [op.n],
                "field": "thread",
                "how": "choice",
                "words": f"{name}: which length goes into the {f'{op.count} holes' if op.count != 1 else 'hole'}?",
                "of": [[thread] for thread in marks["lengths"]],
                "usual": "",
                "want": op.thread,
                "wrong": f"Wrong length. Here belongs {op.thread}",
                "hold": {"gate": "other_fastener", "item": op.item},
            }
        if op.verb is Verb.TIGHTEN:
            yield from _tightness(op, shown, marks)
            if op.item and BOND_CHECK in self._plan.car.items[op.item].notes:
                yield from _bonding(op.item)

    def _trays(self, operations: Sequence[Operation]) -> Iterator[Ask]:
        """Where the fasteners are put: one line for each stow place."""
        places: dict[str, list[int]] = {}
        for op in operations:
            if op.stow and op.verb is Verb.UNDO:
                places.setdefault(op.stow, []).append(op.n)
        for place, numbers in places.items():
            yield {"n": numbers, "field": "stow", "how": "word", "words": "into tray", "usual": place}


def _naming(operations: Collection[Operation]) -> Verb:
    """The verb by which an act is called: that of the item, else its first."""
    verbs = [op.verb for op in operations]
    return next((verb for verb in verbs if verb in ITEM_OFF or verb in ITEM_BACK), verbs[0])


def _unsourced(op: Operation) -> Iterator[Ask]:
    """A joint for which the car file has no sourced torque: whose figure it was is asked once, by name."""
    figure = {"n": [op.n], "field": "torque", "how": "number", "words": "N·m" + MAY, "may": True}
    yield figure | {"puts": {"torque": {"unit": "N·m"}}}
    hold = {"gate": "torque_without_source", "item": op.item}
    source = {"n": [op.n], "field": "torque_source", "how": "word", "words": "by which publication, which page"}
    yield source | {"hold": hold, "any": True}


def _bonding(item: str) -> Iterator[Ask]:
    """The resistance to the body, measured once the joint is tight."""
    also = (BONDING_CHECKED, {"item": item}, LAST)
    hold = {"gate": "bonding", "item": item}
    yield {
        "also": also,
        "field": "value",
        "how": "number",
        "words": "resistance to the body",
        "hold": hold,
        "any": True,
        "must": True,
    }
    unit = {"also": also, "field": "unit", "how": "choice", "words": "unit", "of": [["mΩ"], ["Ω"]], "usual": "mΩ"}
    yield unit
    instrument = {"also": also, "field": "instrument", "how": "word", "words": _INSTRUMENT + MAY}
    yield instrument | {"kept": "instrument mΩ", "may": True}


def _said_of(shown: Mapping[str, Any], *, noted: bool) -> dict[str, Any]:
    """What an event says of an operation done as planned. Tightness is left out: what a plan says is no evidence.

    Args:
        shown: the operation as the pack has it.
        noted: its note is all that tells it from others.
    """
    left_out = {"torque", "torque_source"} | (set() if noted else {"note"})
    fields = (*EVENTS[DONE].must, *EVENTS[DONE].may)
    return {"planned": shown["n"]} | {name: shown[name] for name in fields if name in shown and name not in left_out}


def _with_logs(asks: list[Ask], bodies: Mapping[int, Mapping[str, Any]]) -> dict[str, Any]:
    """The lines of an act, and the events that it logs, in their order: [kind, what it says before anything is asked].

    Each line says by `to` which of the events it fills in, and by `key` what tells it from every other line.
    """
    beside: list[tuple[Any, ...]] = []
    for ask in asks:
        if "also" in ask and ask["also"] not in beside:
            beside.append(ask["also"])
    logs: list[tuple[Any, ...]] = [event for event in beside if LAST not in event[2:]]
    places = {n: at for at, n in enumerate(bodies, start=len(logs))}
    logs += [(DONE, body) for body in bodies.values()]
    logs += [event for event in beside if LAST in event[2:]]
    for at, ask in enumerate(asks):
        event, numbers = ask.pop("also", None), ask.pop("n", ())
        to = [places[n] for n in numbers] if event is None else [logs.index(event)]
        ask["key"] = f"{next(iter(bodies), 0)}.{at}"
        if to:
            ask["to"] = to
    return {"asks": asks, "logs": [[kind, body] for kind, body, *_ in logs]}


def _tick(words: str, hold: Mapping[str, str | None]) -> Ask:
    return {"how": "tick", "words": words, "usual": 0, "want": 1, "hold": hold}


def _tightness(op: Operation, shown: Mapping[str, Any], marks: Mapping[str, Any]) -> Iterator[Ask]:
    """The order of tightening, then what it was set to, by which wrench: asked only where it matters."""
    if "points" in marks:
        yield {"how": "picture", "words": order_svg(marks["points"], ring=marks["ring"])}
    if op.value_needed:
        yield from _unsourced(op)
    if "evidence" not in shown:
        return
    hold = {"gate": "torque_not_the_sources", "item": op.item}
    puts = {"torque": shown["torque"], "torque_source": op.torque_source}
    yield _tick(f"set to {shown['shown']}", hold) | {"n": [op.n], "more": f"by {op.torque_source}", "puts": puts}
    value = {"n": [op.n], "field": "torque", "how": "number", "usual": shown["torque"]["value"]}
    yield value | {"words": f"{shown['torque']['unit']}, as set"}
    wrench = {"n": [op.n], "field": "tool", "how": "word", "words": "wrench and its number" + MAY}
    yield wrench | {"kept": "wrench", "may": True}
