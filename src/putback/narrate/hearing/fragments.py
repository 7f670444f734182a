"""One idea: much is said without a verb: a thing and where it went, a size alone, a second name after the first."""

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from putback.core.operations import Verb
from putback.narrate.hearing.naming import Naming
from putback.narrate.phrase.phrases import PLACED, REST, Piece, Sort, words_in
from putback.narrate.phrase.segments import Segment
from putback.narrate.sense.act import OFF, ON, RENEWED, Act, direction_of, without_places
from putback.narrate.sense.covering import guard_at, guard_words, may_cover, put_over, puts_something
from putback.narrate.sense.decide import act_of, covered
from putback.narrate.sense.parts_of import (
    INTRODUCES,
    STATES,
    TAKES_OFF,
    TOOL_HEADS,
    WAY_BACK,
    is_energy_name,
    is_part,
    is_stowed,
    only_told,
    takes_off,
)
from putback.narrate.sense.things import Thing, singular
from putback.narrate.sense.torques import torque_of
from putback.narrate.text.quantities import Of
from putback.narrate.words import lexicon
from putback.narrate.words.lexicon import ACROSS, Sense

_BESIDE_IT = lexicon.words_of("right next to it beside as well too also there just")
"""`… and the small plug right next to it as well.`"""
_BESIDE = frozenset({"behind", "under", "underneath", "below", "beneath", "beside", "inside", "at", "by"})
_MANNER = lexicon.words_of(
    "nose tail face faces legs edge flat arrow arrows marks mark label lip flange ears tag tags writing numbers end "
    "ends"
)
"""`Glass in, nose down`: how it went in."""
_HAD = frozenset({"have", "had", "has"})
_BY_NOW = frozenset({"now", "all", "both", "just", "also"})
_THE_ONE = frozenset({"the", "my", "its", "her"})
_OFF_NOW = frozenset({"off", "out"})
_DOWN_THERE = frozenset({"low", "there", "here", "inside", "below"})
"""`Two screws down low`: where they are."""
_DOWN_AT = frozenset({"down", "on", "in"})
_ON_NOW = frozenset({"on", "in", "home", "up"})
_SWITCHED = lexicon.words_of(
    "ignition power engine light lights lamp radio fan air heater screen display car it key pressure charge"
)
"""`The light is off`: such things also go out by themselves."""
_NO_PLACE = frozenset({"order", "mode", "ready"})
_LOOKS = frozenset({Sense.INSPECT, Sense.CHECK})
_SPOKEN_OF = 5
"""So many things may be spoken of together."""
_AND_THEN = 11
"""So many signs stand between a name and the next that shares its verb, at most: `, and then the `."""
_FOLLOWED_BY = 14
_PLACED_AT = _BESIDE | {"on", "in", "of", "near", "above", "with"}
_THEY_ARE = frozenset({"she's", "he's", "they're", "they", "them", "those", "these", "it's", "that's"})
_OF_THEM = _THEY_ARE | {"are", "is", "was", "were", "all", "both", "of", "them", "now", "the", "lot", "it"}
_SEVERAL = frozenset({"they're", "they", "those", "these", "all", "both", "them", "lot"})
_PLACES = frozenset({"side", "sides", "end", "ends", "corner", "corners", "front", "middle"})
_TIGHT = frozenset({"firm", "tight", "snug", "snugged", "nipped"})
_WHOSE = frozenset({"my", "your", "his", "her", "their", "our"})
_KEPT = lexicon.words_of("hand hands pocket bag box drawer arms arm toolbox tin tray lap mouth teeth")
_FLUID_UNITS = re.compile(r"\b(lit(re|er)s?|quarts?|pints?|grams?|ml|l)\b")
_BY_HAND = lexicon.words_of("by hand finger fingers tight with the all only just loosely loose")
_FITTED = frozenset({Verb.FIT})
_PUT_ON = frozenset({Verb.PLUG_IN, Verb.FIT, Verb.RENEW, Verb.START, Verb.TIGHTEN, Verb.SWING_BACK, Verb.JOIN})
_TOOK_OFF = frozenset({Verb.REMOVE, Verb.SWING_ASIDE})
_RIGHT_BEHIND = 6
_LISTED = 12
"""So many signs stand between the words of one list, at most."""
_GONE = frozenset({"out", "off", "apart", "free", "in", "on", "back"})
_ON_OR_DOWN = _ON_NOW | {"down"}
_EACH = frozenset({"each", "of", "total", "per"})


def _plain_number(piece: Piece) -> bool:
    """`Bracket nuts, two, eight mil, off`: numbers between a name and what became of it."""
    return piece.quantity is not None and piece.quantity.of in (Of.COUNT, Of.SIZE)


def _named_at(parts: Sequence[Piece]) -> int | None:
    """Where the thing is named: of several names in a row the last, before what became of it."""
    first = next((n for n, piece in enumerate(parts) if piece.sort is Sort.NAME), None)
    if first is None:
        return None
    while first + 1 < len(parts) and parts[first + 1].sort is Sort.NAME:
        first += 1
    return first


def _is_one_name(parts: Sequence[Piece]) -> bool:
    """Whether there is one name, or `the top one`, and of fasteners where they are: `the clamp on the pipe`."""
    if not parts or not ((parts[0].sort is Sort.NAME and is_part(parts[0])) or parts[0].marks & PLACED):
        return False
    if all(one.low in _BESIDE_IT for one in parts[1:]):
        return True
    place = parts[0].head in lexicon.FASTENERS or parts[0].sort is Sort.PRONOUN
    if len(parts) == 1 or not place:
        return len(parts) == 1
    where = parts[1].low in _PLACED_AT and parts[-1].sort in (Sort.NAME, Sort.SMALL, Sort.PRONOUN)
    return where and not any(piece.sort in (Sort.VERB, Sort.OTHER_VERB, Sort.SUBJECT, Sort.NOT) for piece in parts)


_ACTS = (Sort.VERB, Sort.OTHER_VERB, Sort.SUBJECT, Sort.NOT, Sort.IF)
_NOT_YET = frozenset({"tomorrow", "order", "stock", "later", "wanted"})
_SPOKEN_NEAR = 60
_TORQUE_ON_THEM = 3
_JUST_NAMED = 3
"""`Cover of the relay box. Off.`: between the name and what became of it."""
_TOGETHER = frozenset({"with", "top", "plus"})
_NEW = frozenset({"new", "fresh", "brand"})


def _is_new(piece: Piece) -> bool:
    """Whether a name is of a new one: `a fresh gasket`."""
    return bool(piece.marks & _NEW)


def _without_tool(parts: list[Piece]) -> list[Piece]:
    """`I had them both out with the little ratchet`: the words before the tool."""
    at = next((n for n, piece in enumerate(parts) if n > 1 and piece.low == "with"), len(parts))
    tool = [piece for piece in parts[at + 1 :] if piece.sort is Sort.NAME]
    had = any(one.low in _HAD | {"got"} and two.sort is Sort.PRONOUN for one, two in pairwise(parts[:3]))
    return parts[:at] if had and tool and all(piece.head in TOOL_HEADS for piece in tool) else parts


def _with_at(parts: Sequence[Piece]) -> int:
    """Where it is said with what it was done: `off with a sixteen`."""
    with_it = (n for n, piece in enumerate(parts) if n and piece.low == "with" and parts[-1].quantity is not None)
    return next(with_it, len(parts))


def _gone_by_now(after: Sequence[Piece]) -> bool:
    """`… the bumper away over to the settee`, `… the tray down`, `… the lid out here in a tin`: where it is now."""
    here = all(one.sort in (Sort.PARTICLE, Sort.PREPOSITION, Sort.NAME, Sort.SMALL) for one in after)
    return here and after[0].low in {"away", "down"} and not any(one.low in {"in", "on"} for one in after)


class Fragments(Naming):
    """Reads what is said without a verb."""

    def _with_it(self, segment: Segment, after: Sequence[Piece], operation: Verb) -> None:
        """`The shield goes back on with its three bolts`, `with a new gasket`: what is put in too."""
        for before, piece in pairwise(after):
            if piece.sort is not Sort.NAME or not (before.low in _TOGETHER or before.sort is Sort.PARTICLE):
                continue
            part = replace(segment, pieces=tuple(one for one in segment.pieces if one.start >= before.start))
            fastener = piece.head in lexicon.FASTENERS and piece.count is not None and before.low != "plus"
            if fastener and self.back and operation is Verb.FIT:
                self.add(part, Verb.START, self._named(piece, after), piece.low, parts=(piece,))
            elif _is_new(piece) and singular(piece.head) in RENEWED and before.low in _TOGETHER:
                self.add(part, Verb.RENEW, self._named(piece, (piece,)), piece.low, parts=(piece,), anew=True)

    def _result(self, segment: Segment, parts: list[Piece]) -> bool:
        """A thing and where it went, without a verb: `Trim out.` `Hose back on.` `12 volt negative off.`"""
        if self._tight_alone(segment, parts) or self._so_tight_on(segment, parts) or self._and_back(segment, parts):
            return True
        parts = _without_tool(parts)
        n = _named_at(parts)
        if n is None:
            return self._without_name(segment, parts)
        if self._on_each(segment, parts):
            return True
        if n >= 2 and parts[n - 1].low == "with" and all(one.sort is Sort.PARTICLE for one in parts[: n - 1]):
            return self._went(segment, parts, parts[n], parts[: n - 1])
        after = [piece for piece in parts[n + 1 :] if piece.low not in _EACH and not _plain_number(piece)]
        parts, after = self._without_is(parts, parts[n], after)
        if self._torque_told(segment, parts, parts[n], after):
            return True
        went = bool(after) and self._went_somewhere(segment, parts, n, after)
        return went or self._is_new_now(segment, parts, parts[n])

    def _is_new_now(self, segment: Segment, parts: Sequence[Piece], name: Piece) -> bool:
        """`Gasket new.` `Both seals are new.` `New washers both sides.`, on the way back."""
        head = singular(name.head)
        if not self.back or head not in RENEWED or any(one.sort in _ACTS for one in parts):
            return False
        rest = [piece.low for piece in parts if piece is not name and piece.sort is not Sort.QUANTITY]
        told = bool(rest) and rest[-1] == "new" and set(rest[:-1]) <= STATES | {"all", "both"}
        alone = _is_new(name) and parts[0] is name and not set(rest) & _NOT_YET
        if not (told or alone) or self._told_before(name, segment):
            return False
        self.add(segment, Verb.RENEW, self._named(name, (name,)), name.low, parts=(name,))
        return True

    def _told_before(self, name: Piece, segment: Segment) -> bool:
        """Whether a new one of this name was just put on."""
        late = [one for one in self.said[-2:] if segment.start - one.end < _SPOKEN_NEAR]
        return any(one.verb is Verb.RENEW and singular(name.head) in one.object for one in late)

    def _nut_got(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`The link went back in its hole and got its nut`: the nut went on, on the way back."""
        got = next((n for n, piece in enumerate(parts[:2]) if piece.low == "got"), None)
        if got is None or got + 1 >= len(parts) or not self.back:
            return False
        name = parts[got + 1]
        whose = name.marks & {"its", "both", "all"} or name.count is not None
        if name.sort is not Sort.NAME or name.head not in lexicon.FASTENERS or not whose:
            return False
        thing = self._named(name, parts)
        if thing.off and len(parts) == got + 2:
            self.add(segment, Verb.START, thing, name.low, parts=parts[got + 1 :])
            return True
        return False

    def _without_is(self, parts: list[Piece], name: Piece, after: list[Piece]) -> tuple[list[Piece], list[Piece]]:
        """`The negative is back on`, `the lower bolt is out now`: what became of them."""
        if len(after) < 2 or after[0].low not in {"is", "are"}:
            return parts, after
        told = [piece for piece in after[1:] if piece.low not in _BY_NOW]
        if self.back and told and told[0].low == "back":
            return parts, after[1:]
        uncovered = self.back and told and told[0].low in _OFF_NOW and guard_at(parts) is not None
        if uncovered or self._is_off_now(name, told) or self._is_on_now(name, told):
            return [piece for piece in parts if piece is not after[0]], told
        return parts, after

    def _is_on_now(self, name: Piece, told: Sequence[Piece]) -> bool:
        """`The bolts are in now`, `the floor is down on top of it`, of what was off, on the way back."""
        if not self.back or self.recalling or not told or told[0].low not in _ON_OR_DOWN:
            return False
        known = self.things.find(name)
        return known is not None and known.off

    def _is_off_now(self, name: Piece, told: Sequence[Piece]) -> bool:
        """`The undertray is off`, of what was on."""
        off = bool(told) and (told[0].low in _OFF_NOW or (told[0].low in _DOWN_AT and is_stowed(told)))
        off = off or [one.low for one in told] == ["up", "and", "out"]
        if not off or self.back or self.recalling or name.head in _SWITCHED:
            return False
        known = self.things.find(name)
        return known is None or not known.off

    def _so_tight_on(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`It's a hundred and twenty newton metres on the wheel nuts.`"""
        row = [piece for piece in parts if piece.low not in STATES | {"then"}]
        if not self.back or len(row) < 3:
            return False
        torque, on, name = row[0].quantity, row[1], row[2]
        if torque is None or torque.of is not Of.TORQUE or on.low not in {"on", "for"}:
            return False
        if name.sort is Sort.PRONOUN and len(row) == _TORQUE_ON_THEM:
            just = self.objects[-1] if self.said and self.said[-1].verb in WAY_BACK else self._just_started()
            several = name.low != "it"
            thing = just if just is not None and just.plural is several else None
            thing = thing or self.things.newest(plural=several, fastener=True) or just
            if thing is not None:
                self.add(segment, Verb.TIGHTEN, thing, "", parts=parts, torque=torque)
            return thing is not None
        if name.head not in lexicon.FASTENERS:
            return False
        self.add(segment, Verb.TIGHTEN, self._named(name, parts), name.low, parts=parts, torque=torque)
        return True

    def _torque_told(self, segment: Segment, parts: Sequence[Piece], name: Piece, after: Sequence[Piece]) -> bool:
        """`The nuts are a hundred and ten`, on the way back."""
        told = self.back and bool(after) and name.head in lexicon.FASTENERS and after[0].low in STATES
        torque = torque_of(parts) if told else None
        if torque is not None:
            self.add(segment, Verb.TIGHTEN, self._named(name, parts), name.low, parts=parts, torque=torque)
        return torque is not None

    def _went_somewhere(self, segment: Segment, parts: list[Piece], n: int, after: list[Piece]) -> bool:
        """What became of the thing that the piece `n` names, by the words after it."""
        had = bool(n and parts[n - 1].low in _HAD and after[0].low in lexicon.OFF_WORDS)
        lies_now = segment.join not in INTRODUCES or self.spoken.text[segment.end :].startswith(" now")
        covers = guard_at(parts[n:]) == 0 and put_over(parts, None) is not None and lies_now
        covers = covers and not any(p.sort is Sort.OTHER_VERB and not puts_something(p) for p in parts)
        kept = any(one.sort is Sort.NAME and one.marks & _WHOSE and one.head in _KEPT for one in parts[n + 1 :])
        done = segment.join in {"that's", "there's"} and self._is_done_now(parts[n], after)
        if kept or (not (had or covers or done) and only_told(segment.join, parts, parts[n])):
            return False
        self._remember(parts[:n])
        if self._next_or_torqued(segment, parts, parts[n], after) or self._filled(segment, parts, parts[n], after):
            return True
        if after[0].low in {"on", "in", "at"} and not self.back and any(one.low in _PLACES for one in after[1:4]):
            return False
        if after[0].low in _BESIDE and after[-1].sort is Sort.PARTICLE:
            after = after[-1:]
        is_act = (covers or after[0].sort is Sort.PARTICLE) and (had or self._is_act(parts, n, after))
        return is_act and self._went(segment, parts, parts[n], after)

    def _is_done_now(self, name: Piece, after: Sequence[Piece]) -> bool:
        """`That's the negative off`, of what was on; `that's the cover off the wing`, `that's the hose back on`."""
        if not name.marks & _THE_ONE or self.recalling:
            return False
        if self.back and guard_at((name, *after)) == 0:
            return after[0].low in _OFF_NOW
        known = self.things.find(name)
        if not self.back and known is not None and not known.off and _gone_by_now(after):
            return True
        rest = {piece.low for piece in after[1:]}
        if after[0].low in _OFF_NOW and rest <= _BY_NOW | {"then"}:
            return not self.back and (known is None or not known.off)
        back_on = after[0].low == "back" and rest & _ON_NOW
        return bool(back_on) and known is not None and known.off

    def _filled(self, segment: Segment, parts: Sequence[Piece], name: Piece, after: Sequence[Piece]) -> bool:
        """`New coolant in, seven litres`."""
        filled = name.head in lexicon.FLUIDS and after[0].low == "in"
        if filled:
            self.add(segment, Verb.FILL, self._named(name, parts), name.low, parts=parts)
        return filled

    def _on_each(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Both wheels were removed, five 19 mm nuts on each`: with what they were held."""
        name, lows = parts[0], [piece.low for piece in parts] + [mark for piece in parts for mark in piece.marks]
        each = name.sort is Sort.NAME and name.head in lexicon.FASTENERS and {"each", "either", "apiece"} & set(lows)
        if not each or self.back or any(piece.sort in (Sort.VERB, Sort.SUBJECT) for piece in parts) or not self.said:
            return False
        thing = self._named(name, parts)
        if self.said[-1].verb is not Verb.REMOVE or segment.sentence - self.last_sentence > 1 or thing.off:
            return False
        self.add(segment, Verb.UNDO, thing, name.low, parts=parts)
        return True

    def _only_how(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Glass in, nose down`: in which way it went in."""
        goes_on = not segment.join and self.last_sentence == segment.sentence and len(parts) == 2
        return goes_on and parts[0].head in _MANNER and not parts[0].marks and parts[1].sort is Sort.PARTICLE

    def _without_name(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Out with them`, `have those out`, `four ten-mil off`."""
        if len(parts) > 1 and parts[0].sort is Sort.SUBJECT and parts[1].low in _HAD | {"got"}:
            parts = parts[1:]
        pronoun = any(one.sort is Sort.PRONOUN for one in parts)
        if len(parts) > 2 and pronoun and parts[1].low == "with":
            return self._off_with(segment, parts)
        if len(parts) > 2 and parts[0].low in _HAD | {"got"} and parts[1].sort is Sort.PRONOUN:
            where = next((one for one in parts[2:] if one.sort is Sort.PARTICLE), None)
            if where is not None and where.low == "in" and {parts[-1].head, parts[-1].low} & _KEPT:
                where = replace(where, low="out")
            return where is not None and self._off_with(segment, [where, *parts])
        if self._had_off(segment, parts):
            return True
        if self._litres(segment, parts) or self._one_of_them(segment, parts):
            return True
        alone = self._gone_alone(segment, parts)
        return alone or self._sizes_only(segment, parts) or self._is_gone(segment, parts)

    def _and_back(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`The service plug's out of my pocket and back in its hole`: of what the words before named, and is off."""
        before = self.last_named
        back = segment.join == "and" and [one.low for one in parts[:2]] in (["back", "in"], ["back", "on"])
        if not back or before is None or before.sentence != segment.sentence:
            return False
        name = next((one for one in before.pieces if one.sort is Sort.NAME and is_part(one)), None)
        thing = self.things.find(name) if name is not None else None
        if thing is None or not thing.off or any(one.sort in _ACTS for one in parts):
            return False
        return self._put_back(segment, thing, "", parts)

    def _put_back(self, segment: Segment, thing: Thing, name: str, parts: Sequence[Piece]) -> bool:
        """Write down that a thing which is off goes back to its place."""
        operation = act_of(Act(verb=None, thing=thing, direction=ON, back=True))
        if operation is not None:
            self.add(segment, operation, thing, name, parts=parts)
        return operation is not None

    def _had_off(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`It was four screws I had out`: of what the sentence named right before."""
        thing = next(reversed(self.things.known), None)
        had = len(parts) > 1 and parts[0].low in _HAD and parts[1].low in _OFF_NOW
        named = any(one.sort in (Sort.NAME, Sort.PRONOUN, Sort.NOT) for one in parts)
        if not had or named or thing is None or thing.off or self.back or segment.join:
            return False
        if self.spoken.text[thing.last : segment.start].count(".") or self._done_since(thing):
            return False
        return self._come_off(segment, thing, "", parts)

    def _come_off(self, segment: Segment, thing: Thing, name: str, parts: Sequence[Piece]) -> bool:
        """Write down that a thing came off or apart, on the way in."""
        operation = act_of(Act(verb=None, thing=thing, direction=OFF))
        if operation is not None:
            self.add(segment, operation, thing, name, parts=parts)
        return operation is not None

    def _only_named_just_now(self) -> bool:
        """`Cam nut next, 21. Off.`: whether the words right before told of nothing done."""
        before, here = self.last_named, self.segment
        if before is None or here is None or here.sentence - before.sentence != 1:
            return False
        names = [piece for piece in before.pieces if piece.sort is Sort.NAME]
        return len(names) == 1 and not any(piece.sort in _ACTS or piece.low == "few" for piece in before.pieces)

    def _done_since(self, thing: Thing) -> bool:
        """Whether something was done since a thing was named."""
        return bool(self.said) and self.said[-1].end > thing.last

    def _one_of_them(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`The left one's off and the right one is off.`"""
        if not parts:
            return False
        said = parts[: _with_at(parts)]
        first, where = parts[0], [piece for piece in said[1:] if piece.low not in STATES]
        if len(where) > 1 and where[-1].sort is Sort.PRONOUN and where[-2].low in {"on", "over", "onto"}:
            where = where[:-1]
        told = first.sort is Sort.PRONOUN and first.marks & (ACROSS | PLACED) and REST.isdisjoint(first.marks)
        if not told or not where or any(piece.sort is not Sort.PARTICLE for piece in where):
            return False
        side = next(iter(first.marks & ACROSS), None)
        placed = self.things.placed(next(iter(first.marks & PLACED)), first.start) if side is None else None
        thing = self.things.on_side(side, first.start) if side is not None else placed
        operation = act_of(Act(verb=None, thing=thing, direction=direction_of(where, ()), back=self.back))
        if thing is None or operation is None or (operation in WAY_BACK) is not (self.back or thing.off):
            return False
        self.add(segment, operation, thing, "", parts=parts)
        return True

    def _next_or_torqued(self, segment: Segment, parts: Sequence[Piece], name: Piece, after: Sequence[Piece]) -> bool:
        """`Battery negative next.` `Wheel nuts to 110 newton metres.`"""
        torque = torque_of(parts)
        if after[0].low == "next" and is_energy_name(name):
            self.add(segment, Verb.ISOLATE, self._named(name, parts), name.low, parts=parts)
            return True
        in_at = [one.low for one in after[:2]] in (["in", "at"], ["in", "to"], ["on", "at"]) and self.back
        told = after[0].low in {"to", "at", "get", "gets"} or after[0].sort is Sort.QUANTITY or in_at
        if torque is None or not told:
            return False
        if "new" in name.marks and singular(name.head) in RENEWED and self._fitted_just_before(segment, _PUT_ON):
            last = self.objects[-1]
            self.add(segment, Verb.RENEW, self._named(name, parts), name.low, parts=(name,))
            self.add(segment, Verb.TIGHTEN, last, last.name if last is not None else "", parts=parts, torque=torque)
            return True
        thing = self._named(name, parts)
        fitted = self._fitted_just_before(segment) or "new" in name.marks
        if thing.kind and ((fitted and after[0].sort is Sort.QUANTITY) or (in_at and thing.off)):
            self.add(segment, Verb.START, thing, name.low, parts=parts)
        self.add(segment, Verb.TIGHTEN, thing, name.low, parts=parts, torque=torque)
        return True

    def _fitted_just_before(self, segment: Segment, verbs: frozenset[Verb] = _FITTED) -> bool:
        """`Lid on, two bolts, 9 newton metres`: the bolts go in with what was put on in the same sentence."""
        if not self.said or segment.join or segment.start - self.said[-1].end > 3:
            return False
        return self.said[-1].verb in verbs and not set(self.between(segment)) & set(".!?;")

    def _is_act(self, parts: Sequence[Piece], n: int, after: Sequence[Piece]) -> bool:
        """Whether `two clips off the door` was done, and not only says where they are."""
        if len(after) > 1 and after[0].low == "down" and after[1].low in _DOWN_THERE:
            return False
        if len(after) < 2 or after[0].low == "back" or after[1].sort not in (Sort.NAME, Sort.PRONOUN):
            return True
        terse = n == 0 and not any(piece.sort is Sort.SUBJECT for piece in parts)
        if guard_at(parts[n:]) == 0 and "the" not in parts[n].marks:
            return True
        new = "new" in parts[n].marks or "new" in after[1].marks
        return terse and (after[0].low in lexicon.OFF_WORDS or self.back or new)

    def _went(self, segment: Segment, parts: Sequence[Piece], name: Piece, after: Sequence[Piece]) -> bool:
        act = Act(
            verb=None,
            thing=self._named(name, parts),
            direction=direction_of(after, ()),
            new="new" in name.marks,
            words=frozenset(words_in(without_places(parts))),
            back=self.back,
            guarded=self._is_guarded(parts),
            guard_nouns=frozenset(self.guard_nouns),
            plug=may_cover(name.words),
            guard=guard_words(parts),
            stowed=is_stowed(after),
        )
        operation = covered(act, put_over(parts, None)) or act_of(act)
        if operation in WAY_BACK | {Verb.GUARD} and act.direction == ON and not self.back and self._is_undone_next():
            return False
        in_hand = after[0].low == "in" and any(piece.low in {"hand", "hands"} for piece in after)
        in_hand = in_hand and "by" not in {piece.low for piece in after}
        if operation is None or in_hand or act.words & _NO_PLACE or self._only_recalled(operation, act.thing, name):
            return False
        thing: Thing | None = act.thing
        piece: Piece | None = name
        told = "the" in name.marks and thing is not None and not thing.off and not self.back
        if told and operation in WAY_BACK and "new" not in name.marks:
            return False
        if operation in (Verb.GUARD, Verb.UNGUARD):
            thing, piece = self._guarded(operation, parts, parts.index(name), thing, name)
        self.add(segment, operation, thing, piece.low if piece else "", parts=parts)
        self.without_verb = True
        if operation in WAY_BACK:
            self._with_it(segment, after, operation)
        return True

    def _is_undone_next(self) -> bool:
        """`Three nuts on the bracket. Undo them.`: the words before an order say what there is."""
        following = self.following
        if following is None or following.join in {"and", "then"}:
            return False
        pronoun = any(piece.sort is Sort.PRONOUN for piece in following.pieces[:4])
        verbs = [n for n, piece in enumerate(following.pieces) if piece.sort is Sort.VERB]
        return pronoun and any(takes_off(following.pieces[n], following.pieces[n + 1 :]) for n in verbs)

    def _off_with(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Four bolts hold it; out with them.`"""
        plural = any(one.low in {"them", "those", "these", "both", "lot", "all"} for one in parts)
        held = self.things.newest(plural=True, fastener=True, off=False) if plural else None
        thing = held or self.things.newest(plural=plural)
        if thing is not None and thing.off and parts[0].low in lexicon.OFF_WORDS and not self.back:
            return True
        operation = act_of(Act(verb=None, thing=thing, direction=direction_of(parts[:1], ()), back=self.back))
        if operation is None:
            return False
        self.add(segment, operation, thing, "", parts=parts)
        return True

    def _tight_alone(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Negative on, tight.` `Six bolts, snug.` `One clamp tight.`: how it was left, on the way back."""
        if len(parts) > 2 and parts[-2].low in {"by", "with"} and parts[-1].head in TOOL_HEADS | {"hand"}:
            parts = parts[:-2]
        if [piece.low for piece in parts[:-1]] in (["good", "and"], ["nice", "and"]):
            parts = parts[-1:]
        if [piece.low for piece in parts] in (["wrist", "tight"], ["by", "hand", "firm"]):
            parts = parts[-1:]
        if len(parts) > 1 and parts[-1].low == "again":
            parts = parts[:-1]
        if not parts or not self.back or parts[-1].low not in _TIGHT or not self.said:
            return False
        if len(parts) > 1:
            name = parts[0] if len(parts) <= 3 and parts[0].sort is Sort.NAME else None
            if (
                name is None
                or not (name.head in lexicon.FASTENERS or self._was_slackened(name))
                or any(one.sort in (Sort.VERB, Sort.PARTICLE) for one in parts)
            ):
                return False
            self.add(segment, Verb.TIGHTEN, self._named(name, parts), name.low, parts=parts)
            return True
        thing = self.objects[-1]
        near = segment.start - self.said[-1].end <= _LISTED and "." not in self.between(segment)
        if thing is None or not near or self.said[-1].verb not in {Verb.START, Verb.RESTORE}:
            return False
        self.add(segment, Verb.TIGHTEN, thing, "", parts=parts)
        return True

    def _was_slackened(self, name: Piece) -> bool:
        """`Tensioner tight again`: whether it was slackened, and stayed where it is."""
        known = self.things.find(name)
        told = zip(self.said, self.objects, strict=True)
        return known is not None and any(one.slackened and thing is known for one, thing in told)

    def _litres(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Two litres in`."""
        measured = any(piece.quantity is not None and piece.quantity.of is Of.OTHER for piece in parts)
        text = self.spoken.text[segment.start : segment.end].lower()
        if not measured or not self.back or parts[-1].low not in {"in", "back"} or not _FLUID_UNITS.search(text):
            return False
        self.add(segment, Verb.FILL, self._drained(), "fluid", parts=parts)
        return True

    def _gone_alone(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Three twelves on the valve, out.`: what became of what the words before it named."""
        if not all(piece.sort is Sort.PARTICLE for piece in parts) or len(parts) > 2 or segment.join:
            return False
        thing = next(reversed(self.things.known), None)
        before = self.spoken.text[thing.last : segment.start] if thing is not None else "."
        stopped = "." in before and not (self.terse and (len(before) <= _JUST_NAMED or self._only_named_just_now()))
        if thing is None or stopped or self._done_since(thing):
            return False
        operation = self._went_alone(thing, direction_of(parts, ()))
        wrong_way = (operation in WAY_BACK) is not self.back and operation is not Verb.UNGUARD
        if operation is None or wrong_way:
            return False
        self.add(segment, operation, thing, "", parts=parts)
        return True

    def _went_alone(self, thing: Thing, direction: str) -> Verb | None:
        """What became of a thing, by where it went: what covers something is taken off it."""
        covers = thing.head in lexicon.GUARDS and not thing.kind and self.guards > 0
        guard = frozenset({thing.head}) if covers else frozenset[str]()
        return act_of(Act(verb=None, thing=thing, direction=direction, back=self.back, guard=guard, guarded=covers))

    def _is_gone(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Give it a tug and it's off`, `so they're all out`, `that's all three of them in`."""
        of_them = len(parts) > 2 and parts[1].low == "of" and parts[2].low in _OF_THEM
        opens = segment.join in INTRODUCES or bool(parts and parts[0].low in _THEY_ARE | {"all", "both"}) or of_them
        rest = [piece for piece in parts if piece.low not in _OF_THEM and piece.sort is not Sort.QUANTITY]
        if not opens or not rest or rest[0].sort is not Sort.PARTICLE or rest[0].low not in _GONE:
            return False
        counts = [
            piece.quantity.number.count or 0 for piece in parts if piece.quantity and piece.quantity.of is Of.COUNT
        ]
        plural = max(counts, default=1) > 1 or bool({piece.low for piece in parts} & _SEVERAL)
        thing = self.things.newest(plural=True, fastener=True) if plural else self._fastener_told()
        thing = thing or self.things.newest(plural=plural)
        goes_back = rest[0].low in {"in", "on", "back"}
        if thing is None or thing.off is not goes_back or goes_back is not self.back:
            return False
        others = self._named_with(thing) if plural and "all" in {piece.low for piece in parts} else []
        for one in sorted((*others, thing), key=lambda each: each.said):
            operation = self._went_alone(one, ON if goes_back else OFF)
            if operation is not None:
                self.add(segment, operation, one, "", parts=parts)
        return True

    def _fastener_told(self) -> Thing | None:
        """`There's one bolt holding the hose, that's out`: what was spoken of since the last operation."""
        since = self.said[-1].end if self.said else -1
        near = reversed(self.things.known[-_SPOKEN_OF:])
        return next((one for one in near if one.kind and not one.plural and one.last > since), None)

    def _named_with(self, thing: Thing) -> list[Thing]:
        """The other fasteners that were spoken of with some: `three screws and two clips, they're all out`."""
        since = self.said[-1].end if self.said else -1
        near = self.things.known[-_SPOKEN_OF:]
        return [one for one in near if one is not thing and one.kind and one.off is thing.off and one.last > since]

    def _same_again(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Reconnect the plug and the hose`: the second name has the verb of the first."""
        if self._screws_too(segment, parts) or self._rest_too(segment, parts):
            return True
        if [piece.low for piece in parts[:2]] == ["after", "that"]:
            parts = parts[2:]
        tells_more = self.coming is not None and self.coming.join in {"which", "who"}
        if tells_more or not _is_one_name(parts) or not self._shares_verb(segment):
            return False
        verb = None if self.without_verb else self.last_verb
        thing = self._one_thing(parts)
        goes_on = self.said[-1].verb in WAY_BACK | {Verb.TIGHTEN}
        if self.said[-1].verb is Verb.TIGHTEN and thing is not None and thing.kind == "clip" and thing.off:
            verb = None
        operation = act_of(Act(verb=verb, thing=thing, direction=ON if goes_on else OFF, back=self.back))
        if operation is None:
            return False
        self.add(segment, operation, thing, parts[0].low, parts=parts)
        return True

    def _one_thing(self, parts: Sequence[Piece]) -> Thing | None:
        """What a name or `the top one` means that stands without a verb."""
        if parts[0].sort is Sort.NAME:
            return self._named(parts[0], parts)
        return self.things.placed(next(iter(parts[0].marks & PLACED)), parts[0].start)

    def _shares_verb(self, segment: Segment) -> bool:
        """Whether the verb of the last operation holds for the name that stands here alone."""
        near = _FOLLOWED_BY if segment.join == "then" else _AND_THEN
        if not self.said or segment.join not in {"and", "then"} or segment.start - self.said[-1].end > near:
            return False
        if self.said[-1].verb not in WAY_BACK | TAKES_OFF | {Verb.TIGHTEN, Verb.RENEW}:
            return False
        beside = self.coming is not None and all(one.low in _BESIDE_IT for one in self.coming.pieces)
        if self.coming is not None and self.coming.join == "that's" and not beside:
            return False
        if self.coming is not None and not self.coming.join and self.coming.pieces[0].sort is Sort.VERB:
            return False
        return self.without_verb or self.last_verb is None or self.last_verb.sense not in _LOOKS

    def _rest_too(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Undo four of the six, then the other two`: the same is done to the rest."""
        if len(parts) != 1 or not parts[0].marks & REST or not self.said or self.objects[-1] is None:
            return False
        self.add(segment, self.said[-1].verb, self.objects[-1], parts[0].low, parts=parts)
        return True

    def _sizes_only(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Four ten-mil off`: fasteners that are named by their size alone."""
        if not parts or not any(piece.quantity and piece.quantity.of is Of.SIZE for piece in parts):
            return False
        if not all(piece.quantity or piece.low in lexicon.OFF_WORDS | {"in", "on", "back"} for piece in parts):
            return False
        where = direction_of(parts, ())
        if where in {"off", "on"}:
            self.add(segment, Verb.UNDO if where == "off" else Verb.START, None, "", parts=parts)
        return where in {"off", "on"}

    def _screws_too(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Lid back on, four screws`; `Rod off, one 10 mm nut`: in the same sentence, done to the fasteners too."""
        if not parts or parts[0].sort is not Sort.NAME or not self.said or segment.join:
            return False
        last, first = self.said[-1], parts[0]
        by_hand = len(parts) > 1 and {piece.low for piece in parts[1:]} <= _BY_HAND
        near = segment.start - last.end <= _LISTED and not set(self.between(segment)) & set("!?;")
        same_sentence = near and "." not in self.between(segment)
        if first.head not in lexicon.FASTENERS or not (len(parts) == 1 or by_hand):
            return len(parts) == 1 and same_sentence and self._renewed_too(segment, first)
        if self.back:
            right_behind = last.verb is Verb.FIT and segment.start - last.end <= _RIGHT_BEHIND
            if not (
                by_hand
                or "new" in first.marks
                or (first.count and (right_behind or (same_sentence and last.verb in _PUT_ON)))
            ):
                return False
            self.add(segment, Verb.START, self._named(first, parts), first.low, parts=parts)
            return True
        screwed = lexicon.FASTENERS[first.head] in {"bolt", "nut", "screw"}
        if not (same_sentence and first.count and screwed and last.verb in _TOOK_OFF):
            return False
        self.add(segment, Verb.UNDO, self._named(first, parts), first.low, parts=parts)
        return True

    def _renewed_too(self, segment: Segment, name: Piece) -> bool:
        """`Valve on, new gasket, three bolts`."""
        new = "new" in name.marks and singular(name.head) in RENEWED
        if not new or not self.back or self.said[-1].verb not in _PUT_ON:
            return False
        self.add(segment, Verb.RENEW, self._named(name, (name,)), name.low, parts=(name,))
        return True
