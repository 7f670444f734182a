"""One idea: an operation that was logged while a gate was shut is kept as a fact, and printed with the gate.

The gates are asked as they stood right before the operation, for its person, its device and its clock. A later
mending may make a line stricter, never milder.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from putback.core.gates import Case, Gate, Moment, Override, gates_before
from putback.core.gates.case import Fact
from putback.core.operations import Operation


@dataclass(frozen=True, slots=True, kw_only=True)
class Breach:
    """An operation and the gates, at least one, that were shut before it and that nobody who may had passed.

    `mended_at` is the place of the event that took the operation back; 0: none did.
    """

    fact: Fact
    operation: Operation
    gates: tuple[Gate, ...]
    mended_at: int = 0


def breaches(case: Case) -> tuple[Breach, ...]:
    """Every operation that was logged while a gate of energies or consent was shut; what is merely asked is none.

    What was taken back since is listed as well: taking back unsays nothing of a gate.
    """
    return case.once(("breaches",), lambda: tuple(_breaches(case)))


def _breaches(case: Case) -> Iterator[Breach]:
    for fact in case.facts:
        operation = fact.operation
        if operation is None:
            continue
        moment = Moment(
            at=fact.at, person=fact.person, device=fact.device, steady_s=fact.steady_s, upto=fact.place - 1
        )
        gates = gates_before(case, operation, moment)
        found = tuple(gate for gate in gates if not gate.lets_through and gate.override is not Override.ASKED)
        if found:
            yield Breach(fact=fact, operation=operation, gates=found, mended_at=case.mended_at.get(fact.event.id, 0))
