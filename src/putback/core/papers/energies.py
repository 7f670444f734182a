"""One idea: for each energy the paper says how it was made safe, waited for, proved and given back, as it was logged.

It judges nothing: a reading stands beside the limit and its source, and what was not logged is said to be not
recorded.
"""

from collections.abc import Iterator, Mapping
from datetime import timedelta

from putback.core.car import Energy, Proof
from putback.core.gates import VALUE_NEEDED_ASK
from putback.core.gates.case import Fact, time_of
from putback.core.operations import ITEM_OFF, Operation, Verb
from putback.core.papers.section import NOT_RECORDED, Column, Row, Section, Table, pairs
from putback.core.papers.told import Told, figure, listed
from putback.core.record.kinds import ENERGY_CHECKED, LIST_TICKED, READING_TAKEN

_READING = (
    Column(name="when, who", share=1.5),
    Column(name="phase", share=1.7),
    Column(name="at", share=1.7),
    Column(name="reading", share=1.2, figure=True),
    Column(name="limit", share=1.1, figure=True),
    Column(name="instrument", share=2.2),
    Column(name="event", share=0.8, figure=True),
)


def energy_sections(told: Told) -> tuple[Section, ...]:
    """A section for each energy of the job, in the order in which they were first made safe."""
    order = {op.energy: place for place, (op, _) in reversed([*enumerate(told.done)]) if op.verb is Verb.ISOLATE}
    known = [one for one in told.case.car.energies.values() if one.id in told.case.energies]
    return tuple(_section(told, energy) for energy in sorted(known, key=lambda one: order.get(one.id, len(told.done))))


def _section(told: Told, energy: Energy) -> Section:
    same = sum(one.kind == energy.kind for one in told.case.car.energies.values()) > 1
    volts = f", {energy.volts:g} V" if energy.volts else ""
    facts = pairs(_lines(told, energy))
    readings = Table(columns=_READING, rows=tuple(_readings(told, energy)))
    return Section(
        id=f"energy-{energy.id}",
        title=energy.kind + (f", {energy.id}" if same else "") + volts,
        tables=(facts, readings) if readings.rows else (facts,),
    )


def _lines(told: Told, energy: Energy) -> Iterator[tuple[str, str]]:
    if energy.before_it:
        yield "list before it", _ticked(told, energy)
    yield "made safe", _made_safe(told, energy)
    if energy.wait:
        yield "wait", _wait(told, energy)
    yield "asked as proof", proof_asked(energy.proof)
    yield "proved", _proved(told, energy)
    yield "given back", _stamps(told, energy, Verb.RESTORE) or f"{NOT_RECORDED}: owed"


def _operations(told: Told, energy: Energy, verb: Verb) -> Iterator[tuple[Operation, Fact]]:
    return ((op, fact) for op, fact in told.done if op.verb is verb and op.energy == energy.id)


def _stamps(told: Told, energy: Energy, verb: Verb) -> str:
    return listed(told.stamp(fact) for _, fact in _operations(told, energy, verb))


def _made_safe(told: Told, energy: Energy) -> str:
    """When, by whom, by which item, and what the car file asks for."""
    by_name = _stamps(told, energy, Verb.ISOLATE)
    off = listed(
        f"{told.thing(op.item)} {told.stamp(fact)}"
        for op, fact in told.done
        if energy.item and op.item == energy.item and op.verb in ITEM_OFF
    )
    if not by_name and not off:
        return NOT_RECORDED
    asked = listed([energy.make_safe or "", energy.lock or "", *(f"no {thing}" for thing in energy.forbid)])
    return "; ".join(
        part for part in (by_name, f"by {off}" if off else "", f"asked: {asked}" if asked else "") if part
    )


def _ticked(told: Told, energy: Energy) -> str:
    ticked: dict[str, Fact] = {}
    for fact in told.of_kind(LIST_TICKED):
        lines = fact.says("ticked")
        if fact.stands and fact.says("energy") == energy.id and isinstance(lines, list | tuple):
            ticked |= dict.fromkeys(map(str, lines), fact)
    missing = [line for line in energy.before_it if line not in ticked]
    if len(missing) == len(energy.before_it):
        return NOT_RECORDED
    stamp = told.stamp([*ticked.values()][-1])
    done = listed(line for line in energy.before_it if line in ticked)
    return f"{stamp}: {done}" + (f"; not ticked: {listed(missing)}" if missing else "")


def _wait(told: Told, energy: Energy) -> str:
    """How long was asked, from when to when that ran, and when it was logged as over."""
    wait = energy.wait
    if wait is None or wait.minutes is None or not wait.source:
        return VALUE_NEEDED_ASK
    asked = f"{wait.minutes:g} min from {told.thing(wait.start)} (source {wait.source})"
    logged = [*_operations(told, energy, Verb.WAIT)]
    if not logged:
        return f"{NOT_RECORDED}; asked: {asked}"
    over = logged[-1][1]
    starts = [f for op, f in told.done if op.item == wait.start and op.verb in ITEM_OFF and f.place < over.place]
    if not starts:
        return f"logged as over {told.stamp(over)}; its beginning is {NOT_RECORDED}; asked: {asked}"
    began = starts[-1].at
    ends = began + timedelta(minutes=wait.minutes)
    ran = f"from {began:%H:%M:%S} to {ends:%H:%M:%S}, logged as over at {time_of(over.event.at):%H:%M:%S}"
    return f"{ran} {told.letter(over.person)}; asked: {asked}"


def proof_asked(proof: Proof | None) -> str:
    """What the car file asks as proof, with its source."""
    if proof is None or not proof.source:
        return VALUE_NEEDED_ASK
    limit = f" at most {proof.at_most}" if proof.at_most else ""
    if proof.points:
        window = f", within {proof.within_minutes:g} min" if proof.within_minutes is not None else ""
        words = f"prove on a known source, test {listed(proof.points)}{limit}, prove again{window}"
    else:
        words = f"{proof.measure}{limit}" if proof.measure else str(proof.check)
    return f"{words} (source {proof.source})"


def _proved(told: Told, energy: Energy) -> str:
    said = [*_operations(told, energy, Verb.PROVE_DEAD)]
    checks = [
        f"looked at {told.stamp(fact)}: gone {fact.says('gone')}"
        for fact in told.of_kind(ENERGY_CHECKED)
        if fact.stands and fact.says("energy") == energy.id
    ]
    stamps = [f"logged {told.stamp(fact)}" for _, fact in said]
    return "; ".join([*checks, *stamps]) or NOT_RECORDED


def _readings(told: Told, energy: Energy) -> Iterator[Row]:
    """Every reading, taken at the car or on a known source, whether or not it counts."""
    limit = str(energy.proof.at_most) if energy.proof and energy.proof.at_most else "value needed"
    for fact in told.case.facts:
        if fact.kind == READING_TAKEN and fact.says("energy") == energy.id:
            known = str(fact.says("known_source") or "")
            test = fact.says("phase") == "test"
            cells = (
                told.stamp(fact),
                str(fact.says("phase") or NOT_RECORDED),
                str(fact.says("points") or known or NOT_RECORDED),
                f"{figure(fact.says('value'))} {fact.says('unit') or ''}".strip(),
                limit if test else "–",
                str(fact.says("instrument") or NOT_RECORDED),
                str(fact.place),
            )
            yield Row(cells=cells, owed=not fact.stands)
        elif fact.operation and fact.operation.verb is Verb.PROVE_DEAD and fact.operation.energy == energy.id:
            yield from _with_it(told, fact, limit)


def _with_it(told: Told, fact: Fact, limit: str) -> Iterator[Row]:
    """The reading that stands in the line of proving itself."""
    reading = fact.event.body.get("reading")
    if not isinstance(reading, Mapping):
        return
    cells = (
        told.stamp(fact),
        "test",
        str(reading.get("points") or NOT_RECORDED),
        f"{figure(reading.get('value'))} {reading.get('unit') or ''}".strip(),
        limit,
        str(fact.says("tool") or NOT_RECORDED),
        str(fact.place),
    )
    yield Row(cells=cells, owed=not fact.stands)
