"""One idea: what was told to be made for one time, of which no new one was heard, is asked for.

`The gasket under that lid is a one-time part`, `thin push-on nuts, which are good for one use only`.
"""

import re
from collections.abc import Iterator
from itertools import islice
from typing import Final

from putback.narrate.words.lexicon import words_of

_FOR_ONE_TIME: Final = re.compile(
    r"\b(?:(?:one|single)-(?:time|use|shot|go|trip)\b|"
    r"(?:a|is|are|it's|they're|for|strictly|says?|said|marked) (?:one|single) (?:time|use|shot)\b(?! i\b)|"
    r"(?:used?|fitted|meant|good) (?:only |just )?(?:for )?(?:(?:the )?once\b|one (?:use|time)\b)|"
    r"(?:only|just) (?:be )?(?:used?|fitted|good|meant) (?:for )?(?:once|one)\b|"
    r"(?:strictly |always )?(?:to be )?(?:replaced|renewed|new) every time\b|"
    r"(?:stretch|stretching) (?:kind|type|sort)\b)",
    re.IGNORECASE,
)
_OF_NO_NAME: Final = "the|a|an|of|and|its|that|those|these|with|two|three|four|five|six|eight|ten"
_PART: Final = re.compile(
    rf"(?<!like a )\b(?P<name>(?P<of>(?:(?!(?:{_OF_NO_NAME})\b)[\w-]+ ){{0,2}})"
    r"(?P<head>gasket|seal|o[- ]?ring|washer|circlip|grommet|tether|collar|bolt|nut|screw|pin|clip|clamp|ring)s?)\b",
    re.IGNORECASE,
)
_NEW: Final = r"\b(?:new|fresh|replacement|renewed|replaced|another|changed)\b"
_SENTENCE: Final = re.compile(r"[.!?](?=\s|$)|\n")
_BEFORE: Final = 130
_AFTER: Final = 60
_DESCRIBES: Final = words_of(
    "old new same both all these their big small mm mil millimetre millimeter inch actually little long short thin "
    "copper rubber steel paper metal foam green red black blue white orange crush sealing sealed push-on locking lock "
    "self-locking nylon stretch tin fat flat other one"
)
"""How a part is, and not whose."""
_APART: Final = 60
"""So many signs may lie between `new` and its part."""
_MOST: Final = 100
"""So many new parts of a kind are looked at; no job renews more of them one by one."""
_MOST_TOLD: Final = 2000
"""So many tellings are looked at; more than that is no narration."""
_NOT_SO: Final = re.compile(r"\b(?:not|no|isn't|aren't|nor)\b[^.,;!?\n]{0,20}$", re.IGNORECASE)


def never_renewed(text: str) -> Iterator[str]:
    """The parts that were told to be made for one time, where no new one was told of in the same text; each once.

    Args:
        text: what was spoken.
    """
    asked: set[str] = set()
    new: dict[str, list[str]] = {}
    for told in islice(_FOR_ONE_TIME.finditer(text), _MOST_TOLD):
        part = None if _NOT_SO.search(text[max(0, told.start() - 40) : told.start()]) else _part_of(text, told)
        if part is None:
            continue
        head = part["head"].lower().replace("-", " ")
        if head not in new:
            new[head] = list(islice(_new_ones(text, head), _MOST))
        if head not in asked and not any(_means(around, part["of"]) for around in new[head]):
            asked.add(head)
            yield part["name"]


def _part_of(text: str, told: re.Match[str]) -> re.Match[str] | None:
    """What is meant: the last part that is named before in the sentence or the one before, else the first behind."""
    before = text[max(0, told.start() - _BEFORE) : told.start()]
    sentences = _SENTENCE.split(before)
    for stretch in reversed(sentences[-2:]):
        found = list(_PART.finditer(stretch))
        if found:
            return found[-1]
    behind = _SENTENCE.split(text[told.end() : told.end() + _AFTER])[0]
    return _PART.search(behind)


def _new_ones(text: str, head: str) -> Iterator[str]:
    """What stands around each new part of a kind that is told of."""
    kind = head.replace(" ", "[- ]?")
    near = rf"{_NEW}[^.!?\n]{{0,{_APART}}}\b{kind}s?\b|\b{kind}s?\b[^.!?\n]{{0,{_APART}}}{_NEW}"
    for told in re.finditer(near, text, re.IGNORECASE):
        yield text[max(0, told.start() - _APART) : told.end() + _APART].lower()


def _means(around: str, of: str) -> bool:
    """Whether a new one may be the one that is meant: of `guide bolts` where guides are spoken of, not all bolts."""
    whose = of.lower().split()[-1:]
    return not whose or whose[0] in _DESCRIBES or any(sign.isdigit() for sign in whose[0]) or whose[0] in around
