"""One idea: what is spoken of is remembered, so that "it", "them" and "the other two" find their thing.

A thing has the longest name that was heard for it. Fasteners belong to what they hold, so "the screws" after
"undertray" are the undertray screws.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import lru_cache

from putback.narrate.phrase.phrases import BY_SIZE, Piece
from putback.narrate.sense.sides import OPPOSITE, flipped
from putback.narrate.words import lexicon
from putback.narrate.words.lexicon import ACROSS


@dataclass(slots=True, eq=False)
class Thing:
    """Something that was spoken of. `first` and `last` are places in the text, `said` where count and size stand.

    `at_each`: one at each end or side, so that "both" may mean them.
    """

    words: tuple[str, ...]
    count: int | None
    size: str | None
    first: int
    last: int
    said: int
    owner: "Thing | None" = None
    kind: str | None = None
    plural: bool = False
    off: bool = False
    guarding: bool = False
    side: str | None = None
    holds: "Thing | None" = None
    by_size: bool = False
    new: bool = False
    aside: bool = False
    worn: bool = False
    at_each: bool = False
    head: str = field(init=False)

    def __post_init__(self) -> None:
        """Keep what kind of thing it is, in the singular: a thing is looked for by it, over and over."""
        self.head = singular(self.words[-1])

    def renamed(self, words: tuple[str, ...]) -> None:
        """Take a fuller name."""
        self.words, self.head = words, singular(words[-1])

    def says(self, place: int) -> None:
        """Keep where its first number stands, so that a span that carries its numbers has them all."""
        self.said = min(self.said, place) if self.count is not None or self.size is not None else place

    @property
    def name(self) -> str:
        """What it is called: fasteners with what they hold."""
        words = tuple(word for word in self.words if word not in _DROPPED or "side" in self.words)
        if self.kind and self.owner and self.owner.words != self.words:
            words = (*(word for word in self.owner.words if word not in words), *words)
        if self.side and not set(words) & ACROSS:
            words = (self.side, *words)
        return " ".join(words)


_OFF_ALREADY = 0.8
_SO_MANY = 0.8
"""On the way back fasteners that are off, and as many as were said, are meant before others of their name."""
_ONE_FOR_MANY = 2.5
_MOST = 400
"""So many things are kept in mind; a car has fewer that are touched in one job."""
_LET_GO = lexicon.words_of("tab button buttons lever latch catch tang trigger ears collar collars")
"""What is squeezed or pressed so that something else comes free: "it" is that other thing."""
_CLAMPING = lexicon.words_of("hose hoses worm jubilee spring")
_CLAMPED = lexicon.words_of("hose duct trunking snorkel bellows boot")
_PUSHED_IN = lexicon.words_of("push trim panel scrivet christmas fir retaining plastic")
_TELLS_APART = lexicon.words_of(
    "orange grey gray black blue green red yellow white brown purple front rear upper lower inner outer left "
    "right big "
    "small long short top bottom"
)
_PAIR = 2
_SPOKEN_OF = 40
_LONG_BEFORE = 200
_SHORTEST_HEAD = 3
_HEAD_INSIDE = 1.2
"""How well `shield` fits an undershield."""
_COVER_TOO = lexicon.words_of("plugs caps bungs")
"""By themselves, several of these are what was put into open ends, and not the one plug of a name."""
_OTHER = ("other", "side")
_DROPPED = frozenset({"other", "same", "whole"})
_SINGULAR = {"boxes": "box", "fuses": "fuse"}


@lru_cache(maxsize=4096)
def singular(word: str) -> str:
    """A word without the s of many.

    >>> singular("bolts"), singular("glass"), singular("bushes")
    ('bolt', 'glass', 'bush')
    """
    if word in _SINGULAR:
        return _SINGULAR[word]
    if word.endswith(("shes", "ches", "sses", "xes")):
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith(("ss", "us", "is")) and len(word) > 3 else word


def is_plural(word: str) -> bool:
    """Whether a word means several things."""
    return singular(word) != word


def kind_of(words: tuple[str, ...], owner: Thing | None = None) -> str | None:
    """What kind of fastener a name means; None for what is none. A clip of a hose is a clamp.

    >>> kind_of(("cover", "screws")), kind_of(("worm", "clip")), kind_of(("lid",))
    ('screw', 'clamp', None)
    """
    kind = lexicon.FASTENERS.get(words[-1])
    if set(words) & _PUSHED_IN:
        return kind
    of_hose = set(words) & _CLAMPING or (owner is not None and owner.head in _CLAMPED)
    return "clamp" if kind == "clip" and singular(words[-1]) == "clip" and of_hose else kind


@dataclass(slots=True)
class Things:
    """All that was spoken of, the newest last."""

    known: list[Thing] = field(default_factory=list)
    back: bool = False
    side: str | None = None

    def on_other_side(self, thing: Thing, place: int) -> Thing:
        """The same thing on the other side of the car, as a new one."""
        owner = self.on_other_side(thing.owner, place) if thing.owner is not None and thing.kind else None
        words = thing.words if owner is not None or thing.side else flipped(thing.words)
        side = OPPOSITE.get(thing.side) if thing.side else None
        for known in reversed(self.known):
            if known.words == words and known.side == side and known.owner is owner:
                return known
        other = replace(
            thing, words=words, owner=owner, side=side, first=place, last=place, said=place, count=None, size=None
        )
        self.known.append(other)
        del self.known[:-_MOST]
        return other

    def swapped(self, thing: Thing, one: str, two: str, place: int) -> Thing:
        """The like of a thing, with one word of place for another: the lower hose for the upper."""
        words = tuple(two if word == one else word for word in thing.words)
        owner = self.swapped(thing.owner, one, two, place) if thing.owner is not None and thing.kind else thing.owner
        for known in reversed(self.known):
            if known.words == words and known.owner is owner:
                return known
        other = replace(thing, words=words, owner=owner, first=place, last=place, said=place)
        self.known.append(other)
        del self.known[:-_MOST]
        return other

    def on_side(self, side: str, place: int) -> Thing | None:
        """`The left one`: what was spoken of last, on that side."""
        base = next((thing for thing in reversed(self.known) if not thing.kind), None)
        if base is None or side in base.words:
            return base
        if set(base.words) & ACROSS:
            return self.on_other_side(base, place)
        head = singular(base.words[-1])
        for thing in reversed(self.known):
            if side in thing.words and thing.head == head:
                return thing
        one = Thing(
            words=(side, *base.words[:-1], head),
            count=None,
            size=None,
            first=place,
            last=place,
            said=place,
            off=base.off,
        )
        self.known.append(one)
        del self.known[:-_MOST]
        return one

    def placed(self, where: str, place: int) -> Thing | None:
        """`The top one`: of the kind that was spoken of last, where it sits."""
        base = next(reversed(self.known), None)
        if base is None or where in base.words:
            return base
        for thing in reversed(self.known):
            if where in thing.words and thing.head == base.head:
                return thing
        words = (where, *(word for word in base.words[:-1] if word not in OPPOSITE), base.head)
        one = replace(base, words=words, count=None, size=None, first=place, last=place, said=place, plural=False)
        self.known.append(one)
        del self.known[:-_MOST]
        return one

    def named(self, piece: Piece, *, owner: Thing | None = None, near: Thing | None = None) -> Thing:
        """The thing that a name means: one that is known, or a new one."""
        if piece.marks & {"both", "all"}:
            self.side = None
        more = self._one_more(piece)
        if more is not None:
            return more
        known = self.find(piece, owner, near=near)
        if known is None:
            return self._new(piece, owner)
        if len(piece.words) > len(known.words) and not known.kind:
            known.renamed(piece.words)
        self._touch(known, piece)
        return known

    def _one_more(self, piece: Piece) -> Thing | None:
        """`A clamp here and another clamp there`: two clamps."""
        if "another" not in piece.marks:
            return None
        for thing in list(reversed(self.known))[:3]:
            if thing.head == singular(piece.head) and thing.size == piece.size:
                thing.count, thing.plural, thing.last = (thing.count or 1) + 1, True, piece.start
                return thing
        return None

    def _touch(self, thing: Thing, piece: Piece) -> None:
        thing.last = piece.start
        thing.new = thing.new or "new" in piece.marks
        if piece.count is not None and thing.count is None:
            thing.says(piece.start)
            thing.count = piece.count
        if piece.size is not None and thing.size is None:
            thing.says(piece.start)
            thing.size = piece.size
        self.known.remove(thing)
        self.known.append(thing)

    def bring_up(self, thing: Thing) -> None:
        """Make a thing the newest that was spoken of, where it is still kept in mind."""
        if thing in self.known:
            self.known.remove(thing)
            self.known.append(thing)

    def _new(self, piece: Piece, owner: Thing | None) -> Thing:
        head = piece.head
        kind = kind_of(piece.words, owner)
        thing = Thing(
            words=piece.words,
            count=piece.total or piece.count
            if piece.count is not None
            else (2 if "both" in piece.marks and is_plural(head) else None),
            size=piece.size,
            first=piece.start,
            last=piece.start,
            said=piece.start,
            owner=owner if kind else None,
            kind=kind,
            plural=is_plural(head),
            by_size=BY_SIZE in piece.marks,
            new="new" in piece.marks,
            side=self.side if owner is None else owner.side,
        )
        self.known.append(thing)
        del self.known[:-_MOST]
        return thing

    def find(self, piece: Piece, owner: Thing | None = None, *, near: Thing | None = None) -> Thing | None:
        """A known thing of this name, the newest that fits best."""
        best, best_score = None, 0.0
        wanted = {singular(word) for word in piece.words}
        head = singular(piece.head)
        newest_first = enumerate(reversed(self.known))
        if len(head) > _SHORTEST_HEAD and len(piece.words) == 1:
            same = [(age, thing) for age, thing in newest_first if thing.head.endswith(head)]
        else:
            same = [(age, thing) for age, thing in newest_first if thing.head == head]
        for age, thing in same:
            if thing.owner is not None and thing.owner.words[:2] == _OTHER and "other" not in piece.marks:
                continue
            if thing.words[:2] == _OTHER and "other" not in piece.marks and thing.words != piece.words:
                continue
            if self.side and thing.side and thing.side != self.side:
                continue
            score = _fits(thing, piece, wanted, owner) - age * 0.01
            if score > 0 and near is not None:
                score += 0.8 * (thing.owner is near) + 1.5 * (thing.holds is near)
            if not self.back and thing.kind and thing.off and thing.owner is not near:
                score -= 4.0
            if not self.back and piece.count and thing.count and piece.count != thing.count and not thing.off:
                score -= 2.5
            score -= self._told_otherwise(piece, thing)
            if self.back and thing.kind and score > 0:
                score += _OFF_ALREADY * thing.off + _SO_MANY * (piece.count is not None and piece.count == thing.count)
            if score > best_score:
                best, best_score = thing, score
        return best if best is not None else self._by_first_words(piece)

    def _by_first_words(self, piece: Piece) -> Thing | None:
        """`Front orange on`: of the front orange plug."""
        if len(piece.words) < 2 or piece.head not in _TELLS_APART:
            return None
        for thing in list(reversed(self.known))[:_SPOKEN_OF]:
            if not thing.kind and len(thing.words) == len(piece.words) + 1 and thing.words[:-1] == piece.words:
                return thing
        return None

    def _told_otherwise(self, piece: Piece, thing: Thing) -> float:
        """How little a thing can be meant: the old cable is none that is aside, `there are six bolts` tells of new."""
        return 4.0 * ("old" in piece.marks and thing.aside) + 2.5 * self._told_anew(piece, thing)

    def _told_anew(self, piece: Piece, thing: Thing) -> bool:
        """`There are six bolts in it`: others than those of which was spoken long before."""
        definite = piece.marks & {"the", "those", "these", "its", "all", "both", "other", "same"}
        new = piece.count is not None and thing.count is None and not definite
        return new and not self.back and not thing.off and piece.start - thing.last > _LONG_BEFORE

    def counted(self, number: int | None, among: int = 8, *, fasteners_first: bool = True) -> Thing | None:
        """The newest of which so many were counted; fasteners before others where asked for."""
        near = [
            thing
            for thing in list(reversed(self.known))[:among]
            if thing.plural and (thing.count == number or (thing.at_each and number == _PAIR))
        ]
        fastener = next((thing for thing in near if thing.kind), None) if fasteners_first else None
        return fastener or (near[0] if near else None)

    def newest(
        self,
        *,
        plural: bool | None = None,
        fastener: bool | None = None,
        off: bool | None = None,
        among: int = 6,
    ) -> Thing | None:
        """The newest thing that a pronoun may mean; None for a question leaves it open."""
        for thing in list(reversed(self.known))[:among]:
            if (plural is not None and thing.plural is not plural) or thing.words[-1] in _LET_GO:
                continue
            if fastener is not None and bool(thing.kind) is not fastener:
                continue
            if thing.words[-1] in lexicon.GUARDS - lexicon.HARD_GUARDS:
                continue
            if off is not None and thing.off is not off:
                continue
            return thing
        return None


def _fits(thing: Thing, piece: Piece, wanted: set[str], owner: Thing | None) -> float:
    """How well a known thing fits a name; 0 where it does not."""
    have = {singular(word) for word in thing.words}
    all_words = have | ({singular(word) for word in thing.owner.words} if thing.owner and thing.kind else set())
    if singular(piece.head) != thing.head:
        return _HEAD_INSIDE
    if not wanted <= all_words:
        return 0.9 if have < wanted and len(have) > 1 and not thing.kind else 0.0
    score = 2.0 + len(wanted & all_words) - 0.7 * ("other" in have and "other" not in wanted)
    if not thing.kind and is_plural(piece.head) and not thing.plural:
        if len(piece.words) == 1 and piece.head in _COVER_TOO:
            return 0.0
        score -= _ONE_FOR_MANY + 2.0 * ((piece.count or 1) > 1 or "both" in piece.marks)
    if thing.kind:
        score -= 0.6 if is_plural(piece.head) is not thing.plural else 0.0
        if owner is not None and thing.owner is not None:
            score += 2.0 if thing.owner is owner else -4.0
        if piece.count is not None and thing.count is not None:
            score += 0.5 if piece.count == thing.count else -0.2
        if piece.size is not None and thing.size is not None and piece.size != thing.size:
            return 0.0
    if "another" in piece.marks or "a" in piece.marks or "an" in piece.marks:
        score -= 2.5
    return max(score, 0.0)


def names(things: Iterable[Thing]) -> tuple[str, ...]:
    """Their names."""
    return tuple(thing.name for thing in things)
