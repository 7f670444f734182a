"""One idea: notes leave out what a reader of the trade adds: that bolts that are only named were undone."""

from collections.abc import Sequence

from putback.core.operations import Verb
from putback.narrate.hearing.bare_numbers import CLOSE, BareNumbers
from putback.narrate.phrase.phrases import BY_SIZE, Piece, Sort
from putback.narrate.phrase.segments import Segment
from putback.narrate.sense.act import ON, UP, Act, direction_of
from putback.narrate.sense.covering import guard_at
from putback.narrate.sense.parts_of import INTRODUCES, TOOL_HEADS, WAY_BACK, held_by, is_part, is_stowed
from putback.narrate.sense.things import Thing, is_plural, singular
from putback.narrate.sense.torques import torque_of
from putback.narrate.text.quantities import Of
from putback.narrate.text.spoken import Spoken
from putback.narrate.words import lexicon
from putback.narrate.words.lexicon import Sense

_WORDS_TO_A_NOTE = 7
"""Who says no more words to a sentence speaks in notes."""
_TOLD = 0.12
"""So few sentences of notes say who did it, or that it was done."""
_OPENS = frozenset({":", "-", "\u2013", "\u2014"})
"""What stands before a list of what a part was held with."""
_GOES_ON = frozenset({"", ",", "and", "+", "&"})
_COPULAS = frozenset({"was", "were", "is", "are"})
_WHERE = lexicon.words_of(
    "underneath below beneath above beside near outside from in of on "
    "through along at per to around round under behind either each inside"
)
LOOKED_AHEAD = 6
"""So many segments on it may be said that they are out."""
_GONE = frozenset({"out", "off", "away", "free", "loose"})
_SEVERAL = lexicon.words_of("it that them both all these those they lot")
_TELLS = (Sort.VERB, Sort.OTHER_VERB, Sort.SUBJECT, Sort.PRONOUN, Sort.NOT, Sort.IF)
_TIGHT = frozenset({Sense.TIGHTEN, Sense.START, Sense.MOVE})
_KINDS = lexicon.words_of("phillips pozi pozidriv torx allen hex flanged self-tapper captive crosshead")
_PANELS = lexicon.words_of("panel tray cover mat board trim liner assembly card")
_SPOKEN_OF = 6
PARTED = frozenset({Verb.REMOVE, Verb.UNPLUG, Verb.PART})


def speaks_in_notes(spoken: Spoken, row: Sequence[Piece]) -> bool:
    """Whether a text is of notes, and not of sentences or one long talk."""
    sentences = sum(piece.sort is Sort.STOP for piece in row) + (not row or row[-1].sort is not Sort.STOP)
    if len(spoken.text.split()) <= _WORDS_TO_A_NOTE * sentences:
        return True
    told = sum(piece.sort is Sort.SUBJECT or piece.low in _COPULAS for piece in row)
    return told < _TOLD * sentences


_OPENED = PARTED | {Verb.UNPLUG, Verb.REMOVE, Verb.GUARD}
_ACROSS_IT = frozenset({"across", "over", "inside", "round", "around", "in", "on"})


class Notes(BareNumbers):
    """Reads what is named without a word of what was done."""

    def __init__(self, spoken: Spoken) -> None:
        super().__init__(spoken)
        self.listing = -1
        self.listed_of: Thing | None = None
        self.ahead: Sequence[Segment] = ()

    def _note(self, segment: Segment, parts: list[Piece]) -> bool:
        """Whether a note was understood."""
        if not parts or not (self.terse or segment.sentence in self.without_verbs):
            return False
        return (
            self._bare_number(segment, parts)
            or self._both_to(segment, parts)
            or self._is_tight(segment, parts)
            or self._part_stowed(segment, parts)
            or self._covered_here(segment, parts)
            or self._kept_inside(segment, parts)
            or self._then_on(segment, parts)
            or self._bare_part(segment, parts)
            or self._several_gone(segment, parts)
            or self._fasteners_alone(segment, parts)
            or self._more_of_them(segment, parts)
            or self._fastener_and_tool(segment, parts)
        )

    # fasteners that are only named

    def _fasteners_alone(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Carrier. Two nineteens.` `Two T30 from the handle.` `Liner in. Six screws.`"""
        row = _with_name(parts)
        if row is None or not all(_only_says_where(piece) for piece in row[1:]):
            return False
        name = row[0]
        if name.marks & {"a", "an"} or segment.join in INTRODUCES or ("the" in name.marks and name.count is None):
            return False
        counted = name.count is not None or any(p.quantity and p.quantity.of is Of.COUNT for p in row[1:])
        sized = name.size is not None or any(p.quantity and p.quantity.of is Of.SIZE for p in row[1:])
        if not (counted or sized) or _odd_width(row) or self._of_an_energy(segment):
            return False
        thing = self._named(name, row)
        if self._told_later(segment, name):
            size = next((p.quantity.text for p in row if p.quantity and p.quantity.of is Of.SIZE), None)
            thing.size = thing.size or size
            return True
        if self.back:
            return name.count is not None and thing.off and self._put(segment, Verb.START, thing, row)
        held = bool(self.said) and self.said[-1].verb in PARTED and self.last_sentence == segment.sentence
        return not thing.off and not held and self._put(segment, Verb.UNDO, thing, row)

    def _of_an_energy(self, segment: Segment) -> bool:
        """`Negative off, 10 mm nut`: with what it is held that was just parted."""
        if not self.said or self.said[-1].verb not in (Verb.ISOLATE, Verb.RESTORE):
            return False
        return self.last_sentence == segment.sentence

    def _several_gone(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Four out.` `All in.`"""
        first, rest = parts[0], parts[1:]
        counted = first.low == "all" and rest and rest[0].quantity is not None and rest[0].quantity.of is Of.COUNT
        if counted:
            first, rest = rest[0], rest[1:]
        several = first.low in _SEVERAL - {"it", "that"} or (first.quantity and first.quantity.of is Of.COUNT)
        if not several or not rest or any(piece.sort is not Sort.PARTICLE for piece in rest):
            return False
        number = first.quantity.number.count if first.quantity is not None else None
        off = bool({piece.low for piece in rest} & _GONE)
        near = [thing for thing in reversed(self.things.known[-_SPOKEN_OF:]) if thing.kind and thing.plural]
        near = [thing for thing in near if thing.off is not off and (number is None or thing.count in (number, None))]
        return bool(near) and self._put(segment, Verb.UNDO if off else Verb.START, near[0], parts)

    def _put(self, segment: Segment, verb: Verb, thing: Thing, row: Sequence[Piece]) -> bool:
        self.add(segment, verb, thing, row[0].low, parts=row)
        self.without_verb = True
        return True

    def _more_of_them(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Two T20s in the handle, two in the corners`: as many again, elsewhere."""
        if self.back or not self.said or self.said[-1].verb is not Verb.UNDO or self.last_sentence != segment.sentence:
            return False
        number, thing = parts[0].quantity, self.objects[-1]
        where = len(parts) > 2 and parts[1].low in {"in", "at", "from", "on", "along", "under", "behind"}
        if number is None or number.of is not Of.COUNT or not where or thing is None or not thing.kind:
            return False
        if any(piece.sort in _TELLS or piece.low in _GONE for piece in parts):
            return False
        self.add(segment, Verb.UNDO, thing, thing.name, parts=parts[:1], anew=True)
        return True

    def _listed(self, segment: Segment, parts: list[Piece]) -> bool:
        """`I pulled the trim off: nine rivets and two screws`: with what it was held, and undone before."""
        name = parts[0] if parts else None
        if name is None or name.sort is not Sort.NAME or name.head not in lexicon.FASTENERS or name.count is None:
            return False
        mark = self.between(segment).strip()
        opens = bool(self.said) and mark in _OPENS and self.said[-1].verb in PARTED
        opens = opens or (self.listing == segment.sentence and mark in _GOES_ON)
        tells_how = self.coming is not None and self.coming.pieces[0].sort is Sort.VERB
        if self.back or not opens or tells_how or not all(_only_says_where(piece) for piece in parts[1:]):
            return False
        if self.listing != segment.sentence:
            self.listing, self.listed_of = segment.sentence, self.objects[-1]
        alone = len(parts) == 1 and not held_by(name.words)
        thing = self.things.named(name, owner=self.listed_of) if alone else self._named(name, parts)
        return not thing.off and self._put(segment, Verb.UNDO, thing, parts)

    def _told_later(self, segment: Segment, name: Piece) -> bool:
        """Whether it is still to come what became of them: `both knocked out`, `four out`, `undo them`."""
        for coming in self.ahead:
            first, lows = coming.pieces[0], {piece.low for piece in coming.pieces}
            if self.back and first.sense in _TIGHT:
                continue
            same = coming.sentence == segment.sentence
            result = any(piece.sort is Sort.VERB or piece.low in _GONE for piece in coming.pieces)
            if same and (first.low in _GONE or (first.sort is Sort.VERB and lexicon.is_participle(first.low))):
                return True
            if (
                result
                and lows & _SEVERAL - ({"it", "that"} if is_plural(name.head) else set())
                and coming.sentence - segment.sentence <= 1 + ("all" in lows) * LOOKED_AHEAD
            ):
                return True
            number = first.quantity.number.count if first.quantity is not None else first.count
            again = (
                first.sort is Sort.NAME and singular(first.head) == singular(name.head) and _adds_nothing(first, name)
            )
            if lows & _GONE and (first.quantity is not None or again) and number in (name.count, None):
                return True
        return False

    def _fastener_and_tool(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Rotor screw, Phillips, impact driver.`"""
        name = parts[0]
        alone = len(parts) == 1 and name.sort is Sort.NAME and name.head in lexicon.FASTENERS
        if not alone or self.back or self.last_sentence_said == segment.sentence or self._told_later(segment, name):
            return False
        rest = [piece for coming in self.ahead if coming.sentence == segment.sentence for piece in coming.pieces]
        tools = [
            piece for piece in rest if piece.sort is Sort.NAME and (piece.head in TOOL_HEADS or piece.head in _KINDS)
        ]
        if not tools or any(piece.sort in _TELLS for piece in rest):
            return False
        thing = self._named(name, parts)
        return not thing.off and self._put(segment, Verb.UNDO, thing, parts)

    @property
    def last_sentence_said(self) -> int:
        """The sentence of the segment before."""
        return self.last_named.sentence if self.last_named is not None else -1

    def _is_tight(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Clamp tight.`"""
        name = parts[0]
        tight = len(parts) == 2 and parts[1].low in {"tight", "snug"} and name.sort is Sort.NAME
        if not tight or name.head not in lexicon.FASTENERS or not self.back:
            return False
        return self._put(segment, Verb.TIGHTEN, self._named(name, parts), parts)

    def _both_to(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Both to 6 newton metres.`"""
        torque = torque_of(parts)
        first = parts[0]
        if torque is None or first.low not in _SEVERAL | {"each"} or not self.back:
            return False
        number = 2 if first.low == "both" else None
        thing = (self.things.counted(number) if number else None) or self.things.newest(plural=True, fastener=True)
        if thing is None or not thing.kind:
            return False
        self.add(segment, Verb.TIGHTEN, thing, thing.name, torque=torque, anew=True)
        return True

    def _part_stowed(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Shield in the blue tray.` `Lid on the bench.`: off the car, where nobody said so yet."""
        name = parts[0]
        if self.back or name.sort is not Sort.NAME or not is_part(name) or not is_stowed(parts[1:]):
            return False
        only = all(piece.sort in (Sort.NAME, Sort.PARTICLE, Sort.PREPOSITION, Sort.SMALL) for piece in parts[1:])
        if not only or name.head in lexicon.FASTENERS or name.head in lexicon.STORES:
            return False
        thing = self._named(name, parts)
        return not thing.off and not thing.kind and self._put(segment, Verb.REMOVE, thing, parts)

    def _covered_here(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Lines off. Blue tape across.`: over what was just opened."""
        if not self.said or self.back or self.said[-1].verb not in _OPENED or guard_at(parts) != 0:
            return False
        where = [piece.low for piece in parts[1:]]
        if len(where) != 1 or where[0] not in _ACROSS_IT or parts[0].marks & {"the", "its"}:
            return False
        thing = self.objects[-1]
        if thing is None or segment.sentence - self.last_sentence > 1:
            return False
        self.add(segment, Verb.GUARD, thing, thing.name, parts=parts)
        return True

    def _kept_inside(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Sensor in a clean glove.`"""
        if len(parts) != 3 or self.back or parts[0].sort is not Sort.NAME or not is_part(parts[0]):
            return False
        if (
            parts[1].low not in {"in", "into", "inside"}
            or guard_at(parts[2:]) != 0
            or not parts[2].marks & {"a", "an"}
        ):
            return False
        self.add(segment, Verb.GUARD, self._named(parts[0], parts), parts[0].low, parts=parts)
        return True

    def _then_on(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Fan blown out, then on.` `Front plug: catch, lever, off.`: what became of what the sentence is about."""
        if not all(piece.sort is Sort.PARTICLE for piece in parts) or self._subject(segment) is None:
            return False
        thing = self._subject(segment)
        done = bool(self.said) and self.last_sentence == segment.sentence and self.objects[-1] is thing
        assert thing is not None
        operation = self._went_alone(thing, direction_of(parts, ()))
        if operation is None or (done and self.said[-1].verb not in (Verb.CLEAN, Verb.INSPECT, Verb.MEASURE)):
            return False
        self.add(segment, operation, thing, thing.name, parts=parts)
        self.without_verb = True
        return True

    def _goes_in_too(self, act: Act) -> bool:
        """`I ran the two bolts in to 26 Nm`: put in and tightened in one breath."""
        thing = act.thing
        fastener = thing is not None and thing.off and thing.kind in {"bolt", "nut", "screw"}
        return (
            fastener and act.torque and act.sense in (Sense.MOVE, Sense.ON, Sense.START) and act.direction in (ON, UP)
        )

    def _bare_part(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Rivets in. Foam tray. Floor.`: on the way back a part that is off and only named is on again."""
        name = parts[0]
        alone = len(parts) == 1 and name.sort is Sort.NAME and is_part(name) and name.head not in lexicon.FASTENERS
        alone = alone and self.last_sentence_said != segment.sentence
        if not alone or not self.back or not self.said or segment.start - self.said[-1].end > CLOSE:
            return False
        thing = self.things.find(name) or self._begins_with(name)
        if thing is None or not thing.off or thing.kind or self.said[-1].verb not in WAY_BACK | {Verb.TIGHTEN}:
            return False
        if self.ahead and self.ahead[0].sentence == segment.sentence:
            return False
        follows = self.ahead[0].pieces[0] if self.ahead else None
        if follows is not None and follows.sort is Sort.NAME and singular(follows.head) == thing.head:
            return False
        return self._put(segment, Verb.FIT, thing, parts)

    def _begins_with(self, name: Piece) -> Thing | None:
        """`Floor`, of the floor panel that is off."""
        off = (thing for thing in reversed(self.things.known) if thing.off and not thing.kind)
        same = (thing for thing in off if thing.words[: len(name.words)] == name.words)
        return next((thing for thing in same if set(thing.words[len(name.words) :]) <= _PANELS), None)

    def _only_named_before(self, thing: Thing | None, piece: Piece | None) -> bool:
        """`Liner in. Six screws, nipped.`: they went in, and were tightened."""
        counted = piece is not None and piece.count is not None and self.terse and self.back
        return counted and thing is not None and thing.off and thing.kind in {"bolt", "nut", "screw"}


def _adds_nothing(later: Piece, name: Piece) -> bool:
    """Whether a later name may mean the same: `bolts out`, and not `knuckle bolts out`."""
    own = set(later.words[:-1]) - lexicon.OF_FASTENERS
    return own <= set(name.words) and is_plural(later.head) == is_plural(name.head)


def _with_name(parts: list[Piece]) -> list[Piece] | None:
    """The pieces with the fasteners first; `two T30 from the handle` names them by their size."""
    first = parts[0]
    if first.sort is Sort.NAME and first.head in lexicon.FASTENERS:
        return parts
    number = [piece.quantity for piece in parts[:2] if piece.quantity is not None]
    if len(parts) < 2 or len(number) < 2 or number[0].of is not Of.COUNT or number[1].of is not Of.SIZE:
        return None
    count = number[0].number.count
    low = ("screw" if number[1].text.startswith("T") else "bolt") + "s" * ((count or 1) > 1)
    name = Piece(
        Sort.NAME,
        low,
        first.start,
        parts[1].end,
        words=(low,),
        count=count,
        size=number[1].text,
        marks=frozenset({BY_SIZE}),
    )
    return [name, *parts[2:]]


def _odd_width(row: Sequence[Piece]) -> bool:
    """`One and a half inch`: no head of a bolt is so wide."""
    sizes = [row[0].size or "", *(piece.low for piece in row if piece.quantity and piece.quantity.of is Of.SIZE)]
    return any(size.endswith("in") and "." in size for size in sizes)


def _only_says_where(piece: Piece) -> bool:
    if piece.sort in _TELLS or piece.low in _GONE:
        return False
    if piece.sort in (Sort.PARTICLE, Sort.PREPOSITION):
        return piece.low in _WHERE or piece.low == "back"
    return piece.sort in (Sort.QUANTITY, Sort.SMALL, Sort.NAME)
