"""One idea: a procedure file, `procedure/1`, is read and written here; what is wrong with it is said all at once.

It is the same operations that `putback narrate --json` gives, as YAML, with the car, its aliases and who has
confirmed which line.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from putback.adapters.car_file.desk import Desk
from putback.adapters.car_file.filled import Filled
from putback.adapters.car_file.kinds import Choice, Flag, Number, Text
from putback.adapters.car_file.lists import Many
from putback.adapters.car_file.nodes import Mapping as Group
from putback.adapters.car_file.nodes import Node, Scalar, parse
from putback.adapters.car_file.records import Amounts, Key, Record
from putback.adapters.car_file.text import read_bytes, read_text
from putback.adapters.yaml_text import Value, entries, value_text
from putback.core.finding import Finding, Where, faults
from putback.core.operations import Verb
from putback.core.procedure import Line, Procedure, Question

FORMAT: Final = "procedure/1"

_NUMBER: Final = Number(least=1, most=100_000, whole=True)
_PLACE: Final = Number(least=0, most=1e9, whole=True)
_SECONDS: Final = Number(least=0, most=1e7)
_TEXT: Final = Text()


def _key(name: str, kind: Any, meaning: str, example: str, *, required: bool = False) -> Key:
    return Key(name=name, kind=kind, meaning=meaning, example=example, required=required)


LINE: Final = Record(
    name="operation",
    keys=(
        _key("n", _NUMBER, "its number in this file", "1", required=True),
        _key("verb", Choice(tuple(map(str, Verb))), "what was done", "remove", required=True),
        _key("object", _TEXT, "to which thing", "top cover"),
        _key("count", _NUMBER, "how many fasteners or pieces", "4"),
        _key("size", _TEXT, "as it was said", "10mm"),
        _key("kind", _TEXT, "bolt, nut, clip and so on", "bolt"),
        _key("torque", _TEXT, "as it was said", "<number>Nm"),
        _key("source", _TEXT, "where the torque comes from, by its name under sources", "my-manual"),
        _key("pattern", _TEXT, "order of tightening, as it was said", "criss-cross"),
        _key("zone", _TEXT, "where on the car", "front cowl"),
        _key("tool", _TEXT, "with what", "T30"),
        _key("tray", _TEXT, "where it was put", "tray C"),
        _key("span", Many(_PLACE, exactly=2), "from where to where in the spoken text", "[0, 40]"),
        _key("seconds", _SECONDS, "when it was said", "12.5"),
        _key("twin", _NUMBER, "the operation on the way in that it undoes", "1"),
        _key("also", Many(_NUMBER), "further operations that it undoes", "[2]"),
        _key("first", Many(_NUMBER), "operations whose things had to come off first", "[1, 3]"),
        _key("condition", _TEXT, "what was said with it for a case that may come", "if it spins, hold it"),
        _key("slackened", Flag(), "true: loosened, and stays on", "true"),
        _key("doubts", Many(_TEXT), "what a person should look at", "[elliptical]"),
        _key("confirmed", _TEXT, "who has confirmed it", "a name"),
    ),
)
QUESTION: Final = Record(
    name="question",
    keys=(
        _key("kind", _TEXT, "what was not heard", "never_plugged_in", required=True),
        _key("text", _TEXT, "the question", '"horn connector: plugged back in? not heard"', required=True),
        _key("operation", _NUMBER, "the operation that it is about", "4"),
        _key("answer", _TEXT, "what a person answered", '"yes"'),
        _key("answered_by", _TEXT, "who answered", "a name"),
    ),
)
PROCEDURE: Final = Record(
    name="procedure",
    keys=(
        _key("putback", Choice((FORMAT,)), "the format of this file", FORMAT, required=True),
        _key("car", _TEXT, "the vehicle platform", "my platform", required=True),
        _key("name", _TEXT, "the job", "renew the thermostat"),
        _key("invented", Flag(), "true: a made-up vehicle", "true"),
        _key("high_voltage", Flag(), "whether the car has high voltage; without it: not known", "true"),
        _key("aliases", Amounts(_TEXT), "names that were said, with the name on this car", "{bottle: header tank}"),
        _key("zones", Amounts(_TEXT), "places on the car, by the name used below", "{C: top of bay}"),
        _key("sources", Amounts(_TEXT), "where torques come from", '{my-manual: "title, page"}'),
        _key("private", Amounts(_TEXT), "what belongs to the owner; never published", "{plate: text}"),
        _key("operations", Many(LINE), "what was done, in its order", "see operation", required=True),
        _key("questions", Many(QUESTION), "what was not heard", "see question"),
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProcedureRead:
    """What came of a procedure file. `procedure` None: there are faults; findings are sorted by line."""

    procedure: Procedure | None
    findings: tuple[Finding, ...]
    readable: bool = True


def is_procedure(data: bytes) -> bool:
    """Whether the first key of a file says that it is a procedure.

    >>> is_procedure(b"# mine\\nputback: procedure/1"), is_procedure(b"putback: car/1")
    (True, False)
    """
    for line in data[:4096].decode("utf-8", "replace").splitlines():
        if line.strip() and not line.lstrip("\ufeff").startswith("#"):
            key, _, value = line.lstrip("\ufeff").partition(":")
            return key.strip() == "putback" and value.strip().strip("\"'").startswith("procedure/")
    return False


def is_procedure_file(path: Path) -> bool:
    """Whether a file is there and says that it is a procedure."""
    try:
        with path.open("rb") as file:
            return is_procedure(file.read(4096))
    except OSError:
        return False


def read_procedure(path: Path) -> ProcedureRead:
    """Read a procedure file; a missing or unreadable file is a finding, nothing is raised."""
    data = read_bytes(path)
    if isinstance(data, Finding):
        return ProcedureRead(procedure=None, findings=(data,), readable=False)
    return read_procedure_text(data, str(path))


def read_procedure_text(data: bytes, name: str) -> ProcedureRead:
    """Read the bytes of a procedure file; `name` is the file's name in findings."""
    text = read_text(data, name)
    if isinstance(text, Finding):
        return ProcedureRead(procedure=None, findings=(text,), readable=False)
    tree = parse(text, name)
    if tree.root is None:
        return ProcedureRead(procedure=None, findings=tree.findings, readable=False)
    other = _other_format(tree.root, name)
    if other is not None:
        return ProcedureRead(procedure=None, findings=(*tree.findings, other))
    desk = Desk(file=name, findings=list(tree.findings))
    filled = PROCEDURE.read(tree.root, "", desk)
    procedure = _procedure(filled, name)
    _check(filled, procedure, desk)
    findings = tuple(sorted(desk.findings, key=lambda one: one.where.line or 0))
    return ProcedureRead(procedure=None if faults(findings) else procedure, findings=findings)


def _other_format(root: Node, name: str) -> Finding | None:
    """Why this is no procedure file of ours at all."""
    header = root.get("putback") if isinstance(root, Group) else None
    if isinstance(root, Group) and (not isinstance(header, Scalar) or header.value in {None, FORMAT}):
        return None
    said = f"{header.text!r} is another format" if isinstance(header, Scalar) else "this is no procedure file"
    mend = f"a procedure file is keys and values and starts with putback: {FORMAT}"
    return Finding(where=Where(file=name, line=root.line, field="putback"), what=said, mend=mend, rule="format")


def _procedure(filled: Filled, name: str) -> Procedure:
    def table(key: str) -> Mapping[str, str]:
        return MappingProxyType(dict(filled.get(key, {})))

    return Procedure(
        car=filled.get("car", ""),
        file=name,
        name=filled.get("name", ""),
        invented=filled.get("invented", False),
        high_voltage=filled.get("high_voltage"),
        aliases=table("aliases"),
        zones=table("zones"),
        sources=table("sources"),
        private=table("private"),
        lines=tuple(_line(one) for one in filled.get("operations", ())),
        questions=tuple(Question(**{"kind": "", "text": ""} | one.values) for one in filled.get("questions", ())),
    )


def _line(filled: Filled) -> Line:
    values = dict(filled.values)
    start, end = values.pop("span", (None, None))
    values["verb"] = Verb(values.get("verb", Verb.NOTE))
    known: dict[str, Any] = {"n": 0, "object": ""} | values
    return Line(**known, start=start, end=end)


def _check(filled: Filled, procedure: Procedure, desk: Desk) -> None:
    """Numbers that name nothing, and what the file leaves open."""
    places = [one.at for one in filled.get("operations", ())]
    seen: set[int] = set()
    for line, at in zip(procedure.lines, places, strict=True):
        _check_line(line, at, seen, procedure, desk)
        seen.add(line.n)
    asked = [one.at for one in filled.get("questions", ())]
    for question, at in zip(procedure.questions, asked, strict=True):
        if question.operation is not None and question.operation not in seen:
            what = f"there is no operation {question.operation}"
            desk.fault(desk.line(f"{at}.operation"), f"{at}.operation", what, "name one of the file", "operation")
    for alias in procedure.aliases:
        if procedure.named(alias) == alias or procedure.named(alias) in procedure.aliases:
            at = f"aliases.{alias}"
            desk.fault(desk.line(at), at, "the alias leads back to itself", "name the thing once", "alias")
    unconfirmed = len(procedure.unconfirmed())
    if unconfirmed:
        what = f"{unconfirmed} of {len(procedure.lines)} operations are confirmed by nobody"
        desk.note(desk.line("operations"), "operations", what, "nothing is firm before a person has read it", "review")


def _check_line(line: Line, at: str, seen: set[int], procedure: Procedure, desk: Desk) -> None:
    def wrong(key: str, what: str, mend: str) -> None:
        desk.fault(desk.line(f"{at}.{key}"), f"{at}.{key}", what, mend, key)

    if line.n in seen:
        wrong("n", f"the number {line.n} is taken", "give each operation a number of its own")
    earlier = [("twin", line.twin), *(("also", one) for one in line.also), *(("first", one) for one in line.first)]
    for key, named in earlier:
        if named is not None and named not in seen:
            wrong(key, f"no operation before this one has the number {named}", "name an earlier operation")
    if line.start is not None and line.end is not None and line.end < line.start:
        wrong("span", "the span ends before it starts", "write [start, end]")
    if line.source is not None and line.source not in procedure.sources:
        wrong("source", f"the source {line.source!r} is not declared", "add it under sources:")
    if line.verb is Verb.TIGHTEN and line.torque and not line.source:
        what = f"the torque {line.torque} of {line.object or 'this joint'} was said, but no source is named"
        desk.note(desk.line(at), f"{at}.source", what, "value needed: look it up and name the source", "torque")


def write_procedure(procedure: Procedure) -> str:
    """A procedure as the text of a file, which reads back as the same procedure."""
    head: dict[str, Value] = {"putback": FORMAT, "car": procedure.car}
    if procedure.name:
        head["name"] = procedure.name
    if procedure.invented:
        head["invented"] = True
    if procedure.high_voltage is not None:
        head["high_voltage"] = procedure.high_voltage
    for key in ("aliases", "zones", "sources", "private"):
        if getattr(procedure, key):
            head[key] = dict(getattr(procedure, key))
    lines = [*entries(head, 0), *_listed("operations", [_line_values(line) for line in procedure.lines])]
    if procedure.questions:
        lines += _listed("questions", [_question_values(question) for question in procedure.questions])
    return "\n".join(lines) + "\n"


def _listed(key: str, groups: list[dict[str, Value]]) -> list[str]:
    return [f"{key}:", *(f"  - {value_text(group)}" for group in groups)] if groups else [f"{key}: []"]


def _line_values(line: Line) -> dict[str, Value]:
    """The keys of a line that have something to say, in the order of the table."""
    span = None if line.start is None or line.end is None else [line.start, line.end]
    values: dict[str, Value] = {}
    for key in LINE.keys:
        value = span if key.name == "span" else getattr(line, key.name)
        if value not in (None, "", (), False):
            values[key.name] = str(value) if key.name == "verb" else value
    if line.seconds == 0:
        values["seconds"] = 0
    return values


def _question_values(question: Question) -> dict[str, Value]:
    told = {key.name: getattr(question, key.name) for key in QUESTION.keys}
    return {key: value for key, value in told.items() if value is not None}
