"""One idea: the owner's torque wrenches and adapters come in as a file `tools/1`, all that is wrong told at once.

The file is YAML 1.2, read with the machinery of the car file: every fault has file, line, field and mend.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from putback.adapters.car_file.desk import Desk
from putback.adapters.car_file.filled import Filled
from putback.adapters.car_file.kinds import BAD, Bad, Choice, Flag, Number, Schema, Text, refuse
from putback.adapters.car_file.nodes import Mapping as Group
from putback.adapters.car_file.nodes import Node, Scalar, parse
from putback.adapters.car_file.records import Key, Record, Section, inner
from putback.adapters.car_file.text import read_bytes, read_text
from putback.core.fasten.lever import Adapter
from putback.core.fasten.wrench import TOLERANCES_PERCENT, Direction, Wrench, WrenchKind
from putback.core.finding import Finding, Where, faults
from putback.core.quantity import Refused, read_torque

FORMAT: Final = "tools/1"

_LENGTH_MM: Final = Number(above=0, most=3000)
_REACH_MM: Final = Number(least=0, most=3000)
_TORQUE: Final = Number(above=0, most=100_000)
_PERCENT: Final = Number(above=0, most=50)


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolList:
    """What the owner has, by id: wrenches, and adapters whose angle is given when they are used."""

    wrenches: Mapping[str, Wrench]
    adapters: Mapping[str, Adapter]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolsRead:
    """What came of a tool list. `tools` is None where there are faults; findings are sorted by line."""

    tools: ToolList | None
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Day:
    """A day of the calendar."""

    words: str = "day such as 2026-03-31"

    def read(self, node: Node, at: str, desk: Desk) -> date | Bad:
        """The day."""
        if isinstance(node, Scalar) and re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", node.text):
            try:
                return date.fromisoformat(node.text)
            except ValueError:
                pass
        return refuse(node, at, desk, "write year-month-day, such as 2026-03-31", rule="day")

    def schema(self, defined: dict[str, Schema]) -> Schema:  # noqa: ARG002
        """A date."""
        return {"type": "string", "format": "date"}


@dataclass(frozen=True, slots=True)
class TorqueUnit:
    """A unit of torque, however it is spelt."""

    words: str = "unit such as N·m or lbf·ft"

    def read(self, node: Node, at: str, desk: Desk) -> str | Bad:
        """The unit as the program writes it."""
        text = Text(self.words).read(node, at, desk)
        if text is BAD:
            return BAD
        try:
            return read_torque(f"1 {text}").unit
        except Refused as refusal:
            return refuse(node, at, desk, refusal.mend, f"{text!r} is no unit of torque", "unit")

    def schema(self, defined: dict[str, Schema]) -> Schema:  # noqa: ARG002
        """A string."""
        return {"type": "string"}


@dataclass(frozen=True, slots=True, kw_only=True)
class NotAfter:
    """One value must not be more (or later) than another of the same group."""

    less: str
    more: str
    mend: str

    def check(self, filled: Filled, desk: Desk) -> None:
        """Tell it where it is."""
        less, more = filled.get(self.less), filled.get(self.more)
        if less is not None and more is not None and less > more:
            at = inner(filled.at, self.less)
            word = "later" if isinstance(less, date) else "more"
            what = f"{_shown(less)} is {word} than {self.more}, {_shown(more)}"
            desk.fault(desk.line(at), at, what, self.mend, "order")

    def schema(self) -> Schema:
        """Nothing that a schema could say."""
        return {}


def _shown(value: date | float) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


class OnlyElectronic:
    """Only an electronic wrench corrects by itself."""

    def check(self, filled: Filled, desk: Desk) -> None:
        """Tell it where another kind says so."""
        kind = filled.get("kind")
        if filled.get("corrects_itself") and kind not in (None, WrenchKind.ELECTRONIC):
            at = inner(filled.at, "corrects_itself")
            mend = "delete it, or write kind: electronic"
            desk.fault(desk.line(at), at, f"a {kind} wrench cannot correct for an adapter", mend, "electronic")

    def schema(self) -> Schema:
        """If it corrects by itself, then it is electronic."""
        condition = {"properties": {"corrects_itself": {"const": True}}, "required": ["corrects_itself"]}
        return {"if": condition, "then": {"properties": {"kind": {"const": "electronic"}}}}


def _key(name: str, kind: Any, meaning: str, example: str, *, required: bool = False) -> Key:
    return Key(name=name, kind=kind, meaning=meaning, example=example, required=required, blank=not required)


WRENCH: Final = Record(
    name="wrench",
    keys=(
        _key("name", Text(), "what you call it", "half inch click wrench", required=True),
        _key(
            "kind", Choice(tuple(kind.value for kind in WrenchKind)), "how it tells its torque", "click", required=True
        ),
        _key("lowest", _TORQUE, "lowest mark on its scale", "20", required=True),
        _key("top", _TORQUE, "highest mark on its scale", "100", required=True),
        _key("unit", TorqueUnit(), "unit of its scale", "N·m", required=True),
        _key("resolution", _TORQUE, "from one mark of the scale to the next", "0.5"),
        _key("grip_length_mm", _LENGTH_MM, "from the middle of the grip to the middle of the drive, in mm", "400"),
        _key("class", Choice(tuple(TOLERANCES_PERCENT)), "type and class by ISO 6789, from its papers", "II-A"),
        _key("tolerance_percent", _PERCENT, "tolerance on its own certificate, in %; wins over the class", "3"),
        _key("calibrated_on", Day(), "day of its last calibration", "2026-03-31"),
        _key("due", Day(), "last day on which that calibration holds", "2027-03-31"),
        _key(
            "direction",
            Choice(tuple(way.value for way in Direction)),
            "in which direction it measures; left out: right",
            "both",
        ),
        _key("corrects_itself", Flag(), "true: electronic, and corrects for an adapter by itself", "true"),
    ),
    rules=(
        NotAfter(less="lowest", more="top", mend="write the lowest mark under lowest and the highest under top"),
        NotAfter(less="resolution", more="top", mend="write the step from one mark to the next"),
        NotAfter(less="calibrated_on", more="due", mend="check both days on the certificate"),
        OnlyElectronic(),
    ),
)

ADAPTER: Final = Record(
    name="adapter",
    keys=(
        _key("name", Text(), "what you call it", "crow-foot 17", required=True),
        _key(
            "length_mm",
            _REACH_MM,
            "middle of the drive to middle of the fastener, in mm; 0: in line with its axis",
            "38",
        ),
        _key("flexible", Flag(), "true: a flexible or wobble joint", "false"),
    ),
)

TOOLS: Final = Record(
    name="tools",
    keys=(
        Key(name="putback", kind=Choice((FORMAT,)), meaning="the format", example=FORMAT, required=True),
        Key(
            name="wrenches",
            kind=Section("wrenches", WRENCH, least=1),
            meaning="torque wrenches by id",
            example="see wrench",
            required=True,
        ),
        Key(name="adapters", kind=Section("adapters", ADAPTER), meaning="adapters by id", example="see adapter"),
    ),
)


def read_tools(path: Path) -> ToolsRead:
    """Read a tool list; a missing or unreadable file is a finding, nothing is raised."""
    data = read_bytes(path)
    if isinstance(data, Finding):
        return _refused(_own_words(data))
    return read_tools_text(data, str(path))


def read_tools_text(data: bytes, name: str) -> ToolsRead:
    """Read the bytes of a tool list; `name` is the file's name in findings."""
    text = read_text(data, name)
    if isinstance(text, Finding):
        return _refused(_own_words(text))
    tree = parse(text, name)
    if tree.root is None:
        return _refused(*tree.findings)
    header = _header_finding(tree.root, name)
    if header is not None:
        return _refused(*tree.findings, header)
    desk = Desk(file=name, findings=list(tree.findings))
    filled: Any = TOOLS.read(tree.root, "", desk)
    if faults(desk.findings):
        return _refused(*desk.findings)
    return ToolsRead(tools=_tools(filled), findings=_sorted(desk.findings))


def _refused(*findings: Finding) -> ToolsRead:
    return ToolsRead(tools=None, findings=_sorted(findings))


def _sorted(findings: Any) -> tuple[Finding, ...]:
    return tuple(sorted(findings, key=lambda finding: finding.where.line or float("inf")))


_MENDS: Final = {
    "empty": f"start with putback: {FORMAT}, then wrenches:",
    "size": "check that it is a tool list; a hundred wrenches take some kilobytes",
}


def _own_words(finding: Finding) -> Finding:
    """The same finding, with a mend that speaks of a tool list."""
    mend = _MENDS.get(finding.rule, finding.mend.replace("the car file itself, such as my.car.yaml", "the tool list"))
    return replace(finding, mend=mend)


def _header_finding(root: Node, name: str) -> Finding | None:
    """Why this is no tool list at all; a missing header alone is told with everything else."""
    if not isinstance(root, Group):
        mend = f"a tool list is keys and values and starts with putback: {FORMAT}"
        where = Where(file=name, line=root.line)
        return Finding(where=where, what="this is no tool list", mend=mend, rule="format")
    header = root.get("putback")
    if not isinstance(header, Scalar) or header.value in {None, FORMAT}:
        return None
    where = Where(file=name, line=header.line, field="putback")
    mend = f"this program reads {FORMAT} here"
    return Finding(where=where, what=f"{header.text!r} is another format", mend=mend, rule="format")


def _tools(filled: Filled) -> ToolList:
    wrenches = {id: _wrench(id, group) for id, group in filled.get("wrenches", {}).items()}
    adapters = {id: _adapter(group) for id, group in filled.get("adapters", {}).items()}
    return ToolList(wrenches=MappingProxyType(wrenches), adapters=MappingProxyType(adapters))


def _wrench(id: str, filled: Filled) -> Wrench:
    return Wrench(
        id=id,
        name=filled.get("name"),
        kind=WrenchKind(filled.get("kind")),
        lowest=filled.get("lowest"),
        top=filled.get("top"),
        unit=filled.get("unit"),
        grip_length_mm=filled.get("grip_length_mm"),
        tolerance_class=filled.get("class"),
        tolerance_percent=filled.get("tolerance_percent"),
        calibrated_on=filled.get("calibrated_on"),
        due=filled.get("due"),
        resolution=filled.get("resolution"),
        direction=Direction(filled.get("direction", Direction.RIGHT)),
        corrects_itself=filled.get("corrects_itself", False),
    )


def _adapter(filled: Filled) -> Adapter:
    name, length_mm = filled.get("name"), filled.get("length_mm")
    return Adapter(name=name, length_mm=length_mm, flexible=filled.get("flexible", False))
