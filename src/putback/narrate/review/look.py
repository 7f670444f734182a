"""One idea: what a person sees of a review is worked out anew after each step: twins, doubts, questions, rows.

What is settled or confirmed stands; the rest is looked for again, with what is known now.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from putback.core.operations import ON_THE_WAY_BACK, Verb
from putback.core.procedure import TWINNED, WITHOUT_TORQUE
from putback.narrate.lines.draft import of_operations
from putback.narrate.lines.questions import undone_by
from putback.narrate.lines.said import Said
from putback.narrate.review.answers import OWED
from putback.narrate.review.state import Answered, Review, Reviewed, question_key
from putback.narrate.review.unused import by_sentence

NO_TORQUE: Final = "no_torque"


class Stand(StrEnum):
    """How a row stands, the most urgent first; the words are those of the page."""

    NO_WAY_BACK = "way back not heard"
    NO_WAY_IN = "way in not heard"
    DOUBT = "look at it"
    HEARD = "heard both ways"
    ALONE = "without a twin"


@dataclass(frozen=True, slots=True, kw_only=True)
class Open:
    """A question with its answer, if it has one. `line` is the key of its line; `other` of the line it speaks of too.

    `other`: for a torque the line that tightens, for two names the line of the other name.
    """

    kind: str
    text: str
    line: int | None = None
    other: int | None = None
    answer: Answered | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A line with its twins: what was done on the way in, and what undid it. One of both may be missing."""

    stand: Stand
    way_in: Reviewed | None
    way_back: tuple[Reviewed, ...]
    questions: tuple[Open, ...] = ()

    @property
    def lines(self) -> tuple[Reviewed, ...]:
        """All its lines."""
        return (*((self.way_in,) if self.way_in else ()), *self.way_back)

    @property
    def confirmed(self) -> bool:
        """Whether a person has confirmed all of it, and its questions are answered."""
        return all(one.confirmed for one in self.lines) and not any(one.answer is None for one in self.questions)

    @property
    def doubts(self) -> tuple[str, ...]:
        """What to look at in lines that nobody has confirmed."""
        return tuple(dict.fromkeys(doubt for one in self.lines if not one.confirmed for doubt in one.said.doubts))


@dataclass(frozen=True, kw_only=True)
class Look:
    """All that is to be seen of a review: rows with the most urgent first, questions, words that were not used.

    `dismissed` are words that were not used either, and a person said that nothing was done there.
    """

    review: Review
    rows: tuple[Row, ...]
    questions: tuple[Open, ...]
    unused: tuple[tuple[int, int], ...]
    dismissed: tuple[tuple[int, int], ...] = ()

    def row_of(self, key: int) -> Row | None:
        """The row in which a line stands; None where there is no such line."""
        return next((row for row in self.rows if any(one.key == key for one in row.lines)), None)

    @property
    def open_questions(self) -> tuple[Open, ...]:
        """Those that nobody has answered."""
        return tuple(one for one in self.questions if one.answer is None)

    @property
    def unconfirmed(self) -> int:
        """How many lines nobody has confirmed."""
        return sum(one.confirmed is None for one in self.review.lines)

    @property
    def plain(self) -> tuple[Row, ...]:
        """Rows that can be confirmed together: heard both ways or without a twin, no doubt, nothing asked."""
        return tuple(
            row
            for row in self.rows
            if not row.confirmed and row.stand in (Stand.HEARD, Stand.ALONE) and not row.doubts and not row.questions
        )

    def torques_needed(self) -> tuple[Open, ...]:
        """The questions for a torque that nobody has answered, to be asked together."""
        return tuple(one for one in self.open_questions if one.kind == NO_TORQUE)


def look(review: Review) -> Look:
    """Work out all that is to be seen of a review."""
    places = {one.key: n for n, one in enumerate(review.lines, start=1)}
    keys = {n: key for key, n in places.items()}
    draft = of_operations(
        [_numbered(one, places) for one in review.lines],
        settled=frozenset(places[one.key] for one in review.lines if one.settled),
        spoken=review.spoken,
        aliases=review.aliases,
        high_voltage=review.high_voltage,
    )
    lines = tuple(
        replace(one, said=_by_key(said, keys)) for one, said in zip(review.lines, draft.operations, strict=True)
    )
    seen = replace(review, lines=lines)
    asked = tuple(
        _open(seen, asked.kind, asked.text, None if asked.operation is None else keys[asked.operation])
        for asked in draft.questions
    )
    begins = sorted(one.said.start for one in lines)
    left = [span for span in draft.unused if not review.is_dismissed(*span)]
    dismissed = [span for span in draft.unused if review.is_dismissed(*span)]
    return Look(
        review=seen,
        rows=tuple(_rows(seen, asked)),
        questions=asked,
        unused=by_sentence(left, review.spoken.text, begins),
        dismissed=by_sentence(dismissed, review.spoken.text, begins),
    )


def _numbered(one: Reviewed, places: Mapping[int, int]) -> Said:
    twin = places.get(one.said.twin) if one.settled and one.said.twin is not None else None
    return replace(one.said, n=places[one.key], twin=twin, also=())


def _by_key(said: Said, keys: Mapping[int, int]) -> Said:
    twin = None if said.twin is None else keys[said.twin]
    return replace(said, n=keys[said.n], twin=twin, also=tuple(keys[n] for n in said.also))


def _open(review: Review, kind: str, text: str, line: int | None) -> Open:
    other = None
    if kind == NO_TORQUE and line is not None:
        tightened = review.tightened_by(line)
        other = tightened.key if tightened else None
    elif kind == "same_as" and line is not None:
        found = review.line(line)
        other = found.said.twin if found else None
    answer = review.answers.get(question_key(kind, line, text))
    return Open(kind=kind, text=text, line=line, other=other, answer=answer)


def _rows(review: Review, asked: Sequence[Open]) -> Iterator[Row]:
    back: dict[int, list[Reviewed]] = {}
    for one in review.lines:
        for key in undone_by(one.said):
            back.setdefault(key, []).append(one)
    by_line: dict[int, list[Open]] = {}
    for question in asked:
        if question.line is not None:
            by_line.setdefault(question.line, []).append(question)
    rows = [_row(one, tuple(back.get(one.key, ())), by_line) for one in review.lines if one.said.twin is None]
    order = {stand: place for place, stand in enumerate(Stand)}
    yield from sorted(rows, key=lambda row: order[row.stand])


def _row(one: Reviewed, back: tuple[Reviewed, ...], by_line: Mapping[int, Sequence[Open]]) -> Row:
    alone_back = one.said.verb in ON_THE_WAY_BACK | {Verb.START}
    way_in, way_back = (None, (one, *back)) if alone_back else (one, back)
    questions = tuple(question for line in (one, *back) for question in by_line.get(line.key, ()))
    row = Row(stand=Stand.ALONE, way_in=way_in, way_back=way_back, questions=questions)
    return replace(row, stand=_stand(row))


def _stand(row: Row) -> Stand:
    if row.way_in is None and row.way_back[0].said.verb is not Verb.READ_AFTER:
        return Stand.NO_WAY_IN if not row.way_back[0].confirmed else Stand.ALONE
    if row.way_in is not None and row.way_in.said.verb in TWINNED and not _heard_back(row):
        return Stand.NO_WAY_BACK
    if row.doubts or any(one.answer is None for one in row.questions):
        return Stand.DOUBT
    return Stand.HEARD if row.way_in is not None and row.way_back else Stand.ALONE


def _heard_back(row: Row) -> bool:
    """Whether the way back of a row was heard, or a person has said what became of it."""
    if any(one.answer is not None and one.kind in OWED for one in row.questions):
        return True
    verbs = {one.said.verb for one in row.way_back}
    started = Verb.START in verbs and row.way_in is not None and row.way_in.said.kind in WITHOUT_TORQUE
    return bool(verbs - {Verb.START}) or started
