"""One idea: "likewise", "the same", "as was the other": what was done is done to one more thing, without its verb."""

from collections.abc import Sequence

from putback.core.operations import Verb
from putback.narrate.hearing.notes import Notes
from putback.narrate.phrase.phrases import Piece, Sort
from putback.narrate.phrase.segments import Segment
from putback.narrate.sense.act import OFF, ON, Act
from putback.narrate.sense.covering import guard_words, is_guard
from putback.narrate.sense.decide import act_of
from putback.narrate.sense.parts_of import TAKES_OFF, WAY_BACK, is_part
from putback.narrate.sense.sides import OPPOSITE
from putback.narrate.sense.special import known_sentence
from putback.narrate.sense.things import Thing
from putback.narrate.words import lexicon
from putback.narrate.words.lexicon import ACROSS

_LIKE = lexicon.words_of("likewise ditto same similarly identically")
_WAS = frozenset({"was", "were", "did", "is", "are"})
_DOES = lexicon.words_of("did do does done doing goes went treated handled dealt was were got gets had")
_REPEATED = (
    WAY_BACK
    | TAKES_OFF
    | {Verb.TIGHTEN, Verb.SWING_ASIDE, Verb.SWING_BACK, Verb.GUARD, Verb.UNGUARD, Verb.CLEAN, Verb.INSPECT, Verb.RENEW}
)
_FREE = frozenset({"out", "off", "free", "loose", "away"})
_DID = frozenset({"do", "did"})
_NEXT = frozenset({"next", "too", "also", "second", "last", "afterwards"})
_COMES = frozenset({"came", "come", "comes", "went", "go", "goes"})
_GONE_OFF = frozenset({"out", "off", "away"})
_LOOKED_BACK = 200
_ONE = frozenset({"that", "it", "he", "she"})
_THREE = 3
_JUST_BEFORE = 30
_HOW_IT_CAME = lexicon.words_of(
    "in on with nice nicely easy like as at after no too again without clean straight into"
)
_COME_OUT = _ONE | lexicon.words_of("they those these them both all")
_OPENS = ("open",)
_CLOSES = ("clos", "shut")
_TAPS = lexicon.words_of("petcock tap cock draincock drain nipple bleeder screw valve stopcock")
_TAPS_TOO = _TAPS | {"screws", "nipples", "taps"}
_HANDS = frozenset({"hand", "hands", "palm"})
_MINE = frozenset({"my", "me", "your"})
_TOLD_BY = (Sort.VERB, Sort.OTHER_VERB, Sort.NOT, Sort.IF)
_THROWN = lexicon.words_of("discarded discard binned bin thrown dumped ditched scrapped recovered")
_LONGEST = 6
"""So many operations are done likewise at most."""


class Likewise(Notes):
    """Reads what is done as it was done before."""

    def _likewise(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Outer likewise.` `…, as was that of the sensor.` `I did the lower one the same way.`"""
        if not parts or not self.said or self.said[-1].verb not in _REPEATED:
            return False
        lows = [piece.low for piece in parts]
        as_was = (lows[0] in _WAS and segment.join in {"so", "as"}) or (
            len(lows) > 1 and lows[0] in {"as", "so"} and lows[1] in _WAS
        )
        too = lows[1:] == ["too"] and is_part(parts[0]) and segment.sentence - self.last_sentence <= 1
        alike = bool(set(lows) & _LIKE or too) and all(one.sort is not Sort.VERB or one.low in _DOES for one in parts)
        nexts = bool(set(lows) & _DID and set(lows) & _NEXT) and not any(one.sort is Sort.PARTICLE for one in parts)
        alike = alike or (nexts and all(one.sort is not Sort.VERB or one.low in _DOES for one in parts))
        if not as_was and not alike:
            return False
        if self._moved_over(segment, parts):
            return True
        position = next((low for low in _words(parts) if low in OPPOSITE), None)
        run = self._run_on_the_other(position) if position is not None else []
        name = next((one for one in parts if one.sort is Sort.NAME and is_part(one) and one.low not in _LIKE), None)
        if run and (name is None or name.head in {"one", "ones"} or self._same_head(name, run)):
            for place in run:
                self._once_more(segment, place, position or "")
            return True
        thing = self._named(name, parts) if name is not None else self._subject(segment) if alike else None
        if thing is None or thing is self.objects[-1]:
            return False
        return self._as_before(segment, thing, parts)

    def _with_it_out(self, segment: Segment, parts: list[Piece]) -> bool:
        """`With the tray out of there you can see it`: what was not told yet came off before."""
        lifted = known_sentence(parts[1:], self.said, segment.start) if len(parts) > 2 else None
        if lifted is not None and lifted.verb in (Verb.RAISE, Verb.LOWER):
            self.add(segment, lifted.verb, None, lifted.object)
            return True
        lows = [one.low for one in parts[2:4]]
        gone = bool(lows) and (lows[0] in _GONE_OFF or lows == ["back", "out"])
        told = gone and parts[0].low == "with" and parts[1].sort is Sort.NAME
        if not told or any(one.sort is Sort.VERB for one in parts):
            return False
        if is_guard(parts[1]) and self._is_guarded(parts[1:2]):
            self.add(segment, Verb.UNGUARD, self._covered_with(parts[1:2]), parts[1].low, parts=parts)
            return True
        if self.back or not is_part(parts[1]):
            return False
        thing = self._named(parts[1], parts)
        worked_on = any(known is thing for known in self.objects[-_LOOKED_BACK:])
        if thing.off or thing.kind or thing.aside or guard_words(parts) or thing.first >= segment.start or worked_on:
            return False
        self.add(segment, Verb.REMOVE, thing, thing.name, parts=parts)
        return True

    def _out_it_came(self, segment: Segment, parts: list[Piece]) -> bool:
        """`…; out that came`, `off they come`, `out it came in two bits`, `screws out and down it came on my head`."""
        how = [one.low for one in parts[3:4]]
        came = len(parts) >= _THREE and parts[2].low in _COMES and set(how) <= _HOW_IT_CAME
        came = came and (parts[0].low in _FREE or (parts[0].low == "down" and self._holds_it_no_more(segment)))
        if self._in_it_went(segment, parts) or self._in_my_hand(segment, parts):
            return True
        if not came or parts[1].low not in _COME_OUT:
            return False
        told = bool(self.said) and self.said[-1].verb is Verb.REMOVE and segment.join == "and"
        last = self.objects[-1] if self.objects else None
        if told and last is not None and not last.kind and segment.start - self.said[-1].end <= len(" and "):
            return True
        plural = parts[1].low not in _ONE
        thing = self.things.newest(plural=plural, off=False)
        if thing is None or self.back:
            return False
        return self._come_off(segment, thing, thing.name, parts)

    def _holds_it_no_more(self, segment: Segment) -> bool:
        """Whether the words right before told that what held something was undone, so that it may come down."""
        if not self.said or self.said[-1].verb is not Verb.UNDO or segment.join not in {"and", "then", "so"}:
            return False
        fasteners = self.objects[-1]
        held = fasteners is not None and fasteners.owner is not None
        return held and segment.start - self.said[-1].end <= _JUST_BEFORE

    def _in_my_hand(self, segment: Segment, parts: list[Piece]) -> bool:
        """`The sensor's in my hand finally`, `they are also in my hand`: off."""
        at = next((n for n, piece in enumerate(parts) if piece.low == "in"), None)
        if at is None or self.back or segment.join == "there's" or any(piece.sort in _TOLD_BY for piece in parts):
            return False
        where = [word for piece in parts[at + 1 :] for word in (piece.words or (piece.low,))]
        mine = bool(where) and ({parts[at + 1].low} | parts[at + 1].marks) & _MINE
        if not mine or not {*where[:2], where[-1]} & _HANDS:
            return False
        name = next((piece for piece in parts[:at] if piece.sort is Sort.NAME and is_part(piece)), None)
        they = any(piece.low in {"they", "those", "these", "both"} for piece in parts[:at])
        thing = self._named(name, parts) if name is not None else self.things.newest(plural=they, off=False, among=3)
        if thing is None or thing.off:
            return False
        return self._come_off(segment, thing, name.low if name is not None else "", parts)

    def _in_it_went(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`And then in it went, down onto its pegs`: of what is off."""
        went = len(parts) > 2 and parts[0].low in {"in", "on", "back"} and parts[2].low in {"went", "goes", "go"}
        if not went or parts[1].low not in _COME_OUT:
            return False
        thing = self.things.newest(plural=parts[1].low not in _ONE, off=True)
        return thing is not None and self._put_back(segment, thing, thing.name, parts)

    def _once_out(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Once the screw was out I …`: what was not told yet was done before."""
        lows = {piece.low for piece in parts}
        if self.recalling and not self.back and self._had_out(segment, parts):
            return True
        name = next((one for one in parts if one.sort is Sort.NAME and is_part(one)), None)
        if not self.recalling or self.back or name is None or not lows & {"was", "were"} or not lows & _FREE:
            return False
        if any(one.sort in (Sort.VERB, Sort.SUBJECT, Sort.OTHER_VERB) for one in parts):
            return False
        thing = self._named(name, parts)
        if thing.off or self._only_recalled(Verb.UNDO, thing, name):
            return False
        self.add(segment, Verb.UNDO if thing.kind else Verb.REMOVE, thing, name.low, parts=parts)
        return True

    def _had_out(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Once I had those out`: what was only spoken of was undone."""
        had = len(parts) == 4 and parts[0].sort is Sort.SUBJECT and parts[1].low in {"had", "got", "have"}
        if not had or parts[2].sort is not Sort.PRONOUN or parts[3].low not in _FREE:
            return False
        plural = parts[2].low not in {"it", "that"}
        thing = self.things.newest(plural=plural, fastener=True, off=False)
        return thing is not None and self._put(segment, Verb.UNDO, thing, parts)

    def _tap_turned(self, segment: Segment, parts: list[Piece]) -> bool:
        """`I opened the petcock`, `drain cock closed`: slackened, and tight again."""
        turns = (one for one in parts if one.sort is not Sort.NAME and one.low.startswith((*_OPENS, *_CLOSES)))
        verb = next(turns, None)
        tap = next((one for one in parts if one.sort is Sort.NAME and one.head in _TAPS), None)
        if verb is None or (tap is None and not any(one.low in {"them", "both", "it"} for one in parts)):
            return False
        opens = verb.low.startswith(_OPENS)
        if tap is None and not opens:
            return False
        thing = self._named(tap, parts) if tap is not None else next(reversed(self.things.known), None)
        if thing is None or (tap is None and (thing.words[-1] not in _TAPS_TOO or thing.words[-2:-1] == ("trim",))):
            return False
        self.add(segment, Verb.UNDO if opens else Verb.TIGHTEN, thing, thing.name)
        thing.off = False
        return True

    def _thrown_away(self, segment: Segment, parts: list[Piece]) -> bool:
        """`The caps were discarded`: what covered is gone."""
        if not any(one.low in _THROWN for one in parts) or not guard_words(parts) or not self._is_guarded(parts):
            return False
        covered = self._covered_with(parts)
        self.add(segment, Verb.UNGUARD, covered, covered.name if covered is not None else "")
        return True

    def _both_named(self, segment: Segment) -> None:
        """`Lid and hose out together`: what was only named before `and` went the same way."""
        before = self.last_named
        if (
            not self.stops
            or segment.join != "and"
            or before is None
            or before.sentence != segment.sentence
            or len(before.pieces) != 1
        ):
            return
        name, last = before.pieces[0], self.said[-1]
        told = len(self.said) > 1 and self.said[-2].start >= before.start
        if name.sort is not Sort.NAME or not is_part(name) or told or last.verb not in WAY_BACK | TAKES_OFF:
            return
        thing = self._named(name, before.pieces)
        back = last.verb in WAY_BACK
        if thing is self.objects[-1] or thing.off is not back or segment.pieces[0].sort is not Sort.NAME:
            return
        operation = act_of(Act(verb=None, thing=thing, direction=ON if back else OFF, back=self.back))
        if operation is None:
            return
        self.add(before, operation, thing, name.low, parts=before.pieces)
        self.said[-2:], self.objects[-2:] = self.said[:-3:-1], self.objects[:-3:-1]

    def _moved_over(self, segment: Segment, parts: list[Piece]) -> bool:
        """`I moved over to the right side and did that one the same way.`"""
        before = self.last_named
        if before is None or before.sentence != segment.sentence or any(one.sort is Sort.NAME for one in parts):
            return False
        words = {word for piece in before.pieces for word in (*(piece.words or (piece.low,)), *piece.marks)}
        if not words & ACROSS or not words & {"side", "hand"} or not {one.low for one in parts} & _LIKE:
            return False
        self._repeated(segment)
        return True

    def _repeated(self, segment: Segment) -> None:
        raise NotImplementedError

    def _as_before(self, segment: Segment, thing: Thing, parts: Sequence[Piece]) -> bool:
        verb = self.said[-1].verb
        self.add(segment, verb, thing, thing.name, parts=parts)
        return True

    def _same_head(self, name: Piece, run: Sequence[int]) -> bool:
        """Whether a name is of the same kind as what was worked on."""
        heads = {thing.head for place in run if (thing := self.objects[place]) is not None}
        return name.head.rstrip("s") in heads

    def _run_on_the_other(self, position: str) -> list[int]:
        """The last operations on what is opposite: on the upper hose, where the lower one is said."""
        other, run = OPPOSITE[position], list[int]()
        for place in range(len(self.said) - 1, max(-1, len(self.said) - 1 - _LONGEST), -1):
            thing = self.objects[place]
            if thing is None or other not in thing.name.split():
                break
            run.append(place)
        return run[::-1]

    def _once_more(self, segment: Segment, place: int, position: str) -> None:
        one, thing = self.said[place], self.objects[place]
        other = self.things.swapped(thing, OPPOSITE[position], position, segment.start) if thing is not None else None
        self.say_again(segment, one, other)


def _words(parts: Sequence[Piece]) -> list[str]:
    """All words of the pieces, with what determines a pronoun: `the lower one`."""
    return [word for piece in parts for word in (*piece.marks, *(piece.words or (piece.low,)))]
