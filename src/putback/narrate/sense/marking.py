"""One idea: a part is marked before it comes off, by what is drawn and on what.

`Put a stripe of paint across wheel and shaft`, `marker line round the bracket`, `each hose got a dab of paint`.
"""

from collections.abc import Sequence
from itertools import pairwise

from putback.core.operations import Verb
from putback.narrate.phrase.phrases import Piece, Sort, words_in
from putback.narrate.sense.known import TELL_MORE, Heads, Known, done_to, first_name, put_on_it
from putback.narrate.sense.parts_of import STATES
from putback.narrate.words.lexicon import words_of

_PAINT = words_of("paint pen marker chalk scribe varnish crayon polish yellow white pencil")
_DRAWN_WITH = _PAINT - {"yellow", "white", "polish", "varnish"}
_MARKS = words_of("stripe line dot dab mark arrow")
_DREW = words_of("put drew scratched scribed dabbed dotted ran made painted chalked")
_SCRIBED = words_of("scribed marked chalked drew traced")
_GETS = words_of("got gets get received receives")
_WITNESS = words_of("witness match index alignment matching reference")
_DRAWN = words_of("drew drawn went gone go")
_WITH = words_of("grease touch touch-up bit of a some line little tape up orange red green blue black")
_ACROSS = words_of("across on over along round around")
_FEW = 4
MARK_WORDS = _PAINT | _MARKS | _SCRIBED
"""Where none of these is said, nothing was marked."""


def marked(parts: Sequence[Piece], heads: Heads, words: Sequence[str]) -> Known | None:
    """`Put a stripe of paint across the wheel and the shaft.` `I drew round the washers with a pen.`"""
    round_it = words[:1] and words[0] in _SCRIBED and words[1:2] in (["round"], ["around"])
    if round_it and (of := first_name(parts)) is not None:
        return Known(Verb.MARK, of.low, of)
    drawn_round = any(one in _DRAWN and two == "round" for one, two in pairwise(words)) and set(words) & _PAINT
    if drawn_round and (of := first_name(parts, _PAINT)) is not None:
        return Known(Verb.MARK, of.low, of)
    if (drawn_on := _drawn_on(parts, words)) is not None:
        return drawn_on
    across = next((n for n, piece in enumerate(parts) if piece.low in {"across", "on", "over", "along"}), None)
    before = words_in(parts[:across])
    named = set(before) & _MARKS - ({"line"} if "line up" in " ".join(words) else set())
    drawn = set(words[:2]) & _DREW
    witness = named and set(before) & _WITNESS
    pen = set(before) & {"pen", "marker", "chalk"} and across is not None and len(before) <= _FEW
    if not (named and (set(words) & _PAINT or drawn)) and not (drawn and "paint" in before) and not (witness or pen):
        return None
    of = _given_a_mark(parts, words)
    if of is None and across is None:
        return Known(Verb.MARK) if len(words) <= _FEW and heads & {"stripe", "dab", "dot"} else None
    on_it = of is None and (put_on_it(parts[across:]) or "one" in words_in(parts[across:]))
    if of is None and not on_it:
        of = next((piece for piece in parts[across:] if piece.sort is Sort.NAME), None)
    return done_to(Verb.MARK, of) if on_it or of is not None else None


def _given_a_mark(parts: Sequence[Piece], words: Sequence[str]) -> Piece | None:
    """`Each hose got a dab of white paint`: what was marked."""
    gets = bool(parts) and parts[0].sort is Sort.NAME and set(words) & _GETS
    return parts[0] if gets and not set(parts[0].words) & (_MARKS | _PAINT) else None


def _drawn_on(parts: Sequence[Piece], words: Sequence[str]) -> Known | None:
    """`Marker line round the bracket`, `paint pen line`: with what, and where."""
    way = next((n for n, piece in enumerate(parts) if piece.low in _ACROSS), None)
    before = words_in(parts[:way])
    if not set(before) & _DRAWN_WITH or not set(before) <= _PAINT | _MARKS | _WITH or set(words) & STATES:
        return None
    if way is None:
        return Known(Verb.MARK) if len(before) > 1 and set(before) & _MARKS else None
    after = parts[way + 1 :]
    if before == ["paint"] or any(piece.sort in TELL_MORE for piece in after[:2]):
        return None
    of = first_name(after)
    on_it = of is None and any(piece.sort is Sort.PRONOUN for piece in after[:2])
    return done_to(Verb.MARK, of) if of is not None or on_it else None
