"""One idea: everything beside energies and consent is held at most: asked once, by name, then passed by one tap.

What to ask is what the audit sees in the operation that it did not see before: a count that differs, a plug still in
a port, a joint not tight under a cover. It is asked before the cover goes on, not at the end.
"""

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from putback.core.finding import faults
from putback.core.gates.case import Case, Moment
from putback.core.gates.gate import Gate, GateKind
from putback.core.gates.overrides import passed
from putback.core.operations import ITEM_BACK, ITEM_OFF, JOINT_VERBS, Operation, Verb
from putback.core.rules import audit, energies

BLOCKED_ELSEWHERE = frozenset(name for name in vars(energies) if not name.startswith("_"))
"""Rules whose matter has gates of its own."""

OWED = frozenset({"no_twin", "joint_not_tightened"})
"""Rules of the end: on the way they only say what is owed, which is shown and never asked."""

_HANDS = ITEM_OFF | ITEM_BACK | JOINT_VERBS

OPEN_UNTIL: Mapping[str, frozenset[Verb]] = MappingProxyType(
    {"port_open_not_guarded": _HANDS, "let_out_unsaid": ITEM_BACK | {Verb.START, Verb.TIGHTEN}}
)
"""Rules that see something left open as soon as it is: asked when one of these verbs follows and leaves it so."""


Question = tuple[str, str, str, str]
"""What the audit sees: the rule, the thing, what is wrong, the mend."""


def held_before(case: Case, operation: Operation, moment: Moment) -> tuple[Gate, ...]:
    """The questions to ask before an operation is logged; it is logged all the same when they are answered.

    Args:
        case: the job so far.
        operation: what is about to be done, with its count, thread and torque as they will be logged.
        moment: who asks, when.
    """
    done = case.folded.operations
    before = {found for found, _ in case.once(("seen",), lambda: tuple(_seen(case, done)))}
    left_open = {(rule, field) for rule, field, _, _ in before if rule in OPEN_UNTIL}
    asked: dict[Question, Gate] = {}
    for found, line in _seen(case, (*done, operation)):
        rule, field, _, _ = found
        if rule in OPEN_UNTIL:
            is_asked = operation.verb in OPEN_UNTIL[rule] and (rule, field) in left_open and operation.item != field
        else:
            is_asked = found not in before or line > len(done)
        if is_asked:
            asked.setdefault(found, passed(case, _gate(found, operation), moment))
    return tuple(asked.values())


def _seen(case: Case, operations: tuple[Operation, ...]) -> Iterator[tuple[Question, int]]:
    for found in faults(audit(case.car, operations)):
        if found.where.line is not None and found.rule not in BLOCKED_ELSEWHERE | OWED:
            yield (found.rule, found.where.field, found.what, found.mend), found.where.line


def _gate(found: Question, operation: Operation) -> Gate:
    rule, field, what, mend = found
    item = field if rule in OPEN_UNTIL else operation.item or field
    return Gate(kind=GateKind.HELD, item=item, about=rule, open=False, why=what, opens=mend, lacks=(field,))
