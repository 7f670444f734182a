"""One idea: before an operation stand gates, read from car file and record; making safe cannot be talked round.

`read_case` reads a job's record, `gates_before` says what stands before an operation, `held_before` what is asked,
`overrides` lists what was passed. Nothing here reads a clock, judges a car, or refuses to log a fact.
"""

from putback.core.gates.asking import asked_before
from putback.core.gates.before import gates_before
from putback.core.gates.case import Case, Entry, Moment, entries, read_case
from putback.core.gates.consent import held_items
from putback.core.gates.gate import AUTHORITY, VALUE_NEEDED_ASK, Clock, Gate, GateKind, Override, Passed, plain, shut
from putback.core.gates.held import held_before
from putback.core.gates.overrides import OverrideLine, overrides
from putback.core.gates.settings import GateSettings, MakerClass
from putback.core.gates.tables import tables

__all__ = [
    "AUTHORITY",
    "VALUE_NEEDED_ASK",
    "Case",
    "Clock",
    "Entry",
    "Gate",
    "GateKind",
    "GateSettings",
    "MakerClass",
    "Moment",
    "Override",
    "OverrideLine",
    "Passed",
    "asked_before",
    "entries",
    "gates_before",
    "held_before",
    "held_items",
    "overrides",
    "plain",
    "read_case",
    "shut",
    "tables",
]
