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
    """An operation and the gates, at least one, that were shut before it and that nobody who may had passed."""

    fact: Fact
    operation: Operation
    gates: tuple[Gate, ...]


MOST = 2000
"""So many operations are held against their gates: each costs more the longer the record is. The demo job has 414."""


def breaches(case: Case) -> Iterator[Breach]:
    """Every operation that was logged while a gate of energies or consent was shut; what is merely asked is none.

    Operations beyond `MOST` are not looked at; `beyond` counts them.
    """
    for operation, fact in _standing(case)[:MOST]:
        moment = Moment(
            at=fact.at, person=fact.person, device=fact.device, steady_s=fact.steady_s, upto=fact.place - 1
        )
        gates = gates_before(case, operation, moment)
        found = tuple(gate for gate in gates if not gate.lets_through and gate.override is not Override.ASKED)
        if found:
            yield Breach(fact=fact, operation=operation, gates=found)


def beyond(case: Case) -> int:
    """How many operations nobody held against their gates."""
    return max(0, len(_standing(case)) - MOST)


def _standing(case: Case) -> tuple[tuple[Operation, Fact], ...]:
    standing = set(case.folded.made_by)
    return tuple((fact.operation, fact) for fact in case.facts if fact.operation and fact.event.id in standing)
