"""One idea: page and terminal say the same of a review: the sentence, its time, an amount, what a step did."""

from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from putback.core.procedure import BOTH_RIGHT, NOT_DONE, USED_AGAIN
from putback.core.record.review_kinds import Act
from putback.narrate.lines.said import Said
from putback.narrate.review.answers import DONE, NEW_FITTED, NOT_KNOWN, NOT_THE_SAME, SAME, right
from putback.narrate.review.look import NO_TORQUE, Look, Open, Row
from putback.narrate.review.state import Review, two_numbers
from putback.narrate.review.step import Step
from putback.narrate.review.unused import SENTENCE_ENDS

MOST_AROUND: Final = 90
"""So many signs of a sentence stand on each side of the words that are meant; captions often have no full stop."""

_MOST_SAID: Final = 40

_ANSWERS: Final = MappingProxyType(
    {"same_as": (SAME, NOT_THE_SAME, NOT_KNOWN), "consumable_reused": (NEW_FITTED, USED_AGAIN, NOT_KNOWN)}
)
"""Answers of kinds that have their own; the third is always that nobody knows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """Words with what was said around them, each on one line."""

    before: str
    words: str
    after: str


def around(text: str, start: int, end: int) -> Around:
    """The sentence in which words stand, cut where it is long.

    >>> around("First. Take two nuts off and the cover. Next", 7, 20)
    Around(before='', words='Take two nuts', after='off and the cover.')
    """
    ends = [match.end() for match in SENTENCE_ENDS.finditer(text, max(0, start - 4 * MOST_AROUND), start)]
    begins = ends[-1] if ends else max(0, start - 4 * MOST_AROUND)
    stop = SENTENCE_ENDS.search(text, end)
    ends_at = stop.end() if stop else len(text)
    return Around(
        before=_last_words(_one_line(text[begins:start])),
        words=_one_line(text[start:end]),
        after=_first_words(_one_line(text[end:ends_at])),
    )


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _last_words(text: str) -> str:
    return text if len(text) <= MOST_AROUND else f"… {text[-MOST_AROUND:].partition(' ')[2]}"


def _first_words(text: str) -> str:
    return text if len(text) <= MOST_AROUND else f"{text[:MOST_AROUND].rpartition(' ')[0]} …"


def clock(seconds: float | None) -> str:
    """When a word was said, as minutes and seconds; empty where the text has no times.

    >>> clock(75.4), clock(None)
    ('1:15', '')
    """
    return "" if seconds is None else f"{int(seconds) // 60}:{int(seconds) % 60:02}"


def amount(said: Said) -> str:
    """How many of what: count, size and kind, as far as they were heard.

    >>> amount(Said(n=1, verb="undo", object="cowl bolts", start=0, end=9, count=2, size="10mm", kind="bolt"))
    '2 × 10mm bolt'
    """
    what = " ".join(part for part in (said.size, said.kind) if part)
    if said.count is None:
        return what
    return f"{said.count} × {what}" if what else f"{said.count} ×"


def answers_to(question: Open) -> tuple[str, ...]:
    """The answers that a question takes, in the order of their keys; torques are asked together and have none."""
    if question.kind == NO_TORQUE:
        return ()
    numbers = two_numbers(question.text) if question.kind == "count_mismatch" else None
    if numbers:
        return (right(numbers[0]), right(numbers[1]), NOT_KNOWN, BOTH_RIGHT)
    return _ANSWERS.get(question.kind, (DONE, NOT_DONE, NOT_KNOWN))


def is_looked_at(row: Row) -> bool:
    """Whether nothing of a row is left to look at but a torque, which is asked with the others."""
    asked = any(one.answer is None and one.kind != NO_TORQUE for one in row.questions)
    return not asked and all(one.confirmed for one in row.lines)


def without_line(look: Look) -> tuple[Open, ...]:
    """The open questions that no row shows."""
    return tuple(one for one in look.open_questions if one.line is None)


def left(look: Look) -> int:
    """How many rows and questions are left; torques are counted apart."""
    unknown = look.review.high_voltage is None
    return sum(not is_looked_at(row) for row in look.rows) + len(without_line(look)) + unknown


def done_words(step: Step, *reviews: Review) -> str:
    """What a step did, in a few words; names come from the first review that still has the line.

    >>> done_words(Step(act=Act.HIGH_VOLTAGE, value="no"))
    'high voltage: no'
    """
    if step.act is Act.DISMISS:
        return f"nothing was done in {_words_of(step.spans, reviews)}"
    says = _DONE[step.act].format(step=step)
    return f"{_names(step.lines, reviews)}: {says}" if step.lines and step.act is not Act.ANSWER else says


def _words_of(spans: Sequence[int], reviews: Sequence[Review]) -> str:
    if len(spans) != 2 or not reviews:
        return f"{len(spans) // 2} places"
    words = _one_line(reviews[0].spoken.text[spans[0] : spans[1]])
    return f"“{words if len(words) <= _MOST_SAID else f'{words[: _MOST_SAID - 1]}…'}”"


def _names(keys: Sequence[int], reviews: Sequence[Review]) -> str:
    if len(keys) > 3:
        return f"{len(keys)} lines"
    found = (_name(key, reviews) for key in keys)
    return " and ".join(dict.fromkeys(found))


def _name(key: int, reviews: Sequence[Review]) -> str:
    lines = (review.line(key) for review in reviews)
    return next((one.said.object or str(one.said.verb) for one in lines if one), f"line {key}")


_DONE: Final = MappingProxyType(
    {
        Act.ACCEPT: "confirmed",
        Act.DELETE: "deleted",
        Act.FLIP: "turned round",
        Act.SET: "{step.field} is changed",
        Act.MERGE: "merged",
        Act.SPLIT: "split",
        Act.TWIN: "its twin is said",
        Act.RENAME: "{step.name}: called {step.value} everywhere",
        Act.TORQUE: "torque {step.value}",
        Act.FIRST: "what had to come off first is said",
        Act.ADD: "{step.value} {step.name}: added",
        Act.ANSWER: "{step.text}: {step.value}",
        Act.HIGH_VOLTAGE: "high voltage: {step.value}",
        Act.UNDO: "taken back",
    }
)
