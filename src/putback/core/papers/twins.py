"""One idea: the round trip on paper: what came in on the left, its twin on the right, the thing between them."""

from collections.abc import Iterator

from putback.core.operations import ITEM_BACK, ITEM_OFF, Operation, Verb
from putback.core.papers.done import Trip, owed_of, trips
from putback.core.papers.section import Column, Form, Row, Section, Table
from putback.core.papers.told import Told, figure, kind_of, listed

_COLUMNS = (
    Column(name="on the way in", share=5),
    Column(name="", share=3.4),
    Column(name="on the way back", share=5),
)


def twin_rows(told: Told) -> Section:
    """What was done, as twins; what is owed stands out."""
    found = [(trip, owed_of(told, trip)) for trip in trips(told)]
    rows = tuple(Row(cells=_cells(told, trip, owed), owed=bool(owed)) for trip, owed in found)
    owing = sum(row.owed for row in rows)
    lead = (
        f"{len(rows)} round trips, {owing} with something owed. In the order in which each began; "
        "times are the device's clock, letters are the persons named under Who worked."
    )
    table = Table(columns=_COLUMNS, rows=rows, form=Form.TWINS)
    return Section(id="twins", title="What was done", lead=lead if rows else "", tables=(table,))


def _cells(told: Told, trip: Trip, owed: tuple[str, ...]) -> tuple[str, str, str]:
    into, back = _side(told, trip.into), _side(told, trip.back)
    first = told.stamp(trip.into[0][1]) if trip.into else ""
    last = told.stamp(trip.back[-1][1]) if trip.back else ""
    left = f"{into}  {first}" if into else "–" if _only_new(trip) else "no way in logged"
    right = "  ".join(part for part in (last, back) if part)
    if owed:
        right = f"{listed(owed)}" + (f"; {right}" if right else "")
    return left, _name(told, trip), right or "nothing to put back"


def _only_new(trip: Trip) -> bool:
    """Whether it is a part that was only renewed: the old one went out with its place."""
    return all(operation.verb is Verb.RENEW for operation, _ in trip.back)


def _name(told: Told, trip: Trip) -> str:
    kind, thing, place = trip.key
    if kind == "codes":
        return "code read"
    if kind == "fluid":
        return f"{thing} fluid" if thing else "fluid"
    name = told.thing(thing) or kind
    if kind == "guard" and place:
        return f"{name}, at {told.thing(place)}"
    if kind == "energy" and sum(one.kind == name for one in told.case.car.energies.values()) > 1:
        return f"{name}, {thing}"
    return name


def _side(told: Told, side: tuple[tuple[Operation, object], ...]) -> str:
    """One side of a trip in words: the verbs of the thing, then its fasteners, then where they lie."""
    operations = [operation for operation, _ in side]
    verbs = dict.fromkeys(_word(operation) for operation in operations)
    return listed([*verbs, *_fasteners(told, operations), *_amounts(operations), *_stowed(operations)])


def _word(operation: Operation) -> str:
    if operation.verb is Verb.RENEW:
        return "new fasteners" if operation.joint else "new part"
    return "" if operation.verb in (Verb.START, Verb.TIGHTEN, Verb.UNDO) else str(operation.verb)


def _fasteners(told: Told, operations: list[Operation]) -> Iterator[str]:
    joints = dict.fromkeys(op.joint for op in operations if op.joint and op.verb in (Verb.UNDO, Verb.TIGHTEN))
    for joint in joints:
        last = [op for op in operations if op.joint == joint and op.verb in (Verb.UNDO, Verb.TIGHTEN)][-1]
        known = told.joints.get(joint)
        kind = last.thread or (kind_of(known) if known else joint)
        tight = " tight" if last.verb is Verb.TIGHTEN else ""
        yield f"{'?' if last.count is None else last.count} × {kind}{tight}"


def _amounts(operations: list[Operation]) -> Iterator[str]:
    for op in operations:
        if op.verb in (Verb.DRAIN, Verb.FILL):
            yield f"{figure(op.litres)} l" if op.litres is not None else "litres not recorded"
        elif op.verb in (Verb.GUARD, Verb.UNGUARD) and op.count is not None:
            yield f"{op.count} pieces" if op.count != 1 else "1 piece"


def _stowed(operations: list[Operation]) -> Iterator[str]:
    places = dict.fromkeys(op.stow for op in operations if op.stow and op.verb in (Verb.UNDO, *ITEM_OFF))
    if places and not any(op.verb in ITEM_BACK for op in operations):
        yield "to " + listed(str(place) for place in places)
