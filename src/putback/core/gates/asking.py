"""One idea: what intake, authorisation and shelf lack is asked once, when it matters, and never blocks.

Before the car is first taken apart: the scope that nobody signed, every part that is not on the shelf. Before a new
part goes in: that the old one was held against it.
"""

from collections.abc import Collection, Iterator, Mapping

from putback.core.gates.case import Case, Moment
from putback.core.gates.consent import signed_scope
from putback.core.gates.gate import Gate, GateKind
from putback.core.gates.overrides import passed
from putback.core.intake import compared, missing, shelf
from putback.core.operations import ITEM_BACK, ITEM_OFF, Operation, Verb

SCOPE_UNSIGNED, PART_MISSING, NOT_COMPARED, PARTS_DIFFER = (
    "scope-unsigned",
    "part-missing",
    "not-compared",
    "parts-differ",
)

APART = ITEM_OFF | {Verb.UNDO, Verb.DRAIN}
PUTS_IN = ITEM_BACK | {Verb.RENEW, Verb.START}


def asked_before(
    case: Case, operation: Operation, moment: Moment, *, parts: Mapping[str, str], renewed: Collection[str]
) -> tuple[Gate, ...]:
    """The questions of intake and shelf before an operation; each is passed by one tap and logged.

    Args:
        case: the job so far.
        operation: what is about to be done.
        moment: who asks, when.
        parts: what must lie on the shelf: names by id.
        renewed: the items that get a new part which is held against the old one.
    """
    gates = [*_at_the_start(case, operation, moment, parts), *_at_the_refit(case, operation, moment, renewed)]
    return tuple(passed(case, gate, moment) for gate in gates)


def _at_the_start(case: Case, operation: Operation, moment: Moment, parts: Mapping[str, str]) -> Iterator[Gate]:
    if not _takes_apart(case, operation) or any(_takes_apart(case, one) for one in case.folded.operations):
        return
    if signed_scope(case, moment) is None:
        yield _held(SCOPE_UNSIGNED, None, "nobody signed for this work", "let the owner sign, or go on by name")
    for line in missing(shelf((fact.event for fact in case.upto(moment)), parts)):
        yield _held(PART_MISSING, line.id, f"{line.name} is not on the shelf", "put it there, or waive it by name")


def _takes_apart(case: Case, operation: Operation) -> bool:
    """Whether an operation takes apart more than making safe itself asks for."""
    items = case.items_of(operation) if operation.verb in APART else ()
    return any(item not in case.early and not case.operated_by(item) for item in items)


def _at_the_refit(case: Case, operation: Operation, moment: Moment, renewed: Collection[str]) -> Iterator[Gate]:
    if operation.verb not in PUTS_IN:
        return
    known = compared(fact.event for fact in case.upto(moment))
    for item in case.items_of(operation):
        if item not in renewed:
            continue
        seen = known.get(item)
        name = case.name(item)
        if seen is None:
            yield _held(NOT_COMPARED, item, f"{name}: old and new were not compared", "hold one against the other")
        elif seen.differs:
            why = f"{name}: old and new differ: {', '.join(seen.differs)}"
            yield _held(PARTS_DIFFER, item, why, "get the right part and compare again, or go on by name")


def _held(about: str, item: str | None, why: str, opens: str) -> Gate:
    return Gate(kind=GateKind.HELD, about=about, item=item, open=False, why=why, opens=opens, lacks=(item or about,))
