"""One idea: what went otherwise than asked is printed: overrides, shut gates, questions passed, differences."""

from collections.abc import Iterator

from putback.core.gates import overrides
from putback.core.gates.case import Fact
from putback.core.papers.breaches import breaches
from putback.core.papers.section import Column, Row, Section, Table
from putback.core.papers.told import Told, figure, listed
from putback.core.record.kinds import HOLD_PASSED, TAKEN_BACK

_WHEN = Column(name="when, who", share=1.6)
_EVENT = Column(name="event", share=0.8, figure=True)


def passed_gates(told: Told) -> Section:
    """Overrides with their reasons, operations logged while a gate was shut, questions passed by one tap."""
    return Section(
        id="passed",
        title="Gates passed",
        tables=(_overrides(told), logged_while_shut(told), _holds(told)),
        absent="No override, no operation logged while a gate was shut, no question passed were found.",
    )


def _overrides(told: Told) -> Table:
    rows = []
    for line in overrides(told.case):
        about = listed(told.thing(id) for id in (line.energy, line.item, line.about) if id)
        reason = line.reason + (f" (counts for nothing: {line.why})" if not line.counts else "")
        place = told.case.place_of[line.event]
        cells = (told.time(line.at), f"{line.gate}: {about}" if about else line.gate, told.name(line.who), reason)
        rows.append(Row(cells=(*cells, str(place)), owed=True))
    columns = (
        Column(name="when", share=1.2),
        Column(name="gate", share=2.4),
        Column(name="let pass by", share=2),
        Column(name="reason", share=4),
        _EVENT,
    )
    return Table(title="Passed by override", columns=columns, rows=tuple(rows))


def logged_while_shut(told: Told) -> Table:
    """Every operation that was logged while a gate was shut: when, by whom, which gates, why, and its event."""
    rows = []
    for breach in breaches(told.case):
        done = told.operation(breach.operation)
        if breach.mended_at:
            done = f"{done} (taken back by event {breach.mended_at})"
        why = "; ".join(dict.fromkeys(f"{gate.kind}: {gate.why}" for gate in breach.gates))
        rows.append(Row(cells=(told.stamp(breach.fact), done, why, str(breach.fact.place)), owed=True))
    columns = (_WHEN, Column(name="operation", share=3), Column(name="what was shut, and why", share=5), _EVENT)
    return Table(title="Logged while a gate was shut", columns=columns, rows=tuple(rows))


def _holds(told: Told) -> Table:
    rows = [
        Row(cells=(told.stamp(fact), _words(str(fact.says("gate"))), _about(told, fact), str(fact.place)))
        for fact in told.of_kind(HOLD_PASSED)
        if fact.stands
    ]
    columns = (_WHEN, Column(name="question", share=3), Column(name="about", share=5), _EVENT)
    return Table(title="Asked by name and passed", columns=columns, rows=tuple(rows))


def _words(id: str) -> str:
    """A rule's id as words."""
    return id.replace("-", " ")


def _about(told: Told, fact: Fact) -> str:
    joint = fact.text("joint")
    where = told.thing(fact.says("item"))
    return listed([where, told.joint_text(joint) if joint else "", str(fact.says("note") or "")])


def differing(told: Told) -> Section:
    """What was not as planned, and what was noted."""
    columns = (
        _WHEN,
        Column(name="what", share=2),
        Column(name="where", share=3),
        Column(name="note", share=4),
        _EVENT,
    )
    return Section(
        id="differs",
        title="Not as planned, and notes",
        tables=(Table(columns=columns, rows=tuple(_differing(told))),),
        absent="Nothing was logged as not as planned, and no note was made.",
    )


def _differing(told: Told) -> Iterator[Row]:
    for fact in told.of_kind("not as planned", "noted", "doubt raised"):
        what = str(fact.says("what") or ("doubt" if fact.kind == "doubt raised" else "note"))
        count = fact.says("count")
        joint = fact.text("joint")
        where = listed([told.thing(fact.says("item")), told.joint_text(joint) if joint else ""])
        said = listed(
            [
                f"{figure(count)} of them" if count is not None else "",
                str(fact.says("about") or fact.says("note") or ""),
            ]
        )
        cells = (told.stamp(fact), what, where or told.thing(fact.says("energy")), said, str(fact.place))
        yield Row(cells=cells, owed=fact.kind != "noted")


def taken_back(told: Told) -> Section:
    """Operations that were logged by a slip, and what took them back."""
    columns = (
        _WHEN,
        Column(name="operation", share=4),
        Column(name="taken back", share=1.6),
        Column(name="note", share=3),
        _EVENT,
    )
    rows = []
    for fact in told.of_kind(TAKEN_BACK):
        place = told.case.place_of.get(str(fact.says("mends")))
        mended = told.case.facts[place - 1] if place else None
        operation = mended.operation if mended else None
        what = told.operation(operation) if operation else "nothing known"
        cells = (
            told.stamp(mended) if mended else "–",
            what,
            told.stamp(fact),
            str(fact.says("note") or ""),
            str(fact.place),
        )
        rows.append(Row(cells=cells))
    return Section(
        id="taken-back",
        title="Taken back",
        tables=(Table(columns=columns, rows=tuple(rows)),),
        absent="No line was taken back.",
    )
