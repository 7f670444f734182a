"""One idea: tightness, counts, new parts, guards, fluids are evidence: what was logged beside what the file gives."""

from collections.abc import Iterator

from putback.core.car import VALUE_NEEDED, Joint
from putback.core.gates.case import Fact
from putback.core.operations import ITEM_OFF, Operation, Verb
from putback.core.papers.section import NOT_RECORDED, Column, Row, Section, Table
from putback.core.papers.told import Told, figure, kind_of

_TORQUE = (
    Column(name="joint", share=3.4),
    Column(name="off", share=0.6, figure=True),
    Column(name="on", share=0.6, figure=True),
    Column(name="file", share=1.9),
    Column(name="source", share=1.4),
    Column(name="logged", share=1.9),
    Column(name="tool", share=1.6),
    Column(name="when, who", share=1.6),
    Column(name="event", share=0.8, figure=True),
)
_COUNTS = (
    Column(name="item", share=3),
    Column(name="fasteners", share=2),
    Column(name="off", share=0.7, figure=True),
    Column(name="on", share=0.7, figure=True),
    Column(name="new", share=1.2),
)


def torque_evidence(told: Told) -> Section:
    """Every joint that was tightened and needs a value, or was undone and is not tight."""
    joints = [id for id in _touched(told) if id not in told.joints or told.joints[id].torqued]
    rows = tuple(_torque_row(told, id) for id in joints)
    lead = (
        "What the car file gives, with its source, beside what was logged. A joint without a logged value was "
        "reported tight by tap alone."
    )
    return Section(
        id="torque", title="Tightness by joint", lead=lead if rows else "", tables=(Table(columns=_TORQUE, rows=rows),)
    )


def _touched(told: Told) -> tuple[str, ...]:
    """The joints that were undone or tightened, in the order of their items."""
    seen = dict.fromkeys(
        op.joint for op, _ in told.done if op.joint and op.verb in (Verb.UNDO, Verb.START, Verb.TIGHTEN)
    )
    return tuple(str(id) for id in seen)


def _last(told: Told, joint: str, verb: Verb) -> tuple[Operation, Fact] | None:
    return next(((op, fact) for op, fact in reversed(told.done) if op.joint == joint and op.verb is verb), None)


def _off_on(told: Told, id: str) -> tuple[str, str, bool]:
    """Fasteners off and on as last logged, and whether fewer are on than came off."""
    undone, tight = _last(told, id, Verb.UNDO), _last(told, id, Verb.TIGHTEN)
    if tight and undone and tight[1].place < undone[1].place:
        tight = None
    off = undone[0].count if undone else None
    on = tight[0].count if tight else None
    owed = undone is not None and (tight is None or (off is not None and on is not None and on < off))
    return _count(off, known=undone is not None), _count(on, known=tight is not None), owed


def _count(value: int | None, *, known: bool) -> str:
    return str(value) if value is not None else "?" if known else "–"


def _torque_row(told: Told, id: str) -> Row:
    joint, tight = told.joints.get(id), _last(told, id, Verb.TIGHTEN)
    off, on, owed = _off_on(told, id)
    fact = tight[1] if tight and on != "–" else None
    logged = logged_torque(fact) if fact else NOT_RECORDED
    asked = _asked(joint)
    name = f"{told.thing(joint.item)}, {kind_of(joint)} ({id})" if joint else id
    differs = fact is not None and joint is not None and _differs(joint, fact)
    cells = (
        name,
        off,
        on,
        asked,
        (joint.source if joint else None) or "–",
        f"{logged}, differs" if differs else logged,
        str(fact.says("tool") or NOT_RECORDED) if fact else "–",
        told.stamp(fact) if fact else "not tight",
        str(fact.place) if fact else "–",
    )
    return Row(cells=cells, owed=owed or differs or logged == NOT_RECORDED)


def _asked(joint: Joint | None) -> str:
    if joint is None:
        return "not in the car file"
    return str(joint.sourced_torque) if joint.sourced_torque else VALUE_NEEDED


def logged_torque(fact: Fact) -> str:
    """The torque that a line of the record gives, in its own unit; `NOT_RECORDED` where it gives none."""
    operation = fact.operation
    return str(operation.torque) if operation and operation.torque else NOT_RECORDED


def _differs(joint: Joint, fact: Fact) -> bool:
    """Whether another value was logged than the file gives; only what can be compared differs."""
    logged = fact.operation.torque if fact.operation else None
    asked = joint.sourced_torque
    if logged is None or asked is None:
        return False
    return abs(logged.torque_nm - asked.torque_nm) > 1e-6 * asked.torque_nm or logged.angles_deg != asked.angles_deg


def counts(told: Told) -> Section:
    """Fasteners that need no value: off against on. Those that do stand under tightness."""
    new = {op.joint for op, _ in told.done if op.verb is Verb.RENEW and op.joint}
    rows = []
    for id in _touched(told):
        joint = told.joints.get(id)
        if joint is None or joint.torqued:
            continue
        off, on, owed = _off_on(told, id)
        cells = (told.thing(joint.item), kind_of(joint), off, on, "new" if id in new else "")
        rows.append(Row(cells=cells, owed=owed))
    return Section(
        id="counts", title="Fasteners that need no value", tables=(Table(columns=_COUNTS, rows=tuple(rows)),)
    )


def new_parts(told: Told) -> Section:
    """New parts as confirmed, and one-time parts of the work that nobody confirmed new."""
    columns = (
        Column(name="part", share=3),
        Column(name="kind", share=1.5),
        Column(name="when, who", share=2),
        Column(name="event", share=0.8, figure=True),
    )
    renewed = [(op, fact) for op, fact in told.done if op.verb is Verb.RENEW]
    rows = [_new_row(told, op, fact) for op, fact in renewed]
    new = {id for op, _ in renewed for id in (op.item, op.joint) if id}
    rows += [
        Row(cells=(told.thing(id), "one-time part", f"{NOT_RECORDED} as new", "–"), owed=True)
        for id in _one_time_open(told, new)
    ]
    return Section(id="new", title="New parts", tables=(Table(columns=columns, rows=tuple(rows)),))


def _new_row(told: Told, operation: Operation, fact: Fact) -> Row:
    item = told.case.car.items.get(operation.item or "")
    one_time = bool(item and item.one_time) or bool(operation.joint)
    name = told.thing(operation.item or operation.joint)
    return Row(cells=(name, "one-time part" if one_time else "part", told.stamp(fact), str(fact.place)))


def _one_time_open(told: Told, new: set[str]) -> Iterator[str]:
    """One-time parts whose occasion has come (what they go with came off) and that are not confirmed new."""
    off = {op.item for op, _ in told.done if op.verb in ITEM_OFF}
    drained = {op.fluid for op, _ in told.done if op.verb is Verb.DRAIN}
    for item in told.case.car.items.values():
        due = off & set(item.renew_with_items) or drained & set(item.renew_with_fluids)
        if item.one_time and item.id not in new and due:
            yield item.id


def fluids_and_guards(told: Told) -> Section:
    """Guard pieces in against out, litres out against in beside the tolerance."""
    guards = Table(
        title="Guards",
        columns=(
            Column(name="guard", share=4),
            Column(name="pieces in", share=1, figure=True),
            Column(name="pieces out", share=1, figure=True),
        ),
        rows=tuple(_guard_rows(told)),
    )
    fluids = Table(
        title="Fluids",
        columns=(
            Column(name="fluid", share=2),
            Column(name="out, l", share=1, figure=True),
            Column(name="in, l", share=1, figure=True),
            Column(name="difference, l", share=1.2, figure=True),
            Column(name="tolerance, l", share=1.2, figure=True),
            Column(name="source", share=1.5),
        ),
        rows=tuple(_fluid_rows(told)),
    )
    return Section(id="guards", title="Guards and fluids", tables=(guards, fluids))


def _guard_rows(told: Told) -> Iterator[Row]:
    places: dict[tuple[str, str], list[int]] = {}
    for op, _ in told.done:
        if op.verb in (Verb.GUARD, Verb.UNGUARD) and op.guard:
            count = places.setdefault((op.guard, op.item or ""), [0, 0])
            count[op.verb is Verb.UNGUARD] += 1 if op.count is None else op.count
    for (guard, item), (into, out) in places.items():
        name = told.thing(guard) + (f", at {told.thing(item)}" if item else "")
        yield Row(cells=(name, str(into), str(out)), owed=into != out)


def _fluid_rows(told: Told) -> Iterator[Row]:
    litres: dict[str, dict[Verb, list[float | None]]] = {}
    for op, _ in told.done:
        if op.verb in (Verb.DRAIN, Verb.FILL) and op.fluid:
            litres.setdefault(op.fluid, {Verb.DRAIN: [], Verb.FILL: []})[op.verb].append(op.litres)
    for id, sides in litres.items():
        fluid = told.case.car.fluids.get(id)
        out, into = _sum(sides[Verb.DRAIN]), _sum(sides[Verb.FILL])
        tolerance = fluid.tolerance_l if fluid and fluid.source else None
        gap = None if out is None or into is None else into - out
        off = gap is None or (tolerance is not None and abs(gap) > tolerance + 1e-9)
        cells = (
            id,
            NOT_RECORDED if out is None else figure(round(out, 3)),
            NOT_RECORDED if into is None else figure(round(into, 3)),
            "–" if gap is None else figure(round(gap, 3)),
            VALUE_NEEDED if tolerance is None else f"± {figure(tolerance)}",
            (fluid.source if fluid else None) or "–",
        )
        yield Row(cells=cells, owed=off)


def _sum(values: list[float | None]) -> float | None:
    """The sum of what was logged; None where nothing was, or one amount is missing."""
    known = [value for value in values if value is not None]
    return sum(known) if known and len(known) == len(values) else None
