"""One idea: a designation such as M8x40 says nominal size and length, and the two never mix.

In a car file `x` after an M size is followed by the length (`thread: M8x40`, nominal x length), or by pitch and
length (`M8x1.25x40`). The car file's meaning wins over the general reading in which one figure is the pitch.
"""

import re
from dataclasses import dataclass

_METRIC = re.compile(r"M(\d+(?:\.\d+)?)(?:x(\d+(?:\.\d+)?))?(?:x(\d+(?:\.\d+)?))?", re.IGNORECASE)
INCHES = r"\d+\.\d+|(?:\d+[ -])?\d+/\d+|\d+"
_UNIFIED = re.compile(rf"(#?\d+(?:/\d+)?)-(\d+)(?:\s*(?:UNC|UNF|UNEF|UN))?(?:\s*x\s*({INCHES}))?", re.IGNORECASE)
_ZERO = re.compile(r"(?<![\d.#])0+(?:\.0+)?(?![\d.])")


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """A fastener's thread and length as its designation states them.

    `nominal` groups what screws into the same hole (`M8`, `M8x1`, `1/4-20`); `length_mm` is None for nuts and
    where the designation gives none, which is not the same as zero.
    """

    text: str
    nominal: str
    length_mm: float | None


def read_thread(text: str) -> Thread | None:
    """Read a designation; None where it is no thread designation, such as one with a size or length of zero.

    >>> read_thread("M8x40")
    Thread(text='M8x40', nominal='M8', length_mm=40.0)
    >>> read_thread("M14x1.5x30").nominal
    'M14x1.5'
    >>> read_thread("1/4-20 UNC").nominal
    '1/4-20'
    >>> read_thread("5/16-18 UNC x 1-1/4").length_mm
    31.75
    >>> read_thread("eight") is None
    True
    """
    clean = text.strip().replace("×", "x")
    if _ZERO.search(clean):
        return None
    metric = _METRIC.fullmatch(clean)
    if metric:
        size, first, second = (float(figure) if figure else None for figure in metric.groups())
        if second is not None:
            return Thread(text=text, nominal=f"M{size:g}x{first:g}", length_mm=second)
        return Thread(text=text, nominal=f"M{size:g}", length_mm=first)
    unified = _UNIFIED.fullmatch(clean)
    if unified:
        inch, pitch, length = unified.groups()
        return Thread(text=text, nominal=f"{inch}-{pitch}", length_mm=None if length is None else inches_mm(length))
    return None


def inches_mm(text: str) -> float:
    """An inch length such as 3/4, 1-1/4 or 1.25, [mm].

    >>> inches_mm("1-1/4")
    31.75
    """
    whole, _, part = text.replace(" ", "-").rpartition("-")
    top, _, bottom = part.partition("/")
    return (float(whole or 0) + float(top) / float(bottom or 1)) * 25.4
