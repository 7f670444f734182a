"""One idea: what a review comes to is a procedure: its lines in their order, who confirmed them, what stays open."""

from collections.abc import Iterator, Mapping
from typing import Any

from putback.core.procedure import Line, Procedure, Question
from putback.narrate.lines.firm import line_of
from putback.narrate.review.answers import NOT_KNOWN
from putback.narrate.review.look import Look, Open
from putback.narrate.review.state import Answered, Reviewed


def procedure_of(
    look: Look, *, car: str, file: str, name: str = "", names: Mapping[str, str] | None = None
) -> Procedure:
    """The procedure of a review, as far as it has come.

    Args:
        look: the review as it is seen.
        car: the vehicle platform.
        file: where the procedure will stand.
        name: what was done.
        names: the names of people by their ids.
    """
    people = names or {}
    numbers = {one.key: n for n, one in enumerate(look.review.lines, start=1)}
    sources = {one.source for one in look.review.lines if one.source}
    ids = {text: f"source-{n}" for n, text in enumerate(sorted(sources), start=1)}
    return Procedure(
        car=car,
        file=file,
        name=name,
        high_voltage=look.review.high_voltage,
        aliases=look.review.aliases.names,
        sources={id: text for text, id in ids.items()},
        lines=tuple(_line(one, numbers, ids, people) for one in look.review.lines),
        questions=tuple(_questions(look, numbers, people)),
    )


def _line(one: Reviewed, numbers: Mapping[int, int], sources: Mapping[str, str], people: Mapping[str, str]) -> Line:
    said = one.said
    more: dict[str, Any] = {"start": None, "end": None} if one.by_hand else {}
    return line_of(
        said,
        n=numbers[one.key],
        source=sources[one.source] if one.source else None,
        twin=None if said.twin is None else numbers[said.twin],
        also=tuple(sorted(numbers[key] for key in said.also)),
        first=tuple(sorted(numbers[key] for key in one.first)),
        doubts=() if one.confirmed else said.doubts,
        confirmed=people.get(one.confirmed, one.confirmed) if one.confirmed else None,
        **more,
    )


def _questions(look: Look, numbers: Mapping[int, int], people: Mapping[str, str]) -> Iterator[Question]:
    """Those that are asked, and those that an answer has settled."""
    asked = {(one.kind, one.line, one.text): one for one in look.questions}
    still = {id(one.answer) for one in look.questions if one.answer is not None}
    for one in asked.values():
        yield _question(one, numbers, people)
    for answer in look.review.answers.values():
        if id(answer) not in still:
            settled = Open(kind=answer.kind, text=answer.text, line=answer.line, answer=answer)
            yield _question(settled, numbers, people)


def _question(one: Open, numbers: Mapping[int, int], people: Mapping[str, str]) -> Question:
    known = one.answer if one.answer is not None and one.answer.answer != NOT_KNOWN else None
    return Question(
        kind=one.kind,
        text=one.text,
        operation=None if one.line is None else numbers.get(one.line),
        answer=known.answer if known else None,
        answered_by=_who(known, people),
    )


def _who(answer: Answered | None, people: Mapping[str, str]) -> str | None:
    return None if answer is None else people.get(answer.who, answer.who)
