"""One idea: for any operation this says every gate that stands before it, open or shut; nothing is done here.

Only energies and consent have gates. An operation without any is free.
"""

from collections.abc import Iterable, Iterator
from itertools import chain

from putback.core.car import Energy
from putback.core.energy import joined, made_safe_first
from putback.core.gates.case import TOUCHING, Case, Moment
from putback.core.gates.consent import consent_gates
from putback.core.gates.gate import Gate, GateKind
from putback.core.gates.later import first_since, off_at
from putback.core.gates.overrides import passed
from putback.core.gates.people import people_gates
from putback.core.gates.proofs import isolated_at, proved_once, says_of, standing
from putback.core.gates.proving import SAY_SO, proof_gate
from putback.core.gates.restoring import restore_gates
from putback.core.gates.waits import wait_gate
from putback.core.operations import ITEM_BACK, ITEM_OFF, Operation, Verb
from putback.core.record.kinds import LIST_TICKED

GOES_OFF = ITEM_OFF | {Verb.UNDO, Verb.ISOLATE}
GOES_BACK = ITEM_BACK | {Verb.START, Verb.TIGHTEN, Verb.RESTORE}
OF_ENERGY = frozenset({Verb.ISOLATE, Verb.RESTORE, Verb.PROVE_DEAD, Verb.WAIT})


def gates_before(case: Case, operation: Operation, moment: Moment) -> tuple[Gate, ...]:
    """Every gate that stands before an operation, each once.

    Args:
        case: the job so far.
        operation: what is about to be done; verb, item, joint, energy and fluid count.
        moment: who is about to do it, with which device, when.
    """
    found: dict[object, Gate] = {}
    parts = (
        *(_operating(case, energy, operation, moment) for energy in operated(case, operation)),
        *(_needing(case, operation, moment)),
        _in_order(case, operation, moment),
        consent_gates(case, operation, moment),
    )
    for gate in chain.from_iterable(parts):
        found.setdefault((gate.kind, gate.energy, gate.item, gate.about, gate.lacks), passed(case, gate, moment))
    return tuple(found.values())


def operated(case: Case, operation: Operation) -> tuple[Energy, ...]:
    """The energies that an operation makes safe, proves or gives back: by name, or by the item it handles."""
    ids = [id for item in case.items_of(operation) for id in case.operated_by(item)]
    if operation.verb in OF_ENERGY and operation.energy in case.car.energies:
        ids.append(operation.energy or "")
    return tuple(case.car.energies[id] for id in dict.fromkeys(ids))


def _operating(case: Case, energy: Energy, operation: Operation, moment: Moment) -> Iterator[Gate]:
    """The gates of operating an energy: people always; list and turn on the way in, all back on the way back."""
    verb = operation.verb
    if verb is Verb.WAIT:
        yield from _wait(case, energy, moment)
        return
    yield from people_gates(case, energy, moment)
    if verb in GOES_OFF:
        yield from _ticked(case, energy, moment)
        yield from _first(case, energy, moment)
    elif verb in GOES_BACK:
        yield from restore_gates(case, energy, moment)
    elif verb is Verb.PROVE_DEAD:
        yield from _proving(case, energy, moment)
    if verb is Verb.ISOLATE and energy.item:
        yield _off(case, energy, energy.item, moment, f"{case.name(energy.id)} is isolated by its being off")


def _ticked(case: Case, energy: Energy, moment: Moment) -> Iterator[Gate]:
    """The list to tick before an energy goes off; ticks of before it was last given back do not count."""
    if not energy.before_it:
        return
    ticked: set[str] = set()
    key, upto = ("restored", energy.id), case.count(moment)
    for fact in case.of_kind(LIST_TICKED, upto):
        if fact.stands and fact.says("energy") == energy.id:
            restored = first_since(case, key, fact, upto, lambda one: says_of(one, Verb.RESTORE, energy))
            ticked.update(() if restored else fact.says("ticked"))
    lacks = tuple(line for line in energy.before_it if line not in ticked)
    why = f"not ticked before {case.name(energy.id)} goes off: {', '.join(lacks)}" if lacks else "all ticked"
    opens = "do and tick: " + ", ".join(lacks) if lacks else ""
    yield Gate(kind=GateKind.BEFORE_IT, energy=energy.id, open=not lacks, why=why, opens=opens, lacks=lacks)


def _first(case: Case, energy: Energy, moment: Moment) -> Iterator[Gate]:
    """The energies that must be proved gone before this one goes off."""
    known = case.energies | joined(case.car, [energy.id])
    for first, then in sorted(made_safe_first(case.car, known)):
        if then == energy.id:
            open_ = standing(case, case.car.energies[first], moment) is not None
            name = case.name(first)
            why = (
                f"{name} is proved gone"
                if open_
                else f"{name} must be proved gone before {case.name(energy.id)} goes off"
            )
            opens = "" if open_ else f"make {name} safe and prove it first"
            yield Gate(
                kind=GateKind.ORDER, energy=first, item=energy.item, about=energy.id, open=open_, why=why, opens=opens
            )


def _wait(case: Case, energy: Energy, moment: Moment) -> Iterator[Gate]:
    wait = energy.wait
    if wait:
        proved = proof_gate(case, energy, moment).open
        yield case.once_at(moment, ("wait", energy.id), lambda: wait_gate(case, energy, wait, moment, proved=proved))


def _proving(case: Case, energy: Energy, moment: Moment) -> Iterator[Gate]:
    """Before `prove dead` is logged: isolated, waited, points reached, and for prove-test-prove all its readings."""
    yield _isolated(case, energy, None, moment)
    yield from _wait(case, energy, moment)
    for id in energy.proof.reach if energy.proof else ():
        yield _off(case, energy, id, moment, "it covers the points")
    gate = proof_gate(case, energy, moment)
    if gate.kind is GateKind.VALUE_NEEDED:
        yield gate
    elif energy.proof and energy.proof.points:
        ready = gate.open or gate.lacks == (SAY_SO,)
        why = gate.why if gate.open or not ready else "all readings are taken"
        yield Gate(
            kind=gate.kind, energy=energy.id, open=ready, why=why, opens=gate.opens, lacks=gate.lacks, clock=gate.clock
        )


def _off(case: Case, energy: Energy, item: str, moment: Moment, because: str) -> Gate:
    """That an item is off, where an energy asks for it."""
    is_off = off_at(case, item, case.count(moment)) is not None
    why = f"{case.name(item)} is off" if is_off else f"{case.name(item)} is in place, and {because}"
    opens = "" if is_off else f"take {case.name(item)} off and log it"
    return Gate(kind=GateKind.ORDER, energy=energy.id, item=item, open=is_off, why=why, opens=opens)


def _isolated(case: Case, energy: Energy, item: str | None, moment: Moment) -> Gate:
    is_safe = isolated_at(case, energy, case.count(moment)) is not None
    why = f"{case.name(energy.id)} is isolated" if is_safe else f"{case.name(energy.id)} is not isolated"
    opens = "" if is_safe else f"isolate {case.name(energy.id)} and log it"
    return Gate(kind=GateKind.ORDER, energy=energy.id, item=item, open=is_safe, why=why, opens=opens)


def _needing(case: Case, operation: Operation, moment: Moment) -> Iterator[Iterator[Gate]]:
    """The gates of what an operation needs gone: the energies of its items, and of what it drains."""
    own = {energy.id for energy in operated(case, operation)}
    for id, (proven, item) in _demanded(case, operation).items():
        if id not in own:
            yield _demand(case, case.car.energies[id], item, moment, proven=proven)


def _demanded(case: Case, operation: Operation) -> dict[str, tuple[bool, str | None]]:
    """What an operation needs gone: by energy, whether proven, and the item that asks."""
    found: dict[str, tuple[bool, str | None]] = {}
    for item in case.items_of(operation):
        for demand in case.demands.get(item, ()):
            before = found.get(demand.energy, (False, item))
            found[demand.energy] = (before[0] or demand.proven, before[1])
    fluid = case.car.fluids.get(operation.fluid or "")
    if operation.verb is Verb.DRAIN and fluid and fluid.energy in case.car.energies:
        found[fluid.energy or ""] = (True, operation.item)
    return found


def _demand(case: Case, energy: Energy, item: str | None, moment: Moment, *, proven: bool) -> Iterator[Gate]:
    yield from people_gates(case, energy, moment)
    if not proven:
        yield _isolated(case, energy, item, moment)
        return
    yield from _wait(case, energy, moment)
    yield proof_gate(case, energy, moment)


def _in_order(case: Case, operation: Operation, moment: Moment) -> Iterator[Gate]:
    """Making safe precedes all other work; an item that the car file does not know counts as such work."""
    needed = case.energies | joined(case.car, _demanded(case, operation))
    own = {energy.id for energy in operated(case, operation)} | set(_demanded(case, operation))
    for item in _other_work(case, operation, needed):
        for id in sorted(needed - own):
            energy = case.car.energies[id]
            open_ = proved_once(case, energy, moment)
            why = (
                f"{case.name(energy.id)} is proved gone" if open_ else f"{case.name(energy.id)} is not proved gone yet"
            )
            opens = "" if open_ else f"make {case.name(id)} safe and prove it before other work"
            yield Gate(kind=GateKind.ORDER, energy=id, item=item, open=open_, why=why, opens=opens)


def _other_work(case: Case, operation: Operation, needed: Iterable[str]) -> tuple[str, ...]:
    """The items of an operation that must not be touched before making safe is complete."""
    takes_off = operation.verb in ITEM_OFF or operation.verb in (Verb.UNDO, Verb.DRAIN)
    if operation.verb not in TOUCHING or not needed:
        return ()
    return tuple(
        item
        for item in case.items_of(operation)
        if item not in case.car.items or (takes_off and item not in case.early and not case.operated_by(item))
    )
