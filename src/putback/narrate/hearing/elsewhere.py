"""One idea: much is told that is not done here and now: a plan, a habit, another car, what was done before.

A case that may come ("if the bolt spins, …") is kept with the operation before it.
"""

import bisect
import re
from collections.abc import Iterator
from dataclasses import replace

from putback.narrate.hearing.told_twice import ToldTwice
from putback.narrate.hearing.unheard import Unheard
from putback.narrate.phrase.phrases import Sort
from putback.narrate.phrase.segments import Mood, Segment
from putback.narrate.text.spoken import Spoken

_LATE = 0.7
"""After so great a share of a text, a summing up is one."""
_BEFORE_RECAP = 12
_RECAP_LASTS = 160
_STOPS = re.compile(r"[.!?](?=\s|$)")
_RECAP = re.compile(
    r"go over (that|it|this) again|what (have|did) we d|recap|that's (really|about|pretty much) it\b|"
    r"that's (really )?all there is|so that's it(?=\s*([.!,]|$))"
)
_BEGINS = frozenset({"", ".", "!", "?"})
_ANOTHER_CAR = re.compile(
    r"(and |but |now |mind,? |so )?((on|with|in) (another|the last|my last|a different|that other|the other) "
    r"(?!side|end|hand)[\w-]+|the last \w+ (i|we) (had|did))\b[^.!?\n]{0,80}"
    r"\b(i|we|they|he|she|it|somebody|someone|had|was)\b"
)
_WHEN = (
    r"(?:last (?:week|month|year|winter|summer|spring|autumn|fall|christmas)|(?:many )?years ago|"
    r"(?:a|two|three|few) (?:week|month|year)s? (?:ago|back)|the other (?:day|week))"
)
_ONCE_ELSEWHERE = re.compile(
    rf"\b(?:(?:on|with|of) (?:the|that|this|a|another|one) [\w ]{{0,24}}?{_WHEN}\b|"
    rf"(?:i|we) (?:had|did|done|seen) (?:one|a|an|this|that|two|three|some)\b[\w ]{{0,40}}?{_WHEN}\b|"
    rf"the (?:last )?(?:van|car|truck|ute|one)s?(?: of (?:these|them))? (?:i|we) (?:did|had)(?: {_WHEN})?\b|"
    rf"{_WHEN} (?:i|we|they|he|she|on|there|same|somebody|someone|some) \w+|"
    r"i (?:tell|tells|teach|told) (?:my|the|them|all|those) |"
    r"(?:my |me |our |the |an? )?(?:old |first )?"
    r"(?:i|we|he|she|they|dad|daddy|boss|gaffer|father|mother|uncle|brother|lad|who) used to (?!be\b|have\b)|"
    r"on the last (?:video|one i did))"
)
"""`I had one last winter where …`, `my old boss used to …`: what was done elsewhere, in a talk without stops."""
_BACK_HERE = re.compile(
    r"\b(?:any ?way|any ?how|any road|okay|ok|alright|right (?:so|then|let|now)|where was i|not this one|never again|"
    r"but (?:this|not|on this|here|that's|in this|that was|i)|this one(?:'s)?|this (?:is|time)|on this|"
    r"so (?!i had to|i'd to|i have to|he\b|she\b|they\b|much|that (?:it|he|she)\b)|now (?!and))"
)
_ASIDE_LASTS = 130
"""So many signs such an aside lasts at most, where no word leads back."""
_HABIT_LASTS = 80
_SUMS_UP = ("to sum up", "in summary", "to recap", "summing up", "all in all", "to summarise", "to summarize")
_NEAR_CASE = 200
_HABITS = frozenset({"normally", "usually", "always"})
_SOME_PEOPLE = re.compile(r"\bsome (people|folks?|guys|lads|shops|fellas|blokes) \w+")
_WOULD = frozenset({"i'd", "ye'd", "you'd", "we'd", "he'd", "she'd", "they'd", "would"})


class Elsewhere(Unheard):
    """Passes over what is told of elsewhere."""

    def __init__(self, spoken: Spoken) -> None:
        super().__init__(spoken)
        self.case_from = 0
        self.habit = False
        self.habit_from = 0
        self.recap_in = -1
        self.recap_to = 0
        self.twice = ToldTwice()
        self.asides = list(_asides(self.low_text))

    def _told_of_elsewhere(self, segment: Segment) -> bool:
        """Whether a segment tells of what is not done here."""
        if segment.mood in (Mood.CONDITION, Mood.IN_CASE):
            self._case(segment)
        told = segment.sentence <= self.recap_in or segment.start < self.recap_to
        late = self.back and segment.start > _LATE * len(self.spoken.text)
        if told or (late and self._recaps(segment)) or self._as_a_rule(segment) or self._in_an_aside(segment):
            return True
        words = " ".join(piece.low for piece in segment.pieces[:4])
        if words.startswith(_SUMS_UP) or self._of_another_car(segment):
            self.recap_in = segment.sentence
            return True
        return False

    def _in_an_aside(self, segment: Segment) -> bool:
        """`The van I did last winter I pulled it and proved it dead`: whether words lie in such an aside."""
        last = bisect.bisect_right(self.asides, segment.start, key=lambda aside: aside[0]) - 1
        return last >= 0 and segment.start < self.asides[last][1]

    def _as_a_rule(self, segment: Segment) -> bool:
        """`Normally what I'd do is put the meter on it and prove it dead`: a habit, and perhaps not done here."""
        lows = {piece.low for piece in segment.pieces}
        supposed = "supposed" in lows and lows & {"is", "are", "you're"} and "be" not in lows
        others = supposed or _SOME_PEOPLE.search(self.low_text, segment.start, segment.end)
        goes_on = segment.join in {"and", "then"} and segment.pieces[0].sort is not Sort.SUBJECT
        goes_on = goes_on and segment.start - self.habit_from < _HABIT_LASTS
        if others or (lows & _HABITS and lows & _WOULD):
            self.habit, self.habit_from = True, segment.start
        else:
            self.habit = self.habit and goes_on
        return self.habit

    def _only_planned(self, segment: Segment, before: int) -> None:
        """What is only planned is not off yet."""
        planned = self.twice.mark(segment, before, len(self.said))
        for thing in self.objects[before:] if planned else ():
            if thing is not None:
                thing.off = False

    def _of_another_car(self, segment: Segment) -> bool:
        """`On another one last winter I had to replace the lot`: told of another car, to the end of the sentence."""
        if not self.stops or self.spoken.text[max(0, segment.start - 2) : segment.start].strip() not in _BEGINS:
            return False
        return _ANOTHER_CAR.match(self.low_text, segment.start) is not None

    def _recaps(self, segment: Segment) -> bool:
        """`What have we done?`, `to go over that again`, `that's it`: what follows was told before."""
        text = self.spoken.text[max(0, segment.start - _BEFORE_RECAP) : segment.end].lower()
        if not _RECAP.search(text):
            return False
        stop = _STOPS.search(self.spoken.text, segment.end)
        here = stop is not None and stop.start() - segment.end > _BEFORE_RECAP * 2
        self.recap_in = segment.sentence + (not here)
        self.recap_to = 0 if self.stops else segment.end + _RECAP_LASTS
        return True

    def _case(self, segment: Segment) -> None:
        """`If the bolt spins, hold it with a key`: kept with the operation before it, in its own words."""
        if segment.mood is Mood.CONDITION:
            self.case_from = segment.start
        if self.said and self.case_from - self.said[-1].end < _NEAR_CASE and self.case_from >= self.said[-1].start:
            words = " ".join(self.spoken.text[self.case_from : segment.end].split())
            self.said[-1] = replace(self.said[-1], condition=words)


def _asides(text: str) -> Iterator[tuple[int, int]]:
    """Where it is told of other cars and other times, up to the word that leads back; each after the one before."""
    after = 0
    for told in _ONCE_ELSEWHERE.finditer(text):
        last = told.end() + (_HABIT_LASTS if told[0].endswith("used to ") else _ASIDE_LASTS)
        ends = (end.search(text, told.end(), last) for end in (_BACK_HERE, _STOPS))
        first, after = max(told.start(), after), max(after, min((last, *(found.start() for found in ends if found))))
        yield first, after
