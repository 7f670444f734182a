"""One idea: a sentence is read as a row of pieces: names of things, verbs, particles, quantities and small words.

A name is a run of words that are nothing else ("battery cover", "two 10 mm screws", "the lower hose"), so that a part
nobody has listed is a part all the same. A word that is both a verb and a thing ("cover", "clip", "plug") is told by
its neighbours.
"""

from dataclasses import dataclass, field, replace
from enum import Enum, auto

from putback.narrate import lexicon
from putback.narrate.lexicon import FASTENERS, VERBS, Sense
from putback.narrate.quantities import Of, Quantity, quantities
from putback.narrate.tokens import tokens


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

    A name carries its own words without numbers, `count` and `size` as they were said with it, and what determines it:
    the, both, the other, new.
    """

    sort: Sort
    low: str
    start: int
    end: int
    words: tuple[str, ...] = ()
    count: int | None = None
    size: str | None = None
    marks: frozenset[str] = field(default_factory=frozenset)
    sense: Sense | None = None
    quantity: Quantity | None = None

    @property
    def head(self) -> str:
        """The last word of a name: what kind of thing it is."""
        return self.words[-1] if self.words else ""


_NOUN_TOO = frozenset(
    word for word in VERBS if word in FASTENERS or word in lexicon.CONNECTOR_HEADS or word in lexicon.GUARDS
) | lexicon.words_of(
    "cover covers drain lead leads seal seals mount mounts seat seats catch press tap stick "
    "block fold coil switch jack "
    "turn tie lift top mark clamp clamps strip hook hooks rock work drive start read test scan slack crank hang back "
    "run check set fill vacuum brush box lay tension hit crack swing close bleed lower place blow fit disconnect"
) - {"back"}
_ARTICLES = lexicon.words_of("a an the my your our its their each every another some no")
_POSITIONS = lexicon.words_of(
    "left right front rear upper lower top bottom side back inner outer inlet outlet offside nearside middle main"
)
_COMPOUNDS = {
    ("seat", "back"),
    ("seat", "base"),
    ("back", "seat"),
    ("drain", "plug"),
    ("drain", "line"),
    ("lift", "pump"),
}


_MANY = frozenset(word for word in (*FASTENERS, *lexicon.HOSE_HEADS, "connectors", "plugs") if word.endswith("s"))
"""Such a word ends a name: what comes after `four screws` is another thing."""
_DETERMINED = lexicon.words_of("the that those them it your this these a")
_DOING = lexicon.words_of(
    "fold hook start check drain test tie press tap turn lift set mark fill blow run place work clean crank close fit"
)
_LONGEST_NAME = 8
_CORRECTS = lexicon.words_of("no sorry wait scratch rather actually")
_BETWEEN = _CORRECTS | lexicon.words_of("uh um er i mean make that oh hang on")


def pieces(text: str, breaks: frozenset[int] = frozenset()) -> list[Piece]:
    """The pieces of a text, in order; of a slip of the tongue ("four, no, five bolts") only what it was mended to."""
    return _corrected(_Reader(text, breaks).read())


def _corrected(row: list[Piece]) -> list[Piece]:
    found: list[Piece] = []
    place = 0
    while place < len(row):
        after = _mended_at(row, place)
        if after:
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


@dataclass(slots=True)
class _Opening:
    """What was read before the words of a name; `after` is the token that follows."""

    after: int
    marks: set[str] = field(default_factory=set)
    count: int | None = None
    size: str | None = None

    def mark(self, word: str) -> None:
        """Take a word that determines the name."""
        self.marks.add(word)
        self.after += 1


class _Reader:
    def __init__(self, text: str, breaks: frozenset[int]) -> None:
        self.words = tokens(text, breaks)
        self.quantities = quantities(self.words)
        self.found: list[Piece] = []

    def read(self) -> list[Piece]:
        place = 0
        while place < len(self.words):
            place = self._next(place)
        return self.found

    def _next(self, place: int) -> int:
        token = self.words[place]
        if token.kind == "stop":
            sort = Sort.COMMA if token.low == "," else Sort.STOP
            return self._add(sort, token.low, place, place + 1)
        named = self._name(place)
        if named:
            return named
        if place in self.quantities:
            one = self.quantities[place]
            return self._add(Sort.QUANTITY, one.text, place, one.after, quantity=one)
        return self._add(self._sort(place), token.low, place, place + 1)

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
        low, following = self.words[place].low, self._low(place + 1)
        is_particle = not (low == "back" and following in {"the", "that", "those", "them"})
        is_verb = not (low == "top" and following not in {"up", "off", "it", "the"})
        for words, sort, holds in (
            (lexicon.CONDITIONS, Sort.IF, True),
            (lexicon.NEGATIONS, Sort.NOT, True),
            (lexicon.SUBJECTS, Sort.SUBJECT, True),
            (lexicon.PARTICLES, Sort.PARTICLE, is_particle),
            (lexicon.OTHER_VERBS, Sort.OTHER_VERB, True),
            (VERBS, Sort.VERB, is_verb),
            (lexicon.PREPOSITIONS, Sort.PREPOSITION, True),
            (lexicon.JOINS, Sort.JOIN, True),
            (lexicon.PRONOUNS, Sort.PRONOUN, True),
        ):
            if low in words and holds:
                return sort
        return Sort.SMALL

    # names

    def _name(self, place: int) -> int | None:
        """A name that begins here; the token after it."""
        opening = self._opening(place)
        after, size, words = opening.after, opening.size, list[str]()
        while (
            after < min(len(self.words), place + 3 * _LONGEST_NAME)
            and len(words) < _LONGEST_NAME
            and not (words and words[-1] in _MANY)
            and self._nounlike(after, bool(words) or after > place)
        ):
            if after in self.quantities and self.quantities[after].of is Of.SIZE:
                size = self.quantities[after].text
                after = self.quantities[after].after
                continue
            words.append(self.words[after].low)
            after += 1
        if not words and opening.marks & {"new", "old"} and self._low(after - 1) == "one":
            words = ["one"]
        if not words:
            return None
        start, end = self.words[place].start, self.words[after - 1].end
        name = Piece(Sort.NAME, " ".join(words), start, end, words=tuple(words), size=size)
        self.found.append(replace(name, count=opening.count, marks=frozenset(opening.marks)))
        return after

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
            elif low in lexicon.DETERMINERS or low in {"old", "new", "other", "fresh", "brand"}:
                found.mark(low)
            elif self._volts(found.after):
                found.after += 2
            elif low == "of" and (found.marks or found.count):
                found.after += 1
            else:
                break
        return found

    def _numbered(self, found: "_Opening", one: Quantity) -> None:
        if one.of is Of.COUNT:
            found.count = one.number.count
        else:
            found.size = one.text
        found.after = one.after
        if self._low(found.after) in {"of", "-"}:
            found.after += 1

    def _volts(self, place: int) -> bool:
        """Whether it is the voltage that a thing is called by: a 12 volt battery."""
        one = self.quantities.get(place)
        if one is None or one.of is not Of.OTHER or self._low(one.after - 1) not in {"volt", "v"}:
            return False
        return self._nounlike(one.after, False)

    def _nounlike(self, place: int, begun: bool) -> bool:
        """Whether a token goes on with a name (or begins one)."""
        token = self.words[place]
        if token.kind != "word":
            return bool(begun and place in self.quantities and self.quantities[place].of is Of.SIZE)
        low = token.low
        if place in self.quantities:
            return begun and self.quantities[place].of is Of.SIZE
        if low in _POSITIONS and self._names_after(place + 1):
            return begun or self._low(place - 1) in {"", ".", ",", "the", "then", "now"}
        if low in VERBS:
            return self._verb_as_noun(place, begun)
        return low not in lexicon.NOT_NOUNS and low not in lexicon.OTHER_VERBS

    def _verb_as_noun(self, place: int, begun: bool) -> bool:
        before, low, following = self._low(place - 1), self.words[place].low, self._low(place + 1)
        if low == "vacuum":
            return following in lexicon.HOSE_HEADS | {"pump", "cleaner", "valve"}
        cases = (
            low in {"push", "pull", "press"} and following in FASTENERS,
            (before, low) in _COMPOUNDS or (low, following) in _COMPOUNDS,
            before in _ARTICLES and low not in {"old", "back", "left", "front"},
        )
        if any(cases):
            return True
        if low == "clean" and (before in VERBS or before in {"with", "in"}):
            return self._names_after(place + 1)
        if low not in _NOUN_TOO or (low == "top" and following in {"of", "and"}):
            return False
        return self._noun_among(place, low, following, begun)

    def _noun_among(self, place: int, low: str, following: str, begun: bool) -> bool:
        """Whether a word that is a verb and a thing alike is the thing here, by its neighbours."""
        if begun:
            return not (following in _DETERMINED and self._goes_somewhere(place))
        if low != "switch" and following in lexicon.PARTICLES:
            return self._low(place + 2) in {"", ".", ",", ";", "then", "and"}
        return low != "switch" and low in FASTENERS and low.endswith("s")

    def _goes_somewhere(self, place: int) -> bool:
        """`… a tug plug the connector back in`: a word after a name and before an object is what is done to it."""
        if self.words[place].low in _DOING:
            return True
        return any(self._low(after) in {"in", "on", "back"} for after in range(place + 2, place + 5))

    def _names_after(self, place: int) -> bool:
        """Whether what follows a word of position is a name: then the word belongs to it."""
        first = place
        while self._low(place) in _POSITIONS and place < first + 4:
            place += 1
        if place >= len(self.words):
            return False
        low = self.words[place].low
        if low in VERBS:
            return low in _NOUN_TOO and low not in {"back", "set", "lower"}
        return self.words[place].kind == "word" and low not in lexicon.NOT_NOUNS and place not in self.quantities

    def _low(self, place: int) -> str:
        return self.words[place].low if 0 <= place < len(self.words) else ""
