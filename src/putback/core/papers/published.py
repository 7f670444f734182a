"""One idea: a procedure that is given away says what can hurt first, and what is not known as not known.

The owner's data, the plate, the names of persons and anything that looks like a vehicle identification number are
left out. A torque counts only with its source.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Any, Final

from putback.core.car import VALUE_NEEDED
from putback.core.operations import TWIN, Verb
from putback.core.papers.section import Column, Form, Row, Section, Table, pairs
from putback.core.procedure import NOT_DONE, TWINNED, WITHOUT_TORQUE, Line, Procedure, Question, names_high_voltage

AUTHORITY: Final = (
    "The maker's publication, local codes and licensed people decide; where they differ from this page, they win. "
    "Switched off is not isolated: only a proof counts. Nothing here is a limit, a wait or a torque of the maker."
)
LEFT_OUT: Final = "[left out]"
NOT_HEARD: Final = "not heard"

_VEHICLE_NUMBER = re.compile(r"\b(?=[A-Z0-9]*[0-9])(?=[A-Z0-9]*[A-Z])[A-HJ-NPR-Z0-9]{17}\b", re.IGNORECASE)
"""Seventeen signs without I, O and Q: ISO 3779:2009, section 4."""
_CAN_HURT = frozenset({Verb.RAISE, Verb.DRAIN, Verb.ISOLATE})
_HELD_BY_FASTENERS = frozenset({Verb.UNDO, Verb.START, Verb.TIGHTEN})


def without_private(procedure: Procedure) -> Procedure:
    """The same without what belongs to the owner, without persons' names, without vehicle numbers."""
    persons = {line.confirmed for line in procedure.lines} | {one.answered_by for one in procedure.questions}
    values = [*procedure.private.values(), *(person for person in persons if person)]
    hidden = re.compile("|".join(_anyhow(value) for value in values if len(value.strip()) > 1) or r"(?!)")

    def clean(text: str) -> str:
        return _VEHICLE_NUMBER.sub(LEFT_OUT, hidden.sub(LEFT_OUT, text))

    return replace(
        procedure,
        car=clean(procedure.car),
        file="",
        name=clean(procedure.name),
        aliases=MappingProxyType({}),
        zones=MappingProxyType({clean(key): clean(value) for key, value in procedure.zones.items()}),
        sources=MappingProxyType({clean(key): clean(value) for key, value in procedure.sources.items()}),
        private=MappingProxyType({}),
        lines=tuple(_clean_line(procedure, line, clean) for line in procedure.lines),
        questions=tuple(
            replace(
                one, text=clean(one.text), answer=clean(one.answer) if one.answer else one.answer, answered_by=None
            )
            for one in procedure.questions
        ),
    )


def for_a_car(procedure: Procedure) -> Procedure:
    """The same for drawing a car: no text holds private data; file, aliases and who confirmed which line stay."""
    public = without_private(procedure)
    lines = tuple(
        replace(line, confirmed=told.confirmed) for line, told in zip(public.lines, procedure.lines, strict=True)
    )
    return replace(public, file=procedure.file, aliases=procedure.aliases, lines=lines)


def _anyhow(value: str) -> str:
    """A pattern for a private value in whatever case and spacing, and for its capitalised words as they are."""
    signs = [re.escape(sign) for sign in value if sign.isalnum()]
    spaced = r"(?i:\b" + r"[\s.-]*".join(signs) + r"\b)" if signs else re.escape(value)
    words = [word for word in re.findall(r"\w+", value) if len(word) > 2 and word[0].isupper() and word.isalpha()]
    return "|".join([spaced, *(rf"\b{re.escape(word)}\b" for word in words)])


_TEXTS: Final = ("size", "kind", "torque", "source", "pattern", "zone", "tool", "tray", "condition")


def _clean_line(procedure: Procedure, line: Line, clean: Callable[[str], str]) -> Line:
    """A line with its thing under the name of this car; whether it was confirmed stays, by whom does not."""
    texts: dict[str, Any] = {name: clean(value) for name in _TEXTS if (value := getattr(line, name)) is not None}
    confirmed = "a person" if line.confirmed else None
    doubts = tuple(clean(doubt) for doubt in line.doubts)
    return replace(line, **texts, object=clean(procedure.named(line.object)), doubts=doubts, confirmed=confirmed)


def sections_of(procedure: Procedure) -> tuple[Section, ...]:
    """The sections of a published procedure, in the order of reading; hazards come first."""
    return (
        _hazards(procedure),
        _tools(procedure),
        _parts(procedure),
        _torques(procedure),
        _twins(procedure),
        _operations(procedure),
        _open(procedure),
    )


def _hazards(procedure: Procedure) -> Section:
    """High voltage known or not, and everything that was isolated, proved, waited for, drained, raised, guarded."""
    known = {True: "yes", False: "no, as recorded", None: "not known: find out before anything is touched"}
    rows = [
        Row(cells=("High voltage on the car", known[procedure.high_voltage]), owed=procedure.high_voltage is not False)
    ]
    if procedure.high_voltage is not False:
        rows += _dead(procedure)
    for line in procedure.lines:
        if line.verb in _CAN_HURT:
            back = procedure.twins_of(line.n)
            after = f"{back[0].verb} at {back[0].n}" if back else f"{TWIN[line.verb]}: {NOT_HEARD}"
            rows.append(Row(cells=(f"{line.n}. {line.verb} {_thing(line)}", after), owed=not back))
    columns = (Column(name="", share=2), Column(name="", share=3))
    return Section(
        id="hazards", title="Hazards first", lead=AUTHORITY, tables=(Table(columns=columns, rows=tuple(rows)),)
    )


def _dead(procedure: Procedure) -> Iterator[Row]:
    """What is asked on every car with high voltage, what was heard, and what a person said of it."""
    for words, verb in (
        ("High voltage isolated?", Verb.ISOLATE),
        ("Waited?", Verb.WAIT),
        ("Proved gone?", Verb.PROVE_DEAD),
    ):
        lines = [line for line in procedure.lines if line.verb is verb]
        if verb is Verb.ISOLATE:
            lines = [line for line in lines if names_high_voltage(_thing(line))]
        yield _asked(words, lines, procedure.asked_always(verb))


def _asked(words: str, lines: Sequence[Line], question: Question | None) -> Row:
    """What was heard alone is no answer: a person says whether it was done."""
    heard = ", ".join(_thing(line) for line in lines)
    if question is not None and question.answer == NOT_DONE:
        return Row(cells=(words, "NOT DONE, as a person answered" + (f"; heard: {heard}" if heard else "")), owed=True)
    if question is not None and question.answer is not None:
        return Row(cells=(words, heard or "done, as a person answered; it was not said"))
    if not heard:
        return Row(cells=(words, NOT_HEARD), owed=True)
    if question is None and all(line.confirmed for line in lines):
        return Row(cells=(words, heard))
    return Row(cells=(words, f"heard: {heard}; nobody has answered that it was done"), owed=True)


def _tools(procedure: Procedure) -> Section:
    used: dict[str, dict[str, None]] = {}
    for line in procedure.lines:
        for tool in filter(None, (line.tool, line.size)):
            used.setdefault(tool, {})[_thing(line)] = None
    rows = tuple(Row(cells=(tool, ", ".join(things))) for tool, things in sorted(used.items()))
    columns = (Column(name="tool or size, as it was said", share=1), Column(name="for", share=3))
    return Section(
        id="tools", title="Tools", tables=(Table(columns=columns, rows=rows),), absent=f"Tools: {NOT_HEARD}."
    )


def _parts(procedure: Procedure) -> Section:
    renewed = [line for line in procedure.lines if line.verb is Verb.RENEW]
    rows = tuple(Row(cells=(_thing(line), _count(line) or NOT_HEARD)) for line in renewed)
    columns = (Column(name="renewed", share=3), Column(name="how many", share=1))
    absent = f"Parts: {NOT_HEARD}. That is not the same as none."
    return Section(id="parts", title="Parts", tables=(Table(columns=columns, rows=rows),), absent=absent)


def _torques(procedure: Procedure) -> Section:
    """Every joint that was undone or tightened; one without a sourced torque says so."""
    tightened = [line for line in procedure.lines if line.verb is Verb.TIGHTEN]
    told = {n for line in tightened for n in line.undoes}
    loose = [line for line in procedure.lines if line.verb is Verb.UNDO and line.n not in told]
    rows = [_torque(procedure, line) for line in tightened]
    named = {_thing(line) for line in tightened}
    put_in = [line for line in procedure.lines if line.verb is Verb.START and not line.undoes]
    loose += [line for line in put_in if line.kind is not None and _thing(line) not in named]
    rows += [_not_tightened(line) for line in loose if line.kind not in WITHOUT_TORQUE]
    heads = (("joint", 3.0), ("fasteners", 2.0), ("torque", 1.6), ("source", 3.0))
    columns = tuple(Column(name=name, share=share) for name, share in heads)
    lead = "A torque counts only with its source; as it was said, it is a memory of somebody."
    return Section(
        id="torques",
        title="Torque card",
        lead=lead,
        tables=(Table(columns=columns, rows=tuple(rows)),),
        absent=f"Tightening: {NOT_HEARD}.",
    )


def _not_tightened(line: Line) -> Row:
    return Row(cells=(_thing(line), _fasteners(line), VALUE_NEEDED, f"tightened? {NOT_HEARD}"), owed=True)


def _torque(procedure: Procedure, line: Line) -> Row:
    undone = next((one for one in procedure.lines if one.n == line.twin), line)
    fasteners = _fasteners(replace(undone, count=line.count or undone.count))
    if line.torque and line.source:
        source = procedure.sources.get(line.source, line.source)
        return Row(cells=(_thing(line), fasteners, line.torque, source))
    said = f"said as {line.torque}, no source" if line.torque else NOT_HEARD
    return Row(cells=(_thing(line), fasteners, VALUE_NEEDED, said), owed=True)


def _twins(procedure: Procedure) -> Section:
    """Each thing of the way in, and how it went back."""
    rows = []
    for line in procedure.lines:
        if line.verb in TWINNED:
            back = procedure.twins_of(line.n)
            heard = procedure.heard_back(line)
            went = "; ".join(f"{one.n} {one.verb}{f' {one.torque}' if one.torque else ''}" for one in back)
            missing = "" if heard else f"{TWIN[line.verb]}: {NOT_HEARD}"
            name = ", ".join(
                part for part in (_thing(line), _fasteners(line) if line.verb is Verb.UNDO else "") if part
            )
            cells = (f"{_done(line)} {line.n}", name, "; ".join(filter(None, [went, missing])))
            rows.append(Row(cells=cells, owed=not heard))
    heads = (("on the way in", 2.6), ("", 5.0), ("on the way back", 3.4))
    columns = tuple(Column(name=name, share=share) for name, share in heads)
    lead = "In on the left, back on the right. Not heard is not the same as not done: look."
    table = Table(columns=columns, rows=tuple(rows), form=Form.TWINS)
    return Section(id="twins", title="The round trip", lead=lead, tables=(table,), absent=NOT_HEARD)


def _operations(procedure: Procedure) -> Section:
    rows = tuple(_operation(procedure, line) for line in procedure.lines)
    heads = (("n", 0.5), ("operation", 3.2), ("with", 2.2), ("also said", 2.6), ("confirmed", 1), ("twin", 0.6))
    columns = tuple(Column(name=name, share=share, figure=name in {"n", "twin"}) for name, share in heads)
    return Section(id="operations", title="Every operation", tables=(Table(columns=columns, rows=rows),))


def _operation(procedure: Procedure, line: Line) -> Row:
    place = procedure.zones.get(line.zone or "", line.zone or "")
    case = f"“{line.condition}”" if line.condition else None
    beside = [case, place, line.tray, line.pattern, line.torque, *line.doubts]
    tools = [_fasteners(line), line.tool]
    twins = line.undoes or tuple(one.n for one in procedure.twins_of(line.n))
    confirmed = "yes" if line.confirmed else "no"
    if procedure.answered_not_done(line.n):
        confirmed = "NOT DONE"
    what = f"{_done(line)} {_thing(line)}"
    cells = (str(line.n), what, _listed(tools), _listed(beside), confirmed, ", ".join(map(str, twins)))
    return Row(cells=cells, owed=bool(line.doubts) or confirmed == "NOT DONE")


def _done(line: Line) -> str:
    """What is done; what is only slackened stays where it is."""
    return f"{line.verb} (slackened only)" if line.slackened else str(line.verb)


def _open(procedure: Procedure) -> Section:
    """What nobody has answered or confirmed, and what a person answered that leaves something to see to."""
    lines = [(one.kind.replace("_", " "), one.text) for one in procedure.unanswered()]
    lines += [(one.kind.replace("_", " "), f"{one.text}: {one.answer}") for one in procedure.still_owed()]
    unconfirmed = len(procedure.unconfirmed())
    if unconfirmed:
        lines.append(("not confirmed", f"{unconfirmed} of {len(procedure.lines)} operations, by nobody"))
    absent = "Every question was answered and every operation confirmed by a person."
    return Section(id="open", title="What is open", tables=(pairs(lines),), absent=absent)


def _thing(line: Line) -> str:
    return line.object or "a thing that was not named"


def _count(line: Line) -> str:
    return "" if line.count is None else str(line.count)


def _fasteners(line: Line) -> str:
    """Count, size and kind as far as they were said."""
    if line.verb not in _HELD_BY_FASTENERS and not (line.count or line.size or line.kind):
        return ""
    return " ".join(filter(None, [f"{_count(line) or '?'} ×", line.size, line.kind or "fasteners"]))


def _listed(parts: Iterable[str | None]) -> str:
    return ", ".join(part for part in parts if part)
