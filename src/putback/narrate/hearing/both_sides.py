"""One idea: a car has two of most things, so what was done on one side is done again on the other by a few words.

"Same on the other side" repeats what was done last, or all that was told under the heading of the side; "everything
else the same as the first side" repeats what is not told anew.
"""

import re
from collections.abc import Sequence

from putback.core.operations import Verb
from putback.narrate.hearing.likewise import Likewise
from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.phrase.segments import Mood, Segment
from putback.narrate.sense.parts_of import TAKES_OFF, WAY_BACK
from putback.narrate.sense.sides import OPPOSITE, all_else, as_the_other, flipped, heading, only_again, same_again
from putback.narrate.sense.things import singular
from putback.narrate.text.spoken import Spoken
from putback.narrate.words.lexicon import ACROSS

_STOP = re.compile(r"[.!?](?=\s|$)")
_WORDS_A_SENTENCE = 45
"""With fewer words to a full stop, its sentences end what was begun."""
_LONGEST_RUN = 8
"""So many operations are repeated at most by "same on the other side"."""
_LONGEST_SIDE = 40
"""So many operations are repeated at most where the first side was told under its own heading."""
_SIDE_LASTS = 2400
"""A side that was named alone holds for so many signs at most, in speech without stops for an eighth of them."""
_LOOKED_AHEAD = 4
"""So many segments on it is looked for steps that are told anew."""
_NEXT_TO = 80
"""So many signs may stand between two operations of one run."""
_OF_A_SIDE = (
    WAY_BACK
    | TAKES_OFF
    | {Verb.TIGHTEN, Verb.SWING_ASIDE, Verb.SWING_BACK, Verb.CLEAN, Verb.INSPECT, Verb.MEASURE, Verb.RENEW, Verb.GUARD}
    | {Verb.UNGUARD, Verb.MARK}
)
_OF_THE_CAR = frozenset(
    {Verb.WAIT, Verb.READ_BEFORE, Verb.READ_AFTER, Verb.RAISE, Verb.LOWER, Verb.PROVE_DEAD, Verb.NOTE}
) | {
    Verb.ISOLATE,
    Verb.RESTORE,
}
"""What is done once for the whole car has no other side."""
_BACK = WAY_BACK | {Verb.TIGHTEN, Verb.SWING_BACK, Verb.UNGUARD}


def _plain(side: str) -> str:
    """A side without its s: `driver's`, `drivers` and `driver` are one."""
    return side.removesuffix("'s").removesuffix("s")


class BothSides(Likewise):
    """Keeps on which side the work goes on, and repeats it on the other."""

    def __init__(self, spoken: Spoken) -> None:
        super().__init__(spoken)
        self.side_from = 0
        self.turned_to: str | None = None
        self.side_to = 0
        self.first_side: tuple[int, int] | None = None
        self.recall_names: list[Piece] | None = []
        self.repeated = 0
        self.skipped: Segment | None = None
        self.low_text = spoken.text.lower()
        self.stops = len(_STOP.findall(spoken.text)) * _WORDS_A_SENTENCE > len(spoken.text.split())

    def _side(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """Whether words only say on which side the work goes on, or that it is the same there."""
        if same_again(parts):
            if (self.coming is None or self.coming.mood is not Mood.NEGATED) and not self._told_in_full():
                self._repeated(segment)
            return True
        if self._all_else(segment, parts) or self._as_the_first_side(segment, parts):
            return True
        side = heading(parts)
        if side is not None:
            self._turn_to(side)
        return side is not None

    def _turn_to(self, side: str) -> None:
        """The work goes on on this side; where the other side's began is kept."""
        if self.turned_to == OPPOSITE.get(_plain(side)):
            self.first_side = (self.side_from, len(self.said))
        elif self.turned_to != _plain(side):
            self.first_side = None
        self.turned_to, self.side_from, self.things.side = _plain(side), len(self.said), side
        self.side_to = self.segment.end + (_SIDE_LASTS if self.stops else _SIDE_LASTS // 8) if self.segment else 0
        self.recall_names = []

    def _as_the_first_side(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Offside, same again`; `Offside. Arm, bolts and link, same as the other.`: told of the first side before."""
        if self.turned_to is None or self.side_from != len(self.said) or self.recall_names is None:
            return False
        if self.first_side is None:
            if only_again(parts):
                self._repeat(segment, self._last_run())
            return only_again(parts)
        if only_again(parts) or as_the_other(parts):
            heads = {singular(piece.head) for piece in self.recall_names}
            run = [
                place
                for place in range(*self.first_side)
                if not heads or {singular(word) for word in self.said_words(place)} & heads
            ]
            self._repeat(segment, run[:_LONGEST_SIDE])
            self.recall_names = None
            return True
        names = [piece for piece in parts if piece.sort is Sort.NAME]
        if names and len(names) == len(parts) and self._comes_as_the_other(segment):
            self.recall_names.extend(names)
            return True
        return False

    def _all_else(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Everything else the same as the first side`: what was not told of this side yet."""
        if self.first_side is None or not all_else(parts):
            return False
        here = {
            (self.said[place].verb, self.said_words(place)[-1:]) for place in range(self.side_from, len(self.said))
        }
        ways = {self._goes_back(place) for place in range(self.side_from, len(self.said))} or {self.back}
        run = [
            place
            for place in range(*self.first_side)
            if self._goes_back(place) in ways and (self.said[place].verb, self.said_words(place)[-1:]) not in here
        ]
        self._repeat(segment, run[:_LONGEST_SIDE])
        return True

    def said_words(self, place: int) -> tuple[str, ...]:
        """The words for the thing of an operation."""
        thing = self.objects[place]
        return tuple(thing.name.split()) if thing is not None else ()

    def _comes_as_the_other(self, segment: Segment) -> bool:
        """Whether the words `same as the other` follow in the sentence."""
        text = self.low_text[segment.start : segment.start + _NEXT_TO * 2]
        return re.search(r"^[^.!?]*\bsame as\b", text) is not None

    def _told_in_full(self) -> bool:
        """`The same on the other side. Left strut off, …`: what follows tells it anew."""
        pieces = self.following.pieces if self.following is not None else ()
        return any(piece.sort is Sort.NAME and set(piece.words[:1]) & ACROSS for piece in pieces[:2])

    def _repeated(self, segment: Segment) -> None:
        """The last run of operations once more, on the other side, standing on these words."""
        section = self._of_one_way(range(self.side_from, len(self.said)))
        headed = self.turned_to is not None and segment.start <= self.side_to and len(section) <= _LONGEST_SIDE
        told = self._told_range()
        run = told if told is not None else section if headed else self._from_the_side(self._last_run())
        self._repeat(segment, self._whole_side(run, headed=headed) if told is None else run)
        self.turned_to, self.side_from = None, len(self.said)

    def _from_the_side(self, run: list[int]) -> list[int]:
        """`Undertray off. Left liner screws out. Same on the right.`: from where a side was named on."""
        if not self.terse:
            return run
        named = [n for n, place in enumerate(run) if set(self.said_words(place)) & ACROSS]
        return run[named[0] :] if named else run

    def _whole_side(self, run: list[int], *, headed: bool) -> list[int]:
        """All that was done on the first side, in and back, where nothing was done on the other one yet."""
        if not run or not self._goes_back(run[-1]):
            return run
        there = {OPPOSITE.get(word) for place in run for word in self.said_words(place) if word in ACROSS}
        if any(there & set(self.said_words(place)) for place in range(len(self.said))):
            return run
        things = [self.objects[place] for place in run]
        flips = {flipped(thing.words) for thing in things if thing is not None}
        if any(thing is not None and thing.words in flips for thing in self.objects):
            return run
        held = [thing for thing in self.objects if thing is not None and any(thing.holds is one for one in things)]
        starts = (
            n
            for n, thing in enumerate(self.objects)
            if thing is not None and any(thing is one for one in (*things, *held))
        )
        start = self.side_from if headed else next(starts, run[0])
        whole = [n for n in range(start, len(self.said)) if self.said[n].verb in _OF_A_SIDE]
        return whole if len(whole) <= _LONGEST_SIDE else run

    def _of_one_way(self, section: Sequence[int]) -> list[int]:
        """The last operations of a section that go one way, off or back; what is neither goes with them."""
        run: list[int] = []
        way: bool | None = None
        for place in reversed(section):
            verb = self.said[place].verb
            back = self._goes_back(place) or verb in {Verb.UNGUARD, Verb.RENEW, Verb.SWING_BACK}
            off = verb in TAKES_OFF | {Verb.SWING_ASIDE, Verb.GUARD}
            if (back or off) and way is None:
                way = back
            if (back or off) and back is not way:
                break
            run.append(place)
        return run[::-1]

    def _told_range(self) -> list[int] | None:
        """`Same again on the right, disc out to caliper bolts`: from which operation to which it is repeated."""
        names = [piece for piece in self.coming.pieces if piece.sort is Sort.NAME] if self.coming is not None else []
        if (
            self.coming is None
            or len(names) != 2
            or not {"to", "through"} & {piece.low for piece in self.coming.pieces}
        ):
            return None
        ends = [self._last_of(name) for name in names]
        if None in ends:
            return None
        self.skipped = self.coming
        first, last = sorted(end for end in ends if end is not None)
        while last + 1 < len(self.said) and self.objects[last + 1] is self.objects[last]:
            last += 1
        while first > 0 and self.objects[first - 1] is self.objects[first]:
            first -= 1
        way = self._goes_back(last)
        return [place for place in range(first, last + 1) if self._goes_back(place) == way][:_LONGEST_SIDE]

    def _last_of(self, name: Piece) -> int | None:
        """The newest operation on what a name means."""
        wanted = {singular(word) for word in name.words}
        for place in range(len(self.said) - 1, -1, -1):
            thing = self.objects[place]
            words = {singular(word) for word in self.said_words(place)}
            if thing is not None and wanted <= words and singular(name.head) == thing.head:
                return place
        return None

    def _repeat(self, segment: Segment, run: Sequence[int]) -> None:
        """Some operations once more, on the other side."""
        run = [place for place in run if self.said[place].verb not in _OF_THE_CAR]
        if self._told_anew(run):
            return
        self.repeated = len(self.said) + len(run)
        for place in run:
            one, thing = self.said[place], self.objects[place]
            other = self.things.on_other_side(thing, segment.start) if thing is not None else None
            self.say_again(segment, one, other)

    def _told_anew(self, run: Sequence[int]) -> bool:
        """`Offside. Same again. Plug off. Hose out of its bracket. …`: each step is told all the same."""
        if not self.terse:
            return False
        heads = {thing.head for thing in (self.objects[place] for place in run) if thing is not None}
        told = 0
        for segment in self.ahead[:_LOOKED_AHEAD]:
            names = {singular(piece.head) for piece in segment.pieces if piece.sort is Sort.NAME}
            done = any(piece.sort in (Sort.VERB, Sort.PARTICLE) for piece in segment.pieces)
            told += bool(done and names & heads)
        return told > 1

    def _last_run(self) -> list[int]:
        """The places of the last operations that belong together: of one direction, said near one another."""
        run: list[int] = []
        for place in range(len(self.said) - 1, max(self.repeated, len(self.said) - _LONGEST_RUN) - 1, -1):
            one = self.said[place]
            far = run and self.said[run[-1]].start - one.end > _NEXT_TO
            if far or (run and self._goes_back(place) != self._goes_back(run[-1])):
                break
            run.append(place)
        return run[::-1]

    def _goes_back(self, place: int) -> bool:
        return self.said[place].verb in _BACK
