"""One idea: an override lets one gate be passed in one sitting, by a named person, for a reason that is printed."""

from dataclasses import dataclass, replace

from putback.core.gates.case import Case, Fact, Moment
from putback.core.gates.gate import OVERRIDE, Gate, GateKind, Override, Passed
from putback.core.gates.later import hand_since
from putback.core.gates.restoring import others_than
from putback.core.gates.sitting import ended
from putback.core.operations import ITEM_OFF, Verb
from putback.core.record.kinds import HOLD_PASSED, OVERRIDE_GIVEN


@dataclass(frozen=True, slots=True, kw_only=True)
class OverrideLine:
    """An override as it is printed. `counts`: it is complete and its gate has one; `why` says why it does not."""

    event: str
    at: str
    gate: str
    energy: str | None
    item: str | None
    about: str | None
    who: str | None
    reason: str
    counts: bool
    why: str


def overrides(case: Case) -> tuple[OverrideLine, ...]:
    """Every override that was logged, for print: those that count for nothing as well."""
    return tuple(_line(fact) for fact in case.facts if fact.kind == OVERRIDE_GIVEN)


def _line(fact: Fact) -> OverrideLine:
    why = _refused(fact)
    return OverrideLine(
        event=fact.event.id,
        at=fact.event.at,
        gate=str(fact.says("gate")),
        energy=fact.says("energy"),
        item=fact.says("item"),
        about=fact.says("about"),
        who=fact.says("who"),
        reason=str(fact.says("reason") or ""),
        counts=why is None,
        why=why or "",
    )


def _refused(fact: Fact) -> str | None:
    """Why an override counts for nothing, whatever the gate's state; None: it may count."""
    gate = fact.says("gate")
    if gate not in tuple(GateKind):
        return f"there is no gate {gate!r}"
    if OVERRIDE[GateKind(gate)] is not Override.NAMED:
        return f"the gate {gate!r} has no override"
    if not fact.stands or not str(fact.says("reason")).strip():
        return "it is incomplete or was taken back"
    return None


def passed(case: Case, gate: Gate, moment: Moment) -> Gate:
    """The gate, with who let it be passed if it is shut and somebody did as they may."""
    if gate.open or gate.override is Override.NOBODY:
        return gate
    kind = HOLD_PASSED if gate.override is Override.ASKED else OVERRIDE_GIVEN
    for fact in reversed(case.of_kind(kind, case.count(moment))):
        if fact.stands and _fits(case, gate, fact, moment):
            said = fact.says("reason") or fact.says("note") or ""
            by = Passed(event=fact.event.id, who=fact.says("who") or fact.person, reason=str(said))
            return replace(gate, passed=by)
    return gate


def _asked_this(case: Case, gate: Gate, fact: Fact) -> bool:
    """Whether a question was passed about this very joint, and the item did not come off again since."""
    joints = [id for id in gate.lacks if id in case.home]
    if joints and fact.says("joint") not in joints:
        return False
    apart = (one.operation for one in case.facts[fact.place :] if one.operation)
    return not any(op.verb in ITEM_OFF | {Verb.UNDO} and gate.item in case.items_of(op) for op in apart)


def _fits(case: Case, gate: Gate, fact: Fact, moment: Moment) -> bool:
    """Whether an event is about this gate, and of this sitting."""
    if gate.override is Override.ASKED:
        return (fact.says("gate"), fact.says("item")) == (gate.about, gate.item) and _asked_this(case, gate, fact)
    said = (fact.says("gate"), fact.says("energy"), fact.says("item"), fact.says("about"))
    if said != (gate.kind.value, gate.energy, gate.item, gate.about) or _refused(fact):
        return False
    energy = case.car.energies.get(gate.energy or "")
    if gate.kind is GateKind.RESTORE and energy:
        others = others_than(case, energy)
        if hand_since(case, fact, others, case.count(moment)):
            return False
    return ended(case, fact, {str(fact.says("who"))}, moment) is None
