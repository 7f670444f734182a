"""One idea: what was said falls into short segments, each with at most one thing done, and a mood.

Mood: done or told (the same here), negated, conditional, or background (a time, a purpose, a recap). Only the first
gives operations; a condition gives a finding to look for.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum, auto

from putback.narrate.phrase.phrases import IS, Piece, Sort
from putback.narrate.text.quantities import Of
from putback.narrate.words import lexicon


class Mood(Enum):
    """How a segment is meant."""

    DONE = auto()
    NEGATED = auto()
    CONDITION = auto()
    IN_CASE = auto()
    BACKGROUND = auto()


@dataclass(frozen=True, slots=True)
class Segment:
    """A few pieces that say one thing. `sentence` counts full stops before it."""

    pieces: tuple[Piece, ...]
    mood: Mood
    join: str
    sentence: int

    @property
    def start(self) -> int:
        """Where it begins in the text."""
        return self.pieces[0].start

    @property
    def end(self) -> int:
        """Where it ends in the text."""
        return self.pieces[-1].end


_BACKGROUND = frozenset(
    {"once", "before", "after", "when", "until", "till", "while", "because", "where", "which", "as"}
)
_LETTING = frozenset({"get", "gets", "got", "getting", "let", "have"})
_LET_GO = frozenset({"go", "done", "undone", "going", "drain", "drip", "sit", "stand", "rest", "soak", "cool", "hang"})
_UNDONE = lexicon.words_of("undone loosened slackened unplugged unclipped unhooked unscrewed unseated started")
"""`Whack them undone`: what became of it, in the same breath."""
_LAST_WORDS = frozenset({"there", "here", "first", "again", "too", "also", "bottom", "top", "side", "front"})
_LONGEST = 40
"""Nobody says so many pieces about one thing; a segment ends there."""
_ARTICLES = frozenset({"the", "a", "an", "this", "that", "its", "your", "my", "his", "her", "their"})
_EACH = frozenset({"a", "an", "size", "sizes", "each", "of", "them", "all", "total", "per", "side", "both"})
_OF_ALL = frozenset({"each", "every", "either", "both", "all"})
_PLACES = frozenset({"end", "ends", "side", "sides", "top", "bottom", "middle", "edge", "front", "back"})
_STATE = lexicon.words_of("tight rusty stuck loose easy stubborn fine only hard")
_RECAPS = re.compile(
    r"\b(plan is|idea is|tempting|tempted|sum up|summary|recap|ought|customer should|is (just |simply )?the reverse)\b"
)
_NOT_DONE = re.compile(
    r"\b((should|could|would|might) (not |really |never |always )?(have|of)|should (really )?be|"
    r"(should|could|would|might)'ve)\b"
    r"(?! (said|mentioned|told|shown|added))|"
    r"\b(you|ye|one) could\b|\bwho'd\b|"
    r"\b(was|were) (gonna|going to|about to|fixing to|thinking|meant to|supposed to)\b|"
    r"\b(fixing|planning|hoping|meaning) to\b|\bi mean to\b|\b(is|are|'s) (meant|supposed) to be\b|"
    r"^i could (get|reach|see)\b|"
    r"\b(will|i'll|we'll|it'll|that'll|they'll) be \w+ing\b|"
    r"\bin a (bit|mo|moment|sec|while)\b(?! (over|under|more|of|less))|"
    r"\bi'd (bet|like|love)\b|\b(has|have|got) to come (off|out) (first|before)\b|"
    r"\blater when\b|\bstill (to do|to come|waiting)\b|"
    r"\b(no|nothing|so) (more )?(dirt|muck|dust|grit|water|moisture|rubbish|rain) (would|can|could|will|gets?)\b"
)
"""What was only meant, planned or missed."""
_LATER = frozenset(
    {"tomorrow", "tonight", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"}
)
_TOWARDS = frozenset({"into", "onto", "through", "over", "around", "towards", "toward"})
_MEANWHILE = frozenset({"then", "next", "now"})
_THEN_WENT = lexicon.words_of(
    "came comes come went goes slid slides fell falls dropped drops lifted lifts pulled pulls popped pops swung "
    "swings is are was were could can unclips unhooks"
)
"""`The tray then comes down`: it is told of the tray."""
_NAMING = frozenset({Sort.NAME, Sort.SMALL, Sort.QUANTITY, Sort.PREPOSITION})
_DONE_WITH = (["with", "that", "done"], ["with", "those", "done"], ["with", "it", "done"], ["with", "them", "done"])
_NEXT_WHICH = frozenset({"following", "after", "upon"})
"""`…, following which the trim was lifted`: it was done next."""
_COMES_OFF = frozenset({lexicon.Sense.OFF, lexicon.Sense.LOOSEN, lexicon.Sense.UNPLUG})
_LEFT_TO_WAIT = lexicon.words_of("hour hours sit stand rest while soak cool overnight card time long longer")
_INSTEAD = frozenset({"just", "only", "simply"})
_MOMENTS = lexicon.words_of("wiggle tug fight while bit shake pull push waggle struggle nudge thump tap persuasion")
_STANDS = lexicon.words_of("stands stand lift ramp ramps hoist trestles")
_SHORT = 4
_WAS = frozenset({"is", "are", "was", "were", "been"})
_LEADS_ON = frozenset({"to", "gonna", "going", "just", "then", "now", "also", "always", "please", "and", "really"})
_WHERE_IT_IS = frozenset({Sort.NAME, Sort.SMALL, Sort.PRONOUN})
"""`Plug out and in my pocket`: two things are told of it."""
_NEVER_LAST = lexicon.AUXILIARIES | _LEADS_ON
_DOING = frozenset({Sort.VERB, Sort.OTHER_VERB, Sort.SUBJECT, Sort.NOT})
_SAYING = frozenset({Sort.VERB, Sort.NAME, Sort.OTHER_VERB, Sort.PRONOUN})
_GIVES = lexicon.words_of("gave give gives did do does done put set used torqued tightened went took turned pulled")
_PAST = lexicon.words_of("took got had gave went came slid undid did drew held ran spun wound made left hung bent")
_IT_MOVES = frozenset({"it", "she", "he", "they", "came", "comes"})
_ENDS_A_CLAUSE = frozenset({Sort.NAME, Sort.PRONOUN, Sort.QUANTITY, Sort.SMALL})
_THEM = frozenset({"those", "these", "them"})
_GOES = lexicon.words_of("has have had is are was were goes go went came comes")
_MAY_BE_OVER = frozenset({Sort.SMALL, Sort.PRONOUN, Sort.QUANTITY})
_ON_IT = ([Sort.PARTICLE, Sort.PRONOUN], [Sort.PREPOSITION, Sort.PRONOUN])
_WHO_WORKS = frozenset({"i", "i've", "we", "we've", "i'd"})
_NEW_TURN = frozenset({"okay", "ok", "now", "alright", "next", "then"})


def segments(row: Sequence[Piece]) -> list[Segment]:
    """The segments of a row of pieces, in order."""
    found: list[Segment] = []
    current: list[Piece] = []
    join, sentence, in_case, planned, before = "", 0, False, False, ""

    def close() -> None:
        nonlocal current, join, in_case, planned, before
        if current:
            text = " ".join(piece.low for piece in current)
            in_case = in_case and not _tells_what_was_done(current, join)
            mood = _mood(current, join, in_case, text)
            planned = _is_planned(f"{before} {text}") or (planned and _goes_on_planning(current, join))
            before = text if not any(piece.sort is Sort.VERB for piece in current) else ""
            mood = Mood.BACKGROUND if planned and mood is Mood.DONE else mood
            in_case = in_case or mood is Mood.CONDITION
            found.append(Segment(tuple(current), mood, join, sentence))
        current, join = [], ""

    for n, piece in enumerate(row):
        if len(current) >= _LONGEST:
            close()
        if piece.sort is Sort.STOP:
            close()
            sentence, in_case = sentence + 1, False
        elif piece.sort is Sort.COMMA:
            if not _goes_on(row, n, current) or _in_apposition(current, found, sentence):
                close()
        elif _stays(row, n, current):
            current.append(piece)
        elif lead := _leads_over(row, n):
            current = [one for one in current if one.low not in _NEXT_WHICH]
            close()
            join = lead
        elif piece.low == "which" and _tells_an_act(row, n):
            close()
            current.append(replace(piece, sort=Sort.PRONOUN, low="them" if _of_several(row, n) else "it"))
        elif _joins(row, n):
            close()
            join = "once" if piece.low == "now" else piece.low
            in_case = in_case and piece.low not in {"so", "but"}
        elif piece.low in _NEW_TURN and piece.sort is Sort.SMALL:
            close()
            in_case = in_case and piece.low in {"then"}
        elif _begins(row, n, current):
            subject = [current.pop()] if _moves_by_itself(piece, current) else []
            close()
            current.extend([*subject, piece])
        else:
            current.append(piece)
    close()
    return found


def _tells_what_was_done(current: Sequence[Piece], join: str) -> bool:
    """`… if you ask me, and then I pulled them down across`: told as done by who tells it, so no case any more."""
    if join not in {"and", "then", ""} or current[0].low not in _WHO_WORKS:
        return False
    verb = next((piece for piece in current if piece.sort in (Sort.VERB, Sort.OTHER_VERB)), None)
    return verb is not None and current[-1].low != "before" and (verb.low.endswith("ed") or verb.low in _PAST)


def _of_several(row: Sequence[Piece], n: int) -> bool:
    """`Three long screws, which I took out`: whether `which` means several."""
    name = next((one for one in reversed(row[max(0, n - 4) : n]) if one.sort is Sort.NAME), None)
    return row[n + 1].low == "were" or (name is not None and (name.count or 0) > 1)


def _is_planned(text: str) -> bool:
    """`Tomorrow I'll hook it back up`: what is put off."""
    words = set(text.split())
    return bool(words & {"i'll", "we'll"}) and bool(words & _LATER or "in the morning" in text)


def _goes_on_planning(current: Sequence[Piece], join: str) -> bool:
    """`… and read it over again`: the same is meant where nobody is named anew."""
    return join == "and" and current[0].sort is Sort.VERB and not lexicon.is_participle(current[0].low)


def _leads_over(row: Sequence[Piece], n: int) -> str:
    """The join that words stand for: `which means` is `so`, `whereupon` is `then`; empty where they are none."""
    means = row[n : n + 2] if row[n].low == "which" else row[max(0, n - 1) : n + 1]
    if [one.low for one in means] in (["which", "means"], ["which", "meant"]):
        return "so"
    return "then" if _comes_next(row, n) else ""


def _comes_next(row: Sequence[Piece], n: int) -> bool:
    """`Whereupon`, `following which`, `before being tightened`: what follows was done next."""
    if row[n].low in {"before", "after"}:
        return n + 1 < len(row) and row[n + 1].low == "being"
    if row[n].low in {"followed", "by"}:
        return _followed_by(row, n)
    return row[n].low == "whereupon" or (row[n].low == "which" and n > 0 and row[n - 1].low in _NEXT_WHICH)


def _followed_by(row: Sequence[Piece], n: int) -> bool:
    """Whether a place lies in `followed by`."""
    pair = (row[n : n + 2]) if row[n].low == "followed" else row[max(0, n - 1) : n + 1]
    return [one.low for one in pair] == ["followed", "by"]


def _stays(row: Sequence[Piece], n: int, current: Sequence[Piece]) -> bool:
    """`Up and out`, `battery next.`: words that begin something elsewhere, and not here."""
    if row[n].low == "and":
        return _two_particles(row, n)
    if row[n].low in _MEANWHILE and n and row[n - 1].low in _WAS | {"could", "can"} and current:
        return True
    if row[n].low in _MEANWHILE and n + 1 < len(row) and row[n + 1].low in _THEN_WENT and _alone_named(current):
        return True
    last = n + 1 < len(row) and row[n + 1].sort in (Sort.STOP, Sort.COMMA)
    return row[n].low == "next" and bool(current) and last


def _alone_named(current: Sequence[Piece]) -> bool:
    """`The tray then …`: whether nothing but one name was said."""
    return bool(current) and current[-1].sort is Sort.NAME and all(one.sort in _NAMING for one in current)


def _joins(row: Sequence[Piece], n: int) -> bool:
    """Whether a word joins what follows to what was said: `and`, `before you pull`, `now that`."""
    piece = row[n]
    if piece.low == "once" and n and (row[n - 1].low in {"at", "all", "more", "a"} or row[n - 1].low.endswith(" a")):
        return False
    if piece.low == "now":
        return n + 1 < len(row) and row[n + 1].low == "that"
    if piece.low == "once" and n + 1 < len(row) and row[n + 1].low in {"more", "again"}:
        return False
    return piece.sort is Sort.JOIN or (piece.low in _BACKGROUND and _clause_follows(row, n))


def _tells_an_act(row: Sequence[Piece], n: int) -> bool:
    """`… clips, which were prised out`, `…, which I slid off`: done to what was named before."""
    following = row[n + 1 : n + 4]
    if len(following) < 2:
        return False
    if following[0].low in {"was", "were"}:
        return any(one.sort is Sort.VERB and lexicon.is_participle(one.low) for one in following[1:])
    return following[0].sort is Sort.SUBJECT and following[1].sort is Sort.VERB


def _goes_on(row: Sequence[Piece], n: int, current: Sequence[Piece]) -> bool:
    """`Bracket nuts, two, eight mil, off`: what stands between the commas is said of the one name before them."""
    if not current or not _only_named(current):
        return False
    following = _up_to_stop(row, n + 1)
    if not following or following[0].low == "no":
        return False
    if all(piece.sort in (Sort.QUANTITY, Sort.OTHER_VERB) or piece.low in _EACH | _STATE for piece in following):
        return True
    if following[0].low in {"out", "off"} and len(following) > 1 and following[1].low in {"of", "from"}:
        return True
    pulled = following[0].sort is Sort.VERB and lexicon.is_participle(following[0].low)
    if pulled and [one.low for one in following[1:2]] in (["from"], ["off"]) and len(following) < _SHORT:
        return True
    return _only_result(following) and not any(piece.sort in (Sort.NAME, Sort.PRONOUN) for piece in following)


def _a_moment_before(current: Sequence[Piece], join: str) -> bool:
    """`After a wiggle the manifold lifted out`: what was done, and not what was done before it."""
    names = [piece for piece in current[:2] if piece.sort is Sort.NAME]
    return join == "after" and len(names) > 1 and names[0].head in _MOMENTS and "a" in names[0].marks


def _already(current: Sequence[Piece]) -> bool:
    """`The tester having been checked before`: told by the way; what came off so came off."""
    lows = [piece.low for piece in current]
    if "having" not in lows[1:] or lows[lows.index("having") + 1 : lows.index("having") + 2] != ["been"]:
        return False
    return not any(piece.sense in _COMES_OFF for piece in current)


def _to_be(lows: Sequence[str]) -> bool:
    """`Covers were to be placed on the seats`: asked for, and not done."""
    return any(a in _WAS and b == "to" and c == "be" for a, b, c in zip(lows, lows[1:], lows[2:], strict=False))


def _in_apposition(current: Sequence[Piece], found: Sequence[Segment], sentence: int) -> bool:
    """`The lead, a 10 mm nut, was parted`: the nut stands beside what was parted."""
    if not found or found[-1].sentence != sentence or current[0].sort is not Sort.NAME:
        return False
    beside = bool(current[0].marks & {"a", "an"})
    return beside and not any(piece.sort in (Sort.VERB, Sort.SUBJECT) for piece in found[-1].pieces)


def _only_named(current: Sequence[Piece]) -> bool:
    """Whether nothing was said but one name and its numbers."""
    names = [piece for piece in current if piece.sort is Sort.NAME]
    return len(names) == 1 and all(
        piece.sort in (Sort.NAME, Sort.QUANTITY, Sort.OTHER_VERB) or piece.low in _EACH | _STATE for piece in current
    )


def _only_result(following: Sequence[Piece]) -> bool:
    """`Off`, `undone`, `out and binned`: what became of a thing, without saying which."""
    first = following[0]
    if first.low in {"was", "were", "is", "are"} and len(following) > 1:
        first = following[1]
    if first.sort is Sort.PARTICLE:
        return len(following) < _SHORT
    return first.sort is Sort.VERB and lexicon.is_participle(first.low) and len(following) < _SHORT


def _up_to_stop(row: Sequence[Piece], n: int) -> Sequence[Piece]:
    """The pieces up to the next comma or stop."""
    after = n
    while after < len(row) and row[after].sort not in (Sort.COMMA, Sort.STOP) and after < n + _LONGEST:
        after += 1
    return row[n:after]


def _two_particles(row: Sequence[Piece], n: int) -> bool:
    """`Up and out`: one movement; `good and tight`: one manner. In `nine out and out it came` two things are told."""
    if 0 < n < len(row) - 1 and row[n - 1].low in {"good", "nice"}:
        return True
    both = 0 < n < len(row) - 1 and row[n - 1].sort is row[n + 1].sort is Sort.PARTICLE
    put_by = both and row[n + 1].low in {"in", "on"} and n + 2 < len(row) and row[n + 2].sort in _WHERE_IT_IS
    by_itself = both and n + 2 < len(row) and row[n + 2].low in _IT_MOVES
    return both and not put_by and not by_itself


def _moves_by_itself(piece: Piece, current: Sequence[Piece]) -> bool:
    """`… the same new one slides down`: the name before such a verb belongs to it."""
    if _makes_sure(current):
        return False
    return piece.sort is Sort.VERB and piece.low.endswith("s") and len(current) > 1 and current[-1].sort is Sort.NAME


def _makes_sure(current: Sequence[Piece]) -> bool:
    """`Check that the belt sits in the grooves`, `make sure the peg goes in`: what follows is looked at, not done."""
    return any(piece.low == "sure" or piece.sense is lexicon.Sense.CHECK for piece in current)


def _clause_follows(row: Sequence[Piece], n: int) -> bool:
    """Whether `before` or `after` begins a clause ("before you pull on it") and not a time ("after put-back")."""
    following = [piece.sort for piece in row[n + 1 : n + 4]]
    if following[:2] == [Sort.NAME, Sort.SUBJECT]:
        return False
    return bool(following) and (
        following[0] in (Sort.SUBJECT, Sort.PRONOUN, Sort.VERB)
        or (following[0] is Sort.NAME and Sort.VERB in following)
    )


def _begins(row: Sequence[Piece], n: int, current: Sequence[Piece]) -> bool:
    """Whether a new segment begins with this piece though no stop and no joining word stands before it."""
    piece = row[n]
    if not current or piece.sort is Sort.IF or piece.low == "make":
        return bool(current)
    if _makes_sure(current) and piece.low.endswith("s"):
        return False
    if piece.sort is Sort.NAME:
        lows = [one.low for one in current]
        done = lows in _DONE_WITH or lows[-2:] == ["going", "back"] or lows[-3:] == ["going", "back", "now"]
        told = (
            done
            or _is_fronted(row, n, current)
            or _has_its_own_clause(row, n, current)
            or _is_told_of(row, n, current)
            or _is_subject(row, n, current)
            or _after_leaving(piece, current)
        )
        return told or _named_anew(piece, current, row[n + 1] if n + 1 < len(row) else None)
    if piece.low in {"don't", "not", "never", "please", "without"}:
        return _forbids_anew(current, piece)
    said = any(one.sort in _SAYING for one in current) or _torque_is_over(row, n)
    if piece.sort is not Sort.VERB:
        again = len(current) > 1 and current[0].sort is Sort.SUBJECT
        return (said or again) and piece.sort is Sort.SUBJECT
    return _told_instead(current) or _orders_after_name(row, n, current) or _verb_begins(piece, current)


def _torque_is_over(row: Sequence[Piece], n: int) -> bool:
    """`To ten newton metres I have the sheet here`, and not `ten newton metres I gave them`."""
    before = row[n - 1].quantity if n else None
    if before is None or before.of is not Of.TORQUE:
        return False
    return n + 1 < len(row) and row[n + 1].low not in _GIVES


def _told_instead(current: Sequence[Piece]) -> bool:
    """`You don't have to unplug it, just …`: what follows is done instead of what is not."""
    sorts = {one.sort for one in current}
    return current[-1].low in _INSTEAD and {Sort.NOT, Sort.VERB} <= sorts


def _orders_after_name(row: Sequence[Piece], n: int, current: Sequence[Piece]) -> bool:
    """`Three clips on the harness pull those off`: after what was only said, a verb with its object is an order."""
    piece, last = row[n], current[-1]
    if piece.sort is not Sort.VERB or lexicon.is_participle(piece.low) or piece.low.endswith(("s", "ing")):
        return False
    if n + 1 >= len(row) or any(one.sort is Sort.VERB for one in current) or not _may_end(last, current):
        return False
    if last.head in lexicon.FASTENERS and piece.sense in (lexicon.Sense.ON, lexicon.Sense.TIGHTEN):
        return False
    following = row[n + 1]
    named = following.sort is Sort.NAME and bool(following.marks or following.count)
    return named or following.sort is Sort.PRONOUN


def _may_end(last: Piece, current: Sequence[Piece]) -> bool:
    """Whether what was said may be over with its last piece, so that an order may follow."""
    if last.sort is Sort.NAME:
        return not any(one.sort in _DOING for one in current) or any(one.sort is Sort.OTHER_VERB for one in current)
    if last.sort not in (Sort.SMALL, Sort.PRONOUN, Sort.PARTICLE) or last.low in _NEVER_LAST:
        return False
    return any(one.sort is Sort.OTHER_VERB or one.low in _WAS for one in current)


def _is_told_of(row: Sequence[Piece], n: int, current: Sequence[Piece]) -> bool:
    """`… radar plug's in golf tee's out`: a name of which is told where it is begins anew."""
    was = n + 1 < len(row) and row[n + 1].low in _WAS and current[-1].sort in (Sort.NAME, Sort.SMALL)
    was = was and not any(one.low in {"that", "which", "who", "where"} for one in current)
    if (
        not (IS in row[n].marks or was)
        or current[-1].sort in (Sort.PREPOSITION, Sort.NOT)
        or current[-1].low in lexicon.AUXILIARIES
    ):
        return False
    return any(_is_result(one) or one.sort in (Sort.VERB, Sort.OTHER_VERB, Sort.NAME) for one in current)


def _named_after_all(piece: Piece, last: Piece, ends: frozenset[Sort]) -> bool:
    """Whether a name with an article stands behind what may be the last of a clause."""
    over = last.sort in ends and last.low not in _NEVER_LAST and not last.low.endswith("'s")
    return over and bool(piece.marks & _ARTICLES)


def _has_its_own_clause(row: Sequence[Piece], n: int, current: Sequence[Piece]) -> bool:
    """`The motor plug is on it the new filter is in`: after a clause that is over a thing and what became of it."""
    told = any(one.sort is Sort.VERB or _is_result(one) for one in current)
    if not told or not _named_after_all(row[n], current[-1], _ENDS_A_CLAUSE):
        return False
    following = row[n + 1 : n + 3]
    if len(following) < 2:
        return False
    first, second = following
    went = first.sort is Sort.VERB and lexicon.is_participle(first.low) and second.sort is Sort.PARTICLE
    stands = first.low in _WAS and second.sort is Sort.PARTICLE
    ended = second.sort in (Sort.STOP, Sort.COMMA, Sort.JOIN, Sort.QUANTITY, Sort.PARTICLE, Sort.SUBJECT)
    return went or stands or (first.low in {"in", "on", "off", "out", "back"} and ended)


def _is_fronted(row: Sequence[Piece], n: int, current: Sequence[Piece]) -> bool:
    """`… to one side the orange plug on it I have taken that off`: what is named first, after a clause that is over.

    `Twelve on all of those the rag has come out` too.
    """
    last, after = current[-1], n + 1
    told = any(one.sort in (Sort.VERB, Sort.OTHER_VERB) or _is_result(one) for one in current)
    if not told or not _named_after_all(row[n], last, _MAY_BE_OVER):
        return False
    if last.low in _THEM and after < len(row) and row[after].low in _GOES:
        return True
    if [one.sort for one in row[after : after + 2]] in _ON_IT:
        after += 2
    return after < len(row) and row[after].sort is Sort.SUBJECT and row[after].low in _WHO_WORKS


def _is_subject(row: Sequence[Piece], n: int, current: Sequence[Piece]) -> bool:
    """`… out of the way overflow hose just pulls off`: a bare name and what it does, after a verb and its object."""
    if row[n].marks or row[n].count or current[-1].sort not in (Sort.SMALL, Sort.PARTICLE, Sort.PRONOUN):
        return False
    if current[-1].low in lexicon.AUXILIARIES or not any(one.sort is Sort.VERB for one in current):
        return False
    after = next((one for one in row[n + 1 : n + 3] if one.sort is not Sort.SMALL), None)
    return (
        after is not None and after.sort is Sort.VERB and after.low.endswith("s") and after.sense is lexicon.Sense.MOVE
    )


def _after_leaving(piece: Piece, current: Sequence[Piece]) -> bool:
    """`… and it lifts off upper hose clamp squeeze it`: a bare name after what left by itself."""
    if piece.marks or len(current) < _SHORT - 1 or current[-1].low not in lexicon.OFF_WORDS:
        return False
    subject, verb = current[-3], current[-2]
    by_itself = verb.sort is Sort.VERB and verb.low.endswith("s") and subject.sort in (Sort.PRONOUN, Sort.NAME)
    return by_itself and verb.sense is lexicon.Sense.MOVE


def _named_anew(piece: Piece, current: Sequence[Piece], following: Piece | None) -> bool:
    """`Bolt out channel out`: after a thing and what became of it, a name without an article is the next thing."""
    alone = current[0].sort is Sort.VERB and lexicon.is_participle(current[0].low) and len(current) > 1
    alone = alone and not any(one.sort in (Sort.NAME, Sort.PRONOUN) for one in current)
    if piece.marks & _ARTICLES or (current[0].sort is not Sort.NAME and not alone):
        return False
    last = current[-1]
    if any(one.sort in (Sort.SUBJECT, Sort.OTHER_VERB, Sort.NOT) for one in current):
        return False
    if len(current) == 1 and last.count is not None and last.head in lexicon.FASTENERS:
        return True
    if (
        last.sort is Sort.PREPOSITION
        or last.low in _TOWARDS
        or (piece.marks & _OF_ALL and last.low in {"in", "on", "up", "down"})
        or (last.low in {"in", "on"} and piece.head in lexicon.STORES | _STANDS)
        or (last.low == "in" and any(one.sense is lexicon.Sense.FILL for one in current))
    ):
        return False
    numbered = piece.count is not None or "both" in piece.marks
    next_result = last.sort is Sort.NAME and following is not None and _is_result(following)
    told = numbered or next_result or last.low in _PLACES
    return _is_result(last) or (told and any(_is_result(one) for one in current))


def _is_result(piece: Piece) -> bool:
    """Whether a piece says what became of the thing before it: `out`, `unplugged`, a torque."""
    if piece.quantity is not None:
        return piece.quantity.of is Of.TORQUE
    return piece.sort is Sort.PARTICLE or (piece.sort is Sort.VERB and lexicon.is_participle(piece.low))


def _forbids_anew(current: Sequence[Piece], piece: Piece) -> bool:
    """`… peeled back don't cut it`, `pulled off without a fight`: after what was done it stands by itself."""
    last = current[-1]
    if last.sort is Sort.SUBJECT or last.low in lexicon.AUXILIARIES:
        return False
    done = any(one.sort is Sort.VERB or _is_result(one) for one in current)
    return done and (piece.low == "without" or any(one.sort in (Sort.NAME, Sort.PRONOUN) for one in current))


def _verb_begins(piece: Piece, current: Sequence[Piece]) -> bool:
    """Whether a verb begins something new: the verb before it has had its object or its particle."""
    last = current[-1]
    if last.low in {"again", "too"} and any(one.sort is Sort.OTHER_VERB for one in current):
        return True
    verbs = [k for k, one in enumerate(current) if one.sort is Sort.VERB]
    if not verbs and current[0].sort is Sort.NAME and last.sort is Sort.PARTICLE:
        return lexicon.is_participle(piece.low)
    if not verbs or last.low == "to":
        return False
    goes_on = last.sort in (Sort.VERB, Sort.SUBJECT, Sort.NOT, Sort.SMALL) and last.low not in _LAST_WORDS
    if goes_on or _ends_so(current[verbs[-1]], piece, last):
        return False
    return any(one.sort in (Sort.NAME, Sort.PRONOUN, Sort.PARTICLE) for one in current[verbs[-1] + 1 :])


def _ends_so(verb: Piece, piece: Piece, last: Piece) -> bool:
    """`Whack them undone`, `get it loosened`: what a verb leads to belongs to it."""
    undone = verb.sense is lexicon.Sense.MOVE and piece.low in _UNDONE and last.sort in (Sort.PRONOUN, Sort.NAME)
    return undone or (verb.low in _LETTING and (piece.low in _LET_GO or piece.low.endswith("ed")))


def _mood(current: Sequence[Piece], join: str, in_case: bool, text: str) -> Mood:
    lows = [piece.low for piece in current]
    negated = any(piece.sort is Sort.NOT for piece in current if piece.low not in {"no", "nothing"} or "need" in lows)
    timed = any(piece.quantity is not None and piece.quantity.of is Of.MINUTES for piece in current)
    leaves = not timed and any(piece.sense is lexicon.Sense.LEAVE for piece in current if piece.sort is Sort.VERB)
    it = {"it", "them", "her", "him"} & set(lows)
    alone = {"left", "alone"} <= set(lows) and bool({"for", "till", "until"} & set(lows))
    waits = alone or (it and (_LEFT_TO_WAIT & set(lows) or lows[-2:] == ["it", "a"]))
    left = leaves and not waits
    back_to = join in _BACKGROUND and not _a_moment_before(current, join)
    told_of = back_to or (lows[0] in {"once", "before", "after", "until"} and lows[1:2] != ["anything"])
    cases = (
        (any(piece.sort is Sort.IF for piece in current), Mood.CONDITION),
        (in_case, Mood.IN_CASE),
        (join == "so" and lows[0] in {"no", "nothing", "none", "nobody"}, Mood.BACKGROUND),
        (negated or left or _already(current) or _to_be(lows), Mood.NEGATED),
        (bool(_LATER & set(lows) or _RECAPS.search(text) or _NOT_DONE.search(text)), Mood.BACKGROUND),
        (told_of and not (join == "while" and lows[0] in {"you", "i", "we"}), Mood.BACKGROUND),
    )
    return next((mood for holds, mood in cases if holds), Mood.DONE)
