"""One idea: a sentence is read as a row of pieces: names of things, verbs, particles, quantities and small words.

A name is a run of words that are nothing else ("battery cover", "two 10 mm screws", "the lower hose"), so that a part
nobody has listed is a part all the same. A word that is both a verb and a thing ("cover", "clip", "plug") is told by
its neighbours.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import Enum, auto

from putback.narrate.phrase.nouns import Nouns
from putback.narrate.text.quantities import Of, Quantity, quantities
from putback.narrate.text.spellings import spelt_out
from putback.narrate.text.tokens import Token, tokens
from putback.narrate.words import lexicon
from putback.narrate.words.everyday import is_doing
from putback.narrate.words.lexicon import ACROSS, FASTENERS, VERBS, Sense
from putback.narrate.words.never_parts import ADJECTIVES


class Sort(Enum):
    """What a piece is."""

    NAME = auto()
    PRONOUN = auto()
    VERB = auto()
    OTHER_VERB = auto()
    PARTICLE = auto()
    PREPOSITION = auto()
    QUANTITY = auto()
    JOIN = auto()
    IF = auto()
    NOT = auto()
    SUBJECT = auto()
    SMALL = auto()
    COMMA = auto()
    STOP = auto()


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A piece of a sentence: the tokens from `first` up to `after`, and where they stand in the text.

    A name carries its own words without numbers, `count` and `size` as they were said with it, `total` of "four of the
    six", and what determines it: the, both, the other, new.
    """

    sort: Sort
    low: str
    start: int
    end: int
    words: tuple[str, ...] = ()
    count: int | None = None
    size: str | None = None
    total: int | None = None
    marks: frozenset[str] = field(default_factory=frozenset)
    sense: Sense | None = None
    quantity: Quantity | None = None

    @property
    def head(self) -> str:
        """The last word of a name: what kind of thing it is."""
        return self.words[-1] if self.words else ""


_DASHES = frozenset({"-", "–", "—"})
_MANY = frozenset(
    word
    for word in (*FASTENERS, *lexicon.HOSE_HEADS, "connectors", "plugs")
    if word.endswith("s") and word != "phillips"
)
"""Such a word ends a name: what comes after `four screws` is another thing."""
_LONGEST_NAME = 8
_LENGTHS = lexicon.words_of("long short longer shorter big small bigger smaller fat thin")
"""`The long ones`: some of the fasteners that were spoken of."""
_PUTS = lexicon.words_of("put puts putting set bolt bolted screw screwed clip clipped pop popped lay laid")
_OPENS = frozenset({"", ",", ".", ";"})
_ORDERED = frozenset({"", ".", ",", "and", "then", "to"})
_BACKED = frozenset({"the", "that", "those", "them", "it", "each"})
_FELT_ABOUT = lexicon.words_of("under underneath round around along behind inside")
_IT_IS = {"it's": "it", "that's": "that", "they've": "they", "he's": "it", "she's": "it"}
_VERB_MEANT = frozenset({"made", "part", "felt", "stands", "stand"})
_TELLS_TO_PART = frozenset({"", ".", ",", "and", "then", "to", "i", "we", "you"})
"""`… and part the connector`: what is done, and no part."""
_GONE_BACK = (["back"], ["home"])
_IN_PLACE = frozenset({"in", "on", "home", "back"})
_IN_ONE = (["piece"], ["go"], ["lump"], ["movement"])
_JUST_SO = (["on", "the", "nose"], ["on", "the", "dot"])
_ENDS_A_TORQUE = lexicon.words_of("metres meters pounds nm")
_AT_MOST_NAMED = 8
_SHORTEST_CLIPPED = 4
_DOING = frozenset(word for word in (*VERBS, *lexicon.OTHER_VERBS) if word.endswith("ing"))
"""What `wiping` and `dripping` stand for where the g is not said."""
_MEASURES = lexicon.words_of(
    "litre litres liter liters l ml gallon gallons quart quarts pint pints cup cups jug bottle bottles can drop cupful"
)
_KEEPS = lexicon.words_of(
    "stay stays stayed keep keeps kept is was are were be been comes came come looks looked nice so perfectly both"
)
_PARTS_IN_TWO = lexicon.words_of("joint joints balljoint taper tapers end ends halves casing coupling connector union")
_SOME_OF = frozenset({"bit", "piece", "length", "strip", "scrap", "lump", "sheet", "wad", "bunch", "set", "lot"})
_OWNERS = frozenset({"driver's", "passenger's"})
_BEFORE_NAMES = frozenset({"same", "old", "new", "other", "fresh", "brand", "remaining"})
_DONE_WITH = frozenset({"the", "all", "both", "them", "it", "those", "up", "that"})
PLACED = lexicon.words_of("top bottom upper lower front rear inner outer middle long short")
"""`The top one`: of several that were just spoken of."""
_SKIPPED = lexicon.words_of(
    "little big tiny large clean dirty tight easy awkward fiddly stubborn great fine bad hidden tricky simple hard "
    "firm sharp weeping leaking failing matching offending more visible different similar handy obvious actual "
    "lovely silly daft horrible nasty wee stupid damn bloody measly remaining such good nice very really"
)
"""Such words say how a thing is, and belong to no name."""
REST = frozenset({"other", "remaining"})
"""Marks of what is left of several: `the other two`."""
_OF_ONE_WIDTH = lexicon.words_of("gap apart clearance long short of play travel to from between left")
_WAYS_OF_A_PLUG = frozenset({"way", "pin", "pole", "wire", "core"})
"""`The five-way plug`: no five of them."""
_POINTING = frozenset({"those", "these", "this"})
_ARTICLES = frozenset({"the", "a", "an", "my", "your"})
"""`Twelve on all of those the rag has come out`: an article begins another name."""
_POINTS_AT = lexicon.words_of("the those these all both my your couple few")
IS = "'s"
"""The mark of a name that something is told of: `the plug's in`."""
BY_SIZE = "by size"
"""The mark of fasteners that were named by their size alone: `three tens`; bolts or screws by what is usual."""
_CORRECTS = lexicon.words_of("no sorry wait scratch rather actually lie excuse pardon")
_BETWEEN = _CORRECTS | lexicon.words_of(
    "yes yeah aye tell a uh um er i mean make that oh hang on not it was it's that's is me my"
)


_KNOWN_FIRST = {
    **dict.fromkeys(lexicon.SUBJECTS, Sort.SUBJECT),
    **dict.fromkeys(lexicon.NEGATIONS, Sort.NOT),
    **dict.fromkeys(lexicon.CONDITIONS, Sort.IF),
}
"""Words that are always the same, whatever stands beside them."""
_KNOWN_LAST = {
    **dict.fromkeys(lexicon.PRONOUNS, Sort.PRONOUN),
    **dict.fromkeys(lexicon.JOINS, Sort.JOIN),
    **dict.fromkeys(lexicon.PREPOSITIONS, Sort.PREPOSITION),
}
"""What a word is that is neither a particle nor a verb where it stands."""


def words_in(parts: Iterable[Piece]) -> list[str]:
    """The words of names, and what else was said as it stands, in order."""
    return [word for piece in parts for word in (piece.words or (piece.low,))]


def pieces(text: str, breaks: frozenset[int] = frozenset()) -> list[Piece]:
    """The pieces of a text, in order; of a slip of the tongue ("four, no, five bolts") only what it was mended to."""
    return _corrected(_Reader(text, breaks).read())


def _corrected(row: list[Piece]) -> list[Piece]:
    found: list[Piece] = []
    place = 0
    while place < len(row):
        after = _mended_at(row, place)
        if after:
            row[after] = _with_unit_of(row[place], row[after])
            place = after
            continue
        found.append(row[place])
        place += 1
    return found


def _mended_at(row: list[Piece], place: int) -> int:
    """Where the mended words begin, if the piece at this place is a slip; else 0."""
    if row[place].sort not in (Sort.NAME, Sort.QUANTITY):
        return 0
    after = place + 1
    while after < len(row) and after < place + 7 and (row[after].low in _BETWEEN or row[after].sort is Sort.COMMA):
        after += 1
    between = {piece.low for piece in row[place + 1 : after]}
    if after >= len(row) or not between & _CORRECTS:
        return 0
    slip, mended = row[place], row[after]
    if slip.sort is Sort.QUANTITY and mended.sort in (Sort.NAME, Sort.QUANTITY):
        return after if mended.sort is Sort.QUANTITY or mended.count or mended.size else 0
    return after if mended.sort is Sort.NAME and mended.head.rstrip("s") == slip.head.rstrip("s") else 0


def _with_unit_of(slip: Piece, mended: Piece) -> Piece:
    """`Ten newton metres, no, twelve`: the number alone is said anew."""
    old, new = slip.quantity, mended.quantity
    if old is None or new is None or old.of is not Of.TORQUE or new.of is not Of.COUNT:
        return mended
    text = new.number.text + old.text.removeprefix(old.number.text)
    return replace(mended, quantity=replace(new, of=Of.TORQUE, text=text), low=text)


@dataclass(slots=True)
class _Opening:
    """What was read before the words of a name; `after` is the token that follows."""

    after: int
    marks: set[str] = field(default_factory=set)
    count: int | None = None
    size: str | None = None
    heads: Quantity | None = None
    total: int | None = None

    def mark(self, word: str) -> None:
        """Take a word that determines the name."""
        self.marks.add(word)
        self.after += 1


def _in_plain_words(words: list[Token]) -> list[Token]:
    """`The front end's up`: only the name; `made tight`, `I felt the hose`: the verb that is meant."""
    for n, token in enumerate(words):
        before, following = words[n - 1].low if n else "", words[n + 1].low if n + 1 < len(words) else ""
        if token.low in _IT_IS and following == "gone" and [word.low for word in words[n + 2 : n + 3]] in _GONE_BACK:
            words[n] = replace(token, low=_IT_IS[token.low])
        meant = _verb_meant(token.low, before, following) if token.low in _VERB_MEANT else ""
        if meant:
            words[n] = replace(token, low=meant)
        if token.low in {"broken", "broke"} and (loose := _then_loose(words, n)):
            words[n] = replace(token, low="loosened")
            words[loose] = replace(words[loose], low="now")
        if token.low == "do" and following == "not":
            words[n], words[n + 1] = replace(token, low="don't"), replace(words[n + 1], low="just")
        if token.low == "after" and following == "that" and _begins_anew(words, n + 2):
            words[n], words[n + 1] = replace(token, low="then"), replace(words[n + 1], low="just")
        if token.low in {"had", "have"} and following in {"out", "off"} and _is_determined(words, n + 2):
            words[n] = replace(token, low="took")
        if len(token.low) > _SHORTEST_CLIPPED and token.low.endswith("in") and token.low + "g" in _DOING:
            words[n] = replace(token, low=token.low + "g")
        if token.low.endswith("'s") and token.low not in lexicon.NOT_NOUNS | _OWNERS:
            words[n] = replace(token, low=token.low[:-2], kind="word is")
            if n + 1 < len(words) and words[n + 1].low == "got":
                words[n + 1] = replace(words[n + 1], low="has")
    return words


def _verb_meant(low: str, before: str, following: str) -> str:
    """`Made tight`, `I felt the hose`, `and part the connector`: the verb that is meant; empty where it stands."""
    determined = following in lexicon.DETERMINERS
    opens = before in lexicon.SUBJECTS or before in {"", ".", "and", "then"}
    cases = (
        (low == "made" and following in {"tight", "fast"}, "tightened"),
        (low == "part" and determined and before in _TELLS_TO_PART, "parted"),
        (low in {"stands", "stand"} and following == "back" and before not in lexicon.DETERMINERS, "goes"),
        (low == "felt" and opens and determined, "inspected"),
        (low == "felt" and following in _FELT_ABOUT, "looked"),
    )
    return next((verb for holds, verb in cases if holds), "")


def _begins_anew(words: list[Token], n: int) -> bool:
    """`After that the cable …`: whether what follows is told of something else."""
    return n < len(words) and words[n].low in lexicon.DETERMINERS | lexicon.SUBJECTS | {","} - {"one"}


def _without_manner(words: list[Token]) -> list[Token]:
    """The words without `in one piece`, `22 newton metres on the nose`: they name no part; `right-hand` is `right`."""
    lows = [word.low for word in words]
    at = [n for n in range(len(lows)) if lows[n : n + 2] == ["in", "one"] and lows[n + 2 : n + 3] in _IN_ONE]
    just_so = [n for n in range(1, len(lows)) if lows[n - 1] in _ENDS_A_TORQUE and lows[n : n + 3] in _JUST_SO]
    for n in just_so:
        words[n] = replace(words[n], low=",", kind="stop")
    handed = {n for n in range(1, len(lows)) if lows[n - 1] in {"left", "right"} and lows[n : n + 2] == ["-", "hand"]}
    gone = {n + k for n in at for k in range(3)} | {n + k for n in handed for k in range(2)}
    gone |= {n + k for n in just_so for k in (1, 2)}
    return [word for n, word in enumerate(words) if n not in gone] if gone else words


def _then_loose(words: list[Token], n: int) -> int | None:
    """Where `loose` stands after `broke`: `I broke the wheel nuts loose`."""
    near = range(n + 1, min(n + _AT_MOST_NAMED, len(words)))
    stop = next((at for at in near if words[at].low in {".", ",", "and", "but", ";"}), len(words))
    return next((at for at in near if at < stop and words[at].low == "loose"), None)


def _is_determined(words: list[Token], n: int) -> bool:
    """Whether a name begins at a place: `I had out the three clips`."""
    return n < len(words) and words[n].low in lexicon.DETERMINERS


class _Reader(Nouns):
    def __init__(self, text: str, breaks: frozenset[int]) -> None:
        words = _in_plain_words(_without_manner(spelt_out(tokens(text, breaks))))
        super().__init__(words, quantities(words))
        self.found: list[Piece] = []

    def read(self) -> list[Piece]:
        place = 0
        while place < len(self.words):
            place = self._next(place)
        return self.found

    def _next(self, place: int) -> int:
        token = self.words[place]
        if token.kind == "stop":
            sort = Sort.COMMA if token.low in {",", ":"} else Sort.STOP
            return self._add(sort, token.low, place, place + 1)
        if token.low in _DASHES and self._apart(place):
            return self._add(Sort.COMMA, token.low, place, place + 1)
        named = self._name(place)
        if named:
            return named
        if place in self.quantities:
            one = self.quantities[place]
            return self._add(Sort.QUANTITY, one.text, place, one.after, quantity=one)
        return self._add(self._sort(place), token.low, place, place + 1)

    def _apart(self, place: int) -> bool:
        """Whether a dash stands between two phrases, and not inside a word."""
        before = place == 0 or self.words[place - 1].end < self.words[place].start
        after = place + 1 >= len(self.words) or self.words[place].end < self.words[place + 1].start
        return before and after

    def _add(self, sort: Sort, low: str, first: int, after: int, *, quantity: Quantity | None = None) -> int:
        sense = VERBS.get(low) if sort is Sort.VERB else None
        piece = Piece(
            sort,
            low,
            self.words[first].start,
            self.words[after - 1].end,
            words=tuple(token.low for token in self.words[first:after]) if quantity else (),
            sense=sense,
            quantity=quantity,
        )
        self.found.append(piece)
        return after

    def _sort(self, place: int) -> Sort:
        low, before, following = self.words[place].low, self.low(place - 1), self.low(place + 1)
        if low in {"should", "had"} and before in _OPENS and self._only_meant(place):
            return Sort.IF
        first = _KNOWN_FIRST.get(low)
        if first is not None:
            return first
        if low in lexicon.PARTICLES and self._is_particle(place):
            return Sort.PARTICLE
        if low in lexicon.OTHER_VERBS and not (low == "done" and following in _DONE_WITH):
            return Sort.OTHER_VERB
        known = low in VERBS and self._may_be_verb(low, before, self.low(place - 2), following)
        if known or self.is_unknown_verb(place):
            return Sort.VERB
        doing = is_doing(low) and low not in lexicon.NOT_NOUNS
        return Sort.OTHER_VERB if doing else _KNOWN_LAST.get(low, Sort.SMALL)

    def _only_meant(self, place: int) -> bool:
        """`Should it stick, …`, `had it been rusty, …`: a condition."""
        if self.words[place].low == "should":
            return self.low(place + 1) not in lexicon.NEGATIONS
        return any(self.low(after) == "been" for after in range(place + 2, place + 8))

    def _is_particle(self, place: int) -> bool:
        """Whether `back` says where to, and does not tell what is done: `back the bolts out`."""
        before, following = self.low(place - 1), self.low(place + 1)
        if self.words[place].low != "back" or before in _PUTS:
            return True
        orders = following == "off" and (before in _ORDERED or before in lexicon.SUBJECTS)
        return not orders and following not in _BACKED

    def _may_be_verb(self, low: str, before: str, far: str, following: str) -> bool:
        """`In snug`, `good and snug`, `on the left`, `top bolt`: manner and place, and not what is done."""
        it = following in {"the", "it", "them", "that"}
        place = following in {"side", "hand", "one", "first", "front", "rear"}
        good = before == "and" and far in {"good", "nice"}
        manner = {
            "snug": before in {"in", "on", "up", "down", "nice", "just"} or good,
            "left": before in {"the", "on", "far", "front", "rear"} or place,
            "turn": before in {"of", "a", "half", "quarter"} or far == "of",
            "turns": before in {"of", "a", "half", "quarter"} or far == "of",
            "lever": following in {"down", "over", "up", "home", "across"} and before in lexicon.OFF_WORDS | _IN_PLACE,
            "couple": following not in {"the", "it", "them", "up"},
            "bang": following == "on",
            "spot": following == "on",
            "smack": following == "on",
            "clean": before in _KEEPS,
            "split": before not in _PARTS_IN_TWO and not it,
            "top": following not in {"up", "off", "it", "the"},
        }
        return not manner.get(low, False)

    # names

    def _name(self, place: int) -> int | None:
        """A name that begins here; the token after it."""
        opening = self._opening(place)
        words, after, size = self._words_of_name(place, opening)
        if not words and (sided := self._sided(place, opening)):
            return sided
        if not words:
            words, after = self._words_implied(opening, after)
        if not words:
            return self._rest(place, opening) if opening.marks & REST else None
        if words[0] in _WAYS_OF_A_PLUG and opening.count and len(words) > 1 and words[-1] in lexicon.CONNECTOR_HEADS:
            words, opening.count = words[1:], None
        start, end = self.words[place].start, self.words[after - 1].end
        if self.words[after - 1].kind == "word is":
            opening.marks.add(IS)
        name = Piece(
            Sort.NAME,
            " ".join(words),
            start,
            end,
            words=tuple(words),
            count=opening.count,
            size=size,
            total=opening.total,
            marks=frozenset(opening.marks),
        )
        self.found.append(name)
        return after

    def _words_of_name(self, place: int, opening: "_Opening") -> tuple[list[str], int, str | None]:
        """The words of a name behind its opening, the token after them, and the size said among them."""
        after, size, words = opening.after, opening.size, list[str]()
        while (
            after < min(len(self.words), place + 3 * _LONGEST_NAME)
            and len(words) < _LONGEST_NAME
            and not (words and words[-1] in _MANY)
            and self.nounlike(after, bool(words) or after > place)
        ):
            if after in self.quantities and self.quantities[after].of is Of.SIZE:
                size = self.quantities[after].text
                after = self.quantities[after].after
                continue
            if self.words[after].low in words or self._only_how(after) or self._put_back(place, after):
                break
            words.append(self.words[after].low)
            after += 1
            after = self._hyphened(words, after)
        return words, after, size

    def _put_back(self, first: int, place: int) -> bool:
        """`Put the seat back.`: to its place, and not the back of the seat."""
        ends = self.words[place].low == "back" and self.low(place + 1) in {"", ".", ",", "and", "then", "in", "on"}
        return ends and self.low(first - 1) in _PUTS

    def _only_how(self, place: int) -> bool:
        """`Lid shut`, `the plug stiff`: an adjective behind which no name goes on says how something is."""
        return self.words[place].low in ADJECTIVES and not self.nounlike(place + 1, True)

    def _words_implied(self, opening: "_Opening", after: int) -> tuple[list[str], int]:
        """`The new one`, `old ones`, `three tens`: what a name is that has no word of its own."""
        if opening.marks & {"new", "old"} and self.low(after - 1) == "one":
            return ["one"], after
        if opening.marks & {"new", "old"} and self.low(opening.after) == "ones":
            return ["ones"], opening.after + 1
        if not self._by_size(opening):
            return [], after
        many = (opening.count or 1) > 1 or (opening.heads is not None and opening.heads.many)
        opening.marks.add(BY_SIZE)
        return [("screw" if str(opening.size).startswith("T") else "bolt") + "s" * many], after

    def _rest(self, place: int, opening: "_Opening") -> int | None:
        """`The other two`, `the remaining ones`: what is left of several, as a pronoun with its number."""
        one = self.low(opening.after)
        after = opening.after + (one in {"one", "ones"})
        if opening.count is None and after == opening.after:
            return None
        words = ("ones",) if opening.count != 1 and one != "one" else ("one",)
        start, end = self.words[place].start, self.words[after - 1].end
        marks = frozenset(opening.marks)
        self.found.append(Piece(Sort.PRONOUN, words[0], start, end, count=opening.count, marks=marks))
        return after

    def _sided(self, place: int, opening: "_Opening") -> int | None:
        """`The left one`: a pronoun that says on which side."""
        side, after = self.low(opening.after), opening.after + 2
        if side in _LENGTHS and self.low(opening.after + 1) in {"one", "ones"}:
            start, end = self.words[place].start, self.words[after - 1].end
            low, marks = self.low(opening.after + 1), frozenset({*opening.marks, side, "other"})
            self.found.append(Piece(Sort.PRONOUN, "ones", start, end, marks=marks, count=1 if low == "one" else None))
            return after
        if side in PLACED and (many := self.so_many(opening.after + 1)) is not None:
            start, end = self.words[place].start, self.words[many.after - 1].end
            marks = frozenset({*opening.marks, side})
            self.found.append(Piece(Sort.PRONOUN, "ones", start, end, marks=marks, count=many.number.count))
            return many.after
        low = self.low(opening.after + 1)
        several = low == "ones" and opening.count is not None
        if side not in ACROSS | PLACED or not (low == "one" or several):
            return None
        start, end = self.words[place].start, self.words[after - 1].end
        marks = frozenset({*opening.marks, side})
        self.found.append(Piece(Sort.PRONOUN, low, start, end, marks=marks, count=opening.count if several else None))
        return after

    def _by_size(self, opening: "_Opening") -> bool:
        """Whether fasteners were named by their size alone: `three tens`, `four T25 out`, `ten mil in`."""
        if opening.heads is None:
            return False
        following, after = self.low(opening.after), self.low(opening.after + 1)
        if opening.count or (opening.marks & _POINTS_AT and opening.heads.many):
            return following not in _OF_ONE_WIDTH or (following == "from" and after in lexicon.DETERMINERS)
        if following in {"out", "off"} and after in {"of", "from"} and not self._after_fastener(opening.after):
            return opening.heads.text.startswith("T") or opening.heads.many
        return following in {"in", "out", "off", "on"} and after in {"", ".", ",", ";"}

    def _after_fastener(self, place: int) -> bool:
        """`Four screws T20 out of it`: whether the size stands behind what it is of."""
        return any(self.low(before) in lexicon.FASTENERS for before in range(place - 4, place))

    def _hyphened(self, words: list[str], after: int) -> int:
        """`O-ring`, `anti-roll bar`: what follows a hyphen belongs to the name; the token after it."""
        while self.low(after) == "-" and after + 1 < len(self.words) and self._joins(after):
            low = self.words[after + 1].low
            if low in VERBS and lexicon.is_participle(low) and words[-1] == "wire":
                words.pop()
                return after + 1
            if len(words[-1]) == 1:
                words[-1] = f"{words[-1]}-{low}"
            else:
                words.append(low)
            after += 2
        return after

    def _joins(self, hyphen: int) -> bool:
        """Whether nothing stands between a hyphen and the words on both its sides."""
        before, after = self.words[hyphen - 1], self.words[hyphen + 1]
        close = before.end == self.words[hyphen].start and self.words[hyphen].end == after.start
        return close and after.kind.startswith("word") and hyphen + 1 not in self.quantities

    def _opening(self, place: int) -> "_Opening":
        """What stands before the words of a name: numbers, `the`, `both`, `new`."""
        found = _Opening(after=place)
        while found.after < min(len(self.words), place + _LONGEST_NAME):
            low, one = self.words[found.after].low, self.quantities.get(found.after)
            if one is not None and one.of in (Of.COUNT, Of.SIZE):
                self._numbered(found, one)
            elif low in {"both", "pair", "couple"}:
                found.count = 2
                found.mark(low)
            elif low in _ARTICLES and self.low(found.after - 1) in _POINTING and found.after > place:
                break
            elif (
                low in lexicon.DETERMINERS
                or low in _BEFORE_NAMES
                or (low == "them" and found.count and self.nounlike(found.after + 1, begun=False))
            ):
                found.mark(low)
            elif low in _SKIPPED and (found.marks or found.count or found.size):
                found.after += 1
            elif (measured := self._measured(found.after)) > found.after:
                found.after = measured
            elif one is not None and one.text[:2] in {"PZ", "PH"}:
                found.after = one.after
            elif self._volts(found.after) or (low in _SOME_OF and self.low(found.after + 1) == "of"):
                found.after += 2
            elif low == "of" and (found.marks or found.count):
                found.after += 1
            else:
                break
        return found

    def _numbered(self, found: "_Opening", one: Quantity) -> None:
        if one.of is Of.COUNT:
            found.total = one.number.count if found.count else None
            found.count = found.count or one.number.count
        else:
            found.size, found.heads = one.text, one
        found.after = one.after
        if self.low(found.after) in {"of", "-"}:
            found.after += 1

    def _measured(self, place: int) -> int:
        """`A gallon and a half of coolant`, `two litres of oil`: the token after `of`; else the same place."""
        first = place
        if place in self.quantities:
            one = self.quantities[place]
            place = one.after - (self.low(one.after - 1) in _MEASURES)
        if self.low(place) not in _MEASURES:
            return first
        place += 1
        if self.low(place) in {"and", "or"} and self.low(place + 2) in {"half", "quarter", "bit", "third"}:
            place += 3
        elif self.low(place) == "or" and self.low(place + 1) == "so":
            place += 2
        return place + 1 if self.low(place) == "of" else first

    def _volts(self, place: int) -> bool:
        """Whether it is the voltage that a thing is called by: a 12 volt battery."""
        one = self.quantities.get(place)
        if one is None or one.of is not Of.OTHER or self.low(one.after - 1) not in {"volt", "v"}:
            return False
        return self.nounlike(one.after, False)
