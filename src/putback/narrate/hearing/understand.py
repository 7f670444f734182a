"""One idea: each segment gives what was done, to which thing, how many, with what.

The verb gives the sense, the particle the direction, the thing the manner ("pull off" a hose is not "pull" a service
plug). A thing only spoken of ("there are two nuts on it") is remembered with its numbers for what is done to it next.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import zip_longest

from putback.core.operations import Verb
from putback.narrate.hearing.counted import counted
from putback.narrate.hearing.elsewhere import Elsewhere
from putback.narrate.hearing.naming import up_to_where
from putback.narrate.hearing.notes import LOOKED_AHEAD, speaks_in_notes
from putback.narrate.hearing.turning import ENOUGH_OFF, turns_round
from putback.narrate.lines.said import SCANS, Said
from putback.narrate.phrase.phrases import Piece, Sort, words_in
from putback.narrate.phrase.reading import read
from putback.narrate.phrase.segments import Mood, Segment
from putback.narrate.sense.act import (
    EITHER_WAY,
    LET_GO,
    NOWHERE,
    OFF,
    ON,
    Act,
    direction_of,
    goes_over,
    is_energy,
    without_places,
)
from putback.narrate.sense.covering import guard_at, guard_words, is_guard, may_cover, put_over
from putback.narrate.sense.decide import act_of, covered
from putback.narrate.sense.guarding import cover_of
from putback.narrate.sense.known import Known
from putback.narrate.sense.parts_of import (
    INTRODUCES,
    STATES,
    TAKES_OFF,
    TOOL_HEADS,
    WAY_BACK,
    chosen,
    is_part,
    is_stowed,
    owner_of,
    takes_off,
    without_purpose,
)
from putback.narrate.sense.special import OHMS, comes_down, known_sentence, proved_there
from putback.narrate.sense.things import Thing, singular
from putback.narrate.sense.torques import torque_of
from putback.narrate.text.quantities import Of
from putback.narrate.text.spoken import Spoken
from putback.narrate.words import lexicon
from putback.narrate.words.lexicon import Sense


def operations(spoken: Spoken) -> list[Said]:
    """The operations that were said, in the order of the text, without twins."""
    return _Understanding(spoken).read()


def _only_stands(join: str, parts: Sequence[Piece], at: int, verb: Piece) -> bool:
    """`The bottle is fastened with two screws`: how it stands, and nothing done."""
    if verb.sense in (Sense.ON, Sense.TIGHTEN) and not lexicon.is_participle(verb.low):
        held = any(one.sort is Sort.NAME for one in parts[at + 1 :])
        if held and any(one.head in lexicon.FASTENERS for one in parts[:at]):
            return True
    before = [join, *(piece.low for piece in parts[max(0, at - 2) : at])]
    if {"was", "were"} & set(before) and not _held_with(parts[at + 1 :]):
        return False
    if join in INTRODUCES and verb.low.startswith("push"):
        return True
    if {"is", "are"} & set(before) and verb.sense is Sense.ASIDE and _held_with(parts[at + 1 :]):
        return True
    return bool(set(before) & STATES) and verb.sense in (Sense.ON, Sense.TIGHTEN, Sense.START)


def _says_no_more(parts: Sequence[Piece], verb: Piece) -> bool:
    """`Squeeze and pull`: an order that names nothing."""
    return all(piece is verb or piece.sort in (Sort.PARTICLE, Sort.SMALL, Sort.JOIN) for piece in parts)


def _held_with(after: Sequence[Piece]) -> bool:
    """`… was fastened with two screws`."""
    by = any(piece.low in {"by", "with", "from"} for piece in after)
    return by and any(piece.head in lexicon.FASTENERS for piece in after)


def _has_verb(parts: Sequence[Piece]) -> bool:
    return any(piece.sort is Sort.VERB for piece in parts)


_LISTED = frozenset(
    {Verb.REMOVE, Verb.UNDO, Verb.UNPLUG, Verb.PART, Verb.FIT, Verb.START, Verb.PLUG_IN, Verb.JOIN, Verb.INSPECT}
)
_ON_IT = frozenset({"finger", "fingers", "hand", "hands", "fingertip", "thumb"})
"""`I got a finger on it.`"""
_RUNS_DOWN = frozenset({"run", "ran", "wound", "spun", "zipped", "buzzed", "screwed"})
_WIPES_OUT = frozenset({"wiped", "wipe", "rubbed", "zapped", "binned", "reset"})
_READ_NOT_LONG_AGO = 260
_RIGHT_AFTER_I = 2
_LISTED_WITHIN = 12
"""So many signs may stand between two things of one list."""
_LISTS = frozenset({"", "and", "then"})
_DEFINITE = frozenset({"the", "both", "its", "all"})
_FOLLOWS_A_VERB = frozenset({Sense.MOVE, Sense.OFF, Sense.ASIDE})
_PREPARE = (
    *LET_GO,
    "slide",
    "swing",
    "grab",
    "give",
    "gave",
    "lift",
    "push",
    "tap",
    "hold",
    "grip",
    "turn",
    "reach",
    "flip",
)
"""With such words a thing is made to let go."""
_LETS_GO = (
    "unsnap",
    "unclip",
    "unhook",
    "releas",
    "free",
    "undo",
    "undid",
    "unbolt",
    "detach",
    "loosen",
    "eas",
    "unfasten",
)
_COVERED_ON = frozenset({"on", "over", "in", "into", "round", "around"})
_PUTS = ("put", "pull", "slid", "stuck", "stuff", "push", "tape", "slip", "threw", "drape", "tuck")
_SPOKEN_OF = 4
_COMES_AWAY = frozenset({"pull", "pulled", "pulls", "comes", "came", "off", "out", "slides", "slid"})
_COLD = frozenset({"out", "outside", "degrees", "celsius"})
_CLICKS = frozenset({"click", "clicks", "clicked", "clicking"})
_COMES_FREE = frozenset({"go", "free", "off", "loose", "out", "releases", "pops", "apart", "drops"})
_PULLS = frozenset({"pull", "tug", "lift", "unplug", "yank", "pop"})
_RECALLS = frozenset({"after", "once", "when", "having"})
"""Words that tell of something done before: it counts where it was not told yet."""
_HUNG = lexicon.words_of("hung tied swung shoved tucked propped strapped folded flopped leaned")
"""`Caliper off, hung from the spring`: what was just taken off."""
_TO_COME = frozenset({"i'll", "we'll", "you'll", "supposed", "gonna", "going", "will", "meant", "wanted"})
"""`I'll read it through again`: a plan proves nothing of today."""
_ZERO = frozenset({"zero", "nought", "nil", "0"})
_DOES = frozenset({"do", "did", "done"})
_FOLLOWS_ON = frozenset({Sense.PLUG, Sense.TIGHTEN, Sense.ON, Sense.UNPLUG})
_THREE = 3
_NEXT_TO = 80
"""So many signs may stand between two operations of one run."""


def _is_heading(text: str) -> bool:
    """`REPORT ON THE SEAT`: several words in capitals only."""
    return text.isupper() and len(text.split()) >= _THREE and not any(sign.isdigit() for sign in text)


def _only_names(parts: Sequence[Piece]) -> bool:
    """Whether a segment names a thing, with where it is, and says nothing of it."""
    first = parts[0].sort is Sort.NAME if parts else False
    rest = all(piece.sort in (Sort.NAME, Sort.PREPOSITION, Sort.PRONOUN, Sort.SMALL) for piece in parts[1:])
    return first and rest and not {piece.low for piece in parts} & STATES


def _describes(piece: Piece) -> bool:
    """`That's covering the joint`, `it's got two bolts`: how it is."""
    return piece.low == "got" or (piece.sort is Sort.VERB and piece.low.endswith("ing"))


_UPON_WHOM = frozenset({"hand", "hands", "head", "chest", "face"})
"""`Down she comes in my hand`: a part, and not the car."""


def _plain_pieces(segment: Segment) -> list[Piece]:
    """The pieces of a segment without words that only join; `out he comes` is `out it comes`."""
    parts = [piece for piece in segment.pieces if piece.low not in {"just", "then"}]
    lows = [piece.low for piece in parts[:_THREE]]
    of_car = lows[:1] == ["down"] and lows[-1] not in _UPON_WHOM
    of_car = of_car or lows in (["up", "she", "goes"], ["up", "she", "went"])
    if len(parts) >= _THREE and not of_car and parts[0].sort is Sort.PARTICLE and parts[1].low in {"he", "she"}:
        parts[1] = replace(parts[1], sort=Sort.PRONOUN, low="it")
    if _he_moves(parts):
        parts[0] = replace(parts[0], sort=Sort.PRONOUN, low="it")
    return _without_with(parts)


def _he_moves(parts: Sequence[Piece]) -> bool:
    """`He lifts up and out`: said of a part; what comes down may be the car."""
    if len(parts) < _THREE or parts[0].low not in {"he", "she"} or parts[1].sense is not Sense.MOVE:
        return False
    rest = parts[2:]
    named = any(piece.sort in (Sort.NAME, Sort.PRONOUN) or piece.low == "down" for piece in rest)
    return parts[1].low.endswith("s") and not named


def _without_with(parts: list[Piece]) -> list[Piece]:
    """`The plug is in again with its handle folded flat`: what stands before `with` tells what became of it."""
    at = next((n for n, piece in enumerate(parts) if n > 1 and piece.low == "with"), None)
    if at is None or parts[0].sort is not Sort.NAME or not any(one.sort in _DONE_BY for one in parts[at:]):
        return parts
    plain = all(one.sort in (Sort.NAME, Sort.PARTICLE) or one.low in _IS_AGAIN for one in parts[:at])
    went = any(one.sort is Sort.PARTICLE for one in parts[1:at])
    return parts[:at] if plain and went and any(one.low in {"is", "are"} for one in parts[:at]) else parts


_DONE_BY = (Sort.VERB, Sort.OTHER_VERB)
_IS_AGAIN = frozenset({"is", "are", "again", "now"})


def _words_of_act(parts: Sequence[Piece]) -> Iterator[str]:
    """The words of an act; the `back` of a back seat is none."""
    for one in parts:
        yield from (word for word in one.words or (one.low,) if one.sort is not Sort.NAME or word != "back")


def _below_zero(parts: Sequence[Piece]) -> bool:
    """`Minus eleven out`: how cold it is."""
    number = parts[1].quantity if len(parts) > 1 and parts[0].low == "minus" else None
    return number is not None and number.of is Of.COUNT and parts[-1].low in _COLD


def _just_snug(after: Sequence[Piece]) -> bool:
    """`… put its four bolts in just snug`: put in and tightened; hand-tight is only put in."""
    words = {word for piece in after for word in (piece.low, *piece.words)}
    return bool(words & {"snug", "tight"}) and not words & {"hand", "finger", "fingers", "till", "until", "not", "for"}


def _lets_go(pieces: Sequence[Piece]) -> bool:
    """`… and pulled`, `… and it comes`, `… and it slides off`: what was pressed came apart."""
    lows = {piece.low for piece in pieces}
    moves = any(piece.sense is Sense.MOVE and not piece.low.startswith("push") for piece in pieces)
    return moves and bool(lows & _COMES_AWAY) and not lows & {"in", "on", "home", "back", "down"}


_OF_A_WHOLE_SENTENCE = frozenset({Sort.VERB, Sort.OTHER_VERB, Sort.SUBJECT, Sort.NOT, Sort.IF})


def _sentences_without_verbs(row: Sequence[Segment]) -> set[int]:
    """`Two bolts, thirteen mil.` in a talk: the sentences that nobody does anything in, which are notes."""
    told = {
        one.sentence
        for one in row
        if one.mood is not Mood.DONE
        or any(piece.sort in _OF_A_WHOLE_SENTENCE or piece.low in STATES for piece in one.pieces)
    }
    return {one.sentence for one in row} - told


class _Understanding(Elsewhere):
    """What is known while a narration is read from its beginning to its end."""

    def __init__(self, spoken: Spoken) -> None:
        super().__init__(spoken)

    def read(self) -> list[Said]:
        known = read(self.spoken.text, self.spoken.breaks)
        row = self.row = known.segments
        self.terse = speaks_in_notes(self.spoken, known.pieces)
        self.without_verbs = _sentences_without_verbs(row)
        for n, (segment, following) in enumerate(zip_longest(row, row[1:])):
            if _is_heading(self.spoken.text[segment.start : segment.end]):
                continue
            self.following = following
            self.coming = following if following and following.sentence == segment.sentence else None
            self.ahead = row[n + 1 : n + 1 + LOOKED_AHEAD]
            self._segment(segment, n)
            self._weigh(n)
            self.last_named = segment
            self._keep_subject(segment, segment.pieces)
        self._weigh(len(row))
        once = self.twice.once(self.said, self.objects)
        kept = [(self.said[place], self.objects[place]) for place in once]
        kept = self._with_late(kept)
        named = [
            replace(one, n=n, object=thing.name if thing is not None else one.object)
            for n, (one, thing) in enumerate(kept, start=1)
        ]
        return counted(named, self.spoken.text)

    def _segment(self, segment: Segment, n: int) -> None:
        self.segment = segment
        if segment.start > self.side_to:
            self.things.side = None
        parts = _plain_pieces(segment)
        if segment is self.skipped or (segment.mood is Mood.DONE and self._side(segment, parts)):
            return
        with_tool = any(piece.head in TOOL_HEADS for piece in parts)
        if parts and parts[0].low == "with" and segment.mood is Mood.DONE and not with_tool and not _has_verb(parts):
            if not self._with_it_out(segment, parts) and not self._size_alone(parts):
                self._remember(parts)
            return
        if self._told_of_elsewhere(segment):
            return
        if not self.back and self._turns_round(segment):
            self.back = self.things.back = True
        self.recalling = segment.join in _RECALLS or (parts[:1] != [] and parts[0].low in _RECALLS)
        torqued = self.back and any(one.quantity and one.quantity.of is Of.TORQUE for one in parts)
        told_with = segment.mood is Mood.BACKGROUND and (self.recalling or torqued)
        may_be_done = segment.mood is Mood.DONE or told_with
        before = len(self.said)
        self.twice.hear(segment, self.low_text, stops=self.stops)
        done = (may_be_done and self._done(segment, parts)) or self._proved_where(segment, parts)
        self._only_planned(segment, before)
        self._prepares(segment, parts, done=done or len(self.said) > before)
        if done and len(self.said) > before:
            self._both_named(segment)
        if done or (segment.mood is Mood.DONE and self._told_without_verb(segment, parts)):
            return
        self.waiting.append(n)
        self._remember(parts)
        if (segment.mood is Mood.DONE or segment.join == "which") and not self.with_tool(segment, parts):
            self.attach(segment, parts)

    def _turns_round(self, segment: Segment) -> bool:
        """Whether it is told that the way back begins, and enough is off."""
        told = segment.mood is not Mood.NEGATED and turns_round(self.low_text, segment.start)
        return told and sum(one.off for one in self.things.known) >= ENOUGH_OFF

    def _told_without_verb(self, segment: Segment, parts: list[Piece]) -> bool:
        """What a note, a list or a row of names tells."""
        return self._note(segment, parts) or self._listed(segment, parts) or self._goes_on_listing(segment, parts)

    def _goes_on_listing(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`I unplugged the cam sensor, the solenoid and the oil switch`: the same is done to each."""
        name, verb = parts[0] if parts else None, self.last_verb
        if name is None or verb is None or name.sort is not Sort.NAME or not is_part(name) or not self.said:
            return False
        last, before = self.said[-1], self.objects[-1]
        near = self.last_sentence == segment.sentence and segment.start - last.end <= _LISTED_WITHIN
        if not near or before is None or last.verb not in _LISTED or segment.join not in _LISTS:
            return False
        if not (name.marks & _DEFINITE and _only_names(parts) and self._list_ends_here()):
            return False
        if bool(before.kind) is not (name.head in lexicon.FASTENERS) or name.head == before.words[-1]:
            return False
        thing = self._named(name, parts)
        direction = OFF if last.verb in TAKES_OFF else ON
        words = frozenset(verb.words or (verb.low,))
        operation = act_of(Act(verb=verb, thing=thing, direction=direction, words=words, back=self.back))
        if operation not in _LISTED or thing.off is (operation in TAKES_OFF):
            return False
        self.add(segment, operation, thing, name.low, parts=parts, anew=True)
        return True

    def _list_ends_here(self) -> bool:
        """Whether no verb follows in this sentence that the name would belong to: `the duct and the lid came off`."""
        coming = self.coming
        if coming is None:
            return True
        if not _only_names(coming.pieces):
            return bool(coming.pieces) and coming.pieces[0].sort is Sort.SUBJECT
        rest = (one for one in self.ahead if one.sentence == coming.sentence)
        return all(_only_names(one.pieces) or one.pieces[0].sort is Sort.SUBJECT for one in rest)

    def _proved_where(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`…, where it showed less than one volt`."""
        proved = segment.join == "where" and proved_there(parts, self.said, segment.start)
        if proved:
            self.add(segment, Verb.PROVE_DEAD, None, "no voltage")
        return proved

    def _prepares(self, segment: Segment, parts: Sequence[Piece], *, done: bool) -> None:
        """`Slide the catch across`, `give it a thump`: the words for what comes off next begin here."""
        works = any(piece.low.startswith(_PREPARE) or piece.head == "wrench" for piece in parts)
        if done or segment.mood is not Mood.DONE or not works:
            if done or segment.sentence != self.prepared[1]:
                self.prepared = (0, -1)
            return
        if self.prepared[1] != segment.sentence:
            self.prepared = (segment.start, segment.sentence)

    def _done(self, segment: Segment, parts: list[Piece]) -> bool:
        if (
            self._only_how(segment, parts)
            or _below_zero(parts)
            or (segment.join in INTRODUCES and parts and _describes(parts[0]))
        ):
            return False
        told = self._likewise(segment, parts) or self._out_it_came(segment, parts)
        if told or self._comes_down(segment, parts) or self._wiped_out(segment, parts):
            return True
        known = known_sentence([*parts, *self._zero_next()], self.said, segment.start)
        if known is not None:
            return self._known(segment, known)
        verbs, before = chosen(parts), len(self.said)
        if (
            self._got_covered(segment, parts)
            or self._nut_got(segment, parts)
            or self._told_by_verb(segment, parts, verbs)
        ):
            return True
        if (
            (not verbs and self._kept_in(segment, parts))
            or self._tap_turned(segment, parts)
            or self._once_out(segment, parts)
            or self._thrown_away(segment, parts)
            or verbs
        ):
            return not verbs or len(self.said) > before
        placed = len(parts) > 1 and self._goes_on_undoing() and self._same_again(segment, parts)
        return placed or self._result(segment, parts) or self._same_again(segment, parts)

    def _zero_next(self) -> Sequence[Piece]:
        """`Plus to minus, zero`, `… and it showed two ohms`: what the meter showed, in the next breath."""
        coming = self.coming.pieces if self.coming is not None else ()
        ohms = [piece for piece in coming if OHMS & {piece.low, *piece.words}]
        if ohms:
            return ohms[:1]
        pieces = self.coming.pieces if self.coming is not None and not self.coming.join else ()
        if len(pieces) != 1:
            return ()
        reads = pieces[0].quantity is not None and pieces[0].quantity.of is Of.OTHER and len(pieces[0].words) > 1
        return pieces if reads or set(words_in(pieces)) & _ZERO else ()

    def _comes_down(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`And she's coming down`."""
        down = comes_down(parts, self.said)
        if down:
            self.add(segment, Verb.LOWER, None, "vehicle")
        return down

    def _kept_in(self, segment: Segment, parts: list[Piece]) -> bool:
        """`I've got it in a clean glove`: guarded, though nothing else was done."""
        got = next((n for n, piece in enumerate(parts) if piece.low == "got"), None)
        if got is None:
            return False
        return self._covers(segment, parts, got) or self._got_over(segment, parts[got + 1 :])

    def _got_over(self, segment: Segment, given: Sequence[Piece]) -> bool:
        """`I've got the cover over the wing.`"""
        at = guard_at(given)
        if at is None or put_over(given, None) is not Verb.GUARD:
            return False
        thing, name = self._guarded(Verb.GUARD, given, at, None, given[at])
        self.add(segment, Verb.GUARD, thing, name.low if name is not None else "", parts=given)
        return True

    def _got_covered(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`The cable ends got tape`, `dash vents got foam`."""
        got = next((n for n, piece in enumerate(parts) if piece.low == "got"), 0)
        names = [piece for piece in parts[:got] if piece.sort is Sort.NAME and is_part(piece)]
        given = parts[got + 1 :]
        if not names or guard_at(given) != 0 or any(one.sort is Sort.SUBJECT for one in parts):
            return False
        if given[0].marks & {"the", "its"}:
            return False
        self.add(segment, Verb.GUARD, self._named(names[-1], parts), names[-1].low, parts=parts)
        return True

    def _told_by_verb(self, segment: Segment, parts: list[Piece], verbs: Sequence[Piece]) -> bool:
        """Whether one of the verbs says what was done."""
        for verb in verbs:
            if self._verb(segment, parts, verb):
                self.last_verb = verb
                return True
        return False

    def _goes_on_undoing(self) -> bool:
        """Whether the last operation took something off, so that `on` says where the next is."""
        return bool(self.said) and self.said[-1].verb in TAKES_OFF

    def _known(self, segment: Segment, known: Known) -> bool:
        if known.verb is None:
            return False
        verb = known.verb
        if verb is Verb.READ_BEFORE and self.back:
            if {piece.low for piece in segment.pieces} & _TO_COME:
                return False
            verb = Verb.READ_AFTER
        thing = self._just_spoken_of(segment) if known.last else None
        if known.last and verb is Verb.SWING_ASIDE and (thing is None or thing.kind):
            thing = self.things.newest(fastener=False)
        if known.of is not None:
            thing = self.things.named(known.of)
        if known.last and thing is None:
            return False
        self.add(segment, verb, thing, known.object)
        return True

    def _just_spoken_of(self, segment: Segment) -> Thing | None:
        """`Cam bracket. Paint pen round it first.`: what was only named right before, else what was worked on last."""
        before = self.last_named
        near = before is not None and 0 <= segment.sentence - before.sentence <= 1 and self.terse
        if before is not None and near and _only_names(before.pieces) and is_part(before.pieces[0]):
            thing = self.things.find(before.pieces[0])
            if thing is not None and not self._done_since(thing):
                return thing
        return self.objects[-1] if self.objects else None

    def _verb(self, segment: Segment, parts: list[Piece], verb: Piece) -> bool:
        if verb.low.startswith("replac") and not self.said:
            return False
        was_without, self.without_verb = self.without_verb, False
        parts = without_purpose(parts)
        if verb not in parts:
            return False
        at = parts.index(verb)
        front = self._named_in_front(segment, parts, at)
        covers = self._covers(segment, parts, at) or self._uncovers(segment, parts, verb, front)
        if covers or self._cleared_them(segment, parts, at):
            return True
        self._remember([one for one in parts[:at] if one.sort is Sort.NAME], parts)
        thing, piece = self._gone_on_with(segment, parts, at), None
        if thing is not None and thing.kind and segment.start - thing.first < _NEXT_TO:
            held = owner_of(verb, parts[at + 1 :])
            thing.owner = self.things.named(held) if held is not None else thing.owner
        if thing is None and front is not None and is_part(front):
            thing = self._named(front, parts)
        if thing is None:
            thing, piece = self._fronted(segment, parts, at) or self._object(parts, at)
        if thing is None:
            thing = self._unsaid(segment, parts, verb, was_without)
        if thing is None and lexicon.is_participle(verb.low) and at == 0 and segment.join and not self._acted(parts):
            thing = self._subject(segment)
        torque = torque_of(parts, back=self.back)
        act = Act(
            verb=verb,
            thing=thing,
            direction=self._direction(parts, at),
            words=frozenset(_words_of_act(without_places(parts))),
            torque=torque is not None,
            back=self.back,
            new=piece is not None and "new" in piece.marks,
            guarded=self._is_guarded(parts),
            guard_nouns=frozenset(self.guard_nouns),
            plug=thing is not None and may_cover(thing.words),
            over=goes_over(parts),
            guard=guard_words(parts, verb),
            stowed=is_stowed(parts[at + 1 :]),
            just_off=bool(self.said) and self.said[-1].verb in (Verb.REMOVE, Verb.UNDO) and self.objects[-1] is thing,
        )
        operation = covered(act, put_over(parts, verb)) or act_of(act)
        if operation is None or self._only_said(segment, parts, act, operation, piece):
            return False
        if operation is Verb.SWING_ASIDE and act.just_off and self._only_released(segment):
            return True
        thing, piece = self._thing_of(segment, parts, act, operation, piece)
        goes_in = self._only_named_before(thing, piece) or self._goes_in_too(act) or self._run_down(act)
        if operation is Verb.TIGHTEN and goes_in:
            self.add(segment, Verb.START, thing, piece.low if piece else "", parts=parts)
            parts = parts[at:]
        self.add(segment, operation, thing, piece.low if piece else "", parts=parts, torque=torque)
        if operation in WAY_BACK:
            self._goes_with_it(segment, parts[at + 1 :], operation, thing)
        return True

    def _goes_with_it(self, segment: Segment, after: Sequence[Piece], operation: Verb, thing: Thing | None) -> None:
        """What goes back with a thing, and whether it is tight by these words: `put its four bolts in just snug`."""
        snug = next((piece for piece in after if piece.low in {"snug", "tight"}), None)
        if operation is Verb.START and snug is not None and self.said[-1].verb is Verb.START and _just_snug(after):
            self.add(segment, Verb.TIGHTEN, thing, "", parts=(snug,))
        self._with_it(segment, after, operation)

    def _direction(self, parts: Sequence[Piece], at: int) -> str:
        """Where what is done takes a thing: by the words around the verb, or by those that follow."""
        before, verb, after = parts[:at], parts[at], parts[at + 1 :]
        return self._pressed_off(verb, after) or direction_of(after, before) or self._until()

    def _wiped_out(self, segment: Segment, parts: Sequence[Piece]) -> bool:
        """`Rubbed them off`, of codes: by a word that is no verb of the trade."""
        at = next((n for n, one in enumerate(parts) if one.low in _WIPES_OUT and one.sort is Sort.OTHER_VERB), None)
        return at is not None and self._cleared_them(segment, parts, at)

    def _run_down(self, act: Act) -> bool:
        """`Four bolts, and I run those down`: put in and tightened, where they were off."""
        thing = act.thing
        off = thing is not None and thing.off and thing.kind in {"bolt", "nut", "screw"}
        return off and act.low in _RUNS_DOWN and bool(act.words & {"down", "up"}) and self.back

    def _cleared_them(self, segment: Segment, parts: Sequence[Piece], at: int) -> bool:
        """`One for the heater voltage, so I cleared that`: the codes that were read right before."""
        last = self.said[-1] if self.said else None
        read = last is not None and last.verb in SCANS and segment.start - last.end < _READ_NOT_LONG_AGO
        them = parts[at + 1] if at + 1 < len(parts) else None
        it = them is not None and them.sort is Sort.PRONOUN and not any(p.sort is Sort.NAME for p in parts[at:])
        if not (read and it and (parts[at].sense is Sense.CLEAR or parts[at].low in _WIPES_OUT)):
            return False
        self.add(segment, Verb.NOTE, None, "codes", parts=parts)
        return True

    def _pressed_off(self, verb: Piece, after: Sequence[Piece]) -> str:
        """`I pressed and pulled`, `you press on both sides and it slides off`: what was pressed let go."""
        coming = self.coming
        if coming is None or coming.join != "and" or not verb.low.startswith("press"):
            return NOWHERE
        goes_in = any(piece.low in {"in", "home", "down", "back"} for piece in after)
        return OFF if _lets_go(coming.pieces) and not goes_in else NOWHERE

    def _until(self) -> str:
        """`Rock it until it lets go`, `pushed it till it clicked`: off or on, as the words after it tell."""
        coming = self.coming
        if coming is None or coming.join not in {"until", "till"}:
            return NOWHERE
        lows = {word for piece in coming.pieces for word in (piece.low, *piece.words)}
        if lows & _CLICKS:
            return ON
        return OFF if lows & _COMES_FREE and not lows & {"in", "home", "on"} else NOWHERE

    def _covers(self, segment: Segment, parts: Sequence[Piece], at: int) -> bool:
        """`I've pulled an old glove over the post`: guarded, by what it is or what it is for."""
        coming = self.coming
        following, join = (coming.pieces, coming.join) if coming is not None else ((), "")
        cover = cover_of(parts[at], segment.pieces[segment.pieces.index(parts[at]) + 1 :], following, join)
        if cover is None:
            return self._covers_what_is_named_first(segment, parts, at)
        named = cover.place
        place = self._named(named, parts) if named is not None else next(reversed(self.objects), None)
        if place is None:
            return False
        self._guard(segment, parts, place, named.low if named is not None else "", set(cover.nouns))
        return True

    def _guard(self, segment: Segment, parts: Sequence[Piece], place: Thing, name: str, nouns: set[str]) -> None:
        """Write down that a place is covered, and with what."""
        self.add(segment, Verb.GUARD, place, name, parts=parts)
        self.guard_nouns |= nouns
        self.covered.append((place, nouns))

    def _covers_what_is_named_first(self, segment: Segment, parts: Sequence[Piece], at: int) -> bool:
        """`On the bare post I put a rubber cap`, `over the end I pulled one sock`."""
        before = self._in_front(segment, parts)
        if before is None or self.back or before.pieces[0].low not in _COVERED_ON:
            return False
        place = next((one for one in before.pieces if one.sort is Sort.NAME and is_part(one)), None)
        guard = next((one for one in parts[at + 1 :] if one.sort is Sort.NAME), None)
        put = parts[at].low.startswith(_PUTS) and guard is not None and not guard.marks & {"the", "its"}
        if place is None or guard is None or not put or not is_guard(guard):
            return False
        thing, nouns = self._named(place, before.pieces), {singular(word) for word in guard.words}
        self._guard(segment, parts, thing, place.low, nouns)
        return True

    def _uncovers(self, segment: Segment, parts: Sequence[Piece], verb: Piece, front: Piece | None) -> bool:
        """`The cap is removed from the socket`: what covers it is off, where it was put there."""
        if not takes_off(verb, parts[parts.index(verb) + 1 :]):
            return False
        if front is not None and is_guard(front) and self._is_guarded((front,)):
            covered_by = self._covered_with((front,))
            self.add(segment, Verb.UNGUARD, covered_by, front.low, parts=parts)
            return True
        heads = {singular(piece.head) for piece in parts if piece.sort is Sort.NAME}
        for thing, nouns in reversed(self.covered):
            if thing.head in heads and nouns & heads and thing.head not in nouns:
                self.things.bring_up(thing)
                self.add(segment, Verb.UNGUARD, thing, thing.name, parts=parts)
                return True
        return False

    def _only_released(self, segment: Segment) -> bool:
        """`Unclip it and lay it over`: it was let go to be laid aside, and did not come off."""
        last = self.last_verb
        if last is None or not last.low.startswith(_LETS_GO) or self.said[-1].verb is not Verb.REMOVE:
            return False
        self.said[-1] = replace(self.said[-1], verb=Verb.SWING_ASIDE, end=segment.end)
        return True

    def _unsaid(self, segment: Segment, parts: Sequence[Piece], verb: Piece, was_without: bool) -> Thing | None:
        """What a verb without an object is done to: `snugged`, `plugged in`, `filled`."""
        tight = verb.sense is Sense.TIGHTEN or (verb.low in EITHER_WAY and _just_snug(parts))
        thing = self._just_started() if tight else None
        if thing is None and verb.low in _PULLS and not self.back and _says_no_more(parts, verb):
            near = self.things.newest(off=False, fastener=False, among=2)
            thing = near if near is not None and segment.start - near.last < _NEXT_TO else None
        if thing is None and lexicon.is_participle(verb.low) and not any(one.sort is Sort.NAME for one in parts):
            self.without_verb = was_without and verb.sense in _FOLLOWS_ON
            more = self.last_verb is not None and lexicon.is_participle(self.last_verb.low)
            if verb.sense in _FOLLOWS_ON or (more and verb.sense in _FOLLOWS_A_VERB):
                thing = self._last_object(segment)
        if thing is None and verb.sense is Sense.MARK and self.coming is not None and self.coming.join == "where":
            thing = self.things.newest()
        if thing is None and parts[0] is verb and verb.low in _HUNG and "," in self.between(segment)[:_LISTED_WITHIN]:
            thing = self.objects[-1]
        if thing is None and self.terse and verb.sense is Sense.PLUG and _says_no_more(parts, verb):
            thing = self._part_just_fitted()
        if thing is None and verb.low in _DOES and "up" in {piece.low for piece in parts}:
            thing = self._just_started()
        if thing is None and verb.low in {"went", "goes"} and segment.join == "and" and _says_no_more(parts, verb):
            thing = self._subject(segment)
        if thing is None and (self._was_the_first(segment, parts) or self._told_of_the_first(segment, parts, verb)):
            thing = self._subject(segment)
        return self._drained() if thing is None and verb.sense is Sense.FILL else thing

    def _told_of_the_first(self, segment: Segment, parts: Sequence[Piece], verb: Piece) -> bool:
        """`The clip at the bottom, down on the tank, I slackened`: of what the sentence began with."""
        if segment.join or parts[0].sort is not Sort.SUBJECT or self.last_sentence == segment.sentence:
            return False
        at = parts.index(verb)
        if at > _RIGHT_AFTER_I or any(one.sort is Sort.OTHER_VERB for one in parts[:at]):
            return False
        after = up_to_where(parts[at + 1 :])
        return not any(one.sort in (Sort.NAME, Sort.PRONOUN) for one in after)

    def _only_said(
        self, segment: Segment, parts: Sequence[Piece], act: Act, operation: Verb, piece: Piece | None
    ) -> bool:
        """Whether an act only seems one: how a thing stands, what was told before, an idle look."""
        verb = act.verb
        assert verb is not None
        lows = {one.low for one in parts}
        cases = (
            verb.low in {"got", "get"} and {one.head for one in parts[parts.index(verb) + 1 :][:1]} <= _ON_IT,
            verb.low in {"come", "comes", "came"} and any(one.quantity and one.quantity.many for one in parts),
            not self.back and not act.torque and _only_stands(segment.join, parts, parts.index(verb), verb),
            operation is Verb.INSPECT and piece is None and verb.low.startswith("look") and lows & {"that", "this"},
            operation is Verb.SWING_ASIDE and self._turns_a_handle(act.thing),
            operation in WAY_BACK and self._only_stands_on(parts, verb, act.thing, piece),
            self._only_recalled(operation, act.thing, piece),
        )
        return any(cases)

    def _turns_a_handle(self, thing: Thing | None) -> bool:
        """`Swung its handle over`, of a service plug: it does not come off by that."""
        of = self.things.known[-_SPOKEN_OF:]
        return thing is not None and thing.head in {"handle", "lever"} and any(is_energy(one) for one in of)

    def _tightens_on(self, segment: Segment) -> bool:
        """`I worked round them with the wrench, and they all clicked at 97`: of what was just being tightened."""
        last = self.said[-1] if self.said else None
        going_on = last is not None and last.verb is Verb.TIGHTEN and last.torque is None
        return going_on and self.last_sentence == segment.sentence

    def _thing_of(
        self, segment: Segment, parts: Sequence[Piece], act: Act, operation: Verb, piece: Piece | None
    ) -> tuple[Thing | None, Piece | None]:
        """What the operation is of, where that is not the object: a fluid, a terminal, what a cap is on."""
        thing = act.thing
        if operation in (Verb.FILL, Verb.DRAIN):
            return self._fluid(parts, thing, piece)
        if operation in (Verb.GUARD, Verb.UNGUARD):
            assert act.verb is not None
            return self._guarded(operation, parts, parts.index(act.verb), thing, piece)
        return self._tightened(segment, thing, piece, act) if operation is Verb.TIGHTEN else (thing, piece)

    def _tightened(
        self, segment: Segment, thing: Thing | None, piece: Piece | None, act: Act
    ) -> tuple[Thing | None, Piece | None]:
        """What is tightened, where that is not the object: what was just connected, run in or gone round."""
        restored = self.said and self.said[-1].verb is Verb.RESTORE and segment.sentence == self.last_sentence
        if restored and piece is not None and len(piece.words) == 1:
            return self.objects[-1], piece
        if act.torque and piece is None and self._tightens_on(segment):
            return self.objects[-1], piece
        if act.torque and piece is None and thing is not None and not thing.kind:
            return self._just_started() or thing, piece
        return thing, piece
