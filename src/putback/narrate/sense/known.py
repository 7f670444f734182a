"""One idea: what a sentence says as a whole, where its verb and its thing do not tell it each by itself."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from putback.core.operations import Verb
from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.words.lexicon import words_of


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


HANDS = words_of("hand hands finger fingers thumb palm fingertip fingertips range travel lock fingernail")
PLACED = words_of("across on to over along against between round around under")
TELL_MORE = frozenset({Sort.VERB, Sort.SUBJECT, Sort.NOT, Sort.OTHER_VERB, Sort.IF})


def first_name(parts: Sequence[Piece], but: frozenset[str] = frozenset()) -> Piece | None:
    """The first name that is none of some words, nor of the hand that does it."""
    for piece in parts:
        if piece.sort is Sort.NAME and not set(piece.words) & but and piece.head not in HANDS:
            return piece
    return None


def put_on_it(parts: Sequence[Piece]) -> bool:
    """`… a ruler on them`, `… a dot on it`."""
    return any(one.low in PLACED and two.sort is Sort.PRONOUN for one, two in pairwise(parts[:3]))


def placed(parts: Sequence[Piece], but: frozenset[str] = frozenset()) -> Piece | None:
    """What something was put across, on or along."""
    across = next((n for n, piece in enumerate(parts) if piece.low in PLACED), None)
    return first_name(parts[across:], but) if across is not None else None
