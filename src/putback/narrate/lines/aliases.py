"""One idea: one thing of a car has several names, and a table per car remembers which a person said were the same."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from putback.narrate.sense.things import singular
from putback.narrate.words.lexicon import VEHICLES, words_of

_SAYS_NOTHING: Final = frozenset({"the", "a", "of", "new", "old", "other", "whole", "my", "your", "its", "that", "in"})
_ENDS: Final = words_of("front rear back nose tail end side left right corner whole nearside offside thing lot")


@dataclass(frozen=True, slots=True)
class Aliases:
    """For each name that was said, the name that the thing has on this car."""

    names: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))

    def named(self, said: str) -> str:
        """The name on this car; a ring of aliases ends where it began.

        >>> Aliases({"bottle": "header tank"}).named("bottle")
        'header tank'
        """
        seen = {said}
        while said in self.names and self.names[said] not in seen:
            said = self.names[said]
            seen.add(said)
        return said

    def remembering(self, said: str, name: str) -> "Aliases":
        """The same table with one more name."""
        return Aliases(MappingProxyType({**self.names, said: name}))


NO_ALIASES: Final = Aliases()


@lru_cache(maxsize=4096)
def words_of_name(name: str) -> tuple[str, ...]:
    """The words of a name that tell it from another, each in the singular.

    >>> words_of_name("the new hoses")
    ('hose',)
    >>> words_of_name("wheel nuts (other side)")
    ('side', 'wheel', 'nut')
    """
    name, _, aside = name.partition(" (")
    name = f"{aside.removesuffix(')')} {name}" if aside else name
    words = [singular(word) for word in name.lower().replace("-", " ").split()]
    return tuple(word for word in words if word not in _SAYS_NOTHING)


def means_vehicle(words: Sequence[str]) -> bool:
    """Whether the words of a name, in their order, mean the vehicle, an end or a side of it, or nothing.

    >>> means_vehicle(words_of_name("the front end")), means_vehicle(words_of_name("subframe"))
    (True, False)
    """
    return (bool(words) and words[-1] in VEHICLES) or set(words) <= VEHICLES | _ENDS


def same_words(mine: Sequence[str], theirs: Iterable[str]) -> bool:
    """Whether two names have the same words, in any order."""
    return set(mine) == set(theirs)
