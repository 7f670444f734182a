"""One idea: a word that is nowhere is most often a slip for one that is; name the nearest.

Words that share the most letter pairs are looked up first, so that a file with thousands of ids and thousands of
slips is still read in seconds; the standard library's difflib then judges those few.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable
from difflib import get_close_matches
from functools import lru_cache
from typing import Final

_JUDGED: Final = 12
_CLOSE: Final = 0.6


class Words:
    """The words that exist."""

    def __init__(self, words: Iterable[str]) -> None:
        self._pairs: dict[str, list[str]] = defaultdict(list)
        for word in dict.fromkeys(words):
            for pair in _pairs(word):
                self._pairs[pair].append(word)

    def nearest(self, wrong: str) -> str | None:
        """The word most like this one, or None if none is.

        >>> Words(["fan", "fan-plug", "bumper"]).nearest("bumqer")
        'bumper'
        """
        shared: Counter[str] = Counter()
        for pair in _pairs(wrong):
            shared.update(self._pairs.get(pair, ()))
        likely = [word for word, _ in shared.most_common(_JUDGED)]
        by_case = {word.casefold(): word for word in reversed(likely)}
        found = get_close_matches(wrong.casefold(), list(by_case), n=1, cutoff=_CLOSE)
        return by_case[found[0]] if found else None


@lru_cache(maxsize=64)
def words_of(known: tuple[str, ...]) -> Words:
    """The words of a closed list, made ready once."""
    return Words(known)


def _pairs(word: str) -> set[str]:
    """Letter pairs with the word's two ends, so that even single letters have some."""
    padded = f"^{word.casefold()}$"
    return {padded[at : at + 2] for at in range(len(padded) - 1)}
