"""One idea: a procedure is what was said to be done, line by line, with who has confirmed which line.

A line holds what a narration gave or a person wrote; None is not said, which differs from none. Nothing is firm
before a person has confirmed it, and not heard is not the same as not done.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from putback.core.operations import Verb

NOT_DONE, USED_AGAIN, BOTH_RIGHT = "not done", "really used again", "both are right"
STILL_OWED = frozenset({NOT_DONE, USED_AGAIN, BOTH_RIGHT})
"""Answers that settle what happened and leave something to see to: whoever reads the procedure is told."""


def _none() -> Mapping[str, str]:
    return MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One operation as it was said. Size and torque are written as they were said (`10mm`, `22Nm`).

    `start` and `end` are places in the spoken text, `seconds` the time of its first word, [s]. `twin` is the number
    of its twin on the way in, `also` are further ones that it undoes, `first` the numbers of the lines whose things
    had to come off first. `condition` is what was said with it for a case that may come ("if the bolt spins, …").
    `source` is where the torque comes from, `confirmed` the person who confirmed the line.
    """

    n: int
    verb: Verb
    object: str
    count: int | None = None
    size: str | None = None
    kind: str | None = None
    torque: str | None = None
    source: str | None = None
    pattern: str | None = None
    zone: str | None = None
    tool: str | None = None
    tray: str | None = None
    start: int | None = None
    end: int | None = None
    seconds: float | None = None
    twin: int | None = None
    also: tuple[int, ...] = ()
    first: tuple[int, ...] = ()
    condition: str | None = None
    slackened: bool = False
    doubts: tuple[str, ...] = ()
    confirmed: str | None = None

    @property
    def undoes(self) -> tuple[int, ...]:
        """The numbers of all lines of the way in that it undoes."""
        return self.also if self.twin is None else (self.twin, *self.also)


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """Something that was not heard. `operation` is a line's number; `answer` None: nobody has answered yet."""

    kind: str
    text: str
    operation: int | None = None
    answer: str | None = None
    answered_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Procedure:
    """The lines of one recorded job on one car.

    `aliases` give the name that a thing has on this car for another that was said. `high_voltage` None: not known.
    `private` is what belongs to the owner (name, plate and so on): it is never published.
    """

    car: str
    file: str
    name: str = ""
    invented: bool = False
    high_voltage: bool | None = None
    aliases: Mapping[str, str] = field(default_factory=_none)
    zones: Mapping[str, str] = field(default_factory=_none)
    sources: Mapping[str, str] = field(default_factory=_none)
    private: Mapping[str, str] = field(default_factory=_none)
    lines: tuple[Line, ...] = ()
    questions: tuple[Question, ...] = ()

    def named(self, said: str) -> str:
        """The name of a thing on this car, by its alias where it has one.

        >>> by_alias = Procedure(car="a", file="f", aliases={"coolant bottle": "header tank"})
        >>> by_alias.named("coolant bottle"), by_alias.named("fan")
        ('header tank', 'fan')
        """
        seen = {said}
        while said in self.aliases and self.aliases[said] not in seen:
            said = self.aliases[said]
            seen.add(said)
        return said

    def unconfirmed(self) -> tuple[Line, ...]:
        """The lines that nobody has confirmed."""
        return tuple(line for line in self.lines if not line.confirmed)

    def owed(self) -> tuple[Line, ...]:
        """The lines of the way in whose twin was not heard."""
        return tuple(line for line in self.lines if line.verb in TWINNED and not self.heard_back(line))

    def heard_back(self, line: Line) -> bool:
        """Whether the twin of a line was heard; for what is tightened, started alone is not back."""
        back = {one.verb for one in self.twins_of(line.n)}
        return bool(back - {Verb.START}) or (Verb.START in back and line.kind in WITHOUT_TORQUE)

    def twins_of(self, n: int) -> tuple[Line, ...]:
        """The lines of the way back that are the twins of this one."""
        return tuple(line for line in self.lines if n in line.undoes)

    def still_owed(self) -> tuple[Question, ...]:
        """The questions whose answer leaves something to see to."""
        return tuple(question for question in self.questions if question.answer in STILL_OWED)

    def asked_always(self, verb: Verb) -> Question | None:
        """What is asked of a step of making dead on every car with high voltage; None where it was not asked."""
        words = _ALWAYS_OF[verb]
        return next((one for one in self.questions if one.kind == "always_asked" and words in one.text), None)

    def answered_not_done(self, n: int) -> bool:
        """Whether a person said that a step of making dead was not done, though a line of it was heard."""
        of_it = (one for one in self.questions if one.operation == n and one.kind == "always_asked")
        return any(one.answer == NOT_DONE for one in of_it)

    def unanswered(self) -> tuple[Question, ...]:
        """The questions that nobody has answered."""
        return tuple(question for question in self.questions if question.answer is None)


_ALWAYS_OF: Final[Mapping[Verb, str]] = MappingProxyType(
    {Verb.ISOLATE: ": isolated", Verb.WAIT: ": waited", Verb.PROVE_DEAD: ": proved dead"}
)
"""The words of each question that is asked on every car with high voltage."""

_HIGH_VOLTAGE = re.compile(
    r"\b(high[ -]voltage|hv|(service|safety|maintenance|manual) (plug|disconnect|switch)|traction battery)\b",
    re.IGNORECASE,
)


def names_high_voltage(name: str) -> bool:
    """Whether the name of what was isolated can only mean the high voltage.

    >>> names_high_voltage("service plug"), names_high_voltage("negative lead")
    (True, False)
    """
    return _HIGH_VOLTAGE.search(name) is not None


WITHOUT_TORQUE = frozenset({"clip", "pin", "tab", "plug"})
"""Kinds of fasteners that are pushed or turned home and never tightened."""

TWINNED = frozenset(
    {
        Verb.REMOVE,
        Verb.RAISE,
        Verb.UNDO,
        Verb.UNPLUG,
        Verb.PART,
        Verb.SWING_ASIDE,
        Verb.FOLD,
        Verb.DRAIN,
        Verb.ISOLATE,
        Verb.GUARD,
        Verb.SWITCH_OFF,
    }
)
"""What leaves something owed on the way back; marks, trays and code reads leave nothing undone on the car."""
