"""One idea: where recordings contradict one another, each is quoted: its file, its operation, its time, its reader.

Nothing is averaged and nobody is right by majority: what is done about it is said, and a person looks.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from putback.core.operations import ITEM_BACK, ITEM_OFF, Verb
from putback.core.procedure import Line, Procedure
from putback.narrate.car.learn import Evidence, things_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Saying:
    """What one recording says. `operation` is a number of its file, `seconds` when it was said, [s].

    `confirmed` is the person who confirmed the line. `file` is empty where a person answered a question.
    """

    words: str
    file: str = ""
    operation: int | None = None
    seconds: float | None = None
    confirmed: str | None = None

    @property
    def place(self) -> str:
        """File, operation and time, as far as they are known.

        >>> Saying(words="4", file="a.yaml", operation=3, seconds=75.4).place
        'a.yaml, operation 3, at 1:15'
        """
        at = "" if self.seconds is None else f"at {int(self.seconds) // 60}:{int(self.seconds) % 60:02}"
        number = "" if self.operation is None else f"operation {self.operation}"
        return ", ".join(part for part in (self.file, number, at) if part)

    def __str__(self) -> str:
        """The words with their place, without the person."""
        return f"{self.words} ({self.place})" if self.place else self.words


@dataclass(frozen=True, slots=True, kw_only=True)
class Contradiction:
    """Something that was said in two ways: what is done about it, and what mends it."""

    about: str
    sayings: tuple[Saying, ...]
    done: str
    mend: str

    def __str__(self) -> str:
        """All in one line, without persons."""
        return f"{self.about}: {'; '.join(map(str, self.sayings))}; {self.done}"


def saying(procedure: Procedure, line: Line, words: str) -> Saying:
    """Words of one line of a recording."""
    return Saying(words=words, file=procedure.file, operation=line.n, seconds=line.seconds, confirmed=line.confirmed)


def of_order(procedures: Sequence[Procedure], one: Evidence, *, done: str, mend: str) -> Contradiction:
    """A link that a recording speaks against.

    Args:
        procedures: all recordings.
        one: what they say of the link.
        done: what is done about it.
        mend: what a person does.
    """
    by_name = {procedure.file: procedure for procedure in procedures}
    jobs = dict.fromkeys([*one.marked, *one.seen, *one.against])
    sayings = [
        _of_job(by_name[job], one) if job in by_name else Saying(words=f"answered: {one.first} must be off")
        for job in jobs
    ]
    return Contradiction(about=f"{one.first} off before {one.thing}", sayings=tuple(sayings), done=done, mend=mend)


def _of_job(procedure: Procedure, one: Evidence) -> Saying:
    """What one recording says of a link: its mark, or the order of its lines."""
    lines = {line.n: line for line in procedure.lines}
    named = [(name, line) for line in procedure.lines for name in things_of(line, lines, procedure)]
    about = [(name, line) for name, line in named if name in {one.thing, one.first}]
    own = next((line for name, line in about if name == one.thing), None)
    if procedure.file in one.marked:
        words = f"marked: {one.first} had to come off first"
    elif not any(name == one.first for name, _ in about):
        words = f"{one.first} was not touched"
    else:
        words = f"off: {_listed(about, ITEM_OFF)}; back: {_listed(about, ITEM_BACK)}"
    return Saying(words=words, file=procedure.file) if own is None else saying(procedure, own, words)


def _listed(about: Iterable[tuple[str, Line]], verbs: Iterable[Verb]) -> str:
    """Names in the order in which they were handled."""
    wanted = {*verbs, Verb.RENEW}
    return ", ".join(f"{name} at {line.n}" for name, line in about if line.verb in wanted) or "not heard"
