"""One idea: what is spoken of is remembered, so that "it", "them" and "the other two" find their thing.

A thing has the longest name that was heard for it. Fasteners belong to what they hold, so "the screws" after
"undertray" are the undertray screws.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from putback.narrate import lexicon
from putback.narrate.phrases import Piece


@dataclass(slots=True, eq=False)
class Thing:
    """Something that was spoken of. `first` and `last` are places in the text, `said` where count and size stand."""

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

    @property
    def head(self) -> str:
        """What kind of thing it is, in the singular."""
        return singular(self.words[-1])

    @property
    def name(self) -> str:
        """What it is called: fasteners with what they hold."""
        words = tuple(word for word in self.words if word not in _DROPPED)
        if self.kind and self.owner and self.owner.words != self.words:
            owner = tuple(word for word in self.owner.words if word not in words)
            return " ".join((*owner, *words))
        return " ".join(words)


_ONE_FOR_MANY = 2.5
_MOST = 400
"""So many things are kept in mind; a car has fewer that are touched in one job."""
_DROPPED = frozenset({"other", "same", "whole"})
_SINGULAR = {"boxes": "box", "fuses": "fuse"}


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


@dataclass(slots=True)
class Things:
    """All that was spoken of, the newest last."""

    known: list[Thing] = field(default_factory=list)
    back: bool = False

    def named(self, piece: Piece, *, owner: Thing | None = None, near: Thing | None = None) -> Thing:
        """The thing that a name means: one that is known, or a new one."""
        more = self._one_more(piece)
        if more is not None:
            return more
        known = self.find(piece, owner, near=near)
        if known is None:
            return self._new(piece, owner)
        if len(piece.words) > len(known.words) and not known.kind:
            known.words = piece.words
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
        if piece.count is not None and thing.count is None:
            thing.count, thing.said = piece.count, piece.start
        if piece.size is not None and thing.size is None:
            thing.size, thing.said = piece.size, min(thing.said, piece.start)
        self.known.remove(thing)
        self.known.append(thing)

    def _new(self, piece: Piece, owner: Thing | None) -> Thing:
        head = piece.head
        kind = lexicon.FASTENERS.get(head)
        thing = Thing(
            words=piece.words,
            count=piece.count if piece.count is not None else (2 if "both" in piece.marks else None),
            size=piece.size,
            first=piece.start,
            last=piece.start,
            said=piece.start,
            owner=owner if kind else None,
            kind=kind,
            plural=is_plural(head),
        )
        self.known.append(thing)
        del self.known[:-_MOST]
        return thing

    def find(self, piece: Piece, owner: Thing | None = None, *, near: Thing | None = None) -> Thing | None:
        """A known thing of this name, the newest that fits best."""
        best, best_score = None, 0.0
        wanted = {singular(word) for word in piece.words}
        for age, thing in enumerate(reversed(self.known)):
            score = _fits(thing, piece, wanted, owner) - age * 0.01
            score += 0.8 if score > 0 and near is not None and thing.owner is near else 0.0
            if not self.back and piece.count and thing.count and piece.count != thing.count and not thing.off:
                score -= 2.5
            if score > best_score:
                best, best_score = thing, score
        return best

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
            if plural is not None and thing.plural is not plural:
                continue
            if fastener is not None and bool(thing.kind) is not fastener:
                continue
            if off is not None and thing.off is not off:
                continue
            return thing
        return None


def _fits(thing: Thing, piece: Piece, wanted: set[str], owner: Thing | None) -> float:
    """How well a known thing fits a name; 0 where it does not."""
    have = {singular(word) for word in thing.words}
    all_words = have | ({singular(word) for word in thing.owner.words} if thing.owner and thing.kind else set())
    if singular(piece.head) not in have or singular(piece.head) != thing.head:
        return 0.0
    if not wanted <= all_words:
        return 0.9 if have < wanted and len(have) > 1 and not thing.kind else 0.0
    score = 2.0 + len(wanted & all_words)
    if not thing.kind and is_plural(piece.head) and not thing.plural:
        score -= _ONE_FOR_MANY
    if thing.kind:
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
