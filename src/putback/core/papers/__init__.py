"""One idea: a paper is a list of sections, and a section is text that follows from the record alone.

Nothing here sets type, reads a clock or asks anybody: what the record does not say is said to be not recorded. A face
turns sections into a page.
"""

from putback.core.papers.breaches import Breach, breaches
from putback.core.papers.done import Trip, owed_of, trips
from putback.core.papers.energies import energy_sections
from putback.core.papers.evidence import counts, fluids_and_guards, new_parts, torque_evidence
from putback.core.papers.passed import differing, passed_gates, taken_back
from putback.core.papers.persons import protection, who_worked
from putback.core.papers.section import NOT_RECORDED, Column, Form, Row, Section, Table
from putback.core.papers.told import Told
from putback.core.papers.twins import twin_rows
from putback.core.papers.watch import code_reads, open_ends, to_watch

__all__ = [
    "NOT_RECORDED",
    "Breach",
    "Column",
    "Form",
    "Row",
    "Section",
    "Table",
    "Told",
    "Trip",
    "breaches",
    "code_reads",
    "counts",
    "differing",
    "energy_sections",
    "fluids_and_guards",
    "new_parts",
    "open_ends",
    "owed_of",
    "passed_gates",
    "protection",
    "taken_back",
    "to_watch",
    "torque_evidence",
    "trips",
    "twin_rows",
    "who_worked",
]
