"""One idea: what was understood is written down as operations; what is said right after goes to the last one."""

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from putback.core.operations import Verb
from putback.core.quantity import read_torque
from putback.narrate.lines.said import Said
from putback.narrate.phrase.phrases import REST, Piece, Sort, words_in
from putback.narrate.phrase.segments import Segment
from putback.narrate.sense.act import is_energy
from putback.narrate.sense.covering import stopped_with
from putback.narrate.sense.parts_of import (
    OFF_THE_CAR,
    TAKES_OFF,
    TOOL_HEADS,
    WAY_BACK,
    is_part,
    numbers,
    pattern,
    reaching_back,
    tool,
    tray,
)
from putback.narrate.sense.things import Thing, Things, singular
from putback.narrate.sense.torques import NO_UNIT, is_bare, told_after, told_alone, torque_of
from putback.narrate.text.quantities import HEADS_MM, Of, Quantity
from putback.narrate.text.spoken import Spoken
from putback.narrate.words.lexicon import FASTENERS, Sense

_PARTS_TOO = frozenset({"cover", "protector"})
"""What guards by such a name does not make a guard of every part of that name."""
_OF_THEM = frozenset({"they", "those", "these", "they're", "that's", "it's", "them", "both", "all", "each"})
_FASTENED = frozenset({Verb.START, Verb.TIGHTEN, Verb.RESTORE})
_OF_ALL = frozenset({"of", "them", "all", "in", "total", "those"})
_TAKEN = frozenset({"using", "use", "grab", "grabbed", "take", "get", "with", "need", "used"})
_OF_NO_WIDTH = frozenset({"screw", "clip"})
"""Such fasteners are seldom turned by a spanner."""
_MANY_SCREWS = 20
_LOST = 2
"""`Screws in, thirteen`, of fourteen that came out: so many may be lost."""
_ROUNDED = 0.05
"""So far apart are torques of two units that are said of one joint, since each is rounded."""
_DIGITS = tuple("0123456789")
NO_KIND = "whether bolts, nuts or screws was not heard"
_HAS_A_SIZE = TAKES_OFF | WAY_BACK | {Verb.TIGHTEN}
_OF_SIZE = frozenset({"size", "sizes", "all", "of", "them", "with", "a", "each", "they're", "both"})
_UNITS_ALONE = (
    ("newton met", "Nm"),
    ("newtons", "Nm"),
    ("foot pound", "lbft"),
    ("pound f", "lbft"),
    ("inch pound", "inlb"),
)
_SIZED_ALONE = frozenset({"plug", "plugs", "sensor", "cap"})
_MOST_OF_ONE_KIND = 12
_SAID_AGAIN = 160
_CORRECTS = re.compile(
    r"\b(no|sorry|wait|hold on|hang on|i lied|tell a lie|scratch that|correction|i mean|"
    r"actually|rather|my mistake|check)\b"
)
_PUT_BY = frozenset({Verb.REMOVE, Verb.ISOLATE})
"""`Negative off and tucked aside`, `caliper off, hung up`: one movement."""
_HIGH_VOLTAGE_PARTS = frozenset({"motor", "inverter", "compressor", "heater", "charger", "converter", "generator"})
_ISOLATES = frozenset({"service", "disconnect", "isolator", "manual", "msd", "isolation", "interlock"})
_LIFTS_OFF = frozenset({Verb.UNDO, Verb.REMOVE})
_MOST_PARTS = 4
_FASTENED_BEFORE = 3
"""So many operations before a lowering something may have been run in by hand."""
_OF_POSTS = frozenset({"clamp", "lead", "cable", "terminal", "eye"})
_LEADS = _OF_POSTS | {"negative", "positive"}
_NEXT_WORDS = 40
_LONGEST_SPAN = 160
"""Words that say the same again are taken into the span of an operation, up to so many signs."""


def _doubts(thing: Thing | None, torque: Quantity | None) -> tuple[str, ...]:
    """What is doubtful as soon as it is heard."""
    no_kind = (NO_KIND,) if thing is not None and thing.by_size else ()
    return (*no_kind, *((NO_UNIT,) if torque is not None and is_bare(torque) else ()))


def _same_number(torque: Quantity, said: str) -> bool:
    """Whether a torque was said before, with its unit or without."""
    return said == torque.text or (is_bare(torque) and said.rstrip("Nmlbftin") == torque.text)


def _about_as_tight(one: str, other: str) -> bool:
    """Whether two torques of different units are about the same: a part of the digits is lost between units."""
    if one.endswith(_DIGITS) or other.endswith(_DIGITS):
        return False
    first, second = read_torque(one), read_torque(other)
    return first.unit != second.unit and abs(first.torque_nm - second.torque_nm) <= _ROUNDED * second.torque_nm


def near_their_count(value: Fraction, thing: Thing) -> bool:
    """Whether a number is as many as there are of several things, or few less."""
    return thing.plural and thing.count is not None and value in range(thing.count - _LOST, thing.count + 1)


def _counts(number: Quantity, thing: Thing, last: Said) -> bool:
    """`Screws in, thirteen`: of several screws or clips a small number says how many, as does one near their count."""
    value = number.number.value
    if not thing.plural or last.count is not None:
        return False
    return near_their_count(value, thing) or (thing.kind in _OF_NO_WIDTH and value <= _MANY_SCREWS)


def _bare_width(last: Said, thing: Thing | None, parts: Sequence[Piece]) -> str | None:
    """`Hub nuts cracked, 32`; `nut off, 17`: the width of a head, where so many there cannot be."""
    if thing is None or last.size is not None or last.verb not in TAKES_OFF or len(parts) != 1:
        return None
    if not (thing.kind or thing.head == "plug"):
        return None
    one = parts[0].quantity
    number = one.number.count if one is not None and one.of is Of.COUNT else None
    several = thing.plural and last.count is None
    if several and thing.kind in _OF_NO_WIDTH and number is not None and number <= _MANY_SCREWS:
        return None
    return f"{number}mm" if number in HEADS_MM and (not several or number > _MOST_OF_ONE_KIND) else None


def _off_a_part(parts: Sequence[Piece]) -> bool:
    """`The orange plug off the rear motor`: of a part, and not the one that isolates."""
    return any(
        one.low in {"off", "from"} and two.sort is Sort.NAME and set(two.words) & _HIGH_VOLTAGE_PARTS
        for one, two in pairwise(parts)
    )


def _slackens(segment: Segment) -> bool:
    """Whether a fastener is only loosened, and stays."""
    return any(piece.sense is Sense.LOOSEN for piece in segment.pieces)


def _counts_last(parts: Sequence[Piece]) -> bool:
    """`Two off`, or nothing but numbers: they are of what was just done."""
    return parts[-1].low == "off" or all(piece.sort is Sort.QUANTITY or piece.low in _OF_ALL for piece in parts)


def _ends_battery(words: Collection[str]) -> bool:
    """Whether a name is of a lead of the battery."""
    return bool(set(words) & {"negative", "positive", "neg", "pos", "battery", "earth", "minus"})


def _of_another(parts: Sequence[Piece], thing: Thing | None) -> bool:
    """Whether what follows names another thing, so that its numbers are its own."""
    names = [piece for piece in parts if piece.sort is Sort.NAME and is_part(piece) and piece.head not in TOOL_HEADS]
    known = {thing.head, thing.kind} if thing is not None else set()
    return len(parts) > 1 and any(singular(piece.head) not in known for piece in names)


class Writing:
    """The operations so far, the thing of each, and what they leave off the car or covered."""

    def __init__(self, spoken: Spoken) -> None:
        self.spoken = spoken
        self.things = Things()
        self.said: list[Said] = []
        self.objects: list[Thing | None] = []
        self.back = False
        self.guards = 0
        self.guard_nouns: set[str] = set()
        self.covered: list[tuple[Thing, set[str]]] = []
        self.taken_off = 0
        self.last_sentence = -1
        self.prepared = (0, -1)
        self.tool_size: tuple[str, int, int] | None = None

    def with_tool(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Using a 13 mm socket, …`: the size of the head that comes next in the sentence."""
        taken = any(piece.low in _TAKEN for piece in parts[:2])
        if parts and parts[0].low == "with" and segment.sentence == self.last_sentence:
            return False
        size = next((p.size or p.low for p in parts if p.size or (p.quantity and p.quantity.of is Of.SIZE)), None)
        fastener = any(piece.head in FASTENERS for piece in parts)
        if taken and size is not None and not fastener:
            self.tool_size = (size, segment.start, segment.sentence)
        return taken and size is not None

    def attach(self, segment: Segment, parts: Sequence[Piece]) -> None:
        """A size, count or torque that follows its operation: `…, four off, 14 mm`."""
        like = next((n for n, piece in enumerate(parts) if n and piece.low == "like"), len(parts))
        parts = parts[:like]
        self._sized(parts)
        self._size_before(segment, parts)
        if self._torque_after_lowering(segment, parts):
            return
        if self._size_alone(parts) or not self.said or segment.start - self.said[-1].end > self._reach(parts):
            return
        last, thing = self.said[-1], self.objects[-1]
        if (
            self._unit_told(segment, parts)
            or self._size_of_its_nut(segment, parts)
            or _of_another(parts, thing)
            or self._torque_of_what_it_is_on(segment, parts)
        ):
            return
        if self._torque_mended(segment, parts):
            return
        torque = None
        if last.verb in _FASTENED and self.back:
            torque = told_after(segment.join, parts) or self._told_alone(segment, parts, thing)
        if torque is not None and last.torque is None:
            self.add(segment, Verb.TIGHTEN, thing, last.object, parts=parts, torque=torque)
            return
        if (thing is None or thing.by_size) and len(parts) == 1 and parts[0].sort is Sort.NAME and not parts[0].size:
            last = replace(last, zone=last.zone or parts[0].low, end=segment.end)
        self.said[-1] = self._with_numbers(last, thing, parts, segment)
        self._torqued(segment, parts, thing)

    def _size_of_its_nut(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Negative off, 10 mm nut`, `that's a ten mil`: the size of what held the lead."""
        last = self.said[-1]
        names = [piece for piece in parts if piece.sort is Sort.NAME]
        if last.verb is not Verb.ISOLATE or last.size is not None or any(p.sort is Sort.VERB for p in parts):
            return False
        if any(name.head not in FASTENERS for name in names) or len(names) > 1:
            return False
        size = next((p.size or p.low for p in parts if p.size or (p.quantity and p.quantity.of is Of.SIZE)), None)
        if size is not None:
            self.said[-1] = replace(last, size=size, end=segment.end)
        return size is not None

    def _size_before(self, segment: Segment, parts: Sequence[Piece]) -> None:
        """`T25, eleven screws, out.` `Brackets, 8 mm, three bolts out.`: of what the sentence names next."""
        rest = [piece for piece in parts if piece.low not in _OF_SIZE]
        one = rest[-1].quantity if rest else None
        plain = all(p.sort is Sort.NAME and p.head not in FASTENERS.keys() | _SIZED_ALONE for p in rest[:-1])
        if one is not None and one.of is Of.SIZE and plain and segment.sentence != self.last_sentence:
            self.tool_size = (one.text, segment.start, segment.sentence)

    def _torque_of_what_it_is_on(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Plug in with a new washer, 39 newton metres`: of the plug, and not of the washer."""
        torque = parts[0].quantity if parts else None
        if torque is None or torque.of is not Of.TORQUE or len(self.said) < 2 or self.said[-1].verb is not Verb.RENEW:
            return False
        fitted, thing = self.said[-2], self.objects[-2]
        within = fitted.verb in WAY_BACK and fitted.end >= self.said[-1].start
        if within:
            self.add(segment, Verb.TIGHTEN, thing, fitted.object, parts=parts, torque=torque)
        return within

    def _torque_after_lowering(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Nuts on, all ten. Down on the floor. 110 newton metres, criss-cross.`: of what was only run in before."""
        alone = parts[0].quantity if parts else None
        if alone is None or alone.of is not Of.TORQUE or any(piece.sort is Sort.NAME for piece in parts):
            return False
        if len(self.said) < _FASTENED_BEFORE or self.said[-1].verb is not Verb.LOWER or not self.back:
            return False
        late = zip(
            self.said[-2 : -_FASTENED_BEFORE - 1 : -1], self.objects[-2 : -_FASTENED_BEFORE - 1 : -1], strict=True
        )
        thing = next((thing for one, thing in late if one.verb is Verb.START and thing is not None), None)
        if thing is not None:
            self.add(segment, Verb.TIGHTEN, thing, thing.name, parts=parts, torque=alone)
        return thing is not None

    def _with_numbers(self, last: Said, thing: Thing | None, parts: Sequence[Piece], segment: Segment) -> Said:
        """The last operation with the sizes, counts, torque, tray and order that these words say of it."""
        for piece in parts:
            one = piece.quantity
            same = piece.sort is Sort.NAME and (
                piece.head in TOOL_HEADS or (thing is not None and singular(piece.head) in (thing.head, thing.kind))
            )
            size = (piece.size if same else None) or (one.text if one and one.of is Of.SIZE else None)
            if size is None and piece.head in TOOL_HEADS and piece.count in HEADS_MM and last.verb is Verb.UNDO:
                size = f"{piece.count}mm"
            if size and last.size is None and last.verb in _HAS_A_SIZE:
                last = replace(last, size=size, end=segment.end)
            many = (
                last.verb in WAY_BACK and (thing is None or not thing.kind) and one and one.number.value > _MOST_PARTS
            )
            width = _bare_width(last, thing, parts) if not self.back else None
            if width is not None:
                last = replace(last, size=width, end=segment.end)
            elif (
                one
                and one.of is Of.COUNT
                and last.count is None
                and not many
                and last.verb is not Verb.GUARD
                and _counts_last(parts)
            ):
                last = replace(last, count=one.number.count, end=segment.end)
                if thing is not None:
                    thing.count = one.number.count
            last = replace(last, tray=last.tray or tray(parts), pattern=last.pattern or pattern(parts))
            if one and one.of is Of.TORQUE and last.torque is None and last.verb is Verb.TIGHTEN:
                last = replace(last, torque=one.text, end=segment.end)
        if [piece.low for piece in parts] == ["both"] and thing is not None and thing.plural and last.count is None:
            last = replace(last, count=2, end=segment.end)
        return last

    def _unit_told(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`One thirty, criss-cross, newton metres again`: the unit of a torque that was said without one."""
        last = self.said[-1]
        words = " ".join(words_in(parts))
        unit = next((short for said, short in _UNITS_ALONE if words.startswith(said)), None)
        if unit is None or not last.torque or not last.torque[-1].isdigit():
            return False
        doubts = tuple(doubt for doubt in last.doubts if doubt != NO_UNIT)
        self.said[-1] = replace(last, torque=last.torque + unit, end=segment.end, doubts=doubts)
        return True

    def _reach(self, parts: Sequence[Piece]) -> int:
        """How far behind its operation a number may follow, in signs; a torque with its unit or mended, farther."""
        alone = parts[0].quantity if parts else None
        if alone is not None and alone.of is Of.TORQUE and self.said[-1].verb is Verb.START and not is_bare(alone):
            return 3 * _NEXT_WORDS
        torqued = self.said[-1].torque is not None and any(piece.quantity is not None for piece in parts)
        return _SAID_AGAIN if torqued else 40

    def _told_alone(self, segment: Segment, parts: Sequence[Piece], thing: Thing | None) -> Quantity | None:
        """`Two new nuts, fifty`: in the same sentence as the fasteners, or right behind them."""
        if thing is None or not thing.kind or segment.join or set(self.between(segment)) & set(".!?;"):
            return None
        torque = told_alone(parts)
        return torque if torque is not None and not _counts(torque, thing, self.said[-1]) else None

    def _torque_mended(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`48 newton metres, no wait. Forty seven.`: the number that was mended to, as it was said."""
        last = self.said[-1]
        number = next((piece.quantity for piece in parts if piece.quantity is not None), None)
        alone = (
            number is not None
            and number.of in (Of.COUNT, Of.TORQUE)
            and all(
                piece.quantity is not None or piece.sort in (Sort.SMALL, Sort.SUBJECT, Sort.PRONOUN) for piece in parts
            )
        )
        if last.verb is not Verb.TIGHTEN or not last.torque or number is None or not alone:
            return False
        if not _CORRECTS.search(self.spoken.text[last.end : segment.start].lower()):
            return False
        with_unit = number.of is Of.TORQUE
        torque = number.text if with_unit else number.number.text
        doubts = (*(doubt for doubt in last.doubts if doubt != NO_UNIT), *(() if with_unit else (NO_UNIT,)))
        self.said[-1] = replace(last, torque=torque, end=segment.end, doubts=doubts)
        return True

    def _size_alone(self, parts: Sequence[Piece]) -> bool:
        """`There are four bolts holding it, fourteens`: the size of fasteners to which nothing was done yet."""
        parts = [piece for piece in parts if piece.low not in _OF_SIZE]
        if len(parts) != 1 or parts[0].quantity is None or parts[0].quantity.of is not Of.SIZE:
            return False
        thing = self.things.newest(fastener=True, among=3)
        since = self.said[-1].end if self.said else -1
        if thing is None or thing.size is not None or thing.last < since or (self.said and self.objects[-1] is thing):
            return False
        thing.says(thing.last)
        thing.size = parts[0].low
        return True

    def _torqued(self, segment: Segment, parts: Sequence[Piece], thing: Thing | None) -> None:
        """`Four bolts in, 22 newton metres`: after the fitting comes a tightening."""
        torque = torque_of(parts)
        again = torque is not None and self.said[-1].verb is Verb.TIGHTEN and self.said[-1].torque is not None
        if torque is not None and again and segment.join in {"and", "then"} and torque.text != self.said[-1].torque:
            self.add(segment, Verb.TIGHTEN, thing, self.said[-1].object, torque=torque, anew=True)
        if torque is not None and self.said[-1].verb in WAY_BACK:
            self.add(segment, Verb.TIGHTEN, thing, self.said[-1].object, parts=parts, torque=torque)

    def between(self, segment: Segment) -> str:
        """The signs between the last operation and a segment."""
        return self.spoken.text[self.said[-1].end : segment.start] if self.said else ""

    def _sized(self, parts: Sequence[Piece]) -> None:
        """`They are all ten millimetres`: the size of what was spoken of last."""
        size = next((p for p in parts if p.quantity and p.quantity.of is Of.SIZE), None)
        pronoun = next((p for p in parts if p.low in _OF_THEM), None)
        if size is None or pronoun is None or any(piece.sort is Sort.NAME for piece in parts):
            return
        thing = self.things.newest(fastener=True)
        if thing is not None and thing.size is None:
            thing.says(min(pronoun.start, size.start))
            thing.size = size.quantity.text if size.quantity else None

    def _mentioned(self, start: int, thing: Thing | None, *, named: bool) -> int:
        """Where the thing stands that is only meant here: `There's a plug in the corner; pull it`."""
        if named or thing is None or not 0 < start - thing.last < _LONGEST_SPAN:
            return start
        return thing.last if not self.said or thing.last >= self.said[-1].end else start

    def _prepared(self, verb: Verb, segment: Segment) -> int:
        """Where what came before it in the same breath began: `slide the catch across and pull it out`."""
        start, sentence = self.prepared
        if (
            sentence != segment.sentence
            or verb not in TAKES_OFF | {Verb.TIGHTEN}
            or segment.start - start > _LONGEST_SPAN
        ):
            return segment.start
        return segment.start if self.said and start < self.said[-1].end else start

    def _again(self, verb: Verb, thing: Thing | None, segment: Segment, torque: Quantity | None) -> bool:
        """Whether the same was just said in other words; then the words go to the operation that is there."""
        if self._in_other_unit(thing, torque, segment) or self._lifts_its_clamp(verb, thing, segment):
            return True
        if not self.said or thing is None or self.said[-1].verb is not verb:
            return False
        last, known = self.said[-1], self.objects[-1]
        cable_and_nut = verb is Verb.ISOLATE and known is not None and known.kind and known.owner is thing
        anew = last.slackened and not _slackens(segment) and segment.sentence != self.last_sentence
        if anew or (known is not thing and not cable_and_nut):
            return False
        told_again = torque is not None and last.torque is not None
        if told_again and (torque is None or not _same_number(torque, last.torque or "")):
            return False
        if segment.start - last.end > (_SAID_AGAIN if told_again else 60):
            return False
        slackened = last.slackened and _slackens(segment)
        end = segment.end if torque is not None or segment.end - last.start < _LONGEST_SPAN else last.end
        value = torque.text if torque is not None and not (told_again and is_bare(torque)) else last.torque
        self.said[-1] = replace(last, torque=value, end=end, slackened=slackened)
        return True

    def _in_other_unit(self, thing: Thing | None, torque: Quantity | None, segment: Segment) -> bool:
        """`Twenty five newton metres on them, so eighteen foot pounds`: the same torque, said in another unit."""
        if torque is None or not self.said or self.said[-1].torque is None or thing not in (None, self.objects[-1]):
            return False
        near = segment.start - self.said[-1].end < _SAID_AGAIN
        if near and _about_as_tight(torque.text, self.said[-1].torque):
            self.said[-1] = replace(self.said[-1], end=segment.end)
            return True
        return False

    def _as_connector(self, verb: Verb, thing: Thing | None, name: str, parts: Sequence[Piece]) -> Verb:
        """An orange or yellow plug is only unplugged where the service plug was pulled before.

        What was isolated and tucked aside is restored when it comes back.
        """
        swung = verb is Verb.SWING_BACK and thing is not None and is_energy(thing)
        said_so = not name or _ends_battery(set(name.split()))
        if swung and said_so and any(one.verb is Verb.ISOLATE and known is thing for one, known in self._told()):
            return Verb.RESTORE
        if verb not in (Verb.ISOLATE, Verb.RESTORE) or thing is None or not set(thing.words) & {"orange", "yellow"}:
            return verb
        if set(thing.words) & _ISOLATES:
            return verb
        others = [known for one, known in self._told() if one.verb is Verb.ISOLATE and known is not thing]
        unplugged = any(one.verb is Verb.UNPLUG and known is thing for one, known in self._told())
        isolated = any(set(known.words) & _ISOLATES for known in others if known is not None)
        of_a_part = isolated or unplugged or (thing.head == "connector" and bool(others)) or _off_a_part(parts)
        return (Verb.UNPLUG if verb is Verb.ISOLATE else Verb.PLUG_IN) if of_a_part else verb

    def _told(self) -> Iterator[tuple[Said, Thing | None]]:
        """Each operation so far, with its thing."""
        return zip(self.said, self.objects, strict=True)

    def _as_fitted(self, verb: Verb, thing: Thing | None, segment: Segment) -> Verb:
        """`A new gasket on`, of one that was taken off: fitted."""
        if verb is not Verb.RENEW or thing is None or any(piece.sense is Sense.RENEW for piece in segment.pieces):
            return verb
        just = bool(self.said) and self.said[-1].verb is Verb.FIT and self.objects[-1] is thing
        if not (thing.off or just):
            return verb
        thing.off = False
        return Verb.FIT

    def _nut_of_a_lead(self) -> Thing | None:
        """`The nut on the negative is slackened and the cable is off`: such a nut, where the last act undid one."""
        nut = self.objects[-1] if self.said and self.said[-1].verb is Verb.UNDO else None
        return nut if nut is not None and nut.kind and nut.owner is not None and is_energy(nut.owner) else None

    def _parts_the_lead(self, thing: Thing | None, segment: Segment) -> bool:
        """`Loosen the nut on the negative and lift the cable off its post`: one isolation."""
        nut = self._nut_of_a_lead()
        if nut is None or thing is None or thing.head not in _LEADS or not self.said[-1].slackened:
            return False
        last = self.said[-1]
        if segment.start - last.end >= _NEXT_WORDS:
            return False
        self.said[-1] = replace(last, verb=Verb.ISOLATE, end=segment.end, slackened=False)
        nut.off = thing.off = True
        return True

    def _as_part(self, verb: Verb, thing: Thing | None) -> Verb:
        """`Battery lifted out`, of which the lead is off already: a part now, and no energy."""
        if thing is None or thing.head != "battery" or verb not in (Verb.ISOLATE, Verb.RESTORE):
            return verb
        late = [(one.verb, known) for one, known in self._told() if known is not None]
        if verb is Verb.RESTORE:
            lifted = next((each for each, known in reversed(late) if known is thing and each in OFF_THE_CAR), None)
            return Verb.FIT if lifted is Verb.REMOVE else verb
        parted = any(
            each is Verb.ISOLATE and known is not thing and _ends_battery(known.words) for each, known in late
        )
        return Verb.REMOVE if parted else verb

    def _lifts_its_clamp(self, verb: Verb, thing: Thing | None, segment: Segment) -> bool:
        """`Loosen the nut on the negative and lift the clamp off the post`: one isolation."""
        if not self.said or thing is None or verb not in _LIFTS_OFF:
            return False
        near = segment.start - self.said[-1].end < _NEXT_WORDS
        return self.said[-1].verb is Verb.ISOLATE and near and thing.head in _OF_POSTS and "post" in thing.name.split()

    def _hung_up(self, thing: Thing | None, segment: Segment) -> bool:
        """`The caliper came off and I hung it from the spring`: one movement, to the side."""
        if not self.said or thing is None or self.objects[-1] is not thing:
            return False
        far = _NEXT_WORDS if segment.sentence != self.last_sentence or not self.spoken.breaks else 2 * _NEXT_WORDS
        if self.said[-1].verb not in _PUT_BY or segment.start - self.said[-1].end > far:
            return False
        if self.said[-1].verb is Verb.ISOLATE:
            named = any(piece.sort is Sort.NAME and piece.head in thing.words for piece in segment.pieces)
            thing.aside = named
            return not named
        self.said[-1] = replace(self.said[-1], verb=Verb.SWING_ASIDE, end=segment.end)
        thing.off, thing.aside = False, True
        return True

    def _turned(self, thing: Thing | None, parts: Sequence[Piece]) -> bool:
        """Whether an operation of the way back is one: of what is off, said with `back` or `new`, or after others."""
        if thing is not None and (thing.off or (thing.owner is not None and thing.owner.off)):
            return True
        return any(piece.low in {"back", "new"} or "new" in piece.marks for piece in parts)

    def _held(self, thing: Thing | None) -> None:
        """What was undone right before a thing came off held it."""
        for one, fastener in zip(reversed(self.said), reversed(self.objects), strict=True):
            if one.verb is not Verb.UNDO or fastener is None or fastener.holds is not None:
                return
            fastener.holds = thing

    def _turns_again(self, verb: Verb) -> None:
        """Two things taken off one after the other: the next part of the job begins, and is on its way in."""
        if verb in TAKES_OFF:
            self.taken_off += 1
        elif verb in WAY_BACK:
            self.taken_off = 0
        if self.taken_off > 1:
            self.back = self.things.back = False

    def say_again(self, segment: Segment, one: Said, thing: Thing | None) -> None:
        """An operation once more, on another thing: its numbers were not said with these words."""
        self.said.append(
            replace(
                one,
                n=len(self.said) + 1,
                object=thing.name if thing is not None else one.object,
                start=segment.start,
                end=segment.end,
                count=None,
                size=None,
                kind=None,
                torque=None,
                seconds=self.spoken.second(segment.start),
            )
        )
        self.objects.append(thing)

    def _covers_with(self, segment: Segment, thing: Thing | None, name: str) -> str:
        """Remember what something is covered with; where nobody said what is covered, it is named by its cover."""
        nouns = set(stopped_with(segment.pieces)) - _PARTS_TOO
        self.guard_nouns |= nouns
        if thing is not None:
            self.covered.append((thing, nouns))
        return name if name or thing is not None else next(iter(sorted(nouns)), "")

    def add(
        self,
        segment: Segment,
        verb: Verb,
        thing: Thing | None,
        name: str,
        *,
        parts: Sequence[Piece] = (),
        torque: Quantity | None = None,
        anew: bool = False,
    ) -> None:
        """Write an operation down, or give its words to the one that was just said in other words."""
        if verb in WAY_BACK and self._turned(thing, parts):
            self.back = self.things.back = True
        self._turns_again(verb)
        if (verb in TAKES_OFF and verb is not Verb.UNDO) or verb is Verb.SWING_ASIDE:
            self._held(thing)
        slackened = verb is Verb.UNDO and _slackens(segment)
        if thing is not None and verb in (*WAY_BACK, *OFF_THE_CAR):
            thing.off = verb in OFF_THE_CAR and not slackened
        if thing is not None and verb in (*WAY_BACK, *OFF_THE_CAR, Verb.SWING_ASIDE, Verb.SWING_BACK):
            thing.aside = verb is Verb.SWING_ASIDE
        verb = self._as_part(self._as_connector(verb, thing, name, parts), thing)
        verb = self._as_fitted(verb, thing, segment)
        if verb is Verb.SWING_ASIDE and self._hung_up(thing, segment):
            return
        if verb in OFF_THE_CAR and self._parts_the_lead(thing, segment):
            return
        rest = anew or any(piece.marks & REST for piece in parts)
        if not rest and self._again(verb, thing, segment, torque):
            return
        self.last_sentence = segment.sentence
        if verb is Verb.GUARD:
            name = self._covers_with(segment, thing, name)
        elif verb is Verb.UNGUARD:
            self.covered = [(covered, nouns) for covered, nouns in self.covered if covered is not thing]
        self.guards += {Verb.GUARD: 1, Verb.UNGUARD: -1}.get(verb, 0)
        count, size = numbers(verb, thing, parts)
        if torque is not None and is_bare(torque) and torque.text == str(count):
            count = None
        if thing is not None and thing.size is None and verb is Verb.UNDO:
            thing.size = size
        start = reaching_back(segment.start, thing, parts, count, size)
        start = min(start, self._mentioned(start, thing, named=bool(name)), self._prepared(verb, segment))
        with_tool = self.tool_size if verb in (Verb.UNDO, Verb.ISOLATE) and size is None else None
        if with_tool is not None and with_tool[2] == segment.sentence:
            size, start = with_tool[0], min(start, with_tool[1])
        tightens = verb is Verb.TIGHTEN
        bare = thing is None or verb in (Verb.GUARD, Verb.UNGUARD) or (tightens and thing.kind != "clamp")
        kind = None if thing is None or bare else thing.kind
        self.said.append(
            Said(
                n=len(self.said) + 1,
                verb=verb,
                object=name,
                start=start,
                end=segment.end,
                count=count,
                size=size,
                kind=kind,
                torque=torque.text if torque else None,
                pattern=pattern(parts),
                tool=tool(parts),
                tray=tray(segment.pieces),
                seconds=self.spoken.second(segment.start),
                slackened=slackened,
                doubts=_doubts(thing, torque),
            )
        )
        self.objects.append(thing)
