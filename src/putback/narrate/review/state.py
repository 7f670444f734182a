"""One idea: a review is a draft with what a person has said of it so far: lines, names, answers.

Every line has a key that it keeps, whatever is deleted, merged or split around it.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Final, TypeAlias

from putback.core.operations import Verb
from putback.narrate.lines.aliases import NO_ALIASES, Aliases
from putback.narrate.lines.said import Said
from putback.narrate.text.spoken import Spoken

OLDEST: Final = 0
"""No line has this key."""

QuestionKey: TypeAlias = tuple[str, int, str]
"""Kind, key of the line or `OLDEST`, and the words where there is no line, the numbers where numbers differ."""

_TWO_NUMBERS: Final = re.compile(r": (\d+) (?:came|heard to come) off, (\d+) (?:heard to go|went) back[;:]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reviewed:
    """A line in review; `said.n` is its key.

    `settled`: its twin stands as a person left it, and is not looked for again. `first` are keys of the lines whose
    things had to come off first. `confirmed` is who has confirmed it. `by_hand`: a person wrote it, nobody said it.
    """

    said: Said
    settled: bool = False
    source: str | None = None
    first: tuple[int, ...] = ()
    confirmed: str | None = None
    by_hand: bool = False

    @property
    def key(self) -> int:
        """Its key."""
        return self.said.n

    def with_twin(self, twin: int | None) -> "Reviewed":
        """The same line with the twin that a person gave it, perhaps none."""
        return replace(self, said=replace(self.said, twin=twin), settled=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """An answer to a question, with its words as they were asked."""

    kind: str
    line: int | None
    text: str
    answer: str
    who: str


@dataclass(frozen=True, kw_only=True)
class Review:
    """All that is known of a draft under review. `next_key` is the key of the next line that is made.

    `dismissed` are stretches of the text of which a person said that nothing was done there.
    """

    spoken: Spoken
    lines: tuple[Reviewed, ...]
    aliases: Aliases = NO_ALIASES
    high_voltage: bool | None = None
    answers: Mapping[QuestionKey, Answered] = field(default_factory=lambda: MappingProxyType({}))
    next_key: int = 1
    dismissed: frozenset[tuple[int, int]] = frozenset()

    def line(self, key: int) -> Reviewed | None:
        """The line of a key; None where there is none any more."""
        return next((one for one in self.lines if one.key == key), None)

    def tightened_by(self, key: int) -> Reviewed | None:
        """The last line that tightens what this one undid, by the twins as they stand; None where there is none."""
        tightens = (one for one in reversed(self.lines) if one.said.verb is Verb.TIGHTEN)
        return next((one for one in tightens if one.said.twin == key), None)

    def changed(self, new: Iterable[Reviewed]) -> "Review":
        """The same review with these lines in the place of those with their keys."""
        by_key = {one.key: one for one in new}
        return replace(self, lines=tuple(by_key.get(one.key, one) for one in self.lines))

    def without(self, keys: Iterable[int]) -> "Review":
        """The same review without these lines; nothing points to them any more."""
        gone = frozenset(keys)
        return replace(self, lines=tuple(_forgetting(one, gone) for one in self.lines if one.key not in gone))

    def with_line(self, new: Reviewed, *, behind: int | None = None) -> "Review":
        """The same review with one more line, which gets the next key.

        Args:
            new: the line; its key is not looked at.
            behind: the key of the line before it; None: by the place of its words, at the end where it has none.
        """
        line = replace(new, said=replace(new.said, n=self.next_key))
        at = _place(self.lines, line, behind)
        lines = (*self.lines[:at], line, *self.lines[at:])
        return replace(self, lines=lines, next_key=self.next_key + 1)

    def is_dismissed(self, start: int, end: int) -> bool:
        """Whether a person said that nothing was done in these words; more words than they saw are shown again."""
        return any(first <= start and end <= last for first, last in self.dismissed)

    def answering(self, answer: Answered) -> "Review":
        """The same review with one more answer."""
        key = question_key(answer.kind, answer.line, answer.text)
        return replace(self, answers=MappingProxyType({**self.answers, key: answer}))


def begun(
    spoken: Spoken, said: Sequence[Said], *, aliases: Aliases = NO_ALIASES, high_voltage: bool | None = None
) -> Review:
    """The review of a draft before anybody has looked at it.

    Args:
        spoken: the text.
        said: the operations as they were heard, numbered from 1, without twins.
        aliases: what things are called on this car.
        high_voltage: whether the car has high voltage; None: nobody said.
    """
    lines = tuple(Reviewed(said=one) for one in said)
    last = max((one.n for one in said), default=OLDEST)
    return Review(spoken=spoken, lines=lines, aliases=aliases, high_voltage=high_voltage, next_key=last + 1)


def question_key(kind: str, line: int | None, text: str) -> QuestionKey:
    """What tells a question from another: its kind and its line, or its words where it has no line.

    Where two numbers differ they count too: an answer is to these numbers and to no others.
    """
    if line is None:
        return (kind, OLDEST, text)
    numbers = two_numbers(text) if kind == "count_mismatch" else None
    return (kind, line, f"{numbers[0]} {numbers[1]}" if numbers else "")


def two_numbers(text: str) -> tuple[int, int] | None:
    """How many came off and how many went back, as a question of kind `count_mismatch` says.

    >>> two_numbers("tray bolts: 4 came off, 3 heard to go back; where are the others?")
    (4, 3)
    """
    found = _TWO_NUMBERS.search(text)
    return (int(found[1]), int(found[2])) if found else None


def _forgetting(one: Reviewed, gone: frozenset[int]) -> Reviewed:
    """A line that knows nothing of lines that are gone; its twin is looked for anew."""
    first = tuple(key for key in one.first if key not in gone)
    if one.said.twin in gone:
        return replace(one, said=replace(one.said, twin=None), settled=False, first=first, confirmed=None)
    return one if first == one.first else replace(one, first=first)


def _place(lines: Sequence[Reviewed], line: Reviewed, behind: int | None) -> int:
    if behind is not None:
        return next((place for place, one in enumerate(lines, start=1) if one.key == behind), len(lines))
    if line.by_hand:
        return len(lines)
    return next((place for place, one in enumerate(lines) if one.said.start > line.said.start), len(lines))
