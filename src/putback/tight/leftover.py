"""One idea: a fastener left over is asked for by what a hand can tell of it; the answer is where to look first."""

from collections.abc import Collection, Sequence

from putback.core.car import Car
from putback.core.fasten.answer import Answer
from putback.core.fasten.leftover import Candidate, Leftover, Ranking, joints_it_may_be_from
from putback.core.fasten.tool import Ask, Field, Fields, Line, Told, Tool
from putback.core.operations import Operation
from putback.tight.words import thread

SHOWN = 12
"""So many joints are listed; the rest is counted."""

FIELDS: tuple[Field, ...] = (
    Field(name="thread", words="thread, with its length if it is marked", like="M8x40"),
    Field(name="length", words="length under the head", like="40", unit="mm", ask=Ask.NUMBER, above=0),
    Field(name="drive", words="drive, as the socket says", like="hex13"),
    Field(name="count", words="how many are left over", like="1", ask=Ask.NUMBER, least=1),
    Field(name="kind", words="what it is", like="bolt"),
)


def leftover_tool(car: Car, *, operations: Sequence[Operation] = (), planned: Collection[str] = ()) -> Tool:
    """The question "which joint is this bolt from?", asked of one car and one job.

    Args:
        car: the car file.
        operations: what was done in the job and still stands, in order.
        planned: ids of joints that the job undoes.
    """

    def answer(given: Fields) -> Told:
        size = thread(given)
        found = Leftover(
            thread=size,
            length_mm=given.number("length") if given.has("length") else None,
            drive=given.text("drive") or None,
            count=int(given.number("count")) if given.has("count") else None,
            kind=given.text("kind") or None,
        )
        if given.faults:
            return Told(says="", answer=Answer(refused="unread", source="-"))
        return _told(car, joints_it_may_be_from(found=found, car=car, operations=operations, planned=planned))

    return Tool(
        name="leftover",
        title="Which joint is this bolt from?",
        what="Ranks the joints that a fastener left over may belong to, and says which evidence is missing.",
        fields=FIELDS,
        answer=answer,
        authority="Look at the joint and count: this list shows where to look first, not where the fastener belongs.",
    )


def _told(car: Car, ranking: Ranking) -> Told:
    candidates = ranking.candidates
    source = "common practice, no source: thread, length, drive and count against car file and record"
    if not candidates:
        says = f"None of the {len(ranking.ruled_out)} joints fits: measure thread and length again."
        return Told(says=says, answer=Answer(refused="no joint fits", source=source), lines=_ruled_out(car, ranking))
    first = candidates[0]
    listed = f", the first {SHOWN} in all are listed" if len(candidates) > SHOWN else ""
    more = f", then {len(candidates) - 1} more{listed}" if len(candidates) > 1 else ""
    traps = tuple(dict.fromkeys(text for one in candidates[:SHOWN] for text in one.warnings))
    return Told(
        says=f"Look first at {_name(car, first)}{more}.",
        answer=Answer(value=first.joint.id, source=source, warnings=(*ranking.warnings, *traps)),
        lines=_lines(car, candidates),
    )


def _lines(car: Car, candidates: Sequence[Candidate]) -> tuple[Line, ...]:
    """What is not known of any of them, once; then each joint with what is not known of it alone."""
    everywhere = [text for text in candidates[0].missing if all(text in one.missing for one in candidates)]
    first = (Line(name="find out first", value="; ".join(everywhere)),) if everywhere else ()
    return (*first, *(_line(car, one, everywhere) for one in candidates[:SHOWN]))


def _name(car: Car, one: Candidate) -> str:
    item = car.items.get(one.joint.item)
    return f"{item.name if item else one.joint.item} ({one.joint.id})"


def _line(car: Car, one: Candidate, said: Collection[str]) -> Line:
    alone = [text for text in one.missing if text not in said]
    fit = "fits" if len(one.agrees) == 1 else "fit"
    agrees = f"{', '.join(one.agrees)} {fit}" if one.agrees else "nothing speaks against it"
    missing = f"; not known: {'; '.join(alone)}" if alone else ""
    return Line(name=_name(car, one), value=f"{one.standing.value}; {agrees}{missing}")


def _ruled_out(car: Car, ranking: Ranking) -> tuple[Line, ...]:
    """The joints that differ in one thing alone: a slip of the ruler shows there."""
    near = [one for one in ranking.ruled_out if len(one.why) == 1][:SHOWN]
    names = {one.joint.id: car.items[one.joint.item].name for one in near if one.joint.item in car.items}
    return tuple(
        Line(name=f"{names.get(one.joint.id, one.joint.item)} ({one.joint.id})", value=one.why[0]) for one in near
    )
