"""One idea: how many there were is often said last: `they came off, all ten`, `there's five of them`, `the pair`."""

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from putback.core.operations import Verb
from putback.narrate.lines.said import Said
from putback.narrate.sense.things import is_plural
from putback.narrate.text.numbers import TENS, UNITS
from putback.narrate.words.lexicon import FASTENERS, GUARDS

_REACH: Final = 42
"""So many signs behind an operation its number may follow, where the next has not begun."""
_WORDS: Final = {word: n for word, n in UNITS.items() if n > 1} | TENS
_NUMBER: Final = rf"(?P<n>[2-9]|[1-4]\d|{'|'.join(sorted(_WORDS, key=len, reverse=True))})"
_THEM: Final = r"(?:them|those|'em|em)"
_ENDS: Final = r"(?=\s*(?:[,.;:!?]|$)|\s+(?:and|then|so|out|off|in|on|back|up|now|they're|they|there|for)\b)"
_ALL: Final = rf"\b(?:all|the full|the whole) {_NUMBER}(?: of {_THEM}\b)?{_ENDS}"
_OF_THEM: Final = rf"\b{_NUMBER.replace('?P<n>', '?P<of>')} of {_THEM}\b{_ENDS}"
_PAIR: Final = rf"\b(?:both|pair|the two) of {_THEM}\b|,\s*(?:the )?(?:pair|both)\b{_ENDS}|\bthe pair\b{_ENDS}"
_SIDES: Final = r"\bboth (?:sides|ends)\b"
_SAID: Final = re.compile(f"{_ALL}|{_OF_THEM}|(?P<two>{_PAIR})|(?P<sides>{_SIDES})")
_BOTH_OF_NAME: Final = r"\bboth (?:of )?(?:the |those |these |its )?(?:[\w-]+ ){0,2}?"
_GUARDS: Final = "|".join(sorted(word for word in GUARDS | {"covers", "protectors"} if is_plural(word)))
_COVERED_WITH: Final = re.compile(
    rf"\b(?:{_NUMBER}|both) (?:of (?:the|them|those) )?(?:[\w-]+ ){{0,2}}?(?:{_GUARDS})\b"
)
"""`Two clean rags`, `both caps`: with how many it is covered."""
_STOP: Final = re.compile(r"[.!?](?=\s|$)|\n")
_NOT_COUNTED: Final = frozenset({Verb.WAIT, Verb.FILL, Verb.DRAIN, Verb.RAISE, Verb.LOWER, Verb.PROVE_DEAD, Verb.MARK})


def counted(said: Sequence[Said], text: str) -> list[Said]:
    """The operations with the numbers that were said behind them; the span then reaches to the number.

    Args:
        said: the operations, in the order of the text.
        text: what was spoken.
    """
    low = text.lower()
    found: list[Said] = []
    for n, one in enumerate(said):
        following = next((later.start for later in said[n + 1 :] if later.start >= one.end), len(low))
        found.append(_with_count(one, low, min(following, one.end + _REACH)))
    return found


def _with_count(one: Said, low: str, to: int) -> Said:
    head = one.object.rpartition(" ")[2]
    if one.count is not None or one.verb in _NOT_COUNTED:
        return one
    if one.verb in (Verb.GUARD, Verb.UNGUARD):
        match = _COVERED_WITH.search(low, one.start, one.end)
        return replace(one, count=_number(match["n"])) if match is not None else one
    if not head or not is_plural(head):
        return one
    if re.search(_BOTH_OF_NAME + re.escape(head) + r"\b", low[one.start : one.end]) is not None:
        return replace(one, count=2)
    stop = _STOP.search(low, one.end, to)
    match = _SAID.search(low, one.start, stop.start() if stop else to)
    if match is None or (match["sides"] and head in FASTENERS):
        return one
    return replace(one, count=_number(match["n"] or match["of"]), end=max(one.end, match.end()))


def _number(word: str | None) -> int:
    """The number of a word; of `both` and `the pair` two."""
    return 2 if word is None else int(word) if word.isdigit() else _WORDS[word]
