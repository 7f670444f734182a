"""One idea: a torque may be said without its unit, where nothing else can be meant; then it stays without one."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.text.quantities import Of, Quantity
from putback.narrate.words.lexicon import FASTENERS, Sense

NO_UNIT: Final = "the number was said without a unit"
_MORE_THAN_A_COUNT = 12
"""A number above it, said of fasteners that were just put in, is how tight they are, and not how many."""
_IS = frozenset({"is", "are", "was", "were", "get", "gets", "at", "to"})
_TELLS = frozenset({"that's", "they're", "it's", "they", "those", "these"})
_BRINGS = frozenset({"take", "took", "taken", "bring", "brought", "pull", "pulled", "set", "done", "did"})
_UP_TO = frozenset({"to", "at"})


def torque_of(parts: Sequence[Piece], *, back: bool = True) -> Quantity | None:
    """The torque that a few words say: with its unit, or after a word of tightening ("torqued to 45").

    On the way in, `back` false, "those are thirteen" is a size.
    """
    with_unit = next((piece.quantity for piece in parts if piece.quantity and piece.quantity.of is Of.TORQUE), None)
    if with_unit is not None:
        return with_unit
    tightens = any(piece.sense is Sense.TIGHTEN for piece in parts)
    tightens = tightens or (any(piece.low in {"do", "did", "done", "doing"} for piece in parts) and _says("up", parts))
    tightens = tightens or (
        any(piece.low in _BRINGS for piece in parts) and any(one.sort is Sort.PRONOUN for one in parts)
    )
    fastener = any(piece.sort is Sort.NAME and piece.head in FASTENERS for piece in parts)
    for n, piece in enumerate(parts):
        if n == 0 or not _bare(piece, parts[n + 1 : n + 2]) or _is_an_age(parts[:n]):
            continue
        before = parts[n - 1].low if parts[n - 1].low != "a" or n == 1 else parts[n - 2].low
        if (tightens and before in _UP_TO) or (
            fastener and back and before in _IS and not tightens and _is_high(piece)
        ):
            return without_unit(piece)
    return None


def _is_an_age(before: Sequence[Piece]) -> bool:
    """`I did that on my own at fifty eight`: how old who tells it is."""
    return [one.low for one in before[-2:]] == ["own", "at"]


def told_after(join: str, parts: Sequence[Piece]) -> Quantity | None:
    """`…, that's forty five`: of fasteners that were just put in."""
    rest = [piece for piece in parts if piece.low not in _TELLS and piece.low not in {"a", "at", "to", "all", "about"}]
    said = join in _TELLS or any(piece.low in _TELLS for piece in parts)
    if not said or not rest or not _bare(rest[0], rest[1:2]) or not _is_high(rest[0]):
        return None
    return without_unit(rest[0])


def told_alone(parts: Sequence[Piece]) -> Quantity | None:
    """`Wheel nuts on, eighty five`: a number by itself behind fasteners that went in, which is no count of them."""
    rest = [piece for piece in parts if piece.low not in {"at", "to", "all", "each", "same", "a"}]
    if len(rest) != 1 or not _bare(rest[0], ()) or not _is_high(rest[0]):
        return None
    return without_unit(rest[0])


def is_bare(quantity: Quantity) -> bool:
    """Whether it was said without a unit."""
    return quantity.of is Of.TORQUE and quantity.text[-1].isdigit()


def _says(low: str, parts: Sequence[Piece]) -> bool:
    return any(piece.low == low for piece in parts)


def is_plain(one: Quantity | None) -> bool:
    """Whether a number stands by itself: `21`, and not `21 turns`, `2.4 hours`."""
    if one is None or one.after != one.number.after:
        return False
    return one.of is Of.COUNT or (one.of is Of.OTHER and one.text == one.number.text)


def _bare(piece: Piece, following: Sequence[Piece]) -> bool:
    """Whether a piece is a number of nothing that is named."""
    one = piece.quantity
    return is_plain(one) and not (following and following[0].sort in (Sort.NAME, Sort.PRONOUN, Sort.QUANTITY))


def _is_high(piece: Piece) -> bool:
    return piece.quantity is not None and piece.quantity.number.value > _MORE_THAN_A_COUNT


def without_unit(piece: Piece) -> Quantity | None:
    """The torque that a bare number is."""
    one = piece.quantity
    return replace(one, of=Of.TORQUE, text=one.number.text) if one is not None else None
