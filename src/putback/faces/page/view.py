"""One idea: what the page says is chosen here, as plain text; the template only sets it."""

from dataclasses import dataclass

from putback.core.car import VALUE_NEEDED, Energy
from putback.core.operations import Operation, Verb
from putback.core.price import Addition
from putback.faces.draw.levels import Level, Shape, levels
from putback.faces.names import NO_PRICE, counted, energy_name, item_name, zone_name
from putback.faces.page.table import Table, columns, figure, listed, money
from putback.plan.plan import EnergyLine, Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One line of a list of facts; `needed`: a value is missing."""

    name: str
    words: str
    needed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyCard:
    """An energy with all that is said of it; `high`: it gets its caution beside it."""

    name: str
    number: int
    facts: tuple[Fact, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TwinRow:
    """A twin row: in on the left, back on the right. `zone` is named where it changes."""

    zone: str
    way_in: str
    back: str
    name: str
    way_in_verb: str
    back_verb: str
    held: str
    torque: str
    signs: tuple[str, ...]
    hazards: str
    value_needed: bool
    owed: bool
    energy: bool
    target: bool


def figures(plan: Plan) -> tuple[Fact, ...]:
    """The headline figures."""
    gap = "proved least" if plan.proved else f"up to {plan.gap_minutes:g} above the bound"
    order = "proved" if plan.order.proved else f"gap {plan.order.gap}"
    facts = [
        Fact(name="items in the work", words=f"{len(plan.items)} of {len(plan.car.items)}"),
        Fact(name="fasteners", words=str(plan.fasteners)),
        _minutes(plan, gap),
        Fact(name=f"changes of tool, zone and lift, {order}", words=str(plan.order.cost)),
        _price(plan),
    ]
    if plan.quote.known and plan.quote.most > plan.quote.total:
        facts.append(Fact(name="if every finding turns up", words=money(plan.quote.most)))
    return tuple(facts)


def _minutes(plan: Plan, gap: str) -> Fact:
    if plan.minutes_unknown:
        some = f"{plan.minutes_off:g} + {plan.minutes_on:g} or more" if plan.minutes else "not known"
        return Fact(name=f"minutes; those of {counted(len(plan.minutes_unknown), 'item')} are not known", words=some)
    return Fact(name=f"minutes, {gap}", words=f"{plan.minutes_off:g} + {plan.minutes_on:g} = {plan.minutes:g}")


def _price(plan: Plan) -> Fact:
    if not plan.quote.known:
        return Fact(name="quote; minutes of the work are not known", words="no price")
    name = "quote, labour only" if plan.quote.labour_only else "quote"
    return Fact(name=name, words=money(plan.quote.total))


def energy_cards(plan: Plan) -> tuple[EnergyCard, ...]:
    """The energies in the order in which they are made safe."""
    return tuple(
        EnergyCard(name=energy_name(plan, line.energy.id), number=place, facts=tuple(_energy_facts(plan, line)))
        for place, line in enumerate(plan.energies, start=1)
    )


def _energy_facts(plan: Plan, line: EnergyLine) -> list[Fact]:
    energy = line.energy
    pairs = [
        ("by", item_name(plan, energy.item)),
        ("voltage", figure(energy.volts, "V")),
        ("who", energy.who or ""),
        ("second person", "named, present" if energy.attended else ""),
        ("before it", listed(energy.before_it)),
        ("make safe", energy.make_safe or ""),
        ("lock", energy.lock or ""),
        ("never", listed(energy.forbid)),
    ]
    facts = [Fact(name=name, words=words) for name, words in pairs if words]
    if energy.wait is not None:
        needed = "wait" in line.value_needed
        words = (
            VALUE_NEEDED
            if needed
            else f"{figure(energy.wait.minutes, 'min')} from {item_name(plan, energy.wait.start)}"
        )
        facts.append(Fact(name="wait", words=words, needed=needed))
    needed = "proof" in line.value_needed or energy.proof is None
    facts.append(Fact(name="proof", words=VALUE_NEEDED if needed else _proof(energy), needed=needed))
    numbers = [
        f"{word} at {n}"
        for word, n in (("isolate", line.isolate), ("prove", line.prove), ("restore", line.restore))
        if n is not None
    ]
    facts.append(Fact(name="operations", words=listed(numbers)))
    if energy.expected_codes:
        facts.append(Fact(name="codes expected", words=listed(energy.expected_codes)))
    return facts


def _proof(energy: Energy) -> str:
    proof = energy.proof
    if proof is None:
        return VALUE_NEEDED
    if proof.points:
        within = f", within {proof.within_minutes:g} min" if proof.within_minutes is not None else ""
        return f"prove-test-prove at {listed(proof.points)}, at most {proof.at_most}{within}"
    if proof.measure:
        return f"{proof.measure}, at most {proof.at_most}"
    return proof.check or ""


def twin_rows(plan: Plan) -> tuple[TwinRow, ...]:
    """The plan as twin rows, from the rim to the floor."""
    by_number = {operation.n: operation for operation in plan.operations}
    rows: list[TwinRow] = []
    last: str | None = None
    for level in levels(plan):
        named = level.zone is not None and level.zone != last
        rows.append(_twin_row(plan, level, by_number, zone_name(plan, level.zone) if named else ""))
        last = level.zone
    return tuple(rows)


def _twin_row(plan: Plan, level: Level, by_number: dict[int, Operation], zone: str) -> TwinRow:
    back = by_number.get(level.way_back or 0)
    signs = []
    if level.guards:
        signs.append(f"{level.guards} guard {'piece' if level.guards == 1 else 'pieces'}")
    if level.new_parts:
        signs.append(f"{level.new_parts} new")
    if level.dearest is not None:
        signs.append(f"last look, {level.dearest_words}" if level.dearest else "last look")
    if level.people > 1:
        signs.append(f"{level.people} people")
    return TwinRow(
        zone=zone,
        way_in=str(level.way_in),
        back=str(level.way_back or ""),
        name="" if level.shape is Shape.READ else level.name,
        way_in_verb=str(by_number[level.way_in].verb),
        back_verb=str(back.verb) if back else "no twin",
        held=f"{level.fasteners} fastener{'s' if level.fasteners > 1 else ''}" if level.fasteners else level.note,
        torque=level.torque,
        signs=tuple(signs),
        hazards=_hazards(plan, level.item) if level.shape is not Shape.SAFE else "",
        value_needed=level.value_needed,
        owed=not level.back,
        energy=level.shape is Shape.SAFE,
        target=level.target,
    )


def _hazards(plan: Plan, id: str | None) -> str:
    """The energies that must be gone before an item is touched."""
    if id is None or id not in plan.car.items:
        return ""
    wanted = {line.energy.id for line in plan.energies}
    return listed(energy_name(plan, one) for one in plan.car.energies_of(plan.car.items[id]) if one in wanted)


def operations(plan: Plan) -> Table:
    """Every operation from the first to the last."""
    rows: list[tuple[str, ...]] = []
    last: str | None = None
    for operation in plan.operations:
        if operation.zone is not None and operation.zone != last:
            rows.append((zone_name(plan, operation.zone),))
            last = operation.zone
        rows.append(_operation(plan, operation))
    return Table(
        id="operations",
        title="Operations",
        says="The way in, the work, the way back, with the number of each twin.",
        columns=columns("#n", "~operation", "~with", "tightness and notes", "#twin"),
        rows=tuple(rows),
    )


def _operation(plan: Plan, operation: Operation) -> tuple[str, ...]:
    thing = item_name(plan, operation.item)
    if operation.guard:
        name = plan.car.guards[operation.guard].name
        thing = f"{name}, at {thing}" if thing else name
    elif operation.energy and operation.verb not in (Verb.DRAIN, Verb.FILL):
        thing = energy_name(plan, operation.energy) + (f", by {thing}" if thing else "")
    elif operation.fluid:
        thing = f"{operation.fluid} fluid" + (f" at {thing}" if thing else "")
    thread, drive = operation.thread or "", operation.drive or ""
    held = thread if thread and drive.startswith(f"{thread}-") else f"{thread} {drive}".strip()
    count = f"{operation.count} × {held}".strip() if operation.count and held else ""
    if operation.guard and operation.count:
        count = f"{operation.count} piece{'s' if operation.count > 1 else ''}"
    handled = [tool for tool in operation.tools if tool not in {operation.drive, "hand"}]
    beside = [
        str(operation.torque) if operation.torque else "",
        VALUE_NEEDED if operation.value_needed else "",
        figure(operation.litres, "l"),
        f"stow in {operation.stow}" if operation.stow else "",
        f"{operation.people} people" if operation.people > 1 else "",
        f"needs gone: {hazards}"
        if operation.verb is Verb.UNDO and (hazards := _hazards(plan, operation.item))
        else "",
        operation.note if operation.guard is None or operation.note != plan.car.guards[operation.guard].name else "",
    ]
    return (
        str(operation.n),
        f"{operation.verb} {thing}".strip(),
        listed([part for part in (count, *handled) if part]),
        " · ".join(dict.fromkeys(part for part in beside if part)),
        str(operation.twin or ""),
    )


def quote(plan: Plan) -> Table:
    """The first quote, line by line."""
    q = plan.quote
    if not q.known:
        return Table(id="quote", title="Quote", columns=columns("", "for", "#amount"), rows=((NO_PRICE,),))
    hours = f"{q.minutes:g} min = {q.minutes / 60:.1f} h at {q.rate_per_hour:g}"
    rows = [("labour", hours, money(q.labour))]
    rows += [("part", name.replace("_", " "), money(price)) for name, price in q.parts.items()]
    if q.consumables:
        rows.append(("consumables", "", money(q.consumables)))
    rows += [("sublet", name, money(price)) for name, price in q.sublet.items()]
    rows.append(("total", "if nothing turns up" if q.additions else "", money(q.total)))
    rows += [
        ("may turn up", _addition(one), "price open" if one.open_ended else f"+ {money(one.total)}")
        for one in q.additions
    ]
    if q.most > q.total:
        rows.append(("at most", "if every priced finding turns up", money(q.most)))
    minutes = [("work", q.work_minutes), *q.other_minutes.items()]
    says = "Minutes sold: " + listed(f"{name} {value:g}" for name, value in minutes) + "."
    if q.labour_only:
        says += " Labour only: no service of the file has exactly these targets."
    return Table(
        id="quote",
        title="Quote",
        says=says,
        columns=columns("", "for", "#amount"),
        rows=tuple(rows),
    )


def _addition(one: Addition) -> str:
    chance = f", chance {one.chance:.0%}" if one.chance is not None else ""
    minutes = f", {one.minutes:g} min" if one.minutes else ""
    return f"{one.trigger}{chance}{minutes}"


def mass(plan: Plan) -> tuple[str, ...]:
    """What leaves the lift and where the centre of gravity goes, in sentences."""
    line = plan.mass
    known = line.off_kg or not line.unknown
    says = [f"{line.off_kg:g} kg come off the car." if known else "The mass of what comes off is not known."]
    if line.rearward_mm is None:
        says.append(f"How far the centre of gravity moves is not known: {VALUE_NEEDED} (mass, wheelbase or arms).")
    else:
        says.append(f"The centre of gravity moves {line.rearward_mm:.0f} mm rearward.")
    if line.fluids_kg and line.rearward_drained_mm is not None:
        says.append(f"With {line.fluids_kg:g} kg of fluid out as well it is {line.rearward_drained_mm:.0f} mm.")
    if line.limit_mm is not None:
        says.append(f"Your own limit is {line.limit_mm:g} mm.")
    if line.unknown:
        says.append(f"Without figures in the file: {listed(item_name(plan, id) for id in line.unknown)}.")
    return tuple(says)
