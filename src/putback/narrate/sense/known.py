"""One idea: what a sentence says as a whole, where its verb and its thing do not tell it each by itself."""

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
