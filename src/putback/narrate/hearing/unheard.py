"""One idea: where no rule hears anything, the words are weighed, and what very likely was done is written down.

The weights are measured on labelled narrations (docs/decisions/0013-weights.md).
"""

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from putback.core.operations import Verb
from putback.narrate.hearing.both_sides import BothSides
from putback.narrate.lines.said import Said
from putback.narrate.phrase.phrases import Piece, Sort, words_in
from putback.narrate.phrase.segments import Segment
from putback.narrate.sense.act import OFF, ON, Act, put_on, taken_off
from putback.narrate.sense.parts_of import is_part
from putback.narrate.sense.things import Thing
from putback.narrate.sense.torques import torque_of
from putback.narrate.text.quantities import Of, Quantity
from putback.narrate.text.spoken import Spoken
from putback.narrate.weighing import weights
from putback.narrate.weighing.likeness import of_text
from putback.narrate.weighing.waiting import Where, clues

ONLY_WEIGHED: Final = "no rule tells what was done here, only the weight of its words"
_NEAR: Final = 6
"""So many of the last operations may stand on the words that are looked at."""
_HANDLED: Final = 400
"""So many of the last operations are looked through for what was done to a thing."""
_BREATH: Final = 20
"""So many signs may stand between two breaths that tell of one act."""
_TELLS: Final = (Sort.VERB, Sort.OTHER_VERB, Sort.PARTICLE)
LIKELY: Final = -250
"""From these odds on, in hundredths of their logarithm, a line is written down, to be weighed with the others."""
_OF_A_THING: Final[Mapping[str, Verb]] = MappingProxyType(
    {
        "tighten": Verb.TIGHTEN,
        "aside": Verb.SWING_ASIDE,
        "inspect": Verb.INSPECT,
        "clean": Verb.CLEAN,
        "measure": Verb.MEASURE,
    }
)


_THEY: Final = frozenset({"they", "they're"})
_SEVERAL: Final = frozenset({"them", "those", "these", "both", "all"})
_Line = tuple[Said, Thing | None]


def _says_both(parts: Sequence[Piece]) -> bool:
    return any(piece.low == "both" or "both" in piece.marks for piece in parts)


_OF_MAKING_DEAD = frozenset({Verb.ISOLATE, Verb.RESTORE, Verb.PROVE_DEAD})
"""These are never weighed: they are told, or asked for."""


class Unheard(BothSides):
    """Weighs the segments that no rule hears anything in, when the words after them are heard too."""

    def __init__(self, spoken: Spoken) -> None:
        super().__init__(spoken)
        self.row: Sequence[Segment] = ()
        self.waiting: list[int] = []
        self.late: list[_Line] = []

    def _weigh(self, upto: int) -> None:
        """Look at the segments before a place that told of nothing, for what very likely was done."""
        while self.waiting and self.waiting[0] < upto:
            n = self.waiting.pop(0)
            group = self._group(n)
            if group:
                self._write(n, group)

    def _group(self, n: int) -> str:
        """What was likely done in a segment; nothing where the clues do not speak for it."""
        seen = self.clues_of(n)
        if not seen:
            return ""
        group, odds = weights.read("unheard").best(seen)
        return group if odds >= LIKELY else ""

    def clues_of(self, n: int) -> Sequence[str]:
        """What speaks for and against it that something was done; nothing where an operation stands on the words."""
        segment = self.row[n]
        if not any(piece.sort in _TELLS or piece.quantity is not None for piece in segment.pieces):
            return ()
        if any(one.start < segment.end and one.end > segment.start for one in self.said[-_NEAR:]):
            return ()
        likeness = of_text(self.spoken.text, self.spoken.breaks)
        if not likeness.long_enough:
            return ()
        return tuple(clues(segment, likeness.by_group(n), self._where(segment)))

    def _where(self, segment: Segment) -> Where:
        """How far the job has come."""
        names = [piece for piece in segment.pieces if piece.sort is Sort.NAME and is_part(piece)]
        pronoun = next((piece.low for piece in segment.pieces if piece.sort is Sort.PRONOUN), "")
        newest, subject = self.things.newest() if pronoun else None, self._subject(segment)
        near = self.said[-_NEAR:]
        before = next((one for one in reversed(near) if one.end <= segment.start), None)
        after = next((one for one in near if one.start >= segment.end), None)
        return Where(
            back=self.back,
            terse=self.terse,
            name=names[0] if names else None,
            name_is=self._how_it_is(names[0]) if names else "",
            names=len(names),
            pronoun=pronoun,
            pronoun_off=newest.off if newest is not None else None,
            subject_off=subject.off if subject is not None else None,
            before=(before.verb, segment.start - before.end) if before is not None else None,
            after=(after.verb, after.start - segment.end) if after is not None else None,
        )

    def _how_it_is(self, name: Piece) -> str:
        """Whether what is named is off, or was, as far as is known."""
        thing = self.things.find(name, near=self.topic)
        if thing is None:
            return "new"
        if thing.off:
            return "off"
        return "handled" if any(one is thing for one in self.objects[-_HANDLED:]) else "known"

    def _write(self, n: int, group: str) -> None:
        """Write down what was likely done, beside what was heard: nothing that follows leans on it."""
        segment = self.row[n]
        parts = list(segment.pieces)
        if group == "scan":
            self._write_beside(segment, Verb.READ_AFTER if self.back else Verb.READ_BEFORE, None, parts, None)
            return
        thing, name = self._meant(segment, parts, group)
        if thing is None:
            return
        words = frozenset(words_in(parts))
        new = name is not None and "new" in name.marks
        act = Act(
            verb=None, thing=thing, direction=OFF if group == "off" else ON, words=words, back=self.back, new=new
        )
        verb = taken_off(act) if group == "off" else put_on(act) if group == "on" else _OF_A_THING.get(group)
        if verb is None or verb in _OF_MAKING_DEAD:
            return
        torque = torque_of(parts)
        for each in (verb, Verb.TIGHTEN) if torque is not None and verb is not Verb.TIGHTEN else (verb,):
            self._write_beside(segment, each, thing, parts, torque if each is Verb.TIGHTEN else None)

    def _write_beside(
        self, segment: Segment, verb: Verb, thing: Thing | None, parts: Sequence[Piece], torque: Quantity | None
    ) -> None:
        """Write an operation down beside the others, with no numbers but those of its own words."""
        before, sentence = len(self.said), self.last_sentence
        name = thing.name if thing is not None else "vehicle"
        self.add(segment, verb, thing, name, parts=parts, torque=torque, anew=True)
        self.last_sentence = sentence
        told = {piece.count for piece in parts} | {p.quantity.number.count for p in parts if p.quantity is not None}
        while len(self.said) > before:
            one = self.said.pop()
            size = one.size if any(p.size or (p.quantity and p.quantity.of is Of.SIZE) for p in parts) else None
            count = one.count if one.count in told or (one.count == 2 and _says_both(parts)) else None
            doubts = (*one.doubts, ONLY_WEIGHED)
            one = replace(one, start=segment.start, end=segment.end, size=size, count=count, doubts=doubts)
            self.late.append((one, self.objects.pop()))

    def _meant(self, segment: Segment, parts: list[Piece], group: str) -> tuple[Thing | None, Piece | None]:
        """What it was done to: the first name, else what a pronoun or the sentence means."""
        name = next((piece for piece in parts if piece.sort is Sort.NAME and is_part(piece)), None)
        if name is not None:
            return self.things.find(name, near=self.topic) or self._newly(name, parts), name
        off = {"off": False, "on": True}.get(group)
        pronoun = next(
            (piece for piece in parts if piece.sort is Sort.PRONOUN or piece.low in {"they", "they're"}), None
        )
        if pronoun is None:
            return self._subject(segment), None
        plural = pronoun.low in _THEY | _SEVERAL
        return self.things.newest(plural=plural, off=off), None

    def _newly(self, name: Piece, parts: Sequence[Piece]) -> Thing:
        """A thing that was not known; what the talk is about stays."""
        topic = self.topic
        thing = self._named(name, parts)
        self.topic = topic
        return thing

    def _with_late(self, heard: list[_Line]) -> list[_Line]:
        """What was heard and what was weighed, in the order of the text."""
        starts = sorted((one.start, n) for n, (one, _) in enumerate(heard))
        late = []
        for each in self.late:
            near = bisect_left(starts, (each[0].end - _BREATH, 0)), bisect_left(starts, (each[0].end + _BREATH + 1, 0))
            if not any(_says_the_same(each[0], heard[n][0]) for _, n in starts[slice(*near)]):
                late.append(each)
        return sorted([*heard, *late], key=lambda each: each[0].start) if late else heard


def _says_the_same(late: Said, heard: Said) -> bool:
    """`All three of them | I did with 9 newton metres`, `across and across, | 38 on those`: one act in two breaths."""
    only_how = late.verb is Verb.TIGHTEN and late.torque is None
    return heard.verb is late.verb and (only_how or heard.object in ("", late.object))
