"""One idea: text is measured before it is drawn, so that nothing overlaps whatever font the reader has.

The widths are those of the widest of the common system faces; a narrower face leaves a little air.
Source: advance widths of DejaVu Sans 2.37 (hmtx table), thousandths of the font size; its bold is at most 1.24
times as wide, letter by letter. Signs outside the table count as a full square, which no common face exceeds but
for a few Arabic ligatures.
"""

import unicodedata
from collections.abc import Iterable
from types import MappingProxyType

_SIGNS_BY_WIDTH = {
    277: "'ijl",
    294: "IJ",
    317: " ,.·‘’",
    336: "/:;\\|",
    352: "f",
    360: "-",
    390: "()[]",
    392: "t",
    400: "!",
    411: "r",
    459: '"',
    500: "*_`°–",
    518: "“”",
    520: "s",
    524: "z",
    530: "?",
    549: "c",
    557: "L",
    575: "F",
    579: "k",
    591: "vxy",
    603: "P",
    611: "TYo",
    615: "ea",
    636: "$0123456789{}µEhnuSbdgpq",
    655: "K",
    686: "AVXZB",
    698: "CR",
    751: "UNH",
    774: "DG",
    787: "OQ&",
    838: "w#+<=>^~×±→←↑↓",
    863: "M",
    950: "%",
    974: "m",
    1000: "@—…W",
}
_WIDTH = MappingProxyType({sign: width for width, signs in _SIGNS_BY_WIDTH.items() for sign in signs})
_SQUARE = 1000
_LATIN = 800
BOLD = 1.2


def width(text: str, size: float, *, bold: bool = False) -> float:
    """How wide a text may become, in the unit of `size` (the font size).

    >>> round(width("fan", 10), 2)
    16.03
    >>> width("", 12)
    0.0
    """
    total = sum(_thousandths(sign) for sign in text)
    return total * size / 1000 * (BOLD if bold else 1.0)


def wrap(text: str, size: float, limit: float, *, bold: bool = False) -> tuple[str, ...]:
    """Lines of a text that are each at most `limit` wide; a word that is wider is broken.

    >>> wrap("left impact-sensor connector", 10, 90)
    ('left', 'impact-sensor', 'connector')
    """
    lines: list[str] = []
    line = ""
    for word in _pieces(text.split(), size, limit, bold=bold):
        longer = f"{line} {word}" if line else word
        if line and width(longer, size, bold=bold) > limit:
            lines.append(line)
            line = word
        else:
            line = longer
    if line:
        lines.append(line)
    return tuple(lines) or ("",)


def shortened(text: str, size: float, limit: float) -> str:
    """A text that fits in one line of this width; an ellipsis stands for what does not.

    >>> shortened("high-voltage corner", 10, 70)
    'high-voltag…'
    """
    if width(text, size) <= limit:
        return text
    while text and width(f"{text}…", size) > limit:
        text = text[:-1]
    return f"{text.rstrip()}…"


def _thousandths(sign: str) -> int:
    known = _WIDTH.get(sign)
    if known is not None:
        return known
    if unicodedata.combining(sign):
        return 0
    return _LATIN if "\xa0" <= sign <= "\u024f" else _SQUARE


def _pieces(words: list[str], size: float, limit: float, *, bold: bool) -> Iterable[str]:
    """Each word, cut where it is wider than the limit."""
    for word in words:
        piece = ""
        for sign in word:
            if piece and width(piece + sign, size, bold=bold) > limit:
                yield piece
                piece = sign
            else:
                piece += sign
        yield piece
