"""One idea: while a file is read, everything said about it is gathered in one place.

What is wrong, on which line each field stands, which ids were given and which were named: the later checks look
lines up here by field, so that the model itself stays free of them.
"""

from dataclasses import dataclass, field
from typing import Final

from putback.adapters.car_file.nearest import Words
from putback.adapters.car_file.nodes import Mapping, Node, Scalar, Sequence
from putback.core.finding import Finding, Kind, Where

MOST_FINDINGS: Final = 5_000

NAMED_ALIKE: Final = ("items", "joints", "energies")
_SINGULAR: Final = {
    "items": "item",
    "joints": "joint",
    "energies": "energy",
    "zones": "zone",
    "sources": "source",
    "fluids": "fluid",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """An id that is named somewhere and must exist in one of these sections (or be one of the extra words)."""

    id: str
    sections: tuple[str, ...]
    extra: tuple[str, ...]
    line: int
    field: str


@dataclass(slots=True)
class Desk:
    """Everything gathered about one file. Lines are 1-based."""

    file: str
    findings: list[Finding] = field(default_factory=list)
    lines: dict[str, int] = field(default_factory=dict)
    entry_lines: dict[tuple[str, str], int] = field(default_factory=dict)
    ids: dict[str, dict[str, int]] = field(default_factory=dict)
    references: list[Reference] = field(default_factory=list)
    faulty: set[str] = field(default_factory=set)
    _words: dict[tuple[str, ...], Words] = field(default_factory=dict)

    def fault(self, line: int | None, at: str, what: str, mend: str, rule: str) -> None:
        """Something is wrong in this field."""
        self.faulty.add(at)
        self._say(line, at, what, mend, rule, Kind.FAULT)

    def note(self, line: int | None, at: str, what: str, mend: str, rule: str) -> None:
        """Something is worth knowing about this field."""
        self._say(line, at, what, mend, rule, Kind.NOTE)

    def _say(self, line: int | None, at: str, what: str, mend: str, rule: str, kind: Kind) -> None:
        if len(self.findings) == MOST_FINDINGS:
            what, mend, at, kind = f"there is more than these {MOST_FINDINGS:,}", "mend them first", "", Kind.FAULT
            line, rule = None, "more"
        if len(self.findings) <= MOST_FINDINGS:
            where = Where(file=self.file, line=line, field=at)
            self.findings.append(Finding(where=where, what=what, mend=mend, rule=rule, kind=kind))

    def is_named(self, section: str) -> bool:
        """Whether an id of this section is named anywhere."""
        return any(section in reference.sections for reference in self.references)

    def is_faulty(self, at: str) -> bool:
        """Whether a fault was told about this very field, or about a misspelled key that was meant to be it."""
        return at in self.faulty

    def declare(self, section: str, id: str, line: int, at: str) -> None:
        """This id is given to something here. Ids of items, joints and energies share one pool."""
        alike = NAMED_ALIKE if section in NAMED_ALIKE else (section,)
        for other in alike:
            first = self.ids.get(other, {}).get(id)
            if first is not None:
                what = f"the id {id!r} is taken by the {_SINGULAR.get(other, other)} in line {first}"
                self.fault(line, at, what, "give each item, joint and energy an id of its own", "same-id")
        self.ids.setdefault(section, {}).setdefault(id, line)

    def name(self, reference: Reference) -> None:
        """This id is named here; whether it exists is looked up at the end."""
        self.references.append(reference)
        self.entry_lines.setdefault((reference.field, reference.id), reference.line)

    def line(self, at: str, id: str = "") -> int | None:
        """The line of a field, or of one id named in it; of the nearest outer field where it has none."""
        found = self.entry_lines.get((at, id))
        while found is None and at:
            found = self.lines.get(at)
            at = at.rpartition(".")[0]
        return found

    def nearest(self, id: str, sections: tuple[str, ...], extra: tuple[str, ...] = ()) -> str | None:
        """The existing id most like this one."""
        if (*sections, *extra) not in self._words:
            known = [known for section in sections for known in self.ids.get(section, ())]
            self._words[*sections, *extra] = Words([*known, *extra])
        return self._words[*sections, *extra].nearest(id)


def singular(section: str) -> str:
    """What one thing of a section is called.

    >>> singular("energies")
    'energy'
    """
    return _SINGULAR.get(section, section)


def shown(node: Node) -> str:
    """What stands there, in plain words."""
    if isinstance(node, Sequence):
        return "a list"
    if isinstance(node, Mapping):
        return "a group of keys"
    return _shown_scalar(node)


def _shown_scalar(node: Scalar) -> str:
    text = node.text if len(node.text) <= 60 else node.text[:57] + "..."
    if node.value is None:
        return "nothing"
    if isinstance(node.value, bool):
        return f"{text} (true or false)"
    if isinstance(node.value, int | float):
        return f"{text} (a number)"
    return repr(text)
