"""One idea: what a plan gives beside its order, one function for each list, gathered in `TABLES`."""

from collections.abc import Callable

from putback.core.car import HAND, VALUE_NEEDED
from putback.faces.names import fasteners, item_name, thing_name, zone_name
from putback.faces.page.table import Table, columns, figure, listed, money
from putback.faces.wrench_words import wrench_words
from putback.plan.plan import Plan, TorqueLine


def tools(plan: Plan) -> Table:
    """The pull list."""
    rows = []
    for line in plan.tools:
        low, high = line.least_torque_nm, line.most_torque_nm
        torque = "" if low is None else figure(low, "N·m") if low == high else f"{low:g} to {high:g} N·m"
        kind = "crow-foot" if line.crow_foot else figure(line.length_mm, "mm")
        items = dict.fromkeys(item_name(plan, plan.car.joint(id).item) for id in line.joints)
        rows.append((line.tool, kind, torque, listed(items)))
    heads = columns("~tool", "~length or kind", "#torque it must cover", "for")
    return Table(id="tools", title="Tools to pull", columns=heads, rows=tuple(rows))


def parts(plan: Plan) -> Table:
    """Parts to have on the shelf."""
    rows = [(line.name, "one-time, new" if line.one_time else "", figure_or_open(line.price)) for line in plan.parts]
    count = sum(line.one_time for line in plan.parts)
    return Table(
        id="parts",
        title="Parts and one-time parts",
        says="On the shelf before the first joint is undone.",
        columns=columns("part", "", "#price"),
        rows=tuple(rows),
        sum=f"{count} one-time",
    )


def figure_or_open(price: float | None) -> str:
    """A price, or nothing where the file gives none."""
    return "" if price is None else money(price)


def stow(plan: Plan) -> Table:
    """What lies where."""
    rows = []
    for line in plan.stow:
        held = "\n".join(f"{fasteners(joint)}: {item_name(plan, joint.item)}" for joint in line.joints)
        rows.append((line.place, zone_name(plan, line.zone), held, "length trap: keep apart" if line.trap else ""))
    return Table(
        id="stow", title="Stow places", columns=columns("~place", "~zone", "fasteners", "!"), rows=tuple(rows)
    )


def length_traps(plan: Plan) -> Table:
    """Same thread and drive, other length."""
    rows = []
    for trap in plan.length_traps:
        lengths = [
            f"{length:g} mm: {listed(dict.fromkeys(item_name(plan, plan.car.joint(id).item) for id in ids))}"
            for length, ids in trap.joints_by_length_mm.items()
        ]
        rows.append((trap.thread, trap.drive, "\n".join(lengths)))
    return Table(
        id="length-traps",
        title="Length traps",
        says="Same thread, same drive, other length: measure before you start one.",
        columns=columns("thread", "drive", "length, and where it belongs"),
        rows=tuple(rows),
    )


def torque_card(plan: Plan) -> Table:
    """How tight, and who says so; and with which wrench, where a tool list was given."""
    judged = any(line.wrench for line in plan.torque_card)
    rows = []
    for line in plan.torque_card:
        joint = line.joint
        value = VALUE_NEEDED if line.value_needed else str(joint.sourced_torque or "")
        row = (item_name(plan, line.item), fasteners(joint), value, _how(plan, line), joint.source or "", _tools(line))
        rows.append((*row, "\n".join(wrench_words(line))) if judged else row)
    heads = columns("item", "~fasteners", "#tightness", "how", "~source", "with", *(["your wrench"] if judged else []))
    needed = sum(line.value_needed for line in plan.torque_card)
    return Table(
        id="torque",
        title="Torque card",
        says=f"All fasteners of an item are started before any is tightened. {_sources(plan)}",
        columns=heads,
        rows=tuple(rows),
        sum=f"{needed} × value needed" if needed else "",
    )


def _how(plan: Plan, line: TorqueLine) -> str:
    """Pattern, passes, angle, treatment, recheck and renewal of a joint."""
    joint = line.joint
    words = [f"pattern {joint.pattern}"] if joint.pattern else []
    if joint.passes_percent:
        words.append(f"passes {' / '.join(f'{share:g} %' for share in joint.passes_percent)}")
    if joint.torque and joint.torque.angles_deg:
        words.append("angle tightening: in one run, never twice")
    if joint.thread_treatment:
        words.append(f"thread {joint.thread_treatment}")
    if joint.recheck:
        words.append(f"check again after {joint.recheck}")
    if joint.one_time:
        words.append("new fasteners")
    if line.renewed_by:
        words.append(f"brought new by {item_name(plan, line.renewed_by)}")
    return "\n".join(words)


def _tools(line: TorqueLine) -> str:
    """The tools that the drive does not name already."""
    return listed(tool for tool in line.tools if tool not in {line.joint.drive, HAND})


def _sources(plan: Plan) -> str:
    """The sources of the card, each in full."""
    ids = dict.fromkeys(line.joint.source for line in plan.torque_card if line.joint.source)
    named = [f"{id}: {plan.car.sources[id]}" for id in ids if id in plan.car.sources]
    return f"Sources: {'; '.join(named)}." if named else ""


def last_looks(plan: Plan) -> Table:
    """What is seen for the last time, dearest first."""
    looks = [(look, line) for look in plan.last_looks for line in look.looks]
    looks.sort(key=lambda pair: (-pair[1].rework_minutes, pair[0].n))
    rows = [
        (
            plan.rework_figure(line.item),
            item_name(plan, line.item),
            line.ask,
            item_name(plan, look.before),
            str(look.n),
        )
        for look, line in looks
    ]
    return Table(
        id="last-looks",
        title="Last looks",
        says="Seen for the last time before something covers it; the minutes are what it costs to get back to it.",
        columns=columns("#minutes if forgotten", "look at", "for", "before this goes back", "#operation"),
        rows=tuple(rows),
    )


def forgotten(plan: Plan) -> Table:
    """Rework minutes of everything that can be forgotten."""
    order = sorted(plan.rework.items(), key=lambda pair: -pair[1])
    rows = tuple((plan.rework_figure(key), thing_name(plan, key)) for key, minutes in order if minutes > 0)
    return Table(
        id="forgotten",
        title="Rework minutes of each item, joint and guard",
        columns=columns("#min", "if this is forgotten"),
        rows=rows,
        dense=True,
    )


def waits(plan: Plan) -> Table:
    """Clocks, and what is done while they run."""
    rows = []
    for line in plan.waits:
        meanwhile = f"{len(line.meanwhile)} operations" if line.meanwhile else "nothing"
        idle = figure(line.idle_minutes, "min", VALUE_NEEDED)
        minutes = figure(line.minutes, "min", VALUE_NEEDED)
        kind = plan.car.energies[line.energy].kind
        source = plan.car.sources.get(line.source or "", line.source or "")
        start = f"{item_name(plan, line.from_item)}, operation {line.starts}"
        rows.append((kind, minutes, start, str(line.ends), meanwhile, idle, source))
    return Table(
        id="waits",
        title="Waits",
        says="The clock runs from the logged operation and cannot be cut short.",
        columns=columns("energy", "#wait", "from", "#over before", "meanwhile", "#left to stand", "source"),
        rows=tuple(rows),
    )


def guards(plan: Plan) -> Table:
    """Guards, counted in and out."""
    rows = [
        (line.name, item_name(plan, line.item), str(line.pieces), str(line.put_in), str(line.taken_out))
        for line in plan.guards
    ]
    pieces = sum(line.pieces for line in plan.guards)
    return Table(
        id="guards",
        title="Guards, counted in and out",
        columns=columns("guard", "at", "#pieces", "#in at", "#out at"),
        rows=tuple(rows),
        sum=f"{pieces} pieces in, {pieces} to come out" if rows else "",
    )


def alternatives(plan: Plan) -> Table:
    """The legal combinations of ways, best first."""
    least = plan.alternatives[0].minutes if plan.alternatives else 0.0
    rows = []
    for place, one in enumerate(plan.alternatives):
        ways = listed(
            [f"{item_name(plan, plan.car.joint(joint).item)} ({joint}): {way}" for joint, way in one.ways.items()],
            "no choice of ways",
        )
        more = "the answer" if place == 0 else f"+ {one.minutes - least:g} min"
        rows.append((ways, f"{one.minutes:g} min", str(len(one.items)), more))
    says = "" if plan.alternatives_complete else "Not all combinations are listed."
    return Table(
        id="alternatives",
        title="Alternatives",
        says=says,
        columns=columns("ways", "#minutes", "#items", "#against the answer"),
        rows=tuple(rows) if len(rows) > 1 or plan.ways else (),
    )


def left_on(plan: Plan) -> Table:
    """What may stay on, and why."""
    rows = tuple((item_name(plan, id), why) for id, why in plan.left_on.items())
    return Table(id="left-on", title="Left on, and why", columns=columns("item", "why it may stay"), rows=rows)


def why(plan: Plan) -> Table:
    """Why each item is in the work: the shortest chain to a target."""
    rows = []
    for id, chain in plan.why.items():
        steps = [plan.car.energies[one].kind if one in plan.car.energies else item_name(plan, one) for one in chain]
        reason = " → ".join(steps[1:]) if len(steps) > 1 else "target" if id in plan.targets else ""
        rows.append((item_name(plan, id), reason))
    return Table(
        id="why",
        title="Why each item is in the work",
        says="Each stands in the way of the next, up to a target.",
        columns=columns("item", "in the way of"),
        rows=tuple(rows),
    )


def notes(plan: Plan) -> Table:
    """What is still to be found out."""
    rows = tuple((finding.what, finding.mend) for finding in plan.findings)
    return Table(id="notes", title="Notes", columns=columns("note", "what to do"), rows=rows)


TABLES: tuple[Callable[[Plan], Table], ...] = (
    notes,
    waits,
    guards,
    tools,
    parts,
    stow,
    length_traps,
    torque_card,
    last_looks,
    forgotten,
    alternatives,
    left_on,
    why,
)
"""The lists of the page, in its order."""
