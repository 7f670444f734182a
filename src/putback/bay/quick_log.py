"""One idea: without a page, a line is logged only where its act's sheet asks nothing more than a line can say.

What would be asked once by name is a hold: it is logged as passed, where somebody passes it. What is shut stays shut.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from putback.bay.now import Now, Standing, looks_of
from putback.bay.quick import Chip, Pack, Stand
from putback.core.gates import Override
from putback.core.record.kinds import DONE

Fact = tuple[str, Mapping[str, Any]]
_SAYS_SHUT = "shut: {}"
_MORE = "its sheet asks more than a line can say ({}): log it on the bay page"


@dataclass(frozen=True, slots=True, kw_only=True)
class Loggable:
    """What a chip logs: `facts` as events, after `holds` were passed by somebody; nothing where `refused` says why."""

    facts: tuple[Fact, ...]
    holds: tuple[Mapping[str, str], ...]
    refused: str = ""


def stand_of(now: Now, pack: Pack) -> Stand:
    """Where a job stands, as a line needs it."""
    return Stand(
        left=[[n for n in act["operations"] if n not in now.done] for act in pack["acts"]],
        standing=[str(one) for one in now.standing],
        off={joint: owed.off for joint, owed in now.counts.items()},
        suggested=now.suggested,
    )


def loggable(pack: Pack, now: Now, chip: Chip) -> Loggable:
    """What a chip would log now, or why it may not be logged by a line."""
    act = pack["acts"][chip.act]
    shut = [gate for gate in now.shut.get(chip.act, ()) if gate.override is not Override.ASKED]
    if shut:
        return _refused(_SAYS_SHUT.format(", ".join(dict.fromkeys(str(gate.kind) for gate in shut))))
    more = [*_more(pack, now, chip)]
    if more:
        return _refused(_MORE.format(", ".join(more)))
    bodies = _bodies(pack, chip)
    holds = [{"gate": "line differs", "note": note} for note in chip.differs] + [*_gates(pack, now, chip)]
    for ask in _asks(act, chip):
        value, usual = _value(now, ask, chip), _usual(now, ask)
        hold = ask.get("hold")
        wanted = ask.get("want", usual)
        if hold and value != wanted:
            counted = f" / {wanted}" if ask.get("field") == "count" else ""
            said = f"{ask['words']}: {'not said' if value in (None, '') else value}{counted}"
            holds.append({name: text for name, text in hold.items() if text} | {"note": said})
        _fill(bodies, ask, value)
    return Loggable(facts=tuple((DONE, body) for body in bodies.values()), holds=tuple(holds))


def _refused(why: str) -> Loggable:
    return Loggable(facts=(), holds=(), refused=why)


def _asks(act: Mapping[str, Any], chip: Chip) -> Iterator[Mapping[str, Any]]:
    """The lines of the sheet that fill in what the chip counts."""
    own = {at for at, (_, body) in enumerate(act["logs"]) if body.get("planned") in chip.operations}
    return (ask for ask in act["asks"] if not own.isdisjoint(ask.get("to", ())))


def _more(pack: Pack, now: Now, chip: Chip) -> Iterator[str]:
    """What is asked that a line does not answer: readings, comparisons, last looks, litres and the like."""
    act = pack["acts"][chip.act]
    yield from dict.fromkeys(kind for kind, body in act["logs"] if "planned" not in body)
    left = sum(n not in now.done for n in act["operations"])
    if act["does"] == "on" and len(chip.operations) == left and looks_of(pack, now, act["thing"]):
        yield "a last look"
    for ask in _asks(act, chip):
        needed = ask["how"] == "tick" or (ask["how"] not in ("say", "picture") and not ask.get("may"))
        if needed and _value(now, ask, chip) in (None, "", 0) and ask.get("field") != "count":
            yield str(ask["words"])


def _bodies(pack: Pack, chip: Chip) -> dict[int, dict[str, Any]]:
    """The events of the operations, as planned, with what the line says beside."""
    bodies: dict[int, dict[str, Any]] = {}
    counts = {op["n"]: op.get("count") for op in pack["operations"]}
    for at, (_, body) in enumerate(pack["acts"][chip.act]["logs"]):
        if body.get("planned") in chip.operations:
            bodies[at] = dict(body) | (dict(chip.more) if counts[body["planned"]] else {})
    return bodies


def _gates(pack: Pack, now: Now, chip: Chip) -> Iterator[dict[str, str]]:
    """What is asked once before the act: what comes first, and what intake and shelf lack."""
    for gate in now.shut.get(chip.act, ()):
        named = {"gate": gate.about or str(gate.kind), "item": gate.item, "note": gate.why}
        yield {name: text for name, text in named.items() if text}
    if now.standing[chip.act] is Standing.LATER:
        for before in pack["acts"][chip.act]["after"]:
            if now.standing[before] is not Standing.DONE:
                first = pack["acts"][before]["title"]
                yield {"gate": "order", "item": pack["acts"][chip.act]["thing"], "note": f"comes first: {first}"}


def _usual(now: Now, ask: Mapping[str, Any]) -> Any:
    owed = now.counts.get(ask.get("joint", ""))
    return owed.off if owed else ask.get("usual")


def _value(now: Now, ask: Mapping[str, Any], chip: Chip) -> Any:
    return chip.given.get(ask["key"], _usual(now, ask))


def _fill(bodies: Mapping[int, dict[str, Any]], ask: Mapping[str, Any], value: Any) -> None:
    """Fill in what one line of the sheet says."""
    field = ask.get("field")
    for at in ask["to"]:
        if at not in bodies or value in (None, ""):
            continue
        bodies[at].update(ask.get("puts", {}))
        if field == "torque" and "torque" in bodies[at]:
            bodies[at]["torque"] = {**bodies[at]["torque"], "value": float(value)}
        elif field and field != "torque":
            bodies[at][field] = value
