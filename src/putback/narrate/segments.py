"""One idea: what was said falls into short segments, each with at most one thing done, and a mood.

Mood: done or told (the same here), negated, conditional, or background (a time, a purpose, a recap). Only the first
gives operations; a condition gives a finding to look for.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto

from putback.narrate import lexicon
from putback.narrate.phrases import Piece, Sort


class Mood(Enum):
    """How a segment is meant."""

    DONE = auto()
    NEGATED = auto()
    CONDITION = auto()
    IN_CASE = auto()
    BACKGROUND = auto()


@dataclass(frozen=True, slots=True)
class Segment:
    """A few pieces that say one thing. `sentence` counts full stops before it."""

    pieces: tuple[Piece, ...]
    mood: Mood
    join: str
    sentence: int

    @property
    def start(self) -> int:
        """Where it begins in the text."""
        return self.pieces[0].start

    @property
    def end(self) -> int:
        """Where it ends in the text."""
        return self.pieces[-1].end


_BACKGROUND = frozenset(
    {"once", "before", "after", "when", "until", "till", "while", "because", "where", "which", "as"}
)
_LETTING = frozenset({"get", "gets", "got", "getting", "let", "have"})
_LET_GO = frozenset({"go", "done", "undone", "going"})
_LAST_WORDS = frozenset({"there", "here", "first", "again", "too", "also", "bottom", "top", "side", "front"})
_LONGEST = 40
"""Nobody says so many pieces about one thing; a segment ends there."""
_NEW_TURN = frozenset({"okay", "ok", "now", "alright", "next", "then"})


def segments(row: Sequence[Piece]) -> list[Segment]:
    """The segments of a row of pieces, in order."""
    found: list[Segment] = []
    current: list[Piece] = []
    join, sentence, in_case = "", 0, False

    def close() -> None:
        nonlocal current, join, in_case
        if current:
            mood = _mood(current, join, in_case)
            in_case = in_case or mood is Mood.CONDITION
            found.append(Segment(tuple(current), mood, join, sentence))
        current, join = [], ""

    for n, piece in enumerate(row):
        if len(current) >= _LONGEST:
            close()
        if piece.sort is Sort.STOP:
            close()
            sentence, in_case = sentence + 1, False
        elif piece.sort is Sort.COMMA:
            close()
        elif piece.low == "and" and _two_particles(row, n):
            current.append(piece)
        elif piece.sort is Sort.JOIN or (piece.low in _BACKGROUND and _clause_follows(row, n)):
            close()
            join = piece.low
            if piece.low in {"so", "but"}:
                in_case = False
        elif piece.low == "next" and current and n + 1 < len(row) and row[n + 1].sort in (Sort.STOP, Sort.COMMA):
            current.append(piece)
        elif piece.low in _NEW_TURN and piece.sort is Sort.SMALL:
            close()
            in_case = in_case and piece.low in {"then"}
        elif _begins(row, n, current):
            subject = [current.pop()] if _moves_by_itself(piece, current) else []
            close()
            current.extend([*subject, piece])
        else:
            current.append(piece)
    close()
    return found


def _two_particles(row: Sequence[Piece], n: int) -> bool:
    """`Up and out`: one movement; `good and tight`: one manner."""
    if 0 < n < len(row) - 1 and row[n - 1].low in {"good", "nice"}:
        return True
    return 0 < n < len(row) - 1 and row[n - 1].sort is row[n + 1].sort is Sort.PARTICLE


def _moves_by_itself(piece: Piece, current: Sequence[Piece]) -> bool:
    """`… the same new one slides down`: the name before such a verb belongs to it."""
    if _makes_sure(current):
        return False
    return piece.sort is Sort.VERB and piece.low.endswith("s") and len(current) > 1 and current[-1].sort is Sort.NAME


def _makes_sure(current: Sequence[Piece]) -> bool:
    """`Check that the belt sits in the grooves`, `make sure the peg goes in`: what follows is looked at, not done."""
    return any(piece.low == "sure" or piece.sense is lexicon.Sense.CHECK for piece in current)


def _clause_follows(row: Sequence[Piece], n: int) -> bool:
    """Whether `before` or `after` begins a clause ("before you pull on it") and not a time ("after put-back")."""
    following = [piece.sort for piece in row[n + 1 : n + 4]]
    return bool(following) and (
        following[0] in (Sort.SUBJECT, Sort.PRONOUN, Sort.VERB)
        or (following[0] is Sort.NAME and Sort.VERB in following)
    )


def _begins(row: Sequence[Piece], n: int, current: Sequence[Piece]) -> bool:
    """Whether a new segment begins with this piece though no stop and no joining word stands before it."""
    piece = row[n]
    if not current:
        return False
    if piece.sort is Sort.IF or piece.low == "make":
        return True
    if _makes_sure(current) and piece.low.endswith("s"):
        return False
    if piece.sort is Sort.SUBJECT:
        return any(one.sort in (Sort.VERB, Sort.NAME, Sort.OTHER_VERB, Sort.PRONOUN) for one in current)
    return piece.sort is Sort.VERB and _verb_begins(piece, current)


def _verb_begins(piece: Piece, current: Sequence[Piece]) -> bool:
    """Whether a verb begins something new: the verb before it has had its object or its particle."""
    last = current[-1]
    if last.low in {"again", "too"} and any(one.sort is Sort.OTHER_VERB for one in current):
        return True
    verbs = [k for k, one in enumerate(current) if one.sort is Sort.VERB]
    if not verbs or last.low == "to":
        return False
    if current[verbs[-1]].low in _LETTING and (piece.low in _LET_GO or piece.low.endswith("ed")):
        return False
    if last.sort in (Sort.VERB, Sort.SUBJECT, Sort.NOT, Sort.SMALL) and last.low not in _LAST_WORDS:
        return False
    return any(one.sort in (Sort.NAME, Sort.PRONOUN, Sort.PARTICLE) for one in current[verbs[-1] + 1 :])


def _mood(current: Sequence[Piece], join: str, in_case: bool) -> Mood:
    lows = [piece.low for piece in current]
    if any(piece.sort is Sort.IF for piece in current):
        return Mood.CONDITION
    if in_case:
        return Mood.IN_CASE
    if any(piece.sort is Sort.NOT for piece in current if piece.low not in {"no", "nothing"} or "need" in lows):
        return Mood.NEGATED
    if any(piece.sense is lexicon.Sense.LEAVE for piece in current if piece.sort is Sort.VERB):
        return Mood.NEGATED
    if join in _BACKGROUND or lows[0] in {"once", "before", "after", "until"}:
        return Mood.BACKGROUND
    return Mood.DONE
