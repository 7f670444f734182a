"""One idea: what a person does with one key may be several steps: an answer confirms the row that it stands in."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from putback.core.record.review_kinds import Act
from putback.narrate.review.answers import NOT_THE_SAME, SAME, right
from putback.narrate.review.look import Look, Open, Row
from putback.narrate.review.state import two_numbers
from putback.narrate.review.step import LONGEST, MOST, Step


def accepting(row: Row) -> tuple[Step, ...]:
    """The steps that confirm a row as it is seen; two names that are asked about are taken as one. Empty: it is."""
    same = tuple(answered(one, SAME) for one in row.questions if one.kind == "same_as" and one.answer is None)
    return (*same, *_confirming([row]))


def accepting_plain(look: Look, *, most: int | None = None) -> tuple[Step, ...]:
    """The step that confirms every plain row, or the first of them where they do not all fit; empty without one."""
    return _confirming(look.plain[:most])


def answering(row: Row | None, question: Open, answer: str) -> tuple[Step, ...]:
    """The steps of an answer. It confirms its row too, unless names stay to be asked there or are parted by it."""
    step = replace(answered(question, answer), others=_corrected(row, question, answer))
    if row is None or answer == NOT_THE_SAME:
        return (step,)
    asked = any(one.kind == "same_as" and one.answer is None and one is not question for one in row.questions)
    return (step,) if asked else (step, *_confirming([row]))


def answered(question: Open, answer: str) -> Step:
    """The step that answers one question, in the words in which it is asked."""
    return Step(
        act=Act.ANSWER,
        kind=question.kind,
        text=question.text if len(question.text) <= LONGEST else f"…{question.text[1 - LONGEST :]}",
        lines=() if question.line is None else (question.line,),
        other=question.other if answer == SAME else None,
        value=answer,
    )


def dismissing(spans: Sequence[tuple[int, int]]) -> tuple[Step, ...]:
    """The steps that say that nothing was done in words that were not used."""
    most = MOST // 2
    parts = (spans[at : at + most] for at in range(0, len(spans), most))
    return tuple(Step(act=Act.DISMISS, spans=tuple(place for span in part for place in span)) for part in parts)


def _corrected(row: Row | None, question: Open, answer: str) -> tuple[int, ...]:
    """The lines that said the wrong one of two numbers, each by itself; where they said it together, none.

    Which of several is wrong nobody can know: they keep what was said, and the answer stands beside them.
    """
    numbers = two_numbers(question.text) if question.kind == "count_mismatch" else None
    if row is None or row.way_in is None or numbers is None:
        return ()
    off, back = numbers
    if answer == right(back):
        return (row.way_in.key,) if row.way_in.said.count == off else ()
    wrong = (one for one in row.way_back if one.said.count == back and not one.said.also)
    return tuple(one.key for one in wrong) if answer == right(off) else ()


def torque_given(question: Open, value: str, source: str | None) -> Step:
    """The step that gives a torque that was asked for: to the line that tightens, else to the one that undoes."""
    assert question.line is not None
    return Step(act=Act.TORQUE, lines=(question.other or question.line,), value=value, source=source)


def _confirming(rows: Iterable[Row]) -> tuple[Step, ...]:
    lines = [one for row in rows for one in row.lines if one.confirmed is None]
    if not lines:
        return ()
    twins = tuple(one.said.twin or 0 for one in lines)
    return (Step(act=Act.ACCEPT, lines=tuple(one.key for one in lines), twins=twins),)
