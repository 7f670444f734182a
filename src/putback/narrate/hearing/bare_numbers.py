"""One idea: in notes a number may stand alone: 17 is how wide a head is, 60 how tight, where it can be no other."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from putback.core.operations import Verb
from putback.narrate.hearing.fragments import Fragments
from putback.narrate.hearing.writing import near_their_count
from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.phrase.segments import Segment
from putback.narrate.sense.parts_of import WAY_BACK
from putback.narrate.sense.things import Thing
from putback.narrate.sense.torques import is_plain, without_unit
from putback.narrate.text.quantities import HEADS_MM
from putback.narrate.words import lexicon

_ORDER = lexicon.words_of(
    "star criss cross crisscross diagonal diagonally pattern each all fashion stages evenly apiece a piece"
)
CLOSE = 8
"""So many signs stand between a fitting and its bare number."""


class BareNumbers(Fragments):
    """Reads numbers without a word for what they are of."""

    def _bare_number(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Pinch bolt in. Sixty.` `Nuts 120, star.` `Nut off, seventeen.`"""
        name = parts[0] if parts[0].sort is Sort.NAME and parts[0].head in lexicon.FASTENERS else None
        rest = parts[1:] if name is not None else parts
        if not rest or not _bare(rest[0]) or not all(_is_order(piece) for piece in rest[1:]):
            return False
        if name is not None:
            return self._tight(segment, self._named(name, parts), rest[0], name.count, parts)
        named = self._named_before(segment)
        if named is not None:
            return self._tight(segment, self.things.find(named), rest[0], named.count, parts)
        return self._of_the_last(segment, rest[0], parts)

    def _of_the_last(self, segment: Segment, number: Piece, parts: list[Piece]) -> bool:
        """A number alone is of what was just said."""
        if not self.said or segment.start - self.said[-1].end > CLOSE:
            return False
        last = self.said[-1]
        if last.verb is Verb.UNDO and not self.back:
            return self._width(segment, number)
        if last.verb not in WAY_BACK | {Verb.TIGHTEN} or last.torque is not None:
            return False
        return self._tight(segment, self.objects[-1], number, last.count, parts)

    def _named_before(self, segment: Segment) -> Piece | None:
        """`Axle nut, two-sixteen`: the fastener that was only named right before, in the same sentence."""
        before = self.last_named
        if before is None or before.sentence != segment.sentence or len(before.pieces) != 1:
            return None
        piece = before.pieces[0]
        done = self.said and self.said[-1].end >= before.end
        return piece if not done and piece.sort is Sort.NAME and piece.head in lexicon.FASTENERS else None

    def _tight(
        self, segment: Segment, thing: Thing | None, piece: Piece, count: int | None, parts: Sequence[Piece]
    ) -> bool:
        """A number that can be neither a count nor the width of a head is how tight they are."""
        if not self.back or thing is None or thing.kind not in {"bolt", "nut", "screw"} or piece.quantity is None:
            return False
        value = piece.quantity.number.value
        width = value in HEADS_MM and (thing.size is None or thing.size == f"{value}mm")
        counts = count is None and thing.plural and value <= max(HEADS_MM)
        last = self.said[-1] if self.said else None
        if near_their_count(value, thing):
            if last is not None and last.verb is Verb.START and self.objects[-1] is thing:
                self.said[-1] = replace(last, count=int(value), end=segment.end)
            return True
        if value < 1 or (value.denominator == 1 and (width or counts)):
            return False
        torque = without_unit(piece)
        if last is not None and last.verb is Verb.TIGHTEN and self.objects[-1] is thing and last.torque is None:
            self.said[-1] = replace(last, torque=torque.text if torque else None, end=segment.end)
            return True
        if count is not None and thing.off and parts[0].sort is Sort.NAME:
            self.add(segment, Verb.START, thing, thing.name, parts=parts[:1])
        self.add(segment, Verb.TIGHTEN, thing, thing.name, torque=torque)
        return True

    def _width(self, segment: Segment, piece: Piece) -> bool:
        """`Nut off, seventeen`: of one nut, or of several that were counted, it is the width of the head."""
        last, thing = self.said[-1], self.objects[-1]
        known = thing is None or (last.count is None and thing.plural) or last.size is not None
        if known or piece.quantity is None or not _is_width(piece.quantity.number.value):
            return False
        size = f"{piece.quantity.number.value}mm"
        self.said[-1] = replace(last, size=size, end=segment.end)
        if thing is not None:
            thing.size = size
        return True


def _bare(piece: Piece) -> bool:
    return is_plain(piece.quantity)


def _is_width(value: Fraction) -> bool:
    return value.denominator == 1 and value in HEADS_MM


def _is_order(piece: Piece) -> bool:
    return piece.low in _ORDER or bool(set(piece.words) & _ORDER)
