"""One idea: the words of a picture are chosen in one place: its heading, its legend, what is dear to forget."""

from collections.abc import Sequence
from dataclasses import dataclass

from putback.core.operations import Verb
from putback.faces.draw.levels import Level, Renewal, Shape
from putback.faces.names import counted, total_minutes
from putback.plan.plan import LookLine, Plan

INVENTED = "invented vehicle: no value may be used on a real one"


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """What stands above a picture."""

    title: str
    car: str
    figures: tuple[str, ...]


def heading(plan: Plan) -> Heading:
    """The job, the car and the figures that a plan is known by."""
    names = ", ".join(plan.car.items[id].name for id in plan.targets)
    title = plan.service.name if plan.service else f"renew {names}"
    car = f"{plan.car.name} ({INVENTED})" if plan.car.invented else plan.car.name
    proof = "proved least" if plan.proved else f"best found, up to {plan.gap_minutes:g} min above the bound"
    return Heading(
        title=title[:1].upper() + title[1:],
        car=car,
        figures=(
            f"{len(plan.items)} of {len(plan.car.items)} items",
            counted(plan.fasteners, "fastener"),
            total_minutes(plan),
            proof,
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of the legend: a sample level to draw the mark of, or the name of a small sign, and its words."""

    words: str
    sample: Level | None = None
    sign: str = ""


_SAMPLES = (
    (Shape.OFF, "taken off; a dot is a threaded fastener, a stroke a clip or clamp"),
    (Shape.UNPLUGGED, "connector unplugged"),
    (Shape.PARTED, "line or lead parted"),
    (Shape.ASIDE, "swung aside, still attached"),
    (Shape.FOLDED, "folded"),
    (Shape.SAFE, "energy made safe, given back"),
    (Shape.DRAINED, "drained, filled"),
    (Shape.READ, "codes read before, after"),
)


def legend(rows: Sequence[Level], new: Sequence[Renewal]) -> tuple[Entry, ...]:
    """The signs that a picture uses, and only those."""
    entries = [Entry(words=words, sample=_sample(shape)) for shape, words in _SAMPLES if _uses(rows, shape)]
    if any(row.target for row in rows):
        entries.append(Entry(words="to be renewed", sample=_sample(Shape.OFF, target=True)))
    owed = [row for row in rows if row.way_back is not None and not row.back]
    if owed:
        entries.append(Entry(words="twin owed", sign="owed"))
    if len(owed) < len(rows):
        entries.append(Entry(words="twin done", sign="done"))
    if any(row.guards for row in rows):
        entries.append(Entry(words="guard in, guard out (pieces)", sign="guard"))
    if any(row.new_parts for row in rows) or any(not one.target for one in new):
        entries.append(Entry(words="new one-time part on the way back", sign="new"))
    if any(row.dearest is not None for row in rows):
        entries.append(Entry(words="last look before it goes back; minutes if forgotten", sign="look"))
    if any(row.value_needed for row in rows) or any(one.value_needed for one in new):
        entries.append(Entry(words="value needed: no source gives it", sign="value"))
    return tuple(entries)


def dearest(plan: Plan, most: int = 8) -> tuple[tuple[str, str], ...]:
    """What costs most to get back to if forgotten: minutes and name, dearest first."""
    looks: dict[str, LookLine] = {}
    for last in plan.last_looks:
        for look in last.looks:
            if look.item not in looks or looks[look.item].rework_minutes < look.rework_minutes:
                looks[look.item] = look
    items = plan.car.items
    order = sorted(looks.values(), key=lambda look: (-look.rework_minutes, look.item))
    return tuple(
        (plan.rework_words(look.item), items[look.item].name if look.item in items else look.item)
        for look in order[:most]
        if look.rework_minutes > 0
    )


def level_says(level: Level) -> str:
    """A level in words, for a pointer that rests on it and for readers of the screen."""
    back = f"back at operation {level.way_back}" if level.way_back is not None else "no twin"
    words = [f"{level.name}: {level.shape} at operation {level.way_in}, {back}"]
    if level.fasteners:
        words.append(counted(level.fasteners, "fastener"))
    if level.torque:
        words.append(level.torque)
    if level.note:
        words.append(level.note)
    if level.guards:
        words.append(f"{level.guards} guard pieces")
    if level.new_parts:
        words.append(f"{level.new_parts} new one-time parts")
    if level.looks:
        words.append(f"last look at {level.looks} before it goes back")
    return "; ".join(words)


def way_in_words(plan: Plan) -> str:
    """What stands over the left slope."""
    return f"way in, {plan.minutes_off:g} min" if not plan.minutes_unknown else "way in"


def way_back_words(plan: Plan) -> str:
    """What stands over the right slope."""
    return f"way back, {plan.minutes_on:g} min" if not plan.minutes_unknown else "way back"


def words_after(plan: Plan) -> str:
    """What follows the way back and has no twin: relearns and the road test."""
    relearns = sum(1 for operation in plan.operations if operation.verb is Verb.RELEARN)
    words = [f"{relearns} to relearn"] if relearns else []
    if any(operation.verb is Verb.ROAD_TEST for operation in plan.operations):
        words.append("road test")
    return f"then {', '.join(words)}" if words else ""


def _uses(rows: Sequence[Level], shape: Shape) -> bool:
    return any(row.shape is shape for row in rows)


def _sample(shape: Shape, *, target: bool = False) -> Level:
    threaded, other = (3, 2) if shape is Shape.OFF and not target else (0, 0)
    return Level(
        shape=shape,
        name="",
        item=None,
        zone=None,
        way_in=0,
        way_back=None,
        threaded=threaded,
        other=other,
        target=target,
    )
