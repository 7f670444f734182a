"""One idea: a word that is a verb and a thing alike ("cover", "clip", "plug") is told by the words beside it."""

from collections.abc import Mapping, Sequence

from putback.narrate.text.quantities import Of, Quantity
from putback.narrate.text.tokens import Token
from putback.narrate.words import lexicon
from putback.narrate.words.compounds import is_compound
from putback.narrate.words.everyday import EVERYDAY_VERBS, is_doing
from putback.narrate.words.lexicon import FASTENERS, VERBS, Sense, is_participle

_NOUN_TOO = frozenset(
    word for word in VERBS if word in FASTENERS or word in lexicon.CONNECTOR_HEADS or word in lexicon.GUARDS
) | lexicon.words_of(
    "lug lugs cover covers drain lead leads seal seals mount mounts seat seats catch press tap stick block fold coil "
    "switch jack turn tie lift top mark clamp clamps strip hook hooks rock work drive start read test scan "
    "slack crank back run check set fill vacuum brush box lay tension hit crack tug swing close bleed "
    "lower place blow fit disconnect sweep fitting mounting coupling housing guide guides sealing seating covering "
    "capping stuff stand mask lever levers roll rolls"
) - {"back"}
_ARTICLES = lexicon.words_of("a an the my your our its their each every another some no")
_BEFORE_ADJECTIVES = _ARTICLES | {
    "",
    ".",
    ",",
    ";",
    "and",
    "both",
    "old",
    "new",
    "other",
    "these",
    "those",
    "this",
    "that",
}
_POSITIONS = lexicon.words_of(
    "left right front rear upper lower top bottom side back inner outer inlet outlet offside nearside middle main "
    "center centre"
)
_BEFORE_PLACES = lexicon.PARTICLES | {"", ".", ",", "the", "then", "now", "and", "so"}
_ONE_THING = frozenset({"the", "this", "that", "a"})
_UNDOING = frozenset({Sense.OFF, Sense.LOOSEN, Sense.TIGHTEN, Sense.ON})
_ENDED_BY = frozenset({"", ".", ",", ";", "then", "and", "with", "by", "finger"})
_ENDED = frozenset({"", ",", ".", ";", "and", "off", "out", "then"})
_THINGS_FIRST = (
    frozenset(FASTENERS)
    | lexicon.CONNECTOR_HEADS
    | lexicon.GUARDS
    | lexicon.words_of(
        "cover covers seal seals mount mounts seat seats coil switch clamp clamps block brush box strip"
    )
)
_BEFORE_WELL = lexicon.words_of("each the a this that every plug spare wheel coil")
_LENGTHS = lexicon.words_of("long short longer shorter big small bigger smaller fat thin")
_SENTENCE_BEGINS = frozenset({"", ".", ";"})
_BESIDE = lexicon.words_of("behind under beneath underneath from between inside beside at near below above")
_SMEARED = frozenset({"grease", "lube", "oil", "paint"})
_ENDS = frozenset({"edge", "end", "ends", "edges", "face", "faces"})
_ADJECTIVES = lexicon.words_of("old little big small long short whole tiny large")
_SHORTEST_VERB = 3
_WHERE_TO = lexicon.words_of("off out home in on up down back free loose apart through over aside away into onto")
_AN_OBJECT = lexicon.words_of("the that those them it this these both all your my its their")
_BEFORE_ORDERS = lexicon.words_of("and then to gonna just i've we've they've carefully gently now so") | {
    "",
    ".",
    ",",
    ";",
}
_TOOLS_AND_PARTS = frozenset(FASTENERS) | lexicon.CONNECTOR_HEADS | lexicon.GUARDS | lexicon.HOSE_HEADS
_DETERMINED = lexicon.words_of("the that those them it your this these a")
_DOING = lexicon.words_of(
    "fold hook start check drain test tie press tap turn lift set mark fill blow run place work clean crank close fit"
)
_OF_VACUUM = lexicon.words_of("pump cleaner valve tee port reservoir servo booster tank unit chamber fitting")
_NAMES_IN_LY = lexicon.words_of("assembly sub-assembly subassembly belly supply ply fly")


_FEW = 8
_STOPPERS = frozenset(
    {"plug", "plugs", "cap", "caps", "bung", "bungs", "tape", "bag", "bags", "stopper", "stoppers", "lid", "cover"}
)
_OF_WHAT_COVERS = frozenset({"off", "out", "is", "are", "was", "were", "came", "comes", "lies", "lay", "gone", "of"})
_ORDINALS = frozenset({"first", "second", "third", "fourth", "last", "next", "other"})
_NOUNS_OF_THE_TRADE = frozenset({"stay", "stays", "face", "faces", "catch", "catches"})
"""`The stay off`, `faces scraped`: things, where others would say what is done."""
_STAYS_SO = frozenset({"in", "on", "where", "put", "there", "as", "connected", "plugged", "fitted"})
_BEGINS = frozenset({"", ".", ",", ";", "and", "then"})
_LAID = frozenset({"laid", "put", "threw", "hung", "spread"})
_PAINTED = frozenset({"wing", "fender", "paint"})
"""`The wing covers`: what lies on them, and not what is done."""


class Nouns:
    """The words of a text with their quantities, and which of them are of a name."""

    def __init__(self, words: Sequence[Token], quantities: Mapping[int, Quantity]) -> None:
        self.words = words
        self.quantities = quantities
        self._after_number = {one.after - 1 for one in quantities.values()}

    def nounlike(self, place: int, begun: bool) -> bool:
        """Whether a token goes on with a name (or begins one); behind the last there is none."""
        token = self.words[place] if place < len(self.words) else None
        if token is None or not token.kind.startswith("word") or place in self.quantities:
            return bool(begun and place in self.quantities and self.quantities[place].of is Of.SIZE)
        if self._of_some(place, begun):
            return False
        if token.low in _POSITIONS and self._names_after(place + 1):
            before = self.low(place - 1)
            told = before in VERBS and lexicon.is_participle(before) and token.low != "back"
            return begun or told or before in _BEFORE_PLACES
        if token.low in VERBS:
            return self._verb_as_noun(place, begun)
        return self._word_as_noun(place, begun)

    def so_many(self, place: int) -> Quantity | None:
        """`The front four`: a small number behind which nothing more is named."""
        one = self.quantities.get(place)
        small = one is not None and one.of is Of.COUNT and 1 < (one.number.count or 0) <= _FEW
        return one if one is not None and small and not self.nounlike(one.after, False) else None

    def _of_some(self, place: int, begun: bool) -> bool:
        """`The upper one`, `two long and one short`: such a word tells several apart, and names nothing."""
        low = self.words[place].low
        if low in _POSITIONS | _LENGTHS and self.low(place + 1) in {"one", "ones"}:
            return True
        if low in _POSITIONS and self.low(place - 1) in {"the", "other"} and self.so_many(place + 1) is not None:
            return True
        first = not begun or place - 1 in self._after_number
        return low in _LENGTHS and first and not self._names_after(place + 1)

    def _word_as_noun(self, place: int, begun: bool) -> bool:
        """Whether a word that no list of verbs knows is of a name."""
        low, before = self.words[place].low, self.low(place - 1)
        if (low == "well" and before in _BEFORE_WELL) or (low in _NOUNS_OF_THE_TRADE and self._names(place, begun)):
            return True
        if low in _ENDS:
            return begun and before not in lexicon.NOT_NOUNS
        if not begun and self.is_unknown_verb(place):
            return False
        if low in lexicon.OTHER_VERBS or is_doing(low):
            return self._other_verb_as_noun(place, begun)
        return low not in lexicon.NOT_NOUNS and not (low.endswith("ly") and low not in _NAMES_IN_LY)

    def _names(self, place: int, begun: bool) -> bool:
        """`The stay`, `faces scraped`: a word of the trade that others use for what is done."""
        before, following = self.low(place - 1), self.low(place + 1)
        if begun and self.words[place].low == "stays" and following in _STAYS_SO:
            return False
        opens = before in _BEGINS and (lexicon.is_participle(following) or following in lexicon.PARTICLES)
        return begun or opens or before in _BEFORE_ADJECTIVES | {"the"} or place - 1 in self._after_number

    def is_unknown_verb(self, place: int) -> bool:
        """`Yoink the clip out`, `nine clips thumped home`: a word no list knows stands where only a verb can."""
        token = self.words[place]
        low, before, following = token.low, self.low(place - 1), self.low(place + 1)
        known = low in VERBS or low in lexicon.NOT_NOUNS or low in lexicon.OTHER_VERBS or len(low) < _SHORTEST_VERB
        if not token.kind.startswith("word") or known or place in self.quantities or low in _TOOLS_AND_PARTS:
            return False
        if is_doing(low) and low.endswith("ed") and following in _WHERE_TO:
            return before not in _DETERMINED
        named = following in _AN_OBJECT and any(self.low(after) in _WHERE_TO for after in range(place + 2, place + 7))
        return named and (before in _BEFORE_ORDERS or before in lexicon.SUBJECTS)

    def _other_verb_as_noun(self, place: int, begun: bool) -> bool:
        """`Some grease`, `a support bracket`."""
        low, before = self.words[place].low, self.low(place - 1)
        following = self.low(place + 1)
        if following in FASTENERS and not low.endswith(("ed", "ing", "s")) and (begun or before in _BEFORE_ADJECTIVES):
            return True
        if low in _SMEARED and before in {"of", "some", "the", "little"}:
            return True
        if is_compound(low, following) or (begun and is_compound(before, low)):
            return True
        if low in lexicon.NOT_NOUNS or not (low.endswith(("ed", "ing")) or low in EVERYDAY_VERBS):
            return False
        determined = begun or before in _BEFORE_ADJECTIVES or place - 1 in self._after_number
        return determined and self._plain_noun(place + 1)

    def _plain_noun(self, place: int) -> bool:
        """Whether a word can be nothing but a name: `the cooling fan`, `a splined shaft`."""
        low = self.low(place)
        plain = place < len(self.words) and self.words[place].kind.startswith("word") and place not in self.quantities
        if low in _ENDS:
            return True
        taken = low in lexicon.NOT_NOUNS or low in lexicon.OTHER_VERBS or low in VERBS or is_doing(low)
        return plain and not (taken and low not in _NOUN_TOO) and not low.endswith("ly")

    def _verb_as_noun(self, place: int, begun: bool) -> bool:
        """Whether a word that is a verb too is a thing here."""
        before, low, following = self.low(place - 1), self.words[place].low, self.low(place + 1)
        if low in lexicon.AUXILIARIES or (low == "drain" and begun and before in lexicon.FLUIDS):
            return False
        if low == "vacuum":
            return following in lexicon.HOSE_HEADS | lexicon.CONNECTOR_HEADS | _OF_VACUUM
        if self._noun_by_neighbours(before, low, following) or self._after_an_ordinal(place):
            return True
        if low == "clean" and (before in VERBS or before in {"with", "in", "of"} or following in lexicon.GUARDS):
            return self._names_after(place + 1) or following in lexicon.GUARDS
        told = begun and is_participle(following) and not low.endswith(("ed", "s", "ing")) and low not in _DOING
        if told or (low in lexicon.GUARDS and before in _SENTENCE_BEGINS and following in _BESIDE):
            return True
        both = low in _NOUN_TOO and not (low == "top" and following in {"of", "and"})
        return both and self._noun_among(place, low, following, begun)

    def _noun_by_neighbours(self, before: str, low: str, following: str) -> bool:
        """`Push pins`, `undo clip`, `with tape`, `little cover`, `this fitting`, `the lift`."""
        cases = (
            low in {"cover", "covers"} and before in _PAINTED | _LAID,
            low in _STOPPERS and self._is_the_stopper(before, following),
            low in {"seat", "seats"} and (following in lexicon.GUARDS or following in {"cover", "covers"}),
            low == "slack" and before in {"enough", "some", "the", "any", "no", "of", "more", "a", "little"},
            low in {"push", "pull", "press"} and following in FASTENERS,
            is_compound(low, following) or is_compound(before, low),
            low in FASTENERS and before in VERBS and VERBS[before] in _UNDOING and following in _ENDED,
            low in {"clamp", "clamps", "clip", "clips", "bolt", "bolts", "screw"} and following == "tight",
            low in {"plug", "plugs", "clip", "clips"} and following in {"went", "goes", "came", "comes"},
            before in {"pin", "way"} and low in {"plug", "plugs", "socket"},
            before == "quick" and low in {"connect", "connects", "disconnect", "release", "fit"},
            before in {"with", "of"} and low in _NOUN_TOO and following not in _DETERMINED,
            before in _ADJECTIVES and following not in _DETERMINED and low not in {"back", "left", "front"},
            before in {"this", "that", "these", "those"} and low in _NOUN_TOO and low not in {"work", "back"},
            before in _ARTICLES and low not in {"old", "back", "left", "front"},
        )
        return any(cases)

    def _after_an_ordinal(self, place: int) -> bool:
        """`The first cover`, `the other clip`: a thing, where the word alone may be what is done."""
        counted = self.low(place - 1) in _ORDINALS and self.low(place - 2) in _ARTICLES
        return counted and self.low(place) in _NOUN_TOO - {"back", "place"}

    def _is_the_stopper(self, before: str, following: str) -> bool:
        """`Cap off the pot`, `the bung is out`, `under cap`: what covers, and not that something is covered."""
        if before in lexicon.SUBJECTS | {"to", "then", "gonna"}:
            return False
        return following in _OF_WHAT_COVERS or before in {"under", "from"}

    def _noun_among(self, place: int, low: str, following: str, begun: bool) -> bool:
        """Whether a word that is a verb and a thing alike is the thing here, by its neighbours."""
        if begun and low.endswith("s") and following in lexicon.PARTICLES and self._with_article(place):
            return False
        if begun:
            return not (following in _DETERMINED and self._goes_somewhere(place))
        opens = low.endswith("s") and self.low(place - 1) in _SENTENCE_BEGINS
        if is_participle(following) and (opens or not low.endswith(("ed", "s", "ing"))):
            return self.low(place - 1) not in lexicon.SUBJECTS | {"to", "and"}
        if low in FASTENERS and following in {"in", "out", "off"}:
            return self.low(place + 2) not in _DETERMINED
        told = low in _THINGS_FIRST and following in lexicon.PARTICLES
        ended = self._result_ends(place + 1) if told else low in FASTENERS and low.endswith("s")
        return low != "switch" and ended

    def _result_ends(self, place: int) -> bool:
        """`Plug back in,`, `cap off.`: where it went, and nothing more."""
        if self.low(place) == "back" and self.low(place + 1) in lexicon.PARTICLES:
            place += 1
        return self.low(place + 1) in _ENDED_BY

    def _with_article(self, place: int) -> bool:
        """`This connector plugs in`: one thing with an article, so the word after it is what it does."""
        first = self.words[place - 1].low
        return not first.endswith("s") and any(self.low(before) in _ONE_THING for before in (place - 2, place - 3))

    def _goes_somewhere(self, place: int) -> bool:
        """`… a tug plug the connector back in`: a word after a name and before an object is what is done to it."""
        if self.words[place].low in _DOING:
            return True
        return any(self.low(after) in {"in", "on", "back"} for after in range(place + 2, place + 5))

    def _names_after(self, place: int) -> bool:
        """Whether what follows a word of position is a name: then the word belongs to it."""
        first = place
        while self.low(place) in _POSITIONS and place < first + 4:
            place += 1
        if place >= len(self.words):
            return False
        low = self.words[place].low
        if low in VERBS:
            return low in _NOUN_TOO and low not in {"back", "set", "lower"}
        return (
            self.words[place].kind.startswith("word") and low not in lexicon.NOT_NOUNS and place not in self.quantities
        )

    def low(self, place: int) -> str:
        """A word for comparing; empty before the first and after the last."""
        return self.words[place].low if 0 <= place < len(self.words) else ""
