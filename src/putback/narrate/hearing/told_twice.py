"""One idea: a plan told before the work and a summing up told after it name what is done only once.

"We'll have the wipers off, then the scuttle" is a plan where the wipers come off later; "so far we've had the wipers
off" tells again. Neither is dropped where it is the only word of it.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from putback.core.operations import Verb
from putback.narrate.lines.said import Said
from putback.narrate.phrase.segments import Segment
from putback.narrate.sense.parts_of import WAY_BACK
from putback.narrate.sense.things import Thing

_PLAN: Final = re.compile(
    r"\b(here's|that's|the|my|this is the) (plan|idea|order|game plan)\b|plan of attack|what (i'm|we're|you're|we) "
    r"(gonna|going to|fixing to|about to)|let me tell you what|(before|until|till) (i|we|you) (start|begin)"
)
_LOOKS_BACK: Final = re.compile(
    r"\b(so far|go over (it|that|this)|going over (it|that|this)|to recap|recap|where (are|were) we|"
    r"what (have|did) we (do|done|got)|"
    r"where we('ve| are| have)|just to (say|list|go)|to sum up|sum(ming)? (it )?up|all that's off)\b"
)
_MUST: Final = frozenset(
    {"must", "should", "need", "needs", "has", "have", "gotta", "want", "wants", "going", "gonna", "will"}
)
_LASTS: Final = 220
"""A plan or a summing up in speech without stops lasts about so many signs."""
_BACK: Final = WAY_BACK | {Verb.SWING_BACK, Verb.UNFOLD}
_ONCE: Final = frozenset({Verb.REMOVE, Verb.PART, Verb.UNPLUG, Verb.SWING_ASIDE, Verb.DRAIN, Verb.ISOLATE}) | _BACK


@dataclass(slots=True)
class ToldTwice:
    """Which operations were said in a plan or in a summing up."""

    plan_to: int = -1
    plan_in: int = -1
    again_to: int = -1
    again_in: int = -1
    planned: set[int] = field(default_factory=set)
    again: set[int] = field(default_factory=set)

    def hear(self, segment: Segment, text: str, *, stops: bool) -> None:
        """Note where a plan or a summing up begins.

        Args:
            segment: the words that were just read.
            text: the whole text, in small letters.
            stops: whether the text has full stops, which end what was begun.
        """
        words = text[max(0, segment.start - 14) : segment.end]
        lasts = segment.sentence + 1 if stops else segment.sentence
        if _PLAN.search(words):
            self.plan_to, self.plan_in = segment.end + _LASTS, lasts
        if _LOOKS_BACK.search(words):
            self.again_to, self.again_in = segment.end + _LASTS, lasts

    def mark(self, segment: Segment, first: int, after: int) -> bool:
        """Note how the operations from `first` up to `after` were said, that stand on a segment; whether in a plan."""
        must = any(piece.low in _MUST for piece in segment.pieces)
        plan = segment.start < self.plan_to and segment.sentence <= self.plan_in
        if must or plan:
            self.planned.update(range(first, after))
        if segment.start < self.again_to and segment.sentence <= self.again_in:
            self.again.update(range(first, after))
        return plan

    def once(self, said: Sequence[Said], objects: Sequence[Thing | None]) -> list[int]:
        """The places of the operations that stay."""
        return [place for place in range(len(said)) if not self._is_twice(place, said, objects)]

    def _is_twice(self, place: int, said: Sequence[Said], objects: Sequence[Thing | None]) -> bool:
        one, thing = said[place], objects[place]
        if thing is None or one.verb not in _ONCE or place not in self.planned | self.again:
            return False
        others = range(place) if place in self.again else range(place + 1, len(said))
        return any(_same(said[other].verb, one.verb) and _alike(objects[other], thing) for other in others)


def _same(verb: Verb, other: Verb) -> bool:
    return verb is other or (verb in _BACK and other in _BACK) or {verb, other} == {Verb.REMOVE, Verb.SWING_ASIDE}


def _alike(thing: Thing | None, other: Thing) -> bool:
    """Whether two things may be the same one: the same name, or the end of the other's."""
    if thing is None:
        return False
    short, long = sorted((thing.words, other.words), key=len)
    return thing is other or long[-len(short) :] == short
