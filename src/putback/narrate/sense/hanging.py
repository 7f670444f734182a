"""One idea: what hangs, is tied up or sits beside its place was moved aside, and is still attached."""

from collections.abc import Sequence

from putback.core.operations import Verb
from putback.narrate.phrase.phrases import Piece, Sort, words_in
from putback.narrate.sense.act import HUNG_ON
from putback.narrate.sense.known import Heads, Known, done_to
from putback.narrate.words.lexicon import FASTENERS, words_of

HANG_WORDS = words_of("hanging hung hanged dangling strung slung suspended swinging hang")
HELD_WORDS = frozenset({"held", "kept"})
_BY = words_of("by from on off over in")
_HELD = HUNG_ON | words_of(
    "cable cables wires wiring hoses hose pipes pipe loom harness ropes rope bungees straps string stay hinge "
    "strut subframe crossmember post mirror lines leads lead damper coil"
)
_LOOSELY = words_of("down there free loose out")
_NEVER = words_of("still was were")
_ASIDE = ("to one side", "to 1 side", "to the side", "out of the way")


def hangs(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`The door card's hanging by its cable`, `strung up from the spring`: moved aside."""
    at = next((n for n, piece in enumerate(parts) if piece.low in HANG_WORDS), None)
    if at is None or any(one.sort in (Sort.NOT, Sort.IF) for one in parts) or set(words) & _NEVER:
        return None
    after = set(words_in(parts[at + 1 :]))
    before = set(words_in(parts[:at]))
    named = [piece for piece in parts if piece.sort is Sort.NAME and not set(piece.words) & _HELD]
    let = "let" in before and (not after or after & _LOOSELY)
    hung = (after & _BY and after & _HELD) or let or (before & _HELD and named)
    if not hung or any(piece.head in FASTENERS for piece in named):
        return None
    del heads
    of = next(iter(named), None)
    return done_to(Verb.SWING_ASIDE, of)


def held_aside(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`The trim is held to one side with a strap.`"""
    del heads
    held = next((n for n, piece in enumerate(parts) if piece.low in HELD_WORDS), 0)
    text = " ".join(words)
    aside = "aside" in words or any(way in text for way in _ASIDE)
    if not held or not aside or any(one.sort in (Sort.NOT, Sort.IF) for one in parts):
        return None
    of = next((piece for piece in parts[:held] if piece.sort is Sort.NAME), None)
    return Known(Verb.SWING_ASIDE, of.low, of) if of is not None else None
