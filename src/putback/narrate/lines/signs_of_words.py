"""One idea: what the very words of a line show: whether its name was said, its number, and that it was done at all."""

from collections.abc import Iterator, Sequence
from typing import Final

from putback.narrate.lines.aliases import words_of_name
from putback.narrate.lines.said import Said
from putback.narrate.lines.seen import NAMED, PUTS_BACK, Found, Seen
from putback.narrate.lines.signs import Sign
from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.sense.things import singular
from putback.narrate.words.lexicon import FASTENERS, words_of

_ONE: Final = frozenset({"1", "one", "single", "a", "an"})
_MAY_BE: Final = words_of(
    "would could should might must may can will gonna going want wants need needs needed has have had got let gotta "
    "try tries"
)
_IS: Final = frozenset({"is", "are", "'s", "it's", "that's", "be"})
_DONE: Final = (Sort.VERB, Sort.PARTICLE)


def of_words(one: Said, seen: Seen) -> Iterator[Found]:
    """What the words that a line stands on show."""
    words = seen.said_with(one)
    if not words:
        return
    yield from _of_numbers(one, words)
    yield from _of_name(one, words, seen)
    yield from _of_doing(words)
    begin = seen.begin(one)
    if begin and seen.row[begin - 1].sort is not Sort.STOP:
        yield Sign.INSIDE, ""


def _of_numbers(one: Said, words: Sequence[Piece]) -> Iterator[Found]:
    """A number, or a kind, that nobody said here; several numbers."""
    numbers = {piece.count for piece in words if piece.count is not None}
    if len(numbers) > 1:
        yield Sign.TWO_COUNTS, ""
    lows = {low for piece in words for low in (piece.low, *piece.low.split())}
    if one.count == 1 and one.kind and not lows & _ONE:
        yield Sign.ONE_BY_NAME, ""
    if one.count is not None and one.count not in numbers:
        yield Sign.COUNT_FROM_BEFORE, ""
    kinds = {FASTENERS.get(word, word) for word in lows | _singulars(words)}
    if one.kind and one.kind not in kinds:
        yield Sign.KIND_FROM_BEFORE, ""


def _singulars(words: Sequence[Piece]) -> set[str]:
    return {singular(word) for piece in words for word in (*piece.words, *piece.low.split())}


def _of_name(one: Said, words: Sequence[Piece], seen: Seen) -> Iterator[Found]:
    """A pronoun for the thing, or a name that was said before and not here."""
    mine = seen.words[one.n]
    pronoun = any(piece.sort is Sort.PRONOUN for piece in words)
    if pronoun and not any(piece.sort is Sort.NAME for piece in words):
        yield Sign.PRONOUN, ""
    named = any(set(mine[-1:]) & set(words_of_name(" ".join(piece.words))) for piece in words if piece.words)
    never_again = one.verb not in PUTS_BACK and one.n not in seen.first_back
    if one.verb in NAMED and pronoun and not named and never_again:
        yield Sign.FAR, ""
    if mine and not set(mine) & _singulars(words):
        begin = seen.begin(one)
        before = (seen.row[place] for place in range(begin - 1, -1, -1))
        last = next((piece for piece in before if piece.sort is Sort.NAME), None)
        if last is not None and not set(map(singular, last.words)) & set(mine):
            yield Sign.ANOTHER_NAMED_SINCE, ""


def _of_doing(words: Sequence[Piece]) -> Iterator[Found]:
    """Whether it was done, or only spoken of."""
    lows = {low for piece in words for low in piece.low.split()}
    if not any(piece.sort in _DONE for piece in words):
        yield Sign.NOT_SAID_WHAT, ""
    if any(piece.sort is Sort.OTHER_VERB for piece in words):
        yield Sign.MORE_TOLD, ""
    if lows & _MAY_BE:
        yield Sign.MAY_BE, ""
    if lows & _IS:
        yield Sign.STANDS, ""
