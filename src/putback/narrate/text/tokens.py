"""One idea: a text is words, numbers and stops, each with its place, so that what is found later can point at it."""

import re
from dataclasses import dataclass

_TOKEN = re.compile(
    r"(?P<plain>[A-Za-z]+(?=[ ,.\r\n]))|(?P<fold> (?=[A-Za-z]))"
    r"|(?P<item>(?:(?<=\n)|\A)[^\S\n]*\d{1,3}[.)](?=\s))"
    r"|(?P<number>\d+/\d+(?=in\b)|\d+[.,]\d+(?=[^\W\d_])|\d+(?:[.,]\d+)?(?:/\d+)?(?!\w))"
    r"|(?P<joined>(?i:run|shut|cut|bolt|clip|push|press|snap|screw|slip|spin|plug|roll|pull|take|drop|lock|blow|pick|stick|hold|tie)"
    r"-(?i:out|off|on|in|fit|up|down)\b)"
    r"|(?P<side>\b(?i:[no]/s|[lr]/h)(?:/?(?i:[fr]))?\b)"
    r"|(?P<pole>\b[BbKk][+](?=\s(?!out\b)))"
    r"|(?P<again>(?i:re|un|dis)-[^\W\d_]{3,})"
    r"|(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*|\w+)"
    r"|(?P<stop>[.!?;:,…]|\r?\n[^\S\n]*\r?\n|[ \r\n])"
    r"|(?P<sign>[^\s\w])"
)
"""What is met most comes first: a word that nothing else is joined to, and a space before a letter."""
_SIDES = {"n": "nearside", "o": "offside", "l": "left", "r": "right"}
"""`N/S`, `r/h`: sides as they are written in notes."""
_FOLDS = frozenset({" ", "\r", "\n"})
_STICKS = re.compile(r"(\d+(?:[.,]\d+)?)([^\W\d_]+)")


@dataclass(frozen=True, slots=True)
class Token:
    """A word, number or stop. `low` is its spelling for comparing; `kind` is word, number, stop or sign."""

    low: str
    start: int
    end: int
    kind: str


def tokens(text: str, breaks: frozenset[int] = frozenset()) -> list[Token]:
    """The tokens of a text, in order: `10mm` is a number and a word, `re-fit` one word.

    A place in `breaks` is a full stop, and so is the number of an item at the beginning of a line.

    >>> [token.low for token in tokens("Ten-mil bolt, 10mm.")]
    ['ten', '-', 'mil', 'bolt', ',', '10', 'mm', '.']
    """
    found: list[Token] = []
    for match in _TOKEN.finditer(text):
        if match.start() in breaks:
            found.append(Token(".", match.start(), match.end(), "stop"))
            continue
        kind = match.lastgroup or "sign"
        if kind == "plain":
            found.append(Token(match.group().lower(), match.start(), match.end(), "word"))
            continue
        if kind == "fold" or match.group() in _FOLDS:
            continue
        if kind == "item":
            found.append(Token(".", match.start(), match.end(), "stop"))
            continue
        if kind == "side":
            found.append(Token(_SIDES[match.group()[0].lower()], match.start(), match.end(), "word"))
            continue
        piece, start = match.group(), match.start()
        if kind in {"joined", "pole"}:
            kind = "word"
        if kind == "again":
            kind, piece = "word", piece.replace("-", "")
        stuck = _STICKS.fullmatch(piece) if kind == "word" else None
        if stuck:
            middle = start + stuck.end(1)
            found.append(Token(stuck[1], start, middle, "number"))
            found.append(Token(stuck[2].lower(), middle, match.end(), "word"))
        else:
            found.append(Token(piece.lower().replace("’", "'"), start, match.end(), kind))
    return found
