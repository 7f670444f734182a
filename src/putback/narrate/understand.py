"""One idea: each segment gives what was done, to which thing, how many, with what.

The verb gives the sense, the particle the direction, the thing the manner ("pull off" a hose is not "pull" a service
plug). A thing only spoken of ("there are two nuts on it") is remembered with its numbers for what is done to it next.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from putback.core.operations import Verb
from putback.narrate import lexicon
from putback.narrate.decide import Act, act_of, direction_of
from putback.narrate.lexicon import Sense
from putback.narrate.parts_of import (
    INTRANSITIVE,
    INTRODUCES,
    NO_OBJECT,
    by_itself,
    chosen,
    is_energy_name,
    only_told,
    owner_of,
    takes_off,
    without_purpose,
)
from putback.narrate.phrases import Piece, Sort, pieces
from putback.narrate.quantities import Of
from putback.narrate.said import Said
from putback.narrate.segments import Mood, Segment, segments
from putback.narrate.special import Known, known_sentence
from putback.narrate.spoken import Spoken
from putback.narrate.things import Thing
from putback.narrate.writing import Writing

_PLURAL_PRONOUNS = frozenset({"them", "those", "these", "they", "both", "all", "lot", "ones"})
_TOOLS = lexicon.words_of("spanner socket wrench ratchet driver extension pliers tester scanner meter torch lamp")
_STOWED = lexicon.words_of("bench surface dash floor table shelf tray drawer side trolley box pocket counter")
_GOES_ON = 8
"""So many signs may stand between an operation and the words that go on with it."""


def operations(spoken: Spoken) -> list[Said]:
    """The operations that were said, in the order of the text, without twins."""
    return _Understanding(spoken).read()


class _Understanding(Writing):
    """What is known while a narration is read from its beginning to its end."""

    def __init__(self, spoken: Spoken) -> None:
        super().__init__(spoken)
        self.topic: Thing | None = None
        self.last_verb: Piece | None = None
        self.segment: Segment | None = None

    def read(self) -> list[Said]:
        for segment in segments(pieces(self.spoken.text, self.spoken.breaks)):
            self._segment(segment)
        return [
            replace(one, n=n, object=thing.name if thing is not None else one.object)
            for n, (one, thing) in enumerate(zip(self.said, self.objects, strict=True), start=1)
        ]

    def _segment(self, segment: Segment) -> None:
        self.segment = segment
        parts = [piece for piece in segment.pieces if piece.low not in {"just", "then"}]
        done = segment.mood is Mood.DONE and self._done(segment, parts)
        if not done:
            self._remember(parts)
            if segment.mood is Mood.DONE:
                self.attach(segment, parts)

    def _done(self, segment: Segment, parts: list[Piece]) -> bool:
        known = known_sentence(parts, self.said, segment.start)
        if known is not None:
            return self._known(segment, known)
        if segment.join in INTRODUCES and parts and parts[0].low == "got":
            return False
        verbs = chosen(parts)
        for verb in verbs:
            if self._verb(segment, parts, verb):
                self.last_verb = verb
                return True
        return not verbs and (self._result(segment, parts) or self._same_again(segment, parts))

    def _known(self, segment: Segment, known: Known) -> bool:
        if known.verb is None:
            return False
        verb = known.verb
        if verb is Verb.READ_BEFORE and self.back:
            verb = Verb.READ_AFTER
        thing = None
        if known.of is not None:
            thing = self.things.named(known.of)
        self.add(segment, verb, thing, known.object)
        return True

    # things

    def _remember(self, parts: Sequence[Piece]) -> None:
        names = [piece for piece in parts if piece.sort is Sort.NAME and piece.head not in NO_OBJECT]
        for piece in names:
            self._named(piece, parts)

    def _named(self, piece: Piece, parts: Sequence[Piece]) -> Thing:
        """The thing that a name means, fasteners with what they hold."""
        if "its" in piece.marks and piece.head in {"plug", "connector"} and self.topic is not None:
            piece = replace(piece, words=(*self.topic.words, "connector"), low="connector")
        if piece.words == ("one",):
            return self._the_new_one() or self.things.named(piece)
        owner = None
        if piece.head in lexicon.FASTENERS:
            named = owner_of(piece, parts)
            owner = self.things.named(named) if named is not None else None
            if owner is None and self.things.find(piece, near=self.topic) is None:
                owner = self.topic
        thing = self.things.named(piece, owner=owner, near=self.topic)
        self.topic = thing if not thing.kind else thing.owner or self.topic
        return thing

    def _the_new_one(self) -> Thing | None:
        """`The new one`: of the part that came off last."""
        for one, thing in zip(reversed(self.said), reversed(self.objects), strict=True):
            if one.verb in (Verb.REMOVE, Verb.UNPLUG) and thing is not None and not thing.kind:
                return thing
        return None

    def _pronoun(self, piece: Piece, verb: Piece, after: Sequence[Piece]) -> Thing | None:
        inner = next((one for one in after[1:3] if one.sort is Sort.NAME), None)
        if (
            piece.low in {"all", "both", "these", "those", "lot"}
            and inner is not None
            and len(after) > 1
            and (after[1].low == "of" or after[1] is inner)
        ):
            return self._named(inner, after)
        plural = piece.low in _PLURAL_PRONOUNS
        just = self._just_done(plural)
        if just is not None and takes_off(verb, after):
            return just
        if verb.sense is Sense.TIGHTEN and plural:
            fastener = self.things.newest(plural=True, fastener=True)
            if fastener is not None:
                return fastener
        fastener_too = False if verb.sense is Sense.ASIDE else None
        off = {True: False, False: None}[takes_off(verb, after)]
        return (
            self.things.newest(plural=plural, fastener=fastener_too, off=off)
            or self.things.newest(plural=plural)
            or self.things.newest()
        )

    def _just_done(self, plural: bool) -> Thing | None:
        """`Slide the duct off and pull it out`: what was just worked on, where the next words go on with it."""
        if not self.said or self.segment is None or self.segment.join != "and":
            return None
        thing = self.objects[-1]
        near = self.segment.start - self.said[-1].end < _GOES_ON
        return thing if thing is not None and near and thing.plural is plural and not thing.kind else None

    def _object(self, parts: Sequence[Piece], at: int) -> tuple[Thing | None, Piece | None]:
        """What is done to: the subject of "goes back on", else the name after the verb, else the one before it."""
        before, verb, after = parts[:at], parts[at], parts[at + 1 :]
        if by_itself(verb, before, after):
            found = self._before(before, parts, verb)
            if found[0] is not None:
                return found
        if verb.low in INTRANSITIVE:
            return self._before(before, parts, verb)
        over = verb.sense in (Sense.INSPECT, Sense.CHECK, Sense.FILL, Sense.MEASURE)
        for n, piece in enumerate(after):
            if piece.head in _TOOLS and verb.sense in (Sense.MOVE, Sense.ON, Sense.PLUG):
                before = []
                break
            if piece.sort is Sort.PREPOSITION and piece.low != "of" and not over:
                break
            if piece.sort is Sort.NAME and piece.head not in NO_OBJECT:
                return self._named(piece, parts), piece
            if piece.sort is Sort.PRONOUN:
                return self._pronoun(piece, verb, after[n:]), None
            if piece.sort is Sort.QUANTITY and piece.quantity and piece.quantity.of is Of.COUNT:
                return self.things.newest(plural=True), None
        return self._before(before, parts, verb)

    def _before(
        self, before: Sequence[Piece], parts: Sequence[Piece], verb: Piece
    ) -> tuple[Thing | None, Piece | None]:
        for piece in reversed(before):
            if piece.sort is Sort.NAME and piece.head not in NO_OBJECT:
                return self._named(piece, parts), piece
            if piece.sort is Sort.PRONOUN or piece.low in {"they", "it's"}:
                return self._pronoun(piece, verb, ()), None
        return None, None

    # operations

    def _verb(self, segment: Segment, parts: list[Piece], verb: Piece) -> bool:
        if verb.low.startswith("replac") and not self.said:
            return False
        parts = without_purpose(parts)
        at = parts.index(verb)
        self._remember([one for one in parts[:at] if one.sort is Sort.NAME])
        thing, piece = self._object(parts, at)
        if thing is None and verb.sense is Sense.TIGHTEN:
            thing = self._just_started()
        torque = next((p.quantity for p in parts if p.quantity and p.quantity.of is Of.TORQUE), None)
        act = Act(
            verb=verb,
            thing=thing,
            direction=direction_of(parts[at + 1 :], parts[:at]),
            words=frozenset(word for one in parts for word in (one.words or (one.low,))),
            torque=torque is not None,
            back=self.back,
            new=piece is not None and "new" in piece.marks,
            guarded=self._is_guarded(),
            stowed=any(one.sort is Sort.NAME and one.head in _STOWED for one in parts[at + 1 :]),
        )
        operation = act_of(act)
        if operation is None:
            return False
        if torque is not None and thing is not None and not thing.kind and self._just_started() is not None:
            thing = self._just_started() if piece is None else thing
        if operation in (Verb.GUARD, Verb.UNGUARD):
            thing, piece = self._guarded(operation, parts, at, thing, piece)
        self.add(segment, operation, thing, piece.low if piece else "", parts=parts, torque=torque)
        if operation is Verb.FIT:
            self._with_fasteners(segment, parts[at + 1 :])
        return True

    def _with_fasteners(self, segment: Segment, after: Sequence[Piece]) -> None:
        """`The shield goes back on with its three bolts`: the fasteners are put in too."""
        for before, piece in pairwise(after):
            fastener = piece.sort is Sort.NAME and piece.head in lexicon.FASTENERS and piece.count is not None
            if fastener and self.back and (before.low in {"with", "top"} or before.sort is Sort.PARTICLE):
                part = replace(segment, pieces=tuple(one for one in segment.pieces if one.start >= before.start))
                self.add(part, Verb.START, self._named(piece, after), piece.low, parts=(piece,))

    def _guarded(
        self, operation: Verb, parts: Sequence[Piece], at: int, thing: Thing | None, piece: Piece | None
    ) -> tuple[Thing | None, Piece | None]:
        """What is covered, and not what it is covered with."""
        names = [one for one in parts[at + 1 :] if one.sort is Sort.NAME and one.head not in NO_OBJECT]
        open_things = [one for one in names if not set(one.words) & lexicon.GUARDS]
        if open_things:
            return self._named(open_things[0], parts), open_things[0]
        if operation is Verb.UNGUARD:
            for one, other in zip(reversed(self.said), reversed(self.objects), strict=True):
                if one.verb is Verb.GUARD and other is not None:
                    return other, None
        return thing, piece

    def _is_guarded(self) -> bool:
        """Whether something is covered or plugged now."""
        return self.guards > 0

    def _just_started(self) -> Thing | None:
        for one, thing in zip(reversed(self.said[-3:]), reversed(self.objects[-3:]), strict=True):
            if one.verb in (Verb.START, Verb.RESTORE) and thing is not None:
                return thing
        return None

    def _result(self, segment: Segment, parts: list[Piece]) -> bool:
        """A thing and where it went, without a verb: `Trim out.` `Hose back on.` `12 volt negative off.`"""
        n = next((n for n, piece in enumerate(parts) if piece.sort is Sort.NAME), None)
        if n is None:
            return self._sizes_only(segment, parts) or self._is_off(segment, parts)
        after = parts[n + 1 :]
        if not after or only_told(segment.join, parts, parts[n]):
            return False
        if self._next_or_torqued(segment, parts, parts[n], after):
            return True
        if after[0].sort is not Sort.PARTICLE or not self._is_act(parts, n, after):
            return False
        return self._went(segment, parts, parts[n], after)

    def _next_or_torqued(self, segment: Segment, parts: Sequence[Piece], name: Piece, after: Sequence[Piece]) -> bool:
        """`Battery negative next.` `Wheel nuts to 110 newton metres.`"""
        torque = next((piece.quantity for piece in after if piece.quantity and piece.quantity.of is Of.TORQUE), None)
        if after[0].low == "next" and is_energy_name(name):
            self.add(segment, Verb.ISOLATE, self._named(name, parts), name.low, parts=parts)
            return True
        if torque is None or after[0].low not in {"to", "at"}:
            return False
        self.add(segment, Verb.TIGHTEN, self._named(name, parts), name.low, parts=parts, torque=torque)
        return True

    def _is_act(self, parts: Sequence[Piece], n: int, after: Sequence[Piece]) -> bool:
        """Whether `two clips off the door` was done, and not only says where they are."""
        if len(after) < 2 or after[0].low == "back" or after[1].sort not in (Sort.NAME, Sort.PRONOUN):
            return True
        terse = n == 0 and not any(piece.sort is Sort.SUBJECT for piece in parts)
        return terse and (after[0].low in lexicon.OFF_WORDS or self.back or "new" in parts[n].marks)

    def _went(self, segment: Segment, parts: Sequence[Piece], name: Piece, after: Sequence[Piece]) -> bool:
        act = Act(
            verb=None,
            thing=self._named(name, parts),
            direction=direction_of(after, ()),
            new="new" in name.marks,
            words=frozenset(word for one in parts for word in (one.words or (one.low,))),
            back=self.back,
        )
        operation = act_of(act)
        if operation is None:
            return False
        self.add(segment, operation, act.thing, name.low, parts=parts)
        if operation is Verb.FIT:
            self._with_fasteners(segment, after)
        return True

    def _is_off(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Give it a tug and it's off.`"""
        if segment.join != "it's" or not parts or parts[0].low not in {"off", "out"}:
            return False
        thing = self.things.newest(plural=False)
        operation = act_of(Act(verb=None, thing=thing, direction="off", back=self.back))
        if operation is None or self.back:
            return False
        self.add(segment, operation, thing, "")
        return True

    def _same_again(self, segment: Segment, parts: list[Piece]) -> bool:
        """`Reconnect the plug and the hose`: the second name has the verb of the first."""
        names = [piece for piece in parts if piece.sort is Sort.NAME and piece.head not in NO_OBJECT]
        if self._screws_too(segment, parts):
            return True
        if segment.join != "and" or len(names) != len(parts) or len(names) != 1 or not self.said or not self.last_verb:
            return False
        if segment.start - self.said[-1].end > 8 or self.last_verb.sense in (Sense.INSPECT, Sense.CHECK):
            return False
        thing = self._named(names[0], parts)
        operation = act_of(
            Act(verb=self.last_verb, thing=thing, direction="on" if self.back else "off", back=self.back)
        )
        if operation is None:
            return False
        self.add(segment, operation, thing, names[0].low, parts=parts)
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
        """`Lid back on, four screws.`"""
        if len(parts) != 1 or parts[0].head not in lexicon.FASTENERS or not parts[0].count or not self.said:
            return False
        last = self.said[-1]
        if last.verb is not Verb.FIT or segment.join or segment.start - last.end > 3 or not self.back:
            return False
        self.add(segment, Verb.START, self._named(parts[0], parts), parts[0].low, parts=parts)
        return True
