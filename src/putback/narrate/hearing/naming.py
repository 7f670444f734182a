"""One idea: a name, a pronoun or nothing at all said with a verb means one thing that is known or new."""

from collections.abc import Sequence, Set
from dataclasses import replace
from itertools import takewhile

from putback.core.operations import Verb
from putback.narrate.hearing.writing import Writing
from putback.narrate.phrase.phrases import BY_SIZE, IS, PLACED, REST, Piece, Sort, words_in
from putback.narrate.phrase.segments import Segment
from putback.narrate.sense.act import BATTERY_ENDS, is_energy, without_places
from putback.narrate.sense.covering import guard_at, is_guard
from putback.narrate.sense.parts_of import (
    INTRANSITIVE,
    INTRODUCES,
    TAKES_OFF,
    by_itself,
    held_by,
    is_flow_meter,
    is_part,
    is_stowed,
    owner_of,
    takes_off,
)
from putback.narrate.sense.things import Thing, is_plural, singular
from putback.narrate.text.quantities import Of
from putback.narrate.text.spoken import Spoken
from putback.narrate.words import lexicon
from putback.narrate.words.lexicon import ACROSS, Sense

_TELLS_OF = lexicon.words_of(
    "show showed shown tell told mention mentioned mean meant need needed want wanted use used"
)
"""`The bolt I showed you`: what is told of it, and nothing done."""
_THOSE = frozenset({"those", "these", "both"})
_TOO = lexicon.words_of("also too then itself only now")
_PLURAL_PRONOUNS = frozenset({"them", "those", "these", "they", "both", "all", "lot", "ones"})
_TOOLS = lexicon.words_of("spanner socket wrench ratchet driver extension pliers tester scanner meter torch")
_PLUGS = lexicon.words_of("connector connectors plug plugs lead leads wiring electrics")
_ITS = frozenset({"its", "his", "her"})
_DRAINED = lexicon.words_of("rad radiator sump pan gearbox case reducer tank block diff transaxle casing")
_PLUG_OFF = frozenset({"plug", "connector"})
_RUN = frozenset({"engine", "car", "vehicle", "system"})
_HANDLES = lexicon.words_of("handle lever lock slide catch latch tab")
_HAS_A_HANDLE = lexicon.words_of("plug connector disconnect")
_OWNS_A_HANDLE = 5
_BUILT = ("push", "clip", "snap", "screw", "bolt", "plug", "slot", "press")
_HOLDING = frozenset({"holding", "securing", "that", "which", "retaining"})
_UNWINDS = lexicon.words_of("spin spun wind wound back backed run ran unwind unscrew zip zipped buzz buzzed")
_POURED = frozenset({Verb.DRAIN, Verb.FILL})
_TURNS_OUT = lexicon.words_of(
    "get got gets take took takes run ran spin spun wind wound knock knocked pop popped have"
)
_OF_NO_FASTENER = frozenset({Sense.ASIDE, Sense.UNPLUG, Sense.PLUG})
_VOLTS = 12
_OF_SEVERAL = frozenset({"each", "every", "either"})
"""`A nut on each arm` are several nuts."""
_FEW = 4
_OF_THE_PLUG = lexicon.words_of("handle lever lock latch catch tab clip cover lid")
_LONG_AFTER = 200
"""So many characters after it was named a service plug is not meant by `that plug`."""
_LOOKED_BACK = 200
"""So many operations are looked back at for what was told already."""
_SUBJECT_LASTS = 200
"""So many signs on a sentence is about the same thing, at most."""
_SCREWED_IN = frozenset({"plug", "sensor", "filter", "nipple", "probe"})
"""Such a thing is tightened itself; an electrical plug is plugged in, and not fitted."""
_GOES_ON = 8
"""So many signs may stand between an operation and the words that go on with it."""


def _inside_phrase(before: Sequence[Piece]) -> set[int]:
    """`The two screws at the top of the panel`: the places of names that only say where the first one is."""
    names = [k for k, piece in enumerate(before) if piece.sort is Sort.NAME]
    inside = {k for k in names if k and before[k - 1].sort in (Sort.PREPOSITION, Sort.PARTICLE)}
    free = [k for k in names if k not in inside and is_part(before[k])]
    return {k for k in inside if free and k > free[0]} if before and before[-1].sort is not Sort.PARTICLE else set()


def _sizes(piece: Piece) -> bool:
    """Whether it says a width: `10 mm`, `a 5 mm hex socket`."""
    return (piece.head in _TOOLS and piece.size is not None) or bool(piece.quantity and piece.quantity.of is Of.SIZE)


def _same_as_told(known: Thing, thing: Thing) -> bool:
    """Whether what is spoken of was told: the thing itself, what it holds, or one of that name."""
    if thing.kind and known.kind:
        return known is thing or (known.owner is thing.owner and thing.count in (known.count, None))
    return known is thing or known.head == thing.head or known.owner is thing


def _plug_of(piece: Piece, parts: Sequence[Piece]) -> Piece | None:
    """`The connectors of the two sensors`, `the plug from the pump`: of what they are."""
    if len(piece.words) != 1 or piece.head not in _PLUGS:
        return None
    after = [one for one in parts if one.start > piece.start]
    of = len(after) > 1 and after[0].low in {"of", "from", "for", "off", "on", "at"} and after[1].sort is Sort.NAME
    return after[1] if of and is_part(after[1]) and after[1].head not in lexicon.STORES else None


def _without_number_first(pieces: Sequence[Piece]) -> Sequence[Piece]:
    """`The 2-pin plug …`: without the number that a name begins with."""
    first = next((n for n, piece in enumerate(pieces) if piece.sort not in (Sort.SMALL, Sort.QUANTITY)), 0)
    return pieces[first:]


def up_to_where(after: Sequence[Piece]) -> list[Piece]:
    """What stands between a verb and the first word of place after it."""
    return list(takewhile(lambda one: one.sort not in (Sort.PREPOSITION, Sort.PARTICLE), after))


def _of_a_battery(piece: Piece, parts: Sequence[Piece]) -> bool:
    """`The earth lead of the battery`."""
    after = [one for one in parts if one.start > piece.start]
    if len(after) < 2 or after[0].low not in {"of", "from", "on", "off"}:
        return False
    number = next((one.quantity.number.value for one in after[1:3] if one.quantity is not None), None)
    off_post = after[0].low in {"off", "from"} and after[1].words in (("post",), ("terminal",), ("battery", "post"))
    return after[1].head == "battery" or number == _VOLTS or off_post


class Naming(Writing):
    """Finds the thing that is meant, with what is known so far."""

    def __init__(self, spoken: Spoken) -> None:
        super().__init__(spoken)
        self.topic: Thing | None = None
        self.last_verb: Piece | None = None
        self.segment: Segment | None = None
        self.without_verb = False
        self.recalling = False
        self.coming: Segment | None = None
        self.subject: Thing | None = None
        self.subject_in = -1
        self.subject_at = 0
        self.passive_in = -1
        self.last_named: Segment | None = None
        self.terse = False
        self.without_verbs: Set[int] = frozenset()
        self.stops = False
        self.following: Segment | None = None

    def _keep_subject(self, segment: Segment, parts: Sequence[Piece]) -> None:
        """Remember what a sentence is about, for the verbs that follow without naming it."""
        at = next((n for n, piece in enumerate(parts) if piece.sort in (Sort.VERB, Sort.SUBJECT)), len(parts))
        inside = _inside_phrase(parts[:at])
        name = next(
            (p for n, p in enumerate(parts[:at]) if p.sort is Sort.NAME and n not in inside and is_part(p)), None
        )
        if name is None and parts and parts[0].low in {"these", "those", "they", "both"} and self.stops:
            thing = self.things.newest(plural=True, fastener=True) or self.things.newest(plural=True)
            self.subject, self.subject_in, self.subject_at = thing, segment.sentence, segment.start
            return
        if name is None or parts[0].low == "having" or segment.join == "which" or name.head in _RUN:
            return
        if self.subject_in == segment.sentence and at == len(parts) and name.marks & {"a", "an"}:
            return
        self.subject, self.subject_in, self.subject_at = self.things.find(name), segment.sentence, segment.start
        if any(piece.low in {"was", "were"} for piece in parts[: at + 1]):
            self.passive_in = segment.sentence

    def _subject(self, segment: Segment) -> Thing | None:
        near = segment.start - self.subject_at < _SUBJECT_LASTS
        return self.subject if self.subject_in == segment.sentence and near else None

    def _gone_on_with(self, segment: Segment, parts: Sequence[Piece], at: int) -> Thing | None:
        """`The lead, a 10 mm nut, was parted`; `the cable, which is long, was laid over`: the subject."""
        before = parts[:at]
        passive = bool(before) and before[0].low in {"was", "were", "been", "being", "is", "are"}
        bare = not before and lexicon.is_participle(parts[at].low) and self._goes_on_in_a_row(segment)
        alone = at + 1 >= len(parts) or parts[at + 1].sort in (Sort.PARTICLE, Sort.PREPOSITION, Sort.SMALL)
        passive = passive or (bare and alone and self.passive_in == segment.sentence)
        named = any(piece.sort in (Sort.NAME, Sort.PRONOUN, Sort.SUBJECT) for piece in before)
        return self._subject(segment) if passive and not named else None

    def _goes_on_in_a_row(self, segment: Segment) -> bool:
        """`… was tilted, lifted out and placed`: one of several things done to the same."""
        coming = self.coming.pieces[0] if self.coming is not None and self.coming.join == "and" else None
        listed = coming is not None and coming.sort is Sort.VERB and lexicon.is_participle(coming.low)
        return segment.join in {"and", "then"} or (not segment.join and listed)

    def _was_the_first(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`The cable was the first thing I took off.`"""
        before = self.last_named
        told = before is not None and before.sentence == segment.sentence and parts[0].sort is Sort.SUBJECT
        lows = {piece.low for piece in before.pieces} if told and before is not None else set[str]()
        return "was" in lows and bool(lows & {"first", "last", "next", "only"})

    def _tells_how(self, parts: Sequence[Piece], verb: Piece) -> bool:
        """`A trim that just snaps on`, `two wires push onto it`: how it is built, in the present."""
        before = parts[: parts.index(verb)]
        named = any(piece.sort is Sort.NAME for piece in before)
        if not named or any(piece.sort in (Sort.SUBJECT, Sort.PARTICLE) for piece in before):
            return False
        if self.terse or lexicon.is_participle(verb.low) or verb.low.endswith("ing"):
            return False
        relative = before[-1].low == "that"
        onto = {"onto", "into"} & {piece.low for piece in parts} and verb.low.startswith(_BUILT)
        return relative or bool(onto and (not self.said or self.said[-1].verb in TAKES_OFF))

    def _acted(self, parts: Sequence[Piece]) -> bool:
        return any(piece.sort in (Sort.NAME, Sort.PRONOUN, Sort.SUBJECT) for piece in parts)

    def _only_stands_on(self, parts: Sequence[Piece], verb: Piece, thing: Thing | None, piece: Piece | None) -> bool:
        """`The hub goes on with four bolts`: how it is built, where nothing came off yet."""
        new = (piece is not None and "new" in piece.marks) or any(one.low == "back" for one in without_places(parts))
        purpose = self.segment is not None and self.segment.join == "so" and not self.back
        if purpose and verb.low in INTRANSITIVE:
            return True
        told = verb.low in INTRANSITIVE or verb.low in {"followed", "hit"} or self._tells_how(parts, verb)
        return told and not self.back and thing is not None and not thing.off and not new

    def _only_recalled(self, operation: Verb, thing: Thing | None, piece: Piece | None) -> bool:
        """`Once the cover is off`: what was told already, or is not named, is only looked back at."""
        if not self.recalling:
            return False
        if operation not in TAKES_OFF or thing is None or (piece is None and operation is not Verb.UNDO):
            return True
        recent = zip(self.said[-_LOOKED_BACK:], self.objects[-_LOOKED_BACK:], strict=True)
        told = [known for one, known in recent if one.verb in TAKES_OFF and known]
        return any(_same_as_told(known, thing) for known in told)

    def _remember(self, parts: Sequence[Piece], among: Sequence[Piece] | None = None) -> None:
        names = [piece for piece in parts if piece.sort is Sort.NAME and is_part(piece)]
        ends = next((k for k in range(len(parts), 0, -1) if parts[k - 1].sort is not Sort.PARTICLE), 0)
        inside = {id(parts[k]) for k in _inside_phrase(parts[:ends]) if parts[k].head not in lexicon.FASTENERS}
        fasteners = [piece for piece in names if piece.head in lexicon.FASTENERS]
        spoken_of: list[tuple[Piece, Thing]] = []
        for piece in sorted(names, key=lambda one: id(one) not in inside):
            thing = self._named(piece, parts if among is None or piece.head not in lexicon.FASTENERS else among)
            spoken_of.append((piece, thing))
            size = next((one for one in parts if _sizes(one)), None)
            alone = len(names) == 1 or fasteners == [piece]
            if alone and thing.kind and thing.size is None and size is not None:
                thing.says(min(piece.start, size.start))
                thing.size = size.size or size.low
        whole = [thing for piece, thing in spoken_of if id(piece) not in inside and not thing.kind]
        if inside and whole:
            for thing in (whole[-1], *(one for _, one in spoken_of if one.kind)):
                self.things.bring_up(thing)

    def _named(self, piece: Piece, parts: Sequence[Piece]) -> Thing:
        """The thing that a name means, fasteners with what they hold."""
        if piece.marks & _ITS and piece.head in {"plug", "connector"} and self.topic is not None:
            words = self.topic.words if self.topic.head in {"connector", "plug"} else (*self.topic.words, "connector")
            piece = replace(piece, words=words, low="connector")
        known = self._by_its_word(piece)
        if known is not None:
            return known
        if piece.words in (("plug",), ("plugs",), ("connector",)):
            piece = self._which_plug(piece, parts)
        if piece.words == ("plugs",) and "new" in piece.marks and (spark := self._spark_plugs()) is not None:
            return spark
        told = self.things.find(piece) if piece.head in BATTERY_ENDS else None
        lead_known = told is not None and is_energy(told)
        of_battery = _of_a_battery(piece, parts) or (len(piece.words) == 1 and self._nut_of_a_lead() is not None)
        if piece.head in BATTERY_ENDS and not lead_known and of_battery:
            piece = replace(piece, words=("battery", *piece.words), low=f"battery {piece.low}")
        of_wheel = self.topic is not None and self.topic.head == "wheel"
        if BY_SIZE in piece.marks and piece.head.startswith("bolt") and of_wheel:
            piece = replace(piece, words=("wheel", piece.head.replace("bolt", "nut")))
        of = _plug_of(piece, parts)
        if of is not None:
            words = (*(one for one in of.words if one not in piece.words), *piece.words)
            piece = replace(piece, words=words, low=" ".join(words), count=piece.count or of.count)
        owner = None
        if piece.head in lexicon.FASTENERS:
            named = owner_of(piece, parts)
            owner = self.things.named(named) if named is not None else None
            held = held_by(piece.words)
            if owner is None and held:
                owner = self.things.named(replace(piece, words=held, count=None, size=None))
            if owner is None and self.things.find(piece, near=self.topic) is None:
                owner = self.topic
        thing = self.things.named(piece, owner=owner, near=self.topic)
        if thing.kind and any(one.low in _OF_SEVERAL or one.marks & _OF_SEVERAL for one in parts):
            thing.plural = True
            thing.at_each = True
        if self.topic is None or thing.head not in _PLUGS:
            self.topic = thing if not thing.kind else thing.owner or self.topic
        return thing

    def _by_its_word(self, piece: Piece) -> Thing | None:
        """`The new one`, `the old ones`, `the plug` of what was just fitted: what a word by itself means."""
        if piece.words == ("one",) and "old" in piece.marks and (old := self._the_old_one()) is not None:
            return old
        if piece.words == ("one",):
            worn = self._worn() if "new" in piece.marks else None
            return worn or self._the_new_one() or self.things.named(piece)
        if piece.words == ("ones",):
            gone = self.things.newest(plural=True, off=True, among=20)
            return gone or self.things.newest(plural=True) or self.things.named(piece)
        if len(piece.words) == 1 and piece.head in _PLUG_OFF and (named := self._plug_named_before(piece)) is not None:
            return named
        return self._own_plug() if piece.words == ("plug",) else None

    def _plug_named_before(self, piece: Piece) -> Thing | None:
        """`Upper oxygen sensor, plug off`: the plug of what is named right before it."""
        before, here = self.last_named, self.segment
        if before is None or here is None or before.sentence != here.sentence or here.join or before is here:
            return None
        name = before.pieces[0]
        if len(before.pieces) != 1 or name.sort is not Sort.NAME or not is_part(name) or piece.marks & {"the"}:
            return None
        if name.head in lexicon.FASTENERS or set(name.words) & _PLUGS or is_guard(name):
            return None
        words = (*name.words, piece.head)
        return self.things.named(replace(name, words=words, low=" ".join(words)))

    def _at_the_back_of_it(self, piece: Piece, parts: Sequence[Piece]) -> bool:
        """`The plug at the back of it`, `the connector behind it`: of what was spoken of last."""
        lows = [one.low for one in parts if one.start > piece.start]
        at = lows[:4] in (["at", "the", "back", "of"], ["on", "the", "back", "of"], ["in", "the", "back", "of"])
        it = lows[4:5] if at else lows[1:2] if lows[:1] in (["behind"], ["on"], ["at"], ["from"]) else []
        return it == ["it"]

    def _long_after_the_service_plug(self, piece: Piece, parts: Sequence[Piece]) -> bool:
        """`There's the lamp behind, I squeezed that plug off`: a plug by no name is not one named long before."""
        alone = piece.words == ("plug",) and not piece.marks & {IS, "a"} and self.topic is not None
        if not alone or any(one.sort is Sort.NAME for one in parts if one.start > piece.start):
            return False
        if self.topic is not None and self.topic.head in _OF_THE_PLUG:
            return False
        known = next((one for one in reversed(self.things.known) if one.head == "plug"), None)
        return known is not None and is_energy(known) and piece.start - known.last > _LONG_AFTER

    def _of_the_topic(self, piece: Piece) -> Piece:
        """A plug as that of what is spoken of."""
        topic = self.topic
        if topic is None or topic.head in _PLUGS or is_energy(topic):
            return piece
        words = (*topic.words, *piece.words)
        return replace(piece, words=words, low=" ".join(words))

    def _spark_plugs(self) -> Thing | None:
        """`New plugs started by hand`: the spark plugs that are off."""
        return next((one for one in reversed(self.things.known) if one.words == ("spark", "plugs") and one.off), None)

    def _which_plug(self, piece: Piece, parts: Sequence[Piece]) -> Piece:
        """`Plug out of the radiator`, `plugs cracked loose`: drain plugs and spark plugs, which end no wire."""
        if self._at_the_back_of_it(piece, parts) or self._long_after_the_service_plug(piece, parts):
            return self._of_the_topic(piece)
        after = [one for one in parts if one.start > piece.start]
        lows = [one.low for one in after[:2]]
        out_of = lows in (["out", "of"], ["back", "in"]) and len(after) > 2 and after[2].head in _DRAINED
        turned = any(one.sense is Sense.LOOSEN and one.low.startswith("crack") for one in after)
        let_out = piece.words == ("plug",) and self._just_poured() and self._wound(parts)
        kind = "drain" if out_of or let_out else "spark" if turned else ""
        if not kind or piece.head == "connector":
            return piece
        words = (kind, *piece.words)
        return replace(piece, words=words, low=" ".join(words))

    def _just_poured(self) -> bool:
        """Whether something was let out or filled in just now, and no plug was named before."""
        named = any(one is not None and one.head == "plug" for one in self.objects[-_FEW:])
        return bool(self.said) and self.said[-1].verb in _POURED and not named

    def _wound(self, parts: Sequence[Piece]) -> bool:
        """`The plug for that came out with a ten mil hex`: a plug that is turned, which ends no wire."""
        sized = any(one.size or (one.quantity and one.quantity.of is Of.SIZE) for one in parts)
        return sized or any(one.low in _UNWINDS | {"screwed", "washer", "sump"} for one in parts)

    def _the_old_one(self) -> Thing | None:
        """`I picked the old one off its groove`, `no new ones, so the old one's back in`: what it is of."""
        segment = self.segment
        if segment is None:
            return None
        if not self.back and not any(one.low == "back" for one in segment.pieces):
            return self.things.newest(off=False, fastener=False, among=3)
        thing = self._subject(segment)
        return thing if thing is not None and thing.off and not thing.plural else None

    def _own_plug(self) -> Thing | None:
        """`Sensor in, one bolt, clicked the plug home`: of the part just fitted, where its own was unplugged."""
        if not self.back:
            return None
        fitted = self._part_just_fitted()
        words = set(fitted.words) if fitted is not None else set[str]()
        if fitted is None or fitted.head in _PLUGS:
            return None
        late = zip(self.said[: -_LOOKED_BACK - 1 : -1], self.objects[: -_LOOKED_BACK - 1 : -1], strict=True)
        for one, thing in late:
            if thing is not None and set(thing.words) - _PLUGS <= words:
                if one.verb is Verb.PLUG_IN:
                    return None
                if one.verb is Verb.UNPLUG:
                    return thing
        return None

    def _worn(self) -> Thing | None:
        """`Pad worn through: new one stuck down`: what this sentence is about, and is still on the car."""
        thing = self._subject(self.segment) if self.segment is not None and self.terse else None
        if thing is None or thing.off or thing.kind:
            return None
        thing.worn = True
        return thing

    def _the_new_one(self) -> Thing | None:
        """`The new one`: of the part that came off last."""
        for one, thing in zip(reversed(self.said), reversed(self.objects), strict=True):
            if one.verb in (Verb.REMOVE, Verb.UNPLUG) and thing is not None and not thing.kind:
                return thing
        return None

    def _pronoun(self, piece: Piece, verb: Piece, after: Sequence[Piece]) -> Thing | None:
        inner = next((one for one in after[1:3] if one.sort is Sort.NAME), None)
        of_it = inner is not None and (after[1].low == "of" or after[1] is inner)
        if inner is not None and of_it and piece.low in {"all", "both", "these", "those", "lot"}:
            return self._named(inner, after)
        where = next(iter(piece.marks & PLACED), None) if "other" not in piece.marks else None
        if where is not None:
            return self.things.placed(where, piece.start)
        side = next(iter(piece.marks & ACROSS), None)
        if side is not None:
            return self.things.on_side(side, piece.start)
        return self._counted(piece, verb, after) or self._newest_for(piece, verb, after)

    def _newest_for(self, piece: Piece, verb: Piece, after: Sequence[Piece]) -> Thing | None:
        """The newest thing that a verb can be said of: what is off is not taken off."""
        plural = piece.low in _PLURAL_PRONOUNS
        last = self.objects[-1] if self.objects else None
        if piece.marks & REST and last is not None and last.plural:
            return last
        own = self._not_its_handle() if takes_off(verb, after) and not plural else None
        if own is not None:
            return own
        just = self._just_done(plural, verb)
        if just is not None and takes_off(verb, after):
            return just
        fastener = self._fasteners(verb, after) if plural else None
        if fastener is not None:
            return fastener
        moves_itself = verb.sense is Sense.MOVE and verb.low.endswith("s") and not plural
        fastener_too = False if verb.sense in _OF_NO_FASTENER or moves_itself else None
        off = False if takes_off(verb, after) or self._pops(verb, after) else None
        return (
            self.things.newest(plural=plural, fastener=fastener_too, off=off)
            or self.things.newest(plural=plural)
            or self.things.newest()
        )

    def _not_its_handle(self) -> Thing | None:
        """`I swung its handle over and drew it out`, `flipped its lock and unplugged it`: of what the handle is."""
        if not self.things.known:
            return None
        newest, *older = self.things.known[: -_OWNS_A_HANDLE - 1 : -1]
        if newest.head not in _HANDLES or newest.off:
            return None
        near = (one for one in older if newest.last - one.last < _SUBJECT_LASTS // 2 and not (one.kind or one.off))
        return next((one for one in near if one.head in _HAS_A_HANDLE), None)

    def _pops(self, verb: Piece, after: Sequence[Piece]) -> bool:
        """`Popped it.`: off, though no particle says so."""
        alone = not any(piece.sort is Sort.PARTICLE for piece in after)
        return verb.low in {"pop", "popped"} and alone and not self.back

    def _fasteners(self, verb: Piece, after: Sequence[Piece]) -> Thing | None:
        """`Tighten them`, `undo the lot`, `get those out`: what is turned or clipped, where some was spoken of."""
        if verb.sense is Sense.TIGHTEN:
            return self.things.newest(plural=True, fastener=True)
        turned = verb.sense in (Sense.OFF, Sense.LOOSEN) or verb.low in _TURNS_OUT
        if turned and takes_off(verb, after):
            return self.things.newest(plural=True, fastener=True, off=False, among=4)
        return None

    def _counted(self, piece: Piece, verb: Piece, after: Sequence[Piece]) -> Thing | None:
        """`All three of those`, `both of them`: the newest of which there are so many."""
        one = next((each.quantity for each in after[:3] if each.quantity and each.quantity.of is Of.COUNT), None)
        number = one.number.count if one is not None else 2 if piece.low == "both" else None
        if number is None or number <= 1:
            return None
        pulls = verb.sense is Sense.MOVE and verb.low not in _TURNS_OUT
        return self.things.counted(number, fasteners_first=not pulls)

    def _just_done(self, plural: bool, verb: Piece) -> Thing | None:
        """`Slide the duct off and pull it out`: what was just worked on, where the next words go on with it."""
        if not self.said or self.segment is None or self.segment.join != "and":
            return None
        thing = self.objects[-1]
        near = self.segment.start - self.said[-1].end < _GOES_ON
        if thing is None or not near or thing.plural is not plural:
            return None
        return thing if not thing.kind or (verb.low in _UNWINDS and self.said[-1].verb is Verb.UNDO) else None

    def _in_front(self, segment: Segment, parts: Sequence[Piece]) -> Segment | None:
        """What was said right before `I pushed …`, with no sign and no joining word between."""
        before = self.last_named
        if before is None or segment.join or before.sentence != segment.sentence or before.join in INTRODUCES:
            return None
        between = self.spoken.text[before.end : segment.start].strip()
        return None if between or parts[0].sort is not Sort.SUBJECT else before

    def _fronted(self, segment: Segment, parts: Sequence[Piece], at: int) -> tuple[Thing | None, Piece | None] | None:
        """`The grey plug I pushed on until it clicked`: what is named first is what it was done to."""
        before = self._in_front(segment, parts)
        if before is None:
            return None
        name, *where = _without_number_first(before.pieces)
        placed = self._placed_first(name, where, parts[at + 1 :])
        if placed is not None:
            return placed, name
        bare = all(piece.sort in (Sort.PREPOSITION, Sort.NAME, Sort.PARTICLE) or piece.low in _TOO for piece in where)
        if not where and name.low in _THOSE and before.end == name.end:
            return self._pronoun(name, parts[at], ()), None
        if name.sort is not Sort.NAME or not bare or not is_part(name) or parts[at].low in _TELLS_OF:
            return None
        if any(piece.sort in (Sort.NAME, Sort.PRONOUN) for piece in up_to_where(parts[at + 1 :])):
            return None
        return None if self._goes_on_there(segment) else (self._named(name, before.pieces), None)

    def _named_in_front(self, segment: Segment, parts: Sequence[Piece], at: int) -> Piece | None:
        """`The rag I fetched that out of there`, `the visor I pulled it down`: the name that the pronoun means."""
        before = self._in_front(segment, parts)
        if before is None:
            return None
        name = before.pieces[0]
        it = parts[at + 1] if at + 1 < len(parts) else None
        if len(before.pieces) != 1 or name.sort is not Sort.NAME or it is None or it.sort is not Sort.PRONOUN:
            return None
        several = is_plural(name.head) or (name.count or 1) > 1
        meant = it.low in ({"them", "those"} if several else {"it", "that", "him"})
        return name if meant and not it.marks and parts[0].low in {"i", "we", "you"} else None

    def _goes_on_there(self, segment: Segment) -> bool:
        """Whether a verb follows at once, to which what was named may belong."""
        following = self.following
        first = following.pieces[0] if following is not None and following.sentence == segment.sentence else None
        goes_on = first is not None and following is not None and not following.join and first.sort is Sort.VERB
        return goes_on and not self.spoken.text[segment.end : following.start if following else 0].strip()

    def _placed_first(self, name: Piece, where: Sequence[Piece], after: Sequence[Piece]) -> Thing | None:
        """`The two front ones I have slackened.`"""
        place = next(iter(name.marks & PLACED), None) if name.sort is Sort.PRONOUN and not where else None
        if place is None or any(one.sort is Sort.NAME for one in after):
            return None
        return self.things.placed(place, name.start)

    def _object(self, parts: Sequence[Piece], at: int) -> tuple[Thing | None, Piece | None]:
        """What is done to: the subject of "goes back on", else the name after the verb, else the one before it."""
        before, verb, after = parts[:at], parts[at], parts[at + 1 :]
        freed = verb.low.startswith(("releas", "free", "detach")) and any(piece.low == "by" for piece in after)
        fastener = next((one for one in after if one.head in lexicon.FASTENERS), None) if freed else None
        if fastener is not None:
            return self._named(fastener, parts), fastener
        if by_itself(verb, before, after):
            found = self._before(before, parts, verb)
            if found[0] is not None:
                return found
        behind = after[0] if before and after and all(piece.sort is Sort.PARTICLE for piece in before) else None
        if behind is not None and (behind.sort is Sort.NAME or behind.marks & PLACED):
            is_name = behind.sort is Sort.NAME
            return self._named(behind, parts) if is_name else self._pronoun(behind, verb, after[1:]), behind
        if verb.low in INTRANSITIVE:
            found = self._before(before, parts, verb)
            if found[0] is not None or verb.low not in {"sit", "sits", "sat"}:
                return found
            if after and after[0].sort in (Sort.PARTICLE, Sort.PREPOSITION):
                return None, None
        found, ends = self._after(after, parts, verb)
        return found if found[0] is not None or ends else self._before(before, parts, verb)

    def _after(
        self, after: Sequence[Piece], parts: Sequence[Piece], verb: Piece
    ) -> tuple[tuple[Thing | None, Piece | None], bool]:
        """The object after a verb; and whether a tool stands there, so that there is none before it either."""
        over = verb.sense in (Sense.INSPECT, Sense.CHECK, Sense.FILL, Sense.MEASURE, Sense.CLEAN)
        passed_over = False
        for n, piece in enumerate(after):
            if passed_over and not over and piece.sort is Sort.PARTICLE:
                break
            passed_over = passed_over or piece.sort is Sort.NAME
            if piece.head in _TOOLS and not is_flow_meter(piece) and verb.sense in (Sense.MOVE, Sense.ON, Sense.PLUG):
                return (None, None), True
            if piece.sort is Sort.PREPOSITION and piece.low != "of" and not over:
                break
            if (
                piece.sort is Sort.NAME
                and (
                    is_part(piece) or self._covers_now(piece) or (verb.sense is Sense.UNPLUG and piece.head == "lock")
                )
                and not (n and is_stowed(after[n - 1 : n + 1]))
            ):
                return (self._named(piece, parts), piece), True
            if piece.sort is Sort.PRONOUN:
                return (self._pronoun(piece, verb, after[n:]), None), True
            if piece.sort is Sort.QUANTITY and piece.quantity and piece.quantity.of is Of.COUNT:
                of_them = self.things.counted(piece.quantity.number.count) or self.things.newest(plural=True)
                return (of_them, None), True
        return (None, None), False

    def _before(
        self, before: Sequence[Piece], parts: Sequence[Piece], verb: Piece
    ) -> tuple[Thing | None, Piece | None]:
        holds = next((n for n, piece in enumerate(before) if n and piece.low in _HOLDING), len(before))
        inside = _inside_phrase(before[:holds])
        for k, piece in reversed(list(enumerate(before[:holds]))):
            if k in inside:
                continue
            if piece.quantity is not None and piece.quantity.of is Of.COUNT and piece.quantity.number.value > 1:
                return self.things.newest(plural=True, fastener=True) or self.things.newest(plural=True), None
            if piece.sort is Sort.NAME and is_part(piece):
                return self._named(piece, parts), piece
            if piece.sort is Sort.PRONOUN or piece.low in {"they", "it's"}:
                return self._pronoun(piece, verb, ()), None
        return None, None

    def _is_guarded(self, parts: Sequence[Piece]) -> bool:
        """Whether something is covered or plugged now, with what these words name."""
        words = {singular(word) for word in words_in(parts)}
        panel = "cover" in words and any(thing.head in words for thing, _ in self.covered)
        return self.guards > 0 and (panel or bool(words & self.guard_nouns))

    def _fluid(
        self, parts: Sequence[Piece], thing: Thing | None, piece: Piece | None
    ) -> tuple[Thing | None, Piece | None]:
        """`Fill it up with coolant`: what goes in, and not what it goes into."""
        fluid = next((one for one in parts if one.sort is Sort.NAME and one.head in lexicon.FLUIDS), None)
        if fluid is not None:
            return self._named(fluid, parts), fluid
        fluid_too = thing is not None and thing.head in lexicon.FLUIDS
        return (thing if fluid_too else self._drained() or thing), piece

    def _last_object(self, segment: Segment) -> Thing | None:
        """`Speaker in, plugged in`: what was just worked on, where only a verb follows."""
        if segment.join == "and" and self.said and segment.start - self.said[-1].end <= len(" and "):
            return self.objects[-1]
        near = self.said and segment.start - self.said[-1].end <= len(", ")
        return self.objects[-1] if near and (self.without_verb or "," in self.between(segment)) else None

    def _drained(self) -> Thing | None:
        """What was let out and is filled in again."""
        drained = (thing for one, thing in zip(self.said, self.objects, strict=True) if one.verb is Verb.DRAIN)
        return next(drained, None)

    def _part_just_fitted(self) -> Thing | None:
        """`Speaker in. Three screws in. Plugged in.`: the part, and not its screws."""
        for one, thing in zip(reversed(self.said[-4:]), reversed(self.objects[-4:]), strict=True):
            if one.verb is Verb.FIT and thing is not None and not thing.kind:
                return thing
        return None

    def _just_started(self) -> Thing | None:
        """What was put in last and is tightened by turning: fasteners, or a plug that is screwed in."""
        if self.said and self.said[-1].verb is Verb.FIT and self.objects[-1] is not None:
            fitted = self.objects[-1]
            near = self.segment is not None and self.segment.start - self.said[-1].end < _GOES_ON
            if near and fitted.head in _SCREWED_IN:
                return fitted
        for one, thing in zip(reversed(self.said[-3:]), reversed(self.objects[-3:]), strict=True):
            if one.verb in (Verb.START, Verb.RESTORE) and thing is not None:
                return thing
        return None

    def _guarded(
        self, operation: Verb, parts: Sequence[Piece], at: int, thing: Thing | None, piece: Piece | None
    ) -> tuple[Thing | None, Piece | None]:
        """What is covered, and not what it is covered with."""
        names = [one for one in parts[at + 1 :] if one.sort is Sort.NAME and is_part(one)]
        guard = guard_at(parts)
        open_things = [one for one in names if not (is_guard(one) or self._guards_with(one))]
        if guard is not None:
            open_things = [one for one in open_things if one is not parts[guard]]
        if open_things:
            return self._named(open_things[0], parts), open_things[0]
        if operation is Verb.UNGUARD:
            return self._covered_with(parts) or thing, piece
        if any(one.sort is Sort.PRONOUN for one in parts[at + 1 :]):
            return self.things.newest() or thing, None
        return thing, piece

    def _covers_now(self, piece: Piece) -> bool:
        """Whether a name is of what guards something now: `my glove`."""
        return self.guards > 0 and singular(piece.head) in self.guard_nouns

    def _guards_with(self, piece: Piece) -> bool:
        """Whether a name is of what something is guarded with."""
        return bool(set(piece.words) & lexicon.GUARDS) or singular(piece.head) in self.guard_nouns

    def _covered_with(self, parts: Sequence[Piece]) -> Thing | None:
        """What the cap, the rag or the tape is on that these words take off; the newest where none is named."""
        words = {singular(word) for word in words_in(parts)}
        named = [covered for covered, nouns in self.covered if nouns & words or covered.head in words]
        return next(reversed(named), self.covered[-1][0] if self.covered else None)
