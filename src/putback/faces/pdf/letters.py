"""One idea: a paper shows only letters that its typefaces have; any other is written as its code, never left out.

The typefaces are those that come with the typesetter, so the same record gives the same paper on every machine. What
turns writing round or hides in it (Unicode category Cf) is written as its code too.
"""

import re
import unicodedata
from functools import lru_cache

_RANGES = """
20-7E A0-377 37A-37F 384-38A 38C 38E-3A1 3A3-4FF 510-513 51A-51D 531-556 559-58A 58D-58F 591-5C7 5D0-5EA 5EF-5F4
60C 615 61B 61F 621-63A 640-655 65A 660-66D 674 679-67B 67E-680 683-684 686-687 691 698 6A4 6A9 6AF 6BE 6CC 6F0-6F9
E3F 10D0-10FF 13A0-13F5 1D00-1F15 1F18-1F1D 1F20-1F45 1F48-1F4D 1F50-1F57 1F59 1F5B 1F5D 1F5F-1F7D 1F80-1FB4
1FB6-1FC4 1FC6-1FD3 1FD6-1FDB 1FDD-1FEF 1FF2-1FF4 1FF6-1FFE 2000-2064 2066-2071 2074-208E 2090-209C 20A0-20C0
2100-2151 2153-2184 2189 2190-23FF 2422-2423 2460-262F 2638-268B 2690-269C 26A0-26A7 26AA-26B2 2701-2704 2706-2709
270C-2727 2729-274B 274D 274F-2752 2756 2758-275E 2761-277F 2794 2798-27AF 27B1-2B73 2B76-2B95 2C60-2CF3
FB00-FB06 FB13-FB17 FB1D-FB36 FB38-FB3C FB3E FB40-FB41 FB43-FB44 FB46-FB4F FE70-FE74 FE76-FEFC FFFC-FFFD
"""
"""What "Libertinus Serif", "DejaVu Sans Mono" and "New Computer Modern Math" have between them, in hexadecimal."""

_SPANS = tuple(
    (int(first, 16), int(last or first, 16)) for first, _, last in (one.partition("-") for one in _RANGES.split())
)
_BREAK = "\u200b"
_PLAIN = re.compile(r"[ -~]*")


@lru_cache(maxsize=4096)
def has(sign: str) -> bool:
    """Whether the typefaces have a sign, and it may stand in a paper.

    >>> has("Ω"), has("漢"), has(chr(0x202E))
    (True, False, False)
    """
    code = ord(sign)
    return any(first <= code <= last for first, last in _SPANS) and unicodedata.category(sign) not in ("Cf", "Cc")


def shown(text: str, *, plain: bool = False) -> str:
    """A text as a paper shows it: blanks for line ends, codes for what cannot be shown.

    Args:
        text: any text.
        plain: write everything beyond ASCII as its code.

    >>> shown("two" + chr(10) + "lines, 漢" + chr(7))
    'two lines, [U+6F22][U+0007]'
    """
    if _PLAIN.fullmatch(text):
        return text
    return "".join(_one(sign, plain) for sign in text)


def _one(sign: str, plain: bool) -> str:
    if sign in "\t\n\r\u2028\u2029":
        return " "
    if " " <= sign <= "~" or (not plain and has(sign)):
        return sign
    return f"[U+{ord(sign):04X}]"


def broken(text: str, *, longest: int) -> str:
    """A text whose long words may be broken after so many letters, so that they stay in their column.

    >>> broken("abcdefgh ij", longest=4).split(_BREAK)
    ['abcd', 'efgh ij']
    """
    if len(text) <= longest:
        return text
    return re.sub(rf"\S{{{longest}}}(?=\S)", lambda run: run[0] + _BREAK, text)
