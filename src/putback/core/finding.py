"""One idea: a mistake is a value. It says where it is, what is wrong and how to mend it.

Readers, rules and plans return findings; nothing here is raised. A fault changes the exit code, a note
("value needed", for one) never does.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """How much a finding weighs."""

    FAULT = "fault"
    NOTE = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class Where:
    """A place: a file (or "operations"), a line or operation number (None if unknown), and a field."""

    file: str
    line: int | None = None
    field: str = ""

    def __str__(self) -> str:
        """The place as one prefix.

        >>> str(Where(file="my.car.yaml", line=7, field="items.fan.zone"))
        'my.car.yaml:7: items.fan.zone'
        """
        line = "" if self.line is None else f":{self.line}"
        field = f": {self.field}" if self.field else ""
        return f"{self.file}{line}{field}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that is wrong (fault) or worth knowing (note), with the mend.

    `rule` is the name of the check that saw it, so that a reader can look the check up.
    """

    where: Where
    what: str
    mend: str
    rule: str
    kind: Kind = Kind.FAULT

    def __str__(self) -> str:
        """One line: place, what, mend.

        >>> place = Where(file="my.car.yaml", line=7, field="items.fan.zone")
        >>> print(Finding(where=place, what="zone 'Q' is not declared", mend="add it under zones:", rule="zone"))
        my.car.yaml:7: items.fan.zone: zone 'Q' is not declared; add it under zones:
        """
        return f"{self.where}: {self.what}; {self.mend}"


def faults(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings that are faults, in order."""
    return tuple(finding for finding in findings if finding.kind is Kind.FAULT)


def notes(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings that are notes, in order."""
    return tuple(finding for finding in findings if finding.kind is Kind.NOTE)
