"""One idea: a car file is read whole, and everything wrong with it is said at once.

Bytes become text, text a tree, the tree is read by the table of `car/1`, and checks look at the car that came of
it. Only a text that cannot be read as YAML, or one in another format, stops short of that.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from putback.adapters.car_file import build
from putback.adapters.car_file.checks import CHECKS
from putback.adapters.car_file.desk import Desk
from putback.adapters.car_file.nodes import Mapping, Node, Scalar, parse
from putback.adapters.car_file.table import CAR, FORMAT
from putback.adapters.car_file.text import read_bytes, read_text
from putback.core.car import Car
from putback.core.finding import Finding, Where, faults


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What came of a car file.

    `car` is None where there are faults; `readable` is False where the text could not be read as YAML at all.
    Findings are sorted by line.
    """

    car: Car | None
    findings: tuple[Finding, ...]
    readable: bool


def read_car(path: Path) -> Reading:
    """Read a car file; a missing or unreadable file is a finding, nothing is raised."""
    data = read_bytes(path)
    if isinstance(data, Finding):
        return Reading(car=None, findings=(data,), readable=False)
    return read_car_text(data, str(path))


def read_car_text(data: bytes, name: str) -> Reading:
    """Read the bytes of a car file; `name` is the file's name in findings."""
    text = read_text(data, name)
    if isinstance(text, Finding):
        return Reading(car=None, findings=(text,), readable=False)
    tree = parse(text, name)
    if tree.root is None:
        return Reading(car=None, findings=_sorted(tree.findings), readable=False)
    header = _header_findings(tree.root, name)
    if header:
        return Reading(car=None, findings=_sorted((*tree.findings, *header)), readable=True)
    return _read_tree(tree.root, tree.findings, name)


def _read_tree(root: Node, seen: tuple[Finding, ...], name: str) -> Reading:
    desk = Desk(file=name, findings=list(seen))
    filled: Any = CAR.read(root, "", desk)
    car = build.car(filled, desk)
    for check in CHECKS:
        check(car, desk)
    findings = _sorted(tuple(desk.findings))
    return Reading(car=None if faults(findings) else car, findings=findings, readable=True)


def _header_findings(root: Node, name: str) -> tuple[Finding, ...]:
    """Why this is no car file of ours at all; a missing header alone is told with everything else."""
    if not isinstance(root, Mapping):
        what, mend = "this is no car file", f"a car file is keys and values and starts with putback: {FORMAT}"
        return (Finding(where=Where(file=name, line=root.line), what=what, mend=mend, rule="format"),)
    header = root.get("putback")
    if not isinstance(header, Scalar) or header.value in {None, FORMAT}:
        return ()
    where = Where(file=name, line=header.line, field="putback")
    what, mend = f"{header.text!r} is another format", f"this program reads {FORMAT}"
    if header.text.startswith("car/") and header.text[4:].isdecimal():
        what, mend = (
            f"the file is {header.text}, a newer format",
            f"this program reads {FORMAT}; a newer one is needed",
        )
    return (Finding(where=where, what=what, mend=mend, rule="format"),)


_LAST: Final = float("inf")


def _sorted(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    def place(finding: Finding) -> float:
        return _LAST if finding.where.line is None else finding.where.line

    return tuple(sorted(findings, key=place))
