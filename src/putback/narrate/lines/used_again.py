"""One idea: what was told to have gone back though it is made for one time, by the words in which people own up to it.

`The same washer went back on`, `it says new every time but there was none in the box`, `so these go round again`.
"""

import re
from collections.abc import Iterator
from typing import Final

_REUSED: Final = re.compile(
    r"\b(?:re-?us(?:ed|ing|e)|us(?:ed|ing) the (?:old|same)|put(?:ting)? the old|"
    r"(?:on|in|back)\b,? with the (?:old|same)|with its (?:old|same)|"
    r"us(?:ed|ing)(?= (?:them|it|those) (?:again|twice))|"
    r"with the (?:old|same|original)(?= (?:[\w-]+ )?(?:rings?|seals?|gaskets?|washers?|o-rings?)\b)|"
    r"(?:on|in|back), (?:old|same|original))\b(?P<after>[^.!?\n]{0,60})",
    re.IGNORECASE,
)
_NEGATED: Final = re.compile(
    r"\b(never|not|don't|no|can't|cannot|won't|without|isn't|aren't|shouldn't)\b([^\w.!?]+\w+){0,3}[^\w.!?]*$",
    re.IGNORECASE,
)
_OLD_BACK: Final = re.compile(
    r"\b(?:old|auld|oul|owd|same|original)"
    r"(?P<after> (?:[\w-]+ ){0,2}(?:gaskets?|seals?|o[- ]?rings?|washers?|pins|(?:split|cotter) pin|circlips?|"
    r"grommets?|tethers?|foam|rings?|(?:self-)?locking nuts?|(?<=old )(?:bolts|screws|nuts|studs|pin)))"
    r"\b(?:[^.!?\n]{0,40}\b(?:back|again|bent over|went (?:on|in|under)|pressed (?:in|on|home))\b|"
    r" (?:on|in)(?=[.,;!\n]|$))",
    re.IGNORECASE,
)
_THOUGH_NEW_IS_ASKED: Final = re.compile(
    r"\b(?:old|auld|oul|owd|same|original)(?P<after> [^.,!?\n]{3,40})[.,] (?:[\w.]+ ?[\w.]*[.,] )?"
    r"[^.!?\n]{0,40}\b(?:says|say|wants?|calls? for|asks? for|specif\w+)[^.!?\n]{0,25}\b(?:new|fresh)\b",
    re.IGNORECASE,
)
_LEFT_ON: Final = re.compile(
    r"\b(?:old|auld|oul|owd|same|original)(?P<after> (?:[\w-]+ ){0,2}(?:gaskets?|seals?|o-rings?|washers?|rings?))\b"
    r"[^.!?\n]{0,50}\b(?:left|leave|leaving|kept|keep)\b[^.!?\n]{0,12}\b(?:on|in|there|where)\b",
    re.IGNORECASE,
)
_CAME_WITH: Final = re.compile(
    r"\bwith the (?P<part>gaskets?|seals?|o-rings?|washers?|pins?|circlips?) (?:that |which )?"
    r"(?:it|they)(?:'d| had)? c[ao]me (?:out|off|away) with\b",
    re.IGNORECASE,
)
_SHOULD_BE_NEW: Final = re.compile(
    r"\b(?:should|ought|supposed|meant|says|wants?)\b"
    r"[^.!?\n]{0,50}\b(?:renew|replac|new\b|once\b)(?:[^.!?\n]{0,170}|[^\n]{0,50}[.!?]\s+)"
    r"\b(?P<old>old|auld|oul|owd|same|original)\b[^.!?\n]{0,20}\b(?:back|again|fitted|went)\b",
    re.IGNORECASE,
)
_NO_NEW_ONE: Final = re.compile(
    r"\b(?:no|none|hadn't|haven't|hasn't|didn't have|don't have|without|out of)\b[^.!?\n]{0,30}\bnew\b[^\n]{0,80}?"
    r"\b(?:old|auld|oul|owd|same|original)\b(?P<after>[^.!?\n]{0,40})",
    re.IGNORECASE,
)
_USED_ONCE: Final = re.compile(
    r"\b(?:(?:single|one)[- ](?:use|time|shot)|throw-?away|(?:only|just) (?:be )?used? once)\b[^\n]{0,120}?"
    r"\b(?:again|back (?:in|on)|old|same|anyway|re-?us)(?P<after>)",
    re.IGNORECASE,
)
_OLD_ONES: Final = re.compile(
    r"\b(?:old|auld|oul|owd|same|original) (?:ones?|two|three|four|five|six|pair|lot)\b[^.!?\n]{0,30}"
    r"\b(?:back|again|went (?:on|in)|stays?|will do)\b",
    re.IGNORECASE,
)

_KEEPS_ITS_OLD: Final = re.compile(
    r"\b(?:keeps|kept|gets|got)(?: back)? (?:its|her|his|the|their) (?:old|auld|oul|owd)(?: ones?)?(?=[.,;!\n]|$)",
    re.IGNORECASE,
)
_WENT_BACK: Final = re.compile(r" (?:in|on|back|again|went)\b.*")

_CONSUMABLE: Final = re.compile(
    r"\b(gaskets?|seals?|o-rings?|washers?|stretch bolts?|cotter pins?|split pins?|lock(?:ing)? ?nuts?|"
    r"circlips?|gaiters?|grommets?|tethers?|foam|rings?|pins?)\b",
    re.IGNORECASE,
)

_MADE_FOR_ONCE: Final = re.compile(
    r"\b(?:[\w-]+ )?(?:gaskets?|seals?|o-rings?|washers?|bolts?|nuts?|screws?|pins?|clips?|clamps?|"
    r"sheets?|rings?|collars?|grommets?|tethers?|foam)\b",
    re.IGNORECASE,
)
_WHO_SAYS: Final = re.compile(r"\b(?:the )?(?:card|book|sheet|manual|maker|paper|packet)s?\W*$", re.IGNORECASE)
_NAMES_NONE: Final = re.compile(r"^(you|they|we|it|i|that|this|there|which)\b|(ly|'re|'s)$", re.IGNORECASE)
_PRONOUN: Final = re.compile(r"\s*(it|them|those|that one|both)\b", re.IGNORECASE)
_WORDS_OF_A_PART: Final = 3
_SENTENCE: Final = 200
_SPOKEN_OF: Final = 80
_DEMANDS: Final = re.compile(
    r"(?:\b(?:should|ought|supposed|meant|says?|said|wants?|strictly|tell you)\b[^.!?\n]{0,60}?"
    r"\b(?:renewed|replaced|new|every time|discard|once)\b|\b(?:single|one)[- ](?:use|time)\b|\bthrow-?away\b|"
    r"\bdo not use again\b)",
    re.IGNORECASE,
)
"""It is told that a new one belongs there."""
_OWNS_UP: Final = re.compile(
    r"(?:\b(?:hadn't|haven't|hasn't|wasn't|weren't|isn't|aren't|didn't|did not|not here|none|no new|nothing|closed|"
    r"sold out|out of stock)\b[^.!?\n]{0,40}|\bit's the (?:old|same) one\b|"
    r"\b(?:these|those|they|it)(?:'re| are|'s| is) going (?:round|back|in|on)|"
    r"\b(?:old|same) (?:one|ones|two|three|four|five|six|lot|pair|[\w-]{3,12}) "
    r"(?:[\w-]+ ){0,3}(?:back|again|on|in)\b|\bused (?:it|them) again)",
    re.IGNORECASE,
)
"""It is told that there was none, or that the old one went back."""
_SAME_PART: Final = 1000
"""So many signs apart two tellings of one name may be of two parts."""
_SOON: Final = 130
"""So many signs lie between the demand and the owning up, at most."""
_SEALS: Final = re.compile(
    r"\b(?:[\w-]+ )?(?:gaskets?|seals?|o[- ]?rings?|washers?|grommets?|circlips?)\b", re.IGNORECASE
)
_NEW_WHAT: Final = re.compile(
    r" (?P<part>(?:[\w-]+ )?"
    r"(?:clamps?|clips?|nuts?|bolts?|screws?|rings?|seals?|gaskets?|washers?|pins?|circlips?))\b",
    re.IGNORECASE,
)
_SAYS_SO: Final = re.compile(r"\b(?:the |a )?(?:card|book|sheet|manual|maker|paper|packet)s? says?\b", re.IGNORECASE)
_COMES_OFF: Final = re.compile(r"\b(?:old|same)[^.!?\n]{0,20}\b(?:off|out)\b", re.IGNORECASE)


def used_again(text: str) -> Iterator[str]:
    """The parts that were told to have gone back though they are made for one time; of the same words once."""
    asked: list[range] = []
    named: dict[str, int] = {}
    for found, part in _owned_up(text):
        asked.append(range(*found))
        if found[0] - named.get(head_of(part), -_SAME_PART) >= _SAME_PART:
            yield part
        named[head_of(part)] = found[0]
    for found, part in _used_parts(text):
        words = range(*found)
        told = any(words.start < other.stop and other.start < words.stop for other in asked)
        asked.append(words)
        if not told and abs(words.start - named.get(head_of(part), -_SAME_PART)) >= _SAME_PART:
            yield part


def head_of(part: str) -> str:
    """The last word of a part, for comparing."""
    return part.rpartition(" ")[2].lower().rstrip("s")


def _owned_up(text: str) -> Iterator[tuple[tuple[int, int], str]]:
    """`It says new every time, but they hadn't sent it`: a demand, and that it was not met."""
    for demand in _DEMANDS.finditer(text):
        owned = _OWNS_UP.search(text, demand.end(), demand.end() + _SOON)
        if owned is None or _COMES_OFF.match(owned[0]) or _negated(demand, text):
            continue
        if owned[0].lower().startswith(("old", "same")) and _negated(owned, text):
            continue
        part = _asked_for(text, demand)
        if part is not None:
            yield (demand.start(), owned.end()), part


def _asked_for(text: str, demand: re.Match[str]) -> str | None:
    """What should be new: what is named right behind, else what seals, else the last that is made for one time."""
    behind = _NEW_WHAT.match(text, demand.end()) if demand[0].lower().endswith("new") else None
    if behind is not None:
        return behind["part"]
    near = _SAYS_SO.sub(" ", text[max(0, demand.start() - _SPOKEN_OF) : demand.end()])
    part = _last_of(_SEALS, near) or _last_of(_MADE_FOR_ONCE, near)
    return part[0].strip() if part is not None else None


def _used_parts(text: str) -> Iterator[tuple[tuple[int, int], str]]:
    """Where it is told that an old part went back, and its name."""
    yield from _named_old(text)
    yield from _named_before(text)
    yield from ((found.span(), found["part"]) for found in _CAME_WITH.finditer(text))
    for found in _SHOULD_BE_NEW.finditer(text):
        if not _NEGATED.search(text[found.start() : found.start("old")]):
            before = _WHO_SAYS.sub("", _just_before(text, found.start(), _SENTENCE))
            sentence = re.split(r"[.!?;\n]", before)[-1]
            part = _last_of(_MADE_FOR_ONCE, sentence if sentence.strip() else before)
            named = part[0] if part is not None else sentence
            words = named.split()[-_WORDS_OF_A_PART:]
            yield found.span(), "a part" if not words or _NAMES_NONE.search(words[-1]) else " ".join(words)


def _named_old(text: str) -> Iterator[tuple[tuple[int, int], str]]:
    """`The old washer went round again`, `reused the gasket`, `old one back on, though it should be new`."""
    for found in (one for told in (_OLD_BACK, _LEFT_ON, _THOUGH_NEW_IS_ASKED) for one in told.finditer(text)):
        name = _WENT_BACK.sub("", found["after"]).strip()
        if name in {"one", "ones"}:
            before = _last_of(_MADE_FOR_ONCE, _just_before(text, found.start(), _SPOKEN_OF))
            name = before[0].strip() if before is not None else ""
        if name and not _negated(found, text):
            yield found.span(), name
    for found in _REUSED.finditer(text):
        part = _CONSUMABLE.search(found["after"])
        if part is None and _PRONOUN.match(found["after"]):
            sentence = re.split(r"[.!?\n]", _just_before(text, found.start(), _SENTENCE))[-1]
            part = _last_of(_CONSUMABLE, sentence)
        if part is not None and not _negated(found, text):
            yield found.span(), part[0]


def _named_before(text: str) -> Iterator[tuple[tuple[int, int], str]]:
    """`There was no new one, so the old …`, `the old two went back on`, `the right keeps its old`."""
    for found in (*_NO_NEW_ONE.finditer(text), *_USED_ONCE.finditer(text)):
        after = found.start("after")
        part = _CONSUMABLE.search(found["after"]) or _last_of(_CONSUMABLE, _just_before(text, after, _SENTENCE))
        if part is not None and not _COMES_OFF.match(text, after - len("old")):
            yield found.span(), part[0]
    for told, reach in ((_OLD_ONES, _SPOKEN_OF), (_KEEPS_ITS_OLD, _SENTENCE)):
        for found in told.finditer(text):
            part = _last_of(_CONSUMABLE, _just_before(text, found.start(), reach))
            if part is not None and not _negated(found, text):
                yield found.span(), part[0]


def _just_before(text: str, place: int, reach: int) -> str:
    """So many signs before a place."""
    return text[max(0, place - reach) : place]


def _negated(found: re.Match[str], text: str) -> bool:
    """Whether it is told that it was not done."""
    return _NEGATED.search(text[max(0, found.start() - 40) : found.start()]) is not None


def _last_of(parts: re.Pattern[str], before: str) -> re.Match[str] | None:
    """The part that "it" is: the last one of its kind in what was said before."""
    return next(reversed(list(parts.finditer(before))), None)
