"""One idea: what a sentence says as a whole, where its verb and its thing do not tell it each by itself."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from putback.core.operations import Verb
from putback.narrate.phrase.phrases import Piece


@dataclass(frozen=True, slots=True)
class Known:
    """What a known sentence says; `verb` None: it is heard and says no operation.

    `of` is the name of what it was done to; with `last` it was done to what was spoken of last (`spun it by hand`).
    """

    verb: Verb | None
    object: str = ""
    of: Piece | None = None
    last: bool = False


Heads = set[str]
Rule = Callable[[Sequence[Piece], Heads, Sequence[str]], Known | None]
"""What pieces say as a whole; with their words in the singular too, and their words in order."""


def done_to(verb: Verb, of: Piece | None) -> Known:
    """An operation on what is named, else on what was spoken of last."""
    return Known(verb, of.low, of) if of is not None else Known(verb, last=True)
