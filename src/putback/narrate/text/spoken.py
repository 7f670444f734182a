"""One idea: captions and notes are one text, and every place in it has the time at which it was said.

The text is the cues in their order, each stripped, joined by one space; a line's leading time stamp such as `[0:14]`
is taken off; a file without either is the text as it is. Places count code points.
"""

import bisect
from dataclasses import dataclass
from functools import cached_property


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """A stretch of the text, from `start` up to `end`, with the time in which it was said, [s]; None: not said."""

    start: int
    end: int
    begins_s: float | None = None
    ends_s: float | None = None


@dataclass(frozen=True, kw_only=True)
class Spoken:
    """What was said. `cues` are in the order of the text and do not overlap; empty where nothing has a time.

    `breaks` are places where a line of notes ended, and with it what was being said.
    """

    text: str
    cues: tuple[Cue, ...] = ()
    breaks: frozenset[int] = frozenset()

    @cached_property
    def _starts(self) -> tuple[int, ...]:
        return tuple(cue.start for cue in self.cues)

    def second(self, place: int) -> float | None:
        """When the word at this place was said, [s], by its share of its cue; None where the text has no times.

        >>> said = Spoken(text="one two", cues=(Cue(start=0, end=7, begins_s=10.0, ends_s=17.0),))
        >>> said.second(4)
        14.0
        """
        n = bisect.bisect_right(self._starts, place) - 1
        if n < 0 or self.cues[n].begins_s is None:
            return None
        cue = self.cues[n]
        assert cue.begins_s is not None
        if cue.ends_s is None or cue.end <= cue.start:
            return cue.begins_s
        share = min(1.0, (place - cue.start) / (cue.end - cue.start))
        return round(cue.begins_s + share * max(0.0, cue.ends_s - cue.begins_s), 1)
