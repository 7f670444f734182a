"""One idea: a plan in the terminal is twin rows: the way in on the left, its way back on the right, owed ones plain.

Meaning is in the words; style only helps, so that a pipe or a printer loses nothing.
"""

from collections.abc import Iterable, Iterator

from rich import box
from rich.console import Console, Group, RenderableType
from rich.markup import escape
from rich.table import Table
from rich.text import Text

from putback.app import Planned
from putback.core.car import HAND, VALUE_NEEDED, Action
from putback.core.operations import ITEM_OFF, TWIN, Operation, Verb
from putback.faces.cli.quote_text import quote_rows
from putback.faces.names import (
    blocked,
    counted,
    energy_name,
    fasteners,
    item_name,
    proof_words,
    total_minutes,
)
from putback.faces.wrench_words import card_words, wrench_words
from putback.plan.plan import Alternative, Impossible, Plan, TorqueLine

PLAIN_WIDTH = 118


def console() -> Console:
    """A console as wide as the terminal; in a pipe plain text of a fixed width."""
    found = Console(highlight=False, soft_wrap=False)
    return found if found.is_terminal else Console(highlight=False, width=PLAIN_WIDTH, no_color=True)


def print_plan(out: Console, planned: Planned, *, full: bool) -> None:
    """Print a plan; `full` adds every list and every operation."""
    plan = planned.plan
    _heading(out, plan)
    for title, body in _sections(plan, full=full):
        out.print()
        out.print(Text(title, style="bold"))
        out.print(body)
    _closing(out, planned)


def print_impossible(out: Console, impossible: Impossible) -> None:
    """Print why a job cannot be done."""
    out.print(Text("This job cannot be done as asked:", style="bold"))
    for reach in impossible.joints:
        missing = f" · missing: {', '.join(reach.missing)}" if reach.missing else ""
        out.print(Text(f"  {reach.joint}: {reach.why}{missing}"))


def _heading(out: Console, plan: Plan) -> None:
    car = plan.car
    wanted = plan.service.name if plan.service else "renew " + ", ".join(car.items[id].name for id in plan.targets)
    out.print(Text(f"{car.name} · {wanted}", style="bold"))
    if car.invented:
        out.print(Text("An invented vehicle: no value may be used on a real one.", style="italic"))
    out.print()
    size = f"{len(plan.items)} of {len(car.items)} items, {plan.fasteners} fasteners, {total_minutes(plan)}"
    out.print(Text(f"{size} · {proof_words(plan)}"))
    for line in _ways(plan):
        out.print(Text(line))
    proof = "proved" if plan.order.proved else f"at most {plan.order.gap} from the best"
    out.print(Text(f"order: changes of tool, zone and lift cost {plan.order.cost}, {proof}"))
    for line in (*plan.without_says, *blocked(plan)):
        out.print(Text(line, style="bold" if line.startswith("STOP") else ""))


def _ways(plan: Plan) -> Iterator[str]:
    if plan.ways:
        taken = [f"{_joint(plan, joint)} by way of {way}" for joint, way in plan.ways.items()]
        yield "hidden joints: " + ", ".join(taken)
    others = plan.alternatives[1:]
    if others:
        more = "" if plan.alternatives_complete else ", and more"
        yield "otherwise: " + "; ".join(_other(plan, other) for other in others) + more


def _other(plan: Plan, other: Alternative) -> str:
    differing = [f"{joint} {way}" for joint, way in other.ways.items() if plan.ways.get(joint) != way]
    more = " or more" if plan.minutes_unknown else ""
    return f"{other.minutes:g} min{more} ({', '.join(differing)})"


def _joint(plan: Plan, id: str) -> str:
    """A joint by its item's name and its id."""
    return f"{id} of the {plan.car.items[plan.car.joint(id).item].name}"


def _sections(plan: Plan, *, full: bool) -> Iterator[tuple[str, RenderableType]]:
    if plan.energies:
        yield "Make safe (the maker's publication, local codes and licensed people decide)", _energies(plan)
    yield "Way in and way back (in and back: numbers of operations)", Group(_twin_rows(plan), _zones(plan))
    if plan.last_looks:
        yield "Last looks that cost most if forgotten", _looks(plan, most=None if full else 8)
    if plan.length_traps:
        yield "Length traps: same thread and drive, other length, kept apart", _traps(plan)
    needed = [line for line in plan.torque_card if line.value_needed]
    if needed and not full:
        yield "Value needed", Text("\n".join(f"  {line.joint.id} {plan.car.items[line.item].name}" for line in needed))
    if any(line.wrench for line in plan.torque_card) and not full:
        yield "Your wrenches", Text("\n".join(f"  {words}" for words in card_words(plan)))
    yield "Tools to pull", _tools(plan)
    yield "Parts on the shelf", _parts(plan)
    if full:
        yield "Stow places", _stow(plan)
        yield "Torque card", _card(plan)
        yield "Guards, counted", _guards(plan)
        yield "Every operation", _operations(plan)
    if plan.left_on:
        yield "Left on, and why", _left_on(plan)
    yield "Lift", Text(_mass(plan))
    yield "First quote", _quote(plan)


def _table(*heads: str, right: Iterable[int] = ()) -> Table:
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=(0, 1), header_style="dim")
    numeric = set(right)
    for index, head in enumerate(heads):
        table.add_column(head, justify="right" if index in numeric else "left", overflow="fold")
    return table


def _energies(plan: Plan) -> Table:
    table = _table("n", "energy", "how", "wait", "prove", "back", right=(0, 4, 5))
    waits = {wait.energy: wait for wait in plan.waits}
    for line in plan.energies:
        energy, wait = line.energy, waits.get(line.energy.id)
        how = energy.make_safe or (plan.car.items[energy.item].name + " off" if energy.item else "with the others")
        if energy.who:
            how += f" · {energy.who}" + (", second person named" if energy.attended else "")
        words = ""
        if wait:
            words = VALUE_NEEDED if wait.minutes is None else f"{wait.minutes:g} min, {wait.idle_minutes:g} idle"
        needed = f" (blocked, {' and '.join(line.value_needed)}: {VALUE_NEEDED})" if line.value_needed else ""
        table.add_row(
            str(line.isolate or ""),
            escape(energy_name(plan, energy.id) + needed),
            escape(how),
            words,
            str(line.prove or ""),
            str(line.restore or ""),
        )
    return table


def _twin_rows(plan: Plan) -> Table:
    table = _table("in", "off", "", "item", "tight", "back", "if forgotten", right=(0, 1, 5, 6))
    by_number = {operation.n: operation for operation in plan.operations}
    joints: dict[str, list[Operation]] = {}
    for operation in plan.operations:
        if operation.verb is Verb.UNDO and operation.item:
            joints.setdefault(operation.item, []).append(operation)
    for operation in plan.operations:
        if operation.verb not in ITEM_OFF or operation.item is None:
            continue
        undone = joints.get(operation.item, [])
        tight = [by_number[undo.twin] for undo in undone if undo.twin]
        two = " · 2 people" if operation.people > 1 else ""
        held_by = ", ".join(fasteners(plan.car.joint(undo.joint or "")) for undo in undone)
        table.add_row(
            str(operation.n),
            escape(_off(operation, held_by) + two),
            operation.zone or "",
            Text(plan.car.items[operation.item].name, style="bold"),
            escape(_all_tight(tight) or TWIN[operation.verb]),
            str(operation.twin or "owed"),
            plan.rework_words(operation.item),
        )
    return table


def _off(operation: Operation, held_by: str) -> str:
    if not held_by:
        return str(operation.verb)
    return held_by if operation.verb is Verb.REMOVE else f"{held_by}, {operation.verb}"


def _head(undo: Operation) -> str:
    return " ".join(text for text in (undo.thread, undo.drive if undo.drive != HAND else None) if text)


def _all_tight(operations: list[Operation]) -> str:
    """How the joints of an item are tightened, in the order in which they are named; once if all are alike."""
    each = [_tight(operation) for operation in operations]
    return each[0] if len(set(each)) == 1 else ", ".join(each)


def _tight(operation: Operation) -> str:
    if operation.torque:
        return str(operation.torque)
    return VALUE_NEEDED if operation.value_needed else "home"


def _looks(plan: Plan, most: int | None) -> Table:
    table = _table("min", "look at", "for", "before", right=(0,))
    rows = [(line, look) for look in plan.last_looks for line in look.looks]
    rows.sort(key=lambda row: -row[0].rework_minutes)
    for line, look in rows[:most]:
        names, minutes = plan.car.items, plan.rework_figure(line.item)
        before = f"{names[look.before].name} (n {look.n})"
        table.add_row(minutes, escape(names[line.item].name), escape(line.ask), escape(before))
    return table


def _traps(plan: Plan) -> Table:
    table = _table("fastener", "mm", "of", right=(1,))
    for trap in plan.length_traps:
        for row, (length, joints) in enumerate(trap.joints_by_length_mm.items()):
            names = dict.fromkeys(plan.car.items[plan.car.joint(id).item].name for id in joints)
            kind = f"{trap.thread} {trap.drive}" if row == 0 else ""
            table.add_row(kind, f"{length:g}", escape(", ".join(names)))
    return table


def _zones(plan: Plan) -> Text:
    used = dict.fromkeys(operation.zone for operation in plan.operations if operation.zone)
    names = [f"{id} {plan.car.zones[id].name}" for id in sorted(used) if id in plan.car.zones]
    return Text("zones: " + " · ".join(names), style="dim")


def _tools(plan: Plan) -> Table:
    table = _table("tool", "joints", "torque", right=(1,))
    for line in plan.tools:
        torque = ""
        if line.least_torque_nm is not None and line.most_torque_nm is not None:
            same = line.least_torque_nm == line.most_torque_nm
            torque = f"{line.least_torque_nm:.4g}" + ("" if same else f" to {line.most_torque_nm:.4g}") + " N·m"
        if line.crow_foot:
            torque += " at the bolt; set the wrench for the crow-foot"
        table.add_row(escape(line.tool), str(len(line.joints)), torque)
    return table


def _parts(plan: Plan) -> Table:
    table = _table("part", "", "price", right=(2,))
    for line in plan.parts:
        price = "" if line.price is None else f"{line.price:,.2f}"
        table.add_row(escape(line.name), "one-time, new" if line.one_time else "", price)
    return table


def _stow(plan: Plan) -> Table:
    table = _table("place", "lies there")
    for line in plan.stow:
        joints = "; ".join(
            f"{fasteners(joint)} ({joint.id} {plan.car.items[joint.item].name})" for joint in line.joints
        )
        table.add_row(line.place + (" trap" if line.trap else ""), escape(joints))
    return table


def _card(plan: Plan) -> Table:
    judged = any(line.wrench for line in plan.torque_card)
    table = _table("joint", "item", "fasteners", "torque", "source", "how", *(["your wrench"] if judged else []))
    for line in plan.torque_card:
        joint = line.joint
        torque = joint.sourced_torque
        table.add_row(
            joint.id,
            escape(plan.car.items[line.item].name),
            escape(fasteners(joint)),
            str(torque) if torque else VALUE_NEEDED,
            escape(joint.source or "" if torque else ""),
            escape(_how(line)),
            *([escape("\n".join(wrench_words(line)))] if judged else []),
        )
    return table


def _how(line: TorqueLine) -> str:
    joint = line.joint
    parts = [
        joint.pattern or "",
        "passes " + "/".join(f"{share:g}" for share in joint.passes_percent) + " %" if joint.passes_percent else "",
        "new fasteners" if joint.one_time or line.renewed_by else "",
        f"with {' + '.join(line.tools)}" if len(line.tools) > 1 else "",
        f"check again after {joint.recheck}" if joint.recheck else "",
    ]
    return ", ".join(part for part in parts if part)


def _guards(plan: Plan) -> Table:
    table = _table("guard", "at", "pieces", "in", "out", right=(2, 3, 4))
    for line in plan.guards:
        at = plan.car.items[line.item].name if line.item else "whole job"
        table.add_row(escape(line.name), escape(at), str(line.pieces), str(line.put_in), str(line.taken_out))
    return table


def _operations(plan: Plan) -> Table:
    table = _table("n", "zone", "do", "what", "note", "twin", right=(0, 5))
    for operation in plan.operations:
        table.add_row(
            str(operation.n),
            operation.zone or "",
            str(operation.verb),
            escape(_what(plan, operation)),
            escape(_noted(operation)),
            str(operation.twin or ""),
        )
    return table


def _what(plan: Plan, operation: Operation) -> str:
    """The thing an operation is about, by its name."""
    car = plan.car
    if operation.guard:
        name = car.guards[operation.guard].name
        return f"{operation.count} × {name}" if (operation.count or 1) > 1 else name
    if operation.energy and not operation.fluid:
        return car.energies[operation.energy].kind
    if operation.fluid:
        litres = "" if operation.litres is None else f", {operation.litres:g} l"
        return f"{operation.fluid}{litres}"
    name = car.items[operation.item].name if operation.item else ""
    if operation.joint and operation.verb is not Verb.RENEW:
        return f"{operation.count} × {_head(operation)} of {name}"
    return name


def _noted(operation: Operation) -> str:
    torque = str(operation.torque) if operation.torque else ""
    needed = VALUE_NEEDED if operation.value_needed and VALUE_NEEDED not in operation.note else ""
    stow = f"to {operation.stow}" if operation.stow else ""
    return " · ".join(text for text in (torque, needed, stow, operation.note) if text)


def _left_on(plan: Plan) -> Table:
    table = _table("item", "why it may stay")
    reasons: dict[str, list[str]] = {}
    for id, why in plan.left_on.items():
        reasons.setdefault(why, []).append(plan.car.items[id].name)
    for why, names in reasons.items():
        table.add_row(escape(", ".join(names)), escape(why))
    return table


def _mass(plan: Plan) -> str:
    mass = plan.mass
    text = f"  {mass.off_kg:g} kg off" if mass.off_kg or not mass.unknown else "  mass that comes off not known"
    if mass.rearward_mm is not None:
        text += f", centre of gravity {_moved(mass.rearward_mm)}"
    if mass.rearward_drained_mm is not None:
        text += f", {_moved(mass.rearward_drained_mm)} with fluids out"
    if mass.limit_mm is not None:
        text += f" (your limit {mass.limit_mm:g} mm)"
    if mass.unknown:
        text += f" · mass or place unknown: {', '.join(item_name(plan, id) for id in mass.unknown)}"
    return text


def _moved(millimetres: float) -> str:
    return f"{abs(millimetres):.0f} mm {'rearward' if millimetres >= 0 else 'forward'}"


def _quote(plan: Plan) -> Table:
    table = _table("", "", right=(1,))
    table.show_header = False
    for what, amount in quote_rows(plan.quote):
        table.add_row(what, amount)
    return table


def _closing(out: Console, planned: Planned) -> None:
    out.print()
    for finding in planned.plan.findings:
        out.print(Text(f"note: {finding}"))
    wrong = [finding for finding in planned.audit if finding.kind == "fault"]
    for finding in wrong:
        out.print(Text(f"fault: {finding}", style="bold"))
    unplugged = sum(1 for id in planned.plan.items if planned.plan.car.items[id].action is Action.UNPLUG)
    count = len(planned.plan.operations)
    verdict = "its own audit finds nothing" if not wrong else f"its own audit finds {counted(len(wrong), 'fault')}"
    told = f"{counted(count, 'operation')}, {counted(unplugged, 'connector')} unplugged, every one with its twin"
    out.print(Text(f"{told}; {verdict}."))
    if planned.plan.interrupted:
        out.print(Text("Interrupted: this is the best found so far."))
