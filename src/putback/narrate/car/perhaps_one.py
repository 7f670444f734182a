"""One idea: two names that no job has both of, of which one says the other and more, may be of one part: it is asked.

"The pump" of one recording may be "the electric heater pump" of another. They are never taken for one unasked.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from putback.core.finding import Finding, Kind, Where
from putback.core.operations import ITEM_OFF, Verb
from putback.core.procedure import Procedure
from putback.narrate.lines.aliases import words_of_name
from putback.narrate.words.lexicon import FASTENERS

_NAMES: Final = ITEM_OFF | {Verb.UNDO, Verb.RENEW}


@dataclass(frozen=True, slots=True, kw_only=True)
class PerhapsOne:
    """A shorter and a longer name, each with the files of the jobs that have it."""

    short: str
    long: str
    short_in: tuple[str, ...]
    long_in: tuple[str, ...]

    @property
    def text(self) -> str:
        """The question in words."""
        return f"{self.short!r} and {self.long!r}: one part? No job names both"

    @property
    def finding(self) -> Finding:
        """The same as a note on the file of the shorter name, with the line that answers it."""
        return Finding(
            where=Where(file=self.short_in[0], field=f"aliases.{self.short}"),
            what=f"{self.short!r} may be {self.long!r} of {', '.join(self.long_in)}: no job names both",
            mend=f"if it is, write {self.short}: {self.long} under aliases; if not, leave it",
            rule="perhaps_one",
            kind=Kind.NOTE,
        )


def perhaps_one(procedures: Sequence[Procedure]) -> tuple[PerhapsOne, ...]:
    """All such pairs of names, in the order in which the shorter ones were told."""
    jobs: dict[str, dict[str, None]] = {}
    for procedure in procedures:
        for line in procedure.lines:
            if line.verb in _NAMES and line.object:
                jobs.setdefault(procedure.named(line.object), {})[procedure.file] = None
    words = {name: words_of_name(name) for name in jobs}
    return tuple(
        PerhapsOne(short=short, long=long, short_in=tuple(jobs[short]), long_in=tuple(jobs[long]))
        for short in jobs
        for long in _longer(short, words)
        if not jobs[short].keys() & jobs[long].keys()
    )


def _longer(short: str, words: dict[str, tuple[str, ...]]) -> Iterator[str]:
    """The names that say the same kind of thing with more words; `bolts` alone are of nothing."""
    mine = words[short]
    if not set(mine) - set(FASTENERS):
        return
    for name, theirs in words.items():
        if set(mine) < set(theirs) and mine[-1] == theirs[-1]:
            yield name
