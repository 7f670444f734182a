"""One idea: the words of a command line are shared out over the fields they were meant for, with or without quotes.

`24 N·m 250 30` is a torque and two lengths: a number takes the unit behind it, a torque its angles too, and words to
choose from as many as there are. The last field takes what is left.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from putback.core.fasten.tool import Ask, Field
from putback.core.fasten.typed import is_unit_of
from putback.core.quantity import torque_unit

_NUMBER = re.compile(r"[-\u2212+]?[\d.,]+")
_TAIL = re.compile(r"[\d.,]+\s*([^\d.,\s].*)")
_NEGATIVE = re.compile(r"-[\d.].*", re.DOTALL)
_DEGREES = ("°", "deg", "degrees")


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """The text of each field, and the words that no field was left for."""

    given: Mapping[str, str]
    left: Sequence[str] = ()


def shared_out(fields: Sequence[Field], words: Sequence[str]) -> Shared:
    """Share words out over fields, in their order.

    >>> torque, length = Field(name="t", words="", like="", ask=Ask.TORQUE), Field(name="l", words="", like="")
    >>> dict(shared_out((torque, length), ("12", "N·m", "+", "90°", "250")).given)
    {'t': '12 N·m + 90°', 'l': '250'}
    """
    given: dict[str, str] = {}
    left = list(words)
    for at, one in enumerate(fields):
        if not left:
            break
        last = at == len(fields) - 1 and one.ask in (Ask.TEXT, Ask.CHOICE)
        count = len(left) if last else _count(one, left)
        given[one.name] = " ".join(left[:count])
        left = left[count:]
    return Shared(given=given, left=tuple(left))


def options_joined(fields: Sequence[Field], args: Sequence[str]) -> list[str]:
    """The words with those behind an option's name made one, where they belong together.

    >>> options_joined((Field(name="torque", words="", like="", ask=Ask.TORQUE),), ("--torque", "24", "N·m", "--json"))
    ['--torque', '24 N·m', '--json']
    """
    named = {f"--{one.name}": one for one in fields}
    made: list[str] = []
    left = list(args)
    while left:
        word = left.pop(0)
        made.append(word)
        if word in named and left:
            count = _count(named[word], left)
            made.append(" ".join(left[:count]))
            left = left[count:]
    return made


def minus_as_text(words: Sequence[str]) -> list[str]:
    """Words with a true minus before a negative number, so that it is not taken for an option.

    >>> minus_as_text(["-40,0", "-24 N·m", "--json"])
    ['\u221240,0', '\u221224 N·m', '--json']
    """
    return [f"\u2212{word[1:]}" if _NEGATIVE.fullmatch(word) else word for word in words]


def _count(one: Field, words: Sequence[str]) -> int:
    """How many of the words, from the first, belong to a field."""
    if one.ask is Ask.TORQUE:
        return _torque(words)
    if one.ask is Ask.NUMBER and len(words) > 1 and _NUMBER.fullmatch(words[0]) and is_unit_of(words[1], one.unit):
        return 2
    if one.ask is Ask.CHOICE:
        of = [choice.casefold() for choice in one.of]
        fits = [many for many in range(1, len(words) + 1) if " ".join(words[:many]).casefold() in of]
        return max(fits, default=1)
    return 1


def _torque(words: Sequence[str]) -> int:
    """A number, its unit in up to two words, and the angles behind it."""
    begun = _TAIL.fullmatch(words[0])
    head = begun[1] if begun else ""
    most = min(2, len(words) - 1)
    units = [more for more in range(most + 1) if torque_unit(" ".join([head, *words[1 : 1 + more]]).strip())]
    end = 1 + max(units, default=0)
    while end < len(words) and words[end].startswith("+"):
        end += 2 if words[end] == "+" and end + 1 < len(words) else 1
        if end < len(words) and words[end] in _DEGREES:
            end += 1
    return end
