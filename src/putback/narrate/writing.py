"""One idea: what was understood is written down as operations; what is said right after goes to the last one."""

from collections.abc import Sequence
from dataclasses import replace

from putback.core.operations import Verb
from putback.narrate.parts_of import OFF_THE_CAR, WAY_BACK, numbers, pattern, reaching_back, tool, tray
from putback.narrate.phrases import Piece, Sort
from putback.narrate.quantities import Of, Quantity
from putback.narrate.said import Said
from putback.narrate.segments import Segment
from putback.narrate.spoken import Spoken
from putback.narrate.things import Thing, Things, singular


class Writing:
    """The operations so far, the thing of each, and what they leave off the car or covered."""

    def __init__(self, spoken: Spoken) -> None:
        self.spoken = spoken
        self.things = Things()
        self.said: list[Said] = []
        self.objects: list[Thing | None] = []
        self.back = False
        self.guards = 0

    def attach(self, segment: Segment, parts: Sequence[Piece]) -> None:
        """A size, count or torque that follows its operation: `…, four off, 14 mm`."""
        self._sized(parts)
        if not self.said or segment.start - self.said[-1].end > 40:
            return
        last, thing = self.said[-1], self.objects[-1]
        if not last.object and thing is None and len(parts) == 1 and parts[0].sort is Sort.NAME:
            last = replace(last, zone=last.zone or parts[0].low, end=segment.end)
        for piece in parts:
            one = piece.quantity
            same = piece.sort is Sort.NAME and thing is not None and singular(piece.head) == thing.head
            size = (piece.size if same else None) or (one.text if one and one.of is Of.SIZE else None)
            if size and last.size is None:
                last = replace(last, size=size, end=segment.end)
            if one and one.of is Of.COUNT and last.count is None and parts[-1].low == "off":
                last = replace(last, count=one.number.count, end=segment.end)
                if thing is not None:
                    thing.count = one.number.count
            last = replace(last, tray=last.tray or tray(parts))
            if one and one.of is Of.TORQUE and last.torque is None and last.verb is Verb.TIGHTEN:
                last = replace(last, torque=one.text, end=segment.end)
        self.said[-1] = last
        self._torqued(segment, parts, thing)

    def _torqued(self, segment: Segment, parts: Sequence[Piece], thing: Thing | None) -> None:
        """`Four bolts in, 22 newton metres`: after the fitting comes a tightening."""
        torque = next((piece.quantity for piece in parts if piece.quantity and piece.quantity.of is Of.TORQUE), None)
        if torque is not None and self.said[-1].verb in WAY_BACK:
            self.add(segment, Verb.TIGHTEN, thing, self.said[-1].object, parts=parts, torque=torque)

    def _sized(self, parts: Sequence[Piece]) -> None:
        """`They are all ten millimetres`: the size of what was spoken of last."""
        size = next((p.quantity for p in parts if p.quantity and p.quantity.of is Of.SIZE), None)
        pronoun = next((p for p in parts if p.low in {"they", "those", "these", "they're", "that's", "it's"}), None)
        if size is None or pronoun is None or any(piece.sort is Sort.NAME for piece in parts):
            return
        thing = self.things.newest(fastener=True)
        if thing is not None and thing.size is None:
            thing.size, thing.said = size.text, pronoun.start

    def _again(self, verb: Verb, thing: Thing | None, segment: Segment, torque: Quantity | None) -> bool:
        """Whether the same was just said in other words; then the words go to the operation that is there."""
        if not self.said or thing is None or self.objects[-1] is not thing or self.said[-1].verb is not verb:
            return False
        if segment.start - self.said[-1].end > 60 or (torque is not None and self.said[-1].torque is not None):
            return False
        if torque is not None:
            self.said[-1] = replace(self.said[-1], torque=torque.text, end=segment.end)
        return True

    def _turned(self, thing: Thing | None, parts: Sequence[Piece]) -> bool:
        """Whether an operation of the way back is one: of what is off, said with `back` or `new`, or after others."""
        if thing is not None and (thing.off or (thing.owner is not None and thing.owner.off)):
            return True
        return any(piece.low in {"back", "new"} or "new" in piece.marks for piece in parts)

    def add(
        self,
        segment: Segment,
        verb: Verb,
        thing: Thing | None,
        name: str,
        *,
        parts: Sequence[Piece] = (),
        torque: Quantity | None = None,
    ) -> None:
        """Write an operation down, or give its words to the one that was just said in other words."""
        if verb in WAY_BACK and self._turned(thing, parts):
            self.back = self.things.back = True
        if thing is not None and verb in (*WAY_BACK, *OFF_THE_CAR):
            thing.off = verb in OFF_THE_CAR
        if self._again(verb, thing, segment, torque):
            return
        self.guards += {Verb.GUARD: 1, Verb.UNGUARD: -1}.get(verb, 0)
        count, size = numbers(verb, thing, parts)
        tightens = verb is Verb.TIGHTEN
        kind = thing.kind if thing is not None and (not tightens or thing.kind == "clamp") else None
        self.said.append(
            Said(
                n=len(self.said) + 1,
                verb=verb,
                object=name,
                start=reaching_back(segment.start, thing, parts, count, size),
                end=segment.end,
                count=count,
                size=size,
                kind=kind,
                torque=torque.text if torque else None,
                pattern=pattern(parts),
                tool=tool(parts),
                tray=tray(segment.pieces),
                seconds=self.spoken.second(segment.start),
            )
        )
        self.objects.append(thing)
